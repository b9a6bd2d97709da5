"""What the patch screen shows and does, without a terminal; the core is loaded where it is used."""

from collections.abc import Callable, Mapping, Sequence
from itertools import takewhile
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from rotary.services import USUAL_DRAWS, Folders
from rotary.services.jobs import job_on_machine
from rotary.services.patches import next_patch, suggestions_for, window_after_readings
from rotary.services.planning import plan_for
from tui.drawings.window import SIGNS
from tui.form.fields import JobTables

if TYPE_CHECKING:
    from rotary.passes.learning.coating import BeliefChange
    from rotary.passes.learning.reading import Outcome, Reading
    from rotary.passes.learning.window_map import WindowMap

OUTCOME_KEYS: "Final[Mapping[str, Outcome]]" = {
    **{sign.lower(): outcome for outcome, (sign, _) in SIGNS.items()},
    "minus": "not read",
}
"""The key that writes down what is seen; clear is o, as in the picture."""


class PatchRow(NamedTuple):
    """A patch in the list that one is chosen from: its name, what it is, and whether it is still to be read."""

    name: str
    says: str
    to_read: bool


class PatchView(NamedTuple):
    """Readings of this coating, the plan that they lead to, the window and the beliefs as pictures need them.

    `patches` are those of this coating; only one of this very job is ever said to be still to be read.
    """

    readings: "tuple[Reading, ...]"
    coating: str
    first_line: str
    window: "WindowMap | None"
    taught: "tuple[BeliefChange, ...]"
    patches: tuple[PatchRow, ...] = ()


def looks_on(rows: "Sequence[Reading]", outcome: "Outcome") -> int:
    """How many rows on after the first was read so: one look, or over the rest of a cell that is marked and so left."""
    here = rows[0]
    if outcome not in ("tinted", "cut") or here.cell is None:
        return 1
    return len([*takewhile(lambda row: (row.patch, row.cell) == (here.patch, here.cell), rows)])


def patch_view(data: JobTables, system: str, folder: Path, draws: int = USUAL_DRAWS) -> PatchView:
    """Everything for the screen; raises Refused where the job on the desk can't be used."""
    from rotary.passes.learning.coating import belief_changes, posterior
    from rotary.passes.patch.cells import patches_in, same_material, unread_patches
    from rotary.sentences.passes import first_line
    from rotary.store.readings import readings_in

    job = job_on_machine(data, system)
    every = readings_in(folder)
    name = job.item.coating or "none"
    made = plan_for(job, Folders(folder), draws)
    after = posterior(job.item, job.laser, every, draws)
    mine = tuple(reading for reading in every if reading.coating == name)
    open_ones = {record.name for record in unread_patches(every, job.item, job.laser)}
    return PatchView(
        readings=mine,
        coating=name,
        window=window_after_readings(made, every),
        first_line=first_line(made),
        taught=belief_changes(after) if after else (),
        patches=tuple(
            PatchRow(
                one.name,
                f"{one}" if same_material(one, job.item, job.laser) else f"{one}, marked with {one.looks[0].laser}",
                one.name in open_ones,
            )
            for one in patches_in(mine)
        ),
    )


def draw_next_patch(
    data: JobTables, system: str, folder: Path, surface: "Literal['scrap', 'item']" = "scrap", new: bool = False
) -> tuple[str, str]:
    """Choose, keep and draw the next patch, or again the one that is still to be read: its name, and what is said.

    `new` asks for another one in any case.
    """
    from rotary.files import write_whole
    from rotary.passes.patch.drawing import patch_svg
    from rotary.store.patch import PatchWish

    job = job_on_machine(data, system)
    found = next_patch(job, folder, PatchWish(surface=surface, new=new))
    drawing = folder / f"{found.record.name.replace(' ', '-')}.svg"
    write_whole(drawing, patch_svg(found.record, job.laser.field_axis).encode("utf-8"))
    return found.record.name, "\n".join(
        (
            *found.says,
            f"Import the drawing {drawing} and don't scale it. To print the paper of this patch, press Esc, then "
            "Ctrl+K.",
        )
    )


def what_helps(data: JobTables, system: str, folder: Path, told: Callable[[float], object]) -> str:
    """What changes of one thing bring, a line each."""
    from rotary.sentences.patches import suggestion_sentences

    return "\n".join(suggestion_sentences(suggestions_for(job_on_machine(data, system), folder, progress=told)))
