"""Pictures for the how-to pages, from the real screen: run it from the top with ``python docs/pictures/howto.py``.

What is kept for them lies in a temporary folder. The picture of the tablet needs Chromium, and is left as it is where
there is none.
"""

import asyncio
import importlib.util
import os
import shlex
import sys
import tempfile
from collections.abc import Awaitable, Callable
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path
from typing import Any

from make import answered, offline, with_dots
from textual.pilot import Pilot

from rotary.__main__ import main as rotary
from tui.app import Rotary, read_job

HERE = Path(__file__).resolve().parent
Steps = Callable[[Rotary, Pilot[int]], Awaitable[None]]
SIGNS = {" ": "space", ".": "full_stop", ",": "comma", "-": "minus", "/": "slash"}


def command(line: str) -> None:
    """A command of the tool, silently."""
    with redirect_stdout(StringIO()):
        code = rotary(shlex.split(line))
    if code:
        raise SystemExit(f"rotary {line}: exit code {code}")


async def write(pilot: Pilot[int], text: str) -> None:
    """Key by key."""
    await pilot.press(*(SIGNS.get(sign, sign) for sign in text))


async def fill(app: Rotary, pilot: Pilot[int], fields: dict[str, str]) -> None:
    """Type into fields of the desk."""
    for key, text in fields.items():
        app.desk.form.reveal(key)
        await write(pilot, text)
    await pilot.press("enter")


async def empty(_app: Rotary, pilot: Pilot[int]) -> None:
    """A new job."""
    await pilot.press("ctrl+n")
    await pilot.pause()


async def typed(app: Rotary, pilot: Pilot[int]) -> None:
    """The flask of the page, typed in."""
    await empty(app, pilot)
    table = app.session.tables["item.stations"]
    for _ in range(2 - app.session.rows(table)):
        app.session.add_row(table)
    app.desk.refresh_all()
    await fill(app, pilot, {
        "item.name": "Heron flask", "item.stations.0.at": "0", "item.stations.0.across": "65",
        "item.stations.1.at": "210", "item.stations.1.across": "76.2", "drive.gear_ratio": "3",
        "artwork.width": "60", "artwork.height": "40", "artwork.centre": "100",
    })  # fmt: skip
    app.desk.form.reveal("item.stations.1.across")
    await answered(app)
    # Once seen from the top.
    app.desk.form.scroll_to(y=0, animate=False)
    await pilot.pause()


def opened(*keys: str, until: Callable[[Rotary], bool] = lambda _: True) -> Steps:
    """A screen behind a key, once it has what it shows."""

    async def steps(app: Rotary, pilot: Pilot[int]) -> None:
        await pilot.press(*keys)
        for _ in range(2000):
            await asyncio.sleep(0.01)
            if until(app):
                break
        await pilot.pause()

    return steps


def painted(text: str) -> Callable[[Rotary], bool]:
    """Whether a text stands on the screen."""
    return lambda app: any(
        text in "".join(part.text for part in strip) for strip in app.screen._compositor.render_strips()
    )


PICTURES: dict[str, tuple[int, int, Steps]] = {
    "how-to-typed": (80, 40, typed),
    "how-to-rig": (120, 32, opened("ctrl+r", until=painted("field scale"))),
    "how-to-patch": (120, 32, opened("ctrl+t", until=painted("tinted"))),
    "how-to-profiles": (120, 32, opened("ctrl+o", until=painted("proven"))),
}


async def picture(width: int, height: int, steps: Steps, folder: Path) -> str:
    """The screen as SVG after some steps."""
    data = read_job(None)
    if isinstance(data, str):
        raise SystemExit(data)
    app = Rotary(data)
    app.folder = folder
    async with app.run_test(size=(width, height)) as pilot:
        await answered(app)
        await steps(app, pilot)
        await answered(app)
        await pilot.pause()
        return with_dots(offline(app.export_screenshot()))


def helper(name: str) -> Any:
    """A module that the tests of the browser use, too."""
    spec = importlib.util.spec_from_file_location(name, HERE.parents[1] / "tests" / "tui" / f"{name}.py")
    if spec is None or spec.loader is None:
        raise SystemExit(f"there is no {name}.py beside the tests of the screen")
    module = sys.modules[name] = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


async def tablet(folder: Path) -> None:
    """The desk in a browser, on a screen that is touched."""
    chromium, serving = helper("chromium"), helper("serving")
    if chromium.PROGRAM is None:
        print("no Chromium here: the picture of the tablet stays as it is")
        return
    async with serving.served(folder) as (address, guard, _), chromium.browser(folder / "person") as open_tab:
        tab = await open_tab(1024, 768)
        await tab.ask("Emulation.setTouchEmulationEnabled", enabled=True, maxTouchPoints=5)
        await tab.go(f"{address}/enter/{guard.key}")
        await tab.see(r"⌀88 → ⌀70")
        await asyncio.sleep(1.0)
        await tab.picture(HERE / "how-to-tablet.png")


def kept() -> None:
    """What the screens show: readings, a patch that was read, profiles with proofs and runs."""
    command('gauge field axis=x drawn="140 mm" measured="139.6 mm"')
    command('gauge field axis=y drawn="140 mm" measured="139.8 mm"')
    for name, example in (("regatta bottle", "regatta-bottle"), ("crew mugs", "boathouse-mug"), ("nut", "brass-nut")):
        command(f'keep {example} --as "{name}"')
    command('proven "regatta bottle" --batch "green, spring"')
    command('ran "regatta bottle" --outcome clear --items 40 --spoiled 1 --took "15 h"')
    command("patch regatta-bottle")
    seen = "1=covered,clear,clear 2=covered,clear,cut 3=haze,clear,clear 4=clear,cut 5=cut"
    command(f"read-patch regatta-bottle {seen}")


def main() -> None:
    """Write every picture that is named, or all, beside this file."""
    wanted = sys.argv[1:] or [*PICTURES, "how-to-tablet"]
    for name in wanted:
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place) / "kept"
            os.environ |= {"ROTARY_FOLDER": str(folder), "ROTARY_RIGS": str(Path(place) / "rigs")}
            if name == "how-to-tablet":
                asyncio.run(tablet(folder))
            else:
                if PICTURES[name][1] == 32:
                    kept()
                (Path(place) / "shop").mkdir()
                os.chdir(Path(place) / "shop")
                drawn = asyncio.run(picture(*PICTURES[name], folder)).replace(place, "")
                os.chdir(HERE)
                (HERE / f"{name}.svg").write_text(drawn, "utf-8")
            print(name)


if __name__ == "__main__":
    main()
