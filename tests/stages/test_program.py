"""What the marking program can do: asked or not, in a job's file as a person writes it."""

import pytest

from rotary.errors import Refused
from rotary.job import job_from_text, job_text
from rotary.program import ROW_IDS, Program
from rotary.shipped import examples

BOTTLE = examples()["regatta-bottle"].read_text("utf-8")


def program_from(lines: str) -> Program:
    """The program of a job whose file has these lines in its table."""
    return job_from_text(f"{BOTTLE}\n[program]\n{lines}\n").program


def test_nothing_is_asked_in_a_job_that_says_nothing() -> None:
    """Old job files open, and a plan is made as before."""
    job = job_from_text(BOTTLE)
    assert job.program == Program()
    assert {job.program.can_pause, job.program.can_change_setting, job.program.can_repeat_slice} == {None}
    assert "[program]" not in job_text(job)


def test_what_is_asked_reads_back_as_it_was_written() -> None:
    """Facts, the least pause with its unit, and labels with any sign that can be printed."""
    labels = {key: f'{key} "Stärke" = {{µ}}, 出力' for key in ROW_IDS}
    facts = {"can_pause": True, "can_change_setting": False, "can_repeat_slice": None, "can_store_start": True}
    asked = Program.model_validate({**facts, "least_pause_s": 0.25, "labels": labels})
    job = job_from_text(BOTTLE).model_copy(update={"program": asked})
    assert job_from_text(job_text(job)) == job
    assert program_from('can_pause = true\nleast_pause = "250 ms"') == Program(can_pause=True, least_pause_s=0.25)


@pytest.mark.parametrize(
    ("lines", "where", "says"),
    [
        ('can_pause = "perhaps"', "program.can_pause", "write can_pause = true or false"),
        ('least_pause = "-1 s"', "program.least_pause", "write 0 s or more"),
        ('labels = { powr = "a" }', "program.labels", "powr is no row that is typed"),
        ('labels = { power = " " }', "program.labels", "the label of power can't be used"),
        ('labels = { power = "a\\u001b[31m" }', "program.labels", "on one line"),
        (f'labels = {{ power = "{"x" * 61}" }}', "program.labels", "at most 60 signs"),
        ('labels = "a"', "program.labels", "a table"),
        ("can_turn = true", "program.can_turn", "is not known here"),
    ],
)
def test_what_can_not_be_used_is_refused_in_one_sentence(lines: str, where: str, says: str) -> None:
    """The field is named, and what to write instead."""
    with pytest.raises(Refused) as caught:
        program_from(lines)
    (fault,) = caught.value.faults
    assert fault.where == where
    assert says in fault.says
