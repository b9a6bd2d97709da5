"""Numbers and lengths as SVG and CSS write them; the user unit is the CSS pixel, 25.4/96 mm."""

import re
from math import isfinite
from typing import Final, overload

MM_PER_PX: Final = 25.4 / 96
NUMBER: Final = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
PX_IN: Final = {
    "": 1.0,
    "px": 1.0,
    "pt": 96 / 72,
    "pc": 16.0,
    "mm": 96 / 25.4,
    "cm": 96 / 2.54,
    "in": 96.0,
    "q": 96 / 101.6,
    "rem": 16.0,
}
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
    if text is None:
        return otherwise
    text = text.strip()
    found = NUMBER.match(text)
    if not found:
        return otherwise
    value, unit = float(found.group()), text[found.end() :].strip().lower()
    if unit in PX_IN:
        value *= PX_IN[unit]
    elif unit == "%":
        value *= whole / 100
    elif unit == "em":
        value *= em
    elif unit == "ex":
        value *= em / 2
    else:
        return otherwise
    return value if isfinite(value) else otherwise


def unit_of(text: str | None) -> str:
    """The unit of a length, in small letters.

    >>> unit_of("210 MM"), unit_of("100"), unit_of(None)
    ('mm', '', '')
    """
    found = NUMBER.match((text or "").strip())
    return (text or "").strip()[found.end() :].strip().lower() if found else ""


def number(text: str | None, otherwise: float) -> float:
    """The number that a text begins with.

    >>> number(" 4 ", 1.0), number("", 1.0)
    (4.0, 1.0)
    """
    found = NUMBER.match(text.strip()) if text else None
    value = float(found.group()) if found else otherwise
    return value if isfinite(value) else otherwise


def numbers(text: str) -> list[float]:
    """All the numbers in a text, whatever stands between.

    >>> numbers("0,0 1-2")
    [0.0, 0.0, 1.0, -2.0]
    """
    return [float(found) for found in NUMBER.findall(text)]


def share(text: str | None, otherwise: float = 1.0) -> float:
    """A number or percentage, held between 0 and 1.

    >>> share("40%"), share("2"), share("none")
    (0.4, 1.0, 1.0)
    """
    if text is None:
        return otherwise
    found = NUMBER.match(text.strip())
    if not found:
        return otherwise
    value = float(found.group()) / (100 if text.strip().endswith("%") else 1)
    return min(1.0, max(0.0, value))
