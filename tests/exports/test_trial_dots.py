"""First, second and rest of a picture: dot by dot the whole, and the page that the whole has."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from rotary.artwork.rings import area_mm2
from rotary.exports import raster_sheet
from rotary.exports.trial import TrialPages, slice_of_columns
from rotary.plan import Plan
from rotary.services.simulation import machine_of, simulation_of_files
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
        drawing, made.split.file_slice_mm, machine.asked_steps, machine.rounding, "centre", machine.rad_per_step
    )  # fmt: skip
    return {number for number, column in enumerate(found, 1) if area_mm2(column.rings) > 1e-9}


@pytest.mark.slow
@pytest.mark.parametrize("name", ["regatta-bottle", "boathouse-mug"])
def test_the_parts_are_the_whole_dot_by_dot(name: str, tmp_path: Path) -> None:
    """The fullest slices stand alone; nothing stands in two files, and all have one size and one set-up."""
    made = PLANS[name]
    spots = [(12.0 + 0.3 * k, 0.5 * k) for k in range(-6, 7)]
    drawn, paths = raster_sheet(made, picture(tmp_path / "a.png", made, (-15, 5), *spots), tmp_path / "out", FINE)
    assert drawn.trial is not None
    files = drawn.trial
    assert [path.name for path in paths] == [files.whole, *files.parts]
    stem = "a" if drawn.method == "sliced" else "a-flat"
    assert files.parts == tuple(f"{stem}-{part}.png" for part in ("first", "second", "rest"))
    whole, *parts = (marked(path) for path in paths)
    assert {part.shape for part in parts} == {whole.shape}
    assert np.array_equal(sum(part.astype(int) for part in parts), whole)
    assert all(part.any() for part in parts)
    assert len({description(drawing_from_dots(path), 0.1)._replace(part=False) for path in paths}) == 1
    if drawn.method == "sliced":
        # White wedges part the columns of a sheet, so no dot lies across a cut.
        assert [inked(made, path) for path in paths[1:3]] == [{files.first_number}, {files.second_number}]
        assert set.union(*(inked(made, path) for path in paths[1:])) == inked(made, paths[0])
        assert not inked(made, paths[3]) & {files.first_number, files.second_number}
        assert simulation_of_files(made, paths[2], None, 0).part == (files.second_number,)
        assert simulation_of_files(made, paths[0], None, 0).part == ()
        found = simulation_of_files(made, tmp_path / "out", None, 0)
        paths[0].rename(tmp_path / "out" / "a-raster.png")  # as it was once called
        assert simulation_of_files(made, tmp_path / "out", None, 0) == found


def test_dots_beyond_the_outermost_columns_are_theirs() -> None:
    """A page may reach a little past its columns: what is marked there is in a part as well."""
    page = np.zeros((2, 13), np.uint8)
    page[0, [0, 6, 12]] = 255
    slice_of = slice_of_columns(np.arange(13) - 6.0, [-3.0, 0.0, 3.0], 3.0)
    pages = TrialPages(["a-sliced.png"], [255.0, 255.0, 255.0], None, page, slice_of)
    assert np.array_equal(sum(part.astype(int) for _, part in pages.parts().values()), page)
    assert list(pages.parts()) == ["a-first.png", "a-second.png", "a-rest.png"]


def test_with_a_file_a_slice_the_fullest_two_are_named(tmp_path: Path) -> None:
    """Nothing is written twice, and the ones with most dots are first and second."""
    made = PLANS["regatta-bottle"]
    source = picture(tmp_path / "a.png", made, (-9, 5), (20, 2), (20.2, -3), (20, 8), (-9, -4))
    wish = FINE.model_copy(update={"arrangement": "a-file-a-slice"})
    drawn, paths = raster_sheet(made, source, tmp_path / "out", wish)
    assert drawn.trial is not None
    counts = {path.name: int(marked(path).sum()) for path in paths}
    assert [drawn.trial.first, drawn.trial.second] == sorted(counts, key=counts.__getitem__)[:-3:-1]
    assert (drawn.trial.slices, drawn.trial.parts) == (made.split.slices, ())


def test_bare_metal_has_no_parts(tmp_path: Path) -> None:
    """Its passes are typed as planned."""
    made = PLANS["domed-nut"]
    drawn, paths = raster_sheet(made, picture(tmp_path / "a.png", made, (0, 0)), tmp_path / "out", FINE)
    assert (len(paths), drawn.trial) == (1, None)
