"""What a seam strip's readings say: which cause fits them, the one correction to make, the error left after it."""

import math
from datetime import datetime
from itertools import combinations
from typing import Final, NamedTuple

import numpy as np

from rotary.formulas.arrays import Floats
from rotary.formulas.estimate import HOLDS_95, Fit, least_squares, least_squares_without_odd, log_evidence
from rotary.formulas.motion import skew_stair_mm
from rotary.formulas.revolution import radius_mm
from rotary.formulas.scan import place_mm
from rotary.formulas.strip import CAUSES, Sensitivities, gap_of_offset_mm, strip_sensitivities
from rotary.machine.correct import Correction
from rotary.machine.readings import StripResult
from rotary.machine.strip import Strip
from rotary.machine.strip_reading import StripReading, VernierStep, vernier_steps, wrong_setting
from rotary.model import Model
from rotary.sentences.passes import in_ten

FAULT_U: Final = (0.6, 0.01, 0.01, 3.0, 0.01, 0.3, 0.012, 3.0)
"""How large each cause is where something is wrong with it, 1 sigma, in the order of `CAUSES`. Estimates: a slip of
calipers, a lens file of another lens, a head set on the wrong face of a gauge, a forgotten width."""

FAULT_CHANCE: Final = 0.1
"""How often something is wrong with a cause beyond what is believed (estimate)."""

MOST_FAULTS: Final = 2
SURE: Final = 0.5
KEPT_DECIMALS: Final = 8
LIKELY: Final = 0.1
NAMED: Final = 0.25
"""A cause less likely than this is not named."""

LOOK_UP: Final = 0.02
"""An extra width that is no less likely than this is named, because it can be looked up."""

ALIKE: Final = ("diameter", "field-scale-x", "focus", "index", "extra-width")
"""All these change the gap alone, in nearly the same way at every height."""

_SCALE: Final = "do the test field, and correct the scale in your program"
_ASIDE: Final = "the item lies {} beside the field's middle"
WORDS: Final = {
    "diameter": (
        "the item is {} thicker than in the job",
        "the item is {} thinner than in the job",
        "measure the diameter again at the artwork's heights, and correct it in the job",
    ),
    "field-scale-x": ("marks come out {} too wide", "marks come out {} too narrow", _SCALE),
    "field-scale-y": ("marks come out {} too high", "marks come out {} too low", _SCALE),
    "focus": (
        "the lens is {} too close to the item",
        "the lens is {} too far from the item",
        "set the height of the lens with the gauge again",
    ),
    "index": (
        "each slice turns {} too far",
        "each slice turns {} too little",
        "do the full-turn test, and check the steps per turn that you typed",
    ),
    "extra-width": (
        "your program adds an extra of {} per slice",
        "your program takes {} off each slice",
        "look at the extra per slice in your program. If it is not 0, set it to 0 and mark the seam test again",
    ),
    "skew": (
        "the item lies crooked in the field, {} anticlockwise",
        "the item lies crooked in the field, {} clockwise",
        "set the rotary straight. Or leave it crooked, and save this reading: the plan then tilts the slices to suit",
    ),
    "offset": (_ASIDE, _ASIDE, "do the test edge to see on which side, then move the rotary under the field's middle"),
}
"""What is wrong where a cause is above nothing, where it is below, and what helps."""

TURN_AGAIN: Final = (
    "If you correct the diameter, take the item's full-turn readings out too (from the machine or the job), and do "
    "that test again: on rollers they hold only with the old diameter."
)
"""The steps of a turn go by the diameter: a reading that makes up for a wrong one, and doesn't say how many steps it
took, would count twice."""

UNITS: Final = (
    ("mm", 1.0), ("%", 100.0), ("%", 100.0), ("mm", 1.0), ("%", 100.0), ("mm", 1.0), ("°", math.degrees(1)), ("mm", 1.0)
)  # fmt: skip
"""What each cause is told in, in the order of `CAUSES`."""


class Suspect(Model):
    """A cause that may be wrong: how likely, and by how much in its unit (diameter, item too high: mm; shares; rad)."""

    cause: str
    chance: float
    value: float
    u: float
    says: str


class Diagnosis(Model):
    """What a strip says.

    `setting` is what has to be put right before anything is measured (order, mirror), empty where nothing is.
    `suspects` are the causes beyond what was believed, likeliest first; `alike` says that several of them can't be
    told apart by a strip. `scale_share`, `turn_rad` are the correction (draw each slice so much wider, turned so
    far), `odd` the readings left out, `focus_u_mm` how well the strip knows the height of the item. In words: `causes`
    are what was found, `advice` how each slice is drawn, `left_out` what was not counted.
    """

    setting: str = ""
    suspects: tuple[Suspect, ...] = ()
    alike: bool = False
    scale_share: float = 0.0
    u_scale_share: float = 0.0
    turn_rad: float = 0.0
    u_turn_rad: float = 0.0
    offset_mm: float = 0.0
    after_per_mm: float = 0.0
    focus_u_mm: float = 0.0
    odd: tuple[str, ...] = ()
    causes: tuple[str, ...]
    advice: str = ""
    left_out: tuple[str, ...] = ()

    @property
    def sentences(self) -> tuple[str, ...]:
        """All of it in words."""
        return (*self.causes, *filter(None, [self.advice]), *self.left_out)


