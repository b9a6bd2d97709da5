"""How the job on the screen stands to a kept profile: the numbers that were run while nothing that matters differs.

No terminal in here; the core is loaded where it is used.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from rotary.errors import RotaryError, refuse
from rotary.services.planning import plan_for
from rotary.services.profiles import proven_profile

if TYPE_CHECKING:
    from rotary.actions.models import ActionRow
    from rotary.job import Job
    from rotary.plan import Plan
    from rotary.repeat.standing import Repeat


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
    if found is None:
        return None
    from rotary.inscription.actions import repeat_of_marks

    try:
        # Words have a plan of their own, which the form's is not.
        return repeat_of_marks(found, job, plan_for if made and job.is_inscribed else planned, system)
    except RotaryError:
        # A profile that can't be read any more proves nothing.
        return None


def shown(repeat: "Repeat | None", system: str) -> RepeatShown | None:
    """A repeat as the screen shows it."""
    if repeat is None:
        return None
    from rotary.repeat.paper import entries
    from rotary.repeat.today import actions_today
    from rotary.store.changes import setup_changes

    proof, run = repeat.found.profile.kept.proof, repeat.run
    changed = setup_changes(proof.job, repeat.job, system) if proof is not None else []
    rows: tuple[tuple[str, str, str, str], ...] = ()
    if run is not None:
        actions = actions_today(repeat, run, None, system)
        typed = (
            # The longest label would be cut off on a small screen.
            (
                f"Steps per turn, {row.of}" if row.id == "typed_steps_per_turn" else one.label,
                one.text,
                one.unit,
                one.leave,
            )
            for row, one in zip(actions.type, entries(actions.type, system), strict=True)
        )
        rows = (*typed, *_by_hand(actions.by_hand, system), *_shows(actions.rows))
    notes = (*repeat.notes, *([f"{repeat.newer}"] if repeat.newer else []))
    return RepeatShown(
        verdict=repeat.verdict,
        banner=repeat.banner,
        rows=rows,
        changed=tuple((change.where, change.before, change.after) for change in changed),
        notes=notes,
    )


def _by_hand(rows: "Iterable[ActionRow]", system: str) -> "Iterator[tuple[str, str, str, str]]":
    """What is set by hand, each length under a name that a small screen shows in whole."""
    from rotary.papers.lines import in_inches
    from rotary.repeat.paper import label_of

    for row in rows:
        if isinstance(row.value, str) or row.unit not in ("mm", "°"):
            continue
        figure = f"{row.value:g} {row.unit}"
        text, unit = (in_inches(figure) if system == "in" else figure).rsplit(" ", 1)
        label = f"{label_of(row)}, {row.end}" if row.id == "shim" else label_of(row)
        if row.id.startswith("focus"):
            label, text = f"{label}, lens {'AWAY' if row.value > 0 else 'CLOSER'}", text.lstrip("-")
        yield label, text, unit, ""
        second = row.rim_at if row.id == "witness_marks" else None
        for name, mm in (("Shim, over a base of", row.base), ("Witness mark, second", second)):
            if mm is not None:
                figure, unit = (in_inches(f"{mm:g} mm") if system == "in" else f"{mm:g} mm").rsplit(" ", 1)
                yield name, figure, unit, ""


def _shows(rows: "dict[str, ActionRow]") -> "Iterator[tuple[str, str, str, str]]":
    """What the program must show: the size, in mm as it is there, the slices, and how far one turns."""
    from rotary.repeat.paper import label_of

    for row in (rows[name] for name in ("page_size", "slices_shown", "slice_turns") if name in rows):
        yield label_of(row), f"{row.value} × {row.high}" if row.high else f"{row.value}", row.unit, ""


def plain_repeat(seen: RepeatShown) -> list[str]:
    """The numbers as run in plain lines, in their order."""
    from rotary.papers.model import Entry
    from rotary.papers.plain import sentence

    shown = (Entry(label, text, unit, "", leave) for label, text, unit, leave in seen.rows)
    rows = [f"{place}. {one.label}: {one.figure}" for place, one in enumerate(shown, 1)]
    lines = [f"{seen.verdict}. {seen.banner}", "Key in and set, in this order.", *rows, *seen.notes]
    lines.append("Cautions are on the card. Local rules and licensed practice go first.")
    return [sentence(line) for line in lines]
