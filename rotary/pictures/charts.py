"""Figures of the plan as charts: seams, focus budget, process window, temperature over the job."""

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from rotary.papers.drawing import (
    DASHED,
    FIRM_MM,
    HAIR_MM,
    HEAVY_MM,
    THIN_MM,
    Area,
    Mark,
    PaperPicture,
    Words,
    arc,
    area,
    corners,
    line,
)
from rotary.papers.letters import broken, clipped, wide_mm
from rotary.papers.sizes import Sizes
from rotary.papers.true_size import LETTER_MM
from rotary.passes.beliefs.draws import Coating, Draws, material_for, substances
from rotary.passes.learning.reading import Reading
from rotary.passes.learning.window_map import WindowMap, window_map
from rotary.passes.plan.setting import ROOM_C
from rotary.pictures.chart import Chart, bar, caption, log_ticks, ticks
from rotary.plan import Plan
from rotary.sentences.focus import BUDGET, off_height
from rotary.sentences.passes import first_line, in_ten


def seam_chart(plan: Plan, sizes: Sizes, wide: float, high: float) -> PaperPicture:
    """The seam error at every height: the band that holds 95 % of the draws round what is expected.

    The chosen method is filled, the other one hatched by dashes; what is accepted lies between two lines.
    """
    rows, accepted = plan.split.seam_rows, plan.job.tolerances.accepted_seam_mm
    unit = 25.4 if sizes.system == "in" else 1.0
    per = 1000.0 / unit
    height = np.array([row.from_end_mm for row in rows]) / unit
    plain = np.array([(row.plain_nominal_mm, row.plain_95_mm) for row in rows]) * per
    sheet = np.array([(row.sheet_nominal_mm, row.sheet_95_mm) for row in rows]) * per
    chosen, other = (sheet, plain) if plan.split.method == "sliced" else (plain, sheet)
    reaches = [float((abs(two[:, 0]) + two[:, 1]).max()) for two in (chosen, other)]
    most = 1.08 * max(*reaches, accepted * per)
    low, high_at = float(height.min()), float(height.max())
    texts_up = ticks(low, high_at, 4) if high_at > low else [low]
    named = [f"{value:g}" for value in texts_up]
    left = max(wide_mm(text, LETTER_MM) for text in named) + 1.6
    chart = Chart(left, 3.9 * LETTER_MM, wide - 1.0, high - 1.5 * LETTER_MM, (-most, most), (low, high_at or low + 1))
    across = ticks(-most, most, 6)
    chart.scale_across(across, [f"{value:+g}" if value else "0" for value in across])
    chart.scale_up(texts_up, named)
    chart.marks.append(Area((_band(chart, chosen, height),), 0.62))
    for side in (-1.0, 1.0):
        edge = other[:, 0] + side * other[:, 1]
        chart.marks.append(line(np.stack([chart.x(edge), chart.y(height)], 1), THIN_MM, DASHED))
        x = float(chart.x(side * accepted * per))
        chart.marks.append(line([(x, chart.bottom), (x, chart.top)], HEAVY_MM))
    chart.marks.append(line(np.stack([chart.x(chosen[:, 0]), chart.y(height)], 1), HEAVY_MM))
    chart.frame()
    fine = sizes.fine_unit
    chart.name_across(f"Seams [{fine}]: + is a gap, - is marked twice. Thick lines: your limit.")
    method, rest = ("sliced file", "flat file") if plan.split.method == "sliced" else ("flat file", "sliced file")
    chart.marks.append(caption(f"grey: {method}, dashes: {rest}, each for 19 of 20 items", wide, 0.6))
    where = f"height from {plan.job.item.end_words(plan.job.item.heights_from)} [{sizes.unit}]"
    chart.marks.append(caption(where, wide, high - LETTER_MM))
    worst = sizes.fine(plan.seams.within_mm, signed=False)
    says = f"with the {method} seams gap or overlap by at most {worst} {fine} on 19 of 20 items."
    return PaperPicture(wide, high, tuple(chart.marks), "Seams", says)


def _band(chart: Chart, two: np.ndarray, height: np.ndarray) -> np.ndarray:
    """A nominal and its half width as an area; where it is no wider than a line, as wide as one."""
    low, high = chart.x(two[:, 0] - two[:, 1]), chart.x(two[:, 0] + two[:, 1])
    high = np.maximum(high, low + 0.2)
    y = chart.y(height)
    return np.concatenate([np.stack([low, y], 1), np.stack([high[::-1], y[::-1]], 1)])


