"""A value that alone makes a job impossible is blamed at its own field, with what was probably meant."""

from typing import Any

import pytest

from rotary.services.jobs import tables_of_job
from rotary.services.repairs import TypedLength, readings_of, unusual_length
from rotary.shipped import examples
from tui.form.hints import is_empty, wrong_now
from tui.form.job_form import Session
from tui.planner.verdict import judge

from .conftest import OWN_LASER

ACROSS = "item.measurements.1.across"


@pytest.mark.parametrize(
    ("key", "typed", "likely"),
    [
        (ACROSS, "88 m", "88 mm"), (ACROSS, "88 inch", "88 mm"), (ACROSS, '88"', "88 mm"), (ACROSS, "912", "91.2 mm"),
        (ACROSS, "3'6\"", '3.6"'), ("artwork.width", "80 m", "80 mm"), ("artwork.height", "600", "60 mm"),
        ("item.wall", "5 m", "5 mm"), ("turning.roller_diameter", "20 m", "20 mm"),
    ],
)  # fmt: skip
def test_the_field_that_was_typed_is_blamed_with_its_likely_repair(
    session: Session, key: str, typed: str, likely: str
) -> None:
    """Whatever part of the core it is that can't go on, no field but this one is marked; the repair makes a plan."""
    session.edit(key, typed)
    session.accept(judge(session.request()))
    assert session.faults() == {key: f"{typed} is too big here. Did you mean {likely}?"}
    session.edit(key, likely)
    session.accept(judge(session.request()))
    assert not session.faults()


def test_a_value_typed_before_the_last_one_is_found_too(session: Session) -> None:
    """While another fact is missing, and once it is there, the impossible one is to blame."""
    session.edit("artwork.centre", "")
    session.edit(ACROSS, "88 m")
    session.accept(judge(session.request()))
    assert set(session.faults()) == {ACROSS, "artwork.centre"}
    assert wrong_now(session) == "Diameter 2: 88 m is too big here. Did you mean 88 mm?"
    session.edit("artwork.centre", "75")
    session.accept(judge(session.request()))
    assert set(session.faults()) == {ACROSS}


@pytest.mark.parametrize(
    ("system", "key", "typed", "says"),
    [
        ("mm", ACROSS, "88 m", "big here. Did you mean 88 mm?"),
        ("mm", ACROSS, "912", "big here. Did you mean 91.2 mm?"),
        ("mm", ACROSS, "88 inch", "big here. Did you mean 88 mm?"),
        ("mm", ACROSS, "3'6\"", "big here. Did you mean 3.6\"?"),
        ("mm", ACROSS, "-88", "small here. Did you mean 88?"), ("mm", ACROSS, "1e5", "big here"),
        ("mm", ACROSS, "88 km", "big here. Did you mean 88 mm?"), ("mm", ACROSS, "0", "small here"),
        ("mm", "item.measurements.1.at", "170 m", "big here. Did you mean 170 mm?"),
        ("mm", "item.wall", "5 m", "big here. Did you mean 5 mm?"),
        ("mm", "artwork.width", "0.07 km", "big here. Did you mean 0.07 in?"),
        ("in", ACROSS, "912", "big here. Did you mean 9.12 in?"),
        ("in", ACROSS, "88 m", "big here. Did you mean 88 mm?"),
        ("in", "artwork.height", "-5", "small here. Did you mean 5?"),
    ],
)  # fmt: skip
def test_an_empty_job_blames_the_field_too(system: str, key: str, typed: str, says: str) -> None:
    """While everything else is still missing; a usual value in the same place is not blamed."""
    session = Session({"item": {"measurements": [{"at": "0 mm"}, {"at": ""}]}, "turning": {"kind": "chuck"}}, system)
    session.begin_new("")
    for text, wrong in ((typed, f"{typed} is too {says}"), ("8 mm", "")):
        session.edit(key, text)
        session.accept(judge(session.request()))
        faults = {where: told for where, told in session.faults().items() if not is_empty(session, where, told)}
        assert {where: told.rstrip(".") for where, told in faults.items()} == ({key: wrong} if wrong else {})


