"""A photograph on the item: where its dots land, what its file says, what is refused."""

import math
import struct
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from rotary.artwork.raster_read import picture_from_file
from rotary.errors import NoPlan, Refused
from rotary.examples import BANNER
from rotary.exports import RasterWish, raster_sheet
from rotary.exports.dots import borders
from rotary.exports.landing import landing
from rotary.formulas.maps import MAPS
from rotary.formulas.revolution import radius_mm
from rotary.item import Measurement, fitted_shape
from rotary.job import job_from_file, job_from_text, job_text
from rotary.plan import Plan, plan
from rotary.sheet import SheetWish, order_of, stance_of
from rotary.sheet.redraw import Stance, command_to_hit_mm
from rotary.shipped import examples
from rotary.simulate.rays import RayStand
from rotary.simulate.rays import landing as beam_landing

PLANS = {name: plan(job_from_file(path), 0) for name, path in examples().items()}
FINE = RasterWish(mark="darker", line_mm=0.05, marked_width_mm=0.05, overlap_mm=0.05)


def mapped(name: str, surface_map: str) -> Plan:
    """A shipped job with another surface map, planned; narrower, so that an eye in front sees all of it."""
    job = PLANS[name].job
    lies = {"surface_map": surface_map, "width_mm": 0.8 * job.artwork.width_mm}
    return plan(job.model_copy(update={"artwork": job.artwork.model_copy(update=lies)}), 0)


def picture(path: Path, made: Plan, *spots: tuple[float, float], per_mm: float = 20) -> Path:
    """White, of the artwork's size, with black discs of 1 mm at places (u, v) [mm]."""
    art = made.job.artwork
    wide, high = round(art.width_mm * per_mm), round(art.height_mm * per_mm)
    x, y = (np.arange(wide) + 0.5) / per_mm - wide / per_mm / 2, high / per_mm / 2 - (np.arange(high) + 0.5) / per_mm
    dark = np.zeros((high, wide), bool)
    for u, v in spots:
        dark |= (x - u) ** 2 + (y[:, None] - v) ** 2 < 0.5**2
    Image.fromarray(np.where(dark, 0, 255).astype(np.uint8)).save(path)
    return path


def black_mm(path: Path) -> tuple[np.ndarray, np.ndarray]:
    """Middles of the black dots of a written file, from the page's middle, y up [mm], by its own resolution."""
    with Image.open(path) as image:
        per_mm = image.info["dpi"][0] / 25.4
        black = np.asarray(image.convert("L")) < 128
    row, column = np.nonzero(black)
    high, wide = black.shape
    return (column - (wide - 1) / 2) / per_mm, ((high - 1) / 2 - row) / per_mm


@pytest.mark.slow
@pytest.mark.parametrize("surface_map", ["true-width", "with-taper", "front-view"])
@pytest.mark.parametrize("name", ["regatta-bottle", "bellied-flask", "oar-ferrule"])
def test_dots_land_where_the_map_says(name: str, surface_map: str, tmp_path: Path) -> None:
    """Beams sent numerically from every written dot to the true surface meet it where the map lays the picture."""
    made = mapped(name, surface_map)
    art, shape = made.job.artwork, fitted_shape(made.job.item)
    u, v = 0.3 * art.width_mm, -0.35 * art.height_mm
    drawn, paths = raster_sheet(made, picture(tmp_path / "a.png", made, (u, v)), tmp_path / "out", FINE)
    assert drawn.method == "sliced"
    x, y = black_mm(paths[0])
    column = np.floor(x / drawn.file_slice_mm + drawn.columns / 2)
    in_column = x - (column - (drawn.columns - 1) / 2) * drawn.file_slice_mm
    found = beam_landing(RayStand(*stance_of(made)), in_column, y)
    angle = found.angle_rad + (column - (drawn.columns - 1) / 2) * made.split.index_angle_rad
    s, theta = MAPS[surface_map][0](shape.curve, made.layout.centre_mm, u, v)
    assert found.s_mm.mean() == pytest.approx(float(s), abs=0.02)
    assert angle.mean() * float(radius_mm(shape.curve, s)) == pytest.approx(
        float(theta * radius_mm(shape.curve, s)), abs=0.02
    )
    assert len(x) * drawn.dot_mm**2 == pytest.approx(drawn.marked_mm2)


