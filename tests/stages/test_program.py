"""What the marking program can do: asked or not, in a job's file as a person writes it."""

from typing import Any

import pytest

from rotary.errors import Refused
from rotary.focus import Focus, SlicedSetup
from rotary.job import job_from_text, job_text
from rotary.passes.plan.pauses import pauses_of
from rotary.passes.plan.removal import WALL_WISH_C, choice, removal
from rotary.passes.plan.setting import Removal
from rotary.plan import plan
from rotary.program import ROW_IDS, Program
from rotary.sheet.models import SheetWish
from rotary.shipped import examples
from rotary.slices.models import Split
from rotary.tolerances import Tolerances
from rotary.turning.models import Chuck, Rollers
from rotary.wishes import Wishes
from tests.setups import setup_of
from tests.stages.test_passes import ARTWORK, HEAD, bottle

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
        ('can_pause = "perhaps"', "program.can_pause", "write true or false"),
        ('least_pause = "-1 s"', "program.least_pause", "write 0 s or more"),
        ('labels = { powr = "a" }', "program.labels", "the setup sheet has no row named powr"),
        ('labels = { power = " " }', "program.labels", "the label of power can't be used"),
        ('labels = { power = "a\\u001b[31m" }', "program.labels", "on one line"),
        (f'labels = {{ power = "{"x" * 61}" }}', "program.labels", "at most 60 letters"),
        ('labels = "a"', "program.labels", "in braces"),
        ("can_turn = true", "program.can_turn", "is not known to rotary"),
    ],
)
def test_what_can_not_be_used_is_refused_in_one_sentence(lines: str, where: str, says: str) -> None:
    """The field is named, and what to write instead."""
    with pytest.raises(Refused) as caught:
        program_from(lines)
    (fault,) = caught.value.faults
    assert fault.where == where
    assert says in fault.says


# What the facts decide

QUICK = Chuck(settling_s=3)
"""Turns so slowly that a plan all round would take longer."""


def planned(
    drive: Chuck | Rollers, slices: int = 9, coated: bool = True, wall_mm: float = 0.8, **facts: Any
) -> Removal:
    """The passes of a bottle that has to rest between them, or of a bare one, on a split and a focus made by hand."""
    wishes = Wishes.model_validate({name: facts.pop(name, None) for name in ("pause_s", "hottest_c")})
    item = bottle(wall_mm=wall_mm, coating="air-dry-paint" if coated else None)
    start = setup_of(item, ARTWORK, HEAD, drive, passes=wishes, program=Program(**facts))
    cut = Split.model_construct(inked_slices=slices, slices=slices, slice_width_mm=7.0, index_angle_rad=0.175)
    sharp = Focus.model_construct(budget=())
    return removal(SlicedSetup(**dict(start), split=cut, focus=sharp), choice(start, 200))


def test_what_was_not_asked_changes_nothing() -> None:
    """Nor does a yes: the plan is made as if the program could."""
    yes = {"can_pause": True, "can_change_setting": True, "can_repeat_slice": True, "can_store_start": False}
    for drive in (Rollers(), Chuck()):
        assert planned(drive) == planned(drive, **yes)


def test_a_program_that_cannot_pause_is_planned_for_without_pauses() -> None:
    """Where a plan would rest between passes it gets cooler settings or an earlier end, and keeps the wall's wish."""
    thin = {"wall_mm": 0.35, "hottest_c": 130.0}
    free, without, held = (
        planned(Rollers(), **thin, **facts) for facts in ({}, {"can_pause": False}, {"pause_s": 0.0})
    )
    assert free.wall_c_95 <= 130
    assert without.pause_s == 0
    assert {row.pause_before_s for row in without.rows} == {0.0}
    assert without.wall_c_95 == held.wall_c_95
    # Where none keeps it, one nearly as cool as any is taken, and said to be hotter.
    assert without.wall_c_95 <= 140
    assert (without.wall_c_95 > 130) == ("hotter_than_wished" in [one.id for one in without.remarks])
    assert without.chance_with_looks == held.chance_with_looks


def test_pauses_are_none_or_as_long_as_the_program_takes() -> None:
    """A shorter one is never planned."""
    thin = {"wall_mm": 0.35, "hottest_c": 100.0}
    usual, long = (planned(Rollers(), **thin, **facts) for facts in ({}, {"least_pause_s": 45.0}))
    assert 0 < usual.pause_s < 45
    assert long.pause_s == 45
    assert pauses_of(program=Program(least_pause_s=4.0)) == (0.0, 4.0, 5.0, 8.0, 12.0, 20.0, 30.0)
    assert pauses_of(program=Program(least_pause_s=0.5)) == pauses_of()


