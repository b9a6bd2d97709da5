"""The process window as a heat map in characters, with the readings drawn in; the beliefs before and after."""

from collections.abc import Sequence
from math import log
from typing import TYPE_CHECKING, Final

from tui.drawings.canvas import Canvas, Line, Run, fitted, greyed, padded
from tui.drawings.panel_content import NOTHING, Content, outdated_note
from tui.drawings.words import count, wrapped

if TYPE_CHECKING:
    from rotary.passes.learning.coating import BeliefChange
    from rotary.passes.learning.reading import Outcome
    from rotary.passes.learning.window_map import WindowMap
    from rotary.plan import Plan

SHADES: Final = ((0.8, "█", "#", "good"), (0.6, "▓", "+", "good"), (0.4, "▒", ":", "warn"), (0.2, "░", ".", "warn"))
SIGNS: "Final[dict[Outcome, tuple[str, str]]]" = {
    "covered": ("C", "warn"), "haze": ("H", "warn"), "clear": ("O", "strong"),
    "tinted": ("T", "bad"), "cut": ("X", "bad"),
}  # fmt: skip


def process_window(
    plan: "Plan", _system: str, width: int, height: int, ascii_only: bool = False, found: Content = NOTHING
) -> list[Line]:
    """The heat map of this coating with its readings, then what the readings have taught."""
    lines = outdated_note("window", found, width)
    if found.value is None:
        return lines
    value = found.value
    drawn: list[Line] = []
    if value.window is not None:
        drawn += [*window(value.window, width, max(height - len(lines), 14), ascii_only), []]
    else:
        drawn += wrapped(value.first_line, width - 1, "plain", " ")
    if value.taught:
        drawn += beliefs(value.taught, width, ascii_only)
    elif plan.job.item.coating is not None:
        many = count(value.readings, "reading") if value.readings else "No reading"
        says = f"{many} of this coating so far: the plan uses estimates."
        if not value.readings and value.window is not None and value.window.readings:
            says = "These readings are invented, as the example is. You have no reading of this coating yet."
        drawn += wrapped(
            f"{says} Press Ctrl+T to make a test patch and to enter what you see.", width - 1, "muted", " "
        )
    return [*lines, *(drawn if found.fresh else greyed(drawn))]


def window(found: "WindowMap", width: int, height: int, ascii_only: bool = False) -> list[Line]:
    """Peak fluence to the right, pulses on a place upwards, darker where the chance is better."""
    across, up = len(found.fluences_j_cm2), len(found.pulses)
    columns = max(min(width - 9, 2 * across), 8)
    rows = max(min(height - 6, up), 4)
    canvas = Canvas(columns, rows)
    for row in range(rows):
        for column in range(columns):
            chance = found.chance[_nearest(row, rows, up)][_nearest(column, columns, across)]
            shades = ((plain if ascii_only else shade, ink) for least, shade, plain, ink in SHADES if chance >= least)
            canvas.text(column, rows - 1 - row, *next(shades, (" ", "plain")))
    readings = [((read.fluence_j_cm2, read.pulses), *SIGNS[read.outcome]) for read in found.readings]
    for (fluence, pulses), sign, ink in (*readings, (found.chosen, "@", "a")):
        # What lies beyond stands at the edge.
        row = _place(pulses, tuple(found.pulses), rows)
        canvas.text(_place(fluence, tuple(found.fluences_j_cm2), columns), rows - 1 - row, sign, ink)
    lines: list[Line] = [[Run(fitted(" how many pulses hit each place, all passes together", width), "muted")]]
    for row, line in zip(reversed(range(rows)), canvas.lines(), strict=True):
        lines.append([Run(f"{found.pulses[_nearest(row, rows, up)]:>7.3g} ", "muted"), *line])
    lines.append([Run(fitted(_scale(found, columns), width), "muted")])
    lines.append([Run(fitted(f"{'':8}energy of each pulse in the beam's middle, J/cm²", width), "muted")])
    marks = "# + : ." if ascii_only else "█ ▓ ▒ ░"
    lines += wrapped(
        f"{marks} mean: of 10 items at least 8, 6, 4, 2 come out clean, with the plan's focus and line spacing. @ is "
        "the plan. Letters are readings: C coating left, H residue, O clean, T heat tint, X engraved.",
        width - 1, "muted", " ",
    )  # fmt: skip
    return lines


def _nearest(place: int, places: int, of: int) -> int:
    return round(place * (of - 1) / max(places - 1, 1))


def _place(value: float, scale: Sequence[float], places: int) -> int:
    """The place of a value among those of a rising scale, stretched over so many places."""
    below = sum(1 for step in scale if step <= value)
    if below == 0:
        at = 0.0
    elif below >= len(scale):
        at = len(scale) - 1.0
    else:
        low, high = float(scale[below - 1]), float(scale[below])
        at = below - 1 + log(value / low) / log(high / low)
    return min(max(round(at * (places - 1) / (len(scale) - 1)), 0), places - 1)


def _scale(found: "WindowMap", columns: int) -> str:
    signs = [" "] * (columns + 16)
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        at = round(share * (len(found.fluences_j_cm2) - 1))
        text = f"{found.fluences_j_cm2[at]:.2g}"
        column = 8 + round(share * (columns - 1)) - (len(text) // 2 if 0 < share < 1 else len(text) * int(share))
        signs[column : column + len(text)] = list(text)
    return "".join(signs).rstrip()


def beliefs(rows: "Sequence[BeliefChange]", width: int, ascii_only: bool = False) -> list[Line]:
    """Each belief before and after the readings, 5 to 95 % as a band, the middle marked."""
    name = min(max((len(row.name) for row in rows), default=8), max(2 * width // 5, 12))
    wide = max(width - name - 24, 8)
    thin, thick, dot = ("-", "=", "o") if ascii_only else ("─", "━", "●")
    lines: list[Line] = [
        [
            Run(
                fitted(" above: before your readings, below: after (low, middle, high)", width),
                "muted",
            )
        ]
    ]
    for row in rows:
        low, high = min(row.before[0], row.after[0]), max(row.before[2], row.after[2])
        share = row.before[0] == row.before[2]
        low, high = (0.0, 1.0) if share else (low, high)
        for three, sign, ink, label in ((row.before, thin, "muted", row.name), (row.after, thick, "a", row.unit)):
            figures = f"{three[1]:.0%}" if share else " ".join(f"{value:.3g}" for value in three)
            band = _band(three, low, high, wide, sign, dot)
            lines.append(
                [Run(f" {padded(fitted(label, name), name)} ", "plain"), Run(band, ink), Run(f" {figures}", ink)]
            )
    return lines


def _band(three: Sequence[float], low: float, high: float, wide: int, sign: str, dot: str) -> str:
    def cell(value: float) -> int:
        if high <= low:
            return wide // 2
        share = log(value / low) / log(high / low) if low > 0 else (value - low) / (high - low)
        return min(max(round(share * (wide - 1)), 0), wide - 1)

    signs = [" "] * wide
    for place in range(cell(three[0]), cell(three[2]) + 1):
        signs[place] = sign
    signs[cell(three[1])] = dot
    return "".join(signs)
