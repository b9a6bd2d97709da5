"""A piece of artwork from the name of its file, with a sentence for a name that can't be one."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rotary.artwork.models import Artwork, Piece
    from rotary.artwork.sets import Over
    from rotary.plan import Plan


def named_after(made: "Plan", asked: argparse.Namespace) -> "Plan":
    """The plan with its artwork named after what is drawn, where that is named on the command line."""
    texts = [" ".join(text.replace("\\n", " ").split()) for text in asked.text or ()]
    drawn = ", ".join([*(Path(path).stem for path in asked.art or ()), *texts])
    if not drawn:
        return made
    job = made.job
    artwork = job.artwork.model_copy(update={"name": drawn[:60]})
    return made.model_copy(update={"job": job.model_copy(update={"artwork": artwork})})


def over_of(asked: argparse.Namespace) -> "Over":
    """What may be replaced."""
    return "all" if getattr(asked, "over", False) else "no"


def sources_of(asked: argparse.Namespace) -> tuple[Path, ...]:
    """The job's own file, which is never written over."""
    from rotary.cli.commands import path_of_job

    return () if getattr(asked, "job", "-") in (None, "-") else (path_of_job(asked.job),)


def file_piece(path: str) -> "Piece":
    """The piece that a drawing's file is; raises Refused where its name is no text."""
    from pydantic import ValidationError

    from rotary.artwork.models import Piece
    from rotary.errors import Refused
    from rotary.faults import faults_of

    try:
        return Piece(file=str(Path(path).absolute()))
    except ValidationError as error:
        raise Refused(faults_of(error, Piece, under="--art")) from None


def text_piece(text: str, artwork: "Artwork") -> "Piece":
    """A text named on the command line, as large as the job's frame takes it; a backslash and n break its line."""
    from rotary.artwork.pieces import text_in_frame
    from rotary.errors import Fault, Refused

    if not text.strip():
        raise Refused([Fault("--text", 'is empty; write what is to be marked, for example --text "Heron"')])
    return text_in_frame(text.replace("\\n", "\n"), artwork)
