"""One letter F, drawn and written in every way, and marked by somebody who does what sheet and screen say.

The person stands in front of the machine: +X to the right, +Y away. Beams fall straight down onto a drum; where they
land, and whether the F can be read there, is found from the written file and the words alone.
"""

import math
import re
from itertools import product
from pathlib import Path
from typing import Any, Final

import ezdxf
import numpy as np
import pytest
import shapely  # type: ignore[import-untyped, unused-ignore]
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from rotary.cli import main
from rotary.job import job_text
from tests.actions.cases import CHUCK, COAT, ROLLERS
from tests.machine.test_literal_resume import RADIUS_MM, RIM, SIDES, job_of, told

Floats = NDArray[np.float64]

F_MM: Final = np.array(
    [(0, 0), (4, 0), (4, 13), (14, 13), (14, 17), (4, 17), (4, 26), (20, 26), (20, 30), (0, 30)], float
)
"""20 mm wide, 30 mm high, y up, its middle at (10, 15)."""
POINTS: Final = {"up": (0, 1), "down": (0, -1), "right": (1, 0), "left": (-1, 0)}
UNITS: Final = {"mm": (4, 1.0), "inch": (1, 1 / 25.4)}


def drawn(kind: str, folder: Path) -> Path:
    path = folder / f"eff.{kind.partition(' ')[0]}"
    if path.suffix == ".dxf":
        code, scale = UNITS[kind.partition(" ")[2]]
        document = ezdxf.new("R2010", units=code)
        document.modelspace().add_lwpolyline((F_MM * scale).tolist(), close=True)
        document.saveas(path)
    elif path.suffix == ".svg":
        points = " ".join(f"{x:g},{30 - y:g}" for x, y in F_MM)
        path.write_text(
            '<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="30mm" viewBox="0 0 20 30">'
            f'<polygon points="{points}"/></svg>'
        )
    else:
        image = Image.new("L", (400, 600), 255)
        ImageDraw.Draw(image).polygon([(x * 20, (30 - y) * 20) for x, y in F_MM], fill=0)
        image.save(path, dpi=(508, 508))
    return path


def svg_ink(path: Path) -> tuple[Any, float, float]:
    """Read as the standard says: from the upper left corner down, in the units of the view box."""
    text = path.read_text("utf-8")
    wide, high = (float(told([text], rf' {side}="([\d.]+)mm"')[1]) for side in ("width", "height"))
    box = [float(one) for one in told([text], r'viewBox="([^"]*)"')[1].split()]
    ink = shapely.Polygon()
    for name, data in re.findall(r'<path id="([^"]+)"[^>]* d="([^"]*)"', text):
        if name == "corner-ticks":
            continue
        for part in re.findall(r"M([^Mz]*)z", data):
            at, points = np.zeros(2), []
            for letter, numbers in re.findall(r"(^|[lL])([^lL]*)", part):
                pairs = np.array(re.findall(r"-?[\d.]+", numbers), float).reshape(-1, 2)
                for pair in pairs:
                    at = at + pair if letter == "l" or (points and not letter) else pair
                    points.append(at)
            ink = ink.symmetric_difference(shapely.Polygon(points))
    mm = wide / box[2]
    from_middle = shapely.transform(ink, lambda xy: np.stack([xy[:, 0] * mm - wide / 2, high / 2 - xy[:, 1] * mm], 1))
    return from_middle, wide, high


def dxf_ink(path: Path) -> tuple[Any, float, float]:
    document = ezdxf.readfile(path)
    assert document.units == 4
    ink, corners = shapely.Polygon(), []
    for line in document.modelspace().query("LWPOLYLINE"):
        points = [(x, y) for x, y, *_ in line.get_points()]
        if line.dxf.layer == "corner-ticks":
            corners += points
        else:
            ink = ink.symmetric_difference(shapely.Polygon(points))
    left, bottom, right, top = shapely.MultiPoint(corners).bounds
    assert (left + right, bottom + top) == pytest.approx((0, 0))
    return ink, right - left, top - bottom


def png_points(path: Path) -> tuple[Floats, float, float]:
    """Middles of black dots: rows from the top down, as every viewer shows them."""
    image = Image.open(path)
    pitch = 25.4 / float(image.info["dpi"][0])
    rows, columns = np.nonzero(np.asarray(image.convert("L")) < 128)
    wide, high = image.width * pitch, image.height * pitch
    return np.stack([(columns + 0.5) * pitch - wide / 2, high / 2 - (rows + 0.5) * pitch], axis=1), wide, high


def points_in(path: Path) -> tuple[Floats, float, float]:
    if path.suffix == ".png":
        return png_points(path)
    ink, wide, high = (svg_ink if path.suffix == ".svg" else dxf_ink)(path)
    grid = np.stack(np.meshgrid(np.arange(-wide / 2, wide / 2, 0.11), np.arange(-high / 2, high / 2, 0.11)), -1)
    grid = grid.reshape(-1, 2)
    return grid[shapely.contains_xy(ink, grid)], wide, high


