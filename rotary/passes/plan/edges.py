"""How far a setting stands from the edges of the process window."""

from typing import Final

import numpy as np

from rotary.formulas.arrays import Floats
from rotary.laser import Optics
from rotary.passes.beliefs.draws import Material
from rotary.passes.plan.grid import Light
from rotary.passes.plan.setting import Edges, Setting
from rotary.passes.plan.typed_settings import grid_from
from rotary.passes.plan.window import Passes, passes

_FACTORS: Final = np.geomspace(0.25, 4.0, 33)
_MIDDLE: Final = len(_FACTORS) // 2
MOST_PASSES: Final = 30
"""More than these, or than are planned, are not looked at."""
_ENOUGH_DRAWS: Final = 250


def edges_of(setting: Setting, material: Material, optics: Optics, light: Light) -> Edges:
    """Power and passes between which the chance stays above half of the setting's own.

    A few hundred draws are enough for where a chance has halved. Heat is left out: pauses see to it.
    """
    few = material.first(_ENOUGH_DRAWS)
    some, scaled = few.draws, grid_from(setting).scaled(_FACTORS)
    seen = passes(scaled, few, setting.pulse_width_ns, optics, light.spread(len(_FACTORS)))
    by_power = _chance(seen, float(setting.passes)) @ some.weight
    one = Passes(*(getattr(seen, name)[[_MIDDLE]] for name in seen.__dataclass_fields__))
    counts = np.arange(1, max(MOST_PASSES, setting.passes) + 1)
    by_passes = _chance(one, counts[:, None].astype(float)) @ some.weight
    first, last = _run(by_power, _MIDDLE)
    fewest, most = _run(by_passes, setting.passes - 1)
    return Edges(
        power_low=setting.power_share * float(_FACTORS[first]),
        power_high=min(setting.power_share * float(_FACTORS[last]), 1.0),
        passes_low=int(counts[fewest]),
        passes_high=int(counts[most]),
    )


def _chance(seen: Passes, count: float | Floats) -> Floats:
    return seen.works(count).astype(float)


def _run(chances: Floats, at: int) -> tuple[int, int]:
    """First and last place round `at` where the chances stay above half of that at `at`."""
    good = chances >= max(chances[at] / 2, 1e-9)
    below, above = np.flatnonzero(~good[: at + 1]), np.flatnonzero(~good[at:])
    first = int(below[-1]) + 1 if len(below) else 0
    last = at + int(above[0]) - 1 if len(above) else len(chances) - 1
    return min(first, at), max(last, at)
