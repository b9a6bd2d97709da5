"""The SVG reader: one feature a file, held to areas worked out by hand."""

import numpy as np
import pytest
import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.areas import View
from rotary.artwork.drawing import DrawingReading
from rotary.artwork.ink import ink_region
from rotary.artwork.rings import area_mm2, rings_from_shapely
from rotary.artwork.svg.affine import SAME
from rotary.artwork.svg.reader import page_from_svg
from rotary.artwork.svg.words import SvgWords
from rotary.artwork.svg_drawing import drawing_from_svg
from rotary.artwork.work import BUDGET, Ledger
from tests.artwork.small_files import SMALL_FILES, page

BY_HAND = {name: small for name, small in SMALL_FILES.items() if small.area is not None}


def inked(svg: bytes) -> float:
    read = page_from_svg(svg, Ledger())
    return area_mm2(rings_from_shapely(ink_region(read.painted, View(SAME, 0.0005))))


@pytest.mark.parametrize("name", BY_HAND)
def test_the_inked_area_is_that_worked_out_by_hand(name: str) -> None:
    """Fill rules, strokes, clips, masks, styles: the area is what geometry says, to a part in ten thousand."""
    assert inked(BY_HAND[name].svg) == pytest.approx(BY_HAND[name].area, rel=2e-4)


def test_what_cant_be_read_is_counted_and_named() -> None:
    """Every kind of thing that is left out or read otherwise is in the list once, with how often it stood there."""
    ledger = Ledger()
    page_from_svg(
        page(
            '<filter id="f"/><pattern id="p" width="1e-5" height="1"><path/></pattern>'
            '<linearGradient id="g"><stop stop-color="#000"/><stop offset="1" stop-color="#fff"/></linearGradient>'
            '<mask id="m"><rect width="9" height="9" fill="#888"/></mask>'
            '<rect width="9" height="9" filter="url(#f)"/><rect width="9" height="9" fill="url(#p)"/>'
            '<rect width="9" height="9" fill="url(#g)"/><rect width="9" height="9" fill="url(#g)"/>'
            '<rect width="9" height="9" mask="url(#m)"/><image href="x.png" width="9" height="9"/><text>a</text>'
            '<mask id="n"><rect width="9" height="9" mask="url(#n)"/></mask><rect width="9" height="9" mask="url(#n)"/>'
            '<clipPath id="c" clip-path="url(#c)"><rect width="9" height="9"/></clipPath>'
            '<rect width="9" height="9" clip-path="url(#c)"/>'
            '<foreignObject width="9" height="9"/><rect width="9" height="9" style="clip-path:circle(5px)"/>'
        ),
        ledger,
    )
    told = {each.what: each.times for each in ledger.list_of_unread()}
    assert told == {
        "filter": 1,
        "pattern": 1,
        "gradient": 2,
        "picture": 1,
        "text": 1,
        "mask that masks itself": 1,
        "clip that cuts itself": 1,
        "part in another format": 1,
        "clip by a CSS shape": 1,
    }


def test_a_path_is_drawn_up_to_its_first_mistake() -> None:
    """SVG asks that what stands before a mistake in path data is drawn, and nothing after it."""
    assert inked(page('<path d="M0 0h10v10h-10z M20 20 h10 v10 x h-10z M50 50h50v50z"/>')) == pytest.approx(100 + 50)
    assert inked(page('<path d="L5 5 M0 0h10v10h-10z"/><path d="M0 0h10v10z"/>')) == pytest.approx(50)
    assert inked(page('<path d="M0 0 10 0 10 10 0 10 5"/>')) == pytest.approx(100)


def test_the_finer_the_tolerance_the_nearer_the_circle() -> None:
    """The area of a disc errs by less than tolerance times circumference, at every tolerance."""
    from math import pi

    read = page_from_svg(page('<circle cx="50" cy="50" r="40"/>'), Ledger())
    for tolerance in (1.0, 0.1, 0.01, 0.001, 1e-4):
        area = ink_region(read.painted, View(SAME, tolerance)).area
        assert abs(area - pi * 1600) < tolerance * 80 * pi + 2e-2  # four cubic quarters stray by 2.7e-4 r themselves


