"""How the job on the screen stands to a kept profile: the numbers that were run while nothing that matters differs.

No terminal in here; the core is loaded where it is used.
"""

from collections.abc import Iterable, Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from rotary.errors import RotaryError, refuse
from rotary.services import Folders
from rotary.services.planning import plan_for
from rotary.services.profiles import proven_profile
from tui.planner.request import RepeatShown, Today

if TYPE_CHECKING:
    from rotary.actions.models import ActionRow, Actions
    from rotary.job import Job
    from rotary.plan import Plan
    from rotary.repeat.standing import Repeat


HERE: Final = Path()


def repeat_of_kept(today: Today, job: "Job", made: "Plan | None", system: str, beside: Path = HERE) -> "Repeat | None":
    """How a job stands to the profile in the file that it was opened from; None where that one is not proven.

    `made` is the plan of what is marked: of a job's words where it has some, whose font lies `beside` the job.
    """

    def planned(_: "Job") -> "Plan":
        if made is None:
            raise refuse("", "correct the fields marked !")
        return made

    found = proven_profile(Path(today.kept)) if today.kept else None
    if found is None:
        return None
    from rotary.inscription.actions import repeat_of_marks

    try:
        repeat = repeat_of_marks(found, job, planned, system, beside=beside)
    except RotaryError:
        # A profile that can't be read any more proves nothing.
        return None
    repeat = repeat.on_batch(today.batch) if today.batch else repeat
    return repeat.as_planned_anew() if today.anew and repeat.made is not None else repeat


def repeat_of_profile(home: Path, version: str = "") -> "Repeat":
    """How a version of a profile stands today, "" for the newest, planned as the desk plans it. Raises RotaryError."""
    from rotary.inscription.actions import repeat_of_marks
    from rotary.store.profiles import load_from

    found = load_from(home, version or None)
    return repeat_of_marks(found, found.profile.job, partial(plan_for, folders=Folders(home.parent)))


class SavedFacts(NamedTuple):
    """What a saved job says of its past: what to check today, by id; its last runs, a line each; the batch it was last
    run on."""

    checks: tuple[tuple[str, str], ...] = ()
    runs: tuple[str, ...] = ()
    batch: str = ""


MOST_RUNS: Final = 4


def facts_of(home: Path, version: str, system: str) -> SavedFacts:
    """The past of a version of a profile; raises RotaryError."""
    from rotary.repeat.checks import short_checks
    from rotary.sentences.runs import run_text
    from rotary.store.logbook import logbook
    from rotary.store.profiles import load_from

    found = load_from(home, version or None)
    kept, runs = found.profile.saved, logbook(home.parent, found.profile.saved.id).runs
    proven = kept.proof.batch if kept.proof else ""
    batch = next((run.batch for run in runs if run.batch), proven)
    texts = tuple(run_text(run.on, run.outcome, run.items, run.spoiled, run.took_s) for run in runs[:MOST_RUNS])
    return SavedFacts(short_checks(found.profile, batch, system), texts, batch)


def quick_actions(made: "Plan", repeat: "Repeat | None", system: str) -> "Actions":
    """What a person does, in words, before the artwork is laid out; of a proven job what was run."""
    from rotary.sentences.plan import actions_in_words

    if repeat is not None and repeat.run is not None:
        from rotary.repeat.today import actions_today

        return actions_today(repeat, repeat.run, None, system)
    proof, newer = (repeat.proof, bool(repeat.newer)) if repeat is not None else (None, False)
    return actions_in_words(made, None, proof, newer, system)


def standing_of(repeat: "Repeat", system: str) -> tuple[str, str]:
    """The verdict on a profile: its state, and its text."""
    if repeat.made is None and repeat.run is None:
        return "not ready", f"NOT READY. {repeat.why}"
    verdict = quick_actions(repeat.to_draw() if repeat.made is None else repeat.made, repeat, system).verdict
    return verdict.state, verdict.text


def repeat_shown(repeat: "Repeat | None", system: str) -> RepeatShown | None:
    """A repeat as the screen shows it."""
    if repeat is None:
        return None
    from rotary.repeat.today import actions_today
    from rotary.sentences.rows import entries
    from rotary.store.changes import setup_changes

    proof, run = repeat.found.profile.saved.proof, repeat.run
    changed = setup_changes(proof.job, repeat.job, system) if proof is not None else []
    rows: tuple[tuple[str, str, str, str], ...] = ()
    if run is not None:
        actions = actions_today(repeat, run, None, system)
        typed = (
            # The longest label would be cut off on a small screen.
            (
                f"Steps per {row.of} turn" if row.id == "typed_steps_per_turn" else one.label,
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
        newer=bool(repeat.newer),
    )


def _by_hand(rows: "Iterable[ActionRow]", system: str) -> "Iterator[tuple[str, str, str, str]]":
    """What is set by hand, each length under a name that a small screen shows in whole."""
    from rotary.papers.lines import in_inches
    from rotary.sentences.rows import row_label

    for row in rows:
        if isinstance(row.value, str) or row.unit not in ("mm", "°"):
            continue
        figure = f"{row.value:g} {row.unit}"
        text, unit = (in_inches(figure) if system == "in" else figure).rsplit(" ", 1)
        label = f"{row_label(row)}, {row.end}" if row.id == "shim" else row_label(row)
        if row.id.startswith("focus"):
            label, text = f"{label}, move lens {'AWAY' if row.value > 0 else 'CLOSER'}", text.lstrip("-")
        yield label, text, unit, ""
        second = row.rim_at if row.id == "witness_marks" else None
        for name, mm in (("Shim to end that's down", row.base), ("Second witness cross", second)):
            if mm is not None:
                figure, unit = (in_inches(f"{mm:g} mm") if system == "in" else f"{mm:g} mm").rsplit(" ", 1)
                yield name, figure, unit, ""


def _shows(rows: "dict[str, ActionRow]") -> "Iterator[tuple[str, str, str, str]]":
    """What the program must show: the size, in mm as it is there, the slices, and how far one turns."""
    from rotary.sentences.rows import row_label

    for row in (rows[name] for name in ("page_size", "slices_shown", "slice_turns") if name in rows):
        yield row_label(row), f"{row.value} × {row.high}" if row.high else f"{row.value}", row.unit, ""


def plain_repeat(seen: RepeatShown) -> list[str]:
    """The numbers as run in plain lines, in their order."""
    from rotary.papers.model import Entry
    from rotary.papers.text import sentence

    shown = (Entry(label, text, unit, "", leave) for label, text, unit, leave in seen.rows)
    rows = [f"{place}. {one.label}: {one.figure}" for place, one in enumerate(shown, 1)]
    lines = [f"{seen.verdict}. {seen.banner}", "Type and set these numbers, in this order.", *rows, *seen.notes]
    lines.append("Read the cautions on the setup sheet. Follow local rules and licensed experts first.")
    return [sentence(line) for line in lines]
