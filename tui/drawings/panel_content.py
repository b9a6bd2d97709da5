"""What a picture is given besides the plan: something that was found out apart from it."""

from collections.abc import Sequence
from typing import Any, Final, NamedTuple

from tui.drawings.canvas import Line, Run, cells
from tui.drawings.pixels import Pixels
from tui.drawings.words import wrapped


class Content(NamedTuple):
    """The last good answer, whether it is of what stands now, and what to say of it."""

    value: Any = None
    fresh: bool = False
    says: str = ""
    bad: bool = False


NOTHING: Final = Content()


def outdated_note(name: str, found: Content, width: int) -> list[Line]:
    """Why what is shown of `name` is not of what stands now; nothing where it is."""
    if found.fresh:
        return []
    ink, mark = ("bad", " ! ") if found.bad else ("muted", " ")
    return wrapped(f"{name}: {found.says or 'none yet'}", width - 1, ink, mark)


def rows_with_room(height: int, lines: Sequence[Line]) -> int:
    """How many rows of a picture have room below the lines of what is off, and above one line of words."""
    return max(height - len(lines) - 1, 0)


def image_rows(width: int, height: int, found: Content) -> tuple[int, int, Pixels] | None:
    """The image of a picture: the line it begins on, how many rows of it have room, and itself; None without one."""
    pixels: Pixels | None = found.value.pixels if found.value is not None else None
    if pixels is None:
        return None
    lines = outdated_note("picture", found, width)
    return len(lines), min(pixels.rows, rows_with_room(height, lines)), pixels


def with_note(lines: list[Line], note: str, action: str, width: int) -> list[Line]:
    """The lines with a note after the last one, where it has room.

    >>> with_note([[Run("words")]], "note", "", 12)[0][1].text
    '  note'
    """
    if lines and sum(cells(run.text) for run in lines[-1]) + 2 + len(note) < width:
        return [*lines[:-1], [*lines[-1], Run(f"  {note}", "muted", action)]]
    return lines
