"""How a job stands and what comes next, in words."""

from math import degrees
from typing import Final

from rotary.actions.files import WORDS
from rotary.actions.models import Step, Verdict
from rotary.errors import counted
from rotary.examples import BANNER, state_words
from rotary.formulas.circle import within_half_turn
from rotary.item import Item
from rotary.papers.sizes import Sizes
from rotary.sentences.passes import in_ten


def end_words(end: str | None) -> str:
    """An end of the item in a sentence.

    >>> end_words("base"), end_words("end 1")
    ('the base', 'end 1')
    """
    return f"the {end}" if end in ("base", "rim") else f"{end}"


def front_words(mark: str | None, at_deg: float | None) -> str:
    """Where an item's front is, by what shows it and how far to the right of it that lies; "" where nothing does.

    >>> front_words("handle", 180.0), front_words("weld line", -90.0)
    ('opposite its handle', 'its weld line is 90° to the left')
    """
    if mark is None or at_deg is None:
        return ""
    if abs(at_deg) == 180:
        return f"opposite its {mark}"
    return f"its {mark} is {abs(at_deg):g}° to the {'right' if at_deg > 0 else 'left'}" if at_deg else f"at its {mark}"


def front_of(item: Item) -> str:
    """The same of an item."""
    mark, at_rad = item.front_mark or (None, 0.0)
    return front_words(mark, round(degrees(within_half_turn(at_rad)), 3))


def verdict_text(verdict: Verdict, steps: tuple[Step, ...], sizes: Sizes) -> str:
    """How the job stands, in one line; why comes right after."""
    stands = state_words(verdict.state, verdict.example)
    if verdict.example:
        stands = BANNER if verdict.state == "ready" else f"{BANNER}. {stands}"
    return f"{stands}. {reasons_text(verdict, steps, sizes)}".strip()


def reasons_text(verdict: Verdict, steps: tuple[Step, ...], sizes: Sizes) -> str:
    """Why a job stands as it does."""
    figures: dict[str, Step] = {step.id: step for step in steps}
    return " ".join(_reason(reason, verdict, figures, sizes) for reason in verdict.reasons)


_OF_SEAMS: Final = ("turn_test", "measure_diameter", "machine_test", "motor_test", "gap_ladder")


def _reason(reason: str, verdict: Verdict, steps: dict[str, Step], sizes: Sizes) -> str:
    assumed = f"{steps['enter_steps'].value:g}" if "enter_steps" in steps else "the usual number"
    seam = next((steps[name] for name in _OF_SEAMS if name in steps), None)
    gap = f" by {_mm(float(seam.value), sizes)}" if seam and seam.unit == "mm" else ""
    batch = f"batch {verdict.batch}" if verdict.batch else "another batch"
    clean = verdict.chance_clean
    clean_odds = "" if clean is None else f": {in_ten(clean)} items come out clean"
    told = {
        "missing_fact": "A field is empty: fill it in.",
        "impossible_fact": "This job can't work as entered.",
        "coating_refused": "This coating must not be marked: its fumes are toxic.",
        "no_passes": "No setting is likely to work here.",
        "sample_laser": "Laser and lens are examples: enter your own.",
        "steps_assumed": f"Steps per turn: {assumed} assumed.",
        "seams_unknown": f"Seams could be off{gap}.",
        "coating_untried": f"Coating untried{clean_odds}.",
        "settings_untried": f"Coating tested, but not at these settings{clean_odds}.",
        "readings_doubtful": "" if clean is None else f"At these settings only {in_ten(clean)} items come out clean.",
        "depth_untried": f"No depth measured on this metal yet{_depths(verdict, sizes, '. Estimate: ')}.",
        "changed": "Job or machine changed since it was proven.",
        "rebuilt": "This proof is old: some numbers were not saved.",
        "never_run": "Nobody has run these numbers yet.",
        "readings": _chances(verdict, sizes),
        "run_well": f"{verdict.on}: {verdict.good} of {verdict.count} items good.",
        "ran_badly": f"Last run: {BAD.get(verdict.last_run, verdict.last_run)}.{_good_of(verdict)}",
        "marked_by_you": f"{verdict.on}: proven by you, no run logged.",
        "other_batch": f"Proven on {batch}, not on today's: mark one test patch.",
    }
    return told[reason]


