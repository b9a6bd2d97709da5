"""Several pieces on one item: front and back, a name under a crest, a border repeated around.

The item's wall is laid out flat: u runs around it [mm at the reference radius], v up towards the rim.

::

      v ^
        |    +--------+   width, height: of the piece's ink
        |    |  crest |   u, v: its middle
        |    +--------+
        |      name          zone: where nothing may be marked
        |  +-----+
        +--|zone |-----------------> u     the wall closes on itself after one turn
"""

from collections.abc import Callable, Iterator, Sequence
from math import floor, pi
from typing import Final, NamedTuple

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]
from pydantic import Field

from rotary.artwork.drawing import Drawing
from rotary.artwork.models import TYPED_MM
from rotary.artwork.overlay import Shape, clean_rings, common, joined_areas, without
from rotary.artwork.reshape import reshaped, shifted
from rotary.artwork.rings import Rings, bounds_mm, shapely_from_rings, turned
from rotary.errors import Fault, counted, refuse, refuse_all
from rotary.formulas.arrays import Floats
from rotary.model import Angle, Length, Model

UPRIGHT_STEP_MM: Final = 0.5
"""Edges are divided to this before a piece is set upright: a bellied wall (radius of its belly 60 mm or more) bends
what is farther from the middle than the wall is round by a micrometre then."""

TOUCH_MM2: Final = 1e-6  # overlaps smaller than this are what rounding leaves


class Placing(Model):
    """Where and how large a piece goes, and how it is turned into marks.

    Without `width_mm` and `height_mm` it keeps its own size; with one of them it keeps its proportions.
    `invert` marks what is light within the piece's box, widened by `margin_mm`. `repeat` sets it that
    often, evenly round the turn, which is `turn_mm` long at the piece's height (None: as at the reference).
    With `by_page` the drawing's page goes there instead of its ink, and is the box.
    """

    width_mm: Length | None = Field(default=None, gt=0)
    height_mm: Length | None = Field(default=None, gt=0)
    u_mm: Length = 0.0
    v_mm: Length = 0.0
    rotation_rad: Angle = Field(default=0.0, ge=-2 * pi, le=2 * pi)
    mirror: bool = False
    invert: bool = False
    margin_mm: Length = Field(default=0.0, ge=0)
    repeat: int = Field(default=1, ge=1, le=1000)
    turn_mm: Length | None = Field(default=None, gt=0)
    by_page: bool = False


Upright = Callable[[Floats, float], Floats]
"""Flat points (n, 2) of a piece whose middle lies at u, moved so that the piece stands upright on the item there."""


class ComposedPiece(NamedTuple):
    """A drawing, where it goes, and how it is kept upright away from the artwork's middle; None where it is anyway."""

    drawing: Drawing
    placing: Placing
    upright: Upright | None = None


class Zone(NamedTuple):
    """Where nothing may be marked: a region (u, v) [mm] of the flat artwork, on every turn that it falls on."""

    name: str
    region: Shape


class Overlap(NamedTuple):
    """Ink in a no-mark zone: which zone, how much of it is marked, and where (u, v of the middle)."""

    zone: str
    area_mm2: float
    u_mm: float
    v_mm: float

    def __str__(self) -> str:
        side, way = "right" if self.u_mm >= 0 else "left", "above" if self.v_mm >= 0 else "below"
        return (
            f"{self.area_mm2:.1f} mm² of the artwork lie where you must not mark ({self.zone}), "
            f"{abs(self.u_mm):.1f} mm {side} of the artwork's middle and {abs(self.v_mm):.1f} mm {way} it: move "
            "the artwork, or make it smaller"
        )


class Composition(NamedTuple):
    """One region of ink for the whole item, what of it lies in no-mark zones, what a person should know."""

    ink: Rings
    overlaps: tuple[Overlap, ...]
    notes: tuple[str, ...]


def composed(pieces: Sequence[ComposedPiece], turn_mm: float, zones: Sequence[Zone] = ()) -> Composition:
    """All pieces as one region. `turn_mm` is once round the item at the reference radius.

    Ink keeps the u it was given: what reaches past the end of the turn is not broken in two. Raises
    Refused: a size that isn't known, a piece longer than a turn, repeats that would lie on each other.

    >>> from rotary.artwork.rings import area_mm2, rings_from_list
    >>> square = Drawing("square", rings_from_list([[(0, 0), (2, 0), (2, 2), (0, 2)]]), 2, 2, True)
    >>> made = composed([ComposedPiece(square, Placing(width_mm=10.0, repeat=3))], turn_mm=100.0)
    >>> round(area_mm2(made.ink), 6), made.overlaps
    (300.0, ())
    """
    if not pieces:
        raise refuse("artwork.pieces", "there is nothing to mark: choose a drawing, or write a text")
    faults: list[Fault] = []
    for i, piece in enumerate(pieces):
        faults += _faults(piece, turn_mm, f"artwork.pieces.{i}")
    refuse_all(faults)
    placed = [_placed(piece) for piece in pieces]
    copies = [_repeated(shape, piece, turn_mm) for shape, piece in zip(placed, pieces, strict=True)]
    whole = joined_areas(copies)
    notes = tuple(_crowded(pieces, copies))
    twice = _marked_twice_mm2(whole, turn_mm)
    if twice > TOUCH_MM2:
        notes += (
            f"the pieces reach more than once round the item, so {twice:.1f} mm² would be marked twice: move a piece",
        )
    return Composition(clean_rings(whole), tuple(_overlaps(whole, zones)), notes)


