"""Made-up truths for the learning bench, from another model than the tool's.

Thresholds have other spreads and other middles; the beam is a Gaussian with a halo; each pass
lies at its own place, so lattices don't repeat; the thickness varies over the item; the wall's heat
is a finite-difference sheet; the power is off by up to 8 %. Nothing here calls the tool's own
ablation or heat formulas.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rotary.head import Head, Optics
from rotary.passes.plan.setting import Setting

Floats = NDArray[np.float64]

POINTS = 12
HALO_SHARE, HALO_WIDTH = 0.10, 2.2
SHEET_MM, STEP_MM = 36.0, 1.0


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


def spot_mm(one: Truth, optics: Optics, defocus_mm: float) -> float:
    """Spot radius of the true beam: its beam quality is worse by `beam`, its divergence with it."""
    waist = optics.spot_um / 2000 * one.beam
    return float(np.hypot(waist, optics.spot_um / 2000 / optics.rayleigh_mm * defocus_mm * np.sqrt(one.beam)))


def fluences(one: Truth, setting: Setting, optics: Optics, off_mm: float, weaker: float) -> Floats:
    """Fluence of every pulse of one pass at POINTS x POINTS places of the lattice's cell: (pulses, places)."""
    w = spot_mm(one, optics, abs(setting.defocus_mm) + off_mm)
    pitch, hatch = setting.scan_speed_mm_s / setting.rate_khz / 1e3, setting.hatch_mm
    reach = 2.6 * w
    x = np.arange(-int(reach / pitch) - 1, int(reach / pitch) + 2) * pitch
    y = np.arange(-int(reach / hatch) - 1, int(reach / hatch) + 2) * hatch
    place = (np.arange(POINTS) + 0.5) / POINTS
    dx2, dy2 = (x[:, None] - place * pitch) ** 2, (y[:, None] - place * hatch) ** 2
    wide = w * HALO_WIDTH

    def spread(width: float) -> Floats:
        # A product of two lines: sums over x and y are taken apart, so the pulse lattice is cheap.
        return np.einsum("ia,jb->ijab", np.exp(-2 * dx2 / width**2), np.exp(-2 * dy2 / width**2))

    peak = 0.2 * setting.pulse_mj * one.power * weaker / np.pi
    core, halo = (1 - HALO_SHARE) / w**2, HALO_SHARE / wide**2
    return (peak * (core * spread(w) + halo * spread(wide))).reshape(-1, POINTS * POINTS)


@dataclass(frozen=True)
class Hits:
    """What one pass does to each of POINTS x POINTS places of the lattice's cell, (places,) each: depth
    that it takes off, pulses that count for the metal, the strongest pulse, and the share of the pass that
    the coating spares the metal where it is thrown off."""

    step: Floats
    pulses: Floats
    strongest: Floats
    spared: Floats


def hits(one: Truth, setting: Setting, optics: Optics, thick_um: float, off_mm: float, weaker: float) -> Hits:
    """One pass of a setting at a place of this thickness, this far out of focus."""
    each = fluences(one, setting, optics, off_mm, weaker)
    warmer = (setting.rate_khz / 20.0) ** -one.rate_exponent
    if one.lifts:
        needs = one.lift_off * (setting.pulse_ns / 10.0) ** 0.3 * (thick_um / 60.0) ** 0.4 * warmer
        step = np.where(each.max(axis=0) > needs, thick_um, 0.0)
        # The first pulse that can throws the coating off; those after it in the same pass meet bare metal.
        spared = 1 / np.maximum((each > needs).sum(axis=0), 1)
    else:
        spared = np.zeros(POINTS * POINTS)
        step = one.depth_um * np.log(np.maximum(each / (one.threshold * warmer), 1.0)).sum(axis=0)
        dose = setting.pulse_mj * 1e-3 * one.power * weaker * setting.rate_khz * 1e3
        dose /= setting.scan_speed_mm_s * setting.hatch_mm
        paid = 1e3 * dose / one.energy_j_mm3
        step = step * min(1.0, paid / max(float(step.mean()), 1e-9))
    pulses = (each > 0.2 * one.metal * np.sqrt(setting.pulse_ns / 100.0)).sum(axis=0).astype(float)
    return Hits(step, pulses, each.max(axis=0), spared)


