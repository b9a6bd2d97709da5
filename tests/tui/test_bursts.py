"""Two keys in one burst, a key and a click, a key before the question is painted: one answer, of who has read it."""

import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from textual import events
from textual.screen import ModalScreen, Screen

from tests.tui.conftest import Desk, Person
from tui.app import Rotary
from tui.screens.artwork import ArtworkScreen
from tui.screens.ask import Ask
from tui.screens.commands import Commands
from tui.screens.help import Help, help_lines
from tui.screens.incoming_file import IncomingFile
from tui.screens.inscription import InscriptionScreen
from tui.screens.machine import MachineScreen
from tui.screens.print_paper import PrintPaper
from tui.screens.questions import BaseScreen, Question
from tui.screens.round import Round


class Rests:
    """Every moment that a screen asks to wait for, gone on with by hand."""

    def __init__(self) -> None:
        self.waiting: list[Callable[[], None]] = []

    def go_on(self) -> None:
        """The moment is over."""
        now, self.waiting = self.waiting, []
        for then in now:
            then()


@pytest.fixture
def rests(monkeypatch: pytest.MonkeyPatch) -> Rests:
    """No clock: a moment is over when the test says so."""
    made = Rests()
    monkeypatch.setattr(BaseScreen, "rest", lambda _, then: made.waiting.append(then))
    return made


def burst(person: Person, *keys: str) -> None:
    """All keys at once, as a terminal hands them over: none waits until another was dealt with."""
    for key in keys:
        person.app.post_message(events.Key(key, key if len(key) == 1 else None))


async def settled(person: Person) -> None:
    """Everything posted so far is dealt with."""
    await person.pilot.pause()
    await person.pilot.pause()


async def asked(person: Person, rests: Rests, answers: tuple[str, ...] = ("save", "leave", "back")) -> list[Any]:
    """A question that listens; what it is answered."""
    given: list[Any] = []
    person.app.push_screen(Ask("Something is not saved.", answers), given.append)
    await person.until(lambda: rests.waiting)
    rests.go_on()
    return given


BURSTS = (
    ("l", "l"), ("b", "b"), ("l", "s"), ("b", "escape"), ("escape", "escape"), ("enter", "enter", "l"),
    ("enter", "right", "enter"), ("s", "ctrl+s", "ctrl+q"),
)  # fmt: skip


@pytest.mark.parametrize("keys", BURSTS)
async def test_the_first_answer_of_a_burst_counts(keys: tuple[str, ...], desk: Desk, rests: Rests) -> None:
    """The others are swallowed: the desk stands, nobody is answered twice, nothing below hears them."""
    async with desk(80, 24) as person:
        saves: list[bool] = []
        person.app.files.save = lambda then_leave=False: saves.append(then_leave)  # type: ignore[method-assign]
        given = await asked(person, rests)
        text = person.session.data()
        burst(person, *keys)
        await settled(person)
        assert given == []
        burst(person, *keys)
        await settled(person)
        rests.go_on()
        await settled(person)
        assert given == [{"l": "leave", "b": "back", "escape": "", "enter": "save", "s": "save"}[keys[0]]]
        assert person.app.screen is person.app.desk
        assert (person.session.data(), saves) == (text, [])


@pytest.mark.slow
async def test_a_click_after_a_key_is_no_answer(desk: Desk, rests: Rests) -> None:
    """Nor a key after a click: one answer, whichever came first."""
    async with desk(80, 24) as person:
        given = await asked(person, rests)
        panel = person.app.screen.query_one("#ask")
        burst(person, "b")
        await person.pilot.click(panel, offset=(2, panel.size.height))
        await settled(person)
        rests.go_on()
        await settled(person)
        assert given == ["back"]
        assert person.app.screen is person.app.desk


