"""The passes on a coating played as they are printed: one typed, a look, again; then what it took for all others."""

from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from rotary.artwork.rings import area_mm2, rings_from_list
from rotary.card.keying import numbers_to_key_in
from rotary.card.paper import card_paper
from rotary.card.plain import plain_answer, plain_card
from rotary.card.setup import answer_lines, card_lines
from rotary.job import job_from_file
from rotary.papers.model import Ticks
from rotary.passes.beliefs.draws import Coating, Material, draws_for, substances
from rotary.passes.plan.choosing import grid_from
from rotary.passes.plan.grid import Light
from rotary.passes.plan.looking import each_pass, stopping
from rotary.passes.plan.removal import usual_light
from rotary.passes.plan.setting import Setting
from rotary.passes.plan.window import Passes, passes
from rotary.plan import Plan, plan
from rotary.program import Program
from rotary.sentences.running import NEVER_ROUND, run, steps_as_counted, steps_of_files
from rotary.series.results import first_notes
from rotary.services.files import plain_export, slice_sheet
from rotary.services.simulation import machine_of
from rotary.sheet.reread import drawing_from_file
from rotary.shipped import examples
from rotary.simulate.controller import columns, turned_to_item
from tui.drawings.actions import action_lines
from tui.drawings.canvas import plain
from tui.planner.request import quick_actions

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
    light = Light(*(np.array([share]) for share in usual_light(made.focus, made.optics, setting.defocus_mm)))
    draws = draws_for(job.item, metal, coating, job.head, TRUTHS)
    found = passes(grid_from(setting), Material(metal, coating, draws), setting.pulse_ns, made.optics, light)
    return found.row(0)


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
    if made.split.method == "plain":
        made, (whole, *parts) = plain_export(made, ink, tmp_path)
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
    assert len(outcomes) > TRUTHS / 4
    # What it takes differs from truth to truth: no one number could have been printed.
    assert len({took for took, _ in outcomes}) > 1
    assert {took for took, _ in outcomes} <= set(each_pass(steps.passes_at_most))
    assert sum(len(on[file]) for file in parts) == len(on[whole])


