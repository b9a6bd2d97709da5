"""Help on inscriptions: how the screen is used, every field, what cutting metal asks of care."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.screen import ModalScreen

from tui.catalogue.inscription import INSCRIPTION
from tui.catalogue.keys import INSCRIPTION as KEYS
from tui.drawings.canvas import Line, Run
from tui.drawings.words import wrapped
from tui.fields import Table
from tui.screens.once import Once
from tui.widgets.panel import Panel

CARE = (
    "Brass gives off zinc oxide, free-cutting brass lead; fines of titanium burn. Extract at the mark, keep a "
    "dry-powder or metal-fire extinguisher as your local rules say, never let the fines of two metals mix. Bare metal "
    "throws the beam back: closed enclosure first, eyewear second. Local rules and licensed practice decide."
)


def help_lines(width: int, _height: int) -> list[Line]:
    """The help text for so many columns."""
    lines: list[Line] = [[Run(" Inscriptions", "strong")], []]
    lines += wrapped(
        "Words on the item of the desk. Letters get as large as fit; ! marks what can't be read when it is cut, ~ what "
        "published guidance advises, each with the letter that decides and what would make it pass.",
        width - 1,
        "plain",
        " ",
    )
    lines.append([])
    for key, says in (("type", "sizes, legibility, slices, depth and picture follow every key"), *KEYS[1:]):
        lines += wrapped(says, width - 1, "plain", f" {key:<20}", "a")
    for group in INSCRIPTION:
        lines += [[], [Run(f" {group.title}", "strong")]]
        for entry in group.content:
            fields = entry.every if isinstance(entry, Table) else (entry,)
            for field in fields:
                lines += wrapped(field.help, width - 1, "plain", f" {field.label:<20.20}", "a")
    lines += [[], [Run(" Fumes, fire, eyes", "bad")]]
    lines += wrapped(CARE, width - 1, "plain", " ")
    return lines


class InscriptionHelp(Once[None], ModalScreen[None]):
    """The help text; any of the usual keys leaves it."""

    DEFAULT_CSS = """
    InscriptionHelp { align: center middle; background: $background 60%; }
    """
    BINDINGS: ClassVar = [Binding("escape,f1,q,enter", "dismiss", "Back", show=False)]

    def compose(self) -> ComposeResult:
        """One panel over the screen."""
        panel = Panel(help_lines, id="help")
        panel.border_title = "help: arrows and PgDn scroll, Esc goes back"
        yield panel
