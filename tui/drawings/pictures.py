"""Every picture of the desk by its name, in the order of their keys."""

from collections.abc import Callable
from typing import Any, Final

from tui.drawings.bars import budget, joints
from tui.drawings.beliefs import process_window
from tui.drawings.canvas import Line, clipped
from tui.drawings.end_view import end_view
from tui.drawings.forecast import forecast
from tui.drawings.heat import heat
from tui.drawings.shown import NOTHING, Shown
from tui.drawings.side_view import side_view
from tui.drawings.tables import cautions, notes, passes
from tui.drawings.unrolled import unrolled

Picture = Callable[..., list[Line]]

PICTURES: Final[dict[str, Picture]] = {
    "end": end_view,
    "side": side_view,
    "unrolled": unrolled,
    "joints": joints,
    "focus": budget,
    "passes": passes,
    "cautions": cautions,
    "notes": notes,
    "heat": heat,
    "forecast": forecast,
    "window": process_window,
}

BESIDE: Final = {"unrolled": "artwork", "forecast": "forecast", "window": "window"}
"""Pictures that show more than the plan, and what they need to be given for it."""

DIGITS: Final = "1234567890"


def key_of(place: int) -> str:
    """The key of a picture: a digit while there are any.

    >>> key_of(0), key_of(9), key_of(10)
    ('1', '0', '-')
    """
    return DIGITS[place] if place < len(DIGITS) else "-"


def picture(
    name: str, plan: Any, system: str, width: int, height: int, ascii_only: bool = False, beside: Shown = NOTHING
) -> list[Line]:
    """A picture by its name, no line of it wider than asked; `beside` is what it shows besides the plan."""
    drawn = PICTURES[name]
    given = (beside,) if name in BESIDE else ()
    return clipped(drawn(plan, system, width, height, ascii_only, *given), width)
