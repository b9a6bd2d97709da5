"""An image as the codes of a terminal: few colours, few bytes. See `tui.drawings.pixels` for the two kinds."""

import base64
import io
from math import gcd
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL.Image import Image

from tui.drawings.pixels import BAND, CellPixels, Pixels, Tile

MOST_DOTS: Final = 960
"""A larger image is sent in parts: a terminal may cut off what is wider or higher than 1000 (seen on one)."""


def pixels_of(image: Image, cell: CellPixels, columns: int, rows: int) -> Pixels:
    """The codes of an image that is as large as so many cells."""
    image = image.convert("L").convert("RGB") if cell.grey else image
    if cell.kind != "sixel":
        out = io.BytesIO()
        image.quantize(cell.colours).save(out, "PNG", optimize=True)
        return Pixels(cell, columns, rows, png=base64.b64encode(out.getvalue()).decode())
    across = max(MOST_DOTS // cell.wide, 1)
    # Parts below each other meet where both a band and a line of cells end.
    step = BAND // gcd(BAND, cell.high)
    down = max(MOST_DOTS // cell.high // step * step, step)
    corners = [(column, row) for column in range(0, columns, across) for row in range(0, rows, down)]
    tiles = []
    for column, row in corners:
        left, top = column * cell.wide, row * cell.high
        right, bottom = min(left + across * cell.wide, image.width), min(top + down * cell.high, image.height)
        # Whole bands only: what is below belongs to the next line of cells.
        part = image.crop((left, top, right, bottom - (bottom - top) % BAND))
        if part.height:
            tiles.append(_tile(part.quantize(cell.colours), column, row))
    return Pixels(cell, columns, rows, tuple(tiles))


def _tile(image: Image, column: int, row: int) -> Tile:
    dots = np.asarray(image)
    parts = np.asarray(image.getpalette(), float)[: 3 * (int(dots.max()) + 1)].reshape(-1, 3)
    shares = np.rint(parts * 100 / 255).astype(int).tolist()
    palette = "".join(f"#{number};2;{red};{green};{blue}" for number, (red, green, blue) in enumerate(shares))
    bands = (_band(dots[top : top + BAND]) for top in range(0, image.height, BAND))
    return Tile(column, row, image.width, image.height, palette, tuple(bands))


def _band(rows: NDArray[np.uint8]) -> str:
    """Six rows of colours as signs: of each colour one sign a column, whose bits are the rows that have it.

    Runs of the same are a number and the sign. A colour goes on where one that ends before it begins has ended, else
    back at the left.

    >>> _band(np.array([[0, 1, 1, 1, 1, 0], [2, 2, 2, 2, 2, 3]], np.uint8))
    '#0@!4?@$#2!5A#3A$#1?!4@'
    """
    colours, wide = np.unique(rows), rows.shape[1]
    bits = np.zeros((len(colours), wide), np.uint8)
    for bit, places in enumerate(np.searchsorted(colours, rows)):
        bits[places, np.arange(wide)] |= 1 << bit
    begins = np.ones(bits.shape, bool)
    begins[:, 1:] = bits[:, 1:] != bits[:, :-1]
    line, first = np.nonzero(begins)
    after = np.where(np.append(np.diff(line), 1) > 0, wide, np.append(first[1:], wide))
    left, right = (bits > 0).argmax(1), wide - (bits > 0)[:, ::-1].argmax(1)
    # Blanks at either end of a colour are no signs of its own.
    own = (first >= left[line]) & (after <= right[line])
    signs = [""] * len(colours)
    runs = zip(line[own].tolist(), bits[line, first][own].tolist(), (after - first)[own].tolist(), strict=True)
    for number, value, count in runs:
        signs[number] += _run(value, count)
    passes: list[tuple[int, list[str]]] = []
    for number in np.argsort(left, kind="stable").tolist():
        start = int(left[number])
        at = next((at for at, (end, _) in enumerate(passes) if end <= start), len(passes))
        end, parts = passes[at] if at < len(passes) else (0, [])
        parts.append(f"#{colours[number]}{_run(0, start - end)}{signs[number]}")
        passes[at : at + 1] = [(int(right[number]), parts)]
    return "$".join("".join(parts) for _, parts in passes)


def _run(value: int, count: int) -> str:
    return f"!{count}{chr(63 + value)}" if count > 3 else chr(63 + value) * count
