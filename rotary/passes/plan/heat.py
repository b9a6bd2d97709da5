"""What the passes do to the wall: its bulk temperature after each, over all draws.

Each pass lays down heat in a block (the ink of a slice gathered in one place, which is the worst
it can be); the block cools by spreading sideways in a wall with nothing behind it, and into the
depth of a solid part, and by what still air takes.
"""

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from rotary.formulas.arrays import Floats
from rotary.formulas.heat import air_share, depth_factor, diffusivity_mm2_s, remaining_share, wall_rise_k
from rotary.passes.beliefs.draws import Draws, Metal

# Slices marked before this one that still warm it: so many, or as many as lie so near; farther ones have spread out.
_NEIGHBOURS: Final = 8
_NEAR_MM: Final = 24.0
# The hottest place of a block over what its middle keeps of passes before: 1.05 to 1.12 by finite differences.
_HOTTEST: Final = 1.08
# Walls up to here are warm all through before the next line.
_THIN_MM: Final = 1.0
# Free convection and radiation from the outside of a warm wall [W/(m^2 K)]; 10 to 15, estimate: the least is taken.
_AIR_W_M2K: Final = 10.0


@dataclass(frozen=True, slots=True)
class Round:
    """The rhythm of the passes and the size of what they heat.

    `mark_s` is one pass over one slice, `pause_s` the least time between two passes of one place,
    `index_s` a move to the next slice. `all_round`: every slice once before the next pass.
    `girth_mm` is once round the item; `thin`: a wall (its thickness is drawn), else a solid part of
    which `depth_mm` is the volume over the surface.
    """

    mark_s: float
    pause_s: float
    index_s: float
    slices: int
    all_round: bool
    slice_mm: float
    block_mm: float
    girth_mm: float
    length_mm: float
    depth_mm: float
    thin: bool

    def with_pause(self, mark_s: float, pause_s: float) -> "Round":
        """The same with another setting."""
        return replace(self, mark_s=mark_s, pause_s=pause_s)


def _since(beat: Round, passes: int, pauses_s: Floats) -> Floats:
    """Seconds from the end of pass j on the slice i before to the end of pass k here.

    (pauses, 2 passes - 1, slices) float, the passes between from 1 - passes to passes - 1.
    """
    pause = pauses_s[:, None, None]
    difference = np.arange(1 - passes, passes, dtype=float)[:, None]
    near = max(_NEIGHBOURS, math.ceil(_NEAR_MM / beat.slice_mm))
    before = np.arange(min(beat.slices, near), dtype=float)
    if beat.all_round:
        lap = np.maximum(beat.slices * (beat.mark_s + beat.index_s), beat.mark_s + pause)
        return difference * lap + before * (beat.mark_s + beat.index_s)
    each = beat.mark_s + pause
    return difference * each + before * (passes * each + beat.index_s)


def heat_weights(beat: Round, metal: Metal, passes: int, pauses_s: Floats) -> Floats:
    """What pass j on this slice and the ones before still weighs at the end of pass k, at the hottest place:
    (pauses, k, j) float."""
    spread = float(diffusivity_mm2_s(metal.conductivity_w_mk, metal.density_kg_m3, metal.heat_j_kgk))
    since = _since(beat, passes, pauses_s)
    # A pass takes its time: seen from its end its heat is as old as a quarter of it (exact for the surface flux).
    old = np.maximum(since, 0.0) + beat.mark_s / 4
    away = np.arange(since.shape[-1]) * beat.slice_mm
    kept = remaining_share(beat.slice_mm, spread, old, away, period_mm=beat.girth_mm)
    kept *= remaining_share(beat.block_mm, spread, old, period_mm=max(beat.length_mm, beat.block_mm))
    per_mm3 = metal.density_kg_m3 * metal.heat_j_kgk * 1e-9
    kept *= depth_factor(spread, old, beat.depth_mm)
    kept *= air_share(old, _AIR_W_M2K, beat.depth_mm, per_mm3)
    kept = np.where(since >= 0, kept, 0.0)
    is_thin = beat.depth_mm <= _THIN_MM
    if is_thin:
        kept[:, passes - 1, 0] = _just_marked(beat, spread)
    kept = (_HOTTEST if is_thin else 1.0) * kept.sum(axis=-1)
    order = np.arange(passes)
    return np.asarray(kept[:, passes - 1 + order[:, None] - order])


def _just_marked(beat: Round, spread: float) -> float:
    """Share of its own rise that the line just marked still has, the hottest place of a thin wall.

    Lines cross the slice and the front moves along the block at v: heat gets ahead of it by D / v, in D / v^2.
    """
    age = min(spread * (beat.mark_s / beat.block_mm) ** 2, beat.mark_s / 4)
    share = remaining_share(beat.slice_mm, spread, age) * depth_factor(spread, age, beat.depth_mm)
    return float(share)


def laid_k(beat: Round, metal: Metal, draws: Draws, dose_j_mm2: Floats, bare_after: Floats) -> Floats:
    """Rise that each pass alone lays down, nothing lost: (passes, n) in [K].

    `dose_j_mm2` (passes,) as keyed in; `bare_after` (n,) passes until the coating is gone: from
    then on the metal's absorptivity counts and not the residual share.
    """
    coated = np.clip(bare_after - np.arange(len(dose_j_mm2))[:, None], 0.0, 1.0)
    share = coated * draws.residual_share + (1 - coated) * draws.absorptivity
    dose = dose_j_mm2[:, None] * draws.power_factor
    thickness = draws.wall_mm if beat.thin else beat.depth_mm
    return np.asarray(wall_rise_k(dose, share, thickness, metal.density_kg_m3, metal.heat_j_kgk))
