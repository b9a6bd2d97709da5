"""300 simulated machines with made-up errors: is the seam strip diagnosed right, and what is left at the seams?

Run from the top folder: ``PYTHONPATH=. python tests/bench/strips.py``; for docs/contributors/benches.md. The
readings come from numeric rays onto the true surface, which know none of the formulas that diagnose. What is
random: the believed inputs, the faults beyond them, where the motor stands, noise of 0.01 mm, rounding to whole
ticks of 0.02 mm, and one reading in twenty misread by two to six ticks. All machines are invented.
"""

import sys
from datetime import UTC, datetime
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.formulas.revolution import arc_from_height_mm, height_from_arc_mm, radius_mm
from rotary.formulas.strip import CAUSES
from rotary.job import Job, job_from_file
from rotary.laser import optics
from rotary.machine.correct import NO_CORRECTION, Correction, corrected
from rotary.machine.diagnosis import ALIKE, SURE, Diagnosis, diagnosis
from rotary.machine.readings import StripResult
from rotary.machine.record import MachineRecord
from rotary.machine.strip import Strip, kinds_at, seam_strip
from rotary.machine.strip_reading import StripReading, VernierReading
from rotary.plan import plan
from rotary.sheet import stance_of
from rotary.sheet.redraw import Stance, command_to_hit_mm
from rotary.shipped import examples
from rotary.simulate.rays import RayStand, landing
from rotary.turning.models import Chuck

Floats = NDArray[np.float64]

SEED = 4
MACHINES = 300
MISREAD = 0.05
NOISE_MM = 0.01
PUPIL_READ = 0.01  # how well two heights tell a pupil, as a share (1 sigma)
MOVED_MM = 0.15  # how well a rotary is moved by hand and calipers
RANGES = {
    "diameter": (0.5, 1.2), "field-scale-x": (0.007, 0.02), "field-scale-y": (0.007, 0.02), "focus": (2.5, 6.0),
    "index": (0.007, 0.02), "extra-width": (0.05, 0.4), "skew": (0.008, 0.025), "offset": (2.0, 5.0),
}  # fmt: skip
"""How large a made-up fault is, of either sign (an extra width only +), in the causes' units."""


class Truth(NamedTuple):
    """A made-up machine: each cause's true error, its faults, settings, the motor's error, the pupils' share."""

    errors: dict[str, float]
    faults: tuple[str, ...]
    swapped: bool
    mirrored: bool
    motor_rad: float
    pupil_share: float


def made_up(strip: Strip, rng: np.random.Generator) -> Truth:
    """A machine within the beliefs of the strip's job, with up to two faults beyond them."""
    job, turning = strip.made.job, strip.made.turning
    told = job.tolerances
    u = {
        "diameter": 2 * strip.made.artwork_half_mm / 1.96, "field-scale-x": told.field_scale_share / 1.96,
        "field-scale-y": told.field_scale_share / 1.96, "focus": told.focus_mm / 1.96, "index": turning.u_scale,
        "extra-width": 0.0, "skew": job.turning.skew_rad / 1.96, "offset": job.turning.offset_mm / 1.96,
    }  # fmt: skip
    errors = {cause: float(rng.normal(0, u[cause])) for cause in CAUSES}
    count = int(rng.choice([0, 1, 2], p=[0.1, 0.6, 0.3]))
    faults = tuple(rng.choice(CAUSES, count, replace=False).tolist())
    for fault in faults:
        size = float(rng.uniform(*RANGES[fault]))
        size = round(size / 0.05) * 0.05 if fault == "extra-width" else size * float(rng.choice([-1, 1]))
        errors[fault] += size
    widest = float(np.max(radius_mm(strip.made.shape.curve, strip.made.shape.curve.s_mm)))
    swapped, mirrored = (bool(rng.random() < 0.04) for _ in range(2))
    optics = strip.made.optics
    spread = (optics.pupil_high_share - optics.pupil_low_share) / 2 / 1.96
    pupil = float(rng.normal(0, spread))
    return Truth(errors, faults, swapped, mirrored, turning.motor_error_mm / widest, pupil)


