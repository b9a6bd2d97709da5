"""Beliefs after readings: the draws weighed by how well they foretell them, and drawn afresh where few are left.

Readings are taken in, patch by patch, in the order in which they were made. Each multiplies the
weight of a draw by how likely that draw made it. Where the weight has gathered on few draws, they
are drawn again in proportion to it and each then walks a little in the space of the beliefs, in steps
that leave the weighed beliefs as they are: the walk keeps a standard normal place standard normal, so
a step is taken with the ratio of the likelihoods. The seed is fixed: the same readings, the
same answer.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from rotary.formulas.arrays import Floats
from rotary.item import Item, fitted_shape
from rotary.laser import LaserAndLens
from rotary.model import Model
from rotary.passes.beliefs.belief import quantile
from rotary.passes.beliefs.draws import (
    COLUMNS,
    SEED,
    Coating,
    Draws,
    Geometry,
    Known,
    draws_from,
    known_of,
    latent,
    metals,
    substances,
)
from rotary.passes.learning.likelihood import SHARED_ERRORS, Evidence, evidence, log_likelihoods, set_up_of
from rotary.passes.learning.nearness import near_readings
from rotary.passes.learning.reading import NOT_READ, Reading
from rotary.passes.plan.setting import PassRemark, Removal

LEARNING_DRAWS: Final = 4000
"""Learning takes at least so many draws, whatever the plan then works with."""
_FEW_SHARE: Final = 0.15
_STEPS: Final = (0.6, 0.3, 0.9, 0.2, 0.5, 0.35)


@dataclass(frozen=True)
class Posterior:
    """What is believed after the readings that taught: draws as before."""

    draws: Draws
    before: Draws
    teachers: tuple[Reading, ...]
    other_heads: int

    @property
    def readings(self) -> int:
        """How many taught."""
        return len(self.teachers)


def relevant_readings(readings: Sequence[Reading], item: Item) -> tuple[Reading, ...]:
    """The readings that have a say on this item: of its coating, not struck out, in the order they were made."""
    fit = [r for r in readings if not r.ignored and r.outcome != NOT_READ and r.coating == (item.coating or "none")]
    return tuple(sorted(fit, key=lambda r: (r.day, r.number)))


def posterior(item: Item, laser: LaserAndLens, readings: Sequence[Reading], draws: int = 1000) -> Posterior | None:
    """Beliefs for this item and laser after all readings; None where there is no coating to learn of or no reading."""
    metal, coating = substances(item)
    say = relevant_readings(readings, item)
    if not isinstance(coating, Coating) or not say or not draws:
        return None
    known = known_of(item, metal, coating, laser)
    return _learned(known, laser.name, say, _solid_mm(item), max(draws, 1))


def _solid_mm(item: Item) -> float | None:
    """Depth of a solid part as a wall that is heated from one face: half its mean radius; None for a wall."""
    if not item.solid:
        return None
    shape = fitted_shape(item)
    return float(np.mean(shape.radius_mm(shape.curve.s_mm))) / 2


@lru_cache(maxsize=16)
def _learned(known: Known, head: str, say: tuple[Reading, ...], solid_mm: float | None, draws: int) -> Posterior:
    many = max(draws, LEARNING_DRAWS)
    places, weight = _after(known, head, say, solid_mm, many)
    # As many as the plan works with, drawn in proportion to their weight and mixed.
    mixer = np.random.default_rng(SEED + 3)
    which = _in_proportion(weight, draws, 0.5)[mixer.permutation(draws)]
    here = (r for r in say if r.laser == head and metals().get(r.metal) == known.metal)
    marked = frozenset(Geometry(r.pulse_width_ns, r.defocus_mm, r.line_spacing_mm) for r in here)
    return Posterior(
        draws=replace(draws_from(places[:COLUMNS, which], known), marked=marked),
        before=draws_from(latent(draws), known),
        teachers=say,
        other_heads=sum(r.laser != head for r in say),
    )


def _after(
    known: Known, head: str, say: tuple[Reading, ...], solid_mm: float | None, draws: int
) -> tuple[Floats, Floats]:
    """Latent places and weights after the readings."""
    set_ups = dict.fromkeys(map(set_up_of, say))
    batches = tuple(tuple(reading for reading in say if set_up_of(reading) == one) for one in set_ups)
    return _after_batches(known, head, batches, solid_mm, draws)


@lru_cache(maxsize=64)
def _after_batches(
    known: Known, head: str, batches: tuple[tuple[Reading, ...], ...], solid_mm: float | None, draws: int
) -> tuple[Floats, Floats]:
    """The same, batch by batch; what came before is remembered, so that a new patch costs no more than itself."""
    if not batches:
        return latent(draws), np.full(draws, 1 / draws)
    places, weight = _after_batches(known, head, batches[:-1], solid_mm, draws)
    mixer, solid, batch = np.random.default_rng([SEED, len(batches)]), solid_mm is not None, batches[-1]
    # Under the beliefs stand the errors of each set-up, of which nobody is told.
    places = np.concatenate([places, mixer.standard_normal((SHARED_ERRORS, draws))])
    taken = [reading for some in batches for reading in some]
    new = evidence(batch, known, head, solid_mm)
    log = _log(new, known, solid, places)
    # A surprising patch is let in by degrees, so that never fewer than a few draws carry it on.
    done = 0.0
    while done < 1.0:
        part = _part(weight, log, 1.0 - done, draws)
        done += part
        weight = _weighed(weight, part * log)
        if 1 / (weight @ weight) < _FEW_SHARE * draws or done < 1.0:
            share = np.ones(len(taken))
            share[len(taken) - len(batch) :] = min(done, 1.0)
            places = places[:, _in_proportion(weight, draws, float(mixer.random()))]
            places = _walked(places, evidence(taken, known, head, solid_mm), share, known, solid, mixer)
            weight = np.full(draws, 1 / draws)
            log = _log(new, known, solid, places)
    return places, weight


def _log(some: Evidence, known: Known, solid: bool, places: Floats, share: Floats | None = None) -> Floats:
    """Logarithm of the likelihood of all of some readings together, (n,)."""
    if not isinstance(known.coating, Coating):
        return np.zeros(places.shape[1])
    set_ups, believed = int(some.set_up.max()) + 1, draws_from(places[:COLUMNS], known)
    shared = places[-SHARED_ERRORS * set_ups :].reshape(set_ups, SHARED_ERRORS, -1).swapaxes(0, 1)
    each = log_likelihoods(some, believed, known.metal, known.coating.lift_off_at_ns, solid, shared)
    return np.asarray((np.ones(len(some)) if share is None else share) @ each)


def _part(weight: Floats, log: Floats, left: float, draws: int) -> float:
    """The largest part of what is left that keeps a twentieth of the draws in play."""
    part = left
    for _ in range(12):
        if 1 / np.sum(_weighed(weight, part * log) ** 2) >= draws / 20:
            return part
        part *= 0.6
    return part


def _weighed(weight: Floats, log: Floats) -> Floats:
    new = weight * np.exp(log - log.max())
    return np.asarray(new / new.sum())


def _in_proportion(weight: Floats, draws: int, start: float) -> NDArray[np.intp]:
    """So many draws in proportion to their weights, by even steps through the weights heaped up."""
    heap = np.cumsum(weight)
    at = np.searchsorted(heap, (np.arange(draws) + start) / draws * heap[-1])
    return np.asarray(np.minimum(at, len(weight) - 1), np.intp)


def _walked(
    places: Floats, now: Evidence, share: Floats, known: Known, solid: bool, mixer: np.random.Generator
) -> Floats:
    """Every draw after a few steps that leave the weighed beliefs as they are."""
    log = _log(now, known, solid, places, share)
    for step in _STEPS:
        tried = np.sqrt(1 - step**2) * places + step * mixer.standard_normal(places.shape)
        log_tried = _log(now, known, solid, tried, share)
        taken = np.log(mixer.random(places.shape[1])) < log_tried - log
        places = np.where(taken, tried, places)
        log = np.where(taken, log_tried, log)
    return places


def with_readings_counted(steps: Removal, taught: Posterior | None, item: Item, laser: LaserAndLens) -> Removal:
    """The plan, with how many readings it rests on, and how many of them were made with its setting."""
    if taught is None:
        return steps
    # A look at any rung of the ladder is one at what is run.
    near = {
        reading.number
        for setting in steps.rung_settings
        for reading in near_readings(setting, steps.passes_at_most, taught.teachers, item, laser)
    }
    others = PassRemark(id="other_heads", values={"others": taught.other_heads})
    remarks = (*steps.remarks, *([others] if taught.other_heads else []))
    return steps.but(readings=taught.readings, near_readings=len(near), remarks=remarks)


# What a person is told of, before and after: field of the draws, name, unit, and of which draws it is told. Where
# the coating is thrown off whole, nothing is learned of ablation, and the other way round.
_TOLD: Final = (
    ("lifts", "chance that the coating comes off whole", "", None),
    ("threshold_j_cm2", "the coating wears away from", "J/cm²", 0.0),
    ("depth_um", "coating worn away per strong pulse", "µm", 0.0),
    ("lift_off_j_cm2", "the coating comes off whole from", "J/cm²", 1.0),
    ("thickest_um", "coating, thickest place", "µm", None),
    ("metal_j_cm2", "the metal is marked from", "J/cm²", None),
    ("incubation", "each pulse weakens the metal (1: no)", "", None),
    ("spot_factor", "real ÷ computed spot", "×", None),
    ("power_factor", "real ÷ typed power", "×", None),
    ("wall_mm", "wall thickness", "mm", None),
)
# Fewer draws than this tell no range.
_ENOUGH: Final = 20


class BeliefChange(Model):
    """One belief before and after the readings: 5, 50 and 95 %. A share is the same three times."""

    name: str
    unit: str
    before: tuple[float, float, float]
    after: tuple[float, float, float]


def belief_changes(found: Posterior) -> tuple[BeliefChange, ...]:
    """What the readings taught: the beliefs before and after.

    A belief about one way in which the coating goes is told of the draws in which it goes that way, and left out
    where hardly any do, before or after.
    """

    def three(draws: Draws, field: str, way: float | None) -> tuple[float, float, float] | None:
        values, weight = getattr(draws, field), draws.weight
        if field == "lifts":
            share = float(weight @ values)
            return share, share, share
        if way is not None:
            which = draws.lifts == way
            values, weight = values[which], weight[which]
            if len(values) < min(_ENOUGH, len(which)):
                return None
        low, middle, high = (quantile(values, weight, at) for at in (0.05, 0.5, 0.95))
        return low, middle, high

    rows = []
    for field, name, unit, way in _TOLD:
        before, after = three(found.before, field, way), three(found.draws, field, way)
        if before is not None and after is not None:
            rows.append(BeliefChange(name=name, unit=unit, before=before, after=after))
    return tuple(rows)
