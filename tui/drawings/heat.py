"""How warm the wall gets, pass by pass."""

from typing import TYPE_CHECKING

from rotary.papers.lines import clock
from rotary.passes.plan.setting import ROOM_C
from tui.drawings.canvas import Canvas, Line, ticks
from tui.drawings.words import sentences, wrapped

if TYPE_CHECKING:
    from rotary.passes.plan.setting import Removal
    from rotary.plan import Plan


def heat(plan: "Plan", _system: str, width: int, height: int, ascii_only: bool = False) -> list[Line]:
    """The wall's temperature at the end of each pass, which 95 % of the draws stay under."""
    steps = plan.removal
    if not steps.rows:
        return wrapped(sentences(plan).first_line, width - 1, "plain", " ")
    says = wrapped(_words(steps), width - 1, "plain", " ")
    if width < 24 or height < 8:
        return [*says, *wrapped("Space gives the picture the whole window.", width - 1, "muted", " ")]
    canvas = Canvas(width, max(height - len(says) - 1, 4), ascii_only)
    peaks = [row.wall_peak_c for row in steps.rows]
    most = max(*peaks, ROOM_C + 10.0)
    left, bottom = 8, canvas.height - 2
    right = 2 * width - 6.0

    def at(number: float, celsius: float) -> tuple[float, float]:
        """Dots of a pass and a temperature."""
        share = (celsius - ROOM_C) / (most - ROOM_C)
        return 2 * left + 4 + (right - 2 * left - 4) * number / len(peaks), 4 * bottom + 1 - share * (4 * bottom - 2)

    for value in ticks(ROOM_C, most, 5):
        x, y = at(0, value)
        canvas.line(x, y, right, y, "grid", dash=1)
        canvas.text(0, int(y) // 4, f"{value:>4.0f} °C", "muted")
    for number, (row, peak) in enumerate(zip(steps.rows, peaks, strict=True), 1):
        x, y = at(number, peak)
        ink = "b" if row.kind == "lift" else "c"
        canvas.line(x, at(number, ROOM_C)[1], x, y, ink)
        canvas.line(x - 1, y, x + 1, y, ink)
    every = max(len(peaks) * 4 // max(width - left, 1) + 1, 1)
    for number in range(1, len(peaks) + 1):
        if number % every == 0 or number == len(peaks):
            canvas.text(int(at(number, ROOM_C)[0]) // 2, canvas.height - 1, str(number), "muted")
    canvas.text(0, canvas.height - 1, "pass", "muted")
    return [*canvas.lines(), [], *says]


def _words(steps: "Removal") -> str:
    peaks = [row.wall_peak_c for row in steps.rows]
    where = peaks.index(max(peaks)) + 1
    if not steps.samples:
        return (
            f"The bars show how hot the wall is after each pass, with typical values: {max(peaks):.0f} °C at "
            f"most, after pass {where}."
        )
    order = steps.order.replace("-", " ")
    longest_s = max(row.pause_before_s for row in steps.rows)
    pauses = f"with pauses of up to {clock(longest_s)}" if longest_s >= 0.05 else "without pauses"
    return (
        f"The bars show how hot the wall can get after each pass. 19 of 20 items stay cooler than the bars. The "
        f"hottest bar is {max(peaks):.0f} °C, after pass {where}. This holds if you mark {order}, {pauses}."
    )
