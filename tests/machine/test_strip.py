"""The seam strip: drawn by the sheet's own code, read by verniers, diagnosed against numeric rays."""

import math
import tomllib
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest

from rotary.errors import NoPlan, Refused
from rotary.formulas.revolution import radius_mm
from rotary.formulas.scan import place_mm
from rotary.formulas.strip import CAUSES, strip_sensitivities
from rotary.formulas.tape import gap_and_stair_mm, vernier_step_mm
from rotary.item import Measurement
from rotary.job import Job, job_from_file
from rotary.machine.correct import NO_CORRECTION
from rotary.machine.diagnosis import diagnosis, strip_result
from rotary.machine.record import MachineRecord
from rotary.machine.store import machine_from_text, machine_text
from rotary.machine.strip import Strip, kinds_at, order_on_tape, seam_strip
from rotary.machine.strip_papers import form, instructions, numbered_lines, strip_files
from rotary.machine.strip_reading import (
    StripReading,
    VernierReading,
    drawn_text,
    reading_from_form,
    strip_reading,
)
from rotary.sheet.redraw import command_to_hit_mm
from rotary.sheet.reread import drawing_from_text
from rotary.shipped import examples
from rotary.simulate.controller import columns
from rotary.simulate.rays import RayStand, landing
from rotary.turning.models import Chuck


def job_named(name: str) -> Job:
    return job_from_file(examples()[name])


@pytest.fixture(scope="module")
def strip() -> Strip:
    return seam_strip(job_named("regatta-bottle"))


TRUE: dict[str, dict[str, float]] = {
    "diameter": {"thicker_mm": 0.5},
    "field-scale-x": {"scale_x": 1.01},
    "field-scale-y": {"scale_y": 1.01},
    "focus": {"lower_mm": -3.0},
    "skew": {"skew_rad": 0.01},
    "offset": {"aside_mm": 3.0},
}
SIZE = {"diameter": 1.0, "field-scale-x": 0.01, "field-scale-y": 0.01, "focus": 3.0, "index": 0.01, "skew": 0.01,
        "offset": 3.0, "extra-width": 0.2}  # fmt: skip


def seen(strip: Strip, s: Any, cause: str) -> tuple[Any, Any]:
    """Gap and stair at heights s of a machine with one fault, by rays that know nothing of the diagnosis."""
    order, stance = strip.order, strip.order.stance
    stand = RayStand(*stance, **TRUE.get(cause, {}))
    turn = order.index_rad
    turn *= (
        1
        + (SIZE["index"] if cause == "index" else 0)
        + (SIZE["extra-width"] / order.file_slice_mm if cause == "extra-width" else 0)
    )
    ends = [
        landing(stand, *command_to_hit_mm(stance, np.full_like(s, side * order.index_rad / 2), s)) for side in (1, -1)
    ]
    radius = radius_mm(stance.curve, s) + TRUE.get(cause, {}).get("thicker_mm", 0.0)
    return radius * (turn + ends[1].angle_rad - ends[0].angle_rad), ends[1].s_mm - ends[0].s_mm


def read_by_rays(strip: Strip, *causes: str, misread: int = 0, length: bool = True) -> StripReading:
    """A person with a steady hand: whole ticks, one of them misread by `misread` ticks."""
    stance, rows = strip.order.stance, []
    r0 = float(radius_mm(stance.curve, stance.centre_s_mm))
    for pair in strip.seams:
        for v in strip.verniers:
            read = {}
            for kind in kinds_at(strip, pair):
                s = np.array([v.rising_s_mm if kind == "rising" else v.falling_s_mm])
                parts = [seen(strip, s, cause) for cause in causes]
                gap, stair = sum(float(p[0][0]) for p in parts), sum(float(p[1][0]) for p in parts)
                slope = r0 / float(radius_mm(stance.curve, s)[0]) * (1 if kind == "rising" else -1)
                tick = round((stair - slope * gap) / 0.02)
                if misread and not rows and kind == "rising":
                    tick += misread
                read[f"{kind}_mm"] = 0.02 * tick
            rows.append(VernierReading(seam=pair, height=v.name, **read))
    between = strip.between_mm
    between *= 1 + (0.01 if "field-scale-y" in causes else 0)
    if "focus" in causes:
        between *= 1 - 3.0 / (stance.pupil_along_mm)
    return StripReading(
        item=strip.made.job.item.name, order="1-2-3", letter="right", verniers=tuple(rows),
        between_mm=round(between, 2) if length else None,
    )  # fmt: skip


