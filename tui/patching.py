"""What the patch screen shows and does, without a terminal; the core is loaded where it is used."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, NamedTuple

from tui.verdict import for_machine

OUTCOME_KEYS = {
    "c": "covered",
    "h": "haze",
    "o": "clear",
    "t": "tinted",
    "x": "cut",
    "minus": "not read",
}
"""The key that writes down what is seen; clear is o, as in the picture."""


class PatchRow(NamedTuple):
    """A patch in the list that one is chosen from: its name, what it is, and whether it is still to be read."""

    name: str
    says: str
    to_read: bool


class Shown(NamedTuple):
    """Readings of this coating, the plan that they lead to, the window and the beliefs as pictures need them.

    `patches` are those of this coating; only one of this very job is ever said to be still to be read.
    """

    readings: tuple[Any, ...]
    coating: str
    first_line: str
    window: Any
    taught: tuple[Any, ...]
    patches: tuple[PatchRow, ...] = ()


def shown(data: Mapping[str, Any], system: str, folder: Path, draws: int = 1000) -> Shown:
    """Everything for the screen; raises Refused where the job on the desk can't be used."""
    from rotary.job import job_from_data
    from rotary.passes.beliefs.draws import Coating, draws_for, substances
    from rotary.passes.learning.coating import learned, taught_rows, teaching
    from rotary.passes.learning.window_map import window_map
    from rotary.passes.patch.cells import patches_in, same_material, to_read
    from rotary.plan import plan
    from rotary.sentences.passes import first_line
    from rotary.store.readings import readings_in

    job = for_machine(job_from_data(data, units=system))[0]
    every = readings_in(folder)
    name = job.item.coating or "none"
    metal, coating = substances(job.item)
    made = plan(job, draws, every)
    after = learned(job.item, job.head, every, draws)
    window = None
    if isinstance(coating, Coating) and made.removal.setting is not None:
        cloud = after.draws if after else draws_for(job.item, metal, coating, job.head, draws)
        say = teaching(every, job.item)
        setting, limits = made.removal.setting, job.tolerances
        window = window_map(setting, cloud, metal, coating, made.optics, limits, job.item.runout_mm, say)
    mine = tuple(reading for reading in every if reading.coating == name)
    open_ones = {record.name for record in to_read(every, job.item, job.head)}
    return Shown(
        readings=mine,
        coating=name,
        first_line=first_line(made),
        window=window,
        taught=taught_rows(after) if after else (),
        patches=tuple(
            PatchRow(
                one.name,
                f"{one}" if same_material(one, job.item, job.head) else f"{one}, marked with {one.looks[0].head}",
                one.name in open_ones,
            )
            for one in patches_in(mine)
        ),
    )


def settings_of(reading: Any, system: str) -> str:
    """Every setting that a reading is kept with, in one line."""
    from rotary.passes.learning.reading_text import settings_text

    return settings_text(reading, system)


def next_patch(
    data: Mapping[str, Any], system: str, folder: Path, surface: str = "scrap", new: bool = False
) -> tuple[str, str]:
    """Choose, keep and draw the next patch, or again the one that is still to be read: its name, and what is said.

    `surface` is scrap or item; `new` asks for another one in any case.
    """
    from datetime import date

    from rotary.cli.patch_commands import cell_room
    from rotary.files import write_whole
    from rotary.job import job_from_data
    from rotary.passes.patch.drawing import patch_svg
    from rotary.store.patch import PatchWish, patch_to_mark

    job = for_machine(job_from_data(data, units=system))[0]
    slice_mm, room_mm = cell_room(job) if surface == "item" else (None, 60.0)
    wish = PatchWish(None, "item" if surface == "item" else "scrap", slice_mm, room_mm, new=new)
    day = date.today().isoformat()
    found = patch_to_mark(job.item, job.head, job.tolerances, folder, day, job.passes, wish)
    drawing = folder / f"{found.record.name.replace(' ', '-')}.svg"
    write_whole(drawing, patch_svg(found.record).encode("utf-8"))
    return found.record.name, "\n".join((*found.says, f"drawn at true size: {drawing}. Ctrl+K on the desk prints it."))


def what_helps(data: Mapping[str, Any], system: str, folder: Path, told: Callable[[float], object]) -> str:
    """The chance of the plan with one thing changed each time, a line each."""
    from rotary.artwork.layout import layout
    from rotary.item import fitted_shape
    from rotary.job import job_from_data
    from rotary.passes.learning.suggestions import suggestions as tried
    from rotary.passes.plan.setting import FAIR
    from rotary.store.readings import readings_in

    job = job_from_data(data, units=system)
    shape = fitted_shape(job.item)
    lies = layout(job.artwork, job.item, shape)
    found = tried(job.item, shape, lies, job.head, job.tolerances, job.passes, readings_in(folder), told=told)
    lines = []
    for one in found:
        chance = "not tried" if one.chance is None else "no plan" if one.chance < FAIR else f"{one.chance:.0%}"
        lines.append(f"{chance}: {one.says}")
    return "\n".join(lines)


def write_down(number: int, outcome: str, folder: Path) -> None:
    """What a cell looks like."""
    from rotary.store.readings import read_as

    read_as(number, outcome, folder)  # type: ignore[arg-type]


def note_down(number: int, outcome: str, note: str, folder: Path) -> None:
    """A free note to a reading."""
    from rotary.store.readings import read_as

    read_as(number, outcome, folder, note)  # type: ignore[arg-type]


def strike_out(number: int, struck: bool, folder: Path) -> None:
    """Let a reading teach nothing more, or count again."""
    from rotary.store.readings import strike

    strike(number, folder, struck)


def close_patch(name: str, folder: Path) -> None:
    """Read nothing more of a patch; what was read of it stays."""
    from rotary.store.readings import close_patch as close

    close(name, folder)
