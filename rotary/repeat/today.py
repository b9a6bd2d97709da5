"""The actions of a repeat: those that were run, number by number, with how they stand today and what comes next."""

from typing import Any, Final

from rotary.actions.files import Drawn, import_rows
from rotary.actions.models import ActionRow, Actions, Files, RunActions, Verdict
from rotary.actions.verdict import ProofStanding, steps_of, verdict_of
from rotary.plan import Plan
from rotary.repeat.standing import Repeat
from rotary.sentences.actions import with_words
from rotary.store.record import AsRun, without_paths

NO_ACTIONS: Final = Actions(verdict=Verdict(state="test first"), run=RunActions(files=Files()))


def actions_today(repeat: Repeat, run: AsRun, drawn: Drawn | None = None, system: str = "mm") -> Actions:
    """The actions of a run with today's verdict and steps, in words; of one that is repeated they are always there.

    `drawn` is what is known of the files of today's artwork; where it is another than the proven one, its name and its
    own sizes stand in place of the old ones.
    """
    actions, proof = run.actions or NO_ACTIONS, repeat.proof or ProofStanding("never_run")
    update: dict[str, Any] = {}
    if drawn is not None and repeat.made is not None and _has_other_artwork(repeat):
        update["import"] = _import_of(actions, repeat.made, drawn)
        update["run"] = actions.run.model_copy(update={"files": drawn.files})
    actions = actions.model_copy(update=update)
    stands = _verdict(repeat.made, actions, proof)
    ready = Drawn(actions.run.files, run.slices, 0.0, 0.0, 0.0, is_written=drawn is not None and drawn.is_written)
    steps = steps_of(repeat.made, stands, ready, bool(repeat.newer)) if repeat.made is not None else ()
    return with_words(actions.model_copy(update={"verdict": stands, "steps": steps}), (), system)


def _has_other_artwork(repeat: Repeat) -> bool:
    proof = repeat.found.profile.kept.proof
    return proof is not None and without_paths(repeat.job).artwork != proof.job.artwork


def _import_of(actions: Actions, made: Plan, drawn: Drawn) -> tuple[ActionRow, ...]:
    """The stored size and edge between the name and the sizes of today's artwork."""
    now = import_rows(made, drawn)
    kept = (row for row in actions.to_import if row.id != "file" and not row.id.startswith("artwork_size"))
    return (*(row for row in now if row.id == "file" or row.id.startswith("artwork_size")), *kept)


def _verdict(made: Plan | None, actions: Actions, proof: ProofStanding) -> Verdict:
    """How it stands by today's plan, with the chances of what was run; by the proof alone where there is no plan."""
    run = actions.run
    chances = {name: getattr(run, name) for name in ("chance_clean", "chance_coated", "chance_marked")}
    if made is not None:
        return verdict_of(made, proof).model_copy(update=chances)
    return Verdict(
        state="proven" if proof.holds else "test first",
        example=actions.verdict.example,
        reasons=(proof.reason,),
        good=proof.good,
        count=proof.count,
        on=proof.on,
        batch=proof.batch,
        **chances,
    )
