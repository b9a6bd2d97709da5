"""The picture of what a written file will do, and slices that its file has no room for."""

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
import shapely

from rotary.errors import NoPlan
from rotary.services.files import slice_sheet
from rotary.services.simulation import forecast_picture
from rotary.sheet import SheetWish, order_of
from rotary.sheet.compose import LEAST_BLANK_MM, composition
from tests.sheet.test_sheet import block, planned


def test_the_picture_shows_the_marks_and_the_seams_that_are_off(tmp_path: Path) -> None:
    """Well-formed, at the size stated, dots black only where a seam is off by a tenth of what is accepted."""
    made = planned()
    _, (path, *_) = slice_sheet(made, block(60, 50), tmp_path)
    will = forecast_picture(made, path, tmp_path / "seen.svg", block(60, 50), draws=0)
    root = ET.parse(tmp_path / "seen.svg").getroot()
    paths = [path.attrib for path in root.iter("{http://www.w3.org/2000/svg}path")]

    def rings(path: dict[str, str]) -> list[list[tuple[float, ...]]]:
        """The rings of a path [mm], downwards."""
        parts = path["d"].removesuffix("z").removeprefix("M").split("zM")
        return [[tuple(float(v) / 1000 for v in p.split()) for p in part.split("L")] for part in parts]

    slices = [path for path in paths if "opacity" in path]
    dots = [path["fill"] for path in paths if "fill" in path and path not in slices]
    assert len(dots) == will.seam_places
    assert len({path["fill"] for path in slices}) == 2
    assert set(dots).isdisjoint({"#000000", "#ffffff"})
    # Every ring is as wide as it is on the wall, and as high as along it; slices end before their seams.
    area = sum(shapely.Polygon(ring).area for path in slices for ring in rings(path))
    words = " ".join("".join(root.itertext()).split())
    assert "Drawn 2 times its size." in words
    assert area == pytest.approx(2**2 * 60 * 50, rel=0.015)
    assert all(word in words for sentence in will.says for word in sentence.split())
    assert "the wall laid flat, rim up" in words
    assert "Black dot: gap." in words
    ((outline,),) = (rings(path) for path in paths[:1])
    (x1, y1), (x2, y2), (x3, y3), (x4, y4) = (outline[k] for k in (0, 121, 60, 61))
    # Below, towards the foot, the bottle is wider, as the outline is.
    assert y1 == y2 > y3 == y4
    assert (x2 - x1) / (x4 - x3) == pytest.approx((44 - 0.06 * 47) / (44 - 0.06 * 103), rel=0.01)
    for share, fill in ((1.01, "#000000"), (0.99, "#ffffff")):
        turned = made.turning.model_copy(update={"rad_per_step": made.turning.rad_per_step * share})
        off = made.model_copy(update={"turning": turned})
        forecast_picture(off, path, tmp_path / "off.svg", block(60, 50), draws=0)
        assert f'fill="{fill}"' in (tmp_path / "off.svg").read_text("utf-8").partition("opacity")[2]


def test_slices_that_would_meet_in_the_file_are_refused() -> None:
    """The widest slice needs its own width and a blank hair beside it: a program may join what touches, and would then
    mark two slices without turning between them. What is missing stands in the refusal."""
    made = planned()
    ink, order = block(60, 50), order_of(SheetWish(), made, 0.05)
    widest = 2 * composition(order, ink).half_width_mm
    assert composition(order._replace(file_slice_mm=widest + 1.001 * LEAST_BLANK_MM), ink).parts
    narrow = widest + 0.999 * LEAST_BLANK_MM
    with pytest.raises(NoPlan, match=f"drawn {widest:.3f} mm wide, too wide for a slice width of {narrow:.3f} mm"):
        composition(order._replace(file_slice_mm=narrow), ink)
