"""The step split: limits put back, whole steps, the number to type, refusals."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary.artwork.layout import Artwork, layout
from rotary.errors import Fault, NoPlan, Refused
from rotary.item import Item, Measurement, fitted_shape
from rotary.laser import optics
from rotary.sentences.slices import limit_text, notes
from rotary.setup import Setup
from rotary.slices import Limit, Split, split
from rotary.slices.limits import all_seams_mm
from rotary.slices.wall import slices_of, wall_under_head
from rotary.tolerances import Tolerances
from rotary.turning import Chuck, Drive, Rollers, TickReading, TurnRange, turning
from tests.setups import other, setup_of, shipped_heads

HEAD = shipped_heads()["fibre-30w-160"]
BOTTLE = Item(
    name="Regatta bottle", measurements=(Measurement(at_mm=0, across_mm=88), Measurement(at_mm=150, across_mm=70))
)
MUG = Item(name="Regatta mug", measurements=(Measurement(at_mm=0, across_mm=80), Measurement(at_mm=120, across_mm=80)))
GEARED = Chuck(gear_ratio=6, levelled=True)
LOGO = Artwork(width_mm=80, height_mm=70, centre_mm=75)


def staged(**tolerances: Any) -> Setup:
    return setup_of(BOTTLE, LOGO, HEAD, GEARED, tolerances=Tolerances(**tolerances))


def split_of(
    item: Item = BOTTLE, drive: Drive = GEARED, artwork: Artwork = LOGO, defocus_mm: float = 0.0, **tolerances: Any
) -> Split:
    return split(setup_of(item, artwork, HEAD, drive, tolerances=Tolerances(**tolerances)), defocus_mm)


def limit(found: Split, name: str) -> Limit:
    return next(one for one in found.limits if one.id == name)


def test_the_widest_slice_by_focus_sags_by_exactly_the_room() -> None:
    """Put back: at that width the edge of the widest place lies below its apex by what the fluence allows."""
    found = split_of(MUG, artwork=Artwork(width_mm=80, height_mm=40, centre_mm=60))
    z_r = optics(HEAD).rayleigh_mm
    room = 2 * z_r * math.sqrt(1 / 0.85 - 1)
    widest = limit(found, "focus").widest_mm
    assert widest is not None
    assert 40 * (1 - math.cos(widest / 80)) == pytest.approx(room, rel=1e-9)


def test_the_sheet_limit_is_the_tolerance_over_the_root_of_the_squares() -> None:
    """0.2 mm in diameter, 1 mm in focus, 0.3 % in field scale and 25 µm: 3.7 mm, as worked out beforehand."""
    found = split_of(drive=GEARED.model_copy(update={"gear_ratio": 1000.0}), seam_mm=0.025)
    assert limit(found, "seam_sheet").widest_mm == pytest.approx(3.7, abs=0.12)


def test_at_the_width_of_each_limit_its_quantity_is_at_the_limit() -> None:
    """Put back through the exact geometry: stair, incidence and all seams reach what is allowed, within 1 %."""
    ready = staged(incidence_rad=0.3)
    tolerances, lies = ready.job.tolerances, ready.layout
    found, wall = split(ready, 3.0), wall_under_head(ready, 3.0)
    for name, allowed in [
        ("skew_offset", tolerances.seam_mm),
        ("incidence", 0.3),
        ("seam_sheet", tolerances.seam_mm),
        ("seam_plain", tolerances.seam_mm),
    ]:
        widest = limit(found, name).widest_mm
        assert widest is not None
        index = np.array([widest / lies.reference_radius_mm])
        at, count = slices_of(wall, index), np.ceil(lies.total_angle_rad / index) - 1
        quantity = {
            "skew_offset": at.stair,
            "incidence": at.incidence,
            "seam_sheet": all_seams_mm(at.spread, wall.seam_stops[0], count),
            "seam_plain": all_seams_mm(at.spread, wall.seam_stops[0], count, at.plain_seam),
        }[name]
        assert float(quantity.max()) == pytest.approx(allowed, rel=1e-2)


def test_the_stair_of_an_axis_beside_the_centre_line() -> None:
    """1 mm of offset on 10 mm slices of the levelled bottle: about 65 µm, as worked out beforehand."""
    drive = GEARED.model_copy(update={"skew_rad": 0.0, "offset_mm": 1.0})
    assert split_of(drive=drive, slice_width_mm=10.0).seam_offset_mm == pytest.approx(0.065, abs=0.004)


def test_flat_columns_on_the_bottle_are_off_by_fifty_three_micrometres() -> None:
    """⌀88 to ⌀70 over 150 mm, band 40 to 110, columns of 1 mm: +53, 0, -53 µm; a redrawn sheet: nothing."""
    drive = GEARED.model_copy(update={"gear_ratio": 200.0})
    rows = split_of(drive=drive, slice_width_mm=1.0, method="flat").seam_rows
    ends = [1000 * rows[i].plain_nominal_mm for i in (0, 3, 6)]
    # Columns are typed in whole micrometres.
    assert ends == pytest.approx([53, 0, -53], abs=1.1)
    assert max(abs(row.sheet_nominal_mm) for row in rows) < 1e-9


@pytest.mark.parametrize("kind", ["item-diameter", "roller-diameter", "steps-only", "degrees"])
@pytest.mark.parametrize("decimals", [2, 3, 4])
@pytest.mark.parametrize("drive", [GEARED, Rollers(), Rollers(covering="hard", gear_ratio=3)])
def test_what_is_typed_makes_a_controller_turn_the_planned_steps(kind: str, decimals: int, drive: Drive) -> None:
    """A controller of each kind, told the card's numbers, turns n whole steps an index, or the card owns up."""
    drive = drive.model_copy(
        update={"controller_field": kind, "typed_decimals": decimals, "typed_diameter_mm": 50.0, "rounding": "truncate"}
    )
    found = split_of(drive=drive)
    typed = {entry.label: entry.text for entry in found.key_in}
    column = float(typed["Slice width in the file"])
    steps = float(typed["Steps per turn"])
    if kind == "degrees":
        wanted = float(typed["Angle per slice"]) / 360 * steps
    elif kind == "steps-only":
        wanted = column * steps / (math.pi * 50.0)
    else:
        label = "Diameter to type" if kind == "item-diameter" else "Roller diameter to type"
        wanted = column * steps / (math.pi * float(typed[label]))
    turns = found.slices - 1
    # A whole number of steps may come out a last bit short of itself.
    exact = all(math.floor(k * wanted + 1e-9) == round(k * wanted) == k * found.steps for k in range(1, turns + 1))
    owned_up = any("No number you can type" in note for note in notes(found))
    assert exact != owned_up
    if owned_up:
        left = math.floor(wanted) * turns - found.steps * turns
        assert found.drift_mm == pytest.approx(left * found.slice_width_mm / found.steps, abs=1e-9)


