"""One region of ink from shapes painted over each other: dark adds, light takes away, clips cut.

Shapes that hide what lies under them are laid over each other as they are. Where one can be seen through, fades or
is masked, the page is cut into faces, and the tone of each is worked out over white (see `tones`).
"""

from collections.abc import Iterable
from typing import Final, NamedTuple

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.drawing import HALF_TONE
from rotary.artwork.fill import filled
from rotary.artwork.outline import flattened, mapped
from rotary.artwork.overlay import NOTHING, Shape, common, joined_areas, without
from rotary.artwork.reshape import reshaped
from rotary.artwork.stroke import Pen, stroked
from rotary.artwork.svg.affine import SAME, Affine, after, keeps_shape, largest_stretch, mean_stretch
from rotary.artwork.svg.scene import Clip, Paint, Painted, Stroke
from rotary.artwork.work import Ledger
from rotary.colours import Colour

# What steps are worth in segments: an area filled, a line widened, a point of two areas that are laid together.
FILL_COST: Final = 150
STROKE_COST: Final = 200
OVERLAY_COST: Final = 8


class View(NamedTuple):
    """How a drawing is looked at: its page's transform to mm, how far chords may stray [mm], what is dark."""

    to_mm: Affine
    tolerance_mm: float
    dark_below: float = HALF_TONE


def ink_region(painted: Iterable[Painted], view: View, ledger: Ledger | None = None) -> Shape:
    """The ink as a valid shapely polygon or multipolygon [mm]. Raises Refused where it takes too much work.

    >>> from rotary.artwork.svg.reader import page_from_svg
    >>> page = page_from_svg(b'<svg><path d="M0 0H4V4H0zM1 1V2H2V1z"/><path d="M3 3h9v9" fill="#fff"/></svg>', Ledger())
    >>> ink_region(page.painted, View(SAME, 0.01)).area
    14.5
    """
    items, areas = tuple(painted), Areas(view, ledger or Ledger())
    if all(item.is_plain for item in items):
        return _laid_over(items, areas)
    from rotary.artwork.tones import dark_faces

    return dark_faces(items, areas)


class _Sheet(NamedTuple):
    """What some of the shapes make of the ground below them: `ink` within what they cover."""

    ink: Shape
    covered: Shape


def _laid_over(items: Iterable[Painted], areas: "Areas") -> Shape:
    """Shapes of one tone that follow each other are joined in one go, then laid over each other in pairs."""
    sheets: list[_Sheet] = []
    run: list[Shape] = []
    adding = True
    for item in items:
        for paint, stroke in uses_of(item):
            tone = isinstance(paint, Colour) and paint.luminance() < areas.view.dark_below
            if not (tone or run or sheets):
                continue
            if tone != adding:
                sheets += _sheet(run, adding, areas.ledger)
                run, adding = [], tone
            shape = areas.of(item, stroke)
            if not shape.is_empty:
                run.append(shape)
    sheets += _sheet(run, adding, areas.ledger)
    return _flat(sheets, True, areas.ledger).ink if sheets else NOTHING


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


def _count(shapes: list[Shape]) -> int:
    return int(shapely.get_num_coordinates(shapes).sum())


def _sheet(run: list[Shape], adding: bool, ledger: Ledger) -> list[_Sheet]:
    if not run:
        return []
    if len(run) > 1:
        ledger.spend(_count(run))
    shape = joined_areas(run)
    return [_Sheet(shape if adding else NOTHING, shape)]


def _flat(sheets: list[_Sheet], lowest: bool, ledger: Ledger) -> _Sheet:
    """Sheets, lowest first, as one. Laid together in pairs, so that each point takes part in few cuts.

    Under the lowest there is only ground: what it covers need not be known.
    """
    if len(sheets) == 1:
        return sheets[0]
    middle = len(sheets) // 2
    low, high = _flat(sheets[:middle], lowest, ledger), _flat(sheets[middle:], False, ledger)
    ledger.spend(OVERLAY_COST * _count([low.ink, high.ink, low.covered, high.covered]))
    left = low.ink if low.ink.is_empty else without(low.ink, high.covered)
    ink = joined_areas([left, high.ink]) if not left.is_empty else high.ink
    return _Sheet(ink, NOTHING if lowest else joined_areas([low.covered, high.covered]))
