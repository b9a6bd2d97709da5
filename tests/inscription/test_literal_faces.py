"""Words on flats and end faces, marked by somebody who does what the sheet says, on a part in plain geometry.

The person stands in front of the machine: +X to the right, +Y away. The part's flats are numbered by where they lie;
nothing of how the tool counts or turns is used, what is done is read off the sheets.
"""

import math
import re
from itertools import product
from pathlib import Path
from typing import Any, Final

import numpy as np
import pytest

from rotary.cli import main
from rotary.inscription.lists import ListRow
from rotary.inscription.names import names
from rotary.job import Job, job_text
from rotary.sheet.reread import drawing_from_file
from rotary.wording import InscriptionWish
from tests.inscription.test_done import with_item

POINTS: Final = {"up": (0, 1), "down": (0, -1), "right": (1, 0), "left": (-1, 0)}
SIDES: Final = {"right (+X)": (1, 0), "left (-X)": (-1, 0), "back (+Y)": (0, 1), "front (-Y)": (0, -1)}
LIES: Final = [("y", "plus"), ("y", "minus"), ("x", "plus"), ("x", "minus")]
COAT: Final = {"coating": "polyester-powder-dark", "coating_thickness_um": 70.0}
WISH: Final = InscriptionWish(text="{name}", around="flats", more=("L{name}", "LL{name}"), to_mm=24.0)


def nut(flats: int, axis: str, towards: str, coated: bool) -> Job:
    job = with_item(flats=flats, across_flats_mm=30.0, length_mm=40.0, **(COAT if coated else {}))
    laser = job.laser.model_copy(update={"field_axis": axis, "rim_towards": towards})
    return job.model_copy(update={"laser": laser, "passes": job.passes.model_copy(update={"depth_um": None})})


def letters(path: Path) -> int:
    """Of words of nothing but L."""
    (ink,) = drawing_from_file(path).parts.values()
    return len(ink.offsets) - 1


def told(text: str, pattern: str) -> re.Match[str]:
    found = re.search(pattern, text)
    assert found is not None, f"{pattern} is not said: {text}"
    return found


def followed(sheet: str, folder: Path, own: dict[str, str]) -> dict[int, tuple[int, str]]:
    """What each flat bears, by its number to the right of the first file's: how many letters, which file.

    `own` are the person's files by the names that stand on the sheet: of another part of the list they are others.
    """
    text = " ".join(sheet.split())
    away = float(told(text, r"Focus on the face,?( then move the lens ([\d.]+) mm (AWAY|CLOSER))?")[2] or 0)
    edge = told(text, r"side at end 2 must point (\w+): end 2 lies at the (.*?)\.")
    points = POINTS[edge[1]]
    assert SIDES[edge[2]] == points
    side = told(text, r"with end 2 away from you: the next file's flat always lies to the (\w+) of the flat before")[1]
    assert "a flat lies level under the lens" in text
    steps = text[text.index("LASER ---") : text.index("AFTER MARKING ---")]
    order = re.findall(r"[\w-]+-flat-\d+\.svg", steps)
    first = told(text, r"Import ([\w-]+\.svg)")[1]
    order = order if order[:1] == [first] else [first, *order]
    out: dict[int, tuple[int, str]] = {}
    for name in order:
        path = folder / own[name]
        number = int(name.rpartition("-flat-")[2].split(".")[0])
        place = (number - 1) * (1 if side == "right" else -1)
        assert place not in out, f"{name} is marked on a flat that is marked"
        focus = float(told(path.read_text("utf-8"), r"focus ([+-][\d.]+) mm over the face")[1])
        assert focus == pytest.approx(away, abs=0.06)
        # An L has more corners at its foot than at its top, which is towards end 2.
        (ink,) = drawing_from_file(path).parts.values()
        along = ink.points_mm @ np.array(points, float)
        assert np.sum(along < 0) > np.sum(along > 0)
        out[place] = letters(path), name
    return out


@pytest.mark.parametrize(("flats", "lies", "coated"), [*product((6, 4), LIES, (False, True))])
def test_each_name_of_a_list_comes_on_its_own_part_flat_by_flat(
    flats: int, lies: tuple[str, str], coated: bool, tmp_path: Path
) -> None:
    """By each part's sheet: its name alone on the first flat, then with one L before it, then two, to the right."""
    job = nut(flats, *lies, coated)
    wanted = tuple(ListRow(line, "L" * line, "L" * line) for line in (2, 3, 5))
    made = names(job, WISH, wanted, tmp_path / "out")
    assert [entry.state for entry in made.entries] == ["cut"] * 3
    for entry in made.entries:
        sheet = (tmp_path / "out" / entry.card).read_text("utf-8")
        # A sheet for several parts names the first one's files.
        named = sorted(set(re.findall(r"[\w-]+-flat-\d+\.svg", sheet)))
        bears = followed(sheet, tmp_path / "out", dict(zip(named, entry.files, strict=True)))
        assert {place: count for place, (count, _) in bears.items()} == {k: entry.line + k for k in range(3)}


