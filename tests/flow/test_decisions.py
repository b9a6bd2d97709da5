"""The decisions taken for each shipped job, each with the reason of its number; a changed one says why it mattered.

Where a short formula gives the number, it is worked out here once more from the job file's own figures, by another way
than the plan's. What comes of many draws (chances, temperatures) is held within what other draws would move it.
"""

import math
from collections import Counter
from collections.abc import Callable
from functools import cache
from typing import Any, NamedTuple

import numpy as np
import pytest

from rotary.job import job_from_file
from rotary.passes.plan.removal import choice, removal
from rotary.plan import Plan, plan
from rotary.setup import setup
from rotary.shipped import examples

NAMES = sorted(examples())
COATED = ("bellied-flask", "boathouse-mug", "heron-cup", "oar-ferrule", "regatta-bottle")
BARE = ("brass-nut", "domed-nut", "pommel-nut")
CHANCE = 0.04
"""What another thousand draws move a chance by."""


@cache
def made(name: str) -> Plan:
    return plan(job_from_file(examples()[name]))


class Decision(NamedTuple):
    """What was decided, how it is read off a plan, what it is, how far it may move, and why it is so."""

    what: str
    of: Callable[[Plan], Any]
    value: Any
    why: str
    within: float = 0.0

    def changed(self, one: Plan) -> str:
        """The decision in a sentence where it is another one now, else nothing."""
        now = self.of(one)
        if isinstance(self.value, (int, float)) and not isinstance(self.value, bool):
            if now == pytest.approx(self.value, abs=max(self.within, 1e-6)):
                return ""
        elif now == self.value:
            return ""
        return f"{self.what}: {self.value} before, {now} now. It was so because {self.why}."


def _laser(field: str) -> Callable[[Plan], Any]:
    return lambda one: getattr(one.removal.setting, field)


def _split(field: str) -> Callable[[Plan], Any]:
    return lambda one: getattr(one.split, field)


def _removal(field: str) -> Callable[[Plan], Any]:
    return lambda one: getattr(one.removal, field)


def _rungs(one: Plan) -> tuple[int, ...]:
    return tuple(round(100 * rung.power_share) for rung in one.removal.rungs)


def laser(power: float, rate: float, pulse: float, speed: float, hatch: float, defocus: float, why: str) -> list[Any]:
    """The controls of the laser, which are one decision: the best of one search."""
    keyed = {
        "power_share": power,
        "frequency_khz": rate,
        "pulse_width_ns": pulse,
        "speed_mm_s": speed,
        "line_spacing_mm": hatch,
    }
    return [Decision(name, _laser(name), value, why) for name, value in (keyed | {"defocus_mm": defocus}).items()]


def slicing(method: str, slices: int, steps: int, governing: str, why: str) -> list[Any]:
    """The split, one decision: how the artwork is divided and what keeps it from being divided less."""
    keyed = {"method": method, "slices": slices, "steps": steps, "governing": governing}
    return [Decision(name, _split(name), value, why) for name, value in keyed.items()]


COOL_WALL = (
    "the highest frequency, half millimetres of focus and line spacing at which a ladder that is worth within 0.03 of "
    "the best keeps the wall at 150 °C"
)
LADDER = "powers 15 % apart, a look after every pass, from half of the setting's own up"
NO_TINT = "a slice cools well enough between passes that fewer than one plan in a hundred needs a rest"
END = "where one more pass would mark four times what it cleans: a marked item costs 0.25 clean ones"
SO_MANY = "so many are expected, one more for each look at what is still coated"
CUTS = "bare metal is cut in focus at four fifths of the power, a joule a square millimetre and pass: common practice"

WHOLE = (
    "all seams within 50 µm are asked for, where once a single one had to be within 25; "
    "slices are whole cycles of the motor; "
)
STOPS = "what the motor's stops alone open no width can cure, so they set none"

