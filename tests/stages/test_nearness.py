"""Which readings are of a setting, and which only teach."""

from collections.abc import Callable

import numpy as np
import pytest

from rotary.job import Job, job_from_file
from rotary.passes.learning import likelihood
from rotary.passes.learning.coating import posterior, with_readings_counted
from rotary.passes.learning.nearness import near_readings
from rotary.passes.learning.reading import Look, Reading, reading_of
from rotary.passes.plan.setting import Removal
from rotary.plan import plan
from rotary.shipped import examples

Change = Callable[[Reading], dict[str, object]]


@pytest.fixture(scope="module")
def bottle() -> Job:
    return job_from_file(examples()["regatta-bottle"])


@pytest.fixture(scope="module")
def steps(bottle: Job) -> Removal:
    return plan(bottle, 100).removal


def reading(job: Job, steps: Removal, outcome: str = "clear", **changed: object) -> Reading:
    """The planned setting as it would be read on a patch, but for what is changed."""
    assert steps.setting is not None
    return reading_of(job, steps.setting, Look(outcome, "2026-05-01")).model_copy(update=changed)  # type: ignore[arg-type]


def near(job: Job, steps: Removal, one: Reading) -> bool:
    assert steps.setting is not None
    return bool(near_readings(steps.setting, steps.passes_at_most, [one], job.item, job.laser))


FAR: dict[str, Change] = {
    "another pulse width": lambda r: {"pulse_width_ns": r.pulse_width_ns * 1.5},
    "another pulse width at the same fluence": lambda r: {"pulse_width_ns": r.pulse_width_ns / 1.1},
    "twice the frequency": lambda r: {"frequency_khz": 2 * r.frequency_khz},
    "twice the frequency, half the energy": lambda r: {
        "frequency_khz": 2 * r.frequency_khz, "energy_mj": r.energy_mj / 2,
    },
    "half the frequency and speed": lambda r: {"frequency_khz": r.frequency_khz / 2, "speed_mm_s": r.speed_mm_s / 2},
    "in focus": lambda _: {"defocus_mm": 0.0},
    "farther out of focus": lambda r: {"defocus_mm": r.defocus_mm + 6.0},
    "a tenth of the energy": lambda r: {"power_share": r.power_share / 10, "energy_mj": r.energy_mj / 10},
    "twice the speed": lambda r: {"speed_mm_s": 2 * r.speed_mm_s},
    "lines twice as far apart": lambda r: {"line_spacing_mm": 2 * r.line_spacing_mm},
    "another lattice of as many pulses": lambda r: {
        "line_spacing_mm": 2 * r.line_spacing_mm, "speed_mm_s": r.speed_mm_s / 2,
    },
    "another lens": lambda r: {"spot_um": 1.6 * r.spot_um, "rayleigh_mm": 2.56 * r.rayleigh_mm},
    "another laser": lambda _: {"laser": "somebody else's"},
    "another metal": lambda _: {"metal": "aluminium"},
    "another coating": lambda _: {"coating": "epoxy-powder"},
}  # fmt: skip


@pytest.mark.parametrize("change", FAR)
def test_a_reading_of_another_setting_is_not_near(bottle: Job, steps: Removal, change: str) -> None:
    """It teaches, through the model, but shows nothing of what is typed."""
    one = reading(bottle, steps)
    assert near(bottle, steps, one)
    assert not near(bottle, steps, one.model_copy(update=FAR[change](one)))


@pytest.mark.parametrize("factor", [0.93, 1.07])
@pytest.mark.parametrize("field", ["energy_mj", "frequency_khz", "speed_mm_s", "line_spacing_mm", "defocus_mm"])
def test_a_few_per_cent_are_the_same_setting(bottle: Job, steps: Removal, field: str, factor: float) -> None:
    """No look tells them apart."""
    one = reading(bottle, steps)
    assert near(bottle, steps, one.model_copy(update={field: getattr(one, field) * factor}))


def test_near_is_what_two_blurred_looks_do_not_tell_apart(bottle: Job, steps: Removal) -> None:
    """In focus that is up to 1.96 times the root of two times the edge's blur, by numbers drawn at random: of two looks
    at places so far apart 95 of 100 differ by less than the same two at one place would at most."""
    assert steps.setting is not None
    sharp = steps.model_copy(update={"setting": steps.setting.model_copy(update={"defocus_mm": 0.0})})
    drawn = np.random.default_rng(1).normal(0.0, likelihood._BLUR_FLUENCE, (2, 200_000))
    widest = float(np.quantile(np.abs(drawn[0] - drawn[1]), 0.95))
    one = reading(bottle, sharp)
    for share, is_near in ((0.97, True), (1.03, False)):
        for sign in (-1, 1):
            energy = one.energy_mj * float(np.exp(sign * share * widest))
            assert near(bottle, sharp, one.model_copy(update={"energy_mj": energy})) is is_near


@pytest.mark.parametrize(
    ("outcome", "early", "late"),
    [
        ("covered", False, True),
        ("haze", True, True),
        ("clear", True, True),
        ("tinted", True, False),
        ("cut", True, False),
    ],
)
def test_a_look_too_early_or_too_late_shows_nothing(
    bottle: Job, steps: Removal, outcome: str, early: bool, late: bool
) -> None:
    """Coating that is left after one pass of many was to be expected, and so was a mark long after the last one."""
    assert steps.setting is not None
    many = steps.model_copy(update={"setting": steps.setting.model_copy(update={"passes": 8}), "passes_at_most": 20})
    for passes, shows in ((1, early), (8, True), (20, True), (60, late)):
        assert near(bottle, many, reading(bottle, many, outcome, passes=passes)) is shows


def test_a_plan_counts_the_readings_that_are_near(bottle: Job, steps: Removal) -> None:
    """One far and one at a rung of the ladder teach; the far one never counts, a look at any rung does."""
    far = reading(bottle, steps, "covered", power_share=0.02, energy_mj=0.02)
    assert plan(bottle, 100, [far]).removal.near_readings == 0
    rung = reading_of(bottle, steps.rung_settings[1], Look("clear", "2026-05-01", number=2))
    assert not near(bottle, steps, rung.model_copy(update={"energy_mj": 2 * rung.energy_mj}))
    after = posterior(bottle.item, bottle.laser, [far, rung], 100)
    taught = with_readings_counted(steps, after, bottle.item, bottle.laser)
    assert (taught.readings, taught.near_readings) == (2, 1)
