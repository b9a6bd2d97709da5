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

from collections.abc import Sequence
from math import cos, inf, pi, sin, tan
from typing import Final, NamedTuple

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
from rotary.formulas.sight import Eye, sight_half_angle_rad, sight_mm
from rotary.papers.drawing import Area, Tone
from rotary.pictures.handle import NO_HANDLE, HandleAreas, handle_areas
from rotary.pictures.tones import (
    ENGRAVED,
    GROUND,
    Rgb,
    bare,
    coated,
    coating_tone,
    lit,
    luminance,
    metal_tone,
)
from rotary.plan import Plan
from rotary.shape import Shape
from rotary.sheet.facets import inked_flats

AWAY_MM: Final = 400.0
"""From the eye to the item: reading distance (common practice, no source)."""

IN_SIGHT_RAD: Final = pi / 3
"""Artwork whose middle is farther than this from the item's front is looked at from where it is."""

COURSE_MM: Final = 0.004
HEIGHTS: Final = 161
ROUND: Final = 192
STRIPS: Final = 120
LAP_RAD: Final = 0.012
_BORDERS: Final = np.linspace(-pi / 2, pi / 2, STRIPS + 1)
_MIDDLES: Final = tuple(((_BORDERS[:-1] + _BORDERS[1:]) / 2).tolist())
SHADOWS: Final = 12
END_FACES_RAD: Final = -0.25
"""An end face is as bright as a wall that faces so far to the light."""

RIM_SHARE: Final = 0.0011
"""Width of the shadow along an edge, over the item's longer side."""

DULL: Final = 0.45
FRAME_MM: Final = 0.6


class MarkedInk(NamedTuple):
    """What is marked on the item of a plan.

    `wall` is flat artwork as the plan lays it, middle at (0, 0), None where only its frame is known; `flats` are faces
    by their number from the front, + to the right, each from its own middle and from the foot; `end` lies on the end
    face as it is looked at, which has a hole of `bore_mm`. All [mm].
    """

    plan: Plan
    wall: Rings | None = None
    flats: tuple[tuple[int, Rings], ...] = ()
    end: Rings | None = None
    bore_mm: float = 0.0

    @property
    def is_frame(self) -> bool:
        """Whether nothing is known of what is marked but the room it has."""
        return self.wall is None and not self.flats and self.end is None


class Scene(NamedTuple):
    """Areas in the order in which they are painted, x to the right of the axis, y from the foot [mm at the axis], and
    what they fill: left, bottom, right, top. `looked_from_rad` is the angle of the item that faces the eye, `in_sight`
    the share of the marked area that is in sight."""

    marks: tuple[Area, ...]
    box_mm: tuple[float, float, float, float]
    looked_from_rad: float
    in_sight: float


def eye_before(shape: Shape, from_far: bool = False) -> Eye:
    """The eye before the middle of an item, at reading distance from its wall, or far away."""
    away = inf if from_far else AWAY_MM + _reach_mm(shape)
    return Eye(away, shape.length_mm / 2)


def _reach_mm(shape: Shape, s: float | None = None) -> float:
    """How far the item reaches from its axis, at a height or anywhere."""
    radius = shape.widest_radius_mm if s is None else float(shape.radius_mm(s))
    return radius / (cos(pi / shape.flats) if shape.flats else 1.0)


def scene_of(ink: MarkedInk, from_far: bool = False) -> Scene:
    """The item with what is marked on it, as an eye before it sees it."""
    if ink.end is not None:
        return _end_scene(ink.plan, ink.end, ink.bore_mm)
    look = _looked_from_rad(ink)
    view = _View(ink.plan, eye_before(ink.plan.shape, from_far), look)
    return (_flats_scene if ink.plan.shape.flats else _round_scene)(view, ink)


def _looked_from_rad(ink: MarkedInk) -> float:
    """The front; where the artwork can't be seen from there, its own middle."""
    middle = ink.plan.layout.centre_angle_rad
    is_aside = not ink.flats and not ink.plan.layout.is_ring and abs(within_half_turn(middle)) > IN_SIGHT_RAD
    return float(within_half_turn(middle)) if is_aside else 0.0


