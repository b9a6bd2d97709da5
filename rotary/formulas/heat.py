"""Heat: the pulses before, the wall over a pass, the patch over all the passes.

Symbols: k conductivity [W/(m K)], rho density [kg/m^3], c specific heat [J/(kg K)],
D = k / (rho c) diffusivity, given here in [mm^2/s]. Temperatures are rises in [K].
"""

import math

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats

# numpy has no error function; a table that is straight between points 1/500 apart errs by less than 5e-7.
_ERF_FAR = 5.0
_ERF_PER_UNIT = 500.0
_ERF = np.array([math.erf(i / _ERF_PER_UNIT) for i in range(int(_ERF_FAR * _ERF_PER_UNIT) + 2)])
_ERF_STEP = np.diff(_ERF)


def _erf(x: Floats) -> Floats:
    if not np.ndim(x):
        return np.asarray(math.erf(x))
    # In place: the heat of a search is mostly this.
    at = np.abs(x)
    np.minimum(at, _ERF_FAR, out=at)
    at *= _ERF_PER_UNIT
    row = at.astype(np.intp)
    at -= row
    at *= _ERF_STEP.take(row)
    at += _ERF.take(row)
    return np.copysign(at, x, out=at)


def diffusivity_mm2_s(conductivity_w_mk: ArrayLike, density_kg_m3: ArrayLike, heat_j_kgk: ArrayLike) -> Floats:
    """How fast heat spreads, k / (rho c) in [mm^2/s]; (...) floats that broadcast.

    >>> diffusivity_mm2_s(16.2, 8000.0, 500.0).round(3).item()
    4.05
    """
    k, rho, c = (np.asarray(value, float) for value in (conductivity_w_mk, density_kg_m3, heat_j_kgk))
    return np.asarray(1e6 * k / (rho * c))


def wall_rise_k(
    dose_j_mm2: ArrayLike, share: ArrayLike, wall_mm: ArrayLike, density_kg_m3: ArrayLike, heat_j_kgk: ArrayLike
) -> Floats:
    """Rise of a thin wall that keeps `share` of a dose, nothing lost: share H / (rho c wall) [K].

    (...) floats that broadcast.

    >>> wall_rise_k(0.40, 0.4, 0.5, 8000.0, 500.0).round(1).item()
    80.0
    """
    per_mm3 = np.asarray(density_kg_m3, float) * np.asarray(heat_j_kgk, float) * 1e-9
    kept = np.asarray(share, float) * np.asarray(dose_j_mm2, float)
    return np.asarray(kept / (per_mm3 * np.asarray(wall_mm, float)))


def remaining_share(
    width_mm: ArrayLike,
    diffusivity: ArrayLike,
    time_s: ArrayLike,
    away_mm: ArrayLike = 0.0,
    period_mm: float | None = None,
) -> Floats:
    """Share of a strip's rise that a place still has after a while, heat spreading across the strip only.

    (...) floats that broadcast; the place lies `away_mm` from the strip's middle line. With a
    `period_mm` the sheet closes on itself (once round the item). In the middle it is
    erf(width / (4 sqrt(D t))); a rectangle is the product of two. Source: carslaw1959, section 2.2.

    >>> remaining_share(10.0, 4.0, [0.0, 1.0, 100.0]).round(4)
    array([1.    , 0.9229, 0.1403])
    >>> remaining_share(10.0, 4.0, 1e6, period_mm=100.0).round(4).item()     # evened out all round
    0.1
    """
    spread = 2 * np.sqrt(np.asarray(diffusivity, float) * np.maximum(np.asarray(time_s, float), 1e-12))
    half, away = np.asarray(width_mm, float) / 2, np.asarray(away_mm, float)
    if period_mm is None:
        return np.asarray(_erf((away + half) / spread) - _erf((away - half) / spread)) / 2
    if np.ndim(away_mm) == 0 and away_mm == 0:
        # Seen from the strip's middle the two sides, and the two images beside it, are alike.
        own, far, near = _erf(np.stack([edge / spread for edge in (half, period_mm + half, period_mm - half)]))
        return np.where(spread > 0.8 * period_mm, np.minimum(1.0, 2 * half / period_mm), own + far - near)
    # Three images serve (to 2 in 1000) until heat has gone most of the way round; from there on the ring is even.
    dimensions = max(away.ndim, half.ndim, spread.ndim)
    middles = np.array([0.0, -period_mm, period_mm]).reshape(3, *(1,) * dimensions) + away
    kept = (_erf((middles + half) / spread) - _erf((middles - half) / spread)).sum(axis=0) / 2
    return np.where(spread > 0.8 * period_mm, np.minimum(1.0, 2 * half / period_mm), kept)


