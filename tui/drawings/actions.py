"""What a person does for a job, in the order of the work: import, turning, laser, by hand; numbered where typed."""

import re
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Final

from rotary.sentences.short_rows import file_name, fills_of, short_run, short_text
from tui.drawings.canvas import Line, Run, cells, fitted
from tui.drawings.numbers import Number, large_part, small_part
from tui.drawings.words import count, wrapped

if TYPE_CHECKING:
    from rotary.actions.models import ActionRow, Actions

WITH_THE_FILE: Final = ("file_slice_width", "extra_per_slice")
TURNING: Final = ("typed_steps_per_turn", "typed_diameter", "roller_diameter", "angle_per_slice")
SHORT: Final = {
    "typed_steps_per_turn": "steps", "typed_diameter": "diameter", "roller_diameter": "roller diameter",
    "angle_per_slice": "angle per slice", "power": "power", "frequency": "frequency", "pulse_width": "pulse width",
    "speed": "speed", "line_spacing": "line spacing", "fill_direction": "lines go", "passes": "passes",
    "pause": "pause",
}  # fmt: skip
"""What each typed row is called where room is short; what the person's own program calls it comes after."""

ROOMY: Final = 60
"""Columns from which the laser's numbers stand in columns."""

LARGE_FROM: Final = 34
"""Columns below which figures are not made large."""


def action_lines(
    actions: "Actions",
    system: str,
    width: int,
    height: int,
    ascii_only: bool = False,
    stale: bool = False,
    has_size: bool = True,
) -> list[Line]:
    """The lines; the numbers to type are large where all of them have room so, else none is.

    The file's size has no digits while it is not yet known (`has_size`).
    """
    ink = "muted" if stale else "strong"
    file, rest = _import(actions, width, ink, has_size), _rest(actions, width, ink)
    lines = [*file, *_lines(actions, system, width, ink, False)]
    if not ascii_only and width >= LARGE_FROM:
        taller = [*file, *_lines(actions, system, width, ink, True)]
        lines = taller if len(taller) <= height else lines
    room = height - len(lines)
    if 0 < room < len(rest) and rest[room - 1][0].ink == "strong":
        # A title alone on the last line goes where its text is.
        rest.insert(room - 1, [])
    return [*lines, *rest]


def rows_needed(actions: "Actions", width: int) -> int:
    """How many lines it takes with all figures small, without what is only good to know."""
    return len(_import(actions, width, "strong")) + len(_lines(actions, "mm", width, "strong", False))


def _lines(actions: "Actions", system: str, width: int, ink: str, is_large: bool) -> list[Line]:
    typed = [row for row in actions.type if row.id not in WITH_THE_FILE]
    turning = [row for row in typed if row.id in TURNING]
    laser = [row for row in typed if row.id not in TURNING]
    lines: list[Line] = []
    for title, rows, before in (("rotary", turning, 0), ("laser", laser, len(turning))):
        if rows:
            numbers = [number_of(row, place, system) for place, row in enumerate(rows, before + 1)]
            if actions.run.depth_check_after and fills_of(actions.run):
                # Two fills share the passes; a file that is run round by round has one at a time.
                numbers = [
                    number._replace(unit="in all") if row.id == "passes" and row.value != 1 else number
                    for row, number in zip(rows, numbers, strict=True)
                ]
            part = large_part if is_large else small_part if width >= ROOMY or rows is turning else _run_together
            lines += [[Run(f" TYPE in the {title} settings", "strong")], *part(numbers, width, ink)]
    several = any(row.id == "slices_shown" and row.value != 1 for row in actions.check)
    if run := short_run(actions.run, several or actions.run.file_per_slice):
        lines += [[Run(" RUN", "strong")], *wrapped(run, width - 1, _plain(ink), "   ")]
    if actions.by_hand:
        lines.append([Run(" BY HAND", "strong")])
        lines += _packed((short_text(row, system) for row in actions.by_hand), width, ink)
    return lines


