"""Speed of slice sheets, side by side with an independent library in one run: `python tests/bench/slicing.py`.

Times are the best of a few runs on the machine at hand; the ratios are what can be compared.
"""

import math
import time
import tracemalloc
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import shapely

from rotary.artwork.cut import slices_between
from rotary.artwork.rings import Rings, area_mm2, bounds_mm, moved, rings_from_list, shapely_from_rings
from rotary.artwork.wall import on_wall
from rotary.artwork.white import ink_profile, slide_into_white
from rotary.formulas.revolution import straight_curve
from rotary.sheet.compose import composition
from rotary.sheet.order import SheetOrder
from rotary.sheet.pages import pages
from rotary.sheet.redraw import Stance
from rotary.sheet.reread import drawing_from_text
from tests.curves import bent_curve

CONE = straight_curve(44.0, -0.06, 150.0)
BELLY = bent_curve([0, 50, 75, 100, 150], [30, 42, 43, 41, 33])


def best_s(task: Callable[[], object], runs: int = 5) -> float:
    """Shortest of a few runs, in time of the processor [s]."""
    times = []
    for _ in range(runs):
        start = time.process_time()
        task()
        times.append(time.process_time() - start)
    return min(times)


def blots(rings: int, points: int, size_mm: float) -> Rings:
    """Wavy rings with a hole each, on a grid."""
    rng = np.random.default_rng(1)
    side = math.ceil(math.sqrt(rings))
    turn = np.linspace(0, 2 * np.pi, points, endpoint=False)
    out = []
    for k in range(rings):
        middle = (np.array([k % side, k // side]) + 0.5) * size_mm / side - size_mm / 2
        size = 0.45 * size_mm / side
        wave = size * (0.7 + 0.25 * np.sin(int(rng.integers(2, 40)) * turn + rng.uniform(0, 6)))
        circle = np.stack([np.cos(turn), np.sin(turn)], 1)
        out += [middle + wave[:, None] * circle, (middle + 0.3 * size * circle)[::-1]]
    return rings_from_list(out)


def slicing() -> None:
    """A million vertices into 64 slices."""
    for rings, points in ((400, 1250), (5000, 100)):
        ink = blots(rings, points, 300.0)
        left, bottom, right, top = bounds_mm(ink)
        cuts = np.linspace(left, right, 65)[1:-1]
        own = best_s(lambda ink=ink, cuts=cuts: slices_between(ink, cuts))  # type: ignore[misc]
        whole = shapely_from_rings(ink)
        edges = [left - 1, *cuts.tolist(), right + 1]
        boxes = [(a, bottom - 1, b, top + 1) for a, b in pairwise(edges)]
        ways = {
            "intersection": lambda whole, box: shapely.intersection(whole, shapely.box(*box)),
            "clip_by_rect": lambda whole, box: shapely.clip_by_rect(whole, *box),
        }
        off = abs(sum(map(area_mm2, slices_between(ink, cuts))) / area_mm2(ink) - 1)
        print(
            f"slice {len(ink.points_mm):,} vertices of {2 * rings:,} rings into 64: {1000 * own:.0f} ms, areas off by "
            f"{off:.0e}"
        )
        for name, way in ways.items():
            theirs = best_s(lambda way=way, whole=whole, boxes=boxes: [way(whole, box) for box in boxes], 2)  # type: ignore[misc]
            print(f"  shapely's {name}: {1000 * theirs:.0f} ms, {theirs / own:.1f} times as long")


def warping() -> None:
    """The surface maps at 5 µm and at 1 µm, every edge verified."""
    ink = blots(400, 1250, 60.0)
    for name, curve in (("cone", CONE), ("belly", BELLY)):
        for surface_map in ("true-width", "with-taper", "label", "front-view"):
            if (name, surface_map) == ("belly", "label"):
                continue
            for tolerance in (0.005, 0.001):
                took = best_s(lambda m=surface_map, c=curve, t=tolerance: on_wall(ink, m, c, 75.0, t), 3)  # type: ignore[misc]
                rate = len(ink.points_mm) / took / 1e6
                print(f"warp {surface_map} on a {name}, {1000 * tolerance:.0f} µm: {rate:.1f} million vertices/s")


def sheet() -> None:
    """Flat rings to SVG text and back: a map of 70,000 vertices, and a million."""
    index = 0.1
    stance = Stance(CONE, 75.0, 0.06, 1.0, 300.0, 285.0)
    order = SheetOrder(
        stance, (), "true-width", 0.0, index, 19, False, 19, 4.6, 66.0, 0.03, 0.08, 0.02, 0.05, "y", "plus"
    )
    for rings, points in ((100, 350), (400, 1250)):
        ink = blots(rings, points, 60.0)

        def draw(ink: Rings = ink) -> str:
            return next(iter(pages(order, composition(order, ink), "one-sheet", "bench")[0].values()))

        drawn = best_s(draw, 3)
        text = draw()
        read = best_s(lambda text=text: drawing_from_text(text), 3)  # type: ignore[misc]
        tracemalloc.start()
        draw()
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        print(
            f"sheet of {len(ink.points_mm):,} vertices: mapped, cut, redrawn, written as {len(text) / 1e6:.1f} MB in "
            f"{1000 * drawn:.0f} ms, read back in {1000 * read:.0f} ms, {peak / ink.points_mm.nbytes:.1f} times the "
            "input's memory"
        )


def sliding() -> None:
    """Where 64 seams cross the least ink of 100,000 vertices."""
    ink = moved(blots(80, 625, 300.0), 0, 0)
    left, _, right, _ = bounds_mm(ink)
    cuts = np.linspace(left, right, 65)[1:-1]
    took = best_s(lambda: slide_into_white(ink_profile(ink), cuts, -2.0, 2.0))
    print(f"slide 64 seams over {len(ink.points_mm):,} vertices: {1000 * took:.0f} ms")


if __name__ == "__main__":
    slicing()
    warping()
    sliding()
    sheet()