@pytest.mark.parametrize(
    ("pause_s", "facts", "says"),
    [
        (2.0, {"can_pause": False}, "your marking program can't pause between passes: leave the pause out"),
        (
            2.0,
            {"least_pause_s": 3.0},
            "your marking program can't pause for less than 3 s: write a longer pause, or 0 s",
        ),
    ],
)
def test_a_pause_that_the_program_cannot_do_is_refused(pause_s: float, facts: dict[str, Any], says: str) -> None:
    """Whoever holds one learns it before anything is planned; no pause at all it can always do."""
    with pytest.raises(Refused) as caught:
        planned(Rollers(), pause_s=pause_s, **facts)
    assert [(fault.where, fault.says) for fault in caught.value.faults] == [("passes.pause", says)]
    assert planned(Rollers(), pause_s=0.0, **facts).pause_s == 0


def test_a_last_pass_needs_a_program_that_changes_the_setting() -> None:
    """On rollers it is left out, and the chance is the one without it; in a chuck it goes round once all are done."""
    asked, cannot = planned(Rollers()), planned(Rollers(), can_change_setting=False)
    assert asked.last_pass is not None
    assert asked.last_when == "each slice"
    assert (cannot.last_pass, cannot.last_when) == (None, None)
    assert [row.power_share for row in cannot.rows] == [row.power_share for row in asked.rows[:-1]]
    assert cannot.chance_with_looks == pytest.approx(asked.chance_with_looks, abs=0.005)
    assert cannot.time_slice_by_slice_s < asked.time_slice_by_slice_s
    assert cannot.removes_coating
    chuck, round_ = planned(QUICK), planned(QUICK, can_change_setting=False)
    assert (chuck.order, chuck.last_when) == ("slice-by-slice", "each slice")
    assert (round_.order, round_.last_when) == ("slice-by-slice", "after all")
    assert round_.last_pass is not None
    assert round_.time_slice_by_slice_s > chuck.time_slice_by_slice_s
    assert planned(Rollers(), 1, can_change_setting=False).last_when == "each slice"


def test_a_program_that_turns_after_every_pass_gets_a_file_a_slice_on_rollers() -> None:
    """Never round twice: each slice is run by hand, one pass at a time, counted or not."""
    for coated in (False, True):
        steps = planned(Rollers(), coated=coated, can_repeat_slice=False)
        assert steps.file_per_slice
        assert (steps.order, steps.typed_passes) == ("slice-by-slice", 1)
        assert not planned(Rollers(), 1, coated, can_repeat_slice=False).file_per_slice
        assert not planned(Rollers(), coated=coated).file_per_slice
    assert steps.as_counted(7).typed_passes == 1
    assert SheetWish().for_passes(steps).arrangement == "a-file-a-slice"
    assert planned(Rollers()).as_counted(7).typed_passes == 7


def test_a_program_that_turns_after_every_pass_goes_all_round_in_a_chuck() -> None:
    """Pass by pass, and the last pass at the end."""
    assert planned(QUICK).order == "slice-by-slice"
    steps = planned(QUICK, can_repeat_slice=False)
    assert (steps.order, steps.order_why) == ("all-round", "program")
    assert (steps.file_per_slice, steps.last_when) == (False, "after all")
    assert planned(QUICK, coated=False, can_repeat_slice=False).order == "all-round"
    thin_round = planned(Chuck(), wall_mm=0.3, can_repeat_slice=False)
    assert thin_round.wall_c_95 <= WALL_WISH_C
    assert {row.pause_before_s for row in thin_round.rows} == {0.0}


def test_flat_artwork_is_refused_where_each_slice_needs_a_file() -> None:
    """On rollers, with a program that turns after every pass; one slice alone, or a chuck, needs none."""
    job = job_from_text(f"{BOTTLE}\n[program]\ncan_repeat_slice = false\n")
    job = job.model_copy(update={"tolerances": Tolerances(method="flat", slice_width_mm=4.0)})
    with pytest.raises(Refused) as refused:
        plan(job, 0)
    assert [fault.where for fault in refused.value.faults] == ["tolerances.method"]
    assert "choose automatic" in str(refused.value)
    asked = job.model_copy(update={"program": Program()})
    assert plan(asked, 0).split.method == "flat"
    assert plan(job.model_copy(update={"turning": Chuck()}), 0).split.method == "flat"
