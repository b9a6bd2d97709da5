"""What an item will look like, from the front: its true outline, its colour, and what is marked as the eye sees it.

::

       ______
      /      \\        every place of the wall goes through the eye onto a plane through the axis;
     |  7     |==.    what the item hides of itself is left out
     |        |  |
     |        |=='
      `------'

One scene, in millimetres at the item's axis: `scene_of` gives areas in the order in which they are painted. Papers,
files and the screen draw the same areas.
"""

from math import pi
from typing import Final

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.cut import slices_between
from rotary.artwork.rings import NO_INK, Rings, list_from_rings, moved, rings_from_shapely, shapely_from_rings
from rotary.artwork.turn import once_round
from rotary.artwork.wall import on_wall
from rotary.artwork.warp import warped
from rotary.formulas.arrays import Floats
from rotary.formulas.circle import within_half_turn
from rotary.formulas.revolution import is_straight
from rotary.formulas.sight import sight_half_angle_rad
from rotary.papers.drawing import Area
from rotary.pictures import scene
from rotary.pictures.faces import end_scene, flats_scene
from rotary.pictures.handle import handle_areas
from rotary.pictures.tones import luminance
from rotary.shape import Shape

IN_SIGHT_RAD: Final = pi / 3
"""Artwork whose middle is farther than this from the item's front is looked at from where it is."""

COURSE_MM: Final = 0.004
HEIGHTS: Final = 161
BORDERS: Final = np.linspace(-pi / 2, pi / 2, scene.STRIPS + 1)
MIDDLES: Final = tuple(((BORDERS[:-1] + BORDERS[1:]) / 2).tolist())


def scene_of(ink: scene.MarkedInk, from_far: bool = False) -> scene.Scene:
    """The item with what is marked on it, as an eye before it sees it."""
    if ink.end is not None:
        return end_scene(ink.plan, ink.end, ink.bore_mm)
    look = _looked_from_rad(ink)
    view = scene.ItemView(ink.plan, scene.eye_before(ink.plan.shape, from_far), look)
    return (flats_scene if ink.plan.shape.flats else _round_scene)(view, ink)


def _looked_from_rad(ink: scene.MarkedInk) -> float:
    """The front; where the artwork can't be seen from there, its own middle."""
    middle = ink.plan.layout.centre_angle_rad
    is_aside = not ink.flats and not ink.plan.layout.is_ring and abs(within_half_turn(middle)) > IN_SIGHT_RAD
    return float(within_half_turn(middle)) if is_aside else 0.0


def _heights(shape: Shape, times: int = 1) -> Floats:
    """Heights between which a wall is as good as straight, or so many times as many."""
    return np.linspace(0.0, shape.length_mm, 2 if is_straight(shape.curve) else times * HEIGHTS)


def _outline(view: scene.ItemView) -> BaseGeometry:
    """All that an item takes of the picture: the discs it is made of, each with the next."""
    s, turn = _heights(view.shape), np.linspace(-pi, pi, scene.ROUND, endpoint=False)
    x, y = view.wall_point(turn[None, :], s[:, None])
    discs = np.stack([x, y], axis=-1)
    pairs = np.concatenate([discs[:-1], discs[1:]], axis=1)
    hulls = shapely.convex_hull(shapely.linestrings(pairs))
    return shapely.union_all(hulls)


def _round_scene(view: scene.ItemView, ink: scene.MarkedInk) -> scene.Scene:
    outline = _outline(view)
    wall, in_sight = _ink_in_sight(view, ink)
    art = (_frame if ink.wall is None else _metal)(view, wall)
    handle = handle_areas(view.plan.job.item, view.shape, view.eye, view.look, view.surface)
    return view.scene(scene.PaintedItem(outline, [*_strips(view, outline), *art], art), in_sight, handle)


