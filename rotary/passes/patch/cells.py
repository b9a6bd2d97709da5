"""Patches as they are kept: which cells each has, which are still to be read, and what job each was chosen for."""

from collections.abc import Sequence
from math import ceil, isclose, sqrt
from typing import Any, Final, NamedTuple

from rotary.errors import brief, known_numbers, refuse
from rotary.item import Item
from rotary.laser import LaserAndLens
from rotary.passes.learning.reading import NOT_READ, Reading
from rotary.passes.learning.reading_text import SETTINGS, value_text

GAP_MM: Final = 2.0
"""From cell to cell."""
_LEFT_AFTER: Final = ("tinted", "cut")
# Not kept by older versions of this tool, so that their absence tells nothing.
_LATER: Final = frozenset({"item", "surface", "row", "column"})
# So near are two figures that were computed twice: on another processor, or written and read back.
_SAME: Final = 1e-6


class PatchRecord(NamedTuple):
    """A patch as it is kept: every look at every one of its cells."""

    name: str
    looks: tuple[Reading, ...]

    @property
    def cells(self) -> dict[int, tuple[Reading, ...]]:
        """The looks at each cell, by its number."""
        numbers = sorted({look.cell for look in self.looks if look.cell is not None})
        return {n: tuple(sorted((r for r in self.looks if r.cell == n), key=lambda r: r.passes)) for n in numbers}

    @property
    def places(self) -> dict[int, tuple[int, int]]:
        """Row and column of each cell; a patch that was kept without them is laid in a square."""
        cells = self.cells
        rows = ceil(sqrt(len(cells)))
        laid = {n: (at % rows + 1, at // rows + 1) for at, n in enumerate(cells)}
        return {n: (some[0].row or laid[n][0], some[0].column or laid[n][1]) for n, some in cells.items()}

    @property
    def rows(self) -> int:
        """How many cells stand one under the other."""
        return max(row for row, _ in self.places.values())

    @property
    def columns(self) -> int:
        """How many cells stand side by side."""
        return max(column for _, column in self.places.values())

    @property
    def size_mm(self) -> tuple[float, float]:
        """Across and along all the cells, without labels."""
        wide, high = self.looks[0].inked_width_mm, self.looks[0].inked_height_mm
        return self.columns * (wide + GAP_MM) - GAP_MM, self.rows * (high + GAP_MM) - GAP_MM

    @property
    def on_item(self) -> bool:
        """Whether it is marked on the item, round which its columns follow each other."""
        return self.looks[0].surface == "item"

    def in_field(self, axis: str) -> "PatchRecord":
        """The patch as the program shows it: of an item that lies along X its rows run to the right."""
        if not self.on_item or axis != "x":
            return self
        here = self.places
        turned = (
            look.but(
                row=here[look.cell][1], column=here[look.cell][0],
                inked_width_mm=look.inked_height_mm, inked_height_mm=look.inked_width_mm,
            )
            for look in self.looks if look.cell is not None
        )  # fmt: skip
        return self._replace(looks=tuple(turned))

    @property
    def unread(self) -> tuple[int, ...]:
        """The cells that nobody has read at any look."""
        return tuple(
            n
            for n, looks in self.cells.items()
            if all(r.outcome == NOT_READ for r in looks) and not all(r.ignored for r in looks)
        )

    @property
    def unfinished(self) -> tuple[int, ...]:
        """The cells at which a look is still to come; one that is tinted or cut is left."""
        return tuple(
            n
            for n, looks in self.cells.items()
            if any(r.outcome == NOT_READ and not r.ignored for r in looks)
            and not any(r.outcome in _LEFT_AFTER for r in looks)
        )

    def __str__(self) -> str:
        first, left = self.looks[0], self.unread or self.unfinished
        to_do = "not read yet" if self.unread else "need another look"
        many = f"{len(left)} of {len(self.cells)} cells {to_do}" if left else "all cells read"
        return f"{self.name} ({', '.join(word for word in (brief(first.item), first.day, many) if word)})"


class PatchToMark(NamedTuple):
    """A patch as it is kept, whether it is new, and what is to be said of that.

    `chance_now` is the plan's chance of clean, `chance` that once the patch is read, over so many `draws`; 0 of a patch
    that was asked for by name.
    """

    record: PatchRecord
    new: bool
    says: tuple[str, ...]
    chance: float = 0.0
    draws: int = 0
    chance_now: float = 0.0

    @property
    def data(self) -> dict[str, Any]:
        """All of it, every look at every cell as it is stored: the unit of each number stands in its name."""
        looks = [look.model_dump(mode="json", by_alias=False) for look in self.record.looks]
        rest = {name: value for name, value in self._asdict().items() if name != "record"}
        return {"patch": self.record.name, **rest, "readings": looks}


def patches_in(readings: Sequence[Reading]) -> tuple[PatchRecord, ...]:
    """All patches among the readings, in the order in which they were chosen."""
    names = dict.fromkeys(r.patch for r in readings if r.source == "patch" and r.patch and r.cell is not None)
    return tuple(PatchRecord(n, tuple(r for r in readings if (r.patch, r.source) == (n, "patch"))) for n in names)


def same_material(record: PatchRecord, item: Item, laser: LaserAndLens) -> bool:
    """Whether a patch is of the coating, the metal and the laser of this job."""
    one = record.looks[0]
    return (one.coating, one.metal, one.laser) == (item.coating or "none", item.metal, laser.name)


def is_for_job(record: PatchRecord, item: Item, laser: LaserAndLens) -> bool:
    """Whether a patch was chosen for this job; one that was kept without the item's name may have been."""
    return same_material(record, item, laser) and record.looks[0].item in ("", item.name)


def unread_patches(readings: Sequence[Reading], item: Item, laser: LaserAndLens) -> tuple[PatchRecord, ...]:
    """The patches of this job that are still to be read.

    A cell that was read at some looks only leaves its patch open until the next one is chosen from what was read.
    """
    mine = [record for record in patches_in(readings) if is_for_job(record, item, laser)]
    return tuple(r for at, r in enumerate(mine, 1) if r.unread or (r.unfinished and at == len(mine)))


def named_patch(number: int, readings: Sequence[Reading], item: Item, laser: LaserAndLens) -> PatchRecord:
    """The patch of that number; raises Refused where there is none, or where it is of another coating or laser."""
    every = patches_in(readings)
    found = next((record for record in every if record.name == f"patch {number}"), None)
    if found is None:
        numbers = [int(name) for record in every if (name := record.name.removeprefix("patch ")).isdecimal()]
        known = known_numbers("patch", numbers, "no patch is saved yet. To make one write rotary patch new JOB")
        raise refuse("patch", f"there is no patch {number}: {known}.")
    if not same_material(found, item, laser):
        one = found.looks[0]
        whose = ", ".join(value_text(name, getattr(one, name)) for name in ("coating", "metal", "laser"))
        raise refuse(
            "patch", f"{found} is not for this job. It is for {whose}: name the job that you made the patch for."
        )
    return found


def patch_to_read(readings: Sequence[Reading], item: Item, laser: LaserAndLens) -> PatchRecord:
    """The one patch of this job that is still to be read; raises Refused where there is none, or more than one."""
    found = unread_patches(readings, item, laser)
    if len(found) == 1:
        return found[0]
    if found:
        numbers = " or ".join(f"--patch {record.name.removeprefix('patch ')}" for record in found)
        said = " and ".join(map(str, found))
        raise refuse("patch", f"you have {len(found)} patches still to read, {said}: add {numbers}.")
    mine = [record for record in patches_in(readings) if is_for_job(record, item, laser)]
    if mine:
        number = mine[-1].name.removeprefix("patch ")
        raise refuse(
            "patch",
            f"you have read {mine[-1]} already: to correct a reading add --patch {number}, or print a new patch with "
            "rotary patch new JOB.",
        )
    near = [record for record in patches_in(readings) if record.unread]
    others = f" ({near[-1].name} is for another job)" if near else ""
    raise refuse("patch", f"this job has no patch still to read{others}: print one first with rotary patch new JOB.")


def same_cells(record: PatchRecord, looks: Sequence[Reading]) -> bool:
    """Whether a kept patch has these very cells, with the same settings and looks."""
    return len(record.looks) == len(looks) and all(
        mine.cell == other.cell and all(_alike(name, getattr(mine, name), getattr(other, name)) for name in SETTINGS)
        for mine, other in zip(record.looks, looks, strict=True)
    )


def _alike(name: str, kept: object, now: object) -> bool:
    if name in _LATER and kept in ("", None):
        return True
    if isinstance(kept, float) and isinstance(now, float):
        return isclose(kept, now, rel_tol=_SAME, abs_tol=1e-9)
    return kept == now
