"""What the plan says in sentences: its first line, what one may see, what comes before and after."""

from typing import Final

from rotary.item import Item
from rotary.passes.beliefs import Coating, Draws, Metal
from rotary.passes.setting import Edges, Seen
from rotary.passes.wishes import Wishes

# Below one in twenty there is nothing worth offering.
FAIR: Final = 0.05
GOOD: Final = 0.70

LOOKS: Final = (
    Seen(seen="covered: coating left", do="go on with the next pass, as far as the plan's last look"),
    Seen(
        seen="haze: a residue that wipes or scrapes off",
        do="do the finishing pass now; what still stays gets the next lifting pass",
    ),
    Seen(
        seen="clear: bare, unmarked metal",
        do="stop lifting here, do the finishing pass; note the number of passes, use it for the other slices",
    ),
    Seen(
        seen="tinted: straw, brown or blue",
        do="wipe, look again; still tinted: stop, let it cool, then pause twice as long and lift with fewer passes",
    ),
    Seen(
        seen="cut: dull, frosted or engraved",
        do="wipe, look again; still cut: stop, take a tenth off the power and try again on a hidden place",
    ),
)
LAST_LOOK: Final = "wipe and look under a slanting light: coating left, one more lifting pass; clear, the next slice"

BEFORE: Final = (
    "Peel off labels and film; degrease with a cloth and isopropyl, away from the enclosure, and let it dry fully.",
    "Mark a proof patch first, in a hidden place or on a scrap item of the same batch.",
    "Put protective paper tape nowhere on the beam's way; never vinyl tape.",
)
AFTER: Final = (
    "Let the item cool to the touch before it is wiped or taken out.",
    "Wipe with a damp cloth, then isopropyl; a plastic scraper or nylon brush takes off what hazes.",
    "Look at every joint under a slanting light before the item leaves the drive: taken off, its place is lost.",
)


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


def first_line(chance: float, with_looks: float, draws: int, passes: int, looks: tuple[int, ...]) -> str:
    """The plan's first line, honest about doubt: `chance` is run blind, `with_looks` as the plan says."""
    many = f"{passes} lifting pass{'es' if passes != 1 else ''} and a finishing pass"
    if not draws:
        return f"{many}, from central figures alone; the chances were left out."
    how = f"looking {after(looks)}"
    if with_looks >= GOOD:
        return f"{many}, {how}: {in_ten(with_looks)} that the metal comes out clear and unmarked."
    return (
        f"In doubt: {many}, {how}, come out clear and unmarked {in_ten(with_looks)} times, run blind "
        f"{in_ten(chance)}. Mark a proof patch first."
    )


def after(looks: tuple[int, ...]) -> str:
    """After which passes one looks, in words.

    >>> after((3,)), after((4, 7, 9)), after((4, 7, 9, 10, 11, 12))
    ('after pass 3', 'after passes 4, 7, 9', 'after passes 4, 7, 9 to 12')
    """
    if len(looks) == 1:
        return f"after pass {looks[0]}"
    run = len(looks) - 1
    while run > 0 and looks[run - 1] == looks[run] - 1:
        run -= 1
    if len(looks) - run < 3:
        return "after passes " + ", ".join(map(str, looks))
    return "after passes " + ", ".join([*map(str, looks[:run]), f"{looks[run]} to {looks[-1]}"])


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
    says = ["a proof patch: nine cells, read by eye, tell more than all the figures known beforehand"]
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


def look(number: int, looks: tuple[int, ...], planned: int) -> str:
    """What to do after a planned lifting pass; `looks` may go on beyond the planned number."""
    if number not in looks:
        return "go on"
    more = looks[-1] - planned
    if number < planned:
        first = " at the first slice: the first pass that may clear" if number == looks[0] else ""
        return f"STOP and look{first}" if first else "look: stop as soon as it is clear"
    start = "STOP and look at the first slice" if number == looks[0] else "look"
    if not more:
        return f"{start}: if still covered, stop and mark a proof patch"
    again = f"{more} more pass{'es' if more != 1 else ''}"
    return f"{start}: if still covered, up to {again}, a look after each; then stop and mark a proof patch"
