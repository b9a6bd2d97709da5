"""The painted screens and all pictures at three sizes, held against text files that were looked at."""

import json
import pickle
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

import rotary.plan
from rotary.job import job_from_file
from rotary.plan import Plan, plan
from tui.background.process import done
from tui.background.tasks import Errand
from tui.drawings.canvas import plain
from tui.drawings.panel_content import NOTHING, Content
from tui.drawings.pictures import BESIDE, PICTURES, picture
from tui.planner.process import plain_bytes
from tui.screens.artwork import ArtworkScreen
from tui.screens.ask import Ask

from .conftest import ROOT, SCREENS, Desk, Person, read_bottle

STORED = SCREENS / "plan.json"


def laid_over(fresh: Any, stored: Any) -> Any:
    """The stored figures wherever today's plan has a place for them; a field that came later keeps its fresh one."""
    if isinstance(stored, dict) and "values" in stored:
        # What an id needs for its sentence belongs to that id alone.
        return stored
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


SIZES = pytest.mark.parametrize(
    "size",
    [(80, 24), (120, 40), pytest.param((200, 60), marks=pytest.mark.slow)],
    ids=["80x24", "120x40", "200x60"],
)
CREST = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="50mm" viewBox="0 0 60 50">
<path fill-rule="evenodd" d="M30 2 55 12v16Q52 42 30 48 8 42 5 28V12zM30 8 12 15v12q2 10 18 15 16-5 18-15V15z"/>
<circle cx="30" cy="25" r="7"/><path d="M16 20h8v3h-8zM36 20h8v3h-8z"/></svg>"""
ANSWERS = SCREENS / "answers.json"


@pytest.fixture
def answers(tmp_path: Path) -> dict[str, Any]:
    """What was found out beside the plan, kept in a file like the plan."""
    if not ANSWERS.exists():
        (tmp_path / "crest.svg").write_text(CREST, "utf-8")
        data = read_bottle()
        data["artwork"]["pieces"] = [
            {"file": "crest.svg", "width": "44 mm", "centre": "84 mm"},
            {"text": "Heron", "letter_height": "9 mm", "centre": "53 mm"},
        ]
        # The picture from the front is dots, and has tests of its own.
        whats = [what for what in BESIDE.values() if what != "front"]
        made = {what: done(Errand(what, "", data, "mm", str(tmp_path)), lambda _: None) for what in whats}
        assert all(one.answer is not None for one in made.values()), made
        plain_answers = {what: pickle.loads(plain_bytes(one.answer)) for what, one in made.items()}
        ANSWERS.write_text(json.dumps(plain_answers, default=vars) + "\n", "utf-8")
    found: dict[str, Any] = json.loads(ANSWERS.read_text("utf-8"))
    return {
        what: json.loads(json.dumps(one), object_hook=lambda d: SimpleNamespace(**d)) for what, one in found.items()
    }


@SIZES
@pytest.mark.parametrize("kind", ["dots", "plain"])
def test_pictures(
    answers: dict[str, Any], stored_plan: Plan, same_text: Callable[[str], None], size: tuple[int, int], kind: str
) -> None:
    """Every picture looks as it did when it was last looked at, in dots and in plain characters."""
    width, height = (size[0] * 3 // 5, size[1] // 2) if size[0] >= 100 else (size[0], size[1] * 3 // 5)
    parts = []
    for name in PICTURES:
        beside = Content(answers[BESIDE[name]], True) if BESIDE.get(name) in answers else NOTHING
        lines = picture(name, stored_plan, "mm", width, height, kind == "plain", beside)
        parts.append(f"== {name}\n{plain(lines)}\n")
    same_text("\n".join(parts))


@SIZES
@pytest.mark.usefixtures("stored_plan")
@pytest.mark.parametrize("name", ["help", "artwork", "round", "commands", "draft", "empty"])
async def test_other_screen(
    desk: Desk, same_screen: Callable[[Person], None], size: tuple[int, int], name: str, tmp_path: Path
) -> None:
    """The screens beside the desk look as they did when they were last looked at."""
    drawings = tmp_path / "drawings"
    (drawings / "crests").mkdir(parents=True)
    (drawings / "crest of the boathouse.svg").write_text(CREST, "utf-8")
    async with desk(*size, beside=drawings) as person:
        await person.judged()
        match name:
            case "help":
                await person.press("f1")
            case "artwork":
                await person.press("ctrl+e", "down")
                await person.see("% of this area")
                screen = person.app.screen
                assert isinstance(screen, ArtworkScreen)
                # Where the folder of a test lies is nobody's business.
                screen.found = screen.found._replace(folder=Path("drawings"))
                screen._refresh()
            case "round":
                person.app.action_round()
            case "commands":
                await person.press("ctrl+p")
                await person.see("Artwork")
                # The screen below is painted anew after the list.
                await person.see("EXAMPLE, NOT YOUR MACHINE")
            case "draft":
                person.app.push_screen(Ask("Unsaved work on the bottle.", ("open", "discard", "later")))
            case "empty":
                await person.press("ctrl+n")
                await person.judged()
        await person.pilot.pause()
        same_screen(person)


@SIZES
@pytest.mark.usefixtures("stored_plan")
@pytest.mark.parametrize("page", ["fields", "answers"])
async def test_screen(desk: Desk, same_screen: Callable[[Person], None], size: tuple[int, int], page: str) -> None:
    """The desk on the shipped bottle looks as it did when it was last looked at."""
    async with desk(*size) as person:
        await person.judged()
        if page == "answers":
            await person.press("f6", "4")
        await person.pilot.pause()
        same_screen(person)
