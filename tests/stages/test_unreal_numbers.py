"""Numbers to type that are not the real ones: which they are, and what warns of them."""

import math
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rotary.errors import Refused
from rotary.formulas import motion
from rotary.slices.keys import READ_MM, Columns, key_in, keyed_column
from rotary.slices.models import KeyIn
from rotary.turning.models import Chuck, Rollers

KINDS = ("item-diameter", "roller-diameter", "degrees", "steps-only")


def typed(
    drive: Chuck | Rollers, radius_mm: float = 39.5, steps: int = 100, slices: int = 21, file_slice_mm: float = 3.0
) -> dict[str, KeyIn]:
    """The entries by id, of an item whose true steps a turn are those of its chuck, or as it rolls on its rollers."""
    motor = motion.steps_per_turn(drive.full_steps, drive.microsteps, drive.gear_ratio)
    true = motor * 2 * radius_mm / drive.roller_diameter_mm if isinstance(drive, Rollers) else motor
    keys = keyed_column(drive, file_slice_mm, steps, slices)
    size = (slices * keys.file_slice_mm, 50.0)
    columns = Columns(keys, steps, 2 * math.pi * steps / true, slices, slices, size, "sliced")
    return {entry.id: entry for entry in key_in(drive, columns, radius_mm, "y")}


def test_where_the_item_s_diameter_is_typed_its_own_is_warned_of() -> None:
    """On rollers of 20 mm the number comes out near the roller's; an item of 79 mm would turn a third as far."""
    entry = typed(Rollers(roller_diameter_mm=20.0))["typed_diameter"]
    assert float(entry.text) < 40
    assert (entry.real, entry.leave) == ("79", "type this, not 79")
    assert entry.leave_in == "type this, not 3.11 in (79 mm)"
    right, wrong = map(float, re.findall(r"([\d.]+)°", entry.why))
    assert right / wrong == pytest.approx(79 / float(entry.text), rel=0.02)


def test_where_the_roller_s_diameter_is_typed_the_roller_s_own_is_warned_of() -> None:
    """Not the item's: in that field the roller's is the truth, and in a chuck there is none."""
    entry = typed(Rollers(controller_field="roller-diameter", roller_diameter_mm=30.0))["roller_diameter"]
    assert (entry.real, entry.leave, entry.leave_in) == ("30", "type this, not 30", "type this, not 1.181 in (30 mm)")
    entry = typed(Chuck(controller_field="roller-diameter"))["roller_diameter"]
    assert (entry.real, entry.leave) == ("none", "NO roller here, type this number")


def test_where_degrees_are_typed_the_item_s_own_angle_is_warned_of() -> None:
    """It stands two lines below as the angle to check, and on rollers it is another."""
    found = typed(Rollers(controller_field="degrees", roller_diameter_mm=20.0), steps=97)
    entry, check = found["angle_per_slice"], found["slice_turn"]
    assert float(entry.text) > 3 * float(check.text)
    assert float(entry.real) == float(check.text)
    assert entry.leave == f"type this, not {entry.real}"


def test_where_only_steps_are_typed_the_motor_s_are_warned_of_and_the_diameter_that_stays() -> None:
    """Both numbers are in the program, and to correct either spoils the item."""
    found = typed(Chuck(controller_field="steps-only", typed_diameter_mm=50.0))
    assert (found["typed_steps_per_turn"].real, found["typed_steps_per_turn"].leave) == ("3200", "type this, not 3200")
    assert (found["typed_diameter"].text, found["typed_diameter"].leave) == ("50", "type this, not 79")
    assert not typed(Chuck(controller_field="steps-only", typed_diameter_mm=79.0))["typed_diameter"].leave


@pytest.mark.parametrize(("gear", "real"), [(1.0, ""), (8 / 3, "8533.33"), (0.0003, "0.96")])
def test_steps_rounded_from_a_gear_are_warned_of(gear: float, real: str) -> None:
    """Steps are typed whole, and the diameter makes up for it; a gear that gives whole steps needs no warning."""
    entry = typed(Chuck(gear_ratio=gear))["typed_steps_per_turn"]
    assert entry.real == real
    assert entry.leave == (f"type this, not {real}" if real else "")


def built(kind: str, rollers: bool, roller_mm: float, **more: Any) -> Chuck | Rollers:
    if rollers:
        return Rollers(controller_field=kind, roller_diameter_mm=roller_mm, **more)
    return Chuck(controller_field=kind, **more)


DRIVES = st.builds(
    built,
    kind=st.sampled_from(KINDS),
    rollers=st.booleans(),
    roller_mm=st.floats(4.0, 60.0),
    gear_ratio=st.sampled_from([0.01, 1.0, 4.0, 8 / 3, 57.1]),
    typed_decimals=st.integers(0, 6),
    rounding=st.sampled_from(["each-index", "absolute", "truncate"]),
    typed_diameter_mm=st.floats(0.5, 400.0),
)


@given(DRIVES, st.floats(0.4, 250.0), st.integers(1, 700), st.integers(1, 301), st.floats(0.1, 20.0))
def test_what_no_warning_stands_beside_may_be_corrected(
    drive: Chuck | Rollers, radius_mm: float, steps: int, slices: int, file_slice_mm: float
) -> None:
    """A controller told what a person reads off calipers, in place of a number without a warning, turns the same."""
    try:
        found = typed(drive, radius_mm, steps, slices, file_slice_mm)
    except Refused:
        return
    read = {"typed_diameter": 2 * radius_mm, "roller_diameter": getattr(drive, "roller_diameter_mm", 0.0)}
    for name, true_mm in read.items():
        entry = found.get(name)
        if entry is None:
            continue
        number, real = float(entry.text), round(true_mm, 1)
        if entry.leave:
            assert entry.real == "none" or float(entry.real) != number
            continue
        assert abs(number - real) <= READ_MM + 1e-9
        motor = float(found["typed_steps_per_turn"].text)
        stands = [
            motion.positions_steps(
                float(found["file_slice_width"].text) * motor / (math.pi * one), max(slices - 1, 1), drive.rounding
            )[-1]
            for one in (number, real)
        ]
        assert stands[0] == stands[1]
    for entry in found.values():
        assert bool(entry.leave) == bool(entry.real)
        assert not entry.leave_in or entry.leave


def test_a_reading_that_is_not_round_still_reads_as_one() -> None:
    """The real number has the digits of calipers, in inches those of inch calipers."""
    entry = typed(Rollers(), radius_mm=60.325 / 2)["typed_diameter"]
    assert (entry.leave, entry.leave_in) == ("type this, not 60.3", "type this, not 2.375 in (60.3 mm)")
