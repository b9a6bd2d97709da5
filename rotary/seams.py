"""The seams of a plan: the gap that just closes, how far slices overlap, within what all seams are.

The gap that closes is the drawn gap between two filled areas that marking just closes. A gap ladder reads it; before
that it follows from the samples of what may be true of coating, metal and beam, with their spread.
"""

from typing import Final, Literal

import numpy as np

from rotary.focus import SlicedSetup
from rotary.formulas import ablation, seams
from rotary.formulas.arrays import Floats
from rotary.formulas.estimate import HOLDS_95
from rotary.model import Model
from rotary.passes.beliefs.draws import Draws, Material, material_for
from rotary.passes.plan.effect import Beam, Exposure, exposure, log_lift_off
from rotary.passes.plan.grid import Light
from rotary.passes.plan.setting import Removal, Setting
from rotary.passes.plan.typed_settings import grid_from
from rotary.passes.plan.window import passes
from rotary.slices.models import Split
from rotary.slices.slits import LEAST_SLITS, fits, with_slits

SAMPLES: Final = 300
"""So many samples of what may be true give the gap and its spread to a twentieth of the spread."""

MOST_PASSES: Final = 30.0
"""Nobody goes on beyond so many passes: a sample that needs more clears nothing, and has no seam."""

UNKNOWN_SHARE: Final = 0.5
"""Without a setting the gap is taken as wide as the spot, give or take half of it (1 sigma): estimate."""

SPARE: Final = 1.05
"""Other slices have another frequency and other stops, and with them a gap that is a little wider."""

GapSource = Literal["measured", "assumed", "other settings"]


class Seams(Model):
    """The seams between the slices of a plan. Lengths on the wall [mm].

    `closing_gap_mm` is the drawn gap that just closes, `u_closing_gap_mm` its standard uncertainty, alike at all seams;
    `source` says whether a gap ladder has read it at these settings. `overlap_mm` is how far neighbours are to
    overlap, so that 19 of 20 seams close. All `seams` seams are within `within_mm` of that in 19 of 20 items.
    `settings` are those that a reading is good for.
    """

    closing_gap_mm: float
    u_closing_gap_mm: float
    source: GapSource
    overlap_mm: float
    seams: int
    within_mm: float
    settings: str

    @property
    def slit_mm(self) -> float:
        """The gap that is drawn between two slices; where negative, they are drawn over each other."""
        return self.closing_gap_mm - self.overlap_mm

    @property
    def least_slice_mm(self) -> float:
        """The narrowest slice that goes with the slit, with a little to spare."""
        return SPARE * LEAST_SLITS * abs(self.slit_mm)

    def goes_with(self, slice_mm: float) -> bool:
        """Whether slices of this width are wide enough for the slits between them, where any meet."""
        return not self.seams or fits(self.slit_mm, slice_mm)

    def at(self, setup: SlicedSetup) -> tuple[Split, "Seams"]:
        """The same gap that closes, at the seams of another split."""
        return _slit(setup, (self.closing_gap_mm, self.u_closing_gap_mm), self.source, self.settings)


def seams_of(setup: SlicedSetup, removal: Removal, believed: Draws | None) -> tuple[Split, Seams]:
    """The seams of a plan with these passes, and its split with flat artwork slit at them; `believed` are the samples
    after readings."""
    setting, read = removal.setting, setup.job.tolerances
    at = settings_text(setting) if setting else ""
    source: GapSource = "assumed"
    if read.closing_gap_mm is not None and read.closing_gap_at in ("", at):
        gap, source = (read.closing_gap_mm, read.closing_gap_u_mm), "measured"
    else:
        source = "assumed" if read.closing_gap_mm is None else "other settings"
        gap = _assumed(setup, setting, believed)
    return _slit(setup, gap, source, at)


def settings_text(setting: Setting) -> str:
    """The settings that a gap ladder is marked with, as its reading holds them."""
    return (
        f"{100 * setting.power_share:.4g} %, {setting.frequency_khz:.4g} kHz, {setting.pulse_width_ns:.4g} ns, "
        f"{setting.speed_mm_s:.5g} mm/s, lines {setting.line_spacing_mm:.4g} mm, lens {setting.defocus_mm:+.4g} mm, "
        f"passes {setting.passes}"
    )