class _Problem(NamedTuple):
    """Readings (n,) as a linear matter of the causes, of the pupils, and of where the motor stood for each slice.

    `square` (n,) is what an axis aside does besides, per mm² of its offset; `gap_row` the share of a slice's width
    that each unknown opens at the middle of the band.
    """

    design: Floats
    readings: Floats
    u: Floats
    labels: list[str]
    square: Floats
    gap_row: Floats


def diagnosis(reading: StripReading, strip: Strip, plane_mm: float | None = None) -> Diagnosis:
    """The diagnosis of a strip; nothing is stored by it.

    `plane_mm` is how far over the apex the job itself has the focal plane (the strip's own if left out): a head set
    too high opens a seam there by a little more or less than in focus.
    """
    setting = wrong_setting(reading)
    if setting:
        return Diagnosis(setting=setting, causes=(setting,))
    problem = _problem(reading, strip, plane_mm)
    believed = _believed(strip)
    wide = np.hypot(believed, np.append(FAULT_U, np.zeros(len(believed) - len(FAULT_U))))
    # Odd readings are found under the widest belief, so that no good reading is thrown away for being unexpected.
    rough = least_squares_without_odd(problem.design, problem.readings, problem.u, wide)
    # An axis far aside double-marks too, as its square: taken off once, with what the stairs say of it.
    offset = float(rough.values[CAUSES.index("offset")])
    problem = problem._replace(readings=problem.readings - problem.square * offset**2)
    odd = least_squares_without_odd(problem.design, problem.readings, problem.u, wide).odd
    kept = np.setdiff1d(np.arange(len(problem.readings)), odd)
    problem = problem._replace(design=problem.design[kept], readings=problem.readings[kept], u=problem.u[kept])
    weights = _weights(problem, believed)
    best = max(weights, key=lambda faults: weights[faults])
    fit = least_squares(problem.design, problem.readings, problem.u, _allowing(believed, best))
    chances = [sum(w for faults, w in weights.items() if place in faults) for place in range(len(CAUSES))]
    # A width that somebody typed in is looked up at once, and must not go into the factor: it is named early.
    least = [LOOK_UP if cause == "extra-width" else NAMED for cause in CAUSES]
    likely = sorted((p for p in range(len(CAUSES)) if chances[p] >= least[p]), key=lambda p: -chances[p])
    suspects = tuple(_suspect(problem, believed, p, chances[p], best) for p in likely)
    gap_chance = sum(w for faults, w in weights.items() if any(CAUSES[p] in ALIKE for p in faults))
    unsure = gap_chance >= SURE and not any(s.chance >= SURE and s.cause in ALIKE for s in suspects)
    if unsure:
        group = sorted((p for p in range(len(CAUSES)) if CAUSES[p] in ALIKE), key=lambda p: -chances[p])
        named = {s.cause for s in suspects}
        more = [p for p in group[:3] if CAUSES[p] not in named and chances[p] > 0.05]
        suspects += tuple(_suspect(problem, believed, p, chances[p], best) for p in more)
        suspects = tuple(sorted(suspects, key=lambda s: -s.chance))
    return _told(strip, problem, believed, fit, suspects, unsure, tuple(problem.labels[k] for k in odd))