DECISIONS: dict[str, list[Any]] = {
    "bellied-flask": [
        *slicing(
            "sliced",
            13,
            192,
            "seam_sheet",
            WHOLE + "between six places the belly's diameter is known to 0.8 mm: 11 slices would open",
        ),
        *laser(0.16, 20, 200, 800, 0.04, 10.5, COOL_WALL),
        Decision("rungs", _rungs, (16, 18, 21, 24, 28), LADDER),
        Decision("passes", _laser("passes"), 10, SO_MANY),
        Decision("pause_s", _laser("pause_s"), 5.0, "at the slowest frequency the wall needs a rest besides"),
        Decision("order", _removal("order"), "slice-by-slice", "all round the small flask would warm as a whole"),
        Decision("at most", _removal("passes_at_most"), 20, END, 1),
        Decision("chance", _removal("chance_with_looks"), 0.33, "the coating's threshold is known to a factor", CHANCE),
        Decision("wall [°C]", _removal("wall_c_95"), 147, "the wish is 150 °C: powder is cured near 180", 6),
        Decision("levelled", lambda one: one.focus.levelled, False, "a shim would leave half of the climb of a belly"),
        Decision("heights", lambda one: len(one.focus.refocus), 0, "0.94 mm of climb stays inside the budget"),
    ],
    "boathouse-mug": [
        *slicing("flat", 13, 256, "seam_plain", WHOLE + "flat columns close as well as a sheet on a straight wall"),
        *laser(0.57, 25, 100, 2000, 0.08, 9.0, "one pulse throws a light coating off whole: few passes, a wide spot"),
        Decision(
            "rungs", _rungs, (57, 65, 75, 80), "one pass a rung: what it does not throw off, more of the same won't"
        ),
        Decision("passes", _laser("passes"), 3, SO_MANY),
        Decision("pause_s", _laser("pause_s"), 0.0, NO_TINT),
        Decision("order", _removal("order"), "slice-by-slice", "it is the quicker order without rests"),
        Decision("at most", _removal("passes_at_most"), 4, END, 1),
        Decision("chance", _removal("chance_with_looks"), 0.241, "whether it lifts or ablates is not known", CHANCE),
        Decision("wall [°C]", _removal("wall_c_95"), 72, "few passes on half a millimetre, each over a wide slice", 10),
        Decision("levelled", lambda one: one.focus.levelled, False, "a straight mug in a chuck lies level"),
        Decision("heights", lambda one: len(one.focus.refocus), 0, "its apex line does not climb"),
    ],
    "brass-nut": [
        *slicing("flat", 7, 1088, "seam_plain", WHOLE + "5 slices would open the seams of a nut of 22 mm"),
        *laser(0.80, 25, 100, 800, 0.03, 0.0, CUTS),
        Decision("passes", _laser("passes"), 14, "40 µm at 2.8 µm a pass"),
        Decision("pause_s", _laser("pause_s"), 0.0, "a solid nut sinks the heat"),
        Decision("depth [µm]", _removal("depth_um_50"), 39.3, "14 passes of what a joule takes off brass", 2),
        Decision("wall [°C]", _removal("wall_c_95"), 39, "brass reflects most of the beam and conducts the rest", 5),
        Decision("heights", lambda one: len(one.focus.refocus), 0, "its apex line does not climb"),
    ],
    "domed-nut": [
        *slicing("sliced", 7, 1024, "seam_sheet", WHOLE + "the wall curves: flat columns would need twice as many"),
        *laser(0.80, 25, 100, 800, 0.03, 0.0, CUTS),
        Decision("passes", _laser("passes"), 10, "no depth is asked for: ten, and measure"),
        Decision("pause_s", _laser("pause_s"), 0.0, "a solid nut sinks the heat"),
        Decision("depth [µm]", _removal("depth_um_50"), 27.8, "ten passes of what a joule takes off steel", 2),
        Decision("wall [°C]", _removal("wall_c_95"), 115, "18 mm of stainless steel conducts little", 12),
        Decision("levelled", lambda one: one.focus.levelled, False, "no tilt levels a dome"),
        Decision("heights", lambda one: len(one.focus.refocus), 0, "0.14 mm of dome stays inside the budget"),
    ],
    "heron-cup": [
        *slicing("sliced", 9, 448, "seam_sheet", "flat columns fit one height of a taper only; 80 µm are asked for"),
        *laser(0.16, 20, 200, 800, 0.04, 10.5, COOL_WALL),
        Decision("rungs", _rungs, (16, 18, 21, 24, 28), LADDER),
        Decision("passes", _laser("passes"), 10, SO_MANY),
        Decision("pause_s", _laser("pause_s"), 0.0, "all round each slice cools while the others are marked"),
        Decision("order", _removal("order"), "all-round", "the chuck finds its place again, and no rest costs time"),
        Decision("at most", _removal("passes_at_most"), 20, END, 1),
        Decision("chance", _removal("chance_with_looks"), 0.42, "the coating's threshold is known to a factor", CHANCE),
        Decision("wall [°C]", _removal("wall_c_95"), 143, "the wish is 150 °C: powder is cured near 180", 5),
        Decision("levelled", lambda one: one.focus.levelled, True, "its chuck tilts"),
        Decision("heights", lambda one: len(one.focus.refocus), 0, "levelled, the apex line does not climb"),
    ],
    "oar-ferrule": [
        *slicing(
            "sliced",
            5,
            576,
            "seam_sheet",
            WHOLE + "flat columns fit one height of a taper only; two places tell 0.12 mm of it",
        ),
        *laser(
            0.54, 40, 200, 1600, 0.04, 10.5, "aluminium stands more than steel: the quickest of the good, start low"
        ),
        Decision("rungs", _rungs, (54, 62, 72, 83, 95), LADDER),
        Decision("passes", _laser("passes"), 5, SO_MANY),
        Decision("pause_s", _laser("pause_s"), 0.0, "1.5 mm of aluminium carry the heat away"),
        Decision("order", _removal("order"), "slice-by-slice", "it is the quicker order without rests"),
        Decision("at most", _removal("passes_at_most"), 21, END, 1),
        Decision(
            "chance", _removal("chance_with_looks"), 0.63, "the best of the shipped: aluminium is patient", CHANCE
        ),
        Decision("wall [°C]", _removal("wall_c_95"), 37, "1.5 mm of aluminium carry the heat away", 8),
        Decision("levelled", lambda one: one.focus.levelled, False, "the job does not tilt the mandrel"),
        Decision("heights", lambda one: len(one.focus.refocus), 0, "0.72 mm of climb stays inside the budget"),
    ],
    "pommel-nut": [
        *slicing("flat", 7, 832, "seam_plain", WHOLE + "5 slices would open the seams of a nut of 22 mm"),
        *laser(0.80, 25, 100, 800, 0.03, 0.0, CUTS),
        Decision("passes", _laser("passes"), 10, "no depth is asked for: ten, and measure"),
        Decision("pause_s", _laser("pause_s"), 0.0, "a solid nut sinks the heat"),
        Decision("depth [µm]", _removal("depth_um_50"), 27.8, "ten passes of what a joule takes off steel", 2),
        Decision("wall [°C]", _removal("wall_c_95"), 117, "22 mm of stainless steel conduct little", 12),
        Decision("heights", lambda one: len(one.focus.refocus), 0, "its apex line does not climb"),
    ],
    "regatta-bottle": [
        *slicing(
            "sliced",
            15,
            320,
            "seam_sheet",
            "less defocus, less shift at the seam; flat columns fit one height of a taper only; " + WHOLE + STOPS,
        ),
        *laser(0.16, 20, 200, 800, 0.04, 10.5, COOL_WALL),
        Decision("rungs", _rungs, (16, 18, 21, 24, 28), LADDER),
        Decision("passes", _laser("passes"), 10, SO_MANY),
        Decision("pause_s", _laser("pause_s"), 8.0, "the source goes no slower than 20 kHz, and the wall needs a rest"),
        Decision("order", _removal("order"), "slice-by-slice", "rollers creep: a second turn lands beside the first"),
        Decision("all round", _removal("time_all_round_s"), None, "nobody is to be tempted by a time all round"),
        Decision("at most", _removal("passes_at_most"), 20, END, 1),
        Decision(
            "chance", _removal("chance_with_looks"), 0.42, "a focus set with a gauge block helps a little", CHANCE
        ),
        Decision("wall [°C]", _removal("wall_c_95"), 145, "the wish is 150 °C: powder is cured near 180", 5),
        Decision("levelled", lambda one: one.focus.levelled, True, "rollers lie on the bed and can be shimmed"),
        Decision(
            "shim [mm]", lambda one: one.focus.shim_mm, -20.2, "the wall's slope over 150 mm, and the cradle's", 0.1
        ),
        Decision("heights", lambda one: len(one.focus.refocus), 0, "levelled, the apex line does not climb"),
    ],
}

