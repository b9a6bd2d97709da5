"""The slice sheet as DXF says what the SVG sheet says."""

from pathlib import Path

import ezdxf
import numpy as np
import pytest

from rotary.artwork.rings import area_mm2, rings_from_list
from rotary.errors import FileTrouble
from rotary.exports import dxf_sheet
from rotary.job import job_from_file
from rotary.plan import Plan, plan
from rotary.services.files import slice_sheet
from rotary.sheet import SheetWish
from rotary.sheet.reread import drawing_from_file
from rotary.shipped import examples

STAR = rings_from_list(
    [[(r * np.cos(a), r * np.sin(a)) for a, r in zip(np.arange(20) * np.pi / 10, [11, 5] * 10, strict=True)]]
)


@pytest.fixture(scope="module")
def made() -> Plan:
    return plan(job_from_file(examples()["regatta-bottle"]), 0)


@pytest.mark.parametrize("arrangement", ["one-sheet", "a-file-a-slice"])
def test_dxf_and_svg_are_one_sheet(arrangement: str, made: Plan, tmp_path: Path) -> None:
    """Layer by layer the same rings as the slices of the SVG, vertex by vertex."""
    wish = SheetWish(arrangement=arrangement)  # type: ignore[arg-type]
    drawn, paths = dxf_sheet(made, STAR, tmp_path / "dxf", wish)
    _, drawings = slice_sheet(made, STAR, tmp_path / "svg", wish)
    assert [path.name for path in paths] == list(drawn.files)
    assert [path.stem for path in paths] == [path.stem for path in drawings]
    inked = 0.0
    for path, drawing in zip(paths, drawings, strict=True):
        space = ezdxf.readfile(path).modelspace()
        for name, rings in drawing_from_file(drawing).parts.items():
            lines = space.query(f'LWPOLYLINE[layer=="{name}"]')
            found = rings_from_list([[(x, y) for x, y, *_ in line.get_points()] for line in lines])
            assert np.array_equal(found.points_mm, rings.points_mm)
            inked += 0.0 if path.stem.endswith(("-first", "-second", "-rest")) else area_mm2(found)
    assert inked == pytest.approx(sum(row.ink_mm2 for row in drawn.rows), rel=1e-3)
    assert {row.file for row in drawn.rows if row.ink_mm2} <= set(drawn.files)
    assert drawn.trial is not None
    assert {drawn.trial.first, drawn.trial.second, *drawn.trial.parts} <= set(drawn.files)
    assert all(Path(file).suffix == ".dxf" for file in (*drawn.trial.parts, drawn.trial.first, drawn.trial.second))


def test_it_is_never_written_over_somebody_elses_drawing(made: Plan, tmp_path: Path) -> None:
    """A DXF that was not made here stays as it is; one that was is replaced."""
    _, paths = dxf_sheet(made, STAR, tmp_path)
    assert dxf_sheet(made, STAR, tmp_path)[1] == paths
    paths[0].write_text("0\nSECTION\n")
    with pytest.raises(FileTrouble, match="may be your own"):
        dxf_sheet(made, STAR, tmp_path)
    assert paths[0].read_text() == "0\nSECTION\n"
