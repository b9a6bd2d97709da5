"""The step split of items that lie askew: unlevelled, along the field's other axis, turned round, hard to type."""

import math
from typing import Any

import numpy as np
import pytest

from rotary.artwork.layout import Artwork
from rotary.errors import NoPlan
from rotary.focus import Focus, focus
from rotary.formulas.scan import command_mm, place_mm
from rotary.item import Item, Measurement, fitted_shape
from rotary.laser import LaserAndLens, optics
from rotary.sentences.slices import limit_text, notes
from rotary.slices import split
from rotary.slices.models import Split
from rotary.tolerances import Tolerances
from rotary.turning import turning
from rotary.turning.models import Chuck, Drive, Rollers
from tests.setups import setup_of, shipped_heads

HEAD = shipped_heads()["fibre-30w-160"]
BOTTLE = Item(
    name="Regatta bottle", measurements=(Measurement(at_mm=0, across_mm=88), Measurement(at_mm=150, across_mm=70))
)
MUG = Item(name="Regatta mug", measurements=(Measurement(at_mm=0, across_mm=80), Measurement(at_mm=120, across_mm=80)))
LOGO = Artwork(width_mm=80, height_mm=60, centre_mm=75)


def cut_and_focus(
    item: Item = BOTTLE,
    drive: Drive | None = None,
    head: LaserAndLens = HEAD,
    artwork: Artwork = LOGO,
    defocus_mm: float = 0.0,
    **given: Any,
) -> tuple[Split, Focus]:
    ready = setup_of(item, artwork, head, drive or Chuck(gear_ratio=6), tolerances=Tolerances(**given))
    cut = split(ready, defocus_mm)
    return cut, focus(ready, cut, defocus_mm)


@pytest.mark.parametrize("defocus", [0.0, 3.0, -3.0])
@pytest.mark.parametrize("drive", [Chuck(gear_ratio=6), Rollers(levelled=False)])
def test_the_column_holds_the_widest_command_of_every_refocus_zone(drive: Drive, defocus: float) -> None:
    """Marked zone by zone, each with the head at its own height, no slice needs more than its column."""
    cut, sharp = cut_and_focus(drive=drive, defocus_mm=defocus)
    assert len(sharp.refocus) > 1
    turns = turning(drive, BOTTLE, fitted_shape(BOTTLE))
    widest, pupil = 0.0, optics(HEAD).pupil_x_mm or math.inf
    for zone in sharp.refocus:
        s = np.linspace(zone.from_mm, zone.to_mm, 50)
        x, _, z = place_mm(s, 44 - 0.06 * s, cut.index_angle_rad / 2, turns.tilt_rad)
        # The stage tells heights over the bed; the axis stands at one of them at its own place.
        axis_mm = turns.axis_height_mm - turns.axis_height_at_mm * math.sin(turns.tilt_rad)
        widest = max(widest, 2 * float(command_mm(x, z + axis_mm - zone.focal_plane_mm, pupil).max()))
    assert widest + 0.3 <= cut.file_slice_mm + 1e-6
    assert cut.file_slice_mm < widest + 0.3 + 0.02


def test_pupils_go_with_the_fields_axes_and_not_with_the_items() -> None:
    """Lying along X with the pupils exchanged is the same as lying along Y: across the item is what counts."""
    along_y = HEAD.model_copy(update={"pupil_x_mm": 220.0, "pupil_y_mm": 150.0})
    along_x = along_y.model_copy(update={"pupil_x_mm": 150.0, "pupil_y_mm": 220.0, "field_axis": "x"})
    one, other = cut_and_focus(head=along_y)[0], cut_and_focus(head=along_x)[0]
    assert (one.steps, one.file_slice_mm, one.sheet_height_mm) == (
        other.steps,
        other.file_slice_mm,
        other.sheet_height_mm,
    )
    wrong = cut_and_focus(head=along_y.model_copy(update={"field_axis": "x"}))[0]
    assert wrong.file_slice_mm / wrong.slice_width_mm != pytest.approx(one.file_slice_mm / one.slice_width_mm, rel=1e-3)


@pytest.mark.parametrize(
    ("axis", "rim", "points", "lies"),
    [
        ("y", "plus", "up", "upright"),
        ("y", "minus", "down", "upside down in your program, as planned"),
        ("x", "plus", "right", "top of the file points right"),
        ("x", "minus", "left", "top of the file points left"),
    ],
)
def test_how_the_sheet_lies_in_the_field_is_said(axis: str, rim: str, points: str, lies: str) -> None:
    """The sheet is turned and never mirrored, and the size to check is that of the turned sheet."""
    found, _ = cut_and_focus(head=HEAD.model_copy(update={"field_axis": axis, "rim_towards": rim}))
    assert points in found.must_show[0]
    assert lies in found.must_show[0]
    assert "Never turn or mirror it" in found.must_show[0]
    size = [f"{found.sheet_width_mm:.3f}", f"{found.sheet_height_mm:.3f}"]
    wide, high = size if axis == "y" else size[::-1]
    assert any(f"{wide} × {high} mm" in line for line in found.must_show)
    typed = {entry.label: entry.text for entry in found.key_in}
    assert (typed["File width"], typed["File height"]) == (wide, high)


