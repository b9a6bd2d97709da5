"""Profiles: a job saved, how it stands later with the numbers that were run, the proof of a run that came out.

Front ends import this at once, so it loads the core only when it is called.
"""

from collections.abc import Callable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from rotary.errors import FileTrouble, RotaryError, no_plan, refuse
from rotary.files import is_file
from rotary.services.artwork import drawing_files

if TYPE_CHECKING:
    from rotary.actions.duration import TimedRun
    from rotary.actions.files import FileFacts
    from rotary.actions.models import Step
    from rotary.job import Job
    from rotary.plan import Plan
    from rotary.repeat.run_plan import Marking
    from rotary.repeat.standing import Repeat
    from rotary.store.logbook import Run
    from rotary.store.profiles import OpenedProfile, Saved
    from rotary.store.record import ArtworkFile, AsRun


def proven_profile(path: Path) -> "OpenedProfile | None":
    """The proven profile that a file is a version of; None where it is none, or can't be read any more."""
    found = _profile_at(path)
    return None if found is None or found.profile.saved.proof is None else found


def _profile_at(path: Path) -> "OpenedProfile | None":
    """The profile that a file is a version of; None where it is none, or can't be read any more."""
    try:
        state = path.stat()
        return _profile(path, state.st_mtime_ns, state.st_size)
    except (RotaryError, OSError, ValueError):
        # What is wrong with it is said by whoever reads it as a job.
        return None


def timed_runs(path: Path | None, store: Path | None = None) -> "tuple[TimedRun, ...]":
    """The runs of the profile that a file is a version of, the latest first, as far as they were timed and not stopped.

    Where it has none, or the file is no profile's, those of other jobs in its store, or in `store`, that say what the
    machine needed.
    """
    from rotary.store.places import profile_folder, run_files

    found = _profile_at(path) if path is not None and path.suffix == ".toml" else None
    folder = found.home.parent if found is not None else store or profile_folder()
    try:
        names = run_files(folder)
    except FileTrouble:
        return ()
    if not names:
        return ()
    from rotary.actions.duration import TimedRun

    own = _timed(folder, len(names), names[-1], found.profile.saved.id) if found is not None else ()
    if own:
        passes = [run.plan.passes_counted if run.plan else None for run in own]
        return tuple(TimedRun(run.items, run.took_s or 0.0, many) for run, many in zip(own, passes, strict=True))
    every = _timed(folder, len(names), names[-1])
    return tuple(TimedRun(run.items, run.took_s or 0.0, None, run.machine_s) for run in every if run.machine_s)


@lru_cache(maxsize=4)
def _timed(folder: Path, _count: int, _newest: Path, profile: str = "") -> "tuple[Run, ...]":
    """Runs that were timed and not stopped; read anew only when another was logged."""
    from rotary.store.logbook import logbook

    return tuple(run for run in logbook(folder, profile).runs if run.took_s and run.outcome != "stopped")


@lru_cache(maxsize=2)
def _profile(path: Path, _time_ns: int, _size: int) -> "OpenedProfile | None":
    """The profile as its file stands; read anew only when the file has changed."""
    from rotary.store.profiles import profile_in

    return profile_in(path)


class MachineAt(NamedTuple):
    """Where machines as measured lie, None for where this person keeps them; which one, "" for the job's own."""

    folder: Path | None = None
    name: str = ""


USUAL_MACHINE: Final = MachineAt()


def repeat_for(
    found: "OpenedProfile",
    job: "Job",
    planned: "Callable[[Job], Plan]",
    system: str = "mm",
    at: MachineAt = USUAL_MACHINE,
    marking: "Marking | None" = None,
) -> "Repeat":
    """How a profile stands for the job of today, on the machine as measured that the job names, or another.

    `marking` plans and draws what is marked where that is not the artwork. Raises Refused where nothing is kept of that
    machine.
    """
    from rotary.repeat.machine import machine_run
    from rotary.repeat.run_plan import OF_ARTWORK
    from rotary.repeat.standing import repeat_of

    proof = found.profile.saved.proof
    on = job.but(machine=at.name) if at.name else job
    machine = machine_run(on, proof.machine if proof else "", at.folder)
    return repeat_of(found, job, planned, machine, system, marking or OF_ARTWORK)


class SaveWish(NamedTuple):
    """Under which name a job is saved, after which version of it (a stamp), and drawings to note with its own."""

    name: str
    follows: str | None = None
    files: tuple[Path, ...] = ()


