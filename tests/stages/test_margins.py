"""Margins that a person relies on: how warm, how often, how far, how sure; each held against a route of its own.

What is planned is read off whole plans wherever it can be, and worked out again from what the job says.
"""

import math
import re
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from rotary.errors import NoPlan
from rotary.job import Job, job_from_data
from rotary.machine.correct import corrected
from rotary.machine.reading_data import reading_from_data
from rotary.machine.record import MachineRecord, with_reading
from rotary.passes.learning.coating import posterior
from rotary.passes.learning.reading import Look, Reading, reading_of
from rotary.plan import Plan, plan

HEAD = {
    "name": "a wide-ranging source",
    "rated_power": "500 W",
    "largest_pulse": "1 mJ",
    "lowest_frequency": "20 kHz",
    "highest_frequency": "1000 kHz",
    "focal_length": "254 mm",
    "field": "170 mm",
    "top_speed": "60000 mm/s",
}


def job(**tables: dict[str, Any]) -> Job:
    """A straight bottle in a chuck; each table given is laid over its own."""
    base: dict[str, dict[str, Any]] = {
        "item": {
            "name": "a test bottle",
            "measurements": [{"at": "0 mm", "across": "80 mm"}, {"at": "120 mm", "across": "80 mm"}],
            "wall": "3 mm",
        },
        "turning": {"kind": "chuck", "gear_ratio": 6, "axis_height": "120 mm"},
        "laser": HEAD,
        "artwork": {"width": "60 mm", "height": "40 mm", "centre": "60 mm"},
        "passes": {},
    }
    return job_from_data({key: base.get(key, {}) | tables.get(key, {}) for key in [*base, *tables]})


def held(frequency_khz: float, passes: int = 1, pause_s: float = 60.0, pulse_mj: float = 0.5) -> dict[str, Any]:
    """Pulses of one energy 50 µm apart both ways, 8 mm out of focus, whatever their rate."""
    return {
        "power": f"{100 * pulse_mj * frequency_khz / 500:g} %",
        "frequency": f"{frequency_khz:g} kHz",
        "speed": f"{50 * frequency_khz:g} mm/s",
        "line_spacing": "0.05 mm",
        "defocus": "8 mm",
        "passes": passes,
        "pause": f"{pause_s:g} s",
    }


# The metal's threshold


def test_pulses_that_follow_fast_meet_a_warmer_metal() -> None:
    """The same pulses at the same places, fifty times as fast: each meets what those before have left (a surface cools
    with the root of time, Carslaw & Jaeger 2.9, from memory, not seen), so fewer metals stay unmarked."""
    slow, fast = (plan(job(passes=held(rate, 3))).removal for rate in (20, 1000))
    assert slow.setting is not None
    assert fast.setting is not None
    assert fast.setting.peak_fluence_j_cm2 == pytest.approx(slow.setting.peak_fluence_j_cm2)
    assert max(slow.wall_c_95, fast.wall_c_95) < 100
    assert fast.chance_unmarked < slow.chance_unmarked - 0.01


def a_reading(one: Job, outcome: str) -> Reading:
    """What was seen after the passes that the job holds."""
    at = plan(one, draws=0)
    assert at.removal.setting is not None
    sharp = one.model_copy(update={"tolerances": one.tolerances.model_copy(update={"focus_mm": 0.2})})
    return reading_of(sharp, at.removal.setting, Look(outcome, "2026-05-01"))  # type: ignore[arg-type]


def stands_j_cm2(frequency_khz: float, passes: int, outcome: str) -> float:
    """What steel is believed to stand after one such reading, the middle in the logarithm."""
    one = job(item={"coating": "polyester-powder-light"}, passes=held(frequency_khz, passes))
    after = posterior(one.item, one.laser, [a_reading(one, outcome)], 1000)
    assert after is not None
    return float(np.exp(after.draws.weight @ np.log(after.draws.metal_j_cm2)))