@pytest.mark.parametrize(("decimals", "step_degrees"), [(0, 1.0), (1, 0.1), (2, 0.01)])
@pytest.mark.parametrize("drive", [Chuck(), Rollers()])
def test_degrees_with_few_decimals_choose_an_index_that_can_be_typed(
    drive: Drive, decimals: int, step_degrees: float
) -> None:
    """The index itself is chosen so that its angle can be typed; no turn is off by the rounding of what is typed."""
    drive = drive.model_copy(update={"controller_field": "degrees", "typed_decimals": decimals, "rounding": "absolute"})
    found, _ = cut_and_focus(drive=drive)
    typed = {entry.label: float(entry.text) for entry in found.key_in}
    asked = typed["Angle per slice"] / 360 * typed["Steps per turn"]
    places = np.floor(np.arange(1, found.slices) * asked + 0.5 + 1e-9)
    assert places.tolist() == [found.steps * k for k in range(1, found.slices)]
    assert typed["Angle per slice"] / step_degrees == pytest.approx(round(typed["Angle per slice"] / step_degrees))
    assert found.drift_mm == 0


def test_a_drift_that_typing_can_not_avoid_is_a_broken_limit() -> None:
    """Numbers without decimals leave steps over; what that is on the wall is said and the drive's limit is not kept."""
    drive = Rollers(typed_decimals=0, rounding="absolute")
    found, _ = cut_and_focus(drive=drive)
    assert abs(found.drift_mm) > Tolerances().seam_mm
    assert not next(limit for limit in found.limits if limit.id == "turning").met
    assert any(f"{abs(found.drift_mm):.3g} mm)" in note for note in notes(found))


def test_the_roller_that_is_typed_is_told_from_the_true_roller() -> None:
    """Where a roller's diameter is typed, the number beside it is the roller's and not the item's."""
    found, _ = cut_and_focus(drive=Rollers(controller_field="roller-diameter", roller_diameter_mm=24))
    typed = next(entry for entry in found.key_in if entry.id == "roller_diameter")
    assert (typed.real, typed.leave) == ("24", "type this, not 24")


def test_flat_artwork_is_drawn_smaller_both_ways_where_the_beam_leans() -> None:
    """12 mm out of focus: by like triangles a place 12 mm below the plane is reached f/(f + 12) times as far out."""
    found, sharp = cut_and_focus(MUG, artwork=LOGO.model_copy(update={"centre_mm": 60}), defocus_mm=12.0, method="flat")
    beam = optics(HEAD)
    assert beam.pupil_x_mm is not None
    assert beam.pupil_y_mm is not None
    below = sharp.plane_over_apex_mm + found.edge_drop_mm
    high = beam.pupil_y_mm / (beam.pupil_y_mm + below)
    assert found.sheet_height_mm == pytest.approx(60 * high, rel=1e-6)
    note = next(note for note in notes(found) if "the beam leans" in note)
    assert f"{100 * high:.2f} % of its true height" in note
    wide = beam.pupil_x_mm / (beam.pupil_x_mm + below)
    said = float(note.split("drawn at ")[1].split(" ")[0])
    assert said == pytest.approx(100 * wide, abs=2e-2)


def test_a_wall_that_faces_away_from_the_beam_is_refused() -> None:
    """A cone of 40° on level rollers climbs past the upright: no beam from above can meet its apex line."""
    cone = Item(
        name="funnel", measurements=(Measurement(at_mm=0, across_mm=150), Measurement(at_mm=60, across_mm=49.308))
    )
    art = Artwork(width_mm=30, height_mm=20, centre_mm=30)
    with pytest.raises(NoPlan, match="too flat an angle"):
        cut_and_focus(cone, Rollers(levelled=False, axis_height_mm=120), artwork=art)


def test_on_a_pin_the_axis_beside_the_centre_line_costs_most() -> None:
    """1 mm beside the centre is most of a 3 mm pin's radius, and the cure that is named is to set the axis."""
    pin = Item(
        name="pin", measurements=(Measurement(at_mm=0, across_mm=3), Measurement(at_mm=30, across_mm=3)), solid=True
    )
    art = Artwork(width_mm=4, height_mm=10, centre_mm=15)
    found, _ = cut_and_focus(pin, artwork=art, diameter_mm=0.05)
    for limit in found.limits:
        if limit.id in ("seam_plain", "seam_sheet"):
            assert "axis" in limit_text(limit).relax


def test_flat_columns_that_hold_at_no_width_are_not_counted() -> None:
    """On a taper no column that is two spots wide holds within 20 µm, and no number of narrower ones is offered."""
    found, _ = cut_and_focus(seam_mm=0.02)
    note = next(note for note in notes(found) if note.startswith("Sliced file: "))
    plain = next(limit for limit in found.limits if limit.id == "seam_plain")
    assert plain.widest_mm is not None
    assert ("A flat file won't do here" in note) == (plain.widest_mm < 2 * optics(HEAD).spot_um / 1000)


def test_a_forced_width_of_less_than_two_spots_is_questioned() -> None:
    """A slice as wide as a line of the beam has nothing between its seams; a wider one is named."""
    narrow, _ = cut_and_focus(slice_width_mm=0.05)
    assert any("nothing but seam" in note for note in notes(narrow))
    assert not any("nothing but seam" in note for note in notes(cut_and_focus(slice_width_mm=0.5)[0]))


@pytest.mark.parametrize("full_steps", [24, 36, 100])
def test_few_steps_a_turn_are_never_bumped_past_what_the_head_sees(full_steps: int) -> None:
    """Looking for an angle that can be typed ends where a slice would reach round the item."""
    drive = Chuck(full_steps=full_steps, microsteps=1, controller_field="degrees", typed_decimals=0)
    found, _ = cut_and_focus(drive=drive)
    assert found.index_angle_rad <= 2.6
    assert found.inked_slices * found.index_angle_rad >= 80 / 41.3


def test_no_split_is_offered_twice() -> None:
    """The runners-up are different splits, each with steps of its own."""
    for drive in (Chuck(gear_ratio=6), Chuck(full_steps=100, microsteps=1), Rollers(controller_field="degrees")):
        found, _ = cut_and_focus(drive=drive)
        steps = [found.steps, *(one.steps for one in found.runners_up)]
        assert len(set(steps)) == len(steps)
