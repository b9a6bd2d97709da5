"""The session: what is typed, what it means, undo, units, complaints. No terminal."""

import random
import tomllib
from typing import Any

import pytest

from rotary.job import Job, job_from_data, job_text
from rotary.model import Model, entry_of, types_behind
from rotary.program import Program
from rotary.shipped import profile_folder
from tui.disk.save import save
from tui.form import inscription
from tui.form.facts import job_rows
from tui.form.job_form import Session
from tui.form.rows import Folds, rows, step_last_digit
from tui.planner.request import Request, Verdict
from tui.planner.verdict import judge


def test_the_shipped_bottle_survives_the_way_through_the_fields(session: Session, bottle: dict[str, Any]) -> None:
    """What the fields hold is the very job that the file held."""
    assert job_from_data(session.data(), "mm") == job_from_data(bottle)


def test_four_changes_of_the_unit_system_change_nothing(session: Session) -> None:
    """Values are the truth; to inch and back twice leaves every one of them as it was, to the last bit."""
    before = job_from_data(session.data(), "mm")
    for _ in range(4):
        session.toggle_system()
        assert job_from_data(session.data(), session.system) == before
    assert not session.unsaved


def test_a_bare_number_takes_the_unit_shown(session: Session) -> None:
    """88.9 typed while inches are shown is 88.9 in; "88,9 mm" is what it says in either system."""
    key = "item.measurements.0.across"
    session.edit(key, "90")
    assert session.value(key) == 90.0
    session.toggle_system()
    session.edit(key, "3 1/2")
    assert session.value(key) == 88.9
    session.edit(key, "88,9 mm")
    assert session.value(key) == 88.9
    assert session.other_system(key) == "88.9 mm"


def test_undo_takes_back_a_field_not_a_letter(session: Session) -> None:
    """Letters typed one after another are one change; leaving the field ends it."""
    key = "artwork.width"
    for text in ("8", "81", "81 ", "81 mm"):
        session.edit(key, text)
    session.settle()
    session.edit(key, "70 mm")
    assert session.undo()
    assert session.text(key) == "81 mm"
    assert session.undo()
    assert session.text(key) == "80 mm"
    assert not session.undo()
    assert session.redo()
    assert session.redo()
    assert session.text(key) == "70 mm"
    assert not session.redo()


def test_undo_across_a_change_of_units_keeps_values(session: Session) -> None:
    """What was typed in mm comes back as the same value while inches are shown."""
    session.edit("artwork.width", "50.8 mm")
    session.settle()
    session.edit("artwork.width", "60 mm")
    session.toggle_system()
    session.undo()
    assert session.value("artwork.width") == 50.8
    assert session.text("artwork.width") == "2 in"


def test_random_changes_all_undone_give_the_job_back(session: Session) -> None:
    """Whatever was done, undoing all of it leads to where one began, and redoing to where one was."""
    dice = random.Random(5)
    before = dict(session.entries)
    keys = [key for key in session.entries if "#" not in key]
    steps = 0
    for _ in range(200):
        table = session.tables["item.measurements"]
        done = len(session._done)
        match dice.randrange(4):
            case 0:
                session.add_row(table)
            case 1 if session.rows(table):
                session.remove_row(table, dice.randrange(session.rows(table)))
            case _:
                session.edit(dice.choice(keys), f"{dice.randrange(1, 99)} mm")
                session.settle()
        steps += len(session._done) - done
    after = dict(session.entries)
    for _ in range(steps):
        assert session.undo()
    assert {k: v for k, v in session.entries.items() if v.text} == {k: v for k, v in before.items() if v.text}
    while session.redo():
        pass
    assert session.entries == after


def test_a_station_is_taken_out_and_those_above_move_up(session: Session) -> None:
    """Removing the first of three stations leaves the other two, in order."""
    table = session.tables["item.measurements"]
    row = session.add_row(table)
    session.edit(f"item.measurements.{row}.at", "200 mm")
    session.edit(f"item.measurements.{row}.round", "200 mm")
    session.remove_row(table, 0)
    assert session.data()["item"]["measurements"] == [
        {"at": "150.0 mm", "across": "70.0 mm"},
        {"at": "200.0 mm", "round": "200.0 mm"},
    ]


def test_a_wrong_text_is_the_fault_of_its_own_field(session: Session) -> None:
    """The complaint is there at once, before the core is asked, and says what to write."""
    session.edit("artwork.width", "80 kg")
    assert "write" in session.faults()["artwork.width"]
    session.edit("artwork.width", "80 mm")
    assert not session.faults()


@pytest.mark.parametrize(
    ("key", "text", "where"),
    [
        ("item.measurements.1.across", "-70 mm", "item.measurements.1.across"),
        ("turning.centres", "15 mm", "turning.centres"),
        ("artwork.width", "900 mm", "artwork.width"),
        ("artwork.height", "", "artwork.height"),
        ("turning.microsteps", "many", "turning.microsteps"),
        ("item.metal", "cheese", "item.metal"),
    ],
)
def test_what_the_core_refuses_lands_on_a_field(session: Session, key: str, text: str, where: str) -> None:
    """Every refusal of the core marks the field that a person has to change."""
    session.edit(key, text)
    session.accept(judge(session.request()))
    assert where in session.faults(), session.faults()
    assert session.stale


