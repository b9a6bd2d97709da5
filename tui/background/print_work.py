"""Papers made in the process of errands."""

from collections.abc import Callable
from functools import partial
from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, Final, Literal, cast

from rotary.services import Folders
from rotary.services.artwork import drawing_files
from rotary.services.papers import PrintOrder, print_paper, ready_for
from rotary.services.planning import plan_for

if TYPE_CHECKING:
    from rotary.plan import Plan
    from rotary.printer import SheetName
    from rotary.services.papers import PaperName
    from tui.background.tasks import Errand

DOTS: Final = "picture"
"""What is asked for in place of a paper's name where a picture is to become a sheet of dots."""


def printed_errand(errand: "Errand", tell: Callable[[float], None]) -> SimpleNamespace:
    """Plan the job as it stands, with what was read kept in mind, and write the paper that is asked for.

    `more` is the paper, its file, the sheet it is printed on, and the folder of profiles; of a picture made of dots
    it is `DOTS`, the picture's file, how a marked place looks, and that folder. Then comes the saved job that it was
    opened from, as `Today` has it: while it is proven, setup sheet and sliced file are of the numbers that were run.
    A last word says that the person is sure to write over what is there.
    """
    from rotary.inscription.actions import drawn_marks, plan_of_marks
    from rotary.inscription.front import marked_ink
    from rotary.job import job_from_data
    from rotary.machine.correct import correction
    from rotary.machine.lookup import machine_of
    from tui.planner.repeat import repeat_of_kept
    from tui.planner.request import Today

    name, path, sheet, folder, *more = errand.more
    today, sure = Today(*more[:3]), more[3:]
    typed = job_from_data(errand.data, units=errand.system)
    beside, profiles = Path(errand.beside), Path(folder)
    folders = Folders(profiles)
    tell(0.05)
    if name == DOTS:
        return _dots(plan_for(typed, folders), Path(path), sheet, beside, errand.system, tell)
    order = PrintOrder(
        paper=cast("PaperName", name),
        path=Path(path),
        sheet=cast("SheetName", sheet),
        system=errand.system,
        beside=beside,
        folder=profiles,
        sources=(*([Path(today.kept)] if today.kept else []), *drawing_files(typed, beside)),
        over=bool(sure),
        # The size was chosen on the screen, so nothing is to be said of it.
        says_why=False,
    )
    ready_for(order)
    made = plan_of_marks(typed, partial(plan_for, folders=folders), beside)
    tell(0.4)
    if name == "front":
        return _front(made, order)
    repeat = repeat_of_kept(today, typed, made, errand.system, beside) if today.kept else None
    machine = machine_of(typed) if name == "seam-test" else None
    drawn_with = correction(typed, machine) if machine else None
    order = order._replace(repeat=repeat, drawn_by=drawn_marks, ink_by=marked_ink, drawn_with=drawn_with)
    done = print_paper(made, order, lambda share: tell(0.4 + 0.6 * share))
    return SimpleNamespace(paths=tuple(map(str, done.paths)), says=done.says)


def _front(made: "Plan", order: PrintOrder) -> SimpleNamespace:
    """The picture of what the item will look like, to send."""
    from rotary.inscription.front import front_file

    says = front_file(made, "front", order)
    return SimpleNamespace(paths=(str(order.path),), says=tuple(says))


def _dots(
    made: "Plan", picture: Path, mark: str, folder: Path, system: str, tell: Callable[[float], None]
) -> SimpleNamespace:
    """A picture made of dots as a sheet of its own, beside the job."""
    from rotary.artwork.models import size_texts
    from rotary.exports import RasterWish, raster_sheet
    from rotary.sentences.files import focus_with, run_with

    tell(0.3)
    wish = RasterWish(mark=cast("Literal['lighter', 'darker']", mark))
    drawn, paths = raster_sheet(made, picture, folder, wish, lambda share: tell(0.3 + 0.7 * share))
    shown = made.but(drawn_files=drawn.files, trial=drawn.trial)
    run = (*focus_with(shown), *run_with(shown, drawn.trial))
    says = (*size_texts((drawn.size,), system), *drawn.must_show, *run, *drawn.notes)
    return SimpleNamespace(paths=tuple(map(str, paths)), says=says)
