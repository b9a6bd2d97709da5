"""Random drawings of crossing, touching and doubled shapes: what comes out is always a proper region.

``FUZZ=1000`` in the environment tries so many.
"""

import os
from random import Random

import pytest

from rotary.artwork.read import read_artwork
from rotary.artwork.rings import area_mm2, ring_areas_mm2, shapely_from_rings
from rotary.errors import Refused

TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
# Few different numbers, so that edges lie on each other and corners touch.
NUMBERS = ["0", "10", "5.5", "-3", "100", "1e2", ".5", "50", "50", "20", "80"]


def random_path(draw: Random) -> str:
    data = "M50 20"
    for _ in range(draw.randint(1, 14)):
        letter = draw.choice("MmLlHhVvCcSsQqTtAaZz")
        values = [draw.choice(NUMBERS) for _ in range(TAKES[letter.upper()])]
        if letter in "Aa":
            values[3:5] = draw.choices("01", k=2)
        data += letter + " ".join(values)
    return data


def random_drawing(seed: int) -> bytes:
    draw = Random(seed)
    body = ""
    for _ in range(draw.randint(1, 6)):
        body += (
            f'<path d="{random_path(draw)}" fill="{draw.choice(["#000", "#fff", "none"])}" '
            f'fill-rule="{draw.choice(["evenodd", "nonzero"])}" stroke="{draw.choice(["none", "#000", "#fff"])}" '
            f'stroke-width="{draw.choice([0, 1, 7])}" stroke-linejoin="{draw.choice(["miter", "round", "bevel"])}" '
            f'stroke-linecap="{draw.choice(["butt", "round", "square"])}" '
            f'stroke-dasharray="{draw.choice(["none", "3 2", "7"])}" '
            f'transform="{draw.choice(["", "scale(.5)", "skewX(30)", "rotate(30)", "matrix(1 0 0 -1 0 90)"])}"/>'
        )
    return f'<svg width="100mm" height="100mm" viewBox="0 0 100 100">{body}</svg>'.encode()


@pytest.mark.slow
@pytest.mark.parametrize("block", range(int(os.environ.get("FUZZ", "50")) // 25))
def test_rings_never_cross_and_areas_add_up(block: int) -> None:
    """Of any drawing the rings are valid polygons, none a sliver, and their signed areas sum to the region's."""
    inked = 0
    told: set[str] = set()
    for seed in range(25 * block, 25 * block + 25):
        try:
            ink = read_artwork(random_drawing(seed)).ink
        except Refused as refused:
            told.add(str(refused).split(";")[0])
            continue
        shape = shapely_from_rings(ink)
        assert shape.is_valid, seed
        assert shape.area == pytest.approx(area_mm2(ink), rel=1e-9)
        assert abs(ring_areas_mm2(ink)).min() > 1e-9
        inked += 1
    assert inked > 10
    assert all("nothing dark" in each or "nothing to mark" in each or "dark all over" in each for each in told), told


@pytest.mark.parametrize("seed", [2533, 2608, 2647, 2838, 2961])
def test_knots_of_rounding_are_untied(seed: int) -> None:
    """Shapes laid over themselves a hair turned, edge almost on edge, still make a region."""
    draw = Random(seed)
    edges = "".join(f"L{draw.choice(NUMBERS)} {draw.choice(NUMBERS)}" for _ in range(60))
    turned = "".join(f'<path transform="rotate({k * 1e-7})" d="M50 50{edges}z" fill-rule="evenodd"/>' for k in range(3))
    ink = read_artwork(f'<svg width="100mm" height="100mm" viewBox="0 0 100 100">{turned}</svg>'.encode()).ink
    assert shapely_from_rings(ink).is_valid
