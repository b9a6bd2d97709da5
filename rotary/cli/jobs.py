"""The job that a command names: its file, its drawings, its plan, its artwork, and how it stands as a profile."""

import sys
from collections.abc import Mapping
from contextlib import AbstractContextManager, nullcontext
from functools import cached_property, partial
from pathlib import Path
from typing import Annotated, Any, ClassVar, Final, Literal

from rotary.cli import core
from rotary.cli.options import Where, options, texts
from rotary.cli.output import report, typed, waiting
from rotary.cli.values import CHOICE, Files, MoreLines, Note, ProfileName, Typed, whole
from rotary.errors import BadArgument, FileTrouble, Refused, listing, refuse
from rotary.files import LARGEST_JOB_BYTES, toml_tables
from rotary.services import USUAL_DRAWS

READING: Final = "unit line_width close_gaps dark_below font"
"""How a drawing is read, by the keys of a piece of artwork."""

FILLED: Final = ("items", "spoiled", "took", "passes", "power", "batch", "note")
"""What is filled in of a run, besides its outcome."""


@options
class NamedJob(Where):
    """A job as a command names it, and where it is planned for."""

    @property
    def path(self) -> Path:
        """The file."""
        return core.jobs.file_of_job(self.name, self.profiles)

    @property
    def typed_name(self) -> str | None:
        """Its name as a command takes it; None of a job that another program sends."""
        return None if self.name in ("-", "") else f'"{self.name}"' if " " in self.name else self.name

    @property
    def is_profile(self) -> bool:
        """Whether it comes from the store, which holds no drawings."""
        return self.name != "-" and self.profiles.resolve() in self.path.resolve().parents

    @property
    def drawings(self) -> Path:
        """The folder from which its drawings count: its own, or this one where it comes from the store."""
        return Path() if self.name == "-" or self.is_profile else self.path.parent

    @property
    def sources(self) -> tuple[Path, ...]:
        """Its own file, which is never written over."""
        return () if self.name in ("-", "") else (self.path,)

    def drawings_of(self, job: "core.job.Job") -> tuple[Path, ...]:
        """What is read for it, and so is never written over: its own file, and its drawings."""
        return (*self.sources, *core.artwork.drawing_files(job, self.drawings))

    def job(self, begins: bool = False) -> "core.job.Job":
        """The job, for the machine that is asked for, which may be a new one where it `begins` with this."""
        if self.name != "-":
            job = self._from_file()
        else:
            job = core.job.job_from_bytes(self._piped, "the job from the other program", self._with_laser)
        return job if begins else self.for_machine(job)

    def _from_file(self) -> "core.job.Job":
        """The job of its file; raises Refused, of a damaged saved job with what to do."""
        try:
            return core.job.job_from_file(self.path, self._with_laser)
        except Refused:
            if not self.is_profile:
                raise
            try:
                core.stored_profiles.load(self.name, self.profiles)
            except core.stored_profiles.Damaged as damaged:
                raise refuse("", f"{damaged}. To set the damaged file aside write rotary profile repair") from None
            except FileTrouble:
                pass
            raise

    @cached_property
    def _piped(self) -> bytes:
        """What stands on the standard input, which is read once."""
        if sys.stdin is None:
            raise FileTrouble("no other program sends a job here: name a job file instead of -")
        return sys.stdin.buffer.read(LARGEST_JOB_BYTES + 1)

    def for_machine(self, job: "core.job.Job") -> "core.job.Job":
        """The job with the machine that is asked for, if one is; raises UnknownName where none has that name."""
        machine = self.machine
        if machine is None:
            return job
        with typed({"machine": "--machine"}):
            core.lookup.refuse_unknown(machine, self.folder)
        return job.model_copy(update={"machine": machine})

    def _with_laser(self, tables: Mapping[str, Any]) -> dict[str, Any]:
        """A job's tables with the laser of its machine; raises UnknownName where that machine is not there."""
        found = core.lookup.with_its_laser(tables, self.folder)
        named = tables.get("machine")
        if isinstance(named, str) and named.strip() and not found.keys() & {"laser", "use_laser"}:
            core.lookup.refuse_unknown(named, self.folder)
        return found

    def on_machine(self) -> "core.job.Job":
        """The job as its machine was measured."""
        return core.lookup.on_its_machine(self.job(), self.folder)

    def measured(self, begins: bool = False) -> "core.machines.MachineOfJob":
        """The job and its machine, which may be a new one where it `begins` with this."""
        return core.machines.machine_of_job(self.job(begins), self.machine, self.folder, begins)

    def planned(self, job: "core.job.Job", samples: int | None = None) -> "core.plan.Plan":
        """A job's plan, after what was read."""
        try:
            return core.planning.plan_for(job, self.folders, self.samples if samples is None else samples)
        except Refused as refused:
            piped = toml_tables(self._piped.decode()) if self.name == "-" else None
            raise core.repairs.at_its_cause(refused, piped or core.jobs.tables_of_job(self.path)) from None

    def plan(self, samples: int | None = None) -> "core.plan.Plan":
        """Its plan, for the machine as measured, after what was read."""
        job = self.job()
        with waiting("planning"):
            return self.planned(job, samples)

    def repeat(self) -> "core.standing.Repeat | None":
        """How the profile stands that it names; None where it is a job without a proof."""
        profile = None if self.name == "-" else core.profiles.proven_profile(self.path)
        return None if profile is None else self.repeat_of(profile)

    def repeat_of(
        self, profile: "core.stored_profiles.OpenedProfile", job: "core.job.Job | None" = None
    ) -> "core.standing.Repeat":
        """How a profile stands today, with this job's artwork, for the machine that is asked for."""
        job = job or profile.profile.job
        planned = partial(core.planning.plan_for, draws=self.samples)
        at = core.profiles.MachineAt(self.folder, self.for_machine(job).machine)
        return core.marking.repeat_of_marks(profile, job, planned, self.system, at, self.drawings)

    def plan_of_marks(self, samples: int | None = None) -> "core.plan.Plan":
        """The plan of what is marked: of its words where it has some, else of its artwork."""
        with waiting("planning"):
            return self.marked(self.job(), samples)

    def marked(self, job: "core.job.Job", samples: int | None = None) -> "core.plan.Plan":
        """As `plan_of_marks`, of a job, with its words as large as its machine makes them."""
        job = core.lookup.on_its_machine(job, self.folder) if job.is_inscribed else job
        return core.marking.plan_of_marks(job, partial(self.planned, samples=samples), self.drawings)

    def plan_to_draw(self, method: str = "") -> "core.plan.Plan":
        """The plan that files are drawn for: with the numbers that were run, where it names a profile that is proven.

        `method` is how what is drawn is divided; a proof of the other way does not hold for it.
        """
        repeat = self.as_run(method)
        return self.plan(USUAL_DRAWS) if repeat is None else repeat.to_draw(USUAL_DRAWS)

    def as_run(self, method: str = "") -> "core.standing.Repeat | None":
        """The profile whose numbers as run are drawn for, which is said; None where it names none that is proven."""
        repeat = self.repeat()
        if repeat is None or repeat.run is None:
            return None
        if method and not repeat.job.item.flats and repeat.run.slices > 1 and repeat.run.method != method:
            proven = "rotary art slice" if method == "flat" else "rotary art flat"
            report([f"TEST FIRST: you proved this job with a file of {proven}. This file needs other numbers."])
        else:
            report([f"{repeat.verdict}: {repeat.banner}", "  This file is for the numbers that you ran."])
        return repeat


