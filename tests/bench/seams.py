"""Stated against simulated seams: `PYTHONPATH=. python tests/bench/seams.py [machines] [seed]`.

Every machine differs from its job by errors drawn from what the job believes; each true seam follows from exact
geometry with those errors, from the stops of a simulated motor, and from a true gap that closes. "All seams within X
in 19 of 20 items" is held against the share of machines in which it is so, before and after the gap ladder and the
motor test. "Noticed" is the share in which the seam test reads a seam beyond X, of the machines that have one;
"alarmed" the same of those that have none. The simulated motors are invented: sines over the electrical cycle and
errors of single poles.
"""

import sys
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Final

import numpy as np

from rotary.formulas import seam_gap, stops
from rotary.formulas.arrays import Floats
from rotary.formulas.estimate import HOLDS_95
from rotary.formulas.tape import VERNIER_MM
from rotary.job import Job, job_from_data
from rotary.machine.correct import corrected, seam_material
from rotary.machine.readings import RUNGS, GapLadder, MotorTest
from rotary.machine.record import MachineRecord, with_reading
from rotary.machine.seam_tests import FREE_STEPS, rungs_of
from rotary.passes.beliefs.draws import material_for
from rotary.plan import Plan, plan
from rotary.seams import SAMPLES, closing_gaps_mm
from rotary.slices.wall import STATIONS, slices_of, wall_under_head

NOW: Final = datetime(2026, 11, 29, tzinfo=UTC)
READ_MM: Final = 0.005
HARMONICS: Final = (1, 2, 4)


@dataclass(frozen=True)
class Motor:
    """Where a motor stops beside its place, in full steps: over its cycle, and pole by pole."""

    amplitude: Floats
    phase: Floats
    pole: Floats

    def off(self, place: Floats) -> Floats:
        """How far off it stops at places [full steps]."""
        cycle = sum(
            a * np.sin(2 * np.pi * h * place / 4 + f)
            for h, a, f in zip(HARMONICS, self.amplitude, self.phase, strict=True)
        )
        return np.asarray(cycle + np.interp(place % len(self.pole), np.arange(len(self.pole) + 1), self._round()))

    def _round(self) -> Floats:
        return np.append(self.pole, self.pole[0])

    def seams(self, index: float, count: int, start: float) -> Floats:
        """What two stops leave at each of so many seams [full steps]."""
        return np.diff(self.off(start + index * np.arange(count + 1)))


def motor(rng: np.random.Generator, share: float | None = None, wider: float = 1.0) -> Motor:
    """A motor whose seams have the believed standard deviation on average over motors, any share of it cyclic."""
    share = rng.uniform() if share is None else share
    size = wider * stops.SEAM_SHARE / 2**0.5 * rng.lognormal(-0.05, 0.3)
    a = rng.uniform(0.2, 1.0, len(HARMONICS))
    a *= size * share**0.5 / np.sqrt((a**2).sum() / 2)
    # Between two poles the error runs straight: that takes a third off its variance.
    pole = rng.normal(0.0, size * (1 - share) ** 0.5 * 1.5**0.5, 200)
    return Motor(a, rng.uniform(0, 2 * np.pi, len(HARMONICS)), pole)


def job(rng: np.random.Generator, kind: str) -> Job:
    """A job on a chuck or rollers, straight or tapered, coated or bare."""
    wide = float(rng.uniform(40, 90))
    taper = float(rng.choice([0.0, 6.0]))
    drive: dict[str, Any] = {"kind": kind, "motor": "two-phase"}
    if kind == "chuck":
        drive |= {"gear_ratio": float(rng.choice([1.0, 2.0, 4.0])), "axis_height": "120 mm", "levelled": True}
    else:
        drive |= {
            "covering": "hard",
            "axis_height": "40 mm",
            "roller_diameter": "20 mm",
            "centres": "40 mm",
            "levelled": True,
        }
        # Ticks have been read, as on any machine that is used on rollers.
        drive["ticks"] = [{"gap": "0 mm", "at": "60 mm", "u": "0.05 mm"}] * 2
    coating = str(rng.choice(["polyester-powder-dark", "polyester-powder-light", "none"]))
    measurements = [{"at": "0 mm", "across": f"{wide} mm"}, {"at": "120 mm", "across": f"{wide - taper} mm"}]
    return job_from_data(
        {
            "item": {
                "name": "a made-up cup",
                "measurements": measurements,
                "metal": "stainless-304",
                "coating": coating,
            },
            "use_laser": "fibre-30w-160",
            "turning": drive,
            "artwork": {"width": f"{0.8 * wide} mm", "height": "40 mm", "centre": "60 mm"},
        }
    )


