"""A new job begins on the machine of the last one: a shop has one, and its figures are typed once."""

import asyncio
import json
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from rotary.examples import BANNER
from rotary.job import job_from_data, job_text
from rotary.laser import LaserAndLens
from rotary.machine.record import MachineRecord
from rotary.machine.store import save_machine
from rotary.shipped import examples
from rotary.shop import Eyewear, Shop
from tests.tui.conftest import OWN_LASER, Desk, Person, read_bottle
from tui.app import Rotary
from tui.catalogue import GROUPS
from tui.disk import last_machine as machine
from tui.disk.save import save
from tui.drawings.words import sentences
from tui.form.facts import missing
from tui.form.job_form import Session
from tui.form.status import is_invented, measured, state
from tui.form.tables import blank
from tui.planner.verdict import judge


async def begun(person: Person) -> None:
    await person.press("ctrl+n")
    await person.until(lambda: person.session.text("item.name") == "")
    await person.judged()


@pytest.mark.slow
async def test_a_new_job_has_nothing_of_the_example_s_machine(desk: Desk) -> None:
    """The head lies open and empty until ones own figures are typed; no eyewear, no laser, no roller of the example."""
    async with desk(120, 60) as person:
        assert BANNER in person.screen()
        await begun(person)
        assert "power         !" in person.screen()
        assert BANNER not in person.screen()
        data = person.session.data()
        assert "use_laser" not in data
        assert (data["laser"], data["turning"]) == ({}, {"kind": "rollers"})
        assert "shop" not in data
        assert "laser.rated_power" in person.session.faults()
        person.go("laser.rated_power")
        await person.write("50 W")
        await person.judged()
        assert "laser.rated_power" not in person.session.faults()


@pytest.mark.slow
async def test_a_saved_machine_is_where_the_next_start_begins(desk: Desk, tmp_path: Path) -> None:
    """Head and drive of the job saved last are those of a new job after another start, which says whose they are."""
    async with desk(120, 60) as person:
        person.go("laser.spot")
        await person.write("43 um")
        person.go("turning.roller_diameter")
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
        assert person.session.value("laser.spot") == 43
        assert person.session.value("turning.roller_diameter") == 25
        # Drive and laser, which say whose they are, lie behind the line of what few jobs need.
        await person.press("f3", "r", "enter")
        await person.see("as in Heron mug")
        assert not is_invented(person.session)


@pytest.mark.slow
async def test_a_machine_typed_on_the_desk_wins_over_the_one_saved(desk: Desk, tmp_path: Path) -> None:
    """Whoever has another machine before them keeps it, saved or not."""
    other = read_bottle() | {"laser": {"spot": "51 um"}}
    machine.keep(tmp_path / "kept", "Heron mug", other)
    async with desk(100, 40) as person:
        person.go("turning.roller_diameter")
        await person.write("31 mm")
        await person.press("ctrl+n")
        await person.press("d", "enter")
        await person.until(lambda: person.session.text("item.name") == "")
        assert person.session.value("turning.roller_diameter") == 31
        assert not person.session.text("laser.spot")


def test_a_machine_file_that_cannot_be_read_is_none(tmp_path: Path) -> None:
    """Rubbish, another kind of file, a folder in its place: no machine is taken instead."""
    assert machine.read(tmp_path) is None
    for rubbish in (
        "{",
        "[]",
        '{"item": 3}',
        '{"item": "x", "tables": {"turning": []}}',
        '{"item": "x", "tables": []}',
    ):
        (tmp_path / machine.FILE).write_text(rubbish, "utf-8")
        assert machine.read(tmp_path) is None, rubbish
    mine = read_bottle() | {"laser": OWN_LASER}
    del mine["use_laser"]
    machine.keep(tmp_path, "Heron mug", mine)
    kept = machine.read(tmp_path)
    assert kept is not None
    assert kept.item == "Heron mug"
    assert Session(blank(kept.tables)).data() == Session(blank(mine)).data()
    assert kept.tables["laser"] == OWN_LASER
    # The rollers stay, since the laser beside them is the person's own; the example's glasses don't.
    assert kept.tables["turning"]["roller_diameter"] == "20 mm"
    assert "shop" not in kept.tables


def written_from(name: str) -> dict[str, Any]:
    """An example as a profile was kept of it before heads said that they are an example's."""
    job = job_from_data(tomllib.loads(examples()[name].read_text("utf-8")))
    return tomllib.loads(re.sub(r"(?m)^use = .*\n", "", job_text(job)))


