"""Pieces of a job on the item: from which line they are counted, which way round, how far apart."""

import shutil
from math import degrees, pi, radians, sin
from pathlib import Path
from typing import Any

import ezdxf
import matplotlib
import numpy as np
import pytest

from rotary.artwork.models import Piece
from rotary.artwork.pieces import ink_of
from rotary.artwork.rings import Rings, area_mm2
from rotary.artwork.turn import once_round
from rotary.artwork.wall import on_wall
from rotary.errors import Refused
from rotary.job import Job, job_from_file
from rotary.plan import plan
from rotary.shipped import examples

FLAG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="4mm" height="4mm" viewBox="0 0 4 4"><path d="M0 0h4L0 4z"/></svg>'
)


def shown(tmp_path: Path, pieces: list[dict[str, Any]], **changes: dict[str, Any]) -> tuple[Rings, Any]:
    """Ink on the wall, angle from the item's front by height over the foot, and what is told of it."""
    (tmp_path / "flag.svg").write_text(FLAG, "utf-8")
    sections: dict[str, dict[str, Any]] = {
        "item": {
            "name": "cone",
            "measurements": [{"at_mm": 0, "across_mm": 80.0}, {"at_mm": 100, "across_mm": 60.0}],
        },
        "turning": {"kind": "chuck", "axis_height_mm": 100.0, "gear_ratio": 4.0, "levelled": True},
        "laser": {
            "name": "laser", "rated_power_w": 30.0, "largest_pulse_mj": 1.0, "lowest_frequency_khz": 30.0,
            "highest_frequency_khz": 100.0, "focal_length_mm": 254.0, "field_mm": 150.0,
        },
        "artwork": {
            "name": "flags", "width_mm": 70 * pi, "height_mm": 60.0, "centre_mm": 50.0, "full_wrap": True,
            "centre_angle_rad": 0.5, "pieces": pieces,
        },
    }  # fmt: skip
    for name, change in changes.items():
        sections[name] = sections[name] | change
    made = plan(Job.model_validate(sections), draws=0)
    job, shape = made.job, made.shape
    found = ink_of(made.ground, tmp_path)
    wall = on_wall(found.composition.ink, job.artwork.surface_map, shape.curve, made.layout.centre_mm)
    wall = once_round(wall)
    return Rings(wall.points_mm + np.array([job.artwork.centre_angle_rad, 0.0]), wall.offsets), found.composition


def middles_rad(wall: Rings) -> np.ndarray:
    """Middle of each ring's angles, rising, within half a turn."""
    middles = [
        (part[:, 0].min() + part[:, 0].max()) / 2 for part in np.split(wall.points_mm, wall.offsets[1:-1].tolist())
    ]
    return np.sort((np.array(middles) + pi) % (2 * pi) - pi)


@pytest.mark.parametrize(("asked", "times"), [({}, 1.0), ({"width_mm": 40.3}, 2.0), ({"height_mm": 20.3}, 2.0)])
def test_an_open_line_is_marked_as_wide_as_asked_for(tmp_path: Path, asked: dict[str, float], times: float) -> None:
    """An L of two lines, 20 and 10 mm long, keeps the line's width at its own size, and larger."""
    document = ezdxf.new("R2010", units=4)
    document.modelspace().add_lwpolyline([(0, 10), (0, 0), (20, 0)])
    document.saveas(tmp_path / "line.dxf")
    _, told = shown(tmp_path, [{"file": "line.dxf", "line_width_mm": 0.3, **asked}])
    # Half a round at each end; at the corner a quarter of a round takes the place of a quarter of a square.
    ends_and_corner = pi * 0.15**2 + (pi / 4 - 1) * 0.15**2
    assert area_mm2(told.ink) == pytest.approx(30 * times * 0.3 + ends_and_corner, rel=0.01)


@pytest.mark.parametrize("surface_map", ["true-width", "with-taper"])
@pytest.mark.parametrize("centre", [30.0, 70.0])
def test_repeats_stand_evenly_on_a_cone_at_every_height(tmp_path: Path, surface_map: str, centre: float) -> None:
    """Seven flags are a seventh of a turn apart on the item itself, wide end or narrow."""
    piece = {"file": "flag.svg", "width_mm": 6.0, "centre_mm": centre, "repeat": 7, "angle_rad": 0.1}
    wall, told = shown(tmp_path, [piece], artwork={"surface_map": surface_map})
    around = middles_rad(wall)
    assert len(around) == 7
    gaps = np.diff(around, append=around[0] + 2 * pi)
    assert gaps == pytest.approx(np.full(7, 2 * pi / 7), abs=1e-5)
    assert np.min(np.abs(around - 0.6)) < 2e-3
    assert not told.notes


