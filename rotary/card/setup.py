"""The setup card as plain text, to print and to follow at the machine."""

from datetime import date
from typing import Final

from rotary.actions.build import actions_of
from rotary.actions.models import Actions
from rotary.card.behind import figures_behind
from rotary.card.keying import checks, entries
from rotary.card.passes import HEAD, focus_pairs, pass_rows, slice_done
from rotary.errors import single_line
from rotary.papers.lines import (
    WIDTH,
    clock,
    figures,
    listed,
    packed,
    table,
    title,
    wrapped,
)
from rotary.papers.model import Section, Sentences
from rotary.papers.sizes import Sizes
from rotary.papers.text import head_lines, joined, keyed_lines, section_lines
from rotary.plan import Plan
from rotary.sentences.actions import step_text, verdict_text
from rotary.sentences.cautions import cautions, stops
from rotary.sentences.passes import before_and_after, first_line, order_why, remarks
from rotary.sentences.running import run
from rotary.witness import witness_ticks

MOST_BOXES: Final = 240
"""More boxes than this are not ticked by anybody; then a slice has one box for all its passes."""


NOT_TURNED: Final = "It is not turned. How it lies and where to focus: on the card that is written with its files."
"""Of words on a face."""


def card_lines(plan: Plan, system: str = "mm", day: date | None = None) -> list[str]:
    """The setup card, line by line, at most 100 columns wide; `system` is "mm" or "in", `day` goes on top.

    What is followed at the machine comes first, in the order in which it is done; the figures behind it come last.
    """
    sizes = Sizes(system)
    return joined(
        _head(plan, sizes, day or date.today()),
        _first(plan),
        _set_up(plan, sizes),
        _key_in(plan, system),
        _must_show(plan, system),
        _focus(plan, sizes),
        _cautions(plan),
        _passes(plan),
        _boxes(plan),
        _notes(),
        ["Up to here it is followed at the machine. Below stand the figures behind it.".center(WIDTH).rstrip()],
        *map(section_lines, figures_behind(plan, sizes)),
    )


def before_the_card(first: Section | None) -> list[str]:
    """What a repeat of a kept profile says before its card, and an empty line; nothing where there is none."""
    if first is None:
        return []
    says = [
        f"{_MARKS[block.mark]}{text}" for block in first.blocks if isinstance(block, Sentences) for text in block.texts
    ]
    return [*(part for line in (first.title, *says) for part in wrapped(single_line(line), "")), ""]


_MARKS: Final = {"warn": "! ", "box": "[ ] ", "none": ""}


