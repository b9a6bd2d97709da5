"""What the item will look like, as dots for cells: drawn by the core, here far from the screen."""

from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, Final

from rotary.services.jobs import job_on_rig
from rotary.services.planning import plan_for

if TYPE_CHECKING:
    from tui.background.tasks import Errand

FINER: Final = 4
"""So many dots are drawn across one that is shown, and averaged."""

MOST_CELLS: Final = 400
ROOM_MM: Final = 120.0


def front_dots(errand: "Errand") -> SimpleNamespace:
    """The picture from the front in twice as many dots as there are cells, each way; `more` is how many cells there
    are, and how many times higher than wide one is. Raises Refused, FileTrouble."""
    from PIL import Image

    from rotary.inscription.front import front_of
    from rotary.papers.dots import dots_of

    wide, high = (min(max(int(text), 12), MOST_CELLS) for text in errand.more[:2])
    shape = high * float(errand.more[2]) / wide
    made = plan_for(job_on_rig(errand.data, errand.system), draws=0)
    picture, trouble = front_of(made, Path(errand.beside), errand.system, room=(ROOM_MM, ROOM_MM * shape), foot=False)
    dots = 2 * wide, 2 * high
    fine = dots_of(picture, FINER * dots[0], 100 * FINER * dots[0])
    image = fine.resize(dots, Image.Resampling.BOX)
    data, row = image.tobytes(), 3 * dots[0]
    says = (picture.says, *([trouble] if trouble else ()))
    return SimpleNamespace(rows=tuple(data[at : at + row] for at in range(0, len(data), row)), says=says)