def _strips(view: scene.ItemView, outline: BaseGeometry) -> list[Area]:
    """The surface in strips between meridians, each painted over the edge of the one before, so that no gap shows
    between them; from both edges to the middle, so that what has turned away lies below what is in sight."""
    s = np.linspace(0.0, view.shape.length_mm, 2 if is_straight(view.shape.curve) else 49)
    _, bottom, _, top = outline.bounds
    ends = np.stack([BORDERS[:-1] - scene.LAP_RAD, BORDERS[1:] + scene.LAP_RAD])
    x, y = view.wall_point(ends[:, :, None], s)
    # Beyond both ends, since the outline cuts them off.
    x, y = (np.concatenate([values[..., :1], values, values[..., -1:]], axis=-1) for values in (x, y))
    y[..., 0], y[..., -1] = bottom - 1, top + 1
    around = [np.hstack([values[0], values[1, :, ::-1]]) for values in (x, y)]
    strips = shapely.buffer(shapely.polygons(np.stack(around, axis=-1)), 0)
    shapely.prepare(outline)
    marks = list(scene.areas(outline, view.surface(-pi / 2)))
    # What is in sight of a wall that turns away before its side does ends before the last strip.
    right = shapely.box(0.0, bottom - 1, outline.bounds[2] + 1, top + 1)
    marks += scene.areas(outline.intersection(right), view.surface(pi / 2))
    parts = zip(shapely.intersection(strips, outline), MIDDLES, strict=True)
    for part, turn in sorted(parts, key=lambda one: -abs(one[1])):
        marks += scene.areas(part, view.surface(turn))
    return marks


def _ink_in_sight(view: scene.ItemView, ink: scene.MarkedInk) -> tuple[Rings, float]:
    """The artwork on the wall as far as it is in sight: angle from the line to the eye by height; and which share."""
    plan = view.plan
    lies, art = plan.layout, plan.job.artwork
    flat = scene.frame_rings(plan) if ink.wall is None else ink.wall
    wall = on_wall(flat, art.surface_map, view.shape.curve, lies.centre_mm, COURSE_MM)
    wall = once_round(moved(once_round(wall), within_half_turn(lies.centre_angle_rad - view.look), 0.0))
    s = _heights(view.shape, 4)
    half = sight_half_angle_rad(view.eye, view.shape.curve, s)
    edges = np.flatnonzero(np.diff((half > 0).astype(int)))
    if len(edges):
        # Where a shoulder hides what lies behind it, the height at which it ends is looked for more closely.
        s = np.union1d(s, np.concatenate([np.linspace(s[at], s[at + 1], 41) for at in edges]))
        half = sight_half_angle_rad(view.eye, view.shape.curve, s)
    whole = shapely_from_rings(wall)
    part = whole.intersection(shapely.union_all([_both_sides(s[run], half[run]) for run in _runs(half > 0)]))
    share = part.area / whole.area if whole.area else 1.0
    return (NO_INK if part.is_empty else rings_from_shapely(part)), float(share)


def _runs(wanted: NDArray[np.bool_]) -> list[slice]:
    """Where what is wanted follows each other, two and more."""
    ends = np.flatnonzero(np.diff(np.concatenate([[False], wanted, [False]]).astype(int)))
    return [slice(a, b) for a, b in zip(ends[::2].tolist(), ends[1::2].tolist(), strict=True) if b - a > 1]


def _both_sides(s: Floats, half: Floats) -> BaseGeometry:
    """What lies within an angle to either side, height by height."""
    return shapely.Polygon(np.concatenate([np.stack([half, s], axis=1), np.stack([-half, s], axis=1)[::-1]]))


def _frame(view: scene.ItemView, wall: Rings) -> list[Area]:
    if not len(wall.points_mm):
        return []
    light = luminance(view.surface(0.0)) > scene.DULL
    return list(scene.areas(_in_picture(view, wall), 0.25 if light else 0.92))


def _in_picture(view: scene.ItemView, wall: Rings) -> BaseGeometry:
    return shapely_from_rings(warped(wall, view.wall_point, COURSE_MM))


def _metal(view: scene.ItemView, wall: Rings) -> list[Area]:
    """What is marked, in strips from light to dark that lap over each other, so that no gap shows."""
    if not len(wall.points_mm):
        return []
    whole = _in_picture(view, wall)
    strips: list[Rings] = [NO_INK] * scene.STRIPS
    for first in (0, 1):
        cuts = np.stack([BORDERS[first:-1:2] - scene.LAP_RAD, BORDERS[first + 1 :: 2]], axis=1).ravel()
        strips[first::2] = slices_between(wall, cuts)[1::2]
    marks = list(scene.areas(whole, view.marked(0.0)))
    for strip, turn in zip(strips, MIDDLES, strict=True):
        if len(strip.points_mm):
            marks.append(Area(tuple(list_from_rings(warped(strip, view.wall_point, COURSE_MM))), view.marked(turn)))
    return marks + scene.edge_areas(view, whole)
