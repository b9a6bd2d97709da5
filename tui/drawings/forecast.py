"""What a written file will do, as simulated: a sliced file beside a flat file, seam by seam."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final, Protocol

from tui.drawings.canvas import Canvas, Line, Run, fitted, greyed
from tui.drawings.panel_content import NOTHING, Content, outdated_note
from tui.drawings.words import fine, length, shown_in, wrapped

if TYPE_CHECKING:
    from rotary.plan import Plan


class SimulatedWay(Protocol):
    """What one way of dividing the artwork comes to; nothing but why, where there is `trouble`.

    `seams` are its seams: number, the narrowest and the widest of its places [mm].
    """

    method: str
    trouble: str
    says: Sequence[str]
    columns: int
    seams: Sequence[tuple[int, float, float]]
    lost: float
    missed: float
    placement_mm: float | None
    placement_95_mm: float
    open_mm: float
    double_mm: float
    seam_95_mm: float


class SimulatedWays(Protocol):
    """Both ways, and which of them the plan takes."""

    ways: Sequence[SimulatedWay]
    taken: str
    accepted_mm: float


NAMES = {"sliced": "sliced file", "flat": "flat file"}


def forecast(
    _plan: "Plan", system: str, width: int, height: int, ascii_only: bool = False, found: Content = NOTHING
) -> list[Line]:
    """The forecast as lines of characters; of an older state in grey, with a line that says so."""
    lines = outdated_note("simulation", found, width)
    if found.value is None:
        return lines
    value = found.value
    if value.stands_in:
        lines += wrapped(
            "No artwork yet: this simulates a frame that is marked all over. Press Ctrl+E to choose your artwork.",
            width - 1, "warn", " ",
        )  # fmt: skip
    body = _table(value, system, width)
    says = [line for way in value.ways for line in _says(way, system, width)]
    # The chart is twice as wide in the same room where the two ways stand one above the other.
    room = height - len(lines) - len(body) - 3
    chart = _charts(value, system, width, max(min(room, 14), 5), ascii_only)
    drawn = [*body, [], *chart, [], *says]
    return [*lines, *(drawn if found.fresh else greyed(drawn))]


def _says(way: "SimulatedWay", system: str, width: int) -> list[Line]:
    if way.trouble:
        return []
    lines: list[Line] = [[Run(f" {NAMES[way.method]}", "strong")]]
    for text in shown_in(system, way.says):
        lines += wrapped(text, width - 1, "plain", " - ")
    return lines


def _table(value: "SimulatedWays", system: str, width: int) -> list[Line]:
    name = min(38, max(width - 34, 12))
    heads = "".join(f"{NAMES[way.method] + (' <' if way.method == value.taken else ''):>17}" for way in value.ways)
    lines: list[Line] = [[Run(fitted(f" {'< is planned':<{name}}{heads}", width), "muted")]]
    for label in _LABELS:
        shown = label.format(accepted=fine(value.accepted_mm, system))
        line: Line = [Run(f" {fitted(shown, name - 1):<{name}}", "plain")]
        for way in value.ways:
            text, bad = ("-", False) if way.trouble else _figure(label, way, value.accepted_mm, system)
            line.append(Run(f"{text:>16}{'!' if bad else ' '}", "warn" if bad else "plain"))
        lines.append(line)
    for way in value.ways:
        if way.trouble:
            lines += wrapped(f"{NAMES[way.method]}: {way.trouble}", width - 1, "warn", " ! ")
    return lines


_LABELS: Final = (
    "slices", "a mark is off its place by at most", "whole artwork off (19 of 20 items)",
    "widest gap, if all numbers are exact", "widest overlap, if they are exact",
    "seams off (you accept {accepted})", "places left unmarked by mistake",
)  # fmt: skip


def _figure(label: str, way: "SimulatedWay", accepted_mm: float, system: str) -> tuple[str, bool]:
    """A figure of the table, and whether it is more than is accepted; rounding makes none of them so."""
    most = accepted_mm * 1.01
    lost = way.lost + way.missed
    return {
        "slices": (str(way.columns), False),
        "a mark is off its place by at most": (_or_none(way.placement_mm, system), False),
        "whole artwork off (19 of 20 items)": (length(way.placement_95_mm, system), False),
        "widest gap, if all numbers are exact": (fine(way.open_mm, system), way.open_mm > most),
        "widest overlap, if they are exact": (fine(way.double_mm, system), way.double_mm > most),
        "places left unmarked by mistake": (str(lost), lost > 0),
    }.get(label, (fine(way.seam_95_mm, system), way.seam_95_mm > most))


def _or_none(mm: float | None, system: str) -> str:
    return "not known" if mm is None else fine(mm, system)


def _charts(value: "SimulatedWays", system: str, width: int, height: int, ascii_only: bool) -> list[Line]:
    """Seam by seam: how far open upwards, how far doubled downwards, the accepted dashed; one scale for both."""
    ways = [way for way in value.ways if not way.trouble and way.seams]
    if not ways:
        return wrapped("No seam crosses the artwork.", width - 1, "plain", " ")
    most = max(max(abs(row[1]), abs(row[2])) for way in ways for row in way.seams)
    # The accepted is drawn where the seams come near it; far below it they would be no more than a line.
    reach = max(most * 1.15, value.accepted_mm * 1.1 if most > value.accepted_mm / 2 else 0.0, 1e-6)
    side_by_side = width >= 56 and len(ways) > 1
    each = (width - 2) // 2 if side_by_side else width
    pictures = [_chart(way, reach, value.accepted_mm, system, each, height, ascii_only) for way in ways]
    if not side_by_side:
        return [line for picture in pictures for line in picture]
    blank = [Run("  ")]
    drawn = [[*left, *blank, *right] for left, right in zip(*pictures, strict=True)]
    says = (
        "If all numbers are exact. Bars up: gaps, down: marked twice. Dashed: the most you accept."
        if reach > value.accepted_mm
        else f"If all numbers are exact, all seams stay under {fine(value.accepted_mm, system)}. Bars up: gaps, down: "
        "marked twice."
    )
    return [*drawn, *wrapped(says, width - 1, "muted", " ")]


def _chart(
    way: "SimulatedWay", reach: float, accepted_mm: float, system: str, width: int, height: int, ascii_only: bool
) -> list[Line]:
    canvas = Canvas(width, height, ascii_only)
    left = 9
    wide, high = 2 * (width - left) - 2, 4 * (height - 1)
    zero = 4 + high / 2

    def down(mm: float) -> float:
        return zero - mm / reach * (high / 2 - 1)

    for mm in (accepted_mm, -accepted_mm):
        if abs(mm) < reach:
            canvas.line(2 * left, down(mm), 2 * left + wide, down(mm), "muted", dash=3)
    canvas.line(2 * left, zero, 2 * left + wide, zero, "grid")
    many = max(way.columns - 1, 1)
    bar = max(wide // many - 1, 1)
    for number, low, high_mm in way.seams:
        x = 2 * left + wide * min(number + 0.5, many) / many - bar / 2
        for mm, ink in ((high_mm, "b"), (low, "a")):
            if abs(mm) / reach * high / 2 >= 0.5:
                canvas.fill(x, zero, min(x + bar - 1, 2 * left + wide), down(mm), ink)
    canvas.text(0, 0, fitted(f" {NAMES[way.method]}: {many} seams, left to right", width), "strong")
    marked = accepted_mm if accepted_mm < reach else reach / 1.15
    for mm in (marked, -marked):
        text = fine(mm, system, signed=True)
        canvas.text(max(left - 1 - len(text), 0), min(int(down(mm)) // 4, height - 1), text, "muted")
    canvas.text(left - 2, int(zero) // 4, "0", "muted")
    return canvas.lines()
