"""A sheet of dots sent through the machine as it lies on the disk."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from rotary.errors import FileTrouble
from rotary.exports import RasterWish, raster_sheet
from rotary.formulas.maps import MAPS
from rotary.item import fitted_shape
from rotary.services.simulation import forecast_picture, simulation, simulation_of_files
from rotary.sheet.dots_reread import drawing_from_dots, rectangles
from tests.exports.test_raster_sheet import FINE, PLANS, picture


@pytest.mark.slow
@pytest.mark.parametrize("arrangement", ["one-sheet", "a-file-a-slice"])
@pytest.mark.parametrize("name", ["regatta-bottle", "bellied-flask", "boathouse-mug"])
def test_dots_land_where_the_map_lays_the_picture(name: str, arrangement: str, tmp_path: Path) -> None:
    """What the simulation reads from the files, by their own words, lies on the item where the surface map has it."""
    made = PLANS[name]
    art, shape = made.job.artwork, fitted_shape(made.job.item)
    u, v = 0.3 * art.width_mm, -0.35 * art.height_mm
    wish = FINE.model_copy(update={"arrangement": arrangement})
    drawn, paths = raster_sheet(made, picture(tmp_path / "a.png", made, (u, v)), tmp_path / "out", wish)
    found = simulation(made, tmp_path / "out" if "slice" in paths[0].name else paths[0], None, 0)
    s, theta = MAPS[art.surface_map][0](shape.curve, made.layout.centre_mm, u, v)
    middle = (float(found.marks.s_mm.min() + found.marks.s_mm.max()) / 2, float(np.median(found.marks.angle_rad)))
    assert middle[0] == pytest.approx(float(s), abs=0.06)
    assert (middle[1] - art.centre_angle_rad) * made.layout.reference_radius_mm == pytest.approx(
        float(theta) * made.layout.reference_radius_mm, abs=0.5
    )
    assert found.forecast.missed_points == 0
    assert {row.columns for row in found.forecast.rules} == {found.forecast.columns}
    assert drawn.method == "flat" or found.forecast.columns == drawn.columns
    assert any("half a dot" in says for says in found.forecast.says)


@pytest.mark.slow
def test_zones_of_dots_are_foretold_together(tmp_path: Path) -> None:
    """A folder with a picture's zones shows all of it, each zone by its own focal plane; one file a slice as well."""
    from tests.sheet.test_sheet import planned

    made = planned(
        item={"name": "steep", "measurements": [{"at_mm": 0, "across_mm": 80.0}, {"at_mm": 60, "across_mm": 60.0}]},
        turning={"levelled": False},
        artwork={"width_mm": 30.0, "height_mm": 20.0, "centre_mm": 30.0},
    )
    source = tmp_path / "grey.png"
    Image.fromarray(np.tile(np.linspace(40, 220, 300).astype(np.uint8), (200, 1))).save(source)
    heights = []
    for arrangement in ("one-sheet", "a-file-a-slice"):
        folder = tmp_path / arrangement
        wish = RasterWish.model_validate({"mark": "lighter", "arrangement": arrangement})
        _, paths = raster_sheet(made, source, folder, wish)
        assert len(paths) > 1
        found = forecast_picture(made, folder, tmp_path / "seen.svg", None, 0)
        assert found.missed_points == 0
        assert found.fluence_high / found.fluence_low < 1.5
        heights.append(float(np.ptp(simulation(made, folder, None, 0).marks.s_mm)))
    assert heights == pytest.approx([20.0, 20.0], abs=0.8)


def test_rectangles_cover_what_is_marked() -> None:
    """Painted again, the rectangles of any page are the page; no dot is covered twice."""
    random = np.random.default_rng(7)
    for share in (0.02, 0.5, 0.97):
        page = np.repeat(random.random((40, 60)) < share, 2, axis=0)
        again = np.zeros(page.shape, int)
        for left, top, right, bottom in rectangles(page).tolist():
            again[top:bottom, left:right] += 1
        assert (again == page).all()


@pytest.mark.slow
def test_other_pictures_are_refused(tmp_path: Path) -> None:
    """A PNG of another hand, one cut off, one that is none, one without a mark: a sentence each."""
    other, cut, none = tmp_path / "other.png", tmp_path / "cut.png", tmp_path / "none.png"
    Image.new("L", (50, 40), 0).save(other)
    made = PLANS["regatta-bottle"]
    _, (path, *_) = raster_sheet(made, picture(tmp_path / "a.png", made, (0.0, 0.0)), tmp_path / "out", FINE)
    cut.write_bytes(path.read_bytes()[:-60])
    none.write_bytes(b"no picture")
    for file, says in ((other, "not a picture that rotary wrote"), (cut, "cut off"), (none, "cut off, or not a PNG")):
        with pytest.raises(FileTrouble, match=says):
            simulation_of_files(made, file, None, 0)
    with pytest.raises(FileTrouble, match="No such file"):
        drawing_from_dots(tmp_path / "missing.png")
