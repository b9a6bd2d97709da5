"""A stopped job, done to the letter at a bench in plain geometry: what was marked and what is left make one artwork.

The person stands in front of the machine: +X to the right, +Y away. Nothing of how the tool counts slices or turns an
item is used here: sides, steps and numbers are read off its words, and marks off its files.
"""

import math
import re
from itertools import product
from pathlib import Path
from typing import Any, Final, NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from rotary.artwork.rings import Rings, joined, list_from_rings, rings_from_list
from rotary.job import Job
from rotary.machine.correct import NO_CORRECTION
from rotary.machine.papers import resume_paper
from rotary.machine.resume import TickReadings, done_from_text, remainder, remaining_files
from rotary.papers.text import text_lines
from rotary.plan import Plan, plan
from rotary.sentences.plan import actions_in_words
from rotary.services.files import with_files
from rotary.services.simulation import simulation_of_files
from rotary.sheet.reread import SheetDrawing, drawing_from_text
from tests.actions.cases import BARE, CHUCK, HEAD, ROLLERS

Floats = NDArray[np.float64]

SIDES: Final = {"right (+X)": (1, 0), "left (-X)": (-1, 0), "back (+Y)": (0, 1), "front (-Y)": (0, -1)}
RIM: Final = {("y", "plus"): (0, 1), ("y", "minus"): (0, -1), ("x", "plus"): (1, 0), ("x", "minus"): (-1, 0)}
RADIUS_MM, BAR_MM, BARS, LOW_MM = 40.0, 2.0, 20, -10.0
POINTER_MM: Final = (-1.2, 0.7)
"""How far the pointer's spot lies from the beam, to the right and towards the rim: as one that was knocked."""


def job_of(drive: dict[str, Any], axis: str, towards: str, method: str, **more: Any) -> Job:
    """An invented drum of bare metal, 120 mm long."""
    places = [{"at_mm": at, "across_mm": 2 * RADIUS_MM} for at in (0, 120)]
    given = {
        "item": {"name": "invented drum", **BARE, "measurements": places},
        "turning": drive,
        "laser": HEAD | {"field_axis": axis, "rim_towards": towards},
        "artwork": {"name": "bars", "width_mm": BARS * BAR_MM, "height_mm": 20.0, "centre_mm": 60.0},
        "tolerances": {"method": method},
        **more,
    }
    return Job.model_validate(given)


def bars() -> Rings:
    """Bars of which each ends higher than the one to its left, so that no place can be taken for another."""
    lefts = [(k - BARS / 2) * BAR_MM for k in range(BARS)]
    tops = [LOW_MM + 1 + k for k in range(BARS)]
    boxes = zip(lefts, tops, strict=True)
    return rings_from_list([[(x, LOW_MM), (x + 1, LOW_MM), (x + 1, y), (x, y)] for x, y in boxes])


class Item(NamedTuple):
    """How the item lies in the field: where its rim points, how far it is turned to the right and moved towards the
    rim, its rim to the right by `askew_rad`."""

    rim: tuple[int, int]
    turned_rad: float = 0.0
    rimwards_mm: float = 0.0
    askew_rad: float = 0.0

    @property
    def frame(self) -> Floats:
        """To the right seen with the rim away, which is a quarter clockwise from above; and towards the rim."""
        return np.array([(self.rim[1], -self.rim[0]), self.rim], float)

    def way(self, side: str) -> int:
        """Whether a side of the field, in the sheet's words, is the item's right (1) or left (-1)."""
        way = float(self.frame[0] @ np.array(SIDES[side], float))
        assert abs(way) == 1, f"{side} is no side of an item whose rim points to {self.rim}"
        return int(way)

    def rolled(self, side: str, rad: float) -> "Item":
        """Turned so that what lies on a side comes up."""
        return self._replace(turned_rad=self.turned_rad - self.way(side) * rad)

    def hit_mm(self, field_mm: Floats) -> Floats:
        """Arc to the right and height on the wall, from the artwork's middle, of what the beam hits there."""
        x, y = (field_mm @ self.frame.T).T
        c, s = math.cos(self.askew_rad), math.sin(self.askew_rad)
        right, up = c * x - s * y, s * x + c * y
        return np.stack([RADIUS_MM * (np.arcsin(right / RADIUS_MM) - self.turned_rad), up - self.rimwards_mm], axis=1)

    def seen_mm(self, arc_mm: float, up_mm: float) -> tuple[float, float]:
        """Where a place of the wall lies in the field from its middle, to the right and towards the rim."""
        x, y = RADIUS_MM * math.sin(arc_mm / RADIUS_MM + self.turned_rad), up_mm + self.rimwards_mm
        c, s = math.cos(self.askew_rad), math.sin(self.askew_rad)
        return c * x + s * y, c * y - s * x


