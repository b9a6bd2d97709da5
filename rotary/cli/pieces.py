"""Artwork that is named on the command line, in place of the job's own."""

from collections.abc import Sequence
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from rotary.errors import BadArgument

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rotary.artwork.models import Artwork, Piece
    from rotary.artwork.pieces import Ink
    from rotary.cli.jobs import NamedJob
    from rotary.cli.options import OtherArtwork
    from rotary.job import Job
    from rotary.plan import Plan


class Pieces(NamedTuple):
    """Drawings and texts in place of those of a job; none of either where the job's own are meant."""

    job: "NamedJob"
    art: Sequence[Path] = ()
    texts: Sequence[str] = ()
    reading: "Mapping[str, str]" = MappingProxyType({})

    @classmethod
    def of(cls, job: "NamedJob", other: "OtherArtwork") -> "Pieces":
        """Of what is named on the command line."""
        return cls(job, other.art or (), other.text or (), other.reading)

    def ink(self, made: "Plan") -> "Ink":
        """The artwork as it lies on the item."""
        from rotary.cli.waiting import waiting
        from rotary.services.artwork import ink_for

        with waiting("reading the artwork"):
            return ink_for(made, self.job.drawings, self._artwork(made.job.artwork))

    def sources(self, job: "Job") -> tuple[Path, ...]:
        """What is read, and so is never written over."""
        from rotary.services.artwork import drawing_files

        own = () if self.art or self.texts else drawing_files(job, self.job.drawings)
        return (*self.job.sources, *self.art, *own)

    def name(self, artwork: "Artwork") -> str:
        """What the artwork is called: after what is drawn, where other artwork is named on the command line."""
        texts = [" ".join(text.replace("\\n", " ").split()) for text in self.texts]
        drawn = ", ".join([*(path.stem for path in self.art), *texts])
        return drawn[:60] if drawn and not self._own(artwork) else artwork.name

    def named(self, made: "Plan") -> "Plan":
        """The plan with its artwork so called."""
        return made.model_copy(update={"job": made.job.with_artwork(name=self.name(made.job.artwork))})

    def _artwork(self, artwork: "Artwork") -> "Artwork":
        """A profile stores no drawing: where its own are named, they lie as the profile says."""
        pieces = self._own(artwork)
        if not pieces:
            pieces = [_file_piece(path, self.reading) for path in self.art]
            pieces += [_text_piece(text, artwork) for text in self.texts]
        return artwork.model_copy(update={"pieces": tuple(pieces)}) if pieces else artwork

    def _own(self, artwork: "Artwork") -> "list[Piece]":
        """A profile's pieces with the places of their drawings, where exactly those are named; else none."""
        named = {path.name: path for path in self.art}
        own = {Path(piece.file).name for piece in artwork.pieces if piece.file is not None}
        if not named or self.texts or not self.job.is_profile or named.keys() != own or len(named) != len(self.art):
            return []
        return [
            piece.model_copy(update={"file": _file_piece(named[Path(piece.file).name]).file}) if piece.file else piece
            for piece in artwork.pieces
        ]


def _file_piece(path: Path, reading: "Mapping[str, str] | None" = None) -> "Piece":
    """The piece that a drawing's file is, read as asked; raises Refused where one of the texts can't be read."""
    from rotary.artwork.models import Piece
    from rotary.faults import model_from_texts

    return model_from_texts(Piece, {"file": str(path.absolute()), **(reading or {})}, under="--art")


def _text_piece(text: str, artwork: "Artwork") -> "Piece":
    """A text as large as the job's frame takes it; a backslash and n break its line."""
    from rotary.artwork.pieces import text_in_frame

    if not text.strip():
        raise BadArgument('--text is empty; write what is to be marked, for example --text "Heron"')
    return text_in_frame(text.replace("\\n", "\n"), artwork)
