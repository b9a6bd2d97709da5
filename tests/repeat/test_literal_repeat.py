"""A proven job marked once more by somebody who has the sheet of the repeat and the answer to the file's command.

Both are followed to the letter, so they must give the same passes in the same order, and files that are there.
"""

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from rotary.cli import main
from rotary.job import Job, job_text
from tests.actions.cases import CHUCK, COAT, HEAD, ROLLERS


def cup(drive: dict[str, Any], high_mm: float) -> Job:
    measured = [{"at_mm": 0, "across_mm": 84.0}, {"at_mm": 120, "across_mm": high_mm}]
    return Job.model_validate({
        "item": {"name": "invented cup", **COAT, "measurements": measured},
        "turning": drive,
        "laser": HEAD,
        "artwork": {"name": "oars", "width_mm": 50.0, "height_mm": 40.0, "centre_mm": 60.0},
        "tolerances": {"method": "sliced"},
    })  # fmt: skip


def marked_with(text: str) -> list[str]:
    """What is typed and done for the passes, without the names of files."""
    text = " ".join(text.split())
    found = re.findall(
        r"Type \d+ pass.*?(?:then let the item turn\.|\(your count\)[^.]*\.)|Last pass: [^.]*\.\d+ mm", text
    )
    return [*found, *re.findall(r"Wait \d+ s or more between rounds", text)]


@pytest.mark.parametrize("way", ["slice", "dots"])
@pytest.mark.parametrize("power", ["", "21 %"])
@pytest.mark.parametrize(("drive", "high_mm"), [(CHUCK, 72.0), (CHUCK, 84.0), (ROLLERS, 72.0)])
def test_the_file_of_a_repeat_is_run_as_the_sheet_says(
    drive: dict[str, Any], high_mm: float, power: str, way: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The first slice came clean at the plan's power, or further up the ladder: the last pass stays the one that was
    run, and slices that got their passes one after the other get them so again."""

    def told(*words: str) -> str:
        assert main(["-q", *words]) == 0, capsys.readouterr().err
        return capsys.readouterr().out

    (tmp_path / "cup.toml").write_text(job_text(cup(drive, high_mm)))
    store = ["--store", str(tmp_path / "kept")]
    told("profile", "save", str(tmp_path / "cup.toml"), "--as", "cup", *store)
    told("profile", "proven", "cup", "--passes", "3", *(["--power", power] if power else []), *store)
    sheet = told("profile", "repeat", "cup", *store)
    Image.fromarray(np.tile(np.linspace(40, 220, 300).astype(np.uint8), (240, 1))).save(tmp_path / "grey.png")
    art = ["--text", "HERON"] if way == "slice" else [str(tmp_path / "grey.png"), "--mark", "lighter"]
    assert main(["art", way, "cup", *art, *store, "--to", str(tmp_path / "out")]) == 0
    answer = capsys.readouterr().out
    assert "PROVEN" in answer
    assert len(marked_with(sheet)) > 1
    assert marked_with(answer) == marked_with(sheet)
    names = set(re.findall(r"[\w-]+\.(?:svg|png)", re.findall(r"Import (.*?)\. Type", " ".join(answer.split()))[0]))
    assert names
    assert names == {one.name for one in (tmp_path / "out").iterdir()}


@pytest.mark.parametrize("coated", [True, False])
def test_a_repeat_that_was_stopped_goes_on_with_the_numbers_run(
    coated: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its sheet has the power and the passes of the run: nobody looks for them on the ladder again, and bare metal is
    not cut as deep as a plan of today would."""
    job = cup(CHUCK, 84.0)
    if not coated:
        bare = {"coating": None, "coating_thickness_um": None, "solid": True, "wall_mm": None}
        job = job.model_copy(update={"item": job.item.model_copy(update=bare)})
    (tmp_path / "cup.toml").write_text(job_text(job))
    store = ["--store", str(tmp_path / "kept")]
    more = ["--power", "21 %"] if coated else []
    for words in (["save", str(tmp_path / "cup.toml"), "--as", "cup"], ["proven", "cup", "--passes", "3", *more]):
        assert main(["-q", "profile", *words, *store]) == 0
    capsys.readouterr()
    assert main(["profile", "repeat", "cup", *store]) == 0
    sheet = " ".join(capsys.readouterr().out.split())
    assert main(["resume", "cup", "--done", "1-2", *store]) == 0
    left = " ".join(capsys.readouterr().out.split())
    power = re.search(r"Power (\d+ %)", sheet)
    assert power is not None
    assert f"Power {power[1]}" in left
    third = re.search(r"\[ \] 3 (?:\d+ steps? \w+ |not at all )?(\d+) pass(.*?)\[ \] 4 ", left)
    assert third is not None
    assert int(third[1]) + sum(map(int, re.findall(r", (\d+) along", third[2]))) == 3
    assert "type the power that cleaned" not in left
