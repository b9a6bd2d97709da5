"""How the passes on a coating are run: the first slice alone, what it took for the others, when to stop."""

from typing import Final

from rotary.item import Item
from rotary.passes.beliefs.draws import Coating, substances
from rotary.passes.plan.setting import LastWhen, PassRow, Removal
from rotary.plan import Plan

BLANK: Final = "____"
"""Where a person writes what was found, and types it from then on."""

DULL: Final = "Metal dull, coloured or bright cut: stop."
RESIDUE_ALONE: Final = "Residue that wipes or scrapes off: one more removal pass, look."
RESIDUE: Final = "Residue that wipes or scrapes off: the last pass once, look. Not clean: one more removal pass."
ONE_PASS: Final = "Type 1 pass. Mark, let it cool, wipe, look."
FIRST: Final = "First slice alone: import the file that ends in -first. Its blank slices turn past unmarked."
WITNESS: Final = "Before every run bring the witness mark back under its line: each file goes there and back."
SECOND: Final = "Second slice: import the file that ends in -second. Count again: that count is for the rest."
NEVER_ROUND: Final = "Never go round again on rollers: a second turn does not line up with the first."
TURNS_EACH_PASS: Final = (
    "Does your program turn after every pass? Write a file a slice, and finish each slice before the next."
)
EACH_SLICE: Final = "Each slice: its passes, then the last pass, then turn."
NO_LAST: Final = "Each slice: its passes, then turn."
EACH_FILE: Final = "Each file: its passes, then the last pass, then turn to the next."
_LIKE_FIRST_ITEM: Final = "as many as the first item of the list took"
ALL_ROUND: Final = (
    "Other slices: import the file that ends in -rest, leave 1 pass typed. Run it all round as often as it took.",
    "Then the last pass once, all round.",
)
_EACH_SLICE: Final[dict[LastWhen | None, tuple[str, ...]]] = {
    "each slice": (EACH_SLICE,),
    "after all": (NO_LAST, ALL_ROUND[1]),
    None: (NO_LAST,),
}
"""What each slice gets before the next, and when the last pass is run."""


def run(plan: Plan, slices: int = 0) -> tuple[str, ...]:
    """What is done at the machine with a coated item, in order; nothing in bare metal.

    `slices` are those of the file, where it has others than the plan.
    """
    steps, rollers = plan.removal, plan.job.drive.kind == "rollers"
    if not steps.removes_coating:
        return ()
    if steps.is_counted:
        return run_as_counted(steps, rollers)
    if not steps.typed_passes:
        return _known(BLANK, _LIKE_FIRST_ITEM, steps.order == "all-round", rollers, steps.pause_s, steps.last_when)
    return _run_steps(steps, slices or plan.split.slices, rollers, plan.job.item)


def run_as_counted(steps: Removal, rollers: bool) -> tuple[str, ...]:
    """The same where the number of passes was counted on an earlier run."""
    all_round = steps.order == "all-round"
    return steps_as_counted(steps.counted_passes, all_round, rollers, steps.pause_s, steps.last_when)


def steps_as_counted(
    passes: int, all_round: bool, rollers: bool, pause_s: float = 0.0, last: LastWhen | None = "each slice"
) -> tuple[str, ...]:
    """What is done with an item where it is known how many passes a slice takes."""
    return (*_known(f"{passes}", "as many as were counted", all_round, rollers, pause_s, last), DULL)


def _known(
    passes: str, why: str, all_round: bool, rollers: bool, pause_s: float, last: LastWhen | None
) -> tuple[str, ...]:
    if all_round:
        return (f"Type 1 pass. Run it all round {passes} times: {why}.", *ALL_ROUND[1:])
    steps = (f"Type {passes} passes{_pause(pause_s)}: {why}.", *_EACH_SLICE[last])
    return (*steps, NEVER_ROUND) if rollers else steps


def as_the_first_took(steps: Removal, in_turns: bool = False) -> str:
    """How an item is marked once its number of passes is written down. `in_turns`: its slices come round in turn.

    A plan all round lets each slice cool while the others are marked: what stays under the beam has to rest instead.
    """
    if steps.order != "all-round":
        then = ", then the last pass" if steps.last_when else ""
        return f"type the number of passes written down{_pause(steps.pause_s)}{then}"
    if in_turns:
        return "leave 1 pass typed, run it all round as often as written down, then the last pass once, all round"
    return "1 pass at a time, let it cool between, as often as written down, then the last pass"


