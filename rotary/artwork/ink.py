"""One region of ink from shapes painted over each other: dark adds, light takes away, clips cut.

Shapes that hide what lies under them are laid over each other as they are. Where one can be seen through, fades or
is masked, the page is cut into faces, and the tone of each is worked out over white (see `tones`).
"""

from collections.abc import Iterable
from itertools import groupby
from typing import Final, NamedTuple

import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.areas import Areas, View, joined, uses_of
from rotary.artwork.overlay import NOTHING, Shape, joined_areas, without
from rotary.artwork.svg.scene import Paint, Painted
from rotary.artwork.tones import dark_faces, tell_near
from rotary.artwork.work import Ledger
from rotary.colours import Colour

EVEN: Final = 0.01
"""So near to the border a solid colour is told, too: the usual middle grey lies just above it, and is left out."""
OVERLAY_COST: Final = 3
"""What a point of two areas that are laid together is worth in segments: about three microseconds, as they take. A flag
with a coat of arms has a million of them."""


def ink_region(painted: Iterable[Painted], view: View, ledger: Ledger | None = None) -> Shape:
    """The ink as a valid shapely polygon or multipolygon [mm]. Raises Refused where it takes too much work.

    >>> from rotary.artwork.svg.reader import page_from_svg
    >>> page = page_from_svg(b'<svg><path d="M0 0H4V4H0zM1 1V2H2V1z"/><path d="M3 3h9v9" fill="#fff"/></svg>', Ledger())
    >>> from rotary.artwork.svg.affine import SAME
    >>> ink_region(page.painted, View(SAME, 0.01)).area
    14.5
    """
    items, areas = tuple(painted), Areas(view, ledger or Ledger())
    paints = (paint for item in items for paint, _ in uses_of(item))
    if any(isinstance(p, Colour) and p.alpha == 1 and abs(p.luminance() - view.dark_below) < EVEN for p in paints):
        tell_near(areas.ledger)
    if all(item.is_plain for item in items):
        return _laid_over(items, areas)
    return dark_faces(items, areas)


class _Sheet(NamedTuple):
    """What some of the shapes make of the ground below them: `ink` within what they cover."""

    ink: Shape
    covered: Shape


def _laid_over(items: Iterable[Painted], areas: "Areas") -> Shape:
    """Shapes of one tone that follow each other are joined in one go, then laid over each other in pairs."""
    uses = [(item, stroke, _is_dark(paint, areas.view)) for item in items for paint, stroke in uses_of(item)]
    uses = uses[next((i for i, (*_, dark) in enumerate(uses) if dark), len(uses)) :]
    shapes = areas.of([(item, stroke) for item, stroke, _ in uses])
    laid = [(shape, dark) for shape, (*_, dark) in zip(shapes, uses, strict=True) if not shape.is_empty]
    sheets = [
        _sheet([shape for shape, _ in run], dark, areas.ledger) for dark, run in groupby(laid, lambda one: one[1])
    ]
    return _flat(sheets, True, areas.ledger).ink if sheets else NOTHING


def _is_dark(paint: Paint, view: View) -> bool:
    return paint.luminance() < view.dark_below


def _count(shapes: list[Shape]) -> int:
    return int(shapely.get_num_coordinates(shapes).sum())


def _sheet(run: list[Shape], adding: bool, ledger: Ledger) -> _Sheet:
    shape = joined(run, ledger)
    return _Sheet(shape if adding else NOTHING, shape)


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
