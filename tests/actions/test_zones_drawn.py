"""Parts of a long taper with a focus each: as they were drawn, on paper, in the plan and in the files."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from rotary.__main__ import main
from rotary.actions.build import actions_of
from rotary.actions.files import zones_of
from rotary.actions.models import kind_of
from tests.sheet.test_sheet import planned

CUP = "{ at = '0 mm', across = '52 mm' }, { at = '20 mm', across = '70 mm' }, { at = '45 mm', across = '84 mm' }, "
CUP += "{ at = '65 mm', across = '86 mm' }, { at = '90 mm', across = '78 mm' }, { at = '110 mm', across = '66 mm' }"
JOB = f"""
use_laser = "fibre-30w-160"
[item]
name = "Wine cup (invented)"
measurements = [ {CUP} ]
[turning]
kind = "chuck"
axis_height = "90 mm"
[artwork]
name = "bars"
width = "50 mm"
height = "40 mm"
centre = "60 mm"
pieces = [ {{ file = "bars.svg" }} ]
[tolerances]
focus = "0.2 mm"
fluence_low = "70 %"
fluence_high = "140 %"
[passes]
defocus = "5 mm"
"""
# Bars with a white row between them, 0.9 mm over the border that a plan without artwork has between two zones.
BARS = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="40mm" viewBox="0 0 50 40">'
    '<rect width="50" height="1"/><rect x="5" y="3" width="40" height="1.8"/>'
    '<rect x="5" y="5.1" width="40" height="22.1"/><rect y="37" width="50" height="3"/></svg>'
)


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "cup.toml").write_text(JOB, "utf-8")
    (tmp_path / "bars.svg").write_text(BARS, "utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.slow
def test_a_border_that_moved_into_white_stands_in_file_plan_and_sheet(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same heights in the file's own notes, in the plan's JSON, in what is done by hand and on the setup sheet."""
    assert main(["art", "slice", "cup.toml", "--to", "own.svg"]) == 0
    said = capsys.readouterr().out
    (drawn,) = {
        float(to_mm)
        for path in shop.glob("own-zone-2*.svg")
        for to_mm in re.findall(r"to_mm=([\d.]+)", path.read_text("utf-8"))
    }
    main(["plan", "cup.toml", "--json"])
    plan = json.loads(capsys.readouterr().out)
    zones = plan["focus"]["refocus"]
    assert zones[1]["to_mm"] == zones[2]["from_mm"] == pytest.approx(drawn, abs=1e-3)
    assert zones[1]["beyond_to_mm"] >= 0
    # Before the artwork is known the border lies elsewhere.
    (shop / "bars.svg").unlink()
    capsys.readouterr()
    main(["plan", "cup.toml", "--json"])
    assert json.loads(capsys.readouterr().out)["focus"]["refocus"][1]["to_mm"] < drawn - 0.5
    (shop / "bars.svg").write_text(BARS, "utf-8")
    shown = f"{round(drawn, 1):g} mm from the base"
    rows = [row for row in plan["actions"]["by_hand"] if row["id"].startswith("focus")]
    assert shown in rows[1]["text"]
    assert shown in said
    main(["print", "setup", "cup.toml"])
    assert f"{round(drawn, 1):g} mm" in capsys.readouterr().out
    # Files are named as they were written, each once.
    assert "Other parts: focus anew for each, import own-zone-1.svg, own-zone-3.svg." in said


def test_every_part_has_its_focus_where_each_slice_has_a_file() -> None:
    """On rollers, with a program that turns after every pass: a folder of slices and a height of the lens each."""
    across = (52.0, 70.0, 84.0, 86.0, 78.0, 66.0)
    measurements = [{"at_mm": s, "across_mm": d} for s, d in zip((0, 20, 45, 65, 90, 110), across, strict=True)]
    drive: dict[str, Any] = {"kind": "rollers", "roller_diameter_mm": 30, "centres_mm": 60, "axis_height_mm": 40}
    made = planned(
        item={"measurements": measurements},
        turning=drive,
        program={"can_repeat_slice": False},
        artwork={"width_mm": 40, "height_mm": 40, "centre_mm": 55},
    )
    assert made.removal.file_per_slice
    assert len(zones_of(made)) > 1
    actions = actions_of(made)
    assert len([row for row in actions.by_hand if kind_of(row.id) == "focus"]) == len(zones_of(made))
    assert actions.run.files.first.startswith("zone-")
