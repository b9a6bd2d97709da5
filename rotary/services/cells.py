"""Cells of test patches as a person read them: written down, and what they teach.

Front ends import this at once, so it loads the core only when it is called.
"""

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from rotary.errors import BadArgument, brief, counted, listing, refuse

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.passes.learning.coating import BeliefChange, Posterior
    from rotary.passes.learning.reading import Outcome, Reading
    from rotary.plan import Plan
    from rotary.repeat.run import CameClean

SEEN: Final[dict[str, "Outcome"]] = {
    "coating-left": "covered", "residue": "haze", "clean": "clear", "heat-tint": "tinted", "engraved": "cut",
}  # fmt: skip
"""What is seen in a cell, and what is stored of it, which earlier versions had for its word."""


class TeachingResult(NamedTuple):
    """What readings taught of the coating of a job, and its plan without them, before that, and now: first lines."""

    learned: "Posterior | None"
    lines: tuple[tuple[str, str], ...]

    @property
    def rows(self) -> "tuple[BeliefChange, ...]":
        """What was assumed before and after; nothing where no reading taught."""
        from rotary.passes.learning.coating import belief_changes

        return belief_changes(self.learned) if self.learned is not None else ()


def teaching_result(
    job: "Job", readings: "tuple[Reading, ...]", samples: int, earlier: "tuple[str, tuple[Reading, ...]] | None" = None
) -> TeachingResult:
    """What readings teach of a job's coating, beside the plan without them and with the `earlier` ones."""
    from rotary.passes.learning.coating import posterior
    from rotary.plan import plan
    from rotary.sentences.passes import first_line

    named = [("plan without readings", ()), *([earlier] if earlier else []), ("plan now", readings)]
    lines = tuple((name, first_line(plan(job, samples, some))) for name, some in named)
    return TeachingResult(posterior(job.item, job.laser, readings, samples), lines)


def record_cells(job: "Job", profiles: Path, texts: Sequence[str], patch: int | None, note: str = "") -> list[str]:
    """Write down what was seen in cells, as "3=residue,clean", of the patch that is to be read or of the one named.

    Raises BadArgument with every fault, Refused, FileTrouble.
    """
    from rotary.passes.learning.reading import NOT_READ, OUTCOME_NAMES
    from rotary.passes.patch.cells import named_patch, patch_to_read, patches_in
    from rotary.store.readings import change_readings, readings_in

    readings = readings_in(profiles)
    record = (
        patch_to_read(readings, job.item, job.laser)
        if patch is None
        else named_patch(patch, readings, job.item, job.laser)
    )
    cells = record.cells
    seen = _seen(texts, {cell: [look.passes for look in looks] for cell, looks in cells.items()}, record.name)
    changes: dict[int, dict[str, object]] = {}
    before = []
    for cell, outcomes in seen.items():
        for look, outcome in zip(cells[cell], outcomes, strict=False):
            # What was ignored only because nothing more was to be read of its patch counts once it is read.
            opens = look.ignored and look.outcome == NOT_READ != outcome
            closed = {"ignored": False} if opens else {}
            changes[look.number] = {"outcome": outcome, **({"note": note} if note else {}), **closed}
            if look.outcome not in (NOT_READ, outcome):
                many = "1 pass" if look.passes == 1 else f"{look.passes} passes"
                before.append(
                    f"cell {cell} after {many}: before {OUTCOME_NAMES[look.outcome]}, now {OUTCOME_NAMES[outcome]}"
                )
    change_readings(changes, profiles)
    record = next(one for one in patches_in(readings_in(profiles)) if one.name == record.name)
    cells_seen = f"cell{'s' * (len(seen) > 1)} {_listed(seen)}"
    return [f"saved what you saw in {cells_seen} of {record.name}", f"{record}", *before]


def _listed(cells: "Mapping[int, object]") -> str:
    return ", ".join(map(str, sorted(cells)))


def _seen(texts: Sequence[str], cells: dict[int, list[int]], name: str) -> "dict[int, list[Outcome]]":
    """Cells and what was seen at each look, in their order; every fault at once."""
    from rotary.passes.learning.reading import NOT_READ

    faults: list[str] = []
    seen: dict[int, list[Outcome]] = {}
    known: dict[str, Outcome] = {**SEEN, **{stored: stored for stored in SEEN.values()}, "not-read": NOT_READ}
    for text in texts:
        number, sign, words = text.partition("=")
        cell = int(number) if number.strip().isdecimal() and len(number) < 9 else 0
        if not sign or cell not in cells:
            example = (
                f"write a cell's number from {min(cells)} to {max(cells)} and what you see, like {min(cells)}=clean"
            )
            faults.append(f"{name} has no cell {brief(text)}: {example}")
            continue
        looks = cells[cell]
        outcomes = [word.strip().lower().replace(" ", "-") for word in words.split(",")]
        if any(outcome not in known for outcome in outcomes):
            faults.append(f"{brief(text)} is not a reading: write {listing([*SEEN, 'not-read'], 'or')}")
        elif len(outcomes) > len(looks):
            after = ", ".join(map(str, looks))
            much = f"you look at cell {cell} after {after} passes, so {brief(text)} has too many words"
            faults.append(f"{much}: write at most {len(looks)}, one for each look")
        elif cell in seen:
            faults.append(f"cell {cell} is written twice: write the cell once, with a word for each look")
        else:
            # One such word takes back the cell.
            outcomes = outcomes * len(looks) if outcomes == ["not-read"] else outcomes
            seen[cell] = [known[outcome] for outcome in outcomes]
    if faults:
        raise BadArgument("; ".join(faults))
    return seen


def run_to_teach(job: "Job", made: "Plan", word: str, came: "CameClean", note: str) -> "Reading":
    """A job that was run as it is planned now, as a reading of what `word` says. Raises Refused, BadArgument.

    Where the first slice `came` clean at another power than the plan's first, its pulses were so much stronger. Coating
    that was left without a count was left at the ladder's end: after the passes of its last rung, at that power.
    """
    from rotary.passes.learning.reading import Look, reading_of

    outcome = SEEN.get("clean" if word == "good" else word)
    if outcome is None:
        raise BadArgument(f"{word} says nothing about a coating: write {listing([*SEEN], 'or')}")
    setting = made.removal.setting
    if setting is None or job.item.coating is None:
        raise refuse("", "today's plan of this job has no passes that remove a coating: log the run without --teach.")
    rungs, count = made.removal.rungs, came.passes
    share = setting.power_share if came.power is None else came.power / 100
    if count is None and outcome == "covered" and rungs:
        end = rungs[-1] if came.power is None else min(rungs, key=lambda rung: abs(rung.power_share - share))
        count, share = end.passes, end.power_share
    if count is None:
        raise BadArgument("--passes is missing: write how many passes cleaned a slice, such as --passes 6")
    setting = setting.at_power(share).but(passes=count)
    height = (made.layout.artwork_to_mm - made.layout.artwork_from_mm) * job.artwork.ink_share
    look = Look(outcome, date.today().isoformat(), source="job", note=note)
    return reading_of(job, setting, look, (made.split.slice_width_mm, max(height, 1.0)))


def run_as_reading(run: "Reading", profiles: Path) -> str:
    """Save the reading of a run; what was saved. Raises FileTrouble."""
    from rotary.passes.learning.reading import OUTCOME_NAMES
    from rotary.store.readings import add_readings

    (saved, *_) = add_readings([run], profiles)
    after = f"{counted(saved.passes, 'pass')} at {100 * saved.power_share:.0f} % power"
    return f"saved as reading {saved.number} of this coating: {OUTCOME_NAMES[saved.outcome]} after {after}"
