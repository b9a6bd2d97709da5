"""Reading back what was written: the page, the slices' rings, the ticks. It knows nothing of how they were drawn."""

import re
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.rings import Rings, rings_from_list
from rotary.errors import FileTrouble
from rotary.files import bytes_of_file

Floats = NDArray[np.float64]

LARGEST_FILE_BYTES = 1_000_000_000
OTHER_FORMATS = frozenset({".dxf", ".pdf"})

_PAGE = re.compile(r'<svg\b[^>]*\bwidth="([0-9.]+)mm"\s+height="([0-9.]+)mm"\s+viewBox="0 0 (\d+) (\d+)"')
_ABOUT = re.compile(r"<desc>([^<]*)</desc>")
_PATH = re.compile(r'<path id="([^"]+)"([^>]*)\bd="([MlLz0-9 \-]*)"/>')
_SUBPATH = re.compile(r"M(-?\d+) (-?\d+)l([0-9 \-]+)(z?)")


class SheetDrawing(NamedTuple):
    """A page [mm], its filled paths by id in mm from the page's middle with y up, and its bounds.

    `left_mm`, `bottom_mm`, `right_mm`, `top_mm` hold everything that is drawn, ticks included;
    `about` is the file's own description.
    """

    width_mm: float
    height_mm: float
    parts: dict[str, Rings]
    left_mm: float
    bottom_mm: float
    right_mm: float
    top_mm: float
    about: str


def drawing_from_file(path: Path) -> SheetDrawing:
    """What a file written by this program shows; raises FileTrouble with what to do instead."""
    if path.suffix.lower() in OTHER_FORMATS:
        raise FileTrouble(f"{path.name} is not an SVG: write the artwork as SVG too, and name the SVG file")
    larger = FileTrouble(f"{path.name} is too large for a file from rotary: name a file that rotary wrote")
    try:
        text = bytes_of_file(path, LARGEST_FILE_BYTES, "name a file that rotary wrote", larger).decode("utf-8")
    except UnicodeDecodeError:
        raise FileTrouble(f"{path.name} is not an SVG drawing: name a file that rotary wrote") from None
    return drawing_from_text(text, path.name)


def drawing_from_text(text: str, name: str = "the drawing") -> SheetDrawing:
    """What an SVG text written by this program shows; raises FileTrouble where it is another's.

    >>> page = '<svg width="10mm" height="4mm" viewBox="0 0 10000 4000"><path id="a" d="M5000 2000l1000 0 0 -500z"/>'
    >>> drawing_from_text(page + "</svg>").parts["a"].points_mm.tolist()
    [[0.0, 0.0], [1.0, 0.0], [1.0, 0.5]]
    """
    page = _PAGE.search(text)
    if page is None or not _PATH.search(text) or not text.rstrip().endswith("</svg>"):
        raise FileTrouble(f"rotary did not write {name}, or somebody changed it: write it again with rotary art")
    width, height = float(page[1]), float(page[2])
    scale = np.array([width / int(page[3]), -height / int(page[4])])
    middle = np.array([int(page[3]), int(page[4])]) / 2
    parts: dict[str, Rings] = {}
    everything = [np.zeros((0, 2))]
    for found in _PATH.finditer(text):
        rings: list[Floats] = []
        open_lines: list[Floats] = []
        for x, y, steps, closed in _SUBPATH.findall(found[3]):
            flat = np.fromstring(f"{x} {y} {steps}", dtype=np.int64, sep=" ")
            points = (np.cumsum(flat.reshape(-1, 2), axis=0) - middle) * scale + 0.0  # no minus zero
            (rings if closed else open_lines).append(points)
        everything += rings + open_lines
        if 'fill="none"' not in found[2]:
            parts[found[1]] = rings_from_list(rings)
    drawn = np.concatenate(everything)
    if len(drawn) == 0:
        raise FileTrouble(f"{name} has nothing to mark in it: write the file again with rotary art")
    (left, bottom), (right, top) = drawn.min(0).tolist(), drawn.max(0).tolist()
    about = _ABOUT.search(text)
    return SheetDrawing(width, height, parts, left, bottom, right, top, about[1] if about else "")
