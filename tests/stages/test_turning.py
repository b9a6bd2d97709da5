"""What a drive does to an item: scale, contact, cradle, levelling, ticks, handle, and what is refused."""

from typing import Any

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from rotary.errors import Refused
from rotary.formulas import cradle
from rotary.item import Handle, Item, Measurement, fitted_shape
from rotary.sentences.turning import notes as turning_notes
from rotary.shape import Shape
from rotary.turning import turning
from rotary.turning.handle import free_range, handle_range
from rotary.turning.level import Stand
from rotary.turning.models import Chuck, ItemTurning, Rollers, TickReading


def item_of(*measurements: tuple[float, float], **more: Any) -> Item:
    return Item(name="invented", measurements=tuple(Measurement(at_mm=s, across_mm=d) for s, d in measurements), **more)


BOTTLE = item_of((0.0, 88.0), (150.0, 70.0))
MUG = item_of((0.0, 80.0), (100.0, 80.0))


def turn(drive: Chuck | Rollers, item: Item) -> tuple[ItemTurning, Shape]:
    return turning(drive, item, fitted_shape(item)), fitted_shape(item)


def faults(drive: Chuck | Rollers, item: Item) -> dict[str, str]:
    with pytest.raises(Refused) as caught:
        turn(drive, item)
    return {fault.where: fault.says for fault in caught.value.faults}


def tried(drive: Chuck | Rollers, item: Item) -> bool:
    """Whether every figure is finite, or every refusal a sentence about a field."""
    try:
        found, _ = turn(drive, item)
    except Refused as refused:
        # What rollers never carry is no matter of a number to write: it asks for a chuck.
        asks = ("write", "use a chuck")
        return all(fault.where and any(one in fault.says.lower() for one in asks) for fault in refused.faults)
    figures = [v for v in found.model_dump().values() if isinstance(v, float)]
    return bool(np.all(np.isfinite(figures)) and found.steps_per_turn > 0)


def test_a_motor_behind_rollers_is_off_at_the_item_as_far_as_at_the_roller() -> None:
    """5 % of a full step (makers state 3 to 5 %), carried over by rolling: the arc on the roller of ⌀20, no more."""
    found, _ = turn(Rollers(full_steps=200, gear_ratio=2.0, roller_diameter_mm=20.0, centres_mm=60.0), MUG)
    assert found.motor_error_mm == pytest.approx(10.0 * 0.05 * 2 * np.pi / (200 * 2.0))


def test_the_coarsest_motor_that_is_taken_turns_fifteen_degrees_a_step() -> None:
    """Permanent-magnet motors with 24 steps a turn are sold (common practice, no source); 23 is a slip."""
    assert turn(Chuck(full_steps=24, microsteps=1), MUG)[0].steps_per_turn == 24


def test_an_axis_that_nobody_measured_is_off_as_one_set_by_eye() -> None:
    """Along a line of 100 mm by a tenth of a millimetre, half of what a ruler shows (estimate, no source)."""
    assert 100 * Chuck().skew_rad == pytest.approx(0.1, abs=0.015)


def test_how_far_the_motor_may_stop_is_told_as_it_is_reckoned() -> None:
    """Beyond ten microsteps the note says 5 % of a full step at the widest place, 40 mm from the axis."""
    note = next(one for one in turn(Chuck(full_steps=200, microsteps=16), MUG)[0].notes if one.id == "microsteps")
    assert note.values["off_um"] == pytest.approx(1000 * 40.0 * 0.05 * 2 * np.pi / 200)
    assert all(one.id != "microsteps" for one in turn(Chuck(full_steps=200, microsteps=10), MUG)[0].notes)


def test_whole_steps_go_past_a_turn_or_stop_short_of_it() -> None:
    """A gear of 1.0001 makes 3200.32 steps: 3200 of them stop 0.32 short; of 3199.68 they go 0.32 too far (+)."""
    short, far = (turn(Chuck(gear_ratio=gear), MUG)[0].closing_steps for gear in (1.0001, 0.9999))
    assert (short, far) == (pytest.approx(-0.32), pytest.approx(0.32))