async def test_what_was_typed_ahead_answers_nothing(desk: Desk, rests: Rests) -> None:
    """A key that was pressed before the question could be read is swallowed, by the desk as well."""
    async with desk(80, 24) as person:
        person.session.edit("item.name", "Other")
        person.session.settle()
        before = person.session.data()
        burst(person, "ctrl+q", "s", "l", "enter")
        await person.until(lambda: isinstance(person.app.screen, Ask) and rests.waiting)
        burst(person, "l", "enter")
        await settled(person)
        assert isinstance(person.app.screen, Ask)
        assert person.session.data() == before
        rests.go_on()
        burst(person, "b")
        await settled(person)
        rests.go_on()
        await settled(person)
        assert person.app.screen is person.app.desk
        assert person.session.unsaved


@pytest.mark.slow
async def test_letters_right_before_a_save_or_a_leave_count(desk: Desk, rests: Rests) -> None:
    """Both keys are heard before the field is: they wait for what was typed, and nothing typed is lost."""
    async with desk(80, 24) as person:
        person.go("item.name")
        saved: list[str] = []
        person.app.files.save = lambda **_: saved.append(person.session.text("item.name"))  # type: ignore[method-assign]
        burst(person, *"Weir", "ctrl+s")
        await person.until(lambda: saved)
        assert saved == ["Weir"]
        person.session.saved(None, ("", "Weir"), "")
        burst(person, *"mug", "ctrl+q")
        await person.until(lambda: isinstance(person.app.screen, Ask) and rests.waiting)
        assert person.session.text("item.name") == "Weirmug"


@pytest.mark.slow
async def test_nothing_goes_past_an_open_question(desk: Desk, rests: Rests) -> None:
    """Neither saving nor leaving nor the palette."""
    async with desk(80, 24) as person:
        given = await asked(person, rests)
        for key in ("ctrl+s", "ctrl+q", "ctrl+p", "f1", "f9"):
            burst(person, key)
            await settled(person)
            assert isinstance(person.app.screen, Ask), key
        assert given == []
        assert person.app.is_running


