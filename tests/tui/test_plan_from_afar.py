"""The screen gets plans from another process as names and values alone: what it does with them needs no class."""

import pickle

import pytest

from rotary.job import job_from_file
from rotary.plan import plan
from rotary.repeat.run import whole_run
from rotary.sentences.plan import plan_in_words
from rotary.shipped import examples
from tui.app import read_job
from tui.disk.save import plan_from
from tui.drawings.actions import action_lines, rows_needed
from tui.form.job_form import Session
from tui.form.status import _STATES
from tui.planner.process import plain_bytes
from tui.planner.repeat import quick_actions


@pytest.mark.parametrize("name", ["regatta-bottle", "brass-nut"])
def test_a_plan_from_afar_is_shown_and_kept_like_one_from_here(name: str) -> None:
    """Numbers, states of the groups, and what a profile stores are the same."""
    job = job_from_file(examples()[name])
    made = plan(job, 200)
    here = plan_in_words(made)
    afar = pickle.loads(plain_bytes(here))
    assert not hasattr(afar, "model_dump")
    data = read_job(examples()[name])
    assert not isinstance(data, str)
    session = Session(data)
    for state in _STATES.values():
        assert state(session, afar) == state(session, here)
    done = quick_actions(made, None, "mm")
    far = pickle.loads(plain_bytes(done))
    assert action_lines(far, "mm", 80, 60) == action_lines(done, "mm", 80, 60)
    assert rows_needed(far, 60) == rows_needed(done, 60)
    assert plan_from(afar, job) == made
    assert whole_run(plan_from(afar, job)) == whole_run(here)
