"""What the item will look like, in cells: two colours each, told apart by quarters; in plain signs by how bright it is.

The dots come from the same scene as the picture on paper, already as many as the cells have quarters.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.panel_content import NOTHING, Content, words_below

if TYPE_CHECKING:
    from rotary.plan import Plan

QUARTERS: Final = " ▗▖▄▝▐▞▟▘▚▌▙▀▜▛█"
"""By which quarters are in the first colour: upper left 8, upper right 4, lower left 2, lower right 1."""

BRIGHT: Final = "@%#*+=-:. "
"""Plain signs from dark to bright, as ink on paper."""

ALIKE: Final = 22
"""Dots of a cell that differ by less in any channel, of 255, are one colour."""

Colour = tuple[int, int, int]


def front(
    _plan: "Plan", _system: str, width: int, height: int, ascii_only: bool = False, found: Content = NOTHING
) -> list[Line]:
    """The picture from the front as lines of characters, and what is to be said of it."""
    below = words_below(width, height, found)
    if found.value is None:
        return below
    if width < 12:
        return [[Run(fitted("too small for a picture", width), "muted")]]
    cells = _plain_cells if ascii_only else _cells
    rows = [bytes(row) for row in found.value.rows]
    drawn = [cells(rows[at], rows[at + 1]) for at in range(0, len(rows) - 1, 2)]
    return [*drawn[: max(height - len(below), 0)], *below]


def _cells(upper: bytes, lower: bytes) -> Line:
    """A line of cells from two rows of dots, three bytes a dot."""
    runs: Line = []
    for at in range(0, len(upper) - 5, 6):
        dots = [tuple(row[place : place + 3]) for row in (upper, lower) for place in (at, at + 3)]
        sign, ink = _cell(dots)  # type: ignore[arg-type]
        if runs and runs[-1].ink == ink:
            runs[-1] = Run(runs[-1].text + sign, ink)
        else:
            runs.append(Run(sign, ink))
    return runs


def _cell(dots: Sequence[Colour]) -> tuple[str, str]:
    """Four dots as a sign in two colours, parted where their widest channel lies farthest apart."""
    spans = [max(dot[part] for dot in dots) - min(dot[part] for dot in dots) for part in range(3)]
    if max(spans) < ALIKE:
        return " ", 2 * _mean(dots)
    part = spans.index(max(spans))
    middle = (max(dot[part] for dot in dots) + min(dot[part] for dot in dots)) / 2
    first = [dot for dot in dots if dot[part] > middle]
    rest = [dot for dot in dots if dot[part] <= middle]
    number = sum((dot[part] > middle) << (3 - place) for place, dot in enumerate(dots))
    return QUARTERS[number], f"{_mean(first or rest)}{_mean(rest)}"


def _mean(dots: Sequence[Colour]) -> str:
    # Steps of four are not told apart, and let neighbours share one run.
    return "#" + "".join(
        f"{min(round(sum(dot[part] for dot in dots) / len(dots) / 4) * 4, 255):02x}" for part in range(3)
    )


def _plain_cells(upper: bytes, lower: bytes) -> Line:
    signs = []
    for at in range(0, len(upper) - 5, 6):
        bright = sum(sum(row[at : at + 6]) for row in (upper, lower)) / 12 / 256
        signs.append(BRIGHT[int(bright * len(BRIGHT))])
    return [Run("".join(signs), "plain")]
