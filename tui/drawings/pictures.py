"""Every picture of the desk by its name, in the order of their keys."""

from collections.abc import Callable
from typing import Any, Final

from tui.drawings.bars import budget, joints
from tui.drawings.canvas import Line, clipped
from tui.drawings.end_view import end_view
from tui.drawings.heat import heat
from tui.drawings.side_view import side_view
from tui.drawings.tables import cautions, notes, passes
from tui.drawings.unrolled import unrolled

Picture = Callable[[Any, str, int, int, bool], list[Line]]

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
}


def picture(name: str, plan: Any, system: str, width: int, height: int, ascii_only: bool = False) -> list[Line]:
    """A picture by its name, no line of it wider than asked."""
    return clipped(PICTURES[name](plan, system, width, height, ascii_only), width)
