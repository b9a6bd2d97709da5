"""Why there is no plan, what would make one surer, and the edges of its window, in sentences."""

from typing import Final

from rotary.item import Item
from rotary.passes.beliefs.draws import Coating, Draws, Metal
from rotary.passes.plan.setting import Edges
from rotary.wishes import Wishes

# Below one in twenty there is nothing worth offering.
FAIR: Final = 0.05


def in_ten(chance: float) -> str:
    """A chance as a person says it.

    >>> in_ten(0.26), in_ten(0.004), in_ten(0.97)
    ('about 3 in 10', 'less than 1 in 20', 'more than 19 in 20')
    """
    if chance < 0.05:
        return "less than 1 in 20"
    if chance > 0.95:
        return "more than 19 in 20"
    return f"about {max(1, min(9, round(10 * chance)))} in 10"


def why_no_window(metal: Metal, coating: Coating, draws: Draws, pulses: float, hot: bool) -> tuple[str, ...]:
    """Why no setting has a fair chance."""
    reasons = []
    stands = metal.threshold_j_cm2.central * pulses ** (metal.incubation.central - 1)
    starts = coating.lift_off_j_cm2.central if coating.lift_off_share > 0.5 else coating.threshold_j_cm2.central
    if stands < 3 * starts:
        reasons.append(
            "What lifts this coating is too near to what marks this metal: the coating starts to go at about "
            f"{starts:.1f} "
            f"J/cm², the metal stands about {stands:.1f} J/cm² after {pulses:.0f} pulses (central figures, both "
            "uncertain "
            "by a factor of two or three)."
        )
    if hot:
        reasons.append(
            f"The wall (about {float(draws.wall_mm.mean()):.2f} mm) is too thin to carry the heat away, even with "
            "pauses."
        )
    return tuple(reasons) or (
        "Too little is known about this coating on this metal for any setting to have a fair chance.",
    )


def would_change(item: Item, spot_measured: bool) -> tuple[str, ...]:
    """What would make the plan surer, the cheapest first; what else would change it is planned again when asked for."""
    says = ["a test patch: nine cells, read by eye, tell more than all the figures known beforehand"]
    if item.coating_thickness_um is None:
        says.append("measuring the coating's thickness with a gauge (field coating_thickness)")
    if not spot_measured:
        says.append("measuring the spot (field spot of the head)")
    says.append(
        "rotary what-helps JOB: plans again with other lenses, pulses, coats, a closer focus, and tells the chances"
    )
    says.append("another process where the metal must stay flawless: a chemical stripper under a mask, or blasting")
    return tuple(says)


def let_go(wishes: Wishes) -> tuple[str, ...]:
    """The controls that are held, as what would change the chance."""
    names = [
        info.alias or name for name, info in type(wishes).model_fields.items() if getattr(wishes, name) is not None
    ]
    return (f"letting go of what [passes] holds: {', '.join(names)}",) if names else ()


def edges(found: Edges | None, passes: int) -> tuple[str, ...]:
    """How far the edges of the window are, in the person's own controls."""
    if found is None:
        return ()
    return (
        f"The window's edges: the chance halves below {100 * found.power_low:.0f} % and above "
        f"{100 * found.power_high:.0f} % of this power, and outside {found.passes_low} to {found.passes_high} passes "
        f"({passes} here).",
    )
