"""DXF: what a library writes comes back with the same area; units, loose lines, doubled lines, damage."""

from collections.abc import Callable
from io import StringIO
from math import pi
from typing import Any

import ezdxf
import numpy as np
import pytest
from scipy.interpolate import BSpline

from rotary.artwork.drawing import DrawingReading
from rotary.artwork.dxf import drawing_from_dxf
from rotary.artwork.read import read_artwork
from rotary.artwork.rings import area_mm2
from rotary.artwork.work import BUDGET, Ledger
from rotary.errors import Refused
from tests.artwork.hostile_more import plain_dxf


def dxf(draw: Callable[[Any], object], unit: int = 4, release: str = "R2010") -> bytes:
    document = ezdxf.new(release, units=unit)
    draw(document.modelspace())
    text = StringIO()
    document.write(text)
    return text.getvalue().encode("utf-8")


def area(draw: Callable[[Any], object], how: DrawingReading = DrawingReading(), **kind: Any) -> float:  # noqa: B008
    return area_mm2(read_artwork(dxf(draw, **kind), how).ink)


def square(space: Any, side: float = 10.0, at: float = 0.0) -> None:
    corners = [(at, at), (at + side, at), (at + side, at + side), (at, at + side)]
    space.add_lwpolyline(corners, close=True)


@pytest.mark.parametrize(
    ("draw", "expected"),
    [
        (square, 100.0),
        (lambda s: s.add_circle((5, 5), 40), pi * 1600),
        (lambda s: s.add_ellipse((0, 0), (20, 0), 0.25), pi * 20 * 5),
        (lambda s: (square(s), square(s, 4.0, 3.0)), 100.0 - 16.0),
        (lambda s: s.add_lwpolyline([(0, 0, 1.0), (10, 0, 1.0)], format="xyb", close=True), pi * 25),
        (lambda s: s.add_polyline2d([(0, 0), (10, 0), (10, 10)], close=True), 50.0),
        (lambda s: s.add_solid([(0, 0), (10, 0), (0, 5), (10, 5)]), 50.0),
        (lambda s: s.add_lwpolyline([(0, 0), (50, 0)], dxfattribs={"const_width": 3.0}), 150.0),
        # A clamped quadratic B-spline of three control points is a parabola: two thirds of its triangle.
        (
            lambda s: (s.add_open_spline([(0, 0), (5, 10), (10, 0)], degree=2), s.add_line((0, 0), (10, 0))),
            2 / 3 * 50.0,
        ),
    ],
)
def test_areas_of_entities_are_those_of_geometry(draw: Callable[[Any], object], expected: float) -> None:
    """Each kind of closed entity encloses what it should, circles to within 2 µm of their radius."""
    assert area(draw) == pytest.approx(expected, rel=1e-3)


def test_a_large_arc_is_true_to_two_micrometres() -> None:
    """At a radius of 40 mm every point of the contour lies on the circle within the tolerance."""
    points = read_artwork(dxf(lambda s: s.add_circle((0, 0), 40.0))).ink.points_mm - 40.0
    radii = (points[:, 0] ** 2 + points[:, 1] ** 2) ** 0.5
    assert abs(radii - 40.0).max() < 0.002
    assert area(lambda s: s.add_circle((0, 0), 40.0)) == pytest.approx(pi * 1600, abs=80 * pi * 0.002)


def test_loose_lines_are_joined_where_their_ends_meet() -> None:
    """Lines and an arc in any order and direction, with gaps of some micrometres, border one area."""

    def draw(space: Any) -> None:
        space.add_line((10, 0.004), (10, 10))
        space.add_line((0, 0), (10, 0))
        space.add_line((0.003, 10), (0, 0))
        space.add_arc((5, 10), 5, 0, 180)

    drawing = read_artwork(dxf(draw))
    assert not drawing.unread
    assert area_mm2(drawing.ink) == pytest.approx(100 + pi * 12.5, abs=0.1)


