"""Which readings are of a setting: so near to it that what was seen there is what will be seen here.

An edge of the likelihood is a slope: two settings that lie d apart in the logarithm of the fluence, each blurred by b,
are not told apart below 1.96 sqrt(2) b (95 %); the same holds of the logarithm of the passes, with the blur of those.
Within that a look at the one is a look at the other. Farther away a reading still teaches, through the model alone.

::

      reading  o----------- d -----------o  setting         d <= 1.96 sqrt(2) b: near
             <- b ->                   <- b ->
"""

from collections.abc import Sequence
from math import log, sqrt
from typing import Final

import numpy as np

from rotary.formulas.estimate import HOLDS_95
from rotary.item import Item
from rotary.laser import LaserAndLens, Optics, optics
from rotary.passes.learning.likelihood import BLUR_PASSES, fluence_blur
from rotary.passes.learning.reading import Reading
from rotary.passes.plan.effect import Beam, Exposure, exposure
from rotary.passes.plan.grid import Grid
from rotary.passes.plan.setting import Setting

APART: Final = HOLDS_95 * sqrt(2)
"""Two looks differ by so many of their blurs before they are told apart."""

_IN_ENERGY: Final = ("pulse_mj",)
_IN_PULSES: Final = ("frequency_khz", "speed_mm_s", "line_spacing_mm")
"""What is typed, by what it moves: the fluence of a pulse, or how many of them a place gets, in proportion."""


def near_readings(
    setting: Setting, last_pass: int, readings: Sequence[Reading], item: Item, laser: LaserAndLens
) -> tuple[Reading, ...]:
    """The readings that show what this setting does on this item, with this laser and lens, up to its last pass."""
    beam = optics(laser)
    return tuple(r for r in readings if _same_thing(r, item, laser) and _is_near(r, setting, last_pass, beam))


def _same_thing(reading: Reading, item: Item, laser: LaserAndLens) -> bool:
    # Of another metal the likelihood takes only what became of the coating.
    return (reading.coating, reading.metal, reading.laser) == (item.coating, item.metal, laser.name)


def _is_near(reading: Reading, setting: Setting, last_pass: int, beam: Optics) -> bool:
    """Whether a reading was made with this setting, as well as looks can tell, after passes that say something of it.

    Another pulse width is another pulse, whatever its energy: lasers offer a few, and what each does is assumed.
    """
    if not np.isclose(reading.pulse_width_ns, setting.pulse_width_ns, rtol=1e-3):
        return False
    there, here = _typed(reading), _typed(setting)
    # Each in its own beam: the same numbers through another lens are another fluence.
    at, planned = _exposed(there, reading), _exposed(here, beam)
    blur = fluence_blur(reading.defocus_mm, reading.rayleigh_mm, reading.focus_mm)
    by_fluence = [_apart(there, here, _IN_ENERGY), float(at.log_peak.item() - planned.log_peak.item())]
    by_pulses = [_apart(there, here, _IN_PULSES), log(at.hits.item() / planned.hits.item())]
    if max(map(abs, by_fluence)) > APART * blur or max(map(abs, by_pulses)) > APART * BLUR_PASSES:
        return False
    return _is_timely(reading, setting.passes, last_pass)


def _is_timely(reading: Reading, passes: int, last_pass: int) -> bool:
    """Coating that is left before the planned passes, or metal that is marked long after the last, is no surprise."""
    if reading.outcome == "covered":
        return log(passes / reading.passes) <= APART * BLUR_PASSES
    if reading.outcome in ("tinted", "cut"):
        return log(reading.passes / max(last_pass, passes)) <= APART * BLUR_PASSES
    return True


def _typed(source: Reading | Setting) -> Grid:
    energy_mj = source.energy_mj if isinstance(source, Reading) else source.pulse_mj
    rest = (source.speed_mm_s, source.line_spacing_mm, source.defocus_mm)
    return Grid(*(np.array([value], float) for value in (source.power_share, source.frequency_khz, energy_mj, *rest)))


def _exposed(settings: Grid, beam: Reading | Optics) -> Exposure:
    as_computed = np.ones(1)
    return exposure(settings, Beam(beam.spot_um, beam.rayleigh_mm, as_computed, as_computed, as_computed))


def _apart(one: Grid, other: Grid, names: Sequence[str]) -> float:
    """The largest ratio between what is typed under these names, as a logarithm."""
    return max(abs(log(getattr(one, name).item() / getattr(other, name).item())) for name in names)
