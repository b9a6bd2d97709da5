"""The border: "3 1/2 in" comes in, 88.9 is kept; the only file that speaks pint.

A number and a unit are matched here and then the pair is converted, exactly, with one rounding
at the end. A general units reader must not see what a person types: some make 889 mm of
"3,5 in" and 38.1 mm of "3 1/2 in". The units that people type are in a table of this file, so
that a screen starts without loading pint; pint is asked, late, for a unit that is not in it.
"""

import re
from fractions import Fraction
from math import inf, isfinite, pi
from typing import Final, NamedTuple


class UnitError(ValueError):
    """The text is no value of the wanted kind; the message says what to write instead."""


class _Kind(NamedTuple):
    dimension: str
    base: Fraction
    spoken: str


_DEGREE: Final = Fraction(pi) / 180
_INCH: Final = Fraction(254, 10)

# Factors to the base of each dimension: mm, rad, rad/s, s, W, kHz, mJ, mm/s, 1.
_TABLE: Final[dict[str, dict[str, Fraction]]] = {
    "length": {
        "mm": Fraction(1),
        "cm": Fraction(10),
        "dm": Fraction(100),
        "m": Fraction(1000),
        "um": Fraction(1, 1000),
        "nm": Fraction(1, 10**6),
        "in": _INCH,
        "ft": 12 * _INCH,
        "thou": _INCH / 1000,
        "mil": _INCH / 1000,
    },
    "angle": {
        "rad": Fraction(1),
        "mrad": Fraction(1, 1000),
        "deg": _DEGREE,
        "arcmin": _DEGREE / 60,
        "turn": 360 * _DEGREE,
    },
    "turning rate": {
        "rad/s": Fraction(1),
        "deg/s": _DEGREE,
        "deg/min": _DEGREE / 60,
        "turn/s": 360 * _DEGREE,
        "turn/min": 6 * _DEGREE,
        "rpm": 6 * _DEGREE,
    },
    "time": {
        "s": Fraction(1),
        "min": Fraction(60),
        "h": Fraction(3600),
        "ms": Fraction(1, 10**3),
        "us": Fraction(1, 10**6),
        "ns": Fraction(1, 10**9),
        "ps": Fraction(1, 10**12),
    },
    "power": {"W": Fraction(1), "mW": Fraction(1, 1000), "kW": Fraction(1000)},
    "frequency": {"kHz": Fraction(1), "Hz": Fraction(1, 1000), "MHz": Fraction(1000)},
    "energy": {"mJ": Fraction(1), "J": Fraction(1000), "uJ": Fraction(1, 1000)},
    "speed": {
        "mm/s": Fraction(1),
        "cm/s": Fraction(10),
        "m/s": Fraction(1000),
        "mm/min": Fraction(1, 60),
        "m/min": Fraction(1000, 60),
        "in/s": _INCH,
        "in/min": _INCH / 60,
        "ft/min": 12 * _INCH / 60,
    },
    "share": {"": Fraction(1), "%": Fraction(1, 100)},
}

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
    "percent": "%",
}  # fmt: skip

_KINDS: Final[dict[str, _Kind]] = {
    "mm": _Kind("length", Fraction(1), "a length"),
    "um": _Kind("length", Fraction(1, 1000), "a thickness"),
    "nm": _Kind("length", Fraction(1, 10**6), "a wavelength"),
    "rad": _Kind("angle", Fraction(1), "an angle"),
    "rad/s": _Kind("turning rate", Fraction(1), "a turning rate"),
    "s": _Kind("time", Fraction(1), "a time"),
    "ns": _Kind("time", Fraction(1, 10**9), "a pulse duration"),
    "W": _Kind("power", Fraction(1), "a power"),
    "kHz": _Kind("frequency", Fraction(1), "a repetition rate"),
    "mJ": _Kind("energy", Fraction(1), "a pulse energy"),
    "mm/s": _Kind("speed", Fraction(1), "a speed"),
    "": _Kind("share", Fraction(1), "a share"),
}

