"""The one verb: sizes, tolerance, sentences for what is no drawing, reading that can be stopped."""

import sys
import tracemalloc
from math import pi
from pathlib import Path

import matplotlib
import numpy as np
import pytest

from rotary.artwork.drawing import DrawingReading
from rotary.artwork.read import read_artwork
from rotary.artwork.rings import area_mm2, bounds_mm, ring_areas_mm2, shapely_from_rings
from rotary.artwork.svg_drawing import drawing_from_svg
from rotary.artwork.work import BUDGET, Ledger
from rotary.errors import FileTrouble, Refused

DISC = b'<svg width="20mm" height="10mm" viewBox="0 0 200 100"><circle cx="150" cy="25" r="20"/></svg>'
UNSIZED = b'<svg viewBox="0 0 24 24"><circle cx="12" cy="12" r="8"/></svg>'


def test_a_page_is_read_in_millimetres_with_y_upwards() -> None:
    """What stands at the page's upper right is at its upper right in mm, too."""
    drawing = read_artwork(DISC)
    assert (drawing.width_mm, drawing.height_mm) == pytest.approx((20, 10))
    assert bounds_mm(drawing.ink) == pytest.approx((13, 5.5, 17, 9.5), abs=0.002)
    assert drawing.size_stated
    assert drawing.unread == drawing.notes == ()


@pytest.mark.parametrize("width", [0.5, 20.0, 250.0])
def test_the_ink_is_as_wide_as_asked_and_as_fine_at_any_size(width: float) -> None:
    """A small icon blown up to a drum's size stays within 2 µm of its circle."""
    drawing = read_artwork(UNSIZED, DrawingReading(width_mm=width))
    assert drawing.ink_width_mm == pytest.approx(width, rel=1e-9)
    left, bottom, right, top = bounds_mm(drawing.ink)
    points = drawing.ink.points_mm - ((left + right) / 2, (bottom + top) / 2)
    # The curves that stand for a circle stray by 5e-6 of the radius themselves.
    assert np.abs(np.hypot(*points.T) - width / 2).max() < 0.0025 + 5e-6 * width / 2
    assert drawing.width_mm == pytest.approx(width * 24 / 16, rel=1e-4)


def test_a_drawing_without_a_size_says_so() -> None:
    """96 units an inch is a guess, and the note says what it comes to."""
    drawing = read_artwork(UNSIZED)
    assert not drawing.size_stated
    assert "6.3 by 6.3 mm" in drawing.notes[0]
    assert read_artwork(UNSIZED, DrawingReading(width_mm=30.0)).notes == ()


def test_what_lies_outside_the_page_is_cut_off() -> None:
    """A renderer shows nothing beyond the page, so nothing beyond it is marked."""
    half = b'<svg width="10mm" height="10mm" viewBox="0 0 10 10"><circle cx="0" cy="5" r="4"/></svg>'
    assert area_mm2(read_artwork(half).ink) == pytest.approx(8 * pi, rel=1e-3)


def test_rings_come_out_normalised() -> None:
    """Outer rings turn anticlockwise, holes clockwise, none cross: what cutting and writing rely on."""
    star = b'<svg width="9mm" height="9mm"><path d="M17 2 27 32 1 13H33L7 32z" fill-rule="evenodd"/></svg>'
    ink = read_artwork(star).ink
    areas = ring_areas_mm2(ink)
    assert (areas > 0).sum() == 5
    assert shapely_from_rings(ink).is_valid
    assert areas.sum() == pytest.approx(shapely_from_rings(ink).area)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty"),
        (b"regatta on sunday", "is neither an SVG nor a DXF drawing"),
        (b"PK\x03\x04\x14\x00drawing.svg", "is a zip archive"),
        (b"%PDF-1.7", "is a PDF"),
        (b"\x89PNG\r\n\x1a\n", "made of dots"),
        (b"\xff\xd8\xff\xe0", "photograph"),
        (b"<html><body/></html>", "not an SVG drawing"),
        (b'<svg width="9mm" height="9mm"/>', "nothing to mark: draw shapes filled with black"),
        (b'<svg width="9mm" height="9mm"><rect width="99" height="99"/></svg>', "dark all over"),
        (b'<svg width="9mm" height="9mm"><rect width="9" height="9" fill="#fff"/></svg>', "nothing dark"),
        (b'<svg width="9mm" height="9mm"><rect x="99" width="9" height="9"/></svg>', "lies outside its page"),
        (b'<svg width="9mm" height="9mm"><use href="#x"/></svg>', "has a part that is not in this file"),
        (b'<svg width="9mm" height="9mm"><path d="M0 0h9', "breaks off"),
        (b"<svg><g></svg>", "damaged in line 1"),
        (b'<svg width="0" height="5"/>', "width and height in mm"),
        (b'<svg xmlns="http://example.org/other"/>', "not an SVG drawing"),
    ],
)
def test_what_is_no_drawing_is_refused_in_one_sentence(data: bytes, says: str) -> None:
    """Each kind of wrong file gets its own sentence, which ends with what to do instead."""
    with pytest.raises(Refused) as refused:
        read_artwork(data)
    (fault,) = refused.value.faults
    assert fault.where == "artwork.file"
    assert says in fault.says
    assert "\n" not in fault.says


