"""Gradients: brightness and opacity along a course, and the lines along which they are equal.

::

    unit space, linear          unit space, radial
      |   |   |   |             rings about points from the focus
     t=0         t=1            (t = 0) to the centre (t = 1)
"""

from typing import Final, NamedTuple

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.outline import mapped
from rotary.artwork.svg.affine import Affine, after, inverse
from rotary.artwork.work import Ledger
from rotary.formulas.arrays import Floats

MOST_TURNS: Final = 50
"""How often a gradient that repeats is followed over a shape; beyond, it is one mean tone."""

_LINE_COST: Final = 40  # what one more line through a shape is worth in segments
_RING_POINTS: Final = 240
_DARK: Final = 0.2
_LIGHT: Final = 0.8


class Gradient(NamedTuple):
    """`places`, `brightness`, `alphas` (n,) of the stops, from 0 to 1; `affine` takes unit space to the page.

    Linear: t runs along x. Radial where `circles` = (fx, fy, fr, cx, cy, r) are given.
    `spread` is "pad", "reflect" or "repeat".
    """

    places: tuple[float, ...]
    brightness: tuple[float, ...]
    alphas: tuple[float, ...]
    affine: Affine
    circles: tuple[float, float, float, float, float, float] | None = None
    spread: str = "pad"

    def luminance(self) -> float:
        """Its mean brightness."""
        return sum(self.brightness) / len(self.brightness)

    @property
    def hides(self) -> bool:
        """Whether it hides what lies under it, and is all of it so dark, or so light, that no border of dark and light
        that is asked for in earnest lies within it."""
        return min(self.alphas) == 1 and (max(self.brightness) < _DARK or min(self.brightness) > _LIGHT)

    def faded(self, opacity: float) -> "Gradient":
        """The same gradient, less opaque."""
        return self._replace(alphas=tuple(alpha * opacity for alpha in self.alphas))

    def along(self, course: Floats) -> tuple[Floats, Floats]:
        """Brightness and opacity (n,) at places (n,) of the course."""
        t = course
        if self.spread == "repeat":
            t = course - np.floor(course)
        elif self.spread == "reflect":
            t = 1 - np.abs(course - 2 * np.floor(course / 2) - 1)
        return self._between(t, self.brightness), self._between(t, self.alphas)

    def _between(self, t: Floats, values: tuple[float, ...]) -> Floats:
        """Before the first stop its value, from the last its; of several at one place the last holds from there."""
        places, of_stop = np.asarray(self.places), np.asarray(values)
        behind = np.searchsorted(places, t, side="right")
        before, behind = np.maximum(behind - 1, 0), np.minimum(behind, len(places) - 1)
        wide = places[behind] - places[before]
        share = np.clip((t - places[before]) / np.where(wide > 0, wide, 1.0), 0.0, 1.0)
        return np.asarray(of_stop[before] + share * (of_stop[behind] - of_stop[before]))

    def course(self, points: Floats, page: Affine) -> Floats:
        """The place t (n,) of points (n, 2) on a page that `page` leads to."""
        own = mapped(points, inverse(after(page, self.affine)))
        if self.circles is None:
            return np.asarray(own[:, 0])
        fx, fy, fr, cx, cy, r = self.circles
        # The largest t whose circle, of a radius not below zero, passes through the point.
        x, y, wide, high, grow = own[:, 0] - fx, own[:, 1] - fy, cx - fx, cy - fy, r - fr
        a = wide * wide + high * high - grow * grow
        b = x * wide + y * high + fr * grow
        c = x * x + y * y - fr * fr
        if abs(a) < 1e-12:
            t = c / np.where(np.abs(b) < 1e-300, 1e-300, 2 * b)
        else:
            root = np.sqrt(np.maximum(b * b - a * c, 0.0))
            one, other = (b + root) / a, (b - root) / a
            high_t, low_t = np.maximum(one, other), np.minimum(one, other)
            t = np.where(fr + high_t * grow >= 0, high_t, low_t)
        return np.asarray(np.clip(t, -1e6, 1e6))

    def jumps(self) -> list[float]:
        """Places of the course where its tone jumps."""
        jumps = {at for at, following in zip(self.places, self.places[1:], strict=False) if following - at < 1e-6}
        return sorted(jumps | ({0.0} if self.spread == "repeat" else set()))

    def cuts(self, shape: object, page: Affine, places: list[float], ledger: Ledger) -> list[object]:
        """The lines of equal tone (parts of them within the shape's extent) on the page at these places."""
        left, bottom, right, top = shapely.bounds(shape).tolist()
        corners = np.array([(left, bottom), (right, bottom), (right, top), (left, top)])
        course = self.course(corners, page)
        low, high = float(course.min()), float(course.max())
        if self.circles is not None:
            low = 0.0
        turns = [0.0]
        if self.spread != "pad":
            if not high - low < MOST_TURNS:
                return []
            turns = list(map(float, range(int(np.floor(low)), int(np.ceil(high)))))
        at = [turn + (1 - t if self.spread == "reflect" and turn % 2 else t) for turn in turns for t in places]
        at = [t for t in sorted(set(at)) if low <= t <= high]
        ledger.spend(len(at) * (_LINE_COST if self.circles is None else _RING_POINTS))
        return self._rings(page, at) if self.circles is not None else self._lines(page, at, corners)

    def _lines(self, page: Affine, at: list[float], corners: Floats) -> list[object]:
        own = mapped(corners, inverse(after(page, self.affine)))
        low, high = float(own[:, 1].min()), float(own[:, 1].max())
        margin = 0.01 * (high - low) + 1e-9
        ends = np.array([[(t, low - margin), (t, high + margin)] for t in at]).reshape(-1, 2)
        to_page = after(page, self.affine)
        return list(shapely.linestrings(mapped(ends, to_page).reshape(-1, 2, 2))) if at else []

    def _rings(self, page: Affine, at: list[float]) -> list[object]:
        fx, fy, fr, cx, cy, r = self.circles or (0.0,) * 6
        angle = np.linspace(0, 2 * np.pi, _RING_POINTS, endpoint=False)
        # Through the middles between a polygon's corners and sides, so that it is as large as its circle.
        reach = 2 / (1 + np.cos(np.pi / _RING_POINTS))
        unit = np.stack([np.cos(angle), np.sin(angle)], axis=1) * reach
        to_page = after(page, self.affine)
        rings = []
        for t in at:
            radius = fr + t * (r - fr)
            if radius > 0:
                middle = np.array([fx + t * (cx - fx), fy + t * (cy - fy)])
                rings.append(shapely.linearrings(mapped(middle + radius * unit, to_page)))
        return rings
