"""A plan for the machine as measured, on the command line."""

import json
from pathlib import Path

import pytest

from rotary.cli import main
from rotary.shipped import examples


def test_a_plan_takes_the_machine_as_measured(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A measured field scale is known better than believed; a machine that nobody measured is a sentence."""
    machines = ["--machines", str(tmp_path)]
    assert main(["plan", "boathouse-mug", "--json", "--samples", "0"]) == 0
    before = json.loads(capsys.readouterr().out)
    assert main(["plan", "boathouse-mug", "--machine", "bench", *machines]) == 2
    assert "rotary machine new" in capsys.readouterr().err
    reading = [
        "machine",
        "record",
        "field",
        "axis=x",
        "drawn=140 mm",
        "measured=139.6 mm",
        "--machine",
        "bench",
        "--new",
    ]
    assert main([*reading, *machines]) == 0
    capsys.readouterr()
    assert main(["plan", "boathouse-mug", "--json", "--samples", "0", "--machine", "bench", *machines]) == 0
    after = json.loads(capsys.readouterr().out)
    job = tmp_path / "mug.toml"
    job.write_text('machine = "bench"\n' + examples()["boathouse-mug"].read_text("utf-8"), "utf-8")
    assert main(["plan", str(job), "--json", "--samples", "0", *machines]) == 0
    named = json.loads(capsys.readouterr().out)
    was, now, by_job = (plan["job"]["tolerances"]["field_scale_share"] for plan in (before, after, named))
    assert now == by_job < was


@pytest.mark.slow
def test_a_profile_proven_at_a_machine_is_repeated_there_after_it_was_renamed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another name is no other machine: the profile's job still finds it, and the repeat tells of no change."""
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path / "kept"))
    assert (
        main(
            ["machine", "record", "field", "axis=x", "drawn=140 mm", "measured=139.6 mm", "--machine", "bench", "--new"]
        )
        == 0
    )
    job = tmp_path / "mug.toml"
    job.write_text('machine = "bench"\n' + examples()["boathouse-mug"].read_text("utf-8"), "utf-8")
    assert main(["profile", "save", str(job), "--as", "mug"]) == 0
    assert main(["profile", "proven", "mug", "--batch", "7", "--passes", "4"]) in (0, 1)
    assert main(["machine", "rename", "bench", "river shed"]) == 0
    capsys.readouterr()
    assert main(["profile", "repeat", "mug"]) in (0, 1)
    said = capsys.readouterr().out
    assert "you proved this job" not in said
    assert "proven" in said
    assert main(["machine", "record", "field", "axis=y", "drawn=100 mm", "measured=99.9 mm", "--machine", "bench"]) == 0
    assert "river-shed.toml" in capsys.readouterr().out
    assert main(["profile", "repeat", "mug"]) in (0, 1)
    assert "the machine has a new reading: field" in capsys.readouterr().out