def test_a_metal_that_stood_warm_pulses_is_believed_to_stand_more() -> None:
    """Clear at fifty times the rate, or cut only then: the warmth counts for the metal, and never against it."""
    for outcome in ("clear", "cut"):
        assert stands_j_cm2(1000, 4, outcome) > 1.03 * stands_j_cm2(20, 4, outcome)


def test_a_metal_that_stood_many_pulses_is_believed_to_stand_more() -> None:
    """F_s(N) = F_s(1) N^(S-1) (Jee, Becker, Walser, JOSA B 5, 648, from memory, not seen): clear after 24 passes says
    more for the metal than after one, and a cut after 24 less against it."""
    for outcome in ("clear", "cut"):
        assert stands_j_cm2(20, 24, outcome) > 1.03 * stands_j_cm2(20, 1, outcome)


# Heat


Own = Callable[[float, float], None]


@pytest.fixture
def own_beliefs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Own:
    """Beliefs of a person's own: a wall that tints at 85 °C to a tenth of a degree and stands any pulse; a coating that
    any pulse lifts, never scorched, as deep a pulse [µm] and for as much energy [J/mm³] as is given."""
    monkeypatch.setenv("ROTARY_BELIEFS", str(tmp_path))

    def near(name: str, value: float, share: float) -> str:
        low, high = value * (1 - share), value * (1 + share)
        return f'{name} = {{ low = {low}, central = {value}, high = {high}, source = "made up for this test" }}\n'

    def written(depth_um: float, energy_j_mm3: float) -> None:
        metal = near("threshold_j_cm2", 500.0, 0.2) + near("tints_at_c", 85.0, 0.001)
        coat = near("threshold_j_cm2", 0.001, 0.1) + near("scorches_at_c", 950.0, 0.05) + "lift_off_share = 0.0\n"
        coat += near("depth_um", depth_um, 0.05) + near("energy_j_mm3", energy_j_mm3, 0.03)
        (tmp_path / "metals.toml").write_text(f"[stainless-304]\n{metal}")
        (tmp_path / "coatings.toml").write_text(f"[polyester-powder-dark]\n{coat}")

    written(100.0, 0.001)
    return written


@pytest.mark.usefixtures("own_beliefs")
@pytest.mark.parametrize("wall_mm", [0.31, 0.33, 0.345, 0.37, 0.39, 0.42])
def test_a_wall_may_be_as_warm_as_its_limit_and_no_warmer(wall_mm: float) -> None:
    """The chance that nothing tints, run blind and with looks, is below one half just where the wall's own median
    temperature after its one pass is above the 85 °C at which it would, and not some degrees later."""
    found = plan(job(item={"wall": f"{wall_mm} mm"}, passes=held(40, 1, 0.0))).removal
    assert 55 < found.wall_c_50 < 120
    assert abs(found.wall_c_50 - 85) > 0.5
    assert (found.chance_unmarked > 0.5) == (found.wall_c_50 < 85)
    assert (found.chance_with_looks > 0.5) == (found.wall_c_50 < 85)


def test_a_rest_is_as_long_as_the_limit_asks_for_and_no_longer(own_beliefs: Own) -> None:
    """On rollers a slice gets all its passes at once. Left free, the rest is the shortest of those offered with which
    nineteen walls in twenty stay under the 85 °C at which they tint; each is planned by itself to see what it does."""
    own_beliefs(3.0, 0.001)
    rollers = {"kind": "rollers", "gear_ratio": 3, "axis_height": "30 mm"}
    offered = (0, 1, 2, 3, 5, 8, 12, 20, 30)

    def wall_c(pause_s: float) -> float:
        return plan(job(item={"wall": "0.9 mm"}, turning=rollers, passes=held(40, 6, pause_s))).removal.wall_c_95

    free = {key: value for key, value in held(40, 6).items() if key != "pause"}
    found = plan(job(item={"wall": "0.9 mm"}, turning=rollers, passes=free)).removal
    assert found.setting is not None
    walls = [wall_c(pause_s) for pause_s in offered]
    assert walls == sorted(walls, reverse=True)
    # Where no rest is long enough, the shortest within ten degrees of the coolest.
    enough = 85 if walls[-1] <= 85 else walls[-1] + 10
    assert found.setting.pause_s == next(p for p, wall in zip(offered, walls, strict=True) if wall <= enough)
    assert 0 < found.setting.pause_s < 30


