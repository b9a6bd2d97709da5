"""Made-up truths of a second kind: a film that takes up light by Beer's law, thrown off by the metal's own skin.

The film is partly transparent. What it takes up ablates it from the top; what goes through heats the metal's skin, and
where that is hot enough it throws off all that is left of the film, so a film that was thinned goes sooner. A strong
pulse may mark the metal under the film. The beam is flat-topped and elliptical, the power has a gain and an offset, and
the focus is off anew at each set-up. Nothing here calls the tool's own formulas, nor those of `truth.py`. Ranges:
estimates, wide, with other middles than the tool's.
"""

from dataclasses import dataclass, replace
from math import gamma

import marking
import numpy as np
from numpy.typing import NDArray

from rotary.laser import Optics
from rotary.passes.plan.setting import Setting

Floats = NDArray[np.float64]

# Melting 304 with a pulse of 100 ns takes 0.31 J/cm2 of light that is taken up (Carslaw and Jaeger 2.9, memory).
MELTS_J_CM2, MELTS_K = 0.31, 1380.0


@dataclass(frozen=True)
class Truth:
    """What one coated item and its machine really are."""

    absorbs_per_um: float
    energy_j_mm3: float
    throws_at_k: float
    thick_um: float
    uneven_um: float
    residual: float
    marks_over_melting: float
    incubation: float
    absorptivity: float
    tints_at_c: float
    wall_mm: float
    beam: float
    flatness: float
    longer: float
    gain: float
    offset: float
    rate_exponent: float = 0.0
    power: float = 1.0


def truth(mixer: np.random.Generator, light: bool) -> Truth:
    """One truth; a light film lets through more."""

    def bell(middle: float, factor: float) -> float:
        return float(middle * factor ** (mixer.standard_normal() / 1.645))

    return Truth(
        absorbs_per_um=bell(0.02 if light else 0.25, 3.5 if light else 3.0),
        energy_j_mm3=bell(2.6, 1.6),
        throws_at_k=bell(420.0, 1.5),
        thick_um=bell(70.0, 1.4),
        uneven_um=bell(14.0, 1.8),
        residual=min(bell(0.18, 1.8), 0.6),
        marks_over_melting=bell(2.0, 1.8),
        incubation=float(mixer.uniform(0.82, 1.0)),
        absorptivity=min(bell(0.36, 1.4), 0.8),
        tints_at_c=float(mixer.normal(540, 100)),
        wall_mm=bell(0.5, 1.4),
        beam=float(mixer.uniform(0.95, 1.4)),
        flatness=float(mixer.uniform(2.0, 5.0)),
        longer=float(mixer.uniform(1.0, 1.3)),
        gain=float(mixer.uniform(0.88, 1.08)),
        offset=float(mixer.uniform(-0.02, 0.02)),
    )


def arrives(one: Truth, setting: Setting) -> float:
    """The power that arrives over the one that is typed: a gain, and an offset in shares of the rated power."""
    return max(one.gain + one.offset / setting.power_share, 0.0)


def log_fluences(one: Truth, pitch_mm: float, line_spacing_mm: float, optics: Optics, away_mm: float) -> Floats:
    """Logarithm of the fluence of every pulse of 1 mJ at half a cell's places: (pulses, places)."""
    waist = optics.spot_um / 2000 * one.beam
    w = float(np.hypot(waist, optics.spot_um / 2000 / optics.rayleigh_mm * away_mm * np.sqrt(one.beam)))
    wide, narrow = w * np.sqrt(one.longer), w / np.sqrt(one.longer)
    reach = 1.6 if one.flatness > 3 else 2.0

    def squares(radius: float, spacing: float) -> Floats:
        pulses = np.arange(-int(reach * radius / spacing) - 1, int(reach * radius / spacing) + 2) * spacing
        return np.asarray(((pulses[:, None] - marking.PLACES * spacing) / radius) ** 2)

    far = np.add.outer(squares(wide, pitch_mm), squares(narrow, line_spacing_mm)).transpose(0, 2, 1, 3)
    far = far.reshape(-1, marking.HALF**2)
    # A plane integral of exp(-2 r^p) by hand: 2 pi / p 2^(-2/p) gamma(2/p); at p = 2 it is pi / 2.
    area = 2 * np.pi / one.flatness * 2 ** (-2 / one.flatness) * gamma(2 / one.flatness) * wide * narrow
    return np.asarray(np.log(0.1 / area) - 2 * far ** (one.flatness / 2))


def hits(one: Truth, setting: Setting, site: marking.Site, logs: Floats) -> Floats:
    """What one pass brings to each place, (5, places): depth ablated of a thick film, the strongest pulse, pulses that
    count for the metal, what throws the film off and what marks the metal at this pulse width [J/cm2]; `logs` are
    fluences (pulses, places)."""
    longer = np.sqrt(setting.pulse_width_ns / 100.0)
    warmer = (setting.frequency_khz / 20.0) ** -one.rate_exponent
    melts = MELTS_J_CM2 / one.absorptivity * longer
    starts = 0.1 * one.energy_j_mm3 / (one.absorbs_per_um * 1e3) * 1e3 * warmer
    step = np.maximum(logs - np.log(starts), 0.0).sum(axis=0) / one.absorbs_per_um
    paid = 1e3 * setting.dose_j_mm2 * arrives(one, setting) * site.weaker / one.energy_j_mm3
    step = step * min(1.0, paid / max(float(step.mean()), 1e-9))
    marks = melts * one.marks_over_melting
    pulses = (logs > np.log(0.2 * marks)).sum(axis=0).astype(float)
    throws = melts * one.throws_at_k / MELTS_K * warmer
    same = np.ones_like(step)
    return np.stack([step, np.exp(logs.max(axis=0)), pulses, throws * same, marks * same])


def strike(one: Truth, marked: marking.Marked, found: Floats) -> None:
    """One pass, (5, settings, sites, places): it thins the film, throws off what is left where the skin gets hot, and
    then meets the metal."""
    step, strongest, pulses, throws, marks = found
    before = marked.left
    thinned = np.maximum(before - step, 0.0)
    middle = (before + thinned) / 2
    through = strongest * np.exp(-one.absorbs_per_um * middle)
    covers = before > 0
    thrown = covers & (through > throws * np.maximum(middle / 60.0, 0.05) ** 0.3)
    marked.cut |= covers & (through > marks)
    marked.left = np.where(thrown, 0.0, thinned)
    dug_bare = covers & (marked.left <= 0) & ~thrown
    part = np.where(covers, np.where(thrown, 0.5, 0.0), 1.0)
    part = np.where(dug_bare, np.clip(1 - before / np.maximum(step, 1e-9), 0.0, 1.0), part)
    marked.after = marked.after + part * pulses
    open_ = (marked.left <= 0) & (part > 0.02)
    marked.cut |= open_ & (strongest > marks * np.maximum(marked.after, 1.0) ** (one.incubation - 1))
    marked.opened(marked.left <= 0)


def in_world(one: Truth, world: str, light: bool) -> Truth:
    """The truth as it would be in another world."""
    if world == "metal marks sooner":
        return replace(one, marks_over_melting=0.6 * one.marks_over_melting)
    if world == "glassier light films" and light:
        return replace(one, absorbs_per_um=0.5 * one.absorbs_per_um)
    if world == "uneven thickness":
        return replace(one, uneven_um=2 * one.uneven_um)
    if world == "poor beams":
        return replace(one, beam=1.3 * one.beam, longer=1.2 * one.longer)
    if world == "heat between pulses":
        return replace(one, rate_exponent=0.2)
    return one
