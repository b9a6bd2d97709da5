"""What is believed about coating, metal and machine, and draws from it.

A belief is three figures (5, 50 and 95 %) with a source. Draws are made by stratified sampling
with a fixed seed: the same job always gets the same answer, and a thousand draws know the
chance to one or two in a hundred. Every draw carries a weight, so that readings of a
proof patch can later say which draws to believe.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from statistics import NormalDist
from typing import Any, Final, Literal, NamedTuple

import numpy as np
from pydantic import Field

from rotary.errors import listing, refuse_all
from rotary.finishes import Finish
from rotary.formulas.arrays import Floats
from rotary.item import Item
from rotary.laser import LaserAndLens
from rotary.model import Model
from rotary.passes.beliefs.belief import Belief, by_product
from rotary.passes.beliefs.own_coating import COLOURS, KINDS, changed, own_words
from rotary.passes.beliefs.shop_words import unknown_substance
from rotary.passes.beliefs.tables import OwnFile, own_file, tables, validated

SEED: Final = 1892
ENGRAVES_OVER: Final = Belief(
    low=1.3, central=2.2, high=4.0, source="estimate: from a visible change (melting) towards boiling of the surface"
)
"""How many times the fluence of the first visible change it takes to engrave, where a metal's table doesn't say."""


class Metal(Model):
    """A metal as reference/metals.toml has it."""

    says: str
    known_at_ns: float = Field(gt=0)
    conductivity_w_mk: float = Field(gt=0)
    density_kg_m3: float = Field(gt=0)
    heat_j_kgk: float = Field(gt=0)
    melts_at_c: float
    properties_source: str
    threshold_j_cm2: Belief
    incubation: Belief
    absorptivity: Belief
    engraves_over: Belief = ENGRAVES_OVER
    tints_at_c: Belief | None = None
    removal_mm3_j: Belief
    cautions: tuple[str, ...] = ()


PULSE_EXPONENT: Final = Belief(
    low=0.02,
    central=0.15,
    high=0.4,
    source="estimate: brygo2006 says that paint starts to come off at another energy with 5 than with 100 ns pulses",
)
"""How the threshold of ablation grows with the pulse duration, where a coating's table doesn't say."""


class Coating(Model):
    """A coating as reference/coatings.toml has it."""

    says: str
    lift_off_share: float = Field(ge=0, le=1)
    lift_off_share_source: str
    lift_off_at_ns: float = Field(gt=0)
    threshold_j_cm2: Belief
    threshold_exponent: Belief = PULSE_EXPONENT
    depth_um: Belief
    energy_j_mm3: Belief
    lift_off_j_cm2: Belief
    lift_off_exponent: Belief
    thickness_um: Belief
    uneven_um: Belief
    residual_share: Belief
    scorches_at_c: Belief
    fume: str
    bleached: bool = False


class RefusedCoating(Model):
    """A coating that is never planned for, and why."""

    says: str
    refused: str


class MachineBelief(Model):
    """What is believed of any machine before it is measured, as reference/machine.toml has it."""

    spot_computed: Belief
    spot_measured: Belief
    divergence: Belief
    power: Belief
    bottle_wall_mm: Belief
    measured_wall: Belief
    measured_thickness: Belief


def machine() -> MachineBelief:
    """The machine's own spread, for every job; a person's own file may change it."""
    return _machine(own_file("machine.toml"))


@lru_cache(maxsize=4)
def _machine(own: OwnFile | None) -> MachineBelief:
    return validated(MachineBelief, tables("machine.toml", own)["machine"], "machine", "machine")


def metals() -> dict[str, Metal]:
    """All metals by name: those that ship, changed and added to by a person's own file."""
    return _metals(own_file("metals.toml"))


@lru_cache(maxsize=4)
def _metals(own: OwnFile | None) -> dict[str, Metal]:
    return {name: validated(Metal, table, "metals", name) for name, table in tables("metals.toml", own).items()}


def coatings() -> dict[str, Coating | RefusedCoating]:
    """All coatings by name, those that ship and a person's own; some are there to be refused."""
    return _coatings(own_file("coatings.toml"))


@lru_cache(maxsize=4)
def _coatings(own: OwnFile | None) -> dict[str, Coating | RefusedCoating]:
    found: dict[str, Coating | RefusedCoating] = {}
    for name, table in tables("coatings.toml", own).items():
        if "refused" in table:
            found[name] = validated(RefusedCoating, table, "coatings", name)
        else:
            found[name] = validated(Coating, table, "coatings", name)
    return found


def coating_named(name: str) -> Coating | RefusedCoating | None:
    """The coating of a name: one with a table, or a person's own such as "dark paint"; None where it is neither.

    What follows a colon keeps the readings of one batch apart from those of another: "dark paint: green, spring".
    """
    return _coating_named(name, own_file("coatings.toml"))


