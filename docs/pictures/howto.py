"""Pictures for the how-to pages, from the real screen: run it from the top with ``python docs/pictures/howto.py``.

What is kept for them lies in a temporary folder. The picture of the tablet needs Chromium, and is left as it is where
there is none.
"""

import asyncio
import importlib
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


def command(line: str) -> None:
    """A command of the tool, silently."""
    with redirect_stdout(StringIO()):
        code = rotary(shlex.split(line))
    if code:
        raise SystemExit(f"rotary {line}: exit code {code}")


async def typed(app: Rotary, pilot: Pilot[int]) -> None:
    """What the tutorial says to type, from its own first table."""
    pages, conftest = helper("test_pages"), helper("conftest")
    page = (HERE.parent / "tutorial" / "first-bottle.md").read_text("utf-8")
    for name, content in pages.FILE.findall(page):
        Path(name).write_text(content, "utf-8")
    await pages.follow(conftest.Person(app, pilot), pages.TABLE.search(page)[0])


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
    "how-to-typed": (120, 40, typed),
    "how-to-machine": (120, 32, opened("ctrl+r", until=painted("field scale"))),
    "how-to-patch": (120, 32, opened("ctrl+t", until=painted("engraved"))),
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
    """A module that the tests of the screen use, too."""
    sys.path.insert(0, str(HERE.parents[1]))
    return importlib.import_module(f"tests.tui.{name}")


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
        await tab.see("77.841")
        await asyncio.sleep(1.0)
        await tab.picture(HERE / "how-to-tablet.png")


def kept() -> None:
    """What the screens show: readings, a patch that was read, profiles with proofs and runs."""
    command('machine record field axis=x drawn="140 mm" measured="139.6 mm"')
    command('machine record field axis=y drawn="140 mm" measured="139.8 mm"')
    for name, example in (("regatta bottle", "regatta-bottle"), ("crew mugs", "boathouse-mug"), ("nut", "brass-nut")):
        command(f'profile save {example} --as "{name}"')
    command('profile proven "regatta bottle" --batch "green, spring" --passes 6')
    command('log add "regatta bottle" good --items 40 --spoiled 1 --took "15 h"')
    command("patch new regatta-bottle")
    seen = "1=coating-left,clean,clean 2=coating-left,clean,engraved 3=residue,clean 4=clean,engraved 5=engraved"
    command(f"patch record regatta-bottle {seen}")


def main() -> None:
    """Write every picture that is named, or all, beside this file."""
    wanted = sys.argv[1:] or [*PICTURES, "how-to-tablet"]
    for name in wanted:
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place) / "kept"
            os.environ |= {"ROTARY_FOLDER": str(folder), "ROTARY_MACHINES": str(Path(place) / "rigs")}
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
