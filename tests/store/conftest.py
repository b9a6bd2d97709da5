"""A job and a store of their own for every test."""

from pathlib import Path

import pytest

from rotary.job import Job, job_from_file
from rotary.shipped import examples


@pytest.fixture(scope="session")
def job() -> Job:
    return job_from_file(examples()["regatta-bottle"])


@pytest.fixture(scope="session")
def mug() -> Job:
    return job_from_file(examples()["boathouse-mug"])


@pytest.fixture
def store(tmp_path: Path) -> Path:
    return tmp_path / "store"
