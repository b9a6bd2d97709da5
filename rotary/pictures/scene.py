"""The scene of the picture from the front: what it is made of, and an item before an eye with its colours."""

from collections.abc import Sequence
from math import cos, inf, pi
from typing import Final, NamedTuple, TypeAlias

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]
from shapely.geometry.base import BaseGeometry  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.rings import Rings, list_from_rings, rings_from_shapely
from rotary.formulas.arrays import Floats
from rotary.formulas.sight import Eye, sight_mm
from rotary.papers.drawing import Area, Tone
from rotary.pictures.handle import NO_HANDLE, HandleAreas
from rotary.pictures.tones import ENGRAVED, GROUND, Rgb, bare, coated, coating_tone, lit, luminance, metal_tone
from rotary.plan import Plan
from rotary.shape import Shape

AWAY_MM: Final = 400.0
"""From the eye to the item: reading distance (common practice, no source)."""

ROUND: Final = 192
"""Corners of a circle."""

STRIPS: Final = 180
LAP_RAD: Final = 0.012
"""Light and dark go round an item in so many strips, each lapping so far over the one before."""

SHADOWS: Final = 12
RIM_SHARE: Final = 0.0011
"""Width of the shadow along an edge, over the item's longer side."""

DULL: Final = 0.45
"""On a coating brighter than this metal is told from it by the shadow of the edge."""

FRAME_MM: Final = 0.6

Box: TypeAlias = tuple[float, float, float, float]


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
    what they fill: left, bottom, right, top; `art_mm` is what the artwork fills. `looked_from_rad` is the angle of the
    item that faces the eye, `in_sight` the share of the marked area that is in sight, `has_handle` whether any of a
    handle is."""

    marks: tuple[Area, ...]
    box_mm: Box
    art_mm: Box
    looked_from_rad: float
    in_sight: float
    has_handle: bool = False


class PaintedItem(NamedTuple):
    """An item's outline, what is painted of it in order, and which of that is its artwork."""

    outline: BaseGeometry
    marks: Sequence[Area]
    art: Sequence[Area]


def eye_before(shape: Shape, from_far: bool = False) -> Eye:
    """The eye before the middle of an item, at reading distance from its wall, or far away."""
    away = inf if from_far else AWAY_MM + reach_mm(shape)
    return Eye(away, shape.length_mm / 2)


def reach_mm(shape: Shape, s: float | None = None) -> float:
    """How far the item reaches from its axis, at a height or anywhere."""
    radius = shape.widest_radius_mm if s is None else float(shape.radius_mm(s))
    return radius / (cos(pi / shape.flats) if shape.flats else 1.0)


def frame_rings(plan: Plan) -> Rings:
    """A line round the room that the flat artwork is to have."""
    wide, high = plan.job.artwork.width_mm / 2, plan.job.artwork.height_mm / 2
    line = min(FRAME_MM, wide / 4, high / 4)
    room = shapely.box(-wide, -high, wide, high)
    return rings_from_shapely(room - shapely.box(line - wide, line - high, wide - line, high - line))


class ItemView:
    """An item before an eye: its outline, and its colours."""

    def __init__(self, plan: Plan, eye: Eye, look: float) -> None:
        self.plan, self.eye, self.look, self.shape = plan, eye, look, plan.shape
        self.coating = coating_tone(plan.job.item)
        self.tint = metal_tone(plan.job.item.metal)
        self.rim_mm = RIM_SHARE * max(self.shape.length_mm, 2 * reach_mm(self.shape))

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

    def scene(self, painted: PaintedItem, in_sight: float, handle: HandleAreas = NO_HANDLE) -> Scene:
        """All of it: shadow, handle, item, and the darker line along its outline, which stays where it is."""
        outline, marks, art = painted
        dark = lit(self.surface(pi / 2.4), 0.5)
        line = areas(outline.difference(outline.buffer(-0.9 * self.rim_mm)), dark)
        every = [*self._ground_shadow(), *handle.behind, *marks, *line, *handle.before]
        box = _around([outline.bounds, *map(_bounds, (*handle.behind, *handle.before))])
        art_box = _around([*map(_bounds, art)]) if art else box
        has_handle = bool(handle.before) or box != outline.bounds
        return Scene(tuple(every), box, art_box, self.look, in_sight, has_handle)

    def _ground_shadow(self) -> list[Area]:
        """On what the item stands on: rings of the ground round its foot, darker towards it."""
        turn, marks = np.linspace(-pi, pi, 73), []
        for step in range(SHADOWS):
            r = reach_mm(self.shape, 0.0) * (1.15 - 0.13 * step / SHADOWS)
            x, y = sight_mm(self.eye, r * np.sin(turn), 0.0, r * np.cos(turn))
            marks.append(Area((np.stack([x, y], axis=1),), lit(GROUND, 1 - 0.3 * ((step + 1) / SHADOWS) ** 2)))
        return marks


def _bounds(mark: Area) -> Box:
    points = np.concatenate(mark.rings_mm)
    return (*points.min(axis=0), *points.max(axis=0))


def _around(boxes: Sequence[Box]) -> Box:
    """The box round several."""
    left, bottom, _, _ = np.min(boxes, axis=0).tolist()
    _, _, right, top = np.max(boxes, axis=0).tolist()
    return left, bottom, right, top


def edge_areas(view: ItemView, whole: BaseGeometry) -> list[Area]:
    """The shadow of the coating's edge on the metal, within what is marked: its outline stays where it is."""
    tone, width = view.edge(), view.rim_mm
    if tone is None:
        return []
    inner = whole.buffer(-width)
    while inner.area < 0.5 * whole.area and width > 0.2 * view.rim_mm:
        width *= 0.7
        inner = whole.buffer(-width)
    return list(areas(whole.difference(inner), tone))


def areas(shape: BaseGeometry, tone: Tone) -> Sequence[Area]:
    """A shape as an area to paint; none where it is empty."""
    rings = rings_from_shapely(shape)
    return [Area(tuple(list_from_rings(rings)), tone)] if len(rings.points_mm) else []
