"""The numbers to key in, in keying order: as large as the room allows, with what governs them beneath."""

from collections.abc import Iterator, Sequence
from math import ceil
from typing import Any, Final, NamedTuple

from rotary.examples import ENTER_YOURS
from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.figures import can_be_large, large, large_width
from tui.drawings.words import sentences, wrapped

PLENTY: Final = 99
"""More lines than any panel has."""


LEAST_LABEL: Final = 6
"""Cells of a label that is still known."""


class Number(NamedTuple):
    """One number to key in; `leave` warns of one that is not the real one, and stands on its line."""

    label: str
    text: str
    unit: str = ""
    leave: str = ""


def numbers(plan: Any, system: str) -> list[list[Number]]:
    """The numbers of a plan in three parts: rotary, heights, laser."""
    return [_rotary(plan, system), _heights(plan, system), _laser(plan, system)]


def _length(mm: float, system: str, label: str, signed: bool = False) -> Number:
    places = 3 if system == "in" else 2
    value = mm / 25.4 if system == "in" else mm
    return Number(label, f"{value:{'+' if signed else ''}.{places}f}", system)


def _rotary(plan: Any, system: str) -> list[Number]:
    return [
        Number(entry.label, entry.text, entry.unit, (system == "in" and entry.leave_in) or entry.leave)
        for entry in plan.split.key_in
    ]


def _heights(plan: Any, system: str) -> list[Number]:
    focus = plan.focus
    found = [
        _length(focus.focal_plane_mm, system, "Focal plane over bed"),
        _length(focus.move_from_apex_mm, system, "Head, from apex focus", signed=True),
        _length(focus.move_from_bed_mm, system, "Head, from bed focus", signed=True),
        _length(focus.apex_height_mm, system, "Apex over bed"),
    ]
    if focus.shim_mm != 0:
        found.append(_length(abs(focus.shim_mm), system, "Shim, foot end" if focus.shim_mm > 0 else "Shim, rim end"))
        found.append(_length(plan.turning.level.base_mm, system, "Shim, over a base of"))
    return found


def _laser(plan: Any, system: str) -> list[Number]:
    setting = plan.removal.setting
    if setting is None:
        return []
    found = [
        Number("Power", f"{100 * setting.power_share:.4g}", "%"),
        Number("Repetition rate", f"{setting.rate_khz:.4g}", "kHz"),
        Number("Scan speed", f"{setting.scan_speed_mm_s:.0f}", "mm/s"),
        Number("Hatch spacing", f"{setting.hatch_mm:.3f}", "mm"),
        Number("Pulse duration", f"{setting.pulse_ns:g}", "ns"),
        _length(setting.defocus_mm, system, "Defocus", signed=True),
        *_passes(plan),
    ]
    if setting.pause_s >= 0.5:
        found.append(Number("Pause", f"{setting.pause_s:.0f}", "s"))
    return found


def _passes(plan: Any) -> list[Number]:
    """As planned in bare metal; on a coating one at first, a blank for the others, and the last pass."""
    steps = plan.removal
    last = steps.rows[-1] if steps.rows[-1].kind == "finish" else None
    if steps.rows[0].kind != "lift":
        return [Number("Passes", str(steps.typed_passes))]
    several = plan.split.slices > 1
    found = [Number("Passes, first slice" if several else "Passes", str(steps.typed_passes))]
    if several:
        times = "Times round" if steps.order == "all-round" else "Passes"
        found.append(Number(f"{times}, all others", "____"))
    if last is None:
        return found
    found.append(Number("Last pass, power", f"{100 * last.power_share:.4g}", "%"))
    if last.scan_speed_mm_s != steps.rows[0].scan_speed_mm_s:
        found.append(Number("Last pass, speed", f"{last.scan_speed_mm_s:.0f}", "mm/s"))
    if last.line_shift_mm:
        return [*found, Number("Last pass, shifted", f"{last.line_shift_mm:.3f}", "mm")]
    return [*found, Number("Last pass, lines", "along")]


