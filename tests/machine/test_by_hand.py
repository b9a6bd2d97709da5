"""The tests at the machine done by hand, as their words say, on a bench in plain geometry that knows nothing of them.

The person stands so that X of the field lies to the right, Y away, Z up. A fault is invented, what is read is what the
words ask for, with their sign, and what the answer advises is done: the fault must be gone, not doubled.
"""

import math
import re
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from rotary.card.patch_paper import patch_paper
from rotary.card.plan_sheet import plan_facts
from rotary.card.sheet import sheet_by_height
from rotary.cli import main
from rotary.job import job_text
from rotary.machine.papers import resume_paper
from rotary.machine.record import known
from rotary.machine.resume import TickReadings, remainder
from rotary.machine.store import load_machine
from rotary.machine.strip import seam_strip
from rotary.machine.strip_papers import marking_steps
from rotary.machine.tapes import tapes
from rotary.papers.text import plain_lines, section_lines
from rotary.passes.learning.reading import Look, reading_of
from rotary.passes.patch.cells import PatchRecord, PatchToMark
from rotary.plan import plan
from rotary.sentences.plan import actions_in_words
from rotary.sheet.reread import drawing_from_text
from tests.machine.hands import (
    RIM_TO,
    WAYS,
    Floats,
    asked,
    from_the_rim,
    ink,
    job_lying,
    on_main,
    recorded,
    seen_with_rim_away,
    share,
)


@pytest.fixture(autouse=True)
def machines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    return tmp_path / "rigs"