def true_stand(stance: Stance, truth: Truth) -> RayStand:
    """The item as it really stands."""
    e = truth.errors
    seen = stance._replace(
        pupil_across_mm=stance.pupil_across_mm * (1 + truth.pupil_share),
        pupil_along_mm=stance.pupil_along_mm * (1 + truth.pupil_share),
    )
    return RayStand(
        *seen, thicker_mm=e["diameter"] / 2, lower_mm=-e["focus"], scale_x=1 + e["field-scale-x"],
        scale_y=1 + e["field-scale-y"], aside_mm=e["offset"], skew_rad=e["skew"],
    )  # fmt: skip


def at_seam(
    stance: Stance,
    truth: Truth,
    index_rad: float,
    file_slice_mm: float,
    s: Floats,
    how: Correction,
    slip: Floats | float,
) -> tuple[Floats, Floats]:
    """Gap and stair at heights s of a seam whose edges are drawn as the sheet draws them, by numeric rays."""
    stand = true_stand(stance, truth)
    ends = []
    for side in (1.0, -1.0):
        x, y = command_to_hit_mm(stance, np.full_like(s, side * index_rad / 2), s)
        cos, sin = np.cos(how.turn_rad), np.sin(how.turn_rad)
        ends.append(landing(stand, (x * cos - y * sin) * how.scale_across, (x * sin + y * cos) * how.scale_along))
    turn = index_rad * (1 + truth.errors["index"] + truth.errors["extra-width"] / file_slice_mm) + slip
    radius = radius_mm(stance.curve, s) + truth.errors["diameter"] / 2
    gap = radius * (turn + ends[1].angle_rad - ends[0].angle_rad)
    return np.asarray(gap), np.asarray(ends[1].s_mm - ends[0].s_mm)


def read_strip(strip: Strip, truth: Truth, rng: np.random.Generator) -> StripReading:
    """What a person reads off this machine's strip."""
    order, stance = strip.order, strip.order.stance
    item = strip.made.job.item.name
    letter = "mirrored" if truth.mirrored else "right"
    if truth.swapped or truth.mirrored:
        seen = "3-2-1" if truth.swapped != (truth.mirrored and truth.swapped) else "1-2-3"
        return StripReading(item=item, tape_mm=strip.tape_mm, order=seen, letter=letter)
    stands = rng.uniform(-truth.motor_rad, truth.motor_rad, strip.order.slices)
    rows = []
    for pair, name in enumerate(strip.seams):
        slip = float(stands[pair + 1] - stands[pair])
        for vernier in strip.verniers:
            read: dict[str, float] = {}
            for kind in kinds_at(strip, name):
                s = np.array([vernier.rising_s_mm if kind == "rising" else vernier.falling_s_mm])
                gap, stair = at_seam(
                    stance, truth, order.index_rad, order.file_slice_mm, s, strip.drawn_with, slip
                )  # fmt: skip
                slope = float(radius_mm(stance.curve, stance.centre_s_mm) / radius_mm(stance.curve, s)[0])
                step = float(stair[0] - (slope if kind == "rising" else -slope) * gap[0])
                read[f"{kind}_mm"] = as_read(step, strip.ticks, rng)
            rows.append(VernierReading(seam=name, height=vernier.name, **read))
    apart = rules_apart(strip, truth)
    first, again = measured(apart, rng), measured(apart, rng)
    while abs(first - again) > 0.25:
        # The form refuses two lengths that contradict each other: the person measures once more.
        first, again = again, measured(apart, rng)
    return StripReading(
        item=item,
        tape_mm=strip.tape_mm,
        order="1-2-3",
        letter="right",
        between_mm=first,
        between_again_mm=again,
        verniers=tuple(rows),
    )


def measured(true_mm: float, rng: np.random.Generator) -> float:
    """A length by calipers, to 0.01 mm with 0.04 mm of noise; sometimes misread by half a millimetre."""
    slip = float(rng.choice([-1, 1])) * 0.5 if rng.random() < MISREAD else 0.0
    return round(true_mm + float(rng.normal(0, 0.04)) + slip, 2)


