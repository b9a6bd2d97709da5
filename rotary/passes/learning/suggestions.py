"""What would change a doubtful plan: planned again with one thing changed each time, and told by its chance.

Nothing here is reasoned from a rule: each line is a whole search with that change, so a change that brings nothing
is seen to bring nothing. It takes as long as so many plans and is done when asked for, under a budget of time.
"""

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from rotary.item import Item
from rotary.model import Model
from rotary.passes.beliefs.draws import Coating, machine, substances
from rotary.passes.learning.coating import posterior
from rotary.passes.learning.reading import Reading
from rotary.passes.plan.removal import removal_plan
from rotary.setup import Setup
from rotary.wishes import FREE

BUDGET_S: Final = 8.0
DRAWS: Final = 1000
_LONGER: Final = 1.6
_SHORTER: Final = 0.63
_FINE_STEP: Final = 0.0025
_NEAR_MM: Final = 0.2


class Suggestion(Model):
    """One change and the chance that the best plan then has, for a person who looks; None where time ran out."""

    says: str
    chance: float | None


@dataclass(frozen=True)
class Variation:
    """What a plan is made of, with one thing changed."""

    says: str
    setup: Setup


def variations(setup: Setup) -> Iterator[Variation]:
    """The changes worth trying, the cheapest for the person first."""
    wishes = setup.job.passes
    if wishes.controls:
        free = FREE.model_copy(update={name: getattr(wishes, name) for name in ("finish", "spoiled_cost", "hottest_c")})
        yield Variation(
            f"rotary chooses these settings instead of you: {wishes.control_words}",
            setup.with_tables(passes=free),
        )
    yield from _held_better(setup)
    yield from _other_items(setup)
    yield from _other_lasers(setup)


def _held_better(same: Setup) -> Iterator[Variation]:
    limits, item = same.job.tolerances, same.job.item
    if limits.focus_mm > _NEAR_MM:
        closer = limits.but(focus_mm=limits.focus_mm / 2)
        yield Variation(f"a focus twice as exact, to {limits.focus_mm / 2:.2g} mm", same.with_tables(tolerances=closer))
    half = {name: 1 + (getattr(limits, name) - 1) / 2 for name in ("fluence_low_share", "fluence_high_share")}
    flat = limits.but(**half)
    yield Variation("narrower slices, so that the energy varies half as much", same.with_tables(tolerances=flat))
    if item.runout_mm > _NEAR_MM / 2:
        steady = item.but(runout_mm=item.runout_mm / 2)
        yield Variation("an item that runs twice as true (half the runout)", same.with_tables(item=steady))


def _other_items(same: Setup) -> Iterator[Variation]:
    item, (_, coating) = same.job.item, substances(same.job.item)
    if isinstance(coating, Coating):
        thick = item.coating_thickness_um or coating.thickness_um.central
        thin = item.but(coating_thickness_um=thick / 2)
        yield Variation(f"a coating of {thick / 2:.0f} µm instead of {thick:.0f} µm", same.with_tables(item=thin))
    if not item.solid:
        wall = 2 * (item.wall_mm or machine().bottle_wall_mm.central)
        walled = item.but(wall_mm=wall)
        yield Variation(f"an item with a wall of {wall:g} mm", same.with_tables(item=walled))


def _other_lasers(same: Setup) -> Iterator[Variation]:
    laser = same.job.laser

    def other(says: str, **fields: object) -> Variation:
        return Variation(says, same.with_tables(laser=laser.but(**fields)))

    for factor in (_LONGER, _SHORTER):
        lens = round(laser.focal_length_mm * factor, -1)
        field = laser.field_mm * factor
        says = f"a lens of {lens:.0f}-mm focal length"
        yield other(says, focal_length_mm=lens, field_mm=field, spot_um=None, rayleigh_mm=None)
    longest, shortest = max(laser.pulse_widths_ns), min(laser.pulse_widths_ns)
    for pulse in (2 * longest, shortest / 4):
        yield other(f"a laser with pulses of {pulse:g} ns", pulse_widths_ns=(pulse,))
    if laser.power_step_share > _FINE_STEP:
        yield other("a laser whose power goes in steps of 0.25 %", power_step_share=_FINE_STEP)


def suggestions(
    setup: Setup,
    readings: Sequence[Reading] = (),
    draws: int = DRAWS,
    budget_s: float = BUDGET_S,
    told: Callable[[float], object] = lambda _: None,
) -> tuple[Suggestion, ...]:
    """The chance as it is, then each change with the chance that it brings, the best first.

    What the budget leaves no time for is listed with no chance. `told` hears how far it is, 0 to 1.
    """
    until = time.monotonic() + budget_s
    every = [Variation("nothing changed", setup), *variations(setup)]
    read = _as_made(readings, setup.job.item)
    found = []
    for at, one in enumerate(every):
        told(at / len(every))
        late = at > 0 and time.monotonic() > until
        chance = None if late else _chance(one.setup, read, draws)
        found.append(Suggestion(says=one.says, chance=chance))
    return (found[0], *sorted(found[1:], key=lambda one: -(one.chance if one.chance is not None else -1.0)))


def _as_made(readings: Sequence[Reading], item: Item) -> tuple[Reading, ...]:
    """The readings with the coat and the wall that they were made on, also where those are only believed.

    Else a plan for half the coat would take them for readings of half the coat.
    """
    _, coating = substances(item)
    thick = item.coating_thickness_um or (coating.thickness_um.central if isinstance(coating, Coating) else None)
    wall = None if item.solid else item.wall_mm or machine().bottle_wall_mm.central
    return tuple(r.but(thickness_um=r.thickness_um or thick, wall_mm=r.wall_mm or wall) for r in readings)


def _chance(setup: Setup, readings: Sequence[Reading], draws: int) -> float:
    item, laser = setup.job.item, setup.job.laser
    if not isinstance(substances(item)[1], Coating):
        return 0.0
    after = posterior(item, laser, readings, draws)
    return removal_plan(setup, draws, after.draws if after else None).chance_with_looks
