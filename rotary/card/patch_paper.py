"""The proof patch as a paper: its cells at true size, what to set for each, and where to write what is seen."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from itertools import pairwise
from typing import Final, NamedTuple

from rotary.actions.by_hand import habit_row
from rotary.job import Job
from rotary.papers.drawing import FIRM_MM, Mark, PaperPicture, Words, area, corners, line
from rotary.papers.model import Notes, Pairs, Paper, PictureRow, Section, Sentences, Table
from rotary.papers.sizes import Sizes
from rotary.passes.learning.reading import Reading
from rotary.passes.learning.reading_text import columns_of, head_of, number_text, same_for_all, value_text
from rotary.passes.patch.cells import GAP_MM, PatchRecord, PatchToMark
from rotary.passes.patch.drawing import BORDER_MM
from rotary.pictures.looks import coating_pictures
from rotary.plan import Plan
from rotary.sentences.actions import lens_first_text
from rotary.sentences.passes import in_ten
from rotary.sentences.safety import paper_of

PASS_AFTER_PASS: Final = (
    "Mark one cell at a time, pass after pass on the same spot. The table says after how many passes to stop, wipe, "
    "look and write down what you see. If you see heat tint or engraved, go to the next cell."
)
_PLACE: Final = ("cell", "at")


def patch_paper(to_mark: PatchToMark, made: Plan, system: str = "mm", day: date | None = None) -> Paper:
    """The patch to follow at the machine: every setting that its readings are kept with, in the cells or under them."""
    axis = made.job.laser.field_axis
    record, first = to_mark.record.in_field(axis), to_mark.record.looks[0]
    last = [looks[-1] for looks in record.cells.values()]
    columns = columns_of(last)
    head = (*_PLACE, *(head_of(name, system) for name in columns), "passes: what you see")
    cells = Table(
        head,
        tuple(_row(record, number, looks, columns, system) for number, looks in record.cells.items()),
        "Mark in this order. Change what is bold or has a *. r1c2: row 1 from the top, column 2 from the left. kHz: "
        "frequency, ns: pulse width, mm/s: speed, line: line spacing, mJ: pulse energy",
        True,
        len(head) - 1,
        _changed(last, columns),
    )
    sections = (
        Section("BEFORE", (Sentences(_before(record, made, system), "box", picture=patch_picture(record)),)),
        Section("SAME FOR ALL CELLS", (Pairs(same_for_all(last, system)),)),
        Section("FIVE WORDS FOR WHAT YOU SEE", (PictureRow(coating_pictures()),)),
        Section("CELLS", (cells,)),
        Section("GOOD TO KNOW", (Sentences(_good_to_know(record.on_item)),)),
        Section("NOTES", (Sentences(("Date, name, batch of the coating:",), "none"), Notes(2))),
    )
    paper = paper_of(made, "test patch", _lead(to_mark, record, made.job), sections, day)
    chosen = f"rotary chose these cells on {first.day}. If you print again, you get the same patch."
    return replace(paper, name=f"{first.item or made.job.item.name}, {record.name}", facts=(chosen,))


def _lead(to_mark: PatchToMark, record: PatchRecord, job: Job) -> str:
    first = record.looks[0]
    size = f"{first.inked_width_mm:g} × {first.inked_height_mm:g} mm"
    where = f" on {value_text('surface', first.surface)}" if first.surface else ""
    wide, high = record.size_mm
    together = f"{wide:g} mm wide, {high:g} mm high"
    if record.on_item:
        lies = _lies(record, job)
        around = f"each {lies.column} on its own flat" if job.item.flats else f"{lies.around_mm:g} mm round the item"
        together = f"{around}, {lies.along_mm:g} mm along it"
    lead = f"Mark {len(record.cells)} cells of {size}{where}. Together: {together}."
    if to_mark.draws:
        lead += (
            f" Today's plan: {in_ten(to_mark.chance_now)} items come out clean. The plan after this patch: "
            f"{in_ten(to_mark.chance)}."
        )
    return lead


def _before(record: PatchRecord, made: Plan, system: str) -> tuple[str, ...]:
    pulses = made.job.laser.pulse_widths_ns
    pulse = (
        f". You can't set the pulse width: on this laser it is always {pulses[0]:g} ns."
        if len(pulses) == 1
        else ", the pulse width too."
    )
    return (
        *(_on_item(record, made) if record.on_item else ()),
        "Degrease the place and let it dry. Switch the extraction on, shut the enclosure.",
        f"Import the drawing of {record.name} and don't scale it (rotary patch new with --to makes it, as the screen "
        "does).",
        "Focus on the surface first. Then move the lens from there as the table says (+ is away).",
        *(lens_first_text(float(row.value), Sizes(system).by_hand) for row in habit_row(made)),
        f"For each cell set everything in the table{pulse} Other settings mislead the plan.",
        "Fill each cell with lines one way, without an outline. Lines across them would count as a second pass.",
        "If coating, metal, wall, laser or lens is not as listed below, change the job and print a new patch.",
        PASS_AFTER_PASS,
    )


class _Lies(NamedTuple):
    """How a patch lies on the item: what its cells round the item and along it are called on paper, how many columns
    follow each other round it, how wide a cell is there, and all of them [mm]."""

    column: str
    row: str
    columns: int
    cell_mm: float
    around_mm: float
    along_mm: float


def _lies(record: PatchRecord, job: Job) -> _Lies:
    first, (wide, high) = record.looks[0], record.size_mm
    if job.laser.field_axis == "x":
        return _Lies("row", "column", record.rows, first.inked_height_mm, high, wide)
    return _Lies("column", "row", record.columns, first.inked_width_mm, wide, high)


def _on_item(record: PatchRecord, made: Plan) -> Iterator[str]:
    """How the item lies, and where each cell comes on it: in the middle of the field, on a place of its own."""
    lies = _lies(record, made.job)
    column = lies.column
    yield "Mount the item as its setup sheet says, with a hidden place on top."
    if lies.columns == 1:
        yield "Keep the drawing in the middle of the field."
    else:
        step = made.turning.rad_per_step
        steps = math.ceil((lies.cell_mm + GAP_MM) / made.layout.reference_radius_mm / step)
        far = (
            "to a bare flat"
            if made.job.item.flats
            else f"by {steps} motor steps ({math.degrees(steps * step):.1f}°), always the same way"
        )
        yield (
            f"Mark {column} by {column}: in your program move the drawing until the {column} lies in the field's "
            f"middle. Before the next {column} turn the item {far}."
        )
    heights = [one.levelled_mm if made.focus.levelled else one.as_it_lies_mm for one in made.focus.apex]
    if max(heights) - min(heights) > made.job.tolerances.focus_mm:
        yield f"The item does not lie level: focus anew for each {lies.row}."


def _good_to_know(on_item: bool) -> tuple[str, ...]:
    notes = [
        "A small cell cools faster than the whole artwork, so it shows less heat tint.",
        "Switch the laser off and open the enclosure. Wipe, then look with the bare eye at a low angle. Write coating "
        "left, residue, clean, heat tint or engraved.",
    ]
    if not on_item:
        notes.append("Use scrap with the item's metal, wall, coating and colour, best of the same batch. Lay it flat.")
    return tuple(notes)


def _row(
    record: PatchRecord, number: int, looks: Sequence[Reading], columns: Sequence[str], system: str
) -> tuple[str, ...]:
    row, column = record.places[number]
    settings = (number_text(name, getattr(looks[-1], name), system) for name in columns)
    return (f"{number}", f"r{row}c{column}", *settings, looks_to_write([look.passes for look in looks]))


def looks_to_write(looks: Sequence[int]) -> str:
    """A place to write for each look at a cell: after so many passes on its one spot.

    >>> looks_to_write((1, 6))
    '1: ____  6: ____'
    """
    return "  ".join(f"{count}: ____" for count in looks)


def _changed(cells: Sequence[Reading], columns: Sequence[str]) -> frozenset[tuple[int, int]]:
    """Row and column of each control that is not as it was in the cell before; what is computed is no control."""
    return frozenset(
        (row, at)
        for row, (was, now) in enumerate(pairwise(cells), 1)
        for at, name in enumerate(columns, len(_PLACE))
        if name != "energy_mj" and getattr(was, name) != getattr(now, name)
    )


def patch_picture(record: PatchRecord) -> PaperPicture:
    """The cells at true size, each with its number in it."""
    wide, high = (side + 2 * BORDER_MM for side in record.size_mm)
    cell_wide, cell_high = record.looks[0].inked_width_mm, record.looks[0].inked_height_mm
    marks: list[Mark] = [line(corners(0.0, 0.0, wide, high), FIRM_MM, (2.0, 1.2))]
    for number, (row, column) in record.places.items():
        x = BORDER_MM + (column - 1) * (cell_wide + GAP_MM)
        y = high - BORDER_MM - row * cell_high - (row - 1) * GAP_MM
        marks.append(area(corners(x, y, x + cell_wide, y + cell_high), 0.88))
        marks.append(line(corners(x, y, x + cell_wide, y + cell_high), FIRM_MM))
        middle = (x + cell_wide / 2, y + cell_high / 2 - 1.0)
        marks.append(Words(f"{number}", *middle, 2.8, "middle", "bold"))
    rows, across = record.rows, record.columns
    says = (
        f"{rows} row{'s' * (rows != 1)} and {across} column{'s' * (across != 1)}, cell 1 at the upper left. The laser "
        "does not mark the numbers."
    )
    return PaperPicture(wide, high, tuple(marks), "Test patch", says, to_scale=True)