def test_where_hard_rollers_touch_a_taper_is_as_doubtful_as_its_balance_point() -> None:
    """A tenth of the length to either side, a rectangle: 1/√3 of that as a standard deviation, times the taper."""
    found, shape = turn(Rollers(covering="hard", axis_height_mm=60.0), BOTTLE)
    off_mm, slope = 0.1 * 150 / np.sqrt(3), 9 / 150
    # Cut by the perpendicular at the balance point, so a little less than the radius falls.
    moved_mm = off_mm * slope * np.cos(np.arctan(slope)) ** 2
    assert found.contact_mm is not None
    assert found.u_scale == pytest.approx(moved_mm / float(shape.radius_mm(found.contact_mm)), rel=0.01)


def test_a_chuck_turns_any_item_with_the_same_steps() -> None:
    """Full steps × microsteps × gear, whatever the item; one step is 2πr over it at the widest place."""
    drive = Chuck(full_steps=200, microsteps=16, gear_ratio=4.0)
    for item, widest in ((BOTTLE, 44.0), (MUG, 40.0)):
        found, _ = turn(drive, item)
        assert found.steps_per_turn == 12_800
        assert found.arc_per_step_mm * 12_800 == pytest.approx(2 * np.pi * widest)
        assert found.rad_per_step * 12_800 == pytest.approx(2 * np.pi)
        assert found.closing_steps == 0
        assert found.cradle is None


def test_rollers_turn_an_item_by_what_touches() -> None:
    """⌀80 on rollers of ⌀20: four roller turns an item turn; the axis 40, the apex 80 above the roller axes."""
    found, _ = turn(Rollers(roller_diameter_mm=20.0, centres_mm=60.0, axis_height_mm=41.0), MUG)
    assert found.steps_per_turn == pytest.approx(4 * 3200)
    assert found.contact_radius_mm == pytest.approx(40.0)
    assert found.cradle is not None
    assert found.cradle.axis_height_mm == pytest.approx(81.0)
    assert found.cradle.apex_height_mm == pytest.approx(121.0)
    assert not found.cradle.walks
    assert found.u_scale == pytest.approx(0.003, rel=0.01)


def test_a_taper_on_soft_rollers_is_uncertain_by_its_own_taper() -> None:
    """(44 − 35)/(44 + 35) as a half width, that over √3 as a standard uncertainty, until it has been measured."""
    found, _ = turn(Rollers(), BOTTLE)
    assert found.u_scale == pytest.approx(9 / 79 / 3**0.5, rel=2e-3)
    narrow, _ = turn(Rollers(contact_from_mm=60.0, contact_to_mm=90.0), BOTTLE)
    assert narrow.u_scale == pytest.approx(np.hypot(1.8 / 79 / 3**0.5, 0.003), rel=2e-3)
    assert (narrow.contact_from_mm, narrow.contact_to_mm) == (60, 90)


def test_the_contact_is_given_from_the_item_s_own_datum() -> None:
    """The same place measured from the rim is the same place."""
    measurements = tuple(Measurement(at_mm=150 - s, across_mm=d) for s, d in ((0.0, 88.0), (150.0, 70.0)))
    from_rim = Item(name="invented", heights_from="rim", measurements=measurements)
    one, _ = turn(Rollers(contact_from_mm=20.0, contact_to_mm=50.0), BOTTLE)
    other, _ = turn(Rollers(contact_from_mm=100.0, contact_to_mm=130.0), from_rim)
    assert other.contact_radius_mm == pytest.approx(one.contact_radius_mm)
    assert (other.contact_from_mm, other.contact_to_mm) == pytest.approx((20, 50))


def test_hard_rollers_touch_at_one_place_under_the_weight() -> None:
    """One contact, near the middle of the bottle, and a scale far surer than on soft rollers."""
    hard, _ = turn(Rollers(covering="hard"), BOTTLE)
    soft, _ = turn(Rollers(), BOTTLE)
    assert hard.contact_from_mm == hard.contact_to_mm == hard.contact_mm
    assert 70 < (hard.contact_mm or 0) < 78
    assert hard.u_scale < soft.u_scale / 3
    assert hard.slip_share == 0