@pytest.mark.parametrize("cause", CAUSES)
def test_each_cause_opens_a_seam_as_the_formulas_say(strip: Strip, cause: str) -> None:
    """Sensitivities by formula and by numeric rays onto the true surface are the same to first order."""
    s = np.array([v.s_mm for v in strip.verniers])
    gap, stair = seen(strip, s, cause)
    order, stance = strip.order, strip.order.stance
    _, y, z = place_mm(s, radius_mm(stance.curve, s), order.index_rad / 2, stance.tilt_rad)
    _, y0, z0 = place_mm(stance.centre_s_mm, radius_mm(stance.curve, stance.centre_s_mm), 0.0, stance.tilt_rad)
    sense = strip_sensitivities(
        order.index_rad, order.file_slice_mm, radius_mm(stance.curve, s), y - y0, z - z0 - stance.plane_mm,
        stance.tilt_rad, stance.pupil_across_mm, stance.pupil_along_mm,
    )  # fmt: skip
    place = CAUSES.index(cause)
    assert gap == pytest.approx(SIZE[cause] * sense.gap[:, place], abs=0.004 if cause != "offset" else 0.04)
    assert stair == pytest.approx(SIZE[cause] * sense.stair[:, place], rel=0.02, abs=0.003)


@pytest.mark.parametrize("name", ["regatta-bottle", "boathouse-mug", "bellied-flask", "oar-ferrule", "pommel-nut"])
def test_every_example_has_a_strip_whose_ticks_meet_at_the_seams(name: str) -> None:
    """Sent through the head onto the item, the strip's right and left ticks end on the same line round the item."""
    drawn = seam_strip(job_named(name))
    text = next(iter(drawn.files.values()))
    page = drawing_from_text(text)
    cut = columns(page, drawn.order.file_slice_mm, drawn.made.split.steps, "each-index", "left", drawn.order.index_rad
                  / drawn.made.split.steps)  # fmt: skip
    assert len(cut) == drawn.order.slices == 5
    edge = drawn.order.index_rad / 2
    for side, column in [(1, left) for left in cut[:-1]] + [(-1, right) for right in cut[1:]]:
        landed = landing(RayStand(*drawn.order.stance), *column.rings.points_mm.T)
        reach = float((side * landed.angle_rad).max())
        assert reach == pytest.approx(edge, abs=0.004 / 10)


def test_the_vernier_reads_the_step_between_the_slices() -> None:
    """Where the right slice stands 0.03 mm higher, ticks 1 and 2 frame the place where lines run straight on."""
    assert vernier_step_mm(1) < 0.03 < vernier_step_mm(2)


@pytest.mark.parametrize("truth", [(0.05, 0.01), (-0.08, 0.0), (0.0, -0.04)])
def test_rising_and_falling_ticks_give_gap_and_stair(truth: tuple[float, float]) -> None:
    """Put the answer back: a gap moves the two kinds of ticks apart, a stair moves them together."""
    gap, stair = truth
    g, t = gap_and_stair_mm(stair - gap, stair + gap)
    assert (float(g), float(t)) == pytest.approx(truth)


@pytest.mark.parametrize(
    ("cause", "kind"),
    [("skew", "skew"), ("offset", "offset"), ("field-scale-y", "field-scale-y"), ("focus", "focus")],
)
def test_a_single_fault_that_shows_alone_is_named(strip: Strip, cause: str, kind: str) -> None:
    """A fault with a mark of its own is named with its size, from rounded readings."""
    found = diagnosis(read_by_rays(strip, cause), strip)
    first = found.suspects[0]
    assert first.cause == kind
    assert first.chance > 0.5
    assert abs(first.value) == pytest.approx({"field-scale-y": 0.01}.get(cause, SIZE[cause]), rel=0.3)
    # A crooked axis opens no gap: what saving helps against is the jump.
    assert ("lines no longer jump by" in found.advice) == (cause == "skew")


