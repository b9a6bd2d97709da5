"""The seam strip as it was read: ticks over each seam, the order of the numbers, the look of the F."""

import math
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Annotated, Any, Final, Literal, NamedTuple

from pydantic import BeforeValidator, Field, ValidationError, ValidationInfo

from rotary.errors import Fault, Predicate, Refused, brief, listing, refuse, refuse_all
from rotary.faults import faults_of
from rotary.files import toml_tables
from rotary.formulas.revolution import radius_mm
from rotary.formulas.tape import gap_and_stair_mm, vernier_step_mm
from rotary.machine.strip import Strip, kinds_at
from rotary.model import Length, Model
from rotary.toml import toml_trouble

UNREAD: Final = "?"
FARTHEST_MM: Final = 2.0
"""A step of more than this is no error of measure: something is set wrong, and the order or letter tells."""

MOST_LENGTH_SHARE: Final = 0.05
LEAST_TICKS_READ: Final = 4
MOST_APART: Final = 5.0
"""Two readings of one length that are further apart than this many of their uncertainties: one was misread."""

Letter = Literal["right", "mirrored", "upside-down", "mirrored-upside-down"]


def _ticks_or_length(value: Any, info: ValidationInfo) -> Any:
    """In a form a bare number is ticks of 0.02 mm; with a unit it is a length. Without units it is in mm."""
    if value == UNREAD or value is None or value == "":
        return None
    if not (info.context or {}).get("units"):
        return value
    bare = str(value).strip().replace(",", ".").replace("−", "-")
    try:
        return f"{float(vernier_step_mm(float(bare))):.6f} mm"
    except ValueError:
        return value


def _first_three(value: Any) -> Any:
    """The order of a strip of five, told as that of its first or last three numbers."""
    bare = value.replace(" ", "") if isinstance(value, str) else value
    return {"1-2-3-4-5": "1-2-3", "5-4-3-2-1": "3-2-1"}.get(bare, bare) if isinstance(bare, str) else bare


def _read_or_none(value: Any) -> Any:
    return None if value in (UNREAD, "") else value


Step = Annotated[Length | None, BeforeValidator(_ticks_or_length)]


class VernierReading(Model):
    """One seam at one height: how far the right slice stands higher, by rising and by falling ticks."""

    seam: Literal["1-2", "2-3", "3-4", "4-5"]
    height: Literal["bottom", "middle", "top"]
    rising_mm: Step = None
    falling_mm: Step = None


class StripReading(Model):
    """A seam strip as read. `drawn` is what it was drawn with, as its form has it; `between_mm` and
    `between_again_mm` the level rules as measured."""

    item: str = Field(min_length=1, max_length=120)
    tape_mm: Length = Field(default=0.12, ge=0, le=1)
    order: Annotated[Literal["1-2-3", "3-2-1"], BeforeValidator(_first_three)]
    letter: Letter
    drawn: str | None = Field(default=None, max_length=120)
    between_mm: Annotated[Length | None, BeforeValidator(_read_or_none)] = None
    between_again_mm: Annotated[Length | None, BeforeValidator(_read_or_none)] = None
    u_between_mm: Length = Field(default=0.05, gt=0)
    u_tick_mm: Length = Field(default=0.014, gt=0)
    verniers: tuple[VernierReading, ...] = ()
    at: datetime | None = None


class VernierStep(NamedTuple):
    """One reading: the seam's number from 0, the vernier's place in the strip, the slope +1 or -1, the step [mm]."""

    pair: int
    place: int
    slope: float
    step_mm: float
    label: str


def reading_from_form(text: str, strip: Strip, source: str = "the form") -> StripReading:
    """A filled-in form, checked against the strip that it belongs to; raises Refused with every fault at once."""
    try:
        data = toml_tables(text.removeprefix("\ufeff"))
    except (ValueError, RecursionError) as trouble:
        raise refuse("", f"{toml_trouble(source, trouble)}. Or fill in a fresh form.") from None
    return strip_reading(data, strip)


