"""Looks: how far they go, and that stopping at the first clear one is judged as a person would fare draw by draw."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary.passes.beliefs.draws import COLUMNS, Draws, coatings, draws_from, known_of, metals
from rotary.passes.plan.looks import cleared_share, each_pass, stop_shares, unmarked_share
from rotary.passes.plan.window import Passes
from tests.stages.test_learning import HEAD, ITEM

METAL, DARK = metals()["stainless-304"], coatings()["polyester-powder-dark"]


def draws(count: int, seed: int = 3) -> Draws:
    places = np.random.default_rng(seed).standard_normal((COLUMNS, count))
    return draws_from(places, known_of(ITEM, METAL, DARK, HEAD))  # type: ignore[arg-type]


def seen(needed: list[float], spare: list[float], log_hits: float = 2.0) -> Passes:
    """Bare a pass before it is clear everywhere."""
    n, s = np.array(needed), np.array(spare)
    return Passes(
        n, np.maximum(n - 1, 0.0), np.full_like(n, np.nan), s, np.full_like(n, log_hits), np.full_like(n, np.inf)
    )


@settings(deadline=None, max_examples=30)
@given(st.lists(st.floats(0.1, 30), min_size=3, max_size=12), st.integers(1, 24))
def test_a_person_stops_at_the_first_clear_look(needed: list[float], most: int) -> None:
    """Walked draw by draw, pass by pass: the same pass; at the last look it is a slope and not a step."""
    looks = each_pass(most)
    cloud = draws(len(needed))
    found = seen(needed, [9.0] * len(needed))
    good, stop = stop_shares(found, cloud, most)
    for at, wants in enumerate(needed):
        clear = [n for n in looks if n >= wants - 1e-9]
        assert stop[at] == (clear[0] if clear else looks[-1])
        assert (good[at] > 0.5) == (looks[-1] + 0.5 > wants)


def test_going_on_longer_than_the_passes_needed_and_thinner_margins_can_only_cost() -> None:
    """Passes on bare metal, or a metal that stands less, lower what each draw says; a look after each pass has none."""
    cloud = draws(400)
    needed = np.random.default_rng(1).uniform(0.5, 12, 400)
    found = seen(list(needed), [0.4] * 400)
    every, stop = stop_shares(found, cloud, 20)
    assert (stop < needed + 1).all()
    for later in (1, 4, 8):
        late = unmarked_share(found, cloud, np.minimum(stop + later, 20)) * cleared_share(found, 20)
        assert (every >= late - 1e-12).all()
    assert (
        unmarked_share(found, cloud, 20) >= unmarked_share(replace(found, spare=found.spare - 0.2), cloud, 20)
    ).all()
    assert (cleared_share(found, 12) * unmarked_share(found, cloud, 12)).max() <= 1


def test_a_look_helps_where_the_number_of_passes_is_not_known() -> None:
    """Draws that need 2 to 16 passes of a metal that stands a few on it: looking is right far more often than any
    fixed number."""
    cloud = replace(draws(600), incubation=np.full(600, 0.8))
    found = seen(list(np.geomspace(1.5, 16, 600)), [0.75] * 600)
    looked, _ = stop_shares(found, cloud, 20)
    fixed = max(float(cloud.weight @ (cleared_share(found, n) * unmarked_share(found, cloud, n))) for n in range(1, 21))
    assert float(cloud.weight @ looked) > fixed + 0.15


def test_what_throws_the_coating_off_is_a_slope_in_fluence() -> None:
    """At the edge one in two, further from it surer, by as much either way; passes change nothing of it."""
    over = np.array([-0.4, -0.15, 0.0, 0.15, 0.4])
    found = replace(seen([1.0] * 5, [9.0] * 5), thrown=over)
    good, stop = stop_shares(found, draws(5), 4)
    assert good[2] == pytest.approx(0.5, abs=0.01)
    assert (np.diff(good) > 0).all()
    assert good + good[::-1] == pytest.approx(np.ones(5), abs=0.01)
    assert (stop == 1).all()
    assert cleared_share(found, 1) == pytest.approx(cleared_share(found, 20))