@lru_cache(maxsize=64)
def _coating_named(name: str, own: OwnFile | None) -> Coating | RefusedCoating | None:
    plain, known = name.partition(":")[0].strip(), _coatings(own)
    if plain in known:
        return known[plain]
    words = own_words(plain)
    if words is None:
        return None
    start = known[COLOURS[words[0]]]
    if not isinstance(start, Coating):
        return None
    beliefs = {key: value for key in Coating.model_fields if isinstance(value := getattr(start, key), Belief)}
    return Coating.model_validate(start.model_dump() | changed(*words, beliefs))


def substances(item: Item) -> tuple[Metal, Coating | RefusedCoating | None]:
    """The metal and the coating of an item; raises Refused where a name is not known."""
    coating = None if item.coating is None else coating_named(item.coating)
    every = metals()
    faults = []
    if item.metal not in every:
        faults.append(unknown_substance("metal", item.metal, every, ""))
    if item.coating is not None and coating is None:
        own = (
            f'. For bare metal write "none", for your own coating two words: {listing([*COLOURS], "or")}, then '
            f'{listing([*KINDS], "or")}, like "dark paint"'
        )
        faults.append(unknown_substance("coating", item.coating, coatings(), own))
    refuse_all(faults)
    return every[item.metal], coating


class Geometry(NamedTuple):
    """What stays of a setting while its power changes."""

    pulse_width_ns: float
    defocus_mm: float
    line_spacing_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Draws:
    """Weighted draws, each field (n,) float: one column of what may be true. Draws equal themselves alone.

    `lifts` is 1 where the coating is thrown off whole, 0 where it is ablated. Thicknesses in
    [um] at the thickest and the thinnest place. `spot_factor` multiplies the spot in focus,
    `divergence_factor` its growth out of focus, `power_factor` the power that arrives. `focus_off` is by
    how many standard deviations a set-up's focus is off. `marked` is no belief: the geometries that readings with this
    laser on this metal are of.
    """

    weight: Floats
    lifts: Floats
    threshold_j_cm2: Floats
    threshold_exponent: Floats
    depth_um: Floats
    energy_j_mm3: Floats
    lift_off_j_cm2: Floats
    lift_off_exponent: Floats
    thickest_um: Floats
    thinnest_um: Floats
    residual_share: Floats
    scorches_at_c: Floats
    metal_j_cm2: Floats
    engraves_over: Floats
    incubation: Floats
    absorptivity: Floats
    tints_at_c: Floats
    removal_mm3_j: Floats
    wall_mm: Floats
    spot_factor: Floats
    divergence_factor: Floats
    power_factor: Floats
    focus_off: Floats
    marked: frozenset[Geometry] = frozenset()

    def each(self, changed: Callable[[Floats], Floats]) -> "Draws":
        """The same with every belief changed alike."""
        beliefs: dict[str, Any] = {name: changed(getattr(self, name)) for name in FIELDS}
        return replace(self, **beliefs)

    def first(self, count: int) -> "Draws":
        """The first draws alone; the order is mixed, so they are a fair sample of all. Their weights make one."""
        few = self.each(lambda values: values[:count])
        return replace(few, weight=few.weight / few.weight.sum())

    def halved(self) -> "Draws":
        """The same in half the digits."""
        return self.each(lambda values: values.astype(np.float32))


FIELDS: Final = tuple(name for name in Draws.__dataclass_fields__ if name != "marked")
"""What is believed, by the names of the draws."""


@dataclass(frozen=True, slots=True)
class Material:
    """What an item is made of, with the draws of what may be true of it; `coating` None on bare metal."""

    metal: Metal
    coating: Coating | None
    draws: Draws

    def first(self, count: int) -> "Material":
        """The same with the first draws alone."""
        return replace(self, draws=self.draws.first(count))

    @property
    def lift_off_at_ns(self) -> float:
        """Pulse duration for which it is known what throws the coating off."""
        return self.coating.lift_off_at_ns if self.coating else 1.0


# One latent place a belief (20), one for the focus of the set-up and one for the mechanism.
COLUMNS: Final = 22


@lru_cache(maxsize=4)
def latent(draws: int) -> Floats:
    """Stratified standard normal places (COLUMNS, draws): every column holds each stratum once, mixed."""
    if draws <= 1:
        return np.zeros((COLUMNS, 1))
    inverse = NormalDist().inv_cdf
    strata = np.array([inverse((i + 0.5) / draws) for i in range(draws)])
    mixer, shares = np.random.default_rng(SEED), np.random.default_rng(SEED + 1)
    columns = [strata[mixer.permutation(draws)] for _ in range(COLUMNS - 1)]
    return np.stack([*columns, strata[shares.permutation(draws)]])


@dataclass(frozen=True)
class Known:
    """What the draws of a job are made from: the substances and what was measured."""

    metal: Metal
    coating: Coating | None
    thickness_um: float | None
    wall_mm: float | None
    measured_spot: bool
    machine: MachineBelief = field(default_factory=machine)


