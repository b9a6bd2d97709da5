"""A DXF file that names no unit, and one that is marked larger than it is drawn."""

import pytest

from rotary.artwork.drawing import DrawingReading
from rotary.artwork.read import read_artwork
from rotary.artwork.rings import area_mm2
from rotary.errors import Refused
from tests.artwork.test_dxf import dxf, open_square

NO_HEADER = b"0\nSECTION\n2\nENTITIES\n%s\n0\nENDSEC\n0\nEOF\n"
CIRCLE = NO_HEADER % b"0\nCIRCLE\n8\n0\n10\n0\n20\n0\n40\n12"
HOOK = NO_HEADER % b"0\nLINE\n8\n0\n10\n0\n20\n0\n11\n0.5\n21\n0\n0\nLINE\n8\n0\n10\n2\n20\n0\n11\n2\n21\n2"


def test_a_file_that_names_no_unit_asks_for_it() -> None:
    """Without a header, or with $INSUNITS 0 (unitless, by the DXF reference), no unit is guessed: not metres either."""
    unitless = dxf(lambda space: space.add_circle((0, 0), 12), unit=0)
    for data in (CIRCLE, unitless):
        with pytest.raises(Refused, match="does not say its unit: choose mm or in as its unit"):
            read_artwork(data)
        assert read_artwork(data, DrawingReading(unit="mm")).width_mm == pytest.approx(24)
        assert not read_artwork(data, DrawingReading(width_mm=60)).size_stated
    with pytest.raises(Refused, match=r"1.5 of its units apart: close that gap. The file names no unit"):
        read_artwork(HOOK, DrawingReading(width_mm=60))


def test_a_gap_is_as_wide_as_it_is_drawn_however_large_the_drawing_is_marked() -> None:
    """A gap of 50 µm is closed by 0.06 mm, though a square of 10 mm is marked 80 mm wide."""
    larger = read_artwork(dxf(open_square), DrawingReading(width_mm=80.0, close_gaps_mm=0.06))
    assert area_mm2(larger.ink) == pytest.approx(80**2, rel=1e-3)