@pytest.mark.parametrize("name", ["boathouse-mug", "pommel-nut"])
def test_plain_pictures_lie_under_the_head_at_their_own_angle(name: str, tmp_path: Path) -> None:
    """On a plan of plain columns, each place of the flat picture comes on top at the angle the map gives it."""
    made = PLANS[name]
    art, shape = made.job.artwork, fitted_shape(made.job.item)
    u, v = -0.3 * art.width_mm, 0.3 * art.height_mm
    drawn, paths = raster_sheet(made, picture(tmp_path / "a.png", made, (u, v)), tmp_path / "out", FINE)
    assert drawn.method == "flat"
    x, y = black_mm(paths[0])
    s, theta = MAPS[art.surface_map][0](shape.curve, made.layout.centre_mm, u, v)
    assert x.mean() / made.split.file_slice_mm * made.split.index_angle_rad == pytest.approx(float(theta), abs=0.001)
    found = beam_landing(RayStand(*stance_of(made)), 0.0, y.mean())
    assert float(found.s_mm) == pytest.approx(float(s), abs=0.02)


@pytest.mark.parametrize("name", ["regatta-bottle", "bellied-flask"])
@pytest.mark.parametrize("tilt", [-0.1, 0.0, 0.06])
def test_landing_undoes_the_command(name: str, tilt: float) -> None:
    """A command made to hit a place lands there again, tilted or not, on tapered and bellied walls."""
    shape = fitted_shape(PLANS[name].job.item)
    stance = Stance(shape.curve, 75.0, tilt, 6.0, 290.0, 305.0)
    s, angle = np.meshgrid(np.linspace(20, 110, 40), np.linspace(-0.2, 0.2, 9))
    back_s, back_angle = landing(stance, *command_to_hit_mm(stance, angle, s))
    assert np.abs(back_s - s).max() < 1e-6
    assert np.abs(back_angle - angle).max() < 1e-8


@pytest.mark.slow
def test_zones_of_focus_share_the_picture(tmp_path: Path) -> None:
    """Where a wall can't be levelled, each zone's page holds the dots of its own heights, and all of them together."""
    job = PLANS["pommel-nut"].job
    measurements = tuple(Measurement(at_mm=at, across_mm=across) for at, across in ((0.0, 60.0), (80.0, 30.0)))
    made = plan(
        job.model_copy(
            update={
                "item": job.item.model_copy(update={"measurements": measurements, "heights_from": "base"}),
                "artwork": job.artwork.model_copy(
                    update={"width_mm": 20.0, "height_mm": 40.0, "centre_mm": 40.0, "surface_map": "true-width"}
                ),
                "turning": job.turning.model_copy(update={"axis_height_mm": 300.0, "levelled": False}),
                "tolerances": job.tolerances.model_copy(update={"method": "sliced", "slice_width_mm": 3.0}),
            }
        ),
        0,
    )
    assert len(made.focus.refocus) > 1
    spots = [(-4.0, float(v)) for v in range(-18, 19, 4)]
    drawn, paths = raster_sheet(made, picture(tmp_path / "a.png", made, *spots), tmp_path / "out", FINE)
    assert len(paths) == len(made.focus.refocus)
    shape = fitted_shape(made.job.item)
    stance = stance_of(made)
    order = order_of(SheetWish(marked_width_mm=0.05, overlap_mm=0.05), made, 0.05)
    for path, zone in zip(paths, order.zones, strict=True):
        x, y = black_mm(path)
        column = np.floor(x / drawn.file_slice_mm + drawn.columns / 2)
        in_column = x - (column - (drawn.columns - 1) / 2) * drawn.file_slice_mm
        found = beam_landing(RayStand(*stance._replace(plane_mm=zone.plane_mm)), in_column, y)
        assert found.s_mm.min() > zone.from_mm - 0.1
        assert found.s_mm.max() < zone.to_mm + 0.1
        angle = found.angle_rad + (column - (drawn.columns - 1) / 2) * made.split.index_angle_rad
        u = angle * radius_mm(shape.curve, found.s_mm)
        assert np.abs(u + 4).max() < 0.56
    whole = len(spots) * math.pi / 4
    lean = drawn.marked_mm2 / whole
    assert 0.85 < lean < 1.1


