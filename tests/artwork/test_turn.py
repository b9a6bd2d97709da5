"""Artwork that goes all round and past the back."""

from math import pi

import numpy as np
import pytest
from shapely import Point

from rotary.artwork.rings import area_mm2, bounds_mm, moved, rings_from_list, shapely_from_rings
from rotary.artwork.turn import once_round

BAR = rings_from_list([[(-0.4, 0), (0.4, 0), (0.4, 3), (-0.4, 3)], [(-0.1, 1), (-0.1, 2), (0.1, 2), (0.1, 1)]])


@pytest.mark.parametrize("turns", [0, 1, -1])
@pytest.mark.parametrize("angle", [-3.0, 0.3, pi, 2.9])
def test_ink_keeps_its_area_and_its_place_on_the_item(angle: float, turns: int) -> None:
    """Wherever it was laid, all ink lies within half a turn, and no place of the wall gains or loses any."""
    shown = once_round(moved(BAR, angle + 2 * pi * turns, 0.0))
    left, _, right, _ = bounds_mm(shown)
    assert -pi <= left < right <= pi
    assert area_mm2(shown) == pytest.approx(area_mm2(BAR), abs=1e-6)
    shape = shapely_from_rings(shown)
    for place, height, inked in ((0.0, 0.5, True), (0.0, 1.5, False), (0.3, 1.5, True), (0.5, 1.5, False)):
        around = (angle + place + pi) % (2 * pi) - pi
        assert shape.intersects(Point(around, height)) == inked


def test_ink_that_comes_in_on_other_ink_is_one_region() -> None:
    """Two bars on the same place, a turn apart, are one."""
    bar = [(-0.4, 0), (0.4, 0), (0.4, 3), (-0.4, 3)]
    twice = rings_from_list([bar, [(angle + 2 * pi + 0.1, height) for angle, height in bar]])
    assert area_mm2(once_round(twice)) == pytest.approx(3 * 0.9, abs=1e-6)


def test_ends_a_hair_off_the_back_lie_on_it() -> None:
    """A width written to a tenth of a micrometre closes without a sliver at the back."""
    ring = rings_from_list([[(-pi + 4e-7, 0), (pi - 4e-7, 0), (pi - 4e-7, 1), (-pi + 4e-7, 1)]])
    assert np.abs(once_round(ring).points_mm[:, 0]).tolist() == [pi] * 4


def test_more_than_a_few_turns_are_refused() -> None:
    """Nobody wraps a label three times round."""
    with pytest.raises(ValueError, match="several times"):
        once_round(moved(BAR, 20.0, 0.0))