def test_each_paper_asks_for_the_lens_to_be_moved_first_but_the_one_that_reads_its_focus() -> None:
    """The seam test is marked as the job will be. The focus is read as it was before: read after the move, the same
    machine would be said to need none."""
    job = job_lying("regatta-bottle")
    found = plan(job.but(laser=job.laser.but(focus_above_mm=0.8)), draws=50)
    asks = "Whenever you focus, first move the lens 0.8 mm CLOSER."
    of_seams = [next(s for s in marking_steps(seam_strip(one)) if "the focus" in s) for one in (job, found.job)]
    assert ["Then move the lens 0.8 mm CLOSER, as your focus reading asks" in step for step in of_seams] == [
        False,
        True,
    ]
    assert found.choice.setting is not None
    cell = reading_of(job, found.choice.setting, Look("not read", "2026-05-01", cell=1)).but(patch="patch 1")
    patch = PatchToMark(PatchRecord("patch 1", (cell,)), True, (), 0.5, 400)
    left = remainder(found, TickReadings(foot_right_mm=0, rim_right_mm=0))
    for paper in (patch_paper(patch, found), resume_paper(found, left)):
        assert asks in " ".join(" ".join(plain_lines(paper)).split())
    without = "leave out the first move that your focus reading asks for"
    assert without in tapes(found)["focus-lines"].instructions[1]
    assert without not in tapes(plan(job, draws=0))["focus-lines"].instructions[1]


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
    pairs = [
        [seen_with_rim_away(ladder[f"gap-{k}-{side}"].points_mm, way) for side in ("left", "right")] for k in (1, 12)
    ]
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
    above with the rim away the axis is turned 0.4° anticlockwise, and lies 1.5 mm to the right."""
    made = plan(job_lying(name, *way), draws=0)
    tape, turned, aside = tapes(made)["edge"], math.radians(0.4), 1.5
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
    axis, plus, minus = re.findall(
        r"towards (\+[XY]) of the beam, .* of the (\w+) side, .* of the (\w+) side", tape.instructions[2]
    )[0]
    told = {"+X": 1.2, "+Y": -0.4}[axis]
    shown[plus] += told
    shown[minus] -= told
    assert main(["machine", "record", "flanks", *(f"{side}={mm:.3f} mm" for side, mm in shown.items())]) == 0
    now = known(load_machine("main", machines))
    assert now["offset"].value == pytest.approx(aside, rel=0.15)
    assert now["skew"].value == pytest.approx(turned, abs=0.1 / long)


@pytest.mark.parametrize("datum", ["base", "rim"])
@pytest.mark.parametrize(("name", "inch"), [*product(("regatta-bottle", "pommel-nut", "heron-cup"), (False, True))])
@pytest.mark.parametrize("too_far", [0.003, -0.004])
def test_a_turn_that_goes_too_far_closes_with_the_steps_that_the_test_gives(
    name: str, inch: bool, datum: Any, too_far: float, machines: Path
) -> None:
    """The motor has play of 0.1° when it changes its way; it was turned a little first, so none is in the reading. The
    first tick has then moved past the apex by what the turn goes too far, or has not come back to it."""
    job = job_lying(name)
    job = job.model_copy(update={"turning": job.turning.model_copy(update={"ticks": ()})})
    job = from_the_rim(job) if datum == "rim" else job
    made = plan(job, draws=0)
    tape = tapes(made)["full-turn"]
    high, end, across = re.findall(
        r"apex, ([\d.]+) mm from (.+?), where the item is ([\d.]+) mm across", tape.instructions[1]
    )[0]
    assert end == made.job.item.end_words(datum)
    places = {one.at_mm: one.diameter_mm for one in made.job.item.measurements}
    assert np.interp(float(high), sorted(places), [places[at] for at in sorted(places)]) == pytest.approx(
        float(across), abs=0.02
    )
    assert "a little in the direction that the job turns" in tape.instructions[1]
    steps = int(re.findall(r"by (\d+) steps", tape.instructions[2])[0])
    turned = math.radians(360) * (1 + too_far)
    past_apex = (turned - math.radians(360)) * made.layout.reference_radius_mm
    recorded(*asked(tape, gap=f"{past_apex / 25.4:.5f} in" if inch else f"{past_apex:.4f} mm"))
    after = plan(on_main(job, machines), draws=0)
    assert after.turning.steps_per_turn * turned / steps == pytest.approx(math.radians(360), rel=2e-5)
    # Done again with the steps that stand on the new paper, the same reading says the same: it corrects nothing twice.
    again = tapes(after)["full-turn"]
    assert int(re.findall(r"by (\d+) steps", again.instructions[2])[0]) == steps


@pytest.mark.parametrize("datum", ["base", "rim"])
@pytest.mark.parametrize(("name", "base"), [*product(("regatta-bottle", "heron-cup", "pommel-nut"), (120.0, 200.0))])
@pytest.mark.parametrize("raised", [2.5, -1.6])
def test_a_shim_put_under_as_told_brings_both_heights_to_where_they_belong(
    name: str, base: float, datum: Any, raised: float, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The whole drive stands askew: its rim's end too high by 2.5° or too low by 1.6°. It turns about the end that
    stays down, so a shim raises everything over it by the same angle."""
    job, file = job_lying(name), tmp_path / "job.toml"
    job = from_the_rim(job) if datum == "rim" else job
    file.write_text(job_text(job), "utf-8")
    made = plan(job, draws=0)
    told = tapes(made)["level"].instructions[0]
    *two, end = re.findall(r"places: ([\d.]+) mm and ([\d.]+) mm from (.+)\.", told)[0]
    assert end == job.item.end_words(datum)
    # As it should lie: base and rim end of the artwork, along the item and over the bed.
    level = made.turning.level
    at = np.sort([made.shape.length_mm - float(mm) if datum == "rim" else float(mm) for mm in two])
    apart = at[1] - at[0]
    r = made.shape.radius_mm(at)
    tilt = level.tilt_rad
    over = level.axis_height_mm + (at - made.turning.axis_height_at_mm) * math.sin(tilt) + r * math.cos(tilt)
    along = (at - made.turning.axis_height_at_mm) * math.cos(tilt) - r * math.sin(tilt)
    places = np.stack([along, over], axis=1)

    def tilted(spots: Floats, degrees: float) -> Floats:
        """Turned so that the rim rises."""
        a = math.radians(degrees)
        return np.asarray(spots @ np.array([[math.cos(a), math.sin(a)], [-math.sin(a), math.cos(a)]]))

    now = tilted(places, raised)
    heights = [f"{mm:.3f} mm" for mm in now[:, 1]]
    assert main(["machine", "level", str(file), "--base-end", heights[0], "--rim-end", heights[1], "--apart",
                 f"{apart:.3f} mm", "--pivot", f"{base} mm"]) == 0  # fmt: skip
    said = capsys.readouterr().out
    rim, foot = made.job.item.end_words("rim"), made.job.item.end_words("base")
    too_high = re.findall(r"end near (.+?) lies ([\d.]+) mm too high", said)
    if not too_high:
        assert "level enough" in said
        return
    assert too_high[0][0] == (rim if raised > 0 else foot)
    if "level enough" in said:
        return
    shim, end = re.findall(r"Put a ([\d.]+) mm shim under the \w+, at the end where the item's (.+?) is", said)[0]
    assert end == made.job.item.end_name("base" if raised > 0 else "rim")
    lifted = math.degrees(math.asin(float(shim) / base)) * (1 if end == made.job.item.end_name("rim") else -1)
    after = tilted(now, lifted)
    assert np.diff(after[:, 1])[0] == pytest.approx(
        np.diff(places[:, 1])[0], abs=0.02 * abs(np.diff(now[:, 1])[0]) + 0.02
    )