def test_levelling_brings_the_apex_line_level_and_says_with_what() -> None:
    """The planned tilt cancels the half angle; the shim over the item's length cancels 7.7 degrees of apex line."""
    found, shape = turn(Rollers(levelled=True), BOTTLE)
    lies, _ = turn(Rollers(levelled=False), BOTTLE)
    assert found.tilt_rad == pytest.approx(-shape.half_angle_rad, abs=1e-12)
    assert found.cradle is not None
    assert lies.tilt_rad == found.cradle.tilt_rad
    assert np.degrees(found.cradle.apex_tilt_rad) == pytest.approx(-7.7, abs=0.06)
    assert found.level.shim_mm == pytest.approx(150 * np.sin(found.cradle.apex_tilt_rad))
    assert found.cradle.walks
    assert any("20.2 mm shim under the rotary at the item's rim" in note for note in turning_notes(found))


def test_the_shim_levels_the_apex_line_in_space() -> None:
    """Turn the cradle about the end that stays down: two points of the apex line come to the same height."""
    found, shape = turn(Rollers(levelled=True), BOTTLE)
    held = found.cradle
    assert held is not None
    place, tilt, turned = found.axis_height_at_mm, held.tilt_rad, -held.apex_tilt_rad

    def lifted(s: float, radius: float) -> tuple[float, float]:
        along = place + (s - place) * np.cos(tilt) - radius * np.sin(tilt)
        high = held.axis_height_mm + (s - place) * np.sin(tilt) + radius * np.cos(tilt)
        return high * np.cos(turned), along * np.sin(turned)

    tops = [sum(lifted(s, d / 2)) for s, d in ((0.0, 88.0), (150.0, 70.0))]
    assert tops[0] == pytest.approx(tops[1])
    axis = sum(lifted(place, 0.0))
    assert found.axis_height_mm == pytest.approx(axis)
    ours = found.axis_height_mm + 39.5 * np.cos(shape.half_angle_rad) - (75.0 - place) * np.sin(shape.half_angle_rad)
    assert ours == pytest.approx(tops[0], abs=0.02)


def test_a_chuck_that_is_not_levelled_says_what_it_costs() -> None:
    """Level axis: 9 mm of climb over the bottle, said with what goes under which end; tilted: none and nothing said."""
    flat, _ = turn(Chuck(), BOTTLE)
    tilted, shape = turn(Chuck(levelled=True), BOTTLE)
    assert flat.tilt_rad == 0
    assert any(
        "climbs 9 mm" in note and "9.0 mm shim under the chuck at the item's rim" in note
        for note in turning_notes(flat)
    )
    assert tilted.tilt_rad == pytest.approx(-shape.half_angle_rad, abs=1e-12)
    assert not any("climbs" in note for note in turning_notes(tilted))


def test_tick_readings_take_over_from_beliefs() -> None:
    """A turn that ends 0.75 mm short on ⌀80 needs more steps for a whole turn: commanded × (1 + g/2πr) is one turn."""
    tick = TickReading(gap_mm=-0.75, at_mm=50.0)
    found, _ = turn(Rollers(ticks=(tick, tick)), MUG)
    assert found.steps_per_turn * (1 - 0.75 / (80 * np.pi)) == pytest.approx(found.nominal_steps_per_turn)
    assert found.u_scale == pytest.approx(0.05 / (80 * np.pi) / 2**0.5, rel=0.01)
    assert found.readings_used == 2
    assert found.slip_share == 0