@pytest.mark.parametrize("cause", ["diameter", "field-scale-x", "index"])
def test_what_a_strip_cannot_tell_apart_it_says_so_and_cures(strip: Strip, cause: str) -> None:
    """Diameter, field scale and index open seams alike; the factor is right whichever it was."""
    found = diagnosis(read_by_rays(strip, cause), strip)
    names = {s.cause for s in found.suspects}
    assert cause in names or found.alike
    order = strip.order
    s = np.array([order.stance.centre_s_mm])
    gap, _ = seen(strip, s, cause)
    width = float(radius_mm(order.stance.curve, s)[0]) * order.index_rad
    assert found.scale_share * width == pytest.approx(float(gap[0]), abs=0.006)


def test_one_misread_tick_changes_little(strip: Strip) -> None:
    """A tick misread by five must be left out and named, not averaged in."""
    straight = diagnosis(read_by_rays(strip, "diameter"), strip)
    slipped = diagnosis(read_by_rays(strip, "diameter", misread=6), strip)
    assert len(slipped.odd) == 1
    assert slipped.scale_share == pytest.approx(straight.scale_share, abs=0.0006)


def test_the_correction_closes_the_seam_that_showed_it(strip: Strip) -> None:
    """A strip drawn with the correction, on the same machine, has its seams shut to a hundredth."""
    found = diagnosis(read_by_rays(strip, "field-scale-x"), strip)
    again = seam_strip(
        strip.made.job, NO_CORRECTION.model_copy(update={"scale_across": 1 + found.scale_share}), strip.tape_mm
    )
    stance = again.order.stance
    s = np.array([v.s_mm for v in again.verniers])
    x, y = command_to_hit_mm(stance, np.full_like(s, again.order.index_rad / 2), s)
    right = landing(RayStand(*stance, scale_x=1.01), x * (1 + found.scale_share), y)
    gap = radius_mm(stance.curve, s) * (again.order.index_rad - 2 * right.angle_rad)
    assert np.abs(gap).max() < 0.01


def filled(strip: Strip) -> dict[str, Any]:
    data = tomllib.loads(form(strip))
    data |= {"order": "1-2-3", "letter": "right", "between": f"{strip.between_mm:.2f} mm", "between_again": "?"}
    for row in data["verniers"]:
        row |= dict.fromkeys(("rising", "falling"), "0")
    return data


def test_a_form_filled_in_reads_back(strip: Strip) -> None:
    """Ticks are worth 0.02 mm, lengths keep their unit, and all noughts mean that nothing is wrong."""
    data = filled(strip)
    data["verniers"][0]["rising"] = "−3"
    data["verniers"][1]["rising"] = "0.3 mm"
    reading = strip_reading(data, strip)
    assert reading.verniers[0].rising_mm == pytest.approx(-0.06)
    assert reading.verniers[1].rising_mm == pytest.approx(0.3)
    found = diagnosis(strip_reading(filled(strip), strip), strip)
    assert not found.suspects
    assert abs(found.scale_share) < 1e-4


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"item": "Mug"}, "item"),
        ({"tape": "0.2 mm"}, "tape"),
        ({"between": "2.3 mm"}, "between"),
        ({"between_again": "58 mm"}, "between_again"),
        ({"order": "1-3-2"}, "order"),
        ({"verniers": [{"seam": "3-2", "height": "top", "rising": "0"}]}, "verniers.0.seam"),
        ({"order": "?"}, "order"),
        ({"verniers": []}, "verniers"),
    ],
)
def test_a_form_that_can_not_be_right_is_refused(strip: Strip, change: dict[str, Any], where: str) -> None:
    """Another item's form, other tape, an inch, lengths that contradict: a sentence with the field's name."""
    with pytest.raises(Refused) as refused:
        strip_reading(filled(strip) | change, strip)
    assert refused.value.faults[0].where == where


def test_a_form_that_is_no_toml_is_refused(strip: Strip) -> None:
    """Whatever is in the file, a sentence comes out."""
    with pytest.raises(Refused, match="line 1 of the form can't be read"):
        reading_from_form("= nothing", strip)


def test_flats_have_no_strip() -> None:
    """Between two flats there is an edge of the item and no seam."""
    job = job_named("regatta-bottle")
    item = job.item.model_copy(update={"measurements": (), "flats": 6, "across_flats_mm": 30.0, "length_mm": 100.0})
    with pytest.raises(NoPlan):
        seam_strip(job.model_copy(update={"item": item}))


