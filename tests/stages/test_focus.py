"""Focus: heights, the balanced plane, the budget, refocus heights."""

import math
from itertools import pairwise
from typing import Any, Literal

import pytest

from rotary.artwork.layout import Artwork
from rotary.errors import NoPlan
from rotary.focus import Focus, RefocusZone, focus
from rotary.formulas.beam import fluence_share
from rotary.item import Handle, Item, Measurement
from rotary.laser import optics
from rotary.slices import split
from rotary.slices.models import Split
from rotary.tolerances import Tolerances
from rotary.turning.models import Chuck, Drive, Rollers
from tests.setups import setup_of, shipped_heads

HEAD = shipped_heads()["fibre-30w-160"]
BOTTLE = Item(
    name="Regatta bottle", measurements=(Measurement(at_mm=0, across_mm=88), Measurement(at_mm=150, across_mm=70))
)
MUG = Item(name="Regatta mug", measurements=(Measurement(at_mm=0, across_mm=80), Measurement(at_mm=120, across_mm=80)))


def focus_of(item: Item, drive: Drive, defocus_mm: float = 0.0, head: Any = HEAD, **given: Any) -> tuple[Split, Focus]:
    low, high = given.pop("band", (30.0, 90.0))
    art = Artwork(width_mm=80, height_mm=high - low, centre_mm=(low + high) / 2)
    ready = setup_of(item, art, head, drive, tolerances=Tolerances(**given))
    cut = split(ready, defocus_mm)
    return cut, focus(ready, cut, defocus_mm)


def test_the_apex_of_a_mug_in_a_chuck_stands_a_radius_over_the_axis() -> None:
    """Axis 60 mm over the bed, ⌀80: the apex line at 100 mm all along, level without a shim."""
    _, found = focus_of(MUG, Chuck(axis_height_mm=60))
    assert [row.as_it_lies_mm for row in found.apex] == pytest.approx([100.0] * 7)
    assert (found.levelled, found.shim_mm, found.refocus) == (False, 0.0, ())
    assert found.apex_height_mm == pytest.approx(100.0)


def test_the_apex_of_a_mug_on_rollers_by_the_three_four_five_triangle() -> None:
    """Rollers ⌀20 at 60 mm, axes 30 mm over the bed, ⌀80: axis 40 over them, apex at 30 + 80."""
    _, found = focus_of(MUG, Rollers(axis_height_mm=30))
    assert [row.levelled_mm for row in found.apex] == pytest.approx([110.0] * 7)


def test_a_shim_levels_the_apex_line_of_the_bottle() -> None:
    """As it lies the line climbs 7.7° towards the foot; levelled it stands at one height over the whole band."""
    _, found = focus_of(BOTTLE, Rollers())
    lies = [row.as_it_lies_mm for row in found.apex]
    run = found.apex[-1].s_mm - found.apex[0].s_mm
    # Along the axis, which is itself tilted by 4.3 degrees.
    assert math.degrees(math.asin((lies[0] - lies[-1]) / run * math.cos(0.0599))) == pytest.approx(7.75, abs=0.1)
    assert max(row.levelled_mm for row in found.apex) - min(row.levelled_mm for row in found.apex) < 1e-9
    assert found.shim_mm < 0


def test_in_focus_the_plane_goes_half_the_sag_below_the_apex() -> None:
    """Middle and edge of a slice are then equally far from the focal plane and get the same fluence."""
    cut, found = focus_of(MUG, Chuck(gear_ratio=6), slice_width_mm=10.0)
    assert found.balance_mm == pytest.approx(-cut.edge_drop_mm / 2)
    z_r = optics(HEAD).rayleigh_mm
    middle, edge = (fluence_share(0.0, found.plane_over_apex_mm + fall, z_r) for fall in (0.0, cut.edge_drop_mm))
    assert float(middle) == pytest.approx(float(edge))


def test_the_budget_adds_up_line_by_line() -> None:
    """The totals are the sums of the lines, and the fluences those at the worst distances from the plane."""
    for defocus in (0.0, 4.0, -4.0):
        _, found = focus_of(BOTTLE, Rollers(), defocus)
        assert found.total_low_mm == pytest.approx(sum(row.low_mm for row in found.budget))
        assert found.total_high_mm == pytest.approx(sum(row.high_mm for row in found.budget))
        z_r = optics(HEAD).rayleigh_mm
        heights = [found.total_low_mm + (found.total_high_mm - found.total_low_mm) * k / 400 for k in range(401)]
        shares = [float(fluence_share(defocus, -height, z_r)) for height in heights]
        assert found.fluence_low == pytest.approx(min(shares), rel=1e-6)
        assert found.fluence_high == pytest.approx(max(shares), rel=1e-3)