def budget(plan: Plan, sizes: Sizes, wide: float, high: float) -> PaperPicture:
    """What each source takes of the focus budget, the sum, and what is allowed."""
    sharp = plan.focus
    unit = 25.4 if sizes.system == "in" else 1.0
    rows = [(BUDGET[row.id][0], row.low_mm / unit, row.high_mm / unit, 0.75) for row in sharp.budget]
    rows += [("in all", sharp.total_low_mm / unit, sharp.total_high_mm / unit, 0.35)]
    allowed = (sharp.allowed_low_mm / unit, sharp.allowed_high_mm / unit)
    low = min(allowed[0], *(row[1] for row in rows)) * 1.08
    high_at = max(allowed[1], *(row[2] for row in rows)) * 1.08
    left = min(max(wide_mm(row[0], LETTER_MM) for row in rows) + 2.0, 0.45 * wide)
    # Half of the last figure may stand beyond the scale.
    chart = Chart(left, 2.8 * LETTER_MM, wide - 2.5, high - 1.6 * LETTER_MM, (low, high_at), (0.0, 1.0))
    across = ticks(low, high_at, 5)
    chart.scale_across(across, [f"{value:+g}" if value else "0" for value in across])
    each = (chart.top - chart.bottom) / len(rows)
    zero = float(chart.x(0.0))
    for place, (name, under, over, shade) in enumerate(rows):
        middle = chart.top - (place + 0.5) * each
        thick = min(0.34 * each, 1.6)
        a, b = float(chart.x(under)), float(chart.x(over))
        chart.marks += bar(min(a, b - 0.15), middle - thick, max(b, a + 0.15), middle + thick, shade)
        chart.marks.append(
            Words(clipped(name, left - 1.2, LETTER_MM), left - 1.0, middle - 0.35 * LETTER_MM, LETTER_MM, "end")
        )
    chart.marks.append(line([(zero, chart.bottom), (zero, chart.top)], HAIR_MM))
    for limit in allowed:
        x = float(chart.x(limit))
        chart.marks.append(line([(x, chart.bottom), (x, chart.top)], HEAVY_MM))
    chart.frame()
    chart.marks.append(
        caption(f"How far the surface is out of focus [{sizes.unit}]. Thick lines: your limit.", wide, high - LETTER_MM)
    )
    says = (
        f"the surface can lie anywhere from {off_height(sharp.total_low_mm, sharp.total_high_mm, sizes.length)}. "
        f"Good enough is {off_height(sharp.allowed_low_mm, sharp.allowed_high_mm, sizes.length)}."
    )
    return PaperPicture(wide, high, tuple(chart.marks), "Focus budget", says)


SHADES: Final = ((0.2, 0.88), (0.4, 0.72), (0.6, 0.52), (0.8, 0.3))
"""From which chance on, how dark."""


def window_of(plan: Plan, readings: Sequence[Reading] = (), believed: Draws | None = None) -> WindowMap | None:
    """The process window round the plan's setting; None where nothing is lifted, or no draws were made."""
    setting, item = plan.removal.setting, plan.job.item
    if setting is None or not plan.removal.samples or not isinstance(substances(item)[1], Coating):
        return None
    return window_map(plan, setting, material_for(item, plan.job.laser, plan.removal.samples, believed), readings)


LETTERS: Final = {"covered": "C", "haze": "H", "clear": "O", "tinted": "T", "cut": "X"}
"""What stands for an outcome, here and on the screen: three of the five words begin alike."""

SIGNS: Final = "Ring: the plan. C: coating left, H: residue, O: clean, T: heat tint, X: engraved."
"""What is drawn over the shades."""


def window(found: WindowMap, wide: float, high: float) -> PaperPicture:
    """The chance of clear and unmarked over peak fluence and pulses on a place; darker is better, the ring the plan."""
    fluence, pulses = np.asarray(found.fluences_j_cm2, float), np.asarray(found.pulses, float)
    chance = np.asarray(found.chance, float)
    edges_x, edges_y = _edges(fluence), _edges(pulses)
    named = [f"{value:g}" for value in log_ticks(edges_y[0], edges_y[-1])]
    left = max((wide_mm(text, LETTER_MM) for text in named), default=4.0) + 1.6
    signs = broken(SIGNS, wide, LETTER_MM)
    chart = Chart(
        left, (4.0 + 1.25 * len(signs)) * LETTER_MM, wide - 1.0, high - 1.6 * LETTER_MM,
        (edges_x[0], edges_x[-1]), (edges_y[0], edges_y[-1]), log=True,
    )  # fmt: skip
    x, y = chart.x(edges_x), chart.y(edges_y)
    for row in range(len(pulses)):
        for column in range(len(fluence)):
            dark = [shade for least, shade in SHADES if chance[row, column] >= least]
            if dark:
                chart.marks.append(area(corners(x[column], y[row], x[column + 1], y[row + 1]), dark[-1]))
    across = log_ticks(edges_x[0], edges_x[-1])
    chart.scale_across(across, [f"{value:g}" for value in across], grid=False)
    chart.scale_up(log_ticks(edges_y[0], edges_y[-1]), named, grid=False)
    for read in found.readings:
        at = (float(chart.x(read.fluence_j_cm2)), float(chart.y(read.pulses)) - 0.35 * LETTER_MM)
        chart.marks += _on_white(LETTERS.get(read.outcome, "?"), *at)
    at = float(chart.x(found.chosen[0])), float(chart.y(found.chosen[1]))
    chart.marks += [line(arc(*at, 1.3), 1.1, (), 1.0), line(arc(*at, 1.3), 0.45), line(arc(*at, 0.25), 0.4)]
    chart.frame()
    chart.name_across("peak energy per area [J/cm²]")
    for above, text in zip(range(len(signs), 0, -1), signs, strict=True):
        chart.marks.append(caption(text, wide, 0.5 + 1.25 * above * LETTER_MM))
    chart.marks.append(caption("settings that work: pulses per place, all passes together", wide, high - LETTER_MM))
    chart.marks += _key(wide)
    best = float(chance.max())
    says = (
        f"if you use one power and never stop to look, at best {in_ten(best)} items come out clean, with the metal "
        f"unmarked. {SIGNS}"
    )
    return PaperPicture(wide, high, tuple(chart.marks), "Settings that work", says)


