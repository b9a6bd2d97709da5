"""Strokes and counters: what an independent measure finds, and what each failing check asks for helps."""

from typing import Any

import numpy as np
import pytest
import shapely

from rotary.artwork.features import features
from rotary.artwork.rings import rings_from_shapely
from rotary.inscription.card import inscription_lines, words_line
from rotary.inscription.legibility import MarkCheck, least_height_mm, widths_of
from rotary.inscription.models import Check
from rotary.inscription.setting import set_lines
from rotary.inscription.sizes import sized_text
from rotary.item import Item
from rotary.wording import InscriptionWish

PART = Item.model_validate(
    {
        "name": "bar",
        "coating": None,
        "measurements": [{"at": "0 mm", "across": "22 mm"}, {"at": "30 mm", "across": "22 mm"}],
    }
)


def letter(sign: str, weight: int = 400, **more: Any) -> Any:
    return set_lines(InscriptionWish(text=sign, around="arc", weight=weight, **more), sign)[0].letters[0].shape


def raster_width(shape: Any, pixels: int = 300) -> float:
    """Narrowest stroke a quarter up a letter, by rows of points: knows no discs."""
    left, bottom, right, top = shape.bounds
    y = bottom + 0.25 * (top - bottom)
    x = np.linspace(left - 0.01, right + 0.01, pixels * 10)
    inside = shapely.contains_xy(shape, x, np.full_like(x, y)).astype(int)
    runs = np.diff(np.flatnonzero(np.diff(inside)))[::2]
    return float(runs.min() * (x[1] - x[0]))


@pytest.mark.parametrize("sign", ["l", "i", "ı"])
@pytest.mark.parametrize("weight", [100, 400, 800])
def test_the_stroke_of_a_stem_is_what_a_ruler_finds(sign: str, weight: int) -> None:
    """On letters of upright stems the disc finds no more than the width between their edges, and most of it."""
    shape = letter(sign, weight)
    assert widths_of(shape).stroke == pytest.approx(raster_width(shape), rel=0.12)


@pytest.mark.parametrize("sign", "aeg8BR4")
def test_a_spot_narrower_than_the_widths_loses_nothing_and_a_wider_one_does(sign: str) -> None:
    """The opening of the artwork stage agrees on both sides of the width that was found."""
    shape = letter(sign)
    found = widths_of(shape)
    narrow, wide = (features(rings_from_shapely(shape), share * found.stroke).lost_share for share in (0.85, 1.25))
    assert narrow < 0.03
    assert wide > 2 * narrow + 0.004


@pytest.mark.parametrize("sign", "oOe0D")
def test_a_counter_closes_at_the_width_across_it(sign: str) -> None:
    """The counter of a round letter is at most as wide as the hole in it is across."""
    shape = letter(sign)
    polygon = max(getattr(shape, "geoms", [shape]), key=lambda part: part.area)
    left, bottom, right, top = polygon.interiors[0].bounds
    across = min(right - left, top - bottom)
    assert 0.75 * across < widths_of(shape).counter < 1.08 * across


def test_short_arms_of_a_heavy_letter_are_strokes() -> None:
    """An H in bold, whose arms are hardly longer than wide, is no wider than its stems."""
    shape = letter("H", 800)
    assert widths_of(shape).stroke < 1.05 * raster_width(shape)


def test_heavier_letters_have_wider_strokes_and_narrower_counters() -> None:
    """Weight buys stroke and costs counter."""
    light, heavy = widths_of(letter("e", 300)), widths_of(letter("e", 800))
    assert light.stroke < heavy.stroke
    assert light.counter > heavy.counter


