"""A repeat: whether the numbers that were run still count, and which numbers are printed."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, Literal

from rotary.actions.models import Reason
from rotary.actions.verdict import ProofStanding
from rotary.errors import Refused, brief, counted, refuse
from rotary.job import Job
from rotary.passes.beliefs.draws import RefusedCoating, substances
from rotary.plan import Plan
from rotary.repeat.machine import NO_MACHINE, MachineRun
from rotary.repeat.rebuilt_actions import laser_in_words, rebuilt
from rotary.repeat.run import with_whole_file, words_stored
from rotary.repeat.run_plan import DRAWS, OF_ARTWORK, Marking, plan_as_run
from rotary.sentences.passes import first_line
from rotary.sentences.runs import duration
from rotary.sentences.standing import BAD
from rotary.store.changes import changes_by_plan, plan_changes, setup_changes
from rotary.store.logbook import Run, logbook
from rotary.store.profiles import OpenedProfile
from rotary.store.proof_readings import machine_changes
from rotary.store.record import AsRun, Proof

State = Literal["proven", "test first", "not proven"]

MOST_TOLD: Final = 12
"""So many changes are named; of more than that the count."""


@dataclass(frozen=True, slots=True)
class Repeat:
    """A profile that is run again.

    `proof` says whether its proof still counts and if not why; None where it never had one. `run` are the numbers as
    run, with their actions; None where they don't hold for what is set up today, so that today's plan is printed.
    `banner` says how it stands in one line, `changed` what ends or doubts the proof, `notes` what else to know of the
    numbers, `newer` that today's plan is another one. `made` is today's plan, `why` says why there is none; `marking`
    plans and draws what is marked.
    """

    found: OpenedProfile
    job: Job
    proof: ProofStanding | None
    banner: str
    run: AsRun | None = None
    changed: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    newer: str = ""
    made: Plan | None = None
    why: str = ""
    machine: MachineRun = NO_MACHINE
    marking: Marking = OF_ARTWORK

    @property
    def state(self) -> State:
        """How it stands."""
        if self.proof is None:
            return "not proven"
        return "proven" if self.proof.holds else "test first"

    @property
    def verdict(self) -> str:
        """How it stands, in the letters of a banner."""
        return "PROVEN" if self.state == "proven" else "TEST FIRST"

    def on_batch(self, batch: str) -> "Repeat":
        """The same for items whose coating is of this batch, "" where nobody said: another one needs a patch, and
        after a run on it that came out badly its numbers are tried first."""
        stands, proof = self.proof, self.found.profile.saved.proof
        if stands is None or proof is None or not (stands.holds or stands.reason == "ran_badly"):
            return self
        same = _same_runs(proof, self.found)
        stands, counted = _counts(proof, stands.on, same)
        shown = f" Batch {brief(proof.batch, 60)}." if proof.batch else ""
        says = f"{stands.on}: {counted}. Machine and numbers are as in the proven run.{shown}"
        if (last := _last_run(proof, same, batch)) is not None and last.outcome in BAD:
            stands = replace(stands, reason="ran_badly", last_run=last.outcome)
            says += f" Last run, {last.on.day} {last.on:%B}: {BAD[last.outcome]}."
            return replace(self, proof=stands, banner=says)
        proven = [name for name in (proof.batch, *(run.batch for run in same if run.outcome == "clear")) if name]
        if batch and proven and batch not in proven:
            stands = replace(stands, reason="other_batch", batch=proven[0])
            before, today = brief(proven[0], 60), brief(batch, 60)
            says += f' You proved it on batch "{before}", today\'s batch is "{today}": mark one test patch first.'
        return replace(self, proof=stands, banner=says)

    def as_planned_anew(self) -> "Repeat":
        """Today's plan in place of the numbers that were run: nobody has run it, unless it has the same numbers."""
        if self.run is not None and self.made is not None and not self.newer:
            return self
        stands = self.proof and ProofStanding("never_run", self.proof.on)
        return replace(
            self, proof=stands, banner=self.newer[:1].upper() + self.newer[1:] or self.banner, run=None, newer=""
        )

    def to_draw(self, draws: int = 0) -> Plan:
        """A plan for files that fit the numbers printed, of today's artwork; raises Refused where there is none.

        With `draws` it knows how many passes are tried at most.
        """
        proof = self.found.profile.saved.proof
        if self.run is not None and proof is not None:
            job = self.machine.corrected(_with_artwork_of(self.job, proof.job))
            return plan_as_run(job, self.run, draws, self.marking)
        return self.today()

    def planned_as_run(self, job: Job) -> Plan:
        """The plan of a job on this machine with the numbers that were run; raises Refused where there are none."""
        if self.run is None:
            raise refuse("", self.banner)
        return plan_as_run(self.machine.corrected(job), self.run, DRAWS)

    def today(self) -> Plan:
        """Today's plan; raises Refused where there is none."""
        if self.made is None:
            raise refuse("", self.why)
        return self.made


