"""The passes' planning: honest about doubt, inside the head's controls, right against brute force."""

from functools import lru_cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary.artwork.layout import Artwork
from rotary.errors import Refused
from rotary.focus import BudgetRow, Focus, SlicedSetup
from rotary.formulas.focus_budget import fluence_range
from rotary.item import Item, Measurement
from rotary.laser import LaserAndLens, optics
from rotary.passes.beliefs.draws import Coating, Material, coatings, drawn, metals
from rotary.passes.plan import heat, window
from rotary.passes.plan.grid import Light
from rotary.passes.plan.pauses import Course, shortest_pause
from rotary.passes.plan.removal import PRICE_UNTRIED, choice, removal
from rotary.passes.plan.setting import Choice, Removal
from rotary.passes.plan.typed_settings import grid_from
from rotary.sentences.passes import look
from rotary.setup import Setup
from rotary.slices.models import Split
from rotary.tolerances import Tolerances
from rotary.turning.models import Chuck, Rollers
from tests.setups import setup_of

HEAD = LaserAndLens(
    name="a test head",
    rated_power_w=30,
    largest_pulse_mj=1.0,
    lowest_frequency_khz=20,
    highest_frequency_khz=80,
    focal_length_mm=254,
    field_mm=170,
)
ARTWORK = Artwork(width_mm=60, height_mm=40, centre_mm=75)
DARK = coatings()["polyester-powder-dark"]
assert isinstance(DARK, Coating)


def bottle(**changed: object) -> Item:
    measurements = (Measurement(at_mm=0, across_mm=80), Measurement(at_mm=180, across_mm=80))
    return Item.model_validate({"name": "a test bottle", "measurements": measurements, **changed})


def ready(item: Item, head: LaserAndLens = HEAD, drive: Chuck | Rollers | None = None, **tolerances: float) -> Setup:
    return setup_of(item, ARTWORK, head, drive or Rollers(), tolerances=Tolerances(**tolerances))


def chosen(item: Item, head: LaserAndLens = HEAD, draws: int = 600, **tolerances: float) -> Choice:
    return choice(ready(item, head, **tolerances), draws)


def planned(
    item: Item,
    drive: Chuck | Rollers | None = None,
    head: LaserAndLens = HEAD,
    draws: int = 600,
    found: Choice | None = None,
    off_mm: float = 0.3,
) -> Removal:
    """A removal plan on a split and a focus made by hand: nine slices of 7 mm, places off by so much either way."""
    start = ready(item, head, drive)
    cut = Split.model_construct(inked_slices=9, slices=9, slice_width_mm=7.0, index_angle_rad=0.175)
    sharp = Focus.model_construct(budget=(BudgetRow(id="shape", low_mm=-off_mm, high_mm=off_mm),))
    return removal(SlicedSetup(**dict(start), split=cut, focus=sharp), found or choice(start, draws))


@lru_cache(maxsize=8)
def usual(draws: int = 600) -> Removal:
    return planned(bottle(), draws=draws)


# Against brute force
@pytest.mark.parametrize("seed", range(6))
def test_passes_needed_are_those_of_a_surface_dug_pulse_by_pulse(seed: int) -> None:
    """A fine grid of points, each pulse's depth subtracted, tells the same passes until clear and until first bare."""
    some = drawn(metals()["stainless-304"], DARK, 70.0, None, True, 1000)
    mix = np.random.default_rng(seed)
    one = some.each(lambda values: values[[mix.integers(1000)]])
    hatch = float(mix.choice([0.03, 0.05, 0.08]))
    beam = optics(HEAD)
    waist = beam.spot_um / 2000
    w = float(np.hypot(waist * one.spot_factor, 8.0 * waist / beam.rayleigh_mm * one.divergence_factor)[0])
    peak = float(one.threshold_j_cm2[0]) * float(mix.uniform(1.5, 6))
    pulse = peak * np.pi * w**2 / 2 * 10 / float(one.power_factor[0])
    keyed = window.Grid(*(np.array([value]) for value in (0.5, 40.0, pulse, 4e4 * hatch, hatch, 8.0)))
    dug = Material(metals()["stainless-304"], DARK, _with(one, lifts=0.0, energy_j_mm3=1e-9))
    unlimited = window.passes(keyed, dug, 100.0, beam, Light(np.ones(1), np.ones(1)))
    places = (np.arange(40) + 0.5) / 40 * hatch
    depth = np.zeros((40, 40))
    reach = int(np.ceil(3 * w / hatch))
    for i in range(-reach, reach + 1):
        for j in range(-reach, reach + 1):
            r2 = (places[:, None] - i * hatch) ** 2 + (places[None, :] - j * hatch) ** 2
            fluence = peak * np.exp(-2 * r2 / w**2)
            depth += float(one.depth_um[0]) * np.log(np.maximum(fluence / float(one.threshold_j_cm2[0]), 1.0))
    with np.errstate(divide="ignore"):
        needed, bare = float(one.thickest_um[0]) / depth.min(), float(one.thinnest_um[0]) / depth.max()
    assert unlimited.needed[0, 0] == pytest.approx(needed, rel=0.03)
    assert unlimited.bare_after[0, 0] == pytest.approx(bare, rel=0.03)


