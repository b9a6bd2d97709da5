"""How did it go: one letter and a few fields make a run in the logbook, and lead to what comes next."""

from collections.abc import AsyncIterator, Callable
from pathlib import Path
from typing import Any

import pytest

from rotary.job import Job, job_from_file
from rotary.plan import plan
from rotary.repeat.run import whole_run, with_passes_counted
from rotary.services.planning import plan_for
from rotary.shipped import examples, profiles
from rotary.store.additions import prove
from rotary.store.logbook import Run, logbook
from rotary.store.profiles import keep, load
from rotary.store.record import AsRun
from tui.screens.machine import MachineScreen
from tui.screens.patch import Patch
from tui.screens.questions import BaseScreen
from tui.screens.run_fields import run_rows
from tui.screens.run_log import RunLog, RunOf
from tui.widgets.form import Form

from .conftest import Desk, Person


@pytest.fixture(scope="module")
def job() -> Job:
    return job_from_file(examples()["regatta-bottle"])


@pytest.fixture(scope="module")
def as_run(job: Job) -> AsRun:
    return with_passes_counted(whole_run(plan(job)), 6)


@pytest.fixture
def folder(tmp_path: Path, job: Job, as_run: AsRun) -> Path:
    """A store with a proven bottle, on batch B-77."""
    folder = tmp_path / "kept"
    prove(keep(job, "Green bottle", folder, as_run).path.parent, as_run, "B-77")
    return folder


@pytest.fixture
async def person(desk: Desk, folder: Path) -> AsyncIterator[Person]:
    """Somebody who has opened it on the desk of the smallest window that shows everything."""
    async with desk(60, 20) as person:
        await opened(person, folder)
        yield person


async def opened(person: Person, folder: Path) -> None:
    from rotary.services.jobs import tables_of_job
    from tui.disk.opened_job import Opened

    path = load("Green bottle", folder).version.path
    person.app.files.open(Opened(tables_of_job(path), path.stem, "Green bottle", str(path)), "discard")
    await person.judged()


def flat(person: Person) -> str:
    return " ".join(person.screen().split())


def only_run(folder: Path) -> Run:
    (run,) = logbook(folder).runs
    return run


@pytest.mark.slow
async def test_a_good_run_takes_few_keys_and_the_desk_says_so(person: Person, folder: Path, tmp_path: Path) -> None:
    """Letter, fields, Enter; a photograph is copied beside the versions, and PROVEN then has the counts."""
    person.app.desk.work.beside.folder = tmp_path
    (tmp_path / "result.jpg").write_bytes(b"\xff\xd8\xff picture")
    await person.press("f8")
    screen = await person.see("PROVEN")
    assert "coating [L]eft" in screen
    await person.press("g", "1", "3", "tab", "1", "up", "up", "up")
    for _ in range(7):
        await person.press("down")
    await person.press("enter")
    await person.see("result.jpg")
    await person.press("enter", "enter")
    await person.until(lambda: person.app.screen is person.app.desk)
    run = only_run(folder)
    assert (run.outcome, run.items, run.spoiled) == ("clear", 13, 1)
    assert run.photo is not None
    assert (load("Green bottle", folder).home / run.photo.name).read_bytes() == b"\xff\xd8\xff picture"
    await person.judged()
    await person.until(lambda: "12 of 13 items good" in flat(person))


@pytest.mark.parametrize(
    ("letter", "outcome", "screen"),
    [("l", "coating-left", Patch), ("e", "metal-marked", Patch), ("s", "seams-show", MachineScreen)],
)
@pytest.mark.slow
async def test_a_bad_run_leads_to_what_helps(
    person: Person, folder: Path, letter: str, outcome: str, screen: type[Any]
) -> None:
    """The next step is named with the run in the logbook, and Enter opens where it is done; the verdict knows."""
    await person.press("f8")
    await person.see("[G]ood")
    await person.press(letter, "enter")
    said = await person.see("in the logbook. Next:")
    assert "PROVEN" in said or "TEST FIRST" in said
    assert only_run(folder).outcome == outcome
    await person.press("enter")
    await person.until(lambda: isinstance(person.app.screen, screen))
    await person.press("escape")
    await person.until(lambda: person.app.screen is person.app.desk)
    await person.judged()
    await person.see("TEST FIRST")


