r"""What readings say about what can't be seen: least squares, uncertainty carried through, odd readings set aside.

::

      readings y (n,)  =  design (n, p)  x  unknowns (p,)  +  reading errors, standard deviation u (n,)

      beliefs about the unknowns (mean 0, standard deviation) are readings too: they keep what the readings
      can't see where it was believed to be, and say how well it is known there.

Sources: [gum] for the propagation; the least squares are the textbook's. Derivations: docs/formulas/estimate.md.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import Floats

HOLDS_95 = 1.959964
"""Half width that holds 95 % of a normal law, in standard deviations."""

BELOW_95 = 1.6448536269514722
"""What 95 % of a normal law lie below, in standard deviations."""

ODD_SIGMA = 3.5
"""A reading this many standard deviations from what the others say is odd: 1 in 2000 by chance, so that among
the dozen readings of a strip a good one is seldom thrown away."""

MOST_ODD_SHARE = 0.34
"""No more than this share of the readings may be odd; else nobody can say which ones are right."""


class Fit(NamedTuple):
    """Unknowns (p,), their covariance (p, p), the readings' residuals (n,), and the odd readings left out.

    `chi2_share` is chi squared over the degrees of freedom: near 1 where the readings scatter as expected.
    """

    values: Floats
    covariance: Floats
    residuals: Floats
    odd: tuple[int, ...]
    chi2_share: float


def least_squares(design: ArrayLike, readings: ArrayLike, u: ArrayLike, believed_u: ArrayLike = np.inf) -> Fit:
    """Weighted least squares of y = A x; beliefs x = 0 ± `believed_u` (p,) join in where they are finite.

    `u` (n,) are the readings' standard uncertainties. Raises ValueError where readings and beliefs together
    leave an unknown open. Source: textbook; checked against an independent solver.

    >>> fit = least_squares([[1, 0], [1, 1], [1, 2]], [1.0, 3.0, 5.0], [0.1, 0.1, 0.1])
    >>> fit.values.round(9).tolist(), float(np.sqrt(fit.covariance[1, 1]).round(4))
    ([1.0, 2.0], 0.0707)
    """
    a, y = np.atleast_2d(np.asarray(design, float)), np.atleast_1d(np.asarray(readings, float))
    s = np.broadcast_to(np.asarray(u, float), y.shape)
    believed = np.broadcast_to(np.asarray(believed_u, float), a.shape[1:])
    weighted = a / s[:, None]
    with np.errstate(divide="ignore"):
        precision = weighted.T @ weighted + np.diag(1 / believed**2)
    # Unknowns differ in size by orders of magnitude: each is scaled to its own precision before solving.
    scale = np.sqrt(np.diag(precision))
    if not np.all(scale > 0) or np.linalg.cond(precision / np.outer(scale, scale)) > 1e13:
        raise ValueError("there are too few readings")
    covariance = np.linalg.inv(precision / np.outer(scale, scale)) / np.outer(scale, scale)
    values = covariance @ (weighted.T @ (y / s))
    residuals = y - a @ values
    with np.errstate(divide="ignore"):
        misfit = float(np.sum((residuals / s) ** 2) + np.sum((values / believed) ** 2))
    freedom = len(y) + int(np.isfinite(believed).sum()) - len(values)
    return Fit(values, covariance, residuals, (), misfit / freedom if freedom > 0 else 1.0)


def least_squares_without_odd(
    design: ArrayLike, readings: ArrayLike, u: ArrayLike, believed_u: ArrayLike = np.inf
) -> Fit:
    """As `least_squares`, with readings that do not fit what all the others say left out, the worst first.

    A reading is compared with what the fit without it foretells, so one misreading can't hide itself.

    >>> fit = least_squares_without_odd(np.ones((5, 1)), [1.0, 1.01, 0.99, 1.0, 1.5], 0.01)
    >>> fit.odd, float(fit.values[0].round(6))
    ((4,), 1.0)
    """
    a, y = np.atleast_2d(np.asarray(design, float)), np.atleast_1d(np.asarray(readings, float))
    s = np.array(np.broadcast_to(np.asarray(u, float), y.shape))
    odd: list[int] = []
    most = int(MOST_ODD_SHARE * len(y))
    while True:
        kept = np.setdiff1d(np.arange(len(y)), odd)
        fit = least_squares(a[kept], y[kept], s[kept], believed_u)
        # Left-out residual over its own standard deviation: r / (s sqrt(1 - leverage)).
        leverage = np.einsum("ij,jk,ik->i", a[kept], fit.covariance, a[kept]) / s[kept] ** 2
        off = np.abs(fit.residuals) / (s[kept] * np.sqrt(np.maximum(1 - leverage, 1e-9)))
        if len(odd) >= most or not len(off) or off.max() <= ODD_SIGMA:
            return fit._replace(residuals=y - a @ fit.values, odd=tuple(sorted(odd)))
        odd.append(int(kept[np.argmax(off)]))


def propagated_u(sensitivities: ArrayLike, u: ArrayLike) -> float:
    """Combined standard uncertainty of a result, sqrt(sum (c_i u_i)²), of inputs that know nothing of each other.

    `sensitivities` and `u` (n,). Source: [gum], clause 5.1.2 equation (10) (from memory, not seen).

    >>> propagated_u([1.0, 2.0], [0.3, 0.2])
    0.5
    """
    return float(np.sqrt(np.sum((np.asarray(sensitivities, float) * np.asarray(u, float)) ** 2)))


def shares_of_variance(sensitivities: ArrayLike, u: ArrayLike) -> Floats:
    """What each independent input (n,) contributes to the result's variance; they add up to 1, or are all 0.

    >>> shares_of_variance([1.0, 2.0], [0.3, 0.2]).round(2).tolist()
    [0.36, 0.64]
    """
    parts = (np.asarray(sensitivities, float) * np.asarray(u, float)) ** 2
    total = parts.sum()
    return np.asarray(parts / total if total > 0 else parts)


def log_evidence(design: ArrayLike, readings: ArrayLike, u: ArrayLike, believed_u: ArrayLike) -> float:
    """How well a belief foretells the readings: log density of y under N(0, A B A' + R).

    The larger it is, the better the belief; a belief that allows for more is paid for by a wider density, so
    that a simpler explanation wins where both fit. Source: textbook (Gaussian marginal likelihood).

    >>> round(log_evidence([[1.0]], [0.0], [1.0], [0.0]), 6)
    -0.918939
    """
    a, y = np.atleast_2d(np.asarray(design, float)), np.atleast_1d(np.asarray(readings, float))
    b = np.asarray(believed_u, float)
    spread = (a * b**2) @ a.T + np.diag(np.broadcast_to(np.asarray(u, float), y.shape) ** 2)
    lower = np.linalg.cholesky(spread)
    white = np.linalg.solve(lower, y)
    return float(-0.5 * (white @ white + len(y) * np.log(2 * np.pi)) - np.sum(np.log(np.diag(lower))))
