"""Pages of dots as PNG files with a resolution in whole dots to the metre, which no program has to round."""

import io
from typing import Final

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.outfiles import MADE_BY

TURNS: Final = {("y", "plus"): 0, ("y", "minus"): 2, ("x", "plus"): 3, ("x", "minus"): 1}
"""Quarter turns to the left that bring the rim to where it lies in the field; never a mirror."""


def png_bytes(marks: NDArray[np.uint8], per_metre: int, greys: bool, about: str) -> bytes:
    """A page (h, w) uint8, 255 marked, as a PNG that shows what is marked in black.

    >>> data = png_bytes(np.eye(3, dtype=np.uint8) * 255, 20_000, False, "a page")
    >>> data[:4], data.index(b"pHYs") > 0
    (b'\\x89PNG', True)
    """
    from PIL import Image
    from PIL.PngImagePlugin import PngInfo

    high, wide = marks.shape
    if greys:
        image = Image.fromarray(255 - marks)
    else:
        image = Image.frombytes("1", (wide, high), np.packbits(marks < 128, axis=1).tobytes())
    info = PngInfo()
    info.add_itxt("Description", f"{about}; black is marked ({MADE_BY})")
    out = io.BytesIO()
    per_inch = per_metre * 0.0254
    image.save(out, "PNG", dpi=(per_inch, per_inch), pnginfo=info)
    return out.getvalue()


def in_field(marks: NDArray[np.uint8], field_axis: str, rim_towards: str) -> NDArray[np.uint8]:
    """The page turned the way the item lies in the field.

    >>> in_field(np.array([[1, 2]], np.uint8), "y", "minus").tolist()
    [[2, 1]]
    """
    return np.ascontiguousarray(np.rot90(marks, TURNS[field_axis, rim_towards]))
