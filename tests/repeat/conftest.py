"""Jobs, a store, and a profile that is proven."""

from collections.abc import Callable
from pathlib import Path

import pytest

from rotary.job import Job, job_from_file
from rotary.plan import plan
from rotary.repeat.run import whole_run, with_passes_counted
from rotary.shipped import examples
from rotary.store.additions import prove
from rotary.store.profiles import OpenedProfile, keep, load
from rotary.store.record import AsRun

Prove = Callable[..., OpenedProfile]


@pytest.fixture(scope="session")
def bottle() -> Job:
    return job_from_file(examples()["regatta-bottle"])


@pytest.fixture(scope="session")
def mug() -> Job:
    return job_from_file(examples()["boathouse-mug"])


@pytest.fixture
def proven(tmp_path: Path) -> Prove:
    """Keeps a job as a profile and proves it; `alter` makes another run of what its plan gives."""

    def kept(
        job: Job, name: str = "a", alter: Callable[[AsRun], AsRun] = lambda run: run, batch: str = ""
    ) -> OpenedProfile:
        store = tmp_path / "store"
        planned = whole_run(plan(job))
        run = alter(planned if job.item.coating is None else with_passes_counted(planned, 6))
        saved = keep(job, name, store, run)
        prove(saved.path.parent, run, batch)
        return load(name, store)

    return kept


def without_actions(run: AsRun) -> AsRun:
    """The run as an older tool stored it."""
    return run.model_copy(update={"actions": None})
