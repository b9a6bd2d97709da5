"""A sheet drawn for a measured machine, judged against that machine: by rays that know none of the correction."""

from datetime import UTC, datetime
from pathlib import Path
from statistics import NormalDist

import numpy as np
import pytest

from rotary.artwork.layout import Artwork
from rotary.artwork.rings import rings_from_list
from rotary.exports.dots import borders
from rotary.item import Item, Measurement
from rotary.job import Job, job_from_file, job_from_text, job_text
from rotary.machine.correct import corrected
from rotary.machine.reading_data import reading_from_data
from rotary.machine.readings import StripResult
from rotary.machine.record import MachineRecord
from rotary.plan import Plan, plan
from rotary.sentences.slices import notes
from rotary.services.files import flat_file, slice_sheet
from rotary.services.simulation import machine_of, simulation_of_files
from rotary.sheet import stance_of
from rotary.sheet.correction import drawn_places, planned_places
from rotary.shipped import examples
from rotary.simulate.forecast import Forecast
from rotary.simulate.rays import landing
from rotary.turning.models import Chuck

BAR = rings_from_list([[(-38, -28), (38, -28), (38, 28), (-38, 28)]])
JOB = job_from_file(examples()["regatta-bottle"])


def strip_says(scale: float, turn: float = 0.0) -> MachineRecord:
    found = StripResult(
        at=datetime(2026, 5, 1, tzinfo=UTC), item=JOB.item.name, scale_share=scale, u_scale_share=0.0004,
        turn_rad=turn, u_turn_rad=0.0004, u_focus_mm=0.2,
    )  # fmt: skip
    return MachineRecord(name="boathouse", readings=(found,))


@pytest.fixture(scope="module")
def made() -> Plan:
    return plan(corrected(JOB, strip_says(0.01, 0.006)), draws=0)


def test_a_corrected_sheet_is_judged_against_the_corrected_machine(made: Plan, tmp_path: Path) -> None:
    """Drawn 1 % wider and turned, on the machine that needs it: the seams shut, and the artwork lies in place."""
    path = slice_sheet(made, BAR, tmp_path)[1][0]
    found = simulation_of_files(made, path, BAR, draws=100)
    assert max(found.seam_open_mm, found.seam_double_mm) < 0.003
    assert found.placement_mm is not None
    assert found.placement_mm < 0.05


def test_a_sheet_drawn_before_the_strip_opens_on_that_machine(made: Plan, tmp_path: Path) -> None:
    """The same sheet without the correction leaves what the strip has shown: 1 % of a slice."""
    head = made.job.laser.model_copy(update={"slice_wide_share": 1.0, "slice_turn_rad": 0.0})
    before = made.model_copy(update={"job": made.job.model_copy(update={"laser": head})})
    path = slice_sheet(before, BAR, tmp_path)[1][0]
    found = simulation_of_files(made, path, BAR, draws=0)
    assert found.seam_open_mm == pytest.approx(0.01 * made.split.slice_width_mm, rel=0.2)


def test_what_is_left_over_is_what_the_strip_could_not_tell(tmp_path: Path) -> None:
    """The 95 % of the forecast follows the strip's own uncertainty, not what was believed before it."""
    # In focus: far from it the head's distance has the larger part, of which the strip tells nothing.
    sharp = JOB.model_copy(update={"passes": JOB.passes.model_copy(update={"defocus_mm": 0.0})})
    loose = plan(sharp, draws=0)
    width = loose.split.slice_width_mm
    told = JOB.tolerances.model_copy(update={"slice_width_mm": width})
    job = sharp.model_copy(update={"tolerances": told})
    after = plan(corrected(job, strip_says(0.01)), draws=0)
    spread = []
    for plans in (loose, after):
        folder = tmp_path / str(len(spread))
        path = slice_sheet(plans, BAR, folder)[1][0]
        spread.append(simulation_of_files(plans, path, BAR, draws=200).seam_95_mm)
    assert spread[1] < spread[0]


CHUCK = Chuck(axis_height_mm=90.0, levelled=True)


