"""Cautions that belong to this job by their ids, with the eye-exposure figures computed; `sentences` words them."""

import math
from functools import lru_cache
from typing import Any, Final, Literal

from rotary.examples import banner, is_example_item, own_shop
from rotary.eyes import EyeRow, eye_rows
from rotary.item import Item
from rotary.laser import LaserAndLens
from rotary.model import Model, Values
from rotary.passes.beliefs.draws import Coating, RefusedCoating, coating_named, metals
from rotary.passes.plan.setting import Removal
from rotary.shop import Shop
from rotary.turning.models import TurnRange

Level = Literal["stop", "warn", "note"]

CAUTIONS: Final[dict[str, tuple[Level, str]]] = {
    "eyes_uncovered": ("stop", "eyes"),
    "eyes_unmarked": ("warn", "eyes"),
    "eyes_several_lasers": ("warn", "eyes"),
    "eyes_steady": ("note", "eyes"),
    "eyes_figures": ("note", "eyes"),
    "example_laser": ("warn", "eyes"),
    "example_eyewear": ("note", "eyes"),
    "enclosure": ("stop", "enclosure"),
    "stay": ("warn", "fire"),
    "pointer": ("note", "eyes"),
    "tape": ("warn", "tape"),
    "rules": ("note", "rules"),
    "coating_refused": ("stop", "fumes"),
    "coating_fume": ("warn", "fumes"),
    "coating_unsure": ("warn", "fumes"),
    "chromium_vi": ("warn", "fumes"),
    "stainless_corrosion": ("note", "corrosion"),
    "rust": ("note", "corrosion"),
    "temper": ("note", "temper"),
    "aluminium_fines": ("warn", "fire"),
    "titanium_fines": ("warn", "fire"),
    "brass_zinc_lead": ("warn", "fumes"),
    "copper_fume": ("warn", "fumes"),
    "solid_heat": ("note", "heat"),
    "vessel": ("warn", "vessel"),
    "dry_turn": ("warn", "turning"),
    "handle": ("warn", "turning"),
    "handle_range": ("warn", "turning"),
    "walks": ("note", "turning"),
    "jaws": ("note", "turning"),
}
"""Every caution by its id: how urgent it is, and what about. Those of metals are named in their reference data."""

# Levels in the order of their urgency.
_ORDER: Final = {"stop": 0, "warn": 1, "note": 2}


class Caution(Model):
    """One caution by its id; `level` orders them, `values` are the figures and names that its sentence needs."""

    id: str
    level: Level
    about: str
    values: Values


class Safety(Model):
    """All that must be said before this job is run; `example` first of all, empty on a person's own machine.

    `pairs_left_out` and `lasers_left_out` are how many of the job's eyewear and other lasers are an example's, and so
    do not count.
    """

    example: str = ""
    pairs_left_out: int = 0
    lasers_left_out: int = 0
    eyes: tuple[EyeRow, ...]
    cautions: tuple[Caution, ...]


def safety(
    laser: LaserAndLens, item: Item, removal: Removal, drive_kind: str, shop: Shop, free: TurnRange | None = None
) -> Safety:
    """The cautions of this job, the worst first; `free` is the range of turn that a handle leaves."""
    room = _in_the_room(laser, item, shop)
    eyes = eye_rows(laser, room, [removal.setting.frequency_khz] if removal.setting else [])
    cautions = [
        *_eye_cautions(eyes, room),
        *_left_out(shop, room),
        *map(_caution, ("enclosure", "stay", "pointer", "tape", "rules")),
        *_fumes(item),
        _caution("solid_heat" if item.solid else "vessel"),
        _caution("dry_turn"),
        *_handle(item, free),
        _caution("walks" if drive_kind == "rollers" else "jaws"),
    ]
    return Safety(
        example=banner(laser.use),
        pairs_left_out=len(shop.eyewear) - len(room.eyewear),
        lasers_left_out=len(shop.other_lasers) - len(room.other_lasers),
        eyes=eyes,
        cautions=tuple(sorted(cautions, key=lambda caution: _ORDER[caution.level])),
    )


def _handle(item: Item, free: TurnRange | None) -> list[Caution]:
    if item.handle is None:
        return []
    reach_mm = item.handle.reach_mm
    if free is None:
        return [_caution("handle", reach_mm=reach_mm)]
    ends = {"from_deg": math.degrees(free.from_rad), "to_deg": math.degrees(free.to_rad)}
    return [_caution("handle_range", reach_mm=reach_mm, stopped_by=free.stopped_by, **ends)]


def _caution(name: str, **values: Any) -> Caution:
    level, about = CAUTIONS[name]
    return Caution(id=name, level=level, about=about, values=values)


@lru_cache(maxsize=8)
def is_example(item: Item) -> bool:
    """Whether an item is one of the shipped examples."""
    return is_example_item(item.model_dump(by_alias=True))


def _in_the_room(laser: LaserAndLens, item: Item, shop: Shop) -> Shop:
    """What is in the room of this job: what an example has invented is in that example's alone."""
    if laser.use and is_example(item):
        return shop
    return Shop.model_validate(own_shop(shop.model_dump(by_alias=True)))


def _left_out(shop: Shop, room: Shop) -> list[Caution]:
    """What of an example still stands in the job; a laser is never left out in silence."""
    lasers = [laser for laser in shop.other_lasers if laser not in room.other_lasers]
    left = [_caution("example_laser", wavelength_nm=laser.wavelength_nm) for laser in lasers]
    return [*left, *([_caution("example_eyewear")] if len(room.eyewear) < len(shop.eyewear) else [])]


def _eye_cautions(eyes: tuple[EyeRow, ...], room: Shop) -> list[Caution]:
    found = [_caution("eyes_uncovered", source=row.source, verdict=row.verdict) for row in eyes if row.uncovered]
    for row in eyes:
        if row.unmarked:
            pairs = {"pairs": " or ".join(row.unmarked), "density": row.optical_density}
            found.append(_caution("eyes_unmarked", verdict=row.verdict, wavelength_nm=row.wavelength_nm, **pairs))
    bands = sorted({round(row.wavelength_nm) for row in eyes if row.judged and row.optical_density > 0})
    if len(bands) > 1:
        found.append(_caution("eyes_several_lasers", wavelengths=", ".join(f"{nm} nm" for nm in bands)))
    return [*found, *([_caution("eyes_steady")] if room.other_lasers else []), _caution("eyes_figures")]


def _fumes(item: Item) -> list[Caution]:
    coating = coating_named(item.coating) if item.coating else None
    found = []
    if isinstance(coating, RefusedCoating):
        found.append(_caution("coating_refused", coating=coating.says, refused=coating.refused))
    if isinstance(coating, Coating):
        fume = f"{coating.fume[0].upper()}{coating.fume[1:]}"
        found += [_caution("coating_fume", fume=fume), _caution("coating_unsure")]
    metal = metals().get(item.metal)
    return [*found, *map(_caution, metal.cautions if metal else ())]
