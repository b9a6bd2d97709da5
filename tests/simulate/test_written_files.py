"""The promise: what is written lands where it should. Random items, heads and artworks, through real files."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from rotary.artwork.rings import Rings, area_mm2, joined, moved, rings_from_shapely
from rotary.errors import Refused
from rotary.job import Job
from rotary.plan import Plan, plan
from rotary.services.files import slice_sheet
from rotary.services.simulation import simulation_of_files
from rotary.sheet import SheetWish

ITEMS = [*range(16), *(pytest.param(seed, marks=pytest.mark.slow) for seed in range(16, 200))]
FLATS = [*range(4), *(pytest.param(seed, marks=pytest.mark.slow) for seed in range(4, 40))]
PLACEMENT_MM = 0.005
SEAM_MM = 0.003


def random_measurements(rng: np.random.Generator, diameter: float, length: float) -> list[dict[str, float]]:
    kind = rng.integers(3)
    if kind == 0:
        half_angle = math.radians(rng.uniform(-15, 15))
        length = min(length, 0.35 * diameter / abs(math.tan(half_angle)))
        return [
            {"at_mm": 0, "across_mm": diameter},
            {"at_mm": length, "across_mm": diameter + 2 * length * math.tan(half_angle)},
        ]
    if kind == 1:
        return [{"at_mm": 0, "across_mm": diameter}, {"at_mm": length, "across_mm": diameter}]
    s = np.linspace(0, length, int(rng.integers(4, 8)))
    belly = rng.uniform(-0.15, 0.15) * np.sin(math.pi * s / length) + rng.uniform(-0.1, 0.1) * s / length
    return [{"at_mm": float(a), "across_mm": float(diameter * (1 + b))} for a, b in zip(s, belly, strict=True)]


def random_job(rng: np.random.Generator) -> dict[str, Any]:
    diameter = float(np.exp(rng.uniform(math.log(8), math.log(120))))
    measurements = random_measurements(rng, diameter, diameter * rng.uniform(0.8, 2.0))
    length = measurements[-1]["at_mm"]
    focal = float(rng.choice([100.0, 160.0, 254.0, 330.0]))
    straight = len(measurements) == 2
    surface_map = str(rng.choice(["true-width", "with-taper", "front-view", "label"][: 4 if straight else 3]))
    smallest = min(s["across_mm"] for s in measurements)
    widest = 0.7 * smallest if surface_map == "front-view" else 2.0 * smallest
    if rng.random() < 0.25:
        drive: dict[str, Any] = {
            "kind": "rollers",
            "axis_height_mm": 150.0,
            "roller_diameter_mm": float(0.3 * smallest),
            "centres_mm": float(0.8 * smallest),
            "gear_ratio": 4.0,
            "controller_field": str(rng.choice(["item-diameter", "roller-diameter"])),
        }
    else:
        drive = {
            "kind": "chuck",
            "axis_height_mm": 200.0,
            "gear_ratio": 4.0,
            "controller_field": str(rng.choice(["item-diameter", "degrees"])),
        }
    drive |= {
        "typed_decimals": 5,
        "levelled": bool(rng.random() < 0.6),
        "rounding": str(rng.choice(["each-index", "absolute", "truncate"])),
    }
    return {
        "item": {
            "name": "random item",
            "heights_from": str(rng.choice(["base", "rim"])),
            "measurements": measurements,
            "runout_mm": 0.1,
        },
        "turning": drive,
        "laser": {
            "name": "random head",
            "rated_power_w": 30.0,
            "largest_pulse_mj": 1.0,
            "lowest_frequency_khz": 30.0,
            "highest_frequency_khz": 100.0,
            "focal_length_mm": focal,
            "field_mm": 0.65 * focal,
            "lens": str(rng.choice(["f-theta", "f-theta", "telecentric"])),
            "field_axis": str(rng.choice(["y", "x"])),
            "rim_towards": str(rng.choice(["plus", "minus"])),
        },
        "artwork": {
            "name": "random artwork",
            "width_mm": float(rng.uniform(0.2, 1.0) * widest),
            "height_mm": float(min(rng.uniform(0.3, 0.6) * length, 0.45 * focal)),
            "centre_mm": length / 2,
            "centre_angle_rad": float(rng.uniform(-1, 1)),
            "surface_map": surface_map,
        },
        "tolerances": {"method": "sliced", "seam_mm": float(rng.choice([0.025, 0.06]))},
    }


def random_ink(rng: np.random.Generator, width: float, height: float) -> Rings:
    """Discs with holes, bars and polygons, as one region inside the artwork's box."""
    shapes = []
    for _ in range(int(rng.integers(3, 10))):
        x, y = rng.uniform(-0.5, 0.5) * width, rng.uniform(-0.5, 0.5) * height
        size = rng.uniform(0.1, 0.4) * min(width, height)
        kind = rng.integers(3)
        if kind == 0:
            disc = shapely.Point(x, y).buffer(size, quad_segs=64)
            shapes.append(disc - shapely.Point(x, y).buffer(size * rng.uniform(0.2, 0.8), quad_segs=64))
        elif kind == 1:
            shapes.append(shapely.box(x - 2 * size, y - 0.2 * size, x + 2 * size, y + 0.2 * size))
        else:
            turns = np.sort(rng.uniform(0, 2 * math.pi, 5))
            shapes.append(shapely.Polygon(np.stack([x + size * np.cos(turns), y + size * np.sin(turns)], 1)).buffer(0))
    box = shapely.box(-width / 2, -height / 2, width / 2, height / 2)
    return rings_from_shapely(shapely.union_all(shapes) & box)


