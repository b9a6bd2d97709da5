"""The cells of patches in rows, every setting of the one that is chosen, and the list that a patch is chosen from."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.window import SIGNS, beliefs, window
from tui.drawings.words import wrapped

if TYPE_CHECKING:
    from rotary.passes.learning.reading import Reading
    from tui.form.patch import PatchRow, PatchView

HEAD: Final = " power pass  mm/s spacing away you saw"
EVERY: Final = ""
"""What is chosen in place of a patch's name where all readings are to be seen."""


def head_line(width: int, of_one: bool) -> Line:
    """What stands over the rows."""
    return [Run(fitted(f"{'cell':>8}{HEAD}" if of_one else f"{'patch, cell':>13}{HEAD}", width), "muted")]


def reading_line(reading: "Reading", here: bool, width: int, of_one: bool = True) -> Line:
    """One look at one cell, or one job, with what was seen; its patch too, where not all are `of_one`."""
    from rotary.passes.learning.reading import OUTCOME_NAMES

    sign, ink = SIGNS.get(reading.outcome, (".", "muted"))
    where = f"{reading.cell or 'job':>6}"
    if not of_one:
        where = f"{f'{reading.patch}, {reading.cell}' if reading.cell else 'job':>11}"
    text = (
        f"{'>' if here else ' '} {where} {100 * reading.power_share:>4g}% {reading.passes:>4} "
        f"{reading.speed_mm_s:>5.0f} {reading.line_spacing_mm:<6g} {reading.defocus_mm:>+5g} "
    )
    told = f"{sign} {OUTCOME_NAMES.get(reading.outcome, reading.outcome)}"
    told += (" ignored" if reading.ignored else "") + (" *" if reading.note else "")
    mark = "muted" if reading.ignored else "strong" if here else "plain"
    return [Run(text, mark), Run(fitted(told, max(width - len(text), 1)), "muted" if reading.ignored else ink)]


def detail_lines(says: str, width: int) -> list[Line]:
    """Every setting of the reading that is chosen, below the rows."""
    return [[], *wrapped(says, width - 1, "plain", " ")] if says else []


def choice_lines(patches: "Sequence[PatchRow]", chosen: int, width: int) -> list[Line]:
    """Which patch is to be read: those of this job that wait first, then the others, then all readings at once."""
    waiting = sum(patch.to_read for patch in patches)
    says = f"You have not read {waiting} patches yet. " if waiting > 1 else ""
    lines = [*wrapped(f"{says}Which patch do you have in hand? Press Enter on it.", width - 1, "strong", " "), []]
    for place, patch in enumerate(patches):
        ink = "strong" if place == chosen else "plain" if patch.to_read else "muted"
        lines += wrapped(patch.says, width - 4, ink, " > " if place == chosen else "   ")
    here = chosen == len(patches)
    lines.append([Run(f" {'>' if here else ' '} all readings of this coating", "strong" if here else "muted")])
    return lines


def answer_lines(shown: "PatchView", beside: str, width: int, height: int, ascii_only: bool) -> list[Line]:
    """What the readings lead to, what was asked for, the window, and what was learned."""
    lines = wrapped(shown.first_line, width - 1, "strong", " ")
    for text in beside.splitlines():
        lines += wrapped(text, width - 1, "a", " ")
    lines.append([])
    if shown.window is not None:
        lines += [*window(shown.window, width, max(height - len(lines), 14), ascii_only), []]
    return [*lines, *beliefs(shown.taught, width, ascii_only)] if shown.taught else lines
