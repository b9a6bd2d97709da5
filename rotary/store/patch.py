"""A proof patch to mark: one that is kept and still to be read where it is the same, else a new one, which is kept."""

from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any, Final, Literal, NamedTuple

from rotary.errors import NoPlan, listing
from rotary.job import Job
from rotary.passes.learning.coating import posterior, relevant_readings
from rotary.passes.learning.reading import Look, Reading, reading_of
from rotary.passes.patch.cells import PatchRecord, PatchToMark, is_for_job, named_patch, patches_in, same_cells
from rotary.passes.patch.layout import FEWEST, CellRoom, Patch, patch
from rotary.setup import setup
from rotary.store.readings import add_patch, invented_readings, readings_in


class PatchWish(NamedTuple):
    """What patch is wanted: how many cells, and where; left open, as the one has them that is still to be read.

    `again` is the number of a kept patch, `new` asks for one that is new in any case. `slice_mm` is the width that
    cells on the item must lie within, `room_mm` the length along it, `around_mm` the way round it; each of its `flats`
    takes a column.
    """

    cells: int | None = None
    surface: Literal["scrap", "item"] | None = None
    slice_mm: float | None = None
    room_mm: float = 60.0
    around_mm: float | None = None
    flats: int = 0
    again: int | None = None
    new: bool = False


ANY: Final = PatchWish()
NINE: Final = 9


def patch_to_mark(job: Job, folder: Path, day: str, wish: PatchWish = ANY, draws: int = 1000) -> PatchToMark:
    """The patch that is printed now. Each look at a cell of a new one is kept in the folder as not read.

    Printed again, a patch is the same: one of this job that has cells still to be read, and whose cells would be
    chosen today if nothing of it were read. Raises as `patch` does, and Refused where no such patch can be printed.
    """
    readings, item, laser = readings_in(folder), job.item, job.laser
    if wish.again is not None:
        return _again(named_patch(wish.again, readings, item, laser))
    found_after: dict[tuple[object, ...], tuple[Patch, list[Reading]]] = {}

    def chosen(some: Sequence[Reading], like: PatchWish) -> tuple[Patch, list[Reading]]:
        say = relevant_readings(some, item)
        if (say, like) not in found_after:
            found_after[say, like] = _chosen(job, say, day, like, draws)
        return found_after[say, like]

    mine = [record for record in patches_in(readings) if is_for_job(record, item, laser) and record.unread]
    for record in reversed(mine if not wish.new else []):
        like = _like(record, wish)
        # Nothing fit to be chosen any more is no reason not to print what was chosen.
        with suppress(NoPlan):
            found, looks = chosen([reading for reading in readings if reading.patch != record.name], like)
            if same_cells(record, looks):
                return _again(record)._replace(**_told(found))
    found, looks = chosen(readings, wish)

    def kept(now: tuple[Reading, ...]) -> str:
        same = (record.name for record in patches_in(now) if record.unread and same_cells(record, looks))
        return "" if wish.new else next(same, "")

    name, new = add_patch(looks, folder, kept)
    record = next(record for record in patches_in(readings_in(folder)) if record.name == name)
    if not new:
        return _again(record)._replace(**_told(found))
    says = [f"{name.capitalize()} is saved. Mark it, then enter what you see in each cell."]
    if mine:
        others = listing([one.name for one in mine])
        says.append(
            f"You have not read {others} yet, and {name} has other cells: write {name} on the piece that you mark."
        )
    return PatchToMark(record, True, tuple(says), **_told(found))


def _told(found: Patch) -> dict[str, Any]:
    """The chances that a patch is printed with."""
    return {"chance": found.chance, "draws": found.draws, "chance_now": found.chance_now}


def _like(record: PatchRecord, wish: PatchWish) -> PatchWish:
    """The wish, with what it leaves open as this patch has it."""
    like = wish._replace(cells=wish.cells or max(len(record.cells), FEWEST))
    if wish.surface is not None or record.looks[0].surface != "item":
        return like
    return like._replace(surface="item", slice_mm=record.looks[0].inked_width_mm, room_mm=record.size_mm[1])


def _again(record: PatchRecord) -> PatchToMark:
    left = record.unread or record.unfinished
    cells = len(record.cells)
    still = "all" if len(left) == cells else f"{len(left)} of"
    many = f"You still have to read {still} its {cells} cells" if left else "You have read all cells"
    return PatchToMark(record, False, (f"This is {record.name} of {record.looks[0].day}. {many}.",))


def _chosen(
    job: Job, readings: Sequence[Reading], day: str, wish: PatchWish, draws: int
) -> tuple[Patch, list[Reading]]:
    """The cells that are best after these readings, and each look at each of them as a reading to come."""
    # As the plan has them, whose chance of clean the patch is printed with.
    after = posterior(job.item, job.laser, (*readings, *invented_readings(job)), draws)
    cells, surface = wish.cells or NINE, wish.surface or "scrap"
    room = CellRoom(wish.slice_mm, wish.room_mm, wish.around_mm, wish.flats)
    found = patch(setup(job), after.draws if after else None, draws, cells, surface, room)
    looks = [
        reading_of(
            job,
            cell.setting.but(passes=look),
            Look("not read", day, cell=cell.number),
            (found.cell_width_mm, found.cell_height_mm),
        ).but(surface=surface, row=cell.row, column=cell.column)
        for cell in found.cells
        for look in cell.looks
    ]
    return found, looks
