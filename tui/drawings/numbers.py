"""The numbers to key in, in keying order: as large as the room allows, with what governs them beneath."""

from math import ceil
from typing import Any, Final, NamedTuple

from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.figures import can_be_large, large, large_width
from tui.drawings.words import wrapped

PLENTY: Final = 99
"""More lines than any panel has."""


class Number(NamedTuple):
    """One number to key in."""

    label: str
    text: str
    unit: str = ""


def numbers(plan: Any, system: str) -> list[list[Number]]:
    """The numbers of a plan in three parts: rotary, heights, laser."""
    return [_rotary(plan), _heights(plan, system), _laser(plan, system)]


def _length(mm: float, system: str, label: str, signed: bool = False) -> Number:
    places = 3 if system == "in" else 2
    value = mm / 25.4 if system == "in" else mm
    return Number(label, f"{value:{'+' if signed else ''}.{places}f}", system)


def _rotary(plan: Any) -> list[Number]:
    return [Number(entry.label, entry.text, entry.unit) for entry in plan.split.key_in]


def _heights(plan: Any, system: str) -> list[Number]:
    focus = plan.focus
    found = [
        _length(focus.focal_plane_mm, system, "Focal plane over bed"),
        _length(focus.move_from_apex_mm, system, "Head, from apex focus", signed=True),
        _length(focus.move_from_bed_mm, system, "Head, from bed focus", signed=True),
        _length(focus.apex_height_mm, system, "Apex over bed"),
    ]
    if abs(focus.shim_mm) >= 0.005:
        found.append(_length(abs(focus.shim_mm), system, "Shim, foot end" if focus.shim_mm > 0 else "Shim, rim end"))
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
    last = steps.rows[-1]
    if last.kind != "finish":
        return [Number("Passes", str(steps.typed_passes))]
    several = plan.split.slices > 1
    found = [Number("Passes, first slice" if several else "Passes", str(steps.typed_passes))]
    if several:
        times = "Times round" if steps.order == "all-round" else "Passes"
        found.append(Number(f"{times}, all others", "____"))
    found.append(Number("Last pass, power", f"{100 * last.power_share:.4g}", "%"))
    if last.scan_speed_mm_s != steps.rows[0].scan_speed_mm_s:
        found.append(Number("Last pass, speed", f"{last.scan_speed_mm_s:.0f}", "mm/s"))
    if last.line_shift_mm:
        return [*found, Number("Last pass, shifted", f"{last.line_shift_mm:.3f}", "mm")]
    return [*found, Number("Last pass, lines", "along")]


def picture(plan: Any, system: str, width: int, height: int, ascii_only: bool, stale: bool) -> list[Line]:
    """The panel: numbers, then what the plan promises, which limit governs the slice width and what would relax it."""
    ink = "muted" if stale else "strong"
    flat = [number for part in numbers(plan, system) for number in part]
    small = _small_part(flat, width, ink)
    tail = _tail(plan, system, width, height - len(small), stale)
    room = max(height - len(tail), 1)
    count = 0 if ascii_only or width < 30 else len(flat)
    while count and _height(flat, count, width) > room:
        count -= 1
    best = _large_part(flat[:count], width, ink) + _small_part(flat[count:], width, ink) if count else small
    return best + [[] for _ in range(min(room - len(best), 1))] + tail


def rows_needed(plan: Any, width: int) -> int:
    """How many lines the panel takes with all figures small."""
    if plan is None:
        return 0
    flat = [number for part in numbers(plan, "mm") for number in part]
    return len(_small_part(flat, width, "strong")) + len(_tail(plan, "mm", width, PLENTY, False))


def _large_part(found: list[Number], width: int, ink: str) -> list[Line]:
    if not found:
        return []
    columns = _large_columns(found, width)
    each = width // columns
    lines: list[Line] = []
    for start in range(0, len(found), columns):
        chosen = found[start : start + columns]
        lines.append([Run(f" {fitted(number.label, each - 2):<{each - 1}}", "muted") for number in chosen])
        figures = [large(number.text) if can_be_large(number.text) else ["", number.text, ""] for number in chosen]
        lines += [
            [
                Run(f" {fitted(figure[row] + (f' {number.unit}' if row == 2 else ''), each - 1):<{each - 1}}", ink)
                for figure, number in zip(figures, chosen, strict=True)
            ]
            for row in range(3)
        ]
    return lines


def _height(found: list[Number], count: int, width: int) -> int:
    """How many lines it takes with the first so many large."""
    large_lines = 4 * ceil(count / _large_columns(found[:count], width))
    rest = found[count:]
    return large_lines + (ceil(len(rest) / _small_columns(rest, width)[0]) if rest else 0)


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
    label = max(min(label, each - value - 2), 6)
    rows = ceil(len(found) / columns)
    lines: list[Line] = []
    for row in range(rows):
        line: Line = []
        for number in found[row::rows]:
            room = max(each - label - 2, 1)
            line.append(Run(f" {fitted(number.label, label):<{label}} ", "muted"))
            line.append(Run(f"{fitted(f'{number.text} {number.unit}', room):<{room}}", ink))
        lines.append(line)
    return lines


def _tail(plan: Any, system: str, width: int, room: int, stale: bool) -> list[Line]:
    """The promise in full; the rest, which the notes have in full, a line each and as far as there is room."""
    lines = wrapped(plan.removal.first_line, width - 1, "a", " ")
    if stale:
        # As many lines as before, so that nothing jumps.
        said = wrapped("not of what is written now: see the field marked !", width - 1, "bad", " ")
        lines = (said + [[] for _ in lines])[: max(len(lines), len(said))]
    rest: list[Line] = []
    if system == "in":
        says = " What the marking program takes in mm stays in mm: converted, its digits would not be exact."
        rest.append([Run(fitted(says, width), "b")])
    governing = next((limit for limit in plan.split.limits if limit.governs), None)
    if governing is not None:
        rest.append([Run(fitted(f" slice width governed by {governing.name}: {governing.why}", width), "muted")])
        rest.append([Run(fitted(f" relaxed by: {governing.relax}", width), "muted")])
    return lines + rest[: max(room - len(lines), 0)]


def waiting(wrong: bool, width: int) -> list[Line]:
    """What stands where there are no numbers yet."""
    if not wrong:
        return [[Run(fitted(" working the numbers out", width), "muted")]]
    return wrapped("No numbers yet: put right what is marked with ! among the fields.", width - 1, "bad", " ! ")
