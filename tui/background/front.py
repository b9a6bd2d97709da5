"""What the item will look like, as dots for cells: drawn by the core, here far from the screen."""

from functools import partial
from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, Final

from PIL.Image import Image, Resampling
from PIL.Image import new as new_image

from rotary.services.jobs import job_on_rig
from rotary.services.planning import plan_for
from tui.background.encoding import pixels_of
from tui.drawings.pixels import CellPixels, cell_pixels

if TYPE_CHECKING:
    from rotary.pictures.scene import MarkedInk
    from tui.background.tasks import Errand

FINER: Final = 4
"""So many dots are drawn across one that is shown, and averaged."""

MOST_CELLS: Final = 400
ROOM_MM: Final = 120.0


CLOSE_FROM: Final = 56
"""From so many columns on the artwork stands beside the item, close up: in cells it is small."""

CLOSE_SHARE: Final = 0.55


def front_dots(errand: "Errand") -> SimpleNamespace:
    """The picture from the front in twice as many dots as there are cells, each way, and as pixels where the terminal
    shows any; `more` is how many cells there are, how many times higher than wide one is, and its pixels. Raises
    Refused, FileTrouble."""
    from rotary.inscription.actions import plan_of_marks
    from rotary.inscription.front import marked_ink

    wide, high = (min(max(int(text), least), MOST_CELLS) for text, least in zip(errand.more, (12, 3), strict=False))
    cell = cell_pixels(errand.more[3:])
    aspect = cell.high / cell.wide if cell else float(errand.more[2])
    made = plan_of_marks(job_on_rig(errand.data, errand.system), partial(plan_for, draws=0), Path(errand.beside))
    ink, trouble = marked_ink(made, Path(errand.beside))
    aside = round(CLOSE_SHARE * wide) if wide >= CLOSE_FROM and ink.end is None else 0
    image, says = _image(ink, (wide - aside, high), aspect, cell, close=False)
    if aside:
        near, _ = _image(ink, (aside, high), aspect, cell, close=True)
        image = _abreast(image, near)
    data, row = image.resize((2 * wide, 2 * high), Resampling.BOX).tobytes(), 6 * wide
    return SimpleNamespace(
        rows=tuple(data[at : at + row] for at in range(0, len(data), row)),
        says=(says, *([trouble] if trouble else ())),
        pixels=pixels_of(image, cell, wide, high) if cell else None,
    )


def _image(
    ink: "MarkedInk", cells: tuple[int, int], aspect: float, cell: CellPixels | None, close: bool
) -> tuple[Image, str]:
    """The picture in as many dots as its cells have pixels, or some to average, and what it says."""
    from rotary.papers.dots import dots_of
    from rotary.papers.sizes import Sizes
    from rotary.pictures.front_page import front_picture

    wide, high = cells
    size = (wide * cell.wide, high * cell.high) if cell else (2 * FINER * wide, 2 * FINER * high)
    picture = front_picture(ink, Sizes("mm"), (ROOM_MM, ROOM_MM * high * aspect / wide), foot=False, close=close)
    return dots_of(picture, size[0], 100 * size[0]).resize(size, Resampling.BOX), picture.says


def _abreast(left: Image, right: Image) -> Image:
    both = new_image("RGB", (left.width + right.width, left.height))
    both.paste(left, (0, 0))
    both.paste(right, (left.width, 0))
    return both
