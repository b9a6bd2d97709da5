"""A picture's first slice alone and all others: dot by dot the whole, and the page that the whole has."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from rotary.artwork.rings import area_mm2
from rotary.exports import raster_sheet
from rotary.plan import Plan
from rotary.services.simulation import machine_of
from rotary.sheet.dots_reread import drawing_from_dots
from rotary.simulate.controller import columns
from rotary.simulate.description import description
from tests.exports.test_raster_sheet import FINE, PLANS, picture


def marked(path: Path) -> np.ndarray:
    with Image.open(path) as image:
        return np.asarray(image.convert("L")) < 128


def inked(made: Plan, path: Path) -> set[int]:
    """Columns in which a marking program finds dots; less than half a dot of a neighbour's is none."""
    machine, drawing = machine_of(made), drawing_from_dots(path)
    found = columns(
        drawing, made.split.column_mm, machine.asked_steps, machine.rounding, "centre", machine.rad_per_step
    )  # fmt: skip
    return {number for number, column in enumerate(found, 1) if area_mm2(column.rings) > 1e-9}


@pytest.mark.slow
@pytest.mark.parametrize("name", ["regatta-bottle", "boathouse-mug"])
def test_the_two_parts_are_the_whole_dot_by_dot(name: str, tmp_path: Path) -> None:
    """The largest disc's slice stands alone; nothing stands in both, and all three have one size and one set-up."""
    made = PLANS[name]
    spots = [(12.0 + 0.3 * k, 0.5 * k) for k in range(-6, 7)]
    drawn, paths = raster_sheet(made, picture(tmp_path / "a.png", made, (-15, 5), *spots), tmp_path / "out", FINE)
    assert drawn.first is not None
    whole, first, rest = (tmp_path / "out" / name for name in (drawn.first.whole, drawn.first.file, drawn.first.rest))
    assert set(paths) == {whole, first, rest}
    a, b, both = marked(first), marked(rest), marked(whole)
    assert a.shape == b.shape == both.shape
    assert not (a & b).any()
    assert np.array_equal(a | b, both)
    assert a.any()
    assert b.any()
    assert description(drawing_from_dots(first), 0.1) == description(drawing_from_dots(rest), 0.1)
    assert any(drawn.first.file in line for line in drawn.must_show)
    if drawn.method == "sheet":
        # White wedges part the columns of a sheet, so no dot lies across a cut.
        assert inked(made, first) == {drawn.first.number}
        assert inked(made, first) | inked(made, rest) == inked(made, whole)
        assert not inked(made, first) & inked(made, rest)


def test_with_a_file_a_slice_the_fullest_is_named(tmp_path: Path) -> None:
    """Nothing is written twice, and the one with most dots is the first."""
    made = PLANS["regatta-bottle"]
    source = picture(tmp_path / "a.png", made, (-9, 5), (20, 2), (20.2, -3), (20, 8))
    wish = FINE.model_copy(update={"arrangement": "a-file-a-slice"})
    drawn, paths = raster_sheet(made, source, tmp_path / "out", wish)
    assert drawn.first is not None
    counts = {path.name: int(marked(path).sum()) for path in paths}
    assert drawn.first.file == max(counts, key=counts.__getitem__)
    assert all("-first" not in name for name in counts)


def test_bare_metal_has_no_parts(tmp_path: Path) -> None:
    """Its passes are typed as planned."""
    made = PLANS["domed-nut"]
    drawn, paths = raster_sheet(made, picture(tmp_path / "a.png", made, (0, 0)), tmp_path / "out", FINE)
    assert (len(paths), drawn.first) == (1, None)
