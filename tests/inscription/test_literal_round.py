"""Words round a barrel, part of the way and lengthwise, marked by somebody who does what the sheet says.

The person stands in front of the machine: +X to the right, +Y away. The barrel has a pen mark; where ink lands about it
is found by straight down beams onto a cylinder, and by the sheet's words alone.
"""

import csv
import math
import re
from itertools import product
from pathlib import Path
from typing import Any, Final

import numpy as np
import pytest
from numpy.typing import NDArray

from rotary.cli import main
from rotary.inscription.lists import ListRow
from rotary.inscription.names import names
from rotary.job import Job, job_text
from rotary.sheet.reread import drawing_from_file
from rotary.wording import InscriptionWish
from tests.inscription.test_done import with_item

Floats = NDArray[np.float64]

RADIUS_MM: Final = 11.0
POINTS: Final = {"up": (0, 1), "down": (0, -1), "right": (1, 0), "left": (-1, 0)}
SIDES: Final = {"right (+X)": (1, 0), "left (-X)": (-1, 0), "back (+Y)": (0, 1), "front (-Y)": (0, -1)}
LIES: Final = [("y", "plus"), ("y", "minus"), ("x", "plus"), ("x", "minus")]
WORDS: Final = {
    "ring": InscriptionWish(text="II I", around="ring", gap_mm=20.0, letter_height_mm=5.0, tracking=1.0),
    "arc": InscriptionWish(text="II I", around="arc", letter_height_mm=5.0, tracking=1.0),
    "axis": InscriptionWish(text="II I", around="axis", letter_height_mm=3.0, tracking=1.0),
}
STARTS: Final = [0.0, 50.0, -130.0]


def barrel(axis: str, towards: str, method: str, taper: float = 0.0, **item: Any) -> Job:
    """22 mm across in its middle, and by `taper` of its length thinner at end 2 than at end 1."""
    ends = [{"at": f"{at} mm", "across": f"{22 - taper * (at - 15):g} mm"} for at in (0, 30)]
    job = with_item(measurements=ends, **item)
    laser = job.laser.model_copy(update={"field_axis": axis, "rim_towards": towards})
    limits = job.tolerances.model_copy(update={"method": method})
    return job.model_copy(update={"laser": laser, "tolerances": limits})


def told(text: str, pattern: str) -> re.Match[str]:
    found = re.search(pattern, text)
    assert found is not None, f"{pattern} is not said: {text}"
    return found


def on_the_barrel(sheet: str, file: Path, start_deg: float, taper: float = 0.0) -> Floats:
    """Where ink lands: degrees to the right of the pen mark, seen with end 2 away or up, and mm towards end 2.

    At the start the place so far to the right of the pen mark is on top; slice by slice the part turns as told.
    """
    text = " ".join(sheet.split())
    edge = told(text, r"side at end 2 must point (\w+): end 2 lies at the (.*?)\.")
    assert SIDES[edge[2]] == POINTS[edge[1]]
    along = np.array(POINTS[edge[1]], float)
    right = np.array([along[1], -along[0]])
    page = drawing_from_file(file)
    points = np.concatenate([rings.points_mm for name, rings in page.parts.items() if name != "corner-ticks"])
    count = int(told(text, r"The program must show (\d+) slices? of")[1])
    wide = float(told(text, r"Slice width in the file ([\d.]+) mm")[1])
    across = points[:, 0 if along[1] else 1]
    number = np.floor((across + count * wide / 2) / wide).clip(0, count - 1)
    from_middle = (number - (count - 1) / 2)[:, None] * (np.array([1.0, 0.0]) if along[1] else np.array([0.0, 1.0]))
    local = points - from_middle * wide
    turned = 0.0
    if count > 1:
        side = float(right @ np.array(SIDES[told(text, r"The next slice must come up from the (.*?)\.")[1]], float))
        # What lay on that side is on top: a slice's own middle lies so much farther on that side of the start.
        each = float(told(text, r"From slice to slice the item must turn ([\d.]+)°")[1])
        turned = side * (number - (count - 1) / 2) * each
    on_top = start_deg + turned
    middle_mm = float(told(text, r"Bring the place ([\d.]+) mm from end 1 under the middle of the field")[1])
    radius_mm = RADIUS_MM - taper * (middle_mm + points @ along - 15) / 2
    return np.stack([on_top + np.degrees(np.arcsin(local @ right / radius_mm)), points @ along], axis=1)


def check(marks: Floats, around: str, begins_deg: float) -> None:
    """A ring begins there, and all other words have their middle there."""
    angle = (marks[:, 0] - begins_deg + 180) % 360 - 180
    if around == "ring":
        angle = (marks[:, 0] - begins_deg + 5) % 360 - 5
        assert -2 < angle.min() < 2
    else:
        assert (angle.min() + angle.max()) / 2 == pytest.approx(0, abs=1.5)
    # The widest gap between letters lies behind the second of three.
    along = np.sort(marks[:, 1] if around == "axis" else angle)
    gaps = np.diff(along)
    widest = int(np.argmax(gaps))
    assert (along[widest] + along[widest + 1]) / 2 > (along[0] + along[-1]) / 2


