"""The seams of a plan: where slices end, what a motor and a gap ladder change, flat and sliced files alike."""

import re
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from rotary.artwork.rings import bounds_mm, joined
from rotary.errors import Refused
from rotary.job import Job
from rotary.machine.correct import corrected, seam_material
from rotary.machine.record import known, with_change, with_reading, without_reading
from rotary.machine.seam_tests import FINER, gap_ladder, motor_test, rungs_of
from rotary.machine.store import load_machine, save_machine
from rotary.machine.tapes import tapes
from rotary.machine.words import reading_from_words
from rotary.papers.sizes import Sizes
from rotary.passes.beliefs.draws import material_for
from rotary.plan import Plan, plan
from rotary.seams import SAMPLES, closing_gaps_mm
from rotary.sentences.seams import notes as seam_notes
from rotary.sentences.slices import notes
from rotary.services.files import flat_file
from rotary.services.machines import full_step_words, record_gap_ladder
from rotary.services.simulation import simulation_of_files
from rotary.sheet import SheetWish, order_of
from rotary.sheet.reread import drawing_from_file
from tests.sheet.test_sheet import block, job, planned

AT = datetime(2026, 11, 29, 12, tzinfo=UTC)
CUP = {"measurements": [{"at_mm": 0, "across_mm": 80.0}, {"at_mm": 100, "across_mm": 80.0}], "wall_mm": 0.5}
COATED = {"item": CUP | {"coating": "polyester-powder-light"}}


@pytest.fixture(scope="module")
def coated() -> Plan:
    return planned(**COATED, turning={"motor": "two-phase"})


def test_the_gap_that_closes_is_told_in_thou_on_a_sheet_in_inches(coated: Plan) -> None:
    """Whoever reads 46 thou where 46 µm are meant takes the seams for 25 times as good."""
    told = " ".join(Sizes("in").texts(seam_notes(coated)))
    (thou,) = re.findall(r"the plan assumes ([\d.]+) thou", told)
    assert float(thou) == pytest.approx(coated.seams.closing_gap_mm / 0.0254, rel=0.02)


def test_slices_are_whole_cycles_where_they_hold_and_the_cost_is_said(coated: Plan) -> None:
    """Four full steps of a two-phase motor, six of three phases; one with an encoder has none (common practice)."""
    assert coated.split.steps % (4 * 16) == 0
    assert any("whole cycle" in note and "Do the motor test" in note for note in notes(coated.split))
    told = next(one.values for one in coated.split.remarks if one.id == "whole_cycles")
    assert told["cycles"] == coated.split.steps / (4 * 16)
    assert told["width_mm"] == pytest.approx(coated.split.slice_width_mm)
    assert told["cycle_mm"] == pytest.approx(coated.split.slice_width_mm / told["cycles"])
    three = planned(**COATED, turning={"motor": "three-phase"}).split
    assert three.whole_cycles
    assert three.steps % (6 * 16) == 0
    none = planned(**COATED, turning={"motor": "closed-loop"}).split
    assert not none.whole_cycles
    assert none.slices <= coated.split.slices


def test_a_motor_that_stops_worse_at_whole_cycles_is_not_given_them() -> None:
    """The machine's own test decides."""
    read = {"motor": "two-phase", "stops_whole_share": 0.08, "stops_free_share": 0.01}
    assert not planned(**COATED, turning=read).split.whole_cycles
    better = planned(**COATED, turning=read | {"stops_whole_share": 0.005}).split
    assert better.whole_cycles
    assert better.stops_mm < 0.2 * planned(**COATED).split.stops_mm


def test_the_seam_limit_follows_the_person() -> None:
    """50 µm, finer when asked, 100 µm where seams may show: never wider by itself."""
    given = ({"seam_mm": 0.02}, {}, {"seams_may_show": True})
    cuts = [planned(turning={"gear_ratio": 50.0}, tolerances=dict(one)) for one in given]
    assert [one.job.tolerances.accepted_seam_mm for one in cuts] == [0.02, 0.05, 0.1]
    assert cuts[0].split.slices > cuts[1].split.slices >= cuts[2].split.slices
    assert all(one.split.seam_95_mm <= one.job.tolerances.accepted_seam_mm * 1.01 for one in cuts)


def test_a_limit_that_no_width_keeps_sets_none_and_has_its_cure() -> None:
    """A motor without gear under a wide cup: the stops open seams whatever the width."""
    split = planned(item=CUP, turning={"gear_ratio": 1.0}).split
    drive = next(one for one in split.limits if one.id == "turning")
    assert (drive.met, drive.by_width, drive.governs) == (False, False, False)
    assert split.governing != "turning"
    told = next(note for note in notes(split) if "whatever the slice width" in note)
    assert "motor test" in told
    assert "gear" in told


