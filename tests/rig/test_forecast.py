"""A sheet drawn for a measured machine, judged against that machine: by rays that know none of the correction."""

from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from rotary.artwork.rings import rings_from_list
from rotary.drive import Chuck
from rotary.exports.dots import borders
from rotary.item import body
from rotary.job import job_from_file, job_from_text, job_text
from rotary.plan import Plan, plan
from rotary.rig.correct import corrected
from rotary.rig.readings import StripResult
from rotary.rig.record import Rig
from rotary.sheet import SheetWish, stance_of
from rotary.sheet.drawn import drawn_places, planned_places
from rotary.shipped import examples
from rotary.simulate.rays import landing
from rotary.written import machine_of, slice_sheet, what_will_happen

BAR = rings_from_list([[(-38, -28), (38, -28), (38, 28), (-38, 28)]])
JOB = job_from_file(examples()["regatta-bottle"])


def strip_says(scale: float, turn: float = 0.0) -> Rig:
    found = StripResult(
        at=datetime(2026, 5, 1, tzinfo=UTC), item=JOB.item.name, scale_share=scale, u_scale_share=0.0004,
        turn_rad=turn, u_turn_rad=0.0004, u_focus_mm=0.2,
    )  # fmt: skip
    return Rig(name="boathouse", readings=(found,))


@pytest.fixture(scope="module")
def made() -> Plan:
    return plan(corrected(JOB, strip_says(0.01, 0.006)), draws=0)


def test_a_corrected_sheet_is_judged_against_the_corrected_machine(made: Plan, tmp_path: Path) -> None:
    """Drawn 1 % wider and turned, on the machine that needs it: the joints shut, and the artwork lies in place."""
    path = slice_sheet(made, BAR, tmp_path)[1][0]
    found = what_will_happen(made, path, BAR, draws=100)
    assert max(found.joint_open_mm, found.joint_double_mm) < 0.003
    assert found.placement_mm is not None
    assert found.placement_mm < 0.05


def test_a_sheet_drawn_before_the_strip_opens_on_that_machine(made: Plan, tmp_path: Path) -> None:
    """The same sheet without the correction leaves what the strip has shown: 1 % of a slice."""
    head = made.job.head.model_copy(update={"slice_wide_share": 1.0, "slice_turn_rad": 0.0})
    before = made.model_copy(update={"job": made.job.model_copy(update={"head": head})})
    path = slice_sheet(before, BAR, tmp_path)[1][0]
    found = what_will_happen(made, path, BAR, draws=0)
    assert found.joint_open_mm == pytest.approx(0.01 * made.split.slice_width_mm, rel=0.2)


def test_what_is_left_over_is_what_the_strip_could_not_tell(tmp_path: Path) -> None:
    """The 95 % of the forecast follows the strip's own uncertainty, not what was believed before it."""
    loose = plan(JOB, draws=0)
    width = loose.split.slice_width_mm
    told = JOB.tolerances.model_copy(update={"slice_width_mm": width})
    job = JOB.model_copy(update={"tolerances": told})
    after = plan(corrected(job, strip_says(0.01)), draws=0)
    spread = []
    for plans in (loose, after):
        folder = tmp_path / str(len(spread))
        path = slice_sheet(plans, BAR, folder)[1][0]
        spread.append(what_will_happen(plans, path, BAR, draws=200).joint_95_mm)
    assert spread[1] < spread[0]


CHUCK = Chuck(axis_height_mm=90.0, levelled=True)


@pytest.mark.parametrize("gear", [1.0, 6.0, 30.0])
def test_the_joint_error_of_the_plan_is_that_of_draws_by_rays(gear: float, tmp_path: Path) -> None:
    """Whether the motor's stops are all of it, half, or next to nothing: the 95 % of two thousand rigs, sent through
    rays and divided by the card's numbers, are those that the plan says, within 8 %. A mark of some width ends before
    the joint, where the head's errors are less: the plan counts them at the joint and is never short."""
    made = plan(JOB.model_copy(update={"drive": CHUCK.model_copy(update={"gear_ratio": gear})}), draws=0)
    path = slice_sheet(made, BAR, tmp_path / "thin", SheetWish(marked_width_mm=0.001, overlap_mm=0.0))[1][0]
    found = what_will_happen(made, path, BAR, draws=2000)
    assert found.joint_95_mm / made.split.joint_95_mm == pytest.approx(1.0, abs=0.08)
    path = slice_sheet(made, BAR, tmp_path / "wide")[1][0]
    assert what_will_happen(made, path, BAR, draws=2000).joint_95_mm < 1.03 * made.split.joint_95_mm
    motor = made.turning.motor_error_mm
    assert (1.6 * motor > 0.9 * made.split.joint_95_mm) == (gear == 1.0)


def test_a_measured_job_reads_back_with_its_correction(made: Plan) -> None:
    """Whoever takes the job as measured elsewhere draws the same slices."""
    again = job_from_text(job_text(made.job))
    assert again == made.job
    assert again.head.slice_wide_share == pytest.approx(1.01)
    assert again.rig == ""


def test_the_dots_of_a_picture_are_drawn_for_the_machine_too(made: Plan) -> None:
    """A slice's own borders, sent through the machine that needs the correction, land on the joints; and back again."""
    stance = stance_of(body(made.job.item), made.job.head, made.optics, made.layout, made.focus)
    band, index = (made.layout.band_from_mm + 2, made.layout.band_to_mm - 2), made.split.index_angle_rad
    open_ = borders(stance, *band, index, 0.0, made.job.head)
    y = np.linspace(-20, 20, 9)
    stand = machine_of(made).stand
    for side, x in zip((-0.5, 0.5), open_(y), strict=True):
        assert landing(stand, x, y).angle_rad == pytest.approx(side * index, abs=0.002 / 40)
    x, back = drawn_places(made.job.head, open_(y)[0], y)
    assert planned_places(made.job.head, x, back)[0] == pytest.approx(open_(y)[0])
