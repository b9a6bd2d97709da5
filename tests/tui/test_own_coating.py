"""One's own coating on the desk: three fields and a batch, one name in the job file."""

import pytest

from rotary.passes.beliefs.draws import substances
from rotary.passes.beliefs.own_coating import COLOURS, KINDS
from tests.tui.conftest import read_bottle
from tui.catalogue import GROUPS
from tui.form import own_coating
from tui.form.job_form import Session
from tui.form.status import state
from tui.plain.questions import questions


def test_the_desk_offers_every_colour_and_kind_that_the_core_knows() -> None:
    """The choices of the desk are those of the core, in its order."""
    assert tuple(COLOURS) == own_coating.COLOURS
    assert tuple(KINDS) == own_coating.KINDS


def test_three_fields_make_a_coating_that_a_plan_can_be_made_of() -> None:
    """Own, light, lacquer, 20 um: the job that is sent to the core has the name and the thickness, and is planned."""
    from rotary.job import job_from_data
    from rotary.plan import plan

    session = Session(read_bottle())
    field = session.field("item.coating")
    assert field is not None
    assert own_coating.OWN in session.options(field)
    assert not session.is_there(session.fields[own_coating.COLOUR])
    session.edit("item.coating", own_coating.OWN)
    assert session.is_there(session.fields[own_coating.COLOUR])
    assert session.data()["item"]["coating"] == "dark powder"
    session.edit(own_coating.COLOUR, "light")
    session.edit(own_coating.KIND, "lacquer")
    session.edit("item.coating_thickness", "20")
    session.edit(own_coating.BATCH, "oars, spring")
    job = job_from_data(session.data())
    assert job.item.coating == "light lacquer: oars, spring"
    assert job.item.coating_thickness_um == pytest.approx(20)
    assert substances(job.item)[1] is not None
    assert plan(job, 100).removal.setting


def test_the_colour_stands_where_the_coating_is_told() -> None:
    """The line of the group names it, it is asked for in plain lines, and it goes into the job as it was typed."""
    session = Session(read_bottle())
    group = next(group for group in GROUPS if group.key == "coating")
    assert state(session, group) == "powder coat, dark, green, on stainless 304"
    session.edit("item.colour", "#2f6b3a")
    assert session.data()["item"]["colour"] == "#2f6b3a"
    assert "item.colour" in [question.key for question in questions(session, set())]
    session.edit("item.colour", "")
    assert state(session, group) == "powder coat, dark, on stainless 304"
    assert "colour" not in session.data()["item"]


@pytest.mark.parametrize(
    "name", ["dark paint", "metallic powder: batch 7", "epoxy-powder: may", "polyester-powder-dark", "none", "vinyl"]
)
def test_a_name_in_a_job_file_comes_back_as_it_was(name: str) -> None:
    """Read into the fields and written again, a coating's name is the same, and nothing counts as changed."""
    data = read_bottle()
    data["item"]["coating"] = name
    session = Session(data)
    assert session.data()["item"]["coating"] == name
    assert not session.unsaved
    assert "own_coating" not in session.data()


def test_a_batch_of_the_usual_coating_is_kept_though_the_choice_was_never_touched() -> None:
    """A batch alone names the coating that stands while the field is empty."""
    data = read_bottle()
    data["item"].pop("coating", None)
    session = Session(data)
    assert "coating" not in session.data()["item"]
    session.edit(own_coating.BATCH, "may")
    assert session.data()["item"]["coating"] == "polyester-powder-dark: may"
