"""How a job stands, and what to do next: every reason, which comes before which, and the chances counted again."""

from typing import Any, Final

import numpy as np
import pytest

from rotary.actions.build import actions_of, actions_of_refused
from rotary.actions.files import file_facts
from rotary.actions.models import Reason, State
from rotary.actions.run import chances
from rotary.actions.verdict import (
    DEEDS,
    ProofStanding,
    questions_open,
    seams_unknown,
    steps_after,
    steps_of,
    verdict_of,
)
from rotary.errors import Fault, Refused
from rotary.job import Job, job_from_data
from rotary.passes.beliefs.draws import material_for
from rotary.passes.plan.removal import usual_light
from rotary.passes.plan.typed_settings import grid_from
from rotary.passes.plan.window import Passes, passes
from rotary.plan import Plan, plan
from rotary.program import Program
from rotary.sentences.standing import step_text
from tests.actions.cases import EACH, JOBS, plan_of
from tests.actions.written import in_words

COATED, BARE, ROLLED = "chuck, straight", "bare nut", "rollers, taper, shim"
MEASURED: Final = {"diameter_mm": 0.1}
"""With a diameter that is known so well no other place has to be measured."""
ANSWERED: Final = {"can_pause": True, "can_change_setting": True, "can_repeat_slice": True, "can_store_start": True}


def planned(name: str, **tables: dict[str, Any]) -> Plan:
    """The plan of a job with other values in its tables."""
    job = JOBS[name]
    parts = {part: getattr(job, part).model_copy(update=values) for part, values in tables.items()}
    return plan(Job(**dict(job) | parts))


def with_passes(made: Plan, **values: Any) -> Plan:
    return made.model_copy(update={"removal": made.removal.model_copy(update=values)})


def with_program(made: Plan, **values: Any) -> Plan:
    return made.model_copy(update={"job": made.job.model_copy(update={"program": Program(**values)})})


def ready(clean: float = 0.8, coated: float = 0.15, **program: Any) -> Plan:
    """A coated job that was read on a patch, with these chances."""
    made = planned(COATED, tolerances=MEASURED)
    made = with_passes(made, readings=2, near_readings=1, chance_with_looks=clean, chance_left_coated=coated)
    return with_program(made, **ANSWERED | program)


def ids(made: Plan, proof: ProofStanding | None = None, newer: bool = False) -> tuple[str, ...]:
    verdict = verdict_of(made, proof)
    return tuple(step.id for step in steps_of(made, verdict, file_facts(made), newer))


def stands(made: Plan, proof: ProofStanding | None = None) -> tuple[State, tuple[Reason, ...]]:
    verdict = verdict_of(made, proof)
    return verdict.state, verdict.reasons


# --- each reason ------------------------------------------------------------------------------------------------------


def test_a_laser_that_is_a_sample_s_is_not_ready_for_an_item_of_one_s_own() -> None:
    """The same figures on the example's own item are an example; on a person's item nothing may be marked by them."""
    own = planned(COATED, laser={"use": "fibre-60w-254"}, tolerances=MEASURED)
    assert stands(own) == ("not ready", ("sample_laser",))
    assert ids(own) == ("own_laser",)
    example = actions_of(plan_of("regatta-bottle")).verdict
    assert example.example
    assert "sample_laser" not in example.reasons
    assert not verdict_of(plan_of(COATED)).example


def test_a_coating_that_must_not_be_marked_is_not_ready() -> None:
    """Vinyl gives off hydrogen chloride: no step leads to a file, a patch or a sheet of it."""
    refused = planned(COATED, item={"coating": "vinyl"})
    assert stands(refused) == ("not ready", ("coating_refused",))
    assert ids(refused) == ("other_coating",)
    actions = actions_of(refused)
    assert not actions.rows
    assert "coating_refused" in [one.id for one in actions.cautions]


