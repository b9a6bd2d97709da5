"""What the item will look like, as dots for cells: drawn by the core, here far from the screen."""

from functools import partial
from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, Final

from rotary.services.jobs import job_on_rig
from rotary.services.planning import plan_for

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
    """The picture from the front in twice as many dots as there are cells, each way; `more` is how many cells there
    are, and how many times higher than wide one is. Raises Refused, FileTrouble."""
    from rotary.inscription.actions import plan_of_marks
    from rotary.inscription.front import marked_ink

    wide, high = (min(max(int(text), 12), MOST_CELLS) for text in errand.more[:2])
    made = plan_of_marks(job_on_rig(errand.data, errand.system), partial(plan_for, draws=0), Path(errand.beside))
    ink, trouble = marked_ink(made, Path(errand.beside))
    aside = round(CLOSE_SHARE * wide) if wide >= CLOSE_FROM and ink.end is None else 0
    whole, says = _dots(ink, (wide - aside, high), float(errand.more[2]), close=False)
    rows = whole
    if aside:
        near, _ = _dots(ink, (aside, high), float(errand.more[2]), close=True)
        rows = tuple(left + right for left, right in zip(whole, near, strict=True))
    return SimpleNamespace(rows=rows, says=(says, *([trouble] if trouble else ())))


def _dots(ink: "MarkedInk", cells: tuple[int, int], aspect: float, close: bool) -> tuple[tuple[bytes, ...], str]:
    """Rows of dots, three bytes each, and what the picture says."""
    from PIL import Image

    from rotary.papers.dots import dots_of
    from rotary.papers.sizes import Sizes
    from rotary.pictures.front_page import front_picture

    wide, high = (2 * many for many in cells)
    room = ROOM_MM, ROOM_MM * high * aspect / wide
    picture = front_picture(ink, Sizes("mm"), room, foot=False, close=close)
    fine = dots_of(picture, FINER * wide, 100 * FINER * wide)
    data, row = fine.resize((wide, high), Image.Resampling.BOX).tobytes(), 3 * wide
    return tuple(data[at : at + row] for at in range(0, len(data), row)), picture.says
