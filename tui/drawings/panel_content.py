"""What a picture is given besides the plan: something that was found out apart from it."""

from typing import Any, Final, NamedTuple

from tui.drawings.canvas import Line, Run, cells, plain
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
    return wrapped(f"{name}: {found.says or 'not worked out yet'}", width - 1, ink, mark)


def words_below(width: int, height: int, found: Content) -> list[Line]:
    """What stands below a picture: that it is a drawing, which is never pushed out of sight, then why it is not of what
    stands now; what passes by itself in the same line where it has room: no row of the picture comes and goes."""
    off = outdated_note("picture", found, width)
    if found.value is None:
        return off
    says = [line for text in found.value.says for line in wrapped(text, width - 1, "muted", " ")]
    first = says[:1] if found.bad or not off else with_note(says[:1], plain(off).strip(), "", width)
    off = off if first == says[:1] else []
    return [*first, *off, *says[1:]][: max(height - len(found.value.rows) // 2, 1 + len(off))]


def image_rows(width: int, height: int, found: Content) -> tuple[int, Pixels] | None:
    """The image of a picture, and how many rows of it have room above its words; None without one."""
    pixels: Pixels | None = found.value.pixels if found.value is not None else None
    return (min(pixels.rows, height - len(words_below(width, height, found))), pixels) if pixels else None


def with_note(lines: list[Line], note: str, action: str, width: int) -> list[Line]:
    """The lines with a note after the last one, where it has room.

    >>> with_note([[Run("words")]], "note", "", 12)[0][1].text
    '  note'
    """
    if lines and sum(cells(run.text) for run in lines[-1]) + 2 + len(note) < width:
        return [*lines[:-1], [*lines[-1], Run(f"  {note}", "muted", action)]]
    return lines
