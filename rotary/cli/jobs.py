"""The job that a command names: its file, its drawings, its plan, its artwork, and how it stands as a profile."""

import sys
from functools import partial
from pathlib import Path
from typing import Annotated, Any, ClassVar, Final

from rotary.cli import core
from rotary.cli.options import Where, options, texts
from rotary.cli.output import report, typed
from rotary.cli.values import LIST, Files, ProfileName
from rotary.cli.waiting import waiting
from rotary.errors import BadArgument, FileTrouble, RotaryError, UnknownName, listing, refuse, unknown_name
from rotary.files import LARGEST_JOB_BYTES, is_file, is_there
from rotary.services import USUAL_DRAWS

READING: Final = "unit line_width close_gaps dark_below font"
"""How a drawing is read, by the keys of a piece of artwork."""


@options
class NamedJob(Where):
    """A job as a command names it, and where it is planned for."""

    @property
    def path(self) -> Path:
        """The file: one of that name, else the shipped example, else the newest version of a profile."""
        path, shipped = Path(self.name), core.shipped.examples()
        if self.name in shipped and not is_file(path):
            return shipped[self.name]
        return path if is_there(path) or path.suffix or len(path.parts) != 1 else self._saved() or path

    def _saved(self) -> Path | None:
        """The newest version of a profile; raises UnknownName where nothing is called so."""
        store = self.profiles
        try:
            return core.places.versions(store / core.keeping.located(self.name, store).home)[-1].path
        except UnknownName:
            names = [*core.shipped.examples(), *(entry.name for entry in core.index.entries(store))]
            otherwise = "name a job file, an example (rotary job example), or a saved job (rotary profile list)"
            raise unknown_name("job", self.name, names, otherwise) from None
        except (RotaryError, IndexError):
            return None

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

    def job(self) -> "core.job.Job":
        """The job, for the machine that is asked for."""
        laser = partial(core.lookup.with_its_laser, folder=self.folder)
        if self.name != "-":
            return self.for_machine(core.job.job_from_file(self.path, laser))
        if sys.stdin is None:
            raise FileTrouble("there is no standard input to read: name a job file")
        raw = sys.stdin.buffer.read(LARGEST_JOB_BYTES + 1)
        return self.for_machine(core.job.job_from_bytes(raw, "the standard input", laser))

    def for_machine(self, job: "core.job.Job") -> "core.job.Job":
        """The job with the machine that is asked for, if one is; raises UnknownName where none has that name."""
        machine = self.machine
        if machine is None:
            return job
        with typed({"machine": "--machine"}):
            core.lookup.refuse_unknown(machine, self.folder)
        return job.model_copy(update={"machine": machine})

    def on_machine(self) -> "core.job.Job":
        """The job as its machine was measured."""
        return core.lookup.on_its_machine(self.job(), self.folder)

    def measured(self, begins: bool = False) -> "core.machines.MachineOfJob":
        """The job and its machine, which may be a new one where it `begins` with this."""
        return core.machines.machine_of_job(self.job(), self.machine, self.folder, begins)

    def planned(self, job: "core.job.Job", samples: int | None = None) -> "core.plan.Plan":
        """A job's plan, after what was read."""
        return core.planning.plan_for(job, self.folders, self.samples if samples is None else samples)

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
        self, profile: "core.keeping.OpenedProfile", job: "core.job.Job | None" = None
    ) -> "core.standing.Repeat":
        """How a profile stands today, with this job's artwork, for the machine that is asked for."""
        job = job or profile.profile.job
        planned = partial(core.planning.plan_for, draws=self.samples)
        at = core.profiles.MachineAt(self.folder, self.for_machine(job).machine)
        return core.marking.repeat_of_marks(profile, job, planned, self.system, at, self.drawings)

    def plan_of_marks(self, samples: int | None = None) -> "core.plan.Plan":
        """The plan of what is marked: of its words where it has some, else of its artwork."""
        return self.with_words(self.plan(samples), samples)

    def with_words(self, plan: "core.plan.Plan", samples: int | None = None) -> "core.plan.Plan":
        """The plan of the job's words in place of its artwork's, where it has some; raises Refused."""
        if not plan.job.is_inscribed:
            return plan
        return core.marking.plan_of_marks(plan.job, partial(self.planned, samples=samples), self.drawings)

    def plan_to_draw(self, method: str = "") -> "core.plan.Plan":
        """The plan that files are drawn for: with the numbers that were run, where it names a profile that is proven.

        `method` is how what is drawn is divided; a proof of the other way does not hold for it.
        """
        repeat = self.repeat()
        if repeat is None or repeat.run is None:
            return self.plan(USUAL_DRAWS)
        if method and not repeat.job.item.flats and repeat.run.slices > 1 and repeat.run.method != method:
            proven = "rotary art slice" if method == "plain" else "rotary art flat"
            report([f"TEST FIRST: the proven file was written by {proven}. This one needs other numbers."])
        else:
            report([f"{repeat.verdict}: {repeat.banner}", "  drawn for the numbers that were run"])
        return repeat.to_draw(USUAL_DRAWS)


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
@texts(READING)
class Pieces(NamedJob):
    r"""Drawings and texts instead of the job's, and how drawings are read.

    :param art: an SVG or DXF drawing instead of the job's
    :param text: a text instead of the job's; \n starts a new line
    :param unit: the unit, if the DXF drawing states none: mm, cm, m, in, ft
    :param line_width: how wide open lines of a DXF drawing are marked
    :param close_gaps: the largest gap to close between line ends in a DXF drawing
    :param dark_below: marks everything this dark or darker, "50 %"
    :param font: font for words in the artwork: a TTF or OTF file, or a font's name
    """

    art: Files = None
    text: Annotated[list[str] | None, LIST] = None

    def __post_init__(self) -> None:
        """Raise BadArgument where it is said how to read a drawing that is not named."""
        if self.reading and not self.art:
            asked = listing([f"--{name.replace('_', '-')}" for name in self.reading], "or")
            raise BadArgument(f"{asked} is for a drawing: name one after --art")

    @property
    def reading(self) -> dict[str, str]:
        """How drawings are read; only what was asked for."""
        return {name: vars(self)[name] for name in READING.split() if vars(self).get(name) is not None}

    @property
    def are_words(self) -> bool:
        """Whether what is drawn is the job's inscription: it has no artwork, and none is named here."""
        return not (self.art or self.text) and self.job().is_inscribed

    def has_some(self, plan: "core.plan.Plan") -> bool:
        """Whether there is anything to draw, of its own or named here."""
        return bool(self.art or self.text or plan.job.artwork.pieces)

    def ink(self, plan: "core.plan.Plan") -> "core.pieces.Ink":
        """The artwork as it lies on the item."""
        if not self.has_some(plan):
            says = 'name a drawing or a text: write --art crest.svg or --text "Heron", or pieces in the job'
            raise refuse("artwork.pieces", says)
        fields = {"artwork.pieces.file": "", "--art.file": "--art"}
        fields |= dict.fromkeys(("artwork.pieces.text", "artwork.text"), "--text")
        for name in self.reading:
            fields |= dict.fromkeys((f"--art.{name}", f"artwork.pieces.{name}"), f"--{name.replace('_', '-')}")
        with waiting("reading the artwork"), typed(fields if self.art or self.text else {}):
            artwork = plan.job.artwork
            pieces = self._own(artwork) or [*map(self._piece, self.art or ()), *self._texts(artwork)]
            artwork = artwork.model_copy(update={"pieces": tuple(pieces)}) if pieces else artwork
            return core.artwork.ink_for(plan, self.drawings, artwork)

    def drawings_of(self, job: "core.job.Job") -> tuple[Path, ...]:
        """What is read for it, and so is never written over."""
        return (*self.sources, *(self.art or ())) if self.art or self.text else super().drawings_of(job)

    def artwork_name(self, artwork: "core.models.Artwork") -> str:
        """What the artwork is called: after what is drawn, where other artwork is named on the command line."""
        words = [" ".join(text.replace("\\n", " ").split()) for text in self.text or ()]
        drawn = ", ".join([*(path.stem for path in self.art or ()), *words])
        return drawn[:60] if drawn and not self._own(artwork) else artwork.name

    def named(self, plan: "core.plan.Plan") -> "core.plan.Plan":
        """The plan with its artwork so called."""
        name = self.artwork_name(plan.job.artwork)
        return plan.model_copy(update={"job": plan.job.with_artwork(name=name)})

    def _own(self, artwork: "core.models.Artwork") -> "list[core.models.Piece]":
        """A profile stores no drawing: its pieces with the places of theirs, where exactly those are named."""
        named = {path.name: path for path in self.art or ()}
        own = {Path(piece.file).name for piece in artwork.pieces if piece.file is not None}
        if not named or self.text or not self.is_profile or named.keys() != own or len(named) != len(self.art or ()):
            return []
        files = {name: self._piece(path).file for name, path in named.items()}
        return [
            piece.model_copy(update={"file": files[Path(piece.file).name]}) if piece.file else piece
            for piece in artwork.pieces
        ]

    def _piece(self, path: Path) -> "core.models.Piece":
        """The piece that a drawing's file is, read as asked; raises Refused where one of the texts can't be read."""
        given = {"file": str(path.absolute()), **self.reading}
        return core.faults.model_from_texts(core.models.Piece, given, under="--art")

    def _texts(self, artwork: "core.models.Artwork") -> "list[core.models.Piece]":
        """Each text as large as the job's frame takes it; a backslash and n break its line."""
        if not all(text.strip() for text in self.text or ()):
            raise BadArgument('--text is empty: write what is to be marked, for example --text "Heron"')
        return [core.pieces.text_in_frame(text.replace("\\n", "\n"), artwork) for text in self.text or ()]
