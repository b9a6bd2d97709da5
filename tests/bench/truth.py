"""Made-up truths for the learning bench, from another model than the tool's.

Thresholds have other spreads and other middles; the beam is a Gaussian with a halo; each pass
lies at its own place, so lattices don't repeat; the thickness varies over the item; the wall's heat
is a finite-difference sheet; the power is off by up to 8 %. Nothing here calls the tool's own
ablation or heat formulas.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rotary.head import Head, Optics
from rotary.passes.setting import Setting

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


def marked(
    one: Truth,
    setting: Setting,
    optics: Optics,
    thick_um: float,
    mixer: np.random.Generator,
    off_mm: float = 0.0,
    weaker: float = 1.0,
) -> tuple[float, bool, float]:
    """One place after all passes: largest share of coating left, whether the metal is marked, passes until bare."""
    each = fluences(one, setting, optics, off_mm, weaker)
    longer = setting.pulse_ns / 100.0
    if one.lifts:
        needs = one.lift_off * (setting.pulse_ns / 10.0) ** 0.3 * (thick_um / 60.0) ** 0.4
        step = np.where(each.max(axis=0) > needs, thick_um, 0.0)
        # The first pulse that can throws the coating off; those after it in the same pass meet bare metal.
        spared = 1 / np.maximum((each > needs).sum(axis=0), 1)
    else:
        spared = np.zeros(POINTS * POINTS)
        step = one.depth_um * np.log(np.maximum(each / one.threshold, 1.0)).sum(axis=0)
        dose = setting.pulse_mj * 1e-3 * one.power * weaker * setting.rate_khz * 1e3
        dose /= setting.scan_speed_mm_s * setting.hatch_mm
        paid = 1e3 * dose / one.energy_j_mm3
        step = step * min(1.0, paid / max(float(step.mean()), 1e-9))
    strongest = each.max(axis=0)
    hits = (each > 0.2 * one.metal * np.sqrt(longer)).sum(axis=0).astype(float)
    left, after, bare = np.full(POINTS * POINTS, thick_um), np.zeros(POINTS * POINTS), float(setting.passes)
    cut = np.zeros(POINTS * POINTS, bool)
    for number in range(setting.passes):
        roll = mixer.integers(POINTS, size=2)
        lattice = (step, hits, strongest, spared)
        shift = [np.roll(v.reshape(POINTS, POINTS), roll, (0, 1)).ravel() for v in lattice]
        before = np.where(left > 0, shift[3], 0.0) if one.lifts else left / np.maximum(shift[0], 1e-9)
        part = np.clip(1 - before, 0.0, 1.0)
        left = np.maximum(left - shift[0], 0.0)
        after = after + part * shift[1]
        open_ = (left <= 0) & (part > 0.02)
        cut |= open_ & (shift[2] > one.metal * np.sqrt(longer) * np.maximum(after, 1.0) ** (one.incubation - 1))
        if bare == setting.passes and open_.mean() > 0.5:
            bare = float(number + 0.5)
    return float(left.max() / thick_um), bool(cut.mean() > 0.02), bare


def hottest_c(one: Truth, setting: Setting, sides_mm: tuple[float, float], bare: float) -> float:
    """Hottest wall after all passes, a finite-difference sheet of 304 with a little loss to the air."""
    cells = int(SHEET_MM / STEP_MM)
    at = (np.arange(cells) + 0.5) * STEP_MM - SHEET_MM / 2
    block = (np.abs(at) < sides_mm[0] / 2)[:, None] & (np.abs(at) < sides_mm[1] / 2)[None, :]
    mark_s = sides_mm[0] * sides_mm[1] / (setting.scan_speed_mm_s * setting.hatch_mm)
    per_mm2 = one.wall_mm * 8000 * 500 * 1e-9
    dose = setting.dose_j_mm2 * one.power
    rise, peak = np.zeros((cells, cells)), 0.0
    for number in range(setting.passes):
        share = one.residual if number < bare else one.absorptivity
        rise = _spread(rise, mark_s / 2)
        rise[block] += share * dose / per_mm2
        rise = _spread(rise, mark_s / 2)
        peak = max(peak, float(rise.max()))
        rise = _spread(rise, setting.pause_s)
    return 20.0 + peak


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


def cell_outcome(one: Truth, setting: Setting, optics: Optics, mixer: np.random.Generator, off_mm: float) -> str:
    """What is truly to be seen in a cell of a patch on a flat scrap; the place's thickness is its own."""
    thick = one.thick_um + one.uneven_um * float(mixer.uniform(-0.5, 0.5))
    left, cut, bare = marked(one, setting, optics, thick, mixer, off_mm)
    return _seen(left, cut, hottest_c(one, setting, (5.0, 5.0), bare) > one.tints_at_c if left < 0.05 else False)


def job_outcome(one: Truth, setting: Setting, optics: Optics, mixer: np.random.Generator, off_mm: float) -> str:
    """What is truly to be seen on the whole item: thick and thin places, middle and edges of slices, runout."""
    worst, cut, bare = 0.0, False, float(setting.passes)
    for thick, away, weaker in (
        (one.thick_um + one.uneven_um, 0.1, 0.90),
        (one.thick_um, 0.0, 1.0),
        (max(one.thick_um - one.uneven_um, 0.3 * one.thick_um), -0.1, 1.0),
    ):
        left, hurt, first = marked(one, setting, optics, thick, mixer, off_mm + away, weaker)
        worst, cut, bare = max(worst, left), cut or hurt, min(bare, first)
    hot = hottest_c(one, setting, (6.0, 18.0), bare) > one.tints_at_c
    return _seen(worst, cut, hot)


def _seen(left: float, cut: bool, hot: bool) -> str:
    if cut:
        return "cut"
    if left > 0.12:
        return "covered"
    if hot:
        return "tinted"
    return "haze" if left > 0.0 else "clear"


def solvable(one: Truth, tries: list[Setting], optics: Optics) -> bool:
    """Whether any of many settings is right on the whole item with the focus as set."""
    return any(job_outcome(one, setting, optics, np.random.default_rng(7), 0.0) == "clear" for setting in tries)


def read(outcome: str, mixer: np.random.Generator, wrong_share: float = 0.05) -> str:
    """What the person writes down: one reading in twenty is any of the others."""
    if mixer.random() >= wrong_share:
        return outcome
    return str(mixer.choice([name for name in ("covered", "haze", "clear", "tinted", "cut") if name != outcome]))


def of_head(head: Head) -> str:
    """How the head is called in the table."""
    return f"{head.rated_power_w:g} W, {head.focal_length_mm:g} mm lens"
