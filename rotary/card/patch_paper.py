"""The proof patch as a paper: its cells at true size, what to set for each, and where to write what is seen."""

from collections.abc import Sequence
from datetime import date
from typing import Final

from rotary.card.essence import in_short
from rotary.papers.drawing import FIRM_MM, Mark, Picture, Words, area, corners, line
from rotary.papers.lines import clock, percent
from rotary.papers.model import Notes, Paper, Section, Sentences, Shown, Table
from rotary.passes.patch import Patch
from rotary.passes.reading import OUTCOMES
from rotary.passes.setting import Setting
from rotary.plan import Plan

PASS_AFTER_PASS: Final = (
    "A cell is marked pass after pass on one spot: stop after each of its numbers of passes, wipe, look, write, go on. "
    "Leave it once it is tinted or cut."
)
_BORDER_MM: Final = 6.0


def patch_paper(found: Patch, name: str, made: Plan, day: date | None = None) -> Paper:
    """The patch to follow at the machine; a control that stays as it was is left blank."""
    where = "a flat scrap of the same batch" if found.surface == "scrap" else "a hidden place of this item"
    head = ("cell", "row", "col", "defocus mm", "kHz", "mm/s", "hatch mm", "power", "pause", "seen after passes")
    warns, notes = in_short(made)
    lead = (
        f"{len(found.cells)} cells of {found.cell_width_mm:g} × {found.cell_height_mm:g} mm on {where}. One of them is "
        f"right for the whole job in {percent(found.chance)} of {found.draws} draws. In this order {found.changes} "
        "controls are changed."
    )
    outcomes = tuple(f"{outcome}: {what}" for outcome, what in OUTCOMES.items())
    return Paper(
        kind="proof patch",
        name=f"{made.job.item.name}, {name}",
        day=day or date.today(),
        banner=made.safety.example,
        lead=lead,
        stops=tuple(caution.says for caution in made.safety.cautions if caution.level == "stop"),
        facts=(f"Coating: {made.job.item.coating or 'none'}. Beam: {made.optics.state}.",),
        sections=(
            Section("Before", (Sentences(found.before, "box"),)),
            Section("The cells as they look on the surface, at true size", (Shown((patch_picture(found),)),)),
            Section(
                "Set for each cell what is not blank; write what you see",
                (Table(head, patch_rows(found), "settings of each cell, in marking order", True, len(head) - 1),),
            ),
            Section("Read each cell as one of", (Sentences(outcomes),), "two"),
            Section("Good to know", (Sentences((*found.notes, PASS_AFTER_PASS)),), "two"),
            Section("Cautions in short", (Sentences(warns, "warn"), Sentences(notes)), "two"),
            Section("What happened: date, who, batch of the coating", (Notes(3),)),
        ),
    )


def patch_rows(found: Patch) -> tuple[tuple[str, ...], ...]:
    """A row a cell: its number and place, the controls that change, and a place to write."""
    rows: list[tuple[str, ...]] = []
    previous: Setting | None = None
    for cell in found.cells:
        place = (f"{cell.number}", f"{cell.row}", f"{cell.column}")
        rows.append((*place, *controls(cell.setting, previous), looks_to_write(cell.looks)))
        previous = cell.setting
    return tuple(rows)


def looks_to_write(looks: Sequence[int]) -> str:
    """A place to write for each look at a cell: after so many passes on its one spot.

    >>> looks_to_write((1, 6))
    '1: ____  6: ____'
    """
    return "  ".join(f"{count}: ____" for count in looks)


def controls(now: Setting, was: Setting | None) -> tuple[str, ...]:
    """The controls of a cell as texts, blank where they stay as they were."""
    texts: Sequence[tuple[str, str]] = [
        ("defocus_mm", f"{now.defocus_mm:+g}"),
        ("rate_khz", f"{now.rate_khz:g}"),
        ("scan_speed_mm_s", f"{now.scan_speed_mm_s:.0f}"),
        ("hatch_mm", f"{now.hatch_mm:.3f}"),
        ("power_share", percent(now.power_share)),
        ("pause_s", clock(now.pause_s)),
    ]
    return tuple("" if was is not None and getattr(was, name) == getattr(now, name) else text for name, text in texts)


def patch_picture(found: Patch) -> Picture:
    """The cells at true size, each with its number in it."""
    wide, high = found.width_mm + 2 * _BORDER_MM, found.height_mm + 2 * _BORDER_MM
    marks: list[Mark] = [line(corners(0.0, 0.0, wide, high), FIRM_MM, (2.0, 1.2))]
    for cell in found.cells:
        x = _BORDER_MM + (cell.column - 1) * (found.cell_width_mm + found.gap_mm)
        y = high - _BORDER_MM - cell.row * found.cell_height_mm - (cell.row - 1) * found.gap_mm
        marks.append(area(corners(x, y, x + found.cell_width_mm, y + found.cell_height_mm), 0.88))
        marks.append(line(corners(x, y, x + found.cell_width_mm, y + found.cell_height_mm), FIRM_MM))
        middle = (x + found.cell_width_mm / 2, y + found.cell_height_mm / 2 - 1.0)
        marks.append(Words(f"{cell.number}", *middle, 2.8, "middle", "bold"))
    says = f"{found.rows} rows and {found.columns} columns, cell 1 at the upper left; the numbers are not marked."
    return Picture(wide, high, tuple(marks), "Proof patch", says)