def first_on_top_deg(text: str) -> float:
    assert text.count("Put a pen mark on the item, anywhere round it. Turn the item until the ") == 1
    if "Turn the item until the pen mark (0°) lies under the field's middle." in text:
        return 0.0
    far = told(
        text, r"Turn the item until the place ([\d.]+)° to the (right|left) of the pen mark \(([\d.]+) mm on the wall; "
        r"seen with end 2 up\) lies under the field's middle\.",
    )  # fmt: skip
    assert float(far[3]) == pytest.approx(math.radians(float(far[1])) * RADIUS_MM, abs=0.06)
    return float(far[1]) * (1 if far[2] == "right" else -1)


def first_letter_deg(text: str) -> float:
    begins = told(text, r"The first letter begins (?:at|([\d.]+)° to the (right|left) of) (?:the pen mark|its front)\.")
    return float(begins[1] or 0.0) * (-1 if begins[2] == "left" else 1)


@pytest.mark.parametrize(("around", "lies", "start"), [*product(WORDS, LIES, STARTS)])
@pytest.mark.parametrize(("method", "taper"), [("flat", 0.0), ("sliced", 0.0), ("sliced", 0.3)])
def test_words_lie_about_the_pen_mark_as_the_sheet_says(
    around: str, lies: tuple[str, str], start: float, method: str, taper: float, tmp_path: Path
) -> None:
    """They lie where the job wants them, and the first letter where the sheet says. On a taper too, at all heights:
    upright strokes follow the wall."""
    # Lengthwise words on a steep taper come in parts, each with a focus of its own.
    taper = min(taper, 0.05) if around == "axis" else taper
    job = barrel(*lies, method, taper)
    wish = WORDS[around].model_copy(update={"start_rad": math.radians(start)})
    path = tmp_path / "nut.toml"
    path.write_text(job_text(job.model_copy(update={"inscription": wish})))
    assert main(["-q", "inscribe", str(path), "--to", str(tmp_path)]) == 0
    (card,), (file,) = tmp_path.glob("*-setup.txt"), tmp_path.glob("*.svg")
    text = " ".join(card.read_text("utf-8").split())
    marks = on_the_barrel(text, file, first_on_top_deg(text), taper)
    check(marks, around, start)
    if around == "axis":
        assert "The first letter" not in text
    else:
        first = ((marks[:, 0] - first_letter_deg(text) + 20) % 360).min() - 20
        assert -2 < first < 2


@pytest.mark.parametrize(("around", "handle"), [("ring", None), ("arc", None), ("arc", 180.0), ("arc", 90.0)])
@pytest.mark.parametrize("lies", LIES)
def test_each_name_of_a_list_lies_about_its_own_front(
    around: str, lies: tuple[str, str], handle: float | None, tmp_path: Path
) -> None:
    """The sheet of several parts says no start that is one part's alone: each starts by the table. A part with a
    handle has its front by that, and needs no pen mark."""
    grip = {"angle": f"{handle} deg", "width": "20 deg", "reach": "8 mm", "from": "2 mm", "to": "28 mm"}
    job = barrel(*lies, "sliced", **({} if handle is None else {"handle": grip}))
    wish = WORDS[around].model_copy(update={"text": "{name}", "arc_rad": 1.2 if around == "arc" else None})
    if handle is not None:
        job = job.model_copy(update={"turning": job.turning.model_copy(update={"axis_height_mm": 95.0})})
    wanted = tuple(ListRow(line, name, name) for line, name in enumerate(("II I", "III I"), 2))
    names(job, wish, wanted, tmp_path / "out")
    with (tmp_path / "out" / "names.csv").open(encoding="utf-8-sig") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 2
    for row in rows:
        text = " ".join((tmp_path / "out" / row["sheet"]).read_text("utf-8").split())
        where = told(
            text, r'Find the item\'s start angle: "start °" in names\.csv\. Turn the item until the place that many '
            r"degrees to the right of (the pen mark|its front) \(- is to the left; (?:(opposite) its handle; |its "
            r"handle is ([\d.]+)° to the (right|left); )?seen with end 2 up\) lies under the field's middle\.",
        )  # fmt: skip
        assert text.count("Turn the item until") == 1
        front_deg = 0.0
        assert (text.count("Put a pen mark on the item, anywhere round it."), where[1]) == (
            (1, "the pen mark") if handle is None else (0, "its front")
        )
        if handle is not None:
            front_deg = handle - (180.0 if where[2] else float(where[3]) * (1 if where[4] == "right" else -1))
        if around == "ring":
            assert first_letter_deg(text) == 0.0
        check(on_the_barrel(text, tmp_path / "out" / row["files"], front_deg + float(row["start °"])), around, 0.0)