ALWAYS = [
    ("stop", "enclosure"), ("warn", "fire"), ("warn", "tape"), ("warn", "turning"), ("note", "eyes"), ("note", "eyes"),
    ("note", "rules"), ("note", "turning"),
]  # fmt: skip
"""Enclosure, fire, tape, a dry turn, the figures, the pointer, local rules, what the drive does: with every job."""
STEEL = [("warn", "fumes"), ("note", "corrosion")]
POWDER = [("warn", "fumes"), ("warn", "fumes"), ("warn", "vessel")]
CAUTIONS: dict[str, tuple[list[tuple[str, str]], str]] = {
    "bellied-flask": ([*STEEL, *POWDER, ("stop", "eyes")], "steel under powder coat, a vessel, no eyewear entered"),
    "boathouse-mug": (
        [*STEEL, *POWDER, ("warn", "eyes"), ("warn", "eyes"), ("warn", "eyes"), ("note", "eyes"), ("warn", "turning")],
        "two pairs whose marks are to be looked at, two lasers in one room, one judged as steady, a handle",
    ),
    "brass-nut": ([("warn", "fumes"), ("note", "heat"), ("stop", "eyes")], "zinc and lead, a solid part, no eyewear"),
    "domed-nut": ([*STEEL, ("note", "heat"), ("stop", "eyes")], "steel, a solid part, no eyewear"),
    "heron-cup": ([*STEEL, *POWDER, ("warn", "eyes")], "steel under powder coat, a vessel, marks to be looked at"),
    "oar-ferrule": ([*POWDER, ("warn", "fire"), ("stop", "eyes")], "powder coat, aluminium dust, no eyewear"),
    "pommel-nut": ([*STEEL, ("note", "heat"), ("stop", "eyes")], "steel, a solid part, no eyewear"),
    "regatta-bottle": ([*STEEL, *POWDER, ("warn", "eyes")], "steel under powder coat, a vessel, marks to be looked at"),
}


