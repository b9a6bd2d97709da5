"""The paper round the item: unstretched on cones, touching on bellies."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary.formulas.maps import decal
from rotary.formulas.revolution import radius_mm, straight_curve
from rotary.template.paper import TapePaper, flat_mm, paper_round
from tests.curves import bent_curve

SLOPES = st.one_of(st.just(0.0), st.floats(-0.8, 0.8), st.floats(-1e-7, 1e-7))


@settings(deadline=None)
@given(slope=SLOPES, s=st.floats(0, 100), angle=st.floats(-math.pi, math.pi), along=st.floats(0, 2 * math.pi))
def test_paper_on_a_cone_is_not_stretched(slope: float, s: float, angle: float, along: float) -> None:
    """A short step on the wall, in any direction, is as long on the flat paper."""
    paper = TapePaper(100.0, slope, 0.0, 50.0)
    radius, g, step = 100.0 + slope * s, math.hypot(1.0, slope), 1e-4
    ends = [
        flat_mm(paper, s + sign * step * math.cos(along) / g, angle + sign * step * math.sin(along) / radius)
        for sign in (-1, 1)
    ]
    length = math.dist([float(v) for v in ends[0]], [float(v) for v in ends[1]])
    assert length == pytest.approx(2 * step, rel=1e-7)


@settings(deadline=None)
@given(slope=SLOPES, u=st.floats(-60, 60), v=st.floats(-30, 30))
def test_the_flat_paper_undoes_the_decal_map(slope: float, u: float, v: float) -> None:
    """What the decal map lays on the item lies on the flat paper where it was drawn."""
    curve = straight_curve(100.0, slope, 100.0)
    s, angle = decal(curve, 50.0, u, v)
    x, y = flat_mm(TapePaper(100.0, slope, 0.0, 50.0), s, angle)
    assert (float(x), float(y)) == (pytest.approx(u, abs=1e-8), pytest.approx(v, abs=1e-8))


def ring_mm(paper: TapePaper, s_mm: float, around_rad: float = 2 * math.pi) -> float:
    """Length on the flat paper of a level line at a height, measured along it in small steps [mm]."""
    turn = np.linspace(-around_rad / 2, around_rad / 2, 60_001)
    return float(np.hypot(*np.diff(np.stack(flat_mm(paper, np.full(len(turn), s_mm), turn)), axis=1)).sum())


@pytest.mark.parametrize(("slope", "s"), [(0.0, 20.0), (-0.06, 20.0), (0.839, 0.0)])
def test_thickness_lengthens_a_turn_by_half_of_it(slope: float, s: float) -> None:
    """Paper bends about its middle: a turn is longer by pi times its thickness, square to the wall."""
    thin, thick = TapePaper(40.0, slope, 0.0, 50.0), TapePaper(40.0, slope, 0.1, 50.0)
    longer = ring_mm(thick, s) - ring_mm(thin, s)
    assert longer == pytest.approx(2 * math.pi * 0.1 * math.cos(math.atan(slope)))


@settings(deadline=None)
@given(
    radii=st.lists(st.floats(20, 40), min_size=3, max_size=6),
    other=st.floats(-1.0, 1.0),
)
def test_the_paper_encloses_a_belly_and_no_other_cone_does_better(radii: list[float], other: float) -> None:
    """The paper lies on or outside the wall everywhere, touches it, and a cone of any other slope stands off more."""
    curve = bent_curve(np.linspace(0, 100, len(radii)), radii)
    paper, misfit = paper_round(curve, 0.0, 100.0, 50.0, 0.1)
    s = np.linspace(0, 100, 1025)
    off = paper.radius_at_zero_mm + paper.slope * s - radius_mm(curve, s)
    assert off.min() == pytest.approx(0.0, abs=1e-9)
    assert off.max() * math.cos(math.atan(paper.slope)) == pytest.approx(misfit.stands_off_mm, abs=1e-9)
    assert misfit.longer_mm == pytest.approx(2 * math.pi * off.max(), abs=1e-9)
    assert np.ptp(radius_mm(curve, s) - other * s) >= off.max() - 1e-6


def test_a_prism_is_folded_at_its_corners() -> None:
    """On six flats a turn is six flats long, and a corner lies half a flat from the middle of the paper."""
    paper = TapePaper(8.0, 0.0, 0.0, 10.0, flats=6)
    flat = 16 * math.tan(math.pi / 6)
    assert ring_mm(paper, 0.0) == pytest.approx(6 * flat)
    x, y = flat_mm(paper, 12.0, [0.0, math.pi / 6 - 1e-12, math.pi / 3, -math.pi + 1e-12])
    assert x.tolist() == pytest.approx([0.0, flat / 2, flat, -3 * flat])
    assert y.tolist() == [2.0] * 4