def test_on_rollers_the_number_typed_is_never_the_items_diameter() -> None:
    """With the driven roller's own steps the number is near the roller's diameter, times the lean and blank edge."""
    found = split_of(drive=Rollers())
    typed = {entry.label: entry.text for entry in found.key_in}
    number = float(typed["Diameter to type"])
    assert 20.0 < number < 26.0


def test_the_column_holds_the_widest_command_and_the_blank_edge() -> None:
    """No ink of a slice can reach past its own column, and the column is as narrow as the typing allows."""
    found, wall = split(staged(), 2.0), wall_under_head(staged(), 2.0)
    least = 2 * float(slices_of(wall, np.array([found.index_angle_rad])).command_x.max()) + 0.3
    assert least <= found.file_slice_mm < least + 0.05


@pytest.mark.parametrize("width", [3.0, 20.0, 47.0, 80.0, 130.0, 200.0])
def test_the_number_of_columns_is_odd_and_covers_the_artwork(width: float) -> None:
    """Controllers that divide from the left and from the middle agree, and no ink is left without a slice."""
    artwork = Artwork(width_mm=width, height_mm=60, centre_mm=75)
    found = split_of(artwork=artwork)
    lies = layout(artwork, BOTTLE, fitted_shape(BOTTLE))
    assert found.slices % 2 == 1
    assert found.inked_slices * found.index_angle_rad >= lies.total_angle_rad * (1 - 1e-9)
    assert (found.inked_slices - 1) * found.index_angle_rad < lies.total_angle_rad
    assert found.sheet_width_mm == pytest.approx(found.slices * found.file_slice_mm)


