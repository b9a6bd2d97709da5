"""A new job begins on the machine of the last one: a shop has one, and its figures are typed once."""

import asyncio
from pathlib import Path
from typing import Any

from tests.tui.conftest import Desk, Person, read_bottle
from tui import machine
from tui.app import Rotary
from tui.session import Session
from tui.states import is_invented, measured
from tui.tables import blank
from tui.verdict import judge


async def begun(person: Person) -> None:
    await person.press("ctrl+n")
    await person.until(lambda: person.session.text("item.name") == "")
    await person.judged()


async def test_an_invented_head_asks_for_ones_own_figures(desk: Desk) -> None:
    """On the worked example's machine the head lies open and says that it is invented, until a figure is typed."""
    async with desk(120, 60) as person:
        await begun(person)
        assert "invented: put in your own" in person.screen()
        assert "rated power" in person.screen()
        person.go("head.rated_power")
        await person.write("50 W")
        await person.judged()
        assert "invented: put in your own" not in person.screen()


async def test_a_saved_machine_is_where_the_next_start_begins(desk: Desk, tmp_path: Path) -> None:
    """Head and drive of the job saved last are those of a new job after another start, which says whose they are."""
    async with desk(120, 60) as person:
        person.go("head.spot")
        await person.write("43 um")
        person.go("drive.roller_diameter")
        await person.write("25 mm")
        person.go("item.name")
        await person.write("Heron mug")
        await person.judged()
        await person.press("ctrl+s")
        await person.until(lambda: not person.session.unsaved)
    assert (tmp_path / "kept" / machine.FILE).is_file()
    async with desk(120, 60) as person:
        assert person.session.text("item.name") != "Heron mug"
        await begun(person)
        assert person.session.value("head.spot") == 43
        assert person.session.value("drive.roller_diameter") == 25
        assert "as in Heron mug" in person.screen()
        assert not is_invented(person.session)


async def test_a_machine_typed_on_the_desk_wins_over_the_one_saved(desk: Desk, tmp_path: Path) -> None:
    """Whoever has another machine before them keeps it, saved or not."""
    other = read_bottle() | {"head": {"spot": "51 um"}}
    machine.keep(tmp_path / "kept", "Heron mug", other)
    async with desk(100, 40) as person:
        person.go("drive.roller_diameter")
        await person.write("31 mm")
        await person.press("ctrl+n")
        await person.press("d", "enter")
        await person.until(lambda: person.session.text("item.name") == "")
        assert person.session.value("drive.roller_diameter") == 31
        assert not person.session.text("head.spot")


def test_a_machine_file_that_cannot_be_read_is_none(tmp_path: Path) -> None:
    """Rubbish, another kind of file, a folder in its place: the example's machine is taken instead."""
    assert machine.read(tmp_path) is None
    for rubbish in ("{", "[]", '{"item": 3}', '{"item": "x", "tables": {"drive": []}}', '{"item": "x", "tables": []}'):
        (tmp_path / machine.FILE).write_text(rubbish, "utf-8")
        assert machine.read(tmp_path) is None, rubbish
    bottle = read_bottle()
    machine.keep(tmp_path, "Heron mug", bottle)
    kept = machine.read(tmp_path)
    assert kept is not None
    assert kept.item == "Heron mug"
    assert Session(blank(kept.tables)).data() == Session(blank(bottle)).data()


def judged(session: Session) -> Session:
    session.accept(judge(session.request()))
    return session


def test_the_item_is_told_before_the_rest_is_typed(bottle: dict[str, Any]) -> None:
    """From the stations alone the desk says what the core will say of the whole job."""
    session = Session(blank(bottle))
    assert measured(session) == ""
    for key, text in (("0.at", "0"), ("0.across", "65"), ("1.at", "210"), ("1.across", "76,2 mm")):
        session.edit(f"item.stations.{key}", text)
    assert measured(session) == "⌀65 → ⌀76.2 mm, taper 1.5°"
    session.edit("item.stations.1.across", "")
    assert measured(session) == "⌀65 mm, one station"
    session.edit("item.stations.1.round", "204.2035")
    assert measured(session) == "⌀65 mm, straight"


def test_what_is_told_early_is_what_the_core_tells() -> None:
    """With the artwork there the core's own line for the item is the same, from foot and from rim."""
    for datum in ("foot", "rim"):
        data = read_bottle()
        data["item"] = {
            "name": "Heron flask", "datum": datum, "length": "220 mm",
            "stations": [{"at": "10 mm", "across": "66 mm"}, {"at": "200 mm", "across": "76 mm"}],
        }  # fmt: skip
        session = Session(data)
        told = measured(session)
        judged(session)
        assert session.plan is not None, session.faults()
        assert told == session.plan.item_state


def test_a_height_without_a_diameter_is_marked(bottle: dict[str, Any]) -> None:
    """Also while other things are missing, which the core names first."""
    session = Session(blank(bottle))
    session.edit("item.stations.0.at", "0")
    faults = judged(session).faults()
    assert "item.stations.0.across" in faults
    session.edit("item.stations.0.round", "204")
    assert "item.stations.0.across" not in judged(session).faults()


async def test_a_key_in_the_moment_the_papers_appear_is_taken(desk: Desk) -> None:
    """The panel takes no arrow for scrolling while it is not yet as high as its lines."""
    async with desk(80, 24) as person:
        app: Rotary = person.app
        app.action_papers()
        screen: Any = app.screen
        await person.press("down")
        await asyncio.sleep(0)
        assert screen.wanted.row == 1