def test_a_turn_that_nobody_measured_comes_first() -> None:
    """Where rollers touch a taper is not known: without a full-turn test seams could be off by more than accepted."""
    made = planned(ROLLED, turning={"ticks": ()})
    assert made.split.seam_95_mm > 5 * made.job.tolerances.seam_mm
    assert stands(made) == ("test first", ("seams_unknown", "coating_untried"))
    first = actions_of(made).steps[0]
    assert (first.id, first.unit) == ("turn_test", "mm")
    assert first.value == pytest.approx(made.seams.within_mm, abs=5e-4)


@pytest.mark.parametrize(
    ("tolerances", "step"),
    [({"diameter_mm": 3.0}, "measure_diameter"), ({"field_scale_share": 0.05}, "machine_test")],
)
@pytest.mark.parametrize("method", ["sliced", "flat"])
def test_what_costs_most_at_a_seam_is_measured(tolerances: dict[str, float], step: str, method: str) -> None:
    """An unsure diameter is measured again, an unsure field on the machine; both methods alike."""
    made = planned(COATED, tolerances=tolerances | {"slice_width_mm": 4.0, "method": method})
    assert seams_unknown(made) == step
    assert ids(made)[0] == step


def test_what_the_motor_alone_leaves_is_no_reason_to_test() -> None:
    """A motor stops where it stops: no measurement takes that away, on rollers with tests as in a chuck."""
    for name in (COATED, ROLLED, "drum of 400 mm"):
        made = plan_of(name)
        assert made.split.seam_95_mm > made.job.tolerances.seam_mm
        assert seams_unknown(made) is None
        assert "seams_unknown" not in verdict_of(made).reasons
    assert seams_unknown(plan_of("one slice")) is None


def test_readings_at_these_settings_make_a_coated_job_ready() -> None:
    """Readings of other settings, or taken on another laser, teach, but show nothing of these."""
    made = plan_of(COATED)
    assert stands(made) == ("test first", ("coating_untried",))
    far = with_passes(made, readings=3)
    assert stands(far) == ("test first", ("settings_untried",))
    assert ids(far)[0] == "test_patch"
    text = in_words(far, actions_of(far)).verdict.text
    assert text.startswith("TEST FIRST. Coating tested, but not at these settings: about ")
    # Where they say that it works, these settings are tried on scrap, and no patch is asked for.
    sure = with_passes(far, chance_with_looks=0.9, chance_left_coated=0.05)
    assert (stands(sure)[0], ids(sure)[0]) == ("test first", "scrap_first")
    assert not [text for text in in_words(sure, actions_of(sure)).run.texts if "Mark a test patch on scrap" in text]
    assert stands(with_passes(sure, near_readings=1)) == ("ready", ("readings",))
    # Read here, and still more likely not clean: another patch.
    doubtful = with_passes(far, near_readings=1, chance_with_looks=0.59)
    assert stands(doubtful) == ("test first", ("readings_doubtful",))
    # Another patch, or what it is on a scrap item in less time.
    assert ids(doubtful)[0] == "test_patch"
    assert "scrap_first" in ids(doubtful)
    said = in_words(doubtful, actions_of(doubtful)).verdict.text
    assert said.startswith("TEST FIRST. At these settings only about 6 in 10 items come out clean.")


def test_a_depth_that_was_measured_makes_bare_metal_ready() -> None:
    """Bare metal needs no chances: a measured depth is what shows."""
    made = plan_of(BARE)
    assert stands(made) == ("test first", ("depth_untried",))
    assert ids(made)[0] == "trial_cut"
    measured = with_passes(made, depth_readings=1)
    assert stands(measured) == ("ready", ("readings",))
    assert chances(measured.removal) == (None, None, None)
    assert "scrap_first" not in ids(measured)


def test_without_passes_nothing_is_written() -> None:
    """Nothing worth trying: a patch and what would help, no file and no sheet."""
    made = planned("program without a second setting", passes={"spoiled_cost": 10})
    assert made.removal.setting is None
    assert stands(made) == ("test first", ("no_passes",))
    assert ids(made) == ("test_patch", "what_helps")
    actions = actions_of(made)
    assert not actions.run.rungs
    assert "passes" not in actions.rows


