"""Seam test and gap ladder done by hand, as their words say, on a bench in plain geometry."""

import math
import re
from itertools import product
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import pytest

from rotary.cli import main
from rotary.job import Job, job_text
from rotary.machine.record import known
from rotary.machine.store import load_machine
from rotary.machine.strip import seam_strip
from rotary.machine.strip_reading import StripReading, wrong_setting
from rotary.machine.tapes import tapes
from rotary.plan import plan
from rotary.sheet.reread import drawing_from_text
from tests.machine.hands import WAYS, job_lying, on_main, recorded, seen_with_rim_away


@pytest.fixture(autouse=True)
def machines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    return tmp_path / "rigs"


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
        if "switch off mirroring on import" in says and (self.across_on_import or self.along_on_import):
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


def read_strip(job: Job, file: Path, too_far: float, turned_deg: float, thicker_mm: float = 0.0) -> None:
    """Mark the seam test on a machine with a turn that goes too far, and an axis that is turned; read it, fill in the
    form and have it read."""
    strip, place = seam_strip(job), file.parent / "first"
    assert main(["machine", "seam-test", str(file), "--to", str(place)]) == 0
    form = place / "seam-test-form.toml"
    text = form.read_text("utf-8").replace('order = "?"', f'order = "{strip.numbers}"')
    text = text.replace('letter = "?"', 'letter = "right"')
    middle = float(strip.made.layout.reference_radius_mm)
    for vernier in strip.verniers:
        r = float(strip.made.shape.radius_mm(np.array([vernier.s_mm]))[0])
        width = strip.order.index_rad * r
        gap, stair = (
            width * too_far + strip.order.index_rad * thicker_mm / 2,
            width * math.tan(math.radians(turned_deg)),
        )
        # Slanting lines of the right slice stand further right by the gap, and higher by the stair.
        ticks = {
            kind: round((stair - slope * middle / r * gap) / 0.02) for kind, slope in (("rising", 1), ("falling", -1))
        }
        for kind, tick in ticks.items():
            text = re.sub(rf'(height = "{vernier.name}"\n(?:rising = \S+\n)?{kind} = )"\?"', rf"\g<1>{tick}", text)
    form.write_text(text, "utf-8")
    assert main(["machine", "seam-test", str(file), "--from", str(form)]) == 0


@pytest.mark.parametrize(("name", "way"), [*product(("regatta-bottle", "heron-cup"), WAYS)])
@pytest.mark.parametrize(("turned_deg", "too_far"), [(0.5, 0.006), (-0.6, -0.005)])
def test_slices_are_drawn_to_suit_a_crooked_axis_and_a_turn_that_is_off(
    name: str,
    way: tuple[str, str],
    turned_deg: float,
    too_far: float,
    machines: Path,
    tmp_path: Path,
) -> None:
    """Seen with the rim away the axis is turned anticlockwise: a line across the field then runs down the item to the
    right, so the right slice's left end stands higher than the left slice's right end. A turn that goes too far opens
    a gap. After the form is read, slices are wider by the gap, and a level line of the drawing lies across the item."""
    file = tmp_path / "job.toml"
    job = job_lying(name, *way)
    file.write_text(job_text(job), "utf-8")
    read_strip(job, file, too_far, turned_deg)
    head = on_main(job, machines).laser
    assert head.slice_wide_share - 1 == pytest.approx(too_far, rel=0.3)
    again = tmp_path / "again"
    assert main(["machine", "seam-test", str(file), "--to", str(again)]) == 0
    drawn = drawing_from_text((again / "seam-test-sliced.svg").read_text("utf-8"))
    slice_3 = seen_with_rim_away(next(rings for part, rings in drawn.parts.items() if "3" in part).points_mm, way)
    # The lower level line: the lowest long edge of the middle slice.
    low = slice_3[slice_3[:, 1] < slice_3[:, 1].min() + 0.6]
    slopes = [(b - a)[1] / (b - a)[0] for a, b in product(low, low) if (b - a)[0] > 1.5]
    assert np.median(slopes) == pytest.approx(math.tan(math.radians(turned_deg)), rel=0.35)


@pytest.mark.parametrize("closes_um", [-20.0, 25.0, 170.0, 700.0])
def test_the_gap_that_just_closes_is_found_by_the_ladder_that_is_told(closes_um: float, machines: Path) -> None:
    """Every gap up to some width closes. Where none or all do, the drawing that is named is marked instead, and what is
    said is typed with it; gaps are measured in the drawings."""
    tape = tapes(plan(job_lying("regatta-bottle"), draws=0))["gap-ladder"]
    values = dict(tape.fields)
    steps = {
        word: re.findall(rf"mark (\S+{word})\.svg .*? type its step, ([\d.]+) mm", " ".join(tape.instructions))[0]
        for word in ("wider", "finer")
    }
    first = re.findall(r"(-[\d.]+) mm as the first gap", tape.instructions[-1])[0]

    def closed(svg: str) -> int:
        parts = drawing_from_text(svg).parts
        gaps = [
            parts[f"gap-{k}-right"].points_mm[:, 0].min() - parts[f"gap-{k}-left"].points_mm[:, 0].max()
            for k in range(1, 13)
        ]
        return sum(gap <= closes_um / 1000 for gap in gaps)

    count = closed(tape.svg)
    if count in (0, 12):
        word = "wider" if count else "finer"
        file, step = steps[word]
        values["step"] = f"{step} mm"
        values |= {"first": f"{first} mm"} if word == "finer" else {}
        count = closed(tape.files[f"{file}.svg"].decode())
    assert 0 < count < 12
    recorded("gap-ladder", *(f"{n}={v}" for n, v in (values | {"closed": str(count)}).items()))
    now = known(load_machine("main", machines), coating=values["coating"])["closing-gap"]
    half = float(values["step"].removesuffix(" mm")) / 2
    assert now.value == pytest.approx(closes_um / 1000, abs=half + 1e-4)


@pytest.mark.parametrize("name", ["regatta-bottle", "heron-cup"])
def test_a_diameter_that_is_put_right_takes_its_full_turn_with_it(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """On rollers that were read the steps of a turn are right already, by the reading: with the right diameter besides
    they would be off the other way."""
    job, file = job_lying(name), tmp_path / "job.toml"
    file.write_text(job_text(job), "utf-8")
    read_strip(job, file, 0.0, 0.0, thicker_mm=1.2)
    said = " ".join(capsys.readouterr().out.split())
    assert ("take the item's full-turn readings out too" in said) == (job.turning.kind == "rollers")
    assert "thicker than in the job" in said or job.turning.kind == "chuck"


@pytest.mark.parametrize(
    ("order", "letter", "word"),
    [
        ("3-2-1", "right", "turns the wrong way"),
        ("3-2-1", "mirrored", "whole file lies mirrored"),
        ("1-2-3", "mirrored", "reverse the axis that runs across"),
        ("3-2-1", "upside-down", "The item lies the other way round"),
        ("1-2-3", "right", ""),
    ],
)
def test_order_and_letter_come_before_ticks(order: Any, letter: Any, word: str) -> None:
    """A reversed or mirrored strip has a setting to put right; its ticks say nothing."""
    said = wrong_setting(StripReading(item="x", order=order, letter=letter))
    assert word in said
    assert bool(said) == bool(word)