def _pause(pause_s: float) -> str:
    return f", pause {pause_s:g} s between passes" if pause_s else ""


def steps_of_files(
    steps: Removal, tried_on: str, item: Item, rollers: bool = False, second: str = ""
) -> tuple[str, ...]:
    """The same with a file a slice or flat; `tried_on` is the first of several, "" where there is one."""
    if not steps.removes_coating:
        return ()
    never = (NEVER_ROUND,) if rollers else ()
    if not steps.typed_passes:
        how, each = as_the_first_took(steps), EACH_FILE if steps.last_when else "Each file: its passes, then turn."
        return (f"{how[0].upper()}{how[1:]}: {_LIKE_FIRST_ITEM}.", *((each,) if tried_on else ()), *never)
    looks = (ONE_PASS, *_looks(steps, item))
    if not tried_on:
        return (*looks, f"Next items: {as_the_first_took(steps)}.")
    others = f"Other files: {as_the_first_took(steps)}, then turn to the next."
    again = (f"Second file: import {second}. Count its passes again: that count is for the others.",) if second else ()
    return (f"First file alone: import {tried_on}.", *looks, *again, others, *never)


def _run_steps(steps: Removal, slices: int, rollers: bool, item: Item) -> tuple[str, ...]:
    """What is done at the machine with a coated item, in order."""
    stops = _looks(steps, item)
    if slices == 1:
        return (ONE_PASS, *stops, f"Next items: {as_the_first_took(steps)}.")
    # Of two slices there is no file of the rest.
    none = slices == 2
    if rollers:
        others = _slice_by_slice(steps, "Leave the last pass out, on the first slice too.")[none:]
        return (FIRST, ONE_PASS, WITNESS, *stops, SECOND, *others, TURNS_EACH_PASS, NEVER_ROUND)
    if steps.order == "all-round":
        return (FIRST, ONE_PASS, *stops, SECOND, *ALL_ROUND[none:])
    return (FIRST, ONE_PASS, *stops, SECOND, *_slice_by_slice(steps, "Run the last pass all round at the end.")[none:])


def _looks(steps: Removal, item: Item) -> tuple[str, ...]:
    """What is done after each look, and at the first clean one."""
    coating, at_most, last = substances(item)[1], steps.passes_at_most, steps.last_pass
    bleached = isinstance(coating, Coating) and coating.bleached
    when = "Only where the colour is uneven, the" if bleached else "Then the"
    more = (
        f"Coating left: one more pass, look again, {rungs_text(steps)}. Left after {at_most}: stop, mark a test patch."
    )
    clean = f"Clean at {BLANK} % after {BLANK} passes: write it down."
    if last is None:
        return (more, RESIDUE_ALONE, DULL, clean)
    return (more, RESIDUE, DULL, f"{clean} {when} last pass once: {last_pass_text(last)}.")


def rungs_text(steps: Removal) -> str:
    """How many passes at each power of the ladder, or at most where there is one."""
    if len(steps.rungs) < 2:
        return f"{steps.passes_at_most} at most"
    return ", ".join(f"{rung.passes} at {100 * rung.power_share:g} %" for rung in steps.rungs)


def _slice_by_slice(steps: Removal, otherwise: str) -> tuple[str, ...]:
    others = "Other slices: import the file that ends in -rest, type the power and passes written down"
    asked = f"Can't your program run two settings on one slice before it turns? {otherwise}"
    doubt = (asked,) if steps.last_when == "each slice" else ()
    return (f"{others}{_pause(steps.pause_s)}.", *_EACH_SLICE[steps.last_when], *doubt)


def last_pass_text(last: PassRow) -> str:
    """The numbers of the last pass in words."""
    lines = "lines along the item" if last.hatch_direction == "along" else f"lines shifted {last.line_shift_mm:.3f} mm"
    return f"{100 * last.power_share:.0f} % power, {last.scan_speed_mm_s:.0f} mm/s, {lines}"