def test_a_beam_that_misses_marks_nothing() -> None:
    """Commands beside the item have no landing place."""
    shape = fitted_shape(PLANS["bellied-flask"].job.item)
    s, angle = landing(Stance(shape.curve, 75.0, 0.0, 0.0, 290.0, 305.0), np.array([60.0]), np.array([0.0]))
    assert np.isnan(s).all()
    assert np.isnan(angle).all()


def test_the_file_states_whole_dots_to_the_metre(tmp_path: Path) -> None:
    """The resolution that the file bears is the sheet's own to the digit, one bit a dot, black for marked."""
    drawn, paths = raster_sheet(
        PLANS["regatta-bottle"], picture(tmp_path / "a.png", PLANS["regatta-bottle"], (0, 0)), tmp_path / "out", FINE
    )
    data = paths[0].read_bytes()
    at = data.index(b"pHYs") + 4
    assert struct.unpack(">IIB", data[at : at + 9]) == (drawn.per_metre, drawn.per_metre, 1)
    assert drawn.per_metre == 20_000
    with Image.open(paths[0]) as image:
        assert (image.mode, image.size) == ("1", (drawn.wide_dots, drawn.high_dots))


@pytest.mark.parametrize("name", PLANS)
def test_a_page_never_asks_for_a_column_more(name: str, tmp_path: Path) -> None:
    """The page is no wider than its columns and no more than two dots narrower, so a program counts them right."""
    drawn, _ = raster_sheet(PLANS[name], picture(tmp_path / "a.png", PLANS[name], (0, 0)), tmp_path / "out", FINE)
    short = drawn.columns * drawn.file_slice_mm - drawn.wide_mm
    assert -1e-6 <= short < 2 * 1000 / drawn.per_metre


@pytest.mark.slow
def test_a_file_a_slice_holds_what_one_sheet_holds(tmp_path: Path) -> None:
    """Pages of one size for every inked slice, together as much ink as the sheet to a few dots at the edges."""
    made = PLANS["regatta-bottle"]
    source = picture(tmp_path / "a.png", made, (-9, 5), (3, -7), (20, 2))
    one, _ = raster_sheet(made, source, tmp_path / "one", FINE)
    many, paths = raster_sheet(
        made, source, tmp_path / "many", FINE.model_copy(update={"arrangement": "a-file-a-slice"})
    )
    sizes = set()
    for path in paths:
        with Image.open(path) as image:
            sizes.add(image.size)
    assert len(sizes) == 1
    assert len(paths) > 2
    assert many.marked_mm2 == pytest.approx(one.marked_mm2, rel=0.02)


@pytest.mark.slow
@pytest.mark.parametrize(("axis", "rim"), [("y", "minus"), ("x", "plus"), ("x", "minus")])
def test_the_page_is_turned_and_never_mirrored(axis: str, rim: str, tmp_path: Path) -> None:
    """However the item lies in the field, the page is the same page turned, as the slice sheet turns its rings."""
    made = PLANS["regatta-bottle"]
    source = picture(tmp_path / "a.png", made, (10, 8))
    _, upright = raster_sheet(made, source, tmp_path / "up", FINE)
    text = job_text(made.job)
    lies = plan(
        job_from_text(
            text.replace('field_axis = "y"', f'field_axis = "{axis}"').replace(
                'rim_towards = "plus"', f'rim_towards = "{rim}"'
            )
        ),
        0,
    )
    _, turned = raster_sheet(lies, source, tmp_path / "turned", FINE)
    x, y = (float(v.mean()) for v in black_mm(upright[0]))
    expected = {("y", "minus"): (-x, -y), ("x", "plus"): (y, -x), ("x", "minus"): (-y, x)}[axis, rim]
    assert [float(v.mean()) for v in black_mm(turned[0])] == pytest.approx(expected, abs=0.2)