def test_a_single_station_asks_for_the_length(session: Session) -> None:
    """One station alone says nothing of the length: that field is marked, and a length in it is enough."""
    session.remove_row(session.tables["item.measurements"], 1)
    session.accept(judge(session.request()))
    assert set(session.faults()) == {"item.length"}
    session.edit("item.length", "150 mm")
    session.accept(judge(session.request()))
    assert not session.faults()


def test_the_last_good_plan_stays_while_something_is_wrong(session: Session) -> None:
    """A refusal takes the numbers off nobody; they are only marked as not of these values."""
    session.accept(judge(session.request()))
    good = session.plan
    assert good is not None
    assert not session.stale
    session.edit("artwork.width", "banana")
    session.accept(judge(session.request()))
    assert session.plan is good
    assert session.stale


def test_every_field_of_a_job_has_its_place_on_the_desk(session: Session) -> None:
    """Whatever a job file can say can be seen and changed on the desk."""
    words = {f"inscription.{key}" for key in inscription.KEYS}
    elsewhere = [key for key in _names(Job) if key not in session.fields and not _in_table(session, key)]
    # `use` says in a file what is chosen as head on the desk; the program is asked once per machine, with the machine.
    asked = {f"program.{info.alias}" for info in Program.model_fields.values()}
    assert set(elsewhere) == words | asked | {"laser.use"}, "those of [inscription] have their fields on its own screen"


def test_every_field_of_the_desk_is_known_to_the_core(session: Session) -> None:
    """No field is typed in vain."""
    known = (
        set(_names(Job))
        | {"use_laser", "item.section"}
        | {f"own_coating.{part}" for part in ("colour", "kind", "batch")}
        | {"inscription.text.line"}
    )
    assert [key for key in session.fields if key not in known] == []
    for table in session.tables.values():
        assert [column.key for column in table.every if f"{table.key}.{column.key}" not in known] == []


def _in_table(session: Session, key: str) -> bool:
    return any(key == f"{table.key}.{column.key}" for table in session.tables.values() for column in table.every)


def _names(model: type[Model], under: str = "") -> list[str]:
    names: list[str] = []
    for name, info in model.model_fields.items():
        key = f"{under}{info.alias or name}"
        inner = entry_of(info) or info
        models = [kind for kind in types_behind(inner) if isinstance(kind, type) and issubclass(kind, Model)]
        names += [name for kind in models for name in _names(kind, f"{key}.")] or [key]
    return names


def test_what_the_desk_has_no_field_for_is_kept(bottle: dict[str, Any]) -> None:
    """A second diameter at a station passes through the desk unharmed."""
    data = bottle
    data["item"]["measurements"][0]["second_across"] = "88.05 mm"
    opened = Session(data)
    assert job_from_data(opened.data(), "mm") == job_from_data(data)


