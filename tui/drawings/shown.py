"""What a picture is given besides the plan: something that was found out apart from it."""

from typing import Any, Final, NamedTuple

from tui.drawings.canvas import Line, Run, cells
from tui.drawings.words import wrapped


class Shown(NamedTuple):
    """The last good answer, whether it is of what stands now, and what to say of it."""

    value: Any = None
    fresh: bool = False
    says: str = ""
    bad: bool = False


NOTHING: Final = Shown()


def what_is_off(name: str, found: Shown, width: int) -> list[Line]:
    """Why what is shown of `name` is not of what stands now; nothing where it is."""
    if found.fresh:
        return []
    ink, mark = ("bad", " ! ") if found.bad else ("muted", " ")
    return wrapped(f"{name}: {found.says or 'none yet'}", width - 1, ink, mark)


def with_note(lines: list[Line], note: str, action: str, width: int) -> list[Line]:
    """The lines with a note after the last one, where it has room.

    >>> with_note([[Run("words")]], "note", "", 12)[0][1].text
    '  note'
    """
    if lines and sum(cells(run.text) for run in lines[-1]) + 2 + len(note) < width:
        return [*lines[:-1], [*lines[-1], Run(f"  {note}", "muted", action)]]
    return lines