def _packed(texts: Iterable[str], width: int, ink: str) -> list[Line]:
    """Short texts side by side as far as they have room, long ones over several lines."""
    packed: list[str] = []
    for text in texts:
        if packed and cells(packed[-1]) + cells(text) + 7 <= width:
            packed[-1] = f"{packed[-1]} · {text}"
        else:
            packed.append(text)
    return [line for text in packed for line in wrapped(text, width - 1, _plain(ink), "   ")]


def _rest(actions: "Actions", width: int, ink: str) -> list[Line]:
    """What is good to know, where there is room for it: how the artwork lies, what the program must show."""
    lines: list[Line] = []
    if actions.time is not None:
        lines += [[Run(" TIME", "strong")], *wrapped(actions.time.text, width - 1, _plain(ink), "   ")]
    if actions.on_item is not None:
        lines += [[Run(" ON THE ITEM", "strong")], *wrapped(actions.on_item.text, width - 1, _plain(ink), "   ")]
    checks = [row for row in actions.check if row.id not in ("size_shown", "slices_shown")]
    if checks:
        lines.append([Run(" CHECK", "strong")])
        lines += _packed((row.text for row in checks), width, ink)
    return lines


def _plain(ink: str) -> str:
    return "muted" if ink == "muted" else "plain"


def number_of(row: "ActionRow", place: int, system: str) -> Number:
    """A row to type as the panel shows it: its place, its short name, its figure with what warns of it."""
    label = f"{place} {SHORT.get(row.id, row.label)}{f' ({row.yours})' if row.yours else ''}"
    leave = (system == "in" and row.leave_in) or row.leave or ""
    unit = f"per {row.of} turn" if row.of and row.id == "typed_steps_per_turn" else row.unit
    return Number(label, row.figure if row.figure is not None else f"{row.value}", unit, leave)


def _import(actions: "Actions", width: int, ink: str, has_size: bool = True) -> list[Line]:
    """The file, the size that it must show, which way it lies, its slices."""
    rows = {row.id: row for row in to_import(actions)}
    if "file" not in rows:
        return []
    typed = {row.id: row for row in actions.type}
    slices = next((row for row in actions.check if row.id == "slices_shown"), None)
    file, key = rows["file"], "[F5 writes it] " if rows["file"].step else "[F5] "
    head = fitted(f" IMPORT  {file_name(file)}", width - cells(key) - 1)
    gap = " " * max(width - cells(head) - cells(key), 0)
    lines: list[Line] = [[Run(head, ink), Run(gap), Run(key, "a", "screen.write_files")]]
    shows: list[str] = []
    if (page := rows.get("page_size")) is not None:
        size = f"{page.value:.3f} × {page.high:.3f} mm"
        # As wide as the size will be, so that nothing moves once it is known.
        shows.append(f"program must show {size if has_size else re.sub('[0-9]', '-', size)}")
    if (edge := rows.get("rim_edge")) is not None:
        shows.append(f"{edge.end} side {edge.value}")
    shows.append("never scale the file")
    if slices is not None and "file_slice_width" in typed:
        extra = typed["extra_per_slice"].figure if "extra_per_slice" in typed else "0"
        width_mm = typed["file_slice_width"].figure
        shows.append(f"{count(int(slices.value), 'slice')}: type width {width_mm} mm, extra {extra} mm")
    return [*lines, *_packed(shows, width, ink)]


def _run_together(numbers: list[Number], width: int, ink: str) -> list[Line]:
    """Numbers one after the other, as many on a line as go there."""
    lines: list[Line] = [[]]
    used = 0
    for one in numbers:
        label, value = f" {one.label} ", f"{one.text} {one.unit}".strip()
        if used and used + cells(label) + cells(value) + 2 > width:
            lines.append([])
            used = 0
        gap = "  " if used else ""
        lines[-1] += [Run(gap + label, "muted"), Run(value, ink)]
        used += cells(gap) + cells(label) + cells(value)
    return lines


def to_import(actions: "Actions") -> "Sequence[ActionRow]":
    """The rows under the one key that is a word of the language."""
    rows: Sequence[ActionRow] = getattr(actions, "import")
    return rows
