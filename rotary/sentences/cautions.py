"""What must be said before a job is run: every caution in whole, and in short for the page at the machine."""

from typing import Final

from rotary.model import Model
from rotary.safety import Level, Safety


class CautionText(Model):
    """One caution in words: in whole, and in one short sentence; what stops the job is never shortened."""

    id: str
    level: Level
    about: str
    text: str
    short: str


_EXTRACT: Final = "extract fumes at the mark"
WORDS: Final[dict[str, tuple[str, str]]] = {
    "eyes_uncovered": ("{verdict} Laser: {source}.", ""),
    "eyes_unmarked": ("{verdict}", "{pairs}: dark enough. Check its marks too."),
    "eyes_several_lasers": (
        "Lasers at {wavelengths} share this room: each needs eyewear marked for its own wavelength.",
        "",
    ),
    "eyes_steady": (
        "The eyewear for your other lasers is worked out for steady beams. A pulsed laser may need a higher OD: ask "
        "its maker.",
        "Other laser pulsed? Ask its maker which OD to wear.",
    ),
    "eyes_figures": (
        "These numbers for eyewear are only a check: your laser safety officer and the marks on the eyewear decide. "
        "Where rules differ, you see the stricter number. Is your eyewear marked by another standard than EN 207? Then "
        "let the officer compare the marks.",
        "Eyewear numbers are only a check: your laser safety officer and the marks on the eyewear decide. "
        "Marks of another standard than EN 207: let the officer compare them.",
    ),
    "example_laser": (
        "The laser at {wavelength_nm:g} nm is only an example, so no eyewear is checked for it. If you own this laser, "
        "enter it under a name of your own.",
        "The laser at {wavelength_nm:g} nm is only an example, so no eyewear is checked for it.",
    ),
    "example_eyewear": ("The example eyewear protects nobody: enter your own.", ""),
    "enclosure": (
        "Close the interlocked enclosure, eyewear alone won't do: bright curved metal throws the beam sideways, and a "
        "beam that misses the item hits bed and rollers. Never defeat an interlock. Laser off before you open the "
        "enclosure.",
        "",
    ),
    "stay": (
        "Stay with the machine while it marks, and keep a CO2 extinguisher at hand. No isopropyl on a hot item or in "
        "the enclosure.",
        "Stay with the machine, keep a CO2 extinguisher at hand. No isopropyl on hot items or in the enclosure.",
    ),
    "pointer": (
        "The red pointer is a laser too: never look into it or its mirror image.",
        "Never look into the red pointer or its mirror image.",
    ),
    "tape": (
        "Use paper tape, never vinyl. Take the paper template off before marking.",
        "Use paper tape, never vinyl. Take off any paper template.",
    ),
    "rules": (
        "Local rules, the machine's own manual and licensed experts come before anything said here. Leave what needs a "
        "licence to those who hold one.",
        "Local rules, the machine's manual and licensed experts come first.",
    ),
    "coating_refused": ("Do not mark this coating ({coating}): {refused}.", ""),
    "coating_fume": (
        "Extract fumes at the mark through a particle filter (HEPA H13), then activated carbon. Air the room. Let the "
        "enclosure clear before you open it. {fume}.",
        "Extract fumes at the mark (HEPA H13, carbon), air the room. {fume}.",
    ),
    "coating_unsure": (
        "Be sure what the coating is: non-stick (fluoropolymer) and vinyl can look like paint and give off acids. Old "
        "paint may hold lead or chromium. If in doubt, ask the maker for the safety data sheet, and don't mark.",
        "Not sure what the coating is? Don't mark. Non-stick and vinyl give off acids. Old paint may hold lead or "
        "chromium.",
    ),
    "chromium_vi": (
        "Extract fumes at the mark through a particle filter (HEPA H13), then activated carbon. Stainless steel fume "
        "is poisonous: it holds manganese, chromium(VI) and nickel. The last two cause cancer. Stay below your "
        "country's exposure limits.",
        "Extract fumes at the mark (HEPA H13, carbon): stainless fume causes cancer (chromium(VI), nickel).",
    ),
    "stainless_corrosion": (
        "Stainless steel rusts sooner where it is bare or heat-tinted. If the item must last, have the bare steel "
        "passivated (an acid bath against rust). Never mark a surface that touches food: its maker and local rules "
        "decide on food contact.",
        "Marked stainless rusts sooner. Never mark where food touches it.",
    ),
    "rust": (
        "Bare steel rusts within hours: oil, wax or lacquer it as soon as it is clean.",
        "Bare steel rusts within hours: oil, wax or lacquer it.",
    ),
    "temper": (
        "Hardened steel softens from about 150 to 200 °C on: keep the part cool enough to touch between passes.",
        "Hardened steel softens from about 150 °C: let it cool to the touch between passes.",
    ),
    "aluminium_fines": (
        "Fine aluminium dust burns and may explode: never let it meet steel dust or sparks in one filter. Clean the "
        "enclosure before and after. Keep a class D extinguisher or dry sand at hand. Never use water on a dust fire.",
        "Aluminium dust burns, may explode: keep steel dust and sparks out of its filter. On fire: class D "
        "extinguisher or dry sand, no water.",
    ),
    "titanium_fines": (
        "Fine titanium dust catches fire by itself: collect it in a filter that you use for nothing else. Clean the "
        "enclosure before and after. Keep a class D extinguisher or dry sand at hand. Never use water on a dust fire.",
        "Titanium dust ignites by itself: give it its own filter. On fire: class D extinguisher, dry sand, no water.",
    ),
    "brass_zinc_lead": (
        "Brass gives off zinc oxide, which causes metal fume fever. Free-cutting brass also gives off lead: "
        f"{_EXTRACT}, wash hands, no food in the room.",
        f"Brass gives off zinc oxide and lead: {_EXTRACT}, wash hands, no food in the room.",
    ),
    "copper_fume": (
        f"Copper fume causes metal fume fever: {_EXTRACT}. Copper reflects most of the beam: keep the enclosure shut.",
        f"Copper fume causes metal fume fever: {_EXTRACT}. Copper reflects most of the beam: keep the enclosure shut.",
    ),
    "solid_heat": (
        "A solid part stays hot: hold the back of your hand near it first.",
        "A solid part stays hot: hold the back of your hand near it first.",
    ),
    "vessel": (
        "Take the lid off. Empty and dry the item. Don't mark an item whose vacuum jacket rattles or is dented: liquid "
        "trapped in the jacket may burst it when heated. Cutting through the outer wall ruins the item.",
        "Lid off, item empty and dry. If its vacuum jacket rattles or is dented, don't mark: it may burst.",
    ),
    "dry_turn": (
        "Beam off: turn the item once by hand, then once slowly by motor. No gloves, loose sleeves, hair or cords "
        "near it.",
        "Beam off: turn the item once by hand, then slowly by motor. No gloves, loose sleeves, hair or cords near it.",
    ),
    "handle": (
        "The handle reaches {reach_mm:g} mm out and comes round. Turn the item by hand first: the handle must clear "
        "bed, rollers and lens.",
        "Turn the item by hand first: the handle must clear bed, rollers and lens.",
    ),
    "handle_range": (
        "The handle reaches {reach_mm:g} mm out and comes round. Turn only between {from_deg:.0f}° and {to_deg:.0f}° "
        "from the item's front (+ is to the right). Beyond that the handle hits {stopped_by}.",
        "Turn only from {from_deg:.0f}° to {to_deg:.0f}°: beyond, the handle hits {stopped_by}.",
    ),
    "walks": (
        "A light or tapered item may wander along the rollers: watch its first turn.",
        "The item may wander along the rollers: watch the first turn.",
    ),
    "jaws": (
        "Check the jaws' grip while the item is cold, and again once it is warm. Jaws can dent thin walls.",
        "Check that jaws grip the item, cold and again warm. Jaws can dent thin walls.",
    ),
}
"""Every caution in whole and in short, empty where that is the same."""