def test_artwork_narrow_enough_is_one_slice() -> None:
    """What the lens marks sharply without turning has no seams, so no seam limit divides it."""
    found = split_of(artwork=Artwork(width_mm=9, height_mm=60, centre_mm=75), defocus_mm=6.0)
    assert (found.slices, found.seam_95_mm, found.seam_offset_mm) == (1, 0.0, 0.0)


def test_nothing_quicker_keeps_to_the_limits() -> None:
    """Every split with fewer columns, tried by force, breaks a limit; the chosen one breaks none. (Whole cycles of a
    motor may cost width: this one has none.)"""
    drive = GEARED.model_copy(update={"motor": "closed-loop"})
    found = split_of(drive=drive)
    assert all(one.met for one in found.limits)
    for slices in range(1, found.slices, 2):
        width = found.slice_width_mm * found.inked_slices / slices
        tried = split_of(drive=drive, slice_width_mm=width * 1.0005, method="sliced")
        assert not all(one.met for one in tried.limits)


def test_the_governing_limit_is_the_narrowest_that_applies() -> None:
    """Loosening the governing limit makes slices wider; loosening another does not."""
    found = split_of()
    assert found.governing == "seam_sheet"
    assert split_of(diameter_mm=0.05, focus_mm=0.3, field_scale_share=0.001).slices < found.slices
    assert split_of(fluence_low_share=0.6).slices == found.slices


def test_soft_rollers_without_a_reading_are_owned_up_to_and_a_reading_cures_them() -> None:
    """A scale nobody measured can't be cured by narrow slices: it is said, and gone after two tick readings."""
    unread = split_of(drive=Rollers())
    drive = limit(unread, "turning")
    # What no width can keep to has set no width.
    assert (unread.governing, drive.met, drive.governs, drive.by_width) == ("seam_sheet", False, False, False)
    assert any(note.startswith("The limit for turning is not met, whatever the slice width.") for note in notes(unread))
    assert "tick" in limit_text(drive).relax
    assert unread.slice_width_mm > 2
    assert unread.seam_95_mm > 0.2
    ticks = tuple(TickReading(gap_mm=gap, at_mm=75, u_mm=0.05) for gap in (-0.5, -0.52, -0.49))
    read = split_of(drive=Rollers(ticks=ticks, gear_ratio=3))
    assert limit(read, "turning").met
    assert read.seam_95_mm <= 0.05 * (1 + 1e-2)


def test_flat_columns_are_taken_on_a_straight_item_and_the_sheet_on_a_taper() -> None:
    """Auto takes flat artwork where it holds in no more time, and says why."""
    straight = split_of(MUG, artwork=Artwork(width_mm=80, height_mm=60, centre_mm=60))
    taper = split_of()
    assert (straight.method, taper.method) == ("flat", "sliced")
    assert any("A flat file would need" in note for note in notes(taper))
    assert taper.plain_widest_mm < taper.sheet_widest_mm / 5


