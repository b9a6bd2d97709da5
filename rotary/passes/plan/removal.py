"""The removal plan: a ladder chosen over all beliefs at once, its passes, its chances, its heat, its time."""

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Final, TypeVar

import numpy as np

from rotary.focus import SlicedSetup, sliced_setup
from rotary.formulas.estimate import HOLDS_95
from rotary.formulas.focus_budget import fluence_range
from rotary.model import Values
from rotary.passes.beliefs.belief import quantile
from rotary.passes.beliefs.draws import Coating, Draws, RefusedCoating, material_for, substances
from rotary.passes.plan import remarks
from rotary.passes.plan.cuts import bare_metal, cutting_setting
from rotary.passes.plan.edges import edges_of
from rotary.passes.plan.grid import Grid, Light
from rotary.passes.plan.heat import Round
from rotary.passes.plan.ladder import Fates, LadderStory, fates
from rotary.passes.plan.looks import each_pass
from rotary.passes.plan.pace import LadderStart, PacedLadder, Rhythm, at_full_rate, fastest, keeps_wish
from rotary.passes.plan.pauses import hot_limit_c
from rotary.passes.plan.prospects import Terms
from rotary.passes.plan.rows import (
    Work,
    beat_of,
    finishing_hatch,
    has_last_pass,
    is_file_per_slice,
    is_last_after_all,
    laddered,
    row_of,
    temperatures,
    turns_between,
)
from rotary.passes.plan.search import Best, best
from rotary.passes.plan.setting import (
    AFTER,
    BEFORE,
    FAIR,
    GOOD,
    ROOM_C,
    Choice,
    Edges,
    HotWall,
    PassRemark,
    PassRow,
    PowerRung,
    Removal,
    Setting,
)
from rotary.passes.plan.timing import slice_time, timing
from rotary.passes.plan.typed_settings import finishing, grid_from, setting_from
from rotary.passes.plan.window import Passes, passes
from rotary.setup import Setup
from rotary.turning.models import Chuck
from rotary.wishes import feasible

Rest = TypeVar("Rest")

# What a slice is likely to be, before the split is known: the plan is computed again with the real one.
_LIKELY_SLICE_MM: Final = 6.0
_LIKELY_SLICE_RADII: Final = 0.125
_LIKELY_INDEX_S: Final = 0.4
# The world is not the model, and a look may be wrong: however well the draws agree, no plan is stated surer.
TRUSTED: Final = 0.97
PRICE_UNTRIED: Final = 0.25
PRICE_READ: Final = 0.4
"""What a marked item costs, in clean ones, before readings and after: estimates, from the bench."""
WALL_WISH_C: Final = 150.0
"""The hottest that a thin coated wall should get: powder is cured near 180 to 200 degC, and items have seals; common
practice, no source."""
THIN_WALL_MM: Final = 3.0
"""From so thick a wall on heat is no limit, or a solid part four times as thick: estimate."""


def wall_wish_c(setup: Setup) -> float | None:
    """The hottest that the wall should get [degC]; None where heat is no limit."""
    item, wish_c = setup.job.item, setup.job.passes.hottest_c
    # Half its radius is how deep a solid part is for the heat that comes in from round it.
    thick_mm = setup.layout.reference_radius_mm / 2 if item.solid else item.wall_mm or 0.0
    return wish_c if wish_c is not None or thick_mm >= THIN_WALL_MM else WALL_WISH_C


def _limit_c(setup: Setup, draws: Draws) -> float:
    """The hottest that a ladder is paced for: the wish, and what one metal in twenty would show."""
    touchy = quantile(hot_limit_c(draws), draws.weight, 0.05)
    return min(touchy, wall_wish_c(setup) or np.inf)


