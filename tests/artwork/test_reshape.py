"""Rings stay closed, whatever a processor makes of the last digit of a row beside other rows."""

from collections.abc import Callable
from io import StringIO
from math import pi
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
import shapely

from rotary.artwork.compose import Placing, place
from rotary.artwork.drawing import DrawingReading
from rotary.artwork.read import read_artwork
from rotary.artwork.reshape import reshaped, shifted
from rotary.artwork.rings import Rings, area_mm2, rings_from_list, shapely_from_rings, turned
from rotary.artwork.text import Lettering, drawing_from_text
from rotary.artwork.turn import once_round
from rotary.artwork.wall import on_wall
from rotary.formulas import maps
from rotary.formulas.revolution import arc_from_height_mm, height_from_arc_mm
from rotary.inscription.ink import ink_on_end, ink_on_wall
from rotary.inscription.legibility import MarkCheck
from rotary.inscription.sizes import sized_text
from rotary.item import Item
from rotary.wording import InscriptionWish
from tests.artwork.test_pieces import BELLY, POST, shown
from tests.curves import bent_curve

LAST_DIGIT = 2e-14  # what two rows of one sum were seen to differ by, at some tens of millimetres
SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40">%s</svg>'
SLANTED = SVG % '<g transform="skewX(20)"><path d="M5 5h10v9q-5 3-10 0z" stroke="#000" stroke-width="2"/></g>'
HOLED = shapely.Point(3, 2).buffer(5) - shapely.Point(3, 2).buffer(2)


def uneven(points: np.ndarray) -> np.ndarray:
    """A different last digit in each row."""
    return np.asarray(points + LAST_DIGIT * (np.arange(len(points)) % 7)[:, None])


@pytest.fixture
def uneven_rows(monkeypatch: pytest.MonkeyPatch) -> None:
    """No way of changing a shape gives the same for a ring's first and last point."""
    straight = shapely.transform
    monkeypatch.setattr(
        shapely, "transform", lambda shape, put, **how: straight(shape, lambda p: put(uneven(p)), **how)
    )


@pytest.mark.parametrize(
    "shape",
    [
        HOLED,
        shapely.MultiPolygon([HOLED, shapely.box(20, 0, 21, 1)]),
        shapely.MultiPolygon([shapely.Polygon(), shapely.box(20, 0, 21, 1)]),
        shapely.GeometryCollection([shapely.Point(0, 0), HOLED, shapely.LineString([(0, 0), (9, 9)])]),
        shapely.GeometryCollection([HOLED, shapely.MultiPolygon([HOLED])]),
        shapely.Polygon(),
        shapely.MultiPolygon(),
        shapely.GeometryCollection(),
    ],
)
def test_every_ring_closes_though_its_ends_are_put_apart(shape: Any) -> None:
    """Holes, several parts, none, and collections: of one kind and size as before."""
    there = reshaped(shape, lambda points: uneven(points) * 2)
    assert there.geom_type == shape.geom_type
    assert there.area == pytest.approx(4 * shape.area)
    assert shapely.get_num_coordinates(there) == shapely.get_num_coordinates(shape)
    assert shifted(shape, 3.0, -1.0).area == pytest.approx(shape.area)


@pytest.mark.usefixtures("uneven_rows")
def test_without_it_such_a_ring_is_none() -> None:
    """The library refuses a ring whose ends differ in the last digit: the tests below would see one."""
    with pytest.raises(shapely.errors.GEOSException, match="closed"):
        shapely.transform(HOLED, lambda points: points)


def dxf_circle() -> bytes:
    document = ezdxf.new("R2010", units=4)
    document.modelspace().add_circle((5, 5), 40)
    text = StringIO()
    document.write(text)
    return text.getvalue().encode()


@pytest.mark.parametrize(
    "drawn",
    [
        lambda: read_artwork(SLANTED.encode()),
        lambda: read_artwork(SLANTED.encode(), DrawingReading(width_mm=90.0)),
        lambda: read_artwork(dxf_circle(), DrawingReading(width_mm=30.0)),
        lambda: drawing_from_text(Lettering(text="B8%é\nØ", letter_height_mm=5.0)),
        lambda: drawing_from_text(Lettering(text="B8", letter_height_mm=5.0, face="line-sans", line_width_mm=0.3)),
    ],
)
@pytest.mark.usefixtures("uneven_rows")
def test_whatever_is_read_or_set_stays_closed(drawn: Callable[[], Any]) -> None:
    """Slanted lines, files brought to a width, letters set side by side."""
    assert area_mm2(drawn().ink) > 1.0