@dataclass(frozen=True)
class Truth:
    """What is true of one machine, in standard deviations of what is believed, and its motor."""

    z: Floats
    motor: Motor
    start: float


def seams_mm(made: Plan, truth: Truth, closing_mm: float) -> Floats:
    """Every seam at every height of the band: how far it is off what the plan draws it for (n, k) [mm]."""
    split, job_ = made.split, made.job
    wall = wall_under_head(made, made.choice.setting.defocus_mm if made.choice.setting else 0.0)
    at = slices_of(wall, np.array([split.index_angle_rad]))
    half = at.command_x[0] if split.method == "sliced" else np.full_like(wall.r, split.flat_slice_mm / 2)
    over = (wall.apex_mm - at.plane)[0]
    believed = [
        wall.radius_half, wall.height_half, wall.scale_half, wall.pupil_half, wall.drive_half, wall.offset,
    ]  # fmt: skip
    dr, dz, scale, pupil, turn, aside = (z * half_95 / HOLDS_95 for z, half_95 in zip(truth.z, believed, strict=True))
    given = wall.r, over, wall.pupil_x, wall.tilt
    nominal = seam_gap.seam_gap_mm(half, split.index_angle_rad, *given)
    true = seam_gap.seam_gap_mm(
        half * (1 + scale), split.index_angle_rad * (1 + turn), wall.r + dr, over + dz, wall.pupil_x * (1 + pupil),
        wall.tilt, aside,
    )  # fmt: skip
    full_step = made.turning.arc_per_step_mm * job_.turning.microsteps
    index = split.steps / job_.turning.microsteps
    own = truth.motor.seams(index, split.seams, truth.start) * full_step / made.shape.widest_radius_mm
    shape = np.array([row.plain_nominal_mm for row in split.seam_rows]) if split.method == "flat" else 0.0
    off = true - nominal + shape - (closing_mm - made.seams.closing_gap_mm)
    return np.asarray(off[None, :] + own[:, None] * wall.r)


