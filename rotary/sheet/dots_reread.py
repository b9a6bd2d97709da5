"""Reading a page of dots back: what is marked, as rectangles, so that it can be sent through the machine like ink."""

from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.rings import Rings
from rotary.errors import FileTrouble
from rotary.files import NoRegularFile, regular_file
from rotary.sheet.keys import file_keys
from rotary.sheet.reread import SheetDrawing

MOST_RECTANGLES: Final = 200_000
"""More than this take a simulation longer than a person waits."""


def drawing_from_dots(path: Path) -> SheetDrawing:
    """What a PNG page written by this program marks; its bounds are the whole page, which is what a program imports.

    Raises FileTrouble where it is another's, or has too many dots.
    """
    from PIL import Image

    try:
        with regular_file(path) as file, Image.open(file, formats=("PNG",)) as image:
            about = str(image.info.get("Description", ""))
            per_metre = file_keys(about).get("dots_per_metre")
            if per_metre is None:
                raise FileTrouble(f"{path.name} is not a picture that rotary wrote: write one with rotary art dots")
            marked = np.asarray(image.convert("L")) < 255
    except NoRegularFile:
        raise FileTrouble(f"{path.name} is a pipe or a device, not a file: name a file that rotary wrote") from None
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as trouble:
        why = getattr(trouble, "strerror", None) or "the file is cut off, or not a PNG"
        raise FileTrouble(f"{path.name} can't be read ({why}): name a file that rotary wrote") from None
    high, wide = marked.shape
    pitch_mm = 1000 / per_metre
    boxes = rectangles(marked)
    if len(boxes) == 0:
        raise FileTrouble(f"{path.name} has nothing to mark in it: write the file again with rotary art dots")
    if len(boxes) > MOST_RECTANGLES:
        raise FileTrouble(
            f"{path.name} has too many dots to simulate: write the picture as a file per slice, or write only a part "
            "of it"
        )
    left, top, right, bottom = (boxes * pitch_mm).T
    x = np.stack([left, right, right, left], axis=1) - wide * pitch_mm / 2
    y = high * pitch_mm / 2 - np.stack([bottom, bottom, top, top], axis=1)
    rings = Rings(np.stack([x.ravel(), y.ravel()], axis=1), 4 * np.arange(len(boxes) + 1))
    half_wide, half_high = wide * pitch_mm / 2, high * pitch_mm / 2
    return SheetDrawing(
        2 * half_wide, 2 * half_high, {"dots": rings}, -half_wide, -half_high, half_wide, half_high, about
    )  # fmt: skip


def dot_mm(drawing: SheetDrawing) -> float:
    """The side of a dot of the page that a drawing was read from [mm], 0 where it says nothing of dots."""
    per_metre = file_keys(drawing.about).get("dots_per_metre")
    return 1000 / per_metre if per_metre else 0.0


def rectangles(marked: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Marked places (h, w) as rectangles (n, 4): left, top, right, bottom in dots, rows that are alike taken together.

    >>> rectangles(np.array([[1, 1, 0, 1], [1, 1, 0, 1], [0, 1, 1, 0]], bool)).tolist()
    [[0, 0, 2, 2], [3, 0, 4, 2], [1, 2, 3, 3]]
    """
    rows = np.flatnonzero(np.concatenate([[True], (marked[1:] != marked[:-1]).any(axis=1)]))
    ends = np.append(rows[1:], len(marked))
    edges = np.diff(np.pad(marked[rows].astype(np.int8), ((0, 0), (1, 1))), axis=1)
    place, left = np.nonzero(edges == 1)
    _, right = np.nonzero(edges == -1)
    return np.stack([left, rows[place], right, ends[place]], axis=1).astype(np.int64)
