"""Pictures of the real screen for the documents: run it from the top folder with ``python docs/pictures/make.py``."""

import asyncio
import html
import os
import re
import tempfile
from pathlib import Path

from tui.app import Rotary, read_job

HERE = Path(__file__).parent
SCREENS = {
    "desk": (120, 40, ()),
    "desk-seams": (120, 40, ("f4", "f4", "f4")),
    "desk-answers": (80, 24, ("f6", "f4", "f4", "f4", "f4")),
    "desk-wrong": (120, 40, ("8", "8", "k", "g")),
    "desk-artwork": (120, 40, ("ctrl+e", "down")),
    "desk-unrolled": (120, 40, ("ctrl+e", "down", "rest", "enter", "rest", "f6", "space")),
    "desk-forecast": (120, 40, ("f6", "0", "rest", "space")),
    "desk-window": (120, 40, ("f6", "minus", "rest", "space")),
}
"""Name, columns, lines, and the keys pressed before the picture is taken; `rest` waits for longer work."""

CREST = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="50mm" viewBox="0 0 60 50">
<path fill-rule="evenodd" d="M30 2 55 12v16Q52 42 30 48 8 42 5 28V12zM30 8 12 15v12q2 10 18 15 16-5 18-15V15z"/>
<circle cx="30" cy="25" r="7"/><path d="M16 20h8v3h-8zM36 20h8v3h-8z"/></svg>"""
"""An invented crest for the pictures of the artwork."""

PLACES = ((0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2), (0, 3), (1, 3))
"""Column and row of each of the eight dots of a braille sign, in the order of its bits."""


async def picture(width: int, height: int, keys: tuple[str, ...]) -> str:
    """The screen as SVG once the core has answered."""
    data = read_job(None)
    if isinstance(data, str):
        raise SystemExit(data)
    with tempfile.TemporaryDirectory() as folder:
        drawings = Path(folder) / "regatta drawings"
        drawings.mkdir()
        (drawings / "crest of the boathouse.svg").write_text(CREST, "utf-8")
        os.environ["ROTARY_FOLDER"] = str(Path(folder) / "profiles")
        os.environ["ROTARY_MACHINES"] = str(Path(folder) / "rigs")
        app = Rotary(data, beside=drawings)
        async with app.run_test(size=(width, height)) as pilot:
            await answered(app)
            for key in keys:
                await (rested(app) if key == "rest" else pilot.press(key))
            await answered(app)
            await rested(app)
            await pilot.pause()
            # Nobody needs to know where the folder for this picture lay.
            return app.export_screenshot().replace(html.escape(folder).replace(" ", "&#160;"), "")


async def rested(app: Rotary) -> None:
    """Wait until longer work has answered."""
    await asyncio.sleep(0.8)
    while app.desk.work.beside.under_way:
        await asyncio.sleep(0.05)
    await asyncio.sleep(0.6)


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
    svg = svg.replace("</style>", ".dots { stroke-width: 3.4; stroke-linecap: round; fill: none }</style>", 1)
    svg = re.sub(r"(\.terminal-\d+-r\d+ { fill: (#\w+))", r"\1;stroke: \2;stroke-width: 0", svg)
    return re.sub(r"[ \t]+\n", "\n", re.sub(r"<!--.*?-->", "", svg, flags=re.S))


def with_dots(svg: str) -> str:
    """Braille drawn as dots, because not every machine that shows a picture has a font for it."""
    return re.sub(r"<text ([^>]*)>([^<]*[\u2800-\u28ff][^<]*)</text>", _dotted, svg)


def _dotted(found: re.Match[str]) -> str:
    attributes, text = found[1], html.unescape(found[2])
    x, y, long = (float(re.search(rf'\b{name}="([\d.]+)"', attributes)[1]) for name in ("x", "y", "textLength"))  # type: ignore[index]
    ink = re.search(r'class="([^"]+)"', attributes)
    wide = long / len(text)
    dots = []
    for place, sign in enumerate(text):
        bits = ord(sign) - 0x2800 if 0x2800 <= ord(sign) <= 0x28FF else 0
        for bit, (column, row) in enumerate(PLACES):
            if bits >> bit & 1:
                at = x + wide * (place + 0.25 + 0.5 * column), y - 18.5 + 24.4 * (0.125 + 0.25 * row)
                dots.append(f"M{at[0]:.1f} {at[1]:.1f}h.1")
    rest = "".join("\u00a0" if 0x2800 <= ord(sign) <= 0x28FF or sign == " " else sign for sign in text)
    drawn = f'<path class="{ink[1] if ink else ""} dots" d="{"".join(dots)}"/>'
    words = f"<text {attributes}>{html.escape(rest)}</text>" if rest.strip("\u00a0") else ""
    return drawn + words


def main() -> None:
    """Write every picture beside this file."""
    for name, (width, height, keys) in SCREENS.items():
        (HERE / f"{name}.svg").write_text(with_dots(offline(asyncio.run(picture(width, height, keys)))), "utf-8")
        print(f"{name}.svg")


if __name__ == "__main__":
    main()
