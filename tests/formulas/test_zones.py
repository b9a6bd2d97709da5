"""Heights of one focal plane each, against an exact search over every division."""

from itertools import pairwise

import numpy as np
import pytest

from rotary.formulas import focus_budget
from rotary.formulas.focus_budget import LEAST_APART_MM, MOST_ZONES, window_mm, zones

PLACES = 41


def random_band(random: np.random.Generator) -> tuple[np.ndarray, np.ndarray, float]:
    """Apex and slice edge up a wandering wall, and a window that a single place fits into."""
    apex = np.cumsum(np.cumsum(random.normal(0, 0.03, PLACES))) + random.normal(0, 0.2) * np.arange(PLACES)
    edge = apex - random.uniform(0, 0.5) * (1 + 0.2 * np.sin(np.arange(PLACES) / 9))
    steps = np.abs(np.diff(apex)).max() + (apex - edge).max()
    return apex, edge, steps + random.uniform(0, 3)


def ranges(apex: np.ndarray, edge: np.ndarray) -> np.ndarray:
    """From highest apex to lowest edge between any two places (n, n), inf downwards."""
    out = np.full((PLACES, PLACES), np.inf)
    for a in range(PLACES):
        out[a, a:] = np.maximum.accumulate(apex[a:]) - np.minimum.accumulate(edge[a:])
    return out


def exact(widths: np.ndarray, window: float) -> tuple[int, float]:
    """The fewest zones within the window, and the least that the widest of so many can be, over all divisions."""
    count = np.full(PLACES, np.inf)
    count[0] = 0
    for end in range(1, PLACES):
        count[end] = np.where(widths[:end, end] <= window, count[:end], np.inf).min() + 1
    fewest = int(count[-1])
    widest = np.full(PLACES, np.inf)
    widest[0] = 0.0
    for _ in range(fewest):
        widest = np.array([0.0, *(np.maximum(widest[:end], widths[:end, end]).min() for end in range(1, PLACES))])
    return fewest, float(widest[-1])


def test_zones_are_the_fewest_and_the_least_wide(monkeypatch: pytest.MonkeyPatch) -> None:
    """On 1,000 random bands: as few as an exact search finds, the widest of them as narrow as it can be."""
    monkeypatch.setattr(focus_budget, "LEAST_APART_MM", 0.0)
    random = np.random.default_rng(8)
    counts = []
    for _ in range(1000):
        apex, edge, window = random_band(random)
        widths = ranges(apex, edge)
        fewest, widest = exact(widths, window)
        borders = zones(apex, edge, window)
        counts.append(fewest)
        if fewest > MOST_ZONES:
            assert len(borders) - 1 <= MOST_ZONES
            continue
        assert len(borders) - 1 == fewest
        assert max(widths[a, b] for a, b in pairwise(borders)) <= widest + 2e-3
    assert len(set(counts)) > 5


def test_neighbouring_planes_are_worth_setting() -> None:
    """Planes in the middle of neighbouring zones never lie nearer than a lens is set by hand."""
    random = np.random.default_rng(9)
    for _ in range(200):
        apex, edge, window = random_band(random)
        borders = zones(apex, edge, window / 3)
        middles = [apex[a : b + 1].max() + edge[a : b + 1].min() for a, b in pairwise(borders)]
        assert borders[0] == 0
        assert borders[-1] == PLACES - 1
        assert (np.abs(np.diff(middles)) / 2 >= LEAST_APART_MM).all()


def test_the_window_is_what_setting_and_runout_leave() -> None:
    """A room of 2 mm less 0.2 of runout and twice 0.5; at least one setting beside the drop where that leaves none."""
    assert window_mm(2.0, 0.2, 0.5, 0.1) == pytest.approx(0.8)
    assert window_mm(0.4, 0.2, 1.0, 0.1) == pytest.approx(1.1)
