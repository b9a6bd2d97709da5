"""Files of a stopped job, drawn for the item as it sits now."""

import math

import numpy as np
import pytest

from rotary.artwork.rings import joined, rings_from_list
from rotary.errors import NoPlan
from rotary.job import job_from_file
from rotary.machine.correct import NO_CORRECTION
from rotary.machine.papers import resume_paper
from rotary.machine.resume import TickReadings, remainder, remaining_files
from rotary.papers.text import text_lines
from rotary.plan import plan
from rotary.sheet.reread import drawing_from_text
from rotary.shipped import examples
from tests.sheet.test_sheet import block


def test_what_is_left_is_drawn_as_askew_as_the_item_now_sits() -> None:
    """The rim found 0.1 mm to the right, the base to the left: an edge along the axis is drawn with its rim right."""
    made = plan(job_from_file(examples()["regatta-bottle"]), draws=0)
    found = remainder(made, TickReadings(foot_right_mm=-0.1, rim_right_mm=0.1))
    assert found.skew_rad > 0.0005
    sheets = [
        remaining_files(made, block(60, 50), left, NO_CORRECTION)
        for left in (found, remainder(made, TickReadings(foot_right_mm=0.0, rim_right_mm=0.0)))
    ]
    name = sorted(sheets[0])[made.split.slices // 2]
    askew, straight = (joined(drawing_from_text(files[name]).parts.values()).points_mm for files in sheets)
    low, high = np.min(straight[:, 1]), np.max(straight[:, 1])

    def right_mm(points: np.ndarray, at: float) -> float:
        return float(points[np.abs(points[:, 1] - at) < 0.1 * (high - low)][:, 0].max())

    leans = [right_mm(points, high) - right_mm(points, low) for points in (askew, straight)]
    assert leans[0] - leans[1] == pytest.approx(found.skew_rad * (high - low), rel=0.3)


def test_a_flat_file_turns_for_an_item_askew_as_a_sliced_one_does() -> None:
    """On a cylinder both draw a slice alike: turned by as much, to the same side, about the slice's own middle."""
    job = job_from_file(examples()["oar-ferrule"])
    left = remainder(plan(job, draws=0), TickReadings(foot_right_mm=-0.1, rim_right_mm=0.1))
    assert left.skew_rad > 0.005
    found = {}
    for method in ("sliced", "flat"):
        asked = job.model_copy(update={"tolerances": job.tolerances.model_copy(update={"method": method})})
        made = plan(asked, draws=0)
        wide, high = made.job.artwork.width_mm / 2, made.job.artwork.height_mm / 2
        bar = rings_from_list([[(-wide, 0.6 * high), (wide, 0.6 * high), (wide, high), (-wide, high)]])
        files = remaining_files(made, bar, left, NO_CORRECTION)
        middle = files[sorted(files)[len(files) // 2]]
        ink = joined(drawing_from_text(middle).parts.values())
        low = ink.points_mm[ink.points_mm[:, 1] < (ink.points_mm[:, 1].max() + ink.points_mm[:, 1].min()) / 2]
        found[method] = np.polyfit(low[:, 0], low[:, 1], 1)[0]
    assert found["flat"] == pytest.approx(-left.skew_rad, rel=0.02)
    assert found["flat"] == pytest.approx(found["sliced"], rel=0.05)


def test_a_flat_slice_that_reaches_into_the_next_one_is_refused_once_that_shows() -> None:
    """Turned by d, a bar across the slice at height y reaches y sin d into the next place, and lands S sin d too far
    along there: let be while that is within the accepted seam. White beside the ink makes room for any turn."""
    job = job_from_file(examples()["oar-ferrule"])
    made = plan(job.model_copy(update={"tolerances": job.tolerances.model_copy(update={"method": "flat"})}), draws=0)
    wide, high = made.job.artwork.width_mm / 2, made.job.artwork.height_mm / 2
    slice_mm, accepted_mm = made.split.flat_slice_mm, made.job.tolerances.accepted_seam_mm
    bar = rings_from_list([[(-wide, 0.6 * high), (wide, 0.6 * high), (wide, high), (-wide, high)]])
    dot = rings_from_list([[(-0.2, -0.2), (0.2, -0.2), (0.2, 0.2), (-0.2, 0.2)]])
    left = remainder(made, TickReadings(foot_right_mm=0, rim_right_mm=0))
    for share, shows in ((0.95, False), (1.05, True), (-0.95, False), (-1.05, True)):
        askew = left.model_copy(update={"skew_rad": math.asin(share * accepted_mm / slice_mm)})
        if shows:
            with pytest.raises(NoPlan, match=f"come out {abs(share) * accepted_mm:.2g} mm off"):
                remaining_files(made, bar, askew, NO_CORRECTION)
        else:
            assert remaining_files(made, bar, askew, NO_CORRECTION)
        assert remaining_files(made, dot, askew, NO_CORRECTION)


@pytest.mark.parametrize(("up_mm", "to", "back"), [(0.3, "rim", "base"), (-0.3, "base", "rim")])
def test_the_drawing_follows_an_item_along_its_axis_and_the_rotary_brings_it_back(
    up_mm: float, to: str, back: str
) -> None:
    """Moving the rotary the way that the item went would double what is off."""
    ticks = TickReadings(foot_right_mm=0.0, rim_right_mm=0.0, foot_up_mm=up_mm, rim_up_mm=up_mm)
    says = f"Move the drawing 0.30 mm towards the {to} in your program, or move the rotary as far towards the {back}."
    assert says in remainder(plan(job_from_file(examples()["regatta-bottle"]), draws=0), ticks).steps


def test_a_coating_without_a_power_still_has_its_sheet() -> None:
    """Where no passes are offered there is no ladder to name a power of: the sheet says what stops the job."""
    job = job_from_file(examples()["regatta-bottle"])
    item = job.item.model_copy(update={"coating": "fluoropolymer-nonstick"})
    refused = plan(job.model_copy(update={"item": item}), draws=0)
    assert refused.removal.setting is None
    left = remainder(refused, TickReadings(foot_right_mm=0.0, rim_right_mm=0.0))
    told = " ".join(text_lines(resume_paper(refused, left)))
    assert "Do not mark this coating (" in told
    assert "Power: type" not in told
