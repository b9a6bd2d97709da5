"""What stands on a template: its outline, the artwork's frame, centre and level line, ruler, handle and weld line."""

import math
from typing import Final, NamedTuple

import numpy as np

from rotary.artwork.models import Artwork
from rotary.artwork.rings import Rings, list_from_rings
from rotary.artwork.wall import on_wall
from rotary.errors import brief
from rotary.formulas.arrays import Floats
from rotary.formulas.circle import within_half_turn
from rotary.formulas.maps import MAPS
from rotary.formulas.revolution import radius_mm
from rotary.item import Item, handle_heights_mm, height_from_s_mm
from rotary.papers.drawing import Words
from rotary.plan import Plan
from rotary.shape import Shape
from rotary.template.marks import Figure, Kind, TapeStroke, label_box_mm, on_each_other
from rotary.template.paper import TapePaper, flat_mm

FLAP_MM: Final = 10.0
LEAST_MM: Final = 6 * 25.4 / 72
"""No label is smaller than 6 points, the least that data sheets are printed in (common practice, no source)."""

ART_MM: Final = 0.02
"""How near the drawn artwork follows the mapped one: below what a printer shows."""

FIGURES: Final = "-°0123456789"
POINTS: Final = 721  # on a ring: a chord of half a degree of a 400 mm drum sags by 2 µm
_EACH_RAD: Final = math.radians(5)
_STEP_RAD: Final = math.radians(0.5)


class Cover(NamedTuple):
    """What the paper covers: heights s [mm], and angles from the artwork's middle [rad], with a flap or without."""

    low_mm: float
    high_mm: float
    left_rad: float
    right_rad: float
    flap: bool


def cover_of(artwork: Artwork, item: Item, body: Shape, low_mm: float, high_mm: float) -> Cover:
    """A whole turn that is closed opposite the artwork, or the turn without the handle where that is in the way."""
    heights = handle_heights_mm(item, body)
    if item.handle is not None and heights is not None and heights[0] < high_mm and heights[1] > low_mm:
        middle = within_half_turn(item.handle.angle_rad - artwork.centre_angle_rad) % (2 * math.pi)
        half = item.handle.width_rad / 2
        return Cover(low_mm, high_mm, middle + half - 2 * math.pi, middle - half, flap=False)
    return Cover(low_mm, high_mm, -math.pi, math.pi, flap=True)


def figure(paper: TapePaper, cover: Cover, made: Plan, rings: Rings | None = None, banner: str = "") -> Figure:
    """All marks of a template on flat paper, with the artwork's outlines where they are known; `banner` is what is said
    first of all below it."""
    artwork, item, body = made.job.artwork, made.job.item, made.shape
    drawn = _Drawn(paper, cover, artwork, item, body)
    outline = drawn.outline()
    drawn.folds()
    drawn.frame()
    drawn.lines()
    drawn.ruler()
    drawn.degrees()
    drawn.weld_line()
    drawn.handle()
    drawn.about(banner)
    return Figure(tuple(drawn.strokes), tuple(drawn.labels), outline, drawn.art(rings))