class _View:
    """An item before an eye: its outline, and its colours."""

    def __init__(self, plan: Plan, eye: Eye, look: float) -> None:
        self.plan, self.eye, self.look, self.shape = plan, eye, look, plan.shape
        self.coating = coating_tone(plan.job.item)
        self.tint = metal_tone(plan.job.item.metal)
        self.rim_mm = RIM_SHARE * max(self.shape.length_mm, 2 * _reach_mm(self.shape))

    def surface(self, turn: float) -> Rgb:
        """The item's own surface where it faces so far to the right."""
        return bare(self.tint, turn) if self.coating is None else coated(self.coating, turn)

    def marked(self, turn: float) -> Rgb:
        """What is marked there: bare metal under a coating, a cut in bare metal."""
        return bare(self.tint, turn, ENGRAVED if self.coating is None else 1.0)

    def edge(self) -> Tone | None:
        """The shadow along an edge of the coating; none where metal shines out of a dark one anyway."""
        if self.coating is None:
            return None
        return lit(self.tint, 0.26) if luminance(self.coating) > DULL else None

    def wall_point(self, angle: Floats, s: Floats) -> tuple[Floats, Floats]:
        """Where places on a round wall stand in the picture."""
        r = self.shape.radius_mm(s)
        return sight_mm(self.eye, r * np.sin(angle), s, r * np.cos(angle))

    def scene(self, outline: BaseGeometry, marks: Sequence[Area], in_sight: float, handle: HandleAreas) -> Scene:
        """All of it: shadow, handle, item, and the darker line along its outline, which stays where it is."""
        dark = lit(self.surface(pi / 2.4), 0.5)
        line = _areas(outline.difference(outline.buffer(-0.9 * self.rim_mm)), dark)
        every = [*self._ground_shadow(), *handle.behind, *marks, *line, *handle.before]
        boxes = [outline.bounds, *(_bounds(mark) for mark in (*handle.behind, *handle.before))]
        left, bottom = np.min(boxes, axis=0)[:2].tolist()
        right, top = np.max(boxes, axis=0)[2:].tolist()
        return Scene(tuple(every), (left, bottom, right, top), self.look, in_sight)

    def _ground_shadow(self) -> list[Area]:
        """On what the item stands on: rings of the ground round its foot, darker towards it."""
        turn, marks = np.linspace(-pi, pi, 73), []
        for step in range(SHADOWS):
            r = _reach_mm(self.shape, 0.0) * (1.15 - 0.13 * step / SHADOWS)
            x, y = sight_mm(self.eye, r * np.sin(turn), 0.0, r * np.cos(turn))
            marks.append(Area((np.stack([x, y], axis=1),), lit(GROUND, 1 - 0.3 * ((step + 1) / SHADOWS) ** 2)))
        return marks


def _bounds(mark: Area) -> tuple[float, float, float, float]:
    points = np.concatenate(mark.rings_mm)
    return (*points.min(axis=0), *points.max(axis=0))


# -- round items


def _heights(shape: Shape, times: int = 1) -> Floats:
    """Heights between which a wall is as good as straight, or so many times as many."""
    return np.linspace(0.0, shape.length_mm, 2 if is_straight(shape.curve) else times * HEIGHTS)


def _outline(view: _View) -> BaseGeometry:
    """All that an item takes of the picture: the discs it is made of, each with the next."""
    s, turn = _heights(view.shape), np.linspace(-pi, pi, ROUND, endpoint=False)
    x, y = view.wall_point(turn[None, :], s[:, None])
    discs = np.stack([x, y], axis=-1)
    pairs = np.concatenate([discs[:-1], discs[1:]], axis=1)
    hulls = shapely.convex_hull(shapely.linestrings(pairs))
    return shapely.union_all(hulls)


def _round_scene(view: _View, ink: MarkedInk) -> Scene:
    outline = _outline(view)
    wall, in_sight = _ink_in_sight(view, ink)
    marks = _strips(view, outline) + (_frame if ink.wall is None else _metal)(view, wall)
    handle = handle_areas(view.plan.job.item, view.shape, view.eye, view.look, view.surface)
    return view.scene(outline, marks, in_sight, handle)