def repeat_of(
    found: OpenedProfile,
    job: Job,
    planned: Callable[[Job], Plan],
    machine: MachineRun = NO_MACHINE,
    system: str = "mm",
    marking: Marking = OF_ARTWORK,
) -> Repeat:
    """How a profile stands for the job of today, and which numbers are printed.

    `planned` plans a job as the command line and the screen do. The logbook is the one of the store it lies in.
    """
    made, why = _today(lambda: planned(machine.corrected(job)))
    first = NOT_PROVEN.format("a test patch" if job.item.coating else "a trial on scrap")
    repeat = Repeat(found, job, None, first, made=made, why=why, machine=machine, marking=marking)
    proof = found.profile.saved.proof
    if proof is None:
        return repeat
    on = f"{proof.on.day} {proof.on:%B %Y}"
    ended = _ended(proof, job, machine, system)
    if ended or proof.plan is None or not words_stored(proof.job, proof.plan):
        return _lapsed(repeat, proof, on, ended, system)
    again = rebuilt(machine.corrected(proof.job), proof.plan, system)
    run = _with_file(again.run, proof)
    notes = (*again.says, *_no_longer_planned(why))
    repeat = replace(repeat, run=run, notes=notes, newer=_newer(again.run, made, system))
    if again.ends_proof:
        says = f"This job was proven on {on}, but some numbers may not be the ones you ran: {again.ends_proof[0]}"
        return replace(repeat, proof=ProofStanding("rebuilt", on, proof.batch), banner=says, changed=again.ends_proof)
    if proof.job.item.coating is not None and proof.plan.actions is not None and run.passes_counted is None:
        says = f"Came out well on {on}, but nobody noted the passes: count them again on the first item"
        return replace(repeat, proof=ProofStanding("rebuilt", on, proof.batch), banner=says, changed=(UNCOUNTED,))
    return replace(repeat, proof=ProofStanding("run_well", on)).on_batch(_last_batch(proof, found))


def _with_file(run: AsRun, proof: Proof) -> AsRun:
    """The run with the name of the file that the program was given, where it was noted and held all slices."""
    names = [file.name for file in proof.files]
    if run.actions is None or len(names) != 1 or Path(names[0]).stem.endswith(("-first", "-second", "-rest")):
        return run
    return run.but(actions=with_whole_file(run.actions, names[0]))


UNCOUNTED: Final = "the numbers that you ran are unknown: power and passes of the first slice were not noted"
NOT_PROVEN: Final = "Not proven yet: treat it as a first run, with {}"


def _same_runs(proof: Proof, found: OpenedProfile) -> list[Run]:
    """The logged runs with the proven numbers, the latest first."""
    runs = logbook(found.home.parent, found.profile.saved.id).runs
    return [run for run in runs if run.plan is not None and not plan_changes(proof.plan, run.plan)]


def _last_run(proof: Proof, same: Sequence[Run], batch: str) -> Run | None:
    """The last run with the proven numbers since the proof, on this batch as far as batches are noted; one that was
    stopped says nothing. Of the proof's own second, which of them was first is not known: a bad run then counts."""
    since = (run for run in same if run.on >= proof.on and run.outcome != "stopped")
    return next((run for run in since if not batch or run.batch in ("", batch)), None)