def _with(draws: object, **values: float) -> object:
    from dataclasses import replace

    return replace(draws, **{name: np.array([value]) for name, value in values.items()})  # type: ignore[type-var]


@pytest.mark.slow
def test_the_wall_warms_as_a_ring_in_finite_differences() -> None:
    """Slices on a ring, a front of lines that moves over each block: the hottest place of every pass on the last slice
    is within a tenth of the plan's figure. Cells are as wide as the wall is thick: no wall evens out within less.
    """
    metal = metals()["stainless-304"]
    draws = drawn(metal, DARK, None, 0.5, True, 0)
    beat = heat.Round(2.0, 3.0, 0.4, 3, False, 8.0, 20.0, 100.0, 90.0, 0.5, True)
    doses = np.full(5, 0.12)
    weights = heat.heat_weights(beat, metal, len(doses), np.array([beat.pause_s]))[0]
    found = (weights @ heat.laid_k(beat, metal, draws, doses, np.array([2.5])))[:, 0]
    size, spread, air = 0.5, 4.05, heat._AIR_W_M2K / (0.5 * 0.004 * 1e6)
    rise, x = np.zeros((200, 180)), (np.arange(200) + 0.5) * size
    y, dt = (np.arange(180) + 0.5) * size - 45.0, 0.01
    per_mm2 = 0.5 * 0.004
    for number in range(3):
        across = np.abs(x - 30 - 8 * number) < 4
        peaks = []
        for at in range(5):
            share = min(max(2.5 - at, 0), 1)
            absorbed = share * draws.residual_share[0] + (1 - share) * draws.absorptivity[0]
            heat_k = absorbed * doses[at] * draws.power_factor[0] / per_mm2 / draws.wall_mm[0] * 0.5
            peaks.append(0.0)
            # After the last pass the item turns.
            for step in range(500 + 40 * (at == 4)):
                if step < 200:
                    # A tenth of a millimetre of the 20 that are passed in two seconds.
                    front = -10.0 + 0.1 * step
                    met = np.minimum(y + size / 2, front + 0.1) - np.maximum(y - size / 2, front)
                    rise[across] += heat_k * np.maximum(met, 0.0) / size
                    peaks[at] = max(peaks[at], float(rise[across].max()))
                wide = np.pad(np.pad(rise, ((1, 1), (0, 0)), mode="wrap"), ((0, 0), (1, 1)), mode="edge")
                lap = wide[2:, 1:-1] + wide[:-2, 1:-1] + wide[1:-1, 2:] + wide[1:-1, :-2] - 4 * rise
                rise = rise + dt * (spread / size**2 * lap - air * rise)
    assert found == pytest.approx(peaks, rel=0.1)


# The choice


def test_the_choice_is_in_the_heads_own_controls() -> None:
    """Whole power steps, a rate and a pulse energy that the source has, a speed the mirrors reach, defocus above."""
    found = chosen(bottle()).setting
    assert found is not None
    assert found.power_share / HEAD.power_step_share == pytest.approx(round(found.power_share / HEAD.power_step_share))
    assert HEAD.lowest_frequency_khz <= found.frequency_khz <= HEAD.highest_frequency_khz
    assert found.pulse_mj <= HEAD.largest_pulse_mj * (1 + 1e-9)
    assert found.power_w == pytest.approx(found.pulse_mj * found.frequency_khz)
    assert found.speed_mm_s <= HEAD.top_speed_mm_s
    assert found.speed_mm_s == pytest.approx(1e3 * found.frequency_khz * found.line_spacing_mm)
    assert found.defocus_mm >= 0
    assert found.defocus_mm % 0.5 == 0
    assert found.dose_j_mm2 == pytest.approx(found.power_w / (found.speed_mm_s * found.line_spacing_mm))


