"""After readings a plan stays at settings that they are of, where that costs little: they show what it does."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from rotary.job import Job, job_from_file
from rotary.passes.beliefs.draws import Draws, Geometry, material_for
from rotary.passes.learning.coating import posterior
from rotary.passes.learning.reading import Look, reading_of
from rotary.passes.plan.grid import Grid
from rotary.passes.plan.prospects import _best_geometries
from rotary.passes.plan.removal import removal_plan
from rotary.passes.plan.search import Best, _may_stay
from rotary.passes.plan.setting import Removal
from rotary.setup import setup
from rotary.shipped import examples

FERRULE, BOTTLE = (job_from_file(examples()[name]) for name in ("oar-ferrule", "regatta-bottle"))
BEST = Geometry(200.0, 0.0, 0.015)
"""Where the plans of both stand before any reading."""


def draws(job: Job) -> Draws:
    return material_for(job.item, job.laser, 1000).draws


def plan_after(job: Job, *marked: Geometry) -> Removal:
    """With readings of these settings that taught nothing."""
    return removal_plan(setup(job), 1000, replace(draws(job), marked=frozenset(marked)))


def lies_at(steps: Removal) -> Geometry:
    assert steps.setting is not None
    return Geometry(steps.setting.pulse_width_ns, steps.setting.defocus_mm, steps.setting.line_spacing_mm)


def test_a_plan_stays_at_settings_that_were_marked() -> None:
    """At another focus the ferrule comes out clean as often: with readings there it is marked there."""
    other = Geometry(200.0, 10.5, 0.04)
    here, there = plan_after(FERRULE), plan_after(FERRULE, other)
    assert (lies_at(here), lies_at(there)) == (BEST, other)
    assert there.chance_with_looks == pytest.approx(here.chance_with_looks, abs=0.05)
    assert lies_at(plan_after(FERRULE, other, BEST)) == BEST


def test_a_plan_leaves_marked_settings_that_take_much_longer() -> None:
    """Far out of focus the bottle takes five times as long, for a chance that is hardly another."""
    assert lies_at(plan_after(BOTTLE, Geometry(200.0, 18.5, 0.06))) == BEST


def test_marked_settings_are_looked_at_from_farther_below() -> None:
    """Ten focuses are looked at, and none that is worth much less; what was marked is, as far as 0.18 below."""
    focuses = np.arange(13.0)
    one = np.ones(13)
    every = Grid(one, one, one, one, one, focuses)
    worths = np.array([[0.8 - 0.005 * at for at in range(11)] + [0.65, 0.6]])
    marked = frozenset(Geometry(200.0, at, 1.0) for at in (10.0, 11.0, 12.0))

    def looked_at(marked: frozenset[Geometry]) -> list[int]:
        return [at for _, at in _best_geometries(every, worths, [200.0], marked)]

    assert looked_at(frozenset()) == [*range(10)]
    assert looked_at(marked) == [*range(12)]


@pytest.mark.parametrize(
    ("stays", "best", "may"),
    [
        ((0.73, 140.0, 10.0), (0.8, 120.0, 10.0), True),
        ((0.71, 140.0, 10.0), (0.8, 120.0, 10.0), False),
        ((0.80, 151.0, 10.0), (0.7, 149.0, 10.0), False),
        ((0.80, 159.0, 10.0), (0.8, 160.0, 10.0), True),
        ((0.80, 161.0, 10.0), (0.8, 160.0, 10.0), False),
        ((0.80, 140.0, 19.0), (0.8, 140.0, 10.0), True),
        ((0.80, 140.0, 21.0), (0.8, 140.0, 10.0), False),
    ],
)
def test_the_walls_wish_comes_before_what_was_marked(
    stays: tuple[float, ...], best: tuple[float, ...], may: bool
) -> None:
    """Worth, wall [degC] and time [s] of a ladder at marked settings and of the best, with a wish of 150 degC."""

    def ladder(worth: float, wall_c: float, time_s: float) -> Best:
        parts: Any = (None, SimpleNamespace(wall_c=wall_c, time_s=time_s), SimpleNamespace(worth=worth))
        return Best(*parts)

    how: Any = SimpleNamespace(wish_c=150.0)
    assert _may_stay(ladder(*stays), ladder(*best), how) is may


def test_marked_is_what_this_laser_marked_on_this_metal() -> None:
    """Another laser's settings, or what another metal shows, are no reason to stay."""
    steps = removal_plan(setup(FERRULE))
    assert steps.setting is not None
    here = reading_of(FERRULE, steps.setting, Look("clear", "2026-05-01"))
    moved = here.model_copy(update={"number": 2, "defocus_mm": here.defocus_mm + 1})
    others = [
        moved.model_copy(update={"laser": "another laser"}),
        moved.model_copy(update={"number": 3, "metal": "aluminium"}),
    ]
    found = posterior(FERRULE.item, FERRULE.laser, [here, *others], 100)
    assert found is not None
    assert found.draws.marked == {lies_at(steps)}
    assert found.before.marked == frozenset()