def strip_reading(data: Mapping[str, Any], strip: Strip, units: str = "must", few: bool = False) -> StripReading:
    """A strip's reading from texts; raises Refused with every fault at once.

    `few` lets too few ticks for a diagnosis pass, for a screen that answers while they are typed.
    """
    hints = {
        "order": f'write the order of the numbers, "{strip.numbers}" or "{strip.numbers[::-1]}"',
        "letter": 'write how the F looks, "right", "mirrored", "upside-down" or "mirrored-upside-down"',
    }
    unread = [name for name in hints if data.get(name) == UNREAD]
    refuse_all(Fault(name, Predicate(f"is not filled in: {hints[name]}.")) for name in unread)
    try:
        reading = StripReading.model_validate(dict(data), context={"units": units})
    except ValidationError as error:
        raise Refused(_at_its_seam(fault, data, strip) for fault in faults_of(error, StripReading)) from None
    faults = list(_senseless(reading, strip))
    if not few and not enough_read(reading, strip):
        says = (
            f"you wrote fewer than {LEAST_TICKS_READ} ticks: read them at two heights or more, over two seams or more."
        )
        faults.append(Fault("verniers", says))
    refuse_all(faults)
    return reading


def _at_its_seam(fault: Fault, data: Mapping[str, Any], strip: Strip) -> Fault:
    """A tick that is no number is told by its seam and height, as a person finds it in the form; an order as there."""
    if fault.where == "order" and not isinstance(fault.says, Predicate):
        given = brief(str(data.get("order", "")), 24)
        return Fault(
            "order", f'{given} can\'t be the order of the numbers: write "{strip.numbers}" or "{strip.numbers[::-1]}"'
        )
    table, _, place = fault.where.partition(".")
    number, _, kind = place.partition(".")
    rows = data.get("verniers")
    row = rows[int(number)] if isinstance(rows, list) and number.isdigit() and int(number) < len(rows) else None
    if table != "verniers" or kind not in ("rising", "falling") or not isinstance(row, Mapping):
        return fault
    pair, height = (brief(str(row.get(name, "?")), 12) for name in ("seam", "height"))
    says = (
        f"{brief(str(row.get(kind, '')), 24)} at seam {pair}, {height}, is not the number of a tick: write a number "
        f'from -{strip.ticks} to {strip.ticks}, or a length with its unit, for example "0.4 mm".'
    )
    return Fault(fault.where, says)


def _senseless(reading: StripReading, strip: Strip) -> Iterator[Fault]:
    item = strip.made.job.item.name
    if reading.item.casefold() != item.casefold():
        yield Fault(
            "item",
            f'the form is for "{brief(reading.item)}", but the job is for "{brief(item)}": use a form for '
            f'"{brief(item)}".',
        )
    if abs(reading.tape_mm - strip.tape_mm) > 0.005:
        yield Fault(
            "tape",
            f"the seam test was drawn for tape {strip.tape_mm:g} mm thick, not {reading.tape_mm:g} mm: print a new "
            f'seam test with --tape "{reading.tape_mm:g} mm", and mark it.',
        )
    if reading.drawn is not None and reading.drawn.strip() != drawn_text(strip):
        yield Fault(
            "drawn",
            f'the form belongs to a seam test drawn "{brief(reading.drawn, 80)}", but new tests are now drawn '
            f'"{drawn_text(strip)}". Have you saved this form already (rotary machine show lists it)? Then mark and '
            "read a new test. If not, take out the reading that you saved since (rotary machine ignore), and read this "
            "form again.",
        )
    if reading.between_mm is not None and abs(reading.between_mm / strip.between_mm - 1) > MOST_LENGTH_SHARE:
        yield Fault(
            "between",
            f"you measured {reading.between_mm:g} mm from one level line to the other, but they are drawn "
            f"{strip.between_mm:.2f} mm apart: check the unit, and that the file was not scaled on import.",
        )
    first, again = reading.between_mm, reading.between_again_mm
    if first is not None and again is not None and abs(first - again) > MOST_APART * reading.u_between_mm:
        yield Fault(
            "between_again",
            f"you measured {first:g} mm between the level lines, then {again:g} mm. These differ too much: measure a "
            "third time, and write the two numbers that agree.",
        )
    yield from _vernier_faults(reading, strip)