def as_read(step: float, ticks: int, rng: np.random.Generator) -> float:
    """A step as a person reads it: whole ticks within the vernier, a loupe beyond it; sometimes misread."""
    if abs(step) > 0.02 * (ticks + 0.5):
        return round((step + float(rng.normal(0, 0.015))) / 0.05) * 0.05
    tick = round((step + float(rng.normal(0, NOISE_MM))) / 0.02)
    if rng.random() < MISREAD:
        tick += int(rng.choice([-1, 1])) * int(rng.integers(2, 7))
    return 0.02 * tick


def rules_apart(strip: Strip, truth: Truth) -> float:
    """The true length along the wall between the level rules."""
    stance = strip.order.stance
    curve = stance.curve
    band = strip.made.layout
    low, high = (float(arc_from_height_mm(curve, s)) for s in (band.artwork_from_mm, band.artwork_to_mm))
    centre = (low + high) / 2
    s = np.asarray(height_from_arc_mm(curve, centre + np.array([-0.5, 0.5]) * strip.between_mm))
    x, y = command_to_hit_mm(stance, np.zeros(2), s)
    how = strip.drawn_with
    cos, sin = np.cos(how.turn_rad), np.sin(how.turn_rad)
    there = landing(
        true_stand(stance, truth), (x * cos - y * sin) * how.scale_across, (x * sin + y * cos) * how.scale_along
    )
    return float(np.ptp(arc_from_height_mm(curve, there.s_mm)))


class Job300(NamedTuple):
    """The real sheet whose seams are looked at, before and after."""

    stance: Stance
    index_rad: float
    file_slice_mm: float
    heights: Floats


def after_fixing(truth: Truth, found: Diagnosis, rng: np.random.Generator) -> Truth:
    """The machine once the person has done what the strip says: extra width looked up and set to 0, rotary moved."""
    errors = dict(truth.errors)
    named = {suspect.cause: suspect.chance for suspect in found.suspects}
    if "extra-width" in named:
        errors["extra-width"] = 0.0
    if named.get("offset", 0.0) >= SURE:
        errors["offset"] -= found.offset_mm + float(rng.normal(0, MOVED_MM))
    return truth._replace(errors=errors)


def kinds(causes: set[str]) -> set[str]:
    """Causes as kinds that a strip can tell apart."""
    return {"gap" if cause in ALIKE else cause for cause in causes}


def told_kinds(found: Diagnosis) -> set[str]:
    """The kinds that a diagnosis names."""
    sure = {s.cause for s in found.suspects if s.chance >= SURE}
    return kinds(sure) | ({"gap"} if found.alike else set())


def worst_um(real: Job300, truth: Truth, how: Correction, rng: np.random.Generator, motor: bool) -> float:
    """The worst gap over the band of one seam of the real sheet [µm]."""
    slip = float(np.diff(rng.uniform(-truth.motor_rad, truth.motor_rad, 2))[0]) if motor else 0.0
    gap, _ = at_seam(real.stance, truth, real.index_rad, real.file_slice_mm, real.heights, how, slip)
    return 1000 * float(np.abs(gap).max())


def benchmark(job: Job, machines: int = MACHINES, seed: int = SEED) -> dict[str, Any]:
    """All the figures for one job."""
    rng = np.random.default_rng(seed)
    strip = seam_strip(job)
    real = real_sheet(job)
    score = {"kind": 0, "named": 0, "alone": 0, "false": 0}
    rows: list[tuple[float, float, float]] = []
    strips = 0
    for _ in range(machines):
        truth = made_up(strip, rng)
        first = diagnosis(read_strip(strip, truth, rng), strip, real.stance.plane_mm)
        strips += 1
        if first.setting:
            right = ("turns the wrong way" in first.setting) == (truth.swapped and not truth.mirrored)
            score_setting = right and (truth.swapped or truth.mirrored)
            fixed = truth._replace(swapped=False, mirrored=False)
            found = diagnosis(read_strip(strip, fixed, rng), strip, real.stance.plane_mm)
            strips += 1
        else:
            score_setting, fixed, found = True, truth, first
        faults = set(truth.faults)
        named = {s.cause for s in found.suspects}
        told = told_kinds(found)
        score["kind"] += score_setting and told == kinds(faults)
        score["named"] += score_setting and told == kinds(faults) and faults <= named
        score["alone"] += score_setting and faults == {s.cause for s in found.suspects if s.chance >= SURE}
        score["false"] += bool(told - kinds(faults))
        now = after_fixing(fixed, found, rng)
        if now.errors["extra-width"] != fixed.errors["extra-width"]:
            # The sheet can't be corrected for a width that is no longer there: the strip is marked once more.
            found = diagnosis(read_strip(strip, now, rng), strip, real.stance.plane_mm)
            strips += 1
        how = NO_CORRECTION.model_copy(
            update={"scale_across": 1 + found.scale_share, "turn_rad": found.turn_rad, "u_scale": found.u_scale_share}
        )
        rows.append(
            (
                worst_um(real, fixed, NO_CORRECTION, rng, motor=False),
                worst_um(real, now, how, rng, motor=False),
                worst_um(real, now, how, rng, motor=True),
            )
        )
    before, after, with_motor = np.array(rows).T
    return {
        "width_mm": float(radius_mm(real.stance.curve, real.stance.centre_s_mm)) * real.index_rad,
        **{name: count / machines for name, count in score.items()},
        "strips": strips / machines,
        "before": np.quantile(before, [0.5, 0.95]),
        "after": np.quantile(after, [0.5, 0.95]),
        "with_motor": np.quantile(with_motor, [0.5, 0.95]),
        "motor_um": 1000 * strip.made.turning.motor_error_mm,
    }


