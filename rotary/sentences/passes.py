"""The passes in sentences: their first line, honest about doubt, what to look for, what comes before and after."""

from collections.abc import Callable, Sequence
from typing import Final

from rotary.passes.beliefs.draws import substances
from rotary.passes.plan.setting import AfterId, BeforeId, Direction, PassRemark, PassRemarkId, PassRow, Removal
from rotary.plan import Plan

BEFORE: Final[dict[BeforeId, str]] = {
    "clean": "Peel off labels and film. Degrease with isopropyl outside the enclosure. Let it dry fully.",
    "test_patch": "Mark a test patch first: hidden, or on scrap of this batch.",
    "tape": "Keep paper tape out of the beam. Never use vinyl.",
}
AFTER: Final[dict[AfterId, str]] = {
    "cool": "Let it cool to the touch before you wipe it or take it out.",
    "wipe": "Wipe damp, then with isopropyl. Residue: plastic scraper or nylon brush.",
    "seams": "Look at every seam at a low angle before it comes off.",
}
DIRECTIONS: Final[dict[Direction, str]] = {"around": "around", "along": "along the axis"}


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
        return f"No removal plan{after}: {' '.join(remarks(plan, steps.refused))}"
    if not steps.removes_coating:
        return f"{_after(steps.depth_readings, 'depth reading')}{_depth_line(plan)}"
    how = f"one pass, look, again, {len(steps.look_after)} at most"
    clean = f"{in_ten(steps.chance_with_looks)} that the coating comes off clean and the metal stays unmarked"
    if not steps.samples:
        says = f"{how[0].upper()}{how[1:]}: from central figures alone; the odds were left out."
    elif not steps.in_doubt:
        says = f"{how[0].upper()}{how[1:]}: {clean}."
    else:
        says = f"{'In doubt: ' * (not tabbed)}{clean}. Mark a test patch first. Then {how}."
    return f"{_after(steps.readings, 'reading')}{says}"


def _after(readings: int, what: str) -> str:
    return f"After {_counted(readings, what)}: " if readings else ""


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'s' * (number != 1)}"


def _depth_line(plan: Plan) -> str:
    steps, metal = plan.removal, substances(plan.job.item)[0]
    start = f"{len(steps.rows)} passes into bare {metal.says}: about {steps.depth_um_50:.0f} µm deep"
    if not steps.samples:
        return f"{start} by the central figures alone; the range was left out."
    then = "measure as you go" if steps.depth_readings else "measure a trial and scale"
    return f"{start}, anything from {steps.depth_um_5:.0f} to {steps.depth_um_95:.0f} µm; {then}."


def look(steps: Removal, row: PassRow) -> str:
    """What to look for after a pass."""
    if row.kind == "finish":
        return "wipe, look at a low angle. Coating left: one more removal pass. Clean: the next slice"
    if row.kind == "lift":
        then = "one more pass" if row.number < len(steps.look_after) else "mark a test patch"
        return f"first slice: STOP and look; coating left, {then}"
    share = row.number / len(steps.rows)
    low, middle, high = (share * deep for deep in (steps.depth_um_5, steps.depth_um_50, steps.depth_um_95))
    return f"about {middle:.1f} µm deep" + (f" ({low:.1f} to {high:.1f})" if steps.samples else "")


def order_why(plan: Plan) -> str:
    """Why the passes and slices are marked in this order."""
    creep = f" (about {100 * plan.turning.slip_share:.2g} % of a turn)" if plan.removal.order_why == "creep" else ""
    rollers = (
        f"on rollers the item may slip{creep}: passes all round would land beside each other, so every slice is "
        "finished first"
    )
    return {
        "creep": rollers,
        "rollers": rollers,
        "quicker": "the quicker order here; nothing has to be found again between passes",
        "cooler": "each slice cools while the others are marked: the pauses cost nothing",
        "program": "your program turns after every pass, so each goes round all slices",
        "nothing": "nothing to mark",
    }[plan.removal.order_why]


def notes(plan: Plan) -> tuple[str, ...]:
    """What else has to be known of the passes."""
    return remarks(plan, plan.removal.remarks)


def remarks(plan: Plan, found: Sequence[PassRemark]) -> tuple[str, ...]:
    """Remarks of a plan in words."""
    return tuple(
        _OF_PLAN[one.id](plan.removal) if one.id in _OF_PLAN else _REMARKS[one.id].format(**one.values) for one in found
    )


