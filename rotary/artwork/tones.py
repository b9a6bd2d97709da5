"""The tone of every face of a page on which shapes can be seen through, over white ground.

All borders of shapes, and the lines along which gradients turn from light to dark, are cut where they cross. Within
a face nothing changes but gradually, so one inner point says what is painted there, and how bright it comes out::

    +-------+              each face, lowest shape first:
    | A  +--+----+         tone = alpha x own + (1 - alpha) x tone below
    |    |AB| B  |         sheets (groups that fade, masks) by themselves first
    +----+--+    |
         +-------+

As the recommendation Compositing and Blending Level 1 of the W3C has it for source-over (from memory, not seen).
"""

from typing import Any, Final, NamedTuple

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]
from numpy.typing import NDArray

from rotary.artwork.areas import Areas, uses_of
from rotary.artwork.fill import crossings
from rotary.artwork.level_lines import faces_between, level_lines, parted
from rotary.artwork.overlay import NOTHING, SLIVER_MM2, Shape, inner_points, joined_areas, joined_faces
from rotary.artwork.svg.gradient import Gradient
from rotary.artwork.svg.scene import Layer, Mask, Paint, Painted
from rotary.artwork.work import Ledger
from rotary.colours import Colour
from rotary.formulas.arrays import Floats

NEAR: Final = 0.06
"""How near to the border of dark and light a tone is told: a lighter print of the same drawing would turn over."""

NEAR_SHARE: Final = 0.002
"""Of the page's painted area: less of it near the border is an edge that nobody sees."""

SLOW: Final = 0.25
"""Of a face, on which the tone changes: less of it near the border is a gradient that goes through it at a stroke."""

ROUNDING: Final = 1e-5  # less than half of a step of 255: what a renderer rounds away
CROSSING_COST: Final = 6  # what a face more, to be cut out and looked at, is worth in segments
SAMPLES: Final = 150_000
"""Places at which gradients are looked at, over all faces together."""

LOOKED_AT: Final = 1_000  # places that are looked up for what one segment is worth
_FEWEST: Final = 6  # steps across a face, however small
_FEW: Final = 2_000


class _Use(NamedTuple):
    """One fill or stroke: what it covers, its paint, the sheets that it lies on."""

    shape: Shape
    paint: Paint
    layers: tuple[Layer, ...]


class _Sheet:
    """Brightness times opacity, and opacity, of every face."""

    def __init__(self, faces: int, light: float = 0.0, alpha: float = 0.0) -> None:
        self.light = np.full(faces, light)
        self.alpha = np.full(faces, alpha)

    def paint(self, at: Any, light: Any, alpha: Any) -> None:
        """Lay a tone over some of the faces; `light` is already multiplied by `alpha`."""
        self.light[at] = light + (1 - alpha) * self.light[at]
        self.alpha[at] = alpha + (1 - alpha) * self.alpha[at]


def dark_faces(items: tuple[Painted, ...], areas: Areas) -> Shape:
    """What is darker than the view's border, as one area [mm]. Raises Refused."""
    page = _Page(areas)
    page.gather(items)
    return page.dark(items)


