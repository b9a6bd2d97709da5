"""Profiles: a job saved, how it stands later with the numbers that were run, the proof of a run that came out.

Front ends import this at once, so it loads the core only when it is called.
"""

from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from rotary.errors import Fault, NoPlan, RotaryError
from rotary.services.artwork import drawing_files

if TYPE_CHECKING:
    from rotary.actions.files import Drawn
    from rotary.job import Job
    from rotary.plan import Plan
    from rotary.repeat.holding import Marking
    from rotary.repeat.run import CameClean
    from rotary.repeat.standing import Repeat
    from rotary.store.keeping import OpenedProfile, Saved
    from rotary.store.record import ArtworkFile


def proven_profile(path: Path) -> "OpenedProfile | None":
    """The proven profile that a file is a version of; None where it is none, or can't be read any more."""
    try:
        state = path.stat()
        found = _profile(path, state.st_mtime_ns, state.st_size)
    except (RotaryError, OSError, ValueError):
        # What is wrong with it is said by whoever reads it as a job.
        return None
    return None if found is None or found.profile.kept.proof is None else found


@lru_cache(maxsize=2)
def _profile(path: Path, _time_ns: int, _size: int) -> "OpenedProfile | None":
    """The profile as its file stands; read anew only when the file has changed."""
    from rotary.store.keeping import profile_in

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
    from rotary.repeat.holding import OF_ARTWORK
    from rotary.repeat.machine import machine_of
    from rotary.repeat.standing import repeat_of

    proof = found.profile.kept.proof
    on = job.model_copy(update={"rig": at.name}) if at.name else job
    machine = machine_of(on, proof.rig if proof else "", at.folder)
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
    drawn_by: "Callable[[Plan, Path], tuple[Plan, Drawn]] | None" = None,
) -> "Saved":
    """Keep a job as a profile, with the actions of its plan as the artwork `beside` the job makes it.

    `drawn_by` draws what is marked where that is not the artwork. Drawings are noted, so that they are known again.
    Raises Refused, or FileTrouble.
    """
    from rotary.repeat.run import whole_run
    from rotary.services.actions import drawn_files
    from rotary.store.keeping import keep
    from rotary.store.noting import artwork_file

    own = [path for path in drawing_files(job, beside) if path.is_file()]
    run = None if made is None else whole_run(*(drawn_by or drawn_files)(made, beside))
    return keep(job, wish.name, profiles, run, wish.follows, tuple(map(artwork_file, (*own, *wish.files))))


def prove_run(
    repeat: "Repeat",
    which: str,
    came: "CameClean | int | None",
    batch: str = "",
    note: str = "",
    files: "tuple[ArtworkFile, ...]" = (),
) -> "Saved":
    """Write down that a profile was run and came out as wanted, with the readings of its machine and coating.

    `which` numbers were run, and how the first slice `came` clean, are as `numbers_run` takes them; `files` are those
    that the marking program was given. Batch, note and files that nobody says stay those of the proof before. Raises
    NoPlan where there are no numbers to run, Refused, or FileTrouble.
    """
    from rotary.repeat.recording import numbers_run
    from rotary.sentences.passes import first_line
    from rotary.store.noting import prove
    from rotary.store.readings import readings_in

    found, machine = repeat.found, repeat.machine
    run = numbers_run(repeat, which, came)
    if run is None or run.power_share is None:
        raise NoPlan([Fault("", first_line(repeat.made) if repeat.made else repeat.why)])
    cells, before = readings_in(found.home.parent), found.profile.kept.proof
    if before is not None:
        batch, note, files = batch or before.batch, note or before.note, files or before.files
    return prove(found.home, run, batch, note, found.label, (machine.name, machine.readings), cells, files)
