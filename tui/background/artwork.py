"""Artwork as the background process reads it: each state of a file once, and what is wrong with one at its field."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Final

from rotary.errors import Fault, FileTrouble, Predicate, Refused, brief
from rotary.services.artwork import ink_for
from tui.background.tasks import Errand

if TYPE_CHECKING:
    from rotary.artwork.drawing import Drawing, DrawingReading
    from rotary.artwork.pieces import Ink
    from rotary.plan import Plan

MOST_KEPT: Final = 8
"""Drawings that are kept as read, by file, time and size."""

Tell = Callable[[float], None]


def ink_of(errand: Errand, made: "Plan", tell: Tell) -> "Ink":
    """The pieces as one region; each file that can't be read is the fault of its own field."""
    from rotary.files import regular_file

    beside, faults = Path(errand.beside), []
    for number, piece in enumerate(made.job.artwork.pieces):
        for name, file in (("file", piece.file), ("font", piece.font)):
            if file is None:
                continue
            try:
                with regular_file(beside / file):
                    pass
            except OSError:
                faults.append(Fault(f"artwork.pieces.{number}.{name}", _missing(beside / file)))
            except ValueError:
                faults.append(
                    Fault(
                        f"artwork.pieces.{number}.{name}",
                        Predicate("is not a file name: press Ctrl+E to choose a drawing"),
                    )
                )
    if faults:
        raise Refused(faults)
    try:
        return ink_for(made, beside, read=reader(tell))
    except FileTrouble as trouble:
        raise Refused([Fault("artwork.pieces.0.file", str(trouble))]) from None


def _missing(path: Path) -> str:
    from rotary.files import is_file, is_folder, is_there

    shown = brief(path, 80)
    if is_folder(path):
        return f"{shown} is a folder: press Ctrl+E to choose a drawing in this folder"
    if is_there(path) and not is_file(path):
        return f"{shown} can't be opened as a file: press Ctrl+E to choose a drawing"
    if is_there(path):
        return f"you are not allowed to open {shown}: press Ctrl+E to choose another drawing"
    return f"there is no file {shown}: press Ctrl+E to find the drawing, or empty this field"


_kept: dict[tuple[object, ...], "Drawing"] = {}


def reader(tell: Tell) -> Callable[[Path, "DrawingReading"], "Drawing"]:
    """Reads drawings, each state of a file once for a size."""
    from rotary.artwork.read import read_artwork

    def read(path: Path, how: "DrawingReading") -> "Drawing":
        state = path.stat()
        mark = (str(path), state.st_mtime_ns, state.st_size, how)
        if mark not in _kept:
            while len(_kept) >= MOST_KEPT:
                _kept.pop(next(iter(_kept)))
            _kept[mark] = read_artwork(path, how._replace(progress=tell))
        return _kept[mark]

    return read