@settings(max_examples=25, deadline=None)
@given(
    st.floats(2, 500),
    st.floats(0.02, 1),
    st.floats(0.2, 300),
    st.floats(1.01, 20),
    st.floats(60, 420),
    st.floats(0.005, 0.5),
)
def test_any_head_gets_a_setting_it_can_do_or_a_reason(
    watts: float, share: float, khz: float, times: float, focal: float, step: float
) -> None:
    """Whatever the source, the choice either stays inside its limits or says why there is none."""
    mj, times = share * watts / khz, max(times, 1.01 / share)
    head = HEAD.model_copy(
        update={
            "rated_power_w": watts,
            "largest_pulse_mj": mj,
            "lowest_frequency_khz": khz,
            "highest_frequency_khz": khz * times,
            "focal_length_mm": focal,
            "field_mm": 50.0,
            "power_step_share": step,
        }
    )
    for draws in (0, 100):
        found = choice(ready(bottle(), head), draws)
        if found.setting is None:
            assert found.refused
            assert found.would_change_it
            continue
        assert found.setting.power_share <= 1 + 1e-9
        assert found.setting.pulse_mj <= mj * (1 + 1e-6)
        assert khz * (1 - 1e-9) <= found.setting.frequency_khz <= khz * times * (1 + 1e-9)
        assert found.setting.speed_mm_s <= head.top_speed_mm_s * (1 + 1e-6)


def test_the_same_job_gets_the_same_answer() -> None:
    """The draws have a fixed seed: twice the same job, twice the same plan to the last digit."""
    assert chosen(bottle()) == chosen(bottle())


def test_more_draws_hardly_move_the_worth() -> None:
    """Another thousand draws may choose another ladder, but not one that is worth much more or less."""
    plans = [planned(bottle(), draws=draws) for draws in (1000, 8000)]
    few, many = (one.chance - PRICE_UNTRIED * (1 - one.chance_unmarked) for one in plans)
    assert few == pytest.approx(many, abs=0.1)


def test_looking_helps_and_doubt_is_never_hidden() -> None:
    """A person who looks does at least as well; both chances hold is at most each of them."""
    found = chosen(bottle())
    assert 0 < found.chance <= found.chance_with_looks
    assert found.chance <= min(found.chance_clean, found.chance_unmarked)


def test_knowing_the_coating_and_holding_the_focus_help() -> None:
    """A steadier focus, a flatter slice and a measured thickness raise the chance of the best setting."""
    plain = chosen(bottle(), draws=1000)
    steady = {"focus_mm": 0.1, "fluence_low_share": 0.97, "fluence_high_share": 1.03}
    known = chosen(bottle(coating_thickness_um=60.0, wall_mm=0.8), draws=1000, **steady)
    assert known.chance_with_looks > plain.chance_with_looks


def test_without_draws_no_chance_is_pretended() -> None:
    """Central figures alone give a setting, and chances of nought that the first line explains."""
    plan = planned(bottle(), draws=0)
    assert plan.setting is not None
    assert (plan.chance, plan.chance_clean, plan.chance_unmarked, plan.chance_with_looks) == (0, 0, 0, 0)
    assert not plan.in_doubt


@pytest.mark.parametrize("name", ["fluoropolymer-nonstick", "vinyl"])
def test_poisonous_coatings_are_refused_with_the_reason(name: str) -> None:
    """No setting, no rows, the gas named."""
    plan = planned(bottle(coating=name))
    assert plan.setting is None
    assert plan.rows == ()
    assert "hydrogen" in str(plan.refused)


def test_unknown_names_are_told_the_known_ones_both_at_once() -> None:
    """A person who types another metal and coating reads which names there are, in one go."""
    with pytest.raises(Refused) as caught:
        chosen(bottle(metal="unobtainium", coating="magic"))
    assert [fault.where for fault in caught.value.faults] == ["item.metal", "item.coating"]
    assert "stainless-304" in caught.value.faults[0].says
    assert "polyester-powder-dark" in caught.value.faults[1].says


