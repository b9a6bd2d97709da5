"""The passes on a coating played as they are printed: one typed, a look, again; then what it took for all others."""

from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from rotary.artwork.rings import area_mm2, rings_from_list
from rotary.job import job_from_file
from rotary.papers.model import Ticks
from rotary.papers.text import plain_lines, text_lines, voice_text
from rotary.passes.beliefs.draws import Coating, Material, draws_for, substances
from rotary.passes.plan.looks import each_pass, stop_shares
from rotary.passes.plan.removal import usual_light
from rotary.passes.plan.setting import PassRemark, Setting
from rotary.passes.plan.typed_settings import grid_from
from rotary.passes.plan.window import Passes, passes
from rotary.plan import Plan, plan
from rotary.program import Program
from rotary.sentences.plan import actions_in_words
from rotary.sentences.run_texts import BURST, DULL, NEVER_ROUND, run_texts
from rotary.series.results import first_notes
from rotary.services.actions import short_answer
from rotary.services.files import flat_file, slice_sheet
from rotary.services.simulation import machine_of
from rotary.sheet.reread import drawing_from_file
from rotary.shipped import examples
from rotary.simulate.controller import columns, turned_to_item
from tests.setups import setup_sheet
from tui.drawings.actions import action_lines
from tui.drawings.canvas import plain
from tui.planner.repeat import quick_actions

COATED = ["bellied-flask", "boathouse-mug", "oar-ferrule", "regatta-bottle"]
BARE = ["brass-nut", "domed-nut", "pommel-nut"]
TRUTHS = 120


@pytest.fixture(scope="module")
def plans() -> dict[str, Plan]:
    return {name: plan(job_from_file(examples()[name]), 60) for name in (*COATED, *BARE)}


def seen_by(made: Plan, setting: Setting) -> Passes:
    """What passes at this setting do in each of a sample of truths."""
    job = made.job
    metal, coating = substances(job.item)
    assert isinstance(coating, Coating)
    light = usual_light(made, setting.defocus_mm)
    draws = draws_for(job.item, metal, coating, job.laser, TRUTHS)
    found = passes(grid_from(setting), Material(metal, coating, draws), setting.pulse_width_ns, made.optics, light)
    return found.row(0)


def climbed(made: Plan) -> list[tuple[float, int]]:
    """Power and passes at which each truth comes clean, where a person goes up the ladder as printed."""
    steps = made.removal
    assert steps.setting is not None
    ended: dict[int, tuple[float, int]] = {}
    for rung in steps.rungs:
        pulse_mj = steps.setting.pulse_mj * rung.power_share / steps.setting.power_share
        setting = steps.setting.model_copy(update={"power_share": rung.power_share, "pulse_mj": pulse_mj})
        for truth, needed in enumerate(seen_by(made, setting).needed.tolist()):
            took = took_on_first(needed, rung.passes, steps.typed_passes)
            if took is not None:
                ended.setdefault(truth, (rung.power_share, took))
    return list(ended.values())


def took_on_first(needed: float, at_most: int, typed: int) -> int | None:
    """A person types a number, looks, types it again, and stops at the first clean look; None where none is."""
    had = 0
    while had < at_most:
        had += typed
        if had >= needed:
            return had
    return None


@pytest.mark.parametrize("name", COATED)
def test_first_slice_and_others_get_the_same_and_none_is_marked_by_both_files(
    plans: dict[str, Plan], name: str, tmp_path: Path
) -> None:
    """In every truth that comes clean all inked slices have had what the first took, and one last pass."""
    made = plans[name]
    steps = made.removal
    assert steps.setting is not None
    wide, high = made.job.artwork.width_mm / 2, made.job.artwork.height_mm / 2
    ink = rings_from_list([[(-wide, -high), (wide, -high), (wide, high), (-wide, high)]])
    if made.split.method == "flat":
        made, (whole, *parts) = flat_file(made, ink, tmp_path)
    else:
        _, (whole, *parts) = slice_sheet(made, ink, tmp_path)
    on = {path: inked(made, path) for path in (whole, *parts)}
    truth = seen_by(made, steps.setting)
    outcomes = []
    for needed, most in zip(truth.needed.tolist(), truth.most.tolist(), strict=True):
        took = took_on_first(needed, steps.passes_at_most, steps.typed_passes)
        if took is None:
            continue
        had: Counter[int] = Counter()
        last: Counter[int] = Counter()
        for file in parts:
            for number in on[file]:
                had[number] += took
                last[number] += 1
        assert set(had) == on[whole]
        assert set(had.values()) == {took}
        assert set(last.values()) == {1}
        outcomes.append((took, took <= most))
    assert len(outcomes) > TRUTHS / 20
    # What it takes differs from truth to truth, the rung of the ladder or the passes on it: no one number could have
    # been printed.
    assert len(set(climbed(made))) > 1
    assert {took for took, _ in outcomes} <= set(each_pass(steps.passes_at_most))
    assert sum(len(on[file]) for file in parts) == len(on[whole])