def _problem(reading: StripReading, strip: Strip, plane_mm: float | None) -> _Problem:
    seen = vernier_steps(reading, strip)
    order, stance = strip.order, strip.order.stance
    # A vernier is read where its own ticks stand.
    s = np.array([_where(strip, one) for one in seen])
    sense, over = _sensitive(strip, s)
    r = radius_mm(stance.curve, s)
    slope = np.array([one.slope for one in seen]) * float(radius_mm(stance.curve, stance.centre_s_mm)) / r
    rows = sense.stair - slope[:, None] * sense.gap
    square = -slope * gap_of_offset_mm(order.index_rad, r, 1.0, over, stance.pupil_across_mm)
    # A pupil higher than believed leaves slices wider over the focal plane, narrower under it.
    pupil = slope * r * order.index_rad * over / (stance.pupil_across_mm - over)
    # A seam opens by how much further the motor stood for its right slice than for its left one.
    own, row = np.zeros((len(seen), order.slices)), np.arange(len(seen))
    left = np.array([one.pair for one in seen], int)
    own[row, left] = slope * r
    own[row, left + 1] = -slope * r
    still = np.zeros(1 + order.slices)
    design = np.hstack([rows, pupil[:, None], own])
    readings = np.array([one.step_mm for one in seen])
    u = np.full(len(seen), reading.u_tick_mm)
    labels = [one.label for one in seen]
    lengths = [length for length in (reading.between_mm, reading.between_again_mm) if length is not None]
    if lengths:
        length = np.append(sense.length_share * strip.between_mm, still)
        design = np.vstack([design, length])
        readings = np.append(readings, sum(lengths) / len(lengths) - strip.between_mm)
        u = np.append(u, reading.u_between_mm / math.sqrt(len(lengths)))
        labels.append("the distance between the level lines")
        square = np.append(square, 0.0)
    middle, _ = _sensitive(strip, np.array([stance.centre_s_mm]), plane_mm)
    width = float(radius_mm(stance.curve, stance.centre_s_mm)) * order.index_rad
    return _Problem(design, readings, u, labels, square, np.append(middle.gap[0], still) / width)


def _where(strip: Strip, one: VernierStep) -> float:
    vernier = strip.verniers[one.place]
    return vernier.rising_s_mm if one.slope > 0 else vernier.falling_s_mm


def _sensitive(strip: Strip, s: Floats, plane_mm: float | None = None) -> tuple[Sensitivities, Floats]:
    order, stance = strip.order, strip.order.stance
    r = radius_mm(stance.curve, s)
    _, y, z = place_mm(s, r, order.index_rad / 2, stance.tilt_rad)
    _, y0, z0 = place_mm(stance.centre_s_mm, radius_mm(stance.curve, stance.centre_s_mm), 0.0, stance.tilt_rad)
    over = z - z0 - (stance.plane_mm if plane_mm is None else plane_mm)
    sense = strip_sensitivities(
        order.index_rad, order.file_slice_mm, r, y - y0, over, stance.tilt_rad, stance.pupil_across_mm,
        stance.pupil_along_mm,
    )  # fmt: skip
    return sense, over


def _believed(strip: Strip) -> Floats:
    """What is believed, 1 sigma: of each cause before the strip, of the pupils (share), of each slice's stand [rad]."""
    job, turning = strip.made.job, strip.made.turning
    told, seen = job.tolerances, strip.made.optics
    widest = float(np.max(radius_mm(strip.order.stance.curve, strip.order.stance.curve.s_mm)))
    # A motor stands anywhere within ± its error.
    stand = max(turning.motor_error_mm / widest / math.sqrt(3), 1e-6)
    return np.array(
        [
            max(2 * strip.made.artwork_half_mm, 0.02) / HOLDS_95,
            told.field_scale_share / HOLDS_95,
            max(told.field_scale_share, 0.0005) / HOLDS_95,
            math.hypot(told.focus_mm / HOLDS_95, job.item.runout_mm / 4),
            turning.u_scale,
            1e-6,
            max(abs(job.turning.skew_rad), 1e-4) / HOLDS_95,
            max(abs(job.turning.offset_mm), 0.02) / HOLDS_95,
            max((seen.pupil_high_share - seen.pupil_low_share) / 2 / HOLDS_95, 1e-6),
            *[stand] * strip.order.slices,
        ]
    )


def _allowing(believed: Floats, faults: tuple[int, ...]) -> Floats:
    allowed = believed.copy()
    for place in faults:
        allowed[place] = math.hypot(believed[place], FAULT_U[place])
    return allowed


def _weights(problem: _Problem, believed: Floats) -> dict[tuple[int, ...], float]:
    """How likely each set of up to two faults is, given the readings."""
    sets = [faults for count in range(MOST_FAULTS + 1) for faults in combinations(range(len(CAUSES)), count)]
    odds = math.log(FAULT_CHANCE / (1 - FAULT_CHANCE))
    logs = np.array(
        [
            log_evidence(problem.design, problem.readings, problem.u, _allowing(believed, faults)) + odds * len(faults)
            for faults in sets
        ]
    )
    weights = np.exp(logs - logs.max())
    return dict(zip(sets, (weights / weights.sum()).tolist(), strict=True))