def test_the_moves_lead_to_the_same_plane() -> None:
    """Raised from the bed, or from the apex line: the head ends at one height."""
    for defocus in (0.0, 5.0, -3.0):
        _, found = focus_of(BOTTLE, Rollers(), defocus)
        assert found.move_from_bed_mm == pytest.approx(found.apex_height_mm + found.move_from_apex_mm)
        assert found.focal_plane_mm == found.move_from_bed_mm
        assert found.plane_over_apex_mm == pytest.approx(defocus + found.balance_mm)


def test_above_is_preferred_and_below_is_warned_of() -> None:
    """With the plane above, edges get less; below, they get more and may mark the metal."""
    (_, above), (_, below) = (focus_of(MUG, Chuck(gear_ratio=6), d, slice_width_mm=10.0) for d in (6.0, -6.0))
    assert "plane_above" in above.remarks
    assert "plane_below" in below.remarks


def test_an_apex_line_that_is_not_level_is_marked_at_several_heights() -> None:
    """In a level chuck the bottle climbs 3.6 mm over the band; each part's own budget keeps both limits."""
    cut, found = focus_of(BOTTLE, Chuck(gear_ratio=6), focus_mm=0.05)
    assert not found.levelled
    zones = found.refocus
    assert len(zones) >= 4
    assert [zone.from_mm for zone in zones[1:]] == pytest.approx([zone.to_mm for zone in zones[:-1]])
    room = found.allowed_high_mm - found.allowed_low_mm
    for zone in zones:
        # Axis 60 mm over the bed, r = 44 - 0.06 s: the part's highest apex and lowest slice edge.
        high, low = 104 - 0.06 * zone.from_mm, 104 - 0.06 * zone.to_mm - cut.edge_drop_mm
        assert high - low <= room * 1.001
        assert high - zone.focal_plane_mm <= found.allowed_high_mm + 1e-6
        assert low - zone.focal_plane_mm >= found.allowed_low_mm - 1e-6


def test_a_lens_set_to_a_millimetre_is_told_first_and_asks_for_few_heights() -> None:
    """Where setting and runout alone fill the focus, finer parts can't help: as few as the lens can be set apart."""
    fine, coarse = (focus_of(BOTTLE, Chuck(gear_ratio=6), focus_mm=focus)[1] for focus in (0.05, 1.0))
    assert len(coarse.refocus) < len(fine.refocus)
    assert coarse.remarks[0] == "setting_fills"
    assert "setting_fills" not in fine.remarks
    planes = [zone.focal_plane_mm for zone in coarse.refocus]
    assert min(abs(a - b) for a, b in pairwise(planes)) >= 0.3


@pytest.mark.parametrize("datum", ["base", "rim"])
def test_a_wine_cup_has_no_more_heights_than_a_person_sets(datum: Literal["base", "rim"]) -> None:
    """An invented stemless cup, artwork over its belly: equal parts asked for 24 heights, unequal ones for a few."""
    places = [(0, 54), (22, 71), (47, 85), (66, 87), (92, 79), (112, 66)]
    if datum == "rim":
        places = [(112 - at, across) for at, across in places[::-1]]
    cup = Item(
        name="Cup",
        heights_from=datum,
        measurements=tuple(Measurement(at_mm=at, across_mm=across) for at, across in places),
    )
    _, found = focus_of(cup, Chuck(), band=(40.0, 82.0) if datum == "base" else (30.0, 72.0))
    planes = [zone.focal_plane_mm for zone in found.refocus]
    assert 1 < len(planes) <= 4
    assert min(abs(a - b) for a, b in pairwise(planes)) >= 0.3
    assert [zone.from_mm for zone in found.refocus[1:]] == [zone.to_mm for zone in found.refocus[:-1]]


def test_a_slight_oval_is_planned_with_its_cost_and_a_gross_one_refused() -> None:
    """80 by 79.7 mm costs 0.15 mm of focus and widens the seams' error; 80 by 60 can't turn in focus: the panel that
    could be marked without turning is told."""
    round_, slight, gross = (
        Item(
            name="Flask", length_mm=100, measurements=(Measurement(at_mm=0, across_mm=across, second_across_mm=second),)
        )
        for across, second in ((79.85, 79.85), (80.0, 79.7), (80.0, 60.0))
    )
    (cut, plain), (oval_cut, oval) = (
        focus_of(one, Chuck(gear_ratio=12), slice_width_mm=3.0) for one in (round_, slight)
    )
    assert "oval" in oval.remarks
    assert "oval" not in plain.remarks
    assert oval_cut.seam_95_mm > cut.seam_95_mm
    wider = (
        {row.id: row.high_mm for row in oval.budget}["shape"],
        {row.id: row.high_mm for row in plain.budget}["shape"],
    )
    assert wider[0] > 1.3 * wider[1]
    with pytest.raises(NoPlan) as refused:
        focus_of(gross, Chuck())
    assert refused.value.faults[0].where == "item.measurements.0.second_across"
    assert "without turning" in refused.value.faults[0].says


