"""3  Laser, lens and field: what the beam is like where it meets the item."""

import math
from collections.abc import Iterator
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pydantic import Field

from rotary.errors import Fault, refuse_all
from rotary.formulas import beam
from rotary.model import Angle, Energy, Length, Model, Power, PulseDuration, Rate, Share, Speed, Thin, Time, Wavelength

PUPIL_SHARES: Final = (1.0, 1.15, 1.4)
"""Pupil height over focal length: low, central, high. Common practice, no source; lens designs differ."""

PUPILS_APART_MM: Final = 15.0
"""Between the pupils of the two mirrors: 10 to 20 mm. Common practice, no source."""

DURATIONS_NS: Final = (0.001, 10_000.0)
"""Pulse durations for which the process formulas make sense at all: 1 ps to 10 µs."""

PUPILS_AT_MOST_APART_MM: Final = 20.0
"""Between a known pupil of one mirror and that of the other (common practice, no source)."""

WIDEST_FIELD_SHARE: Final = 1.4
"""A field wider than this times the focal length needs the beam leaning over 40 degrees: no such lens."""

READING_SLACK: Final = 0.9
"""How far measured figures may fall below what diffraction allows before they contradict it (reading error)."""


class LaserAndLens(Model):
    """A pulsed source with its scan head and lens, from its data sheet or as measured.

    A measured spot (`spot_um`, with `rayleigh_mm` if known) wins over the computed one.
    `pupil_x_mm`/`pupil_y_mm` are the heights of the two scan mirrors' pupils above the focal
    plane, known to `pupil_doubt_share` (95 %); where not given they are estimated from the focal length.
    `use` is the shipped example that its figures are of, empty where they are a person's own.
    Each slice is drawn `slice_wide_share` times as wide, `slice_high_share` times as high and turned by
    `slice_turn_rad` (+ anticlockwise), as this machine needs it.
    `focus_above_mm` is how far the focus lies above the place where the person sets it, as a focus test has read it.
    `free_height_mm` is the free room from the focal plane up to the lowest part of the head.
    """

    name: str = Field(min_length=1, max_length=120)
    use: str = Field(default="", max_length=120)
    note: str = ""
    wavelength_nm: Wavelength = Field(default=1064.0, ge=180, le=11_000)
    rated_power_w: Power = Field(gt=0, le=2000)
    largest_pulse_mj: Energy = Field(gt=0)
    pulse_widths_ns: tuple[PulseDuration, ...] = (100.0,)
    lowest_frequency_khz: Rate = Field(gt=0)
    highest_frequency_khz: Rate = Field(gt=0)
    beam_quality: float = Field(default=1.5, ge=1, le=100)
    beam_diameter_mm: Length = Field(default=7.0, gt=0)
    focal_length_mm: Length = Field(gt=0)
    field_mm: Length = Field(gt=0)
    lens: Literal["f-theta", "telecentric"] = "f-theta"
    pupil_x_mm: Length | None = Field(default=None, gt=0)
    pupil_y_mm: Length | None = Field(default=None, gt=0)
    pupil_doubt_share: Share = Field(default=0.01, ge=0, le=0.5)
    slice_wide_share: Share = Field(default=1.0, ge=0.8, le=1.25)
    slice_high_share: Share = Field(default=1.0, ge=0.8, le=1.25)
    slice_turn_rad: Angle = Field(default=0.0, ge=-0.1, le=0.1)
    focus_above_mm: Length = Field(default=0.0, ge=-50, le=50)
    spot_um: Thin | None = Field(default=None, gt=0)
    rayleigh_mm: Length | None = Field(default=None, gt=0)
    free_height_mm: Length | None = Field(default=None, gt=0)
    power_step_share: Share = Field(default=0.01, gt=0, le=0.5)
    top_speed_mm_s: Speed = Field(default=7000.0, gt=0)
    travel_speed_mm_s: Speed = Field(default=4000.0, gt=0)
    line_wait_s: Time = Field(default=0.0002, ge=0)
    field_axis: Literal["y", "x"] = "y"
    rim_towards: Literal["plus", "minus"] = "plus"

    @property
    def full_power_khz(self) -> float:
        """The lowest frequency at which the largest pulses make the rated power."""
        return float(self.rated_power_w / self.largest_pulse_mj)


OpticsNoteId = Literal["spot_computed", "spot_far_off", "pupils_estimated", "weaker_below"]
"""What has to be known of the beam."""


