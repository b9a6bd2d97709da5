"""An item is levelled by the artwork's heights: shim, tilt, focus and simulation all go by the same one."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from rotary.artwork.layout import Artwork, layout
from rotary.item import Item, Measurement, fitted_shape
from rotary.job import Job
from rotary.machine.level import levelling
from rotary.papers.sizes import Sizes
from rotary.plan import Plan, plan
from rotary.sentences.focus import notes
from rotary.sentences.turning import notes as turning_notes
from rotary.services.files import flat_file
from rotary.services.simulation import machine_of, simulation_of_files
from rotary.sheet import stance_of
from rotary.turning import turning
from rotary.turning.models import Chuck, ItemTurning, Level, Rollers
from tests.sheet.test_sheet import block, job

NECK = ((0, 73), (80, 73), (160, 73, True), (200, 45, True), (230, 45))  # a straight bottle with a neck (invented)
CUP = ((0, 52), (20, 70), (45, 84), (65, 86), (90, 78), (110, 66))  # a cup with a belly (invented)
CONE = ((0, 160), (80, 160 - 2 * 80 * np.tan(np.radians(40))))
BELLY = ((0, 60), (30, 72), (50, 75), (70, 72), (100, 60))
PIN = ((0, 3.0), (20, 3.0))
DRUM = ((0, 400), (300, 380))


def item_of(measurements: Any) -> Item:
    return Item(
        name="invented",
        measurements=tuple(Measurement(at_mm=s, across_mm=d, corner=bool(c)) for s, d, *c in measurements),
    )


def lying(measurements: Any, drive: Chuck | Rollers, centre: float, high: float) -> tuple[ItemTurning, Any]:
    item = item_of(measurements)
    shape = fitted_shape(item)
    lies = layout(Artwork(width_mm=2, height_mm=high, centre_mm=centre), item, shape)
    return turning(drive, item, shape, (lies.artwork_from_mm, lies.artwork_to_mm)), shape


def apex_mm(found: ItemTurning, shape: Any, s: Any) -> Any:
    tilt = found.tilt_rad
    along = (np.asarray(s) - found.axis_height_at_mm) * np.sin(tilt)
    return found.axis_height_mm + along + shape.radius_mm(s) * np.cos(tilt)


CHUCK = Chuck(axis_height_mm=400, levelled=True)


@pytest.mark.parametrize("drive", [CHUCK, Rollers(contact_from_mm=0, contact_to_mm=160)])
def test_a_neck_far_from_the_artwork_asks_for_no_shim(drive: Chuck | Rollers) -> None:
    """The barrel is level as it lies, so it stays so, and that is said."""
    found, shape = lying(NECK, drive, 80, 60)
    assert (found.level.shim_mm, found.level.end, found.tilt_rad) == (0.0, "", pytest.approx(0.0, abs=1e-9))
    assert np.ptp(apex_mm(found, shape, np.linspace(50, 110, 61))) < 0.005
    assert any("put nothing under the item" in note for note in turning_notes(found))
    assert not any("The plan assumes that you level the apex" in note for note in turning_notes(found))


@pytest.mark.parametrize(
    ("measurements", "drive", "centre", "high"),
    [
        (NECK, CHUCK, 180, 20),
        (CUP, CHUCK, 60, 40),
        (CUP, CHUCK, 25, 20),
        (CONE, CHUCK, 40, 40),
        (BELLY, CHUCK, 50, 60),
        (BELLY, CHUCK, 80, 30),
        (PIN, CHUCK, 10, 18),
        (DRUM, CHUCK, 150, 250),
        (DRUM, Rollers(roller_diameter_mm=50, centres_mm=180), 60, 40),
        (CUP, Rollers(centres_mm=30), 60, 40),
        (((0, 88), (150, 70)), Rollers(), 20, 0.01),
    ],
)
def test_levelled_it_climbs_no_more_than_lying(
    measurements: Any, drive: Chuck | Rollers, centre: float, high: float
) -> None:
    """Following the advice never makes the artwork's apex line climb more, and the figures say what it does."""
    found, shape = lying(measurements, drive, centre, high)
    told = found.level
    lies, _ = lying(measurements, drive.model_copy(update={"levelled": False}), centre, high)
    s = np.linspace(told.from_mm, told.to_mm, 601)
    left, climb = float(np.ptp(apex_mm(found, shape, s))), float(np.ptp(apex_mm(lies, shape, s)))
    assert left <= climb + 1e-9
    assert (told.left_mm, told.climb_mm) == (pytest.approx(left, abs=0.005), pytest.approx(climb, abs=0.005))
    assert lies.level == told
    if told.shim_mm == 0:
        assert found.tilt_rad == lies.tilt_rad
    else:
        # The shim turns the whole by what it lifts over its base.
        assert np.sin(lies.tilt_rad - found.tilt_rad) == pytest.approx(told.shim_mm / told.base_mm, abs=1e-9)
        assert told.end == ("base" if told.shim_mm > 0 else "rim")
        assert any(f"at the item's {told.end}, " in note for note in turning_notes(found))


def made_of(measurements: Any, drive: dict[str, Any], artwork: dict[str, Any], **more: Any) -> Plan:
    asked: Job = job(
        item={"name": "invented", "measurements": [s.model_dump() for s in item_of(measurements).measurements]},
        turning=drive, artwork=artwork, **more,
    )  # fmt: skip
    return plan(asked, draws=0)