def test_heights_told_from_the_rim_are_the_same_places() -> None:
    """The bottle measured from its rim gives the same apex line, places counted from the rim."""
    measurements = (Measurement(at_mm=0, across_mm=70), Measurement(at_mm=150, across_mm=88))
    turned = Item(name="from the rim", heights_from="rim", measurements=measurements)
    ready = setup_of(turned, Artwork(width_mm=80, height_mm=60, centre_mm=90), HEAD, Chuck(gear_ratio=6))
    rim = focus(ready, split(ready, 0.0), 0.0)
    _, foot = focus_of(BOTTLE, Chuck(gear_ratio=6))
    assert [row.as_it_lies_mm for row in rim.apex] == pytest.approx([row.as_it_lies_mm for row in foot.apex])
    assert [row.from_end_mm for row in rim.apex] == pytest.approx([150 - row.from_end_mm for row in foot.apex])


def test_an_item_that_would_meet_the_head_is_warned_of() -> None:
    """A head that leaves less room over its focal plane than the item needs is noticed."""
    low = HEAD.model_copy(update={"free_height_mm": 1.0})
    _, found = focus_of(BOTTLE, Chuck(gear_ratio=6), head=low)
    assert "meets_head" in found.remarks


@pytest.mark.parametrize(("free_height_mm", "fits"), [(170.0, True), (30.0, False)])
def test_a_handle_has_to_pass_under_the_head(free_height_mm: float, fits: bool) -> None:
    """A handle of 45 mm that comes near the top is let round under a high head and refused under a low one."""
    mug = MUG.model_copy(
        update={
            "handle": Handle(angle_rad=math.radians(150), width_rad=0.5, reach_mm=45, from_mm=20, to_mm=80),
        }
    )
    wide = Artwork(width_mm=150, height_mm=40, centre_mm=60)
    head = HEAD.model_copy(update={"free_height_mm": free_height_mm})
    ready = setup_of(mug, wide, head, Chuck(axis_height_mm=120))
    cut = split(ready, 0.0)
    if fits:
        assert focus(ready, cut, 0.0).focal_plane_mm == pytest.approx(160, abs=0.1)
        return
    with pytest.raises(NoPlan, match=r"the handle would hit the lens"):
        focus(ready, cut, 0.0)


def test_a_balanced_budget_reaches_as_far_up_as_down() -> None:
    """In focus the plane goes half the sag below the apex: what the wall then is off is the same above and below, and a
    total runout moves it by half of it either way."""
    item = MUG.model_copy(update={"runout_mm": 0.4})
    _, found = focus_of(item, Chuck(gear_ratio=6), seam_mm=0.5)
    rows = {row.id: (row.low_mm, row.high_mm) for row in found.budget}
    assert rows["sag"][0] < -0.02
    assert rows["runout"] == (-0.2, 0.2)
    assert found.total_low_mm == pytest.approx(-found.total_high_mm, abs=1e-6)


@pytest.mark.parametrize(("more_mm", "fills"), [(0.02, True), (-0.02, False)])
def test_a_head_set_no_better_than_the_focus_allows_is_told(more_mm: float, fills: bool) -> None:
    """Set to ± a half of the room, it takes all of it, and nothing is left for a slice's sag."""
    true = MUG.model_copy(update={"runout_mm": 0.0})
    _, found = focus_of(true, Chuck(gear_ratio=6))
    room = found.allowed_high_mm - found.allowed_low_mm
    _, found = focus_of(true, Chuck(gear_ratio=6), focus_mm=room / 2 + more_mm)
    assert ("setting_fills" in found.remarks) is fills


@pytest.mark.parametrize(("ends", "moved"), [((0.0, 50.0), (2.0, 48.0)), ((50.0, 0.0), (48.0, 2.0))])
def test_a_zone_that_ends_earlier_may_go_on_as_much_farther(
    ends: tuple[float, float], moved: tuple[float, float]
) -> None:
    """Its height would do up to the same places of the item, whichever end heights are counted from."""
    zone = RefocusZone(from_mm=ends[0], to_mm=ends[1], focal_plane_mm=90.0, beyond_from_mm=5.0, beyond_to_mm=7.0)
    short = zone.between(*moved)
    assert (short.beyond_from_mm, short.beyond_to_mm) == (7.0, 9.0)
