"""The item as lines, to scale: from its end, from its side, and its wall unrolled. Papers and the screen paint them.

Lengths in [mm], x to the right, y upwards. No arrays here: a plan from another process has tuples, and the screen draws
before any library is loaded.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from math import cos, floor, pi, sin, tan
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

if TYPE_CHECKING:
    from rotary.plan import Plan

Point = tuple[float, float]
Role = Literal[
    "artwork", "axis", "bed", "border", "contact", "corner", "cut", "end", "guide", "handle", "inner", "outline",
    "plane", "roller", "weld",
]  # fmt: skip
"""What a line is: `cut` the slice in work, `border` where slices meet, `end` the ends of the artwork's heights, `inner`
the wall's inside, `corner` an edge between flats, `guide` the front and a quarter of a turn from it."""

ROUND: Final = 90
"""Pieces of a circle."""

OVER: Final = 0.04
"""How far lines that go beyond the item do so, as a share of it."""


class SceneLine(NamedTuple):
    """A line through points; one point is a place."""

    role: Role
    points: tuple[Point, ...]


class ItemScene(NamedTuple):
    """Lines in the order in which they are painted, and what has to have room; `slice_mm` lies between two borders."""

    strokes: tuple[SceneLine, ...]
    left: float
    bottom: float
    right: float
    top: float
    slice_mm: float = 0.0

    def scale(self, wide: float, high: float) -> float:
        """How large it is drawn in so much room."""
        return min(wide / (self.right - self.left), high / (self.top - self.bottom))


def radius_at(points: Sequence[Point], s: float) -> float:
    """The radius at a height of an outline, straight between its points.

    >>> radius_at([(0.0, 44.0), (150.0, 35.0)], 75.0)
    39.5
    """
    place = min(max(bisect_right([at for at, _ in points], s), 1), len(points) - 1)
    (s0, r0), (s1, r1) = points[place - 1], points[place]
    return r0 if s1 == s0 else r0 + (r1 - r0) * (s - s0) / (s1 - s0)


def _heights(points: Sequence[Point], low: float, high: float) -> list[float]:
    return [low, *(s for s, _ in points if low < s < high), high]


def _arc(radius: float, start: float = -pi, end: float = pi, x: float = 0.0, y: float = 0.0) -> tuple[Point, ...]:
    """Points on a circle, angles from the top, + to the right."""
    turns = (start + (end - start) * place / ROUND for place in range(ROUND + 1))
    return tuple((x + radius * sin(turn), y + radius * cos(turn)) for turn in turns)


def apex_and_lens_mm(plan: "Plan") -> tuple[float, float]:
    """The apex over the bed, and how far the lens is moved from focus on it, to what can be set by hand; the focal
    plane stands so much over the bed as both come to."""
    # By hand the apex is met at the artwork's middle, which on a taper as it lies is not half way between its ends.
    lies = plan.layout
    half_way, middle = (lies.artwork_from_mm + lies.artwork_to_mm) / 2, lies.centre_mm
    wider = radius_at(plan.outline, middle) - radius_at(plan.outline, half_way)
    tilt = plan.focus.tilt_rad
    apex = plan.focus.apex_height_mm + (middle - half_way) * sin(tilt) + wider * cos(tilt)
    return round(apex, 1), round(plan.focus.focal_plane_mm - apex, 1) + 0


# -- from its end


def end_scene(plan: "Plan", with_bed: bool = True) -> ItemScene:
    """The round about its axis: what turns it, slices, artwork, focal plane; the artwork's middle on top."""
    drive, item, radius = plan.job.turning, plan.job.item, plan.layout.reference_radius_mm
    # Kinds are told apart by name: a plan from another process has no classes.
    rollers = drive if drive.kind == "rollers" else None
    bed, plane = -max(plan.focus.apex_height_mm - radius, 0.0), radius + plan.focus.plane_over_apex_mm
    half = radius / (cos(pi / item.flats) if item.flats else 1.0)
    strokes = [SceneLine("outline", _flats(item.flats, half) if item.flats else _arc(radius))]
    low, high = -half, max(radius, plane)
    wide = max(half, radius + (item.handle.reach_mm if item.handle else 0.0))
    if item.handle is not None:
        middle = item.handle.angle_rad - plan.job.artwork.centre_angle_rad
        ends = middle - item.handle.width_rad / 2, middle + item.handle.width_rad / 2
        ring = (*_arc(radius, *ends), *_arc(radius + item.handle.reach_mm, *ends[::-1]))
        strokes.append(SceneLine("handle", (*ring, ring[0])))
        low, high = min(low, *(y for _, y in ring)), max(high, *(y for _, y in ring))
    if rollers:
        y, wide = -axis_over_rollers_mm(plan), max(wide, (rollers.centres_mm + rollers.roller_diameter_mm) / 2)
        for side in (-0.5, 0.5):
            ring = _arc(rollers.roller_diameter_mm / 2, x=side * rollers.centres_mm, y=y)
            strokes.append(SceneLine("roller", ring))
        low = min(low, y - rollers.roller_diameter_mm / 2)
    # The bed is shown where it is near: a chuck may hold the item high over it.
    if with_bed and (rollers or bed > low - 0.8 * radius):
        low = min(bed, low)
        strokes.append(SceneLine("bed", ((-wide, bed), (wide, bed))))
    if item.wall_mm:
        strokes.append(SceneLine("inner", _arc(radius - item.wall_mm)))
    strokes += _slices(plan, radius)
    strokes += [SceneLine("axis", ((-0.06 * radius, 0.0), (0.06 * radius, 0.0))),
                SceneLine("axis", ((0.0, -0.06 * radius), (0.0, 0.06 * radius))),
                SceneLine("plane", ((-0.65 * radius, plane), (0.65 * radius, plane)))]  # fmt: skip
    room = 0.04 * radius
    return ItemScene(tuple(strokes), -wide, low - room, wide, high + room, plan.split.index_angle_rad * radius)