def test_levelling_a_belly_takes_no_more_zones_than_lying() -> None:
    """The cup took seven zones by following the advice, and five as it lies."""
    art = {"width_mm": 50.0, "height_mm": 40.0, "centre_mm": 60.0}
    advised, lies = (made_of(CUP, {"levelled": yes, "axis_height_mm": 90.0}, art) for yes in (True, False))
    assert len(advised.focus.refocus) <= len(lies.focus.refocus)


def test_what_no_tilt_cures_is_said() -> None:
    """A belly that climbs more than the focus allows: how much is left, and no advice to level it."""
    cup = {"width_mm": 30.0, "height_mm": 60.0, "centre_mm": 50.0}
    made = made_of(BELLY, {"levelled": True}, cup, tolerances={"fluence_low_share": 0.95, "fluence_high_share": 1.05})
    assert len(made.focus.refocus) > 1
    note = next(note for note in notes(made) if "not level enough for one focus" in note)
    assert "Even with the item levelled, the wall climbs" in note
    assert "level the item" not in note


def test_plan_file_and_simulation_stand_alike(tmp_path: Path) -> None:
    """One tilt in the plan, the file and the simulation: a flat file of levelled artwork joins as the plan says."""
    art = {"width_mm": 40.0, "height_mm": 30.0, "centre_mm": 60.0}
    made = made_of((*CUP[:4], (140, 70)), {"levelled": True}, art, tolerances={"method": "flat"})
    assert made.turning.level.shim_mm != 0
    stance = stance_of(made)
    assert made.turning.tilt_rad == made.turning.level.tilt_rad == made.focus.tilt_rad == stance.tilt_rad
    assert machine_of(made).stand.tilt_rad == made.turning.tilt_rad
    flat, (path, *_) = flat_file(made, block(40, 30), tmp_path)
    found = simulation_of_files(made, path, block(40, 30), 0)
    worst = [row.plain_nominal_mm for row in flat.split.seam_rows]
    assert found.seam_open_mm == pytest.approx(max(0.0, *worst), abs=0.005)
    assert found.seam_double_mm == pytest.approx(max(0.0, *(-w for w in worst)), abs=0.005)


def level_text(made: Plan, system: str) -> str:
    """What the details of a sheet say of levelling."""
    return " ".join(Sizes(system).texts(turning_notes(made.turning)))


@pytest.mark.parametrize("system", ["mm", "in"])
def test_the_card_gives_a_shim_with_end_and_base_or_none(system: str) -> None:
    """Only what something is put under is called levelled."""
    art = {"width_mm": 30.0, "height_mm": 40.0, "centre_mm": 80.0}
    neck = level_text(made_of(NECK, {"levelled": True}, art), system)
    assert "as level as it can be: put nothing under the item" in neck
    assert "evelled" not in neck
    taper = level_text(made_of(((0, 88), (160, 70)), {"levelled": True}, art), system)
    size = "9.0 mm" if system == "mm" else "0.354 in"
    assert f"That needs a {size} shim under the chuck at the item's rim, " in taper


def test_a_solid_part_has_its_own_ends() -> None:
    """Nobody finds a rim on a ferrule: the shim goes under an end that the part has."""
    made = made_of(((0, 88), (160, 70)), {"levelled": True}, {"width_mm": 30.0, "height_mm": 40.0, "centre_mm": 80.0})
    (note,) = turning_notes(made.turning, made.job.item.model_copy(update={"solid": True}))
    assert "under the chuck at the item's end 2, " in note
    assert "rim" not in note


def test_heights_read_at_the_artworks_ends_ask_for_what_is_left() -> None:
    """Read as the plan has it levelled, nothing more is put under; higher by 2 mm at one end, that end is too high."""
    bent = tuple((s, 80 - 0.1 * s + 5 * np.sin(2 * np.pi * s / 120)) for s in range(0, 121, 20))
    made = made_of(bent, {"levelled": True}, {"width_mm": 30.0, "height_mm": 90.0, "centre_mm": 60.0})
    assert any(" must be " in note for note in turning_notes(made.turning))
    told: Level = made.turning.level
    heights = apex_mm(made.turning, made.shape, [told.from_mm, told.to_mm])
    apart = told.to_mm - told.from_mm
    assert levelling(made, *heights, apart).end == ""
    raised = levelling(made, heights[0], heights[1] + 2, apart)
    assert (raised.end, raised.base_mm) == ("base", told.base_mm)
    assert raised.shim_mm == pytest.approx(told.base_mm * 2 / apart, rel=0.02)


@pytest.mark.parametrize(("base_mm", "rim_mm"), [(88, 70), (70, 88)])
def test_a_shim_turns_the_rotary_about_the_end_that_stays_down(base_mm: float, rim_mm: float) -> None:
    """The axis comes where a turn of the plane about that end's foot on the bed takes it; worked out as one turn."""
    drive = Rollers(contact_from_mm=20, contact_to_mm=80, axis_height_mm=60, levelled=False)
    lies, _ = lying(((0, base_mm), (150, rim_mm)), drive, 75, 100)
    found, shape = lying(((0, base_mm), (150, rim_mm)), drive.model_copy(update={"levelled": True}), 75, 100)
    turned = found.tilt_rad - lies.tilt_rad
    pivot = 0.0 if turned > 0 else shape.length_mm
    axis = (lies.axis_height_at_mm - pivot + 1j * lies.axis_height_mm) * np.exp(1j * turned)
    assert abs(turned) > 0.05
    assert found.axis_height_mm == pytest.approx(axis.imag, abs=1e-6)
    assert abs(found.axis_height_at_mm - shape.length_mm / 2) > 10
