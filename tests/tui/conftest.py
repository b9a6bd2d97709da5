"""A person at the desk, for tests: keys in, the painted screen out."""

import os
import tomllib
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from tests.patience import PATIENCE_S, until_it_is
from tui.app import Rotary
from tui.background import worker
from tui.form.job_form import Session
from tui.screens.questions import BaseScreen

ROOT = Path(__file__).resolve().parents[2]
SCREENS = Path(__file__).parent / "screens"


def read_bottle() -> dict[str, Any]:
    return tomllib.loads((ROOT / "profiles" / "regatta-bottle.toml").read_text("utf-8"))


@pytest.fixture
def bottle() -> dict[str, Any]:
    """The shipped bottle as its file has it."""
    return read_bottle()


@pytest.fixture
def session() -> Session:
    """The shipped bottle, opened."""
    return Session(read_bottle())


OWN_LASER = {
    "name": "Our head", "rated_power": "50 W", "largest_pulse": "1.25 mJ", "lowest_frequency": "40 kHz",
    "highest_frequency": "400 kHz", "focal_length": "254 mm", "field": "175 mm",
}  # fmt: skip
"""A person's own laser and lens, as a job file has them."""


class Person:
    """Presses keys, reads what is painted, waits for conditions and never for times."""

    def __init__(self, app: Rotary, pilot: Pilot[int]) -> None:
        self.app, self.pilot = app, pilot

    @property
    def session(self) -> Session:
        return self.app.session

    def screen(self) -> str:
        """The painted screen as text."""
        strips = self.app.screen._compositor.render_strips()
        return "\n".join("".join(part.text for part in strip).rstrip() for strip in strips)

    async def until(self, true: Callable[[], object], patience_s: float = PATIENCE_S) -> None:
        """Wait until a condition holds."""
        await until_it_is(true, self.screen, patience_s)

    async def see(self, text: str) -> str:
        """Wait until a text is on the screen; all of the screen."""
        await self.until(lambda: text in self.screen())
        return self.screen()

    async def judged(self) -> None:
        """Wait until the core has answered to what stands now."""
        await self.until(lambda: self.session.verdict and self.session.verdict.number == self.session.number)
        assert self.session.verdict is not None
        assert self.session.verdict.bug is None
        await self.pilot.pause()

    async def press(self, *keys: str) -> None:
        """Press keys once the screen takes them: before that it shows none."""
        await self.until(lambda: getattr(self.app.screen, "_listens", True))
        await self.pilot.press(*keys)

    async def write(self, text: str) -> None:
        """Type a text, key by key."""
        names = {" ": "space", ".": "full_stop", ",": "comma", "-": "minus", "/": "slash", '"': "quotation_mark"}
        await self.pilot.press(*(names.get(sign, sign) for sign in text))

    async def click(self, x: int, y: int) -> None:
        """Click somewhere on the screen, if it is that large."""
        width, height = self.app.size
        if width and height:
            await self.pilot.click(offset=(x % width, y % height))

    def go(self, key: str) -> None:
        """Put the focus on a field, however it is hidden."""
        self.app.desk.form.reveal(key)


@pytest.fixture(autouse=True)
def no_rests(monkeypatch: pytest.MonkeyPatch) -> None:
    """Questions listen as soon as they are painted, and go as soon as they are answered: no test waits for a clock."""
    monkeypatch.setattr(BaseScreen, "rest", lambda _, then: then())


Desk = Callable[..., AbstractAsyncContextManager[Person]]
STARTED = worker.started
"""How another process is begun, for a test that needs one."""


@pytest.fixture
def work_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """Longer work is done in this process, as where no second one can be; what is made ready once serves all tests."""
    monkeypatch.setattr(worker, "started", lambda _module: None)


@pytest.fixture
def desk(tmp_path: Path, work_here: None) -> Desk:  # noqa: ARG001
    """Opens the desk at a size: ``async with desk(80, 24) as person``."""

    @asynccontextmanager
    async def open_desk(
        width: int = 120, height: int = 40, data: dict[str, Any] | None = None, **how: Any
    ) -> AsyncIterator[Person]:
        app = Rotary(read_bottle() if data is None else data, **how)
        app.folder = tmp_path / "kept"
        async with app.run_test(size=(width, height), notifications=True) as pilot:
            person = Person(app, pilot)
            await person.judged()
            yield person

    return open_desk


@pytest.fixture
def same_text(request: pytest.FixtureRequest) -> Callable[[str], None]:
    """Holds a text against a file; SCREENS=update in the environment writes it anew."""

    def check(text: str) -> None:
        name = request.node.name.replace("/", "_").replace("[", "_").replace("]", "")
        file, got = SCREENS / f"{name}.txt", "\n".join(line.rstrip() for line in text.splitlines()) + "\n"
        if os.environ.get("SCREENS") == "update":
            file.parent.mkdir(exist_ok=True)
            file.write_text(got, "utf-8")
        assert file.exists(), f"no {file.name} yet: look at the screen, then run with SCREENS=update"
        assert got == file.read_text("utf-8")

    return check


@pytest.fixture
def same_screen(same_text: Callable[[str], None]) -> Callable[[Person], None]:
    """Holds the painted screen against a text file."""
    return lambda person: same_text(person.screen())