def test_a_full_ring_closes() -> None:
    """All round the mug, the inked slices make one turn within the seam tolerance."""
    artwork = Artwork(width_mm=math.pi * 80, height_mm=40, centre_mm=60, full_wrap=True)
    found = split_of(MUG, artwork=artwork)
    steps = turning(GEARED, MUG, fitted_shape(MUG)).steps_per_turn
    off = (found.inked_slices * found.steps - steps) * 2 * math.pi * 40 / steps
    assert found.closing_error_mm == pytest.approx(off, abs=1e-9)
    assert abs(off) <= 0.025
    assert found.slices % 2 == 1


def test_a_ring_that_can_not_close_says_so() -> None:
    """With 24 steps of 10 mm each no split closes finer; what is left stands in the result and among the limits."""
    drive = Chuck(full_steps=25, microsteps=1, gear_ratio=1.01)
    artwork = Artwork(width_mm=math.pi * 80, height_mm=40, centre_mm=60, full_wrap=True)
    found = split_of(MUG, drive, artwork)
    assert not limit(found, "closing").met
    assert abs(found.closing_error_mm) > 0.025


@pytest.mark.parametrize("wide_mm", [8.0, 16 / math.sqrt(3) - 0.001])
def test_each_flat_of_a_nut_is_one_slice(wide_mm: float) -> None:
    """Six flats: the index is a sixth of a turn, nothing sags; artwork over a whole flat is one slice too, though 533
    of 3200 steps turn a little less than a sixth."""
    nut = Item(name="Pommel nut", flats=6, across_flats_mm=16, length_mm=30, solid=True, coating=None)
    found = split_of(nut, Chuck(), Artwork(width_mm=wide_mm, height_mm=12, centre_mm=15))
    assert (found.slices, found.edge_drop_mm, found.method) == (1, 0.0, "flat")
    assert found.index_angle_rad == pytest.approx(math.pi / 3, rel=1e-3)


def test_a_band_taller_than_the_field_is_refused_in_a_sentence() -> None:
    """No split helps there: the refusal names the field to change and what would fit."""
    with pytest.raises(NoPlan, match="larger field") as refused:
        split_of(artwork=Artwork(width_mm=80, height_mm=130, centre_mm=75))
    assert refused.value.faults[0].where == "artwork.height"


def test_steps_only_without_the_programs_diameter_is_refused() -> None:
    """The steps to type depend on a number that only the person can read off the program."""
    with pytest.raises(Refused, match="typed_diameter"):
        split_of(drive=GEARED.model_copy(update={"controller_field": "steps-only"}))


def test_a_forced_width_is_kept_and_what_it_breaks_is_said() -> None:
    """12 mm where 3 mm would hold: obeyed to the nearest whole step, with the broken limits and their cure."""
    found = split_of(slice_width_mm=12.0)
    assert found.slice_width_mm == pytest.approx(12.0, abs=0.02)
    assert not limit(found, "seam_sheet").met
    assert any(note.startswith("Slices are too wide for seams") for note in notes(found))


@pytest.mark.parametrize(
    ("wide", "high", "length", "gear"), [(3.0, 3.0, 60.0, 1.0), (400.0, 400.0, 300.0, 40.0), (60.0, 145.0, 60.0, 20.0)]
)
def test_extreme_items_get_a_finite_split(wide: float, high: float, length: float, gear: float) -> None:
    """A pin, a drum and a cone of 35 degrees: every number finite, columns odd, inside the field."""
    measurements = (Measurement(at_mm=0, across_mm=wide), Measurement(at_mm=length, across_mm=high))
    item = Item(name="extreme", measurements=measurements)
    drive = Chuck(gear_ratio=gear, levelled=True, axis_height_mm=300)
    found = split_of(item, drive, Artwork(width_mm=wide, height_mm=length / 3, centre_mm=length / 2), 2.0)
    numbers = [value for value in found.model_dump().values() if isinstance(value, float)]
    assert all(math.isfinite(value) for value in numbers)
    assert found.slices % 2 == 1
    assert found.file_slice_mm < HEAD.field_mm


