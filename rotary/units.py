"""The border: "3 1/2 in" comes in, 88.9 is kept; the only file that speaks pint.

A number and a unit are matched here and then the pair is converted, exactly, with one rounding
at the end. A general units reader must not see what a person types: some make 889 mm of
"3,5 in" and 38.1 mm of "3 1/2 in". The units that people type are in a table of this file, so
that a screen starts without loading pint; pint is asked, late, for a unit that is not in it.
"""

import re
from fractions import Fraction
from functools import cache
from math import isfinite, pi
from typing import Any, Final, NamedTuple

from rotary.errors import brief


class UnitError(ValueError):
    """The text is no value of the wanted kind; the message says what to write instead."""


class FarValueError(UnitError):
    """The text is a value, but thousands of times more or less than anybody means."""

    def __init__(self, says: str, too_big: bool) -> None:
        super().__init__(says)
        self.too_big = too_big


class _Kind(NamedTuple):
    dimension: str
    base: Fraction
    spoken: str
    example: str
    smallest: float
    largest: float


_DEGREE: Final = Fraction(pi) / 180
_INCH: Final = Fraction(254, 10)

# Factors to the base of each dimension: mm, rad, rad/s, s, W, kHz, mJ, mm/s, 1.
_TABLE: Final[dict[str, dict[str, Fraction]]] = {
    "length": {
        "mm": Fraction(1), "cm": Fraction(10), "dm": Fraction(100), "m": Fraction(1000),
        "um": Fraction(1, 1000), "nm": Fraction(1, 10**6),
        "in": _INCH, "ft": 12 * _INCH, "thou": _INCH / 1000, "mil": _INCH / 1000,
    },
    "angle": {
        "rad": Fraction(1), "mrad": Fraction(1, 1000), "turn": 360 * _DEGREE, "gon": _DEGREE * 9 / 10,
        "deg": _DEGREE, "arcmin": _DEGREE / 60, "arcsec": _DEGREE / 3600,
    },
    "turning rate": {
        "rad/s": Fraction(1), "deg/s": _DEGREE, "deg/min": _DEGREE / 60,
        "turn/s": 360 * _DEGREE, "turn/min": 6 * _DEGREE, "rpm": 6 * _DEGREE,
    },
    "time": {
        "s": Fraction(1), "min": Fraction(60), "h": Fraction(3600), "ms": Fraction(1, 10**3),
        "us": Fraction(1, 10**6), "ns": Fraction(1, 10**9), "ps": Fraction(1, 10**12),
    },
    "power": {"W": Fraction(1), "mW": Fraction(1, 1000), "kW": Fraction(1000)},
    "frequency": {"kHz": Fraction(1), "Hz": Fraction(1, 1000), "MHz": Fraction(1000)},
    "energy": {"mJ": Fraction(1), "J": Fraction(1000), "uJ": Fraction(1, 1000)},
    "speed": {
        "mm/s": Fraction(1), "cm/s": Fraction(10), "m/s": Fraction(1000),
        "mm/min": Fraction(1, 60), "m/min": Fraction(1000, 60),
        "in/s": _INCH, "in/min": _INCH / 60, "ft/min": 12 * _INCH / 60,
    },
    "share": {"": Fraction(1), "%": Fraction(1, 100)},
}  # fmt: skip

_ALSO: Final[dict[str, str]] = {
    "millimeter": "mm", "millimeters": "mm", "millimetre": "mm", "millimetres": "mm",
    "µm": "um", "μm": "um", "micron": "um", "microns": "um",
    '"': "in", "″": "in", "”": "in", "“": "in", "''": "in", "′′": "in", "inch": "in", "inches": "in", "in.": "in",
    "'": "ft", "′": "ft", "’": "ft", "foot": "ft", "feet": "ft", "ft.": "ft",
    "mils": "mil", "thous": "thou",
    "°": "deg", "º": "deg", "degree": "deg", "degrees": "deg", "turns": "turn", "rev": "turn",
    "°/s": "deg/s", "º/s": "deg/s", "°/min": "deg/min", "rev/min": "rpm", "rev/s": "turn/s",
    "sec": "s", "second": "s", "seconds": "s", "minute": "min", "minutes": "min", "hour": "h", "hours": "h",
    "µs": "us", "μs": "us", "µJ": "uJ", "μJ": "uJ",
    "watt": "W", "watts": "W", "w": "W", "kw": "kW", "khz": "kHz", "KHz": "kHz", "hz": "Hz", "mj": "mJ",
    "percent": "%", "pct": "%", "MHZ": "MHz",
}  # fmt: skip

