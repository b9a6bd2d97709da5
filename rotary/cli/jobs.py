"""The job that a command names: its file, its drawings, its plan, its artwork, and how it stands as a profile."""

import sys
from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

from rotary.cli import core
from rotary.cli.answers import typed
from rotary.cli.options import HERE, OtherArtwork, Where
from rotary.cli.output import report
from rotary.cli.waiting import waiting
from rotary.errors import BadArgument, FileTrouble, RotaryError, UnknownName, listing, refuse, unknown_name
from rotary.files import LARGEST_JOB_BYTES, is_file, is_there
from rotary.services import USUAL_DRAWS


class NamedJob(NamedTuple):
    """A job as a command names it, and where it is planned for."""

    name: str
    where: Where = HERE

    @property
    def path(self) -> Path:
        """The file: one of that name, else the shipped example, else the newest version of a profile."""
        path, shipped = Path(self.name), core.shipped.examples()
        if self.name in shipped and not is_file(path):
            return shipped[self.name]
        return path if is_there(path) or path.suffix or len(path.parts) != 1 else self._saved() or path

    def _saved(self) -> Path | None:
        """The newest version of a profile; raises UnknownName where nothing is called so."""
        store = self.where.profiles
        try:
            return core.places.versions(store / core.keeping.located(self.name, store).home)[-1].path
        except UnknownName:
            names = [*core.shipped.examples(), *(entry.name for entry in core.index.entries(store))]
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

    def sources_of(self, plan: "core.plan.Plan") -> tuple[Path, ...]:
        """Its own file and the artwork that its plan names."""
        return (*self.sources, *core.artwork.drawing_files(plan.job, self.drawings))

    def job(self) -> "core.job.Job":
        """The job, for the machine that is asked for."""
        laser = partial(core.lookup.with_its_laser, folder=self.where.folder)
        if self.name != "-":
            return self.for_machine(core.job.job_from_file(self.path, laser))
        if sys.stdin is None:
            raise FileTrouble("there is no standard input to read: name a job file")
        raw = sys.stdin.buffer.read(LARGEST_JOB_BYTES + 1)
        return self.for_machine(core.job.job_from_bytes(raw, "the standard input", laser))

    def for_machine(self, job: "core.job.Job") -> "core.job.Job":
        """The job with the machine that is asked for, if one is; raises UnknownName where none has that name."""
        machine = self.where.machine
        if machine is None:
            return job
        with typed({"machine": "--machine"}):
            core.lookup.refuse_unknown(machine, self.where.folder)
        return job.model_copy(update={"machine": machine})

    def on_machine(self) -> "core.job.Job":
        """The job as its machine was measured."""
        return core.lookup.on_its_rig(self.job(), self.where.folder)

    def measured(self, begins: bool = False) -> "core.machines.MachineOfJob":
        """The job and its machine, which may be a new one where it `begins` with this."""
        return core.machines.machine_of_job(self.job(), self.where.machine, self.where.folder, begins)

    def planned(self, job: "core.job.Job", samples: int | None = None) -> "core.plan.Plan":
        """A job's plan, after what was read."""
        return core.planning.plan_for(job, self.where.folders, self.where.samples if samples is None else samples)

    def plan(self, samples: int | None = None) -> "core.plan.Plan":
        """Its plan, for the machine as measured, after what was read."""
        job = self.job()
        with waiting("planning"):
            return self.planned(job, samples)

    def repeat(self) -> "core.Repeat | None":
        """How the profile stands that it names; None where it is a job without a proof."""
        profile = None if self.name == "-" else core.profiles.proven_profile(self.path)
        return None if profile is None else self.repeat_of(profile, profile.profile.job)

    def repeat_of(self, profile: "core.keeping.OpenedProfile", job: "core.job.Job") -> "core.Repeat":
        """How a profile stands today, with this job's artwork, for the machine that is asked for."""
        planned = partial(core.planning.plan_for, draws=self.where.samples)
        at = core.profiles.MachineAt(self.where.folder, self.for_machine(job).machine)
        return core.repeat_of_marks(profile, job, planned, self.where.system, at, self.drawings)

    def plan_of_marks(self, samples: int | None = None) -> "core.plan.Plan":
        """The plan of what is marked: of its words where it has some, else of its artwork."""
        return self.with_words(self.plan(samples), samples)

    def with_words(self, plan: "core.plan.Plan", samples: int | None = None) -> "core.plan.Plan":
        """The plan of the job's words in place of its artwork's, where it has some; raises Refused."""
        if not plan.job.is_inscribed:
            return plan
        return core.plan_of_marks(plan.job, partial(self.planned, samples=samples), self.drawings)

    def plan_to_draw(self, method: str = "") -> "core.plan.Plan":
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


