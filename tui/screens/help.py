"""Help: how each screen is used, and every field with what to measure, how, and with what."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.screen import ModalScreen

from tui.catalogue import GROUPS
from tui.catalogue.inscription import INSCRIPTION
from tui.catalogue.keys import MACHINE_PAGE, SCREENS, Keys
from tui.catalogue.words import words_of
from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.pictures import key_of
from tui.drawings.words import wrapped
from tui.form.fields import Field, Table
from tui.screens.questions import BaseScreen
from tui.widgets.panel import Panel

CARE = (
    "When you cut brass, it gives off zinc oxide, and free-cutting brass also gives off lead. Titanium dust burns. "
    "Extract fumes at the mark. Have a dry-powder or metal-fire extinguisher at hand, as your local rules say. Never "
    "let the dust of two metals mix. Bare metal throws the beam back: first close the enclosure, then wear eyewear "
    "too. Follow local rules and licensed experts."
)

CAUTION = (
    "You can't see the beam. It blinds at once, also when it is reflected. First close the enclosure with its "
    "interlock, then wear eyewear for every laser in the room. Extract and filter fumes. Keep sleeves, gloves and "
    "hair away from turning parts. Follow local rules and licensed experts."
)


PICTURES = (
    (
        "end",
        "the item seen from its end: rollers or chuck, slices, artwork and focus. Beside it you see one slice, larger",
    ),
    (
        "side",
        "the item seen from its side, as it lies: taper, tilt, artwork, apex, focus, and where the rollers touch it",
    ),
    (
        "unrolled",
        "the wall laid flat, to scale: where the artwork and the slices lie, and how much you see from the front",
    ),
    ("seams", "how wide gaps and overlaps at the seams get, with a flat file and with a sliced file"),
    ("focus", "by how much the item's surface can be out of focus, and why"),
    ("passes", "every step of the run, the odds, and each pass with its time and temperature"),
    ("cautions", "warnings to read before you run this job"),
    ("notes", "what limits the slice width and what would help, then notes on the plan"),
    ("heat", "how hot the wall gets, pass by pass"),
    ("simulation", "where the marks of a sliced file and of a flat file would land, seam by seam"),
    ("window", "with which energy and how many pulses items come out clean most often, and your readings"),
    ("front", "what the item will look like from the front, in its colour, as a drawing"),
)


def help_lines(width: int, first: str = "", at: tuple[str, str] = ("", "")) -> list[Line]:
    """The help text for so many columns: of the screen `first` before all others, of the field `at` before all."""
    lines: list[Line] = []
    if first and first != "Desk":
        lines += [*_screen(first, width), []]
    if at[0]:
        lines += [[Run(f" You are at: {at[0]}", "strong")], *wrapped(at[1], width - 1, "plain", " "), []]
    lines += [[Run(" The screen", "strong")], []]
    lines += wrapped("At the top you see how the job stands and what to do next. On the left are the fields: fill in "
                     "every empty field marked !. On the right you read what to import, type and set by hand, in the "
                     "order of the work. Below is a picture: F4 shows the next picture. A value that can't be right "
                     "turns red with a !, and a line says how to repair it. Until you do, the numbers stay old and "
                     "grey. If the window closes before you saved, rotary offers you your work the next time.",
                     width - 1, "plain", " ")  # fmt: skip
    lines += [[], *_screen("Desk", width), [], [Run(" Pictures", "strong")]]
    for place, (name, says) in enumerate(PICTURES):
        lines += wrapped(says, width - 1, "plain", f" {key_of(place)} {name:<18}", "a")
    for group in GROUPS:
        lines += [[], [Run(f" {group.title}", "strong")]]
        for entry in group.content:
            if isinstance(entry, Table):
                for column in entry.every:
                    lines += _field(f"{entry.row}, {column.label}", column, width)
            else:
                lines += _field(entry.label, entry, width)
    for name in SCREENS:
        if name not in ("Desk", first):
            lines += [[], *_screen(name, width)]
    lines += [[], [Run(" Eyes, fumes, turning parts", "bad")]]
    lines += wrapped(CAUTION, width - 1, "plain", " ")
    return lines


def explained(field: Field, stands: str) -> str:
    """What a field wants, and what holds while it is empty."""
    # A new job asks for what is chosen from a list of its own: nothing holds while it is empty.
    return f"{field.help} Empty: {words_of(field, stands)}." if stands and not field.options_from else field.help


def _field(label: str, field: Field, width: int) -> list[Line]:
    return wrapped(explained(field, field.stands), width - 1, "plain", f" {fitted(label, 24):<24} ", "a")


def _screen(screen: str, width: int) -> list[Line]:
    title, keys = SCREENS[screen]
    return [[Run(f" {title}", "strong")], *_keys(keys, width)]


def _keys(keys: Keys, width: int) -> list[Line]:
    return [line for key, says in keys for line in wrapped(says, width - 1, "plain", f" {key:<20.20}", "a")]


def machine_lines(name: str, about: Sequence[str], width: int) -> list[Line]:
    """The help on a page of the machine's screen: what to measure, and how."""
    lines: list[Line] = [[Run(f" {name[:1].upper()}{name[1:]}", "strong")], []]
    for text in about:
        lines += [*wrapped(text, width - 1, "plain", " "), []]
    return [*lines, *_keys(MACHINE_PAGE, width)]


def inscription_lines(width: int) -> list[Line]:
    """The help on inscriptions: how the screen is used, every field, what cutting metal asks of care."""
    lines: list[Line] = [[Run(" Inscriptions", "strong")], []]
    lines += wrapped(
        "Here you type the words to cut into this job's item. rotary makes the letters as large as fits. A line "
        "with ! says that you can't read the letters once they are cut. A line with ~ says that you can read them, "
        "but published advice asks for larger or wider letters. Both lines name the worst letter and what would help.",
        width - 1, "plain", " ",
    )  # fmt: skip
    typing = ("type", "while you type you see sizes, slices, depth, a picture, and whether people can read the letters")
    lines += [[], *_keys((typing, *SCREENS["InscriptionScreen"][1][1:]), width)]
    for group in INSCRIPTION:
        fields = [f for entry in group.content for f in (entry.every if isinstance(entry, Table) else (entry,))]
        lines += [[], [Run(f" {group.title}", "strong")], *_keys(tuple((f.label, f.help) for f in fields), width)]
    return [*lines, [], [Run(" Fumes, fire, eyes", "bad")], *wrapped(CARE, width - 1, "plain", " ")]


class Help(BaseScreen[None], ModalScreen[None]):
    """A help text; any of the usual keys leaves it."""

    DEFAULT_CSS = """
    Help { align: center bottom; background: $background 60%; }
    Help #help { width: 90%; max-width: 100; height: 80%; border: round $primary; background: $surface; padding: 0 1; }
    """
    BINDINGS: ClassVar = [Binding("escape,f1,q,enter", "dismiss", "Back", show=False)]

    def __init__(self, lines: Callable[[int], list[Line]]) -> None:
        super().__init__()
        self._lines_of = lines

    def compose(self) -> ComposeResult:
        """One panel over the screen."""
        panel = Panel(lambda width, _height: self._lines_of(width), id="help")
        panel.border_title = "help: arrows and PgDn scroll, Esc goes back"
        yield panel