def planned(seed: int) -> tuple[Plan, Rings, np.random.Generator]:
    """The first random job from this seed on that has a plan: some ask for what no lens can do."""
    rng = np.random.default_rng(seed)
    for _ in range(20):
        asked = random_job(rng)
        ink = random_ink(rng, asked["artwork"]["width_mm"], asked["artwork"]["height_mm"])
        try:
            return plan(Job.model_validate(asked), draws=0), ink, rng
        except Refused:
            continue
    raise AssertionError("twenty random jobs in a row without a plan")


EXTREMES: dict[str, dict[str, Any]] = {
    "a pin of 3 mm": {
        "item": {"measurements": [{"at_mm": 0, "across_mm": 3.0}, {"at_mm": 40, "across_mm": 3.0}]},
        "artwork": {"width_mm": 6.0, "height_mm": 10.0, "centre_mm": 20.0},
    },
    "a drum of 400 mm": {
        "item": {"measurements": [{"at_mm": 0, "across_mm": 400.0}, {"at_mm": 200, "across_mm": 400.0}]},
        "turning": {"axis_height_mm": 400.0},
        "artwork": {"width_mm": 300.0, "height_mm": 120.0, "centre_mm": 100.0},
    },
    "a cone of 40 degrees": {
        "item": {"measurements": [{"at_mm": 0, "across_mm": 120.0}, {"at_mm": 40, "across_mm": 120 - 80 * 0.8390996}]},
        "artwork": {"width_mm": 60.0, "height_mm": 30.0, "centre_mm": 20.0, "surface_map": "label"},
    },
    "no taper, a whole turn": {
        "item": {"measurements": [{"at_mm": 0, "across_mm": 60.0}, {"at_mm": 100, "across_mm": 60.0}]},
        "artwork": {"width_mm": 60 * math.pi, "height_mm": 40.0, "centre_mm": 50.0, "full_wrap": True},
    },
    "a shoulder": {
        "item": {
            "measurements": [
                {"at_mm": 0, "across_mm": 80.0},
                {"at_mm": 60, "across_mm": 80.0, "corner": True},
                {"at_mm": 100, "across_mm": 60.0},
            ]
        },
        "artwork": {"width_mm": 50.0, "height_mm": 40.0, "centre_mm": 60.0},
    },
}


def extreme_job(name: str) -> Job:
    """An item at the end of what can be turned, levelled in a chuck under a long lens."""
    asked: dict[str, Any] = {
        "item": {"name": name, "runout_mm": 0.05},
        "turning": {
            "kind": "chuck", "axis_height_mm": 120.0, "gear_ratio": 4.0, "levelled": True, "typed_decimals": 5,
        },
        "laser": {
            "name": "long lens", "rated_power_w": 30.0, "largest_pulse_mj": 1.0, "lowest_frequency_khz": 30.0,
            "highest_frequency_khz": 100.0, "focal_length_mm": 254.0, "field_mm": 160.0,
        },
        "artwork": {"name": name},
        "tolerances": {"method": "sliced"},
    }  # fmt: skip
    return Job.model_validate({part: asked[part] | EXTREMES[name].get(part, {}) for part in asked})


