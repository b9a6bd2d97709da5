"""Cautions that belong to this job, with the eye-exposure figures computed."""

from typing import Final, Literal

from rotary.examples import banner, is_example_item, own_shop
from rotary.eyes import NO_SCALE, EyeRow, eye_rows
from rotary.head import Head
from rotary.item import Item
from rotary.model import Model
from rotary.passes.beliefs.draws import Coating, RefusedCoating, coating_named, metals
from rotary.passes.plan.removal import Removal
from rotary.shop import Shop


class Caution(Model):
    """One caution: what about, what it is, what to do. `level` orders them."""

    level: Literal["stop", "warn", "note"]
    about: str
    says: str


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


_STEADY: Final = (
    "Other lasers are judged as steady beams, looked into for ten seconds. A pulsed one may need more: ask its maker."
)
_FIGURES: Final = (
    "These figures are a check, computed for the whole beam in the eye. Where a number is not settled it is the "
    "higher one: OD by the guidelines of 2013 or the EU directive of 2006, D as for glass, pulses counted as the 2007 "
    "edition of the laser standard does. Pairs marked after "
    "EN ISO 19818-1:2021 show an optical density and a resistance category, no LB number. The laser safety officer "
    "and the eyewear's own marking decide."
)

# Levels in the order of their urgency.
_ORDER: Final = {"stop": 0, "warn": 1, "note": 2}

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
    room = _in_the_room(head, item, shop)
    eyes = eye_rows(head, room, [removal.setting.rate_khz] if removal.setting else [])
    cautions = [
        *_eye_cautions(eyes, room),
        *_left_out(shop, room),
        *_always(),
        *_fumes(item),
        *_item(item),
        *_turning(item, drive_kind),
    ]
    return Safety(
        example=banner(head.use),
        pairs_left_out=len(shop.eyewear) - len(room.eyewear),
        lasers_left_out=len(shop.other_lasers) - len(room.other_lasers),
        eyes=eyes,
        cautions=tuple(sorted(cautions, key=lambda caution: _ORDER[caution.level])),
    )


def _in_the_room(head: Head, item: Item, shop: Shop) -> Shop:
    """What is in the room of this job: what an example has invented is in that example's alone."""
    if head.use and is_example_item(item.model_dump(by_alias=True)):
        return shop
    return Shop.model_validate(own_shop(shop.model_dump(by_alias=True)))


def _left_out(shop: Shop, room: Shop) -> list[Caution]:
    """What of an example still stands in the job; a laser is never left out in silence."""
    lasers = [laser for laser in shop.other_lasers if laser not in room.other_lasers]
    told = [
        f"The laser at {laser.wavelength_nm:g} nm is an example's and is left out. If you have one, enter it under a "
        "name of your own."
        for laser in lasers
    ]
    says = [Caution(level="warn", about="eyes", says=text) for text in told]
    if len(room.eyewear) < len(shop.eyewear):
        says.append(Caution(level="note", about="eyes", says="An example's eyewear covers nothing: enter your own."))
    return says


def _eye_cautions(eyes: tuple[EyeRow, ...], room: Shop) -> list[Caution]:
    eyes = tuple(row for row in eyes if row.scale_number != NO_SCALE)
    bare = [row for row in eyes if row.optical_density > 0 and not row.covered_by]
    says = [Caution(level="stop", about="eyes", says=f"{row.source}: {row.verdict}") for row in bare]
    says += [Caution(level="warn", about="eyes", says=row.verdict) for row in eyes if row.unmarked]
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
    if room.other_lasers:
        says.append(Caution(level="note", about="eyes", says=_STEADY))
    says.append(Caution(level="note", about="eyes", says=_FIGURES))
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