@pytest.mark.parametrize(("passes", "clear"), [(3, False), (9, True)])
def test_no_more_goes_than_its_energy_pays_for(own_beliefs: Own, passes: int, clear: bool) -> None:
    """However deep a pulse may dig: 60 µm at 3 J/mm³ are 0.18 J/mm², and 20 W over 10 m/s times 50 µm lay down 0.04 a
    pass. So it takes 4.5 passes at least, and with three no plan is offered (Brygo 2006, abstract: 3.33 J/mm³)."""
    own_beliefs(100.0, 3.0)
    found = plan(job(item={"coating_thickness": "60 um"}, passes=held(200, passes, pulse_mj=0.1))).removal
    assert (found.setting is not None) == clear
    assert (found.chance_clean > 0.9) == clear
    if found.setting is not None:
        assert found.setting.dose_j_mm2 == pytest.approx(0.04)


# Room for what comes round


def turned_rad(one: Plan) -> float:
    """How far the item turns to either side: from the middle slice to the middle of the last."""
    return (one.split.inked_slices - 1) / 2 * one.split.index_angle_rad


HANDLED = {"angle": "150 deg", "width": "20 deg", "reach": "45 mm", "from": "20 mm", "to": "100 mm"}
WIDE = {"width": "150 mm", "height": "40 mm", "centre": "60 mm"}


def test_a_handle_clears_the_head_by_a_hair_and_not_by_half_an_index() -> None:
    """Its tip stands 40 + 45 mm from the axis. Where the last slice lies on top, the handle's near edge has come up to
    its angle less that turn: a head 0.3 mm higher than the tip there lets it pass, 0.3 mm lower does not."""
    bare = plan(job(artwork=WIDE), draws=0)
    near = math.radians(150 - 10) - turned_rad(bare)
    tip_mm = 120 + 85 * math.cos(near)
    assert tip_mm > bare.focus.focal_plane_mm + 3
    for over_mm, passes in ((0.3, True), (-0.3, False)):
        room = {"free_height": f"{tip_mm - bare.focus.focal_plane_mm + over_mm} mm"}
        one = job(artwork=WIDE, item={"handle": HANDLED}, laser=room)
        if passes:
            assert plan(one, draws=0).split == bare.split
        else:
            with pytest.raises(NoPlan, match="lens"):
                plan(one, draws=0)


def test_a_handle_clears_the_head_at_the_lowest_height_that_it_is_set_to() -> None:
    """A taper in a level chuck is marked with the head at several heights: the lowest is the one that counts."""
    ends = [{"at": "0 mm", "across": "88 mm"}, {"at": "120 mm", "across": "73.6 mm"}]
    taper: dict[str, Any] = {"measurements": ends, "coating": "none"}
    bare = plan(job(artwork=WIDE | {"surface_map": "with-taper"}, item=taper), draws=0)
    planes = [zone.focal_plane_mm for zone in bare.focus.refocus]
    assert max(planes) > min(planes) + 1
    # The handle begins at 20 mm, where it stands farthest out.
    tip_mm = 120 + (44 - 20 * 0.06 + 45) * math.cos(math.radians(150 - 10) - turned_rad(bare))
    for over_mm, passes in ((0.3, True), (-0.3, False)):
        room = {"free_height": f"{tip_mm - min(planes) + over_mm} mm"}
        one = job(artwork=WIDE | {"surface_map": "with-taper"}, item=taper | {"handle": HANDLED}, laser=room)
        if passes:
            assert plan(one, draws=0).focus.refocus == bare.focus.refocus
        else:
            with pytest.raises(NoPlan, match="lens"):
                plan(one, draws=0)