@pytest.mark.parametrize("play_deg", [0.1, 0.02])
def test_play_is_found_by_both_tests_alike(play_deg: float, machines: Path) -> None:
    """A drive whose item follows only once the play is taken up: lines marked after 10° back and forward, and after
    10° forward and back; slices on tape as the motor test has them marked, with stops that err besides."""
    job = job_lying("regatta-bottle")
    made = plan(job, draws=0)
    play, every, at = math.radians(play_deg), tapes(made), [0.0]

    def go(item: float, motor: float) -> float:
        """Where the item comes to rest when the motor goes there: it is pushed from behind, or from in front."""
        return min(max(item, motor - play / 2), motor + play / 2)

    def marked(*stops: float) -> float:
        for stop in stops:
            at[0] = go(at[0], stop)
        return at[0]

    ten, r = math.radians(10), made.layout.reference_radius_mm
    first, second = marked(-ten, 0.0), marked(ten, 0.0)
    recorded(*asked(every["backlash"], apart=f"{abs(second - first) * r:.4f} mm"))
    assert known(load_machine("main", machines))["backlash"].value == pytest.approx(play, rel=0.4)
    tape = every["motor-whole"]
    across = float(dict(tape.fields)["across"].removesuffix(" mm"))
    index, errs = 0.08, np.array([0.0, 0.0004, -0.0003, 0.0002, 0.0, 0.0005, -0.0002, 0.0003, 0.0001])
    stop = index * np.arange(9) + errs

    def ticks(stands: Floats) -> list[int]:
        """A gap moves rising ticks: the one that runs straight on lies lower by the gap over 0.02 mm."""
        return [round(-float(gap - index) * across / 2 / 0.02) for gap in np.diff(stands)]

    forward = np.array([marked(-0.5, stop[0]), *(marked(one) for one in stop[1:])])
    assert "forward to slice 1, mark it, and go on to slice 3, mark it" in tape.instructions[-1]
    assert "past slice 4, then back to it" in tape.instructions[-1]
    s1, s3 = marked(-0.5, stop[0]), marked(stop[2])
    s4, s2 = marked(stop[3] + 0.3, stop[3]), marked(stop[1])
    back = np.array([s1, s2, s3, s4])
    words = [f"ticks={','.join(map(str, ticks(forward)))}", f"back={','.join(map(str, ticks(back)))}"]
    recorded("motor-whole", *words, "--from", "regatta-bottle", "--machine", "main")
    found = [f for f in load_machine("main", machines).readings[-1].estimates() if f[0] == "backlash"]
    assert found[0][1] == pytest.approx(play, abs=1.2 * 0.02 / (across / 2))


