"""The ladder: three chances that add up, an end that is worth it, a wall that keeps its wish, one answer for all."""

from dataclasses import replace
from typing import cast

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary.job import Job, job_from_file
from rotary.model import Model
from rotary.passes.learning.suggestions import suggestions
from rotary.passes.patch.layout import patch
from rotary.passes.plan.grid import Grid
from rotary.passes.plan.ladder import HIGHEST, LOWEST, STEP, climbs, fates, ladders
from rotary.passes.plan.looks import MOST_LOOKED, stop_shares
from rotary.passes.plan.pace import NEARLY_K, PacedLadder, _nearly_coolest
from rotary.passes.plan.prospects import _middle, prospects_of
from rotary.passes.plan.removal import WALL_WISH_C, removal_plan, wall_wish_c
from rotary.passes.plan.window import Passes
from rotary.plan import Plan, plan
from rotary.program import Program
from rotary.sentences.plan import actions_in_words
from rotary.setup import setup
from rotary.shipped import examples
from rotary.wishes import Wishes
from tests.stages.test_looking import draws

COATED = ("bellied-flask", "boathouse-mug", "oar-ferrule", "regatta-bottle")
LEVELS = HIGHEST - LOWEST + 1


def job_of(name: str, **tables: Model) -> Job:
    return Job(**dict(job_from_file(examples()[name])) | tables)


@pytest.fixture(scope="module")
def plans() -> dict[str, Plan]:
    return {name: plan(job_of(name)) for name in COATED}


def seen_at(needed: list[float], spare: list[float], lifts: bool = False) -> Passes:
    """Levels of which each takes fewer passes and leaves the metal less, as its pulses grow."""
    over = np.log(STEP) * np.arange(LOWEST, HIGHEST + 1)[:, None]
    n, s = np.array(needed)[None] * np.exp(-1.5 * over), np.array(spare)[None] - over
    thrown = np.full_like(n, np.inf) if not lifts else np.log(np.array(needed))[None] + over
    bare = np.where(thrown > 0, 0.0, np.inf) if lifts else 0.7 * n
    return Passes(n, bare, np.full_like(n, np.nan), s, np.full_like(n, 2.0), thrown)


@settings(deadline=None, max_examples=25)
@given(st.lists(st.floats(0.3, 40), min_size=4, max_size=9), st.floats(-0.5, 2.0), st.booleans())
def test_the_three_chances_add_up_and_only_move_one_way(needed: list[float], spare: float, lifts: bool) -> None:
    """A longer ladder cleans more and leaves less coated; what is neither is marked, and never comes back."""
    cloud = draws(len(needed))
    tale = fates(seen_at(needed, [spare] * len(needed), lifts), cloud, ladders() - LOWEST)
    clean, coated = tale.story.chances(cloud.weight)
    marked = 1 - clean - coated
    assert marked.min() > -1e-6
    assert (np.diff(clean, axis=0) > -1e-9).all()
    assert (np.diff(coated, axis=0) < 1e-9).all()


@pytest.mark.parametrize("lifts", [False, True])
def test_a_ladder_of_one_power_has_the_chance_of_stopping_at_the_first_clear_look(lifts: bool) -> None:
    """A frozen setting, reckoned in the other way: one look after each pass up to the last."""
    cloud = draws(400)
    needed = np.exp(np.random.default_rng(5).normal(0.8 if not lifts else 0.2, 0.7, 400))
    seen = seen_at(list(needed), [0.5] * 400, lifts)
    one = Passes(*(getattr(seen, name)[-LOWEST] for name in seen.__dataclass_fields__))
    good, _ = stop_shares(one, cloud, MOST_LOOKED)
    clean, _ = fates(seen, cloud, np.full((MOST_LOOKED, 1), -LOWEST)).story.chances(cloud.weight)
    assert clean[-1, 0] == pytest.approx(float(cloud.weight @ good), abs=0.03)


