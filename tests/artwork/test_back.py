"""The way back through the surface maps."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary.artwork.back import flat_from_wall_mm
from rotary.formulas.maps import MAPS
from rotary.formulas.revolution import straight_curve
from tests.curves import bent_curve

WALLS = {
    "cylinder": straight_curve(40.0, 0.0, 150.0),
    "narrows": straight_curve(44.0, -0.06, 150.0),
    "widens": straight_curve(30.0, 0.7, 150.0),
    "belly": bent_curve([0, 40, 80, 120, 150], [30, 38, 40, 36, 28]),
}


@pytest.mark.parametrize("wall", WALLS)
@pytest.mark.parametrize("name", MAPS)
@settings(deadline=None)
@given(u=st.floats(-27, 27), v=st.floats(-25, 25))
def test_the_way_back_undoes_every_map(name: str, wall: str, u: float, v: float) -> None:
    """What a map lays on the wall is found again where it was drawn, to a nanometre."""
    curve = WALLS[wall]
    if name == "label" and wall == "belly":
        with pytest.raises(ValueError, match="straight or evenly tapered"):
            flat_from_wall_mm(name, curve, 75.0, 75.0, 0.0)
        return
    s, angle = MAPS[name][0](curve, 75.0, u, v)
    back_u, back_v = flat_from_wall_mm(name, curve, 75.0, s, angle)
    assert (float(back_u), float(back_v)) == (pytest.approx(u, abs=1e-6), pytest.approx(v, abs=1e-6))


def test_the_far_side_is_not_seen_from_the_front() -> None:
    """A front view lays nothing past a quarter turn, so nothing is looked up there."""
    u, _ = flat_from_wall_mm("front-view", WALLS["cylinder"], 75.0, 75.0, [-1.6, 0.0, 1.6])
    assert np.isnan(u).tolist() == [True, False, True]
