"""Values as the pictures write them."""

import textwrap
from collections.abc import Iterable
from functools import lru_cache
from typing import TYPE_CHECKING

from rotary.errors import Predicate, Refused, RotaryError
from rotary.papers.lines import in_inches
from tui.drawings.canvas import Line, Run, cells, cut, fitted

if TYPE_CHECKING:
    from rotary.plan import Plan
    from rotary.sentences.plan import PlanSentences


def length(mm: float, system: str, signed: bool = False) -> str:
    """A length with its unit.

    >>> length(25.4, "in"), length(3.14159, "mm", signed=True)
    ('1.000 in', '+3.14 mm')
    """
    sign = "+" if signed else ""
    return f"{mm / 25.4:{sign}.3f} in" if system == "in" else f"{mm:{sign}.2f} mm"


def by_hand(mm: float, system: str, signed: bool = False) -> str:
    """A length as it is set by hand, in the digits in which it stands among what is done by hand.

    >>> by_hand(118.2, "mm"), by_hand(14.5, "mm", signed=True), by_hand(118.2, "in")
    ('118.2 mm', '+14.5 mm', '4.654 in')
    """
    sign = "+" if signed else ""
    return f"{mm / 25.4:{sign}.3f} in" if system == "in" else f"{round(mm, 2):{sign}g} mm"


def fine(mm: float, system: str, signed: bool = False) -> str:
    """A small length with its unit: micrometres or thousandths of an inch.

    >>> fine(0.0532, "mm", signed=True), fine(0.0254, "in")
    ('+53 µm', '1.00 thou')
    """
    places, size, unit = (2, mm / 0.0254, "thou") if system == "in" else (0, 1000 * mm, "µm")
    # Adding zero turns a minus zero into a plain one.
    return f"{round(size, places) + 0.0:{'+' if signed else ''}.{places}f} {unit}"


def shown_in(system: str, texts: "Iterable[str]") -> list[str]:
    """Sentences with their lengths in the units that are shown, as on paper.

    >>> shown_in("in", ["Set the lens 25.4 mm away."]), shown_in("mm", ["Set the lens 25.4 mm away."])
    (['Set the lens 1.000 in away.'], ['Set the lens 25.4 mm away.'])
    """
    return [in_inches(text) if system == "in" else text for text in texts]


def count(number: int, name: str) -> str:
    """So many of something.

    >>> count(1, "slice"), count(45, "slice")
    ('1 slice', '45 slices')
    """
    return f"{number} {name}{'' if number == 1 else 's'}"


def sentence(text: str) -> str:
    """A text with a capital at its start and a full stop at its end.

    >>> sentence("on rollers the item creeps")
    'On rollers the item creeps.'
    """
    plain = " ".join(text.split())
    ended = plain if plain.endswith((".", "?", "!", ":")) or not plain else plain + "."
    return ended[:1].upper() + ended[1:]


def refusal(trouble: RotaryError) -> str:
    """What was refused first, without the name that its field has in a file.

    >>> from rotary.errors import refuse
    >>> refusal(refuse("reading.rim_end", "write both heights over the bed"))
    'write both heights over the bed'
    """
    if not isinstance(trouble, Refused) or not trouble.faults:
        return str(trouble).splitlines()[0]
    where, says = trouble.faults[0]
    name = where.rpartition(".")[2].replace("_", " ")
    return f"{name} {says}" if isinstance(says, Predicate) else says


def _wrapped_wide(text: str, room: int) -> list[str]:
    """As textwrap does it, counted in cells: signs of wide scripts take two, and may be parted anywhere."""
    lines, line = [], ""
    for word in text.split(" "):
        joined = f"{line} {word}" if line else word
        if cells(joined) <= room:
            line = joined
            continue
        if line:
            lines.append(line)
        while cells(word) > room:
            part = cut(word, room).rstrip(" ")
            lines.append(part)
            word = word[len(part) :]
        line = word
    return [*lines, line] if line else lines


def sentences(plan: "Plan") -> "PlanSentences":
    """What a plan says; it comes with it from the core, and is made here where it did not."""
    if (ready := getattr(plan, "sentences", None)) is not None:
        said: PlanSentences = ready
        return said
    from rotary.sentences.plan import plan_in_words

    return plan_in_words(plan).sentences


def is_on_end_face(plan: "Plan") -> bool:
    """Whether words go on the item's end face: it stands still, and has neither slices nor seams."""
    return plan.job.is_inscribed and plan.job.inscription is not None and plan.job.inscription.around == "end"


def named_line(name: str, does: str, width: int) -> Line:
    """The name of what is under the pointer of a list, and what Enter does with it."""
    does = f"  {does}" if cells(does) <= width // 2 else ""
    return [Run(f" {fitted(name, width - cells(does) - 2)}", "strong"), Run(does, "muted")]


def wrapped(text: str, width: int, ink: str = "plain", first: str = "", first_ink: str = "") -> list[Line]:
    """A sentence over as many lines as it takes, `first` before it."""
    room = max(width - len(first), 8)
    blank = " " * len(first)
    return [
        [Run(blank if place else first, first_ink or ink), Run(piece, ink)]
        for place, piece in enumerate(_pieces(text, room))
    ]


@lru_cache(maxsize=1024)
def _pieces(text: str, room: int) -> tuple[str, ...]:
    """A text in lines; most of those on the screen are the same after a key as before it."""
    plain = " ".join(text.split())
    return tuple(textwrap.wrap(plain, room) if plain.isascii() else _wrapped_wide(plain, room)) or ("",)