def test_a_dearer_item_ends_the_ladder_sooner_and_gentler() -> None:
    """Clean less price times marked: a higher price never takes a ladder that marks more."""
    cloud = draws(300)
    rng = np.random.default_rng(2)
    seen = seen_at(list(np.exp(rng.normal(2, 0.8, 300))), list(rng.normal(0.5, 0.5, 300)))
    marked = [
        max(climbs(seen, cloud, price, ladders()), key=lambda one: one.worth).marked for price in (0.05, 0.3, 2.0)
    ]
    assert marked[0] >= marked[1] >= marked[2]
    assert marked[0] > marked[2] + 0.03


def test_looks_that_are_wrong_cost_a_pass_on_clean_metal() -> None:
    """A clean place taken for a coated one gets one more pass: where the metal is on the brink that costs chance."""
    cloud = replace(draws(200), incubation=np.full(200, 0.8))
    brink = fates(seen_at([3.0] * 200, [0.35] * 200), cloud, np.full((8, 1), -LOWEST)).story
    sure = np.cumsum(np.diff(brink.clear, axis=0, prepend=0) * brink.stands, axis=0) @ cloud.weight
    clean, _ = brink.chances(cloud.weight)
    assert 0.002 < float(sure[-1, 0] - clean[-1, 0]) < 0.05


@pytest.mark.parametrize("name", COATED)
def test_shipped_items_get_a_gentle_ladder_and_a_cool_wall(plans: dict[str, Plan], name: str) -> None:
    """Low power, rising, under full; several passes, one at a time; the wall at or under its wish."""
    steps = plans[name].removal
    powers = [rung.power_share for rung in steps.rungs]
    assert powers == sorted(powers)
    assert powers[0] <= 0.57 + 1e-9
    assert powers[-1] <= 1
    assert sum(rung.passes for rung in steps.rungs) == steps.passes_at_most <= MOST_LOOKED
    assert steps.setting is not None
    assert powers[0] == steps.setting.power_share
    assert steps.wall_wish_c in (None, WALL_WISH_C)
    assert steps.wall_wish_c is None or steps.wall_c_95 <= steps.wall_wish_c
    assert 0 < steps.chance_with_looks + steps.chance_left_coated < 1


@pytest.mark.parametrize(("across_mm", "hot"), [(3.0, True), (11.0, True), (13.0, False)])
def test_a_small_solid_part_is_kept_cool(across_mm: float, hot: bool) -> None:
    """What is so thin has no depth for the heat to go to: a pin of 3 mm would reach over 200 °C."""
    ferrule = job_of("oar-ferrule")
    measurements = tuple(one.model_copy(update={"across_mm": across_mm}) for one in ferrule.item.measurements)
    item = ferrule.item.model_copy(update={"measurements": measurements, "solid": True, "wall_mm": None})
    artwork = ferrule.artwork.model_copy(update={"width_mm": across_mm})
    ready = setup(ferrule.model_copy(update={"item": item, "artwork": artwork}))
    assert wall_wish_c(ready) == (WALL_WISH_C if hot else None)


def test_a_cup_in_a_chuck_goes_all_round_before_it_rests() -> None:
    """Each slice cools while the others are marked, so no pass waits; a held pause is waited in one go as well. On
    rollers a second turn would not line up: there the same cup rests, and takes longer."""
    cup, rollers = job_of("heron-cup"), job_of("regatta-bottle").turning
    around, held = plan(cup).removal, plan(job_of("heron-cup", passes=Wishes(pause_s=8.0))).removal
    on_rollers = plan(cup.model_copy(update={"turning": rollers})).removal
    assert (around.order, around.pause_s) == ("all-round", 0)
    assert around.wall_c_95 <= WALL_WISH_C
    assert (held.order, held.pause_s) == ("all-round", 8.0)
    assert on_rollers.order == "slice-by-slice"
    assert on_rollers.pause_s > 0
    assert around.time_all_round_s is not None
    assert around.time_all_round_s < on_rollers.time_slice_by_slice_s