async def test_what_was_typed_of_a_run_is_undone_and_done_again(person: Person, folder: Path) -> None:
    """F7 and Ctrl+Y as on the desk; a wrong count is quoted as typed, and every wrong field is marked at once."""
    await person.press("f8")
    await person.see("[G]ood")
    await person.press("x", "m", "tab", "minus", "4", "tab", "tab", "9", "9", "9", "enter")
    screen = await person.see('"m" is not a count')
    assert [line.split()[-2] for line in screen.splitlines() if line.rstrip().endswith(" !")] == ["m", "-4", "999"]
    await person.press("f7", "f7")
    await person.until(lambda: "999" not in person.screen() and "-4" not in person.screen())
    await person.press("ctrl+y")
    await person.see("-4")
    assert not logbook(folder).runs


@pytest.mark.slow
async def test_what_is_refused_stays_to_be_put_right(person: Person, folder: Path) -> None:
    """Every wrong field is marked, nothing is logged, no picture copied; put right, it is logged once."""
    await person.press("f8")
    await person.see("[G]ood")
    await person.press("x", "m", "tab", "9", "tab", "tab", "9", "9", "9", "enter")
    screen = await person.see("is not a count")
    assert "999   !" in screen
    assert not logbook(folder).runs
    await person.press("backspace", "5", "enter")
    await person.see("can't be set")
    await person.press("backspace", "backspace", "enter")
    await person.see("can't be spoiled")
    assert not logbook(folder).runs
    await person.press("2", "tab", "tab", "9", "enter")
    await person.until(lambda: person.app.screen is person.app.desk)
    assert (only_run(folder).items, only_run(folder).spoiled) == (5, 2)