# The last two columns bound, in the canonical unit, what anybody can mean: past them a slip of the
# finger is certain and arithmetic further down would only overflow. Zero is always let through.
KINDS: Final[dict[str, _Kind]] = {
    "mm": _Kind("length", Fraction(1), "a length", "88.9 mm", 1e-7, 1e5),
    "um": _Kind("length", Fraction(1, 1000), "a thickness", "60 um", 1e-4, 1e8),
    "nm": _Kind("length", Fraction(1, 10**6), "a wavelength", "1064 nm", 1e-1, 1e11),
    "rad": _Kind("angle", Fraction(1), "an angle", "30 deg", 1e-9, 1e4),
    "rad/s": _Kind("turning rate", Fraction(1), "a turning rate", "90 deg/s", 1e-6, 1e5),
    "s": _Kind("time", Fraction(1), "a time", "1.5 s", 1e-12, 1e7),
    "ns": _Kind("time", Fraction(1, 10**9), "a pulse width", "100 ns", 1e-6, 1e16),
    "W": _Kind("power", Fraction(1), "a power", "30 W", 1e-6, 1e6),
    "kHz": _Kind("frequency", Fraction(1), "a frequency", "50 kHz", 1e-6, 1e7),
    "mJ": _Kind("energy", Fraction(1), "a pulse energy", "0.8 mJ", 1e-9, 1e7),
    "mm/s": _Kind("speed", Fraction(1), "a speed", "1200 mm/s", 1e-6, 1e7),
    "": _Kind("share", Fraction(1), "a share", "95 %", 1e-9, 1e4),
}

# What a field shows, and so what a bare number in it means, where that is not the canonical unit.
_SHOWN: Final[dict[str, dict[str, str]]] = {
    "mm": {"rad": "deg", "rad/s": "deg/s", "": "%"},
    "in": {"mm": "in", "um": "thou", "rad": "deg", "rad/s": "deg/s", "mm/s": "in/s", "": "%"},
}

# Dimensions that pint may be asked about; it takes angles for pure numbers and so would let a
# frequency pass for a turning rate, wrong by 2 pi.
_PINT_BASES: Final = {"length": "mm", "time": "s", "power": "W", "energy": "mJ", "speed": "mm/s"}
_MOST_DIGITS: Final = 40
_VULGAR: Final = str.maketrans(
    {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}
    | dict.fromkeys("\u00a0\u2007\u2009\u202f", " ")
)
_NUMBER: Final = re.compile(
    r"""\s*(?P<sign>[+\-−–]?)\s*(?:
        (?:(?P<whole>\d+)(?:\s+|\s*-\s*))? (?P<top>\d+) \s*[/⁄]\s* (?P<bottom>\d+)
      | (?P<decimal>(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+\-]?\d+)?)
    )\s*""",
    re.VERBOSE | re.ASCII,
)
_FEET_AND_INCHES: Final = re.compile(r"^(?P<feet>\s*\d+\s*(?:ft\.?|feet|foot|'|′|’))\s*(?P<inches>\d.*)$", re.ASCII)


def bare_unit(unit: str, mode: str | None) -> str | None:
    """The unit that a bare number takes; None where it has to be refused.

    `mode` None keeps the canonical unit, "must" refuses, "mm" and "in" give what the field shows.

    >>> bare_unit("mm", "in"), bare_unit("rad", "mm"), bare_unit("um", "in"), bare_unit("mm", "must")
    ('in', 'deg', 'thou', None)
    """
    if mode is None:
        return unit
    if mode == "must":
        return None
    return _SHOWN[mode].get(unit, unit)


def missing_unit_sentence(value: object, unit: str) -> str:
    """What to say of a number that came without its unit.

    >>> missing_unit_sentence(88, "mm")
    '88 has no unit: write its unit too, in quotes, for example "88 mm"'
    >>> missing_unit_sentence(0.35, "")
    '0.35 has no unit: write it in per cent, in quotes, for example "35 %"'
    """
    number = brief(str(value))
    if unit == "":
        share = Fraction(number) if re.fullmatch(r"\d{1,9}(\.\d{1,9})?", number, re.ASCII) else Fraction(95)
        meant = _decimal(100 * share if share < 2 else share, 12)
        return f'{number} has no unit: write it in per cent, in quotes, for example "{meant} %"'
    own = KINDS[unit].example.split(" ")[1]
    return f'{number} has no unit: write its unit too, in quotes, for example "{number} {own}"'