def test_a_ladder_read_at_these_settings_ends_slices_where_the_gap_closes(coated: Plan, tmp_path: Path) -> None:
    """c = widest closed + half a step; other settings, another coating or another lens: it is assumed again."""
    rungs = rungs_of(coated)
    reading = record_gap_ladder(coated, 5, "m", AT, tmp_path)
    machine = load_machine("m", tmp_path)
    after = plan(corrected(coated.job, machine), draws=0)
    assert after.seams.source == "measured"
    assert after.seams.closing_gap_mm == pytest.approx(rungs.gap_mm(5) + rungs.step_mm / 2)
    assert after.seams.within_mm < coated.seams.within_mm
    assert 0 < after.seams.overlap_mm <= after.seams.closing_gap_mm / 4
    weaker = after.job.model_copy(update={"passes": after.job.passes.model_copy(update={"power_share": 0.3})})
    assert plan(weaker, draws=0).seams.source == "other settings"
    other = coated.job.model_copy(update={"item": coated.job.item.model_copy(update={"coating": "dark paint"})})
    assert corrected(other, machine).tolerances.closing_gap_mm is None
    changed = with_change(machine, "lens", AT.replace(hour=13))
    assert known(changed, None, reading.coating)["closing-gap"].source == "believed"


@pytest.mark.parametrize("closed", [0, 12])
def test_all_or_none_closed_is_not_recorded_but_leads_on(coated: Plan, tmp_path: Path, closed: int) -> None:
    """Twice as wide, or finer and beginning with an overlap."""
    with pytest.raises(Refused, match=("gap-ladder-wider" if closed else "gap-ladder-finer")):
        record_gap_ladder(coated, closed, "m", AT, tmp_path)
    assert not list(tmp_path.iterdir())
    rungs = rungs_of(coated)
    assert rungs.after_all().step_mm == 2 * rungs.step_mm
    assert rungs.after_none().step_mm == pytest.approx(max(rungs.step_mm / FINER, 0.005))
    assert rungs.after_none().first_mm < 0


def test_both_tests_are_rows_and_drawings_that_read_back(coated: Plan, tmp_path: Path) -> None:
    """The ladder's areas lie as far apart as its rows say; each row of the motor test turns what it says."""
    test = gap_ladder(coated)
    rows = {row.id: row.value for row in test.rows}
    (tmp_path / "ladder.svg").write_bytes(test.files["gap-ladder.svg"])
    parts = drawing_from_file(tmp_path / "ladder.svg").parts
    gap = parts["gap-7-right"].points_mm[:, 0].min() - parts["gap-7-left"].points_mm[:, 0].max()
    assert gap == pytest.approx(6 * float(rows["step"]), abs=0.0011)
    # What to mark where all closed, or none, is drawn too.
    finer = rungs_of(coated).after_none().first_mm
    for name, row, first in (("wider", "all_closed", 0.0), ("finer", "none_closed", finer)):
        (tmp_path / "next.svg").write_bytes(test.files[f"gap-ladder-{name}.svg"])
        parts = drawing_from_file(tmp_path / "next.svg").parts
        gap = parts["gap-7-right"].points_mm[:, 0].min() - parts["gap-7-left"].points_mm[:, 0].max()
        assert gap == pytest.approx(first + 6 * float(rows[row]), abs=0.0011)
    names = ["tape-gap-ladder.svg", "tape-gap-ladder-wider.svg", "tape-gap-ladder-finer.svg"]
    assert [*tapes(coated)["gap-ladder"].files] == names
    for kind, whole in (("whole", True), ("free", False)):
        steps = {one.id: one.value for one in motor_test(coated.job, kind).rows}["index"]
        assert (int(steps) % 64 == 0) is whole


def record_motor_test(job: Job, row: Any, ticks: Sequence[int], at: datetime, folder: Path, back: str = "") -> None:
    words = [f"row={row}", f"ticks={','.join(map(str, ticks))}", *([f"back={back}"] if back else [])]
    reading = reading_from_words(["motor-test", *words, *full_step_words(job, row)], at)
    save_machine(with_reading(load_machine("m", folder), reading), folder)