@pytest.mark.parametrize(
    ("key", "typed", "says"),
    [
        ("laser.highest_frequency", "9", "above the highest, 9 kHz"), ("laser.rated_power", "0.022", "that takes 50 W"),
        ("laser.largest_pulse", "0.0007", "at most 0.28 W, not 50 W"), ("item.length", "40", "40 is too small here"),
        ("laser.field", "15", "15 is too small here. Did you mean 150 mm?"),
        ("laser.focal_length", "25", "25 is too small here. Did you mean 250 mm?"),
        ("turning.axis_height", "6 m", "6 m is too big here"), ("tolerances.seam", "50", "50 is too big here."),
        ("passes.power", "0.5", "write 50 %"), ("turning.full_steps", "1.8", "here: write a whole number"),
        (ACROSS, "½", "½ is too small here"),
    ],
)  # fmt: skip
def test_a_slip_is_blamed_where_it_was_typed(bottle: dict[str, Any], key: str, typed: str, says: str) -> None:
    """Of values that can't go together the last one typed is marked, and no other; no file is spoken of."""
    chuck = {"kind": "chuck", "axis_height": "100 mm"}
    session = Session({**bottle, "laser": OWN_LASER, "turning": chuck})
    session.accept(judge(session.request()))
    assert not session.faults()
    session.edit(key, typed)
    session.accept(judge(session.request()))
    assert list(session.complaints()) == [key]
    assert says in session.faults()[key]
    assert " = " not in session.faults()[key]


def test_what_the_core_itself_finds_at_the_last_field_stays_there(session: Session) -> None:
    """No other value is called wrong where the last one can't be, whatever another one would have to be for it."""
    session.edit("turning.centres", "15 mm")
    session.accept(judge(session.request()))
    assert list(session.faults()) == ["turning.centres"]
    assert "Did you mean" not in session.faults()["turning.centres"]


def test_a_text_with_the_usual_unit_is_read_one_way() -> None:
    """Whoever wrote mm meant mm: only the decimal point may have been forgotten."""
    assert [text for text, _ in readings_of("150 mm", 150.0, "mm")] == ["15 mm", "1.5 mm", "1500 mm"]
    assert [text for text, _ in readings_of("3.5", 3.5, "in")] == ["3.5 in", "35 in"]


AT = "item.measurements.1.at"


@pytest.mark.parametrize(
    ("key", "typed", "says", "is_fault"),
    [
        (AT, "88 m", "88 m is too big here. Did you mean 88 mm?", True),
        (AT, "12 ft", "12 ft is too big here. Did you mean 12 mm?", False),
        ("laser.focal_length", "254 in", "254 in is too big here. Did you mean 254 mm?", True),
        ("laser.focal_length", "900 mm", "900 mm is too big here. Did you mean 90 mm?", False),
        ("item.wall", "0.001", "0.001 is too small here. Did you mean 1 mm?", True),
    ],
)
def test_a_length_that_no_bench_sees_is_questioned_in_a_plan_too(
    bottle: dict[str, Any], key: str, typed: str, says: str, is_fault: bool
) -> None:
    """At its own field alone. Far beyond what is usual it is a slip; a little beyond, the numbers follow."""
    session = Session({**bottle, "laser": OWN_LASER, "use_laser": "own"})
    session.edit(key, typed)
    session.accept(judge(session.request()))
    assert session.complaints() == {key: says}
    assert session.stale == is_fault == bool(session.faults())


def test_of_two_readings_that_which_was_typed_last_is_one_too_many(session: Session) -> None:
    """A tape reading where a diameter stands already, or a diameter where a tape reading does."""
    for key, text in (("item.measurements.1.round", "250"), (ACROSS, "80")):
        session.edit(key, text)
        session.accept(judge(session.request()))
        assert list(session.faults()) == [key]


def test_two_heights_at_one_place_are_one_fault(session: Session) -> None:
    """The second height is to blame; the length, which nobody typed, stays calm."""
    session.edit(AT, "0")
    session.accept(judge(session.request()))
    assert list(session.faults()) == [AT]


@pytest.mark.parametrize("name", examples())
def test_no_length_of_an_example_is_questioned(name: str) -> None:
    """What ships is what a bench sees."""
    typed = [TypedLength(*one) for one in Session(tables_of_job(examples()[name])).request().typed]
    assert typed
    assert unusual_length(typed, "mm") is None


def test_swapped_ends_of_eyewear_are_told_at_the_field(session: Session) -> None:
    """A pair from 1100 to 900 nm would cover nothing, and say so of no field."""
    session.edit("shop.eyewear.0.from", "1100")
    session.edit("shop.eyewear.0.to", "900")
    session.accept(judge(session.request()))
    (where,) = session.faults()
    assert where == "shop.eyewear.0.to"
    assert "larger wavelength" in session.faults()[where]
