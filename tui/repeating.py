"""How the job on the screen stands to a kept profile: the numbers that were run while nothing that matters differs.

No terminal in here; the core is loaded where it is used.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from rotary.errors import RotaryError, refuse
from rotary.services.profiles import proven_profile, repeat_for

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.plan import Plan
    from rotary.repeat.standing import Repeat
    from rotary.store.record import SheetRow


@dataclass(frozen=True, slots=True)
class RepeatShown:
    """What the screen shows of a proof, as plain texts.

    `rows` are label, text, unit and warning of what was typed and done; empty where today's plan is shown in their
    place.
    `changed` are the values that differ from the proven ones, by the names that a file has.
    """

    verdict: str
    banner: str
    rows: tuple[tuple[str, str, str, str], ...] = ()
    changed: tuple[tuple[str, str, str], ...] = ()
    notes: tuple[str, ...] = ()


def repeat_of_kept(kept: str, job: "Job", made: "Plan | None", system: str) -> "Repeat | None":
    """How a job stands to the profile in the file that it was opened from; None where that one is not proven."""

    def planned(_: "Job") -> "Plan":
        if made is None:
            raise refuse("", "put right what is marked")
        return made

    found = proven_profile(Path(kept)) if kept else None
    try:
        return None if found is None else repeat_for(found, job, planned, system)
    except RotaryError:
        # A profile that can't be read any more proves nothing.
        return None


def shown(repeat: "Repeat | None", system: str) -> RepeatShown | None:
    """A repeat as the screen shows it."""
    if repeat is None:
        return None
    from rotary.repeat.paper import entries, rows_by_hand, typed_rows
    from rotary.store.changes import setup_changes

    proof, run = repeat.found.profile.kept.proof, repeat.run
    changed = setup_changes(proof.job, repeat.job, system) if proof is not None else []
    rows = tuple(_for_screen((*typed_rows(run, system), *rows_by_hand(run, system)))) if run is not None else ()
    notes = (*repeat.notes, *([f"{repeat.newer}"] if repeat.newer else []))
    return RepeatShown(
        verdict=repeat.verdict,
        banner=repeat.banner,
        rows=tuple((one.label, one.text, one.unit, one.leave) for one in entries(rows, system)),
        changed=tuple((change.where, change.before, change.after) for change in changed),
        notes=notes,
    )


_SHORTER: Final = (
    ("Focus on the apex, then lower the head", "From apex focus, lower"),
    ("Focus on the apex, then raise the head", "From apex focus, raise"),
    ("Shim under the rotary, ", "Shim, "),
    ("Shim under the chuck, ", "Shim, "),
    ("Under the middle of the field", "Under the field's middle"),
    ("Focus over the bed, ", "Focus, "),
    ("Passes, first slice alone", "Passes, first slice"),
    ("Item's angle under the artwork's middle", "Angle under the artwork"),
)
"""Where a label would be cut off on a small screen, and what it loses would spoil the item."""


def _for_screen(rows: "Iterable[SheetRow]") -> "Iterator[SheetRow]":
    """Rows with labels that a small screen shows in whole; the base of a shim is a row of its own."""
    for row in rows:
        label = row.label
        for long, short in _SHORTER:
            label = label.replace(long, short)
        yield row.model_copy(update={"label": label})
        if row.id == "shim" and (base := row.why.removeprefix("over a base of ").split()):
            base_row = {
                "id": "shim_base",
                "label": "Shim, over a base of",
                "text": base[0],
                "unit": base[-1],
                "why": "",
            }
            yield row.model_copy(update=base_row)


def plain_repeat(seen: RepeatShown) -> list[str]:
    """The numbers as run in plain lines, in their order."""
    from rotary.papers.model import Entry
    from rotary.papers.plain import sentence

    shown = (Entry(label, text, unit, "", leave) for label, text, unit, leave in seen.rows)
    rows = [f"{place}. {one.label}: {one.figure}" for place, one in enumerate(shown, 1)]
    lines = [f"{seen.verdict}. {seen.banner}", "Key in and set, in this order.", *rows, *seen.notes]
    lines.append("Cautions are on the card. Local rules and licensed practice go first.")
    return [sentence(line) for line in lines]
