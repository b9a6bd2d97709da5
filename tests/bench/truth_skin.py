"""Made-up truths of a second kind: a film that takes up light by Beer's law, thrown off by the metal's own skin.

The film is partly transparent. What it takes up ablates it from the top; what goes through heats the metal's skin, and
where that is hot enough it throws off all that is left of the film, so a film that was thinned goes sooner. A strong
pulse may mark the metal under the film. The beam is flat-topped and elliptical, the power has a gain and an offset, and
the focus is off anew at each set-up. Nothing here calls the tool's own formulas, nor those of `truth.py` but its wall
of finite differences. Ranges: estimates, wide, with other middles than the tool's.
"""

from dataclasses import dataclass, replace
from math import gamma

import numpy as np
import truth as first_kind
from numpy.typing import NDArray

from rotary.head import Optics
from rotary.passes.plan.setting import Setting

Floats = NDArray[np.float64]
POINTS = first_kind.POINTS

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


def arriving(one: Truth, setting: Setting) -> Setting:
    """The setting as it arrives: power that is typed times a gain, and an offset in shares of the rated power."""
    factor = max(one.gain + one.offset / setting.power_share, 0.0)
    more = {name: getattr(setting, name) * factor for name in ("power_share", "power_w", "pulse_mj", "dose_j_mm2")}
    return setting.model_copy(update=more)


def fluences(one: Truth, setting: Setting, optics: Optics, off_mm: float, weaker: float) -> Floats:
    """Fluence of every pulse of one pass at POINTS x POINTS places of the lattice's cell: (pulses, places)."""
    waist = optics.spot_um / 2000 * one.beam
    away = abs(setting.defocus_mm) + off_mm
    w = float(np.hypot(waist, optics.spot_um / 2000 / optics.rayleigh_mm * away * np.sqrt(one.beam)))
    wide, narrow = w * np.sqrt(one.longer), w / np.sqrt(one.longer)
    pitch, hatch = setting.scan_speed_mm_s / setting.rate_khz / 1e3, setting.hatch_mm
    reach = 1.6 if one.flatness > 3 else 2.0
    x = np.arange(-int(reach * wide / pitch) - 1, int(reach * wide / pitch) + 2) * pitch
    y = np.arange(-int(reach * narrow / hatch) - 1, int(reach * narrow / hatch) + 2) * hatch
    place = (np.arange(POINTS) + 0.5) / POINTS
    across = ((x[:, None] - place * pitch) / wide) ** 2
    along = ((y[:, None] - place * hatch) / narrow) ** 2
    far = np.add.outer(across, along).transpose(0, 2, 1, 3).reshape(len(x) * len(y), POINTS * POINTS)
    # A plane integral of exp(-2 r^p) by hand: 2 pi / p 2^(-2/p) gamma(2/p); at p = 2 it is pi / 2.
    area = 2 * np.pi / one.flatness * 2 ** (-2 / one.flatness) * gamma(2 / one.flatness) * wide * narrow
    return np.asarray(0.1 * setting.pulse_mj * weaker / area * np.exp(-2 * far ** (one.flatness / 2)))


@dataclass(frozen=True)
class Hits:
    """What one pass brings to each place, (places,) each: depth ablated of a thick film, the strongest pulse, pulses
    that count for the metal; and what throws the film off and marks the metal at this pulse width [J/cm2]."""

    step: Floats
    strongest: Floats
    pulses: Floats
    throws: float
    marks: float


def hits(one: Truth, setting: Setting, optics: Optics, off_mm: float, weaker: float) -> Hits:
    """One pass of a setting as typed, this far out of focus."""
    setting = arriving(one, setting)
    each = fluences(one, setting, optics, off_mm, weaker)
    longer = np.sqrt(setting.pulse_ns / 100.0)
    warmer = (setting.rate_khz / 20.0) ** -one.rate_exponent
    melts = MELTS_J_CM2 / one.absorptivity * longer
    starts = 0.1 * one.energy_j_mm3 / (one.absorbs_per_um * 1e3) * 1e3 * warmer
    step = np.log(np.maximum(each / starts, 1.0)).sum(axis=0) / one.absorbs_per_um
    paid = 1e3 * setting.dose_j_mm2 * weaker / one.energy_j_mm3
    step = step * min(1.0, paid / max(float(step.mean()), 1e-9))
    marks = melts * one.marks_over_melting
    pulses = (each > 0.2 * marks).sum(axis=0).astype(float)
    return Hits(step, each.max(axis=0), pulses, melts * one.throws_at_k / MELTS_K * warmer, marks)


class Place:
    """One place of the item under passes that each lie where they happen to lie."""

    def __init__(self, one: Truth, thick_um: float) -> None:
        """As it is before the first pass."""
        self.one, self.thick_um = one, thick_um
        self.left = np.full(POINTS * POINTS, thick_um)
        self.after, self.cut = np.zeros(POINTS * POINTS), np.zeros(POINTS * POINTS, bool)
        self.bare = False

    def hit(self, found: Hits, _pulse_ns: float, mixer: np.random.Generator) -> None:
        """One pass: it thins the film, throws off what is left where the skin gets hot, and then meets the metal."""
        roll = mixer.integers(POINTS, size=2)
        lattice = (found.step, found.strongest, found.pulses)
        step, strongest, pulses = (np.roll(v.reshape(POINTS, POINTS), roll, (0, 1)).ravel() for v in lattice)
        before = self.left
        thinned = np.maximum(before - step, 0.0)
        middle = (before + thinned) / 2
        through = strongest * np.exp(-self.one.absorbs_per_um * middle)
        held = found.throws * np.maximum(middle / 60.0, 0.05) ** 0.3
        thrown = (before > 0) & (through > held)
        self.cut |= (before > 0) & (through > found.marks)
        self.left = np.where(thrown, 0.0, thinned)
        dug_bare = (before > 0) & (self.left <= 0) & ~thrown
        part = np.where(before <= 0, 1.0, np.where(thrown, 0.5, 0.0))
        part = np.where(dug_bare, np.clip(1 - before / np.maximum(step, 1e-9), 0.0, 1.0), part)
        self.after = self.after + part * pulses
        stands = found.marks * np.maximum(self.after, 1.0) ** (self.one.incubation - 1)
        open_ = (self.left <= 0) & (part > 0.02)
        self.cut |= open_ & (strongest > stands)
        self.bare |= bool((self.left <= 0).mean() > 0.5)


class Marked(first_kind.Marked):
    """What is marked with pass after pass, by the second kind of truth."""

    def place(self, thick_um: float) -> Place:  # type: ignore[override]
        """A place before the first pass."""
        return Place(self.one, thick_um)  # type: ignore[arg-type]

    def pass_of(self, setting: Setting, site: tuple[float, float, float]) -> Hits:  # type: ignore[override]
        """What one pass does at a site."""
        return hits(self.one, setting, self.optics, *site[1:])  # type: ignore[arg-type]

    def arriving(self, setting: Setting) -> Setting:
        """What the wall gets."""
        return arriving(self.one, setting)  # type: ignore[arg-type]


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