@pytest.mark.parametrize("name", sorted(examples()))
def test_no_example_is_anybody_s_machine(name: str, tmp_path: Path) -> None:
    """Saved from the desk, kept by hand, or in a machine file of before: a new job gets none of it."""
    shipped = tomllib.loads(examples()[name].read_text("utf-8"))
    for data in (shipped, written_from(name), Session(shipped).data(), Session(written_from(name)).data()):
        machine.keep(tmp_path, "An example", data)
        assert not (tmp_path / machine.FILE).exists()
        raw = {part: data[part] for part in ("use_laser", "turning", "laser", "shop") if part in data}
        (tmp_path / machine.FILE).write_text(json.dumps({"item": "An example", "tables": raw}), "utf-8")
        assert machine.read(tmp_path) is None
        tables, of = machine.for_new_job(Session(data), tmp_path)
        assert set(tables) == {"item", "turning"}
        assert tables["turning"] == {"kind": shipped["turning"]["kind"]}
        assert of in ("", "An example")
        (tmp_path / machine.FILE).unlink()


def test_an_example_takes_nobody_s_place(tmp_path: Path) -> None:
    """Whoever saves an example keeps the machine entered before, with eyewear and lasers of ones own."""
    pair = {"name": "grey pair", "from": "900 nm", "to": "1100 nm", "optical_density": 7.0}
    invented = read_bottle()["shop"]["eyewear"][0]
    mine = {"turning": {"kind": "chuck", "gear_ratio": 3.0}, "laser": OWN_LASER, "shop": {"eyewear": [invented, pair]}}
    machine.keep(tmp_path, "Heron mug", {"item": {"name": "Heron mug"}, **mine})
    machine.keep(
        tmp_path, "Regatta bottle", read_bottle() | {"turning": {"kind": "rollers", "roller_diameter": "31 mm"}}
    )
    tables, of = machine.for_new_job(Session(read_bottle()), tmp_path)
    assert of == "Heron mug"
    assert tables["laser"] == OWN_LASER
    assert tables["shop"] == {"eyewear": [pair]}


def test_a_profile_made_from_an_example_opens_as_one() -> None:
    """Its laser stands as the example that it is, only what was typed in its place as typed; own stays own."""
    old = written_from("regatta-bottle")
    old["laser"]["spot"] = "43 um"
    session = Session(old)
    assert session.text("use_laser") == "fibre-60w-254"
    assert session.data()["laser"] == {"spot": "43.0 um"}
    assert not session.unsaved
    session.edit("use_laser", "own")
    session.accept(judge(session.request()))
    assert {"laser.name", "laser.rated_power", "laser.focal_length"} <= set(session.faults())
    own = Session({**old, "laser": OWN_LASER})
    assert own.text("use_laser") == "own"
    assert own.text("laser.rated_power") == "50 W"


def test_eyewear_typed_over_an_example_s_item_still_covers_nothing() -> None:
    """Item, then laser: as soon as one of them is a person's, the glasses of the example count no more."""
    session = Session(read_bottle())
    session.accept(judge(session.request()))
    assert session.plan.safety.eyes[0].covered_by
    for key, text in (("item.name", "Heron bottle"), ("use_laser", "own")):
        session = Session(read_bottle())
        session.edit(key, text)
        for figure, value in OWN_LASER.items() if key == "use_laser" else ():
            session.edit(f"laser.{figure}", value)
        session.accept(judge(session.request()))
        assert not session.faults()
        assert bool(session.plan.safety.example) == (key == "item.name")
        eyes = session.plan.safety.eyes[0]
        assert not eyes.covered_by
        assert eyes.verdict.endswith("You have entered no eyewear yet.")
        assert "left hook" not in str(session.plan.safety)
        shop = next(group for group in GROUPS if group.key == "shop")
        assert state(session, shop) == "no pairs of eyewear, no other lasers (those of the example not counted)"


def judged(session: Session) -> Session:
    session.accept(judge(session.request()))
    return session