SCREENS: dict[str, Callable[[Rotary], Screen[Any]]] = {
    "help": lambda _: Help(help_lines),
    "papers": lambda app: PrintPaper(app.desk, Path("profiles"), "A4"),
    "round": lambda app: Round(app.settings, False, None),
    "artwork": lambda app: ArtworkScreen(app.desk, None),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", SCREENS)
async def test_a_screen_is_left_once(name: str, desk: Desk) -> None:
    """Esc again and again, a late answer from beside, a result from below another screen: the desk stays."""
    async with desk(100, 30) as person:
        given: list[Any] = []
        screen = SCREENS[name](person.app)
        person.app.push_screen(screen, given.append)
        await settled(person)
        burst(person, "escape", "escape", "escape")
        await settled(person)
        screen.dismiss(None)
        screen.dismiss(None)
        await settled(person)
        assert len(given) == 1
        assert person.app.screen is person.app.desk


def test_every_screen_over_the_desk_is_left_once() -> None:
    """Whoever writes another one begins with the same base; every question listens only once it was read."""

    ours = [one for one in _all(Screen) if one.__module__.startswith("tui.") and one.__name__ != "Desk"]
    assert len(ours) > 12
    assert [one.__name__ for one in ours if not issubclass(one, BaseScreen)] == []
    assert issubclass(IncomingFile, Question)
    assert issubclass(Ask, ModalScreen)
    assert issubclass(InscriptionScreen, BaseScreen)


def _all(kind: type[Any]) -> list[type[Any]]:
    return [one for direct in kind.__subclasses__() for one in (direct, *_all(direct))]


@pytest.mark.slow
async def test_any_burst_at_any_question(desk: Desk) -> None:
    """Random keys, clicks and answers from beside, never one at a time: the desk is there in the end."""
    chance = random.Random(78)
    keys = ("s", "l", "b", "escape", "enter", "tab", "ctrl+q", "ctrl+s", "space", "d")
    async with desk(80, 24) as person:
        person.app.files.save = lambda **_: None  # type: ignore[method-assign]
        person.app.files.leave = lambda: None  # type: ignore[method-assign]
        person.session.edit("item.name", "Other")
        person.session.settle()
        for _ in range(30):
            burst(person, "ctrl+q", *chance.choices(keys, k=chance.randint(1, 6)))
            await settled(person)
            while person.app.screen is not person.app.desk:
                burst(person, "b", "escape")
                await settled(person)
        assert person.app.is_running


@pytest.mark.parametrize(("width", "height"), [(80, 24), (80, 1), (1, 24), (5, 5)])
@pytest.mark.slow
async def test_keys_before_the_commands_are_laid_out(desk: Desk, width: int, height: int) -> None:
    """A page down in the burst that opens the list, or in a window without room for it, and leaving it twice."""
    async with desk(80, 24) as person:
        await person.pilot.resize_terminal(width, height)
        for _ in range(3):
            burst(person, "ctrl+p", "down", "pagedown", "pageup", "ctrl+end", "pagedown")
            await settled(person)
            burst(person, "pagedown", "pageup", "escape", "escape")
            await settled(person)
        assert person.app.is_running


async def test_a_search_among_the_commands_may_end_after_their_list_has_gone(desk: Desk) -> None:
    """As the program ends, the parts of a screen go one by one: what is found then is shown nowhere."""
    async with desk(80, 24) as person:
        await person.press("ctrl+p")
        commands = person.app.screen
        assert isinstance(commands, Commands)
        await commands.query("*").remove()
        for shown in (False, True, False):
            commands._list_visible = commands._show_busy = shown
            await settled(person)
        assert person.app.is_running


async def test_a_screen_that_goes_before_it_has_come_is_not_arranged(desk: Desk) -> None:
    """Left in the burst that opens it, a screen may be told that it is mounted though its parts were never made."""
    async with desk(80, 24) as person:
        gone = MachineScreen(person.app.session.data(), "mm")
        assert not gone.children
        await gone.on_event(events.Mount())
        assert person.app.is_running


async def test_a_file_is_written_over_only_by_who_read_the_question(
    desk: Desk, rests: Rests, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Enter twice in one burst writes over nothing: the second was no answer to what the first brought up."""
    async with desk(100, 30) as person:
        page = PrintPaper(person.app.desk, tmp_path, "A4")
        page.wanted.beside = tmp_path
        page.wanted.path.write_text("mine", "utf-8")
        wrote: list[bool] = []
        monkeypatch.setattr(page, "_ask", lambda: wrote.append(True))
        person.app.push_screen(page)
        await settled(person)
        burst(person, "enter", "enter", "enter")
        await settled(person)
        assert wrote == []
        rests.go_on()
        burst(person, "enter")
        await settled(person)
        assert wrote == [True]


async def test_a_fault_of_the_screen_is_no_success(monkeypatch: pytest.MonkeyPatch) -> None:
    """The exit code of a program that ended by a fault is not 0, however it was started."""
    import tui.app

    def broken(self: Rotary, *_: Any, **__: Any) -> None:
        self._return_code = 1

    monkeypatch.setattr(tui.app.Rotary, "run", broken)
    assert tui.app.run() == 1


async def test_an_answer_that_comes_while_its_screen_goes_is_dropped(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The program ends while the machine is read: the answer finds a screen without parts, and does no harm."""
    async with desk(80, 24) as person:
        await person.press("ctrl+r")
        screen = person.app.screen
        assert isinstance(screen, MachineScreen)
        for ends, sign, value in ((person.app, "_running", False), (screen, "_pruning", True)):
            with monkeypatch.context() as while_it_ends:
                while_it_ends.setattr(ends, sign, value)
                screen._if_here(pytest.fail, "the answer")
        await screen.query_children().remove()
        screen._if_here(pytest.fail, "the answer")