@pytest.mark.parametrize(
    ("angle_from", "line"), [("artwork", 0.5), ("front", 0.0), ("handle", radians(150)), ("weld-line", radians(-100))]
)
def test_a_piece_is_counted_from_its_line_and_to_the_right(tmp_path: Path, angle_from: str, line: float) -> None:
    """Twenty degrees from the artwork's middle, the front, the handle or the weld line is there, to the right."""
    piece = {"file": "flag.svg", "width_mm": 6.0, "centre_mm": 50.0, "angle_from": angle_from, "angle_rad": 0.35}
    item = {
        "handle": {"angle_rad": radians(150), "width_rad": 0.2, "reach_mm": 20.0, "from_mm": 90.0, "to_mm": 99.0},
        "weld_line": {"angle_rad": radians(-100), "width_mm": 2.0},
    }
    wall, _ = shown(tmp_path, [piece], item=item)
    assert degrees(middles_rad(wall)[0]) == pytest.approx(degrees((line + 0.35 + pi) % (2 * pi) - pi), abs=0.05)


POST = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 2 20"><path d="M1 0L2 1V19L1 20L0 19V1z"/></svg>'
BELLY = [{"at_mm": s, "across_mm": 60 + 16 * np.sin(pi * s / 100)} for s in (0.0, 20.0, 40.0, 60.0, 80.0, 100.0)]


@pytest.mark.parametrize(
    ("surface_map", "measurements"),
    [("true-width", None), ("true-width", BELLY), ("with-taper", None), ("label", None)],
)
@pytest.mark.parametrize("angle", [-1.4, 0.0, 1.4])
def test_a_piece_beside_the_middle_stands_upright(
    tmp_path: Path, surface_map: str, measurements: list[dict[str, float]] | None, angle: float
) -> None:
    """A post at the side of a cone or belly has its middle at one angle from foot to top: it does not lean."""
    (tmp_path / "post.svg").write_text(POST, "utf-8")
    item = {} if measurements is None else {"measurements": measurements}
    artwork = {"surface_map": surface_map, "full_wrap": False, "width_mm": 120.0, "height_mm": 44.0}
    piece = {"file": "post.svg", "height_mm": 20.0, "centre_mm": 50.0, "angle_rad": angle}
    wall, _ = shown(tmp_path, [piece], item=item, artwork=artwork)
    around, height = wall.points_mm.T
    for low, high in ((-10.0, -9.0), (-3.0, 3.0), (9.0, 10.0)):
        here = around[(height - 50 >= low - 0.2) & (height - 50 <= high + 0.2)]
        if len(here) > 1:
            assert (here.min() + here.max()) / 2 == pytest.approx(0.5 + angle, abs=2e-3)


@pytest.mark.parametrize("mirror", [False, True])
def test_a_mirrored_piece_has_its_upright_side_on_the_right(tmp_path: Path, mirror: bool) -> None:
    """The flag's pole is on its left, seen from outside with the rim up; mirrored, on its right."""
    wall, _ = shown(tmp_path, [{"file": "flag.svg", "width_mm": 8.0, "centre_mm": 50.0, "mirror": mirror}])
    angle, height = wall.points_mm.T
    foot = angle[np.argmin(height)]
    assert (foot > 0.5) == mirror
    # The top side is the wide one: nothing stands on its head.
    assert np.ptp(angle[height > height.max() - 0.01]) > 0.2


