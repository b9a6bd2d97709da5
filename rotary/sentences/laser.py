"""What has to be known of the beam, in sentences."""

from typing import Final

from rotary.laser import PUPIL_SHARES, LaserAndLens, Optics, OpticsNoteId

_SAYS: Final[dict[OpticsNoteId, str]] = {
    "spot_computed": (
        "The spot of {spot_um:.3g} µm is computed. A real spot is 1 to 1.5 times as wide (estimate). Measure yours "
        "and enter it."
    ),
    "spot_far_off": (
        "The measured spot of {spot_um:.3g} µm is far from the computed {computed_um:.3g} µm: check that you "
        "entered a 1/e² diameter, and check beam diameter and beam quality."
    ),
    "pupils_estimated": (
        "The pupil heights (where each mirror turns the beam) are estimates, {low:g} to {high:g} times the focal "
        "length: measure the same long line at two bed heights to know them."
    ),
    "weaker_below": (
        "Below {full_khz:.3g} kHz this laser loses power (its pulses stay at {largest_mj:g} mJ): type no lower "
        "frequency, unless the plan gives one."
    ),
}


def summary(optics: Optics) -> str:
    """The spot and how deep its focus is."""
    return f"spot {optics.spot_um:.3g} µm ({optics.spot_source}), depth of focus {optics.rayleigh_mm:.3g} mm"


def notes(laser: LaserAndLens, optics: Optics) -> tuple[str, ...]:
    """What has to be known of the beam."""
    values = {
        "spot_um": optics.spot_um, "computed_um": optics.computed_spot_um, "low": PUPIL_SHARES[0],
        "high": PUPIL_SHARES[2], "full_khz": laser.full_power_khz, "largest_mj": laser.largest_pulse_mj,
    }  # fmt: skip
    return tuple(_SAYS[note].format(**values) for note in optics.notes)
