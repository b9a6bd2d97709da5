"""Proof patches and what they teach: the next patch of a job, its window after all readings, what would help.

Front ends import this at once, so it loads the core only when it is called.
"""

import math
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

from rotary.services import USUAL_DRAWS

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.papers.drawing import PaperPicture
    from rotary.passes.learning.reading import Reading
    from rotary.passes.learning.suggestions import Suggestion
    from rotary.passes.learning.window_map import WindowMap
    from rotary.passes.patch.cells import PatchToMark
    from rotary.plan import Plan
    from rotary.store.patch import PatchWish

_CELL_SAG_MM: Final = 0.12
"""A cell may sag so far: some millimetres out of focus that is two or three per cent of the fluence."""


def next_patch(
    job: "Job", profiles: Path, wish: "PatchWish", draws: int = USUAL_DRAWS, day: date | None = None
) -> "PatchToMark":
    """The patch of a job that is marked now, a new one kept among the `profiles`; raises Refused, or FileTrouble.

    The cells of one on the item lie in a slice, along the artwork's heights.
    """
    from rotary.store.patch import patch_to_mark

    if wish.surface == "item":
        wish = _in_room_of(job, wish)
    on = (day or date.today()).isoformat()
    return patch_to_mark(job, profiles, on, wish, draws)


def _in_room_of(job: "Job", wish: "PatchWish") -> "PatchWish":
    """The wish with the room that cells have on the item; the seams bound a slice, not a cell."""
    from rotary.formulas.circle import widest_arc_mm
    from rotary.plan import plan

    made = plan(job, 0)
    flat = float(widest_arc_mm(made.layout.reference_radius_mm, _CELL_SAG_MM))
    return wish._replace(
        slice_mm=max(made.split.slice_width_mm, flat),
        room_mm=made.layout.artwork_to_mm - made.layout.artwork_from_mm,
        around_mm=2 * math.pi * made.layout.reference_radius_mm,
        flats=job.item.flats or 0,
    )


def window_after_readings(made: "Plan", readings: "Sequence[Reading]") -> "WindowMap | None":
    """The process window of a plan, after what was read of its coating where anything was; of a shipped example with
    the readings that ship with it, as its plan."""
    from rotary.passes.learning.coating import posterior, relevant_readings
    from rotary.pictures import window_of
    from rotary.store.readings import invented_readings

    job = made.job
    readings = (*readings, *invented_readings(job))
    after = posterior(job.item, job.laser, readings, made.removal.samples)
    return window_of(made, relevant_readings(readings, job.item), after.draws if after else None)


def window_picture(made: "Plan", readings: "Sequence[Reading]") -> "PaperPicture":
    """That window as a picture by itself; raises Refused where there is none."""
    from rotary.pictures import picture

    return picture(made, "window", wide=160.0, high=100.0, seen=window_after_readings(made, readings))


def suggestions_for(
    job: "Job",
    profiles: Path,
    draws: int = USUAL_DRAWS,
    seconds: float = 8.0,
    progress: Callable[[float], object] = lambda _: None,
) -> "tuple[Suggestion, ...]":
    """The chance of the plan with one thing changed each time, as many as are tried in so many `seconds`.

    Raises Refused where there is no coating that may be lifted.
    """
    from rotary.errors import refuse
    from rotary.passes.beliefs.draws import Coating, substances
    from rotary.passes.learning.suggestions import suggestions
    from rotary.setup import setup
    from rotary.store.readings import invented_readings, readings_in

    if not isinstance(substances(job.item)[1], Coating):
        raise refuse("item.coating", "this item has no coating that you may remove, so there is nothing to suggest.")
    readings = (*readings_in(profiles), *invented_readings(job))
    return suggestions(setup(job), readings, draws, seconds, progress)
