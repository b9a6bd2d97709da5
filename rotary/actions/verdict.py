"""How a job stands, and what to do next: each step with its figure, how long it takes, and what does it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from rotary.actions.by_hand import settable
from rotary.actions.files import WORDS, FileFacts
from rotary.actions.measurements import places_to_measure
from rotary.actions.models import Deed, Reason, Step, StepId, Verdict
from rotary.actions.run import chances
from rotary.defaults import STEP_FIGURES
from rotary.errors import Fault
from rotary.formulas import motion
from rotary.item import height_from_s_mm
from rotary.passes.plan.setting import Removal
from rotary.plan import Plan
from rotary.safety import is_example
from rotary.slices.models import LimitId

CLEAN_ENOUGH: Final = 0.6
MARKED_ENOUGH: Final = 0.1
"""With fewer clean no readings make a job ready; then, or with more marked, the first slice goes on a scrap item."""

MOST_STEPS: Final = 3

DEEDS: Final[dict[StepId, tuple[Deed, float]]] = {
    "fill": ("edit", 1),
    "other_coating": ("edit", 1),
    "own_laser": ("laser", 5),
    "enter_steps": ("edit", 2),
    "turn_test": ("tests", 5),
    "measure_height": ("edit", 2),
    "edge_here": ("edit", 1),
    "measure_diameter": ("edit", 2),
    "machine_test": ("tests", 15),
    "motor_test": ("tests", 10),
    "gap_ladder": ("tests", 10),
    "test_patch": ("patch", 30),
    "trial_cut": ("depth", 20),
    "scrap_first": ("print", 10),
    "program": ("program", 2),
    "file_per_slice": ("write_slices", 2),
    "write_file": ("write_file", 1),
    "print_sheet": ("print", 1),
    "seam_test": ("seam_test", 20),
    "new_plan": ("compare", 5),
    "what_helps": ("suggest", 1),
}
"""What does each step, and how many minutes it takes: estimates, no source."""


@dataclass(frozen=True, slots=True)
class ProofStanding:
    """What a saved job has to show: whether its proof still counts and if not why, its day, the batch of its
    coating, items good of all, and how the last run came out where that ran badly."""

    reason: Reason
    on: str = ""
    batch: str = ""
    good: int | None = None
    count: int | None = None
    last_run: str = ""

    @property
    def figures(self) -> dict[str, str | int | None]:
        """What a verdict says of it."""
        return {name: getattr(self, name) for name in ("good", "count", "on", "batch", "last_run")}

    @property
    def holds(self) -> bool:
        """Whether these numbers were run whole, came out well, and nothing has changed since."""
        return self.reason in ("run_well", "marked_by_you", "other_batch")


def verdict_of(plan: Plan, proof: ProofStanding | None = None) -> Verdict:
    """How a planned job stands."""
    clean, coated, marked = chances(plan.removal)
    verdict = Verdict(
        state="ready",
        example=bool(plan.safety.example),
        chance_clean=clean,
        chance_coated=coated,
        chance_marked=marked,
        **_depths(plan.removal),
    )
    if reasons := tuple(_not_ready(plan)):
        return verdict.but(state="not ready", reasons=reasons)
    if proof is not None:
        # What was run needs no patch to be tried, however the last run came out.
        was_run = proof.holds or proof.reason == "ran_badly"
        state, reasons = "proven" if proof.holds else "test first", () if was_run else tuple(_untested(plan))
        return verdict.but(state=state, reasons=(proof.reason, *reasons), **proof.figures)
    reasons = tuple(_untested(plan))
    if reasons:
        return verdict.but(state="test first", reasons=reasons)
    return verdict.but(reasons=("readings",))


def _depths(steps: Removal) -> dict[str, float]:
    if steps.removes_coating or steps.setting is None or not steps.samples:
        return {}
    return {"depth_low": round(steps.depth_um_5 / 1000, 4), "depth_high": round(steps.depth_um_95 / 1000, 4)}


def _not_ready(plan: Plan) -> Iterator[Reason]:
    if plan.job.laser.use and not is_example(plan.job.item):
        yield "sample_laser"
    if any(one.id == "coating_refused" for one in plan.removal.refused):
        yield "coating_refused"


def _untested(plan: Plan) -> Iterator[Reason]:
    steps = plan.removal
    if steps_assumed(plan):
        yield "steps_assumed"
    if seams_unknown(plan) is not None:
        yield "seams_unknown"
    if steps.setting is None:
        yield "no_passes"
    elif not steps.removes_coating:
        if not steps.depth_readings:
            yield "depth_untried"
    elif not steps.near_readings:
        yield "settings_untried" if steps.readings else "coating_untried"
    elif steps.samples and steps.chance_with_looks < CLEAN_ENOUGH:
        # Readings at these settings that leave it so open promise nothing yet.
        yield "readings_doubtful"


def steps_assumed(plan: Plan) -> str:
    """The first figure of the steps per turn that nobody has entered; empty where all are known, where a full-turn test
    has shown them all at once or is asked for, and where nothing turns between slices."""
    drive = plan.job.turning
    shown = drive.ticks or plan.split.slices == 1 or seams_unknown(plan) == "turn_test"
    if shown or is_example(plan.job.item):
        return ""
    return next((f"turning.{name}" for name in STEP_FIGURES if name not in drive.model_fields_set), "")


_TESTED_BY: Final[dict[str, StepId]] = {"diameter": "measure_diameter"}
_OF_THE_WIDTH: Final[tuple[LimitId, ...]] = ("seam_sheet", "seam_plain")


def seams_unknown(plan: Plan) -> StepId | None:
    """What to measure where seams may be off by more than is accepted because a turn or a width is not known."""
    split, accepted_mm = plan.split, plan.job.tolerances.accepted_seam_mm
    if split.slices == 1 or split.seam_95_mm <= accepted_mm:
        return _gap_unknown(plan, accepted_mm)
    unmet = {limit.id: limit.values for limit in split.limits if not limit.met}
    drive = unmet.get("turning")
    if drive is not None and not drive["readings"]:
        # Where the motor's own stops cost it all, no measurement helps.
        by_the_turn_mm = float(drive["scale_share"]) * split.slice_width_mm
        if not drive["stops_open"] or by_the_turn_mm > plan.job.tolerances.accepted_seam_mm:
            return "turn_test"
    costliest = [f"{unmet[name]['costliest']}" for name in _OF_THE_WIDTH if name in unmet and unmet[name]["costliest"]]
    return _TESTED_BY.get(costliest[0], "machine_test") if costliest else None


def _motor_unknown(plan: Plan) -> StepId | None:
    """The motor test, where the motor's stops alone may open seams and nobody has read what they do."""
    drive = next((one for one in plan.split.limits if one.id == "turning"), None)
    opens = drive is not None and not drive.met and drive.values["stops_open"]
    return "motor_test" if opens and not any(plan.turning.stops_tested) else None