def marked_size_mm(drawing: Drawing, placing: Placing) -> tuple[float, float]:
    """How wide and high a drawing comes out, before it is turned."""
    across, up = _scales(placing, drawing.ink_width_mm, drawing.ink_height_mm)
    return drawing.ink_width_mm * across, drawing.ink_height_mm * up


def place(drawing: Drawing, placing: Placing) -> Rings:
    """One drawing, sized, mirrored, inverted, turned and set down, without repeats.

    >>> from rotary.artwork.rings import rings_from_list
    >>> flag = Drawing("flag", rings_from_list([[(0, 0), (2, 0), (2, 1)]]), 2, 1, True)
    >>> bounds_mm(place(flag, Placing(width_mm=4.0, u_mm=10.0)))
    (8.0, -1.0, 12.0, 1.0)
    """
    faults = _faults(ComposedPiece(drawing, placing), float("inf"), "artwork")
    refuse_all(faults)
    return clean_rings(_placed(ComposedPiece(drawing, placing)))


def _faults(piece: ComposedPiece, turn_mm: float, where: str) -> list[Fault]:
    drawing, placing, _ = piece
    turn_mm = placing.turn_mm or turn_mm
    if len(drawing.ink.points_mm) == 0:
        return [Fault(where, f"{drawing.name} has nothing in it that can be marked: choose another drawing")]
    if placing.width_mm is None and placing.height_mm is None and not drawing.size_stated:
        return [Fault(f"{where}.width", f"{drawing.name} does not say how large it is: write its width, like 60 mm")]
    shape = _placed(piece)
    if shape.is_empty:
        says = (
            f"{drawing.name} is dark from edge to edge, so inverted it has nothing left to mark: enter a margin, or "
            "don't invert"
        )
        return [Fault(f"{where}.invert", says)]
    left, _, right, _ = shape.bounds
    reach = right - left
    if reach > turn_mm + TYPED_MM:
        says = f"{drawing.name} is {reach:.1f} mm wide, but the item is only {turn_mm:.1f} mm round: make it narrower"
        return [Fault(f"{where}.width", says)]
    if reach * placing.repeat > turn_mm + TYPED_MM:
        fits = max(1, floor(turn_mm / reach))
        says = (
            f"{placing.repeat} pieces of {reach:.1f} mm don't fit once round the item: repeat the piece at "
            f"most {counted(fits, 'time')}, or make it narrower"
        )
        return [Fault(f"{where}.repeat", says)]
    return []


def _placed(piece: ComposedPiece) -> Shape:
    drawing, placing, _ = piece
    left, bottom, right, top = bounds_mm(drawing.ink)
    across, up = _scales(placing, right - left, top - bottom)
    if placing.by_page:
        left, bottom, right, top = 0.0, 0.0, drawing.width_mm, drawing.height_mm
    middle = np.array([(left + right) / 2, (bottom + top) / 2])
    scale = np.array([-across if placing.mirror else across, up])
    shape = reshaped(shapely_from_rings(drawing.ink), lambda points: (points - middle) * scale)
    if placing.invert:
        half_w, half_h = across * (right - left) / 2 + placing.margin_mm, up * (top - bottom) / 2 + placing.margin_mm
        shape = without(shapely.box(-half_w, -half_h, half_w, half_h), shape)
    there = np.array([placing.u_mm, placing.v_mm])
    return reshaped(shape, lambda points: turned(points, placing.rotation_rad) + there)


def _scales(placing: Placing, width_mm: float, height_mm: float) -> tuple[float, float]:
    if placing.width_mm is not None:
        across = placing.width_mm / width_mm
        return across, placing.height_mm / height_mm if placing.height_mm is not None else across
    up = placing.height_mm / height_mm if placing.height_mm is not None else 1.0
    return up, up


def _repeated(shape: Shape, piece: ComposedPiece, turn_mm: float) -> Shape:
    """All copies, each upright where it is; several have their middles within half a turn of the artwork's."""
    placing = piece.placing
    times, turn_mm = placing.repeat, placing.turn_mm or turn_mm
    places = placing.u_mm + np.arange(times) * turn_mm / times
    if times > 1:
        places -= turn_mm * np.ceil(places / turn_mm - 0.5)
    copies = []
    for place in places.tolist():
        copy = shifted(shape, place - placing.u_mm, 0.0)
        if piece.upright is not None and place:
            upright = piece.upright
            copy = reshaped(shapely.segmentize(copy, UPRIGHT_STEP_MM), lambda p: upright(p, place))  # noqa: B023
        copies.append(copy)
    return joined_areas(copies)


def _marked_twice_mm2(whole: Shape, turn_mm: float) -> float:
    """Area that meets itself once the wall closes."""
    left, _, right, _ = whole.bounds
    turns = range(1, floor((right - left) / turn_mm) + 1)
    return sum(float(common(whole, shifted(whole, k * turn_mm, 0.0)).area) for k in turns)


def _crowded(pieces: Sequence[ComposedPiece], copies: Sequence[Shape]) -> Iterator[str]:
    """Pieces that lie on each other: their ink becomes one, which may not be what is meant."""
    for i, one in enumerate(copies):
        for j in range(i):
            shared = float(common(one, copies[j]).area)
            if shared > TOUCH_MM2:
                names = f"{pieces[j].drawing.name} and {pieces[i].drawing.name}"
                yield (
                    f"{names} overlap by {shared:.1f} mm². The overlap is marked only once: move one of the two if you "
                    "don't want that"
                )


def _overlaps(whole: Shape, zones: Sequence[Zone]) -> Iterator[Overlap]:
    for zone in zones:
        shared = common(whole, zone.region)
        if shared.area > TOUCH_MM2:
            yield Overlap(zone.name, float(shared.area), float(shared.centroid.x), float(shared.centroid.y))
