"""The areas of painted shapes: filled, widened, and cut by their clips."""

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.drawing import HALF_TONE
from rotary.artwork.fill import crossings, filled_each
from rotary.artwork.outline import flattened, flattened_together, mapped
from rotary.artwork.overlay import Shape, common, joined_areas, lie_scattered
from rotary.artwork.reshape import reshaped
from rotary.artwork.stroke import Pen, stroked
from rotary.artwork.svg.affine import SAME, Affine, after, keeps_shape, largest_stretch, mean_stretch
from rotary.artwork.svg.scene import Clip, Paint, Painted, Stroke
from rotary.artwork.work import Ledger

FILL_COST: Final = 20  # what an area of one ring is worth in segments, one of several, and a line that is widened
RINGS_COST: Final = 150
STROKE_COST: Final = 360
BATCH: Final = 10_000  # points that are flattened together
SCATTERED: Final = 10  # points of areas that hardly touch are joined for what one of others is worth
CROSSED: Final = 8  # what two borders that cross are worth, where areas are joined
_FEW: Final = 2_000  # points: the borders of fewer don't cross often enough to matter
_USUAL: Final = 2  # crossings for each point, which the points are paid for


class View(NamedTuple):
    """How a drawing is looked at: its page's transform to mm, how far chords may stray [mm], what is dark."""

    to_mm: Affine
    tolerance_mm: float
    dark_below: float = HALF_TONE


def uses_of(item: Painted) -> list[tuple[Paint, Stroke | None]]:
    """The paint of an item's fill, and of its stroke after it."""
    uses: list[tuple[Paint, Stroke | None]] = [] if item.fill is None else [(item.fill, None)]
    return uses if item.stroke is None else [*uses, (item.stroke.paint, item.stroke)]


def joined(run: list[Shape], ledger: Ledger) -> Shape:
    """The union of areas, paid for by their points and by how often their borders cross."""
    if len(run) > 1:
        points, owner = shapely.get_coordinates(run, return_index=True)
        ledger.spend(len(points) // (SCATTERED if lie_scattered(run) else 1))
        if len(points) > _FEW:
            same = owner[1:] == owner[:-1]
            often = crossings(points[:-1][same], points[1:][same]) - _USUAL * len(points)
            ledger.spend(max(0, int(CROSSED * often)))
    return joined_areas(run)


class Areas:
    """The areas of painted shapes; keeps the clips that several of them share."""

    def __init__(self, view: View, ledger: Ledger) -> None:
        self.view = view
        self.ledger = ledger
        self._cuts: dict[Clip, Shape] = {}

    def of(self, uses: Sequence[tuple[Painted, Stroke | None]]) -> list[Shape]:
        """What fills (None) and strokes of items cover within their clips, in order."""
        fills = iter(self._fills([item for item, stroke in uses if stroke is None]))
        shapes = (self._stroke(item, stroke) if stroke else next(fills) for item, stroke in uses)
        return [self._cut(shape, item.clips) for shape, (item, _) in zip(shapes, uses, strict=True)]

    def _cut(self, shape: Shape, cuts: tuple[Clip, ...]) -> Shape:
        for cut in cuts:
            if shape.is_empty:
                break
            if cut not in self._cuts:
                self._cuts[cut] = self._clip(cut)
            shape = common(shape, self._cuts[cut])
        return shape

    def _clip(self, clip: Clip) -> Shape:
        shape = joined(self.of([(item, item.stroke) for item in clip.shapes]), self.ledger)
        return self._cut(shape, (clip.within,)) if clip.within is not None else shape

    def _fills(self, items: Sequence[Painted]) -> Iterator[Shape]:
        for some in _batches(items):
            affines = [after(self.view.to_mm, item.affine) for item in some]
            lines = flattened_together([item.outline for item in some], affines, self.view.tolerance_mm)
            counts = np.array([item.outline.commands.count(b"M") for item in some])
            crowded = int((counts != 1).sum())
            self.ledger.spend(FILL_COST * (len(some) - crowded) + RINGS_COST * crowded + len(lines.points) // 4)
            yield from filled_each(lines, counts, [item.rule for item in some], self.ledger.spend)

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


def _batches(items: Sequence[Painted]) -> Iterator[Sequence[Painted]]:
    """Runs of items with so many points that numpy's calls no longer count, and memory does not yet."""
    first = points = 0
    for i, item in enumerate(items):
        points += len(item.outline.points)
        if points > BATCH or i + 1 == len(items):
            yield items[first : i + 1]
            first, points = i + 1, 0


def _stretched_dashes(pen: Pen, points: np.ndarray, offsets: np.ndarray, stated: float) -> Pen:
    steps = np.hypot(*np.diff(points, axis=0).T)
    steps[offsets[1:-1] - 1] = 0.0
    stretch = float(steps.sum()) / stated
    return pen.scaled(1.0, stretch)