def test_an_open_line_is_counted_or_drawn_with_a_width() -> None:
    """What borders no area is named; with a line width it is drawn that wide."""

    def draw(space: Any) -> None:
        square(space)
        space.add_line((20, 0), (40, 0))
        space.add_line((40, 0), (40, 20))

    told = read_artwork(dxf(draw)).unread
    assert [(u.what, u.times) for u in told] == [("open line", 1)]
    drawn = read_artwork(dxf(draw), DrawingReading(line_width_mm=0.5))
    assert not drawn.unread
    ends_and_corner = pi * 0.25**2 + (pi / 4 - 1) * 0.25**2
    assert area_mm2(drawn.ink) == pytest.approx(100 + 40 * 0.5 + ends_and_corner, abs=0.003)


def test_a_contour_drawn_twice_is_taken_once() -> None:
    """Even-odd would make a doubled contour vanish; it is kept, and said."""

    def twice(space: Any) -> None:
        square(space)
        square(space)

    drawing = read_artwork(dxf(twice))
    assert area_mm2(drawing.ink) == pytest.approx(100)
    assert "is drawn twice" in drawing.notes[0]


@pytest.mark.parametrize(("code", "mm"), [(1, 25.4), (4, 1.0), (5, 10.0), (2, 304.8), (13, 0.001)])
def test_the_unit_of_the_file_is_honoured(code: int, mm: float) -> None:
    """An inch is 25.4 mm: codes of the DXF reference."""
    assert area(square, unit=code) == pytest.approx(100 * mm * mm)


def test_a_missing_unit_is_asked_for() -> None:
    """No guess between inch and millimetre: a sentence, and then the answer."""
    with pytest.raises(Refused, match="does not say its unit"):
        area(square, unit=0)
    assert area(square, DrawingReading(unit="in"), unit=0) == pytest.approx(100 * 25.4**2)
    assert area(square, DrawingReading(width_mm=50.0), unit=0) == pytest.approx(2500)
    with pytest.raises(Refused, match="ell is not a unit"):
        area(square, DrawingReading(unit="ell"), unit=0)


def test_blocks_hatches_and_hidden_layers() -> None:
    """Inserted blocks are taken apart, hatches are areas, what is switched off stays out."""
    document = ezdxf.new("R2010", units=4)
    square(document.blocks.new("badge"))
    space = document.modelspace()
    space.add_blockref("badge", (100, 0), dxfattribs={"xscale": 2.0, "yscale": -1.0})
    hatch = space.add_hatch()
    hatch.paths.add_polyline_path([(0, 0), (10, 0), (10, 10), (0, 10)])
    hatch.paths.add_polyline_path([(2, 2), (8, 2), (8, 8), (2, 8)], flags=0)
    document.layers.add("off").off()
    space.add_circle((50, 50), 5, dxfattribs={"layer": "off"})
    space.add_text("name")
    text = StringIO()
    document.write(text)
    drawing = read_artwork(text.getvalue().encode())
    assert area_mm2(drawing.ink) == pytest.approx(200 + 64)
    assert [(u.what, u.times) for u in drawing.unread] == [("text or dimension", 1)]


