"""A handle in the picture from the front: where it stands, as high, as wide and as far out as it was measured.

Its own bend and thickness nobody measured: it is drawn as a loop within that room.
"""

from collections.abc import Callable
from math import cos, pi, sin
from typing import Final, NamedTuple

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]
from shapely.geometry.base import BaseGeometry  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.rings import list_from_rings, rings_from_shapely
from rotary.formulas.arrays import Floats
from rotary.formulas.sight import Eye, sight_mm
from rotary.item import Item, handle_heights_mm
from rotary.papers.drawing import Area
from rotary.pictures.tones import Rgb
from rotary.shape import Shape

BEND: Final = 0.62
"""How square the loop is: 1 is half an ellipse."""

THICK_SHARES: Final = (0.24, 0.17)
"""Thickness at most, of the reach and of the height."""

LAYERS: Final = 20
IN_WALL: Final = 0.985
"""Its ends lie in the wall, so that no gap shows between them."""

DEEP: Final = 0.7
HAIR: Final = 1e-9


class HandleAreas(NamedTuple):
    """What is painted before the item's wall, and what after it."""

    behind: tuple[Area, ...]
    before: tuple[Area, ...]


NO_HANDLE: Final = HandleAreas((), ())


def handle_areas(item: Item, shape: Shape, eye: Eye, look: float, surface: Callable[[float], Rgb]) -> HandleAreas:
    """The handle's areas: painted before the wall where it stands behind it, and after it where it stands in front."""
    heights, handle = handle_heights_mm(item, shape), item.handle
    if handle is None or heights is None:
        return NO_HANDLE
    angle = handle.angle_rad - look
    low, high = max(heights[0], 0.0), min(heights[1], shape.length_mm)
    half = float(shape.radius_mm((low + high) / 2)) * sin(min(handle.width_rad, pi) / 2)
    thick = min(THICK_SHARES[0] * handle.reach_mm, THICK_SHARES[1] * (high - low))

    def loop(from_share: float) -> BaseGeometry:
        """The loop in the picture, from so far out in the wall."""
        corners = []
        for inset in (0.0, thick):
            out, s = _bow(shape, (low + inset, high - inset), handle.reach_mm - inset, from_share)
            for side in (-half, half):
                across, towards = out * sin(angle) + side * cos(angle), out * cos(angle) - side * sin(angle)
                corners.append(np.stack(sight_mm(eye, across, s, towards), axis=1))
        rows = np.stack(corners, axis=1)
        pieces = np.concatenate([rows[:-1], rows[1:]], axis=1)
        return shapely.union_all(shapely.convex_hull(shapely.linestrings(pieces)))

    # Beyond the wall's edge as the eye sees it, short of a quarter turn, its ends are hidden by the wall: there light
    # and dark run on into it. In front of it the ends are seen.
    edge = float(shape.radius_mm((low + high) / 2)) / eye.distance_mm
    is_behind = cos(angle) < edge + HAIR
    room = loop(IN_WALL)
    long, marks = loop(DEEP) if is_behind else room, list[Area]()
    for layer in range(LAYERS):
        rings = rings_from_shapely(long.buffer(-0.44 * thick * layer / LAYERS).intersection(room))
        if len(rings.points_mm):
            marks.append(Area(tuple(list_from_rings(rings)), surface(1.45 - 1.5 * layer / LAYERS)))
    return HandleAreas(tuple(marks), ()) if is_behind else HandleAreas((), tuple(marks))


def _bow(shape: Shape, ends: tuple[float, float], reach: float, from_share: float) -> tuple[Floats, Floats]:
    """Distance from the axis and height along one side of the loop, from its upper end to the lower."""
    low, high = ends
    turn = np.linspace(0.0, pi, 49)
    s = (low + high) / 2 + (high - low) / 2 * np.cos(turn)
    wall = shape.radius_mm(s)
    out = wall + reach * np.sin(turn) ** BEND
    within = [from_share * wall[[0]], from_share * wall[[-1]]]
    return np.concatenate([within[0], out, within[1]]), np.concatenate([s[:1], s, s[-1:]])
