"""Every picture of the desk by its name, in the order of their keys."""

from collections.abc import Callable, Sequence
from importlib import import_module
from typing import TYPE_CHECKING, Any, Final

from tui.drawings.canvas import Line, Run, cells, clipped, fitted
from tui.drawings.panel_content import NOTHING, Content
from tui.drawings.words import is_on_end_face, wrapped

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
    "unrolled": _of("unrolled_wall", "unrolled"),
    "seams": _of("bars", "seams"),
    "focus": _of("bars", "budget"),
    "passes": _of("tables", "passes"),
    "cautions": _of("tables", "cautions"),
    "notes": _of("tables", "notes"),
    "heat": _of("heat", "heat"),
    "simulation": _of("forecast", "forecast"),
    "window": _of("window", "process_window"),
    "front": _of("front", "front"),
}

BESIDE: Final = {"unrolled": "artwork", "simulation": "forecast", "window": "window", "front": "front"}
"""Pictures that show more than the plan, and what they need to be given for it."""

TURNED: Final = ("end", "side", "seams")
STANDS_STILL: Final = (
    "The item stands still for words on its end face: there are no slices and no seams. Picture 3 shows the words."
)
"""Pictures of an item that turns under the lens, and what stands in their place where it does not."""

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
    name: str, plan: "Plan", system: str, width: int, height: int, ascii_only: bool = False, beside: Content = NOTHING
) -> list[Line]:
    """A picture by its name, no line of it wider than asked; `beside` is what it shows besides the plan."""
    if name in TURNED and is_on_end_face(plan):
        return wrapped(STANDS_STILL, width - 1, "plain", " ")
    drawn = PICTURES[name]
    given = (beside,) if name in BESIDE else ()
    return clipped(drawn(plan, system, width, height, ascii_only, *given), width)


def tab_line(labels: Sequence[str], short: Sequence[str], at: int, width: int, action: str = "") -> Line:
    """Names side by side, the one at `at` in brackets; where not all have room, those farthest from it are `short`.

    No name is cut: where even so there is no room, there is no line. `action` is what a click on the one shown does.
    """
    texts = list(labels)
    far = sorted((place for place in range(len(texts)) if place != at), key=lambda place: -abs(place - at))
    for place in far:
        if sum(cells(text) + 1 for text in texts) < width:
            break
        texts[place] = short[place]
    if sum(cells(text) + 1 for text in texts) >= width:
        return []
    actions = [action if place == at else f"screen.show({place})" for place in range(len(texts))]
    return [
        Run(f"[{text}]" if place == at else f" {text}", "strong" if place == at else "muted", actions[place])
        for place, text in enumerate(texts)
    ]


def tabs(shown: int, width: int) -> Line:
    """The pictures' names with their keys, the one shown in brackets; where it is narrow those farthest from it keep
    only their keys, and no name is cut.

    >>> "".join(run.text for run in tabs(0, 80)).strip()
    '[1 end] 2 side 3 unrolled 4 seams 5 focus 6 passes 7 cautions 8 9 0 (-) (=)'
    """
    names = list(PICTURES)
    keys = [f"({key})" if key in KEY_NAMES else key for key in KEYS]
    labels = [f"{key} {name}" for key, name in zip(keys, names, strict=True)]
    line = tab_line(labels, keys, shown, width, "screen.large")
    says = f" {labels[shown]}  ({len(names)} pictures, F4 turns)"
    return line or [Run(fitted(says, width), "strong")]
