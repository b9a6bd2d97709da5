r"""Where a step motor stops: what two stops leave at a seam, what a test on tape says of it, whole cycles.

Shares are of a full step. In a two-phase motor four full steps are one electrical cycle: stops that are whole cycles
apart meet the same currents, and what repeats with the cycle is alike at both, so no seam shows it. Derivations:
docs/formulas/motion.md.
"""

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas.arrays import floats
from rotary.formulas.tape import VERNIER_MM

CYCLES: Final[dict[str, int | None]] = {"two-phase": 4, "three-phase": 6, "closed-loop": None, "unknown": 4}
"""Full steps of one electrical cycle by the kind of motor; None where an encoder places it. Common practice: most
rotaries have two-phase motors, so one that is not known counts as one."""

SEAM_SHARE: Final = 0.05 * (2 / 3) ** 0.5
"""Standard deviation of what two stops leave at a seam, before any test: makers state each stop to ± 5 %, not adding
up; a rectangle of that has 0.05/√3, the difference of two √2 times that."""

BELIEVED_FREEDOM: Final = 2
TESTED_FREEDOM: Final = 7
"""Degrees of freedom that the belief counts as, and that eight seams of nine stops have about their own mean."""


def seam_share_in_row(gaps_mm: ArrayLike, full_step_mm: float, u_mm: float) -> float:
    """Standard deviation at a seam, as a share of a full step, from the gaps (n,) read along one row on tape.

    s² = variance - 0.02²/12 - u²: what whole divisions of the vernier and reading add is taken off. A constant part,
    as from a turn that is off, drops out with the mean. `full_step_mm` is the arc of a full step on the tape, `u_mm`
    the standard uncertainty of a reading.

    >>> round(seam_share_in_row([0.02, -0.04, 0.0, 0.06, -0.02, -0.02, 0.04, -0.04], 1.26, 0.005), 4)
    0.0288
    """
    variance = float(np.var(floats(gaps_mm), ddof=1)) - VERNIER_MM**2 / 12 - u_mm**2
    return math.sqrt(max(variance, 0.0)) / full_step_mm


def folded_seam_share(read_share: float) -> float:
    """What a row says, folded with what is believed of any motor: sqrt((2 σ0² + 7 s²)/9).

    >>> round(folded_seam_share(0.02), 4)
    0.0261
    """
    b, t = BELIEVED_FREEDOM, TESTED_FREEDOM
    return math.sqrt((b * SEAM_SHARE**2 + t * read_share**2) / (b + t))


def normal_equivalent(share: float) -> float:
    """A folded share as the standard deviation of a normal law that holds as often: times sqrt(ν/(ν - 1.2)), ν = 9.

    So few seams know their own scatter to a quarter; the wider tails of that are in the factor.

    >>> round(normal_equivalent(0.1), 4)
    0.1074
    """
    freedom = BELIEVED_FREEDOM + TESTED_FREEDOM
    return share * math.sqrt(freedom / (freedom - 1.2))


def cycle_microsteps(kind: str, microsteps: int) -> int | None:
    """Microsteps of one electrical cycle; None where the motor's kind knows none.

    >>> cycle_microsteps("two-phase", 16), cycle_microsteps("closed-loop", 16)
    (64, None)
    """
    full = CYCLES[kind]
    return None if full is None else full * microsteps


def backlash_mm(there_mm: ArrayLike, back_mm: ArrayLike) -> float:
    """The drive's play along the wall, from the same seams (n,) with all slices reached from one side, then with every
    other slice reached from the other side: such a slice stands off by the play, so seams open and close in turn.

    >>> round(backlash_mm([0.02, 0.0, 0.04], [0.1, -0.06, 0.1]), 4)
    0.0667
    """
    change = floats(back_mm) - floats(there_mm)
    return abs(float(np.mean(change * (-1.0) ** np.arange(len(change)))))
