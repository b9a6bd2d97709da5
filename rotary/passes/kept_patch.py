"""A proof patch chosen from all that is believed now, and kept as cells that are not read yet."""

from pathlib import Path
from typing import Literal

from rotary.head import Head, optics
from rotary.item import Item
from rotary.passes.beliefs import Coating, draws_for, substances
from rotary.passes.kept_readings import add_patch, readings_in
from rotary.passes.learning import learned
from rotary.passes.patch import Patch, patch
from rotary.passes.reading import reading_of
from rotary.passes.wishes import FREE, Wishes
from rotary.slices import Tolerances


def new_patch(
    item: Item,
    head: Head,
    tolerances: Tolerances,
    folder: Path,
    day: str,
    wishes: Wishes = FREE,
    cells: int = 9,
    surface: Literal["item", "scrap"] = "scrap",
    slice_mm: float | None = None,
    room_mm: float = 60.0,
    draws: int = 1000,
) -> tuple[Patch, str]:
    """The next patch and its name; each look at a cell is kept in the folder as not read. Raises as `patch` does."""
    readings, beam = readings_in(folder), optics(head)
    after = learned(item, head, readings, draws)
    metal, coating = substances(item)
    known = coating if isinstance(coating, Coating) else None
    believed = after.draws if after else draws_for(item, metal, known, head, draws)
    found = patch(item, head, beam, tolerances, believed, wishes, cells, surface, slice_mm, room_mm)
    sides = (found.cell_width_mm, found.cell_height_mm)
    new = [
        reading_of(
            cell.setting.model_copy(update={"passes": look}),
            "not read",
            item,
            head,
            beam,
            day,
            cell=cell.number,
            inked_mm=sides,
            focus_mm=tolerances.focus_mm,
        )
        for cell in found.cells
        for look in cell.looks
    ]
    return found, add_patch(new, folder)
