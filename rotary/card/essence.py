"""Cautions in short, for a page that has to be read at the machine, and in whole, as they stand overleaf."""

from rotary.eyes import EyeRow
from rotary.plan import Plan
from rotary.sentences.cautions import cautions


def eyewear(eye: EyeRow) -> str:
    """What eyes need against one laser, in short."""
    scale = f" ({eye.scale_number})" if eye.judged else ""
    needs = f"OD {eye.optical_density:.1f} or more at {eye.wavelength_nm:g} nm{scale}"
    return f"Eyes, {eye.source}: {needs}. {eye.verdict}"


def in_short(plan: Plan) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What warns, and what is good to know, in short; what stops the job stands on top of the card."""
    found = [
        (one.level, f"{one.about[:1].upper()}{one.about[1:]}: {one.short}")
        for one in cautions(plan.safety)
        if one.level != "stop"
    ]
    warns, notes = ([text for level, text in found if level == wanted] for wanted in ("warn", "note"))
    eyes = [eyewear(eye) for eye in plan.safety.eyes if eye.judged]
    return (*eyes, *dict.fromkeys(warns)), tuple(dict.fromkeys(notes))


def whole(plan: Plan) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The same in whole, eyes with their figures."""
    eyes = [
        f"{eyewear(eye)} Exposure {eye.exposure_w_m2:.3g} against a limit of {eye.limit_w_m2:.3g} W/m²."
        for eye in plan.safety.eyes
    ]
    found = [(one.level, f"{one.about}: {one.says}") for one in cautions(plan.safety)]
    warns = [text for level, text in found if level != "note"]
    return (*eyes, *warns), tuple(text for level, text in found if level == "note")