def test_no_window_is_an_answer_with_reasons() -> None:
    """A source that can't get below what marks the metal gets no plan, but why and what would change it."""
    coarse = HEAD.model_copy(update={"power_step_share": 0.5, "rated_power_w": 2000.0, "largest_pulse_mj": 100.0})
    plan = planned(bottle(metal="titanium-grade-5", coating="polyester-powder-light"), head=coarse)
    assert plan.setting is None
    assert plan.refused
    assert plan.would_change_it


# The plan


def test_the_rows_tell_the_whole_plan_in_order() -> None:
    """Removal passes by the ladder's powers, a last one with less energy, pauses between; typed one at a time."""
    plan = usual()
    assert plan.setting is not None
    lifts = [row for row in plan.rows if row.kind == "lift"]
    assert [row.number for row in plan.rows] == list(range(1, len(plan.rows) + 1))
    assert len(lifts) == plan.setting.passes
    last = plan.rows[-1]
    assert last.kind == "finish"
    assert (last.fill_direction, last.line_shift_mm) != (lifts[0].fill_direction, lifts[0].line_shift_mm)
    assert [row.power_share for row in lifts] == sorted(row.power_share for row in lifts)
    assert last.power_share / last.speed_mm_s < lifts[0].power_share / lifts[0].speed_mm_s
    assert plan.rows[0].pause_before_s == 0
    assert all("STOP" in look(plan, row) for row in lifts)
    assert plan.typed_passes == 1
    assert plan.look_after == tuple(range(1, plan.passes_at_most + 1))
    assert plan.passes_at_most >= plan.setting.passes
    assert plan.last_pass == last


def test_below_seven_in_ten_a_plan_is_in_doubt() -> None:
    """Counted over the draws; without draws no chance is told, and none is doubted."""
    plan = usual()
    assert plan.in_doubt == (plan.chance_with_looks < 0.7)
    assert plan.model_copy(update={"chance_with_looks": 0.69}).in_doubt
    assert not plan.model_copy(update={"chance_with_looks": 0.71}).in_doubt
    assert not plan.model_copy(update={"samples": 0, "chance_with_looks": 0.0}).in_doubt


def test_a_worse_focus_lowers_the_chance() -> None:
    """The chance is that of the split's own worst places: a wider budget can only cost."""
    tight, loose = planned(bottle(), off_mm=0.1), planned(bottle(), off_mm=0.9)
    assert loose.chance_clean <= tight.chance_clean
    assert loose.chance < tight.chance


def test_rollers_keep_to_one_slice_at_a_time_and_a_chuck_may_choose() -> None:
    """Creep forbids going all round on rollers; a chuck is told both times."""
    on_rollers, in_chuck = usual(), planned(bottle(), Chuck())
    assert on_rollers.order == "slice-by-slice"
    assert on_rollers.time_all_round_s is None
    assert on_rollers.order_why in ("creep", "rollers")
    assert in_chuck.time_all_round_s is not None
    assert in_chuck.time_slice_by_slice_s > 0


def test_a_thinner_wall_gets_hotter_or_waits_longer() -> None:
    """The same setting on a quarter of the wall: more heat, or pauses that keep it down."""
    found = chosen(bottle(wall_mm=1.2))
    thick, thin = planned(bottle(wall_mm=1.2), found=found), planned(bottle(wall_mm=0.3), found=found)
    assert thin.setting is not None
    assert thick.setting is not None
    assert thin.wall_c_50 > thick.wall_c_50
    assert thin.setting.pause_s >= thick.setting.pause_s
    for plan in (thick, thin):
        assert 20 <= plan.wall_c_5 <= plan.wall_c_50 <= plan.wall_c_95


def test_a_thin_wall_makes_the_plan_wait() -> None:
    """A heavy dose on a wall of a third of a millimetre brings in pauses; on three millimetres it needs none."""
    metal = metals()["stainless-304"]
    doses, works = np.full(10, 0.5), np.ones(600, bool)

    def pause(wall_mm: float) -> float:
        draws = drawn(metal, DARK, None, wall_mm, True, 600)
        beat = heat.Round(2.0, 0.0, 0.4, 9, False, 8.0, 20.0, 250.0, 180.0, wall_mm, True)
        course = Course(doses, np.full(600, 1.0), works)
        return shortest_pause(beat, 2.0, Material(metal, DARK, draws), course)[0]

    assert pause(3.0) == 0.0
    assert pause(0.35) > 0.0


