"""The tests at the machine done by hand, as their words say, on a bench in plain geometry that knows nothing of them.

The person stands so that X of the field lies to the right, Y away, Z up. A fault is invented, what is read is what the
words ask for, with their sign, and what the answer advises is done: the fault must be gone, not doubled.
"""

import math
import re
from itertools import product
from pathlib import Path
from typing import Any, Final, NamedTuple

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from rotary.cli import main
from rotary.job import Job, job_from_file
from rotary.machine.diagnosis import wrong_setting
from rotary.machine.lookup import on_its_machine
from rotary.machine.record import known
from rotary.machine.store import load_machine
from rotary.machine.strip_reading import StripReading
from rotary.machine.tapes import Tape, tapes
from rotary.plan import Plan, plan
from rotary.sheet.reread import drawing_from_text
from rotary.shipped import examples

Floats = NDArray[np.float64]

RIM_TO: Final = {("y", "plus"): (0, 1), ("y", "minus"): (0, -1), ("x", "plus"): (1, 0), ("x", "minus"): (-1, 0)}
"""Where the rim points in the field, by what the job says of it."""

WAYS: Final = [*RIM_TO]


@pytest.fixture
def machines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    return tmp_path / "rigs"


def job_lying(name: str, axis: Any = "y", rim: Any = "plus") -> Job:
    job = job_from_file(examples()[name])
    return job.model_copy(
        update={"laser": job.laser.model_copy(update={"field_axis": axis, "rim_towards": rim})}
    )


def seen_with_rim_away(points_mm: Floats, way: tuple[str, str]) -> Floats:
    """Places of the field for a person who looks with the rim away: to the right, and away."""
    x, y = RIM_TO[way]
    return points_mm @ np.array([[y, x], [-x, y]])


def ink(tape: Tape, way: tuple[str, str]) -> Any:
    """What a tape's drawing marks, as that person sees it."""
    rings = drawing_from_text(tape.svg).parts["tape"]
    marked: Any = shapely.Polygon()
    for first, last in zip(rings.offsets[:-1], rings.offsets[1:], strict=True):
        marked = marked.symmetric_difference(shapely.Polygon(seen_with_rim_away(rings.points_mm[first:last], way)))
    return marked


def share(shape: Any, *box: float) -> float:
    return float(shape.intersection(shapely.box(*box)).area)


@pytest.mark.parametrize("way", WAYS)
def test_what_is_marked_on_the_item_lies_as_the_item_lies(way: tuple[str, str]) -> None:
    """Numbers and letter are read with the rim away; ticks run along the item, a ladder's gaps across it."""
    every = tapes(plan(job_lying("regatta-bottle", *way), draws=0))
    marked = ink(every["direction"], way)
    one, two, three = (share(marked, x - 2, -3, x + 2, 3) for x in (-5, 0, 5))
    assert one < min(two, three), "the 1 is on the left"
    assert share(marked, -2, 3, 0, 9) > share(marked, 0, 3, 2, 9), "the F's upright is on the left"
    assert share(marked, -2, 6, 2, 9) > share(marked, -2, 3, 2, 6), "its arms are above"
    for name in ("full-turn", "backlash", "edge", "witness"):
        left, low, right, high = ink(every[name], way).bounds
        assert high - low > 1.5 * (right - left), name
    ladder = drawing_from_text(every["gap-ladder"].svg).parts
    pairs = [[seen_with_rim_away(ladder[f"gap-{k}-{side}"].points_mm, way) for side in ("left", "right")] for k in (1, 12)]
    gaps = [float(right[:, 0].min() - left[:, 0].max()) for left, right in pairs]
    assert abs(gaps[0]) < 0.002 < gaps[1]


@pytest.mark.parametrize("way", WAYS)
def test_each_number_of_the_direction_test_lies_in_a_slice_of_its_own(way: tuple[str, str]) -> None:
    """Slices of 5 mm, counted from the page's edge, from its middle, or from the edge of what is drawn."""
    tape = tapes(plan(job_lying("regatta-bottle", *way), draws=0))["direction"]
    page = drawing_from_text(tape.svg)
    across = page.width_mm if way[0] == "y" else page.height_mm
    drawn = np.concatenate([seen_with_rim_away(rings.points_mm, way) for rings in page.parts.values()])
    count = math.ceil(across / 5)
    for start in (-across / 2, -5 * count / 2, float(drawn[:, 0].min())):
        cuts = start + 5 * np.arange(count + 1)
        lost = [share(ink(tape, way), cut - 0.01, -3, cut + 0.01, 9) for cut in cuts]
        assert max(lost) == 0, start


