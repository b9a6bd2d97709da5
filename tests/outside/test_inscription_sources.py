"""Inscriptions against things outside the project.

- The tables of the font itself, read by fontTools: hmtx for advances, GPOS pair adjustment for kerning (OpenType
  specification, from memory, not seen).
- ISO 3098 (seen): strokes of type B are a tenth of the height; nominal heights 1.8 to 20 mm.
- MIL-STD-130 (seen second hand): smallest character 2.032 mm.
- Human-factors handbooks (seen): letters of 1/200 of the reading distance, 500 mm -> 2.5 mm; 20 minutes of arc,
  500 mm -> 2.909 mm.
- ISO 4032 (seen second hand): M10 is 16 mm across flats, 17.77 mm across corners at least.
- Regular polygons: shapely's own, from points; heat: H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, section
  2.9 (from memory; here against a finite-difference solver).
- Time in proportion to passes, one to two and a half micrometres a pass of low power on knife steel: common practice,
  no source.
"""

from itertools import pairwise
from math import cos, pi, sin
from pathlib import Path

import fontpkg_noto_sans
import numpy as np
import pytest
import shapely
from fontTools.ttLib import TTFont

from rotary.formulas.lumped import half_space_rise_k, lumped_rise_k, solid_volume_mm3
from rotary.formulas.polygon import rounded_flat_mm, turned_flat_mm
from rotary.inscription.legibility import ISO_SIZES_MM, MarkCheck, widths_of
from rotary.inscription.setting import set_lines
from rotary.inscription.sizes import sized_text
from rotary.item import Item
from rotary.passes.beliefs.draws import metals
from rotary.wording import InscriptionWish
from tests.curves import bent_curve

FONT = next(path for path in sorted(Path(fontpkg_noto_sans.ROOT).glob("files/*.ttf")) if "talic" not in path.name)
PART = Item.model_validate(
    {
        "name": "bar",
        "coating": None,
        "measurements": [{"at": "0 mm", "across": "22 mm"}, {"at": "30 mm", "across": "22 mm"}],
    }
)


@pytest.fixture(scope="module")
def tables() -> TTFont:
    return TTFont(FONT)


def kern(font: TTFont, left: str, right: str) -> int:
    """Kerning of a pair of glyphs from the font's own pair adjustment, first lookup that has the pair."""
    gpos = font["GPOS"].table
    wanted = {
        index
        for record in gpos.FeatureList.FeatureRecord
        if record.FeatureTag == "kern"
        for index in record.Feature.LookupListIndex
    }
    for index in sorted(wanted):
        for table in gpos.LookupList.Lookup[index].SubTable:
            sub = table.ExtSubTable if table.LookupType == 9 else table
            if sub.LookupType != 2 or left not in sub.Coverage.glyphs:
                continue
            if sub.Format == 1:
                pairs = sub.PairSet[sub.Coverage.glyphs.index(left)].PairValueRecord
                found = [pair for pair in pairs if pair.SecondGlyph == right]
                if found:
                    return int(getattr(found[0].Value1, "XAdvance", 0) or 0)
                continue
            first = sub.ClassDef1.classDefs.get(left, 0)
            second = sub.ClassDef2.classDefs.get(right, 0)
            value = sub.Class1Record[first].Class2Record[second].Value1
            return int(getattr(value, "XAdvance", 0) or 0) if value else 0
    return 0


def units(font: TTFont, text: str, closed: bool) -> int:
    """Length of a text in font units from the tables alone, kerned; `closed` with the pair of last and first."""
    names = [font.getBestCmap()[ord(sign)] for sign in text]
    pairs = list(pairwise(names)) + ([(names[-1], names[0])] if closed else [])
    return sum(font["hmtx"][name][0] for name in names) + sum(kern(font, *pair) for pair in pairs)


@pytest.mark.parametrize("text", ["HERON", "AVATAR", "To.", "LTVAWY", "Yo 1892", "P.A."])
@pytest.mark.slow
def test_lines_are_as_long_as_the_tables_of_the_font_say(tables: TTFont, text: str) -> None:
    """Advances and kerning pairs add up to the line, and round a ring to the period, in font units."""
    capital = tables["OS/2"].sCapHeight
    line = set_lines(InscriptionWish(text=text, around="arc"), text)[0]
    assert line.advance * capital == pytest.approx(units(tables, text, closed=False), abs=1e-6 * capital)
    ring = set_lines(InscriptionWish(text=text, between=""), text)[0]
    assert ring.period * capital == pytest.approx(units(tables, text, closed=True), abs=1e-6 * capital)


def test_some_of_those_pairs_are_kerned(tables: TTFont) -> None:
    """The reader of the tables finds kerning at all: A before V stands closer."""
    assert kern(tables, "A", "V") < 0
    assert kern(tables, "H", "H") == 0


