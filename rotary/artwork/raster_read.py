"""Photographs and other pictures made of dots, as tones: how much light each dot gives back.

Greys in a file are stored by a curve that suits eyes and screens; light adds up, stored greys don't. So a
picture is brought to luminance first, by the curve and weights of sRGB (iec61966, from memory, not seen), and
all averaging is done there.
"""

import math
import os
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.work import MOST_BYTES, refused
from rotary.files import file_trouble, regular_file

Tones = NDArray[np.uint16]

FULL: Final = 65_535
"""The tone of white; 0 is black, and between them the tone is the share of the light."""

MOST_DOTS: Final = 100_000_000
"""Dots in a picture: 10,000 by 10,000; more is a slip, or a trap."""

WEIGHTS: Final = (0.2126, 0.7152, 0.0722)
_ROWS: Final = 256  # at a time: colours of a large picture never all stand in memory as floats


_BEGINNINGS: Final = frozenset((b"\x89PN", b"\xff\xd8\xff", b"II*", b"MM\0"))  # of PNG, JPEG and TIFF files
_DAMAGED: Final = "is cut off or damaged: open it in a picture program and save it again"
_UNPACKED: Final = 0.4  # of the work, when all of the file is in memory

Progress = Callable[[float], None]


def quiet(_: float) -> None:
    """Nobody is told."""


class Picture(NamedTuple):
    """`tones` (h, w) of 0 to 65535, row 0 on top; `per_mm` the dots to the millimetre that the file states, across
    and down, None where it states none; `notes` for the person."""

    tones: Tones
    per_mm: tuple[float, float] | None
    notes: tuple[str, ...]


def picture_from_file(path: Path, progress: Progress = quiet) -> Picture:
    """Read a PNG, JPEG or TIFF file. Raises Refused, with one sentence that says what to do instead.

    `progress` is called with the share that is done; it stops the reading by raising an error of its own.
    """
    from PIL import Image, UnidentifiedImageError

    with file_trouble(path, "read", "name a PNG, JPEG or TIFF file"), regular_file(path) as file:
        size = os.fstat(file.fileno()).st_size
        if size == 0:
            raise refused("is empty: save the picture again as PNG, JPEG or TIFF")
        if size > 8 * MOST_BYTES:
            raise refused(f"is larger than {(8 * MOST_BYTES) >> 20} MB: make the picture smaller")
        kind = file.read(3)
    try:
        with warnings.catch_warnings():
            # What the library only warns of (a bomb, a broken tag) is looked at below, or does no harm.
            warnings.simplefilter("ignore")
            # Given a path, the library maps plain TIFF files into memory and forgets how the camera was held.
            with regular_file(path) as file, Image.open(file, formats=("PNG", "JPEG", "TIFF")) as image:
                return _picture(image, progress)
    except UnidentifiedImageError:
        if kind in _BEGINNINGS:
            raise refused(_DAMAGED) from None
        raise refused(
            "is no PNG, JPEG or TIFF picture, whatever its name says: save the picture as PNG, JPEG or TIFF"
        ) from None
    except Image.DecompressionBombError:
        raise refused(_too_large("")) from None
    except (OSError, SyntaxError, ValueError, EOFError, IndexError, KeyError, MemoryError, TypeError, OverflowError):
        # What the library raises for broken files, as found by feeding it such; it has no error of its own.
        raise refused(_DAMAGED) from None


def _too_large(has: str) -> str:
    side = math.isqrt(MOST_DOTS)
    return f"is too large{has}: make it at most {side:,} by {side:,} dots (more can't be seen on an item)"


