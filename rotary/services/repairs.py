"""A job that one typed value alone makes impossible: which value, and what was probably meant.

Front ends import this at once, so it loads the core only when it is called.
"""

import math
import re
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import suppress
from copy import deepcopy
from functools import partial, reduce
from typing import Any, Final, NamedTuple

from rotary import units
from rotary.errors import Fault, Missing, Refused, RotaryError

SAME_SHARE: Final = 1e-9
FAR: Final = 3.0
"""So many times beyond what a bench sees a length is a slip, even where it can be planned with: an estimate."""

MOST_TRIED: Final = 60
"""Plans without samples, a few milliseconds each; a person waits for them after a value that can't be."""

USUAL_MM: Final = {
    "item.measurements.at": (-1500.0, 1500.0), "item.measurements.across": (1.0, 450.0),
    "item.measurements.round": (3.0, 1400.0),
    "item.length": (0.5, 1500.0), "item.across_flats": (1.0, 300.0), "item.wall": (0.03, 40.0),
    "artwork.width": (0.3, 700.0), "artwork.height": (0.3, 500.0), "artwork.centre": (-1500.0, 1500.0),
    "turning.roller_diameter": (4.0, 150.0), "laser.focal_length": (50.0, 800.0), "laser.field": (30.0, 600.0),
    "turning.centres": (8.0, 400.0), "turning.axis_height": (10.0, 400.0), "tolerances.seam": (0.001, 2.0),
}  # fmt: skip
"""Lengths that a bench with a rotary sees, by the names of their fields [mm]: common practice, no source."""


TOGETHER: Final = (
    ("laser.lowest_frequency", "laser.highest_frequency"),
    ("laser.rated_power", "laser.largest_pulse", "laser.lowest_frequency", "laser.highest_frequency"),
    ("item.length", "item.measurements.at"),
)
"""Fields whose values can be impossible with one another, while each alone is not."""


class TypedLength(NamedTuple):
    """A length as it was typed: the dotted name of its field, its text, its value [mm]."""

    where: str
    text: str
    mm: float


class LikelyValue(NamedTuple):
    """The field that is to blame, what was typed there, what was probably meant, "" where nobody can say, and whether
    what was typed is too big."""

    where: str
    text: str
    likely: str
    too_big: bool


def likely_repair(
    typed: Sequence[TypedLength],
    blamed: Collection[str],
    system: str,
    with_value: Callable[[str, str], Mapping[str, Any]],
) -> LikelyValue | None:
    """The first of the values, last typed first, for which another reading of its text makes the job possible.

    `blamed` are the fields that the core finds fault with: where the last value is one of them and has no likely
    reading, no other is looked for. `with_value` gives the job's tables with a text in a field. None where no single
    value is to blame.
    """
    tried = 0
    for place, one in enumerate(typed):
        if place == 1 and (typed[0].where in blamed or not _is_usual(typed[0])):
            return None
        for likely, mm in _meant(one, system):
            tried += 1
            if tried > MOST_TRIED:
                return None
            if _is_possible(with_value(one.where, f"{mm!r} mm"), system):
                return LikelyValue(one.where, one.text, likely, mm < one.mm)
    return None


def unusual_length(typed: Sequence[TypedLength], system: str, beyond: float = 1.0) -> LikelyValue | None:
    """The last typed of the values that no bench sees, with a usual reading where it has one; None where all are usual.

    What else is missing does not matter for it: it is told while a job is still being filled in. Of a job that can be
    planned, values so many times `beyond` what is usual are looked for.
    """
    for one in typed:
        if not _is_usual(one, beyond):
            least, most = _usual_mm(one.where)
            unsigned = re.sub(r"^\s*[-−]\s*", "", one.text)
            readings = _read(unsigned, one.mm) if unsigned != one.text else _meant(one, system)
            likely = next((text for text, mm in readings if least <= mm <= most), "")
            return LikelyValue(one.where, one.text, likely, one.mm > most)
    return None


def at_its_cause(refused: Refused, tables: Mapping[str, Any]) -> Refused:
    """A refusal; where the one length of a job file that no bench sees makes the job impossible, of that length."""
    from rotary.sentences.repairs import repair_text

    unusual = [one for one in _lengths(tables) if not _is_usual(one)]
    blamed = {fault.where for fault in refused.faults}
    repair = likely_repair(unusual, blamed, "mm", partial(_with_text, tables)) if len(unusual) == 1 else None
    if repair is None:
        return refused
    return type(refused)([Fault(repair.where, repair_text(repair.text, repair.likely, repair.too_big))])


