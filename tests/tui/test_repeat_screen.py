"""A proven profile on the screen: the numbers that were run, until a field that matters is changed."""

import re
from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from rotary.job import Job, job_from_file
from rotary.plan import Plan, plan
from rotary.repeat.run import whole_run, with_passes_counted
from rotary.services.files import real_files
from rotary.shipped import examples
from rotary.store.additions import prove
from rotary.store.profiles import keep, load
from tui.background.print_work import printed_errand
from tui.background.tasks import Errand
from tui.disk.save import save
from tui.form.job_form import Session
from tui.plain.run import numbers

from .conftest import Desk, Person


@pytest.fixture
def bottle_job() -> Job:
    return job_from_file(examples()["regatta-bottle"])


@pytest.fixture
def kept(tmp_path: Path, bottle_job: Job) -> Path:
    """The file of a proven bottle that was run with a little more power than today's tool would take."""
    run = with_passes_counted(whole_run(plan(bottle_job)), 6)
    assert run.actions is not None
    more = {"value": 97.0, "figure": "97"}
    actions = run.actions.with_each(lambda row: row.model_copy(update=more) if row.id == "power" else row)
    run = run.model_copy(update={"power_share": 0.9, "actions": actions})
    saved = keep(bottle_job, "Green bottle", tmp_path / "kept", run)
    return prove(saved.path.parent, run, "April").path


@pytest.fixture
async def person(desk: Desk, kept: Path) -> AsyncIterator[Person]:
    """Somebody who has opened it on the desk."""
    assert kept.exists()
    async with desk(120, 40) as person:
        await person.press("ctrl+o")
        await person.see("1 of 1 saved jobs")
        await person.see("Versions")
        await person.press("enter")
        await person.see("CHECK TODAY")
        await person.press("escape")
        await person.until(lambda: person.app.screen is person.app.desk)
        await person.judged()
        yield person


@pytest.mark.slow
async def test_the_numbers_run_stand_there_until_something_is_changed(person: Person) -> None:
    """PROVEN on top and the power as it was run; another artwork width is a new plan and says what was changed."""
    screen = await person.see("PROVEN")
    assert "proven by you, no run logged" in screen
    assert "97 %" in screen
    assert "come out clean" not in screen
    newer = re.search(r"There is a newer plan that you have not run: power: 90 % → (\d+) %", " ".join(screen.split()))
    assert newer is not None
    person.session.edit("artwork.width", "70 mm")
    person.app.desk.refresh_all()
    await person.judged()
    screen = await person.see("TEST FIRST")
    assert "PROVEN" not in screen
    assert "the proof no longer" in screen
    assert "80 mm → 70 mm" in screen
    assert "97 %" not in screen
    person.session.undo()
    person.app.desk.refresh_all()
    await person.see("PROVEN")


@pytest.mark.slow
async def test_a_saved_job_opened_again_leads_to_print(desk: Desk, kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In the smallest window: PROVEN, checks, runs; a new batch wants a patch; F9 has today's plan; Enter prints."""
    monkeypatch.chdir(kept.parents[2])
    async with desk(60, 20) as person:
        await person.press("ctrl+o")
        await person.see("proven on")
        await person.press("enter")
        await person.see("CHECK TODAY")
        screen = await person.see("PROVEN")
        measure = (
            "[ ] measure the item, heights from the base: 88 mm across at height 0 mm, 70 mm across at height 150 mm"
        )
        assert measure in " ".join(screen.split())
        assert "coating batch last time: April" in screen
        await person.until(lambda: person.session.repeat)
        await person.press("1")
        assert "1 [x] measure" in person.screen()
        await person.press("3")
        await person.write("May")
        await person.press("enter")
        await person.until(lambda: "Proven on batch April, not on today's: mark" in " ".join(person.screen().split()))
        await person.press("b")
        await person.write("April")
        await person.press("enter")
        await person.until(lambda: "proven by you" in " ".join(person.screen().split()))
        await person.press("f6")
        await person.see("TEST FIRST")
        await person.see("TODAY'S PLAN, not run yet")
        await person.press("f6")
        await person.see("PROVEN")
        await person.press("enter", "enter")
        await person.until(lambda: list(kept.parents[2].glob("*-setup.pdf")))


@pytest.mark.slow
async def test_a_remark_changes_no_number(person: Person) -> None:
    """Names and remarks are no setup: what was proven stays."""
    person.session.edit("note", "wipe twice")
    person.app.desk.refresh_all()
    await person.judged()
    assert person.session.repeat.verdict == "PROVEN"


@pytest.mark.slow
def test_what_is_printed_from_there_is_what_was_run(kept: Path, tmp_path: Path) -> None:
    """The card has the proven rows under PROVEN; once a field that matters differs, today's plan under TEST FIRST."""
    session = Session(_tables(kept))
    session.kept_file = str(kept)
    path = tmp_path / "card.html"

    def page() -> str:
        more = ("setup", str(path), "A4", str(kept.parents[1]), session.kept_file)
        printed_errand(Errand("print", "1", session.data(), "mm", str(tmp_path), more), lambda _: None)
        return path.read_text("utf-8")

    assert "PROVEN" in (text := page())
    assert ">97" in text
    session.edit("artwork.width", "70 mm")
    assert "PROVEN" not in (text := page())
    assert "TEST FIRST" in text
    assert ">97" not in text


@pytest.mark.slow
def test_in_plain_lines_it_is_the_same(kept: Path) -> None:
    """Asked field by field, a proven profile says its numbers as they were run."""
    session = Session(_tables(kept))
    session.kept_file = str(kept)
    lines = numbers(session)
    assert lines[0].startswith("PROVEN. ")
    assert "5. Power: 97 %." in lines
    session.edit("artwork.width", "70 mm")
    lines = numbers(session)
    assert lines[0].startswith("TEST FIRST: this is a new plan, so the proof no longer counts.")


def test_a_save_from_the_screen_stores_the_sheet(tmp_path: Path, bottle_job: Job) -> None:
    """What stands on the screen when it is saved is stored row for row, as the command line stores it."""
    session = Session(_tables(examples()["regatta-bottle"]))
    numbers(session)
    assert save(session, tmp_path) is None
    run = load(bottle_job.item.name, tmp_path).profile.saved.plan
    made: Plan = plan(bottle_job)
    assert run == whole_run(real_files(made, tmp_path)[0])
    assert Path(session.kept_file).is_file()


def _tables(path: Path) -> dict[str, object]:
    import tomllib

    return tomllib.loads(path.read_text("utf-8"))