def _last_batch(proof: Proof, found: OpenedProfile) -> str:
    """Which batch the last run since the proof was on; "" where none is noted."""
    runs = logbook(found.home.parent, found.profile.saved.id).runs
    return next((run.batch for run in runs if run.on >= proof.on and run.batch), "")


def _counts(proof: Proof, on: str, same: Sequence[Run]) -> tuple[ProofStanding, str]:
    """How a proof stands that holds, and what the logbook says of runs with its numbers.

    Good are the items of runs that came out as wanted, without those spoiled.
    """
    good = sum(run.items - run.spoiled for run in same if run.outcome == "clear")
    count = sum(run.items for run in same)
    if not same:
        return ProofStanding("marked_by_you", on, proof.batch), "proven by you, no run logged"
    took = next(
        (f". The last good run took {duration(run.took_s)}" for run in same if run.took_s and run.outcome == "clear"),
        "",
    )
    return ProofStanding("run_well", on, proof.batch, good, count), f"{good} of {count} items good{took}"


def _today(planned: Callable[[], Plan]) -> tuple[Plan | None, str]:
    try:
        return planned(), ""
    except Refused as refused:
        return None, str(refused.faults[0])


def _ended(proof: Proof, job: Job, machine: MachineRun, system: str) -> tuple[str, ...]:
    """What ends the proof: another setup, a machine read anew, a coating that is not lifted any more."""
    of_machine = machine_changes(proof, machine.name, machine.readings)
    other = proof.machine != machine.name  # which is said in words
    setup = [one.text for one in setup_changes(proof.job, job, system) if not (other and one.where == "machine")]
    return (*setup, *of_machine, *_refused(job))


def _refused(job: Job) -> tuple[str, ...]:
    try:
        _, coating = substances(job.item)
    except Refused:
        # A coating that is not known here is told as the reason why there is no plan.
        return ()
    return (f"coating: {coating.says}: {coating.refused}",) if isinstance(coating, RefusedCoating) else ()


def _lapsed(repeat: Repeat, proof: Proof, on: str, ended: tuple[str, ...], system: str) -> Repeat:
    """Today's plan is printed, and what was proven stands beside it as a start."""
    reason: Reason = "changed" if ended else "rebuilt"
    ended = ended or (f"the numbers {'of the words ' * proof.job.is_inscribed}were not saved with the proof",)
    several = f", and {counted(len(ended) - 1, 'more change')}" if len(ended) > 1 else ""
    says = f"This job was proven on {on}, but the proof no longer counts ({ended[0]}{several})"
    told = [f"changed since the proven run: {text}" for text in _few(ended)]
    notes: list[str] = []
    if proof.plan is not None and repeat.made is not None:
        numbers = [change.text for change in changes_by_plan(proof.plan, repeat.made, system)]
        told += [f"different from the proven number: {text}" for text in _few(numbers)]
    if proof.plan is not None and (laser := laser_in_words(proof.plan)):
        notes.append(f"proven laser settings: {laser}")
    stands = ProofStanding(reason, on, proof.batch)
    return replace(repeat, proof=stands, banner=says, changed=tuple(told), notes=tuple(notes))


def _no_longer_planned(why: str) -> tuple[str, ...]:
    return (f"this job can't be planned today: {why}. Check the reason before you repeat the job",) if why else ()


def _newer(run: AsRun, made: Plan | None, system: str) -> str:
    """That today's plan is another one, in one line; nothing where it is the same."""
    if made is None:
        return ""
    if made.removal.setting is None:
        return f"today's plan has no passes: {first_line(made)}"
    other = changes_by_plan(run, made, system)
    if not other:
        return ""
    several = f", and {counted(len(other) - 1, 'more change')}" if len(other) > 1 else ""
    return f"There is a newer plan that you have not run: {other[0].text}{several}"


def _few(texts: Sequence[str]) -> Sequence[str]:
    rest = len(texts) - MOST_TOLD
    return texts if rest <= 1 else [*texts[:MOST_TOLD], f"and {rest} more"]


def _with_artwork_of(job: Job, proven: Job) -> Job:
    """The proven job with what a proof does not depend on as it is today: the drawing, the words, the eyewear."""
    return proven.but(artwork=job.artwork, inscription=job.inscription, shop=job.shop, note=job.note)