def test_every_shipped_job_has_its_decisions_told() -> None:
    """A job that is added comes with the reasons of its numbers."""
    assert sorted(DECISIONS) == sorted(CAUTIONS) == NAMES == sorted(COATED + BARE)


@pytest.mark.parametrize("name", NAMES)
def test_the_decisions_are_those_that_were_reasoned(name: str) -> None:
    """Method, slices, laser, passes, rests, chance, heat, heights: a changed one is named with why it was so."""
    changed = [told for told in (one.changed(made(name)) for one in DECISIONS[name]) if told]
    assert not changed, "\n".join(changed)


@pytest.mark.parametrize("name", NAMES)
def test_every_job_has_the_cautions_that_belong_to_it(name: str) -> None:
    """By level and by what they are about: none lost, none of another job's."""
    own, why = CAUTIONS[name]
    found = Counter((caution.level, caution.about) for caution in made(name).safety.cautions)
    assert found == Counter([*ALWAYS, *own]), why


# Worked out once more, each by a short formula


@pytest.mark.parametrize("name", NAMES)
def test_the_number_of_slices_is_the_least_odd_one_that_the_seams_allow(name: str) -> None:
    """The arc over the widest slice that keeps to all limits which a width can keep to, up to an odd number."""
    one = made(name)
    widest = one.split.plain_widest_mm if one.split.method == "flat" else one.split.sheet_widest_mm
    arc_mm = one.layout.total_angle_rad * one.layout.reference_radius_mm
    step_mm = 2 * math.pi * one.layout.reference_radius_mm / one.turning.steps_per_turn
    # Four full steps are one cycle of a two-phase motor, which one that is not known is taken for.
    cycle = 4 * one.job.turning.microsteps
    assert one.split.steps % cycle == 0
    least = math.ceil(arc_mm / (cycle * step_mm * math.floor(widest / (cycle * step_mm))))
    assert one.split.slices == least + 1 - least % 2
    assert one.split.steps == cycle * math.ceil(arc_mm / one.split.slices / (cycle * step_mm))
    assert one.split.slice_width_mm == pytest.approx(one.split.steps * step_mm)