def real_sheet(job: Job) -> Job300:
    """The sheet that is planned once the strip is read: its seams are what counts."""
    result = StripResult(
        at=datetime(2026, 5, 1, tzinfo=UTC), item=job.item.name, scale_share=0.001, u_scale_share=0.0005, u_focus_mm=0.2
    )
    made = plan(corrected(job, MachineRecord(name="benchmark", readings=(result,))), draws=0)
    stance = stance_of(made)
    heights = np.linspace(made.layout.artwork_from_mm, made.layout.artwork_to_mm, 7)
    return Job300(stance, made.split.index_angle_rad, made.split.file_slice_mm, heights)


def jobs() -> dict[str, Job]:
    """The invented bottle on its rollers, and in a chuck with a gear of 6 : 1; what would help."""
    bottle = job_from_file(examples()["regatta-bottle"])
    chuck = bottle.model_copy(update={"turning": Chuck(gear_ratio=6.0, axis_height_mm=90.0, levelled=True)})
    beam = optics(bottle.laser)
    known = bottle.laser.model_copy(
        update={"pupil_x_mm": beam.pupil_x_mm, "pupil_y_mm": beam.pupil_y_mm, "pupil_doubt_share": 1.96 * PUPIL_READ}
    )
    finer = chuck.tolerances.model_copy(update={"seam_mm": 0.015})
    out = {"chuck": chuck, "rollers": bottle}
    fine = {"chuck, 15 µm accepted": chuck.model_copy(update={"tolerances": finer})}
    read = {f"{name}, pupils measured": job.model_copy(update={"laser": known}) for name, job in out.items()}
    gear = Chuck(gear_ratio=12.0, axis_height_mm=90.0, levelled=True)
    geared = bottle.model_copy(update={"turning": gear, "laser": known})
    return out | fine | read | {"chuck 12 : 1, pupils measured": geared}


def main() -> int:
    """Print the tables."""
    print(f"seed {SEED}, {MACHINES} machines each, one reading in twenty misread\n")
    print("| drive | slices | kind right | cause among named | cause alone | falsely named | tests per machine |")
    print("|---|---|---|---|---|---|---|")
    found = {name: benchmark(job) for name, job in jobs().items()}
    for name, f in found.items():
        print(
            f"| {name} | {f['width_mm']:.1f} mm | {f['kind']:.0%} | {f['named']:.0%} | {f['alone']:.0%} "
            f"| {f['false']:.0%} | {f['strips']:.2f} |"
        )
    print("\n| drive | before: half, 95 % within | after: half, 95 % | with the motor's own error: half, 95 % |")
    print("|---|---|---|---|")
    for name, f in found.items():
        cells = [f"{f[key][0]:.0f}, {f[key][1]:.0f} µm" for key in ("before", "after", "with_motor")]
        print(f"| {name} | {' | '.join(cells)} (motor ± {f['motor_um']:.0f} µm a stand) |")
    return 0


if __name__ == "__main__":
    sys.exit(main())