def choice(setup: Setup, draws: int = 1000, believed: Draws | None = None) -> Choice:
    """The ladder that is worth most while the wall stays cool, then the quickest, round what is held.

    `believed` are the draws after readings; where None, those before any. Where the setup has its slices already, the
    wall is computed with them, else with likely ones.
    """
    item, laser, wishes, layout = setup.job.item, setup.job.laser, setup.job.passes, setup.layout
    metal, coating = substances(item)
    program = setup.job.program
    feasible(wishes, laser, coating is None, program)
    if isinstance(coating, RefusedCoating):
        values: Values = {"coating": coating.says, "refused": coating.refused}
        why = PassRemark(id="coating_refused", values=values)
        other = PassRemark(id="other_item")
        return Choice(setting=None, samples=draws, refused=(why,), would_change_it=(other,))
    if coating is None:
        return Choice(setting=cutting_setting(laser, setup.optics, metal, wishes), samples=draws)
    material = material_for(item, laser, draws, believed, wishes.finish)
    height = layout.artwork_to_mm - layout.artwork_from_mm
    if isinstance(setup, SlicedSetup):
        width, slices = setup.split.slice_width_mm, max(setup.split.inked_slices, 1)
    else:
        width = min(_LIKELY_SLICE_MM, _LIKELY_SLICE_RADII * layout.reference_radius_mm, layout.width_centre_mm)
        slices = max(1, round(layout.width_centre_mm / width))
    beat = beat_of(setup, slices, width, height * setup.job.artwork.ink_share, _LIKELY_INDEX_S)
    how = _rhythm(setup, beat, slices > 1, True, material.draws)
    price = (
        wishes.spoiled_cost if wishes.spoiled_cost is not None else PRICE_UNTRIED if believed is None else PRICE_READ
    )
    found = best(setup, material, how, Terms(price, laser.spot_um is not None or believed is not None))
    change = remarks.would_change(item, laser.spot_um is not None, wishes)
    if found is None or (draws and found.climb.clean < FAIR):
        pulses, tints_c = 50.0, float(np.median(hot_limit_c(material.draws)))
        hot: HotWall | None = None
        if found is not None and found.run.wall_c > tints_c:
            hot = "wall_unpaused" if program.can_pause is False else "wall_too_thin"
        refused = remarks.why_no_window(metal, coating, material.draws, pulses, hot)
        return Choice(setting=None, samples=draws, refused=refused, would_change_it=change)
    return _chosen(found, setup, draws, change)


def _rhythm(setup: Setup, beat: Round, turns: bool, has_last: bool, draws: Draws) -> Rhythm:
    """The rhythm of a ladder; in a chuck that `turns` from slice to slice the passes may go all round, or have to."""
    may_go_round = turns and isinstance(setup.job.turning, Chuck)
    has_to = may_go_round and setup.job.program.can_repeat_slice is False
    limit_c, slice_s = _limit_c(setup, draws), slice_time(setup, beat.slices)
    return Rhythm(replace(beat, all_round=has_to), slice_s, has_last, limit_c, may_go_round and not has_to)


def _chosen(found: Best, setup: Setup, draws: int, change: tuple[PassRemark, ...]) -> Choice:
    run, climb = found.run, found.climb
    one = setting_from(
        run.rungs.take(np.array([0])),
        found.candidate.pulse_width_ns,
        max(round(climb.passes), 1),
        run.pause_s,
        setup.job.laser,
        setup.optics,
    )
    clean = TRUSTED * climb.clean
    return Choice(
        setting=one,
        chance_clean=climb.clean if draws else 0.0,
        chance_unmarked=1 - climb.marked if draws else 0.0,
        chance=clean if draws else 0.0,
        samples=draws,
        would_change_it=change if clean < GOOD else (),
        chance_with_looks=clean if draws else 0.0,
        look_after=each_pass(len(climb.levels)),
        rungs=_rungs(run),
    )


def _rungs(run: PacedLadder) -> tuple[PowerRung, ...]:
    shares = run.rungs.power_share
    return tuple(PowerRung(power_share=round(float(p), 6), passes=n) for p, n in zip(shares, run.counts, strict=True))


def removal_plan(setup: Setup, draws: int = 1000, believed: Draws | None = None) -> Removal:
    """The removal plan of a setup on its own split: one answer for whoever asks."""

    def out(chosen: Choice) -> tuple[SlicedSetup, Removal, None]:
        sliced = sliced_setup(setup, chosen.defocus_mm)
        return sliced, removal(sliced, chosen, believed), None

    return choose_and_carry_out(setup, draws, believed, out)[2]


def choose_and_carry_out(
    setup: Setup, draws: int, believed: Draws | None, out: Callable[[Choice], tuple[SlicedSetup, Removal, Rest]]
) -> tuple[Choice, SlicedSetup, Removal, Rest]:
    """The choice for a setup and what comes of it as `out` carries it out: slices, passes, and what else it gives."""
    chosen = choice(setup, draws, believed)
    sliced, steps, rest = out(chosen)
    if steps.is_too_hot:
        # The likely slices were no good guess: chosen once more, with these.
        chosen = choice(sliced, draws, believed)
        sliced, steps, rest = out(chosen)
    return chosen, sliced, steps, rest