def test_few_slices_rest_between_rounds_where_that_is_quicker() -> None:
    """So few slices go round too soon to cool: they wait once a round, not once a pass, and the sheet says so."""
    cup = job_of("heron-cup")
    narrow = cup.artwork.model_copy(update={"width_mm": 30.0, "pieces": ()})
    made = plan(cup.model_copy(update={"artwork": narrow}))
    steps = made.removal
    assert (steps.order, made.split.slices) == ("all-round", 5)
    assert steps.pause_s > 0
    assert steps.wall_c_95 <= WALL_WISH_C
    assert steps.time_all_round_s is not None
    assert steps.time_all_round_s < 0.5 * steps.time_slice_by_slice_s
    told = " ".join(actions_in_words(made).run.texts)
    assert f"Wait {steps.pause_s:g} s or more between rounds." in told


def test_a_program_that_cannot_pause_gets_a_cooler_ladder_and_no_refusal() -> None:
    """Without a pause the bottle gets a cool ladder that is still worth a quarter, or is told how hot it gets."""
    bottle = plan(job_of("regatta-bottle", program=Program(can_pause=False))).removal
    assert bottle.setting is not None
    assert bottle.pause_s == 0
    assert bottle.wall_c_95 <= WALL_WISH_C or "hotter_than_wished" in [one.id for one in bottle.remarks]
    assert bottle.wall_c_95 < 250
    assert bottle.chance_with_looks > 0.1


def test_a_cooler_wish_is_kept_and_a_hotter_one_is_quicker(plans: dict[str, Plan]) -> None:
    """The person's own wish for the wall, each way."""
    usual = plans["regatta-bottle"].removal
    cool, hot = (plan(job_of("regatta-bottle", passes=Wishes(hottest_c=c))).removal for c in (110.0, 260.0))
    assert cool.wall_c_95 <= 110
    assert hot.time_slice_by_slice_s < usual.time_slice_by_slice_s


def test_what_counts_as_unmarked_is_the_persons() -> None:
    """The more the metal may show, the surer it is; the strict aim is the default."""
    chances = [
        plan(job_of("oar-ferrule", passes=Wishes(finish=finish))).removal.chance_with_looks
        for finish in ("as before", "light matte", "any mark")
    ]
    assert chances[0] < chances[1] < chances[2]
    assert chances[2] > chances[0] + 0.05
    assert Wishes().finish == "as before"


def test_plan_suggestions_and_patch_state_one_chance(plans: dict[str, Plan]) -> None:
    """One search: what the plan says is what the suggestions start from and what the patch says before it is read."""
    job = job_of("boathouse-mug")
    stated = plans["boathouse-mug"].removal.chance_with_looks
    assert removal_plan(setup(job)).chance_with_looks == stated
    assert suggestions(setup(job), budget_s=0.0)[0].chance == stated
    made = patch(setup(job))
    assert made.chance_now == stated
    assert made.chance >= stated


def test_a_column_of_the_patch_is_the_plans_own(plans: dict[str, Plan]) -> None:
    """First, middle and last power of the ladder, with the plan's frequency, lines, focus and pulse width."""
    steps = plans["regatta-bottle"].removal
    assert steps.setting is not None
    made = patch(setup(job_of("regatta-bottle")))
    names = ("frequency_khz", "line_spacing_mm", "defocus_mm", "pulse_width_ns", "speed_mm_s")
    own = [
        cell.setting for cell in made.cells if all(getattr(cell.setting, n) == getattr(steps.setting, n) for n in names)
    ]
    powers = {one.power_share for one in own}
    assert {steps.rungs[0].power_share, steps.rungs[-1].power_share} <= powers
    assert len(powers) >= 3