def _lengths(tables: object, where: str = "") -> Iterator[TypedLength]:
    """The lengths of a job file that a bench has a say about, as they stand there."""
    inside = tables.items() if isinstance(tables, Mapping) else enumerate(tables) if isinstance(tables, list) else ()
    for key, value in inside:
        yield from _lengths(value, f"{where}.{key}".removeprefix("."))
    if isinstance(tables, str) and _without_row(where) in USUAL_MM:
        with suppress(units.UnitError):
            yield TypedLength(where, tables, units.value_from_text(tables, "mm", None))


def _with_text(tables: Mapping[str, Any], where: str, text: str) -> Mapping[str, Any]:
    changed: Any = deepcopy(dict(tables))
    *path, last = where.split(".")
    table = reduce(lambda at, part: at[int(part) if isinstance(at, list) else part], path, changed)
    table[last] = text
    return changed  # type: ignore[no-any-return]


def blamed_last(where: str, last: str) -> str:
    """Which field a fault stands at: the one that was typed last, where its value can't go with that of `where`.

    >>> blamed_last("laser.lowest_frequency", "laser.highest_frequency")
    'laser.highest_frequency'
    >>> blamed_last("laser.lowest_frequency", "artwork.width")
    'laser.lowest_frequency'
    """
    pair = {_without_row(where), _without_row(last)}
    return last if any(pair <= set(names) for names in TOGETHER) else where


def _without_row(where: str) -> str:
    return re.sub(r"\.\d+\.", ".", where)


def _usual_mm(where: str) -> tuple[float, float]:
    return USUAL_MM.get(_without_row(where), (-math.inf, math.inf))


def _is_usual(one: TypedLength, beyond: float = 1.0) -> bool:
    least, most = _usual_mm(one.where)
    return (least * beyond if least < 0 else least / beyond) <= one.mm <= most * beyond


def _meant(one: TypedLength, system: str) -> Iterator[tuple[str, float]]:
    """What else a value may have been meant as; lenses and their fields are sold in millimetres alone."""
    return readings_of(one.text, one.mm, system, not one.where.startswith("laser."))


def readings_of(text: str, mm: float, system: str, in_inches: bool = True) -> Iterator[tuple[str, float]]:
    """What else a text may have been meant as, the likeliest first: its text and its value [mm].

    Another unit, a decimal point or a last zero that was left out, a foot mark for a point.

    >>> [likely for likely, _ in readings_of("88 m", 88000.0, "mm")][0]
    '88 mm'
    >>> [likely for likely, _ in readings_of("912", 912.0, "mm")]
    ['912 in', '91.2 mm', '9.12 mm', '9120 mm']
    """
    parts = re.fullmatch(r"\s*(.*?\d)\s*(\D*)", text.replace(",", "."))
    if parts is None:
        return
    number, unit = parts[1], parts[2].strip()
    # Whoever writes the usual unit means it.
    for other in dict.fromkeys((system, "mm", "in") if in_inches else ("mm",)) if unit != system else ():
        yield from _read(f"{number} {other}", mm)
    if "'" in text:
        yield from _read(re.sub(r"'\s*", ".", text), mm)
    yield from _with_other_point(number, unit or system, mm)


def _with_other_point(number: str, unit: str, mm: float) -> Iterator[tuple[str, float]]:
    """The same digits with the decimal point left out, or put where none is."""
    if re.fullmatch(r"\d+\.\d+", number):
        yield from _read(f"{number.replace('.', '').lstrip('0')} {unit}", mm)
    for places in (1, 2) if number.isdigit() else ():
        if len(number) > places:
            whole, part = number[:-places], number[-places:].rstrip("0")
            yield from _read(f"{whole}.{part} {unit}" if part else f"{whole} {unit}", mm)
    if number.isdigit():
        yield from _read(f"{number}0 {unit}", mm)


def _read(text: str, mm: float) -> Iterator[tuple[str, float]]:
    try:
        value = units.value_from_text(text, "mm", "mm")
    except units.UnitError:
        return
    if not math.isclose(value, mm, rel_tol=SAME_SHARE):
        yield text, value


def _is_possible(tables: Mapping[str, Any], system: str) -> bool:
    from rotary.job import job_from_data
    from rotary.machine.lookup import on_its_machine
    from rotary.plan import plan

    try:
        plan(on_its_machine(job_from_data(tables, units=system)), 0)
    except Refused as refused:
        # What is still to be filled in makes nothing impossible.
        return all(isinstance(fault.says, Missing) for fault in refused.faults)
    except RotaryError:
        return False
    return True