def _suspect(problem: _Problem, believed: Floats, place: int, chance: float, best: tuple[int, ...]) -> Suspect:
    # A cause that is not in the best explanation takes the place of those that a strip can't tell from it.
    rest = [b for b in best if CAUSES[b] not in ALIKE or CAUSES[place] not in ALIKE]
    faults = best if place in best else (place, *rest)
    fit = least_squares(problem.design, problem.readings, problem.u, _allowing(believed, faults))
    value, u = float(fit.values[place]), float(np.sqrt(fit.covariance[place, place]))
    unit, factor = UNITS[place]
    more, less, cure = WORDS[CAUSES[place]]
    shown = unit if unit == "°" else f" {unit}"
    what = (more if value >= 0 else less).format(f"{factor * abs(value):.2g}{shown} (± {factor * u:.1g}{shown})")
    # What is unlikely and yet quickly looked up is no finding.
    likely = "Likely cause" if chance >= LIKELY else "Possible cause, though not likely"
    return Suspect(
        cause=CAUSES[place],
        chance=chance,
        value=value,
        u=u,
        says=f"{likely} (true in {in_ten(chance)} such cases): {what}. What helps: {cure}.",
    )


def _told(
    strip: Strip,
    problem: _Problem,
    believed: Floats,
    fit: Fit,
    suspects: tuple[Suspect, ...],
    unsure: bool,
    odd: tuple[str, ...],
) -> Diagnosis:
    stance = strip.order.stance
    width = float(radius_mm(stance.curve, stance.centre_s_mm)) * strip.order.index_rad
    scale = float(problem.gap_row @ fit.values)
    u_scale = float(np.sqrt(problem.gap_row @ fit.covariance @ problem.gap_row))
    place = {cause: k for k, cause in enumerate(CAUSES)}
    skew, offset = float(fit.values[place["skew"]]), float(fit.values[place["offset"]])
    u_skew = float(np.sqrt(fit.covariance[place["skew"], place["skew"]]))
    # Between any two slices the motor may slip anew; no correction takes that away.
    slip = math.sqrt(2) * float(believed[-1]) * float(radius_mm(stance.curve, stance.centre_s_mm))
    before = abs(scale) * width + HOLDS_95 * math.hypot(u_scale * width, slip)
    after = HOLDS_95 * math.hypot(u_scale * width, slip)
    causes = [suspect.says for suspect in suspects]
    if unsure:
        causes.append("At a seam all these causes look the same. The correction makes up for any of them.")
    drive = strip.made.job.turning
    noted = all(tick.steps for tick in drive.ticks)
    if drive.kind == "rollers" and not noted and any(suspect.cause == "diameter" for suspect in suspects):
        causes.append(TURN_AGAIN)
    if not suspects:
        causes.append("Nothing is wrong: readings like yours are usual.")
    helps = f"{1000 * after:.0f}" != f"{1000 * before:.0f}"
    turned = ""
    if abs(skew) > 2 * u_skew:
        jump_um = 1000 * abs(float(skew_stair_mm(width, skew)))
        turned = f" and turns it {math.degrees(abs(skew)):.2f}° {'anti' * (skew > 0)}clockwise"
        turned += f". Then lines no longer jump by {jump_um:.0f} µm at seams"
    wide = f"{abs(100 * scale):.2f} % {'wider' if scale > 0 else 'narrower'}"
    size = wide if abs(scale) >= 5e-5 else "as wide as before"
    advice = (
        f"Once this reading is saved, rotary makes each slice {size} (± {100 * u_scale:.2f} %){turned}. "
        f"Between slices as wide as in this test ({width:.3g} mm) the gap or overlap is {'then ' * helps}at most "
        f"{1000 * after:.0f} µm on 19 of 20 items"
        + (f" (now {1000 * before:.0f} µm)." if helps else ", with this reading or without.")
    )
    return Diagnosis(
        suspects=suspects,
        alike=unsure,
        scale_share=scale,
        u_scale_share=u_scale,
        turn_rad=skew,
        u_turn_rad=u_skew,
        offset_mm=offset,
        after_per_mm=HOLDS_95 * u_scale,
        focus_u_mm=float(np.sqrt(fit.covariance[place["focus"], place["focus"]])),
        odd=odd,
        causes=tuple(causes),
        advice=advice,
        left_out=tuple(
            f"One reading does not fit the others, so rotary left it out: {label}. Read it again." for label in odd
        ),
    )


def strip_result(found: Diagnosis, item: str, drawn_with: Correction, at: datetime) -> StripResult:
    """What is kept of a diagnosis: the whole correction, with what the strip was drawn with already.

    Rounded a thousand times finer than a strip can be read: what is left of a sum that should be nothing is no angle.
    """
    return StripResult(
        at=at,
        item=item,
        scale_share=round(drawn_with.scale_across * (1 + found.scale_share) - 1, KEPT_DECIMALS) + 0.0,
        u_scale_share=found.u_scale_share,
        turn_rad=round(drawn_with.turn_rad + found.turn_rad, KEPT_DECIMALS) + 0.0,
        u_turn_rad=found.u_turn_rad,
        u_focus_mm=found.focus_u_mm,
        says=" ".join(s.cause for s in found.suspects),
    )
