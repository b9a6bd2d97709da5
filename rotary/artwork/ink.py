"""One region of ink from shapes painted over each other: dark adds, light takes away, clips cut.

Seen over white ground a translucent colour may be light, over black ground dark: such a shape changes
nothing about what is ink and what is not, and is passed over::

    over white   over black   the shape
    dark         dark         adds
    light        light        takes away
    light        dark         leaves things as they are
"""

from collections.abc import Callable, Iterable
from typing import Final, NamedTuple

import numpy as np

from rotary.artwork.fill import filled
from rotary.artwork.outline import flattened, mapped
from rotary.artwork.overlay import NOTHING, Shape, common, joined_areas, without
from rotary.artwork.reshape import reshaped
from rotary.artwork.stroke import Pen, stroked
from rotary.artwork.svg.affine import SAME, Affine, after, keeps_shape, largest_stretch, mean_stretch
from rotary.artwork.svg.scene import Clip, Mask, Painted, Stroke
from rotary.artwork.work import Ledger
from rotary.colours import Colour

HALF_TONE: Final = 0.5
"""The brightness under which a colour is ink."""


class View(NamedTuple):
    """How a drawing is looked at: its page's transform to mm, how far chords may stray [mm]."""

    to_mm: Affine
    tolerance_mm: float


def ink_region(painted: Iterable[Painted], view: View, ledger: Ledger | None = None) -> Shape:
    """The ink as a valid shapely polygon or multipolygon [mm]. Raises Refused where it takes too much work.

    >>> from rotary.artwork.svg.reader import page_from_svg
    >>> page = page_from_svg(b'<svg><path d="M0 0H4V4H0zM1 1V2H2V1z"/><path d="M3 3h9v9" fill="#fff"/></svg>', Ledger())
    >>> ink_region(page.painted, View(SAME, 0.01)).area
    14.5
    """
    return _Region(view, ledger or Ledger()).of(painted)


class _Layer(NamedTuple):
    """What some of the shapes make of the ground below them: `ink` within what they cover."""

    ink: Shape
    covered: Shape


class _Region:
    """Keeps what several shapes share: clips, masks, the points made so far."""

    def __init__(self, view: View, ledger: Ledger) -> None:
        self.view = view
        self.ledger = ledger
        self._cuts: dict[Clip | Mask, Shape] = {}

    def of(self, painted: Iterable[Painted]) -> Shape:
        """What is dark, over white ground."""

        def adds(colour: Colour) -> bool | None:
            over_white = 1 - colour.alpha * (1 - colour.luminance())
            if over_white < HALF_TONE:
                return True
            return False if colour.alpha * colour.luminance() >= HALF_TONE else None

        return self._gathered(painted, adds)

    def _let_through(self, mask: Mask) -> Shape:
        """What a mask lets through: bright over black ground, or opaque."""

        def adds(colour: Colour) -> bool | None:
            if mask.by_alpha:
                return True if colour.alpha >= HALF_TONE else None
            if colour.alpha * colour.luminance() >= HALF_TONE:
                return True
            return False if 1 - colour.alpha * (1 - colour.luminance()) < HALF_TONE else None

        return self._gathered(mask.painted, adds)

    def _gathered(self, painted: Iterable[Painted], adds: Callable[[Colour], bool | None]) -> Shape:
        """Shapes of one tone that follow each other are joined in one go, then laid over each other in pairs."""
        layers: list[_Layer] = []
        run: list[Shape] = []
        adding = True
        for item in painted:
            for colour, stroke in ((item.fill, None), (item.stroke.colour if item.stroke else None, item.stroke)):
                tone = adds(colour) if colour is not None else None
                if tone is None or not (tone or run or layers):
                    continue
                if tone != adding:
                    layers += _layer(run, adding)
                    run, adding = [], tone
                shape = self._cut(self._stroke(item, stroke) if stroke else self._fill(item), item.clips)
                if not shape.is_empty:
                    run.append(shape)
        layers += _layer(run, adding)
        return _flat(layers, lowest=True).ink if layers else NOTHING

    def _cut(self, shape: Shape, cuts: tuple[Clip | Mask, ...]) -> Shape:
        for cut in cuts:
            if shape.is_empty:
                break
            if cut not in self._cuts:
                self._cuts[cut] = self._clip(cut) if isinstance(cut, Clip) else self._let_through(cut)
            shape = common(shape, self._cuts[cut])
        return shape

    def _clip(self, clip: Clip) -> Shape:
        parts = [self._cut(self._fill(item), item.clips) for item in clip.shapes]
        shape = joined_areas(parts)
        return self._cut(shape, (clip.within,)) if clip.within is not None else shape

    def _fill(self, item: Painted) -> Shape:
        lines = flattened(item.outline, after(self.view.to_mm, item.affine), self.view.tolerance_mm)
        self.ledger.spend(len(lines.points) // 4)
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
        self.ledger.spend(len(lines.points))
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


def _layer(run: list[Shape], adding: bool) -> list[_Layer]:
    if not run:
        return []
    shape = joined_areas(run)
    return [_Layer(shape if adding else NOTHING, shape)]


def _flat(layers: list[_Layer], lowest: bool) -> _Layer:
    """Layers, lowest first, as one. Laid together in pairs, so that each point takes part in few cuts.

    Under the lowest there is only ground: what it covers need not be known.
    """
    if len(layers) == 1:
        return layers[0]
    middle = len(layers) // 2
    low, high = _flat(layers[:middle], lowest), _flat(layers[middle:], lowest=False)
    left = low.ink if low.ink.is_empty else without(low.ink, high.covered)
    ink = joined_areas([left, high.ink]) if not left.is_empty else high.ink
    return _Layer(ink, NOTHING if lowest else joined_areas([low.covered, high.covered]))
