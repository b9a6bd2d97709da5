"""Readings as typed: what no machine can have done is refused, in a sentence that says what to write instead."""

from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

from pydantic import ValidationError

from rotary.errors import Fault, Missing, Refused, counted, refuse_all
from rotary.faults import faults_of
from rotary.formulas import tape
from rotary.formulas.tape import VERNIER_MM
from rotary.machine import readings
from rotary.old_keys import with_new_keys

INCH_MM: Final = 25.4
MOST_SCALE_SHARE: Final = 0.05
"""A field more than 5 % off is not out of scale, it is another unit, another lens file or a slip of the pen."""

MOST_TURN_SHARE: Final = 0.05
"""A turn more than 5 % off is no creep: another number of steps, or less or more than a turn."""


def reading_from_data(data: Mapping[str, Any], units: str = "mm") -> readings.Reading:
    """A reading from texts as typed, checked against sense; raises Refused with every fault, in a sentence each."""
    try:
        entry = readings.MachineEntry.model_validate(
            {"reading": with_new_keys(data, "readings")}, context={"units": units}
        )
    except ValidationError as error:
        raise Refused(map(_with_example, faults_of(error, readings.MachineEntry))) from None
    faults = list(_CHECKS.get(entry.reading.kind, _nothing)(entry.reading))
    if entry.reading.at.tzinfo is None:
        faults.append(Fault("at", "the time zone is missing: write the time like 2026-05-01T09:30:00+02:00."))
    refuse_all(Fault(f"reading.{fault.where}", fault.says) for fault in faults)
    return entry.reading


def _with_example(fault: Fault) -> Fault:
    """What is missing is told as it is typed on the line, without blanks round the sign."""
    name = fault.where.removeprefix("reading.")
    example = _EXAMPLES.get(name, f'{name}="20.5 mm"')
    return (
        Fault(fault.where, Missing(f"is missing: write for example {example}."))
        if isinstance(fault.says, Missing)
        else fault
    )


_EXAMPLES = {
    "axis": "axis=x or axis=y",
    "item": 'item="Heron cup, blue"',
    "coating": 'coating="polyester-powder-dark"',
    "closed": "closed=5",
    "row": "row=whole",
    "scale": 'scale="0.4 %"',
    "u_scale": 'u_scale="0.1 %"',
    "ticks": 'ticks="1; -1; 0; 2; 0; -2; 0; 1"',
    "heights": 'heights="-2 mm; -1 mm; 0 mm; 1 mm; 2 mm"',
    "widths": 'widths="0.2 mm; 0.15 mm; 0.1 mm; 0.15 mm; 0.2 mm"',
}


def _nothing(_: Any) -> Iterator[Fault]:
    return iter(())


def _field(reading: readings.FieldLine) -> Iterator[Fault]:
    measured, drawn = reading.measured_mm, reading.drawn_mm
    for factor, hint in ((INCH_MM, "like a reading in inches"), (1 / INCH_MM, "like a drawing in inches")):
        if abs(measured * factor / drawn - 1) < MOST_SCALE_SHARE:
            yield Fault(
                "measured", f"{measured:g} mm for a line of {drawn:g} mm looks {hint}: write the length with its unit."
            )
            return
    if abs(measured / drawn - 1) > MOST_SCALE_SHARE:
        yield Fault(
            "measured",
            f"you drew {drawn:g} mm and measured {measured:g} mm, which is more than 5 % off: check that the drawing "
            "was not scaled on import, and that the marking program has the right lens, then measure again.",
        )


def _two_heights(reading: readings.TwoHeights) -> Iterator[Fault]:
    if reading.high_mm >= reading.low_mm:
        yield Fault(
            "high",
            f"the higher line ({reading.high_mm:g} mm) must be shorter than the lower line ({reading.low_mm:g} mm): "
            "write the two lengths the other way round. If both are the same, choose telecentric for the lens in the "
            "job.",
        )
        return
    for where, length in (("low", reading.low_mm), ("high", reading.high_mm)):
        if abs(length / reading.drawn_mm - 1) > 0.25:
            says = f"{length:g} mm can't be right for a line of {reading.drawn_mm:g} mm: check the length's unit."
            yield Fault(where, says)
            return
    pupil = tape.pupil_from_lines_mm(reading.drawn_mm, reading.low_mm, reading.high_mm, reading.apart_mm, reading.u_mm)
    if not 20 <= pupil.value <= 3000 or pupil.u > 0.25 * pupil.value:
        yield Fault(
            "apart",
            f"by these lines the mirror turns the beam {pupil.value:.0f} mm above the focus, give or take "
            f"{pupil.u:.0f} mm, which is not exact enough: mark a longer line, or choose two heights further apart, so "
            "that the two lengths differ by at least 1 mm",
        )


