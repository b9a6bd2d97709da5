"""Speed of reading artwork: rates, and ratios against a plain yardstick measured in the same run.

Usage: python tests/bench/reading.py
"""

import statistics
import time
from collections.abc import Callable
from math import cos, pi, sin

import numpy as np
import shapely

from rotary.artwork.features import features
from rotary.artwork.fill import filled
from rotary.artwork.outline import Polylines, flattened, outline_from
from rotary.artwork.read import read_artwork
from rotary.artwork.text import Lettering, drawing_from_text

SAME = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def median_s(call: Callable[[], object], rounds: int = 7) -> float:
    """Median wall time of a call after one to warm up [s]."""
    call()
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def curves(count: int, size_mm: float) -> None:
    """Flattening of cubic curves at 5 µm against a copy of as many points."""
    draw = np.random.default_rng(1)
    points = draw.uniform(0, size_mm, (3 * count + 1, 2)).ravel().tolist()
    outline = outline_from("M" + "C" * count, points)
    made = len(flattened(outline, SAME, 0.005).points)
    taken = median_s(lambda: flattened(outline, SAME, 0.005))
    source = np.ones((made, 2))
    copied = median_s(lambda: source.copy())
    rate = made / taken / 1e6
    print(
        f"flatten {count:,} curves to {made:,} points: {rate:.1f} M vertices/s; {copied / taken:.2f} of a copy's speed"
    )


def wheel(points: int, wave: float) -> np.ndarray:
    """A closed line round (50, 50), waved."""
    t = np.linspace(0, 2 * pi, points, endpoint=False)
    r = 40 + wave * np.sin(97 * t)
    return np.stack([50 + r * np.cos(t), 50 + r * np.sin(t)], axis=1)


def fills() -> None:
    """Filling by a fill rule against the usual repair of the same polygon, a buffer of nothing, which knows no rule."""
    for name, ring in (
        ("one simple ring", wheel(200_000, 3.0)),
        ("a ring that crosses itself", np.concatenate([wheel(50_000, 3.0), wheel(50_000, -3.0)])),
    ):
        lines = Polylines(ring, np.array([0, len(ring)]), np.array([True]))
        ours = median_s(lambda lines=lines: filled(lines, "nonzero"), 3)  # type: ignore[misc]
        polygon = shapely.Polygon(ring)
        theirs = median_s(lambda polygon=polygon: shapely.buffer(polygon, 0), 3)  # type: ignore[misc]
        rate = len(ring) / ours / 1e6
        print(f"fill {name}, {len(ring):,} points: {rate:.2f} M vertices/s; {theirs / ours:.2f} of the repair's speed")


def whole_files() -> None:
    """A small icon, a map of 70,000 vertices, a coat of arms of many layers: from bytes to one region."""
    icon = b'<svg viewBox="0 0 24 24" fill="none" stroke="#000"><path d="M3 12h18M12 3v18"/><circle r="9"/></svg>'
    island = "M" + " ".join(f"{x:.4f},{y:.4f}" for x, y in wheel(70_000, 3.0).tolist()) + "z"
    layers = "".join(
        f'<circle cx="{50 + 30 * cos(i):.3f}" cy="{50 + 30 * sin(1.7 * i):.3f}" r="{1 + i % 7}" '
        f'fill="{"#000" if i % 2 else "#fff"}"/>'
        for i in range(400)
    )
    head = '<svg width="100mm" height="100mm" viewBox="0 0 100 100">'
    for name, data in (
        ("icon", icon),
        ("map of 70,000 vertices", f'{head}<path d="{island}"/></svg>'.encode()),
        ("400 layers, dark and light", f"{head}{layers}</svg>".encode()),
    ):
        print(f"read {name}: {1e3 * median_s(lambda data=data: read_artwork(data), 5):.1f} ms")  # type: ignore[misc]


def words() -> None:
    """A word of ten letters, and what a spot of 50 µm loses of it."""
    lettering = Lettering(text="Boathouses", letter_height_mm=8.0)
    print(f"set a word of ten letters: {1e3 * median_s(lambda: drawing_from_text(lettering)):.1f} ms")
    ink = drawing_from_text(lettering).ink
    print(f"its thin features at 50 µm: {1e3 * median_s(lambda: features(ink, 0.05)):.1f} ms")


if __name__ == "__main__":
    curves(20_000, 20.0)
    curves(200_000, 0.5)
    fills()
    whole_files()
    words()
