"""The actions of a repeat: those that were run, number by number, with how they stand today and what comes next."""

from typing import Any, Final

from rotary.actions.build import actions_of
from rotary.actions.files import FileFacts, import_rows
from rotary.actions.models import ActionRow, Actions, Files, RunActions, Verdict, kind_of
from rotary.actions.verdict import ProofStanding, steps_of, verdict_of
from rotary.plan import Plan
from rotary.repeat.standing import Repeat
from rotary.sentences.actions import with_words
from rotary.store.record import AsRun, without_paths

NO_ACTIONS: Final = Actions(verdict=Verdict(state="test first"), run=RunActions(files=Files()))


def actions_today(
    repeat: Repeat, run: AsRun, laid_out: tuple[Plan, FileFacts] | None = None, system: str = "mm"
) -> Actions:
    """The actions of a run with today's verdict and steps, in words; of one that is repeated they are always there.

    `laid_out` is a plan with today's artwork and what is known of its files; where the artwork is another than the
    proven one, its name and its own sizes stand in place of the old ones.
    """
    actions, proof = run.actions or NO_ACTIONS, repeat.proof or ProofStanding("never_run")
    if laid_out is not None and has_other_words(repeat):
        # Words of another length have other slices, and may lie elsewhere: drawn with the numbers that were run.
        actions = actions_of(*laid_out)
    elif laid_out is not None and _has_other_artwork(repeat):
        files: dict[str, Any] = {"import": _import_of(actions, import_rows(*laid_out))}
        files["run"] = actions.run.but(files=laid_out[1].files)
        actions = actions.but(**files)
    # What the program calls its fields is no number: today's names stand on the paper.
    names = repeat.machine.corrected(repeat.job).program.labels
    actions = actions.with_each(lambda row: row.but(yours=names.get(row.id)))
    stands, file = _verdict(repeat.made, actions, proof), actions.rows.get("file")
    is_written = laid_out[1].is_written if laid_out is not None else file is not None and file.step is None
    ready = FileFacts(actions.run.files, run.slices, 0.0, 0.0, 0.0, is_written=is_written)
    steps = steps_of(_as_filed(repeat.made, actions), stands, ready, bool(repeat.newer)) if repeat.made else ()
    done = actions.but(verdict=stands, steps=steps)
    step = None if is_written else "write_file"
    done = done.with_each(lambda row: row.but(step=step) if kind_of(row.id) == "file" else row)
    return with_words(done, (), system)


def _as_filed(made: Plan, actions: Actions) -> Plan:
    """Today's plan with the files as they were run: whole, or one for each slice."""
    return made.but(removal=made.removal.but(file_per_slice=actions.run.file_per_slice))


def _has_other_artwork(repeat: Repeat) -> bool:
    proof = repeat.found.profile.saved.proof
    return proof is not None and without_paths(repeat.job).artwork != proof.job.artwork


def has_other_words(repeat: Repeat) -> bool:
    """Whether the words are others than those that were run, or lie elsewhere: their own rows are needed."""
    proof = repeat.found.profile.saved.proof
    return proof is not None and without_paths(repeat.job).inscription != proof.job.inscription


def _import_of(actions: Actions, now: tuple[ActionRow, ...]) -> tuple[ActionRow, ...]:
    """The stored page and edge after the name and the sizes of today's artwork."""
    of_art = ("file", "artwork_size")
    kept = (row for row in actions.to_import if not row.id.startswith(of_art))
    return (*(row for row in now if row.id.startswith(of_art)), *kept)


def _verdict(made: Plan | None, actions: Actions, proof: ProofStanding) -> Verdict:
    """How it stands by today's plan, with the chances of what was run; by the proof alone where there is no plan."""
    run = actions.run
    chances = {name: getattr(run, name) for name in ("chance_clean", "chance_coated", "chance_marked")}
    if made is not None:
        return verdict_of(made, proof).but(**chances)
    return Verdict(
        state="proven" if proof.holds else "test first",
        example=actions.verdict.example,
        reasons=(proof.reason,),
        **proof.figures,
        **chances,
    )
