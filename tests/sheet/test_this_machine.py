"""A sheet for the machine as measured, and what is not known of it, as the simulation takes them from a plan."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import rotary.services.files
from rotary.artwork.sets import FileSet
from rotary.errors import FileTrouble, NoPlan
from rotary.services.files import flat_file, slice_sheet
from rotary.services.simulation import beliefs_of, machine_of, simulation, simulation_of_files
from rotary.sheet import SheetWish
from rotary.turning.models import TurnRange
from tests.sheet.test_sheet import block, planned


@pytest.mark.parametrize(
    "measured",
    [
        {"slice_wide_share": 1.012},
        {"slice_high_share": 0.985},
        {"slice_turn_rad": 0.004},
        {"slice_wide_share": 0.99, "slice_high_share": 1.02, "slice_turn_rad": -0.003},
    ],
)
def test_a_sheet_for_this_machine_lands_true_on_it(measured: dict[str, float], tmp_path: Path) -> None:
    """Drawn wider, lower or turned, as its machine needs it, artwork lands where it belongs; on a machine without that
    fault it comes out as much taller as it was drawn."""
    made = planned(laser=measured, tolerances={"margin_mm": 0.6})
    _, (path, *_) = slice_sheet(made, block(60, 50), tmp_path)
    found = simulation(made, path, block(60, 50), 0).forecast
    assert found.placement_mm is not None
    assert found.placement_mm < 0.015
    other = planned(tolerances={"margin_mm": 0.6})
    heights = [float(np.ptp(simulation(one, path, None, 0).marks.s_mm)) for one in (made, other)]
    share = measured.get("slice_high_share", 1.0)
    assert heights[1] / heights[0] == pytest.approx(share, abs=0.001)


def test_all_that_is_not_known_goes_into_the_draws() -> None:
    """Every tolerance, and what drive and lens are known by, are half widths that hold 95 %; runout swings the wall to
    either side by half of it, and adds to the setting of the focus as independent errors do (3, 4, 5)."""
    made = planned(
        item={"runout_mm": 1.6},
        turning={"skew_rad": 0.002, "offset_mm": -0.7},
        tolerances={"diameter_mm": 0.33, "focus_mm": 0.6, "field_scale_share": 0.004},
    )
    found = beliefs_of(made)
    assert found.diameter_mm == 0.33
    assert found.focus_mm == pytest.approx(1.0)
    assert found.field_share == 0.004
    assert (found.skew_rad, found.aside_mm) == (0.002, 0.7)
    # 95 % of a normal error lie within 1.96 of its standard deviations (common practice, no source).
    assert found.turn_share == pytest.approx(1.96 * made.turning.u_scale, rel=1e-3)
    # Two stops, each anywhere within its bound at the widest place, 44 mm from the axis.
    assert found.motor_rad * 44.0 == pytest.approx(made.turning.motor_error_mm * (2 / 3) ** 0.5)
    assert found.motor_rad > 0
    optics = made.optics
    assert found.pupil_share == pytest.approx((optics.pupil_high_share - optics.pupil_low_share) / 2)
    assert found.pupil_share > 0


def test_a_handle_stops_the_turn_on_either_side(tmp_path: Path) -> None:
    """A turn that is free on one side only is refused, whichever side it is."""
    made = planned()
    reach = (made.split.slices - 1) / 2 * made.split.index_angle_rad
    for ends in ((-reach / 2, 2 * reach), (-2 * reach, reach / 2)):
        free = TurnRange(from_rad=ends[0], to_rad=ends[1], stopped_by="the handle on the bed")
        tight = made.model_copy(update={"turning": made.turning.model_copy(update={"turn_range": free})})
        low, high = np.degrees(ends)
        with pytest.raises(NoPlan, match=f"beyond {low:.0f}° and {high:.0f}° the handle hits"):
            slice_sheet(tight, block(60, 50), tmp_path / "a", SheetWish(slide=False))
    assert not (tmp_path / "a").exists()


def test_the_program_asks_for_parts_of_steps() -> None:
    """What is typed makes a column of a number of steps that is nearly whole, and the simulation keeps the part."""
    made = planned(turning={"typed_decimals": 1})
    typed = {entry.label: entry.text for entry in made.split.key_in}
    diameter = float(typed["Diameter to type"])
    asked = float(typed["Slice width in the file"]) / (np.pi * diameter) * float(typed["Steps per turn"])
    assert machine_of(made).asked_steps == pytest.approx(asked, abs=1e-8)
    assert abs(asked - round(asked)) > 1e-6


def test_a_folder_with_one_sheet_is_that_sheet(tmp_path: Path) -> None:
    """Naming the folder says the same as naming the file; beside the flat drawing it is one of two, which is asked."""
    made = planned()
    ink = block(60, 50)
    _, (path, *_) = slice_sheet(made, ink, tmp_path)
    assert simulation_of_files(made, tmp_path, ink, 0) == simulation_of_files(made, path, ink, 0)
    other = made.model_copy(
        update={"job": made.job.model_copy(update={"artwork": made.job.artwork.model_copy(update={"name": "oars"})})}
    )
    flat_file(other, ink, tmp_path)
    with pytest.raises(FileTrouble, match="several sliced files"):
        simulation_of_files(made, tmp_path, ink, 0)


@pytest.mark.parametrize("verb", [slice_sheet, flat_file])
def test_a_disk_that_keeps_something_else_is_noticed(
    verb: Callable[..., object], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What stands on the disk is read back: a file that lost some of its ink there is told, not marked."""
    real = rotary.services.files.write_set

    def losing(folder: Path, stem: str, contents: dict[str, bytes], *rest: Any) -> FileSet:
        """One filled path of each file becomes a speck."""
        speck = re.compile(rb'(<path id="(?:slice-\d+|artwork)"[^>]*\bd=")[^"]*')
        lost = {name: speck.sub(rb"\1M0 0l1 0 0 1z", data, count=1) for name, data in contents.items()}
        assert lost != contents
        return real(folder, stem, lost, *rest)

    monkeypatch.setattr(rotary.services.files, "write_set", losing)
    with pytest.raises(FileTrouble, match="the written file shows"):
        verb(planned(), block(60, 50), tmp_path)