EXAMPLES: Final[dict[str, str]] = {
    "mm": "88.9 mm",
    "um": "60 um",
    "rad": "30 deg",
    "rad/s": "90 deg/s",
    "s": "1.5 s",
    "ns": "100 ns",
    "nm": "1064 nm",
    "W": "30 W",
    "kHz": "50 kHz",
    "mJ": "0.8 mJ",
    "mm/s": "1200 mm/s",
    "": "95 %",
}

# What a field shows, and so what a bare number in it means, where that is not the canonical unit.
_SHOWN: Final[dict[str, dict[str, str]]] = {
    "mm": {"rad": "deg", "rad/s": "deg/s", "": "%"},
    "in": {"mm": "in", "um": "thou", "rad": "deg", "rad/s": "deg/s", "mm/s": "in/s", "": "%"},
}

_LARGEST_EXPONENT: Final = 30
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
    '88 has no unit: write it with one, in quotes, for example "88 mm"'
    """
    shown = EXAMPLES[unit].split(" ")[1]
    number = str(value).strip()
    return f'{_quoted(number)} has no unit: write it with one, in quotes, for example "{_brief(number)} {shown}"'


def value_from_text(text: str, unit: str, bare: str | None) -> float:
    """The value of a typed text in `unit`; `bare` is the unit of a number that has none.

    Raises UnitError, a ValueError, with a sentence that says what to write instead.

    >>> value_from_text('3 1/2"', "mm", "mm"), value_from_text("88,9", "mm", "mm")
    (88.9, 88.9)
    >>> value_from_text("95 %", "", None), value_from_text("2 ft 3 in", "mm", None)
    (0.95, 685.8)
    """
    wanted = _KINDS[unit]
    if not text.strip():
        raise UnitError(f'nothing is written here: write {wanted.spoken}, for example "{EXAMPLES[unit]}"')
    exact = _feet_and_inches(text, unit)
    if exact is None:
        number, spelled = _number_and_unit(text, unit)
        if not spelled:
            # A share is a pure number: 0.95 is complete as it stands.
            if bare is None and unit != "":
                raise UnitError(missing_unit_sentence(text.strip(), unit))
            spelled = bare or ""
        exact = number * _factor(spelled, unit, text)
    try:
        value = float(exact / wanted.base)
    except OverflowError:
        value = inf
    if not isfinite(value):
        raise UnitError(_no_number(text, unit))
    return value


def text_from_value(value: float, unit: str, system: str = "mm", digits: int | None = None) -> str:
    """The value as a person would write it, with the unit that the field shows in `system`.

    Without `digits` it is the shortest text that reads back as exactly the same value, so that
    changing the system to and fro changes nothing; with it, that many significant digits.

    >>> text_from_value(88.9, "mm", "in"), text_from_value(0.95, ""), text_from_value(88.9, "mm", "in", digits=2)
    ('3.5 in', '95 %', '3.5 in')
    """
    shown = _SHOWN[system].get(unit, unit)
    return text_in_unit(value, unit, shown, digits)


def text_in_unit(value: float, unit: str, shown: str, digits: int | None = None) -> str:
    """The value, canonical in `unit`, written in the unit `shown`; see `text_from_value`.

    >>> text_in_unit(0.0015, "s", "ms"), text_in_unit(400.0, "mm", "m")
    ('1.5 ms', '0.4 m')
    """
    if not isfinite(value):
        raise UnitError(f"{value} is not a finite number, so it can't be written")
    factor = _factor(shown, unit, shown) / _KINDS[unit].base
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
        if any(len(found[part] or "") > _LARGEST_EXPONENT for part in ("whole", "top", "bottom")):
            raise UnitError(_no_number(text, unit))
        bottom = int(found["bottom"])
        if bottom == 0:
            raise UnitError(f'{_quoted(text)} divides by zero: write a fraction like "7/8 in" or a decimal number')
        size = int(found["whole"] or 0) + Fraction(int(found["top"]), bottom)
    return (-size if found["sign"] not in ("", "+") else size), spelled


def _decimal_value(number: str, text: str, rest: str, unit: str) -> Fraction:
    if re.match(r"[.,]\d", rest):
        raise UnitError(
            f'{_quoted(text)} has more than one comma or point: write one decimal point and no signs between thousands'
        )
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", number):
        joined, pointed = number.replace(",", ""), number.replace(",", ".")
        raise UnitError(
            f'{_quoted(text)} may mean {joined} or {pointed}: write "{f"{joined} {rest}".strip()}"'
            f' or "{f"{pointed} {rest}".strip()}"'
        )
    mantissa, _, exponent = number.replace(",", ".").lower().partition("e")
    if len(mantissa) > 400 or len(exponent) > 4 or abs(int(exponent or 0)) > 330:
        raise UnitError(_no_number(text, unit))
    return Fraction(f"{mantissa if mantissa[-1] != '.' else mantissa + '0'}e{exponent or 0}")


def _feet_and_inches(text: str, unit: str) -> Fraction | None:
    found = _FEET_AND_INCHES.match(text)
    if not found or _KINDS[unit].dimension != "length":
        return None
    feet, _ = _number_and_unit(found["feet"], unit)
    inches, spelled = _number_and_unit(found["inches"], unit)
    if _ALSO.get(spelled, spelled) != "in":
        raise UnitError(f'{_quoted(text)} has two units: write one, for example "27 in", or feet and inches, "2 ft 3 in"')
    return (12 * feet + inches) * _INCH


def _factor(spelled: str, unit: str, text: str) -> Fraction:
    """How many bases of the dimension one `spelled` is; a unit of another dimension is refused."""
    wanted = _KINDS[unit]
    tight = re.sub(r"\s*/\s*", "/", spelled)
    name = _ALSO.get(tight, _ALSO.get(tight.lower(), tight))
    own = _TABLE[wanted.dimension].get(name)
    if own is not None:
        return own
    for dimension, entries in _TABLE.items():
        if name in entries and name:
            raise UnitError(
                f'{_quoted(text)} is {_article(dimension)} but {wanted.spoken} is needed: write for example "{EXAMPLES[unit]}"'
            )
    if re.search(r"\d", spelled) or " " in spelled:
        raise UnitError(
            f'{_quoted(text)} has more than a number and a unit in it: write one of each, for example "{EXAMPLES[unit]}"'
        )
    return _factor_by_pint(spelled, unit, text)


def _factor_by_pint(spelled: str, unit: str, text: str) -> Fraction:
    # Anything may be typed, and pint answers odd texts with errors of many kinds, so only plain
    # unit words reach it, and whatever it raises becomes the one sentence that helps.
    unknown = f'{_quoted(text)} has no unit that is known here: write {_KINDS[unit].spoken} like "{EXAMPLES[unit]}"'
    if not re.fullmatch(r"[A-Za-zµμ]{1,30}(?:/[A-Za-zµμ]{1,30})?", spelled) or unit == "":
        raise UnitError(unknown)
    try:
        size = float(_pint_registry().Quantity(1.0, spelled).to(unit).magnitude)
    except Exception as trouble:
        raise UnitError(unknown) from trouble
    if not isfinite(size) or size <= 0:
        raise UnitError(unknown)
    return Fraction(size) * _KINDS[unit].base


def _pint_registry() -> "object":
    import pint

    global _registry
    if _registry is None:
        _registry = pint.UnitRegistry()
    return _registry


_registry: object | None = None


def _no_number(text: str, unit: str) -> str:
    return f'{_quoted(text)} is not a number with a unit: write {_KINDS[unit].spoken} like "{EXAMPLES[unit]}"'


def _article(dimension: str) -> str:
    return f"an {dimension}" if dimension[0] in "aeiou" else f"a {dimension}"


def _brief(text: str) -> str:
    shown = "".join(sign if sign.isprintable() else " " for sign in text.strip())
    return shown if len(shown) <= 40 else shown[:37] + "…"


def _quoted(text: str) -> str:
    return _brief(text)