def test_a_forced_width_beyond_the_heads_sight_is_refused() -> None:
    """Half the way round can't be one slice: the sentence says the widest that can."""
    artwork = Artwork(width_mm=230, height_mm=40, centre_mm=60)
    with pytest.raises(Refused, match="write at most") as refused:
        split_of(MUG, artwork=artwork, slice_width_mm=200.0)
    assert refused.value.faults[0].where == "tolerances.slice_width"


def test_an_apex_line_that_climbs_into_the_lens_is_refused() -> None:
    """A steep cone in a level chuck: no command can follow it, and the sentence says to level it."""
    cone = Item(name="funnel", measurements=(Measurement(at_mm=0, across_mm=20), Measurement(at_mm=120, across_mm=600)))
    with pytest.raises(NoPlan, match="level"):
        split_of(cone, Chuck(axis_height_mm=400), Artwork(width_mm=30, height_mm=250, centre_mm=60))


@settings(deadline=None, max_examples=60)
@given(
    wide=st.floats(2, 400),
    taper=st.floats(0.5, 1.5),
    length=st.floats(8, 500),
    share=st.floats(0.01, 0.99),
    defocus=st.floats(-10, 10),
    seam=st.floats(1e-4, 5),
    levelled=st.booleans(),
    method=st.sampled_from(["auto", "sliced", "flat"]),
    kind=st.sampled_from(["item-diameter", "roller-diameter", "degrees"]),
)
def test_any_item_gets_finite_numbers_or_a_refusal(
    wide: float, taper: float, length: float, share: float, defocus: float, seam: float, levelled: bool,
    method: str, kind: str,
) -> None:  # fmt: skip
    """Whatever is measured, every number of the split is finite and the columns odd, or a sentence says why not."""
    measurements = (Measurement(at_mm=0, across_mm=wide), Measurement(at_mm=length, across_mm=wide * taper))
    drive = Chuck(gear_ratio=6, levelled=levelled, axis_height_mm=400, controller_field=kind)
    artwork = Artwork(width_mm=2.9 * wide * min(taper, 1) * share, height_mm=length * 0.4, centre_mm=length / 2)
    refusals: tuple[Fault, ...] = ()
    try:
        found = split_of(
            Item(name="any", measurements=measurements), drive, artwork, defocus, seam_mm=seam, method=method
        )
    except Refused as refused:
        refusals = refused.faults
    assert all(fault.where and fault.says for fault in refusals)
    if refusals:
        return
    assert found.slices % 2 == 1
    assert found.file_slice_mm > 0
    assert math.isfinite(found.seam_95_mm)


def test_the_input_that_costs_most_is_named_and_curing_it_widens_the_slices() -> None:
    """Far out of focus an estimated pupil height costs most; a measured one makes slices wider."""
    before = split_of(defocus_mm=18.0)
    told = limit_text(limit(before, "seam_sheet"))
    assert "For seams the pupil height matters most" in told.why
    assert "two bed heights" in told.relax
    measured = staged().optics.model_copy(update={"pupil_low_share": 1.0, "pupil_high_share": 1.0})
    after = split(other(staged(), optics=measured), 18.0)
    assert after.slice_width_mm > 1.5 * before.slice_width_mm


def test_artwork_that_needs_more_turning_than_the_handle_leaves_is_refused() -> None:
    """The slices' middles have to come on top one after the other; where the handle stops that, a sentence says so."""
    turns = staged().turning
    for reach, fits in [(1.2, True), (0.3, False)]:
        held = turns.model_copy(update={"turn_range": TurnRange(from_rad=-reach, to_rad=reach, stopped_by="the bed")})
        ready = other(staged(), turning=held)
        if fits:
            found = split(ready, 0.0)
            assert (found.inked_slices - 1) / 2 * found.index_angle_rad <= reach
        else:
            with pytest.raises(NoPlan, match="can turn only from -17° to 17°"):
                split(ready, 0.0)