def _flats(count: int, corner: float) -> tuple[Point, ...]:
    """As many flats as there are, one of them on top."""
    turns = [2 * pi * (place + 0.5) / count for place in range(count + 1)]
    return tuple((corner * sin(turn), corner * cos(turn)) for turn in turns)


def axis_over_rollers_mm(plan: "Plan") -> float:
    """How far the item's axis stands over the rollers' at the artwork's middle; a shim lifts both."""
    turning, drive = plan.turning, plan.job.turning
    if turning.cradle is None or turning.contact_mm is None:
        return float(turning.axis_height_mm - drive.axis_height_mm)
    beyond = plan.layout.centre_mm - turning.contact_mm
    return float(turning.cradle.axis_height_mm - drive.axis_height_mm + beyond * tan(turning.cradle.tilt_rad))


def _slices(plan: "Plan", radius: float) -> Iterator[SceneLine]:
    count, index = plan.split.slices, plan.split.index_angle_rad
    for place in range(count + 1):
        x, y = sin((place - count / 2) * index), cos((place - count / 2) * index)
        yield SceneLine("border", ((radius * x, radius * y), (0.88 * radius * x, 0.88 * radius * y)))
    half = min(plan.layout.total_angle_rad / 2, pi)
    yield SceneLine("artwork", _arc(0.87 * radius, -half, half))
    for turn in (-0.5 * index, 0.5 * index):
        yield SceneLine("cut", ((0.0, 0.0), (radius * sin(turn), radius * cos(turn))))


# -- from its side


def side_scene(plan: "Plan") -> ItemScene:
    """The item as it lies on what turns it: taper, tilt, artwork, apex line, focal plane; base left, rim right."""
    turning, lies, points = plan.turning, plan.layout, plan.outline
    tilt, pivot, axis = turning.tilt_rad, turning.axis_height_at_mm, turning.axis_height_mm

    def at(s: float, r: float) -> Point:
        return (s - pivot) * cos(tilt) - r * sin(tilt), axis + (s - pivot) * sin(tilt) + r * cos(tilt)

    upper, lower = [at(s, r) for s, r in points], [at(s, -r) for s, r in reversed(points)]
    ring = (*upper, *lower, upper[0])
    left, right = min(x for x, _ in ring), max(x for x, _ in ring)
    plane, over = plan.focus.focal_plane_mm, OVER * (right - left)
    low, top = min(y for _, y in ring), max(plane, *(y for _, y in ring))
    rollers, strokes = plan.job.turning if plan.job.turning.kind == "rollers" else None, list[SceneLine]()
    if rollers or low <= 0.6 * (top - low):
        strokes.append(SceneLine("bed", ((left - over, 0.0), (right + over, 0.0))))
    bottom = min(low, 0.0) if strokes else low - 0.15 * (top - low)
    if rollers:
        # A bar along the item, seen behind it.
        middle, half = rollers.axis_height_mm, rollers.roller_diameter_mm / 2
        x0, x1, y0, y1 = left - over, right + over, middle - half, middle + half
        strokes.append(SceneLine("roller", ((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0))))
    strokes += [
        SceneLine("outline", ring),
        SceneLine("axis", (at(points[0][0] - over, 0.0), at(points[-1][0] + over, 0.0))),
    ]
    ends = lies.artwork_from_mm, lies.artwork_to_mm
    strokes += [SceneLine("end", (at(s, -radius_at(points, s)), at(s, radius_at(points, s)))) for s in ends]
    band = tuple(at(s, radius_at(points, s)) for s in _heights(points, *ends))
    strokes += [
        SceneLine("artwork", band),
        SceneLine("plane", ((band[0][0] - over, plane), (band[-1][0] + over, plane))),
    ]
    if turning.contact_mm is not None:
        strokes.append(SceneLine("contact", (at(turning.contact_mm, -radius_at(points, turning.contact_mm)),)))
    return ItemScene(tuple(strokes), left - over, bottom, right + over, top + 0.01 * (top - bottom))