@pytest.mark.parametrize(
    ("name", "angle"),
    [
        ("regatta-bottle", 80 / (88 - 18 * 0.7) * 2),
        ("boathouse-mug", 60 / 40),
        ("brass-nut", 40 / 11),
        ("pommel-nut", 30 / 11),
        ("oar-ferrule", 24 / (38.1 / 4 + 34 / 4)),
    ],
)
def test_the_angle_that_the_artwork_takes_is_its_width_over_the_radius(name: str, angle: float) -> None:
    """True to width the narrowest height takes the largest angle (the bottle's at 105 mm); with taper the middle."""
    assert made(name).layout.total_angle_rad == pytest.approx(angle, rel=2e-3)


@pytest.mark.parametrize("name", ["brass-nut", "pommel-nut"])
def test_the_seam_of_a_nut_is_the_root_of_the_squares_of_what_is_not_known(name: str) -> None:
    """GUM 5.1.2: diameter ±0.05, height ±1 and half the runout, field ±0.3 %, axis 1 mm aside, two motor stops.

    Seen from a pupil 1.15 times the focal length up; a stop lies within 5 % of a full step (common practice).
    """
    one = made(name)
    pupil, radius = 1.15 * 160, 11.0
    shares = (0.025 / radius, math.hypot(1.0, 0.025) / pupil, 0.003, 1 / (2 * radius**2))
    stops = math.sqrt(2 / 3) * 0.05 * 2 * math.pi / 200 / 4 * radius
    rng = np.random.default_rng(1)

    def worst_mm(width_mm: float, seams: int) -> float:
        """The worst of all seams that 19 of 20 simulated nuts stay under."""
        common = rng.normal(0, width_mm * math.hypot(*shares) / 1.96, (100_000, 1))
        return float(np.quantile(np.abs(common + rng.normal(0, stops, (100_000, seams))).max(axis=1), 0.95))

    split = one.split
    assert split.seam_95_mm == pytest.approx(worst_mm(split.slice_width_mm, split.seams), rel=0.03)
    # Two slices fewer would be wider than 50 µm allow, these are not.
    wider = split.slice_width_mm * split.slices / (split.slices - 2)
    assert split.seam_95_mm <= 0.05 < worst_mm(wider, split.seams - 2)


def test_passes_too_hot_on_the_real_slices_are_chosen_once_more() -> None:
    """The first choice guesses slices of some millimetres. Narrow ones follow each other sooner, on wall that is still
    warm: by that guess the bottle's would be heated past the wish, by the slices as they are it is kept."""
    job = job_from_file(examples()["regatta-bottle"])
    narrow = job.model_copy(update={"tolerances": job.tolerances.model_copy(update={"slice_width_mm": 1.0})})
    one = plan(narrow, draws=200)
    guessed = removal(one, choice(setup(narrow), 200))
    assert one.removal.wall_wish_c is not None
    assert one.split.slice_width_mm < 1.1
    assert guessed.is_too_hot
    assert one.removal.wall_c_95 <= one.removal.wall_wish_c < guessed.wall_c_95
