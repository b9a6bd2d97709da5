"""The painted screen at three sizes, held against text files that were looked at."""

from collections.abc import Callable
from pathlib import Path

import pytest

import rotary.plan
from rotary.job import job_from_file
from rotary.plan import Plan, plan

from .conftest import ROOT, SCREENS, Desk, Person

STORED = SCREENS / "plan.json"


@pytest.fixture
def stored_plan(monkeypatch: pytest.MonkeyPatch) -> Path:
    """A plan kept in a file, so that a better figure in the core is no change of the screen."""
    if not STORED.exists():
        made = plan(job_from_file(ROOT / "profiles" / "regatta-bottle.toml"))
        STORED.parent.mkdir(exist_ok=True)
        STORED.write_text(made.model_dump_json(indent=1), "utf-8")
    kept = Plan.model_validate_json(STORED.read_text("utf-8"))
    monkeypatch.setattr(rotary.plan, "plan", lambda *_job, **_how: kept)
    return STORED


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)], ids=["80x24", "120x40", "200x60"])
@pytest.mark.usefixtures("stored_plan")
@pytest.mark.parametrize("page", ["fields", "answers"])
async def test_screen(desk: Desk, same_screen: Callable[[Person], None], size: tuple[int, int], page: str) -> None:
    """The desk on the shipped bottle looks as it did when it was last looked at."""
    async with desk(*size) as person:
        if page == "answers":
            await person.press("f6", "4")
        await person.pilot.pause()
        same_screen(person)
