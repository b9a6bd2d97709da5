"""The areas of painted shapes: filled, widened, and cut by their clips."""

from typing import Final, NamedTuple

import numpy as np

from rotary.artwork.drawing import HALF_TONE
from rotary.artwork.fill import filled
from rotary.artwork.outline import flattened, mapped
from rotary.artwork.overlay import Shape, common, joined_areas
from rotary.artwork.reshape import reshaped
from rotary.artwork.stroke import Pen, stroked
from rotary.artwork.svg.affine import SAME, Affine, after, keeps_shape, largest_stretch, mean_stretch
from rotary.artwork.svg.scene import Clip, Paint, Painted, Stroke
from rotary.artwork.work import Ledger

FILL_COST: Final = 150  # what an area is worth in segments, and a line that is widened
STROKE_COST: Final = 200


class View(NamedTuple):
    """How a drawing is looked at: its page's transform to mm, how far chords may stray [mm], what is dark."""

    to_mm: Affine
    tolerance_mm: float
    dark_below: float = HALF_TONE


def uses_of(item: Painted) -> list[tuple[Paint, Stroke | None]]:
    """The paint of an item's fill, and of its stroke after it."""
    uses: list[tuple[Paint, Stroke | None]] = [] if item.fill is None else [(item.fill, None)]
    return uses if item.stroke is None else [*uses, (item.stroke.paint, item.stroke)]


class Areas:
    """The areas of painted shapes; keeps the clips that several of them share."""

    def __init__(self, view: View, ledger: Ledger) -> None:
        self.view = view
        self.ledger = ledger
        self._cuts: dict[Clip, Shape] = {}

    def of(self, item: Painted, stroke: Stroke | None) -> Shape:
        """What an item's fill, or its stroke, covers within its clips."""
        return self._cut(self._stroke(item, stroke) if stroke else self._fill(item), item.clips)

    def _cut(self, shape: Shape, cuts: tuple[Clip, ...]) -> Shape:
        for cut in cuts:
            if shape.is_empty:
                break
            if cut not in self._cuts:
                self._cuts[cut] = self._clip(cut)
            shape = common(shape, self._cuts[cut])
        return shape

    def _clip(self, clip: Clip) -> Shape:
        parts = [self._cut(self._fill(item), item.clips) for item in clip.shapes]
        shape = joined_areas(parts)
        return self._cut(shape, (clip.within,)) if clip.within is not None else shape

    def _fill(self, item: Painted) -> Shape:
        lines = flattened(item.outline, after(self.view.to_mm, item.affine), self.view.tolerance_mm)
        self.ledger.spend(FILL_COST + len(lines.points) // 4)
        return filled(lines, item.rule)

    def _stroke(self, item: Painted, stroke: Stroke) -> Shape:
        # A line is widened in its own units, so that a slanting transform slants its ends too.
        before, rest = (item.affine, self.view.to_mm) if stroke.fixed else (SAME, after(self.view.to_mm, item.affine))
        scale = largest_stretch(rest)
        if keeps_shape(rest):
            before, rest, grown = after(rest, before), SAME, mean_stretch(rest)
        else:
            grown = 1.0
        tolerance = self.view.tolerance_mm / (1.0 if rest is SAME else scale)
        lines = flattened(item.outline, before, tolerance)
        self.ledger.spend(STROKE_COST + 2 * len(lines.points))
        pen = stroke.pen.scaled(grown, grown)
        if pen.dashes and stroke.path_length:
            pen = _stretched_dashes(pen, lines.points, lines.offsets, stroke.path_length * grown)
        shape = stroked(lines, pen, tolerance)
        return shape if rest is SAME else reshaped(shape, lambda points: mapped(points, rest))


def _stretched_dashes(pen: Pen, points: np.ndarray, offsets: np.ndarray, stated: float) -> Pen:
    steps = np.hypot(*np.diff(points, axis=0).T)
    steps[offsets[1:-1] - 1] = 0.0
    stretch = float(steps.sum()) / stated
    return pen.scaled(1.0, stretch)
