"""How long the passes take, slice by slice and all round."""

from collections.abc import Callable
from dataclasses import dataclass

from rotary.focus import SlicedSetup
from rotary.formulas.duration import (
    all_round_s,
    hatch_length_mm,
    hatch_lines,
    marking_time_s,
    slice_by_slice_s,
    turn_time_s,
)
from rotary.passes.plan.setting import Setting
from rotary.setup import Setup


@dataclass(frozen=True, slots=True)
class Timing:
    """Times of one job: a pass over one slice, an index, the way back to the first slice [s]."""

    slice_s: float
    index_s: float
    back_s: float
    blank_s: float
    inked: int

    def slice_by_slice(self, passes: int, pause_s: float, last_after_all: bool = False) -> float:
        """Every pass of a slice, then the next slice; the last one all round at the end where `last_after_all`."""
        if last_after_all:
            return self.slice_by_slice(passes - 1, pause_s) + self.back_s + self.all_round(1, pause_s)
        return float(slice_by_slice_s(self.slice_s, passes, pause_s, self.inked - 1, self.index_s)) + self.blank_s

    def all_round(self, passes: int, pause_s: float) -> float:
        """Every slice once, then back and the next pass."""
        return (
            float(all_round_s(self.slice_s, passes, pause_s, self.inked - 1, self.index_s, self.back_s)) + self.blank_s
        )


def slice_time(setup: Setup, inked: int) -> Callable[[float, float], float]:
    """The time of a pass over one slice [s] by speed and line spacing, where so many slices have ink; white between the
    ink is crossed with the beam off."""
    artwork, laser, layout = setup.job.artwork, setup.job.laser, setup.layout
    height = layout.artwork_to_mm - layout.artwork_from_mm
    area = layout.width_centre_mm * height / inked

    def slice_s(speed_mm_s: float, line_spacing_mm: float) -> float:
        ink_mm = float(hatch_length_mm(area * artwork.ink_share, line_spacing_mm))
        white_mm = float(hatch_length_mm(area * (1 - artwork.ink_share), line_spacing_mm))
        lines = float(hatch_lines(height, line_spacing_mm))
        return float(marking_time_s(ink_mm, lines, speed_mm_s, laser.line_wait_s, white_mm, laser.travel_speed_mm_s))

    return slice_s


def timing(setup: SlicedSetup, setting: Setting) -> Timing:
    """The times of this job at this setting."""
    artwork, drive, split = setup.job.artwork, setup.job.turning, setup.split
    inked = max(split.inked_slices, 1)
    one = slice_time(setup, inked)(setting.speed_mm_s, setting.line_spacing_mm)

    def turn(angle_rad: float) -> float:
        return float(turn_time_s(angle_rad, drive.top_speed_rad_s, drive.acceleration_rad_s2, drive.settling_s))

    index = turn(split.index_angle_rad)
    back = index if artwork.full_wrap else turn(split.index_angle_rad * (inked - 1))
    return Timing(one, index, back, index * max(split.slices - inked, 0), inked)