class Pieces(NamedTuple):
    """Drawings and texts in place of those of a job; none of either where the job's own are meant."""

    job: NamedJob
    art: Sequence[Path] = ()
    texts: Sequence[str] = ()
    reading: Mapping[str, str] = MappingProxyType({})

    @classmethod
    def of(cls, job: NamedJob, other: OtherArtwork) -> "Pieces":
        """Of what is named on the command line; raises BadArgument where it says how to read what is not named."""
        if other.reading and not other.art:
            options = listing([f"--{name.replace('_', '-')}" for name in other.reading], "or")
            raise BadArgument(f"a drawing is read with {options}: name one after --art")
        return cls(job, other.art or (), other.text or (), other.reading)

    @property
    def are_words(self) -> bool:
        """Whether what is drawn is the job's inscription: it has no artwork, and none is named here."""
        return not (self.art or self.texts) and self.job.job().is_inscribed

    def has_some(self, plan: "core.plan.Plan") -> bool:
        """Whether there is anything to draw, of its own or named here."""
        return bool(self.art or self.texts or plan.job.artwork.pieces)

    def ink(self, plan: "core.plan.Plan") -> "core.pieces.Ink":
        """The artwork as it lies on the item."""
        if not self.has_some(plan):
            says = 'name a drawing or a text: write --art crest.svg or --text "Heron", or pieces in the job'
            raise refuse("artwork.pieces", says)
        fields = {"artwork.pieces.file": "", "--art.file": "--art"}
        fields |= dict.fromkeys(("artwork.pieces.text", "artwork.text"), "--text")
        for name in self.reading:
            fields |= dict.fromkeys((f"--art.{name}", f"artwork.pieces.{name}"), f"--{name.replace('_', '-')}")
        with waiting("reading the artwork"), typed(fields if self.art or self.texts else {}):
            return core.artwork.ink_for(plan, self.job.drawings, self._artwork(plan.job.artwork))

    def sources(self, job: "core.job.Job") -> tuple[Path, ...]:
        """What is read, and so is never written over."""
        own = () if self.art or self.texts else core.artwork.drawing_files(job, self.job.drawings)
        return (*self.job.sources, *self.art, *own)

    def name(self, artwork: "core.models.Artwork") -> str:
        """What the artwork is called: after what is drawn, where other artwork is named on the command line."""
        texts = [" ".join(text.replace("\\n", " ").split()) for text in self.texts]
        drawn = ", ".join([*(path.stem for path in self.art), *texts])
        return drawn[:60] if drawn and not self._own(artwork) else artwork.name

    def named(self, plan: "core.plan.Plan") -> "core.plan.Plan":
        """The plan with its artwork so called."""
        return plan.model_copy(update={"job": plan.job.with_artwork(name=self.name(plan.job.artwork))})

    def _artwork(self, artwork: "core.models.Artwork") -> "core.models.Artwork":
        """A profile stores no drawing: where its own are named, they lie as the profile says."""
        pieces = self._own(artwork)
        if not pieces:
            pieces = [_file_piece(path, self.reading) for path in self.art]
            pieces += [_text_piece(text, artwork) for text in self.texts]
        return artwork.model_copy(update={"pieces": tuple(pieces)}) if pieces else artwork

    def _own(self, artwork: "core.models.Artwork") -> "list[core.models.Piece]":
        """A profile's pieces with the places of their drawings, where exactly those are named; else none."""
        named = {path.name: path for path in self.art}
        own = {Path(piece.file).name for piece in artwork.pieces if piece.file is not None}
        if not named or self.texts or not self.job.is_profile or named.keys() != own or len(named) != len(self.art):
            return []
        return [
            piece.model_copy(update={"file": _file_piece(named[Path(piece.file).name]).file}) if piece.file else piece
            for piece in artwork.pieces
        ]


def _file_piece(path: Path, reading: Mapping[str, str] = MappingProxyType({})) -> "core.models.Piece":
    """The piece that a drawing's file is, read as asked; raises Refused where one of the texts can't be read."""
    return core.faults.model_from_texts(core.models.Piece, {"file": str(path.absolute()), **reading}, under="--art")


def _text_piece(text: str, artwork: "core.models.Artwork") -> "core.models.Piece":
    """A text as large as the job's frame takes it; a backslash and n break its line."""
    if not text.strip():
        raise BadArgument('--text is empty; write what is to be marked, for example --text "Heron"')
    return core.pieces.text_in_frame(text.replace("\\n", "\n"), artwork)