def test_an_odd_reading_is_flagged_and_left_out() -> None:
    """Three that agree outvote one that slipped; the note names it as a person counts."""
    good = TickReading(gap_mm=0.5, at_mm=50.0)
    found, _ = turn(Rollers(ticks=(good, TickReading(gap_mm=4.0, at_mm=50.0), good, good)), MUG)
    assert found.odd_readings == (1,)
    assert found.readings_used == 3
    assert found.steps_per_turn == pytest.approx(found.nominal_steps_per_turn / (1 + 0.5 / (80 * np.pi)))
    assert any(note.startswith("Full-turn test 2 does not fit") for note in turning_notes(found))


@pytest.mark.parametrize(
    ("drive", "item", "where", "part"),
    [
        (Rollers(centres_mm=120.0), MUG, "turning.centres", "closer together, to less than 100 mm between the axes"),
        (Rollers(), item_of((0.0, 28.0), (140.0, 27.0)), "turning.centres", "60 mm apart (the usual distance, as you"),
        (Rollers(centres_mm=20.0), MUG, "turning.centres", "more than 20 mm"),
        (Rollers(axis_height_mm=10.0), MUG, "turning.axis_height", "more than 10 mm"),
        (Rollers(axis_height_mm=10.5, centres_mm=99.0), MUG, "turning.axis_height", "touch the bed"),
        (Rollers(roller_diameter_mm=2e-5), MUG, "turning.roller_diameter", "too thin"),
        (Chuck(axis_height_mm=39.0), MUG, "turning.axis_height", "more than 40 mm"),
        (Chuck(full_steps=8, microsteps=1), MUG, "turning.full_steps", "8 steps"),
        (Chuck(full_steps=23, microsteps=1), MUG, "turning.full_steps", "23 steps"),
        (Chuck(controller_field="steps-only"), MUG, "turning.typed_diameter", "80 mm"),
        (Rollers(contact_to_mm=101.0), MUG, "turning.contact_to", "from 0 to 100 mm"),
        (Rollers(contact_from_mm=60.0, contact_to_mm=60.0), MUG, "turning.contact_to", "write a greater height here"),
        (Rollers(centres_mm=40.0), item_of((0.0, 150.0), (30.0, 260.0)), "turning.kind", "tip off"),
        (Chuck(ticks=(TickReading(gap_mm=0.1, at_mm=101.0),)), MUG, "turning.ticks.0.at", "not on the item"),
        (Chuck(ticks=(TickReading(gap_mm=200.0, at_mm=50.0),)), MUG, "turning.ticks.0.gap", "half way round"),
        (Rollers(), Item(name="nut", flats=6, across_flats_mm=60.0, length_mm=40.0), "turning.kind", ": use a chuck"),
        (Rollers(centres_mm=25.0), item_of((0.0, 20.0), (100.0, 190.0)), "turning.levelled", "slide"),
    ],
)
def test_what_can_not_be_is_refused_with_what_to_write(
    drive: Chuck | Rollers, item: Item, where: str, part: str
) -> None:
    """Each fault names its field as a job file has it, and says what to write instead."""
    assert part in faults(drive, item)[where]


def test_tick_readings_that_contradict_are_refused() -> None:
    """Two readings a millimetre apart can't both be right, and nobody can say which is."""
    ticks = (TickReading(gap_mm=0.0, at_mm=50.0), TickReading(gap_mm=1.0, at_mm=50.0))
    assert "disagree" in faults(Rollers(ticks=ticks), MUG)["turning.ticks"]


def test_all_faults_come_at_once() -> None:
    """A person puts everything right in one go."""
    drive = Rollers(
        centres_mm=5.0,
        axis_height_mm=1.0,
        controller_field="steps-only",
        contact_from_mm=500.0,
        ticks=(TickReading(gap_mm=0, at_mm=-1),),
    )
    assert set(faults(drive, MUG)) == {
        "turning.centres",
        "turning.axis_height",
        "turning.typed_diameter",
        "turning.contact_from",
        "turning.ticks.0.at",
    }


def mug_with(angle: float, reach: float = 30.0, from_mm: float = 20.0, to_mm: float = 80.0) -> Item:
    handle = Handle(angle_rad=angle, width_rad=0.3, reach_mm=reach, from_mm=from_mm, to_mm=to_mm)
    return item_of((0.0, 80.0), (100.0, 80.0), handle=handle)