def test_a_style_sheet_of_any_kind_ends() -> None:
    """Unclosed braces, at-rules and comments don't stall or upset the reader."""
    for sheet in ("rect{fill:#fff", "@media print{rect{fill:#fff}}", "/* rect{fill:#fff}", "@import url(x.css);", "}{"):
        assert inked(page(f"<style>{sheet}</style><rect width='10' height='10'/><path d='M50 0h5v5'/>")) in (
            pytest.approx(112.5),
            pytest.approx(12.5),
        )


@pytest.mark.parametrize("letter", [" ", "L"])
def test_a_million_corners_are_no_more_work_than_is_allowed(letter: str) -> None:
    """A hundredth of such a drawing costs less than a hundredth of what a file may, however its lines are written."""
    angle = np.linspace(0, 2 * np.pi, 1_000, endpoint=False)
    ring = (4 + np.sin(7 * angle)[:, None] / 4) * np.column_stack([np.cos(angle), np.sin(angle)])
    rings = [
        "M" + letter.join(f"{x:.4f},{y:.4f}" for x, y in (ring + np.array([at, 5.0])).tolist())
        for at in range(5, 100, 10)
    ]
    drawing = page("".join(f'<path d="{ring}z"/>' for ring in rings))
    drawing_from_svg(drawing, DrawingReading(), "", Ledger(BUDGET // 100))


def test_a_font_in_one_word_is_that_font() -> None:
    """`font` gives size, weight, slant and family as the single properties do, and puts back what stood before."""
    apart = 'style="font-style:italic;font-weight:800;font-size:20px;font-family:Noto Sans"'
    both = 'font-weight="100" style="font:italic 800 20px/1.2 \'Noto Sans\', serif"'
    areas = []
    for how in (apart, both):
        read = page_from_svg(page(f'<text y="50" {how}>Regatta</text>'), Ledger(), SvgWords(system=False).draw)
        areas.append(ink_region(read.painted, View(SAME, 0.01)).area)
    assert areas[0] == areas[1] > 100


RECT, MARK = '<rect width="20" height="20"/>', '<path d="M60 60h10v10H60z"/>'

AS_IN_A_BROWSER = {
    "a word of CSS in capitals": ('<rect style="fill:NONE" width="20" height="20"/>' + MARK, 100),
    "no value of its own": (f'<g fill="#fff"><rect style="fill:unset" width="20" height="20"/></g>{MARK}', 100),
    "the first value": (f'<g fill="#fff"><rect style="fill:initial" width="20" height="20"/></g>{MARK}', 500),
    "variables in small letters and capitals": (
        f"<style>:root{{--Ab:#fff;--ab:#000}}rect{{fill:var(--Ab)}}</style>{RECT}{MARK}",
        100,
    ),
    "a style sheet for paper": (f'<style media="print">rect{{fill:#fff}}</style>{RECT}{MARK}', 500),
    "a style sheet whose kind is in capitals": (f'<style type="TEXT/CSS">rect{{fill:#fff}}</style>{RECT}{MARK}', 100),
    "for readers of another language": ('<rect systemLanguage="tlh" width="20" height="20"/>' + MARK, 100),
    "for readers of English, in capitals": ('<rect systemLanguage="EN" width="20" height="20"/>' + MARK, 500),
    "for a program that has more": (
        '<rect requiredExtensions="http://example.org" width="20" height="20"/>' + MARK,
        100,
    ),
    "markers at the ends of arcs alone": (
        '<marker id="m" markerUnits="userSpaceOnUse" markerWidth="9" markerHeight="9"><path d="M0 0h5v5H0z"/></marker>'
        '<path d="M20 50A30 30 0 0 1 80 50L90 90" fill="none" marker-mid="url(#m)"/>',
        25,
    ),
    "markers turned by a part of a turn": (
        '<marker id="m" orient="0.25turn" markerUnits="userSpaceOnUse"><path d="M0 0h3v1H0z"/></marker>'
        '<path d="M50 50h9" fill="none" marker-start="url(#m)"/><path d="M50 50h3v1h-3z" fill="#fff"/>',
        3,
    ),
    "dashes on a closed line of a stated length": (
        '<path d="M10 10h40v40h-40z" pathLength="16" stroke-dasharray="1" fill="none" stroke="#000" stroke-width="2"/>',
        8 * 10 * 2,
    ),
    "tiles are cut at their border": (
        '<pattern id="p" width="20" height="20" patternUnits="userSpaceOnUse" overflow="visible">'
        '<path d="M-9 0h19v10h-19z"/></pattern><path d="M0 0h40v40H0z" fill="url(#p)"/>',
        4 * 100,
    ),
}


@pytest.mark.parametrize("name", AS_IN_A_BROWSER)
def test_what_a_browser_draws_is_drawn(name: str) -> None:
    """CSS, conditions, markers, dashes and tiles as the standards have them, and nothing is said about them."""
    body, area = AS_IN_A_BROWSER[name]
    ledger = Ledger()
    read = page_from_svg(page(body), ledger)
    assert ink_region(read.painted, View(SAME, 0.0005)).area == pytest.approx(area, rel=1e-4, abs=1e-6)
    assert ledger.list_of_unread() == ()


OTHERWISE = {
    "style sheet in another file": MARK,
    "unusual style rule": "<style>@media (min-width:10px){rect{fill:#fff}}</style>" + RECT,
    "unusual style rule ": '<style>@import "x.css";</style>' + RECT,
    "unusual style rule  ": "<style>.\\31 a{fill:#fff}</style>" + RECT,
    "unusual style rule   ": "<style>g{fill:#fff; path{fill:#000}}</style>" + RECT,
    "calculated length": '<rect width="calc(10px + 10%)" height="20"/>',
    "calculated length ": '<rect width="20vw" height="20"/>',
    "unusual transform": '<rect width="9" height="9" style="transform:rotateZ(9deg)"/>',
    "style scale": '<rect width="9" height="9" style="scale:2"/>',
    "style color-interpolation": '<g color-interpolation="linearRGB"><rect width="9" height="9"/></g>',
    "unknown colour": '<rect width="9" height="9" fill="lab(95% 0 0)"/>',
    "line of an unknown colour": '<path d="M0 0h9" stroke="blakc"/>',
    "paint that is not in the file": '<rect width="9" height="9" fill="url(#a)"/>',
    "part that is not in this file": '<use href="other.svg#a"/>',
    "animation or script": '<rect width="9" height="9"><set attributeName="fill" to="#fff"/></rect>',
    "text with unicode-bidi": '<text y="50" style="unicode-bidi:bidi-override">ab</text>',
    "text with text-decoration-line": '<text y="50" style="text-decoration-line:underline">ab</text>',
}


@pytest.mark.parametrize("name", OTHERWISE)
def test_what_is_drawn_otherwise_is_named(name: str) -> None:
    """What a browser would draw and the reader does not is never left out in silence."""
    ledger = Ledger()
    before = b'<?xml-stylesheet href="a.css"?>' if "another file" in name else b""
    page_from_svg(before + page(OTHERWISE[name]), ledger, SvgWords(system=False).draw)
    assert [each.what for each in ledger.list_of_unread()] == [name.strip()]


def words_area(text: str, left_of: float = 1e9) -> float:
    read = page_from_svg(page(text), Ledger(), SvgWords(system=False).draw)
    region = ink_region(read.painted, View(SAME, 0.01))
    return float(region.intersection(shapely.box(-1e4, -1e4, left_of, 1e4)).area)


def test_lines_and_spaces_of_a_text_stand_as_in_a_browser() -> None:
    """A new line parts two words; `white-space: pre` keeps every space; a text that runs to the left ends at its x."""
    two = [words_area(f'<text x="5" y="50">A{gap}B</text>', 18) for gap in ("\n", " ", "")]
    assert two[0] == two[1] < two[2]
    kept = [words_area(f'<text x="5" y="50" {how}>A   B</text>', 30) for how in ('style="white-space:pre"', "")]
    assert kept[0] < kept[1]
    left = '<text x="50" y="50" direction="rtl">AB</text>'
    assert words_area(left, 50) == pytest.approx(words_area(left), rel=1e-9)
    assert words_area(left) > 0


def test_a_text_starts_on_its_path_by_the_stated_length() -> None:
    """`startOffset` counts in the path's `pathLength`, as dashes do."""
    path = '<path id="p" d="M0 50H90" fill="none"/><text><textPath href="#p" startOffset="{}">A</textPath></text>'
    stated = path.replace("<path", '<path pathLength="9"')
    assert words_area(stated.format(4), 40) == 0
    assert words_area(stated.format(4), 55) == words_area(path.format(40), 55) > 0