@options
class JobIfAny(NamedJob):
    """A job that may be left out: it has no name then."""

    UNNAMED: ClassVar[Any] = ""


@options
class SavedJob(NamedJob):
    """A profile as a command names it, and where it is planned for; its artwork lies where it is called from."""

    CALLED: ClassVar[Any] = ProfileName

    @property
    def drawings(self) -> Path:
        """The folder from which its drawings count."""
        return Path()


@options
class RunJob(SavedJob):
    """A saved job that was run, and what you can say about the run.

    :param passes: how many passes each slice got (as you counted on the second slice)
    :param power: the power at which the first slice came clean, like "26 %" (if left out, the first power of the plan)
    :param numbers: which numbers you ran: saved (those in the saved job) or now (those of today's plan); if the two
        differ, you need this
    :param file: a file that you imported into your marking program: rotary tells you later if it has changed
    :param batch: your name for the batch of coating on these items, like "April"
    """

    passes: Annotated[int | None, whole(0, 1000)] = None
    power: Typed = None
    numbers: Annotated[Literal["saved", "now"] | None, CHOICE] = None
    file: Files = None
    batch: str = ""
    note: Note = ""

    def texts(self, outcome: str) -> dict[str, str]:
        """What is said of the run, by the names of its fields."""
        said = {name: f"{one}" for name, one in vars(self).items() if name in FILLED and one is not None}
        return said | {"outcome": outcome}

    def said(self) -> AbstractContextManager[None]:
        """What is refused of it was typed."""
        return typed({name: f"--{name}" for name in ("numbers", "outcome", *FILLED)})

    @property
    def came(self) -> "core.run.CameClean":
        """How the first slice came clean; raises BadArgument where the power is none."""
        with self.said():
            return core.run.CameClean(self.passes, core.logbook.power_from_text(self.power))

    @property
    def files(self) -> "tuple[core.record.ArtworkFile, ...]":
        """The files that the marking program was given."""
        return tuple(map(core.additions.artwork_file, self.file or ()))