def standing(plan: Plan, actions: Actions | None, system: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """How the job stands, with what of the passes that does not say, and what to do next.

    `actions` are those of the plan where more is known than the plan itself says.
    """
    actions = actions or actions_of(plan)
    # That it is an example stands on the first line already.
    verdict = verdict_text(actions.verdict.model_copy(update={"example": False}), actions.steps, Sizes(system))
    is_said = plan.removal.setting is not None and plan.removal.draws
    return (verdict, *([] if is_said else [first_line(plan)])), tuple(map(step_text, actions.steps))


def answer_lines(plan: Plan, system: str = "mm", actions: Actions | None = None) -> list[str]:
    """The short answer: how it stands, what to do next, what is keyed in, how it is focused, which passes; without
    boxes and tables of errors."""
    sizes = Sizes(system)
    stands, steps = standing(plan, actions, system)
    return joined(
        wrapped(plan.safety.example, "") if plan.safety.example else [],
        wrapped(f"{plan.job.item.name}: {sizes.text(plan.item_state)}", ""),
        [*(part for text in stands for part in wrapped(text, "")), *listed(steps), *_stops(plan)],
        *_at_the_machine(plan, sizes, actions),
        [title("Cautions: on the card, rotary card JOB")],
    )


def _at_the_machine(plan: Plan, sizes: Sizes, actions: Actions | None) -> list[list[str]]:
    """What is typed, seen, focused and run; where nothing is to be typed only why there are no passes."""
    if actions is not None and not actions.type:
        return [_passes(plan)] if plan.removal.setting is None else []
    if actions is not None and not actions.is_turned:
        return [_key_in(plan, sizes.system, is_turned=False), list(wrapped(NOT_TURNED, "")), _passes(plan)]
    return [_key_in(plan, sizes.system), _must_show(plan, sizes.system), _focus(plan, sizes), _passes(plan)]


def _head(plan: Plan, sizes: Sizes, day: date) -> list[str]:
    lines = head_lines("SETUP CARD", plan.job.item.name, day.isoformat())
    for text in (
        plan.safety.example,
        plan.job.note,
        sizes.text(f"Item: {plan.item_state}"),
        sizes.text(f"Drive: {plan.turning.state}"),
        f"Beam: {plan.optics.state}",
    ):
        if text:
            lines += wrapped(text)
    lines += listed(sizes.texts(f"Please check: {doubt}" for doubt in plan.doubts), "  ? ")
    return lines


def _first(plan: Plan) -> list[str]:
    return [*wrapped(first_line(plan), ""), *_stops(plan)]


def _stops(plan: Plan) -> list[str]:
    return listed((f"STOP: {text}" for text in stops(plan.safety)), "  ! ")


def _set_up(plan: Plan, sizes: Sizes) -> list[str]:
    notes = (*plan.turning.notes, witness_ticks(plan).says)
    return [title("Set up: the item on its drive"), *listed(sizes.texts(notes))]


def _key_in(plan: Plan, system: str, is_turned: bool = True) -> list[str]:
    return [title("Key in: in this order"), *keyed_lines(entries(plan, system, is_turned))]


def _must_show(plan: Plan, system: str) -> list[str]:
    shows = checks(plan, system)
    return [title("Before the first slice, see that"), *listed(shows, "  [ ] ")] if shows else []


def _focus(plan: Plan, sizes: Sizes) -> list[str]:
    lines = [title("Focus"), *figures(focus_pairs(plan, sizes))]
    if plan.focus.refocus:
        rows = [("from", "to", "focal plane over the bed", "")]
        rows += [
            (sizes.length(z.from_mm), sizes.length(z.to_mm), sizes.length(z.focal_plane_mm), "[ ]")
            for z in plan.focus.refocus
        ]
        lines += [f"  Refocus along the item, heights from the {plan.job.item.datum}:", *table(rows)]
    return lines


def _passes(plan: Plan) -> list[str]:
    steps = plan.removal
    lines = [title("Passes")]
    if steps.setting is None:
        changed = (f"would change it: {text}" for text in remarks(plan, steps.would_change_it))
        return [*lines, *listed(remarks(plan, steps.refused)), *listed(changed, "  > ")]
    before, after = before_and_after(steps)
    lines += listed((f"before: {text}" for text in before), "  [ ] ")
    lines += listed(run(plan), "  [ ] ")
    box = "" if steps.removes_coating else "[ ] "
    lines += table([HEAD, *((f"{box}{number}", *cells) for number, *cells in pass_rows(steps))])
    all_round = "not on this drive" if steps.time_all_round_s is None else clock(steps.time_all_round_s)
    lines += figures(
        [
            ("order", f"{steps.order}: {order_why(plan)}"),
            ("time slice by slice, all round", f"{clock(steps.time_slice_by_slice_s)}, {all_round}"),
        ]
    )
    return [*lines, *listed((f"after: {text}" for text in after), "  [ ] ")]


def _cautions(plan: Plan) -> list[str]:
    warned = plan.safety
    lines = [title("Cautions: local rules and licensed practice go first")]
    for eye in warned.eyes:
        scale = f" ({eye.scale_number})" if eye.judged else ""
        density = f"optical density {eye.optical_density:.1f} or more at {eye.wavelength_nm:g} nm{scale}"
        limits = f"exposure {eye.exposure_w_m2:.3g} against a limit of {eye.limit_w_m2:.3g} W/m²"
        # Where no pair will do, or its marks are not entered, a caution says so.
        verdict = "" if eye.uncovered or eye.unmarked else f"; {eye.verdict}"
        lines += wrapped(f"Eyes, {eye.source}: {density}; {limits}{verdict}", "  * ")
    for caution in cautions(warned):
        # What stops the job stands on top of the card.
        if caution.level != "stop":
            lines += wrapped(f"{caution.about}: {caution.says}", "  * " if caution.level == "warn" else "  - ")
    return lines


def _boxes(plan: Plan) -> list[str]:
    """Boxes to tick, in the order in which they are run: one a slice and pass, on a coating one a slice."""
    slices, passes = plan.split.slices, len(plan.removal.rows)
    if plan.removal.setting is None:
        return []
    boxes = [f"{number:>4}[ ]" for number in range(1, slices + 1)]
    if plan.removal.removes_coating:
        return [title(f"Tick off: {slice_done(plan.removal)}"), *packed(boxes, 0)]
    if slices * passes > MOST_BOXES:
        return [title(f"Tick off: a slice once all its {passes} passes are done"), *packed(boxes, 0)]
    if plan.removal.order == "all-round":
        rounds = [packed([f"pass {number:<4}", *boxes], 0) for number in range(1, passes + 1)]
        return [title("Tick off: a line a pass, a box a slice"), *(line for lines in rounds for line in lines)]
    groups = [f"slice {number:<4}" + "[ ]" * passes for number in range(1, slices + 1)]
    return [title(f"Tick off: {passes} passes, slice by slice"), *packed(groups, 4)]


def _notes() -> list[str]:
    return [title("What happened: date, who, what was seen"), *("  " + "_" * (WIDTH - 4) for _ in range(4))]