def test_a_list_on_flats_leaves_no_face_and_no_last_pass_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Who has only the answer on the screen marks all faces of the first part, too, and each with the last pass."""
    (tmp_path / "nut.toml").write_text(job_text(nut(6, *LIES[0], coated=True)))
    (tmp_path / "list.csv").write_text("name\nLL\nLLL\n")
    words = ["inscribe", str(tmp_path / "nut.toml"), "--text", "{name}", "--more", "A{name}", "--around", "flats"]
    assert main([*words, "--list", str(tmp_path / "list.csv"), "--to", str(tmp_path / "out")]) == 0
    notes = [one for one in capsys.readouterr().out.split("\n  - ") if "own file" in one or "scrap item" in one]
    assert "Other faces and all other items: import each one's own file, " in notes[1]
    assert all("then mark the last pass" in " ".join(note.split()) for note in notes)


@pytest.mark.parametrize("lies", LIES)
def test_the_setup_sheet_of_a_job_alone_says_how_its_flats_lie(lies: tuple[str, str], tmp_path: Path) -> None:
    """Who never asks for an inscription sheet has focus, place, side and the next flat too."""
    job = nut(6, *lies, coated=True)
    wish = WISH.model_copy(update={"text": "LL", "more": ("LLL", "LLLL")})
    path = tmp_path / "nut.toml"
    path.write_text(job_text(job.model_copy(update={"inscription": wish})))
    assert main(["-q", "inscribe", str(path), "--to", str(tmp_path)]) == 0
    assert main(["-q", "print", "setup", str(path), "--to", str(tmp_path / "a.txt")]) == 0
    sheet = (tmp_path / "a.txt").read_text("utf-8")
    names_of = {name: name for name in re.findall(r"[\w-]+-flat-\d+\.svg", sheet)}
    assert {k: count for k, (count, _) in followed(sheet, tmp_path, names_of).items()} == {0: 2, 1: 3, 2: 4}
    assert "Bring the place 12 mm from end 1 under the middle of the field" in " ".join(sheet.split())


@pytest.mark.parametrize("start", [0.0, 90.0])
@pytest.mark.parametrize("lies", LIES)
def test_words_round_an_end_face_begin_where_the_sheet_says(
    start: float, lies: tuple[str, str], tmp_path: Path
) -> None:
    """Looked at from above, which is how the window shows it: clockwise is towards +X from the top, no letter
    mirrored, the feet of all letters towards the middle; the end that is up is the one whose size the words fit."""
    taper = [{"at": "0 mm", "across": "30 mm"}, {"at": "20 mm", "across": "20 mm"}]
    job = with_item(measurements=taper)
    laser: dict[str, Any] = {"field_axis": lies[0], "rim_towards": lies[1]}
    job = job.model_copy(update={"laser": job.laser.model_copy(update=laser)})
    wish = InscriptionWish(text="LLLL", around="end", start_rad=math.radians(start), arc_rad=None, letter_height_mm=2.0)
    path = tmp_path / "nut.toml"
    path.write_text(job_text(job.model_copy(update={"inscription": wish})))
    assert main(["-q", "inscribe", str(path), "--to", str(tmp_path)]) == 0
    (card,) = tmp_path.glob("*-setup.txt")
    text = " ".join(card.read_text("utf-8").split())
    assert "Stand the part with end 2 up" in text
    begins = told(text, r"In your program's window the words begin (at the top|([\d.]+)° clockwise from the top)")
    (file,) = tmp_path.glob("*-end.svg")
    (ink,) = drawing_from_file(file).parts.values()
    x, y = ink.points_mm.T
    radius = np.hypot(x, y)
    assert radius.max() < 10 - 0.4
    clockwise = np.degrees(np.arctan2(x, y)) % 360
    from_begin = (clockwise - float(begins[2] or 0)) % 360
    rings = [slice(a, b) for a, b in zip(ink.offsets[:-1], ink.offsets[1:], strict=True)]
    lefts = [float(np.min(from_begin[ring])) for ring in rings]
    assert min(lefts) < 3
    for ring in rings:
        # The upright of an L is on its left, and its foot lies towards the middle.
        upright = from_begin[ring][np.argmax(radius[ring])]
        foot = from_begin[ring][radius[ring] < np.min(radius[ring]) + 0.2]
        assert np.ptp(foot) > 3
        assert upright < float(np.median(foot)) + 1
