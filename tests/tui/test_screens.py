"""The painted screen at three sizes, held against text files that were looked at."""

import json
from collections.abc import Callable
from typing import Any

import pytest

import rotary.plan
from rotary.job import job_from_file
from rotary.plan import Plan, plan

from .conftest import ROOT, SCREENS, Desk, Person

STORED = SCREENS / "plan.json"


def laid_over(fresh: Any, stored: Any) -> Any:
    """The stored figures wherever today's plan has a place for them; a field that came later keeps its fresh one."""
    if isinstance(fresh, dict) and isinstance(stored, dict):
        return {name: laid_over(value, stored.get(name, value)) for name, value in fresh.items()}
    if isinstance(fresh, list) and isinstance(stored, list) and fresh:
        return [laid_over(fresh[min(place, len(fresh) - 1)], entry) for place, entry in enumerate(stored)]
    return stored


@pytest.fixture
def stored_plan(monkeypatch: pytest.MonkeyPatch) -> Plan:
    """A plan kept in a file, so that a better figure in the core is no change of the screen."""
    made = plan(job_from_file(ROOT / "profiles" / "regatta-bottle.toml"))
    if not STORED.exists():
        STORED.parent.mkdir(exist_ok=True)
        STORED.write_text(made.model_dump_json(indent=1) + "\n", "utf-8")
    stored = json.loads(STORED.read_text("utf-8"))
    kept = Plan.model_validate_json(json.dumps(laid_over(json.loads(made.model_dump_json()), stored)))
    monkeypatch.setattr(rotary.plan, "plan", lambda *_job, **_how: kept)
    return kept


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