def test_the_instructions_name_the_numbers_of_this_strip(strip: Strip) -> None:
    """What has to be typed for the strip differs from the job, so the text has to say it."""
    text = "\n".join(instructions(strip, job_name="mug.toml"))
    assert f"{strip.order.file_slice_mm:.3f}" in text
    assert "eyewear" in text
    assert f"{strip.between_mm:.2f}" in text
    assert "rotary machine seam-test mug.toml --from seam-test-form.toml" in text


@pytest.mark.parametrize(("system", "leave"), [("mm", "type this, not 79"), ("in", "type this, not 3.11 in (79 mm)")])
def test_a_number_typed_for_the_strip_has_its_warning(strip: Strip, system: str, leave: str) -> None:
    """Each number has a line of its own, and what is not the real one says so there; in the drawing's own words too."""
    typed = [line for line in numbered_lines(strip, system) if line.startswith("      ")]
    # As a sheet names them, and those alone that are typed: what is only checked after the import has no line.
    labels = {
        "file_slice_width": "Slice width in the file",
        "extra_per_slice": "Extra per slice",
        "typed_steps_per_turn": "Steps per turn of the roller",
        "typed_diameter": "Diameter to type",
    }
    figures = {key.id: key.entry(system).figure for key in strip.made.split.key_in}
    assert typed == [f"      {label}: {figures[name]}" for name, label in labels.items()]
    assert typed[-1].endswith(f" mm, {leave}")
    files = strip_files(strip)
    assert all("type this, not 79" in files[name].decode() for name in ("seam-test.txt", "seam-test-sliced.svg"))


def test_a_narrow_field_gets_three_slices() -> None:
    """Five slices side by side don't fit a field of 40 mm: three do, and are read and diagnosed the same way."""
    job = job_named("regatta-bottle")
    drawn = seam_strip(job.model_copy(update={"laser": job.laser.model_copy(update={"field_mm": 70.0})}))
    assert drawn.order.slices == 5
    artwork = job.artwork.model_copy(update={"height_mm": 30.0})
    head = job.laser.model_copy(update={"field_mm": 40.0})
    few = seam_strip(job.model_copy(update={"laser": head, "artwork": artwork}))
    assert (few.order.slices, few.seams, few.numbers) == (3, ("1-2", "2-3"), "1-2-3")
    found = diagnosis(strip_reading(filled(few), few), few)
    assert not found.suspects
    wide = diagnosis(strip_reading(filled(drawn), drawn), drawn)
    assert wide.u_scale_share < found.u_scale_share


@pytest.mark.parametrize("radius", [1.5, 200.0])
def test_sensitivities_hold_from_a_pin_to_a_drum(radius: float) -> None:
    """A gap for a wrong diameter is the index angle times half of it, whatever the size."""
    sense = strip_sensitivities(0.2, 1.0, [radius], [0.0], [0.0], 0.0, np.inf, np.inf)
    assert sense.gap[0, 0] == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("low", "high", "length"), [(400.0, 400.0, 200.0), (60.0, 160.0, 60.0), (12.0, 12.0, 60.0), (3.0, 3.0, 40.0)]
)
def test_a_strip_is_drawn_or_refused_from_a_pin_to_a_drum(low: float, high: float, length: float) -> None:
    """A drum, a cone of 40 degrees, a bar: all noughts read as nothing wrong; a pin has no room, and that is said."""
    job = job_named("regatta-bottle")
    measurements = (Measurement(at_mm=0.0, across_mm=low), Measurement(at_mm=length, across_mm=high))
    item = job.item.model_copy(update={"measurements": measurements})
    artwork = job.artwork.model_copy(update={"centre_mm": length / 2, "height_mm": 0.6 * length, "width_mm": 8.0})
    drive = Chuck(axis_height_mm=250.0, levelled=True, gear_ratio=5.0)
    job = job.model_copy(update={"item": item, "artwork": artwork, "turning": drive})
    if high == 3.0:
        with pytest.raises(NoPlan, match="too small"):
            seam_strip(job)
        return
    drawn = seam_strip(job)
    found = diagnosis(strip_reading(filled(drawn), drawn), drawn)
    assert not found.suspects
    assert abs(found.scale_share) < 1e-3


