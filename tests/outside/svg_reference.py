"""A reference renderer in a process of its own, and the comparison of its picture with our region.

The renderer is resvg (as the Python package resvg-py). It is asked for two pictures: of the original
file, and of our region drawn as one black path, so that both have passed the same rasteriser.
"""

import base64
import io
import json
import re
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import IO

import numpy as np
import pytest
from numpy.typing import NDArray

from rotary.artwork.areas import View
from rotary.artwork.ink import ink_region
from rotary.artwork.rings import Rings, list_from_rings, rings_from_shapely
from rotary.artwork.svg.reader import Page, page_from_svg
from rotary.artwork.svg.words import SvgWords
from rotary.artwork.work import Ledger

PIXELS = 1024
TOLERANCE_PX = 0.02
HALF = 127.5
ROUNDED = 2.0
"""Steps of grey that the renderer may round away: it keeps eight bits of every colour, and rounds with every sheet and
every paint that can be seen through."""

ROOT = re.compile(r"<svg[\s>]")

CHILD = """
import base64, json, sys
from resvg_py import svg_to_bytes
for line in sys.stdin:
    svg, width, height, fonts = json.loads(line)
    try:
        png = svg_to_bytes(svg_string=svg, width=width, height=height, background="#ffffff", dpi=96,
                           skip_system_fonts=True, font_files=fonts, languages=["en"])
        print(base64.b64encode(bytes(png)).decode(), flush=True)
    except ValueError as error:
        print("!", str(error).replace(chr(10), " "), flush=True)
"""

Picture = NDArray[np.bool_]
Greys = NDArray[np.uint8]


class Renderer:
    """One process that renders what it is sent; it is started again where a file has killed it."""

    def __init__(self) -> None:
        pytest.importorskip("resvg_py")
        self._start()

    def _start(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-c", CHILD], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )

    def close(self) -> None:
        self._process.communicate()

    def greys(self, svg: str, width: int, height: int, fonts: Sequence[Path] = ()) -> Greys | None:
        """How bright the pixels are; None where the renderer can't draw the file."""
        from PIL import Image

        sent, came = self._pipes()
        try:
            sent.write(json.dumps([svg, width, height, list(map(str, fonts))]) + "\n")
            sent.flush()
            line = came.readline()
        except BrokenPipeError:
            line = ""
        if not line:
            self._process.kill()
            self._process.communicate()
            self._start()
        if not line or line.startswith("!"):
            return None
        return np.asarray(Image.open(io.BytesIO(base64.b64decode(line))).convert("L"))

    def _pipes(self) -> tuple[IO[str], IO[str]]:
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        return self._process.stdin, self._process.stdout


def grown(picture: Picture) -> Picture:
    """With a border of one pixel."""
    wide = np.pad(picture, 1)
    rows, columns = picture.shape
    return np.asarray(
        np.logical_or.reduce([wide[i : i + rows, j : j + columns] for i in range(3) for j in range(3)]), bool
    )


def agreement(ours: Picture, theirs: Greys) -> float:
    """Share of the painted area that agrees to within one pixel; a grey that rounding may have carried over the border
    of dark and light agrees with both."""
    surely, perhaps = theirs < HALF - ROUNDED, theirs < HALF + ROUNDED
    differs = (surely & ~grown(ours)) | (ours & ~grown(perhaps))
    return 1 - float(differs.sum()) / max(1, int((ours | surely).sum()))


def as_svg(rings: Rings, width: int, height: int) -> str:
    """A region in pixels as one black path."""
    data = "".join(
        "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in ring.tolist()) + "z" for ring in list_from_rings(rings)
    )
    head = f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}">'
    return f'{head}<path fill-rule="evenodd" d="{data}"/></svg>'


def on_whole_page(svg: str, page: Page, width: int, height: int) -> str:
    """The drawing within a page of whole pixels where its own is not: the renderer would round that, and stretch it."""
    if page.width_px == int(page.width_px) and page.height_px == int(page.height_px):
        return svg
    root = ROOT.search(svg)
    if root is None:
        return svg
    view = f'viewBox="0 0 {page.width_px} {page.height_px}" preserveAspectRatio="none"'
    outer = f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" {view}>'
    return f"{svg[: root.start()]}{outer}{svg[root.start() :]}</svg>"


def compared(renderer: Renderer, data: bytes, fonts: Sequence[Path] = ()) -> tuple[float | None, Ledger]:
    """Agreement of our reading of a file with the reference's picture, None where it has none; and our ledger."""
    ledger = Ledger()
    page = page_from_svg(data, ledger, SvgWords(tuple(fonts), system=False).draw)
    scale = PIXELS / max(page.width_px, page.height_px)
    width, height = max(1, round(page.width_px * scale)), max(1, round(page.height_px * scale))
    to_pixels = (width / page.width_px, 0.0, 0.0, height / page.height_px, 0.0, 0.0)
    rings = rings_from_shapely(ink_region(page.painted, View(to_pixels, TOLERANCE_PX), ledger))
    ours = renderer.greys(as_svg(rings, width, height), width, height)
    theirs = renderer.greys(on_whole_page(data.decode("utf-8"), page, width, height), width, height, fonts)
    # The renderer takes the size of some pages from elsewhere: such a picture can't be laid over ours.
    if ours is None or theirs is None or ours.shape != theirs.shape:
        return None, ledger
    return agreement(ours < HALF, theirs), ledger
