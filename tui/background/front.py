"""What the item will look like, as dots for cells: drawn by the core, here far from the screen."""

from functools import partial
from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, Final

from PIL.Image import Image, Resampling
from PIL.Image import new as new_image

from rotary.services.jobs import job_on_machine
from rotary.services.planning import plan_for
from tui.background.encoding import pixels_of
from tui.drawings.pixels import cell_pixels
from tui.drawings.words import wrapped

if TYPE_CHECKING:
    from tui.background.tasks import Errand

FINER: Final = 4
"""So many dots are drawn across one that is shown, and averaged."""

MOST_CELLS: Final = 400
LEAST_ROWS, MOST_WORDS = 4, 3
"""Rows of cells that a picture has in any case, and lines of words that it leaves room for."""

ROOM_MM: Final = 120.0


CLOSE_FROM: Final = 56
"""From so many columns on the artwork stands beside the item, close up: in cells it is small."""

CLOSE_SHARE: Final = 0.55


def front_dots(errand: "Errand", _tell: object = None) -> SimpleNamespace:
    """The picture from the front in twice as many dots as there are cells, each way, and as pixels where the terminal
    shows any; `more` is how many columns there are, how many lines for it and its words, how many times higher than
    wide a cell is, and its pixels. Raises Refused, FileTrouble."""
    from rotary.inscription.actions import plan_of_marks
    from rotary.inscription.front import marked_ink
    from rotary.papers.dots import dots_of
    from rotary.pictures.front import scene_of
    from rotary.pictures.front_page import screen_picture

    wide, lines = (min(max(int(text), least), MOST_CELLS) for text, least in zip(errand.more, (12, 1), strict=False))
    cell = cell_pixels(errand.more[3:])
    aspect = cell.high / cell.wide if cell else float(errand.more[2])
    made = plan_of_marks(job_on_machine(errand.data, errand.system), partial(plan_for, draws=0), Path(errand.beside))
    ink, trouble = marked_ink(made, Path(errand.beside))
    scene, aside = scene_of(ink), round(CLOSE_SHARE * wide) if wide >= CLOSE_FROM and ink.end is None else 0
    says = (screen_picture(ink, scene, (ROOM_MM, ROOM_MM)).says, *([trouble] if trouble else ()))
    words = sum(len(wrapped(text, wide - 1, "muted", " ")) for text in says)
    high = max(lines - min(words, MOST_WORDS), LEAST_ROWS)

    def drawn(columns: int, close: bool) -> Image:
        """In as many dots as its cells have pixels, or some to average."""
        size = (columns * cell.wide, high * cell.high) if cell else (2 * FINER * columns, 2 * FINER * high)
        picture = screen_picture(ink, scene, (ROOM_MM, ROOM_MM * high * aspect / columns), close)
        return dots_of(picture, size[0], 100 * size[0]).resize(size, Resampling.BOX)

    image = drawn(wide - aside, close=False)
    if aside:
        image = _abreast(image, drawn(aside, close=True))
    data, row = image.resize((2 * wide, 2 * high), Resampling.BOX).tobytes(), 6 * wide
    return SimpleNamespace(
        rows=tuple(data[at : at + row] for at in range(0, len(data), row)),
        says=says,
        pixels=pixels_of(image, cell, wide, high) if cell else None,
    )


def _abreast(left: Image, right: Image) -> Image:
    both = new_image("RGB", (left.width + right.width, left.height))
    both.paste(left, (0, 0))
    both.paste(right, (left.width, 0))
    return both