def removal(setup: SlicedSetup, choice: Choice, believed: Draws | None = None) -> Removal:
    """The passes that carry out the choice on this split, with what they do to the wall."""
    setting = choice.setting
    if setting is None:
        refused, change = choice.refused, choice.would_change_it
        return Removal(setting=None, samples=choice.samples, refused=refused, would_change_it=change)
    item, layout, split = setup.job.item, setup.layout, setup.split
    material = material_for(item, setup.job.laser, choice.samples, believed, setup.job.passes.finish)
    times = timing(setup, setting)
    block = (layout.artwork_to_mm - layout.artwork_from_mm) * setup.job.artwork.ink_share
    beat = beat_of(setup, times.inked, split.slice_width_mm, block, times.index_s)
    work = Work(setup, choice, setting, material, beat, times)
    if material.coating is None:
        return bare_metal(work)
    return _lifted(work, material.coating)


def _lifted(work: Work, coating: Coating) -> Removal:
    """The ladder, the last pass, pauses and looks for a coating."""
    setup, choice, draws = work.setup, work.choice, work.material.draws
    light = usual_light(setup, work.setting.defocus_mm)
    candidate, tale = _candidate(work, light)
    wish_c, how = wall_wish_c(setup), _rhythm(setup, work.beat, turns_between(setup), has_last_pass(setup), draws)
    order, why, run = laddered(candidate, work, how)
    if run.rungs.frequency_khz[0] != work.setting.frequency_khz:
        # Other steps of the power: the chances are for those that are typed.
        tale = fates(_seen(run.rungs, work, light), draws, run.levels)
    work = work.at(_first(run, candidate, work))
    clean, coated = _chances(tale, run, work)
    rows, some, most = _rows(run, work, how.has_last), bool(choice.samples), len(run.levels)
    planned, after_all = work.setting.passes, how.has_last and is_last_after_all(setup)
    edges = _edges(run, work, light) if some else None
    total = planned + how.has_last
    return Removal(
        setting=work.setting,
        rows=tuple(rows),
        chance_clean=float(tale.story.clear[most - 1] @ draws.weight) if some else 0.0,
        chance_unmarked=clean + coated if some else 0.0,
        chance=clean if some else 0.0,
        samples=choice.samples,
        **temperatures(run.rises, draws),
        order=order,
        order_why=why,
        time_slice_by_slice_s=work.times.slice_by_slice(total, run.pause_s, after_all),
        time_all_round_s=work.times.all_round(total, run.pause_s) if isinstance(setup.job.turning, Chuck) else None,
        would_change_it=choice.would_change_it,
        before=BEFORE,
        after=AFTER,
        remarks=(
            *([PassRemark(id="edges")] if edges else []),
            *([PassRemark(id="heat_no_limit")] if wish_c is None else []),
            *_of_heat(run, candidate, work, how),
            *remarks.of_coating(work.setting, coating, work.material.metal, light, draws),
        ),
        chance_with_looks=clean if some else 0.0,
        chance_left_coated=coated if some else 0.0,
        look_after=each_pass(most),
        rungs=_rungs(run),
        wall_wish_c=wish_c,
        typed_passes=1,
        passes_at_most=most,
        last_when=("after all" if after_all or order == "all-round" else "each slice") if how.has_last else None,
        file_per_slice=is_file_per_slice(setup),
        edges=edges,
    )


def _seen(rungs: Grid, work: Work, light: Light) -> Passes:
    """What the draws say of each rung, (rungs, n)."""
    every = light.spread(len(rungs.power_share))
    return passes(rungs, work.material, work.setting.pulse_width_ns, work.setup.optics, every)


def _candidate(work: Work, light: Light) -> tuple[LadderStart, Fates]:
    """The chosen ladder, and what becomes of it on this split."""
    setting, counts = work.setting, [rung.passes for rung in work.choice.rungs]
    powers = np.array([rung.power_share for rung in work.choice.rungs]) / setting.power_share
    levels = np.repeat(np.arange(len(counts)), counts)
    tale = fates(_seen(grid_from(setting).scaled(powers), work, light), work.material.draws, levels)
    expected = tale.expected_passes(work.material.draws.weight)
    one, least = grid_from(setting), math.ceil(len(levels) / 2)
    return LadderStart(one, setting.pulse_width_ns, powers[levels], expected, tale.bare_at, tale.stop, least), tale


