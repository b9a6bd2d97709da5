"""The verdict that the next start shows with its first frame: the very same, or none."""

import hashlib
import os
import pickle
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest

from rotary.services.jobs import tables_of_job
from tests.tui.conftest import Person
from tui.app import Rotary
from tui.disk.opened_job import first_example
from tui.form.job_form import Session
from tui.planner.last import SHIPPED, LastVerdict, store_verdict, stored_verdict
from tui.planner.process import plain
from tui.planner.request import Request, Verdict
from tui.planner.verdict import judge


@pytest.fixture(scope="module")
def verdict() -> Verdict:
    """The core's verdict on the first example."""
    return judge(Session(tables_of_job(first_example())).request())


@pytest.fixture
def job(tmp_path: Path, verdict: Verdict) -> Path:
    """A job file whose verdict has been stored."""
    path = tmp_path / "cup.toml"
    shutil.copy(first_example(), path)
    LastVerdict(path).store(verdict)
    return path


def add_reading(_: Path) -> None:
    folder = Path(os.environ["ROTARY_FOLDER"])
    folder.mkdir()
    (folder / "readings.toml").write_text("x")


def add_machine(_: Path) -> None:
    folder = Path(os.environ["ROTARY_MACHINES"])
    folder.mkdir()
    (folder / "ours.json").write_text("x")


def edit_job(job: Path) -> None:
    job.write_text(job.read_text().replace("Heron", "Heron "))


def cut_short(job: Path) -> None:
    (stored,) = job.parent.glob("verdicts/*")
    stored.write_bytes(stored.read_bytes()[:-900])


def spoil_a_letter(job: Path) -> None:
    (stored,) = job.parent.glob("verdicts/*")
    data = stored.read_bytes()
    assert b"Clean" in data
    stored.write_bytes(data.replace(b"Clean", b"Clear"))


def name_other_class(job: Path) -> None:
    (stored,) = job.parent.glob("verdicts/*")
    data = pickle.dumps(Request(1, {}, "mm"))
    stored.write_bytes(hashlib.sha256(data).digest() + data)


def test_what_was_stored_is_what_the_core_said(job: Path, verdict: Verdict) -> None:
    """Nothing is lost on the way, and a second start has it too."""
    stored = LastVerdict(job).verdict
    assert stored is not None
    assert stored == pickle.loads(plain(verdict))
    assert stored.plan is not None


@pytest.mark.parametrize("change", [add_reading, add_machine, edit_job, cut_short, spoil_a_letter, name_other_class])
def test_there_is_none_once_anything_differs(job: Path, change: Callable[[Path], None]) -> None:
    """A reading, a machine, another job, a spoilt file: the core is asked first."""
    change(job)
    assert LastVerdict(job).verdict is None


def test_there_is_none_on_another_day_or_of_words(job: Path, monkeypatch: pytest.MonkeyPatch, verdict: Verdict) -> None:
    """What is out of date depends on the day; words come out by fonts that may be replaced."""
    monkeypatch.setattr("tui.planner.last._today", lambda: "2031-01-01")
    assert LastVerdict(job).verdict is None
    LastVerdict(job).store(verdict._replace(words=("passes", "readable")))
    assert LastVerdict(job).verdict is None


def values(thing: object, where: str = "") -> Iterator[tuple[str, object]]:
    """All values in a verdict, each with its place."""
    inside = thing._asdict() if isinstance(thing, Verdict) else thing
    if isinstance(inside, SimpleNamespace):
        inside = vars(inside)
    elif isinstance(inside, tuple | list):
        inside = dict(enumerate(inside))
    if not isinstance(inside, dict):
        yield where, inside
        return
    for name, value in inside.items():
        yield from values(value, f"{where}.{name}")


def test_the_verdict_that_ships_is_what_the_core_says_today(verdict: Verdict) -> None:
    """The numbers of the very first frame are computed anew here; `MADE=update` writes them."""
    today = dict(values(pickle.loads(plain(verdict))))
    if os.environ.get("MADE") == "update" and today != dict(values(stored_verdict(SHIPPED))):
        store_verdict(SHIPPED, verdict)
    shipped = dict(values(stored_verdict(SHIPPED)))
    assert len(shipped) > 400
    # Other processors differ in a last digit.
    assert shipped == {at: pytest.approx(one) if isinstance(one, float) else one for at, one in today.items()}


@pytest.mark.parametrize("change", [None, add_reading, add_machine])
def test_it_is_shown_while_nobody_has_stored_anything(tmp_path: Path, change: Callable[[Path], None] | None) -> None:
    """A first start shows it; a reading or a machine may lead to other numbers, and ends that."""
    if change is not None:
        change(tmp_path)
    shown = LastVerdict(first_example()).verdict
    assert shown == (stored_verdict(SHIPPED) if change is None else None)


async def test_the_first_frame_has_the_numbers_before_the_core_is_asked(job: Path, verdict: Verdict) -> None:
    """The screen shows the stored answer as its own."""
    app = Rotary(tables_of_job(job))
    app.desk.show_last(LastVerdict(job))
    app.desk._begin = lambda: None  # type: ignore[method-assign]
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        screen = Person(app, pilot).screen()
    assert verdict.actions is not None
    power = next(row for row in verdict.actions.type if row.id == "power")
    assert "BY HAND" in screen
    assert f"{power.value:g} %" in screen
    assert "OLD NUMBERS" not in screen