def test_letters_of_single_strokes_have_the_proportions_of_iso_3098() -> None:
    """At each nominal height of ISO 3098 the stroke measures a tenth of the height, type B."""
    assert ISO_SIZES_MM == (1.8, 2.5, 3.5, 5, 7, 10, 14, 20)
    shape = set_lines(InscriptionWish(text="I", face="line-sans", around="arc"), "I")[0].letters[0].shape
    left, bottom, right, top = shape.bounds
    for height in ISO_SIZES_MM:
        assert (right - left) * height == pytest.approx(height / 10, rel=1e-3)
        assert (top - bottom) * height == pytest.approx(height, rel=1e-3)
    assert widths_of(shape).stroke == pytest.approx(0.1, rel=0.03)


@pytest.mark.parametrize(("far_mm", "need_mm"), [(500.0, 2.909), (300.0, 1.745)])
def test_reading_and_marking_figures_are_those_published(far_mm: float, need_mm: float) -> None:
    """From 500 mm 2.909 mm are asked for, more than a two-hundredth; the mark of a part asks for 2.032."""
    asked = InscriptionWish(text="H", around="arc", letter_height_mm=1.0, read_at_mm=far_mm)
    checks = {check.name: check for check in sized_text(asked, PART, MarkCheck(0.05, 0.03)).facts.checks}
    assert f"{need_mm:.2f} mm" in checks["reading distance"].cure
    assert "2.032 mm" in checks["part numbers"].cure
    assert need_mm > far_mm / 200


@pytest.mark.parametrize("flats", [4, 6, 8, 12])
@pytest.mark.parametrize("radius", [0.0, 1.0, 3.0])
def test_a_rounded_polygon_is_what_a_geometry_library_makes_of_it(flats: int, radius: float) -> None:
    """A regular polygon with its corners rolled by a disc measures along a flat as computed."""
    apothem = 8.0
    corner = (apothem - radius) / cos(pi / flats)
    turns = [pi / flats + 2 * pi * k / flats for k in range(flats)]
    inner = shapely.Polygon([(corner * cos(t), corner * sin(t)) for t in turns])
    whole = shapely.buffer(inner, radius, quad_segs=200) if radius else inner
    points = shapely.get_coordinates(whole)
    side = points[np.abs(points[:, 0] - apothem) < 1e-9]
    assert np.ptp(side[:, 1]) == pytest.approx(float(rounded_flat_mm(16.0, flats, radius)), rel=1e-6)


def test_the_nut_of_iso_4032_keeps_a_flat_between_its_worn_corners() -> None:
    """M10: 17.77 mm across corners over 16 mm is a corner rounded or turned down; both flats are less than sharp."""
    sharp = 16 / 3**0.5
    # A corner of radius q measures (s - 2q)/cos(30°) + 2q across.
    radius = (32 / 3**0.5 - 17.77) / (2 * (2 / 3**0.5 - 1))
    assert 0 < float(rounded_flat_mm(16.0, 6, radius)) < float(turned_flat_mm(16.0, 17.77)) < sharp
    assert float(turned_flat_mm(16.0, 32 / 3**0.5)) == pytest.approx(sharp)


def test_the_volume_of_a_domed_nut_is_that_of_its_discs() -> None:
    """Two hundred thousand thin discs have the volume of the closed form."""
    curve = bent_curve([0.0, 3.0, 7.0, 11.0, 14.0], [8.1, 8.65, 9.0, 8.65, 8.1])
    s = (np.arange(200_000) + 0.5) * 14 / 200_000
    from rotary.formulas.revolution import radius_mm

    assert solid_volume_mm3(curve) == pytest.approx(
        float(np.sum(np.pi * radius_mm(curve, s) ** 2) * 14 / 200_000), rel=1e-9
    )


def test_a_face_warms_as_a_stepped_bar_does() -> None:
    """A long bar stepped in thin slabs and short times reaches the same face as the endless body."""
    k, rho, c, flux, time = 120.0, 8530.0, 380.0, 0.05, 2.0
    spread = k / (rho * c)
    dx = 0.2e-3
    dt = 0.4 * dx**2 / spread
    t = np.zeros(600)
    for _ in range(round(time / dt)):
        change = np.zeros_like(t)
        change[1:-1] = t[2:] - 2 * t[1:-1] + t[:-2]
        change[0] = 2 * (t[1] - t[0]) + 2 * flux * 1e6 * dx / k
        t += spread * dt / dx**2 * change
    assert t[0] == pytest.approx(float(half_space_rise_k(flux, time, k, rho, c)), rel=0.01)


def test_a_lump_warms_as_a_stepped_balance_does() -> None:
    """Power in, loss out, a thousandth of a second at a time."""
    rise = 0.0
    for _ in range(60_000):
        rise += (3.6 - 0.02 * rise) * 1e-3 / (51.9e-3 * 380)
    assert float(lumped_rise_k(3.6, 60.0, 51.9, 380.0, 0.02)) == pytest.approx(rise, rel=1e-4)


def test_a_pass_of_low_power_on_steel_takes_a_micrometre_or_two() -> None:
    """The belief's central figure at half a joule a square millimetre lies in what shops tell (no source)."""
    central = 1e3 * metals()["stainless-304"].removal_mm3_j.central * 0.5
    assert 0.5 < central < 3.0
