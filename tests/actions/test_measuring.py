"""The height that is asked for: where it lies, what it brings, and when nobody is asked."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from rotary.actions.build import actions_of
from rotary.actions.measurements import places_to_measure
from rotary.artwork.layout import Artwork
from rotary.item import Item, Measurement, fitted_shape
from rotary.job import Job
from rotary.plan import Plan, plan
from rotary.sentences.standing import step_text
from rotary.tolerances import Tolerances
from rotary.turning.models import Chuck
from tests.formulas.test_meridian import blind_wall
from tests.setups import shipped_heads

LONG_MM = 112.0


def bellied(heights: list[float], wall: Callable[[np.ndarray], np.ndarray], **more: Any) -> Plan:
    """The plan of an invented vase of that wall, artwork over its middle half."""
    places = tuple(Measurement(at_mm=at, across_mm=2 * float(wall(np.array(at)))) for at in heights)
    item = Item(name="Vase", measurements=places, heights_from=more.pop("heights_from", "base"))
    job = Job(
        item=item,
        turning=Chuck(axis_height_mm=100, gear_ratio=4),
        laser=shipped_heads()["fibre-60w-254"],
        artwork=Artwork(width_mm=50, height_mm=56, centre_mm=LONG_MM / 2),
        tolerances=Tolerances(incidence_rad=0.9, **more),
    )
    return plan(job, draws=0)


def belly(at: np.ndarray) -> np.ndarray:
    return np.asarray(30 + 13 * np.sin(np.pi * at / LONG_MM))


def test_a_belly_of_four_places_asks_for_its_middle_and_what_that_brings_holds() -> None:
    """The widest gap in the artwork is asked for; measured there, the shape is known as well as was promised."""
    made = bellied([0, 37, 75, LONG_MM], belly)
    place = places_to_measure(made)
    assert place is not None
    assert place.at_mm[0] == pytest.approx(56, abs=3)
    assert place.then_mm < 0.5 * place.now_mm
    then = bellied(sorted([0, 37, 75, LONG_MM, *place.at_mm]), belly)
    heights = np.linspace(28, 84, 97)
    assert 2 * float(then.shape.radius_half_mm(heights).max()) == pytest.approx(place.then_mm, rel=0.35)
    assert np.abs(then.shape.radius_mm(heights) - belly(heights)).max() < place.then_mm / 2
    assert then.split.slice_width_mm > made.split.slice_width_mm


def test_the_step_says_where_and_what_it_brings_from_the_datum() -> None:
    """From the rim the same height is counted from there; both figures stand in the sentence."""
    made = bellied([0, 37, 75, LONG_MM], lambda at: belly(LONG_MM - at), heights_from="rim")
    place = places_to_measure(made)
    assert place is not None
    step = next(step for step in actions_of(made).steps if step.id == "measure_height")
    assert (step.end, step.value) == ("rim", pytest.approx(place.at_mm[0], abs=0.05))
    assert (step.now, step.then) == (pytest.approx(place.now_mm, abs=1e-3), pytest.approx(place.then_mm, abs=1e-3))
    assert step_text(step).startswith(
        f"Measure the diameters {step.value:g} and {step.also[0]:g} mm from the rim too, for better seams: about "
    )
    assert made.layout.artwork_from_mm <= LONG_MM - place.at_mm[0] <= made.layout.artwork_to_mm


def test_nobody_is_asked_where_nothing_depends_on_it() -> None:
    """Not on a straight cup, not where the seams may show anyway, nor where the person says how well it is known."""
    assert places_to_measure(bellied([0, LONG_MM], lambda at: 40 + 0 * at)) is None
    assert places_to_measure(bellied([0, 37, 75, LONG_MM], belly, diameter_mm=0.1)) is None
    dense = [0, 12, 25, 37, 50, 62, 75, 87, 100, LONG_MM]
    assert places_to_measure(bellied(dense, belly, seam_mm=0.2)) is None


def test_an_edge_that_nobody_marked_is_asked_about() -> None:
    """A bottle whose shoulder is no corner: "is there an edge here?", and with corners no more."""
    places = [(0, 74), (82, 74), (158, 74), (196, 46), (226, 46)]
    asked, told = (
        fitted_shape(
            Item(
                name="Bottle",
                measurements=tuple(
                    Measurement(at_mm=s, across_mm=d, corner=corner and s in (158, 196)) for s, d in places
                ),
            )
        ).doubts
        for corner in (False, True)
    )
    assert any(doubt.id == "edge" for doubt in asked)
    assert told == ()


def test_where_an_edge_is_in_doubt_it_is_asked_for_before_any_height() -> None:
    """A vase with a sharp unmarked shoulder: the step names the shoulder, and no figure that nobody could believe."""
    made = bellied([0, 40, 76, 96, LONG_MM], lambda at: np.where(at < 77, 37.0, 23.0))
    assert places_to_measure(made) is not None
    steps = {step.id: step for step in actions_of(made).steps}
    assert "measure_height" not in steps
    assert steps["edge_here"].value in (76, 96)
    assert step_text(steps["edge_here"]).startswith(f"Is there an edge {steps['edge_here'].value:g} mm from the base?")


@pytest.mark.slow
def test_two_places_that_are_asked_for_bring_the_shape() -> None:
    """On blind walls of four places, measured where the range is widest, the median error falls fourfold."""
    random = np.random.default_rng(4)
    before, after = [], []
    for _ in range(200):
        wall = blind_wall(random)
        heights = [0.0, wall.long / 3, 2 * wall.long / 3, wall.long]
        t = np.linspace(0.2, 0.8, 97) * wall.long
        errors = []
        for _ in range(3):
            measurements = tuple(
                Measurement(at_mm=s, across_mm=2 * float(wall.radius(np.array(s / wall.long)))) for s in heights
            )
            shape = fitted_shape(Item(name="x", measurements=measurements, measuring_tolerance_mm=0.1))
            errors.append(float(np.abs(shape.radius_mm(t) - wall.radius(t / wall.long)).max()))
            heights = sorted([*heights, float(t[np.argmax(shape.radius_half_mm(t))])])
        before.append(errors[0])
        after.append(errors[2])
    assert np.median(after) < np.median(before) / 4