def save_job(
    job: "Job",
    made: "Plan | None",
    wish: SaveWish,
    profiles: Path,
    beside: Path,
    drawn_by: "Callable[[Plan, Path], tuple[Plan, FileFacts]] | None" = None,
) -> "Saved":
    """Keep a job as a profile, with the actions of its plan as the artwork `beside` the job makes it.

    `drawn_by` draws what is marked where that is not the artwork. Drawings are noted, so that they are known again.
    Raises Refused, or FileTrouble.
    """
    from rotary.repeat.run import whole_run
    from rotary.services.actions import drawn_files
    from rotary.store.additions import artwork_file
    from rotary.store.profiles import keep

    own = [path for path in drawing_files(job, beside) if is_file(path)]
    run = None if made is None else whole_run(*(drawn_by or drawn_files)(made, beside))
    return keep(job, wish.name, profiles, run, wish.follows, tuple(map(artwork_file, (*own, *wish.files))))


def _proven(
    repeat: "Repeat", run: "AsRun | None", batch: str, note: str, files: "tuple[ArtworkFile, ...]" = ()
) -> "Saved":
    from rotary.sentences.passes import first_line
    from rotary.store.additions import prove
    from rotary.store.readings import readings_in

    found, machine = repeat.found, repeat.machine
    if run is None or run.power_share is None:
        raise no_plan("", first_line(repeat.made) if repeat.made else repeat.why)
    cells, before = readings_in(found.home.parent), found.profile.saved.proof
    if before is not None:
        batch, note, files = batch or before.batch, note or before.note, files or before.files
    return prove(found.home, run, batch, note, found.label, (machine.name, machine.readings), cells, files)


class LoggedRun(NamedTuple):
    """A run as it stands in the logbook now, what to do at once (nothing where it came out well), the version that its
    numbers were proven with, and its file in the logbook; None where there is none."""

    run: "Run"
    steps: "tuple[Step, ...]" = ()
    saved: "Saved | None" = None
    path: Path | None = None


def log_run(
    repeat: "Repeat",
    texts: Mapping[str, str],
    which: str = "",
    photo: Path | None = None,
    proves: bool = False,
    files: "tuple[ArtworkFile, ...]" = (),
) -> LoggedRun:
    """Write a run of a profile into the logbook of its store, from texts as `run_from_texts` takes them.

    `which` numbers were run is as `numbers_run` takes it; a copy of `photo` goes beside the profile; `files` are those
    that the marking program was given. Numbers that came
    out well are proven too where it `proves` them. Raises Refused with every fault at once, or FileTrouble; nothing is
    written then.
    """
    from rotary.services.actions import steps_after_run
    from rotary.store.additions import keep_photo
    from rotary.store.logbook import log

    if proves:
        _all_typed(repeat, texts, which)
    home, run = repeat.found.home, with_machine_time(_run_of_texts(repeat, texts, which), repeat)
    run = run.but(files=files)
    if photo is not None:
        run = run.but(photo=keep_photo(photo, home))
    path = log(run, home.parent)
    can_prove = run.plan is not None and run.plan.power_share is not None
    saved = _proven(repeat, run.plan, run.batch, run.note) if proves and can_prove else None
    return LoggedRun(run, steps_after_run(repeat, run.outcome), saved, path)


def with_machine_time(run: "Run", repeat: "Repeat") -> "Run":
    """The run with what the machine needed for one item by the plan, where there is one."""
    from rotary.actions.duration import machine_time
    from rotary.errors import Refused

    try:
        made = repeat.to_draw()
    except Refused:
        return run
    need = machine_time(made, run.plan.passes_counted if run.plan else None)
    return run.but(machine_s=need and round(need.whole_s, 1))


def prove_texts(
    repeat: "Repeat", texts: Mapping[str, str], which: str = "", files: "tuple[ArtworkFile, ...]" = ()
) -> LoggedRun:
    """Write down that a profile was run and came out as wanted, from texts as in `log_run`; no run is logged.

    Batch, note and files that nobody says stay those of the proof before. Raises NoPlan where there are no numbers to
    run, Refused, or FileTrouble.
    """
    run = _run_of_texts(repeat, texts, which)
    _all_typed(repeat, texts, which)
    return LoggedRun(run, saved=_proven(repeat, run.plan, run.batch, run.note, files))


def _all_typed(repeat: "Repeat", texts: Mapping[str, str], which: str) -> None:
    """Refuse a proof of a coated job while nobody says how many passes a slice got: the plan offers passes to try, so
    the person alone knows how often the file was run."""
    from rotary.repeat.run_numbers import numbers_run

    typed, run = texts.get("passes", "").strip(), numbers_run(repeat, which)
    is_counted = run is None or run.passes_counted is not None or repeat.job.item.coating is None
    if not (typed.strip("0") if typed else is_counted):
        raise refuse("passes", "type how many passes each slice got, because nothing is proven without this number")


def _run_of_texts(repeat: "Repeat", texts: Mapping[str, str], which: str) -> "Run":
    from rotary.repeat.run import CameClean
    from rotary.repeat.run_numbers import numbers_run
    from rotary.store.logbook import run_from_texts

    return run_from_texts(texts, repeat.found, lambda *came: numbers_run(repeat, which, CameClean(*came)))
