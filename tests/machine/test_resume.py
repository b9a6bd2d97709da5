"""Files of a stopped job, drawn for the item as it sits now."""

import numpy as np
import pytest

from rotary.artwork.rings import joined
from rotary.job import job_from_file
from rotary.machine.correct import NO_CORRECTION
from rotary.machine.resume import TickReadings, remainder, remaining_files
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
