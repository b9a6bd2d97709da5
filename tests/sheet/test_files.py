"""What is written is the same when read back, by this program and by any that reads the standard."""

import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary.artwork.rings import NO_INK, area_mm2, rings_from_list
from rotary.errors import FileTrouble
from rotary.sheet.hatch import fill
from rotary.sheet.reread import drawing_from_file, drawing_from_text
from rotary.sheet.svg import drawing

SQUARE = rings_from_list([[(0, 0), (3, 0), (3, 3), (0, 3)], [(1, 1), (1, 2), (2, 2), (2, 1)]])


def sheet_text(title: str = "Heron", about: str = "said of it") -> str:
    return drawing(20.0, 10.0, {"slice-1": SQUARE, "slice-3": NO_INK}, title, about, ticks=True)


def test_what_was_written_is_read_back_to_the_micrometre() -> None:
    """Page, rings, bounds and description come back as they were given."""
    back = drawing_from_text(sheet_text())
    assert (back.width_mm, back.height_mm) == (20.0, 10.0)
    assert area_mm2(back.parts["slice-1"]) == pytest.approx(8.0)
    assert np.array_equal(np.unique(back.parts["slice-1"].points_mm), [0, 1, 2, 3])
    assert (back.left_mm, back.bottom_mm, back.right_mm, back.top_mm) == (-10.0, -5.0, 10.0, 5.0)
    assert "said of it" in back.about


@given(
    points=st.lists(st.tuples(st.floats(-9.9, 9.9), st.floats(-4.9, 4.9)), min_size=3, max_size=40),
)
@settings(max_examples=50, deadline=None)
def test_no_point_moves_by_more_than_rounding(points: list[tuple[float, float]]) -> None:
    """Every point that was drawn is read back within half a micrometre each way."""
    ring = rings_from_list([points])
    back = drawing_from_text(drawing(20.0, 10.0, {"a": ring}, "t", "a", ticks=True)).parts["a"].points_mm
    for x, y in back.tolist():
        assert np.abs(ring.points_mm - [x, y]).max(axis=1).min() <= 0.0005 + 1e-9


def test_any_program_can_read_it() -> None:
    """It is well-formed XML with whole numbers, a true size in millimetres, and text that can't break it."""
    root = ET.fromstring(sheet_text(title='<&"\x00\x1b]0;', about="a < b & c"))
    assert root.attrib["width"] == "20mm"
    assert root.attrib["viewBox"] == "0 0 20000 10000"
    paths = {p.attrib["id"]: p.attrib["d"] for p in root.iter("{http://www.w3.org/2000/svg}path")}
    assert set(paths) == {"slice-1", "slice-3", "corner-ticks"}
    assert "." not in "".join(paths.values())


@pytest.mark.parametrize("text", ["", "<svg/>", "not svg", "<svg width='10mm'></svg>", sheet_text()[:-20]])
def test_what_was_not_drawn_here_is_refused_in_a_sentence(text: str, tmp_path: Path) -> None:
    """Another program's drawing, a truncated one, an empty file: one sentence that says what to do."""
    path = tmp_path / "other.svg"
    path.write_text(text, "utf-8")
    with pytest.raises(FileTrouble, match="again"):
        drawing_from_file(path)


def test_files_that_are_no_text_or_are_not_there(tmp_path: Path) -> None:
    """Bytes, folders and missing files are sentences, not tracebacks."""
    (tmp_path / "b.svg").write_bytes(b"\xff\xfe\x00")
    for path in (tmp_path / "b.svg", tmp_path / "none.svg", tmp_path):
        with pytest.raises(FileTrouble):
            drawing_from_file(path)


def test_hatch_lines_are_counted_and_measured() -> None:
    """A frame of 3 by 3 around a hole of 1 by 1 takes 80 mm of lines a tenth apart, ten of them in two pieces."""
    takes = fill(SQUARE, 0.1)
    assert takes.length_mm == pytest.approx(80.0)
    assert takes.lines == 30 + 10
    assert takes.travel_mm == pytest.approx(10 * 1.0)
    turn = np.linspace(0, 2 * np.pi, 4000, endpoint=False)
    disc = rings_from_list([np.stack([5 * np.cos(turn), 5 * np.sin(turn)], 1)])
    assert fill(disc, 0.02).length_mm == pytest.approx(np.pi * 25 / 0.02, rel=1e-4)
    # Lines lie in the middle of their row: half of one below the top, and half of one over the base.
    triangle = rings_from_list([[(0, 0), (4, 0), (0, 4)]])
    assert fill(triangle, 1.0).length_mm == pytest.approx(3.5 + 2.5 + 1.5 + 0.5)


def test_points_that_bound_nothing_are_not_written() -> None:
    """Points on a straight run, repeated ones, and spikes that go out and come back are gone; corners are kept."""
    ring = [(0, 0), (1, 0), (1, 0), (2, 0), (2, 3), (2, 1), (2, 2), (0, 2), (0, 5), (0, 2)]
    text = drawing(20.0, 20.0, {"a": rings_from_list([ring])}, "t", "a", ticks=False)
    back = drawing_from_text(text).parts["a"]
    assert sorted(map(tuple, back.points_mm.tolist())) == [(0, 0), (0, 2), (2, 0), (2, 2)]
    flat = rings_from_list([[(0, 0), (3, 0), (1, 0)], [(0, 1), (0.0001, 1), (0.0001, 1.0001)]])
    assert 'd=""' in drawing(20.0, 20.0, {"a": flat}, "t", "a", ticks=True)


@given(seed=st.integers(0, 10_000))
@settings(max_examples=40, deadline=None)
def test_what_is_left_out_changes_no_area(seed: int) -> None:
    """On a coarse grid, where runs and repeats are many, the written rings have the area of the rounded ones."""
    rng = np.random.default_rng(seed)
    points = rng.integers(-4, 5, (int(rng.integers(3, 30)), 2)) / 1000
    ring = rings_from_list([points])
    back = drawing_from_text(drawing(20.0, 20.0, {"a": ring}, "t", "a", ticks=True)).parts["a"]
    assert area_mm2(back) == pytest.approx(area_mm2(ring), abs=1e-12)