@pytest.mark.parametrize(("farther", "taken"), [(0.007, 0), (0.008, 1)])
def test_without_draws_half_the_time_is_worth_a_hair_of_distance(farther: float, taken: int) -> None:
    """Where no chance is known, the farthest from both edges is taken; of two nearly as far the quicker, and not one so
    quick that it stands at the edge: half the time outweighs 0.75 % of fluence, no more."""
    quick, slow = 1000.0, 500.0
    same = (np.full(2, value) for value in (0.05, 0.0))
    every = Grid(np.full(2, 0.5), np.full(2, 30.0), np.full(2, 0.3), np.array([quick, slow]), *same)
    # After four passes both stand exp(2 x 0.2) above what they need, the slow one a little more, and far from marking.
    needed = 4.5 * np.exp(-2 * np.array([[0.2], [0.2 + farther]]))
    seen = Passes(needed, needed, *(np.full((2, 1), value) for value in (1e9, 9.0, 0.0, np.inf)))
    assert _middle(every, [seen], draws(1), Wishes(passes=4)) == (0, taken)


def test_the_reason_of_the_order_is_true(plans: dict[str, Plan]) -> None:
    """A slice rests where all round would be quicker and was not taken; "quicker" is said only of what is."""
    reasons = set[str]()
    for name in ("bellied-flask", "boathouse-mug", "oar-ferrule"):
        steps = plans[name].removal
        assert steps.order == "slice-by-slice"
        assert steps.time_all_round_s is not None
        is_slower = steps.time_all_round_s < steps.time_slice_by_slice_s
        assert steps.order_why == ("rests" if is_slower else "quicker")
        reasons.add(steps.order_why)
    assert reasons == {"rests", "quicker"}


def test_of_runs_nearly_as_cool_the_quickest_is_taken() -> None:
    """The order that comes later counts too, and what is clearly hotter doesn't."""
    slow = PacedLadder(cast(Grid, None), (1,), 20.0, np.zeros((1, 1)), 160.0, 200.0)
    quick = slow._replace(wall_c=160.0 + NEARLY_K - 1, time_s=20.0, all_round=True)
    assert _nearly_coolest([slow, quick]) is quick
    assert _nearly_coolest([slow, quick._replace(wall_c=160.0 + NEARLY_K + 1)]) is slow


KEPT_WITH: dict[str, dict[str, dict[str, object]]] = {
    "coating": {"item": {"coating_thickness_um": 80.0}},
    "finish": {"passes": {"finish": "any mark"}},
    "runout": {"item": {"runout_mm": 6.0}},
    "fluence": {"tolerances": {"fluence_low_share": 0.7}},
    "speed": {"laser": {"top_speed_mm_s": 600.0}},
    "price": {"passes": {"spoiled_cost": 0.6}},
}


@pytest.mark.parametrize("what", KEPT_WITH)
def test_ladders_that_are_kept_go_with_all_that_they_come_of(what: str) -> None:
    """Planned after another job, a job has the plan that it has by itself."""
    job = job_of("regatta-bottle")
    tables = {name: getattr(job, name).model_copy(update=changes) for name, changes in KEPT_WITH[what].items()}
    other = job_of("regatta-bottle", **tables)
    prospects_of.cache_clear()
    alone = plan(other, 200)
    prospects_of.cache_clear()
    before = plan(job, 200)
    assert plan(other, 200) == alone
    assert alone.choice != before.choice


def test_ladders_are_looked_for_once_while_the_size_changes() -> None:
    """A key in a diameter counts their heat and time anew, not their chances."""
    job = job_of("regatta-bottle")
    before, counts = plan(job, 200), prospects_of.cache_info()
    first, *others = job.item.measurements
    wider = first.model_copy(update={"across_mm": first.across_mm + 0.5})
    item = job.item.model_copy(update={"measurements": (wider, *others)})
    after = plan(job_of("regatta-bottle", item=item), 200)
    assert after.layout != before.layout
    assert prospects_of.cache_info().misses == counts.misses
    assert prospects_of.cache_info().hits > counts.hits


def test_more_passes_than_a_free_ladder_has_are_planned_as_held() -> None:
    """Passes that the person holds are all in the plan, far past those of any free ladder."""
    held = MOST_LOOKED + 12
    removal = plan(job_of("regatta-bottle", passes=Wishes(passes=held)), 200).removal
    assert removal.passes_at_most == held
    assert [row.kind for row in removal.rows] == ["lift"] * held + ["finish"]
