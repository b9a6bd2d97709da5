"""The wrap template, cut out and bent round the item by a person in plain geometry, as its words say.

Paper is a sector between two circles, or a strip: bent until its ends meet, each point comes to a height and an angle.
Only the drawing and what is printed on it are used; the item is measured with the person's own calipers.
"""

import math
import re
from pathlib import Path
from typing import Any, Final, NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from rotary.cli import main
from rotary.job import job_text
from tests.actions.cases import CHUCK
from tests.machine.test_literal_resume import job_of

Floats = NDArray[np.float64]

LONG_MM: Final = 120.0
SHAPES: Final = {"drum": (80.0, 80.0), "narrows": (88.0, 70.0), "widens": (60.0, 84.0), "steep": (90.0, 40.0)}
HIGH_MM, WIDE_MM, TALL_MM = 45.0, 40.0, 24.0


class Wrapped(NamedTuple):
    """Where the paper's points come to lie: angle to the right of the centre line with the rim up, mm above the paper's
    lower edge along the axis."""

    lines: dict[str, list[Floats]]
    text: str


def circle(points: Floats) -> tuple[Floats, float]:
    """Centre and radius of an arc, by least squares."""
    a = np.column_stack([2 * points, np.ones(len(points))])
    (x, y, c), *_ = np.linalg.lstsq(a, (points**2).sum(axis=1), rcond=None)
    return np.array([x, y]), math.sqrt(c + x * x + y * y)


def bent(path: Path) -> Wrapped:
    text = path.read_text("utf-8")
    flat: dict[str, list[Floats]] = {}
    for kind, data in re.findall(r'<path class="([\w-]+)"[^>]* d="([^"]*)"', text):
        numbers = np.array(re.findall(r"-?[\d.]+", data), float).reshape(-1, 2) / 1000
        flat.setdefault(kind, []).append(numbers * [1, -1])
    arcs = sorted((one for one in flat["cut"] if len(one) > 2), key=lambda one: float(one[:, 1].mean()))
    low, high = arcs
    sides = [one for one in flat["cut"] if len(one) == 2]
    if np.ptp(low[:, 1]) < 1e-3:
        # A strip: its ends meet after its whole length.
        (left, right) = sorted(float(one[:, 0].mean()) for one in sides)
        middle = float(flat["centre"][0][:, 0].mean())
        place = lambda p: np.stack([(p[:, 0] - middle) / (right - left) * 360, p[:, 1] - low[0, 1]], axis=1)  # noqa: E731
    else:
        apex, outer = circle(low)
        above, _ = circle(high)
        assert np.hypot(*(apex - above)) < 0.05
        up = math.copysign(1.0, float(apex[1] - low[:, 1].mean()))

        def turned(p: Floats) -> Floats:
            # Anticlockwise about an apex that lies above is to the right, clockwise about one below.
            return np.asarray(np.arctan2(p[:, 0] - apex[0], up * (apex[1] - p[:, 1])))

        ends = [float(np.median(turned(one))) for one in sides]
        sine = abs(ends[1] - ends[0]) / (2 * math.pi)
        zero = float(np.median(turned(flat["centre"][0])))
        cosine = math.sqrt(1 - sine * sine)

        def place(p: Floats) -> Floats:
            along = up * (outer - np.hypot(*(p - apex).T)) * cosine
            return np.stack([np.degrees((turned(p) - zero) / sine), along], axis=1)

    return Wrapped({kind: [place(one) for one in many] for kind, many in flat.items()}, text)


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("end", ["base", "rim"])
@pytest.mark.parametrize("shape", SHAPES)
def test_bent_round_the_item_the_frame_lies_where_the_artwork_belongs(
    shape: str, end: Any, size: str, tmp_path: Path
) -> None:
    """Rim up and print outside: 25° to the right of the front, so high from its end, and as wide on the wall as the job
    says; the weld line 60° to the left of the front."""
    low_mm, high_mm = SHAPES[shape]
    data = job_of(CHUCK, "y", "plus", "sliced").model_dump()
    measured = [{"at_mm": 0, "across_mm": low_mm}, {"at_mm": LONG_MM, "across_mm": high_mm}]
    data["item"] |= {"measurements": measured[:: 1 if end == "base" else -1], "heights_from": end, "solid": False}
    if end == "rim":
        data["item"]["measurements"] = [{**one, "at_mm": LONG_MM - one["at_mm"]} for one in measured[::-1]]
    data["item"]["weld_line"] = {"angle_rad": math.radians(-60), "width_mm": 2.0}
    data["artwork"] |= {
        "width_mm": WIDE_MM, "height_mm": TALL_MM, "centre_mm": HIGH_MM, "centre_angle_rad": math.radians(25),
        "surface_map": "true-width",
    }  # fmt: skip
    job = type(job_of(CHUCK, "y", "plus", "sliced")).model_validate(data)
    path = str(tmp_path / "cup.toml")
    Path(path).write_text(job_text(job))
    assert main(["-q", "print", "template", path, "--paper", size, "--to", str(tmp_path / "out")]) == 0
    (file,) = (tmp_path / "out").glob("*.svg")
    found = bent(file)
    covers = r"covers ([\d.]+) to ([\d.]+) mm from the (base|rim): put the rim up and the print outside"
    words = re.search(covers, found.text)
    assert words is not None
    assert words[3] == end
    # The paper's lower edge, with the rim up, from the base.
    edge_mm = float(words[1]) if end == "base" else LONG_MM - float(words[2])
    centre_mm = HIGH_MM if end == "base" else LONG_MM - HIGH_MM
    assert "centre line, 25° to the right of the front" in found.text

    def height(one: Floats) -> float:
        return edge_mm + float(np.median(one[:, 1]))

    assert height(found.lines["level"][0]) == pytest.approx(centre_mm, abs=0.1)
    assert float(np.median(found.lines["front"][0][:, 0])) == pytest.approx(-25, abs=0.05)
    welds = [float(np.median(one[:, 0])) for one in found.lines["weld"]]
    assert sum(welds) / 2 == pytest.approx(-85, abs=0.1)
    (frame,) = found.lines["frame"]
    radius = (low_mm + (high_mm - low_mm) * (edge_mm + frame[:, 1]) / LONG_MM) / 2
    across = np.radians(frame[:, 0]) * radius
    # The paper's own thickness makes arcs a little longer.
    assert across.max() == pytest.approx(WIDE_MM / 2, rel=0.004)
    assert across.min() == pytest.approx(-WIDE_MM / 2, rel=0.004)
    slant = math.hypot(1, (high_mm - low_mm) / 2 / LONG_MM)
    assert np.ptp(frame[:, 1]) * slant == pytest.approx(TALL_MM, abs=0.1)
    assert edge_mm + (frame[:, 1].max() + frame[:, 1].min()) / 2 == pytest.approx(centre_mm, abs=0.1)
