"""The passes in sentences: their first line, honest about doubt, what to look for, what comes before and after."""

from collections.abc import Callable, Sequence
from typing import Final

from rotary.finishes import COATINGS, METALS
from rotary.passes.beliefs.draws import substances
from rotary.passes.plan.edges import MOST_PASSES
from rotary.passes.plan.setting import AfterId, BeforeId, PassRemark, PassRemarkId, PassRow, Removal
from rotary.plan import Plan

BEFORE: Final[dict[BeforeId, str]] = {
    "clean": "Peel off labels and film. Degrease with isopropyl outside the enclosure. Let it dry fully.",
    "test_patch": "Mark a test patch on scrap of this batch or a hidden spot.",
    "tape": "In the beam use paper tape only for tests and corner ticks, never vinyl.",
}
AFTER: Final[dict[AfterId, str]] = {
    "cool": "Let the item cool before you wipe it or take it out.",
    "wipe": "Wipe with a damp cloth, then with isopropyl. Scrape residue off with plastic or a nylon brush.",
    "seams": "Look at every seam at a low angle, then take the item off.",
}


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


def before_and_after(steps: Removal | None) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What is done before the passes and after them."""
    if steps is None:
        return (), ()
    before = (BEFORE[name] for name in steps.before)
    return tuple(before), tuple(AFTER[name] for name in steps.after)


def first_line(plan: Plan, tabbed: bool = False) -> str:
    """What is read first: the chance of a person who does as the plan says, or the depth of bare metal.

    Where it stands beside a tab that says whether there is doubt, it is `tabbed` and does not say so again.
    """
    steps = plan.removal
    if steps.setting is None:
        after = f" after {_counted(steps.readings, 'reading')}" if steps.readings else ""
        return f"No passes are planned{after}. {' '.join(remarks(plan, steps.refused))}"
    if not steps.removes_coating:
        return f"{_after(steps.depth_readings, 'depth reading')}{_depth_line(plan)}"
    how = f"mark one pass, look, and repeat, {len(steps.look_after)} passes at most"
    clean = f"{in_ten(steps.chance_with_looks)} items come out clean, with the metal unmarked"
    if not steps.samples:
        says = f"{how[0].upper()}{how[1:]}. rotary worked out no odds for this."
    elif not steps.in_doubt:
        says = f"{how[0].upper()}{how[1:]}: {clean}."
    else:
        patch = "another test patch" if steps.readings else "a test patch"
        says = f"{clean}. Mark {patch} first. Then {how}."
    return f"{_after(steps.readings, 'reading', steps.in_doubt and not tabbed)}{says}"


def _after(readings: int, what: str, in_doubt: bool = False) -> str:
    after = f"{'Not sure yet, after' if in_doubt else 'After'} {_counted(readings, what)}: "
    return after if readings else "Not sure: " * in_doubt


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'s' * (number != 1)}"


def _depth_line(plan: Plan) -> str:
    steps, metal = plan.removal, substances(plan.job.item)[0]
    name = METALS.get(f"{plan.job.item.metal}", metal.says)
    start = f"{len(steps.rows)} passes into bare {name}: about {steps.depth_um_50:.0f} µm deep"
    if not steps.samples:
        return f"{start}. It can be much less or more: rotary worked out no range."
    then = "Measure as you go" if steps.depth_readings else "Measure a trial, then adjust the passes"
    return f"{start}, anything from {steps.depth_um_5:.0f} to {steps.depth_um_95:.0f} µm. {then}."


def look(steps: Removal, row: PassRow) -> str:
    """What to look for after a pass."""
    what = "Colour" if is_bleached(steps) else "Coating"
    if row.kind == "finish":
        return f"wipe, look at a low angle. {what} left: one more removal pass. Clean: the next slice"
    if row.kind == "lift":
        then = "one more pass" if row.number < len(steps.look_after) else "mark a test patch"
        return f"first slice: STOP and look. {what} left: {then}"
    share = row.number / len(steps.rows)
    low, middle, high = (share * deep for deep in (steps.depth_um_5, steps.depth_um_50, steps.depth_um_95))
    return f"about {middle:.1f} µm deep" + (f" ({low:.1f} to {high:.1f} µm)" if steps.samples else "")


def is_bleached(steps: Removal) -> bool:
    """Whether the film stays on the metal, and only its colour goes."""
    return any(one.id == "bleached" for one in steps.remarks)


def order_why(plan: Plan) -> str:
    """Why the passes and slices are marked in this order."""
    creep = f" (about {100 * plan.turning.slip_share:.2g} % of a turn)" if plan.removal.order_why == "creep" else ""
    rollers = (
        f"do all passes on one slice before you turn: on rollers the item may slip{creep}, and a second turn "
        "would not line up"
    )
    return {
        "creep": rollers,
        "rollers": rollers,
        "quicker": "this order is quicker here, and you need not line up again between passes",
        "rests": "each slice cools between its passes. One pass on every slice in turn is quicker, but heats the wall "
        "more",
        "cooler": "each slice cools while you mark the others",
        "program": "your program turns after every pass, so each pass goes round all slices",
        "nothing": "nothing to mark",
    }[plan.removal.order_why]


def notes(plan: Plan) -> tuple[str, ...]:
    """What else has to be known of the passes."""
    return remarks(plan, plan.removal.remarks)


def remarks(plan: Plan, found: Sequence[PassRemark]) -> tuple[str, ...]:
    """Remarks of a plan in words."""
    item = plan.job.item
    names = {
        "of_coating": COATINGS.get(f"{item.coating}", item.coating),
        "of_metal": METALS.get(f"{item.metal}", item.metal),
    }
    return tuple(
        _OF_PLAN[one.id](plan.removal) if one.id in _OF_PLAN else _REMARKS[one.id].format(**names, **one.values)
        for one in found
    )


def _edges(steps: Removal) -> str:
    at, edges = steps.setting, steps.edges
    if at is None or edges is None:
        return ""
    more = ", perhaps more" * (edges.passes_high >= max(MOST_PASSES, at.passes))
    return (
        f"From about {100 * edges.power_low:.0f} % power up to "
        f"{'full power' if edges.power_high >= 1 else f'{100 * edges.power_high:.0f} %'}, and with {edges.passes_low} "
        f"to {edges.passes_high} passes{more}, the odds are still at least half as good as the plan's own."
    )


def _defocused(steps: Removal) -> str:
    at = steps.setting
    if at is None:
        return ""
    return (
        f"The focus lies {'above' if at.defocus_mm > 0 else 'below'} the surface on purpose: the wider spot is gentler "
        "on the metal."
    )


def _other_lasers(steps: Removal) -> str:
    others = next(one for one in steps.remarks if one.id == "other_heads").values["others"]
    return (
        f"{others} of the {steps.readings} reading{'s' * (steps.readings != 1)} were made with another laser or "
        "lens: they count half."
    )


_OF_PLAN: Final[dict[PassRemarkId, Callable[[Removal], str]]] = {
    "edges": _edges,
    "defocused": _defocused,
    "other_heads": _other_lasers,
}
_REMARKS: Final[dict[PassRemarkId, str]] = {
    "coating_refused": "Never mark {coating}, because {refused}.",
    "too_near": "Any pulse that lifts this coating may mark this metal: the coating lifts from about "
    "{starts_j_cm2:.1f} J/cm² on, the metal is marked from about {stands_j_cm2:.1f} J/cm² on (estimates, either may be "
    "two or three times off).",
    "wall_too_thin": "The wall (about {wall_mm:.2f} mm) is too thin to carry the heat away, even with pauses.",
    "wall_unpaused": "Without pauses the wall (about {wall_mm:.2f} mm) can't carry the heat away.",
    "too_little_known": "Too little is known about this coating on this metal: no setting has a fair chance of "
    "working.",
    "other_item": "use an item with another coating",
    "let_go": "let rotary choose these settings that you typed: {held}",
    "test_patch": "mark a test patch: its nine cells, judged by your eye, tell more than any estimate",
    "gauge_coating": "measure the coating's thickness with a gauge and enter it (under coating)",
    "measure_spot": "measure the spot and enter it (under laser and lens)",
    "what_helps": "see what helps (on the screen Ctrl+T, then W, else the command rotary plan JOB --suggestions): "
    "rotary tries other lenses, pulses, a thinner coating and a more exact focus",
    "other_process": "strip the coating through a mask, with chemicals or by blasting (if the metal must stay "
    "flawless)",
    "worst_places": "The odds allow for the worst places on the item: where it gets the least and the most energy "
    "({low_share:.2f} to {high_share:.2f} times what is planned), and where the coating is thinnest and thickest.",
    "stays_below": "Let the item cool if in doubt: above about {limit_c:.0f} °C the wall tints or scorches (on 1 of 20 "
    "items already at a lower heat).",
    "heat_no_limit": "Heat is no limit here: the wall is thick or the item solid.",
    "hotter_than_wished": "Let the item cool between slices: the wall may reach {wall_c:.0f} °C, although you asked "
    "for {wish_c:.0f} °C at most. Cooler settings have worse odds.",
    "cool_costs": "The plan keeps the wall under {wish_c:.0f} °C. That takes {times:.1f} times as long as the quickest "
    "way, which heats the wall to {quick_c:.0f} °C.",
    "bleached": "This film is bleached, not lifted. Clean means white or silver with the film unbroken. Engraved "
    "means the film has cracked or burst. The last pass lifts nothing: leave it out if the colour is even.",
    "beliefs": 'For "{of_coating}" the plan assumes {coating}, for "{of_metal}" it assumes {metal}. Some figures for '
    "coating and metal are estimates.",
    "depth_is_linear": "Twice the passes cut about twice as deep (common practice, no source). The estimate may be "
    "several times off: measure a trial, then adjust the passes.",
    "polished": "Sanding or polishing takes {polish_um:g} µm off: measure the depth before you polish. "
    "These passes allow for it.",
    "thin_wall": "Never mark a wall with vacuum or pressure behind it. These passes may take {deepest_um:.0f} µm off a "
    "wall of about {wall_um:.0f} µm: on a bottle or cup use fewer passes.",
    "gauged": "{says}",
}
"""All that need nothing but their own values."""