@pytest.mark.slow
@pytest.mark.parametrize("gear", [1.0, 6.0, 30.0])
def test_the_seam_error_of_the_plan_is_that_of_draws_by_rays(gear: float, tmp_path: Path) -> None:
    """Whether the motor's stops are all of it, half, or next to nothing: the 95 % of two thousand samples, traced by
    rays with the card's numbers, are those that the plan says, within 8 %. A mark of some width ends before
    the seam, where the head's errors are less: the plan counts them at the seam and is never short."""
    job = JOB.model_copy(update={"turning": CHUCK.model_copy(update={"gear_ratio": gear})})
    wide = plan(job, draws=0).seams.closing_gap_mm
    for gap_mm, least in ((0.001, 0.92), (wide, 0.0)):
        # Read to a tenth of a micrometre, so that what is not known of the gap plays no part.
        read = {"closing_gap_mm": gap_mm, "closing_gap_u_mm": 0.0001, "closing_gap_at": ""}
        made = plan(job.model_copy(update={"tolerances": job.tolerances.model_copy(update=read)}), draws=0)
        path = slice_sheet(made, BAR, tmp_path / f"{gap_mm}")[1][0]
        share = simulation_of_files(made, path, BAR, draws=2000).seam_95_mm / made.split.seam_95_mm
        assert least < share < (1.08 if least else 1.03)
        worst_of_all = NormalDist().inv_cdf((1 + 0.95 ** (1 / made.split.seams)) / 2)
        assert (worst_of_all * made.split.stops_mm > 0.9 * made.split.seam_95_mm) == (gear == 1.0)


def test_a_measured_job_reads_back_with_its_correction(made: Plan) -> None:
    """Whoever takes the job as measured elsewhere draws the same slices."""
    again = job_from_text(job_text(made.job))
    assert again == made.job
    assert again.laser.slice_wide_share == pytest.approx(1.01)
    assert again.machine == ""


def test_the_dots_of_a_picture_are_drawn_for_the_machine_too(made: Plan) -> None:
    """A slice's own borders, sent through the machine that needs the correction, land on the seams; and back again."""
    stance = stance_of(made)
    band, index = (made.layout.artwork_from_mm + 2, made.layout.artwork_to_mm - 2), made.split.index_angle_rad
    open_ = borders(stance, *band, index, 0.0, made.job.laser)
    y = np.linspace(-20, 20, 9)
    stand = machine_of(made).stand
    for side, x in zip((-0.5, 0.5), open_(y), strict=True):
        assert landing(stand, x, y).angle_rad == pytest.approx(side * index, abs=0.002 / 40)
    x, back = drawn_places(made.job.laser, open_(y)[0], y)
    assert planned_places(made.job.laser, x, back)[0] == pytest.approx(open_(y)[0])


STRAIGHT = JOB.model_copy(
    update={
        "item": Item(
            name=JOB.item.name, measurements=(Measurement(at_mm=0, across_mm=79), Measurement(at_mm=150, across_mm=79))
        ),
        "turning": CHUCK.model_copy(update={"gear_ratio": 30.0}),
    }
)


def flat_on(job: Job, says: MachineRecord | None, folder: Path, judged: Job | None = None) -> tuple[Plan, Forecast]:
    """Flat artwork drawn for what a machine says, judged on that machine or on another one."""
    made, (path, *_) = flat_file(plan(corrected(job, says) if says else job, draws=0), BAR, folder)
    judge = made if judged is None else made.model_copy(update={"job": judged})
    return made, simulation_of_files(judge, path, BAR, draws=0)