def _slit(setup: SlicedSetup, gap: tuple[float, float], source: GapSource, at: str) -> tuple[Split, Seams]:
    (closing, u), split = gap, setup.split
    overlap = within = 0.0
    if split.seams:
        if setup.job.item.coating is not None:
            # What is removed has to overlap.
            overlap = float(seams.wanted_overlap_mm(split.stops_mm, closing, u))
        split = with_slits(split, closing - overlap, setup.job.tolerances.accepted_seam_mm)
        common = np.hypot(split.shared_mm, u)
        within = float(seams.all_within_mm(common, split.stops_mm, split.seams, split.nominal_mm))
    return split, Seams(
        closing_gap_mm=closing,
        u_closing_gap_mm=u,
        source=source,
        overlap_mm=overlap,
        seams=split.seams,
        within_mm=within,
        settings=at,
    )


def _assumed(setup: SlicedSetup, setting: Setting | None, believed: Draws | None) -> tuple[float, float]:
    """The gap that closes and its spread over the samples in which the fill itself clears.

    They are always as many: slices are drawn by it, and a file is the same however many draws its plan has.
    """
    if setting is None:
        spot_mm = setup.optics.spot_um / 1000
        return spot_mm, UNKNOWN_SHARE * spot_mm
    material = material_for(setup.job.item, setup.job.laser, SAMPLES, believed)
    if len(material.draws.weight) > SAMPLES:
        material = material.first(SAMPLES)
    closes = closing_gaps_mm(setup, setting, material)
    weight = np.where(np.isfinite(closes), material.draws.weight, 0.0)
    if weight.sum() <= 0:
        return setting.spot_at_surface_um / 1000, UNKNOWN_SHARE * setting.spot_at_surface_um / 1000
    weight, closes = weight / weight.sum(), np.nan_to_num(closes)
    mean = float(weight @ closes)
    # Coatings may be thrown off or dug away, and two such gaps are no normal law: the spread that holds 95 % of them.
    off = np.abs(closes - mean)
    order = np.argsort(off)
    holds = float(off[order][min(int(np.searchsorted(np.cumsum(weight[order]), 0.95)), len(off) - 1)])
    return mean, max(holds / HOLDS_95, seams.LEAST_READ_MM)


def closing_gaps_mm(setup: SlicedSetup, setting: Setting, material: Material) -> Floats:
    """The gap that closes at a setting in each sample (n,), nan where the fill itself does not clear [mm].

    Each sample is marked until it is clear, as a person does who looks: the passes are its own.
    """
    one, draws, optics = grid_from(setting), material.draws, setup.optics
    beam = Beam(optics.spot_um, optics.rayleigh_mm, draws.spot_factor, draws.divergence_factor, draws.power_factor)
    light = exposure(one.take(np.zeros((1, 1), np.intp)), beam)
    spot = light.spot[0] * float(one.spacing_mm[0])
    if material.coating is None:
        return _marked_mm(light, setting, material, spot)
    needed = passes(one, material, setting.pulse_width_ns, optics, Light(np.ones(1), np.ones(1))).needed[0]
    run = np.where(needed <= MOST_PASSES, np.maximum(np.ceil(needed), 1.0), np.nan)
    lift = light.log_peak[0] - log_lift_off(draws, draws.thickest_um, material.lift_off_at_ns, setting.pulse_width_ns)
    dig = light.log_peak[0] - np.log(draws.threshold_j_cm2)
    with np.errstate(divide="ignore", invalid="ignore"):
        thick = draws.thickest_um / (run * draws.depth_um)
    lifted = seams.closing_lifted_mm(lift, spot, setting.line_spacing_mm)
    ablated = seams.closing_ablated_mm(dig, spot, thick, float(one.spacing_mm[0]) ** 2)
    return np.where(np.isfinite(run), np.where(draws.lifts > 0, lifted, ablated), np.nan)


def _marked_mm(light: Exposure, setting: Setting, material: Material, spot: Floats) -> Floats:
    """On bare metal: how far apart two marked areas may be drawn so that no metal stays unmarked between them."""
    draws, metal = material.draws, material.metal
    log = ablation.log_threshold_at_duration(np.log(draws.metal_j_cm2), metal.known_at_ns, setting.pulse_width_ns)
    pulses = np.log(np.maximum(light.hits[0] * setting.passes, 1.0))
    over = light.log_peak[0] - ablation.log_threshold_after_pulses(log, pulses, draws.incubation)
    return seams.closing_lifted_mm(over, spot, setting.line_spacing_mm)


def half_width_95_mm(known: Seams) -> float:
    """How far the gap that closes may be off, 95 %."""
    return HOLDS_95 * known.u_closing_gap_mm
