"""Bars about a zero: the focus budget, and the errors at the seams."""

from typing import TYPE_CHECKING, Final

from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.words import fine, length, sentences, shown_in, wrapped

if TYPE_CHECKING:
    from rotary.plan import Plan
    from rotary.slices.models import SeamAtHeight


def bar(low: float, high: float, reach: float, width: int, ascii_only: bool, middle: float | None = None) -> str:
    """A bar from low to high on a scale from -reach to +reach, the zero marked.

    >>> bar(-1.0, 2.0, 2.0, 9, ascii_only=True)
    '  ==|===='
    """
    if width < 3 or reach <= 0:
        return ""
    full, zero = ("=", "|") if ascii_only else ("━", "│")

    def cell(value: float) -> int:
        return min(max(round((value / reach + 1) / 2 * (width - 1)), 0), width - 1)

    signs = [" "] * width
    for place in range(cell(min(low, high)), cell(max(low, high)) + 1):
        signs[place] = full
    signs[cell(0.0)] = zero
    if middle is not None:
        signs[cell(middle)] = "o" if ascii_only else "●"
    return "".join(signs)


LEAST_BAR: Final = 7
SIDES: Final = ("surface below <- focus -> above", "below <- focus -> above", "below | above", "")
"""What the two sides of a bar mean, the longest that has room."""


def budget(plan: "Plan", system: str, width: int, _height: int, ascii_only: bool = False) -> list[Line]:
    """What eats the focus budget, line by line, against what is allowed."""
    focus, says, accepted = plan.focus, sentences(plan), plan.job.tolerances
    rows = [(says.budget[row.id], row.low_mm, row.high_mm, "a") for row in focus.budget]
    fits = focus.allowed_low_mm <= focus.total_low_mm and focus.total_high_mm <= focus.allowed_high_mm
    rows += [
        ("all together", focus.total_low_mm, focus.total_high_mm, "good" if fits else "bad"),
        ("you accept", focus.allowed_low_mm, focus.allowed_high_mm, "strong"),
    ]
    reach = max(abs(value) for row in rows for value in row[1:3]) or 1.0
    # Bars give way to names.
    name = min(max(len(row[0]) for row in rows), max(width - 22 - LEAST_BAR, 8))
    wide = max(width - name - 22, 3) | 1
    unit = "in" if system == "in" else "mm"
    head = f" {'':<{name}} {f'low {unit}':>8} {f'high {unit}':>8}  {next(text for text in SIDES if len(text) <= wide)}"
    lines: list[Line] = [[Run(fitted(head, width), "muted")]]
    for label, low, high, ink in rows:
        figures = [length(value, system, signed=True).split(" ")[0] for value in (low, high)]
        lines.append(
            [
                Run(f" {fitted(label, name):<{name}} ", ink if ink != "a" else "plain"),
                Run(f"{figures[0]:>8} {figures[1]:>8}  ", "plain"),
                Run(bar(low, high, reach, wide, ascii_only), ink),
            ]
        )
    lines.append([])
    lines += wrapped(
        "The table shows by how much the surface can lie too low or too high, and why. The energy per area can then "
        f"fall to {focus.fluence_low:.0%} and rise to {focus.fluence_high:.0%} of what the plan aims for "
        f"(you accept {accepted.fluence_low_share:.0%} to {accepted.fluence_high_share:.0%}). "
        f"The focus lies {length(abs(focus.plane_over_apex_mm), system)} "
        f"{'above' if focus.plane_over_apex_mm >= 0 else 'below'} the apex.",
        width - 1, "plain", " ",
    )  # fmt: skip
    for note in shown_in(system, says.focus):
        lines += wrapped(note, width - 1, "muted", " - ")
    return lines


def seams(plan: "Plan", system: str, width: int, height: int, ascii_only: bool = False) -> list[Line]:
    """Errors at the seams over the band, flat beside sliced files, nominal and the reach of 95 %."""
    split, accepted = plan.split, plan.job.tolerances.accepted_seam_mm
    rows = list(reversed(split.seam_rows))
    most = max(height - 4, 3)
    if len(rows) > most:
        rows = [rows[round(place * (len(rows) - 1) / (most - 1))] for place in range(most)]
    reach = max([accepted, *(abs(n) + w for row in rows for n, w in _pairs(row))])
    wide = max((width - 9 - 2 * 17) // 2 - 1, 3) | 1 if width >= 60 else 0
    unit = "thou" if system == "in" else "µm"
    each = 17 + wide
    names = (("flat", "flat file"), ("sliced", "sliced file"))
    plain, sheet = (f"{name:<13}{' < is planned' if method == split.method else ''}" for method, name in names)
    lines: list[Line] = [[Run(fitted(f" height  {plain:<{each}}{sheet}", width), "muted")]]
    for row in rows:
        line: Line = [Run(f"{length(row.from_end_mm, system).split(' ')[0]:>7}  ", "muted")]
        for nominal, half in _pairs(row):
            ok = abs(nominal) + half <= accepted * 1.0005
            ink = "good" if ok else "warn"
            figures = f"{_bare(nominal, system, True):>5} ±{_bare(half, system, False):<5}"
            line.append(Run(f"{figures:<13}{' ' if ok else '!'} ", ink))
            if wide:
                line.append(Run(bar(nominal - half, nominal + half, reach, wide, ascii_only, nominal) + "  ", ink))
        lines.append(line)
    lines.append([])
    lines += wrapped(
        f"How far a seam is off at each height, in {unit}: + is a gap, - is marked twice. 19 of 20 seams stay within "
        f"the ±. ! means: this can be more than the {fine(accepted, system)} you accept (picture 8 "
        "says what helps).",
        width - 1, "muted", " ",
    )  # fmt: skip
    return lines


def _pairs(row: "SeamAtHeight") -> tuple[tuple[float, float], tuple[float, float]]:
    return (row.plain_nominal_mm, row.plain_95_mm), (row.sheet_nominal_mm, row.sheet_95_mm)


def _bare(mm: float, system: str, signed: bool) -> str:
    return fine(mm, system, signed).split(" ")[0]