# -- its wall unrolled


def around_mm(angle: float, radius_mm: float, flats: int) -> float:
    """How far round the wall an angle is from the front [mm]; of flats, along them.

    >>> round(around_mm(pi, 20.0, 6) / (6 * 20 * tan(pi / 6)), 12), around_mm(pi, 20.0, 0) == 20 * pi
    (1.0, True)
    """
    if not flats:
        return radius_mm * angle
    face = floor(angle * flats / (2 * pi) + 0.5)
    return radius_mm * (2 * face * tan(pi / flats) + tan(angle - face * 2 * pi / flats))


def on_the_wall(plan: "Plan") -> Callable[[float, float], Point]:
    """Where an angle from the front and a height lie on the unrolled wall."""
    points, flats = plan.outline, plan.job.item.flats or 0
    return lambda angle, s: (around_mm(angle, radius_at(points, s), flats), s)


def unrolled_scene(plan: "Plan", borders_rad: Sequence[float] = ()) -> ItemScene:
    """The wall, each level line at its own length: the artwork's frame, slices, handle, weld line; rim above.

    `borders_rad` are the slices' borders where they are known better than from the plan.
    """
    points, flats, lies, split = plan.outline, plan.job.item.flats or 0, plan.layout, plan.split
    at, low, high = on_the_wall(plan), points[0][0], points[-1][0]

    def upright(angle: float, bottom: float = low, top: float = high) -> tuple[Point, ...]:
        return tuple(at(angle, s) for s in _heights(points, bottom, top))

    sides = upright(-pi), upright(pi)[::-1]
    strokes = [SceneLine("outline", (*sides[0], *sides[1], sides[0][0]))]
    strokes += [SceneLine("guide", upright(angle)) for angle in (-pi / 2, 0.0, pi / 2)]
    for place in range(1, flats, 2):
        # The edges between the flats, the front in the middle of one.
        strokes += [SceneLine("corner", upright(side * (place * pi / flats - 1e-9))) for side in (-1, 1)]
    middle, index = plan.job.artwork.centre_angle_rad, split.index_angle_rad
    ends = lies.artwork_from_mm, lies.artwork_to_mm
    for border in borders_rad or [middle + (place - split.slices / 2) * index for place in range(split.slices + 1)]:
        strokes.append(SceneLine("border", upright(_once(border), *ends)))
    frame = [(row.s_mm, row.angle_rad / 2) for row in lies.rows]
    for side in (-1.0, 1.0):
        strokes += _pieces("artwork", at, [(middle + side * half * (1 - 1e-9), s) for s, half in frame])
    strokes += [one for s, half in (frame[0], frame[-1]) for one in _level("artwork", at, s, middle, half)]
    strokes += _obstacles(plan, at, low, high)
    wide = max(x for x, _ in sides[1])
    return ItemScene(tuple(strokes), -wide, low, wide, high, index * lies.reference_radius_mm)


def _once(angle: float) -> float:
    """The same angle within half a turn of the front.

    >>> _once(pi), round(_once(1.5 * pi) / pi, 9)
    (3.141592653589793, -0.5)
    """
    return angle if -pi <= angle <= pi else (angle + pi) % (2 * pi) - pi


def _level(
    role: Role, at: Callable[[float, float], Point], s: float, middle: float, half: float
) -> Iterator[SceneLine]:
    return _pieces(role, at, [(middle + half * (place / 60 - 1) * (1 - 1e-9), s) for place in range(121)])


def _pieces(role: Role, at: Callable[[float, float], Point], places: Sequence[Point]) -> Iterator[SceneLine]:
    """A line over the wall, parted where it leaves one edge and comes in at the other."""
    piece = [places[0]]
    for before, place in pairwise(places):
        if abs(_once(place[0]) - _once(before[0])) > pi:
            yield SceneLine(role, tuple(at(_once(angle), s) for angle, s in piece))
            piece = []
        piece.append(place)
    yield SceneLine(role, tuple(at(_once(angle), s) for angle, s in piece))


def _obstacles(plan: "Plan", at: Callable[[float, float], Point], low: float, high: float) -> Iterator[SceneLine]:
    item = plan.job.item
    if (handle := item.handle) is not None:
        heights = sorted((handle.from_mm, handle.to_mm))
        bottom, top = heights if item.heights_from == "base" else (high - heights[1], high - heights[0])
        bottom, top = max(bottom, low), min(top, high)
        for side in (-0.5, 0.5):
            angle = _once(handle.angle_rad + side * handle.width_rad)
            yield SceneLine("handle", tuple(at(angle, s) for s in _heights(plan.outline, bottom, top)))
        for s in (bottom, top):
            yield from _level("handle", at, s, handle.angle_rad, handle.width_rad / 2)
    if item.weld_line is not None:
        angle = _once(item.weld_line.angle_rad)
        yield SceneLine("weld", tuple(at(angle, s) for s, _ in plan.outline))