def _strips(view: _View, outline: BaseGeometry) -> list[Area]:
    """The surface from its left edge to its right in strips between meridians, each painted over the edge of the one
    before, so that no gap shows between them."""
    s = np.linspace(0.0, view.shape.length_mm, 2 if is_straight(view.shape.curve) else 49)
    _, bottom, _, top = outline.bounds
    ends = np.stack([_BORDERS[:-1] - LAP_RAD, _BORDERS[1:]])
    x, y = view.wall_point(ends[:, :, None], s)
    # Beyond both ends, since the outline cuts them off.
    x, y = (np.concatenate([values[..., :1], values, values[..., -1:]], axis=-1) for values in (x, y))
    y[..., 0], y[..., -1] = bottom - 1, top + 1
    around = [np.hstack([values[0], values[1, :, ::-1]]) for values in (x, y)]
    strips = shapely.buffer(shapely.polygons(np.stack(around, axis=-1)), 0)
    shapely.prepare(outline)
    marks = list(_areas(outline, view.surface(-pi / 2)))
    # What is in sight of a wall that turns away before its side does ends before the last strip.
    right = shapely.box(0.0, bottom - 1, outline.bounds[2] + 1, top + 1)
    marks += _areas(outline.intersection(right), view.surface(pi / 2))
    for part, turn in zip(shapely.intersection(strips, outline), _MIDDLES, strict=True):
        marks += _areas(part, view.surface(turn))
    return marks


def _ink_in_sight(view: _View, ink: MarkedInk) -> tuple[Rings, float]:
    """The artwork on the wall as far as it is in sight: angle from the line to the eye by height; and which share."""
    plan = view.plan
    lies, art = plan.layout, plan.job.artwork
    flat = _frame_rings(plan) if ink.wall is None else ink.wall
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


def _frame_rings(plan: Plan) -> Rings:
    """A line round the room that the artwork is to have."""
    wide, high = plan.layout.width_centre_mm / 2, plan.job.artwork.height_mm / 2
    line = min(FRAME_MM, wide / 4, high / 4)
    room = shapely.box(-wide, -high, wide, high)
    return rings_from_shapely(room - shapely.box(line - wide, line - high, wide - line, high - line))


def _frame(view: _View, wall: Rings) -> list[Area]:
    if not len(wall.points_mm):
        return []
    light = luminance(view.surface(0.0)) > DULL
    return list(_areas(_in_picture(view, wall), 0.25 if light else 0.92))


def _in_picture(view: _View, wall: Rings) -> BaseGeometry:
    return shapely_from_rings(warped(wall, view.wall_point, COURSE_MM))


def _metal(view: _View, wall: Rings) -> list[Area]:
    """What is marked, in strips from light to dark that lap over each other, so that no gap shows."""
    if not len(wall.points_mm):
        return []
    whole = _in_picture(view, wall)
    strips: list[Rings] = [NO_INK] * STRIPS
    for first in (0, 1):
        cuts = np.stack([_BORDERS[first:-1:2] - LAP_RAD, _BORDERS[first + 1 :: 2]], axis=1).ravel()
        strips[first::2] = slices_between(wall, cuts)[1::2]
    marks = list(_areas(whole, view.marked(0.0)))
    for strip, turn in zip(strips, _MIDDLES, strict=True):
        if len(strip.points_mm):
            marks.append(Area(tuple(list_from_rings(warped(strip, view.wall_point, COURSE_MM))), view.marked(turn)))
    return marks + _edges(view, whole)


def _edges(view: _View, whole: BaseGeometry) -> list[Area]:
    """The shadow of the coating's edge on the metal, within what is marked: its outline stays where it is."""
    tone, width = view.edge(), view.rim_mm
    if tone is None:
        return []
    inner = whole.buffer(-width)
    while inner.area < 0.5 * whole.area and width > 0.2 * view.rim_mm:
        width *= 0.7
        inner = whole.buffer(-width)
    return list(_areas(whole.difference(inner), tone))


def _areas(shape: BaseGeometry, tone: Tone) -> Sequence[Area]:
    rings = rings_from_shapely(shape)
    return [Area(tuple(list_from_rings(rings)), tone)] if len(rings.points_mm) else []


# -- items with flats


