"""Help: how the desk is used, and every field with what to measure, how, and with what."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.screen import ModalScreen

from tui.catalogue import GROUPS
from tui.drawings.canvas import Line, Run
from tui.drawings.words import wrapped
from tui.fields import Table
from tui.widgets.panel import Panel

KEYS = (
    ("type", "the answer follows every key; there is nothing to press for it"),
    ("Tab, arrows, Enter", "move between fields; Enter also folds and unfolds a group and adds a row"),
    ("Left, Right", "change a choice ‹like this›; its first letter does it too"),
    ("Ctrl+Up, Ctrl+Down", "step the last digit of a number"),
    ("Esc", "put back what stood in the field when you came to it"),
    ("F2", 'show mm or inch; what you type may carry either unit: 88.9 mm, 88,9, 3 1/2 in, 7/8"'),
    ("F3, F4", "the picture before, the next picture; in the pictures 1 to 9 too"),
    ("F6", "from fields to answers and back"),
    ("F7, F8", "undo and redo a change (Ctrl+Z, Ctrl+Y)"),
    ("F9", "light or dark"),
    ("Ctrl+S", "keep the job as a profile under the item's name; each time is a new version"),
    ("Ctrl+O", "profiles: type to search, look at versions, compare two, open, copy, rename, go back"),
    ("Ctrl+R", "the rig: what is known of this machine, what to measure and how; type a reading, Enter keeps it"),
    ("Ctrl+T", "proof patch: choose its cells, write down what is seen in each, watch the plan learn"),
    ("Ctrl+B, F10", "inscription: words on a small part, how large they fit, whether they can be read, how deep"),
    ("Ctrl+P", "all commands; the mouse works too"),
    ("Ctrl+Q", "leave; it asks if something is not saved"),
)

CAUTION = (
    "The beam is invisible and blinds at once, also by reflection: enclosure with interlock first, then eyewear for "
    "every laser in the room. Extract and filter fumes. Sleeves, gloves and hair away from turning parts. "
    "Local rules and licensed practice decide."
)


def help_lines(width: int, _height: int) -> list[Line]:
    """The help text for so many columns."""
    lines: list[Line] = [[Run(" The desk", "strong")], []]
    lines += wrapped("Left what you measured, in the order of the work. Right, above, what to key in; below it one "
                     "picture at a time. A wrong value is marked ! and red and says what to write; the last good "
                     "numbers then stay, grey, until it is put right.", width - 1, "plain", " ")  # fmt: skip
    lines.append([])
    for key, says in KEYS:
        lines += wrapped(says, width - 1, "plain", f" {key:<20}", "a")
    for group in GROUPS:
        lines += [[], [Run(f" {group.title}", "strong")]]
        for entry in group.content:
            if isinstance(entry, Table):
                for column in entry.columns:
                    lines += wrapped(column.help, width - 1, "plain", f" {entry.row + ', ' + column.label:<20.20}", "a")
            else:
                lines += wrapped(entry.help, width - 1, "plain", f" {entry.label:<20.20}", "a")
    lines += [[], [Run(" Eyes, fumes, turning parts", "bad")]]
    lines += wrapped(CAUTION, width - 1, "plain", " ")
    return lines


class Help(ModalScreen[None]):
    """The help text; any of the usual keys leaves it."""

    BINDINGS: ClassVar = [Binding("escape,f1,q,enter", "app.pop_screen", "Back", show=False)]

    def compose(self) -> ComposeResult:
        """One panel over the desk."""
        panel = Panel(help_lines, id="help")
        panel.border_title = "help: arrows and PgDn scroll, Esc goes back"
        yield panel