def test_a_solid_part_sinks_the_heat() -> None:
    """A solid bar of the same size stays cooler than a wall of half a millimetre."""
    wall, bar = planned(bottle(wall_mm=0.5, metal="mild-steel")), planned(bottle(solid=True, metal="mild-steel"))
    assert bar.wall_c_50 < wall.wall_c_50


def test_bare_metal_gets_passes_that_cut_with_an_honest_depth() -> None:
    """Without a coating the plan cuts, its depth a range of several, the same in rows and total."""
    plan = planned(bottle(coating=None, metal="brass-c26000", solid=True))
    assert {row.kind for row in plan.rows} == {"cut"}
    assert 0 < plan.depth_um_5 < plan.depth_um_50 < plan.depth_um_95
    assert plan.depth_um_95 > 3 * plan.depth_um_5
    assert plan.setting is not None
    assert plan.setting.defocus_mm == 0


def test_cutting_a_thin_wall_warns_of_its_depth() -> None:
    """Ten cutting passes may take a tenth of a bare bottle's wall: the plan says so; on a solid bar it need not."""
    wall, bar = planned(bottle(coating=None, wall_mm=0.4)), planned(bottle(coating=None, solid=True))
    assert any(one.id == "thin_wall" for one in wall.remarks)
    assert not any(one.id == "thin_wall" for one in bar.remarks)


@pytest.mark.parametrize("across_mm", [3.0, 400.0])
@pytest.mark.parametrize("solid", [False, True])
def test_a_pin_and_a_drum_get_a_plan_with_finite_heat(across_mm: float, solid: bool) -> None:
    """From a pin of 3 mm to a drum of 400 mm: a finite temperature, above the room's, and a time."""
    measurements = tuple({"at_mm": at, "across_mm": across_mm} for at in (0, 180))
    item = bottle(measurements=measurements, solid=solid, metal="aluminium-6061")
    small = ARTWORK.model_copy(update={"width_mm": across_mm})
    start = setup_of(item, small, HEAD, Chuck(axis_height_mm=260))
    count = max(1, round(across_mm / 7))
    cut = Split.model_construct(
        inked_slices=count, slices=count, slice_width_mm=across_mm / count, index_angle_rad=14 / across_mm / count
    )
    plan = removal(SlicedSetup(**dict(start), split=cut, focus=Focus.model_construct(budget=())), choice(start, 300))
    assert 20 < plan.wall_c_5 <= plan.wall_c_95 < 1500
    assert plan.time_slice_by_slice_s > 0


def test_a_ladder_read_back_is_the_same_ladder() -> None:
    """What the plan keys in, walked draw by draw and pass by pass, gives the share that it states to come clear."""
    plan, steel = planned(bottle()), metals()["stainless-304"]
    assert plan.setting is not None
    draws, powers = drawn(steel, DARK, None, None, False, 600), [rung.power_share for rung in plan.rungs]
    settings = grid_from(plan.setting).scaled(np.array(powers) / plan.setting.power_share)
    tolerances, setting = ready(bottle(), HEAD).job.tolerances, plan.setting
    shares = fluence_range(setting.defocus_mm, optics(HEAD).rayleigh_mm, -0.3, 0.3)
    light = Light(*(np.full(len(powers), share) for share in shares), tolerances.focus_mm / 1.96)
    seen = window.passes(settings, Material(steel, DARK, draws), plan.setting.pulse_width_ns, optics(HEAD), light)
    clear = 0
    for draw in range(600):
        gone, thrown = 0.0, False
        for rung, at in enumerate(plan.rungs):
            thrown |= bool(0 <= seen.thrown[rung, draw] < np.inf)
            gone += at.passes / seen.needed[rung, draw] if np.isinf(seen.thrown[rung, draw]) else 0.0
        clear += thrown or gone >= 1
    assert clear / 600 == pytest.approx(plan.chance_clean, abs=0.05)
