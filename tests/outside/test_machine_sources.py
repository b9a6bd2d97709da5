"""What the machine reckons, against reference libraries and published rules.

Sources: JCGM 100:2008 (GUM), clause 5.1.2 eq. (10) and 5.2.2 eq. (13), from memory, not seen; ISO 11146-1, the
hyperbolic fit of a beam's caustic, from memory, not seen; scipy 1.x as an independent solver.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import curve_fit, least_squares, lsq_linear
from scipy.stats import multivariate_normal

from rotary.formulas import estimate, tape


@given(st.integers(0, 10_000), st.integers(1, 5), st.integers(0, 12))
def test_least_squares_is_scipys(seed: int, unknowns: int, more: int) -> None:
    """Weighted least squares gives the solution of scipy's own solver."""
    rng = np.random.default_rng(seed)
    design = rng.normal(size=(unknowns + more + 1, unknowns))
    y, u = rng.normal(size=len(design)), rng.uniform(0.01, 2, len(design))
    ours = estimate.least_squares(design, y, u)
    theirs = lsq_linear(design / u[:, None], y / u, lsq_solver="exact")
    assert ours.values == pytest.approx(theirs.x, rel=1e-5, abs=1e-7)


def test_the_covariance_is_scipys() -> None:
    """The covariance of a weighted straight line is curve_fit's with absolute uncertainties."""
    x = np.linspace(0, 5, 9)
    y, u = 1 + 2 * x + 0.01 * np.sin(9 * x), np.linspace(0.02, 0.05, 9)
    ours = estimate.least_squares(np.stack([np.ones(9), x], 1), y, u)
    values, covariance = curve_fit(lambda t, a, b: a + b * t, x, y, sigma=u, absolute_sigma=True)
    assert ours.values == pytest.approx(values, rel=1e-6)
    assert ours.covariance == pytest.approx(covariance, rel=1e-5)


def test_beliefs_join_in_as_a_bayesian_linear_model() -> None:
    """With beliefs the result is the mean and covariance of the conditional normal law, by another formula."""
    rng = np.random.default_rng(3)
    a, y, u, b = rng.normal(size=(4, 3)), rng.normal(size=4), np.full(4, 0.3), np.array([0.5, 1.0, 2.0])
    ours = estimate.least_squares(a, y, u, b)
    prior = np.diag(b**2)
    gain = prior @ a.T @ np.linalg.inv(a @ prior @ a.T + np.diag(u**2))
    assert ours.values == pytest.approx(gain @ y, rel=1e-9)
    assert ours.covariance == pytest.approx(prior - gain @ a @ prior, rel=1e-8, abs=1e-12)


def test_the_evidence_is_the_density_of_the_readings() -> None:
    """Log evidence against scipy's multivariate normal."""
    rng = np.random.default_rng(5)
    a, y, u, b = rng.normal(size=(4, 2)), rng.normal(size=4), np.full(4, 0.4), np.array([0.7, 1.5])
    spread = a @ np.diag(b**2) @ a.T + np.diag(u**2)
    assert estimate.log_evidence(a, y, u, b) == pytest.approx(multivariate_normal(np.zeros(4), spread).logpdf(y))


def test_propagation_is_that_of_the_gum() -> None:
    """JCGM 100 clause 5.1.2 (from memory, not seen): against draws of the inputs."""
    c, u = np.array([1.5, -0.4, 2.0]), np.array([0.1, 0.5, 0.05])
    drawn = np.random.default_rng(7).normal(0.0, u, (400_000, 3)) @ c
    assert estimate.propagated_u(c, u) == pytest.approx(float(drawn.std()), rel=0.01)


def test_pupil_height_from_two_lines_is_where_the_rays_come_from() -> None:
    """Rays from a mirror 187 mm over the focal plane, cut by two planes: their lengths give the 187 mm back."""
    pupil, half = 187.0, 70.0
    angle = np.arctan2(half, pupil)
    low, high = -6.0, 9.0
    lengths = []
    for plane in (low, high):
        # Step down the ray until the plane is met: no formula of ours is used.
        t = np.linspace(0, 400, 400_001)
        z = pupil - t * np.cos(angle)
        at = float(np.interp(-plane, -z, t))
        lengths.append(2 * at * np.sin(angle))
    found = tape.pupil_from_lines_mm(2 * half, lengths[0], lengths[1], high - low, 0.05)
    assert found.value == pytest.approx(pupil, rel=1e-6)


def test_the_uncertainty_of_a_pupil_height_is_that_of_draws() -> None:
    """Three lengths misread at random spread the result as the law of propagation says."""
    rng = np.random.default_rng(2)
    low, high, apart = (rng.normal(v, 0.05, 200_000) for v in (147.0, 140.0, 15.0))
    drawn = 140 * apart / (low - high)
    assert tape.pupil_from_lines_mm(140, 147, 140, 15, 0.05).u == pytest.approx(float(drawn.std()), rel=0.02)


@pytest.mark.parametrize("seed", range(5))
def test_the_waist_is_that_of_a_hyperbola_fitted_by_scipy(seed: int) -> None:
    """Stairs with noise: focal plane, Rayleigh length and waist as scipy's fit of the hyperbola gives them."""
    rng = np.random.default_rng(seed)
    z = np.linspace(-6, 6, 13)
    widths = 0.06 * np.sqrt(1 + ((z - 0.8) / 2.2) ** 2) + rng.normal(0, 0.001, 13)
    ours = tape.waist_from_stairs(z, widths, 0.001)

    def miss(p: np.ndarray) -> np.ndarray:
        return np.asarray((p[2] * np.sqrt(1 + ((z - p[0]) / p[1]) ** 2) - widths) / 0.001)

    theirs = least_squares(miss, [0.0, 2.0, 0.05])
    u = np.sqrt(np.diag(np.linalg.inv(theirs.jac.T @ theirs.jac)))
    for found, value, spread in zip(ours, theirs.x, u, strict=True):
        assert abs(found.value - value) < 0.5 * spread
        assert 0.8 * spread < found.u < 2.5 * spread


def test_a_vernier_reads_the_offset_to_its_last_tick() -> None:
    """Two scales laid side by side, moved by a known step: the nearest pair of lines is the one that is read."""
    for step in np.arange(-0.14, 0.141, 0.02):
        ticks = np.arange(-8, 9)
        left, right = ticks * 0.4, ticks * (0.4 - tape.VERNIER_MM) + step
        read = int(ticks[np.argmin(np.abs(left - right))])
        assert float(tape.vernier_step_mm(read)) == pytest.approx(step, abs=1e-9)


@given(st.floats(-0.4, 0.4), st.floats(-3, 3), st.floats(-0.04, 0.04))
def test_witness_ticks_give_back_how_the_item_was_put(turned: float, up: float, skew: float) -> None:
    """An item turned, moved and set askew in space: its ticks' coordinates give the three back."""
    r1, r2, apart = 44.0, 35.0, 90.0
    ends = []
    for r, along in ((r1, -apart / 2), (r2, apart / 2)):
        x, y = r * np.sin(turned), along
        ends.append((x + y * np.tan(skew), y + up - along))
    found = tape.shift_from_ticks(*ends[0], *ends[1], r1, r2, apart)
    assert found.turned_rad == pytest.approx(turned, abs=1e-9)
    assert found.towards_rim_mm == pytest.approx(up, abs=1e-9)
    assert found.skew_rad == pytest.approx(skew, abs=1e-9)
