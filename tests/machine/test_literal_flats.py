"""A job on flats that was stopped, done to the letter: who tells the numbers of the setup sheet has each flat once."""

import re
from pathlib import Path
from typing import Any

import pytest

from rotary.cli import main
from rotary.job import Job, job_text
from rotary.sheet.reread import drawing_from_file
from tests.actions.cases import BARE, CHUCK, HEAD

LIES = [("y", "plus"), ("y", "minus"), ("x", "plus"), ("x", "minus")]
SIDES = {"right (+X)": (1, 0), "left (-X)": (-1, 0), "back (+Y)": (0, 1), "front (-Y)": (0, -1)}
RIM = {("y", "plus"): (0, 1), ("y", "minus"): (0, -1), ("x", "plus"): (1, 0), ("x", "minus"): (-1, 0)}


def nut(lies: tuple[str, str], **more: Any) -> Job:
    """An invented hexagon: L on the front flat, LL on the next to its right, LLL two flats to its left."""
    pieces = [
        {"text": "L" * many, "letter_height_mm": 3.0, "centre_mm": 20.0, "angle_rad": turns * 1.0471975511965976}
        for many, turns in ((1, 0), (2, 1), (3, -2))
    ]
    given = {
        "item": {"name": "hex", **BARE, "flats": 6, "across_flats_mm": 30.0, "length_mm": 40.0},
        "turning": CHUCK,
        "laser": HEAD | {"field_axis": lies[0], "rim_towards": lies[1]},
        "artwork": {"name": "ls", "width_mm": 12.0, "height_mm": 6.0, "centre_mm": 20.0, "pieces": pieces},
        **more,
    }
    return Job.model_validate(given)


def told(text: str, pattern: str) -> re.Match[str]:
    found = re.search(pattern, text)
    assert found is not None, f"{pattern} is not said: {text}"
    return found


@pytest.mark.parametrize("lies", LIES)
@pytest.mark.parametrize("coated", [False, True])
def test_the_flats_that_are_left_are_those_that_are_not_told(
    lies: tuple[str, str], coated: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The sheet counts slices from one side of the field; the flat with one L is told as done. On the others come LL
    and LLL, one flat to the right and two to the left of it."""
    job = nut(lies)
    if coated:
        coat = {"coating": "polyester-powder-dark", "coating_thickness_um": 70.0}
        job = job.model_copy(update={"item": job.item.model_copy(update=coat)})
    path = str(tmp_path / "hex.toml")
    Path(path).write_text(job_text(job))
    assert main(["-q", "print", "setup", path, "--to", str(tmp_path / "a.txt")]) == 0
    sheet = " ".join((tmp_path / "a.txt").read_text("utf-8").split())
    count = int(told(sheet, r"The program must show (\d+) slices of")[1])
    assert count == 5
    front = int(told(sheet, r"At the start slice (\d) of 5 must lie under the beam")[1])
    many = ["--passes", "3"] if coated else []
    assert main(["resume", path, "--done", f"{front}", *many, "--to", str(tmp_path / "r")]) == 0
    text = " ".join(capsys.readouterr().out.split())
    up = SIDES[told(text, r"Forward: the slices on the (.*?) come up")[1]]
    rim = RIM[lies]
    right = up[0] * rim[1] - up[1] * rim[0]
    steps = float(told(sheet, r"Steps per turn of the chuck (\d+)")[1])
    bears = {}
    for file in (tmp_path / "r").glob("*.svg"):
        number = int(file.name.rpartition("-slice-")[2].split("-")[0])
        turn = told(text, rf"\[ \] {number} (?:not at all|(\d+) steps? (forward|back)) ")
        far = int(turn[1] or 0) * (1 if turn[2] == "forward" else -1)
        (ink,) = drawing_from_file(file).parts.values()
        bears[round(right * far / steps * 6)] = len(ink.offsets) - 1
    assert bears == {1: 2, -2: 3}


def test_words_on_flats_are_not_said_to_be_done(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Their files are marked face by face, and no number of a slice means one of them."""
    job = nut(("y", "plus"), inscription={"text": "A", "around": "flats", "more": ["B"]})
    (tmp_path / "hex.toml").write_text(job_text(job))
    assert main(["resume", str(tmp_path / "hex.toml"), "--done", "1"]) != 0
    assert "import the file of each face that is left" in capsys.readouterr().err


@pytest.mark.parametrize("lies", LIES)
@pytest.mark.parametrize("known", [False, True])
def test_a_file_for_each_flat_is_turned_to_as_the_screen_says(
    lies: tuple[str, str], known: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The front flat is the slice that is named; the others come up from the side that is named, file by file, whether
    the number of passes is known or found on the first."""
    coat = {"coating": "polyester-powder-dark", "coating_thickness_um": 70.0}
    job = nut(lies, passes={"passes": 3} if known else {})
    job = job.model_copy(update={"item": job.item.model_copy(update=coat)})
    (tmp_path / "hex.toml").write_text(job_text(job))
    assert main(["art", "slice", str(tmp_path / "hex.toml"), "--files", "--to", str(tmp_path / "r")]) == 0
    text = " ".join(capsys.readouterr().out.split())
    on_top = int(told(text, r"front flat lies level .*? Then slice (\d) lies under the beam")[1])
    up = SIDES[told(text, r"farthest left \(rim up\): the next comes up from the (.*?)\.")[1]]
    right = up[0] * RIM[lies][1] - up[1] * RIM[lies][0]
    each = float(told(text, r"From one flat to the next turn the item by ([\d.]+)°")[1])
    bears = {}
    for file in (tmp_path / "r").glob("*.svg"):
        number = int(file.name.rpartition("-slice-")[2].split("-")[0])
        (ink,) = (part for name, part in drawing_from_file(file).parts.items() if name != "corner-ticks")
        bears[round(right * (number - on_top) * each / 60)] = len(ink.offsets) - 1
    assert bears == {0: 1, 1: 2, -2: 3}