def hits(drive: Rollers | Chuck, item: Item, axis_mm: float, top: float, head_mm: float | None = None) -> bool:
    """Lay a cloud of points over the handle with angle `top` upwards and look whether any lies in something."""
    handle = item.handle
    assert handle is not None
    angle = handle.angle_rad - top + np.linspace(-0.5, 0.5, 301)[:, None] * handle.width_rad
    radius = 40 + np.linspace(1e-9, 1, 61)[None, :] * handle.reach_mm
    x, z = radius * np.sin(angle), axis_mm + radius * np.cos(angle)
    met = z < 0
    if head_mm is not None:
        met |= z > head_mm
    if isinstance(drive, Rollers):
        for side in (-1, 1):
            met |= np.hypot(x - side * drive.centres_mm / 2, z - drive.axis_height_mm) < drive.roller_diameter_mm / 2
    return bool(met.any())


@pytest.mark.parametrize(
    "drive", [Rollers(axis_height_mm=45.0), Rollers(axis_height_mm=28.0), Chuck(axis_height_mm=60.0)]
)
@pytest.mark.parametrize("angle", [np.pi, 1.3, -0.8])
@pytest.mark.parametrize("head_mm", [None, 140.0])
def test_the_handle_keeps_clear_up_to_its_limits_and_not_beyond(
    drive: Chuck | Rollers, angle: float, head_mm: float | None
) -> None:
    """Points of the handle meet nothing just inside the range and something just beyond it, or the front is refused."""
    item = mug_with(angle)
    bare = item.model_copy(update={"handle": None})
    found, shape = turn(drive, bare)
    axis = found.axis_height_mm
    if hits(drive, item, axis, 0.0, head_mm):
        with pytest.raises(Refused, match=r"item\.handle\.angle"):
            handle_range(drive, item, shape, found, head_mm)
        return
    free = handle_range(drive, item, shape, found, head_mm)
    if free is None:
        assert not any(hits(drive, item, axis, top, head_mm) for top in np.linspace(-np.pi, np.pi, 91))
        return
    assert free.from_rad <= 0 <= free.to_rad
    inside = np.linspace(free.from_rad + 0.01, free.to_rad - 0.01, 61)
    assert not any(hits(drive, item, axis, top, head_mm) for top in inside)
    assert hits(drive, item, axis, free.from_rad - 0.02, head_mm)
    assert hits(drive, item, axis, free.to_rad + 0.02, head_mm)


def test_a_handle_beyond_the_rollers_end_does_not_meet_them() -> None:
    """Rollers that reach from the foot to 35 mm never meet a handle that begins at 50 mm."""
    drive = Rollers(axis_height_mm=70.0, contact_from_mm=0.0, contact_to_mm=60.0)
    clear, _ = turn(drive, mug_with(np.pi, from_mm=70.0, to_mm=90.0))
    meets, _ = turn(drive, mug_with(np.pi, from_mm=30.0, to_mm=90.0))
    assert clear.turn_range is None
    assert meets.turn_range is not None
    assert meets.turn_range.stopped_by == "a roller"


@pytest.mark.parametrize("drive", [Chuck(axis_height_mm=250.0), Rollers(roller_diameter_mm=40.0, centres_mm=41.5)])
@pytest.mark.parametrize("diameter", [3.0, 400.0])
def test_a_pin_and_a_drum_turn_too(drive: Chuck | Rollers, diameter: float) -> None:
    """⌀3 and ⌀400 give finite figures, or are refused with a sentence about the rollers or the bed."""
    item = item_of((0.0, diameter), (60.0, diameter))
    assert tried(drive, item)


def test_a_bellied_flask_touches_at_its_belly() -> None:
    """A belly in the middle carries the item: hard rollers touch there, where it is widest, and it lies level."""
    item = item_of((0.0, 60.0), (50.0, 90.0), (100.0, 60.0))
    found, _ = turn(Rollers(covering="hard"), item)
    assert found.contact_mm == pytest.approx(50.0, abs=1.0)
    assert found.contact_radius_mm == pytest.approx(45.0, abs=0.05)
    assert found.cradle is not None
    assert found.cradle.tilt_rad == pytest.approx(0.0, abs=0.02)