def value_from_text(text: str, unit: str, bare: str | None) -> float:
    """The value of a typed text in `unit`; `bare` is the unit of a number that has none.

    Raises UnitError, a ValueError, with a sentence that says what to write instead.

    >>> value_from_text('3 1/2"', "mm", "mm"), value_from_text("88,9", "mm", "mm")
    (88.9, 88.9)
    >>> value_from_text("95 %", "", None), value_from_text("2 ft 3 in", "mm", None)
    (0.95, 685.8)
    """
    wanted = KINDS[unit]
    plain = text.translate(_VULGAR).strip()
    if not plain:
        raise UnitError(f'nothing is written here: write {wanted.spoken}, for example "{wanted.example}"')
    exact = _feet_and_inches(plain, unit)
    if exact is None:
        number, spelled = _number_and_unit(plain, unit)
        if not spelled and bare is None:
            raise UnitError(missing_unit_sentence(plain, unit))
        exact = number * _factor(spelled or bare or "", unit, plain)
    size = abs(exact / wanted.base)
    if size and not wanted.smallest <= size <= wanted.largest:
        raise FarValueError(
            f"{brief(plain)} is far too {'large' if size > wanted.largest else 'small'} for {wanted.spoken}: "
            f'write for example "{wanted.example}"',
            size > wanted.largest,
        )
    return float(exact / wanted.base)


def significant(value: float, digits: int = 2) -> str:
    """A number with that many digits that say something, and without an exponent.

    >>> significant(118.3), significant(0.0123), significant(99.7), significant(12.0, 1)
    ('120', '0.012', '100', '10')
    """
    return f"{float(f'{value:.{digits}g}'):g}"


def text_from_value(value: float, unit: str, system: str = "mm", digits: int | None = None) -> str:
    """The value as a person would write it, with the unit that the field shows in `system`.

    Without `digits` it is the shortest text that reads back as exactly the same value, so that
    changing the system to and fro changes nothing; with it, that many significant digits.

    >>> text_from_value(88.9, "mm", "in"), text_from_value(0.95, ""), text_from_value(88.9, "mm", "in", digits=2)
    ('3.5 in', '95 %', '3.5 in')
    """
    shown = _SHOWN[system].get(unit, unit)
    return text_in_unit(value, unit, shown, digits)


# Units that a value may be written in, the usual one first.
_WRITTEN: Final = {
    "rad": ("deg", "rad", "mrad"),
    "rad/s": ("deg/s", "rad/s", "rpm"),
    "s": ("s", "ms", "us"),
    "ns": ("ns", "ps", "us"),
    "": ("%",),
}


def shortest_text(value: float, unit: str) -> str:
    """The value in whichever of the usual metric units reads shortest, exact to the last bit.

    >>> shortest_text(0.0002, "s"), shortest_text(3.0, "rad/s"), shortest_text(0.35, "")
    ('0.2 ms', '3 rad/s', '35 %')
    """
    return min((text_in_unit(value, unit, shown) for shown in _WRITTEN.get(unit, (unit,))), key=len)


def text_in_unit(value: float, unit: str, shown: str, digits: int | None = None) -> str:
    """The value, canonical in `unit`, written in the unit `shown`; see `text_from_value`.

    >>> text_in_unit(0.0015, "s", "ms"), text_in_unit(400.0, "mm", "m")
    ('1.5 ms', '0.4 m')
    """
    if not isfinite(value):
        raise UnitError(f"{value} is not a finite number, so it can't be written")
    factor = _factor(shown, unit, shown) / KINDS[unit].base
    exact = Fraction(value) / factor
    for count in [digits] if digits else range(1, 60):
        written = _decimal(exact, count)
        if digits or float(Fraction(written) * factor) == value:
            break
    return f"{written} {shown}".rstrip()


def _decimal(exact: Fraction, digits: int) -> str:
    """`exact` rounded to so many significant digits, without an exponent where it reads well."""
    if exact == 0:
        return "0"
    size, power = abs(exact), 0
    power = len(str(size.numerator)) - len(str(size.denominator))
    if size < Fraction(10) ** power:
        power -= 1
    places = digits - 1 - power
    scaled = round(size * Fraction(10) ** places)
    body, sign = str(scaled), "-" if exact < 0 else ""
    if not -7 <= power <= 15:
        point = len(body) - 1 - places
        mantissa = (body[0] + "." + body[1:]).rstrip("0").rstrip(".")
        return f"{sign}{mantissa}e{point}"
    if places <= 0:
        return sign + body + "0" * -places
    body = body.rjust(places + 1, "0")
    return sign + (body[:-places] + "." + body[-places:]).rstrip("0").rstrip(".")


def _number_and_unit(text: str, unit: str) -> tuple[Fraction, str]:
    found = _NUMBER.match(text)
    if not found:
        raise UnitError(_no_number(text, unit))
    spelled = text[found.end() :].strip()
    if found["decimal"] is not None:
        size = _decimal_value(found["decimal"], text, spelled, unit)
    else:
        if any(len(found[part] or "") > _MOST_DIGITS for part in ("whole", "top", "bottom")):
            raise UnitError(_no_number(text, unit))
        bottom = int(found["bottom"])
        if bottom == 0:
            raise UnitError(f'{brief(text)} divides by zero: write a fraction like "7/8 in" or a decimal number')
        size = int(found["whole"] or 0) + Fraction(int(found["top"]), bottom)
    return (-size if found["sign"] not in ("", "+") else size), spelled