def landed_true(made: Plan, ink: Rings, folder: Path, wish: SheetWish) -> None:
    """Write, read back, mark: nothing may be farther off than promised, whichever way the program divides."""
    _, paths = slice_sheet(made, ink, folder, wish.model_copy(update={"trial": False}))
    files = paths if wish.arrangement == "one-sheet" else sorted({path.parent for path in paths})
    for file in files:
        will = simulation_of_files(made, file, ink, draws=0)
        assert will.missed_points == 0
        if will.placement_mm is None:
            # A zone inside the ink has no outline of the artwork in it.
            assert will.outline_points == 0
            continue
        assert will.placement_mm <= PLACEMENT_MM
        assert will.missing_mm is not None
        assert will.missing_mm <= PLACEMENT_MM
        assert will.lost_seam_places == 0
        for rule in will.rules:
            assert rule.seam_open_mm is not None, rule
            assert rule.seam_double_mm is not None
            assert max(rule.seam_open_mm, rule.seam_double_mm) <= SEAM_MM, rule


@pytest.mark.parametrize("seed", ITEMS)
def test_what_is_written_lands_where_the_mathematics_says(seed: int, tmp_path: Path) -> None:
    """Read back from the disk and sent through the head onto the true surface, every point is within 5 µm and no
    seam open or doubled by more than 3 µm, whichever way the program divides and rounds."""
    made, ink, rng = planned(seed)
    arrangement = str(rng.choice(["one-sheet", "a-file-a-slice"]))
    wish = SheetWish(arrangement=arrangement, more_columns=int(rng.choice([0, 2])))  # type: ignore[arg-type]
    landed_true(made, ink, tmp_path, wish)


def faceted(seed: int) -> tuple[Plan, Rings, np.random.Generator]:
    """A random bar of three to twelve flats with ink on some of them, as the job above in all else."""
    rng = np.random.default_rng([seed, 1])
    for _ in range(20):
        asked = random_job(rng)
        flats, across = int(rng.integers(3, 13)), float(np.exp(rng.uniform(math.log(6), math.log(80))))
        wide = across * math.tan(math.pi / flats)
        width, length = float(rng.uniform(0.3, 0.98)) * wide, across * float(rng.uniform(0.8, 2.0))
        asked["item"] = {"name": "bar", "flats": flats, "across_flats_mm": across, "length_mm": length}
        # A gear that makes a flat a whole number of steps: what whole steps leave is told, and no fault of the file.
        asked["turning"] = asked["turning"] | {
            "kind": "chuck", "axis_height_mm": 200.0, "controller_field": "degrees", "gear_ratio": float(flats),
        }  # fmt: skip
        for key in ("roller_diameter_mm", "centres_mm"):
            asked["turning"].pop(key, None)
        height = float(min(rng.uniform(0.3, 0.6) * length, 0.45 * asked["laser"]["focal_length_mm"]))
        middle = 2 * math.pi / flats * int(rng.integers(0, flats))
        asked["artwork"] |= {
            "width_mm": width, "height_mm": height, "centre_mm": length / 2, "centre_angle_rad": middle,
        }  # fmt: skip
        which = {0, *rng.integers(-(flats // 2), flats // 2 + 1, 3).tolist()}
        ink = joined(moved(random_ink(rng, width, height), k * wide, 0.0) for k in sorted(which, key=abs)[:3])
        try:
            made = plan(Job.model_validate(asked), draws=0)
        except Refused:
            continue
        if area_mm2(ink) > 0.01:
            return made, ink, rng
    raise AssertionError("twenty random bars in a row without a plan")


@pytest.mark.parametrize("seed", FLATS)
def test_what_is_written_for_flats_lands_on_them_true(seed: int, tmp_path: Path) -> None:
    """On bars of three to twelve flats each flat's ink lies within 5 µm of its place on the true prism."""
    made, ink, rng = faceted(seed)
    landed_true(made, ink, tmp_path, SheetWish(arrangement=str(rng.choice(["one-sheet", "a-file-a-slice"]))))  # type: ignore[arg-type]


@pytest.mark.parametrize("name", sorted(EXTREMES))
@pytest.mark.parametrize("arrangement", ["one-sheet", "a-file-a-slice"])
def test_the_ends_of_what_can_be_turned_land_true_as_well(name: str, arrangement: str, tmp_path: Path) -> None:
    """From a pin of 3 mm to a drum of 400, a steep cone, a full ring, a wall with a corner in it."""
    made = plan(extreme_job(name), draws=0)
    ink = random_ink(np.random.default_rng(7), made.job.artwork.width_mm, made.job.artwork.height_mm)
    landed_true(made, ink, tmp_path, SheetWish(arrangement=arrangement))  # type: ignore[arg-type]
