"""The job that a command names: its file, its drawings, its plan, and how it stands as a profile."""

import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from rotary.cli.options import HERE, Where
from rotary.cli.output import report
from rotary.cli.waiting import waiting
from rotary.errors import FileTrouble, unknown_name
from rotary.services import USUAL_DRAWS
from rotary.services.planning import plan_for
from rotary.services.profiles import MachineAt, proven_profile

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.plan import Plan
    from rotary.repeat.standing import Repeat
    from rotary.store.keeping import OpenedProfile


class NamedJob(NamedTuple):
    """A job as a command names it, and where it is planned for."""

    name: str
    where: Where = HERE

    @property
    def path(self) -> Path:
        """The file: one of that name, else the shipped example, else the newest version of a profile."""
        from rotary.files import is_file, is_there
        from rotary.shipped import examples

        path, shipped = Path(self.name), examples()
        if self.name in shipped and not is_file(path):
            return shipped[self.name]
        if is_there(path) or path.suffix or len(path.parts) != 1:
            return path
        return self._saved() or path

    def _saved(self) -> Path | None:
        """The newest version of a profile; raises UnknownName where nothing is called so."""
        from rotary.errors import RotaryError, UnknownName
        from rotary.shipped import examples
        from rotary.store.index import entries
        from rotary.store.keeping import located
        from rotary.store.places import versions

        store = self.where.profiles
        try:
            return versions(store / located(self.name, store).home)[-1].path
        except UnknownName:
            names = [*examples(), *(entry.name for entry in entries(store))]
            otherwise = "name a job file, or one that rotary job example or rotary profile list shows"
            raise unknown_name("job", self.name, names, otherwise) from None
        except (RotaryError, IndexError):
            return None

    @property
    def is_profile(self) -> bool:
        """Whether it comes from the store, which holds no drawings."""
        return self.name != "-" and self.where.profiles.resolve() in self.path.resolve().parents

    @property
    def drawings(self) -> Path:
        """The folder from which its drawings count: its own, or this one where it comes from the store."""
        return Path() if self.name == "-" or self.is_profile else self.path.parent

    @property
    def sources(self) -> tuple[Path, ...]:
        """Its own file, which is never written over."""
        return () if self.name == "-" else (self.path,)

    def job(self) -> "Job":
        """The job, for the machine that is asked for."""
        from rotary.files import LARGEST_JOB_BYTES
        from rotary.job import job_from_bytes, job_from_file
        from rotary.rig.machine import with_its_laser

        laser = partial(with_its_laser, folder=self.where.folder)
        if self.name != "-":
            return named_machine(job_from_file(self.path, laser), self.where)
        if sys.stdin is None:
            raise FileTrouble("there is no standard input to read: name a job file")
        raw = sys.stdin.buffer.read(LARGEST_JOB_BYTES + 1)
        return named_machine(job_from_bytes(raw, "the standard input", laser), self.where)

    def on_machine(self) -> "Job":
        """The job as its machine was measured."""
        from rotary.rig.machine import on_its_rig

        return on_its_rig(self.job(), self.where.folder)

    def plan(self, samples: int | None = None) -> "Plan":
        """Its plan, for the machine as measured, after what was read."""
        job = self.job()
        with waiting("planning"):
            return plan_for(job, self.where.folders, self.where.samples if samples is None else samples)

    def repeat(self) -> "Repeat | None":
        """How the profile stands that it names; None where it is a job without a proof."""
        profile = None if self.name == "-" else proven_profile(self.path)
        return None if profile is None else self.repeat_of(profile, profile.profile.job)

    def repeat_of(self, profile: "OpenedProfile", job: "Job") -> "Repeat":
        """How a profile stands today, with this job's artwork, for the machine that is asked for."""
        from rotary.inscription.actions import repeat_of_marks

        where = self.where
        planned = partial(plan_for, draws=where.samples)
        at = MachineAt(where.folder, named_machine(job, where).rig)
        return repeat_of_marks(profile, job, planned, where.system, at, self.drawings)

    def with_words(self, made: "Plan", samples: int = USUAL_DRAWS) -> "Plan":
        """The plan of the job's words in place of its artwork's, where it has some; raises Refused."""
        if not made.job.is_inscribed:
            return made
        from rotary.inscription.actions import plan_of_marks

        return plan_of_marks(made.job, partial(plan_for, folders=self.where.folders, draws=samples), self.drawings)

    def plan_to_draw(self, method: str = "") -> "Plan":
        """The plan that files are drawn for: with the numbers that were run, where it names a profile that is proven.

        `method` is how what is drawn is divided; a proof of the other way does not hold for it.
        """
        repeat = self.repeat()
        if repeat is None or repeat.run is None:
            return self.plan(USUAL_DRAWS)
        if method and not repeat.job.item.flats and repeat.run.slices > 1 and repeat.run.method != method:
            proven = "rotary art slice" if method == "plain" else "rotary art flat"
            report([f"TEST FIRST: what was proven is the file of {proven}. This one needs other numbers."])
        else:
            report([f"{repeat.verdict}: {repeat.banner}", "  drawn for the numbers that were run"])
        return repeat.to_draw(USUAL_DRAWS)


def named_machine(job: "Job", where: Where) -> "Job":
    """The job with the machine that is asked for, if one is; raises UnknownName where there is none of that name."""
    if where.machine is None:
        return job
    from rotary.rig.machine import refuse_unknown

    refuse_unknown(where.machine, where.folder)
    return job.model_copy(update={"rig": where.machine})