_EYES: Final = "limits from IEC 60825-1 and ICNIRP 2013, numbers on the eyewear from EN 207"
SOURCES: Final[dict[str, str]] = {
    "eyewear": _EYES,
    "eyes_uncovered": _EYES,
    "eyes_unmarked": _EYES,
    "eyes_several_lasers": _EYES,
    "eyes_steady": "IEC 60825-1: counted for 10 s in a beam, because nobody looks away from one that can't be seen",
    "eyes_figures": _EYES,
    "enclosure": "IEC 60825-1 requires enclosure and interlock where the beam is not safe; all else here is common "
    "practice, no source",
    "pointer": "IEC 60825-1, class 2",
}
"""Where a caution comes from; all others are common practice, no source."""


def cautions(found: Safety) -> tuple[CautionText, ...]:
    """The cautions of a job in words, the worst first.

    >>> from rotary.safety import Caution
    >>> one = Caution(id="tape", level="warn", about="tape", values={})
    >>> cautions(Safety(eyes=(), cautions=(one,)))[0].short
    'Use paper tape, never vinyl. Take off any paper template.'
    """
    texts = []
    for one in found.cautions:
        says, short = (text.format(**one.values) for text in WORDS[one.id])
        texts.append(CautionText(id=one.id, level=one.level, about=one.about, text=says, short=short or says))
    return tuple(texts)


def stops(found: Safety) -> tuple[str, ...]:
    """What forbids the start, in whole."""
    return tuple(one.text for one in cautions(found) if one.level == "stop")