def test_the_texts_of_a_drawing_are_set_in_the_font_that_is_given_with_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A family that is not at hand is told; with the piece's own font of that name it is set in that one."""
    monkeypatch.setattr("rotary.artwork.fonts._system_faces", lambda _family: ())
    drawing = '<svg width="20mm" height="9mm"><text y="8" font-family="{}">Heron</text></svg>'
    (tmp_path / "name.svg").write_text(drawing.format("DejaVu Serif"), "utf-8")
    fonts = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    shutil.copy(fonts / "DejaVuSerif.ttf", tmp_path / "serif.ttf")
    ground = plan(job_from_file(examples()["regatta-bottle"]), draws=0).ground
    without, given = (
        ink_of(ground._replace(artwork=ground.artwork.model_copy(update={"pieces": (piece,)})), tmp_path)
        for piece in (Piece(file="name.svg"), Piece(file="name.svg", font="serif.ttf"))
    )
    assert [one.times for one in without.unread] == [5]
    assert "marked in Noto Sans" in str(without.unread[0])
    assert given.unread == ()
    assert area_mm2(without.composition.ink) != pytest.approx(area_mm2(given.composition.ink), rel=1e-3)


def test_ink_on_the_weld_line_is_told_with_its_area(tmp_path: Path) -> None:
    """A flag across the weld line: what is told is the zone's width times the ink's mean height there."""
    item = {"weld_line": {"angle_rad": 0.5, "width_mm": 1.0}}
    piece = {"file": "flag.svg", "width_mm": 8.0, "centre_mm": 50.0}
    wall, told = shown(tmp_path, [piece], item=item, artwork={"surface_map": "with-taper"})
    assert area_mm2(wall) > 0
    [overlap] = told.overlaps
    assert overlap.zone == "weld line"
    assert overlap.area_mm2 == pytest.approx(1.0 * 4.0, rel=0.02)


@pytest.mark.parametrize("surface_map", ["true-width", "with-taper"])
@pytest.mark.parametrize(("angle_rad", "told_there"), [(2.1, False), (1.4, True), (1.4 - 2 * pi, True)])
def test_a_weld_line_bends_with_a_bellied_wall(
    tmp_path: Path, surface_map: str, angle_rad: float, told_there: bool
) -> None:
    """On flat artwork the line's ends lie nearer to the middle than its own middle does; ink between them is told only
    where it lies on the line itself, and by the line's true width there."""
    item = {
        "measurements": [{"at_mm": s, "across_mm": 40.0 + 40.0 * sin(pi * s / 100)} for s in range(0, 101, 10)],
        "weld_line": {"angle_rad": angle_rad, "width_mm": 1.0},
    }
    piece = {"text": "I", "letter_height_mm": 10.0, "weight": 900, "angle_rad": 1.4, "angle_from": "front"}
    frame: dict[str, Any] = {"width_mm": 140.0, "height_mm": 20.0, "full_wrap": False, "centre_angle_rad": 0.0}
    frame["surface_map"] = surface_map
    _, told = shown(tmp_path, [piece], item=item, artwork=frame)
    assert bool(told.overlaps) == told_there
    if told_there:
        assert told.overlaps[0].area_mm2 == pytest.approx(10.0, rel=0.03)


def test_ink_on_the_handle_is_told_with_its_area(tmp_path: Path) -> None:
    """A band all round at the handle's height: the handle's share of the turn is told."""
    item = {"handle": {"angle_rad": 2.0, "width_rad": 0.3, "reach_mm": 20.0, "from_mm": 84.0, "to_mm": 99.0}}
    band = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 4"><path d="M0 2L1 0H199L200 2L199 4H1z"/></svg>'
    (tmp_path / "band.svg").write_text(band, "utf-8")
    piece = {"file": "band.svg", "width_mm": 100.0, "height_mm": 4.0, "centre_mm": 86.0, "angle_rad": 1.5}
    artwork = {"surface_map": "with-taper", "height_mm": 64.0}
    try:
        _, told = shown(tmp_path, [piece], item=item, artwork=artwork)
    except Refused as refusal:
        pytest.fail(str(refusal.faults))
    [overlap] = told.overlaps
    slant = np.hypot(1.0, 0.1)
    assert overlap.area_mm2 == pytest.approx(0.3 * 35.0 * (2.0 + 2.0 * slant), rel=0.03)


def test_repeats_of_a_front_view_are_refused(tmp_path: Path) -> None:
    """Seen from the front nothing goes evenly round."""
    with pytest.raises(Refused) as refused:
        shown(
            tmp_path,
            [{"file": "flag.svg", "width_mm": 6.0, "repeat": 3}],
            artwork={"surface_map": "front-view", "full_wrap": False, "width_mm": 40.0},
        )
    assert refused.value.faults[0].where == "artwork.pieces.0.repeat"
