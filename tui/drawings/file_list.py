"""Files to choose artwork from, and what the one under the pointer shows."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final, NamedTuple

from rotary.artwork.own_size import keeps_size, size_words
from rotary.files import may_be_named
from tui.drawings.canvas import Canvas, Line, Run, cells, fitted
from tui.drawings.fill import fill_rings, fill_tones
from tui.drawings.panel_content import Content
from tui.drawings.words import length, named_line, wrapped

DRAWINGS: Final = (".svg", ".svgz", ".dxf")
PICTURES: Final = (".png", ".jpg", ".jpeg", ".tif", ".tiff")
MOST: Final = 4000
"""So many entries of a folder are listed; typing narrows the rest no further."""


class Entry(NamedTuple):
    """A folder or a file that artwork can be read from."""

    name: str
    is_folder: bool
    bytes: int = 0

    @property
    def kind(self) -> str:
        """folder, drawing or picture."""
        if self.is_folder:
            return "folder"
        return "drawing" if self.name.lower().endswith(DRAWINGS) else "picture"


class Listing(NamedTuple):
    """What a folder holds, folders first; `trouble` says why it can't be looked at."""

    folder: Path
    entries: tuple[Entry, ...] = ()
    trouble: str = ""


def listing(folder: Path, held_to: Path | None = None) -> Listing:
    """The folders and the readable files of a folder, hidden ones left out; never above `held_to`."""
    found: list[Entry] = []
    if not may_be_named(folder):
        return Listing(folder, (), f"you can't choose anything in {folder}: Backspace goes to the folder above")
    try:
        for entry in folder.iterdir():
            if entry.name.startswith(".") or not may_be_named(entry):
                continue
            if entry.is_dir():
                found.append(Entry(entry.name, True))
            elif entry.name.lower().endswith(DRAWINGS + PICTURES) and entry.is_file():
                found.append(Entry(entry.name, False, entry.stat().st_size))
    except FileNotFoundError:
        return Listing(folder, (), f"there is no folder {folder}: Backspace goes to the folder above")
    except NotADirectoryError:
        return Listing(folder, (), f"{folder} is not a folder: Backspace goes to the folder above")
    except OSError as trouble:
        says = f"{folder} can't be opened ({trouble.strerror or 'no reason given'}): Backspace goes to the folder above"
        return Listing(folder, (), says)
    found.sort(key=lambda entry: (not entry.is_folder, entry.name.casefold()))
    top = folder == folder.parent or (held_to is not None and folder == held_to)
    return Listing(folder, (*([] if top else [Entry("..", True)]), *found[:MOST]))


def narrowed(found: Listing, words: str) -> tuple[Entry, ...]:
    """The entries whose names have every word that is typed.

    >>> many = Listing(Path("x"), (Entry("..", True), Entry("Heron crest.svg", False), Entry("oar.svg", False)))
    >>> [entry.name for entry in narrowed(many, "cr her")]
    ['Heron crest.svg']
    """
    wanted = words.casefold().split()
    if not wanted:
        return found.entries
    return tuple(e for e in found.entries if e.name != ".." and all(word in e.name.casefold() for word in wanted))


def entry_lines(
    entries: Sequence[Entry], chosen: int, top: int, width: int, height: int, found: Listing, words: str
) -> list[Line]:
    """The entries from number `top` on, one a line."""
    if found.trouble:
        return wrapped(found.trouble, width - 1, "bad", " ! ")
    if not entries:
        says = (
            "no file here has these words in its name" if words else "there is no SVG, DXF, PNG, JPEG or TIFF file here"
        )
        return wrapped(f"{says}: Backspace clears the search, then goes to the folder above", width - 1, "muted", " ")
    lines: list[Line] = []
    for place in range(top, min(top + height, len(entries))):
        entry, here = entries[place], place == chosen
        size = "" if entry.is_folder else _size(entry.bytes)
        room = max(width - 3 - 11 - len(size), 4)
        name = fitted(entry.name + ("/" if entry.is_folder and entry.name != ".." else ""), room)
        ink = "strong" if here else "a" if entry.is_folder else "plain"
        lines.append(
            [
                Run("› " if here else "  ", "strong"),
                Run(name + " " * (room - cells(name)), ink),
                Run(f" {'' if entry.is_folder else entry.kind:<8} {size}", "muted"),
            ]
        )
    return lines