BAD: Final[dict[str, str]] = {
    "coating-left": "coating left", "metal-marked": "metal engraved", "seams-show": "seams showed",
    "spoiled": "spoiled",
}  # fmt: skip
"""How a run came out that was not wanted, by the logbook's word."""


def _good_of(verdict: Verdict) -> str:
    return "" if verdict.count is None else f" So far {verdict.good} of {verdict.count} items good."


def _chances(verdict: Verdict, sizes: Sizes) -> str:
    clean, coated, marked = verdict.chance_clean, verdict.chance_coated, verdict.chance_marked
    if clean is None or coated is None or marked is None:
        return f"Depth measured on this metal{_depths(verdict, sizes)}."
    return f"Clean: {in_ten(clean)} items. Coating left: {in_ten(coated)}. Metal marked: {in_ten(marked)}."


def _depths(verdict: Verdict, sizes: Sizes, before: str = ": ") -> str:
    low, high = verdict.depth_low, verdict.depth_high
    return "" if low is None or high is None else f"{before}{_mm(low, sizes).split()[0]} to {_mm(high, sizes)}"


def _mm(mm: float, sizes: Sizes) -> str:
    return f"{mm / 25.4:.4f} in" if sizes.system == "in" else f"{mm:.2f} mm"


STEPS: Final[dict[str, str]] = {
    "fill": "{value}.",
    "other_coating": "Choose an item with another coating.",
    "own_laser": "Enter your own laser and lens: {minutes}.",
    "enter_steps": "Enter your gear ratio, full steps and microsteps: {minutes}.",
    "turn_test": "Do the full-turn test and enter the gap that you measure: {minutes}.",
    "measure_height": "Measure the diameter{heights} from {end} too, for better seams: {minutes}. You then know the "
    "diameter within {then} mm instead of {now} mm.",
    "edge_here": "Is there an edge {value:g} mm from {end}? If so, enter this height as a corner: {minutes}.",
    "measure_diameter": "Measure the diameter again, to 0.1 mm: {minutes}.",
    "machine_test": "Do the machine tests on paper tape: {minutes}.",
    "motor_test": "Do the motor test on paper tape: {minutes}.",
    "gap_ladder": "Mark the gap ladder on scrap: {minutes}.",
    "test_patch": "Mark a test patch to see which settings work: {minutes}.",
    "trial_cut": "Cut a trial on scrap and measure its depth: {minutes}.",
    "scrap_first": "Mark the first slice on a scrap item: {minutes}.",
    "program": "Answer {questions} about your marking program: {minutes}.",
    "file_per_slice": "Make a file for each slice, {value} in all: {minutes}.",
    "write_file": "Make the file {value}: {minutes}.",
    "print_sheet": "Print the setup sheet: {minutes}.",
    "seam_test": "Do the seam test to see if seams gap or overlap: {minutes}.",
    "new_plan": "See what the newer, untested plan changes: {minutes}.",
    "what_helps": "See which changes to the job give better odds: {minutes}.",
}

NO_DRAWING: Final = "Choose your drawing, then make the file {value}: {minutes}."
"""Of a job that names none."""

WORDS_FILES: Final = "Make the words' files: {minutes}."
"""Of an inscription, before its files have names."""


def step_text(step: Step) -> str:
    """What to do next, in one line."""
    text = NO_DRAWING if step.id == "write_file" and step.where else STEPS[step.id]
    text = WORDS_FILES if step.id == "write_file" and step.value == WORDS else text
    known = {name: f"{amount:.2g}" for name in ("now", "then") if (amount := getattr(step, name)) is not None}
    minutes, heights = f"about {step.minutes:g} min", ""
    if step.id == "measure_height":
        *others, last = (f"{at:g}" for at in (float(step.value), *step.also))
        heights = f"s {', '.join(others)} and {last} mm" if others else f" {last} mm"
    questions = counted(int(step.value), "question") if step.id == "program" else ""
    return text.format(
        value=step.value, questions=questions, heights=heights, end=end_words(step.end), minutes=minutes, **known
    )