@pytest.mark.parametrize(("name", "way"), [*product(("regatta-bottle", "heron-cup"), WAYS)])
def test_an_item_that_lies_crooked_and_aside_is_found_so(name: str, way: tuple[str, str], machines: Path) -> None:
    """A rule against both sides of a taper, a pointer 1.2 mm in +X and 0.4 mm in -Y of its beam at each side: seen from
    above with the rim away the axis is turned 1° anticlockwise, and lies 1.5 mm to the right."""
    made = plan(job_lying(name, *way), draws=0)
    tape, turned, aside = tapes(made)["edge"], math.radians(1.0), 1.5
    long = float(re.findall(r'long="([\d.]+) mm"', tape.reading)[0])
    at = made.layout.centre_mm + np.array([-long / 2, long / 2])
    # Base, then rim: how far to the right a side of the item is, its axis leaning to the left away from the person.
    leans = -np.tan(turned) * np.array([-long / 2, long / 2])
    radius = np.interp(at, made.shape.curve.s_mm, made.shape.radius_mm(np.asarray(made.shape.curve.s_mm)))
    sides = [leans - radius, leans + radius]
    # How far left of the marked line, which lies 2 mm out from it, the rule lies: the rim's number minus the base's.
    off = [float((-(side - side[0]))[1]) for side in sides]
    assert "other side, and write the mean" in tape.instructions[1]
    assert main(["machine", "record", "edge", f"long={long} mm", f"off={sum(off) / 2:.3f} mm"]) == 0
    r = made.layout.reference_radius_mm
    right_in_field = np.array([RIM_TO[way][1], -RIM_TO[way][0]])
    pointer = float(np.array([1.2, -0.4]) @ right_in_field)
    # The head is moved until the pointer shines on the side; its own place is what the program shows.
    shown = {"left": abs(aside - r - pointer), "right": abs(aside + r - pointer)}
    axis, plus, minus = re.findall(r"in (\+[XY]) of the beam, .* of the (\w+) side, .* of the (\w+) side", tape.instructions[2])[0]
    told = {"+X": 1.2, "+Y": -0.4}[axis]
    shown[plus] += told
    shown[minus] -= told
    assert main(["machine", "record", "flanks", *(f"{side}={mm:.3f} mm" for side, mm in shown.items())]) == 0
    now = known(load_machine("main", machines))
    assert now["offset"].value == pytest.approx(aside, rel=0.15)
    assert now["skew"].value == pytest.approx(turned, rel=0.15)


class Turned(NamedTuple):
    """What a program does with an import, what a head and a rotary do, and how the item lies in them."""

    across_on_import: bool = False
    along_on_import: bool = False
    across_in_head: bool = False
    along_in_head: bool = False
    rotary_reversed: bool = False
    job_has_rim_wrong: bool = False

    def marked(self) -> tuple[str, str]:
        """Order of the numbers and look of the F, seen with the rim away: the person turns round where it lies so."""
        file = -1 if self.job_has_rim_wrong else 1
        places = {n: file * (n - 2) * (-1 if self.across_on_import else 1) for n in (1, 2, 3)}
        # The column further right is marked later, with the item turned to the left so that it comes on top.
        places = {n: -at if self.rotary_reversed else at for n, at in places.items()}
        x = file * (-1) ** (self.across_on_import + self.across_in_head)
        y = file * (-1) ** (self.along_on_import + self.along_in_head)
        order = "-".join(str(n) for n in sorted(places, key=lambda n: places[n]))
        looks = {(1, 1): "right", (-1, 1): "mirrored", (-1, -1): "upside-down", (1, -1): "mirrored-upside-down"}
        return order, looks[x, y]

    def put_right(self, says: str) -> "Turned":
        """What a person does who reads it: a mirror that is on goes off; where none is on, what is said for that."""
        now = self
        if "switch off mirroring on import" in says:
            if self.across_on_import or self.along_on_import:
                now = now._replace(across_on_import=False, along_on_import=False)
                says = re.sub(r"If it is off already[^.]*\.", "", says)
        if "axis that runs across" in says:
            now = now._replace(across_in_head=not now.across_in_head)
        if "axis that runs along" in says:
            now = now._replace(along_in_head=not now.along_in_head)
        if "direction of the rotary" in says:
            now = now._replace(rotary_reversed=not now.rotary_reversed)
        if "rim points to" in says:
            now = now._replace(job_has_rim_wrong=not now.job_has_rim_wrong)
        return now


@pytest.mark.parametrize("state", [Turned(*set_wrong) for set_wrong in product((False, True), repeat=6)])
def test_a_wrong_setting_is_right_after_what_the_seam_test_says(state: Turned) -> None:
    """One or two settings wrong: one test puts them right. More of them: no more than three."""
    for _ in range(1 if sum(state) == 1 else 3):
        order, letter = state.marked()
        says = wrong_setting(StripReading.model_validate({"item": "x", "order": order, "letter": letter}))
        state = state.put_right(says)
    assert state.marked() == ("1-2-3", "right")