def picture(
    plan: Any, system: str, width: int, height: int, ascii_only: bool, stale: bool, changed: Sequence[str] = ()
) -> list[Line]:
    """The panel: what the plan promises, the numbers, then which limit governs the slice width and what would relax it.

    `changed` says what ended a proof, where the job comes from a proven profile.
    """
    ink = "muted" if stale else "strong"
    flat = [number for part in numbers(plan, system) for number in part]
    first = [line for text in changed for line in wrapped(text, width - 1, "warn", " ")]
    first += _promise(plan, width, stale)
    small = _small_part(flat, width, ink)
    first = first[: max(height - len(small), 1)]
    room = height - len(first)
    if len(small) > room:
        # Not all of them are seen: those that a person would correct come first.
        flat.sort(key=lambda number: not number.leave)
        small = _small_part(flat, width, ink)
    tail = _tail(plan, system, width, room - len(small))
    return first + _fitted(flat, small, tail, width, room, ascii_only, ink)


def picture_as_run(repeat: Any, width: int, height: int, ascii_only: bool) -> list[Line]:
    """The panel of a proven job: how it stands first, then the numbers that were run, then what else to know."""
    flat = [Number(*row) for row in repeat.rows]
    small = _small_part(flat, width, "strong")
    ink = "good" if repeat.verdict == "PROVEN" else "warn"
    first = wrapped(f"{repeat.verdict}: {repeat.banner}", width - 1, ink, " ")
    tail = [line for text in repeat.notes for line in wrapped(text, width - 1, "muted", " ")]
    room = height - len(first)
    return first + _fitted(flat, small, tail[: max(room - len(small), 0)], width, room, ascii_only, "strong")


def _fitted(
    flat: list[Number], small: list[Line], tail: list[Line], width: int, height: int, ascii_only: bool, ink: str
) -> list[Line]:
    """As many numbers large as there is room for, in their order."""
    room = max(height - len(tail), 1)
    count = 0 if ascii_only or width < 30 else len(flat)
    best = small
    while count and len(best := _large_part(flat[:count], width, ink) + _small_part(flat[count:], width, ink)) > room:
        count -= 1
    best = best if count else small
    return best + [[] for _ in range(min(room - len(best), 1))] + tail


def rows_needed(plan: Any, width: int, repeat: Any = None) -> int:
    """How many lines the panel takes with all figures small."""
    if repeat is not None and repeat.rows:
        return len(picture_as_run(repeat, width, PLENTY, True))
    if plan is None:
        return 0
    flat = [number for part in numbers(plan, "mm") for number in part]
    first, tail = _promise(plan, width, False), _tail(plan, "mm", width, PLENTY)
    return len(first) + len(_small_part(flat, width, "strong")) + len(tail)


def _runs(found: list[Number]) -> Iterator[list[Number]]:
    """Numbers that stand side by side, together; one with a warning has its lines to itself."""
    run: list[Number] = []
    for number in found:
        if number.leave:
            yield from ([run] if run else [])
            yield [number]
            run = []
        else:
            run.append(number)
    yield from ([run] if run else [])


def _warning(ink: str) -> str:
    return "muted" if ink == "muted" else "warn"


def _large_part(found: list[Number], width: int, ink: str) -> list[Line]:
    return [line for run in _runs(found) for line in _large_run(run, width, ink)]


def _large_run(run: list[Number], width: int, ink: str) -> list[Line]:
    columns = _large_columns(run, width)
    each = width // columns
    lines: list[Line] = []
    for start in range(0, len(run), columns):
        chosen = run[start : start + columns]
        lines.append([Run(f" {fitted(number.label, each - 2):<{each - 1}}", "muted") for number in chosen])
        figures = [large(number.text) if can_be_large(number.text) else ["", number.text, ""] for number in chosen]
        for row in range(3):
            units = [f" {number.unit}" if row == 2 else "" for number in chosen]
            cells = [f" {fitted(figure[row] + unit, each - 1)}" for figure, unit in zip(figures, units, strict=True)]
            lines.append([Run(f"{cell:<{each}}", ink) for cell in cells])
        if chosen[0].leave:
            lines[-1] = [Run(cells[0], ink)]
            lines = _with_warning(lines, chosen[0].leave, width, ink)
    return lines