def test_a_motor_test_is_recorded_with_its_backlash(coated: Plan, tmp_path: Path) -> None:
    record_motor_test(coated.job, "whole", [1, 0, 0, 1, 0, -1, 0, 0], AT, tmp_path, back="3,2,2")
    now = known(load_machine("m", tmp_path))
    assert now["backlash"].source == now["stops-whole"].source == "measured"
    assert corrected(coated.job, load_machine("m", tmp_path)).turning.stops_whole_share == now["stops-whole"].value
    with pytest.raises(Refused, match="8 seams"):
        record_motor_test(coated.job, "free", [1, 2], AT, tmp_path)


def test_a_test_recorded_again_takes_the_place_of_the_older_until_it_is_ignored(coated: Plan, tmp_path: Path) -> None:
    """Both rows of the motor test and the gap ladder; another coating's ladder and the other row stay."""
    for day, closed, ticks in ((1, 4, [5, -5] * 4), (2, 9, [1, 0] * 4)):
        at = AT.replace(day=day)
        record_gap_ladder(coated, closed, "m", at, tmp_path)
        record_motor_test(coated.job, "whole", ticks, at, tmp_path, back=f"{day},{day},{day}")
        record_motor_test(coated.job, "free", [3, -3] * 4, at, tmp_path)
    machine = load_machine("m", tmp_path)
    material = seam_material(coated.job)
    now = known(machine, coating=material)
    assert [now[name].used for name in ("closing-gap", "stops-whole", "stops-free", "backlash")] == [1, 1, 1, 1]
    numbers = {(one.kind, getattr(one, "row", "")): k for k, one in enumerate(machine.readings, 1)}
    for alike, name in ((("gap-ladder", ""), "closing-gap"), (("motor-test", "whole"), "stops-whole")):
        before = known(without_reading(machine, numbers[alike]), coating=material)
        assert (before[name].used, before[name].source) == (1, "measured")
        assert before[name].value != now[name].value
    assert (
        now["stops-whole"].value < known(without_reading(machine, numbers["motor-test", "whole"]))["stops-whole"].value
    )


def test_flat_files_get_the_slits_that_close_and_are_judged_as_sliced_ones(tmp_path: Path) -> None:
    """A flat file drawn without slits marks its seams double by all that closes; the simulation says so."""
    given: dict[str, Any] = {"item": CUP, "tolerances": {"method": "flat", "closing_gap_mm": 0.2}}
    made = planned(**given)
    flat, (path, *_) = flat_file(made, block(60, 40), tmp_path / "a")
    found = simulation_of_files(flat, path, block(60, 40), draws=0)
    assert found.seam_places > 0
    assert max(found.seam_open_mm, found.seam_double_mm) < 0.006
    bare = planned(**given | {"tolerances": {"method": "flat", "closing_gap_mm": 0.0}})
    _, (old, *_) = flat_file(bare, block(60, 40), tmp_path / "b")
    double = simulation_of_files(flat, old, block(60, 40), draws=0).seam_double_mm
    assert double == pytest.approx(flat.seams.slit_mm, abs=0.006)
    assert double > 0.1
    assert np.isclose(job(**given).tolerances.accepted_seam_mm, 0.05)


@pytest.mark.parametrize("diameters", [(88, 74), (70, 80, 84, 80, 70)])
def test_slits_of_flat_files_go_by_the_height_that_they_lie_at(diameters: tuple[int, ...], tmp_path: Path) -> None:
    """On tapers and bellies flat slices of 3 mm stand open or lie double by 0.1 mm: their slits take that out."""
    measurements = [{"at_mm": 120 * k / (len(diameters) - 1), "across_mm": float(d)} for k, d in enumerate(diameters)]
    tolerances = {"method": "flat", "closing_gap_mm": 0.2, "slice_width_mm": 3.0}
    made = planned(item=CUP | {"measurements": measurements}, tolerances=tolerances)
    assert max(abs(row.plain_shape_mm) for row in made.split.seam_rows) > 0.1
    flat, (path, *_) = flat_file(made, block(60, 40), tmp_path)
    found = simulation_of_files(flat, path, block(60, 40), draws=0)
    assert found.seam_places > 0
    assert max(found.seam_open_mm, found.seam_double_mm) < 0.004
    kept = all(limit.met for limit in flat.split.limits if limit.id == "seam_plain")
    assert kept is (flat.split.seam_95_mm <= made.job.tolerances.accepted_seam_mm)