class _Drawn:
    """Gathers strokes and labels; angles from the artwork's middle, heights s."""

    def __init__(self, paper: TapePaper, cover: Cover, artwork: Artwork, item: Item, body: Shape) -> None:
        self.paper, self.cover, self.artwork, self.item, self.body = paper, cover, artwork, item, body
        self.strokes: list[TapeStroke] = []
        self.labels: list[Words] = []
        widest = max(self._radius(cover.low_mm), self._radius(cover.high_mm))
        self.size_mm = min(3.0, max(LEAST_MM, 0.05 * min(cover.high_mm - cover.low_mm, 2 * math.pi * widest)))
        self.below: list[str] = []
        self.edges: tuple[Kind, ...] = ("cut", "flap")

    def _radius(self, s: float) -> float:
        return self.paper.radius_at_zero_mm + self.paper.slope * s

    def _line(self, kind: Kind, s: object, angle: object) -> Floats:
        points = np.stack(np.broadcast_arrays(*flat_mm(self.paper, s, angle)), axis=1)  # type: ignore[arg-type]
        self.strokes.append(TapeStroke(kind, points))
        return points

    def _angles(self, low: float, high: float) -> Floats:
        return np.linspace(low, high, max(3, math.ceil(POINTS * (high - low) / (2 * math.pi))))

    def _heights(self) -> Floats:
        return np.array([self.cover.low_mm, self.cover.high_mm])

    def _has(self, angle: float) -> float | None:
        """The angle as it lies on the paper, or None where the paper leaves it free."""
        for turned in (angle, angle - 2 * math.pi, angle + 2 * math.pi):
            if self.cover.left_rad - 1e-9 <= turned <= self.cover.right_rad + 1e-9:
                return turned
        return None

    def _label(self, text: str, s: float, angle: float, up: float = 0.0, right: float = 0.0, size: float = 1.0) -> None:
        """A label beside a place, upright on the item whatever the paper's own turn there."""
        x, y = (float(v) for v in flat_mm(self.paper, s, angle))
        turn = self.upright(s, angle)
        cos, sin = math.cos(turn), math.sin(turn)
        at = (x + right * cos - up * sin, y + right * sin + up * cos)
        anchor = "start" if right > 0 else "end" if right < 0 else "middle"
        letter = max(size * self.size_mm, LEAST_MM)
        # What has no room beside its line goes up or down, or is said below the paper; figures of a scale are left out.
        for step in (0.0, 1.3, -1.3, 2.6, -2.6):
            x, y = at[0] - step * letter * sin, at[1] + step * letter * cos
            label = Words(text, x, y, letter, anchor, turn_rad=turn)  # type: ignore[arg-type]
            if not any(on_each_other(label, other) for other in self.labels) and self._is_on(label):
                self.labels.append(label)
                return
            if not text.strip(FIGURES):
                return
        self.below.append(text)

    def _is_on(self, label: Words) -> bool:
        """Whether a label lies on the paper, and its words on no edge of the artwork: one that reaches over the paper's
        edge would be cut off with it, and the frame under words could not be seen."""
        left, bottom, right, top = label_box_mm(label)
        points = np.concatenate([stroke.points_mm for stroke in self.strokes if stroke.kind in self.edges])
        (west, south), (east, north) = points.min(0).tolist(), points.max(0).tolist()
        if left < west - 1 or right > east or bottom < south - 1 or top > north + 1:
            return False
        frames = [stroke.points_mm for stroke in self.strokes if stroke.kind == "frame" and label.text.strip(FIGURES)]
        return not any(bool((((left, bottom) < ring) & (ring < (right, top))).all(axis=1).any()) for ring in frames)

    def art(self, rings: Rings | None) -> tuple[Floats, ...]:
        """The artwork's outlines as they lie on the paper."""
        if rings is None:
            return ()
        if self.paper.flats:
            return tuple(list_from_rings(rings))
        wall = on_wall(rings, self.artwork.surface_map, self.body.curve, self.paper.centre_s_mm, ART_MM)
        return tuple(self._flat_ring(ring) for ring in list_from_rings(wall))

    def _flat_ring(self, ring: Floats) -> Floats:
        """A ring on the wall, angle by height (n, 2), as it lies on the paper: what is level there is an arc here."""
        closed = np.concatenate([ring, ring[:1]])
        steps = np.maximum(1, np.ceil(np.abs(np.diff(closed[:, 0])) / _STEP_RAD)).astype(int)
        place = np.concatenate([np.linspace(at, at + 1, many, endpoint=False) for at, many in enumerate(steps)])
        angle, along = (np.interp(place, np.arange(len(closed)), closed[:, axis]) for axis in (0, 1))
        return np.stack(flat_mm(self.paper, along, angle), axis=1)

    def upright(self, s: float, angle: float) -> float:
        """How far the paper is turned there: the wall's meridian against the paper's own upright."""
        (x0, x1), (y0, y1) = flat_mm(self.paper, [s, s + 1.0], angle)
        return math.atan2(x0 - x1, y1 - y0)

    def outline(self) -> Floats:
        low, high, left, right, _ = self.cover
        around = self._angles(left, right)
        bottom = self._line("cut", low, around)
        top = self._line("cut", high, around)
        self._line("cut", self._heights(), left)
        self._line("cut", self._heights(), right)
        if not self.cover.flap:
            return np.concatenate([bottom, top[::-1]])
        beyond = [right + FLAP_MM / max(self._radius(s), FLAP_MM / 2) for s in (low, high)]
        inset = min(FLAP_MM / 2, (high - low) / 4)
        heights = np.array([low, low + inset, high - inset, high])
        angles = np.array([right, beyond[0], beyond[1], right])
        flap = self._line("flap", heights, angles)
        self._label("flap: goes under", (low + high) / 2, right, right=0.6 * self.size_mm, size=0.6)
        # No other words reach over onto it.
        self.edges = ("cut",)
        return np.concatenate([bottom, flap, top[::-1]])

    def folds(self) -> None:
        if not self.paper.flats:
            return
        each = 2 * math.pi / self.paper.flats
        first = math.ceil((self.cover.left_rad / each) - 0.5)
        for k in range(first, first + self.paper.flats + 1):
            angle = (k + 0.5) * each
            if self.cover.left_rad < angle < self.cover.right_rad:
                # A hair before the corner, where the flat on the left still is the nearest.
                self._line("fold", self._heights(), angle - 1e-9)

    def lines(self) -> None:
        _, high, left, right, _ = self.cover
        centre = self.paper.centre_s_mm
        self._line("centre", self._heights(), 0.0)
        degrees = math.degrees(self.artwork.centre_angle_rad)
        side = f"{abs(degrees):.4g}° to the {'right' if degrees > 0 else 'left'} of the front"
        self._label(
            f"centre line, {side if degrees else 'at the front'}",
            high,
            0.0,
            up=-1.5 * self.size_mm,
            right=1.5 * self.size_mm,
            size=0.8,
        )
        self._line("level", centre, self._angles(left, right))
        height = height_from_s_mm(self.item, self.body, centre)
        says = f"level line, {height:.5g} mm from {self.item.end_words(self.item.heights_from)}"
        self._label(says, centre, left, up=0.5 * self.size_mm, right=1.0, size=0.8)
        front = self._has(within_half_turn(-self.artwork.centre_angle_rad))
        if front is not None and abs(front) > 1e-6:
            self._line("front", self._heights(), front)
            self._label("front", high, front, up=-1.5 * self.size_mm, right=1.0, size=0.8)

    def frame(self) -> None:
        """The artwork's edges, through the surface map onto the wall, and from there onto the paper."""
        half_u, half_v = self.artwork.width_mm / 2, self.artwork.height_mm / 2
        share = np.linspace(-1.0, 1.0, POINTS)
        one = np.ones_like(share)
        u = half_u * np.concatenate([share, one, -share, -one])
        v = half_v * np.concatenate([-one, share, one, -share])
        if self.paper.flats:
            flat_x, flat_y = u, v
            self.strokes.append(TapeStroke("frame", np.stack([flat_x, flat_y], axis=1)))
            return
        place, _ = MAPS[self.artwork.surface_map]
        s, angle = place(self.body.curve, self.paper.centre_s_mm, u, v)
        # A full wrap may overlap itself; its sides then lie on the paper's own ends.
        self._line("frame", s, np.clip(angle, self.cover.left_rad, self.cover.right_rad))

    def ruler(self) -> None:
        """Heights from the datum along the item's axis, on the centre line."""
        low, high = sorted(height_from_s_mm(self.item, self.body, s) for s in (self.cover.low_mm, self.cover.high_mm))
        step = 10.0 if high - low > 30 else 5.0 if high - low > 12 else 1.0
        for mm in range(math.ceil(low - 1e-9), math.floor(high + 1e-9) + 1):
            s = mm if self.item.heights_from == "base" else self.body.length_mm - mm
            long = mm % step == 0
            reach = (1.0 if long else 0.7 if mm % 5 == 0 else 0.4) * self.size_mm
            half = reach / max(self._radius(s), reach)
            self._line("tick", s, np.array([-half, half]) if long else np.array([0.0, half]))
            if long and min(s - self.cover.low_mm, self.cover.high_mm - s) > 0.4 * self.size_mm:
                self._label(f"{mm:g}", s, 0.0, up=-0.3 * self.size_mm, right=-1.2 * self.size_mm, size=0.8)

    def degrees(self) -> None:
        """Angles from the item's front, along the lower edge."""
        low, high, left, right, _ = self.cover
        around = self._radius(low) * _EACH_RAD
        every = next((n for n in (6, 9, 18) if n * around > 3.5 * self.size_mm), 36)
        tall = 0.5 * self.size_mm
        centre = self.artwork.centre_angle_rad
        for k in range(
            math.ceil((left + centre) / _EACH_RAD - 1e-9), math.floor((right + centre) / _EACH_RAD + 1e-9) + 1
        ):
            angle = k * _EACH_RAD - centre
            long = k % every == 0
            self._line("tick", np.array([low, min(low + tall * (2 if long else 1), high)]), angle)
            if long and self._radius(low) * min(angle - left, right - angle) > 1.5 * self.size_mm:
                shown = round(math.degrees(within_half_turn(k * _EACH_RAD)))
                self._label(
                    f"{-180 if shown == 180 and k < 0 else shown}°", low, angle, up=1.2 * self.size_mm, size=0.8
                )

    def weld_line(self) -> None:
        weld = self.item.weld_line
        at = None if weld is None else self._has(within_half_turn(weld.angle_rad - self.artwork.centre_angle_rad))
        if weld is None or at is None:
            return
        heights = np.linspace(self.cover.low_mm, self.cover.high_mm, 33)
        half = weld.width_mm / 2 / radius_mm(self.body.curve, heights)
        for side in (-half, half):
            self._line("weld", heights, at + side)
        self._label("weld line", self.cover.low_mm, at + float(half.max()), up=2.5 * self.size_mm, right=1.0, size=0.8)

    def handle(self) -> None:
        """The handle's two sides, or, where it is out of the way, the line below or above its middle."""
        handle = self.item.handle
        if handle is None:
            return
        _, high, left, right, flap = self.cover
        if not flap:
            for end, side in ((left, 0.6), (right, -0.6)):
                self._line("handle", self._heights(), end)
                self._label("handle", high, end, up=-1.5 * self.size_mm, right=side * self.size_mm, size=0.8)
            return
        at = self._has(within_half_turn(handle.angle_rad - self.artwork.centre_angle_rad))
        if at is not None:
            self._line("handle", self._heights(), at)
            self._label("under the handle's middle", high, at, up=-1.5 * self.size_mm, right=1.0, size=0.8)

    def about(self, banner: str) -> None:
        """Lines below the paper; what a person does with it stands in the result's notes and in the docs."""
        low, high, _, _, flap = self.cover
        bottom = min(float(stroke.points_mm[:, 1].min()) for stroke in self.strokes)
        start = min(float(stroke.points_mm[:, 0].min()) for stroke in self.strokes)
        at = [height_from_s_mm(self.item, self.body, s) for s in (low, high)]
        says = [banner] if banner else []
        says += [f"no room on the paper for these words: {', '.join(self.below)}"] if self.below else []
        says += [
            f"{brief(self.item.name, 60)}: {brief(self.artwork.name, 60)}",
            f"covers {min(at):.4g} to {max(at):.4g} mm from {self.item.end_words(self.item.heights_from)}: put "
            f"{self.item.end_words('rim')} up and the print outside",
            "the ends must meet without gap or overlap, with the flap under them"
            if flap
            else "the ends must lie along the two sides of the handle",
        ]
        for place, line in enumerate(says):
            self.labels.append(Words(line, start, bottom - 4.5 * (place + 1), 2.8))
