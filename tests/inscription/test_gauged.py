"""Depths that a person has gauged and kept: the plan, the card and the depth command all go by them."""

from pathlib import Path

import numpy as np
import pytest

from rotary.cli import main
from rotary.inscription.depths import depth_of
from rotary.job import job_from_file
from rotary.passes.beliefs.draws import metals
from rotary.passes.learning.depth import DepthReading, depth_of_parts_um, posterior, prior
from rotary.plan import plan
from rotary.sentences.passes import first_line, notes
from rotary.shipped import examples
from rotary.store.depths import add_depths, depth_readings

NUT = job_from_file(examples()["brass-nut"])
BOTTLE = job_from_file(examples()["regatta-bottle"])


def readings(each_um: float, metal: str = "brass-c26000", many: int = 3) -> tuple[DepthReading, ...]:
    """Readings of a part that loses so much a pass, at the setting of the nut."""
    stamp = depth_of(NUT, 40.0).stamp
    return tuple(
        DepthReading(passes=n, depth_um=n * each_um, dose_j_mm2=stamp["dose_j_mm2"], metal=metal, laser=stamp["laser"])
        for n in (10, 20, 40)[:many]
    )


@pytest.mark.parametrize("each_um", [1.2, 3.0, 5.0])
def test_the_plan_takes_the_passes_that_the_gauge_teaches(each_um: float) -> None:
    """40 µm at so much a pass: the plan has as many passes as the depth command, near wanted over gauged."""
    taught_by = readings(each_um)
    made = plan(NUT, 500, (), taught_by)
    setting = made.removal.setting
    assert setting is not None
    assert setting.passes == depth_of(NUT, 40.0, taught_by).answer.passes
    assert setting.passes == pytest.approx(40 / each_um, rel=0.15, abs=1)
    assert first_line(made).startswith("After 3 depth readings:")


def test_the_range_of_the_plan_is_that_of_the_depth_command() -> None:
    """5, 50 and 95 % of the depth, over the draws and over the belief's own quantiles, agree within 2 %."""
    taught_by = readings(3.0)
    steps, found = plan(NUT, 2000, (), taught_by).removal, depth_of(NUT, 40.0, taught_by).answer
    for of_plan, of_depth in (
        (steps.depth_um_5, found.depth_um_5),
        (steps.depth_um_50, found.depth_um_50),
        (steps.depth_um_95, found.depth_um_95),
    ):
        assert of_plan == pytest.approx(of_depth, rel=0.02)
    wide = plan(NUT, 2000).removal
    assert wide.depth_um_95 is not None
    assert wide.depth_um_5 is not None
    assert steps.depth_um_95 / steps.depth_um_5 < (wide.depth_um_95 / wide.depth_um_5) / 3


def test_readings_of_another_metal_and_coated_parts_change_nothing() -> None:
    """A steel reading leaves the brass plan as it was; a coated bottle is lifted as if no depth had been gauged."""
    assert plan(NUT, 200, (), readings(3.0, "stainless-304")) == plan(NUT, 200)
    assert plan(BOTTLE, 100, (), readings(3.0)) == plan(BOTTLE, 100)


def test_a_plan_without_draws_goes_by_the_gauge_too() -> None:
    """Central figures alone: as many passes as with draws, so that times on the desk and the card agree."""
    taught_by = readings(2.0)
    with_draws, without = plan(NUT, 500, (), taught_by).removal, plan(NUT, 0, (), taught_by).removal
    assert with_draws.setting is not None
    assert without.setting is not None
    assert with_draws.setting.passes == without.setting.passes


def test_a_reading_that_can_not_be_true_does_not_stop_the_plan() -> None:
    """Kept by mistake, it is left out, and the plan says so."""
    wrong = DepthReading(passes=1, depth_um=20_000.0, resolution_um=0.1, dose_j_mm2=0.001, metal="brass-c26000")
    made = plan(NUT, 100, (), (wrong,))
    assert made.removal.setting is not None
    assert any("leaves out the saved depth readings" in note for note in notes(made))


def test_readings_far_from_the_belief_are_questioned() -> None:
    """300 µm a pass is a slip of the unit more likely than a strange part: it is told."""
    start = prior(metals()["brass-c26000"])
    dose = depth_of(NUT, 40.0).stamp["dose_j_mm2"]
    assert any(
        "check the passes" in note for note in posterior(start, [DepthReading(passes=10, depth_um=3000.0)], dose).notes
    )
    assert posterior(start, [DepthReading(passes=10, depth_um=30.0)], dose).notes == ()


def test_the_next_part_scatters_more_than_the_belief() -> None:
    """With the belief all but certain by ninety readings alike, what is left is the least scatter of parts, 7 %."""
    sure = posterior(prior(metals()["brass-c26000"]), readings(3.0) * 30, 1.0)
    low, middle, high = np.quantile(depth_of_parts_um(sure, 20, 1.0), [0.05, 0.5, 0.95])
    assert np.log(high / low) / 2 / 1.645 == pytest.approx(0.07, rel=0.15)
    assert low < middle < high


def test_the_command_keeps_and_the_card_follows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The reading lies beside the profiles and the sheet rests on it; only tried, nothing is saved."""
    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path / "shop"))
    assert main(["depth", "record", "brass-nut", "10 = 30 um", "--tries"]) == 0
    assert "rotary saved nothing" in capsys.readouterr().out
    assert depth_readings(tmp_path / "shop") == ()
    assert main(["depth", "record", "brass-nut", "10 = 30 um"]) == 0
    assert "saved in" in capsys.readouterr().out
    assert main(["print", "setup", "brass-nut"]) == 0
    sheet = " ".join(capsys.readouterr().out.split())
    assert "EXAMPLE ONLY. Depth measured on this metal: 0.0" in sheet
    assert "No depth measured" not in sheet
    assert main(["depth", "record", "brass-nut"]) == 2
    assert "10 = 18 um" in capsys.readouterr().err


def test_kept_readings_grow_by_what_is_added(tmp_path: Path) -> None:
    """What was there stays, what is new comes after it."""
    first, second = readings(3.0, many=2)
    add_depths([first], tmp_path)
    assert add_depths([second], tmp_path) == (first, second) == depth_readings(tmp_path)


def test_a_reading_that_is_struck_out_teaches_no_more(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Struck out it stays in the list and the plan is as before it; struck again it counts again."""
    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path))
    add_depths(readings(3.0, many=1), tmp_path)
    with_it = plan(NUT, 100, (), depth_readings(tmp_path)).removal.setting
    assert main(["depth", "ignore", "1"]) == 0
    assert "ignored" in capsys.readouterr().out
    assert plan(NUT, 100, (), depth_readings(tmp_path)) == plan(NUT, 100)
    assert main(["depth", "ignore", "1"]) == 0
    assert main(["depth", "list"]) == 0
    assert "ignored" not in capsys.readouterr().out
    assert plan(NUT, 100, (), depth_readings(tmp_path)).removal.setting == with_it
    assert main(["depth", "ignore", "7"]) == 2
    assert "the only depth reading has the number 1" in capsys.readouterr().err