def _gap_unknown(plan: Plan, accepted_mm: float) -> StepId | None:
    """The gap ladder, where the gap that closes is all that seams hang on; it is marked at settings that work."""
    seams = plan.seams
    steps = plan.removal
    # A ladder of gaps at settings that are likely to change would be marked for nothing.
    tried = steps.removes_coating and steps.near_readings and steps.chance_with_looks >= CLEAN_ENOUGH
    return "gap_ladder" if tried and seams.source != "measured" and seams.within_mm > accepted_mm else None


def steps_of(plan: Plan, verdict: Verdict, drawn: FileFacts, newer: bool = False) -> tuple[Step, ...]:
    """Up to three next steps, the most useful first."""
    return tuple(_steps(plan, verdict, drawn, newer))[:MOST_STEPS]


def _steps(plan: Plan, verdict: Verdict, drawn: FileFacts, newer: bool) -> Iterator[Step]:
    yield from _tests(plan, verdict)
    if verdict.state == "not ready" or "no_passes" in verdict.reasons:
        return
    if _risky(verdict) and (verdict.state == "ready" or "readings_doubtful" in verdict.reasons):
        yield step("scrap_first", verdict.chance_clean or 0.0)
    # What was run whole needs no answer any more.
    if verdict.state != "proven" and (unknown := questions_open(plan)):
        yield step("program", len(unknown))
    if not drawn.is_written and plan.removal.file_per_slice:
        yield step("file_per_slice", drawn.slices)
    elif not drawn.is_written:
        no_drawing = not (plan.job.artwork.pieces or plan.job.is_inscribed or drawn.is_final)
        where = "artwork.pieces" if no_drawing else ""
        yield step("write_file", drawn.files.first or drawn.files.whole or WORDS, where=where)
    yield step("print_sheet", 1)
    if newer:
        yield step("new_plan", 1)


def _tests(plan: Plan, verdict: Verdict) -> Iterator[Step]:
    """What shows whether it will come out well, for each reason why that is not known."""
    steps, clean = plan.removal, verdict.chance_clean
    height = _height_step(plan)
    for reason in verdict.reasons:
        if reason in ("other_batch", "coating_untried", "settings_untried", "readings_doubtful"):
            yield _coating_test(reason, verdict)
        elif reason == "no_passes":
            if any(one.id == "test_patch" for one in steps.would_change_it):
                yield step("test_patch", "untried")
            yield step("what_helps", len(steps.would_change_it))
        elif reason == "ran_badly":
            yield from steps_after(verdict.last_run, plan)[:1]
        elif reason != "seams_unknown" or not height or seams_unknown(plan) != "measure_diameter":
            # Where the shape is what costs most, the height that tells most of it is asked for instead.
            yield from _fact_test(reason, plan)
    # What was run whole has shown its seams.
    if height and verdict.state != "proven" and not {"coating_refused", "no_passes"} & set(verdict.reasons):
        yield height
    if len(verdict.reasons) == 1 and verdict.reasons[0] in ("changed", "rebuilt", "never_run"):
        yield step("scrap_first", 1 if clean is None else clean)


