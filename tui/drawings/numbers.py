"""The numbers to key in, in keying order: as large as the room allows, with what governs them beneath."""

from math import ceil
from typing import Any, NamedTuple

from rotary import units
from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.figures import can_be_large, large, large_width


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
        _length(focus.focal_plane_mm, system, "focal plane over bed"),
        _length(focus.move_from_apex_mm, system, "head, from apex focus", signed=True),
        _length(focus.move_from_bed_mm, system, "head, from bed focus", signed=True),
        _length(focus.apex_height_mm, system, "apex over bed"),
    ]
    if abs(focus.shim_mm) >= 0.005:
        found.append(_length(abs(focus.shim_mm), system, "shim, foot end" if focus.shim_mm > 0 else "shim, rim end"))
    return found


def _laser(plan: Any, system: str) -> list[Number]:
    setting = plan.removal.setting
    if setting is None:
        return []
    speed = units.text_from_value(setting.scan_speed_mm_s, "mm/s", system, digits=4).split(" ")
    hatch = setting.hatch_mm / 0.0254 if system == "in" else setting.hatch_mm
    found = [
        Number("power", f"{100 * setting.power_share:.4g}", "%"),
        Number("repetition rate", f"{setting.rate_khz:.4g}", "kHz"),
        Number("scan speed", *speed),
        Number("hatch", f"{hatch:.2f}" if system == "in" else f"{hatch:.3f}", "thou" if system == "in" else "mm"),
        Number("pulse", f"{setting.pulse_ns:g}", "ns"),
        _length(setting.defocus_mm, system, "defocus", signed=True),
        Number("passes", str(setting.passes)),
    ]
    if setting.pause_s >= 0.5:
        found.append(Number("pause", f"{setting.pause_s:.0f}", "s"))
    return found


def picture(plan: Any, system: str, width: int, height: int, ascii_only: bool, stale: bool) -> list[Line]:
    """The panel: numbers, then which limit governs the slice width and what would relax it."""
    parts = numbers(plan, system)
    tail = _tail(plan, width, stale)
    room = max(height - len(tail), 1)
    ink = "muted" if stale else "strong"
    flat = [number for part in parts for number in part]
    count = 0 if ascii_only or width < 30 else len(flat)
    while count and _height(flat, count, width) > room:
        count -= 1
    best = _large_part(flat[:count], width, ink) + _small_part(flat[count:], width, ink)
    return best + [[] for _ in range(min(room - len(best), 1))] + tail


def rows_needed(plan: Any, width: int) -> int:
    """How many lines the panel takes with all figures small."""
    if plan is None:
        return 0
    flat = [number for part in numbers(plan, "mm") for number in part]
    return len(_small_part(flat, width, "strong")) + len(_tail(plan, width, False))


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
    label = max(min(label, each - value - 3), 6)
    rows = ceil(len(found) / columns)
    lines: list[Line] = []
    for row in range(rows):
        line: Line = []
        for number in found[row::rows]:
            room = max(each - label - 3, 1)
            line.append(Run(f" {fitted(number.label, label):<{label}} ", "muted"))
            line.append(Run(f"{fitted(f'{number.text} {number.unit}', room):<{room + 1}}", ink))
        lines.append(line)
    return lines


def _tail(plan: Any, width: int, stale: bool) -> list[Line]:
    split = plan.split
    governing = next((limit for limit in split.limits if limit.governs), None)
    says = " not of what is written now: see the field marked !" if stale else f" {plan.removal.first_line}"
    lines: list[Line] = [[Run(fitted(says, width), "bad" if stale else "a")]]
    if governing is not None:
        lines.append([Run(fitted(f" slice width governed by {governing.name}: {governing.why}", width), "muted")])
        lines.append([Run(fitted(f" relaxed by: {governing.relax}", width), "muted")])
    return lines