def test_blocks_in_blocks_end() -> None:
    """Blocks that multiply each other are refused, not expanded for ever."""
    document = ezdxf.new("R2010", units=4)
    square(document.blocks.new("b0"))
    for i in range(1, 8):
        block = document.blocks.new(f"b{i}")
        for k in range(12):
            block.add_blockref(f"b{i - 1}", (k, k))
    document.modelspace().add_blockref("b7", (0, 0))
    text = StringIO()
    document.write(text)
    with pytest.raises(Refused, match="too complicated"):
        drawing_from_dxf(text.getvalue().encode(), DrawingReading(), "", Ledger(BUDGET // 50))


def test_damaged_files_are_refused_in_a_sentence() -> None:
    """Cut short, garbled, empty of contours."""
    whole = dxf(square)
    with pytest.raises(Refused, match="breaks off"):
        read_artwork(whole[: len(whole) // 2])
    with pytest.raises(Refused, match="no closed outline"):
        read_artwork(dxf(lambda s: s.add_line((0, 0), (5, 5))))
    with pytest.raises(Refused):
        read_artwork(b"0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n90\nmany\n0\nENDSEC\n0\nEOF\n")


@pytest.mark.parametrize("release", ["R12", "R2000", "R2018"])
def test_releases_are_read(release: str) -> None:
    """Old and new releases alike; R12 has no unit of its own."""

    def draw(space: Any) -> None:
        space.add_polyline2d([(0, 0), (10, 0), (10, 10), (0, 10)], close=True)

    assert area(draw, DrawingReading(unit="mm"), release=release) == pytest.approx(100)


def test_what_is_not_plotted_is_left_out_and_said() -> None:
    """Layers without plotting, Defpoints, and layer 0 of a block whose own place is on such a layer."""

    def draw(space: Any) -> None:
        square(space)
        document = space.doc
        document.layers.add("help").dxf.plot = 0
        for layer in ("help", "Defpoints"):
            space.add_circle((50, 50), 40, dxfattribs={"layer": layer})
        document.blocks.new("mark").add_circle((0, 0), 90)
        space.add_blockref("mark", (0, 0), dxfattribs={"layer": "help"})

    drawing = read_artwork(dxf(draw))
    assert area_mm2(drawing.ink) == pytest.approx(100)
    assert drawing.notes == (
        "3 shapes are not marked, because these layers are hidden or not plotted: Defpoints and help",
    )


def test_the_outline_of_a_hatch_does_not_fill_its_island() -> None:
    """A hatch with a hole, and the lines around it drawn besides: the hole stays, whatever is drawn of its border."""

    def draw(space: Any) -> None:
        corners = [(0, 0), (20, 0), (20, 20), (0, 20)]
        hatch = space.add_hatch()
        hatch.paths.add_polyline_path(corners, flags=1)
        hatch.paths.add_polyline_path([(5, 5), (15, 5), (15, 15), (5, 15)], flags=16)
        space.add_lwpolyline(corners, close=True)

    assert area(draw) == pytest.approx(400 - 100)


def test_a_line_is_as_wide_as_its_vertices_say() -> None:
    """An arrow: 10 mm long, 2 mm wide, then a head from 6 mm to nothing over 5 mm."""

    def draw(space: Any) -> None:
        space.add_lwpolyline([(0, 0, 2, 2), (10, 0, 6, 0), (15, 0, 0, 0)], format="xyse")

    assert area(draw) == pytest.approx(20 + 15, rel=1e-6)


def open_square(space: Any) -> None:
    space.add_lwpolyline([(0, 0), (10, 0), (10, 10), (0, 10), (0, 0.05)])


def test_a_gap_is_measured_and_closed_where_that_is_asked_for() -> None:
    """Ends 50 µm apart: the sentence says so and what closes them, and with that the square is filled."""
    with pytest.raises(Refused, match=r'0\.05 mm apart. Close this gap, or enter 0\.06 mm for "close gaps"'):
        read_artwork(dxf(open_square))
    assert area(open_square, DrawingReading(close_gaps_mm=0.06)) == pytest.approx(100, rel=1e-3)


@pytest.mark.parametrize("width_mm", [None, 300.0])
def test_what_is_left_out_is_counted_once(width_mm: float | None) -> None:
    """A drawing that is read a second time, finer, has no more texts and open lines than it has."""

    def draw(space: Any) -> None:
        square(space)
        space.add_line((0, 0), (5, 50))
        space.add_text("Heron")

    told = read_artwork(dxf(draw), DrawingReading(width_mm=width_mm)).unread
    assert {one.what: one.times for one in told} == {"open line": 1, "text or dimension": 1}


SQUARE = "0 LWPOLYLINE 8 0 90 4 70 1 10 0 20 0 10 10 20 0 10 10 20 10 10 0 20 10"
RELEASE = b"9\n$ACADVER\n1\nAC%d\n9\n$INSUNITS"


@pytest.mark.parametrize(
    "data",
    [
        plain_dxf(SQUARE),
        plain_dxf(SQUARE).replace(b"9\n$INSUNITS", RELEASE % 1009),
        plain_dxf(SQUARE).replace(b"9\n$INSUNITS", RELEASE % 1015),
        plain_dxf(SQUARE.replace("8 0 90 4 70 1", "5 2A 90 4 70 1 8 0")).replace(b"9\n$INSUNITS", RELEASE % 1015),
        plain_dxf(SQUARE).replace(b"\n", b"\r\n"),
        plain_dxf(SQUARE).replace(b"\n", b"\r"),
        b"\xef\xbb\xbf" + plain_dxf(SQUARE),
        b"\n \n" + plain_dxf(SQUARE) + b"\x1a" + bytes(300),
        plain_dxf(f"{SQUARE} {SQUARE} 0 INSERT 2 none 8 0 10 0 20 0"),
        plain_dxf(SQUARE).replace(b"LWPOLYLINE\n8\n0", b"LWPOLYLINE\n8\nR\xe4nder"),
    ],
)
def test_what_small_programs_write_is_read(data: bytes) -> None:
    """Without release, classes or marks, with any ends of lines, with signs around: a square of 10 mm has 100 mm2."""
    assert area_mm2(read_artwork(data).ink) == pytest.approx(100)


def test_ends_that_lie_far_apart_are_not_offered_to_be_closed() -> None:
    """Closing gaps of millimetres would join what was never meant to meet."""
    cross = plain_dxf("0 LINE 8 0 10 0 20 0 11 10 21 10 0 LINE 8 0 10 0 20 10 11 10 21 0")
    with pytest.raises(Refused, match=r"10 mm apart. Close this gap$"):
        read_artwork(cross)


ROUND = np.array([(0, 0), (12, 1), (10, 9), (4, 13), (-3, 7)], float)
KNOTS = np.array([0, 1, 1.5, 3, 4, 6, 7, 7.5, 9, 10, 12, 13], float)  # repeats after five spans, as its corners do
WEIGHTS = np.array([1.0, 3.0, 0.5, 2.0, 1.0])


@pytest.mark.parametrize("weights", [np.ones(5), WEIGHTS])
@pytest.mark.parametrize("as_hatch", [False, True])
def test_a_spline_ends_where_its_knots_say(weights: np.ndarray, as_hatch: bool) -> None:
    """A closed spline whose knots run on beyond its ends, as small CAD programs write it, encloses what the same
    B-spline of scipy does."""
    corners, shares = np.concatenate([ROUND, ROUND[:3]]), np.concatenate([weights, weights[:3]])
    curve = BSpline(KNOTS, np.column_stack([corners * shares[:, None], shares]), 3)(np.linspace(3.0, 9.0, 20_001))
    x, y = (curve[:, :2] / curve[:, 2:]).T
    wanted = abs(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1])) / 2

    def draw(space: Any) -> None:
        if as_hatch:
            edges = space.add_hatch().paths.add_edge_path()
            edges.add_spline(control_points=corners.tolist(), knot_values=KNOTS.tolist(), weights=shares.tolist())
        else:
            spline = space.add_spline(degree=3)
            spline.control_points, spline.knots, spline.weights = corners.tolist(), KNOTS.tolist(), shares.tolist()

    # The contour strays by at most 2 µm.
    assert area(draw) == pytest.approx(wanted, abs=0.002 * float(np.hypot(np.diff(x), np.diff(y)).sum()))


def test_where_nothing_is_shown_the_layer_or_the_layout_is_named() -> None:
    """Someone who hid a layer, or drew on the sheet of paper, is told that, and not to close outlines."""

    def hidden(space: Any) -> None:
        space.doc.layers.add("Guides").off()
        space.add_circle((0, 0), 5, dxfattribs={"layer": "Guides"})

    with pytest.raises(Refused, match=r"not plotted \(Guides\)"):
        read_artwork(dxf(hidden))
    with pytest.raises(Refused, match="on a paper layout"):
        read_artwork(dxf(lambda space: space.doc.layout("Layout1").add_circle((0, 0), 5)))


def test_texts_of_a_block_are_told_but_for_those_that_are_hidden() -> None:
    """A title block's words are no shapes: what is left out is said, what nobody sees is not."""

    def draw(space: Any) -> None:
        space.doc.blocks.new("title").add_circle((0, 0), 5)
        placed = space.add_blockref("title", (0, 0))
        placed.add_attrib("NAME", "Heron", (0, 0))
        placed.add_attrib("PRICE", "9", (0, 0)).is_invisible = True

    assert [(one.what, one.times) for one in read_artwork(dxf(draw)).unread] == [("text or dimension", 1)]


def draw_dimension(space: Any) -> None:
    space.add_linear_dim(base=(0, 15), p1=(0, 10), p2=(10, 10)).render()


def draw_other_file(space: Any) -> None:
    space.doc.add_xref_def("other.dxf", "OTHER")
    space.add_blockref("OTHER", (0, 0))


def draw_gradient(space: Any) -> None:
    hatch = space.add_hatch()
    hatch.set_gradient()
    hatch.paths.add_polyline_path([(0, 0), (10, 0), (10, 10), (0, 10)])


@pytest.mark.parametrize(
    ("draw", "what"),
    [
        (draw_dimension, "text or dimension"),
        (lambda space: space.add_leader([(0, 12), (5, 17), (9, 17)]), "text or dimension"),
        (draw_other_file, "block that is not in this file"),
        (draw_gradient, "gradient"),
    ],
)
def test_what_is_left_out_is_left_out_whole_and_named(draw: Callable[[Any], object], what: str) -> None:
    """No arrow head of a dimension is marked, and neither another file nor a run of tones is passed over in silence."""
    read = read_artwork(dxf(lambda space: (square(space), draw(space))), DrawingReading(line_width_mm=0.2))
    assert area_mm2(read.ink) == pytest.approx(100.0, rel=1e-9)
    assert [each.what for each in read.unread] == [what]


def test_arcs_of_a_polyline_are_paid_for_before_they_are_drawn() -> None:
    """The parser takes some 50 µs for each: a hundred thousand are refused at once."""
    arcs = " ".join(f"10 {number / 10} 20 {number % 2} 42 0.3" for number in range(5_000))
    bulging = plain_dxf(f"0 LWPOLYLINE 8 0 90 5000 70 1 {arcs}")
    ledger = Ledger(5_000 * 40)
    with pytest.raises(Refused, match="too complicated"):
        drawing_from_dxf(bulging, DrawingReading(), "", ledger)
    assert ledger.spent < 5_000 * 42


@pytest.mark.parametrize(
    ("draw", "says"),
    [
        (
            lambda s: s.add_text("HERON", height=8),
            "nothing to mark. The drawing has a text or dimension: it is not marked. Explode it",
        ),
        (lambda s: square(s, 40.0, 1e8), "nothing to mark. The drawing has a line far away: it is not marked"),
        (lambda s: s.add_point((0, 0)), "no lines to mark"),
        (lambda s: s.add_line((0, 0), (10, 0)), "no closed outline: close the lines"),
    ],
)
def test_a_file_with_nothing_to_mark_says_what_it_holds(draw: Callable[[Any], object], says: str) -> None:
    """Nobody is told to close lines where there are none: it says what was left out, and what to do about it."""
    with pytest.raises(Refused, match=says):
        read_artwork(dxf(draw), DrawingReading())


@pytest.mark.parametrize("side", [1e-9, 1e-6, 1e-4])
def test_lines_too_small_to_enclose_anything_are_left_out(side: float) -> None:
    """Three lines whose ends are one place: alone refused for their size, beside an outline they change nothing."""

    def tiny(space: Any) -> None:
        for start, end in (((0, 0), (side, 0)), ((side, 0), (side, side)), ((side, side), (0, 0))):
            space.add_line(start, end)

    with pytest.raises(Refused, match=r"smaller than 0\.001 mm"):
        area(tiny)
    assert area(lambda s: (square(s), tiny(s))) == pytest.approx(100.0)
