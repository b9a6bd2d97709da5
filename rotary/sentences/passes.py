"""The passes in sentences: their first line, honest about doubt, what to look for, what comes before and after."""

from typing import Final

from rotary.passes.beliefs.draws import substances
from rotary.passes.plan.setting import AfterId, BeforeId, Direction, PassRow, Removal
from rotary.passes.plan.wording import in_ten
from rotary.plan import Plan

BEFORE: Final[dict[BeforeId, str]] = {
    "clean": "Peel off labels and film; degrease with a cloth and isopropyl, away from the enclosure, and let it dry "
    "fully.",
    "test_patch": "Mark a test patch first, in a hidden place or on a scrap item of the same batch.",
    "tape": "Put protective paper tape nowhere on the beam's way; never vinyl tape.",
}
AFTER: Final[dict[AfterId, str]] = {
    "cool": "Let the item cool to the touch before it is wiped or taken out.",
    "wipe": "Wipe with a damp cloth, then isopropyl; a plastic scraper or nylon brush takes off what hazes.",
    "joints": "Look at every joint under a slanting light before the item leaves the drive: taken off, its place is "
    "lost.",
}
DIRECTIONS: Final[dict[Direction, str]] = {"around": "around", "along": "along the axis"}


def before_and_after(steps: Removal | None, proven: bool = False) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What is done before the passes and after them; what is `proven` needs no patch."""
    if steps is None:
        return (), ()
    before = (BEFORE[name] for name in steps.before if not (proven and name == "test_patch"))
    return tuple(before), tuple(AFTER[name] for name in steps.after)


def first_line(plan: Plan, tabbed: bool = False) -> str:
    """What is read first: the chance of a person who does as the plan says, or the depth of bare metal.

    Where it stands beside a tab that says whether there is doubt, it is `tabbed` and does not say so again.
    """
    steps = plan.removal
    if steps.setting is None:
        return f"No removal plan: {' '.join(steps.refused)}"
    if steps.last_pass is None:
        return f"{_after(steps.depth_readings, 'depth reading')}{_depth_line(plan)}"
    how = f"one pass, look, again, {len(steps.look_after)} at most"
    clean = f"{in_ten(steps.chance_with_looks)} that the coating comes off clean and the metal stays unmarked"
    if not steps.draws:
        says = f"{how[0].upper()}{how[1:]}: from central figures alone; the chances were left out."
    elif not steps.in_doubt:
        says = f"{how[0].upper()}{how[1:]}: {clean}."
    else:
        says = f"{'In doubt: ' * (not tabbed)}{clean}. Mark a test patch first. Then {how}."
    return f"{_after(steps.readings, 'reading')}{says}"


def _after(readings: int, what: str) -> str:
    return f"After {readings} {what}{'s' * (readings != 1)}: " if readings else ""


def _depth_line(plan: Plan) -> str:
    steps, metal = plan.removal, substances(plan.job.item)[0]
    start = f"{len(steps.rows)} passes into bare {metal.says}: about {steps.depth_um_50:.0f} µm deep"
    if not steps.draws:
        return f"{start} by the central figures alone; the range was left out."
    then = "gauge as you go" if steps.depth_readings else "measure a trial and scale"
    return f"{start}, anything from {steps.depth_um_5:.0f} to {steps.depth_um_95:.0f} µm; {then}."


def look(steps: Removal, row: PassRow) -> str:
    """What to look for after a pass."""
    if row.kind == "finish":
        return "wipe, look at a low angle: coating left, one more removal pass; clean, the next slice"
    if row.kind == "lift":
        then = "one more pass" if row.number < len(steps.look_after) else "mark a test patch"
        return f"first slice: STOP and look; coating left, {then}"
    share = row.number / len(steps.rows)
    low, middle, high = (share * deep for deep in (steps.depth_um_5, steps.depth_um_50, steps.depth_um_95))
    return f"about {middle:.1f} µm deep" + (f" ({low:.1f} to {high:.1f})" if steps.draws else "")
