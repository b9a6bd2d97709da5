"""Numbers and lengths as SVG and CSS write them; the user unit is the CSS pixel, 25.4/96 mm."""

import re
from functools import lru_cache
from math import isfinite
from typing import Final, overload

MM_PER_PX: Final = 25.4 / 96
NUMBER: Final = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
PX_IN: Final = {
    "": 1.0, "px": 1.0, "pt": 96 / 72, "pc": 16.0, "mm": 96 / 25.4, "cm": 96 / 2.54, "in": 96.0, "q": 96 / 101.6,
    "rem": 16.0,
}  # fmt: skip
LARGEST: Final = 1e12
"""Numbers beyond this are taken for this: so far out nothing is drawn, and no sum of such numbers overflows."""

REAL_UNITS: Final = {"mm", "cm", "in", "pt", "pc", "q"}


@overload
def px_from_text(text: str | None, whole: float, em: float, otherwise: float) -> float: ...
@overload
def px_from_text(text: str | None, whole: float, em: float, otherwise: None) -> float | None: ...
def px_from_text(text: str | None, whole: float, em: float, otherwise: float | None) -> float | None:
    """A length in user units. `whole` is what 100 % means, `em` the size of the font in force.

    >>> px_from_text("25.4mm", 0, 16, 0.0), px_from_text("50%", 30, 16, 0.0), px_from_text("wide", 0, 16, None)
    (96.0, 15.0, None)
    """
    value, unit = _measure(text)
    factor = PX_IN.get(unit, {"%": whole / 100, "em": em, "ex": em / 2}.get(unit))
    if value is None or factor is None:
        return otherwise
    return value * factor if isfinite(value * factor) else otherwise


@lru_cache(1024)
def _measure(text: str | None) -> tuple[float | None, str]:
    """The number that a text begins with, None where it begins with none, and what stands after it in small letters."""
    text = (text or "").strip()
    found = NUMBER.match(text)
    return (bounded(found.group()), text[found.end() :].strip().lower()) if found else (None, "")


def bounded(text: str) -> float:
    """A number within reach: every number of a drawing is read here.

    >>> bounded("-4.5"), bounded("1e400")
    (-4.5, 1000000000000.0)
    """
    return min(LARGEST, max(-LARGEST, float(text)))


def unit_of(text: str | None) -> str:
    """The unit of a length, in small letters.

    >>> unit_of("210 MM"), unit_of("100"), unit_of(None)
    ('mm', '', '')
    """
    return _measure(text)[1]


def number(text: str | None, otherwise: float) -> float:
    """The number that a text begins with.

    >>> number(" 4 ", 1.0), number("", 1.0)
    (4.0, 1.0)
    """
    value, _ = _measure(text)
    return value if value is not None and isfinite(value) else otherwise


def numbers(text: str) -> list[float]:
    """All the numbers in a text, whatever stands between.

    >>> numbers("0,0 1-2")
    [0.0, 0.0, 1.0, -2.0]
    """
    return [bounded(found) for found in NUMBER.findall(text)]


def share(text: str | None, otherwise: float = 1.0) -> float:
    """A number or percentage, held between 0 and 1.

    >>> share("40%"), share("2"), share("none")
    (0.4, 1.0, 1.0)
    """
    value, unit = _measure(text)
    return otherwise if value is None else min(1.0, max(0.0, value / (100 if unit.endswith("%") else 1)))
