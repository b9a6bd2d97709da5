"""Made-up truths for the learning bench, from another model than the tool's.

Thresholds have other spreads and other middles; the beam is a Gaussian with a halo; the thickness varies over the
item; the power is off by up to 8 %. Nothing here calls the tool's own ablation formulas.
"""

from dataclasses import dataclass, replace

import marking
import numpy as np
from numpy.typing import NDArray

from rotary.laser import LaserAndLens, Optics
from rotary.passes.plan.setting import Setting

Floats = NDArray[np.float64]

HALO_SHARE, HALO_WIDTH = 0.10, 2.2


@dataclass(frozen=True)
class Truth:
    """What one coated item and its machine really are."""

    lifts: bool
    threshold: float
    depth_um: float
    energy_j_mm3: float
    lift_off: float
    thick_um: float
    uneven_um: float
    residual: float
    metal: float
    incubation: float
    absorptivity: float
    tints_at_c: float
    wall_mm: float
    beam: float
    power: float
    rate_exponent: float = 0.0


WORLDS = (
    "as usual",
    "metal marks sooner",
    "glassier light films",
    "uneven thickness",
    "wrong looks",
    "poor beams",
    "heat between pulses",
)
"""Other worlds than the usual one, each with one thing off; "wrong looks" has twice as many of them."""


def in_world(one: "Truth", world: str, light: bool) -> "Truth":
    """The truth as it would be in another world."""
    if world == "metal marks sooner":
        return replace(one, metal=0.6 * one.metal)
    if world == "glassier light films" and light:
        return replace(one, lifts=True, lift_off=1.5 * one.lift_off)
    if world == "uneven thickness":
        return replace(one, uneven_um=2 * one.uneven_um)
    if world == "poor beams":
        return replace(one, beam=1.3 * one.beam)
    if world == "heat between pulses":
        # Brygo et al. 2006 (abstract seen): paint goes at less where pulses follow fast. From 20 kHz on here.
        return replace(one, rate_exponent=0.2)
    return one


def truth(mixer: np.random.Generator, light: bool) -> Truth:
    """One truth; middles and spreads are not those of the tool's data files."""

    def bell(middle: float, factor: float) -> float:
        return float(middle * factor ** (mixer.standard_normal() / 1.645))

    return Truth(
        lifts=bool(mixer.random() < (0.60 if light else 0.25)),
        threshold=bell(1.2 if light else 0.8, 2.3),
        depth_um=bell(5.0 if light else 2.2, 2.2),
        energy_j_mm3=bell(2.8, 1.5),
        lift_off=bell(0.62, 2.4),
        thick_um=bell(72.0, 1.45),
        uneven_um=bell(12.0, 1.8),
        residual=min(bell(0.17, 2.0), 0.6),
        metal=bell(2.8, 2.2),
        incubation=float(mixer.uniform(0.82, 0.98)),
        absorptivity=min(bell(0.37, 1.4), 0.8),
        tints_at_c=float(mixer.normal(560, 110)),
        wall_mm=bell(0.5, 1.4),
        beam=float(mixer.uniform(0.95, 1.4)),
        power=float(mixer.uniform(0.92, 1.08)),
    )


def spot_mm(one: Truth, optics: Optics, away_mm: float) -> float:
    """Spot radius of the true beam: its beam quality is worse by `beam`, its divergence with it."""
    waist = optics.spot_um / 2000 * one.beam
    return float(np.hypot(waist, optics.spot_um / 2000 / optics.rayleigh_mm * away_mm * np.sqrt(one.beam)))


def arrives(one: Truth, _setting: Setting) -> float:
    """The power that arrives over the one that is typed."""
    return one.power


def log_fluences(one: Truth, pitch_mm: float, line_spacing_mm: float, optics: Optics, away_mm: float) -> Floats:
    """Logarithm of the fluence of every pulse of 1 mJ at half a cell's places: (pulses, places)."""
    w = spot_mm(one, optics, away_mm)
    reach, wide = 2.6 * w, w * HALO_WIDTH

    def squares(spacing: float) -> Floats:
        pulses = np.arange(-int(reach / spacing) - 1, int(reach / spacing) + 2) * spacing
        return np.asarray((pulses[:, None] - marking.PLACES * spacing) ** 2)

    dx2, dy2 = squares(pitch_mm), squares(line_spacing_mm)

    def spread(width: float) -> Floats:
        # A product of two lines: sums over x and y are taken apart, so the pulse lattice is cheap.
        return np.einsum("ia,jb->ijab", np.exp(-2 * dx2 / width**2), np.exp(-2 * dy2 / width**2))

    core, halo = (1 - HALO_SHARE) / w**2, HALO_SHARE / wide**2
    fluence = 0.2 / np.pi * (core * spread(w) + halo * spread(wide))
    return np.asarray(np.log(fluence.reshape(-1, marking.HALF**2)))


def hits(one: Truth, setting: Setting, site: marking.Site, logs: Floats) -> Floats:
    """What one pass does to each place, (5, places): depth that it takes off, pulses that count for the metal, the
    strongest pulse, the share of the pass that the coating spares the metal where it is thrown off, and what the metal
    stands; `logs` are fluences (pulses, places)."""
    warmer = (setting.frequency_khz / 20.0) ** -one.rate_exponent
    strongest = np.exp(logs.max(axis=0))
    if one.lifts:
        needs = one.lift_off * (setting.pulse_width_ns / 10.0) ** 0.3 * (site.thick_um / 60.0) ** 0.4 * warmer
        step = np.where(strongest > needs, site.thick_um, 0.0)
        # The first pulse that can throws the coating off; those after it in the same pass meet bare metal.
        spared = 1 / np.maximum((logs > np.log(needs)).sum(axis=0), 1)
    else:
        spared = np.zeros_like(strongest)
        step = one.depth_um * np.maximum(logs - np.log(one.threshold * warmer), 0.0).sum(axis=0)
        paid = 1e3 * setting.dose_j_mm2 * one.power * site.weaker / one.energy_j_mm3
        step = step * min(1.0, paid / max(float(step.mean()), 1e-9))
    stands = one.metal * np.sqrt(setting.pulse_width_ns / 100.0)
    pulses = (logs > np.log(0.2 * stands)).sum(axis=0).astype(float)
    return np.stack([step, pulses, strongest, spared, np.full_like(step, stands)])


def strike(one: Truth, marked: marking.Marked, found: Floats) -> None:
    """One pass, (5, settings, sites, places)."""
    step, pulses, strongest, spared, stands = found
    covers = marked.left > 0
    before = np.where(covers, spared, 0.0) if one.lifts else marked.left / np.maximum(step, 1e-9)
    part = np.clip(1 - before, 0.0, 1.0)
    marked.left = np.maximum(marked.left - step, 0.0)
    marked.after = marked.after + part * pulses
    open_ = (marked.left <= 0) & (part > 0.02)
    marked.cut |= open_ & (strongest > stands * np.maximum(marked.after, 1.0) ** (one.incubation - 1))
    marked.opened(open_)


def of_head(head: LaserAndLens) -> str:
    """How the head is called in the table."""
    return f"{head.rated_power_w:g} W, {head.focal_length_mm:g} mm lens"
