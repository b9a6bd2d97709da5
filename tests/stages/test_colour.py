"""The coating's colour: what may be written, what is repaired, and that no number of a plan depends on it."""

import tomllib

import pytest
from PIL import ImageColor

from rotary.colours import colour_from_text
from rotary.errors import Refused
from rotary.item import Item, fitted_shape
from rotary.job import Job, job_from_data, job_from_file, job_from_text, job_text
from rotary.plan import plan
from rotary.shipped import examples

JOBS = {name: job_from_file(path) for name, path in examples().items()}
COATED = [name for name, job in JOBS.items() if job.item.coating]


def job_data(name: str) -> dict[str, dict[str, object]]:
    return tomllib.loads(examples()[name].read_text("utf-8"))


def coloured(job: Job, colour: str | None) -> Job:
    return job.model_copy(update={"item": job.item.model_copy(update={"colour": colour})})


@pytest.mark.parametrize("name", sorted(ImageColor.colormap))
def test_every_named_colour_of_css_may_be_written(name: str) -> None:
    """The 148 names of CSS Color Module Level 4, section 6.1, with the values that Pillow's own copy of it has."""
    drawn = colour_from_text(name)
    assert drawn is not None
    assert drawn[:3] == ImageColor.getrgb(name)
    assert Item(name="cup", colour=name).colour == name


@pytest.mark.parametrize(
    ("typed", "stored"),
    [
        ("Green", "green"), (" dark Green ", "darkgreen"), ("#2F6B3A", "#2f6b3a"), ("#2f3", "#2f3"),
        ("Off-white", "offwhite"), ("rose gold", "rosegold"),
    ],
)  # fmt: skip
def test_a_colour_is_stored_in_one_spelling(typed: str, stored: str) -> None:
    """Capitals and spaces are no difference, so they never count as another coating; the file reads back the same."""
    data = job_data("regatta-bottle")
    data["item"]["colour"] = typed
    job = job_from_data(data)
    assert job.item.colour == stored
    assert job_from_text(job_text(job)) == job


@pytest.mark.parametrize(
    ("typed", "repair"),
    [
        ("matt green", 'did you mean "green"?'),
        ("grean", 'did you mean "green"'),
        ("deep burgundy", 'did you mean "burgundy"?'),
        ("2f6b3a", 'did you mean "#2f6b3a"?'),
        ("#2f6b3", 'write a name like "green", or a shade like "#2f6b3a"'),
        ("rgb(1 2 3)", 'write a name like "green"'),
        ("transparent", "is not a colour that rotary knows"),
        ("currentColor", "is not a colour that rotary knows"),
        ("", "write a name like"),
        ("powder\x1b[2J" * 400, "write a name like"),
    ],
)
def test_a_bad_colour_gets_one_sentence_with_its_repair(typed: str, repair: str) -> None:
    """The fault names the field, in one printable line that says what to write instead."""
    data = job_data("regatta-bottle")
    data["item"]["colour"] = typed
    with pytest.raises(Refused) as caught:
        job_from_data(data)
    (fault,) = caught.value.faults
    assert fault.where == "item.colour"
    assert repair in fault.says
    assert fault.says.isprintable()
    assert len(fault.says) < 150


def test_bare_metal_has_no_colour() -> None:
    """A colour without a coating is a slip: refused, since a coating planned as bare metal would be marked wrongly."""
    with pytest.raises(Refused) as caught:
        fitted_shape(coloured(JOBS["pommel-nut"], "green").item)
    assert [fault.where for fault in caught.value.faults] == ["item.colour"]
    assert "bare metal" in caught.value.faults[0].says


@pytest.mark.parametrize("name", COATED)
def test_no_number_of_a_plan_depends_on_the_colour(name: str) -> None:
    """Plans of one coating in two colours, and of one not noted, are equal but for the job itself."""
    plans = [plan(coloured(JOBS[name], colour), 60).model_dump(exclude={"job"}) for colour in (None, "red", "#2f6b3a")]
    assert plans[0] == plans[1] == plans[2]


def test_examples_that_are_called_green_or_blue_are_so() -> None:
    """An example has a colour where its own description names one; the others leave it out of their files."""
    assert {name for name, job in JOBS.items() if job.item.colour} == {"heron-cup", "regatta-bottle"}
    assert "colour" not in job_text(JOBS["boathouse-mug"])