def inked(made: Plan, path: Path) -> set[int]:
    """Columns in which a marking program finds something to mark."""
    machine, head = machine_of(made), made.job.head
    drawing = turned_to_item(drawing_from_file(path), head.field_axis, head.rim_towards)
    found = columns(
        drawing, machine.column_mm, machine.asked_steps, machine.rounding, "left", machine.rad_per_step
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
    draws = draws_for(job.item, metal, coating, job.head, TRUTHS)
    _, stop = stopping(truth, draws, steps.passes_at_most)
    ablated = np.isinf(truth.thrown)
    for needed, at, slow in zip(truth.needed.tolist(), stop.tolist(), ablated.tolist(), strict=True):
        took = took_on_first(needed, steps.passes_at_most, steps.typed_passes)
        if slow:
            assert (took or steps.passes_at_most) == at


def forms(made: Plan) -> dict[str, str]:
    """All that is said of a job, form by form."""
    panel = plain(action_lines(quick_actions(made, None, "mm"), "mm", 100, 40))
    return {
        "card": "\n".join(card_lines(made)),
        "short answer": "\n".join(answer_lines(made)),
        "plain card": "\n".join(plain_card(made)),
        "plain answer": "\n".join(plain_answer(made)),
        "screen": panel,
        "keyed": "\n".join(f"{one.label} {one.text} {one.unit}" for one in numbers_to_key_in(made)),
    }


@pytest.mark.parametrize("name", COATED)
def test_no_form_has_the_planned_count_of_a_coating_as_a_number_to_type(plans: dict[str, Plan], name: str) -> None:
    """One at first, a blank for all others, and where to stop; the last pass has its own numbers."""
    made = plans[name]
    steps, last = made.removal, made.removal.last_pass
    assert last is not None
    keyed = {one.id: one.text for one in numbers_to_key_in(made)}
    assert (keyed["passes"], keyed["passes_rest"]) == ("1", "____")
    assert keyed["last_power"] == f"{100 * last.power_share:g}"
    assert (steps.typed_passes, steps.passes_at_most) == (1, steps.look_after[-1])
    for form, text in forms(made).items():
        for count in {len(steps.rows), len(steps.rows) - 1} - {1}:
            assert f"Passes {count}" not in text, form
            assert f"{count} lifting" not in text, form
    for form in ("card", "short answer", "plain card", "plain answer"):
        text = " ".join(forms(made)[form].split())
        for step in run(made):
            assert step.replace("____", "blank" if form.startswith("plain") else "____") in text.replace("[ ] ", "")
    rollers = made.job.drive.kind == "rollers"
    assert any("Never go round again on rollers" in step for step in run(made)) == rollers
    assert any("witness mark" in step for step in run(made)) == rollers


def test_all_round_pass_by_pass_one_pass_stays_typed(plans: dict[str, Plan]) -> None:
    """In a chuck the order of the plan may stand: then it is the rounds that are counted, and slices cool between."""
    made = plans["boathouse-mug"]
    found = made.removal.model_copy(update={"order": "all-round"})
    made = made.model_copy(update={"removal": found})
    steps = run(made)
    keyed = {one.id: one.label for one in numbers_to_key_in(made)}
    assert keyed["passes_rest"].startswith("Times round")
    assert any("leave 1 pass typed" in step for step in steps)
    assert "First slice alone" in steps[0]
    assert not any("then turn" in step for step in steps)


def test_where_slices_cool_in_turn_no_slice_gets_its_passes_at_once(plans: dict[str, Plan]) -> None:
    """A plan all round has no pause: a file a slice, or an item of a list, is not marked with all passes typed."""
    made = plans["boathouse-mug"]
    steps = made.removal.model_copy(update={"order": "all-round"})
    lists = first_notes(["a-first.svg", "a-second.svg", "a-rest.svg"], steps, rollers=False)
    for told in (steps_of_files(steps, "a-3-of-9.svg", made.job.item), steps_of_files(steps, "", made.job.item), lists):
        assert not any("type the number of passes" in step for step in told)
        assert any("1 pass" in step and "as often as written down" in step for step in told)


def test_the_pause_goes_with_the_number_typed(plans: dict[str, Plan]) -> None:
    """Whoever types several passes is told how long the slice rests between them, in every form."""
    made = plans["regatta-bottle"]
    item, steps = made.job.item, made.removal
    assert steps.setting is not None
    steps = steps.model_copy(update={"setting": steps.setting.model_copy(update={"pause_s": 2.0})})
    made = made.model_copy(update={"removal": steps})
    pause = f", pause {steps.pause_s:g} s between passes"
    files, alone = (steps_of_files(steps, name, item, rollers=True) for name in ("a-3-of-9.svg", ""))
    lists = first_notes(["a-first.svg", "a-second.svg", "a-rest.svg"], steps, rollers=True)
    counted = steps_as_counted(7, False, True, steps.pause_s)
    told = (
        run(made),
        run(made, 1),
        files,
        alone,
        lists,
        run(made.model_copy(update={"removal": steps.as_first_item()})),
        counted,
    )
    assert all(any(pause in step for step in one) for one in told)
    assert NEVER_ROUND in lists


@pytest.mark.parametrize("name", COATED)
def test_a_coated_item_has_a_box_a_slice(plans: dict[str, Plan], name: str) -> None:
    """Not one for each of its passes, whose number nobody knows yet."""
    made = plans[name]
    blocks = [block for part in card_paper(made).sections for block in part.blocks if isinstance(block, Ticks)]
    assert [sum(many for _, many in block.groups) for block in blocks] == [made.split.slices]


@pytest.mark.parametrize("name", BARE)
def test_bare_metal_is_typed_as_planned(plans: dict[str, Plan], name: str) -> None:
    """The number of passes and nothing to try first."""
    made = plans[name]
    steps = made.removal
    keyed = {one.id: one.text for one in numbers_to_key_in(made)}
    assert keyed["passes"] == f"{len(steps.rows)}" == f"{steps.typed_passes}"
    assert "passes_rest" not in keyed
    assert run(made) == ()
    assert steps.last_pass is None


def test_what_the_program_cannot_do_is_not_asked_for() -> None:
    """No last pass on rollers, in no form; in a chuck it goes round once all slices have had theirs."""
    rolled, chucked = (
        plan(job_from_file(examples()[name]).model_copy(update={"program": Program(can_change_setting=False)}), 60)
        for name in ("regatta-bottle", "oar-ferrule")
    )
    steps, item = rolled.removal, rolled.job.item
    told = [
        *run(rolled),
        *run(rolled.model_copy(update={"removal": steps.as_counted(7)})),
        *run(rolled.model_copy(update={"removal": steps.as_first_item()})),
        *steps_of_files(steps, "a-3-of-9.svg", item, rollers=True),
        *first_notes(["a.svg", "a-first.svg", "a-rest.svg"], steps, rollers=True),
        *(line for line in card_lines(rolled) if "witness" not in line.casefold()),
    ]
    assert told
    assert not [line for line in told if "last pass" in line.casefold()]
    assert [key.id for key in numbers_to_key_in(rolled)][-2:] == ["passes", "passes_rest"]
    assert "last pass" not in forms(rolled)["screen"].casefold()
    after_all = "Then the last pass once, all round."
    assert after_all in run(chucked)
    assert run(chucked)[-1] == after_all
