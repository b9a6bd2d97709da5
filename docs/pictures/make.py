"""Pictures of the real screen for the documents: run it from the top folder with ``python docs/pictures/make.py``."""

import asyncio
import re
from pathlib import Path

from tui.app import Rotary, read_job

HERE = Path(__file__).parent
SCREENS = {
    "desk": (120, 40, ()),
    "desk-joints": (120, 40, ("f4", "f4", "f4")),
    "desk-fields": (80, 24, ()),
    "desk-answers": (80, 24, ("f6", "f4", "f4", "f4", "f4")),
    "desk-wrong": (120, 40, ("8", "8", "k", "g")),
}
"""Name, columns, lines, and the keys pressed before the picture is taken."""


async def picture(width: int, height: int, keys: tuple[str, ...]) -> str:
    """The screen as SVG once the core has answered."""
    data = read_job(None)
    if isinstance(data, str):
        raise SystemExit(data)
    app = Rotary(data)
    async with app.run_test(size=(width, height)) as pilot:
        await answered(app)
        await pilot.press(*keys)
        await answered(app)
        await pilot.pause()
        return app.export_screenshot()


async def answered(app: Rotary) -> None:
    """Wait until the core has judged what stands now."""
    while app.session.verdict is None or app.session.verdict.number != app.session.number:
        await asyncio.sleep(0.01)


def offline(svg: str) -> str:
    """Without fonts from elsewhere and without the frame of a window: every machine has a monospaced font."""
    svg = re.sub(r"@font-face\s*{.*?}", "", svg, flags=re.S)
    svg = re.sub(r"<text class=\"terminal-\d+-title\".*?</text>", "", svg, flags=re.S)
    svg = re.sub(r"<g transform=\"translate\(26,22\)\">.*?</g>", "", svg, flags=re.S)
    svg = svg.replace("Fira Code", "DejaVu Sans Mono").replace("http://www.textualize.io", "")
    return re.sub(r"[ \t]+\n", "\n", re.sub(r"<!--.*?-->", "", svg, flags=re.S))


def main() -> None:
    """Write every picture beside this file."""
    for name, (width, height, keys) in SCREENS.items():
        (HERE / f"{name}.svg").write_text(offline(asyncio.run(picture(width, height, keys))), "utf-8")
        print(f"{name}.svg")


if __name__ == "__main__":
    main()