def test_a_handle_clears_the_bed_by_a_hair_and_not_by_half_an_index() -> None:
    """The other way round: its far edge comes down as far as the item turns, and must not meet the bed."""
    handle, narrow = HANDLED | {"angle": "90 deg"}, WIDE | {"width": "90 mm"}
    bare = plan(job(artwork=narrow), draws=0)
    low = math.radians(90 + 10) + turned_rad(bare)
    assert math.pi / 2 < low < math.pi
    axis_mm = -85 * math.cos(low)
    for over_mm, passes in ((0.3, True), (-0.3, False)):
        one = job(artwork=narrow, item={"handle": handle}, turning={"axis_height": f"{axis_mm + over_mm} mm"})
        if passes:
            assert plan(one, draws=0).split.slices == bare.split.slices
        else:
            with pytest.raises(NoPlan, match="bed"):
                plan(one, draws=0)


# Times


def test_each_pass_all_round_counts_the_way_back_to_the_first_slice() -> None:
    """A turn is speeding up, running, slowing down and settling. All round, the passes are the same times as slice by
    slice; what is turned is every index in every pass, and back to the first slice between them."""
    one = plan(job(passes=held(40, 5, 0.0)), draws=0)
    drive, slices, passes = one.job.turning, one.split.inked_slices, len(one.removal.rows)

    def turn_s(angle: float) -> float:
        ramp = drive.top_speed_rad_s**2 / drive.acceleration_rad_s2
        ramps = 2 * math.sqrt(min(angle, ramp) / drive.acceleration_rad_s2)
        return ramps + max(angle - ramp, 0) / drive.top_speed_rad_s + drive.settling_s

    index, back = turn_s(one.split.index_angle_rad), turn_s((slices - 1) * one.split.index_angle_rad)
    marked = one.removal.time_slice_by_slice_s - (slices - 1) * index
    around = marked + passes * (slices - 1) * index + (passes - 1) * back
    assert one.removal.time_all_round_s == pytest.approx(around, rel=1e-9)


# Seams


def test_steps_that_typing_leaves_over_break_the_drives_limit() -> None:
    """A chuck geared so that nothing else is wrong with it, and a program that takes whole millimetres: what is typed
    turns another angle each time, and over all slices that is more than a seam may be off."""
    drive = {"gear_ratio": 20, "controller_field": "item-diameter", "rounding": "absolute", "offset": "0.1 mm"}
    fine, coarse = (
        plan(
            job(turning=drive | {"typed_decimals": decimals}, tolerances={"slice_width": "2.5 mm", "seam": "0.025 mm"}),
            draws=0,
        ).split
        for decimals in (3, 0)
    )
    limits = [next(limit for limit in one.limits if limit.id == "turning") for one in (fine, coarse)]
    assert abs(fine.drift_mm) < 0.025 < abs(coarse.drift_mm)
    assert [limit.met for limit in limits] == [True, False]
    assert limits[0].widest_mm == limits[1].widest_mm
    assert coarse.slice_width_mm < (limits[1].widest_mm or math.inf)


# Eyes


@pytest.mark.parametrize(("density", "covers"), [(5.5, True), (5.4, False)])
def test_a_pair_covers_with_the_density_that_is_needed_and_not_with_a_tenth_less(density: float, covers: bool) -> None:
    """500 W into a pupil of 7 mm over 47.3 W/m² (2006/25/EC, from memory, not seen) is 10^5.44."""
    needed = math.log10(500 / (math.pi * 3.5e-3**2) / (0.05 * 2e5**-0.25 / 50e-6))
    assert 5.4 < needed < 5.5
    pair = {"name": "a pair", "from": "900 nm", "to": "1100 nm", "optical_density": density}
    row = plan(job(shop={"eyewear": [pair]}), draws=0).safety.eyes[0]
    assert bool(row.covered_by) == covers


