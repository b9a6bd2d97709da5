"""What each laser in the room asks of eyewear, and which pair covers it."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final, NamedTuple

from rotary.errors import listing
from rotary.formulas.exposure import (
    LOOK_S,
    aperture_mm,
    into_aperture,
    mean_limit_w_m2,
    optical_density,
    train_limit_j_m2,
)
from rotary.formulas.eyewear import (
    GLASS,
    PLASTIC,
    pulse_letter,
    pulsed_scale_number,
    rates_that_count_khz,
    steady_scale_number,
)
from rotary.laser import LaserAndLens
from rotary.model import Model
from rotary.shop import Eyewear, Shop

# The alignment pointer that nearly every head has: class 2, estimate where the shop doesn't list it.
_POINTER: Final = ("red pointer (class 2, assumed)", 650.0, 0.001)
_BLINK_S: Final = 0.25
_CLASS_2_W: Final = 0.001
NO_SCALE: Final = "none"


class EyeRow(Model):
    """One source: its exposure limit, the optical density that follows, and which pair covers it.

    `exposure_w_m2` is the mean of the worst rate into the limiting aperture, the whole beam; `limit_w_m2` the
    strictest rule as a mean over the look. `optical_density` is rounded up to a tenth. `unmarked` are pairs that
    are dark enough but whose EN 207 marks, or some of them, are not entered.
    """

    source: str
    wavelength_nm: float
    exposure_w_m2: float
    limit_w_m2: float
    optical_density: float
    scale_number: str
    covered_by: tuple[str, ...]
    unmarked: tuple[str, ...] = ()
    verdict: str

    @property
    def judged(self) -> bool:
        """Whether it needs eyewear at all: a pointer of class 2 has no scale number and a caution of its own."""
        return self.scale_number != NO_SCALE

    @property
    def uncovered(self) -> bool:
        """Whether eyes need a pair against it and none that is entered will do."""
        return self.judged and self.optical_density > 0 and not self.covered_by


class _Beam(NamedTuple):
    """A source's exposure, its limit and what it asks of the density, at the rate where it asks most."""

    exposure_w_m2: float
    limit_w_m2: float
    density: float


@dataclass(frozen=True)
class _Need:
    """What a pair must have: a density, scale numbers by letter, and D where its filters are plastic."""

    density: float
    numbers: dict[str, int] = field(default_factory=dict)
    plastic: int = 0

    def of(self, pair: Eyewear) -> dict[str, int]:
        """The scale numbers for this pair: D by its material, the higher one where that is not known."""
        return {**self.numbers, "D": self.plastic} if pair.material == PLASTIC else self.numbers

    @property
    def marks(self) -> str:
        return listing([f"{letter} {number}" for letter, number in self.numbers.items()])

    @property
    def marks_by_filter(self) -> str:
        plastic = f" (with plastic filters D {self.plastic} is enough)" if self.plastic != self.numbers["D"] else ""
        return f"{self.marks}{plastic}"

    @property
    def scale(self) -> str:
        return f"EN 207 at least {self.marks_by_filter}"


def eye_rows(head: LaserAndLens, shop: Shop, frequencies_khz: Iterable[float] = ()) -> tuple[EyeRow, ...]:
    """A row for every laser in the room, this one first; `frequencies_khz` are looked at as well as its own."""
    others = [(laser.name, laser.wavelength_nm, laser.power_w) for laser in shop.other_lasers]
    if not any(600 <= nm <= 700 and watts <= 0.005 for _, nm, watts in others):
        others.append(_POINTER)
    return (
        _laser_row(head, tuple(frequencies_khz), shop),
        *(_steady_row(name, nm, watts, shop) for name, nm, watts in others),
    )


@lru_cache(maxsize=16)
def _laser_row(laser: LaserAndLens, frequencies_khz: tuple[float, ...], shop: Shop) -> EyeRow:
    """The marking beam at its rated power, at the rate where its pulses count most; the same for most keys typed."""
    nm, across, power_w = laser.wavelength_nm, aperture_mm(laser.wavelength_nm), laser.rated_power_w
    rates = rates_that_count_khz(
        laser.lowest_frequency_khz, laser.highest_frequency_khz, power_w, laser.largest_pulse_mj, nm
    )
    beams: list[_Beam] = []
    numbers: dict[str, int] = {}
    for rate in (*rates, *frequencies_khz):
        pulse = into_aperture(1e-3 * min(power_w / rate, laser.largest_pulse_mj), across)
        for pulse_width_ns in laser.pulse_widths_ns:
            allowed, letter = train_limit_j_m2(nm, pulse_width_ns, rate), pulse_letter(pulse_width_ns)
            beams.append(_Beam(1e3 * rate * pulse, 1e3 * rate * allowed, optical_density(pulse, allowed)))
            numbers[letter] = max(numbers.get(letter, 1), pulsed_scale_number(pulse, rate, pulse_width_ns, nm))
    # At equal densities the largest exposure is shown.
    worst = max(beams, key=lambda beam: (round(beam.density, 9), beam.exposure_w_m2))
    return _row(f"{laser.name}, {power_w:g} W", nm, worst, _need(power_w, nm, worst.density, numbers), shop)