class Optics(Model):
    """The beam at the item. `spot_um` is the 1/e^2 diameter in focus, `computed_spot_um` what lens and beam
    would make of it; pupils None where telecentric.

    `pupil_low_share` and `pupil_high_share` bound (95 %) what the true pupil height may be over
    the one given here; `peak_fluence_j_cm2` is that of the largest pulse in focus.
    """

    spot_um: float
    computed_spot_um: float = 0.0
    spot_source: Literal["measured", "computed"]
    rayleigh_mm: float
    pupil_x_mm: float | None
    pupil_y_mm: float | None
    pupil_source: Literal["given", "estimated", "telecentric"]
    peak_fluence_j_cm2: float
    pupil_low_share: float = 1.0
    pupil_high_share: float = 1.0
    notes: tuple[OpticsNoteId, ...] = ()


def pulse_energy_mj(laser: LaserAndLens, power_share: ArrayLike, frequency_khz: ArrayLike) -> NDArray[np.float64]:
    """Energy of a pulse [mJ] at this share of the rated power: P/f, capped at the largest pulse."""
    return beam.pulse_energy_mj(
        np.asarray(power_share, float) * laser.rated_power_w, frequency_khz, laser.largest_pulse_mj
    )


def _source_faults(laser: LaserAndLens) -> Iterator[Fault]:
    low, high = laser.lowest_frequency_khz, laser.highest_frequency_khz
    if low > high:
        yield Fault(
            "laser.lowest_frequency",
            f"the lowest frequency, {low:g} kHz, is above the highest, {high:g} kHz: write the two the other way "
            "round.",
        )
    else:
        reached = laser.rated_power_w / low
        if laser.largest_pulse_mj > reached * 1.02:
            yield Fault(
                "laser.largest_pulse",
                f"{laser.rated_power_w:g} W can't make pulses of {laser.largest_pulse_mj:g} mJ, even at "
                f"the lowest frequency of {low:g} kHz: that takes {laser.largest_pulse_mj * low:.5g} W. Correct the "
                "power, the pulse energy or the frequency.",
            )
        reached = laser.largest_pulse_mj * high
        if laser.rated_power_w > reached * 1.02:
            yield Fault(
                "laser.rated_power",
                f"pulses of at most {laser.largest_pulse_mj:g} mJ at up to {high:g} kHz give at most {reached:.3g} W, "
                f"not {laser.rated_power_w:g} W: correct the power, the pulse energy or the frequency.",
            )
    if not laser.pulse_widths_ns:
        yield Fault("laser.pulse_widths", 'no pulse width is given: write for example ["100 ns"].')
    for place, duration in enumerate(laser.pulse_widths_ns):
        if not DURATIONS_NS[0] <= duration <= DURATIONS_NS[1]:
            yield Fault(
                f"laser.pulse_widths.{place}",
                f"{duration:.12g} ns is not a pulse width of a marking laser: write a pulse width from 0.001 ns to "
                "10000 ns.",
            )


def _lens_faults(laser: LaserAndLens) -> Iterator[Fault]:
    if laser.beam_diameter_mm > laser.focal_length_mm:
        yield Fault(
            "laser.beam_diameter",
            f"a beam of {laser.beam_diameter_mm:g} mm is too wide for a lens of {laser.focal_length_mm:g} mm focal "
            "length: write the beam's diameter at the lens (a few millimetres).",
        )
    widest = WIDEST_FIELD_SHARE * laser.focal_length_mm
    if laser.lens != "telecentric" and laser.field_mm > widest:
        yield Fault(
            "laser.field",
            f"no lens of {laser.focal_length_mm:g} mm focal length covers a field of {laser.field_mm:g} mm: write the "
            f"side of the square that your lens can mark, at most {widest:.3g} mm.",
        )
    for axis, pupil in (("x", laser.pupil_x_mm), ("y", laser.pupil_y_mm)):
        if pupil is None:
            continue
        if laser.lens == "telecentric":
            yield Fault(
                f"laser.pupil_{axis}",
                "a telecentric lens sends every beam straight down and has no pupil height: leave the height out, "
                "or choose an f-theta lens.",
            )
        elif not 0.4 * laser.focal_length_mm <= pupil <= 5 * laser.focal_length_mm:
            yield Fault(
                f"laser.pupil_{axis}",
                f"a pupil {pupil:g} mm above the focus does not fit a lens of {laser.focal_length_mm:g} mm focal "
                f"length: write the pupil's height above the focus, about {1.15 * laser.focal_length_mm:.0f} mm.",
            )