def _vernier_faults(reading: StripReading, strip: Strip) -> Iterator[Fault]:
    seen: set[tuple[str, str]] = set()
    names = [vernier.name for vernier in strip.verniers]
    for place, one in enumerate(reading.verniers):
        where = f"verniers.{place}"
        if one.seam not in strip.seams:
            yield Fault(f"{where}.seam", f"this test has no seam {one.seam}: write {listing(strip.seams, 'or')}.")
        if one.height not in names:
            yield Fault(f"{where}.height", f"this test has no ticks at the {one.height}: write {listing(names, 'or')}.")
        if (one.seam, one.height) in seen:
            yield Fault(where, f"seam {one.seam} at the {one.height} is there twice: leave one of the two out.")
        seen.add((one.seam, one.height))
        for kind in ("rising", "falling"):
            step = getattr(one, f"{kind}_mm")
            if step is not None and abs(step) > FARTHEST_MM:
                yield Fault(
                    f"{where}.{kind}",
                    f"{step:g} mm is more than the test shows ({FARTHEST_MM:g} mm at most): write the number of a tick "
                    f"from -{strip.ticks} to {strip.ticks}, or how much higher the right half of tick 0 lies, like "
                    '"0.4 mm".',
                )


def drawn_text(strip: Strip) -> str:
    """What a strip's slices were drawn with, in words: a form belongs to that strip and to no other."""
    how = strip.drawn_with
    turned = round(math.degrees(how.turn_rad), 3) + 0.0
    return f"{how.scale_across:.5f} wide, {how.scale_along:.5f} high, {turned:.3f} degrees turned"


def enough_read(reading: StripReading, strip: Strip) -> bool:
    """Whether a diagnosis can be made: a setting that is wrong shows without any tick."""
    if reading.order != "1-2-3" or reading.letter != "right":
        return True
    return len(vernier_steps(reading, strip)) >= LEAST_TICKS_READ


def wrong_setting(reading: StripReading) -> str:
    """What order and letter say about settings; an empty text where both are right."""
    swapped, letter = reading.order == "3-2-1", reading.letter
    if not swapped and letter == "right":
        return ""
    first = ". Then mark the seam test again: its ticks can't be used yet."
    if letter == "mirrored":
        if swapped:
            return (
                "The whole file lies mirrored: switch off mirroring on import. If it is off already, reverse both the "
                "axis that runs across the item and the direction of the rotary in the marking program"
                f"{first}"
            )
        return (
            "Each slice is mirrored, but the slices come in the right order. In the marking program reverse the axis "
            f"that runs across the item{first}"
        )
    if letter == "upside-down":
        if swapped:
            return (
                'The item lies the other way round: change the field "rim points to" in the job, and write the file '
                f"again{first}"
            )
        return (
            "Each slice is upside down, but the slices come in the right order. Do both: change the field "
            f'"rim points to" in the job, and reverse the direction of the rotary in the marking program{first}'
        )
    if letter == "mirrored-upside-down":
        return (
            "The file is mirrored along the item: switch off mirroring on import. If it is off already, reverse the "
            "axis that runs along the item in the marking program"
            f"{'. Also reverse the direction of the rotary' * swapped}{first}"
        )
    return f"The item turns the wrong way: reverse the direction of the rotary in the marking program{first}"


def gaps_and_stairs(reading: StripReading, strip: Strip) -> dict[tuple[str, str], tuple[float, float]]:
    """Gap and stair [mm] by seam and height, where both kinds of ticks were read; no tick is weighed or left out."""
    curve = strip.order.stance.curve
    middle = float(radius_mm(curve, strip.order.stance.centre_s_mm))
    places = {vernier.name: vernier.s_mm for vernier in strip.verniers}
    out: dict[tuple[str, str], tuple[float, float]] = {}
    for one in reading.verniers:
        if one.rising_mm is not None and one.falling_mm is not None and one.height in places:
            slope = middle / float(radius_mm(curve, places[one.height]))
            gap, stair = gap_and_stair_mm(one.rising_mm, one.falling_mm, slope)
            out[one.seam, one.height] = (float(gap), float(stair))
    return out


def vernier_steps(reading: StripReading, strip: Strip) -> list[VernierStep]:
    """Every step that was read, with its place in the strip."""
    names = [vernier.name for vernier in strip.verniers]
    out = []
    for one in reading.verniers:
        for kind, slope in (("rising", 1.0), ("falling", -1.0)):
            step = getattr(one, f"{kind}_mm")
            if step is None or one.height not in names or one.seam not in strip.seams:
                continue
            if kind in kinds_at(strip, one.seam):
                pair = strip.seams.index(one.seam)
                label = f"seam {one.seam}, {one.height}, {kind}"
                out.append(VernierStep(pair, names.index(one.height), slope, step, label))
    return out
