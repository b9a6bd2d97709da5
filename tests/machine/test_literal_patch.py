"""A test patch on the item, marked to the letter: each cell comes on a bare place, in the beam's focus.

The item is a cone or a prism in plain geometry. The person imports the drawing, moves it and turns the item as the
paper says; nothing of the tool's own geometry is used.
"""

import math
import re
from itertools import combinations, product
from pathlib import Path
from typing import Any, Final

import pytest

from rotary.cli import main
from rotary.job import Job, job_text
from tests.actions.cases import CHUCK, COAT, HEAD, ROLLERS

LONG_MM: Final = 120.0
SAG_MM: Final = 0.3
"""A cell may lie so far under the apex at its edges; and a row so far above another."""
SHAPES: Final = {"drum": (80.0, 80.0), "taper": (84.0, 68.0)}


def cup(shape: str, axis: str, drive: dict[str, Any], **more: Any) -> Job:
    low, high = SHAPES[shape]
    measured = [{"at_mm": 0, "across_mm": low}, {"at_mm": LONG_MM, "across_mm": high}]
    return Job.model_validate({
        "item": {"name": "invented cup", **COAT, "measurements": measured},
        "turning": drive,
        "laser": HEAD | {"field_axis": axis},
        "artwork": {"name": "oars", "width_mm": 50.0, "height_mm": 30.0, "centre_mm": 60.0},
        **more,
    })  # fmt: skip


def printed(job: Job, folder: Path, capsys: pytest.CaptureFixture[str], *more: str) -> tuple[str, dict[int, Any]]:
    """The paper as one line of words, and the cells of the drawing: left, top, width, height by number, y down."""
    path, to = folder / "job.toml", folder / "patch.svg"
    path.write_text(job_text(job))
    words = ["patch", "new", str(path), "--on", "item", "--samples", "100", "--store", str(folder / "s"), *more]
    assert main([*words, "--to", str(to)]) == 0
    text = to.read_text("utf-8")
    cells = {
        int(number): tuple(float(one) for one in box)
        for number, *box in re.findall(
            r'id="cell-(\d+)">.*?<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)"', text
        )
    }
    wide, high = (float(one) for one in re.findall(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', text)[0])
    cells = {n: (x - wide / 2, high / 2 - y - tall, broad, tall) for n, (x, y, broad, tall) in cells.items()}
    return " ".join(capsys.readouterr().out.split()), cells


def laid(paper: str, cells: dict[int, Any], axis: str) -> dict[int, tuple[float, float, float, float, int]]:
    """Each cell where it lands: its middle round the item from its column's, along the item, its sizes, its column."""
    if axis == "x":
        cells = {n: (y, x, tall, broad) for n, (x, y, broad, tall) in cells.items()}
    starts = sorted({across for across, *_ in cells.values()})
    column = "row" if axis == "x" else "column"
    if len(starts) > 1:
        assert f"Mark {column} by {column}: in your program move the drawing until the {column} lies in the" in paper
    else:
        assert "Keep the drawing in the middle of the field." in paper
    out = {}
    for n, (across, along, broad, tall) in cells.items():
        # The column is moved into the middle; with one alone it lies there.
        moved = across - starts[starts.index(across)] if len(starts) > 1 else across + broad / 2
        out[n] = (moved, along + tall / 2, broad, tall, starts.index(across))
    return out


@pytest.mark.parametrize(
    ("shape", "axis", "drive", "slice_mm"), [*product(SHAPES, ("y", "x"), ("chuck", "rollers"), (2.0, 7.0))]
)
def test_each_cell_comes_on_a_bare_place_in_focus(
    shape: str, axis: str, drive: str, slice_mm: float, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Whatever width a slice of the job has: cells of the next column don't touch those of the last one."""
    turning = CHUCK if drive == "chuck" else ROLLERS
    job = cup(shape, axis, turning, tolerances={"slice_width_mm": slice_mm, "focus_mm": 0.5})
    paper, cells = printed(job, tmp_path, capsys)
    places = laid(paper, cells, axis)
    assert len(places) == 9
    low, high = SHAPES[shape]

    def radius(along: float) -> float:
        return (low + (high - low) * (60 + along) / LONG_MM) / 2

    said = re.search(r"turn the item by \d+ motor steps \(([\d.]+)°\), always the same way", paper)
    turn_deg = float(said[1]) if said else 0.0
    assert (said is not None) == (len({column for *_, column in places.values()}) > 1)
    for _, along, broad, _, _ in places.values():
        assert radius(along) * (1 - math.cos(broad / 2 / radius(along))) < SAG_MM
    for one, other in combinations(places.values(), 2):
        apart = math.radians(turn_deg) * abs(one[4] - other[4]) * radius(one[1])
        clear_round = apart - (one[2] + other[2]) / 2
        clear_along = abs(one[1] - other[1]) - (one[3] + other[3]) / 2
        assert max(clear_round, clear_along) > 1.5
        turns_round = 2 * math.pi * radius(one[1]) - apart - (one[2] + other[2]) / 2
        assert turns_round > 1.5
    ends = [along + side * tall / 2 for _, along, _, tall, _ in places.values() for side in (-1, 1)]
    assert f"{max(ends) - min(ends):g} mm along it" in paper
    assert max(ends) - min(ends) <= 30.5
    level = shape == "drum" or drive == "rollers"
    spread = 0.0 if level else abs(radius(min(ends)) - radius(max(ends)))
    assert (f"focus anew for each {'column' if axis == 'x' else 'row'}" in paper) == (spread > SAG_MM)
    assert "Mount the item as its setup sheet says" in paper


@pytest.mark.parametrize("axis", ["y", "x"])
@pytest.mark.parametrize("flats", [4, 6, 8])
def test_each_column_has_a_flat_of_its_own(
    flats: int, axis: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """No cell lies over a corner, and a flat is left for the artwork; where there are too few, that is said."""
    item = {"name": "invented nut", **COAT, "solid": True, "flats": flats, "across_flats_mm": 40.0, "length_mm": 40.0}
    del item["wall_mm"]
    art = {"name": "crest", "width_mm": 10.0, "height_mm": 13.0, "centre_mm": 20.0}
    given = {"item": item, "turning": CHUCK, "laser": HEAD | {"field_axis": axis}, "artwork": art}
    job = Job.model_validate(given)
    room = 2 * (flats - 1)
    if room < 9:
        (tmp_path / "job.toml").write_text(job_text(job))
        words = ["patch", "new", str(tmp_path / "job.toml"), "--on", "item", "--samples", "100"]
        assert main([*words, "--store", str(tmp_path / "s")]) == 3
        assert f"ask for {room} cells, or mark the patch on a flat scrap" in capsys.readouterr().err
    paper, cells = printed(job, tmp_path, capsys, "--cells", str(min(room, 9)))
    places = laid(paper, cells, axis)
    flat_mm = 40.0 * math.tan(math.pi / flats)
    assert len({column for *_, column in places.values()}) < flats
    assert all(broad < flat_mm - 1 for _, _, broad, *_ in places.values())
    assert f"Before the next {'row' if axis == 'x' else 'column'} turn the item to a bare flat." in paper
