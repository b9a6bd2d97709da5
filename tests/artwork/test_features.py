"""Thin features: known widths against known spots."""

import pytest

from rotary.artwork.features import features
from rotary.artwork.rings import rings_from_list, rings_from_shapely
from rotary.artwork.text import Lettering, drawing_from_text


def comb(teeth_mm: list[float], gap_mm: float = 2.0) -> tuple[object, float]:
    """A bar of 5 mm with teeth of given widths, 10 mm long, and the area of all teeth."""
    shapely = pytest.importorskip("shapely")
    x, parts = 0.0, []
    for width in teeth_mm:
        parts.append(shapely.box(x, 0, x + width, 10))
        x += width + gap_mm
    parts.append(shapely.box(-1, -5, x, 0))
    return rings_from_shapely(shapely.union_all(parts)), 10 * sum(teeth_mm)


@pytest.mark.parametrize("spot", [0.05, 0.2, 1.0])
def test_exactly_the_teeth_thinner_than_the_spot_are_lost(spot: float) -> None:
    """Of five teeth the two that are thinner than the spot are lost, whole but for their roots."""
    ink, _ = comb([0.5 * spot, 0.9 * spot, 1.1 * spot, 2 * spot, 5 * spot])
    found = features(ink, spot)  # type: ignore[arg-type]
    assert len(found.thin) == 2
    thin_mm2 = 10 * 1.4 * spot
    assert sum(place.area_mm2 for place in found.thin) == pytest.approx(thin_mm2, rel=0.06 if spot < 1 else 0.12)
    assert found.thin[0].reach_mm == pytest.approx(10, abs=2 * spot)


@pytest.mark.parametrize("spot", [0.05, 0.2, 1.0])
def test_exactly_the_gaps_narrower_than_the_spot_fill_up(spot: float) -> None:
    """Gaps of 0.9 spots fill, gaps of 1.1 stay."""
    for gap, count in ((0.9 * spot, 3), (1.1 * spot, 0)):
        ink, _ = comb([5 * spot] * 4, gap)
        assert len(features(ink, spot).narrow) == count  # type: ignore[arg-type]


def test_corners_are_not_called_thin() -> None:
    """A square loses its corners to any round spot: that is not a feature to warn of."""
    square = rings_from_list([[(0, 0), (10, 0), (10, 10), (0, 10)]])
    found = features(square, 1.0)
    assert found.thin == ()
    assert found.lost_share == 0.0


def test_a_wider_spot_never_loses_less() -> None:
    """Loss grows with the spot, from nothing to everything."""
    ink = drawing_from_text(Lettering(text="Oarsmen", letter_height_mm=5.0)).ink
    shares = [features(ink, spot).lost_share for spot in (0.01, 0.1, 0.3, 0.5, 0.8, 1.5)]
    assert shares == sorted(shares)
    assert shares[0] < 0.001
    assert shares[-1] == pytest.approx(1.0)


def test_no_ink_has_no_thin_places_and_no_spot_is_no_question() -> None:
    """The empty region is answered, a spot of no width refused."""
    assert features(rings_from_list([]), 0.1).thin == ()
    with pytest.raises(ValueError, match="width"):
        features(rings_from_list([]), 0.0)