def _flats_scene(view: _View, ink: MarkedInk) -> Scene:
    """A prism: each flat that faces the eye in one tone, with what is marked on it."""
    shape, count = view.shape, view.shape.flats or 0
    out, turn = float(shape.radius_mm(0.0)), 2 * pi / count
    half = out * tan(turn / 2)
    inks = _inks_by_flat(view.plan, ink, out, count)
    total = sum(shapely_from_rings(rings).area for rings in inks.values())
    marks: list[Area] = []
    faces, in_sight = [], 0.0
    for number in sorted(range(count), key=lambda k: cos(k * turn - view.look)):
        facing = number * turn - view.look
        if out >= view.eye.distance_mm * cos(facing) - 1e-9:
            continue

        def place(u: Floats, s: Floats, facing: float = facing) -> tuple[Floats, Floats]:
            across, towards = out * sin(facing) + u * cos(facing), out * cos(facing) - u * sin(facing)
            return sight_mm(view.eye, across, s, towards)

        corners = np.array([(-half, 0.0), (half, 0.0), (half, shape.length_mm), (-half, shape.length_mm)])
        face = shapely.Polygon(np.stack(place(*corners.T), axis=1))
        faces.append(face)
        turned = float(within_half_turn(facing))
        marks += _areas(face, view.surface(turned))
        rings = inks.get(number, NO_INK)
        if len(rings.points_mm):
            in_sight += shapely_from_rings(rings).area / total
            drawn = shapely_from_rings(Rings(np.stack(place(*rings.points_mm.T), axis=1), rings.offsets))
            marks += [*_areas(drawn, view.marked(turned)), *_edges(view, drawn)]
        marks += _areas(face.difference(face.buffer(-0.5 * view.rim_mm)), lit(view.tint, 0.35))
    return view.scene(shapely.union_all(faces), marks, in_sight, NO_HANDLE)


def _inks_by_flat(plan: Plan, ink: MarkedInk, out: float, count: int) -> dict[int, Rings]:
    """The ink of each flat by its number from the front, from the flat's middle and from the foot."""
    if ink.flats:
        return {number % count: rings for number, rings in ink.flats}
    own = round(plan.layout.centre_angle_rad / (2 * pi / count))
    rings = _frame_rings(plan) if ink.wall is None else ink.wall
    return {
        (own + number) % count: moved(part, 0.0, plan.layout.centre_mm)
        for number, part in inked_flats(rings, out, count).items()
    }


# -- the end face


def _end_scene(plan: Plan, rings: Rings, bore_mm: float) -> Scene:
    """The end face, looked at along the axis: true to shape, the axis at (0, 0)."""
    view, shape = _View(plan, eye_before(plan.shape), 0.0), plan.shape
    out, sides = _reach_mm(shape, shape.length_mm), shape.flats or ROUND
    corners = 2 * pi * (np.arange(sides) + 0.5) / sides
    face = shapely.Polygon(out * np.stack([np.sin(corners), np.cos(corners)], axis=1))
    wall_mm = plan.job.item.wall_mm
    hole = max(bore_mm / 2, float(shape.radius_mm(shape.length_mm)) - wall_mm if wall_mm else 0.0)
    face = face.difference(shapely.Point(0, 0).buffer(hole, 64)) if hole else face
    marks = list(_areas(face, view.surface(END_FACES_RAD)))
    for turn in np.linspace(-pi, pi, STRIPS, endpoint=False).tolist():
        # A turned face shines in two wedges across it.
        ends = [
            (0.0, 0.0),
            *((2 * out * sin(at), 2 * out * cos(at)) for at in (turn - LAP_RAD, turn + 2 * pi / STRIPS)),
        ]
        tone = lit(view.surface(END_FACES_RAD), 0.88 + 0.12 * cos(2 * (turn + pi / 4)))
        marks += _areas(face.intersection(shapely.Polygon(ends)), tone)
    drawn = shapely_from_rings(rings)
    marks += [*_areas(drawn, view.marked(END_FACES_RAD)), *_edges(view, drawn)]
    marks += _areas(face.difference(face.buffer(-view.rim_mm)), lit(view.surface(END_FACES_RAD), 0.45))
    return Scene(tuple(marks), face.bounds, 0.0, 1.0)