def _with_warning(lines: list[Line], leave: str, width: int, ink: str) -> list[Line]:
    """Lines with a warning after the last of them, or below it where that is too narrow."""
    if sum(len(run.text) for run in lines[-1]) + 3 + len(leave) <= width:
        return [*lines[:-1], [*lines[-1], Run(f"   {leave}", _warning(ink))]]
    return [*lines, *wrapped(leave, width - 1, _warning(ink), "   ")]


def _large_columns(found: list[Number], width: int) -> int:
    """How many columns there are room for, wide enough for the widest figure and its label."""
    return max(1, width // (max(max(_wide(number), min(len(number.label), 22)) for number in found) + 3))


def _small_columns(found: list[Number], width: int) -> tuple[int, int, int]:
    """How many columns, and how wide a label and a value are."""
    value = max(len(number.text) + len(number.unit) + 1 for number in found)
    label = min(max(len(number.label) for number in found), 24)
    return max(1, min(3, width // (min(label, 21) + value + 3))), label, value


def _wide(number: Number) -> int:
    figure = large_width(number.text) if can_be_large(number.text) else len(number.text)
    return figure + 1 + len(number.unit)


def _small_part(found: list[Number], width: int, ink: str) -> list[Line]:
    if not found:
        return []
    columns, label, value = _small_columns(found, width)
    each = max(width // columns, 1)
    label = max(min(label, each - value - 2), LEAST_LABEL)
    lines: list[Line] = []
    for run in _runs(found):
        if run[0].leave:
            lines += _small_alone(run[0], label, width, ink)
            continue
        rows = ceil(len(run) / columns)
        lines += [
            [part for number in run[row::rows] for part in _cell(number, label, max(each - label - 2, 1), ink)]
            for row in range(rows)
        ]
    return lines


def _cell(number: Number, label: int, room: int, ink: str) -> Line:
    value = fitted(f"{number.text} {number.unit}", room)
    return [Run(f" {fitted(number.label, label):<{label}} ", "muted"), Run(f"{value:<{room}}", ink)]


def _small_alone(number: Number, label: int, width: int, ink: str) -> list[Line]:
    """A number with its warning: its label gives way, so that both stand on one line as long as they can."""
    value = f"{number.text} {number.unit}".rstrip()
    room = width - len(value) - len(number.leave) - 5
    room = min(label, room) if room >= LEAST_LABEL else label
    return _with_warning([_cell(number, room, len(value), ink)], number.leave, width, ink)


def _promise(plan: Any, width: int, stale: bool) -> list[Line]:
    """What is read first: how sure the plan is, or that the numbers are old; whose machine it is."""
    lines = wrapped(sentences(plan).first_line, width - 1, "a", " ")
    lines += wrapped(ENTER_YOURS, width - 1, "bad", " ") if plan.safety.example else []
    if not stale:
        return lines
    # As many lines as before, so that nothing jumps.
    said = wrapped("not of what is written now: see the field marked !", width - 1, "bad", " ")
    return (said + [[] for _ in lines])[: max(len(lines), len(said))]


def _tail(plan: Any, system: str, width: int, room: int) -> list[Line]:
    """What the notes have in full, a line each and as far as there is room."""
    rest: list[Line] = []
    if system == "in":
        says = " What the marking program takes in mm stays in mm: converted, its digits would not be exact."
        rest.append([Run(fitted(says, width), "b")])
    governing = next((limit for limit in plan.split.limits if limit.governs), None)
    if governing is not None:
        text = sentences(plan).limits[governing.id]
        rest.append([Run(fitted(f" slice width governed by {text.name}: {text.why}", width), "muted")])
        rest.append([Run(fitted(f" relaxed by: {text.relax}", width), "muted")])
    return rest[: max(room, 0)]


def waiting(wrong: bool, width: int) -> list[Line]:
    """What stands where there are no numbers yet."""
    if not wrong:
        return [[Run(fitted(" working the numbers out", width), "muted")]]
    return wrapped("No numbers yet: put right what is marked with ! among the fields.", width - 1, "bad", " ! ")