def _picture(image: Any, progress: Progress) -> Picture:
    wide, high = image.size
    if wide * high > MOST_DOTS:
        raise refused(_too_large(f", {wide:,} by {high:,} dots"))
    if wide < 2 or high < 2:
        raise refused(f"has only {wide} by {high} dots: choose a larger picture")
    notes = []
    if getattr(image, "n_frames", 1) > 1:
        notes.append(f"The file holds {image.n_frames} pictures. Only the first is used.")
    if image.mode == "F" or image.mode.startswith("I;32"):
        raise refused("is a 32-bit picture of measured values: save it as greys or colours with 8 or 16 bits")
    per_mm = _stated(image)
    progress(0.0)
    image.load()
    tones, clear = _tones(image, progress)
    orientation = image.getexif().get(0x0112, 1)
    if orientation in _UPRIGHT:
        tones = np.ascontiguousarray(_UPRIGHT[orientation](tones))
        if per_mm and orientation >= 5:
            per_mm = per_mm[::-1]
    if clear:
        notes.append("Transparent parts of the picture count as white.")
    return Picture(tones, per_mm, tuple(notes))


# How a picture is turned upright, by the number that EXIF gives to how the camera was held.
_UPRIGHT: Final[dict[int, Callable[[Tones], Tones]]] = {
    2: np.fliplr,
    3: lambda tones: np.rot90(tones, 2),
    4: np.flipud,
    5: np.transpose,
    6: lambda tones: np.rot90(tones, -1),
    7: lambda tones: np.rot90(tones, 2).T,
    8: lambda tones: np.rot90(tones, 1),
}


def _stated(image: Any) -> tuple[float, float] | None:
    """Dots to the millimetre as the file states them."""
    dpi = image.info.get("dpi")
    try:
        across, down = float(dpi[0]) / 25.4, float(dpi[1]) / 25.4
    except (TypeError, ValueError, IndexError, ZeroDivisionError):
        return None
    return (across, down) if 0.04 < across < 4000 and 0.04 < down < 4000 else None


def _tones(image: Any, progress: Progress) -> tuple[Tones, bool]:
    """Luminance of every dot, what is clear laid on white; whether anything is clear."""
    wide, high = image.size
    mode = image.mode
    deep = mode in {"I", "I;16", "I;16B", "I;16L", "I;16N"}
    deep = deep and (mode != "I" or image.getextrema()[1] > 255)
    clear = mode in {"LA", "PA", "RGBA", "La", "RGBa"} or "transparency" in image.info
    out = np.empty((high, wide), np.uint16)
    seen_through = False
    light = _light()
    for top in range(0, high, _ROWS):
        progress(_UNPACKED + (1 - _UNPACKED) * top / high)
        part = image.crop((0, top, wide, min(top + _ROWS, high)))
        here = out[top : top + part.height]
        if mode in {"I", "I;16", "I;16B", "I;16L", "I;16N"}:
            greys = np.asarray(part).astype(np.int64).clip(0, FULL)
            here[:] = light[(greys + 128) // 257 if deep else greys]
            if clear:
                hidden = greys == image.info["transparency"]
                here[hidden], seen_through = FULL, seen_through or bool(hidden.any())
        elif not clear and mode in {"1", "L"}:
            here[:] = light[np.asarray(part.convert("L"))]
        else:
            seen_through |= _mix(np.asarray(part.convert("RGBA" if clear else "RGB")), here)
    return out, seen_through


def _mix(colours: NDArray[np.uint8], out: Tones) -> bool:
    """Luminance of colours (n, m, 3 or 4), what is clear laid on white; whether anything is clear."""
    light = _light().astype(np.float32)
    mixed = sum(weight * light[colours[..., k]] for k, weight in enumerate(WEIGHTS))
    if colours.shape[2] == 4:
        mixed = FULL + colours[..., 3].astype(np.float32) / 255 * (mixed - FULL)
    out[:] = np.rint(np.minimum(mixed, FULL))
    return colours.shape[2] == 4 and bool((colours[..., 3] < 255).any())


def _light() -> Tones:
    """The share of the light for each of 256 stored greys."""
    v = np.arange(256) / 255
    share = np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)
    return np.asarray(np.rint(FULL * share), np.uint16)
