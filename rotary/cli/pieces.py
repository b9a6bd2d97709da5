"""A piece of artwork from the name of its file, with a sentence for a name that can't be one."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rotary.artwork.models import Artwork, Piece
    from rotary.artwork.sets import Over
    from rotary.plan import Plan


def named_after(made: "Plan", asked: argparse.Namespace) -> "Plan":
    """The plan with its artwork named after what is drawn, where other artwork is named on the command line."""
    if _own_pieces(asked, made.job.artwork):
        return made
    texts = [" ".join(text.replace("\\n", " ").split()) for text in asked.text or ()]
    drawn = ", ".join([*(Path(path).stem for path in asked.art or ()), *texts])
    if not drawn:
        return made
    return made.model_copy(update={"job": made.job.with_artwork(name=drawn[:60])})


def artwork_asked_for(asked: argparse.Namespace, artwork: "Artwork") -> "Artwork":
    """The job's artwork, or the files and texts named on the command line in its place.

    A profile stores no drawing: where its own are named, they lie as the profile says.
    """
    pieces = _own_pieces(asked, artwork)
    if not pieces:
        reading = {name: value for name in READING if (value := getattr(asked, name, None)) is not None}
        pieces = [file_piece(path, reading) for path in asked.art or ()]
        pieces += [text_piece(text, artwork) for text in asked.text or ()]
    return artwork.model_copy(update={"pieces": tuple(pieces)}) if pieces else artwork


def _own_pieces(asked: argparse.Namespace, artwork: "Artwork") -> "list[Piece]":
    """A profile's pieces with the places of their drawings, where exactly those are named; else none."""
    from rotary.cli.jobs import is_profile

    named = {Path(path).name: path for path in asked.art or ()}
    own = {Path(piece.file).name for piece in artwork.pieces if piece.file is not None}
    if not named or asked.text or not is_profile(asked.job) or named.keys() != own or len(named) != len(asked.art):
        return []
    return [
        piece.model_copy(update={"file": file_piece(named[Path(piece.file).name]).file}) if piece.file else piece
        for piece in artwork.pieces
    ]


def over_of(asked: argparse.Namespace) -> "Over":
    """What may be replaced."""
    return "all" if getattr(asked, "over", False) else "no"


def sources_of(asked: argparse.Namespace) -> tuple[Path, ...]:
    """The job's own file, which is never written over."""
    from rotary.cli.jobs import path_of_job

    return () if getattr(asked, "job", "-") in (None, "-") else (path_of_job(asked.job),)


READING: Final = ("unit", "line_width", "close_gaps", "dark_below", "font")
"""Options that say how a drawing is read, named as the keys of a piece are."""


def file_piece(path: str, reading: "Mapping[str, str] | None" = None) -> "Piece":
    """The piece that a drawing's file is, read as asked; raises Refused where one of the texts can't be read."""
    from rotary.artwork.models import Piece
    from rotary.faults import model_from_texts

    return model_from_texts(Piece, {"file": str(Path(path).absolute()), **(reading or {})}, under="--art")


def text_piece(text: str, artwork: "Artwork") -> "Piece":
    """A text named on the command line, as large as the job's frame takes it; a backslash and n break its line."""
    from rotary.artwork.pieces import text_in_frame
    from rotary.errors import Fault, Refused

    if not text.strip():
        raise Refused([Fault("--text", 'is empty; write what is to be marked, for example --text "Heron"')])
    return text_in_frame(text.replace("\\n", "\n"), artwork)