FRONTS: Final = {
    "opposite its weld line": {"weld_line": {"angle_rad": math.pi, "width_mm": 2.0}},
    "its handle is 20° to the left": {
        "handle": {"angle_rad": math.radians(-20), "width_rad": 0.3, "reach_mm": 15.0, "from_mm": 10.0, "to_mm": 110.0}
    },
}
PLACES: Final = (
    ("base", "chuck", 10.0, "opposite its weld line"),
    ("rim", "rollers", 10.0, "opposite its weld line"),
    ("rim", "chuck", 160.0, "its handle is 20° to the left"),
)
"""The last is on the side opposite a handle."""
WAYS: Final = {
    "drawing, sliced": ("svg", ["slice"]),
    "DXF, sliced": ("dxf mm", ["slice"]),
    "DXF in inches, flat": ("dxf inch", ["flat"]),
    "drawing, sliced as DXF": ("svg", ["slice", "--dxf"]),
    "picture": ("png", ["dots", "--mark", "darker"]),
}


@pytest.mark.parametrize(
    ("way", "lies", "end", "drive", "at_deg", "front"), [(*one, *two) for *one, two in product(WAYS, RIM, PLACES)]
)
def test_the_f_can_be_read_where_it_belongs(
    way: str,
    lies: tuple[str, str],
    end: str,
    drive: str,
    at_deg: float,
    front: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Its middle 42 mm from the end of the heights, so far to the right of the front; upright with end 2 up."""
    kind, command = WAYS[way]
    art = {"name": "eff", "width_mm": 20.0, "height_mm": 30.0, "centre_mm": 42.0}
    lying = {"artwork": art | {"centre_angle_rad": math.radians(at_deg)}}
    turning = CHUCK if drive == "chuck" else ROLLERS | {"centres_mm": 40.0}
    job = job_of(turning, *lies, "flat" if "flat" in command else "sliced")
    data = job.model_dump() | lying
    data["tolerances"]["slice_width_mm"] = 5.0
    data["item"] |= {"heights_from": end, **FRONTS[front]}
    job = type(job).model_validate(data)
    drum, path = str(tmp_path / "drum.toml"), drawn(kind, tmp_path)
    Path(drum).write_text(job_text(job))
    art_of = [str(path)] if kind == "png" else ["--art", str(path)]
    assert main(["art", *command[:1], drum, *art_of, *command[1:], "--to", str(tmp_path / "out")]) == 0
    screen = capsys.readouterr().out
    assert main(["-q", "print", "setup", drum, "--to", str(tmp_path / "a.txt")]) == 0
    sheet = (tmp_path / "a.txt").read_text("utf-8")
    (file,) = [one for one in (tmp_path / "out").iterdir() if one.suffix in (".svg", ".dxf", ".png")]

    points, wide, high = points_in(file)
    measures = told([screen], r"show the (?:whole )?(?:file|picture) as ([\d.]+) × ([\d.]+) mm")
    assert (wide, high) == pytest.approx((float(measures[1]), float(measures[2])), abs=0.002)
    edge = told([sheet], r"side at end 2 must point (\w+): end 2 lies at the (.*?)\.")
    along = np.array(POINTS[edge[1]], float)
    assert SIDES[edge[2]] == POINTS[edge[1]]
    assert tuple(along) == RIM[lies]
    right = np.array([along[1], -along[0]])
    shown = told([screen], r"The program must show (\d+) slices?(?:,| of) (?:each )?([\d.]+) mm")
    count, slice_mm = int(shown[1]), float(shown[2])
    axis = 0 if along[1] else 1
    number = np.floor((points[:, axis] + count * slice_mm / 2) / slice_mm).clip(0, count - 1)
    local = points.copy()
    local[:, axis] -= (number - (count - 1) / 2) * slice_mm
    side = told([sheet], r"The next slice must come up from the (.*?)\.")[1]
    each = float(told([sheet], r"From slice to slice the item must turn ([\d.]+)°")[1])
    # The sheet knows the start of a flat file; that of others is shown with the file, since their slices slide.
    named = f"Turn the item to the start angle that rotary shows when it makes the file (from its front, {front})"
    assert (named in " ".join(sheet.split())) == ("flat" not in command)
    says = [screen if "flat" not in command else sheet]
    start = told(says, r"Turn the item until (?:the place ([\d.]+)° to the (right|left) of its front|its front)")
    start_deg = float(start[1] or 0) * (1 if start[2] == "right" else -1)
    on_top = start_deg + float(right @ np.array(SIDES[side], float)) * (number - (count - 1) / 2) * each
    angle_deg = on_top + np.degrees(np.arcsin(local @ right / RADIUS_MM))
    place = told([sheet], r"Bring the place ([\d.]+) mm from (end 1|end 2) under the middle of the field")
    middle_mm = float(place[1]) if place[2] == "end 1" else 120 - float(place[1])

    # From the F's own lower left corner, as a person sees it with end 2 up.
    x = np.radians((angle_deg - at_deg + 180) % 360 - 180) * RADIUS_MM + 10
    y = middle_mm + local @ along - (42 if end == "base" else 120 - 42) + 15
    eff = shapely.Polygon(F_MM)
    assert shapely.contains_xy(eff.buffer(0.4), x, y).all()
    cells = shapely.box(*np.array([(i, j, i + 1, j + 1) for i in range(20) for j in range(30)], float).T)
    inside = cells[shapely.contains(eff.buffer(1e-9), cells)]
    tree = shapely.STRtree(shapely.points(x, y))
    assert len(np.unique(tree.query(inside, predicate="contains")[0])) == len(inside)


@pytest.mark.parametrize("lies", RIM)
def test_a_picture_of_a_file_per_slice_can_be_read_where_it_belongs(
    lies: tuple[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each file in the field's middle; the item is turned by hand from the slice that is on top at the start."""
    job = job_of(CHUCK, *lies, "sliced")
    data = job.model_dump()
    data["artwork"] |= {"name": "eff", "width_mm": 20.0, "height_mm": 30.0, "centre_mm": 42.0}
    data["tolerances"]["slice_width_mm"] = 5.0
    drum, path = tmp_path / "drum.toml", drawn("png", tmp_path)
    drum.write_text(job_text(type(job).model_validate(data)))
    words = ["art", "dots", str(drum), str(path), "--mark", "darker", "--files", "--to", str(tmp_path / "out")]
    assert main(words) == 0
    screen = " ".join(capsys.readouterr().out.split())
    assert "Turn the item until its front lies under the field's middle." in screen
    on_top = int(told([screen], r"Then slice (\d+) lies under the beam")[1])
    each = float(told([screen], r"From one slice to the next turn the item by ([\d.]+)°")[1])
    side = told([screen], r"farthest left \(rim up\): the next comes up from the (.*?)\.")[1]
    along = np.array(RIM[lies], float)
    right = np.array([along[1], -along[0]])
    eff = shapely.Polygon(F_MM)
    found = []
    for file in (tmp_path / "out").glob("*.png"):
        points, *_ = png_points(file)
        number = int(file.name.rpartition("-slice-")[2].split("-")[0])
        turned = float(right @ np.array(SIDES[side], float)) * (number - on_top) * each
        x = np.radians(turned + np.degrees(np.arcsin(points @ right / RADIUS_MM))) * RADIUS_MM + 10
        found.append(np.stack([x, points @ along + 15], axis=1))
    x, y = np.concatenate(found).T
    assert shapely.contains_xy(eff.buffer(0.4), x, y).all()
    assert np.ptp(x) > 19
    assert np.ptp(y) > 29


@pytest.mark.parametrize("way", ["dots", "slice"])
def test_each_part_of_a_long_taper_is_imported_once(
    way: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The part that was tried in first, second and rest is not imported again, and each file that is named exists."""
    data = job_of(CHUCK, "y", "plus", "sliced").model_dump()
    taper = [{"at_mm": 0, "across_mm": 84.0}, {"at_mm": 120, "across_mm": 66.0}]
    data["item"] |= COAT | {"measurements": taper, "solid": False}
    data["artwork"] |= {"name": "eff", "width_mm": 40.0, "height_mm": 60.0, "centre_mm": 60.0}
    cup, path = tmp_path / "cup.toml", drawn("png" if way == "dots" else "svg", tmp_path)
    cup.write_text(job_text(type(job_of(CHUCK, "y", "plus", "sliced")).model_validate(data)))
    art = [str(path), "--mark", "darker"] if way == "dots" else ["--art", str(path)]
    assert main(["art", way, str(cup), *art, "--to", str(tmp_path / "out")]) == 0
    screen = " ".join(capsys.readouterr().out.split())
    files = {one.name for one in (tmp_path / "out").iterdir()}
    parts = {name for name in files if name.rpartition(".")[0].endswith("-sliced")}
    assert len(parts) > 1
    tried = {told([screen], rf"{what}: import (\S+)\. ")[1] for what in (r"First slice \(slice \d+\)", "All others")}
    assert tried <= files
    (whole,) = {re.sub("-(first|rest)", "-sliced", name) for name in tried}
    others = told([screen], r"Other parts: focus anew for each, import (.*?)\. Type")[1].split(", ")
    assert sorted(others) == sorted(parts - {whole})
    assert len(re.findall(r"For part \d \(files zone-\d\), .*? focus on the apex", screen)) == len(parts)