@pytest.mark.slow
async def test_keys_before_it_is_read_log_nothing(
    person: Person, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Letter and Enter of the burst that opened it are swallowed; so is the Enter before the next step is read."""
    waiting: list[Callable[[], None]] = []
    monkeypatch.setattr(BaseScreen, "rest", lambda _, then: waiting.append(then))
    await person.pilot.press("f8", "g", "enter")
    await person.until(lambda: waiting)
    screen = person.app.screen
    assert isinstance(screen, RunLog)
    assert not screen.outcome
    waiting.pop()()
    await person.press("s", "enter", "enter")
    await person.see("in the logbook. Next:")
    await person.pilot.press("enter")
    await person.until(lambda: waiting)
    assert person.app.screen is screen
    assert only_run(folder).outcome == "seams-show"
    waiting.pop()()
    await person.press("enter")
    await person.until(lambda: person.app.screen is not screen)


async def test_a_first_good_run_proves_the_numbers(desk: Desk, tmp_path: Path, job: Job) -> None:
    """Numbers that were never proven are by a good run, unless the person says no; saving goes on from there."""
    folder = tmp_path / "kept"
    keep(job, "Green bottle", folder, whole_run(plan(job)))
    async with desk(60, 20) as person:
        await opened(person, folder)
        await person.press("f8")
        await person.until(lambda: getattr(person.app.screen, "repeat", None))
        # Enter is for the run from the last answer too, which stands there already.
        await person.press("g", "4", *["down"] * 8)
        assert person.app.screen.query_one(Form).cell.key == "proves"
        # A plan only offers passes to try: what is proven is what the person counted, and nothing is logged without.
        await person.press("enter")
        await person.see("Type how many passes each slice got")
        assert not logbook(folder).runs
        await person.press("6", "enter")
        await person.until(lambda: person.app.screen is person.app.desk)
        await person.judged()
        await person.until(lambda: "4 of 4 items good" in flat(person))
        proven = load("Green bottle", folder)
        assert proven.profile.saved.proof is not None
        assert proven.profile.saved.proof.plan is not None
        assert proven.profile.saved.proof.plan.passes_counted == 6
        assert person.session.follows == proven.version.stamp


async def test_without_a_saved_job_there_is_no_run(desk: Desk) -> None:
    """F8 on a job that was never saved says what to do first."""
    async with desk(60, 20) as person:
        await person.press("f8")
        await person.see("First press Ctrl+S")
        assert person.app.screen is person.app.desk


def test_bare_metal_is_not_asked_for_a_coating() -> None:
    """No power at which it came clean, no batch; all else is asked, and of a coated item all of it."""
    asked = {
        is_bare: [row.cells[0].key for row in run_rows(1, "", False, True, True, is_bare)] for is_bare in (False, True)
    }
    assert set(asked[False]) - set(asked[True]) == {"power", "passes", "batch"}
    assert set(asked[True]) <= set(asked[False])


@pytest.mark.slow
async def test_a_run_in_bare_metal_is_logged(desk: Desk, tmp_path: Path) -> None:
    """The fields of a coating are not there, and Enter logs the run all the same."""
    nut = job_from_file(examples()["domed-nut"])
    saved = keep(nut, "Nut", tmp_path / "kept", whole_run(plan(nut)))
    async with desk(80, 24) as person:
        person.app.push_screen(RunLog(RunOf(saved.path.parent, "", "Nut"), "mm", tmp_path))
        await person.until(lambda: getattr(person.app.screen, "repeat", None))
        await person.press("g")
        assert "coating batch" not in person.screen()
        await person.press("enter")
        await person.until(lambda: logbook(tmp_path / "kept", saved.id).runs)


async def test_what_was_typed_of_a_run_and_not_logged_is_back(person: Person, folder: Path) -> None:
    """Esc and a crash lose nothing: all stands there the next time, F7 empties it, a logged run is done with."""
    await person.press("f8")
    await person.see("[G]ood")
    await person.press("g", "7", "tab", "2", "tab", "escape", "escape")
    await person.until(lambda: person.app.screen is person.app.desk)
    await person.see("You logged nothing")
    assert not logbook(folder).runs
    await person.press("f8")
    await person.see("You typed this last time")
    screen = person.app.screen
    assert isinstance(screen, RunLog)
    # Another program finds it too, whatever became of this one.
    screen.draft.flush()
    assert RunLog(screen.run_of, "mm", folder).draft.texts() == {"items": "7", "spoiled": "2"}
    await person.press("g", "f7")
    await person.until(lambda: not any(screen.values.exact_texts().values()))
    await person.press("ctrl+y", "enter")
    await person.until(lambda: person.app.screen is person.app.desk)
    assert (only_run(folder).items, only_run(folder).spoiled) == (7, 2)
    await person.press("f8")
    assert "last time" not in await person.see("[G]ood")


@pytest.mark.slow
async def test_every_logged_run_counts_with_a_drawing_too(desk: Desk, tmp_path: Path) -> None:
    """The numbers of a drawing are laid out beside the plan: what a second run says of the job is in them."""
    cup = job_from_file(examples()["heron-cup"])
    keep(cup, "Green bottle", tmp_path / "kept", whole_run(plan_for(cup)))
    async with desk(100, 30, beside=profiles()) as person:
        await opened(person, tmp_path / "kept")
        for good in (4, 8):
            await person.until(person.app.desk.work.is_laid_out)
            await person.press("f8")
            await person.see("[G]ood")
            await person.press("g", "4", "enter")
            if good == 4:
                await person.see("Type how many passes")
                await person.press("6", "enter")
            await person.until(lambda: person.app.screen is person.app.desk)
            await person.judged()
            await person.until(person.app.desk.work.is_laid_out)
            assert f"{good} of {good} items good" in flat(person)