class Wall:
    """What was marked of each bar: its area, and how high it came."""

    def __init__(self) -> None:
        self.area_mm2, self.top_mm = np.zeros(BARS), np.full(BARS, -np.inf)

    def mark(self, item: Item, rings: list[Floats], shift_mm: Floats) -> None:
        for ring in rings:
            on_wall = item.hit_mm(ring + shift_mm)
            # Of boxes that were cut.
            (x, y), (dx, dy) = on_wall.mean(axis=0), np.roll(on_wall, -1, axis=0).T - on_wall.T
            area = abs(float(np.sum(on_wall[:, 0] * dy - on_wall[:, 1] * dx))) / 2
            bar = int((x + BARS * BAR_MM / 2) // BAR_MM)
            assert 0 <= bar < BARS, f"a mark {x:.1f} mm beside the artwork, at {y:.1f}"
            self.area_mm2[bar] += area
            self.top_mm[bar] = max(self.top_mm[bar], float(on_wall[:, 1].max()))


def columns_of(page: SheetDrawing, across: int, wide_mm: float, count: int) -> list[list[Floats]]:
    """Slices of a page that a program divides along X (0) or Y (1), the first on the minus side, each about its own
    middle."""
    out: list[list[Floats]] = [[] for _ in range(count)]
    for ring in list_from_rings(joined(page.parts.values())):
        k = int((ring[:, across].mean() + count * wide_mm / 2) // wide_mm)
        middle = np.zeros(2)
        middle[across] = (k + 0.5 - count / 2) * wide_mm
        out[k].append(ring - middle)
    return out


def told(paper: list[str], pattern: str) -> re.Match[str]:
    text = " ".join(" ".join(paper).split())
    found = re.search(pattern, text)
    assert found is not None, f"{pattern} is not said: {text}"
    return found


def slices_marked(made: Plan, page: SheetDrawing, item: Item, wall: Wall, numbers: set[int], shift_mm: Floats) -> None:
    """A whole file run as the setup sheet says: so many slices, the next one from that side, so many degrees each."""
    rows = {row.id: row for row in actions_in_words(made).rows.values()}
    side = told([rows["turn_way"].text], r"The next slice must come up from the (.*?)\.")[1]
    count, each = int(rows["slices_shown"].value), math.radians(float(rows["slice_turns"].value))
    across = 0 if item.rim[0] == 0 else 1
    cut = columns_of(page, across, float(rows["slices_shown"].of or 0), count)
    for number, rings in enumerate(cut, 1):
        if number in numbers:
            wall.mark(item.rolled(side, (number - (count + 1) / 2) * each), rings, shift_mm)


WHICH: Final = [
    (drive, *lies, method, singly)
    for drive, lies, (method, singly) in product(
        ("chuck", "rollers"), RIM, (("sliced", False), ("flat", False), ("sliced", True))
    )
]


@pytest.mark.parametrize(("drive", "axis", "towards", "method", "singly"), WHICH)
def test_what_was_marked_and_what_is_left_make_one_artwork(
    drive: str, axis: str, towards: str, method: str, singly: bool
) -> None:
    """Three slices are ticked, by the numbers of the setup sheet; then the item comes off and goes back 5° turned,
    3 mm further towards the rim and a little crooked. The crosses were drawn under the pointer where the field's middle
    line is, and read from there. Turned, moved and turned on as the sheet says, each bar is marked, once, in its place.
    """
    more = {"program": {"can_repeat_slice": False}} if singly else {}
    job = job_of(CHUCK if drive == "chuck" else ROLLERS | {"centres_mm": 40.0}, axis, towards, method, **more)
    made, _, texts = with_files(plan(job, draws=0), bars())
    assert made.removal.file_per_slice == (singly and drive == "rollers")
    # Nothing shows where the drum's front is: the person begins anywhere, which is so the place of the file's middle.
    wall, item = Wall(), Item(RIM[axis, towards], turned_rad=-(made.start_rad or 0.0))
    rows = {row.id: row for row in actions_in_words(made).rows.values()}
    step = math.radians(float(rows["slice_turns"].value)) / int(rows["slice_turns"].steps or 0)
    none = np.zeros(2)
    if made.removal.file_per_slice:
        # By hand: numbers are those of the files, a slice's number from the middle one's.
        side = told([rows["turn_way"].text], r"The next slice must come up from the (.*?)\.")[1]
        each = step * int(rows["slice_turns"].steps or 0)
        middle = (made.split.slices + 1) / 2
        for name, text in texts.items():
            number = int(name.rpartition("-slice-")[2].split("-")[0])
            if number <= 3:
                rings = list_from_rings(joined(drawing_from_text(text).parts.values()))
                wall.mark(item.rolled(side, (number - middle) * each), rings, none)
    else:
        (text,) = texts.values()
        slices_marked(made, drawing_from_text(text), item, wall, {1, 2, 3}, none)

    # Crosses under the pointer's spot where the sheet says; then it comes off.
    right, up = POINTER_MM
    heights = [float(mm) - 60 for mm in (rows["witness_marks"].value, rows["witness_marks"].rim_at or 0)]
    crosses = [item.hit_mm((np.array([[right, up + at]])) @ item.frame)[0] for at in heights]
    again = item._replace(turned_rad=item.turned_rad + math.radians(5), rimwards_mm=3.0, askew_rad=0.002)
    base, rim = (np.array(again.seen_mm(*cross)) - (right, up + at) for cross, at in zip(crosses, heights, strict=True))
    found = TickReadings(foot_right_mm=base[0], foot_up_mm=base[1], rim_right_mm=rim[0], rim_up_mm=rim[1])
    left = remainder(made, found, done_from_text("1-3"))
    paper = text_lines(resume_paper(made, left))

    steps, side = told(paper, r"Turn the item (\d+) steps: the crosses come back on top from the (.*?)\.").groups()
    again = again.rolled(side, int(steps) * step)
    moved_mm, end = told(paper, r"Move the drawing ([\d.]+) mm towards (end 1|end 2) in your program").groups()
    shift = float(moved_mm) * (1 if end == "end 2" else -1) * np.array(item.rim, float)
    files = remaining_files(made, bars(), left, NO_CORRECTION)
    by_hand = re.search(r"Forward: the slices on the (.*?) come up", " ".join(" ".join(paper).split()))
    for name, text in files.items():
        number = int(name.rpartition("-slice-")[2].split("-")[0])
        page = drawing_from_text(text)
        if by_hand is None:
            # The file before has turned the item on: each begins where the first one did.
            assert "Before each file bring the crosses to the top, under the pointer." in " ".join(paper)
            slices_marked(made, page, again, wall, {number}, shift)
            continue
        turn = told(paper, rf"\[ \] {number} +(not at all|(\d+) steps? (forward|back)) ")
        far = 0 if turn[2] is None else int(turn[2]) * (1 if turn[3] == "forward" else -1)
        rings = list_from_rings(joined(page.parts.values()))
        wall.mark(again.rolled(by_hand[1], far * step), rings, shift)

    whole = np.arange(1, BARS + 1, dtype=float)
    assert wall.area_mm2 == pytest.approx(whole, rel=0.35), wall.area_mm2 / whole
    assert wall.top_mm == pytest.approx(LOW_MM + whole, abs=0.25)


@pytest.mark.parametrize(("axis", "towards"), RIM)
@pytest.mark.parametrize("method", ["sliced", "flat"])
def test_the_first_two_slices_are_told_by_the_numbers_that_the_program_counts(
    method: str, axis: str, towards: str, tmp_path: Path
) -> None:
    """Who stops while the others are marked has to list both as done, or they are marked again: the sheet says their
    numbers, and the program, dividing the page from its minus side, has their ink there."""
    coat = {"coating": "polyester-powder-dark", "coating_thickness_um": 70.0}
    job = job_of(CHUCK, axis, towards, method)
    job = job.model_copy(update={"item": job.item.model_copy(update=coat)})
    made, _, texts = with_files(plan(job, draws=100), bars())
    actions = actions_in_words(made)
    count, wide_mm = int(actions.rows["slices_shown"].value), float(actions.rows["slices_shown"].of or 0)
    for name in ("First", "Second"):
        number, file = told([*actions.run.texts], rf"{name} slice \(slice (\d+)\): import (\S+?svg)\.").groups()
        page = drawing_from_text(texts[file])
        cut = columns_of(page, 0 if axis == "y" else 1, wide_mm, count)
        assert f"<title>bars: slice {number} of {count}</title>" in texts[file]
        (tmp_path / file).write_text(texts[file])
        says = simulation_of_files(made, tmp_path / file, None, 0).says
        assert f"This file holds slice {number} of {count}." in says[0]
        assert [int(one.split("-")[1]) for one in page.parts if one.startswith("slice-")] in ([], [int(number)])
        assert [at for at, rings in enumerate(cut, 1) if rings] == [int(number)]


@pytest.mark.parametrize("had", [0, 1, 4, 7, 9])
@pytest.mark.parametrize("repeats", [True, False])
def test_a_stopped_slice_gets_each_fill_as_often_as_planned(repeats: bool, had: int) -> None:
    """Bare metal with lines both ways: a program marks all passes of one fill, then those of the other; run all
    round the lines change each time. Both ways in each of the passes that are left would cut nearly twice as deep."""
    more: dict[str, Any] = {"passes": {"depth_um": 40.0}, "program": {"can_repeat_slice": repeats}}
    made = plan(job_of(CHUCK, "y", "plus", "flat", **more), draws=0)
    run = " ".join(actions_in_words(made).run.texts)
    if repeats:
        fills = {"around": 0, "along": 0}
        fills["around"], fills["along"] = map(int, told([run], r"(\d+) passes with lines around, (\d+) along").groups())
        order = ["around"] * fills["around"] + ["along"] * fills["along"]
    else:
        assert "Change the lines each time: around, then along." in run
        order = ["around", "along"] * int(told([run], r"run the file all round (\d+) times")[1])
        order = order[: len(order) // 2]
    left = remainder(made, TickReadings(foot_right_mm=0.0, rim_right_mm=0.0), done_from_text(f"2={had}"))
    paper = text_lines(resume_paper(made, left))
    line = next(one for one in paper if re.match(r" +\[ \] 2 ", one))
    counted = dict.fromkeys(("around", "along"), 0)
    for way in counted:
        if found := re.search(rf"(\d+) (?:passes )?(?:pass )?(?:with lines )?{way}", line):
            counted[way] = int(found[1])
    assert counted == {way: order[had:].count(way) for way in counted}