def _edges(values: np.ndarray) -> np.ndarray:
    """Edges between rising values, half way by ratio."""
    between = np.sqrt(values[1:] * values[:-1])
    first, last = values[0] ** 2 / between[0], values[-1] ** 2 / between[-1]
    return np.concatenate([[first], between, [last]])


def _on_white(text: str, x: float, y: float) -> list[Mark]:
    half = 0.62 * LETTER_MM
    return [
        area(corners(x - half, y - 0.3, x + half, y + 0.85 * LETTER_MM), 1.0),
        Words(text, x, y, LETTER_MM, "middle", "bold"),
    ]


def _key(wide: float) -> Iterator[Mark]:
    at = 0.0
    for least, shade in SHADES:
        text = f"{100 * least:.0f} %"
        yield from bar(at, 0.5, at + 3.0, 0.5 + LETTER_MM * 0.8, shade)
        yield Words(text, at + 3.6, 0.6, LETTER_MM)
        at += 4.6 + wide_mm(text, LETTER_MM)
    yield Words(clipped("or more come out clean", max(wide - at, 5.0), LETTER_MM), at, 0.6, LETTER_MM)


def heat(plan: Plan, _sizes: Sizes, wide: float, high: float) -> PaperPicture:
    """The wall's temperature in bulk after each pass, over the time that one slice takes."""
    steps = plan.removal
    if not steps.rows:
        words = [
            Words(text, 0.0, high - 3.0 - at * 1.25 * LETTER_MM, LETTER_MM)
            for at, text in enumerate(broken(first_line(plan), wide, LETTER_MM))
        ]
        return PaperPicture(wide, high, tuple(words), "Temperature over the job", first_line(plan))
    peaks = [row.wall_peak_c for row in steps.rows]
    most = max(*peaks, ROOM_C + 10.0) * 1.06
    left = wide_mm(f"{most:.0f}", LETTER_MM) + 1.8
    chart = Chart(left, 3.9 * LETTER_MM, wide - 1.0, high - 1.6 * LETTER_MM, (0.0, len(peaks) + 1.0), (ROOM_C, most))
    up = ticks(ROOM_C, most, 4)
    chart.scale_up(up, [f"{value:g}" for value in up])
    numbers = list(range(1, len(peaks) + 1))
    each = (chart.right - chart.left) / (len(peaks) + 1.0)
    half = min(0.38 * each, 2.2)
    for number, row in zip(numbers, steps.rows, strict=True):
        x, y = float(chart.x(number)), float(chart.y(row.wall_peak_c))
        chart.marks += bar(x - half, chart.bottom, x + half, y, 0.72 if row.kind != "finish" else 0.4)
    chart.scale_across(numbers, [f"{number}" for number in numbers], grid=False)
    if steps.samples:
        half_way = float(chart.y(steps.wall_c_50))
        chart.marks.append(line([(chart.left, half_way), (chart.right, half_way)], FIRM_MM, DASHED))
    chart.frame()
    chart.name_across("pass, darker: the last pass")
    under = "19 of 20 items get no hotter" if steps.samples else "middle estimates"
    chart.marks.append(caption(f"heat: the wall after each pass [°C], {under}", wide, high - LETTER_MM))
    foot = f"dashes: half of all items stay under {steps.wall_c_50:.0f} °C" if steps.samples else ""
    chart.marks += [caption(foot, wide, 0.6)] if foot else []
    where, dashed = peaks.index(max(peaks)) + 1, f" {foot[0].upper()}{foot[1:]}." if foot else ""
    whom = f"on 19 of 20 items under {steps.wall_c_95:.0f} °C" if steps.samples else f"{max(peaks):.0f} °C"
    says = f"the wall is hottest after pass {where}: {whom}.{dashed}"
    return PaperPicture(wide, high, tuple(chart.marks), "Temperature over the job", says)