def inked(made: Plan, path: Path) -> set[int]:
    """Columns in which a marking program finds something to mark."""
    machine, head = machine_of(made), made.job.laser
    drawing = turned_to_item(drawing_from_file(path), head.field_axis, head.rim_towards)
    found = columns(
        drawing, machine.file_slice_mm, machine.asked_steps, machine.rounding, "left", machine.rad_per_step
    )  # fmt: skip
    return {number for number, column in enumerate(found, 1) if area_mm2(column.rings) > 1e-9}


@pytest.mark.parametrize("name", COATED)
def test_the_chance_is_that_of_a_person_who_does_so(plans: dict[str, Plan], name: str) -> None:
    """Walked truth by truth as printed, the pass at which one stops is the one that the chance is reckoned for."""
    made = plans[name]
    steps = made.removal
    assert steps.setting is not None
    assert steps.look_after == each_pass(steps.passes_at_most)
    truth = seen_by(made, steps.setting)
    job = made.job
    metal, coating = substances(job.item)
    assert isinstance(coating, Coating)
    draws = draws_for(job.item, metal, coating, job.laser, TRUTHS)
    _, stop = stop_shares(truth, draws, steps.passes_at_most)
    ablated = np.isinf(truth.thrown)
    for needed, at, slow in zip(truth.needed.tolist(), stop.tolist(), ablated.tolist(), strict=True):
        took = took_on_first(needed, steps.passes_at_most, steps.typed_passes)
        if slow:
            assert (took or steps.passes_at_most) == at


def told(made: Plan) -> tuple[str, ...]:
    """What is done with a plan, line by line."""
    return run_texts(actions_in_words(made))


def forms(made: Plan) -> dict[str, str]:
    """All that is said of a job, form by form."""
    sheet = setup_sheet(made)
    panel = plain(action_lines(quick_actions(made, None, "mm"), "mm", 100, 40))
    return {
        "sheet": " ".join(text_lines(sheet)),
        "short answer": " ".join(short_answer(made, actions_in_words(made))),
        "plain sheet": " ".join(plain_lines(sheet)),
        "plain answer": " ".join(short_answer(made, actions_in_words(made), plain=True)),
        "screen": panel,
    }


@pytest.mark.parametrize("name", COATED)
def test_no_form_has_the_planned_count_of_a_coating_as_a_number_to_type(plans: dict[str, Plan], name: str) -> None:
    """One at first, a blank for all others, and where to stop; every form says every step, in the same words."""
    made = plans[name]
    steps = made.removal
    rows = {row.id: row.value for row in actions_in_words(made).type}
    assert rows["passes"] == 1
    assert (steps.typed_passes, steps.passes_at_most) == (1, steps.look_after[-1])
    for form, text in forms(made).items():
        for count in {len(steps.rows), len(steps.rows) - 1} - {1}:
            assert f"Passes {count}" not in text, form
        if form != "screen":
            words = " ".join(text.replace("[ ] ", "").split())
            for step in told(made):
                assert (voice_text(step) if form.startswith("plain") else step) in words, form
    rollers = made.job.turning.kind == "rollers"
    assert (NEVER_ROUND in told(made)) == rollers
    assert any("cross" in step.casefold() for step in told(made))


def test_all_round_pass_by_pass_one_pass_stays_typed(plans: dict[str, Plan]) -> None:
    """In a chuck the order of the plan may stand: then it is the rounds that are counted, and slices cool between."""
    made = plans["boathouse-mug"]
    made = made.model_copy(update={"removal": made.removal.model_copy(update={"order": "all-round"})})
    steps = told(made)
    assert any("1 pass. Run the file all round as many times as you counted" in step for step in steps)
    assert not any("then let the item turn" in step for step in steps)


def test_where_slices_cool_in_turn_no_slice_gets_its_passes_at_once(plans: dict[str, Plan]) -> None:
    """A plan all round has no pause: an item of a list is not marked with all passes typed."""
    made = plans["boathouse-mug"]
    steps = made.removal.model_copy(update={"order": "all-round"})
    lists = first_notes(["a-first.svg", "a-second.svg", "a-rest.svg"], steps, rollers=False)
    wanted = "type 1 pass and the power that you wrote down, run the file all round as many times as you wrote down"
    first = told(made.model_copy(update={"removal": steps.as_first_item()}))
    assert any(wanted in step for step in lists)
    assert any("Type 1 pass. Run the file all round ____ times (the count of" in step for step in first)


