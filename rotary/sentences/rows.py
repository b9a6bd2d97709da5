"""Rows of actions as papers and screens have them."""

from collections.abc import Iterable
from typing import Final

from rotary.actions.models import ActionRow
from rotary.papers.model import Entry
from rotary.sentences.actions import label_of

REBUILT: Final = "rebuilt"
BY_FILE: Final = ("file_slice_width", "extra_per_slice")
BY_TURN: Final = ("typed_steps_per_turn", "typed_diameter", "roller_diameter", "angle_per_slice")
"""Rows that are typed where the file is imported, and once for the turning; all others are the laser's."""


def row_label(row: ActionRow) -> str:
    """What a row is called, and that it was rebuilt where it was: no paper leaves a label out."""
    label = row.label or label_of(row)
    return f"{label} ({REBUILT})" if row.rebuilt else label


def entries(rows: Iterable[ActionRow], system: str = "mm") -> tuple[Entry, ...]:
    """Rows that are typed as papers and screens have them, what warns of a number beside it."""
    return tuple(
        Entry(
            row_label(row),
            row.figure or f"{row.value}",
            row.unit,
            leave=(system == "in" and row.leave_in) or row.leave or "",
            id=row.id,
        )
        for row in rows
    )


def row_texts(rows: Iterable[ActionRow]) -> tuple[str, ...]:
    """What to do or see, row by row; an older proof may not have stored one."""
    return tuple(f"{row.text} ({REBUILT})" if row.rebuilt else row.text for row in rows)