def no_artwork() -> Refused:
    """That there is no artwork to draw."""
    says = 'nothing to mark: name a drawing or words, like --art crest.svg or --text "Heron", or put artwork in the job'
    return refuse("artwork.pieces", says)


@options
@texts(READING)
class Pieces(NamedJob):
    r"""Drawings and texts instead of the job's, and how drawings are read.

    :param art: the SVG or DXF drawing, instead of the job's artwork
    :param text: the words to mark, instead of the job's artwork; \n starts a new line
    :param unit: the unit of a DXF drawing that names none: mm, cm, m, in or ft
    :param line_width: how wide to mark open lines of a DXF drawing, like "0.3 mm"
    :param close_gaps: close gaps between line ends of a DXF drawing up to this width, like "0.1 mm"
    :param dark_below: mark every colour darker than this: 0 % is black, 100 % is white (50 % if left out)
    :param font: the font for words in a drawing: a TTF or OTF file, or the name of a font
    """

    art: Files = None
    text: MoreLines = None

    def __post_init__(self) -> None:
        """Raise BadArgument where it is said how to read a drawing that is not named."""
        if self.reading and not self.art:
            asked = listing([f"--{name.replace('_', '-')}" for name in self.reading], "or")
            font = ". For your own words put the font into the job" if "font" in self.reading else ""
            raise BadArgument(f"{asked} is only for drawings: name a drawing after --art{font}")

    @property
    def reading(self) -> dict[str, str]:
        """How drawings are read; only what was asked for."""
        return {name: vars(self)[name] for name in READING.split() if vars(self).get(name) is not None}

    def job(self, begins: bool = False) -> "core.job.Job":
        """The job with the artwork that is named here, for the machine that is asked for."""
        return self.with_artwork(super().job(begins))

    def plan_to_draw(self, method: str = "") -> "core.plan.Plan":
        """The plan that files of this artwork are drawn for."""
        plan = super().plan_to_draw(method)
        return plan.model_copy(update={"job": self.with_artwork(plan.job)})

    def with_artwork(self, job: "core.job.Job") -> "core.job.Job":
        """A job with the drawings and texts that are named here, if some are, and called after them."""
        art, texts = self.art or (), self.text or ()
        if not all(map(str.strip, texts)):
            raise BadArgument('--text is empty: write the words to mark, for example --text "Heron"')
        if not (art or texts):
            return job
        with self._typed():
            other = core.artwork.with_other_artwork(job, art, texts, self.reading)
        named = {path.name: piece.file for path, piece in zip(art, other.artwork.pieces, strict=False)}
        own = job.artwork.pieces
        is_same = len(named) == len(art) and not texts and self.is_profile
        if is_same and named.keys() == {Path(one.file).name for one in own if one.file}:
            # A profile stores no drawing: its pieces with the places of theirs, where exactly those are named.
            placed = [one.model_copy(update={"file": one.file and named[Path(one.file).name]}) for one in own]
            return job.with_artwork(pieces=tuple(placed))
        drawn = ", ".join([*(path.stem for path in art), *(" ".join(text.split()) for text in texts)])
        return other.with_artwork(name=drawn[:60] or job.artwork.name)

    def ink(self, plan: "core.plan.Plan") -> "core.pieces.Ink":
        """The artwork as it lies on the item."""
        if not plan.job.artwork.pieces:
            raise no_artwork()
        with waiting("reading the artwork"), self._typed():
            return core.artwork.ink_for(plan, self.drawings)

    def marks(self, plan: "core.plan.Plan") -> "tuple[core.rings.Rings | None, tuple[str, ...]]":
        """The ink of what is marked, and how large it is; None where there is none."""
        with waiting("reading the artwork"), self._typed():
            return core.marking.ink_of_marks(plan, self.drawings, self.system)

    def _typed(self) -> AbstractContextManager[None]:
        """What is refused of artwork that is named here was typed."""
        if not (self.art or self.text):
            return nullcontext()
        names = {"text": "--text", **{name: f"--{name.replace('_', '-')}" for name in self.reading}}
        places = ("", "artwork.", "artwork.pieces.")
        fields = {place + name: option for name, option in names.items() for place in places}
        return typed({"file": "--art", "artwork.pieces.file": "", **fields})