def test_a_flat_ring_is_slit_where_it_closes_too(tmp_path: Path) -> None:
    """Artwork all round ends half a slit before the back on either side: there it would be marked double."""
    item = CUP | {"measurements": [{"at_mm": s, "across_mm": 80.0} for s in (0, 120)]}
    ring = {"width_mm": np.pi * 80, "height_mm": 20, "centre_mm": 60, "full_wrap": True}
    made = planned(item=item, artwork=ring, tolerances={"method": "flat", "closing_gap_mm": 0.2})
    flat, (path, *_) = flat_file(made, block(np.pi * 80, 20), tmp_path)
    left, _, right, _ = bounds_mm(joined(drawing_from_file(path).parts.values()))
    scale = flat.split.flat_slice_mm / (40 * flat.split.index_angle_rad)
    assert right - left == pytest.approx(scale * (np.pi * 80 - flat.seams.slit_mm), abs=0.004)
    assert flat.seams.slit_mm > 0.1


@pytest.mark.parametrize(("across", "seam", "ring"), [(3.0, 0.05, False), (4.0, 0.02, False), (6.0, 0.02, True)])
@pytest.mark.parametrize("method", ["sliced", "flat"])
def test_no_slice_is_chosen_that_its_file_refuses(across: float, seam: float, ring: bool, method: str) -> None:
    """Thin pins: twice the gap that closes is the narrowest slice, said where a limit asks for less."""
    made = planned(
        item={"measurements": [{"at_mm": s, "across_mm": across} for s in (0, 40)], "coating": None, "solid": True},
        artwork={"width_mm": across * (np.pi if ring else 2), "height_mm": 10, "centre_mm": 20, "full_wrap": ring},
        tolerances={"method": method, "seam_mm": seam},
    )
    assert made.split.slice_width_mm >= 2 * made.seams.slit_mm
    assert order_of(SheetWish(), made, made.line_spacing_mm).inset_mm > 0 if method == "sliced" else True
    narrower = made.split.sheet_widest_mm if method == "sliced" else made.split.plain_widest_mm
    if narrower < 2 * made.seams.slit_mm:
        assert any("mostly seam" in note for note in seam_notes(made))


@pytest.mark.parametrize("coating", ["polyester-powder-light", None])
def test_the_gap_that_closes_is_told_with_the_spread_that_holds_19_of_20_samples(coating: str | None) -> None:
    """Of the samples in which the fill clears, by their weights: 95 % lie within 1.96 of what is told as 1 sigma."""
    made = planned(item=CUP | {"coating": coating})
    setting = made.removal.setting
    assert setting is not None
    material = material_for(made.job.item, made.job.laser, SAMPLES)
    gaps = closing_gaps_mm(made, setting, material)
    weight = np.where(np.isfinite(gaps), material.draws.weight, 0.0)
    within = np.abs(gaps - made.seams.closing_gap_mm) <= 1.96 * made.seams.u_closing_gap_mm * (1 + 1e-9)
    assert weight[within].sum() / weight.sum() == pytest.approx(0.95, abs=0.012)


def test_a_sample_is_marked_in_whole_passes(coated: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    """Who looks after each pass stops after a whole one: 1.2 of them are two, and leave the same gap."""
    setting = coated.removal.setting
    assert setting is not None
    material = material_for(coated.job.item, coated.job.laser, SAMPLES)
    gaps = []
    for many in (1.2, 2.0, 2.2):
        told = SimpleNamespace(needed=np.full((1, SAMPLES), many))
        monkeypatch.setattr("rotary.seams.passes", lambda *_, told=told: told)
        gaps.append(closing_gaps_mm(coated, setting, material))
    assert np.array_equal(gaps[0], gaps[1], equal_nan=True)
    assert not np.array_equal(gaps[1], gaps[2], equal_nan=True)


def test_slits_take_what_flat_files_leave_open_and_no_more() -> None:
    """A coating has to overlap, so its slits are narrower than the gap that closes; where a taper's slices stand open
    by less than a slit, only what is typed is left."""
    measurements = [{"at_mm": 0, "across_mm": 88.0}, {"at_mm": 120, "across_mm": 74.0}]
    tolerances = {"method": "flat", "closing_gap_mm": 0.1, "closing_gap_u_mm": 0.01, "slice_width_mm": 4.0}
    made = planned(item=COATED["item"] | {"measurements": measurements}, tolerances=tolerances)
    assert 0.005 < made.seams.overlap_mm < made.seams.slit_mm
    left = [max(row.plain_shape_mm - made.seams.slit_mm, 0.0) for row in made.split.seam_rows]
    assert min(left) == 0.0 < max(left)
    for row, open_mm in zip(made.split.seam_rows, left, strict=True):
        assert row.plain_nominal_mm == pytest.approx(row.plain_typed_mm + open_mm, abs=1e-9)