def seam_test_reads(made: Plan, truth: Truth, rng: np.random.Generator) -> bool:
    """Whether a seam of the seam test is read beyond what is stated: fine lines on tape, in divisions of its vernier,
    at both ends and the middle of the band. What the gap that closes adds is not on tape."""
    on_tape = seams_mm(made, truth, made.seams.closing_gap_mm)[:, [0, STATIONS // 2, -1]]
    read = VERNIER_MM * np.round((on_tape + rng.normal(0, READ_MM, on_tape.shape)) / VERNIER_MM)
    return bool(np.abs(read).max() > made.seams.within_mm)


def true_gap_mm(made: Plan, rng: np.random.Generator) -> float:
    """A gap that closes in truth: that of one sample in which the fill clears."""
    setting = made.removal.setting
    assert setting is not None
    gaps = closing_gaps_mm(made, setting, material_for(made.job.item, made.job.laser, SAMPLES))
    gaps = gaps[np.isfinite(gaps)]
    return float(rng.choice(gaps)) if len(gaps) else made.seams.closing_gap_mm


def ladder_reading(made: Plan, gap_mm: float) -> GapLadder:
    """What a person records of gap ladders: wider or finer ones until some close and some don't."""
    rungs = rungs_of(made)
    for _ in range(12):
        closed = sum(rungs.gap_mm(n) <= gap_mm for n in range(1, RUNGS + 1))
        if 0 < closed < RUNGS:
            break
        rungs = rungs.after_all() if closed else rungs.after_none()
    return GapLadder(
        at=NOW, coating=seam_material(made.job), settings=made.seams.settings, first_mm=rungs.first_mm,
        step_mm=rungs.step_mm, closed=closed,
    )  # fmt: skip


def motor_readings(made: Plan, truth: Truth, rng: np.random.Generator) -> tuple[MotorTest, ...]:
    """Both rows of the motor test as they are read: whole divisions, misread by a little."""
    full_step = made.turning.arc_per_step_mm * made.job.turning.microsteps
    whole = max(round(3.0 / full_step / 4), 1) * 4.0
    rows = []
    for row, index in (("whole", whole), ("free", whole + FREE_STEPS)):
        gaps = truth.motor.seams(index, 8, truth.start) * full_step + rng.normal(0, READ_MM, 8)
        ticks = tuple(int(n) for n in np.clip(np.round(gaps / 0.02), -40, 40))
        rows.append(
            MotorTest(at=NOW, row=row, ticks=ticks, full_step_mm=full_step, across_mm=2 * made.shape.widest_radius_mm)
        )
    return tuple(rows)


def run(machines: int, seed: int, kinds: tuple[str, ...] = ("chuck", "rollers"), wider: float = 1.0) -> dict[str, Any]:
    """Shares of machines with all seams within what was stated, before and after, with the counts."""
    rng = np.random.default_rng(seed)
    held: dict[str, list[bool]] = {}
    # So few of one job, or the jobs that happen to be drawn decide.
    each = 5

    def judge(name: str, made: Plan, truth: Truth, gap: float) -> None:
        within = bool(np.abs(seams_mm(made, truth, gap)).max() <= made.seams.within_mm)
        held.setdefault(name, []).append(within)
        held.setdefault(f"{name}, {'alarmed' if within else 'noticed'}", []).append(seam_test_reads(made, truth, rng))

    for k in range(machines // each):
        kind = kinds[k % len(kinds)]
        made = plan(job(rng, kind), draws=0)
        if not made.seams.seams or made.removal.setting is None:
            continue
        for _ in range(each):
            z, start = wider * rng.normal(size=6), float(rng.uniform(0, 200))
            # Before a test no gain of whole cycles is claimed: that is right for motors whose poles err.
            truth = Truth(z, motor(rng, 0.0, wider), start)
            gap = made.seams.closing_gap_mm + wider * (true_gap_mm(made, rng) - made.seams.closing_gap_mm)
            judge(f"before, {kind}", made, truth, gap)
            truth = Truth(z, motor(rng, wider=wider), start)
            machine = with_reading(MachineRecord(name="bench"), ladder_reading(made, gap))
            for reading in motor_readings(made, truth, rng):
                machine = with_reading(machine, reading)
            after = plan(corrected(made.job, machine), draws=0)
            if after.seams.source != "measured" or not after.seams.seams:
                continue
            judge(f"after, {kind}", after, truth, gap)
    return {name: (float(np.mean(all_)), len(all_)) for name, all_ in held.items()}


def interval_95(share: float, count: int) -> tuple[float, float]:
    """The 95 % interval of a share (Wilson)."""
    z2 = HOLDS_95**2
    middle = (share + z2 / (2 * count)) / (1 + z2 / count)
    half = HOLDS_95 / (1 + z2 / count) * (share * (1 - share) / count + z2 / (4 * count**2)) ** 0.5
    return middle - half, middle + half


def worst_of_motors(motors: int, seed: int, full_step_mm: float, index: float, seams: int) -> float:
    """Share of motors, at least half of whose error is cyclic, whose worst seam is within 25 µm."""
    rng = np.random.default_rng(seed)
    worst = [
        np.abs(motor(rng, rng.uniform(0.5, 1.0)).seams(index, seams, rng.uniform(0, 200))).max() * full_step_mm
        for _ in range(motors)
    ]
    return float((np.array(worst) <= 0.025).mean())


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    for label, factor in (("as believed", 1.0), ("from ranges 1.5 times wider", 1.5)):
        print(label)
        for name, (share, number) in sorted(run(count, first, wider=factor).items()):
            low, high = interval_95(share, number)
            print(f"  {name}: {100 * share:.1f} % of {number} ({100 * low:.1f} to {100 * high:.1f})")
    for label, step_mm, index in (("rollers ⌀20, 1:1", 0.314, 12.0), ("chuck 1:4, ⌀80", 0.314, 16.0)):
        whole, free = (worst_of_motors(2000, first, step_mm, i, 14) for i in (index, index + 0.43))
        print(f"worst of 14 seams within 25 µm, {label}: whole cycles {100 * whole:.0f} %, free {100 * free:.0f} %")