def test_what_can_t_be_planned_says_what_to_fill_in() -> None:
    """Missing and impossible facts are steps, three at most, with the field that each is about."""
    with pytest.raises(Refused) as refused:
        job_from_data({"item": {"name": "cup"}, "turning": {"kind": "chuck"}})
    actions = actions_of_refused(refused.value.faults, example=True)
    assert (actions.verdict.state, actions.verdict.reasons) == ("not ready", ("missing_fact",))
    assert actions.verdict.example
    assert [step.where for step in actions.steps] == [fault.where for fault in refused.value.faults][:3]
    faults = [Fault(f"item.{k}", f"say {k}") for k in "abcde"]
    steps = actions_of_refused(faults).steps
    assert [step.value for step in steps] == ["item.a: say a", "item.b: say b", "item.c: say c"]
    assert actions_of_refused(faults).verdict.reasons == ("impossible_fact",)


def test_an_untried_depth_is_a_range() -> None:
    """Bare metal: the step carries the middle, the verdict both ends; a coating has no depth."""
    made = plan_of(BARE)
    verdict, steps = verdict_of(made), made.removal
    assert (verdict.depth_low, verdict.depth_high) == (
        pytest.approx(steps.depth_um_5 / 1000, abs=1e-4),
        pytest.approx(steps.depth_um_95 / 1000, abs=1e-4),
    )
    trial = next(step for step in actions_of(made).steps if step.id == "trial_cut")
    assert 0 < (verdict.depth_low or 0) < float(trial.value) < (verdict.depth_high or 0)
    assert verdict_of(plan_of(COATED)).depth_low is None


# --- which comes before which -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("reason", ["run_well", "marked_by_you", "other_batch"])
def test_a_proof_that_holds_outweighs_what_is_untested(reason: Reason) -> None:
    """Run whole and well with these numbers: no test shows more than that, but for one patch on another batch."""
    made = planned(ROLLED, turning={"ticks": ()})
    proof = ProofStanding(reason, on="29 October", good=12, count=13)
    verdict = verdict_of(made, proof)
    assert (verdict.state, verdict.reasons) == ("proven", (reason,))
    assert (verdict.good, verdict.count, verdict.on) == (12, 13, "29 October")
    patch = {"test_patch"} if reason == "other_batch" else set()
    assert {"turn_test", "test_patch", "scrap_first"} & set(ids(made, proof)) == patch


@pytest.mark.parametrize("reason", ["changed", "rebuilt", "never_run"])
def test_a_proof_that_ended_is_test_first_whatever_was_read(reason: Reason) -> None:
    """Readings on a patch don't bring back a proof that a change ended."""
    assert stands(ready(), ProofStanding(reason)) == ("test first", (reason,))


def test_not_ready_outweighs_a_proof() -> None:
    """A sample's laser was never run on an item of one's own, whatever a profile claims."""
    own = planned(COATED, laser={"use": "fibre-60w-254"})
    assert stands(own, ProofStanding("run_well")) == ("not ready", ("sample_laser",))


def test_test_first_outweighs_ready() -> None:
    """Readings of the coating don't measure a turn."""
    sure = {"chance_with_looks": 0.9, "chance_left_coated": 0.05}
    made = with_passes(planned(ROLLED, turning={"ticks": ()}), readings=5, near_readings=1, **sure)
    assert stands(made) == ("test first", ("seams_unknown",))


# --- steps ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("clean", "coated", "first"),
    [
        (0.599, 0.3, "test_patch"),
        (0.6, 0.3, "write_file"),
        (0.8, 0.1, "write_file"),
        (0.8, 0.099, "scrap_first"),
        (0.95, 0.05, "write_file"),
        (0.2, 0.8, "test_patch"),
    ],
)
def test_too_few_clean_asks_for_a_patch_and_too_many_marked_for_scrap(clean: float, coated: float, first: str) -> None:
    """Fewer than 6 in 10 clean is not ready; more than 1 in 10 marked is tried on scrap before anything else."""
    made = ready(clean, coated)
    assert ids(made)[0] == first
    assert (stands(made)[0] == "ready") == (clean >= 0.6)