class Place:
    """One place of the item under passes that each lie where they happen to lie."""

    def __init__(self, one: Truth, thick_um: float) -> None:
        """As it is before the first pass."""
        self.one, self.thick_um = one, thick_um
        self.left = np.full(POINTS * POINTS, thick_um)
        self.after, self.cut = np.zeros(POINTS * POINTS), np.zeros(POINTS * POINTS, bool)
        self.bare = False

    def hit(self, found: Hits, pulse_ns: float, mixer: np.random.Generator) -> None:
        """One pass."""
        roll = mixer.integers(POINTS, size=2)
        lattice = (found.step, found.pulses, found.strongest, found.spared)
        step, pulses, strongest, spared = (np.roll(v.reshape(POINTS, POINTS), roll, (0, 1)).ravel() for v in lattice)
        covers = self.left > 0
        before = np.where(covers, spared, 0.0) if self.one.lifts else self.left / np.maximum(step, 1e-9)
        part = np.clip(1 - before, 0.0, 1.0)
        self.left = np.maximum(self.left - step, 0.0)
        self.after = self.after + part * pulses
        open_ = (self.left <= 0) & (part > 0.02)
        stands = self.one.metal * np.sqrt(pulse_ns / 100.0)
        self.cut |= open_ & (strongest > stands * np.maximum(self.after, 1.0) ** (self.one.incubation - 1))
        self.bare |= bool(open_.mean() > 0.5)


class Wall:
    """The wall under a block of ink: a finite-difference sheet of 304 with a little loss to the air."""

    def __init__(self, one: Truth, sides_mm: tuple[float, float]) -> None:
        """At room temperature."""
        cells = int(SHEET_MM / STEP_MM)
        at = (np.arange(cells) + 0.5) * STEP_MM - SHEET_MM / 2
        self.one, self.sides_mm = one, sides_mm
        self.block = (np.abs(at) < sides_mm[0] / 2)[:, None] & (np.abs(at) < sides_mm[1] / 2)[None, :]
        self.rise, self.peak = np.zeros((cells, cells)), 0.0

    def hit(self, setting: Setting, bare: bool) -> None:
        """One pass and the pause after it."""
        mark_s = self.sides_mm[0] * self.sides_mm[1] / (setting.scan_speed_mm_s * setting.hatch_mm)
        share = self.one.absorptivity if bare else self.one.residual
        self.rise = _spread(self.rise, mark_s / 2)
        self.rise[self.block] += share * setting.dose_j_mm2 * self.one.power / (self.one.wall_mm * 8000 * 500 * 1e-9)
        self.rise = _spread(self.rise, mark_s / 2)
        self.peak = max(self.peak, float(self.rise.max()))
        self.rise = _spread(self.rise, setting.pause_s)

    @property
    def tinted(self) -> bool:
        """Whether it has been hot enough to colour."""
        return 20.0 + self.peak > self.one.tints_at_c


def _line() -> tuple[Floats, Floats]:
    """Eigenvalues and vectors of the second difference on a line whose ends stay at room temperature."""
    cells = int(SHEET_MM / STEP_MM)
    second = np.diag(np.full(cells, -2.0)) + np.diag(np.ones(cells - 1), 1) + np.diag(np.ones(cells - 1), -1)
    values, vectors = np.linalg.eigh(second / STEP_MM**2)
    return values, vectors


VALUES, VECTORS = _line()


def _spread(rise: Floats, seconds: float) -> Floats:
    """Heat spread in the sheet of finite differences for a while, exactly in time; a little goes to the air."""
    move = (VECTORS * np.exp(4.05 * seconds * VALUES)) @ VECTORS.T
    return np.asarray(np.exp(-seconds * 12.0 / (0.5 * 4e3)) * (move @ rise @ move.T))