def test_files_are_read_or_their_absence_is_said(tmp_path: Path) -> None:
    """A path works like its bytes; no file, a folder and a huge file are told apart."""
    path = tmp_path / "disc.svg"
    path.write_bytes(DISC)
    drawing = read_artwork(path)
    assert drawing.name == "disc.svg"
    assert np.array_equal(drawing.ink.points_mm, read_artwork(DISC).ink.points_mm)
    with pytest.raises(FileTrouble, match="there is no"):
        read_artwork(tmp_path / "absent.svg")
    with pytest.raises(FileTrouble, match="folder"):
        read_artwork(tmp_path)
    with path.open("wb") as file:
        file.truncate(200 << 20)
    with pytest.raises(Refused, match="larger than 64 MB"):
        read_artwork(path)


def test_reading_can_be_watched_and_stopped() -> None:
    """Progress rises from nothing towards all; an error raised by whoever watches stops the reading."""
    many = b"<svg width='99mm' height='99mm'>" + b"<path d='M1 1h9v9zM20 20h9'/>" * 700 + b"</svg>"
    seen: list[float] = []
    drawing_from_svg(many, DrawingReading(), "", Ledger(BUDGET // 20, seen.append))
    assert len(seen) > 10
    assert seen == sorted(seen)
    assert seen[-1] <= 1

    def stop(share: float) -> None:
        if share > 0.1:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        drawing_from_svg(many, DrawingReading(), "", Ledger(BUDGET // 20, stop))


def test_a_drawing_of_thirty_thousand_shapes_is_not_refused() -> None:
    """A shape of one ring costs so little that 30,000 circles, or 50,000 triangles, are within the budget."""
    for shapes, shape in ((30_000, "<circle cx='{}' cy='{}' r='.2'/>"), (50_000, "<path d='M{} {}h.3v.3'/>")):
        page = "".join(shape.format(i % 25, i // 25) for i in range(500))
        ledger = Ledger()
        drawing_from_svg(f"<svg width='30mm' height='30mm'>{page}</svg>".encode(), DrawingReading(), "", ledger)
        assert ledger.spent * shapes / 500 < BUDGET


def test_a_texts_absent_font_is_said() -> None:
    """A font that is not at hand is replaced by the default, with a warning; nothing is left out in silence."""
    words = '<svg width="99mm" height="20mm"><text x="9" y="40" font-family="Boathouse Sans">A\ue123</text></svg>'
    (unread,) = read_artwork(words.replace("\ue123", "").encode()).unread
    assert str(unread).startswith('The drawing has a letter in the font "Boathouse Sans": it is marked in Noto Sans. ')
    with pytest.raises(Refused, match="which no font on this computer has"):
        read_artwork(words.encode())
    odd = Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf"
    (unread,) = read_artwork(
        words.replace("\ue123", "\u2654").replace("Boathouse Sans", "Noto Sans").encode(), DrawingReading(fonts=(odd,))
    ).unread
    assert str(unread).startswith(
        'The drawing has a letter "\u2654", which Noto Sans lacks: it is marked in DejaVu Sans. '
    )


def island(vertices: int) -> tuple[bytes, float]:
    """A coast of so many vertices in one path, and its area [mm²]."""
    angles = np.linspace(0, 2 * np.pi, vertices, endpoint=False)
    radii = 40 + 5 * np.sin(37 * angles) + 0.02 * np.random.default_rng(3).standard_normal(vertices)
    points = " ".join(f"{50 + r * np.cos(a):.4f},{50 + r * np.sin(a):.4f}" for a, r in zip(angles, radii, strict=True))
    svg = f'<svg width="100mm" height="100mm" viewBox="0 0 100 100"><path d="M{points}z"/></svg>'.encode()
    return svg, 0.5 * float(np.sum(radii * np.roll(radii, -1)) * np.sin(angles[1]))


def calls_of(svg: bytes) -> int:
    """How many functions are called while a drawing is read."""
    count = 0

    def called(_frame: object, event: str, _what: object) -> None:
        nonlocal count
        count += event in ("call", "c_call")

    before = sys.getprofile()
    sys.setprofile(called)
    try:
        read_artwork(svg)
    finally:
        sys.setprofile(before)
    return count


@pytest.mark.slow
def test_a_large_map_takes_no_step_for_each_vertex_and_a_few_times_its_size() -> None:
    """70,000 vertices in one path are read in as many steps as 7,000, within thirty times the file's size."""
    svg, area = island(70_000)
    tracemalloc.start()
    try:
        drawing = read_artwork(svg)
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert len(drawing.ink.points_mm) >= 70_000
    assert area_mm2(drawing.ink) == pytest.approx(area, rel=1e-3)
    assert most < 30 * len(svg)
    assert calls_of(svg) < 2 * calls_of(island(7_000)[0])
