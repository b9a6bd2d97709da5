"""Steps per turn that nobody entered are said to be assumed."""

import pytest

from rotary.actions.build import actions_of
from rotary.actions.verdict import verdict_of
from rotary.defaults import STEP_FIGURES
from rotary.job import job_from_text, job_text
from rotary.plan import plan
from rotary.sentences.actions import with_words
from rotary.turning.models import Chuck, Rollers, TickReading
from tests.actions.cases import JOBS


@pytest.mark.parametrize("left_out", ["gear_ratio", "full_steps", "microsteps"])
def test_steps_of_a_chuck_that_nobody_entered_are_said_to_be_assumed(left_out: str) -> None:
    """Each of them can be wrong and turn the item wrongly: the verdict says so until it is entered, though as usual,
    or until a full turn was measured; a job file keeps what is open."""
    job = JOBS["chuck, straight"]
    figures = job.turning.model_dump(include=set(STEP_FIGURES) - {left_out})
    assumed = job.model_copy(update={"turning": Chuck(axis_height_mm=90.0, **figures)})
    made = plan(job_from_text(job_text(assumed)))
    actions = with_words(actions_of(made), ())
    assert actions.verdict.state == "test first"
    assert f"Steps per turn: {made.turning.nominal_steps_per_turn:g} assumed." in actions.verdict.text
    assert (actions.steps[0].id, actions.steps[0].where) == ("enter_steps", f"turning.{left_out}")
    known = made.job.turning.model_copy(update={"ticks": (TickReading(gap_mm=0.0, at_mm=60.0),)})
    for turning in (Chuck(axis_height_mm=90.0, **figures, **{left_out: getattr(made.job.turning, left_out)}), known):
        entered = plan(made.job.model_copy(update={"turning": turning}))
        assert "steps_assumed" not in verdict_of(entered).reasons


@pytest.mark.parametrize(
    ("name", "asked"), [("rollers, straight, no shim", "enter_steps"), ("rollers, taper, shim", "turn_test")]
)
def test_rollers_are_asked_for_their_figures_where_no_full_turn_test_shows_them_all(name: str, asked: str) -> None:
    """Under a straight item seams are sure without that test, but only if the steps per turn of the roller are true."""
    job = JOBS[name]
    rollers = Rollers(axis_height_mm=40.0, roller_diameter_mm=20.0, centres_mm=50.0)
    steps = {str(one.id): one for one in actions_of(plan(job.model_copy(update={"turning": rollers}))).steps}
    assert steps.keys() & {"enter_steps", "turn_test"} == {asked}
    assert asked == "turn_test" or steps[asked].value == 3200
    known = rollers.model_copy(update={"gear_ratio": 1.0, "full_steps": 200, "microsteps": 16})
    assert "steps_assumed" not in verdict_of(plan(job.model_copy(update={"turning": known}))).reasons
