"""What is set by hand, held against the geometry of the item as it lies: apex, lens, shim, ends, witness marks."""

import math
from typing import Any

import numpy as np
import pytest

from rotary.actions.build import actions_of
from rotary.actions.by_hand import LEAST_SHIM_MM, is_shimmed, settable
from rotary.item import height_from_s_mm
from rotary.plan import Plan, plan
from tests.actions.bench import Lie, as_it_lies, bench_of
from tests.actions.cases import BELLY, CHUCK, JOBS, ROLLERS, TAPER, _cup, _job, plan_of

SHEET = {"method": "sliced"}


def highest_mm(made: Plan, lie: Lie, s_mm: float) -> float:
    """The highest point of the ring of wall at one height, found among points all round it."""
    turn = np.linspace(-math.pi, math.pi, 20_001)
    radius = float(bench_of(made).radius_mm(s_mm))
    axis_z = lie.axis_mm + (s_mm - lie.at_mm) * math.sin(lie.tilt_rad)
    return float(np.max(axis_z + radius * np.cos(turn) * math.cos(lie.tilt_rad)))


def lying(made: Plan) -> Lie:
    """As the item lies with exactly the shim of the plan under it."""
    bench, lie, level = bench_of(made), as_it_lies(bench_of(made)), made.turning.level
    if not made.focus.levelled:
        return lie
    end, on_rollers = ("base" if level.shim_mm > 0 else "rim"), made.job.turning.kind == "rollers"
    return lie.lifted(end, abs(level.shim_mm), level.base_mm, bench.length_mm, on_rollers)


HANGING: dict[str, Any] = {"width_mm": 60.0, "height_mm": 30.0, "centre_mm": 70.0, "surface_map": "label"}


LYING = {
    "belly in a chuck": _job(BELLY, CHUCK, {"centre_mm": 45.0}, tolerances=SHEET),
    "belly, levelled": _job(BELLY, CHUCK | {"levelled": True}, {"centre_mm": 40.0}),
    "belly on rollers": _job(BELLY, ROLLERS, {"centre_mm": 70.0}, tolerances=SHEET),
    "belly, heights from the rim": JOBS["chuck, belly, heights from the rim"],
    "label on a taper": _job(TAPER, CHUCK, HANGING, tolerances=SHEET),
    "label on a taper, shimmed": _job(TAPER, ROLLERS, HANGING, tolerances=SHEET),
    "label on a steep cone": JOBS["cone of 40 degrees"],
    "wide label, level axis": _job(
        _cup(90.0, 66.0), CHUCK, HANGING | {"width_mm": 140.0, "height_mm": 12.0},
        tolerances=SHEET | {"fluence_low_share": 0.5, "fluence_high_share": 2.0},
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", LYING)
def test_the_apex_is_that_of_the_place_under_the_field_s_middle(name: str) -> None:
    """The focus counts from the middle of the artwork's heights, which lies elsewhere on a belly or where a label
    hangs: what a person measures is the apex under the field's middle, and the lens goes up from there."""
    made = plan(LYING[name])
    lie, middle = lying(made), made.layout.centre_mm
    apex_mm = highest_mm(made, lie, middle)
    assert made.apex_at_middle_mm == pytest.approx(apex_mm, abs=0.03)
    row = actions_of(made).rows["focus"]
    assert row.apex_over_bed == pytest.approx(apex_mm, abs=0.08)
    # A wall that climbs too far for one height begins with its lowest part.
    first = made.focus.refocus[0] if made.focus.refocus else made.focus
    assert row.value == pytest.approx(first.focal_plane_mm - apex_mm, abs=0.08)
    assert row.focus_over_bed == pytest.approx((row.apex_over_bed or 0.0) + float(row.value), abs=0.006)
    other_mm = (made.layout.artwork_from_mm + made.layout.artwork_to_mm) / 2
    assert made.focus.apex_height_mm == pytest.approx(highest_mm(made, lie, other_mm), abs=0.03)


def test_on_a_label_the_two_places_are_apart() -> None:
    """One of the cases above is no idle one: the two apexes differ by more than can be set."""
    made = plan(LYING["wide label, level axis"])
    assert abs(made.apex_at_middle_mm - made.focus.apex_height_mm) > 0.2


def test_what_is_set_by_hand_has_the_digits_that_can_be_set() -> None:
    """Tenths of a millimetre, hundredths below one; no minus zero."""
    for mm, shown in ((16.3812, 16.4), (0.3812, 0.38), (-0.0, 0.0), (0.996, 1.0), (1.04, 1.0), (-14.4879, -14.5)):
        assert settable(mm) == shown
        assert math.copysign(1, settable(0.0)) == 1
    for name in ("rollers, taper, shim", "chuck, belly, heights from the rim", "middle between tenths"):
        for row in actions_of(plan_of(name)).by_hand:
            if row.unit == "mm":
                assert settable(float(row.value)) == row.value


@pytest.mark.parametrize("name", JOBS)
def test_ends_are_named_by_what_the_item_is(name: str) -> None:
    """Base and rim of what stands, end 1 and end 2 of a solid part; heights count from the end that they are said
    to, and a shim goes under the end that lies lower."""
    made = plan_of(name)
    item, rows = made.job.item, actions_of(made).rows
    names = {"base": "end 1", "rim": "end 2"} if item.solid else {"base": "base", "rim": "rim"}
    assert {end: item.end_name(end) for end in ("base", "rim")} == names  # type: ignore[arg-type]
    assert rows["field_middle"].end == rows["witness_marks"].end == names[item.heights_from]
    middle = height_from_s_mm(item, made.shape, made.layout.centre_mm)
    assert rows["field_middle"].value == pytest.approx(middle, abs=0.05)
    shim = rows.get("shim")
    lie = as_it_lies(bench_of(made))
    if not made.focus.levelled or abs(made.focus.shim_mm) < LEAST_SHIM_MM:
        assert shim is None
        return
    assert shim is not None
    ends = made.layout.artwork_from_mm, made.layout.artwork_to_mm
    low, high = (highest_mm(made, lie, s) for s in ends)
    assert shim.end == (names["base"] if low < high else names["rim"])
    low, high = (highest_mm(made, lying(made), s) for s in ends)
    assert abs(high - low) <= abs(made.turning.level.ends_differ_mm) + 0.03


@pytest.mark.parametrize(("centre_mm", "end"), [(24.0, "rim"), (60.0, "base"), (96.0, "base")])
def test_jaws_hold_the_end_that_the_artwork_leaves_free(centre_mm: float, end: str) -> None:
    """The base, unless the artwork comes nearer to it than jaws reach and leaves more room at the other end."""
    made = plan(_job(_cup(80.0, 80.0), CHUCK, {"centre_mm": centre_mm, "height_mm": 30.0}))
    jaws = actions_of(made).rows["jaw_end"]
    assert jaws.end == end


@pytest.mark.parametrize(("shim_mm", "put"), [(0.049, False), (0.051, True), (-0.051, True), (-0.049, False)])
def test_nobody_is_asked_to_put_less_than_half_a_sheet_of_paper_under_an_item(shim_mm: float, put: bool) -> None:
    """Office paper of 80 g/m² is about 0.1 mm thick (common practice, no source): half of it can't be put anywhere."""
    made = plan_of("rollers, taper, shim")
    made = made.model_copy(update={"focus": made.focus.model_copy(update={"levelled": True, "shim_mm": shim_mm})})
    assert is_shimmed(made) is put
