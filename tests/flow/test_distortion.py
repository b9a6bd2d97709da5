"""The line that says how artwork lies on the item, against a cone and a cylinder unrolled by hand."""

from math import asin, atan2, degrees, hypot, pi, sqrt

import pytest

from rotary.actions.build import distortion_of
from rotary.artwork.layout import Artwork, MapName, layout
from rotary.artwork.models import Layout
from rotary.item import Item, Measurement, fitted_shape
from rotary.sentences.artwork import distortion_text

BASE_MM, RIM_MM, HIGH_MM = 73.0, 88.0, 170.0


def cup(base_mm: float = BASE_MM, rim_mm: float = RIM_MM) -> Item:
    ends = (Measurement(at_mm=0, across_mm=base_mm), Measurement(at_mm=HIGH_MM, across_mm=rim_mm))
    return Item(name="Heron bottle", measurements=ends)


def laid(what: Item, width_mm: float = 70, surface_map: MapName = "true-width", full_wrap: bool = False) -> Layout:
    art = Artwork(width_mm=width_mm, height_mm=50, centre_mm=100, surface_map=surface_map, full_wrap=full_wrap)
    return layout(art, what, fitted_shape(what))


def unrolled() -> tuple[float, float, float]:
    """Sine of the cone's half angle, and how far from its apex along the wall the middle and the lower end lie [mm].

    A cone unrolls to a sector (any textbook of descriptive geometry): a place as far from the apex as along the wall,
    the angle round the axis times that sine.
    """
    sine = (RIM_MM - BASE_MM) / 2 / hypot(HIGH_MM, (RIM_MM - BASE_MM) / 2)
    middle_mm = (BASE_MM + (RIM_MM - BASE_MM) * 100 / HIGH_MM) / 2 / sine
    return sine, middle_mm, middle_mm - 25


def test_one_line_says_how_the_artwork_lies() -> None:
    """Width, angle, stretch and what is seen, in this order and these words; the width in inches where asked for."""
    lies = laid(cup())
    says = "70 mm wide, 101° round the item, stretched 0.98 to 1.02 times, all of it within 60° of the artwork's middle"
    assert distortion_text(distortion_of(lies)) == says
    assert distortion_text(distortion_of(lies), "in") == says.replace("70 mm", "2.76 in")
    assert distortion_text(distortion_of(laid(cup(), 120))).endswith(", 71 % of it within 60° of the artwork's middle")


def test_true_width_is_the_arc_of_the_sector() -> None:
    """An arc of 70 mm nearest the apex turns the most; equal widths over a sector shear it, both by its distance."""
    sine, _, lower_mm = unrolled()
    lies = distortion_of(laid(cup()))
    assert lies.width_mm == pytest.approx(70)
    assert lies.angle_deg == pytest.approx(degrees(70 / lower_mm / sine), rel=1e-6)
    shear = 35 / lower_mm
    assert lies.stretch_high == pytest.approx(sqrt(1 + shear**2 / 4) + shear / 2, rel=1e-6)
    assert lies.stretch_low == pytest.approx(sqrt(1 + shear**2 / 4) - shear / 2, rel=1e-6)


def test_with_the_taper_a_line_round_grows_as_the_distance_from_the_apex() -> None:
    """A sector of constant angle: wider than drawn above its middle, narrower below, and the angle is the middle's."""
    sine, middle_mm, lower_mm = unrolled()
    lies = distortion_of(laid(cup(), surface_map="with-taper"))
    assert lies.width_mm == pytest.approx(70)
    assert lies.angle_deg == pytest.approx(degrees(70 / middle_mm / sine), rel=1e-6)
    assert (lies.stretch_low, lies.stretch_high) == pytest.approx(
        (lower_mm / middle_mm, (middle_mm + 25) / middle_mm), rel=1e-6
    )


def test_a_label_is_laid_on_the_unrolled_wall_as_it_is() -> None:
    """Flat on the sector nothing is stretched; the lower corners turn the most."""
    sine, _, lower_mm = unrolled()
    lies = distortion_of(laid(cup(), surface_map="label"))
    assert lies.angle_deg == pytest.approx(degrees(2 * atan2(35, lower_mm) / sine), rel=1e-6)
    assert (lies.stretch_low, lies.stretch_high) == pytest.approx((1, 1), abs=1e-9)
    assert ", not stretched, " in distortion_text(lies)


def test_on_a_cylinder_nothing_is_stretched() -> None:
    """A cylinder unrolls to a plane: true angle, factor 1; seen is what lies within 60 degrees of the middle."""
    lies = distortion_of(laid(cup(80, 80), 120))
    assert (lies.stretch_low, lies.stretch_high) == pytest.approx((1, 1))
    assert lies.angle_deg == pytest.approx(360 * 120 / (pi * 80))
    assert lies.visible_share == pytest.approx(2 * asin(sqrt(0.75)) * 40 / 120)
    assert (
        distortion_text(lies)
        == "120 mm wide, 172° round the item, not stretched, 70 % of it within 60° of the artwork's middle"
    )


def test_a_full_ring_goes_all_round() -> None:
    """Round the whole turn no angle is of use; a third of it is seen at once."""
    lies = distortion_of(laid(cup(80, 80), pi * 80, full_wrap=True))
    assert (
        distortion_text(lies) == "251 mm wide, all round, not stretched, 33 % of it within 60° of the artwork's middle"
    )
    assert lies.angle_deg == pytest.approx(360)
