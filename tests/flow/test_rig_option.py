"""A plan for the machine as measured, on the command line."""

import json
from pathlib import Path

import pytest

from rotary.cli import main


def test_a_plan_takes_the_machine_as_measured(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A measured field scale is known better than believed; a rig that nobody measured is a sentence."""
    rigs = ["--rigs", str(tmp_path)]
    assert main(["plan", "boathouse-mug", "--json", "--draws", "0"]) == 0
    before = json.loads(capsys.readouterr().out)
    assert main(["plan", "boathouse-mug", "--rig", "bench", *rigs]) == 4
    assert "rotary gauge" in capsys.readouterr().err
    reading = ["gauge", "field", "axis=x", "drawn=140 mm", "measured=139.6 mm", "--rig", "bench"]
    assert main([*reading, *rigs]) == 0
    capsys.readouterr()
    assert main(["plan", "boathouse-mug", "--json", "--draws", "0", "--rig", "bench", *rigs]) == 0
    after = json.loads(capsys.readouterr().out)
    told = ("job", "tolerances", "field_scale_share")
    was, now = (plan[told[0]][told[1]][told[2]] for plan in (before, after))
    assert now < was