def draws_from(places: Floats, known: Known) -> Draws:
    """Draws at latent places (COLUMNS, n), equally weighted."""
    metal, coating, machine = known.metal, known.coating, known.machine
    n = places.shape[1]
    z = iter(places)
    one = np.ones(n)

    def of(belief: Belief, scale: Literal["log", "plain"] = "log") -> Floats:
        return belief.values(next(z), scale)

    spot = of(machine.spot_measured if known.measured_spot else machine.spot_computed)
    divergence, power = of(machine.divergence), of(machine.power)
    wall = of(machine.bottle_wall_mm) if known.wall_mm is None else known.wall_mm * of(machine.measured_wall)
    marked, incubation = of(metal.threshold_j_cm2), np.minimum(of(metal.incubation), 1.0)
    absorptivity, removal = np.minimum(of(metal.absorptivity), 1.0), of(metal.removal_mm3_j)
    tints = of(metal.tints_at_c, "plain") if metal.tints_at_c else one * np.inf
    lifts = thick = uneven = threshold = pulse = depth = energy = lift_off = exponent = residual = 0 * one
    scorches = one * np.inf
    if coating is not None:
        lifts = (places[-1] < _place_of(coating.lift_off_share)).astype(float)
        measured = known.thickness_um
        thick = of(coating.thickness_um) if measured is None else measured * of(machine.measured_thickness)
        uneven, alone, deep, dear = of(coating.uneven_um), next(z), next(z), next(z)
        # Light that goes l deep has to bring the energy E_v of a volume: F_c = E_v l (Beer's law; formula from memory).
        by_law = by_product(alone, (coating.depth_um, deep), (coating.energy_j_mm3, dear))
        threshold = coating.threshold_j_cm2.values(by_law)
        depth, energy = coating.depth_um.values(deep), coating.energy_j_mm3.values(dear)
        lift_off, exponent = of(coating.lift_off_j_cm2), of(coating.lift_off_exponent)
        residual, scorches = of(coating.residual_share), of(coating.scorches_at_c, "plain")
        pulse = of(coating.threshold_exponent)
    engraves = of(metal.engraves_over)
    return Draws(
        weight=one / n,
        lifts=lifts,
        threshold_j_cm2=threshold,
        threshold_exponent=pulse,
        depth_um=depth,
        energy_j_mm3=energy,
        lift_off_j_cm2=lift_off,
        lift_off_exponent=exponent,
        thickest_um=thick + uneven,
        thinnest_um=np.maximum(thick - uneven, 0.3 * thick),
        residual_share=residual,
        scorches_at_c=scorches,
        metal_j_cm2=marked,
        engraves_over=engraves,
        incubation=incubation,
        absorptivity=absorptivity,
        tints_at_c=tints,
        removal_mm3_j=removal,
        wall_mm=wall,
        spot_factor=spot,
        divergence_factor=divergence,
        power_factor=power,
        focus_off=places[-2],
    )


def _place_of(share: float) -> float:
    """The standard normal place below which this share lies."""
    return NormalDist().inv_cdf(share) if 0 < share < 1 else (np.inf if share >= 1 else -np.inf)


def drawn(
    metal: Metal,
    coating: Coating | None,
    thickness_um: float | None,
    wall_mm: float | None,
    measured_spot: bool,
    draws: int,
) -> Draws:
    """Draws for a metal and a coating; 0 draws give the central figures as a single one."""
    return _drawn(Known(metal, coating, thickness_um, wall_mm, measured_spot), max(draws, 1))


@lru_cache(maxsize=32)
def _drawn(known: Known, draws: int) -> Draws:
    return draws_from(latent(draws), known)


def known_of(item: Item, metal: Metal, coating: Coating | None, laser: LaserAndLens) -> Known:
    """What is known before any reading."""
    return Known(metal, coating, item.coating_thickness_um, item.wall_mm, laser.spot_um is not None)


def draws_for(item: Item, metal: Metal, coating: Coating | None, laser: LaserAndLens, draws: int) -> Draws:
    """The draws of this job."""
    return drawn(metal, coating, item.coating_thickness_um, item.wall_mm, laser.spot_um is not None, draws)


def material_for(
    item: Item, laser: LaserAndLens, draws: int, believed: Draws | None = None, finish: Finish = "as before"
) -> Material:
    """What an item is made of, with the draws believed; where there are none, those of this job before any reading.

    `finish` says what counts as marked: any visible change, more than a light matte, or engraving alone.
    """
    metal, coating = substances(item)
    known = coating if isinstance(coating, Coating) else None
    every = draws_for(item, metal, known, laser, draws) if believed is None else believed
    return Material(metal, known, every if finish == "as before" else _wished(every, finish))


@lru_cache(maxsize=8)
def _wished(every: Draws, finish: Finish) -> Draws:
    """The draws where less counts as marked than any visible change; the same for the same draws."""
    more = every.engraves_over if finish == "any mark" else np.sqrt(every.engraves_over)
    tints = every.tints_at_c if finish == "light matte" else np.full_like(every.tints_at_c, np.inf)
    return replace(every, metal_j_cm2=every.metal_j_cm2 * more, tints_at_c=tints)