def test_a_choice_that_nobody_made_is_missing() -> None:
    """Coating, metal and turning of a new job: no plan and no save until each is chosen, undone or taken up again."""
    full, session = read_bottle(), Session({"item": {}, "turning": {"kind": "rollers"}})
    session.begin_new("")
    for part in ("item.measurements.0", "item.measurements.1", "artwork", "laser"):
        *path, last = part.split(".")
        table: Any = {**full, "laser": OWN_LASER}
        for name in (*path, last):
            table = table[int(name)] if name.isdigit() else table[name]
        for name, value in table.items():
            if isinstance(value, str):
                session.edit(f"{part}.{name}", value)
    choices = {"item.coating": "polyester-powder-dark", "item.metal": "stainless-304", "turning.kind": "rollers"}
    while choices:
        judged(session)
        assert (session.plan, set(session.faults())) == (None, set(choices))
        assert set(choices) <= set(missing(session))
        assert "choose a value for this field" in str(save(session, Path("nowhere"), Path()))
        taken_up = Session({})
        taken_up.restore(session.state())
        assert set(judged(taken_up).faults()) == set(choices)
        key, value = choices.popitem()
        session.edit(key, value)
        session.undo()
        assert key in session.unasked
        session.redo()
    assert judged(session).plan is not None
    assert not session.stale
    # A file without them means what it always has.
    plain = Session({**full, "item": {k: v for k, v in full["item"].items() if k not in ("coating", "metal")}})
    assert not judged(plain).faults()


def test_the_item_is_told_before_the_rest_is_typed(bottle: dict[str, Any]) -> None:
    """From the stations alone the desk says what the core will say of the whole job."""
    session = Session(blank(bottle))
    assert measured(session) == ""
    for key, text in (("0.at", "0"), ("0.across", "65"), ("1.at", "210"), ("1.across", "76,2 mm")):
        session.edit(f"item.measurements.{key}", text)
    assert measured(session) == "⌀65 → ⌀76.2 mm, taper 1.5°"
    session.edit("item.measurements.1.across", "")
    assert measured(session) == "⌀65 mm, measured at one height"
    session.edit("item.measurements.1.round", "204.2035")
    assert measured(session) == "⌀65 mm, straight"


def test_what_is_told_early_is_what_the_core_tells() -> None:
    """With the artwork there the core's own line for the item is the same, from foot and from rim."""
    for datum in ("base", "rim"):
        data = read_bottle()
        data["item"] = {
            "name": "Heron flask", "heights_from": datum, "length": "220 mm",
            "measurements": [{"at": "10 mm", "across": "66 mm"}, {"at": "200 mm", "across": "76 mm"}],
        }  # fmt: skip
        session = Session(data)
        told = measured(session)
        judged(session)
        assert session.plan is not None, session.faults()
        assert told == sentences(session.plan).item


def test_a_height_without_a_diameter_is_marked(bottle: dict[str, Any]) -> None:
    """Also while other things are missing, which the core names first."""
    session = Session(blank(bottle))
    session.edit("item.measurements.0.at", "0")
    faults = judged(session).faults()
    assert "item.measurements.0.across" in faults
    session.edit("item.measurements.0.round", "204")
    assert "item.measurements.0.across" not in judged(session).faults()


async def test_a_key_in_the_moment_the_papers_appear_is_taken(desk: Desk) -> None:
    """The panel takes no arrow for scrolling while it is not yet as high as its lines."""
    async with desk(80, 24) as person:
        app: Rotary = person.app
        app.action_papers()
        screen: Any = app.screen
        await person.press("down")
        await asyncio.sleep(0)
        assert screen.wanted.row == 1


def test_a_new_job_takes_the_laser_of_its_machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was said once per machine is not asked again: program and laser with lens are its file's."""

    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path))
    own = LaserAndLens.model_validate(OWN_LASER, context={"units": "must"})
    save_machine(MachineRecord(name="Boathouse rig", laser=own), tmp_path)
    program = {"can_pause": False, "labels": {"power": "Output"}}
    session = Session(read_bottle() | {"machine": "Boathouse rig", "program": program})
    tables, _ = machine.for_new_job(session, tmp_path / "profiles")
    assert tables["laser"]["name"] == own.name
    assert tables["program"] == program
    assert Session(tables).text("use_laser") == "own"
    without, _ = machine.for_new_job(Session(read_bottle() | {"machine": "no such rig"}), tmp_path / "profiles")
    assert "laser" not in without


def test_an_example_s_laser_on_a_machine_with_its_own_is_no_example(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The machine's laser is planned with, so nothing says EXAMPLE; its eyewear is counted."""

    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path))
    own = LaserAndLens.model_validate(OWN_LASER, context={"units": "must"})
    pairs = tuple(Eyewear(name=name, from_nm=900, to_nm=1100, optical_density=7.0) for name in ("one", "two", "three"))
    save_machine(MachineRecord(name="Boathouse rig", laser=own, shop=Shop(eyewear=pairs)), tmp_path)
    session = Session(read_bottle() | {"machine": "Boathouse rig"})
    assert is_invented(session)
    assert session.accept(judge(session.request()))
    assert not is_invented(session)
    assert "3 pairs of eyewear" in state(session, next(group for group in GROUPS if group.key == "shop"))