def test_nobody_blinks_at_a_beam_that_is_not_seen() -> None:
    """A milliwatt at 905 nm is judged over ten seconds, 10 C_A W/m² with C_A = 10^(0.002 (λ - 700)) (ICNIRP 2013, from
    memory, not seen); one at 635 nm by the quarter second of the blink, 18 t^(-1/4)."""
    lasers = [
        {"name": name, "wavelength": f"{nm} nm", "power": "0.001 W"}
        for name, nm in (("scanner", 905), ("pointer", 635))
    ]
    _, scanner, pointer = plan(job(shop={"other_lasers": lasers}), draws=0).safety.eyes
    assert scanner.limit_w_m2 == pytest.approx(10 * 10 ** (0.002 * 205), rel=1e-3)
    assert pointer.limit_w_m2 == pytest.approx(18 * 0.25**-0.25, rel=1e-3)


def test_every_pulse_that_the_source_can_make_is_counted() -> None:
    """Half a nanosecond counts as mode-locked for eyewear (EN 207: M below 1 ns, R up to 1 µs; from memory, not seen):
    where the source can be set to either, the pair needs both letters, whichever duration the plan takes."""
    row = plan(job(laser=HEAD | {"pulse_widths": ["100 ns", "0.5 ns"]}), draws=0).safety.eyes[0]
    assert set(re.findall(r"([DIRM]) \d", row.scale_number)) == {"D", "R", "M"}


# The machine as measured


def test_what_is_measured_counts_with_how_well_it_was_read() -> None:
    """A line of 200 mm off by 0.2 mm, read to 0.1; flanks 40 and 40.6 mm off, each read to 0.15: planned is the most
    that the axis may be askew and aside, 1.96 uncertainties beyond what is then known, whichever way it leans.

    Known is the reading and the belief before it (0 ± 0.005 rad, 0 ± 0.5 mm, 1 sigma), each by its own weight.
    """

    def most(read: float, u_read: float, u_believed: float) -> float:
        weights = 1 / u_read**2, 1 / u_believed**2
        return read * weights[0] / sum(weights) + 1.96 / math.sqrt(sum(weights))

    for off in ("0.2 mm", "-0.2 mm"):
        machine = MachineRecord(name="a test rig")
        for data in (
            {"kind": "edge", "long": "200 mm", "off": off},
            {"kind": "flanks", "left": "40 mm", "right": "40.6 mm"},
        ):
            machine = with_reading(machine, reading_from_data({"at": datetime(2026, 5, 1, 9, 30, tzinfo=UTC), **data}))
        drive = corrected(job(), machine).turning
        assert drive.skew_rad == pytest.approx(most(0.001, 0.0005, 0.005), rel=1e-3)
        assert drive.offset_mm == pytest.approx(most(0.3, 0.15 / math.sqrt(2), 0.5), rel=1e-3)


def test_what_a_strip_has_shown_is_drawn_away_and_its_doubt_stays() -> None:
    """An axis found askew by a strip turns every slice by as much; planned is what it may be wrong by."""
    read = {"kind": "strip", "item": "a test bottle", "scale": "0.3 %", "u_scale": "0.05 %", "turn": "1 deg"}
    data = read | {"u_turn": "0.02 deg", "at": datetime(2026, 5, 1, 9, 30, tzinfo=UTC)}
    one = corrected(job(), with_reading(MachineRecord(name="a test rig"), reading_from_data(data)))
    assert math.degrees(one.laser.slice_turn_rad) == pytest.approx(1.0, rel=0.2)
    assert 1.9 * 0.01 < math.degrees(one.turning.skew_rad) < 2 * 0.02