def _size(many: int) -> str:
    return f"{many:>5} B" if many < 10_000 else f"{many // 1000:>4} kB" if many < 10**7 else f"{many // 10**6:>4} MB"


def preview_lines(
    shown: Content, name: str, frame: tuple[float | None, float | None], system: str, size: tuple[int, int], plain: bool
) -> list[Line]:
    """The drawing, its size, its ink, and what could not be read of it."""
    width, height = size
    lines: list[Line] = [named_line(name, "[Enter takes it]", width)]
    if shown.says:
        ink = "bad" if shown.bad else "muted"
        lines += wrapped(
            f"{name} {shown.says}" if shown.bad else shown.says, width - 1, ink, " ! " if shown.bad else " "
        )
    if shown.value is None:
        return lines
    facts = _facts(shown.value, frame, system, width)
    room = max(height - len(lines) - len(facts) - 1, 4)
    canvas = Canvas(width - 2, room, plain, to_scale=True)
    _draw(canvas, shown.value, "plain" if shown.fresh else "muted")
    return [*lines, *([Run(" "), *line] for line in canvas.lines()), *facts]


def _draw(canvas: Canvas, value: Any, ink: str) -> None:
    wide, high = 2 * canvas.width, canvas.tall(canvas.height)
    if value.kind == "picture":
        rows, columns = len(value.tones), len(value.tones[0])
        scale = min(wide / columns, high / rows)
        fill_tones(canvas, value.tones, (max(int(columns * scale), 1), max(int(rows * scale / canvas.stretch), 1)), ink)
        return
    points = [point for ring in value.rings for point in ring]
    if not points:
        return
    left, top = min(x for x, _ in points), max(y for _, y in points)
    across, down = max(x for x, _ in points) - left, top - min(y for _, y in points)
    scale = min((wide - 1) / max(across, 1e-9), (high - 1) / max(down, 1e-9))
    fill_rings(canvas, value.rings, lambda x, y: ((x - left) * scale, (top - y) * scale), ink)


def _size_lines(
    own_mm: tuple[float, float] | None,
    shape: tuple[float, float],
    frame: tuple[float | None, float | None],
    system: str,
    width: int,
    page_mm: tuple[float, float] | None = None,
) -> list[Line]:
    """How large it would be marked in the job's frame, which it fills unless its page fits there."""
    if not (frame[0] and frame[1]):
        return []
    if own_mm and keeps_size(page_mm, (frame[0], frame[1])):
        how, marked_mm = "In", own_mm
    else:
        scale = min(frame[0] / shape[0], frame[1] / shape[1])
        how, marked_mm = "Filling", (shape[0] * scale, shape[1] * scale)
    says = size_words("", own_mm, marked_mm, system)
    return wrapped(f"{how} the artwork's frame: {says[0].lower()}{says[1:]}", width - 1, "strong", " ")


def _facts(value: Any, frame: tuple[float | None, float | None], system: str, width: int) -> list[Line]:
    lines: list[Line] = []
    if value.kind == "picture":
        has = f"{value.dots[0]} × {value.dots[1]} dots, {value.ink_share:.0%} of them dark"
        own = (value.width_mm, value.height_mm) if value.width_mm and value.height_mm else None
        lines += _size_lines(own, value.dots, frame, system, width)
        lines += wrapped(has, width - 1, "plain", " ")
        lines += wrapped(
            "Press Enter to turn this picture into a file of dots for your program. If you want it beside other "
            "drawings, first trace it to an SVG file.",
            width - 1, "warn", " ! ",
        )  # fmt: skip
    else:
        has = f"{length(value.width_mm, system)} × {length(value.height_mm, system)}"
        if value.kind != "text":
            size = value.width_mm, value.height_mm
            lines += _size_lines(size if value.size_stated else None, size, frame, system, width, value.page_mm)
        stated = "" if value.size_stated or value.kind == "text" else " (a guess: the file states no size)"
        lines += wrapped(f"{has}{stated}, {value.ink_share:.0%} of this area is dark", width - 1, "plain", " ")
    for text in value.unread:
        lines += wrapped(text, width - 1, "warn", " ! ")
    for text in value.notes:
        lines += wrapped(text, width - 1, "muted", " - ")
    return lines