class Marked:
    """What is marked with pass after pass: its places, its wall, and what is truly to be seen at any time."""

    def __init__(
        self,
        one: Truth,
        optics: Optics,
        places: tuple[tuple[float, float, float], ...],
        sides_mm: tuple[float, float],
        mixer: np.random.Generator,
    ) -> None:
        """`places` are thickness, how far out of focus, and how much weaker the beam arrives there."""
        self.one, self.optics, self.mixer, self.sites = one, optics, mixer, places
        self.places = [self.place(thick) for thick, _, _ in places]
        self.wall = Wall(one, sides_mm)
        self._hits: dict[Setting, list[Hits]] = {}

    def place(self, thick_um: float) -> Place:
        """A place before the first pass."""
        return Place(self.one, thick_um)

    def pass_of(self, setting: Setting, site: tuple[float, float, float]) -> Hits:
        """What one pass does at a site."""
        return hits(self.one, setting, self.optics, *site)

    def arriving(self, setting: Setting) -> Setting:
        """What the wall gets; how much of it arrives stands in the truth."""
        return setting

    def mark(self, setting: Setting) -> None:
        """One pass of this setting everywhere."""
        if setting not in self._hits:
            self._hits[setting] = [self.pass_of(setting, site) for site in self.sites]
        bare = any(place.bare for place in self.places)
        for place, found in zip(self.places, self._hits[setting], strict=True):
            place.hit(found, setting.pulse_ns, self.mixer)
        self.wall.hit(self.arriving(setting), bare)

    @property
    def outcome(self) -> str:
        """What is truly to be seen: the worst of its places."""
        if any(place.cut.mean() > 0.02 for place in self.places):
            return "cut"
        left = max(float(place.left.max() / place.thick_um) for place in self.places)
        if left > 0.12:
            return "covered"
        if self.wall.tinted:
            return "tinted"
        return "haze" if left > 0.0 else "clear"


def cell(one: Truth, optics: Optics, mixer: np.random.Generator, off_mm: float, kind: type[Marked] = Marked) -> Marked:
    """A cell of a patch on a flat scrap; the place's thickness is its own."""
    thick = one.thick_um + one.uneven_um * float(mixer.uniform(-0.5, 0.5))
    return kind(one, optics, ((thick, off_mm, 1.0),), (5.0, 5.0), mixer)


def job(one: Truth, optics: Optics, mixer: np.random.Generator, off_mm: float, kind: type[Marked] = Marked) -> Marked:
    """The whole item: thick and thin places, middle and edges of slices, runout."""
    sites = (
        (one.thick_um + one.uneven_um, off_mm + 0.1, 0.90),
        (one.thick_um, off_mm, 1.0),
        (max(one.thick_um - one.uneven_um, 0.3 * one.thick_um), off_mm - 0.1, 1.0),
    )
    return kind(one, optics, sites, (6.0, 18.0), mixer)


def after_all(marked: Marked, setting: Setting) -> str:
    """What is to be seen after all passes of a setting, run blind."""
    for _ in range(setting.passes):
        marked.mark(setting)
    return marked.outcome


def solvable(one: Truth, tries: list[Setting], optics: Optics) -> bool:
    """Whether any of many settings, stopped at the first clear look, is right on the whole item, the focus as set."""
    for setting in tries:
        marked = job(one, optics, np.random.default_rng(7), 0.0)
        for _ in range(setting.passes):
            marked.mark(setting)
            if marked.outcome == "clear":
                return True
            if marked.outcome in ("cut", "tinted"):
                break
    return False


def read(outcome: str, mixer: np.random.Generator, wrong_share: float = 0.05) -> str:
    """What the person writes down: one reading in twenty is any of the others."""
    if mixer.random() >= wrong_share:
        return outcome
    return str(mixer.choice([name for name in ("covered", "haze", "clear", "tinted", "cut") if name != outcome]))


def of_head(head: Head) -> str:
    """How the head is called in the table."""
    return f"{head.rated_power_w:g} W, {head.focal_length_mm:g} mm lens"