def test_only_what_the_plan_depends_on_is_asked_of_the_program() -> None:
    """Pauses where there are some, two settings on a coating, several passes slice by slice; nothing of one slice."""
    assert len(questions_open(plan_of(ROLLED))) == 3
    answers = {"can_pause": False, "can_change_setting": True, "can_repeat_slice": False}
    for fact, answer in answers.items():
        assert len(questions_open(with_program(plan_of(ROLLED), **{fact: answer}))) == 2
    pauses = plan_of(COATED).removal.pause_s > 0
    assert plan_of(COATED).removal.order == "slice-by-slice"
    assert len(questions_open(plan_of(COATED))) == 2 + pauses
    assert len(questions_open(with_program(plan_of(COATED), can_change_setting=True))) == 1 + pauses
    assert len(questions_open(plan_of(BARE))) == 1
    assert len(questions_open(with_passes(plan_of(BARE), typed_passes=1))) == 0
    assert len(questions_open(plan_of("one slice"))) == 0
    assert "program" not in ids(with_program(plan_of(ROLLED), **ANSWERED))
    assert len(questions_open(with_program(plan_of(ROLLED), **ANSWERED | {"can_store_start": None}))) == 0


def test_steps_come_in_the_order_of_their_use_and_are_three_at_most() -> None:
    """Tests, scrap, questions, file, sheet; a newer plan last, where there is room."""
    assert ids(planned(ROLLED, turning={"ticks": ()}, tolerances=MEASURED)) == ("turn_test", "test_patch", "program")
    assert ids(ready(0.3, can_change_setting=None)) == ("test_patch", "scrap_first", "program")
    assert ids(ready(0.7, 0.1, can_change_setting=None)) == ("scrap_first", "program", "write_file")
    assert ids(ready()) == ("write_file", "print_sheet")
    assert ids(ready(), ProofStanding("run_well"), newer=True) == ("write_file", "print_sheet", "new_plan")
    made = ready()
    assert [step.where for step in actions_of(made).steps] == ["artwork.pieces", ""]
    laid_out = made.model_copy(update={"start_rad": 0.0})
    texts = [step_text(actions_of(one).steps[0]) for one in (made, laid_out)]
    assert [text.startswith("Choose your drawing") for text in texts] == [True, False]
    written = file_facts(made)._replace(is_written=True)
    assert [step.id for step in steps_of(made, verdict_of(made), written)] == ["print_sheet"]
    single = plan_of("program without several passes, rollers")
    steps = {
        step.id: step
        for step in actions_of(with_passes(single, readings=1, near_readings=1, chance_with_looks=0.9)).steps
    }
    assert steps["file_per_slice"].value == single.split.slices
    assert "write_file" not in steps


@pytest.mark.parametrize("name", EACH)
def test_every_job_has_something_to_do_next(name: str) -> None:
    """One to three steps, each with what does it and how long it takes."""
    steps = actions_of(plan_of(name)).steps
    assert 1 <= len(steps) <= 3
    assert all(f"about {step.minutes:g} min" in step_text(step) for step in steps), "an estimate is told as one"
    assert len({step.id for step in steps}) == len(steps)
    each = [(step.does, step.minutes / (1 + len(step.also))) for step in steps]
    assert each == [DEEDS[step.id] for step in steps]
    assert all(minutes > 0 for _, minutes in each)


@pytest.mark.parametrize(
    ("name", "outcome", "steps"),
    [
        (COATED, "coating-left", ("test_patch", "what_helps")),
        (COATED, "metal-marked", ("test_patch", "what_helps")),
        # Nobody has read what this motor's stops do to the seams; on the nut, geared, they do little.
        (COATED, "seams-show", ("seam_test", "motor_test")),
        (BARE, "metal-marked", ("trial_cut",)),
        (BARE, "seams-show", ("seam_test", "machine_test")),
        (COATED, "clear", ()),
    ],
)
def test_a_run_that_did_not_come_out_well_leads_on_at_once(name: str, outcome: str, steps: tuple[str, ...]) -> None:
    assert tuple(step.id for step in steps_after(outcome, plan_of(name))) == steps


