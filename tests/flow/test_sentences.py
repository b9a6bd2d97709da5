"""The layer that words a plan: every id has its sentence, and doubt is said once, where a tab does not say it."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import get_args

import ezdxf
import pytest

from rotary import focus as focus_stage
from rotary.cli.output import IN_A_FILE
from rotary.job import job_from_file, job_schema
from rotary.passes.plan import setting
from rotary.plan import Plan, plan
from rotary.sentences import focus, passes, slices
from rotary.shipped import FIRST, examples, profile_folder
from rotary.slices import models
from rotary.store.places import versions
from rotary.store.profiles import located
from tests.house.sources import tree_of
from tests.house.test_retired import texts

ROOT = Path(__file__).resolve().parents[2]
Run = Callable[..., tuple[int, str, str]]


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


def test_a_field_of_the_screen_has_its_name_in_a_job_file() -> None:
    """Each phrase that the command line adds a name to stands in a sentence, and each name is one of a job's."""
    sources = [path for path in (ROOT / "rotary").rglob("*.py") if path.name != "output.py"]
    sentences = "\n".join(text for path in sources for _, text in texts(tree_of(path)))
    schema = json.dumps(job_schema())
    for phrase, both in IN_A_FILE.items():
        assert phrase in sentences, phrase
        names = re.findall(r"[a-z_.]+", both.rpartition("(")[2].rpartition("file ")[2])
        assert names, both
        assert all(f'"{name}": {{' in schema for one in names for name in one.split(".")), both


def test_a_frame_that_is_dark_all_over_is_said_without_an_exponent(rotary: Run) -> None:
    """A rectangle as large as the frame covers 100 % of it, not 1e+02 %."""
    whole = ezdxf.new("R2010", units=4)
    whole.modelspace().add_lwpolyline([(0, 0), (80, 0), (80, 60), (0, 60)], close=True)
    whole.saveas("whole.dxf")
    _, said, _ = rotary("art", "slice", FIRST, "--art", "whole.dxf", "--to", "out", "--samples", "50")
    assert "parts cover 100 % of the frame" in said


def test_a_damaged_saved_job_is_not_taken_for_a_job_file(rotary: Run) -> None:
    """The sentence names the last good version and the way out, not how lines of a job file are written."""
    for _ in range(2):
        assert rotary("profile", "save", FIRST, "--as", "mug", "--samples", "50")[0] == 0
    newest = versions(profile_folder() / located("mug", profile_folder()).home)[-1]
    newest.path.write_text('note = "cut', "utf-8")
    code, out, err = rotary("print", "setup", "mug")
    assert (code, out) == (3, "")
    assert "The last good version is 1. To set the damaged file aside write rotary profile repair" in err
