"""A piece of artwork from the name of its file, with a sentence for a name that can't be one."""

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rotary.artwork.models import Artwork, Piece


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
