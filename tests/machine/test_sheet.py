"""From beliefs to a corrected slice sheet with one strip, seen on the item by numeric rays."""

from datetime import UTC, datetime
from itertools import pairwise

import numpy as np
import pytest

from rotary.artwork.rings import rings_from_list
from rotary.errors import NoPlan
from rotary.formulas.revolution import radius_mm
from rotary.job import job_from_file
from rotary.machine.correct import NO_CORRECTION, Correction, corrected, corrected_sheet, correction
from rotary.machine.diagnosis import diagnosis, strip_result
from rotary.machine.record import MachineRecord, with_reading
from rotary.machine.strip import seam_strip
from rotary.machine.strip_reading import StripReading, VernierReading
from rotary.plan import plan
from rotary.sheet import stance_of
from rotary.sheet.redraw import command_to_hit_mm
from rotary.sheet.reread import drawing_from_text
from rotary.shipped import examples
from rotary.simulate.controller import columns
from rotary.simulate.rays import RayStand, landing

START = datetime(2026, 5, 1, 9, 30, tzinfo=UTC)
BARS = rings_from_list([[(-38, v), (38, v), (38, v + 2), (-38, v + 2)] for v in (-25.0, -1.0, 23.0)])
CORNERS_MM = 75 + np.array([-25.0, -23.0, -1.0, 1.0, 23.0, 25.0]) / np.hypot(1, 0.06)
JOB = job_from_file(examples()["regatta-bottle"])


def seams_um(how: Correction, machine: MachineRecord, **truth: float) -> tuple[float, float]:
    """Worst gap and stair over the seams of a written sheet, on an item that stands as `truth` says [µm]."""
    made = plan(corrected(JOB, machine), draws=0)
    text = next(iter(corrected_sheet(made, BARS, how).values()))
    assert "drawn by rotary" in text
    inset = float(text.split("ends before its seam by ")[1].split()[0])
    cut = columns(
        drawing_from_text(text),
        made.split.file_slice_mm,
        made.split.steps,
        "each-index",
        "left",
        made.turning.rad_per_step,
    )
    shape, stance = made.shape, stance_of(made)
    stand = RayStand(*stance, **truth)
    gaps, stairs = [], []
    inner = [column for column in cut if abs(column.turned_rad) < 0.8]
    for left, right in pairwise(inner):
        ends = []
        for column, side in ((left, 1), (right, -1)):
            landed = landing(stand, *column.rings.points_mm.T)
            # A bar's own corners: at each of their heights the outermost point on this side.
            near = np.abs(landed.s_mm[:, None] - CORNERS_MM) < 0.6
            assert near.any(axis=0).all()
            outermost = np.argmax(np.where(near, side * landed.angle_rad[:, None], -np.inf), axis=0)
            ends.append((landed.angle_rad[outermost], landed.s_mm[outermost]))
        s = (ends[0][1] + ends[1][1]) / 2
        turn = right.turned_rad - left.turned_rad
        gaps.append(radius_mm(shape.curve, s) * (turn + ends[1][0] - ends[0][0]) - 2 * inset)
        stairs.append(ends[1][1] - ends[0][1])
    return 1000 * float(np.abs(gaps).max()), 1000 * float(np.abs(stairs).max())


def strip_on(machine: MachineRecord, **truth: float) -> MachineRecord:
    """The machine after one strip has been marked, read to whole ticks, and kept."""
    how = correction(JOB, machine)
    strip = seam_strip(corrected(JOB, machine), how)
    stance, index = strip.order.stance, strip.order.index_rad
    rows = []
    for pair in strip.seams:
        for v in strip.verniers:
            read = {}
            for kind, s_mm, sign in (("rising", v.rising_s_mm, 1.0), ("falling", v.falling_s_mm, -1.0)):
                s = np.array([s_mm])
                ends = []
                for side in (0.5, -0.5):
                    x, y = command_to_hit_mm(stance, np.full(1, side * index), s)
                    ends.append(landing(RayStand(*stance, **truth), x * how.scale_across, y))
                gap = float((radius_mm(stance.curve, s) * (index + ends[1].angle_rad - ends[0].angle_rad))[0])
                stair = float((ends[1].s_mm - ends[0].s_mm)[0])
                slope = sign * float(radius_mm(stance.curve, stance.centre_s_mm) / radius_mm(stance.curve, s)[0])
                read[f"{kind}_mm"] = 0.02 * round((stair - slope * gap) / 0.02)
            rows.append(VernierReading(seam=pair, height=v.name, **read))
    found = diagnosis(StripReading(item=JOB.item.name, order="1-2-3", letter="right", verniers=tuple(rows)), strip)
    return with_reading(machine, strip_result(found, JOB.item.name, how, START))


def test_one_strip_takes_a_sheet_from_stripes_to_shut_seams() -> None:
    """A field 1 % wide and an axis half a degree askew: as believed the seams show, after one strip they don't."""
    truth = {"scale_x": 1.01, "skew_rad": 0.008}
    nothing = MachineRecord(name="r")
    before = seams_um(NO_CORRECTION, nothing, **truth)
    machine = strip_on(nothing, **truth)
    after = seams_um(correction(JOB, machine), machine, **truth)
    assert before[0] > 10
    assert before[1] > 9
    assert after[0] < 4
    assert after[1] < 4


def test_a_correct_machine_is_left_alone() -> None:
    """Where nothing is wrong a strip changes less than it can read."""
    machine = strip_on(MachineRecord(name="r"))
    how = correction(JOB, machine)
    assert how.scale_across == pytest.approx(1, abs=4e-4)
    assert how.turn_rad == pytest.approx(0, abs=4e-4)


def test_a_correction_that_does_not_fit_the_columns_is_refused() -> None:
    """Slices that would meet their neighbours in the sheet are refused, with what to write."""
    made = plan(JOB, draws=0)
    with pytest.raises(NoPlan, match="margin"):
        corrected_sheet(made, BARS, NO_CORRECTION.model_copy(update={"turn_rad": 0.05}))
