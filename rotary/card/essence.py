"""Cautions in short, for a page that has to be read at the machine; whole ones stand overleaf.

What stops the job is never shortened. A caution that is not known here is given by its first sentence.
"""

from typing import Final

from rotary.eyes import EyeRow
from rotary.plan import Plan
from rotary.safety import Caution

_SHORT: Final = {
    "Stay with the machine": "Stay with it while it marks; CO2 extinguisher at hand; no isopropyl on a hot item or in "
    "the enclosure.",
    "Paper tape only": "Paper tape only, vinyl never; template off before marking.",
    "Be sure what the coating is": "Be sure what the coating is: non-stick and vinyl look alike and give off acids; "
    "old paint may hold lead or chromium. In doubt: don't mark.",
    "Stainless steel fume": "Stainless fume holds chromium(VI), nickel, manganese, which cause cancer: extract at the "
    "mark (H13 and carbon).",
    "Bare or tinted stainless": "Bare or tinted stainless rusts sooner; no mark where it touches food.",
    "Bare steel rusts": "Bare steel rusts within hours: oil, wax or lacquer it.",
    "Hardened steel softens": "Hardened steel softens from about 150 °C: cool enough to touch between passes.",
    "Fine aluminium dust": "Aluminium dust burns and may explode: never with steel dust or sparks in one filter; class "
    "D extinguisher or dry sand, no water.",
    "Fine titanium dust": "Titanium dust catches fire by itself: filter of its own; class D extinguisher or dry sand, "
    "no water.",
    "Brass gives off": "Brass gives off zinc oxide and lead: extract at the mark, wash hands, no food in the room.",
    "Copper fume": "Copper fume causes metal fume fever: extract at the mark; most of the beam is reflected.",
    "A solid part": "A solid part keeps its heat: back of the hand first.",
    "Lid off, empty, dry": "Lid off, empty, dry; set aside a vacuum jacket that rattles or is dented: it may burst.",
    "One dry turn by hand": "One dry turn by hand, then a slow one with the beam off; no loose sleeves, gloves, hair, "
    "cords.",
    "The handle reaches": "The handle comes round: keep within the range of turn, clear of bed, rollers and head.",
    "A light or tapered item": "It may walk on rollers: watch the first turn.",
    "Check the jaws": "Check the jaws' grip cold and warm; jaws mark thin walls.",
    "These figures are a check": "The eye figures are a check: laser safety officer and eyewear marking decide. D is "
    "for glass, the higher number. EN ISO 19818-1 marks show OD and a resistance category, no LB number.",
    "The red pointer": "The red pointer is a laser too: never look into it or its mirror image.",
    "Local rules, the machine's": "Local rules, the machine's manual and licensed practice go first.",
}


def essence(caution: Caution) -> str:
    """A caution in one short sentence; what stops the job whole.

    >>> essence(Caution(level="warn", about="fire", says="Keep clear. Then go on."))
    'Fire: Keep clear.'
    """
    about = f"{caution.about[:1].upper()}{caution.about[1:]}"
    if caution.level == "stop":
        return f"{about}: {caution.says}"
    for begins, short in _SHORT.items():
        if caution.says.startswith(begins):
            return f"{about}: {short}"
    what, extract, _ = caution.says.partition(": extract at the mark, particle filter")
    if extract:
        return f"{about}: {what}: extract at the mark (HEPA H13 and activated carbon); air the room."
    first, stop, _ = caution.says.partition(". ")
    return f"{about}: {first}{stop.strip()}"


def eyewear(eye: EyeRow) -> str:
    """What eyes need against one laser, in short."""
    scale = f" ({eye.scale_number})" if eye.scale_number not in ("", "none") else ""
    needs = f"OD {eye.optical_density:.1f} or more at {eye.wavelength_nm:g} nm{scale}"
    return f"Eyes, {eye.source}: {needs}. {eye.verdict}"


def in_short(plan: Plan) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What warns, and what is good to know, in short; what stops the job stands on top of the card."""
    cautions = [caution for caution in plan.safety.cautions if caution.level != "stop"]
    warns = [essence(caution) for caution in cautions if caution.level == "warn"]
    notes = [essence(caution) for caution in cautions if caution.level == "note"]
    # The pointer of class 2 has no scale number and a caution of its own.
    eyes = [eyewear(eye) for eye in plan.safety.eyes if eye.scale_number != "none"]
    return (*eyes, *dict.fromkeys(warns)), tuple(dict.fromkeys(notes))


def whole(plan: Plan) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The same in whole, eyes with their figures."""
    eyes = [
        f"{eyewear(eye)} Exposure {eye.exposure_w_m2:.3g} against a limit of {eye.limit_w_m2:.3g} W/m²."
        for eye in plan.safety.eyes
    ]
    told = [(caution.level, f"{caution.about}: {caution.says}") for caution in plan.safety.cautions]
    warns = [text for level, text in told if level != "note"]
    return (*eyes, *warns), tuple(text for level, text in told if level == "note")
