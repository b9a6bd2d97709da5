"""What the person holds fixed: controls that the plan is to take as they are, and the depth wanted of bare metal."""

from collections.abc import Iterator
from typing import Final

from pydantic import Field

from rotary.errors import Fault, listing, refuse_all
from rotary.finishes import Finish
from rotary.laser import LaserAndLens
from rotary.model import Length, Model, PulseDuration, Rate, Share, Speed, Thin, Time
from rotary.program import UNASKED, Program

MOST_PASSES: Final = 200


class Wishes(Model):
    """Controls held fixed; what is left out is chosen round them.

    `defocus_mm` is signed, + with the focal plane above the surface. `depth_um` is for bare metal alone: what is left
    once sanding or polishing has taken `polish_um` off.

    Three say what is wanted and hold no control: `finish` how the metal may look, `spoiled_cost` how bad a spoilt
    item is, in clean ones, and `hottest_c` how hot the wall may get [degC]; the last two as usual where left out.
    """

    power_share: Share | None = Field(default=None, gt=0, le=1)
    frequency_khz: Rate | None = Field(default=None, gt=0)
    pulse_width_ns: PulseDuration | None = Field(default=None, gt=0)
    speed_mm_s: Speed | None = Field(default=None, gt=0)
    line_spacing_mm: Length | None = Field(default=None, ge=0.001, le=2)
    defocus_mm: Length | None = Field(default=None, ge=-50, le=50)
    passes: int | None = Field(default=None, ge=1, le=MOST_PASSES)
    pause_s: Time | None = Field(default=None, ge=0, le=600)
    depth_um: Thin | None = Field(default=None, gt=0, le=2000)
    polish_um: Thin | None = Field(default=None, ge=0, le=1000)
    finish: Finish = "as before"
    spoiled_cost: float | None = Field(default=None, ge=0, le=10)
    hottest_c: float | None = Field(default=None, ge=40, le=1000)

    @property
    def controls(self) -> tuple[str, ...]:
        """The controls that are held, as a job file calls them."""
        fields = ((name, info) for name, info in type(self).model_fields.items() if name not in _WANTED)
        return tuple(info.alias or name for name, info in fields if getattr(self, name) is not None)

    @property
    def control_words(self) -> str:
        """The controls that are held, as a form calls them."""
        return ", ".join("lens away" if name == "defocus" else name.replace("_", " ") for name in self.controls)

    @property
    def cut_um(self) -> float | None:
        """How deep to cut, so that the depth wanted is left after finishing; None where no depth is wanted."""
        return None if self.depth_um is None else self.depth_um + (self.polish_um or 0.0)


_WANTED: Final = ("finish", "spoiled_cost", "hottest_c", "polish_um")

CONTROLS: Final = ("power_share", "frequency_khz", "pulse_width_ns", "speed_mm_s", "line_spacing_mm", "defocus_mm")
"""What is set at the laser and the lens, by the names of its fields."""

FREE: Final = Wishes()
"""Nothing held."""


def feasible(wishes: Wishes, laser: LaserAndLens, bare: bool, program: Program = UNASKED) -> Wishes:
    """The wishes, if laser and program can do them; raises Refused at `passes.…` with every fault and the range."""
    faults = [*_power_faults(wishes, laser), *_range_faults(wishes, laser), *_depth_faults(wishes, bare)]
    refuse_all([*faults, *_pause_faults(wishes, program)])
    return wishes


def _pause_faults(wishes: Wishes, program: Program) -> Iterator[Fault]:
    if wishes.pause_s is None or program.takes_pause(wishes.pause_s):
        return
    says = f"your marking program can't pause for less than {program.least_pause_s:g} s: write a longer pause, or 0 s."
    if program.can_pause is False:
        says = "your marking program can't pause between passes: leave the pause out."
    yield Fault("passes.pause", says)


def _power_faults(wishes: Wishes, laser: LaserAndLens) -> Iterator[Fault]:
    share, step, rate = wishes.power_share, laser.power_step_share, wishes.frequency_khz
    if share is None:
        return
    whole = round(share / step)
    if whole == 0 or abs(share / step - whole) > 1e-6:
        # Whoever writes less than a step and 1 % may mean a share of the whole: 0.5 for half of it.
        meant = 100 * share if share < min(step, 0.01) else share
        near = min(max(round(meant / step), 1) * step, 1.0)
        says = f"this laser's power goes in steps of {100 * step:g} %: write {100 * near:g} %."
        yield Fault("passes.power", says)
        return
    watts = share * laser.rated_power_w
    if rate is not None and watts / rate > laser.largest_pulse_mj * 1.000001:
        yield Fault(
            "passes.frequency",
            f"{watts:g} W at {rate:g} kHz needs pulses of {watts / rate:.3g} mJ, but the laser makes "
            f"{laser.largest_pulse_mj:g} mJ at most: write at least {watts / laser.largest_pulse_mj:.4g} kHz, "
            "or less power.",
        )


def _range_faults(wishes: Wishes, laser: LaserAndLens) -> Iterator[Fault]:
    rate = wishes.frequency_khz
    if rate is not None and not laser.lowest_frequency_khz * 0.999999 <= rate <= laser.highest_frequency_khz * 1.000001:
        yield Fault(
            "passes.frequency",
            f"this laser pulses at {laser.lowest_frequency_khz:g} to {laser.highest_frequency_khz:g} kHz, not at "
            f"{rate:g} kHz: write a frequency in that range.",
        )
    pulse = wishes.pulse_width_ns
    if pulse is not None and not any(abs(pulse - known) < 1e-6 * known for known in laser.pulse_widths_ns):
        known = listing([f"{ns:g} ns" for ns in laser.pulse_widths_ns], "or")
        yield Fault("passes.pulse_width", f"this laser makes no pulses of {pulse:.12g} ns: write {known}.")
    speed = wishes.speed_mm_s
    if speed is not None and speed > laser.top_speed_mm_s * 1.000001:
        says = f"{speed:g} mm/s is faster than this laser scans: write at most {laser.top_speed_mm_s:g} mm/s."
        yield Fault("passes.speed", says)


def _depth_faults(wishes: Wishes, bare: bool) -> Iterator[Fault]:
    name = "depth" if wishes.depth_um is not None else "polish"
    if not bare and (wishes.depth_um is not None or wishes.polish_um is not None):
        says = f"only bare metal can be cut to a depth: leave {name} out, or choose no coating."
        yield Fault(f"passes.{name}", says)
    elif wishes.depth_um is not None and wishes.passes is not None:
        says = "the depth already decides the number of passes: leave out the depth, or leave out the passes."
        yield Fault("passes.depth", says)
