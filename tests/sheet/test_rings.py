"""The region format: what goes in comes out, and areas are those of an independent library."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary.artwork.rings import (
    NO_INK,
    area_mm2,
    bounds_mm,
    joined,
    list_from_rings,
    moved,
    ring_areas_mm2,
    rings_from_list,
    rings_from_shapely,
    scaled,
    shapely_from_rings,
)


def nested(depth: int) -> shapely.Geometry:
    """Rings within rings, ink and white by turns."""
    shape: shapely.Geometry = shapely.Polygon()
    for k in range(1, depth + 1):
        shape = shapely.Point(3, -2).buffer(k * 1.5) - shape
    return shape


@given(depth=st.integers(1, 9), x=st.floats(-500, 500), y=st.floats(-500, 500))
@settings(max_examples=25, deadline=None)
def test_a_region_goes_to_rings_and_back_unchanged(depth: int, x: float, y: float) -> None:
    """Holes find the outer ring that they belong to, however deep rings lie in rings and wherever they lie."""
    here = np.array([x, y])
    shape = shapely.union_all([shapely.transform(nested(depth), lambda p: p + here), shapely.box(900, 900, 901, 902)])
    rings = rings_from_shapely(shape)
    back = shapely_from_rings(rings)
    assert shapely.is_valid(back)
    assert shapely.symmetric_difference(back, shape).area == pytest.approx(0, abs=1e-9)
    assert area_mm2(rings) == pytest.approx(shape.area, rel=1e-12)


def test_outer_rings_are_positive_and_holes_negative() -> None:
    """So areas add up and the even-odd and the non-zero rule agree."""
    rings = rings_from_shapely(nested(3))
    assert sorted(np.sign(ring_areas_mm2(rings)).tolist()) == [-1, 1, 1]


def test_collections_give_their_polygons_and_nothing_else() -> None:
    """Points and lines enclose no ink."""
    mixed = shapely.GeometryCollection(
        [shapely.box(0, 0, 2, 1), shapely.Point(9, 9), shapely.LineString([(0, 0), (9, 9)])]
    )
    assert area_mm2(rings_from_shapely(mixed)) == 2.0
    assert rings_from_shapely(shapely.Point(1, 1)) is NO_INK


def test_mirroring_keeps_ink_positive() -> None:
    """A mirrored region is turned round again, hole for hole."""
    rings = rings_from_shapely(nested(4))
    mirrored = scaled(rings, -2.0, 3.0)
    assert area_mm2(mirrored) == pytest.approx(6 * area_mm2(rings))
    assert shapely.is_valid(shapely_from_rings(mirrored))
    with pytest.raises(ValueError, match="to nothing"):
        scaled(rings, 0.0, 1.0)


def test_no_ink_is_no_trouble() -> None:
    """Empty regions pass through everything and only have no bounds."""
    assert joined([NO_INK, NO_INK]) is NO_INK
    assert area_mm2(moved(NO_INK, 1, 1)) == 0.0
    assert list_from_rings(NO_INK) == []
    assert shapely_from_rings(NO_INK).is_empty
    assert rings_from_list([[(0, 0), (1, 1)]]) is NO_INK
    with pytest.raises(ValueError, match="without ink"):
        bounds_mm(NO_INK)


def test_a_hole_outside_every_ring_is_refused() -> None:
    """A region that is none is not silently turned into one."""
    with pytest.raises(ValueError, match="outside"):
        shapely_from_rings(rings_from_list([[(0, 0), (0, 1), (1, 0)], [(5, 5), (6, 5), (6, 6)]]))
