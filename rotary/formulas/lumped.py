"""Warmth of a small solid part while it is cut: at first as if it had no end, then as one lump.

::

      t << L²/D : heat has not reached the other side      2 q sqrt(t / (π k ρ c))
      t >> L²/D : the part is warm all through             P/(h A) (1 - exp(-h A t / (m c)))

Derivations: docs/formulas/heat.md.
"""

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats
from rotary.formulas.revolution import Curve

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(4)  # exact up to degree 7; the square of a cubic has 6


def solid_volume_mm3(curve: Curve) -> float:
    """Volume of the solid that a meridian encloses, π ∫ r² ds [mm³], exact for its piecewise cubics.

    >>> from rotary.formulas.revolution import straight_curve
    >>> round(solid_volume_mm3(straight_curve(11.0, 0.0, 16.0)), 3)
    6082.123
    """
    step = np.diff(curve.s_mm)
    x = step[:, None] * (_NODES + 1) / 2
    c = curve.coefficients[:, :, None]
    radius = c[0] + x * (c[1] + x * (c[2] + x * c[3]))
    return float(np.pi * np.sum(radius**2 * _WEIGHTS * step[:, None] / 2))


def half_space_rise_k(
    flux_w_mm2: ArrayLike,
    time_s: ArrayLike,
    conductivity_w_mk: ArrayLike,
    density_kg_m3: ArrayLike,
    heat_j_kgk: ArrayLike,
) -> Floats:
    """Rise of the face of an endless body after a steady flux that it takes up, 2 q sqrt(t / (π k ρ c)) [K].

    (...) floats that broadcast. Source: carslaw1959, section 2.9.

    >>> half_space_rise_k(0.05, 10.0, 120.0, 8530.0, 380.0).round(2).item()
    9.05
    """
    product = np.asarray(conductivity_w_mk, float) * np.asarray(density_kg_m3, float) * np.asarray(heat_j_kgk, float)
    flux = np.asarray(flux_w_mm2, float) * 1e6
    return np.asarray(2 * flux * np.sqrt(np.asarray(time_s, float) / (np.pi * product)))


def lumped_rise_k(
    power_w: ArrayLike, time_s: ArrayLike, mass_g: ArrayLike, heat_j_kgk: ArrayLike, loss_w_k: ArrayLike
) -> Floats:
    """Rise of a part that is warm all through and loses `loss_w_k` to air and chuck, after steady power [K].

    (...) floats that broadcast; without a loss P t / (m c). Source: textbook; carslaw1959, section 1.9.

    >>> lumped_rise_k(3.6, [60.0, 1e9], 51.9, 380.0, [0.0, 0.02]).round(2)
    array([ 10.95, 180.  ])
    """
    p, t, loss = np.asarray(power_w, float), np.asarray(time_s, float), np.asarray(loss_w_k, float)
    capacity = np.asarray(mass_g, float) * 1e-3 * np.asarray(heat_j_kgk, float)
    x = loss * t / capacity
    # (1 - exp(-x)) / x is 1 where nothing is lost.
    share = np.where(x > 0, -np.expm1(-x) / np.where(x > 0, x, 1.0), 1.0)
    return np.asarray(p * t / capacity * share)
