"""The example that is open at the first start: ready, with a drawing that ships, and plainly nobody's machine."""

from pathlib import Path

import pytest

from rotary.job import job_from_file
from rotary.services.planning import plan_for
from rotary.shipped import examples
from rotary.store.readings import invented_readings
from tests.tui.conftest import Desk
from tui.job_files import example


async def test_it_is_ready_says_example_first_and_writes_its_file_at_the_first_key(
    desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is missing, the verdict begins with EXAMPLE, its step is in sight, F5 writes what the panel names."""
    monkeypatch.chdir(tmp_path)
    async with desk(60, 20, example()) as person:
        assert "EXAMPLE, NOT YOUR MACHINE. READY." in person.screen()
        await person.see("Make the file heron-oars-first.svg")
        await person.press("f5")
        await person.until((tmp_path / "heron-oars-first.svg").is_file)
        await person.until(lambda: "Make the file heron-oars-first.svg" not in person.screen())


def test_its_readings_teach_that_example_alone() -> None:
    """Another item on the same laser, or the same item on a laser of ones own, learns nothing from them."""
    job = job_from_file(examples()["heron-cup"])
    assert plan_for(job, draws=50).removal.readings == len(invented_readings(job)) > 0
    other = job.model_copy(update={"item": job.item.model_copy(update={"name": "mine"})})
    own = job.model_copy(update={"laser": job.laser.model_copy(update={"use": ""})})
    assert invented_readings(other) == invented_readings(own) == ()