def _spot_faults(laser: LaserAndLens, spot_um: float, rayleigh_mm: float) -> Iterator[Fault]:
    """What diffraction forbids. A beam diameter that nobody gave contradicts nothing."""
    finest = float(beam.spot_diameter_um(laser.wavelength_nm, laser.focal_length_mm, laser.beam_diameter_mm, 1.0))
    if laser.spot_um and "beam_diameter_mm" in laser.model_fields_set and spot_um < READING_SLACK * finest:
        yield Fault(
            "laser.spot",
            f"a lens of {laser.focal_length_mm:g} mm can't focus a beam of {laser.beam_diameter_mm:g} mm to "
            f"{spot_um:g} µm, only to {finest:.3g} µm: write the spot's diameter, not its radius, or correct the "
            "beam's diameter at the lens.",
        )
    if (
        laser.rayleigh_mm
        and float(beam.beam_quality_from_spot(spot_um, rayleigh_mm, laser.wavelength_nm)) < READING_SLACK
    ):
        longest = float(beam.rayleigh_mm(spot_um, laser.wavelength_nm, 1.0))
        yield Fault(
            "laser.rayleigh",
            f"a spot of {spot_um:.3g} µm can't stay narrow for {rayleigh_mm:g} mm, only for {longest:.3g} mm: as the "
            "depth of focus write the distance from the focus at which the spot's area has doubled.",
        )


def _pupils(laser: LaserAndLens) -> tuple[float | None, float | None, Literal["given", "estimated", "telecentric"]]:
    if laser.lens == "telecentric":
        return None, None, "telecentric"
    x, y = laser.pupil_x_mm, laser.pupil_y_mm
    if x is not None and y is not None:
        return x, y, "given"
    middle = PUPIL_SHARES[1] * laser.focal_length_mm
    if x is None and y is None:
        # Which mirror comes first differs between heads; a guess here costs half their distance at most.
        return middle + PUPILS_APART_MM / 2, middle - PUPILS_APART_MM / 2, "estimated"
    return (x if x is not None else y), (y if y is not None else x), "estimated"


def _pupil_shares(laser: LaserAndLens) -> tuple[float, float]:
    """What the true pupil heights may be over those that are used: a bound below and one above, 95 %."""
    given = [pupil for pupil in (laser.pupil_x_mm, laser.pupil_y_mm) if pupil is not None]
    if laser.lens == "telecentric":
        return 1.0, 1.0
    if not given:
        low, central, high = PUPIL_SHARES
        return low / central, high / central
    doubt = laser.pupil_doubt_share
    if len(given) == 1:
        doubt = math.hypot(doubt, PUPILS_AT_MOST_APART_MM / given[0])
    return 1 - doubt, 1 + doubt


def _notes(laser: LaserAndLens, spot_um: float, computed_um: float, pupils: str) -> Iterator[OpticsNoteId]:
    if laser.spot_um is None:
        yield "spot_computed"
    elif not 0.8 * computed_um <= spot_um <= 2 * computed_um:
        yield "spot_far_off"
    if pupils == "estimated":
        yield "pupils_estimated"
    if laser.full_power_khz > laser.lowest_frequency_khz * 1.001:
        yield "weaker_below"


def optics(laser: LaserAndLens) -> Optics:
    """The beam that this laser makes; raises Refused where its figures contradict each other."""
    computed_um = float(
        beam.spot_diameter_um(laser.wavelength_nm, laser.focal_length_mm, laser.beam_diameter_mm, laser.beam_quality)
    )
    spot_um = laser.spot_um or computed_um
    rayleigh_mm = laser.rayleigh_mm or float(beam.rayleigh_mm(spot_um, laser.wavelength_nm, laser.beam_quality))
    refuse_all([*_source_faults(laser), *_lens_faults(laser), *_spot_faults(laser, spot_um, rayleigh_mm)])
    pupil_x_mm, pupil_y_mm, source = _pupils(laser)
    low, high = _pupil_shares(laser)
    spot_source: Literal["measured", "computed"] = "measured" if laser.spot_um else "computed"
    return Optics(
        spot_um=spot_um,
        computed_spot_um=computed_um,
        spot_source=spot_source,
        rayleigh_mm=rayleigh_mm,
        pupil_x_mm=pupil_x_mm,
        pupil_y_mm=pupil_y_mm,
        pupil_source=source,
        peak_fluence_j_cm2=float(beam.peak_fluence_j_cm2(laser.largest_pulse_mj, spot_um)),
        pupil_low_share=low,
        pupil_high_share=high,
        notes=tuple(_notes(laser, spot_um, computed_um, source)),
    )