@given(
    st.floats(2, 300),
    st.floats(2, 300),
    st.floats(10, 300),
    st.floats(4, 100),
    st.floats(5, 300),
    st.floats(3, 400),
    st.booleans(),
)
@example(221.0, 229.0, 143.0, 4.0, 228.5, 125.0, False)
def test_any_taper_on_any_rollers_is_finite_or_refused(
    foot: float, rim: float, length: float, roller: float, centres: float, height: float, soft: bool
) -> None:
    """No figure is nan or infinite, whatever is typed; what can't be is refused, never a crash."""
    drive = Rollers(
        roller_diameter_mm=roller, centres_mm=centres, axis_height_mm=height, covering="soft" if soft else "hard"
    )
    assert tried(drive, item_of((0.0, foot), (length, rim)))


def test_who_has_seen_the_contact_is_believed() -> None:
    """A contact away from the estimated centre of gravity is taken as told, with a note that the item may tip."""
    found, _ = turn(Rollers(contact_from_mm=110.0, contact_to_mm=140.0), BOTTLE)
    assert (found.contact_from_mm, found.contact_to_mm) == (110, 140)
    assert any("may tip" in note for note in turning_notes(found))


@pytest.mark.parametrize(
    "item", [MUG, BOTTLE, item_of((0.0, 40.0), (60.0, 100.0)), item_of((0.0, 60.0), (50.0, 90.0), (100.0, 60.0))]
)
def test_the_distance_that_a_refusal_asks_for_is_enough(item: Item) -> None:
    """Rollers set just within the distance that the refusal names carry the item."""
    says = faults(Rollers(centres_mm=150.0, levelled=False, axis_height_mm=100.0), item)["turning.centres"]
    enough = float(says.split("to less than ")[1].split(" mm")[0]) - 0.1
    found, _ = turn(Rollers(centres_mm=enough, levelled=False, axis_height_mm=100.0), item)
    assert found.cradle is not None
    assert found.cradle.contact_angle_rad > 1.4


def test_a_handle_at_a_raised_rim_clears_a_bed_that_it_meets_where_the_rim_hangs() -> None:
    """Tilted by 0.2 about the middle, the handle's place 30 mm on stands 6 mm higher, or lower: by that much the bed
    lets it turn farther, or less far."""
    item = mug_with(np.pi / 2, from_mm=80.0, to_mm=80.0001)
    shape, drive = fitted_shape(item), Chuck(axis_height_mm=40.0)
    for tilt in (0.2, -0.2):
        free = free_range(drive, item, shape, Stand(40.0, 50.0, tilt))
        assert free is not None
        clear = np.arccos((40 + 30 * np.sin(tilt)) / (40 + 30))
        assert free.from_rad == pytest.approx(-(np.pi - clear - 0.15 - np.pi / 2), abs=1e-4)


def test_a_taper_rolls_on_the_radius_of_its_surface_speed() -> None:
    """The contact of a tilted cone is not under its axis: the radius it rolls on is the contact's by the share that the
    kinematics of two surfaces gives (tests/outside/test_turning_sources.py)."""
    item = item_of((0.0, 100.0), (150.0, 60.0))
    found, shape = turn(Rollers(covering="hard"), item)
    lies = cradle.cone_resting(75 - 150 * 40 / 160 / 6, 40 + 20 / 24, float(np.arctan(-20 / 150)), 10.0, 60.0)
    assert found.contact_mm is not None
    assert found.contact_radius_mm is not None
    contact = float(shape.radius_mm(np.array([found.contact_mm]))[0])
    assert abs(lies.rolling_share - 1) > 1e-4
    assert found.contact_radius_mm / contact == pytest.approx(lies.rolling_share, rel=2e-5)
