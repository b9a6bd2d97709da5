"""Every picture of the desk by its name, in the order of their keys."""

from collections.abc import Callable
from importlib import import_module
from typing import TYPE_CHECKING, Any, Final

from tui.drawings.canvas import Line, Run, clipped, fitted
from tui.drawings.shown import NOTHING, Shown

if TYPE_CHECKING:
    from rotary.plan import Plan

Picture = Callable[..., list[Line]]


def _of(module: str, name: str) -> Picture:
    """A picture whose module is loaded when it is first drawn: the first frame shows one of them only."""

    def drawn(*given: Any) -> list[Line]:
        lines: list[Line] = getattr(import_module(f"tui.drawings.{module}"), name)(*given)
        return lines

    return drawn


PICTURES: Final[dict[str, Picture]] = {
    "end": _of("end_view", "end_view"),
    "side": _of("side_view", "side_view"),
    "unrolled": _of("unrolled", "unrolled"),
    "seams": _of("bars", "joints"),
    "focus": _of("bars", "budget"),
    "passes": _of("tables", "passes"),
    "cautions": _of("tables", "cautions"),
    "notes": _of("tables", "notes"),
    "heat": _of("heat", "heat"),
    "forecast": _of("forecast", "forecast"),
    "window": _of("window", "process_window"),
    "front": _of("front", "front"),
}

BESIDE: Final = {"unrolled": "artwork", "forecast": "forecast", "window": "window", "front": "front"}
"""Pictures that show more than the plan, and what they need to be given for it."""

KEYS: Final = "1234567890-="
KEY_NAMES: Final = {"-": "minus", "=": "equals_sign"}
"""What the keys are called that are no digits."""


def key_of(place: int) -> str:
    """The key of a picture: the upper row of a keyboard.

    >>> key_of(0), key_of(9), key_of(11)
    ('1', '0', '=')
    """
    return KEYS[place]


def picture(
    name: str, plan: "Plan", system: str, width: int, height: int, ascii_only: bool = False, beside: Shown = NOTHING
) -> list[Line]:
    """A picture by its name, no line of it wider than asked; `beside` is what it shows besides the plan."""
    drawn = PICTURES[name]
    given = (beside,) if name in BESIDE else ()
    return clipped(drawn(plan, system, width, height, ascii_only, *given), width)


def tabs(shown: int, width: int) -> Line:
    """The pictures' names with their keys, the one shown in brackets; where it is narrow those farthest from it keep
    only their keys, and no name is cut.

    >>> "".join(run.text for run in tabs(0, 80)).strip()
    '[1 end] 2 side 3 unrolled 4 joints 5 focus 6 passes 7 cautions 8  9  0  -  ='
    """
    names = list(PICTURES)
    far = sorted(range(len(names)), key=lambda place: -abs(place - shown))
    bare: set[int] = set()
    # Where not all have room, those farthest from the one shown keep only their number.
    while sum(3 if place in bare else len(name) + 3 for place, name in enumerate(names)) + 1 > width:
        if len(bare) == len(names) - 1:
            says = f" {key_of(shown)} {names[shown]}  ({len(names)} pictures, F3 F4 turn)"
            return [Run(fitted(says, width), "strong")]
        bare.add(far[len(bare)])
    line: Line = []
    for place, name in enumerate(names):
        key = key_of(place)
        if place == shown:
            line.append(Run(f"[{key} {name}]", "strong", "screen.large"))
        else:
            line.append(Run(f" {key} " if place in bare else f" {key} {name}", "muted", f"screen.show({place})"))
    return line