def _stairs(reading: readings.Stairs) -> Iterator[Fault]:
    if len(reading.heights_mm) != len(reading.widths_mm):
        yield Fault(
            "widths",
            f"you wrote {counted(len(reading.heights_mm), 'height')} and {counted(len(reading.widths_mm), 'width')}: "
            "write one width for each height.",
        )
    elif min(reading.widths_mm, default=0.0) <= 0:
        yield Fault("widths", "a width is 0 or less: measure that line again, or leave out its width and its height.")
    elif len(set(reading.heights_mm)) < 4:
        yield Fault(
            "heights",
            "there are fewer than four different heights: mark and measure lines at four heights, better at six.",
        )
    else:
        try:
            tape.waist_from_stairs(reading.heights_mm, reading.widths_mm, reading.u_mm)
        except ValueError:
            yield Fault(
                "widths",
                "the widths don't get narrower and then wider again: look for swapped numbers, or mark more lines on "
                "the side where the lines get narrower.",
            )


_NEXT: Final = "mark tape-gap-ladder-{}.svg, and enter the {} that the ladder's paper lists for that file"


def _gap_ladder(reading: readings.GapLadder) -> Iterator[Fault]:
    if reading.closed == readings.RUNGS:
        yield Fault(
            "closed", f"all {readings.RUNGS} gaps closed, so the ladder was too fine: {_NEXT.format('wider', 'step')}."
        )
    elif reading.closed == 0:
        yield Fault(
            "closed", f"no gap closed, so the ladder was too coarse: {_NEXT.format('finer', 'first gap and step')}."
        )


def _motor_test(reading: readings.MotorTest) -> Iterator[Fault]:
    if len(reading.ticks) != readings.ROW_SEAMS:
        yield Fault(
            "ticks",
            f"you wrote {counted(len(reading.ticks), 'number')}: write one for each of the {readings.ROW_SEAMS} seams.",
        )
    elif len(reading.back) not in (0, 3):
        yield Fault(
            "back", f"you wrote {counted(len(reading.back), 'number')}: write three, for the seams on the way back."
        )
    elif VERNIER_MM * (max(reading.ticks) - min(reading.ticks)) > reading.full_step_mm:
        yield Fault(
            "ticks",
            "these seams differ by more than a full step of the motor, so the motor slipped: mark this test again.",
        )


def _turn(reading: readings.TurnTick) -> Iterator[Fault]:
    share = abs(reading.gap_mm) / (3.14159265 * reading.across_mm)
    if share > MOST_TURN_SHARE:
        yield Fault(
            "gap",
            f"{reading.gap_mm:g} mm is {100 * share:.0f} % of a turn, more than an item slips: check that you "
            "turned the item once, and write the distance from tick to tick along the tape.",
        )


def _pointer(reading: readings.Pointer) -> Iterator[Fault]:
    seconds = (reading.second_height_mm, reading.second_right_mm, reading.second_up_mm)
    if any(value is None for value in seconds) and any(value is not None for value in seconds):
        yield Fault(
            "second_height",
            "second_height, second_right and second_up belong together: write all three, or none of them.",
        )
    elif reading.second_height_mm is None and reading.height_mm:
        yield Fault(
            "second_height",
            "one height away from the focus is not enough: read the pointer at a second height, and enter both "
            "heights.",
        )
    elif reading.second_height_mm is not None and abs(reading.second_height_mm - reading.height_mm) < 2:
        yield Fault(
            "second_height", "the two heights are less than 2 mm apart: read the pointer at heights 10 mm apart."
        )
    if max(abs(reading.right_mm), abs(reading.up_mm)) > 30:
        yield Fault("right", "the pointer is more than 30 mm from the beam: adjust the pointer, then read again.")


def _edge(reading: readings.EdgeLine) -> Iterator[Fault]:
    if abs(reading.off_mm) > 0.1 * reading.long_mm:
        yield Fault(
            "off",
            "the item would lie more than 6 degrees crooked: set the rotary straight by eye, then do the test again.",
        )


def _flanks(reading: readings.Flanks) -> Iterator[Fault]:
    if abs(reading.right_mm - reading.left_mm) > (reading.right_mm + reading.left_mm) / 2:
        yield Fault(
            "left",
            "the two distances differ too much: measure from the field's middle to the item's left side, and to its "
            "right side.",
        )


def _level(reading: readings.Heights) -> Iterator[Fault]:
    if abs(reading.rim_end_mm - reading.base_end_mm) > reading.apart_mm:
        says = "the heights differ by more than the distance between them: measure both from the bed up."
        yield Fault("rim_end", says)


def _backlash(reading: readings.Backlash) -> Iterator[Fault]:
    if reading.apart_mm > 0.05 * reading.across_mm:
        yield Fault(
            "apart", f"{reading.apart_mm:g} mm is too much play for a rotary: tighten the rotary, or check the unit."
        )


_CHECKS: Final[dict[str, Callable[[Any], Iterator[Fault]]]] = {
    "field": _field,
    "two-heights": _two_heights,
    "focus-lines": _stairs,
    "stairs": _stairs,
    "turn": _turn,
    "pointer": _pointer,
    "edge": _edge,
    "flanks": _flanks,
    "level": _level,
    "backlash": _backlash,
    "gap-ladder": _gap_ladder,
    "motor-test": _motor_test,
}