@pytest.mark.parametrize("too_high_mm", [0.8, -0.6])
def test_a_lens_moved_as_told_whenever_it_is_focused_has_its_focus_where_it_was_wanted(
    too_high_mm: float, machines: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Whoever focuses by a gauge that is wrong gets the focus too high or too low. Each line is marked with the lens so
    much further away than that as its number says, so the focus stands above the tape by both."""
    made = plan(job_lying("regatta-bottle"), draws=0)
    tape = tapes(made)["focus-lines"]
    told = r"lens ([\d.]+) mm closer", r"lens ([\d.]+) mm away"
    first, apart = (float(re.findall(text, tape.instructions[1])[0]) for text in told)
    lens = [-first + k * apart for k in range(11)]
    widths = [0.06 * math.hypot(1, (one + too_high_mm) / made.optics.rayleigh_mm) for one in lens]
    recorded(*asked(tape, widths="; ".join(f"{mm:.4f} mm" for mm in widths)))
    moved, way = re.findall(
        r"Whenever you focus, first move the lens ([\d.]+) mm (closer|further away)", capsys.readouterr().out
    )[0]
    stands = too_high_mm + float(moved) * (1 if way == "further away" else -1)
    assert abs(stands) < 0.2 * abs(too_high_mm)
    # Who follows the setup sheet instead has the focus where the file wants it.
    after = plan(on_main(job_lying("regatta-bottle"), machines), draws=0)
    rows = actions_in_words(after).rows
    asks = r"first move the lens ([\d.]+) mm (AWAY|CLOSER)"
    (found,), (then,) = re.findall(asks, rows["lens_first"].text), re.findall(r"then" + asks[5:], rows["focus"].text)
    first, move = (float(mm) * (1 if to == "AWAY" else -1) for mm, to in (found, then))
    wanted = after.focus.focal_plane_mm - after.apex_at_middle_mm
    assert abs(too_high_mm + first + move - wanted) < 0.2 * abs(too_high_mm) + 0.1
    sheet = sheet_by_height(actions_in_words(after), plan_facts(after))(0.0)
    (focus,) = (one for one in sheet.sections if one.title == "FOCUS")
    assert f"[ ] {rows['lens_first'].text}" in " ".join(" ".join(section_lines(focus)).split())


@pytest.mark.parametrize("way", WAYS)
def test_a_pointer_is_put_right_by_adding_what_is_said(way: tuple[str, str], machines: Path) -> None:
    """A pointer 1.2 mm to the left of its beam and 0.7 mm further away in focus, that leans by 0.06 mm to the right
    per mm: a mark on the apex, measured with it, comes to lie where it is."""
    from rotary.machine.level import focus_words

    job = job_lying("regatta-bottle", *way)
    made = plan(job, draws=0)
    tape = tapes(made)["pointer"]
    assert "towards +X in your program" in tape.instructions[1]

    def spot(over_focus_mm: float) -> Floats:
        """The pointer's light beside the beam's mark at a height over the focus."""
        return np.array([-1.2 + 0.06 * over_focus_mm, 0.7])

    (x, y), (x10, y10) = spot(0), spot(10)
    recorded(*asked(tape, right=f"{x} mm", up=f"{y} mm", second_right=f"{x10} mm", second_up=f"{y10} mm"))
    made = plan(on_main(job, machines), draws=0)
    told = focus_words(made, known(load_machine("main", machines)))[-1]
    add = np.array([float(mm) for mm in re.findall(r"([-+][\d.]+) mm \(\+ towards", told)])
    mark = np.array([3.0, -8.0])
    shown = mark - spot(-made.focus.plane_over_apex_mm)
    assert shown + add == pytest.approx(mark, abs=0.2)


@pytest.mark.parametrize("too_long", [(0.003, -0.002), (-0.004, 0.005)])
@pytest.mark.parametrize("way", WAYS)
def test_lines_come_out_as_drawn_after_the_field_test(
    way: tuple[str, str], too_long: tuple[float, float], machines: Path
) -> None:
    """A field that marks X and Y by so much too long: slices are drawn so that width and height come out true."""
    job = job_lying("regatta-bottle", *way)
    tape = tapes(plan(job, draws=0))["field"]
    for fields, off in zip(tape.fields_by_line, too_long, strict=True):
        drawn = float(dict(fields)["drawn"].removesuffix(" mm"))
        recorded("field", *(f"{n}={drawn * (1 + off):.3f} mm" if v == "?" else f"{n}={v}" for n, v in fields))
    head = on_main(job, machines).laser
    x, y = (
        (head.slice_wide_share, head.slice_high_share)
        if way[0] == "y"
        else (head.slice_high_share, head.slice_wide_share)
    )
    assert (x * (1 + too_long[0]), y * (1 + too_long[1])) == pytest.approx((1, 1), abs=4e-4)


def test_a_lens_moved_as_told_shows_how_high_its_mirrors_are(machines: Path) -> None:
    """Beams fan out of a point 240 mm over the focus along X, 225 along Y. The first lines lie below the focus, the
    second above, and are read in that order."""
    job = job_lying("regatta-bottle")
    tape = tapes(plan(job, draws=0))["two-heights"]
    away, closer = (
        float(re.findall(text, tape.instructions[1])[0])
        for text in (r"lens ([\d.]+) mm away", r"lens ([\d.]+) mm closer")
    )
    for fields, high in zip(tape.fields_by_line, (240.0, 225.0), strict=True):
        drawn = float(dict(fields)["drawn"].removesuffix(" mm"))
        first, second = (f"{drawn * (high + below) / high:.3f} mm" for below in (away, away - closer))
        read = {"low": first, "high": second}
        recorded("two-heights", *(f"{n}={read.get(n, v)}" for n, v in fields))
    head = on_main(job, machines).laser
    assert (head.pupil_x_mm, head.pupil_y_mm) == pytest.approx((240, 225), rel=1e-3)


@pytest.mark.parametrize("again", [False, True])
@pytest.mark.parametrize("off_share", [0.01, -0.015])
def test_a_diameter_corrected_after_the_full_turn_counts_once(off_share: float, again: bool, machines: Path) -> None:
    """On rollers. The bottle is thicker than in the job, so that the steps of a turn, which go by its diameter, turn it
    less than once. Its gap is entered with the steps that stand on the paper, then the diameters are corrected: one
    turn still takes the steps that it takes, but for what is believed of rollers. Done again, nothing changes."""
    job = job_lying("regatta-bottle")
    assert job.turning.kind == "rollers"
    job = job.model_copy(update={"turning": job.turning.model_copy(update={"ticks": ()})})
    once = plan(job, draws=0).turning.nominal_steps_per_turn * (1 + off_share)

    def turned_and_entered(seen: Any) -> None:
        tape = tapes(plan(seen, draws=0))["full-turn"]
        steps = int(re.findall(r"by (\d+) steps", tape.instructions[2])[0])
        across_mm = float(re.findall(r"where the item is ([\d.]+) mm across", tape.instructions[1])[0])
        recorded(*asked(tape, gap=f"{(steps / once - 1) * math.pi * across_mm:.4f} mm"))

    turned_and_entered(job)
    assert plan(on_main(job, machines), draws=0).turning.steps_per_turn == pytest.approx(once, rel=1e-4)
    thicker = [
        one.model_copy(update={"across_mm": one.diameter_mm * (1 + off_share), "round_mm": None})
        for one in job.item.measurements
    ]
    right = job.model_copy(update={"item": job.item.model_copy(update={"measurements": tuple(thicker)})})
    if again:
        turned_and_entered(right)
    assert plan(on_main(right, machines), draws=0).turning.steps_per_turn == pytest.approx(once, rel=4e-4)
    assert plan(on_main(job, machines), draws=0).turning.steps_per_turn == pytest.approx(once, rel=4e-4)
