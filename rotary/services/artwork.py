"""The artwork of a job, read and set as it lies on the item.

Front ends import this at once, so it loads the readers only when it is called.
"""

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from rotary.errors import RotaryError

if TYPE_CHECKING:
    from rotary.artwork.drawing import Drawing, DrawingReading
    from rotary.artwork.pieces import Ink
    from rotary.artwork.rings import Rings
    from rotary.job import Job
    from rotary.plan import Plan

    Reader = Callable[[Path, DrawingReading], Drawing]


def ink_for(made: "Plan", beside: Path, read: "Reader | None" = None) -> "Ink":
    """The ink of a plan's artwork, whose files lie `beside` the job.

    `read` reads a drawing, or remembers it. Raises Refused with every fault, FileTrouble.
    """
    from rotary.artwork.pieces import ink_of
    from rotary.artwork.read import read_artwork

    return ink_of(made.ground, beside, read=read or read_artwork)


def outlines_of(made: "Plan", beside: Path, system: str) -> "tuple[Rings | None, tuple[str, ...]]":
    """The outlines of a plan's artwork about its middle, and how large its pieces are; None where it names none."""
    from rotary.artwork.models import size_texts

    if not made.job.artwork.pieces:
        return None, ()
    ink = ink_for(made, beside)
    return ink.composition.ink, size_texts(ink.sizes, system)


def with_other_artwork(
    job: "Job", files: Iterable[Path], texts: Iterable[str], reading: Mapping[str, str] | None = None
) -> "Job":
    """The job with drawings, read as asked, and texts, as large as its frame takes them, in place of what it marks.

    Raises Refused where one can't be read or set.
    """
    from rotary.artwork.models import Piece
    from rotary.artwork.pieces import text_in_frame
    from rotary.faults import model_from_texts

    pieces = [model_from_texts(Piece, {"file": str(path.absolute()), **(reading or {})}) for path in files]
    asked = [model_from_texts(Piece, {"text": text}) for text in texts]
    pieces += [text_in_frame(one.text or "", job.artwork) for one in asked]
    return job.with_artwork(pieces=tuple(pieces)).but(inscription=None)


def drawing_files(job: "Job", beside: Path) -> tuple[Path, ...]:
    """The files of a job's own drawings, which are never written over."""
    return tuple(beside / piece.file for piece in job.artwork.pieces if piece.file is not None)


def own_size_mm(path: Path) -> tuple[float, float] | None:
    """How wide and high a drawing is by its own file [mm]; None where that states no size or can't be read."""
    from rotary.artwork.drawing import AS_IT_IS
    from rotary.artwork.read import read_artwork

    try:
        drawing = read_artwork(path, AS_IT_IS)
    except (RotaryError, OSError, ValueError):
        return None
    return (drawing.ink_width_mm, drawing.ink_height_mm) if drawing.size_stated else None
