"""3  Laser, lens and field: what the beam is like where it meets the item."""

from typing import Literal

from pydantic import Field

from rotary.model import Energy, Length, Model, Power, PulseDuration, Rate, Share, Speed, Thin, Time, Wavelength


class Head(Model):
    """A pulsed source with its scan head and lens, from its data sheet or as measured.

    A measured spot (`spot_um`, with `rayleigh_mm` if known) wins over the computed one.
    `pupil_x_mm`/`pupil_y_mm` are the heights of the two scan mirrors' pupils above the focal
    plane; where not given they are estimated from the focal length.
    """

    name: str = Field(min_length=1, max_length=120)
    note: str = ""
    wavelength_nm: Wavelength = Field(default=1064.0, ge=180, le=11_000)
    rated_power_w: Power = Field(gt=0, le=2000)
    largest_pulse_mj: Energy = Field(gt=0)
    pulse_durations_ns: tuple[PulseDuration, ...] = (100.0,)
    lowest_rate_khz: Rate = Field(gt=0)
    highest_rate_khz: Rate = Field(gt=0)
    beam_quality: float = Field(default=1.5, ge=1, le=100)
    beam_diameter_mm: Length = Field(default=7.0, gt=0)
    focal_length_mm: Length = Field(gt=0)
    field_mm: Length = Field(gt=0)
    lens: Literal["f-theta", "telecentric"] = "f-theta"
    pupil_x_mm: Length | None = Field(default=None, gt=0)
    pupil_y_mm: Length | None = Field(default=None, gt=0)
    spot_um: Thin | None = Field(default=None, gt=0)
    rayleigh_mm: Length | None = Field(default=None, gt=0)
    free_height_mm: Length | None = Field(default=None, gt=0)
    power_step_share: Share = Field(default=0.01, gt=0, le=0.5)
    top_speed_mm_s: Speed = Field(default=7000.0, gt=0)
    travel_speed_mm_s: Speed = Field(default=4000.0, gt=0)
    line_wait_s: Time = Field(default=0.0002, ge=0)
    field_axis: Literal["y", "x"] = "y"
    rim_towards: Literal["plus", "minus"] = "plus"


class Optics(Model):
    """The beam at the item. `spot_um` is the 1/e^2 diameter in focus; pupils None where telecentric."""

    spot_um: float
    spot_source: Literal["measured", "computed"]
    rayleigh_mm: float
    pupil_x_mm: float | None
    pupil_y_mm: float | None
    pupil_source: Literal["given", "estimated", "telecentric"]
    peak_fluence_j_cm2: float
    state: str


def optics(head: Head) -> Optics:
    """The beam that this head makes; raises Refused where its figures contradict each other."""
    raise NotImplementedError
