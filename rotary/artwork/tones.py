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
from rotary.artwork.fill import meetings, tangled
from rotary.artwork.overlay import GRID, NOTHING, Shape, inner_points, joined_faces
from rotary.artwork.svg.gradient import Gradient
from rotary.artwork.svg.scene import Layer, Mask, Paint, Painted
from rotary.artwork.work import MOST_CROSSINGS
from rotary.colours import Colour
from rotary.formulas.arrays import Floats

NEAR: Final = 0.06
"""How near to the border of dark and light a tone is told: a lighter print of the same drawing would turn over."""

NEAR_SHARE: Final = 0.002
"""Of the page's painted area: less of it near the border is an edge that nobody sees."""

ROUNDING: Final = 1e-3  # less than half of a step of 255: what a renderer rounds away
CROSSING_COST: Final = 6  # what a face more, to be cut out and looked at, is worth in segments
_STEPS: Final = 12
_MOST_TONES: Final = 8
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
        self.near = np.zeros(0, bool)

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
        self._look_up(uses, faces)
        sheet = _Sheet(len(faces), 1.0, 1.0)
        self._paint(items, sheet)
        border = self.areas.view.dark_below
        self._tell(sheet.light, shapely.area(faces), uses)
        # Half of black over white is dark, whatever its last digits are.
        return joined_faces(faces[sheet.light <= border + ROUNDING])

    def _faces(self, uses: list[_Use]) -> NDArray[Any]:
        lines = [shapely.boundary(use.shape) for use in uses]
        points = sum(map(shapely.get_num_coordinates, lines))
        self.areas.ledger.spend(int(points))
        if points > _FEW:
            ends = np.concatenate([_edges(line) for line in lines])
            crossings = meetings(ends[:, 0], ends[:, 1], 0.0)
            if crossings > MOST_CROSSINGS:
                raise tangled()
            self.areas.ledger.spend(int(CROSSING_COST * crossings))
        lines += self._cuts(uses)
        try:
            cut = shapely.union_all(lines)
            faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(cut)))
        except shapely.errors.GEOSException:
            cut = shapely.union_all(lines, grid_size=GRID)
            faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(cut)))
        return np.asarray(faces, object)

    def _cuts(self, uses: list[_Use]) -> list[Any]:
        """Lines along which gradients turn from dark to light over what may lie under them and on them."""
        gradients = [use for use in uses if isinstance(use.paint, Gradient)]
        if not gradients:
            return []
        flat = [use.paint for use in uses if isinstance(use.paint, Colour)]
        grounds = _few({1.0, 0.0} | {round(paint.luminance(), 2) for paint in flat if paint.alpha == 1})
        border = self.areas.view.dark_below
        seen_through = [paint for paint in flat if 0.02 < paint.alpha < 0.98]
        wanted = {border} | {(border - paint.alpha * paint.luminance()) / (1 - paint.alpha) for paint in seen_through}
        inside = _few({value for value in wanted if 0 < value < 1})
        layered = len(gradients) > 1 or any(use.layers for use in uses)
        page, cuts = self.areas.view.to_mm, []
        for use in gradients:
            assert isinstance(use.paint, Gradient)
            borders = use.paint.borders(grounds, inside, _STEPS if layered else 0)
            lines = use.paint.cuts(use.shape, page, borders, self.areas.ledger)
            if lines:
                shapely.prepare(use.shape)
                cuts += shapely.intersection(lines, use.shape).tolist()
        return cuts

    def _look_up(self, uses: list[_Use], faces: NDArray[Any]) -> None:
        """Which faces each use covers."""
        inner = inner_points(faces)
        self.points = shapely.get_coordinates(inner)
        of_use, of_face = shapely.STRtree(inner).query([use.shape for use in uses], predicate="contains")
        self.areas.ledger.spend(len(of_face) // 4)
        order = np.argsort(of_use, kind="stable")
        ends = np.searchsorted(of_use[order], np.arange(len(uses) + 1))
        self.covered = {id(use): of_face[order[ends[i] : ends[i + 1]]] for i, use in enumerate(uses)}
        self.masks: dict[Mask, Floats] = {}

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
                at = self.covered[id(use)]
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

    def _tell(self, tones: Floats, sizes: Floats, uses: list[_Use]) -> None:
        """Note every kind of see-through paint that comes out near the border of dark and light."""
        near = np.abs(tones - self.areas.view.dark_below) < NEAR
        least = NEAR_SHARE * float(sizes.sum())
        if float(sizes[near].sum()) < least:
            return
        for use in uses:
            at = self.covered[id(use)]
            if (use.layers or isinstance(use.paint, Gradient) or use.paint.alpha < 1) and float(
                sizes[at[near[at]]].sum()
            ) >= least:
                self.areas.ledger.unread(
                    "tone near the border of dark and light",
                    "it may come out either way; make it black or white, or set dark_below",
                )


def _few(values: set[float]) -> Floats:
    """At most so many of the values, spread over all of them."""
    found = np.array(sorted(values))
    spread = np.linspace(0, len(found) - 1, min(_MOST_TONES, len(found))).astype(int)
    return np.asarray(found[np.unique(spread)])


def _edges(line: Any) -> Floats:
    """Edges (n, 2, 2) of a border; those between two of its rings are among them, which does no harm to a sample."""
    points = shapely.get_coordinates(line)
    return np.stack([points[:-1], points[1:]], axis=1)