def _first(run: PacedLadder, candidate: LadderStart, work: Work) -> Setting:
    """The first rung as it is typed."""
    one = run.rungs.take(np.array([0]))
    planned = work.setup.job.passes.passes or min(max(round(candidate.expected), 1), len(run.levels))
    return setting_from(one, candidate.pulse_width_ns, planned, run.pause_s, work.setup.job.laser, work.setup.optics)


def _chances(tale: Fates, run: PacedLadder, work: Work) -> tuple[float, float]:
    """Chance of clean and of still coated at the ladder's end, with heat and what the draws are not trusted with."""
    draws, most = work.material.draws, len(run.levels)
    # The last pass heats hardly more than one more pass of the ladder would.
    reached = np.maximum.accumulate(run.rises, axis=0)[-most:]
    ended = LadderStory(*(each[:most] for each in tale.story))
    clean, coated = (float(each[-1]) for each in ended.chances(draws.weight, reached < hot_limit_c(draws) - ROOM_C))
    return TRUSTED * clean, coated + (1 - TRUSTED) / 2 * clean


def _rows(run: PacedLadder, work: Work, has_last: bool) -> list[PassRow]:
    """The passes that are expected, each at its rung's power, and the last one."""
    setting, planned = work.setting, work.setting.passes
    powers = run.rungs.power_share[run.levels[:planned]]
    rows = []
    for number, (power, rise) in enumerate(zip(powers, run.rises, strict=False), 1):
        at = setting.but(power_share=round(float(power), 6))
        rows.append(row_of(work, number, "lift", at, "around", rise))
    if has_last:
        last = finishing(setting, work.setup.job.laser)
        direction, shift = finishing_hatch(work.setup, work.setup.split.slice_width_mm, setting.line_spacing_mm)
        finish = row_of(work, planned + 1, "finish", last, direction, run.rises[planned])
        rows.append(finish | {"line_shift_mm": shift})
    return [PassRow(**row) for row in rows]


def _edges(run: PacedLadder, work: Work, light: Light) -> Edges:
    """The window round the rung at which it is expected to come clean."""
    planned = work.setting.passes
    rung = run.rungs.take(np.array([run.levels[planned - 1]]))
    at = setting_from(rung, work.setting.pulse_width_ns, planned, run.pause_s, work.setup.job.laser, work.setup.optics)
    return edges_of(at, work.material, work.setup.optics, light)


def _of_heat(run: PacedLadder, candidate: LadderStart, work: Work, how: Rhythm) -> tuple[PassRemark, ...]:
    """What the wall's wish costs, or that it isn't kept."""
    values: Values = {"wish_c": how.wish_c, "wall_c": run.wall_c}
    if not keeps_wish(run, how):
        return (PassRemark(id="hotter_than_wished", values=values),)
    highest_khz = at_full_rate(candidate, work.setup).rungs.frequency_khz[0]
    if run.rungs.frequency_khz[0] > highest_khz / 2 and not run.pause_s:
        return ()
    quick = fastest(candidate, work.setup, work.material, how)
    if run.time_s < 2 * quick.time_s:
        return ()
    values |= {"times": run.time_s / quick.time_s, "quick_c": quick.wall_c}
    return (PassRemark(id="cool_costs", values=values),)


def usual_light(setup: SlicedSetup, defocus_mm: float) -> Light:
    """Least and most peak fluence over a slice as shares, (1,) each, and how far the focus of a set-up is off.

    What differs from place to place (sag, slope, runout, where the plane stands) counts in full. The setting of the
    focus moves all places alike: it is drawn, and no item has its coating too far off and its metal too near at once.
    """
    rows = [row for row in setup.focus.budget if row.id != "setting"]
    low, high = sum(row.low_mm for row in rows), sum(row.high_mm for row in rows)
    least, most = fluence_range(defocus_mm, setup.optics.rayleigh_mm, low, high)
    return Light(np.array([least]), np.array([max(most, 1e-6)]), setup.job.tolerances.focus_mm / HOLDS_95)