def _steady_row(name: str, nm: float, watts: float, shop: Shop) -> EyeRow:
    """Another laser, taken as steady and looked into for ten seconds.

    Only a visible one of class 2 is judged by the blink of a quarter second: that holds for a chance look alone.
    """
    pointer = watts <= _CLASS_2_W and 400 <= nm <= 700
    exposure, limit = into_aperture(watts, aperture_mm(nm)), mean_limit_w_m2(nm, _BLINK_S if pointer else LOOK_S)
    beam = _Beam(exposure, limit, optical_density(exposure, limit))
    if not pointer:
        return _row(f"{name}, {watts:g} W", nm, beam, _need(watts, nm, beam.density, {}), shop)
    return EyeRow(
        source=name,
        wavelength_nm=nm,
        exposure_w_m2=exposure,
        limit_w_m2=limit,
        optical_density=_up(beam.density),
        scale_number=NO_SCALE,
        covered_by=tuple(pair.name for pair in _in_band(nm, shop)),
        verdict="A glance does no harm (you blink within 0.25 s). Never stare into it. Read the pointer's own label.",
    )


def _need(power_w: float, nm: float, density: float, pulsed: dict[str, int]) -> _Need:
    across = aperture_mm(nm)
    irradiance = into_aperture(power_w, across)
    glass, plastic = (steady_scale_number(irradiance, nm, across, material) for material in (GLASS, PLASTIC))
    return _Need(_up(density), {"D": glass, **pulsed}, plastic)


def _up(density: float) -> float:
    """Rounded up to a tenth: never promise less than is needed."""
    return -(-round(density * 1e6) // 100_000) / 10


def _in_band(nm: float, shop: Shop) -> list[Eyewear]:
    return [pair for pair in shop.eyewear if pair.from_nm <= nm <= pair.to_nm]


def _lacks(pair: Eyewear, need: _Need) -> list[str]:
    """What a pair has too little of, each with what is needed; nothing where it will do as far as is entered."""
    has = pair.numbers
    lacks = [] if pair.density >= need.density else [f"OD {pair.density:g} (needs {need.density:g})"]
    for letter, number in need.of(pair).items() if has else ():
        if has.get(letter, 0) < number:
            lacks.append(f"{f'{letter} {has[letter]}' if letter in has else f'no {letter}'} (needs {number})")
    return lacks


def _either(pairs: tuple[str, ...]) -> str:
    return listing([f'"{name}"' for name in pairs], "or")


def _row(name: str, nm: float, beam: _Beam, need: _Need, shop: Shop) -> EyeRow:
    pairs = _in_band(nm, shop)
    good = [pair for pair in pairs if not _lacks(pair, need)]
    marked = tuple(pair.name for pair in good if pair.marks)
    unmarked = tuple(pair.name for pair in good if not pair.marks)
    wanted = f"OD {need.density:g}, {need.marks_by_filter}"
    if marked:
        verdict = f"{_either(marked)} covers {nm:g} nm with at least {wanted}."
    elif unmarked:
        verdict = (
            f"{_either(unmarked)} is dark enough for {nm:g} nm (you need OD {need.density:g}). Read its EN 207 "
            f"marks: you need at least {need.marks}."
        )
    elif pairs:
        weak = ", and ".join(f'"{pair.name}" has {", ".join(_lacks(pair, need))}' for pair in pairs)
        verdict = f"Too weak for {nm:g} nm: {weak}."
    elif shop.eyewear:
        verdict = f"Get eyewear for {nm:g} nm with at least {wanted}: none that you entered is marked for it."
    else:
        verdict = (
            f"Wear eyewear marked for {nm:g} nm with at least {wanted}, and keep the enclosure closed. You have "
            "entered no eyewear yet."
        )
    return EyeRow(
        source=name,
        wavelength_nm=nm,
        exposure_w_m2=beam.exposure_w_m2,
        limit_w_m2=beam.limit_w_m2,
        optical_density=need.density,
        scale_number=need.scale,
        covered_by=(*marked, *unmarked),
        unmarked=() if marked else unmarked,
        verdict=f"{verdict[:1].upper()}{verdict[1:]}",
    )
