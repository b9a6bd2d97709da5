"""Cautions that belong to this job, with the eye-exposure figures computed."""

from typing import Final, Literal

from pydantic import Field

from rotary.formulas.exposure import (
    LOOK_S,
    aperture_mm,
    into_aperture,
    mean_limit_w_m2,
    optical_density,
    pulsed_scale_number,
    steady_scale_number,
    train_limit_j_m2,
)
from rotary.head import Head
from rotary.item import Item
from rotary.model import Model, Power, Wavelength
from rotary.passes.beliefs import Coating, RefusedCoating, coating_named, metals
from rotary.passes.removal import Removal


class Eyewear(Model):
    """A pair of laser eyewear as its own marking says."""

    name: str
    from_nm: Wavelength = Field(gt=0)
    to_nm: Wavelength = Field(gt=0)
    optical_density: float = Field(gt=0, le=12)


class OtherLaser(Model):
    """Another laser in the same room (an engraving diode, a pointer)."""

    name: str
    wavelength_nm: Wavelength = Field(ge=180, le=1e6)
    power_w: Power = Field(gt=0)


class Shop(Model):
    """What else is in the room."""

    eyewear: tuple[Eyewear, ...] = ()
    other_lasers: tuple[OtherLaser, ...] = ()


class EyeRow(Model):
    """One source: its exposure limit, the optical density that follows, and which pair covers it.

    `exposure_w_m2` is the whole rated power into the limiting aperture; `limit_w_m2` the
    strictest rule as a mean over ten seconds. `optical_density` is rounded up to a tenth.
    """

    source: str
    wavelength_nm: float
    exposure_w_m2: float
    limit_w_m2: float
    optical_density: float
    scale_number: str
    covered_by: tuple[str, ...]
    verdict: str


class Caution(Model):
    """One caution: what about, what it is, what to do. `level` orders them."""

    level: Literal["stop", "warn", "note"]
    about: str
    says: str


class Safety(Model):
    """All that must be said before this job is run."""

    eyes: tuple[EyeRow, ...]
    cautions: tuple[Caution, ...]


# Levels in the order of their urgency.
_ORDER: Final = {"stop": 0, "warn": 1, "note": 2}

# The alignment pointer that nearly every head has: class 2, estimate where the shop doesn't list it.
_POINTER: Final = ("red pointer (class 2, assumed)", 650.0, 0.001)
_BLINK_S: Final = 0.25
_CLASS_2_W: Final = 0.001
_NO_SCALE: Final = "none"

_METAL_CAUTIONS: Final[dict[str, tuple[Literal["stop", "warn", "note"], str, str]]] = {
    "chromium-vi": (
        "warn",
        "fumes",
        "Stainless steel fume holds chromium(VI), nickel and manganese, which cause cancer: extract at the mark, "
        "with a "
        "particle filter of class HEPA H13 and activated carbon; keep within your local exposure limits.",
    ),
    "stainless-corrosion": (
        "note",
        "corrosion",
        "Bare or tinted stainless steel rusts sooner; passivate where it must last. Food contact is the maker's and "
        "the "
        "local rules' matter: mark no surface that touches food.",
    ),
    "rust": ("note", "corrosion", "Bare steel rusts within hours: oil, wax or lacquer it as soon as it is clean."),
    "temper": (
        "note",
        "temper",
        "Hardened steel softens from about 150 to 200 °C on: keep the part cool enough to touch between passes.",
    ),
    "aluminium-fines": (
        "warn",
        "fire",
        "Fine aluminium dust burns and may explode: never let it meet steel dust or sparks in one filter, clean the "
        "enclosure before and after, keep a class D extinguisher or dry sand at hand, no water.",
    ),
    "titanium-fines": (
        "warn",
        "fire",
        "Fine titanium dust catches fire by itself: a filter of its own, the enclosure cleaned before and after, a "
        "class D "
        "extinguisher or dry sand at hand, no water.",
    ),
    "brass-zinc-lead": (
        "warn",
        "fumes",
        "Brass gives off zinc oxide (metal fume fever), and free-cutting brass lead: extract at the mark, wash "
        "hands, no "
        "food in the room.",
    ),
    "copper-fume": (
        "warn",
        "fumes",
        "Copper fume causes metal fume fever: extract at the mark. The metal reflects most of the beam.",
    ),
}