def _decimal_value(number: str, text: str, rest: str, unit: str) -> Fraction:
    if re.match(r"[.,]\d", rest):
        raise UnitError(
            f"{brief(text)} has more than one comma or point: write one decimal point and nothing between thousands"
        )
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", number):
        joined, pointed = number.replace(",", ""), number.replace(",", ".")
        raise UnitError(
            f'{brief(text)} could mean {joined} or {pointed}: write "{f"{joined} {rest}".strip()}"'
            f' or "{f"{pointed} {rest}".strip()}"'
        )
    mantissa, _, exponent = number.replace(",", ".").lower().partition("e")
    if len(mantissa) > 400 or len(exponent) > 4 or abs(int(exponent or 0)) > 330:
        raise UnitError(_no_number(text, unit))
    return Fraction(f"{mantissa if mantissa[-1] != '.' else mantissa + '0'}e{exponent or 0}")


def _feet_and_inches(text: str, unit: str) -> Fraction | None:
    found = _FEET_AND_INCHES.match(text)
    if not found or KINDS[unit].dimension != "length":
        return None
    feet, _ = _number_and_unit(found["feet"], unit)
    inches, spelled = _number_and_unit(found["inches"], unit)
    if _ALSO.get(spelled, spelled) != "in":
        raise UnitError(
            f'{brief(text)} has two units: write one unit, for example "27 in", or feet and inches, "2 ft 3 in"'
        )
    return (12 * feet + inches) * _INCH


def _factor(spelled: str, unit: str, text: str) -> Fraction:
    """How many bases of the dimension one `spelled` is; a unit of another dimension is refused."""
    wanted = KINDS[unit]
    name = _known_name(spelled)
    own = _TABLE[wanted.dimension].get(name)
    if own is not None:
        return own
    for dimension, entries in _TABLE.items():
        if name in entries and name:
            raise UnitError(_other_dimension(text, dimension, unit))
    if re.search(r"[\d\s]", spelled):
        raise UnitError(
            f'{brief(text)} is more than a number and its unit: write only a number and a unit, like "{wanted.example}"'
        )
    return _factor_by_pint(spelled, unit, text)


def _known_name(spelled: str) -> str:
    """The table's own spelling of a unit, or the text as it is."""
    tight = re.sub(r"\s*/\s*", "/", spelled)
    tries = [tight, _ALSO.get(tight, "")]
    # Capitals matter in mW and MW; a word all in capitals, MM or INCHES, is only a loud one.
    if len(tight) > 1 and (tight.isupper() or len(tight) > 3):
        tries += [tight.lower(), _ALSO.get(tight.lower(), "")]
    return next((name for name in tries if name and name in _NAMES), tight)


_NAMES: Final = frozenset(name for entries in _TABLE.values() for name in entries)


def _factor_by_pint(spelled: str, unit: str, text: str) -> Fraction:
    # Anything may be typed, and pint answers odd texts with errors of many kinds, so only plain
    # unit words reach it, and whatever it raises becomes the one sentence that helps.
    kind = KINDS[unit]
    unknown = f'{brief(text)} has a unit that rotary doesn\'t know: write {kind.spoken} like "{kind.example}"'
    if not re.fullmatch(r"[A-Za-zµμ]{1,30}(?:/[A-Za-zµμ]{1,30})?", spelled):
        raise UnitError(unknown)
    import pint

    base = _PINT_BASES.get(kind.dimension)
    try:
        quantity = _registry().Quantity(1.0, spelled)
        if base is None or not quantity.check(_registry()(base).dimensionality):
            raise UnitError(_other_dimension(text, "", unit))
        size = float(quantity.to(base).magnitude)
    except UnitError:
        raise
    except (
        pint.PintError,
        ArithmeticError,
        AttributeError,
        LookupError,
        SyntaxError,
        TypeError,
        ValueError,
    ) as trouble:
        raise UnitError(unknown) from trouble
    if not isfinite(size) or size <= 0:
        raise UnitError(unknown)
    return Fraction(size)


@cache
def _registry() -> Any:
    import pint

    return pint.UnitRegistry()


def _other_dimension(text: str, dimension: str, unit: str) -> str:
    wanted, example = KINDS[unit].spoken, KINDS[unit].example
    if not dimension:
        return f'{brief(text)} is not {wanted}: write for example "{example}"'
    is_what = f"{'an' if dimension[0] in 'aeiou' else 'a'} {dimension}"
    return f'{brief(text)} is {is_what}, but here you need {wanted}: write for example "{example}"'


def _no_number(text: str, unit: str) -> str:
    return f'{brief(text)} is not a number with a unit: write {KINDS[unit].spoken} like "{KINDS[unit].example}"'