def test_a_form_is_read_once_and_against_its_own_strip(strip: Strip) -> None:
    """What a strip has shown is kept as a correction; the same form read again would correct the sheet twice over."""
    typed = form(strip).replace('"?"', '"0"').replace('order = "0"', 'order = "1-2-3"')
    typed = typed.replace('letter = "0"', 'letter = "right"').replace('between = "0"', 'between = "?"')
    typed = typed.replace('between_again = "0"', 'between_again = "?"')
    assert reading_from_form(typed, strip).drawn == drawn_text(strip)
    # A form that an earlier version wrote is read too.
    assert reading_from_form(typed.replace("seam = ", "seam = "), strip) == reading_from_form(typed, strip)
    how = NO_CORRECTION.model_copy(update={"scale_across": 1.004})
    with pytest.raises(Refused, match="rotary machine show lists it") as refused:
        reading_from_form(typed, seam_strip(job_named("regatta-bottle"), how))
    assert [fault.where for fault in refused.value.faults] == ["drawn"]


@pytest.mark.parametrize("name", ["regatta-bottle", "oar-ferrule", "brass-nut", "bellied-flask"])
def test_a_strip_without_any_stair_is_kept(name: str) -> None:
    """Ticks that are all alike leave a turn of next to nothing, which goes into the machine's file and comes back."""
    strip = seam_strip(job_named(name))
    rows = [{"seam": j, "height": v.name} | {k: "-2" if k == "rising" else "2" for k in kinds_at(strip, j)}
            for j in strip.seams for v in strip.verniers]  # fmt: skip
    given = {"item": strip.made.job.item.name, "tape": "0.12 mm", "order": "1-2-3", "letter": "right"}
    found = diagnosis(strip_reading(given | {"verniers": rows}, strip), strip)
    result = strip_result(found, strip.made.job.item.name, NO_CORRECTION, datetime(2026, 5, 1, tzinfo=UTC))
    machine = MachineRecord(name="bench", readings=(result,))
    assert machine_from_text(machine_text(machine)) == machine
    assert abs(result.turn_rad) < 0.002
    assert result.scale_share > 0


def test_an_order_that_can_not_be_is_told_with_the_numbers_of_its_strip(strip: Strip) -> None:
    """A strip of five slices asks for five numbers, also where what was typed comes near the order of three."""
    with pytest.raises(Refused) as refused:
        strip_reading(filled(strip) | {"order": "3-1-2"}, strip)
    assert (
        refused.value.faults[0].says
        == f'3-1-2 can\'t be the order of the numbers: write "{strip.numbers}" or "{strip.numbers[::-1]}"'
    )


def test_a_tick_that_is_no_number_is_told_by_its_seam(strip: Strip) -> None:
    """The form has no line numbers that a person would count: seam and height find the place."""
    rows = [{"seam": "1-2", "height": "top", "rising": "0", "falling": "two"}]
    with pytest.raises(Refused, match=r"two at seam 1-2, top, is not the number .* from -7 to 7") as refused:
        strip_reading(filled(strip) | {"verniers": rows}, strip)
    assert refused.value.faults[0].where == "verniers.0.falling"


def test_tape_lifts_the_apex_and_leaves_the_head_where_the_job_has_it(strip: Strip) -> None:
    """0.12 mm of tape on the wall: its apex is so much nearer to a focal plane that has not moved."""
    bare, taped = (order_on_tape(strip.made, tape).stance for tape in (0.0, 0.12))
    radii = [float(radius_mm(stance.curve, stance.centre_s_mm)) for stance in (bare, taped)]
    assert radii[1] - radii[0] == pytest.approx(0.12, abs=1e-9)
    stands = [r * math.cos(stance.tilt_rad) + stance.plane_mm for r, stance in zip(radii, (bare, taped), strict=True)]
    assert stands[0] == pytest.approx(stands[1], abs=1e-9)


def test_what_a_strip_leaves_at_a_seam_is_its_own_doubt_and_a_slip_of_either_slice(strip: Strip) -> None:
    """Two slices each slip by themselves, so a seam has the root of two of one slip, and no correction takes it."""
    found, order = diagnosis(read_by_rays(strip), strip), strip.order
    r0 = float(radius_mm(order.stance.curve, order.stance.centre_s_mm))
    # Anywhere within ± what its motor may stand off, at the widest place.
    stands_rad = strip.made.turning.motor_error_mm / 44 / math.sqrt(3)
    slip = math.sqrt(2) * r0 * stands_rad
    after = 1000 * 1.96 * math.hypot(found.u_scale_share * r0 * order.index_rad, slip)
    told = float(found.advice.split("at most ")[1].split(" µm")[0])
    assert told == pytest.approx(after, abs=0.6)