def safety(head: Head, item: Item, removal: Removal, drive_kind: str, shop: Shop) -> Safety:
    """The cautions of this job, the worst first."""
    eyes = _eyes(head, removal, shop)
    cautions = [*_eye_cautions(eyes), *_always(), *_fumes(item), *_item(item), *_turning(item, drive_kind)]
    return Safety(eyes=eyes, cautions=tuple(sorted(cautions, key=lambda caution: _ORDER[caution.level])))


def _eyes(head: Head, removal: Removal, shop: Shop) -> tuple[EyeRow, ...]:
    """A row for every laser in the room, the marking head first."""
    rows = [_head_row(head, removal, shop)]
    others = [(laser.name, laser.wavelength_nm, laser.power_w) for laser in shop.other_lasers]
    if not any(600 <= nm <= 700 and watts <= 0.005 for _, nm, watts in others):
        others.append(_POINTER)
    rows.extend(_steady_row(name, nm, watts, shop) for name, nm, watts in others)
    return tuple(rows)


def _head_row(head: Head, removal: Removal, shop: Shop) -> EyeRow:
    """The marking beam at its rated power, at the rate where its pulses count most."""
    nm, across = head.wavelength_nm, aperture_mm(head.wavelength_nm)
    rates = {head.lowest_rate_khz, head.highest_rate_khz, *([removal.setting.rate_khz] if removal.setting else [])}
    exposure = into_aperture(head.rated_power_w, across)
    density, limit, number = 0.0, mean_limit_w_m2(nm), 1
    for rate in rates:
        pulse_mj = min(head.rated_power_w / rate, head.largest_pulse_mj)
        for pulse_ns in head.pulse_durations_ns:
            pulse = into_aperture(1e-3 * pulse_mj, across)
            allowed = train_limit_j_m2(nm, max(pulse_ns, 1.0), rate)
            density = max(density, optical_density(pulse, allowed))
            limit = min(limit, allowed * rate * 1e3)
            number = max(number, pulsed_scale_number(pulse, rate, max(pulse_ns, 1.0), nm))
    scale = f"EN 207 at least D {steady_scale_number(exposure, nm)} and R {number}"
    return _row(f"{head.name}, {head.rated_power_w:g} W", nm, exposure, limit, density, scale, shop)


def _steady_row(name: str, nm: float, watts: float, shop: Shop) -> EyeRow:
    """Another laser, taken as steady; a class 2 pointer by the blink of a quarter second."""
    pointer = watts <= _CLASS_2_W and 400 <= nm <= 700
    exposure, limit = into_aperture(watts, aperture_mm(nm)), mean_limit_w_m2(nm, _BLINK_S if pointer else LOOK_S)
    density = optical_density(exposure, limit)
    if pointer:
        return EyeRow(
            source=name,
            wavelength_nm=nm,
            exposure_w_m2=exposure,
            limit_w_m2=limit,
            optical_density=_up(density),
            scale_number=_NO_SCALE,
            covered_by=_pairs(nm, 0.0, shop),
            verdict="A chance look is bearable (blink); never stare into it. Read the pointer's own label.",
        )
    return _row(
        f"{name}, {watts:g} W",
        nm,
        exposure,
        limit,
        density,
        f"EN 207 at least D {steady_scale_number(exposure, nm)}",
        shop,
    )