@pytest.mark.parametrize("tone", ["dots", "greys"])
def test_tones_are_kept_in_light(tone: str, tmp_path: Path) -> None:
    """Of a grey that gives 22 % of the light, 22 % of the area is marked where marks are lighter, 78 % where darker."""
    made = PLANS["pommel-nut"]
    Image.new("L", (750, 200), 128).save(tmp_path / "a.png")
    share = picture_from_file(tmp_path / "a.png").tones[0, 0] / 65_535
    assert share == pytest.approx(0.2158, abs=0.0005)
    wish = FINE.model_copy(update={"tone": tone})
    lighter, _ = raster_sheet(made, tmp_path / "a.png", tmp_path / "l", wish.model_copy(update={"mark": "lighter"}))
    darker, _ = raster_sheet(made, tmp_path / "a.png", tmp_path / "d", wish)
    # Columns of whole motor cycles may reach beyond the picture, and what lies there is never marked.
    area = lighter.picture_wide_mm * lighter.picture_high_mm
    assert lighter.marked_mm2 / area == pytest.approx(share, abs=0.01)
    assert darker.marked_mm2 / area == pytest.approx(1 - share, abs=0.01)


@pytest.mark.parametrize("width", [0.05, 0.12, 0.3])
def test_dots_are_no_finer_than_the_spot(width: float, tmp_path: Path) -> None:
    """Marked runs within a row are at least as wide as a line, but where a slice's border cuts them."""
    made = PLANS["pommel-nut"]
    Image.new("L", (750, 200), 60).save(tmp_path / "a.png")
    wish = FINE.model_copy(update={"marked_width_mm": width, "overlap_mm": width, "mark": "lighter"})
    drawn, paths = raster_sheet(made, tmp_path / "a.png", tmp_path / "out", wish)
    assert width <= drawn.dot_mm + 1e-9 < width + 0.05 + 1e-6
    with Image.open(paths[0]) as image:
        black = np.asarray(image.convert("L")) < 128
    ends = np.diff(np.pad(black, ((0, 0), (1, 1))).astype(int), axis=1)
    runs = np.nonzero(ends == -1)[1] - np.nonzero(ends == 1)[1]
    touches = np.nonzero(ends == -1)[1] == black.shape[1]
    assert runs[~touches].min() * 0.05 >= width - 1e-9


def test_a_coating_that_says_nothing_is_asked_about(tmp_path: Path) -> None:
    """On bare metal nobody knows beforehand whether a mark is lighter: one question, with what to write."""
    source = picture(tmp_path / "a.png", PLANS["pommel-nut"], (0, 0))
    with pytest.raises(Refused, match="add --mark lighter or --mark darker"):
        raster_sheet(PLANS["pommel-nut"], source, tmp_path / "out")
    assert raster_sheet(PLANS["boathouse-mug"], source, tmp_path / "out")[0].mark in {"lighter", "darker"}


@pytest.mark.slow
def test_plain_areas_are_refused(tmp_path: Path) -> None:
    """A white or black picture marks nothing, or everything: both are said, and nothing is written."""
    made = PLANS["regatta-bottle"]
    for grey, mark, says in (
        (0, "lighter", "nothing"),
        (255, "darker", "nothing"),
        (255, "lighter", "all of this"),
        (0, "darker", "all of this"),
    ):
        Image.new("L", (800, 600), grey).save(tmp_path / "a.png")
        with pytest.raises(Refused, match=says):
            raster_sheet(made, tmp_path / "a.png", tmp_path / "out", FINE.model_copy(update={"mark": mark}))
    assert not (tmp_path / "out").exists()


def test_the_picture_itself_is_never_written_over(tmp_path: Path) -> None:
    """Even where it was a sheet of ours, of the name that the sheet would bear: the new one is named after it."""
    made = PLANS["pommel-nut"]
    drawn, _ = raster_sheet(made, picture(tmp_path / "a.png", made, (0, 0)), tmp_path / "out", FINE)
    source = picture(tmp_path / drawn.files[0], made, (0, 0))
    before = source.read_bytes()
    again, _ = raster_sheet(made, source, tmp_path, FINE)
    assert again.files == ("a-flat-flat.png",)
    assert source.read_bytes() == before


@pytest.mark.slow
def test_work_can_be_watched_and_stopped(tmp_path: Path) -> None:
    """Progress only rises; whoever stops it finds nothing written."""
    made = PLANS["regatta-bottle"]
    source = picture(tmp_path / "a.png", made, (0, 0))
    seen: list[float] = []
    raster_sheet(made, source, tmp_path / "out", FINE, seen.append)
    assert seen == sorted(seen)
    assert seen[0] == 0
    assert 0.5 < seen[-1] <= 1

    class Stopped(Exception):  # noqa: N818
        pass

    def stop(share: float) -> None:
        if share > 0.5:
            raise Stopped

    with pytest.raises(Stopped):
        raster_sheet(made, source, tmp_path / "stopped", FINE, stop)
    assert not (tmp_path / "stopped").exists()