# --- chances ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", EACH)
def test_the_three_chances_are_all_that_can_happen(name: str) -> None:
    """Clean, still coated, marked: together one, each between none and all, the same in verdict and run."""
    actions = actions_of(plan_of(name))
    three = (actions.verdict.chance_clean, actions.verdict.chance_coated, actions.verdict.chance_marked)
    assert three == (actions.run.chance_clean, actions.run.chance_coated, actions.run.chance_marked)
    if plan_of(name).job.item.coating is None:
        assert three == (None, None, None)
        return
    known = [chance for chance in three if chance is not None]
    assert len(known) == 3
    assert sum(known) == pytest.approx(1)
    assert all(0 <= chance <= 1 for chance in known)


def test_the_chances_are_those_of_a_person_who_looks_after_each_pass() -> None:
    """Counted again: in each sample of what is not known a person marks a pass, looks, and stops when it is clean.

    The model's own slack is drawn too, as an error of the metal's threshold and of the passes that clear; what it is
    not trusted with (3 in 100) goes half to each side. The wall is thick, so that no heat takes part.
    """
    made = planned(COATED, item={"wall_mm": 4.0})
    steps, setting = made.removal, made.removal.setting
    assert setting is not None
    material = material_for(made.job.item, made.job.laser, made.choice.samples)
    light = usual_light(made, setting.defocus_mm).spread(len(steps.rungs))
    powers = np.array([rung.power_share for rung in steps.rungs]) / setting.power_share
    seen = passes(grid_from(setting).scaled(powers), material, setting.pulse_width_ns, made.optics, light)
    ladder = [at for at, rung in enumerate(steps.rungs) for _ in range(rung.passes)]
    rng = np.random.default_rng(5)
    counts = {"clean": 0.0, "coated": 0.0, "marked": 0.0}
    rounds = 20
    for at, weight in enumerate(material.draws.weight):
        for _ in range(rounds):
            # A logistic error is what the slack is taken to be.
            off = rng.logistic(0, 1 / 1.702, 2)
            outcome = _climbed(seen, material.draws.incubation[at], at, ladder, (off, rng.random(len(ladder)) < 0.05))
            counts[outcome] += weight / rounds
    clean, coated, marked = chances(steps)
    assert clean == pytest.approx(0.97 * counts["clean"], abs=0.02)
    assert coated == pytest.approx(counts["coated"] + 0.015 * counts["clean"], abs=0.02)
    assert marked == pytest.approx(counts["marked"] + 0.015 * counts["clean"], abs=0.02)


def _climbed(seen: Passes, incubation: float, at: int, ladder: list[int], errors: tuple[np.ndarray, np.ndarray]) -> str:
    """One item under one sample: a pass, a look that may be wrong, the next pass."""
    (off_metal, off_clear), wrong = errors
    gone = thin = pulses = 0.0
    strongest, was_clean = -np.inf, False
    for number, rung in enumerate(ladder, 1):
        thrown, bare = float(seen.thrown[rung, at]), float(seen.bare_after[rung, at])
        if np.isfinite(thrown):
            strongest = max(strongest, thrown)
            clean, opened = strongest / 0.15 + off_clear > 0, float(bare <= 0)
        else:
            gone += 1 / float(seen.needed[rung, at])
            thin += 1 / bare
            clean = bool(gone and np.log(gone * (number + 0.5) / number) / 0.25 + off_clear > 0)
            opened = min(max((thin - 1) * bare, 0.0), 1.0) if thin >= 1 else 0.0
        pulses += opened
        if pulses:
            so_far = max(np.log(pulses) + float(seen.log_hits[rung, at]), 0.0)
            if float(seen.spare[rung, at]) - (1 - incubation) * so_far + 0.15 * off_metal < 0:
                return "marked"
        # A clean place that is taken for a coated one gets one more pass; twice wrong is too seldom to count.
        if clean and (was_clean or not wrong[number - 1] or number == len(ladder)):
            return "clean"
        was_clean = clean
    return "coated"