def _up(density: float) -> float:
    """Rounded up to a tenth: never promise less than is needed."""
    return -(-round(density * 1e6) // 100_000) / 10


def _pairs(nm: float, density: float, shop: Shop) -> tuple[str, ...]:
    return tuple(
        pair.name for pair in shop.eyewear if pair.from_nm <= nm <= pair.to_nm and pair.optical_density >= density
    )


def _row(name: str, nm: float, exposure: float, limit: float, density: float, scale: str, shop: Shop) -> EyeRow:
    needed = _up(density)
    good, in_band = _pairs(nm, needed, shop), _pairs(nm, 0.0, shop)
    if good:
        verdict = f"{' or '.join(good)} covers {nm:g} nm with at least OD {needed:g}."
    elif in_band:
        verdict = f"Too weak: {' and '.join(in_band)} covers {nm:g} nm, but OD {needed:g} is needed there."
    elif shop.eyewear:
        verdict = f"Not covered: no pair listed is marked for {nm:g} nm. Get one with at least OD {needed:g} there."
    else:
        wanted = f"a pair marked for {nm:g} nm with at least OD {needed:g}"
        verdict = f"No eyewear listed: {wanted} is needed, besides the closed enclosure."
    return EyeRow(
        source=name,
        wavelength_nm=nm,
        exposure_w_m2=exposure,
        limit_w_m2=limit,
        optical_density=needed,
        scale_number=scale,
        covered_by=good,
        verdict=verdict,
    )


def _eye_cautions(eyes: tuple[EyeRow, ...]) -> list[Caution]:
    eyes = tuple(row for row in eyes if row.scale_number != _NO_SCALE)
    bare = [row for row in eyes if row.optical_density > 0 and not row.covered_by]
    says = [Caution(level="stop", about="eyes", says=f"{row.source}: {row.verdict}") for row in bare]
    bands = sorted({round(row.wavelength_nm) for row in eyes if row.optical_density > 0})
    if len(bands) > 1:
        listed = ", ".join(f"{nm} nm" for nm in bands)
        says.append(
            Caution(
                level="warn",
                about="eyes",
                says=f"Lasers at {listed} share this room: each needs eyewear marked for its own wavelength.",
            )
        )
    says.append(
        Caution(
            level="note",
            about="eyes",
            says="These figures are a check, computed for the whole beam in the eye. The laser safety officer and the "
            "eyewear's own marking decide; a newer standard (EN ISO 19818-1, from memory, not seen) may stand in "
            "place of EN 207.",
        )
    )
    return says


def _always() -> list[Caution]:
    return [
        Caution(
            level="stop",
            about="enclosure",
            says="Closed, interlocked enclosure first, eyewear second: curved polished metal throws the beam out "
            "sideways, "
            "and what misses the item's edge hits bed and rollers. Never defeat an interlock.",
        ),
        Caution(
            level="warn",
            about="fire",
            says="Stay with the machine while it marks; a CO2 extinguisher at hand; no isopropyl on a hot item or in "
            "the enclosure.",
        ),
        Caution(
            level="note", about="eyes", says="The red pointer is a laser too: never look into it or its mirror image."
        ),
        Caution(
            level="warn", about="tape", says="Paper tape only, vinyl never; take the paper template off before marking."
        ),
        Caution(
            level="note",
            about="rules",
            says="Local rules, the machine's own manual and licensed practice go before everything said here.",
        ),
    ]


def _fumes(item: Item) -> list[Caution]:
    says = []
    coating = coating_named(item.coating) if item.coating else None
    if isinstance(coating, RefusedCoating):
        says.append(Caution(level="stop", about="fumes", says=f"Not to be marked. {coating.says}: {coating.refused}."))
    if isinstance(coating, Coating):
        says.append(
            Caution(
                level="warn",
                about="fumes",
                says=f"{coating.fume[0].upper()}{coating.fume[1:]}: extract at the mark, particle filter (HEPA H13) "
                "and "
                "activated carbon behind it; air the room, let the enclosure clear before it is opened.",
            )
        )
        says.append(
            Caution(
                level="warn",
                about="fumes",
                says="Be sure what the coating is: non-stick (fluoropolymer) and vinyl look alike and give off "
                "acids; old paint "
                "may hold lead or chromium. If in doubt, ask the maker for the safety data sheet, and don't mark.",
            )
        )
    metal = metals().get(item.metal)
    for key in metal.cautions if metal else ():
        level, about, sentence = _METAL_CAUTIONS[key]
        says.append(Caution(level=level, about=about, says=sentence))
    return says


def _item(item: Item) -> list[Caution]:
    if item.solid:
        return [
            Caution(
                level="note",
                about="heat",
                says="A solid part keeps its heat: touch it with the back of the hand first.",
            )
        ]
    return [
        Caution(
            level="warn",
            about="vessel",
            says="Lid off, empty, dry. A vacuum jacket holds no pressure, but liquid trapped in a leaking one may "
            "burst it when heated, and cutting through its wall ruins it: set aside what rattles or is dented.",
        )
    ]


def _turning(item: Item, drive_kind: str) -> list[Caution]:
    says = [
        Caution(
            level="warn",
            about="turning",
            says="One dry turn by hand, then one slow turn with the beam off; no loose sleeves, gloves, hair or "
            "cords near it.",
        )
    ]
    if item.handle is not None:
        says.append(
            Caution(
                level="warn",
                about="turning",
                says=f"The handle reaches {item.handle.reach_mm:g} mm out and comes round: keep the turn within the "
                "range on the "
                "card, stay clear of bed, rollers and head.",
            )
        )
    if drive_kind == "rollers":
        says.append(
            Caution(
                level="note",
                about="turning",
                says="A light or tapered item may walk on rollers: watch it through the first turn.",
            )
        )
    else:
        says.append(
            Caution(
                level="note",
                about="turning",
                says="Check the jaws' grip cold and again once the item is warm; jaws mark thin walls.",
            )
        )
    return says