def test_a_sheet_of_too_many_dots_is_refused(tmp_path: Path) -> None:
    """A line every 5 µm on a bottle is more than any program opens; the sentence says what to write."""
    made = PLANS["regatta-bottle"]
    source = picture(tmp_path / "a.png", made, (0, 0))
    with pytest.raises(Refused, match="million dots"):
        raster_sheet(
            made, source, tmp_path / "out", FINE.model_copy(update={"line_mm": 0.005, "marked_width_mm": 0.005})
        )


def test_a_column_too_narrow_for_its_slice_is_refused(tmp_path: Path) -> None:
    """Where a plan's columns can't hold a slice as it must be drawn, the sentence says by how much."""
    made = PLANS["regatta-bottle"]
    narrow = made.model_copy(
        update={"split": made.split.model_copy(update={"file_slice_mm": made.split.file_slice_mm * 0.7})}
    )
    with pytest.raises(NoPlan, match="too wide for a slice width"):
        raster_sheet(narrow, picture(tmp_path / "a.png", made, (0, 0)), tmp_path / "out", FINE)


@pytest.mark.slow
def test_importing_loads_no_picture_library() -> None:
    """Picture, drawing and geometry libraries are loaded when a file is read or written, not before."""
    late = ("PIL", "ezdxf", "shapely")
    code = f"import rotary.exports, sys; print([m for m in {late} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=200)
    assert done.stdout.strip() == "[]"


@pytest.mark.slow
def test_what_must_be_seen_is_told(tmp_path: Path) -> None:
    """The size, the columns and the angle on top stand in the list for the card."""
    made = PLANS["regatta-bottle"]
    drawn, (path, *_) = raster_sheet(made, picture(tmp_path / "a.png", made, (0, 0)), tmp_path / "out", FINE)
    typed = made.split.unreal()
    assert len(typed) == 1
    assert {f"{typed[0]}.", f"{BANNER}."} <= set(drawn.notes)
    assert typed[0].encode() in path.read_bytes()
    told = " ".join(drawn.must_show)
    assert f"{drawn.wide_mm:.3f} × {drawn.high_mm:.3f} mm" in told
    assert f"{drawn.columns} slices" in told
    assert drawn.middle_rad == 0
    assert "Turn the item until its front lies under" in told


@pytest.mark.slow
def test_a_picture_of_too_few_dots_is_warned_of_first(tmp_path: Path) -> None:
    """At 60 dots an inch a dot is 0.42 mm: a face of 40 dots is 17 mm wide. At 20 dots a mm nothing is said."""
    made = PLANS["regatta-bottle"]
    coarse, fine = (
        raster_sheet(made, picture(tmp_path / f"{per}.png", made, (0, 0), per_mm=per), tmp_path / f"o{per}", FINE)[0]
        for per in (60 / 25.4, 20)
    )
    assert coarse.notes[0].startswith("The picture has too few dots: each would be 0.42 mm wide")
    assert "less than about 17 mm wide can't be recognised" in coarse.notes[0]
    assert not any("too few dots" in note for note in fine.notes)


def test_a_column_of_dots_stays_as_far_inside_its_slice_as_a_slit_asks_for() -> None:
    """Half a slit of 0.4 mm on the wall at either border: sent through the head, the dots there land so far inside."""
    made = PLANS["regatta-bottle"]
    order, index = order_of(SheetWish(), made, 0.05), made.split.index_angle_rad
    lies, head = made.layout, made.job.laser
    open_ = borders(order.stance, lies.artwork_from_mm, lies.artwork_to_mm, index, 0.2, head)
    y = np.linspace(-10, 10, 9)
    for side, x in zip((-1, 1), open_(y), strict=True):
        landed = beam_landing(RayStand(*order.stance), x, y)
        inside = (index / 2 - side * landed.angle_rad) * radius_mm(order.stance.curve, landed.s_mm)
        assert inside == pytest.approx(np.full(9, 0.2), abs=2e-3)