# From so many L^2 / D on the last term is less than the digits hold.
_EVEN = 4.0


def depth_factor(diffusivity: ArrayLike, time_s: ArrayLike, thickness_mm: ArrayLike) -> Floats:
    """Surface rise after heat was laid on one face, over the rise once it is even through the thickness.

    (...) floats that broadcast. Thick at first, L / sqrt(pi D t); 1 from about t = L^2 / D on.
    The far face is taken to lose nothing (a vacuum, air). Source: carslaw1959, section 3.4.

    >>> depth_factor(4.05, [1e-4, 1.0, 1000.0], 0.5).round(3)
    array([14.017,  1.   ,  1.   ])
    """
    thickness = np.asarray(thickness_mm, float)
    fourier = np.maximum(np.asarray(diffusivity, float) * np.asarray(time_s, float) / thickness**2, 1e-12)
    if float(np.min(fourier, initial=np.inf)) > _EVEN:
        return np.ones_like(fourier)
    # Two forms of one theta function: each converges at once where the other one does not.
    early = (1 + 2 * np.exp(-1 / fourier)) / np.sqrt(np.pi * fourier)
    late = 1 + 2 * np.exp(-(np.pi**2) * fourier) + 2 * np.exp(-4 * np.pi**2 * fourier)
    return np.asarray(np.where(fourier < 0.3, early, late))


# Pulses nearer than so many spot radii are too many to be added up one by one.
_DENSE = 0.01


def train_share(
    pulse_width_ns: ArrayLike, frequency_khz: ArrayLike, pitch_mm: ArrayLike, spot_radius_mm: ArrayLike
) -> Floats:
    """What the pulses before still add at the surface, as a share of a pulse's own rise, in a scanned line.

    (...) floats that broadcast; the same for any metal and absorptivity. Pulse k before left
    F0 exp(-2 (k p / w)^2), which has fallen as k^(-1/2): sqrt(tau f) / 2 times the sum over k.
    Heat spreads into the depth only: right while sqrt(D w / v) stays well below w. Source:
    carslaw1959, section 2.9; weber2014 for the build-up of heat, the sum from memory.

    >>> train_share(100.0, [35.0, 600.0], [0.05, 0.01], [0.195, 0.037]).round(3)
    array([0.046, 0.181])
    """
    tau_s, rate_hz = np.asarray(pulse_width_ns, float) * 1e-9, np.asarray(frequency_khz, float) * 1e3
    ratio = np.asarray(pitch_mm, float) / np.asarray(spot_radius_mm, float)
    # 2.2 spot radii back a pulse has left less than a ten-thousandth.
    before = np.arange(1, max(int(2.2 / max(float(np.min(ratio, initial=1.0)), _DENSE)), 1) + 1)
    left = (np.exp(-2 * np.square(np.multiply.outer(ratio, before))) / np.sqrt(before)).sum(axis=-1)
    # The sum of many pulses is its integral, gamma(1/4) / 2 (2 r^2)^(-1/4), and zeta(1/2) (Euler and Maclaurin).
    many = 1.812804954 / np.sqrt(np.sqrt(2) * ratio) - 1.460354509
    return np.asarray(np.sqrt(tau_s * rate_hz) / 2 * np.where(ratio < _DENSE, many, left))


def air_share(time_s: ArrayLike, loss_w_m2k: ArrayLike, thickness_mm: ArrayLike, per_mm3_j_k: ArrayLike) -> Floats:
    """Share of a wall's rise that the air has not taken after a while, exp(-h t / (rho c L)).

    (...) floats that broadcast; `per_mm3_j_k` is rho c in [J/(mm^3 K)]. Source: carslaw1959, section 1.9.

    >>> air_share(200.0, 10.0, 0.5, 0.004).round(4).item()
    0.3679
    """
    time_constant_s = (
        np.asarray(per_mm3_j_k, float) * np.asarray(thickness_mm, float) * 1e6 / np.asarray(loss_w_m2k, float)
    )
    return np.asarray(np.exp(-np.maximum(np.asarray(time_s, float), 0.0) / time_constant_s))