def test_a_bug_in_the_core_is_said_and_does_not_end_the_work(session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    """Even a fault of the tool itself becomes a sentence, with the typed work untouched."""
    import rotary.plan

    def broken(*_args: object, **_names: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(rotary.plan, "plan", broken)
    verdict = judge(session.request())
    assert isinstance(verdict.bug, ZeroDivisionError)
    assert "fault in rotary" in verdict.faults[0][1]


@pytest.mark.parametrize(
    ("made", "name"),
    [
        ({"artwork.pieces.0.file": "art/owl.svg"}, "owl"), ({"artwork.pieces.0.text": "WREN  1904"}, "WREN 1904"),
        ({}, "item"),
    ],
)  # fmt: skip
def test_a_job_that_nobody_named_is_called_by_what_is_on_it(made: dict[str, str], name: str) -> None:
    """Papers and saved jobs are told apart by it; a name that was typed wins."""
    session = Session({"artwork": {"pieces": [{}]}})
    for key, text in made.items():
        session.edit(key, text)
    assert session.data()["item"]["name"] == name
    session.edit("item.name", "Owl cup")
    assert session.data()["item"]["name"] == "Owl cup"


def test_a_saved_job_opens_with_nothing_changed_but_what_was(bottle: dict[str, Any]) -> None:
    """A file holds every value; those that would hold anyway are no changes of the person."""
    session = Session(tomllib.loads(job_text(job_from_data({**bottle, "tolerances": {}}))))
    label = next(row.label for row in job_rows(session, Folds()) if row.kind == "more")
    session.edit("turning.settling", "0.4 s")
    more = next(row.label for row in job_rows(session, Folds()) if row.kind == "more")
    assert (label[-11:], more[-11:]) == ("2 filled in", "3 filled in"), "a note, the coating's thickness"


def test_a_verdict_on_older_values_marks_nothing(session: Session) -> None:
    """A complaint about what no longer stands there is not shown."""
    session.accept(Verdict(session.number - 1, None, None, (("artwork.width", "too old"),)))
    assert not session.faults()


def test_numbers_of_the_job_before_never_stand_at_the_next(session: Session, bottle: dict[str, Any]) -> None:
    """The core may still be at the job that was there before: its answer is about another item."""
    late = judge(session.request())
    session.open({})
    assert not session.accept(late)
    assert (session.verdict, session.plan, session.actions) == (None, None, None)
    session.open(bottle)
    asked = session.request()
    session.edit("artwork.width", "70 mm")
    assert session.accept(judge(asked))
    assert session.plan is not None


def test_saving_keeps_a_profile_and_leaves_nothing_unsaved(session: Session) -> None:
    """What was saved is on disk and can be planned again."""
    from rotary.store.profiles import load

    session.edit("artwork.width", "77 mm")
    assert session.unsaved
    assert save(session, profile_folder()) is None
    assert not session.unsaved
    found = load("Regatta bottle 600 ml", profile_folder())
    assert found.profile.job.artwork.width_mm == 77.0


def test_saving_beside_another_window_says_so(bottle: dict[str, Any]) -> None:
    """Two desks on one profile: the second to save is told that both versions stand."""
    first, second = Session(bottle), Session(bottle)
    assert save(first, profile_folder()) is None
    second.follows = first.follows
    for session, width in ((first, "70 mm"), (second, "71 mm")):
        session.edit("artwork.width", width)
        assert save(session, profile_folder()) is None
    assert "side by side" not in first.saved_as
    assert "are both saved" in second.saved_as


def test_saving_what_is_wrong_says_why(session: Session) -> None:
    """A job that can't be planned isn't kept in silence."""
    session.edit("artwork.width", "wide")
    fault = save(session, profile_folder())
    assert fault is not None
    assert fault.where == "artwork.width"
    assert session.unsaved


def test_rare_fields_hide_until_asked_for_or_filled(session: Session) -> None:
    """The form is short at first and grows by what is written."""
    folds = Folds()
    keys = {cell.key for row in rows(session, folds) for cell in row.cells}
    assert "item.handle.angle" not in keys
    session.edit("item.handle.angle", "90")
    keys = {cell.key for row in rows(session, folds) for cell in row.cells}
    assert "item.handle.angle" in keys


def test_a_chuck_has_no_rollers(session: Session) -> None:
    """Fields that belong to the other drive are neither shown nor sent to the core."""
    session.edit("turning.kind", "chuck")
    assert "centres" not in session.data()["turning"]
    assert all(cell.key != "turning.centres" for row in rows(session, Folds()) for cell in row.cells)


@pytest.mark.parametrize(
    ("text", "up", "then"),
    [
        ("3 1/2 in", True, "3 1/2 in"),
        ("88,9 mm", True, "89,0 mm"),
        ("", True, ""),
        ("-1", True, "0"),
        ("0", False, "-1"),
    ],
)
def test_the_last_digit_steps(text: str, up: bool, then: str) -> None:
    """Ctrl+Up and Ctrl+Down move the last digit that is written, and leave a fraction alone."""
    assert step_last_digit(text, up) == then


def test_a_request_is_what_stands(session: Session) -> None:
    """The core gets values in its own units, whatever was shown."""
    session.toggle_system()
    request = session.request()
    assert isinstance(request, Request)
    assert request.data["item"]["measurements"][0]["across"] == "88.0 mm"


@pytest.mark.parametrize(
    "odd",
    [
        {"item": "a bottle"},
        {"item": {"measurements": "two"}},
        {"item": {"measurements": [1, 2]}},
        {"item": {"measurements": []}, "turning": []},
        {"item": {"measurements": [{"at": 5, "colour": {"of": "moss"}}]}, "use_laser": 7},
        {"item": {"handle": "left"}, "shop": {"eyewear": {"name": "one"}}},
        {},
    ],
)
def test_an_odd_file_opens_and_is_refused_in_words(odd: dict[str, Any]) -> None:
    """Whatever a file holds, the desk opens on it and says what is wrong; nothing falls over."""
    opened = Session(odd)
    verdict = judge(opened.request())
    assert verdict.bug is None
    assert verdict.faults
    opened.accept(verdict)
    assert opened.faults()
    for key in ("turning.centres", "item.name", "item.wall", "artwork.width", "laser.spot", "item.handle.reach"):
        opened.edit(key, "20 mm")
    opened.add_row(opened.tables["item.measurements"])
    opened.add_row(opened.tables["shop.eyewear"])
    assert judge(opened.request()).bug is None
    assert rows(opened, Folds())


def test_a_name_that_reads_yes_stays_a_name(session: Session) -> None:
    """Only choices are yes or no."""
    session.edit("item.name", "no")
    assert session.data()["item"]["name"] == "no"