def test_flat_artwork_is_drawn_for_the_machine_as_measured(tmp_path: Path) -> None:
    """Wider by 1 % with all its columns, and higher as the field needs it: the seams shut and the artwork lands in
    place, by rays. Drawn as for a true field it would open by 1 % of a column."""
    field = [{"kind": "field", "axis": axis, "drawn_mm": 140.0, "measured_mm": 138.6} for axis in "xy"]
    machine = MachineRecord(
        name="b", readings=tuple(reading_from_data({"at": datetime(2026, 5, 1, tzinfo=UTC), **f}) for f in field)
    )
    made, found = flat_on(STRAIGHT, machine, tmp_path / "measured")
    assert made.job.laser.slice_wide_share == pytest.approx(1.01, abs=0.001)
    assert made.job.laser.slice_high_share == pytest.approx(1.01, abs=0.001)
    assert max(found.seam_open_mm, found.seam_double_mm) < 0.003
    assert found.placement_mm is not None
    assert found.placement_mm < 0.02
    typed = STRAIGHT.tolerances.model_copy(update={"slice_width_mm": made.split.slice_width_mm})
    believed, _ = flat_on(STRAIGHT.model_copy(update={"tolerances": typed}), None, tmp_path / "believed")
    # Both columns are typed in whole micrometres, to one of them.
    wider = made.split.file_slice_mm / believed.split.file_slice_mm
    assert wider == pytest.approx(made.job.laser.slice_wide_share, abs=0.002 / believed.split.file_slice_mm)
    head = STRAIGHT.laser.model_copy(update={"slice_wide_share": made.job.laser.slice_wide_share})
    _, off = flat_on(
        STRAIGHT.model_copy(update={"tolerances": typed}),
        None,
        tmp_path / "off",
        STRAIGHT.model_copy(update={"laser": head}),
    )
    assert off.seam_open_mm == pytest.approx(0.01 * made.split.slice_width_mm, rel=0.2)


def test_the_stair_that_flat_artwork_keeps_is_told_and_weighed(tmp_path: Path) -> None:
    """An axis askew can't be drawn away without columns of their own: the plan counts the stair, and by itself takes
    the sheet, or narrower columns, for it."""
    says = strip_says(0.01, 0.006)
    made, _ = flat_on(STRAIGHT, says, tmp_path)
    assert made.split.seam_offset_mm >= made.split.slice_width_mm * 0.006
    assert made.split.seam_offset_mm <= made.job.tolerances.seam_mm * 1.001
    limit = next(one for one in made.split.limits if one.id == "skew_plain")
    assert limit.met
    # A stair grows with the width: what a sheet keeps of it, and the tangent of the skew on top.
    sheet = next(one for one in made.split.limits if one.id == "skew_offset")
    assert limit.widest_mm is not None
    assert sheet.widest_mm is not None
    tolerance = made.job.tolerances.seam_mm
    assert limit.widest_mm * (0.006 + tolerance / sheet.widest_mm) == pytest.approx(tolerance, rel=0.01)
    wide = STRAIGHT.tolerances.model_copy(update={"slice_width_mm": 8.0, "method": "flat"})
    forced = plan(corrected(STRAIGHT.model_copy(update={"tolerances": wide}), says), draws=0)
    assert any("too wide for crooked axis, flat files" in note for note in notes(forced.split))


def test_the_flats_of_a_faceted_item_take_the_whole_correction(tmp_path: Path) -> None:
    """Each flat has a column of its own, so the flat export is turned there too; by rays onto the true prism the ink
    lands where it belongs on the machine as measured."""
    nut = Item(name=JOB.item.name, flats=6, across_flats_mm=30.0, length_mm=20.0, measurements=())
    art = Artwork(width_mm=12.0, height_mm=10.0, centre_mm=10.0)
    drive = Chuck(controller_field="degrees", gear_ratio=3.0, axis_height_mm=90.0)
    job = JOB.model_copy(update={"item": nut, "artwork": art, "turning": drive})
    made = plan(corrected(job, strip_says(0.01, 0.006)), draws=0)
    ink = rings_from_list([[(-5, -4), (5, -4), (5, 4), (-5, 4)]])
    made, (path, *_) = flat_file(made, ink, tmp_path)
    found = simulation_of_files(made, path, ink, draws=0)
    assert found.flats == 6
    assert found.placement_mm is not None
    assert found.placement_mm < 0.01
    untrue = made.job.laser.model_copy(update={"slice_turn_rad": 0.0})
    off = simulation_of_files(
        made.model_copy(update={"job": made.job.model_copy(update={"laser": untrue})}), path, ink, draws=0
    )
    assert off.placement_mm == pytest.approx(5 * 0.006, rel=0.35)