def _height_step(plan: Plan) -> Step | None:
    places, item = places_to_measure(plan), plan.job.item
    if places is None:
        return None
    end = item.end_name(item.heights_from)
    if (edge_mm := plan.shape.edge_mm) is not None:
        # What lies between the places is no one's guess until it is known where the wall turns.
        at = settable(height_from_s_mm(item, plan.shape, edge_mm))
        return step("edge_here", at, "mm", "item.measurements").but(end=end)
    first, *also = map(settable, places.at_mm)
    asked = step("measure_height", first, "mm", "item.measurements")
    known = {"now": round(places.now_mm, 3), "then": round(places.then_mm, 3)}
    minutes = len(places.at_mm) * asked.minutes
    return asked.but(**known, also=tuple(also), minutes=minutes, end=end)


def _fact_test(reason: Reason, plan: Plan) -> Iterator[Step]:
    """What is measured or entered where a fact is not known."""
    if reason == "coating_refused":
        yield step("other_coating", plan.job.item.coating or "", where="item.coating")
    elif reason == "sample_laser":
        yield step("own_laser", plan.job.laser.name)
    elif reason == "steps_assumed":
        drive = plan.job.turning
        assumed = motion.steps_per_turn(drive.full_steps, drive.microsteps, drive.gear_ratio)
        yield step("enter_steps", round(assumed, 3), where=steps_assumed(plan))
    elif reason == "seams_unknown":
        yield step(seams_unknown(plan) or "machine_test", round(plan.seams.within_mm, 3), "mm")
    elif reason == "depth_untried":
        yield step("trial_cut", round(plan.removal.depth_um_50 / 1000, 4), "mm")


def _coating_test(reason: Reason, verdict: Verdict) -> Step:
    """A patch; where other settings were read, and say that it works, a scrap item shows it with less work."""
    clean = verdict.chance_clean
    if reason == "settings_untried" and not _risky(verdict):
        return step("scrap_first", clean or 0.0)
    return step("test_patch", "untried" if clean is None else clean)


def _risky(verdict: Verdict) -> bool:
    clean, marked = verdict.chance_clean, verdict.chance_marked
    return clean is not None and marked is not None and (clean < CLEAN_ENOUGH or marked > MARKED_ENOUGH)


def questions_open(plan: Plan) -> tuple[str, ...]:
    """The facts of the person's program that are not known, though this plan depends on them."""
    steps, program = plan.removal, plan.job.program
    if steps.setting is None or plan.split.slices == 1:
        return ()
    several = steps.removes_coating or steps.typed_passes > 1
    matters = {
        "can_pause": steps.setting.pause_s > 0,
        "can_change_setting": steps.removes_coating,
        "can_repeat_slice": several and steps.order != "all-round",
    }
    return tuple(fact for fact, is_asked in matters.items() if is_asked and getattr(program, fact) is None)


def step(name: StepId, value: float | str, unit: str = "", where: str = "") -> Step:
    """A step with what does it and how long it takes."""
    deed, minutes = DEEDS[name]
    return Step(id=name, value=value, unit=unit, minutes=minutes, does=deed, where=where)


def steps_to_fill(faults: Sequence[Fault]) -> tuple[Step, ...]:
    """What is missing or impossible, a step each."""
    return tuple(step("fill", str(fault), where=fault.where) for fault in faults[:MOST_STEPS])


def steps_after(outcome: str, plan: Plan) -> tuple[Step, ...]:
    """What to do at once where a run did not come out well; `outcome` is the logbook's. None after a good one."""
    steps, seam_mm = plan.removal, round(plan.seams.within_mm, 3)
    if outcome == "seams-show":
        then = seams_unknown(plan) or _motor_unknown(plan) or "machine_test"
        return step("seam_test", seam_mm, "mm"), step(then, seam_mm, "mm")
    if outcome not in ("coating-left", "metal-marked"):
        return ()
    if steps.setting is not None and not steps.removes_coating:
        return (step("trial_cut", round(steps.depth_um_50 / 1000, 4), "mm"),)
    patch, helps = step("test_patch", verdict_of(plan).chance_clean or "untried"), len(steps.would_change_it)
    return (patch, step("what_helps", helps)) if helps else (patch,)