class _Page:
    """The faces of a page and what is painted on each."""

    def __init__(self, areas: Areas) -> None:
        self.areas = areas
        self.uses: dict[Painted, list[_Use]] = {}

    def gather(self, items: tuple[Painted, ...]) -> None:
        """The areas of all items, and of those in their masks."""
        fresh = dict.fromkeys(item for item in items if item not in self.uses)
        uses = [(item, paint, stroke) for item in fresh for paint, stroke in uses_of(item)]
        self.uses |= {item: [] for item in fresh}
        shapes = self.areas.of([(item, stroke) for item, _, stroke in uses])
        for (item, paint, _), shape in zip(uses, shapes, strict=True):
            if not shape.is_empty:
                self.uses[item].append(_Use(shape, paint, item.layers))
        for item in fresh:
            for layer in item.layers:
                for mask in layer.masks:
                    self.gather(mask.painted)

    def dark(self, items: tuple[Painted, ...]) -> Shape:
        """The dark faces as one area."""
        uses = [use for some in self.uses.values() for use in some]
        if not uses:
            return NOTHING
        faces = self._faces(uses)
        if len(faces) == 0:
            return NOTHING
        inner = inner_points(faces)
        self._look_up(uses, inner)
        self.border = self.areas.view.dark_below
        parts, of_face, near = self._parted(items, uses, faces)
        tones = self._tones(items, shapely.get_coordinates(inner_points(parts)), of_face)
        sizes = shapely.area(parts)
        even = np.isnan(near)
        near = np.where(even, np.abs(tones - self.border) < NEAR, near)
        self._tell(float((sizes * near * self._seen_through(uses, len(faces))[of_face]).sum()), float(sizes.sum()))
        # Half of black over white is dark, whatever its last digits are.
        whole = joined_faces(parts[even & (tones <= self.border + ROUNDING)])
        return joined_areas([whole, *parts[~even & (tones <= self.border)]])

    def _faces(self, uses: list[_Use]) -> NDArray[Any]:
        lines = [shapely.boundary(use.shape) for use in uses]
        points = sum(map(shapely.get_num_coordinates, lines))
        self.areas.ledger.spend(int(points))
        if points > _FEW:
            ends = np.concatenate([_edges(line) for line in lines])
            often = crossings(ends[:, 0], ends[:, 1])
            self.areas.ledger.spend(int(CROSSING_COST * (often + 1.5 * len(ends))))
        for use in uses:
            if isinstance(use.paint, Gradient) and (jumps := use.paint.jumps()):
                steps = use.paint.cuts(use.shape, self.areas.view.to_mm, jumps, self.areas.ledger)
                lines += shapely.intersection(steps, use.shape).tolist()
        return faces_between(lines)

    def _parted(
        self, items: tuple[Painted, ...], uses: list[_Use], faces: NDArray[Any]
    ) -> tuple[NDArray[Any], NDArray[np.int64], Floats]:
        """The faces, those that a gradient covers parted where its tone crosses the border; which face each part is
        of; the share of it that is near the border (n,), not a number where its one tone says so."""
        sloped = np.zeros(len(faces), bool)
        for use in uses:
            if isinstance(use.paint, Gradient):
                sloped[self.covered[id(use)]] = True
        sloped &= shapely.area(faces) > SLIVER_MM2
        at = np.flatnonzero(sloped)
        if len(at) == 0:
            return faces, np.arange(len(faces)), np.full(len(faces), np.nan)
        parts, of_face, near = [faces[~sloped]], [np.flatnonzero(~sloped)], [np.full(int((~sloped).sum()), np.nan)]
        grids = _grids(faces[at])
        self.areas.ledger.spend(sum(len(x) * len(y) for x, y in grids) // 2)
        places = [np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2) for x, y in grids]
        counts = np.array([len(place) for place in places], int)
        tones = np.split(self._tones(items, np.concatenate(places), np.repeat(at, counts)), np.cumsum(counts)[:-1])
        for face, (x, y), tone in zip(at.tolist(), grids, tones, strict=True):
            some = faces[face : face + 1]
            lines = level_lines(tone.reshape(len(y), len(x)), x, y, self.border)
            if len(lines):
                self.areas.ledger.spend(CROSSING_COST * len(lines) + int(shapely.get_num_coordinates(some[0])))
                some = parted(some[0], lines)
            parts.append(some)
            of_face.append(np.full(len(some), face))
            share = float(np.mean(np.abs(tone - self.border) < NEAR))
            near.append(np.full(len(some), share if share > SLOW else 0.0))
        return np.concatenate(parts), np.concatenate(of_face), np.concatenate(near)

    def _tones(self, items: tuple[Painted, ...], points: Floats, of_face: NDArray[np.int64]) -> Floats:
        """The tones (n,) at points (n, 2), each of which is painted as its face is."""
        self.points, self.of_face = points, of_face
        self.masks: dict[Mask, Floats] = {}
        sheet = _Sheet(len(points), 1.0, 1.0)
        self._paint(items, sheet)
        return sheet.light

    def _seen_through(self, uses: list[_Use], faces: int) -> NDArray[np.bool_]:
        """The faces on which some paint can be seen through, or changes its tone."""
        through = np.zeros(faces, bool)
        for use in uses:
            if use.layers or isinstance(use.paint, Gradient) or use.paint.alpha < 1:
                through[self.covered[id(use)]] = True
        return through

    def _look_up(self, uses: list[_Use], inner: NDArray[Any]) -> None:
        """Which faces each use covers."""
        of_use, of_face = shapely.STRtree(inner).query([use.shape for use in uses], predicate="contains")
        self.areas.ledger.spend(len(of_face) // 4)
        order = np.argsort(of_use, kind="stable")
        ends = np.searchsorted(of_use[order], np.arange(len(uses) + 1))
        self.covered = {id(use): of_face[order[ends[i] : ends[i + 1]]] for i, use in enumerate(uses)}
        self.faces = len(inner)

    def _at(self, use: _Use) -> NDArray[np.int64]:
        """Which of the points lie on faces that a use covers."""
        self.areas.ledger.spend(len(self.of_face) // LOOKED_AT)
        on = np.zeros(self.faces, bool)
        on[self.covered[id(use)]] = True
        return np.flatnonzero(on[self.of_face])

    def _paint(self, items: tuple[Painted, ...], ground: _Sheet) -> None:
        """Paint items in order; each run on the same sheets is laid down once it is whole."""
        open_layers: list[tuple[Layer, _Sheet]] = []
        for item in items:
            for use in self.uses[item]:
                shared = 0
                for (layer, _), own in zip(open_layers, use.layers, strict=False):
                    if layer is not own:
                        break
                    shared += 1
                self._close(open_layers, shared, ground)
                for layer in use.layers[shared:]:
                    self.areas.ledger.spend(len(ground.light) // 50)
                    open_layers.append((layer, _Sheet(len(ground.light))))
                at = self._at(use)
                light, alpha = self._tone(use.paint, at)
                (open_layers[-1][1] if open_layers else ground).paint(at, light * alpha, alpha)
        self._close(open_layers, 0, ground)

    def _close(self, open_layers: list[tuple[Layer, _Sheet]], keep: int, ground: _Sheet) -> None:
        while len(open_layers) > keep:
            layer, sheet = open_layers.pop()
            through: Any = layer.opacity
            for mask in layer.masks:
                through = through * self._let_through(mask, len(sheet.light))
            (open_layers[-1][1] if open_layers else ground).paint(
                slice(None), sheet.light * through, sheet.alpha * through
            )

    def _let_through(self, mask: Mask, faces: int) -> Floats:
        if mask not in self.masks:
            sheet = _Sheet(faces)
            self._paint(mask.painted, sheet)
            self.masks[mask] = sheet.alpha if mask.by_alpha else sheet.light
        through: Floats = self.masks[mask]
        return through

    def _tone(self, paint: Paint, at: NDArray[np.int64]) -> tuple[Any, Any]:
        if isinstance(paint, Colour):
            return paint.luminance(), paint.alpha
        return paint.along(paint.course(self.points[at], self.areas.view.to_mm))

    def _tell(self, near_mm2: float, whole_mm2: float) -> None:
        """Note see-through paint that comes out near the border of dark and light."""
        if near_mm2 > NEAR_SHARE * whole_mm2:
            tell_near(self.areas.ledger)


def tell_near(ledger: Ledger) -> None:
    """Note that a tone may be taken for dark or for light."""
    ledger.unread(
        "mid grey", 'it may or may not be marked. Make it black or white, or enter another limit for "dark below"'
    )


def _grids(faces: NDArray[Any]) -> list[tuple[Floats, Floats]]:
    """Columns and rows of a grid over each face, a step beyond it on all sides; some thousands of places each."""
    boxes = shapely.bounds(faces)
    step = float(np.sqrt(np.prod(boxes[:, 2:] - boxes[:, :2], axis=1).sum() / SAMPLES))
    return [_grid(box, step) for box in boxes]


def _grid(box: Floats, step: float) -> tuple[Floats, Floats]:
    left, bottom, right, top = box.tolist()
    across, up = (max(_FEWEST, round(size / step)) for size in (right - left, top - bottom))
    wide, high = (right - left) / across, (top - bottom) / up
    return np.linspace(left - wide, right + wide, across + 3), np.linspace(bottom - high, top + high, up + 3)


def _edges(line: Any) -> Floats:
    """Edges (n, 2, 2) of a border; those between two of its rings are among them, which does no harm to a sample."""
    points = shapely.get_coordinates(line)
    return np.stack([points[:-1], points[1:]], axis=1)
