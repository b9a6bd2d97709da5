"""The layer that words a plan: every id has its sentence, and doubt is said once, where a tab does not say it."""

from typing import get_args

import pytest

from rotary import focus as focus_stage
from rotary.job import job_from_file
from rotary.passes.plan import setting
from rotary.plan import Plan, plan
from rotary.sentences import focus, passes, slices
from rotary.shipped import FIRST, examples
from rotary.slices import models


@pytest.fixture(scope="module")
def doubted() -> Plan:
    """A plan that is in doubt whatever its figures, after three readings."""
    made = plan(job_from_file(examples()[FIRST]), 50)
    steps = made.removal.model_copy(update={"chance_with_looks": 0.4, "readings": 3})
    return made.model_copy(update={"removal": steps})


def test_every_id_has_its_words() -> None:
    """An id that is new in a stage has to be worded, and no words stay behind."""
    limits, remarks = get_args(models.LimitId), get_args(models.RemarkId)
    assert set(slices.NAMES) == {*limits, "artwork_width"}
    assert set(slices._LIMITS) == set(limits)
    assert {*slices._REMARKS, "not_kept"} == set(remarks)
    assert set(focus.BUDGET) == set(get_args(focus_stage.BudgetId))
    assert set(focus._NOTES) == set(get_args(focus_stage.Remark))
    assert {*passes._OF_PLAN, *passes._REMARKS} == set(get_args(setting.PassRemarkId))
    assert set(passes.BEFORE) == set(get_args(setting.BeforeId))
    assert set(passes.AFTER) == set(get_args(setting.AfterId))


def test_doubt_is_said_whatever_taught(doubted: Plan) -> None:
    """After readings as before any."""
    assert passes.first_line(doubted).startswith("Not sure yet, after 3 readings: about 4 in 10 ")