def test_on_a_list_too_the_second_slice_gives_the_number(plans: dict[str, Plan]) -> None:
    """The first slice had passes at lower powers as well, so its own count is too low for all others."""
    steps = plans["regatta-bottle"].removal
    assert len(steps.rungs) > 1
    lists = first_notes(["a-first.svg", "a-second.svg", "a-rest.svg"], steps, rollers=True)
    (second,) = (note for note in lists if "a-second.svg" in note)
    assert "Type that power, count the passes again, and" in second
    assert second.index("write this number down instead") < second.index("import a-rest.svg, type the power and the")
    # The first item is marked like all others.
    assert [note.count(", then mark the last pass") for note in lists[:3]] == [1, 2, 1]


def test_the_pause_goes_with_the_number_typed(plans: dict[str, Plan]) -> None:
    """Whoever types several passes is told how long the slice rests between them, in every form."""
    made = plans["regatta-bottle"]
    assert made.removal.setting is not None
    steps = made.removal.model_copy(update={"setting": made.removal.setting.model_copy(update={"pause_s": 2.0})})
    rested = tuple(row.model_copy(update={"pause_before_s": 2.0}) for row in steps.rows)
    steps = steps.model_copy(update={"rows": rested})
    made = made.model_copy(update={"removal": steps})
    pause = f", pause {steps.pause_s:g} s"
    lists = first_notes(["a-first.svg", "a-second.svg", "a-rest.svg"], steps, rollers=True)
    every = [told(made), lists] + [
        told(made.model_copy(update={"removal": other})) for other in (steps.as_first_item(), steps.as_counted(7))
    ]
    assert all(any(pause in step for step in one) for one in every)
    assert lists[-2:] == [NEVER_ROUND, DULL]


def test_a_film_that_is_bleached_has_its_own_stop_on_a_list(plans: dict[str, Plan]) -> None:
    """Its metal is never bare, so no look can find it dull: the film must not burst."""
    steps = plans["regatta-bottle"].removal.as_counted(7).but(remarks=(PassRemark(id="bleached"),))
    assert first_notes(["a.svg"], steps, rollers=False)[-1] == BURST


@pytest.mark.parametrize("name", COATED)
def test_a_coated_item_has_a_box_a_slice(plans: dict[str, Plan], name: str) -> None:
    """Not one for each of its passes, whose number nobody knows yet; more than forty stand overleaf."""
    made = plans[name]
    paper = setup_sheet(made)
    blocks = [block for part in paper.all_sections for block in part.blocks if isinstance(block, Ticks)]
    assert [len(block.names) for block in blocks] == [made.split.slices]
    assert bool(paper.tables) == (made.split.slices > 40)


@pytest.mark.parametrize("name", BARE)
def test_bare_metal_is_typed_as_planned(plans: dict[str, Plan], name: str) -> None:
    """The number of passes and nothing to try first."""
    made = plans[name]
    steps = made.removal
    rows = {row.id: row.value for row in actions_in_words(made).type}
    assert rows["passes"] == len(steps.rows) == steps.typed_passes
    # Measured after a third of them at most, common practice.
    third = -(-len(steps.rows) // 3)
    assert actions_in_words(made).run.depth_check_after == min(third, steps.safe_passes or third)
    assert not any("Coating left" in step for step in told(made))
    assert steps.last_pass is None


def test_what_the_program_cannot_do_is_not_asked_for() -> None:
    """No last pass on rollers, in no form; in a chuck it goes round once all slices have had theirs."""
    rolled, chucked = (
        plan(job_from_file(examples()[name]).model_copy(update={"program": Program(can_change_setting=False)}), 60)
        for name in ("regatta-bottle", "oar-ferrule")
    )
    steps = rolled.removal
    every = [
        *told(rolled),
        *told(rolled.model_copy(update={"removal": steps.as_counted(7)})),
        *told(rolled.model_copy(update={"removal": steps.as_first_item()})),
        *first_notes(["a.svg", "a-first.svg", "a-rest.svg"], steps, rollers=True),
        *text_lines(setup_sheet(rolled)),
    ]
    assert every
    assert not [line for line in every if "last pass" in line.casefold()]
    assert "last pass" not in forms(rolled)["screen"].casefold()
    assert "Then mark the last pass once, all round." in told(chucked)