@pytest.mark.parametrize("spot_mm", [0.03, 0.1, 0.3])
def test_least_height_is_where_checks_turn(spot_mm: float) -> None:
    """Just above the least height strokes and counters pass; what is refused names a height that then passes."""
    mark = MarkCheck(spot_mm, 0.03)
    texts = [set_lines(InscriptionWish(text="Regatta", around="arc"), "Regatta")]
    least = least_height_mm(texts, mark)
    asked = InscriptionWish(text="Regatta", around="arc", arc_rad=6.0, letter_height_mm=least * 1.001)
    states = {check.name: check.state for check in sized_text(asked, PART, mark).facts.checks}
    assert states["strokes"] == states["holes"] == "passes"


def checks_at(height: float, mark: MarkCheck, **more: Any) -> dict[str, Check]:
    asked = InscriptionWish(
        text="Regatta", around="arc", arc_rad=6.0, letter_height_mm=height, least_height_mm=0.01, **more
    )
    return {check.name: check for check in sized_text(asked, PART, mark).facts.checks}


def test_a_failing_letter_is_named_with_what_would_make_it_pass() -> None:
    """Letters too small for the spot fail by name, and pass at the height that the check asks for."""
    mark = MarkCheck(0.2, 0.05)
    bad = checks_at(0.9, mark)["holes"]
    assert bad.state == "fails"
    assert bad.letter in "Regatta"
    need = float(bad.cure.split("letters of ")[1].split(" mm")[0])
    assert checks_at(need + 0.01, mark)["holes"].state == "passes"
    assert checks_at(need - 0.02, mark)["holes"].state == "fails"


def test_tracking_opens_letters_that_stand_too_close() -> None:
    """The tracking that the check asks for makes it pass."""
    mark = MarkCheck(0.2, 0.05)
    bad = checks_at(2.0, mark, tracking=-0.08)["spacing"]
    assert bad.state == "fails"
    need = float(bad.cure.split("letter spacing of ")[1].split(" ")[0])
    assert checks_at(2.0, mark, tracking=need + 0.002).get("spacing", bad).state != "fails" or need <= 0


def test_more_sag_than_the_lens_stays_sharp_for_fails() -> None:
    """A slice whose edge leaves the depth of focus, or leans too far, is told."""
    mark = MarkCheck(
        0.05, 0.03, slices=5, slice_mm=10.0, edge_drop_mm=1.3, depth_mm=1.0, incidence_rad=0.5, most_incidence_rad=0.35
    )
    found = checks_at(3.0, mark)
    assert found["slice edges"].state == found["beam's angle"].state == "fails"


def test_letters_that_follow_a_taper_are_judged_where_they_are_narrowest() -> None:
    """On a cone letters shrink with the radius: the stroke told is that at the thin end of the ink."""
    cone = Item.model_validate(
        {
            "name": "cone",
            "coating": None,
            "measurements": [{"at": "0 mm", "across": "24 mm"}, {"at": "20 mm", "across": "12 mm"}],
        }
    )
    asked = InscriptionWish(text="I", around="arc", letter_height_mm=8.0)
    made = sized_text(asked, cone, MarkCheck(0.05, 0.03)).facts
    lean = 6 / (20**2 + 6**2) ** 0.5
    assert made.narrowed == pytest.approx(1 - made.height_mm / 2 * lean / 9.0, rel=1e-6)
    told = float(made.checks[0].says.split(" is ")[1].split(" mm")[0])
    assert told == pytest.approx(8 * made.narrowed * widths_of(letter("I")).stroke, abs=6e-4)


def test_a_check_of_slices_names_no_letter() -> None:
    """Slices that are too wide are no fault of a letter."""
    wish = InscriptionWish(text="OAR", around="arc")
    facts = sized_text(wish, PART, MarkCheck(spot_mm=0.05, line_spacing_mm=0.03)).facts
    wide = Check(name="slice edges", state="fails", letter="", says="the edges lie low", cure="narrower slices")
    facts = facts.model_copy(update={"checks": (wide,)})
    assert words_line(facts)[1].endswith(". Slices are too wide: slice edges")
    assert "SLICES ARE TOO WIDE, slice edges: the edges lie low" in "\n".join(inscription_lines(wish, facts))