def _edges(steps: Removal) -> str:
    at, edges = steps.setting, steps.edges
    if at is None or edges is None:
        return ""
    return (
        f"Works from about {100 * edges.power_low:.0f} % power up to "
        f"{'full' if edges.power_high >= 1 else f'{100 * edges.power_high:.0f} %'}, with {edges.passes_low} to "
        f"{edges.passes_high} passes ({at.passes} expected). Beyond that the odds fall below half of these."
    )


def _defocused(steps: Removal) -> str:
    at = steps.setting
    if at is None:
        return ""
    return (
        f"The focal plane stands {abs(at.defocus_mm):g} mm {'above' if at.defocus_mm > 0 else 'below'} the surface on "
        f"purpose: the spot is {at.spot_at_surface_um:.0f} µm wide there and its peak {at.peak_fluence_j_cm2:.1f} "
        "J/cm², gentler on the metal than in focus."
    )


def _other_heads(steps: Removal) -> str:
    others = next(one for one in steps.remarks if one.id == "other_heads").values["others"]
    return (
        f"{others} of the {steps.readings} reading{'s' * (steps.readings != 1)} were made with another laser or "
        "lens: they count "
        "for half."
    )


_OF_PLAN: Final[dict[PassRemarkId, Callable[[Removal], str]]] = {
    "edges": _edges,
    "defocused": _defocused,
    "other_heads": _other_heads,
}
_REMARKS: Final[dict[PassRemarkId, str]] = {
    "coating_refused": "{coating}: {refused}",
    "too_near": "What lifts this coating is too near to what marks this metal: the coating starts to go at about "
    "{starts_j_cm2:.1f} J/cm², the metal stands about {stands_j_cm2:.1f} J/cm² after {pulses:.0f} pulses (central "
    "figures, both uncertain by a factor of two or three).",
    "wall_too_thin": "The wall (about {wall_mm:.2f} mm) is too thin to carry the heat away, even with pauses.",
    "wall_unpaused": "Without pauses the wall (about {wall_mm:.2f} mm) can't carry the heat away.",
    "too_little_known": "Too little is known about this coating on this metal for any setting to have a fair chance.",
    "other_item": "an item with a coating that may be lifted",
    "let_go": "letting rotary choose where you typed a setting: {held}",
    "test_patch": "a test patch: nine cells read by eye show more than any figure",
    "gauge_coating": "measuring the coating's thickness with a gauge (under coating)",
    "measure_spot": "measuring the spot (under laser and lens)",
    "what_helps": "rotary plan JOB --suggestions: tries other lenses, pulses, a thinner coating and a closer focus",
    "other_process": "another process where the metal must stay flawless: a chemical stripper under a mask, or "
    "blasting",
    "worst_places": "The odds hold for the worst places: energy per area from {low_share:.2f} to {high_share:.2f} of "
    "the nominal (drop, slope and runout), the thickest and the thinnest coating, the least- and the "
    "most-hit place between the pulses.",
    "stays_below": "The wall should stay below about {limit_c:.0f} °C (tint, scorched edge; 1 in 20 are touchier).",
    "heat_no_limit": "Heat is no limit here: the part is thick or solid.",
    "hotter_than_wished": "The wall may reach {wall_c:.0f} °C, more than the {wish_c:.0f} °C wished for. No cooler "
    "ladder has this chance. Let it cool between slices.",
    "cool_costs": "Held to {wish_c:.0f} °C this takes {times:.1f} times as long. The quickest would heat the wall to "
    "{quick_c:.0f} °C.",
    "bleached": "This film is bleached, not lifted: clear means white or silver with the film unbroken; cut means that "
    "it has cracked or burst. The last pass takes nothing off: leave it out where the colour is even.",
    "beliefs": "Coating: {coating}. Metal: {metal}. Assumptions are estimates where no source was found.",
    "depth_is_linear": "Depth is near enough linear in passes: common practice, no source. A range of several is "
    "honest here: measure the depth of a trial and scale.",
    "polished": "Sanding or polishing takes {polish_um:g} µm off: measure the depth before it. "
    "These passes allow for it.",
    "thin_wall": "These passes may take {deepest_um:.0f} µm off a wall of perhaps {wall_um:.0f} µm: use fewer on a "
    "vessel, and none where a vacuum jacket or a pressure lies behind.",
    "gauged": "{says}",
}
"""All that need nothing but their own values."""
