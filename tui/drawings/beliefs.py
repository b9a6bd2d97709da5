"""The process window and the beliefs as a picture of the desk."""

from typing import Any

from tui.drawings.canvas import Line, Run
from tui.drawings.shown import NOTHING, Shown, what_is_off
from tui.drawings.window import beliefs, window
from tui.drawings.words import count, wrapped


def process_window(
    _plan: Any, _system: str, width: int, height: int, ascii_only: bool = False, found: Shown = NOTHING
) -> list[Line]:
    """The heat map of this coating with its readings, then what the readings have taught."""
    lines = what_is_off("window", found, width)
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
    else:
        says = f"{count(value.readings, 'reading')} of this coating so far: what is believed of it is the table's."
        drawn += wrapped(
            f"{says} Ctrl+T chooses cells of a proof patch and keeps what is seen.", width - 1, "muted", " "
        )
    return [*lines, *(drawn if found.fresh else [[Run(run.text, "muted") for run in line] for line in drawn])]