@pytest.mark.parametrize("placing", [Placing(rotation_rad=0.7, mirror=True), Placing(invert=True, margin_mm=1.0)])
@pytest.mark.usefixtures("uneven_rows")
def test_a_drawing_that_is_placed_stays_closed(placing: Placing) -> None:
    """Turned, mirrored, inverted, sized and set down."""
    drawing = drawing_from_text(Lettering(text="B8", letter_height_mm=5.0))
    sized_so = placing.model_copy(update={"width_mm": 30.0, "u_mm": 17.3})
    assert area_mm2(place(drawing, sized_so)) > 1.0


@pytest.mark.parametrize("surface_map", sorted(maps.MAPS))
@pytest.mark.parametrize("measurements", [None, BELLY])
@pytest.mark.usefixtures("uneven_rows")
def test_pieces_beside_the_middle_stay_closed_in_every_surface_map(
    tmp_path: Path, surface_map: str, measurements: Any
) -> None:
    """Upright on a cone or a belly, turned back on unrolled paper, beside a weld line."""
    if surface_map == "label" and measurements:
        pytest.skip("paper does not lie flat on a belly")
    (tmp_path / "post.svg").write_text(POST, "utf-8")
    item: dict[str, Any] = {"weld_line": {"angle_rad": 0.2, "width_mm": 2.0}}
    item |= {} if measurements is None else {"measurements": measurements}
    artwork = {"surface_map": surface_map, "full_wrap": False, "width_mm": 50.0, "height_mm": 44.0}
    piece = {"file": "post.svg", "height_mm": 20.0, "centre_mm": 50.0, "angle_rad": 0.4, "rotation_rad": 0.1}
    wall, _ = shown(tmp_path, [piece], item=item, artwork=artwork)
    assert area_mm2(wall) > 0.1


@pytest.mark.parametrize("surface_map", sorted(maps.MAPS))
@pytest.mark.usefixtures("uneven_rows")
def test_artwork_on_the_wall_stays_closed_in_every_surface_map(
    surface_map: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Laid by a map that is uneven itself, brought to within one turn, and made an area again."""
    formula, derivative = maps.MAPS[surface_map]

    def apart(*arguments: Any) -> maps.Place:
        found = formula(*arguments)
        return maps.Place(*uneven(np.stack(found, axis=-1)).T)

    monkeypatch.setitem(maps.MAPS, surface_map, (apart, derivative))
    straight = bent_curve([0.0, 150.0], [44.0, 36.0])
    turn = np.linspace(0, 2 * np.pi, 40, endpoint=False)
    wide = 30.0 if surface_map == "front-view" else 60.0
    star = rings_from_list([np.stack([wide * np.cos(turn), 20 * np.sin(turn)], 1)])
    wall = on_wall(star, surface_map, straight, 75.0)
    past_the_back = Rings(wall.points_mm + np.array([2.5, 0.0]), wall.offsets)
    again = once_round(past_the_back)
    assert shapely_from_rings(again).area == pytest.approx(shapely_from_rings(wall).area, rel=1e-6)
    assert float(np.abs(again.points_mm[:, 0]).max()) <= pi


@pytest.mark.parametrize("face", ["outline", "line-sans"])
@pytest.mark.parametrize("around", ["arc", "axis", "end"])
@pytest.mark.usefixtures("uneven_rows")
def test_an_inscription_stays_closed(around: Any, face: Any) -> None:
    """Letters on the wall, along the axis and round the end face, looked at for white between them."""
    measurements = [{"at": f"{at} mm", "across": "22 mm"} for at in (0, 16)]
    bar = Item.model_validate({"name": "bar", "coating": None, "solid": True, "measurements": measurements})
    wish = InscriptionWish(text="Ré8", around=around, face=face, letter_height_mm=3.0)
    made = sized_text(wish, bar, MarkCheck(0.046, 0.03))
    rings = ink_on_end(made, wish) if around == "end" else ink_on_wall(made, wish).rings
    assert area_mm2(rings) > 0.1


def test_equal_places_give_equal_results_wherever_they_stand() -> None:
    """Heights of a bellied wall and turned points, alone and in arrays of any length: equal to the last digit."""
    belly = bent_curve([0, 50, 75, 100, 150], [30, 42, 43, 41, 33], [False, False, True, False, False])
    arcs, heights, corners = set(), set(), set()
    for many in range(1, 40):
        along = arc_from_height_mm(belly, np.full(many, 61.3))
        arcs |= set(along.tolist())
        heights |= set(height_from_arc_mm(belly, along).tolist())
        corners |= set(map(tuple, turned(np.full((many, 2), [17.3, 4.1]), 0.7).tolist()))
    assert len(arcs) == len(heights) == len(corners) == 1
