"""1  What is turned: the item as a person measured it, and the body that follows from it.

s runs along the axis from foot to rim [mm]; angles run around the item from its front [rad],
positive to the right as seen from the head with the rim at +Y.
"""

import math
from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise
from math import pi
from typing import Annotated, Final, Literal, NamedTuple

import numpy as np
from pydantic import AfterValidator, Field

from rotary.colours import plain_colour
from rotary.defaults import END_NAMES, measured_within_mm
from rotary.errors import Fault, refuse_all
from rotary.formulas import circle, revolution
from rotary.formulas.estimate import HOLDS_95
from rotary.formulas.meridian import SAME_HEIGHT_MM, MeasuredPlaces, Spread
from rotary.model import Angle, Length, Model, Thin
from rotary.shape import Doubt, Oval, Shape, SimplestWall, simplest_wall

End = Literal["base", "rim"]
ENDS: Final[tuple[End, End]] = ("base", "rim")


class Measurement(Model):
    """A place along the axis where the diameter was measured, across (calipers) or round (tape)."""

    at_mm: Length = Field(ge=0)
    across_mm: Length | None = Field(default=None, gt=0)
    round_mm: Length | None = Field(default=None, gt=0)
    second_across_mm: Length | None = Field(default=None, gt=0)
    corner: bool = False

    @property
    def diameter_mm(self) -> float:
        """Across the station, by whichever way it was measured."""
        return float(circle.diameter_from_round_mm(self.round_mm or 0.0)) if self.across_mm is None else self.across_mm


class Handle(Model):
    """Something that stands out of the wall."""

    angle_rad: Angle
    width_rad: Angle = Field(gt=0)
    reach_mm: Length = Field(gt=0)
    from_mm: Length
    to_mm: Length


class WeldLine(Model):
    """The item's own seam, where nothing should be marked."""

    angle_rad: Angle
    width_mm: Length = Field(gt=0)


class Item(Model):
    """What is turned, as measured.

    Heights are given from `heights_from`. A faceted item has `flats` and `across_flats_mm` and a
    `length_mm` in place of stations. `colour` is the coating's, for the eye alone: no number depends on it.
    Without `measuring_tolerance_mm` (95 %, of a diameter) it goes by tool and surface.
    """

    name: str = Field(min_length=1, max_length=120)
    heights_from: End = "base"
    measurements: tuple[Measurement, ...] = ()
    flats: int | None = Field(default=None, ge=3, le=48)
    across_flats_mm: Length | None = Field(default=None, gt=0)
    length_mm: Length | None = Field(default=None, gt=0)
    measuring_tolerance_mm: Length | None = Field(default=None, gt=0)
    metal: str = "stainless-304"
    coating: str | None = "polyester-powder-dark"
    coating_thickness_um: Thin | None = Field(default=None, gt=0)
    colour: Annotated[str, AfterValidator(plain_colour)] | None = None
    wall_mm: Length | None = Field(default=None, gt=0)
    solid: bool = False
    runout_mm: Length = Field(default=0.2, ge=0)
    handle: Handle | None = None
    weld_line: WeldLine | None = None

    def end_name(self, end: End) -> str:
        """What an end of the item is called: base and rim of what stands, end 1 and end 2 of a solid part."""
        base, rim = END_NAMES[self.solid]
        return base if end == "base" else rim

    def end_words(self, end: End) -> str:
        """An end of the item in a sentence."""
        return self.end_name(end) if self.solid else f"the {self.end_name(end)}"

    @property
    def front_mark(self) -> tuple[str, float] | None:
        """What on it says where its front is, from which angles count, and how far to the right of it that lies [rad];
        None where the front is anywhere."""
        if self.handle is not None:
            return "handle", self.handle.angle_rad
        return None if self.weld_line is None else ("weld line", self.weld_line.angle_rad)

    def within_mm(self, by_tape: bool = False) -> float:
        """How far a measured diameter may be off (95 %), by the tool it was measured with."""
        return self.measuring_tolerance_mm or measured_within_mm(by_tape, self.solid and self.coating is None)

    @property
    def measured_within_mm(self) -> float:
        """How far any of the measured diameters may be off (95 %)."""
        return max((self.within_mm(s.across_mm is None) for s in self.measurements), default=self.within_mm())


HEIGHT_WITHIN_MM: Final = 0.3
"""How far the height of a measured place may be off (95 %): a steel rule held beside (common practice, no source)."""

# Outside these bounds (field, least, most) a value is asked about: it makes more sense in the other system of units.
_USUAL: Final = (
    ("measuring_tolerance_mm", 0.002, 2.0),
    ("wall_mm", 0.1, 13.0),
    ("coating_thickness_um", 8.0, 1000.0),
    ("runout_mm", 0.0, 4.0),
)
_USUAL_DIAMETER_MM: Final = (1.0, 500.0)
_USUAL_CUP_MM: Final = 6.0
_USUAL_LENGTH_MM: Final = (1.0, 1500.0)


def s_from_height_mm(item: Item, body: Shape, at: float) -> float:
    """Height from the foot of a place that was measured from the item's datum [mm]."""
    return at if item.heights_from == "base" else body.length_mm - at


def height_from_s_mm(item: Item, body: Shape, s: float) -> float:
    """Distance from the item's datum of a place whose height from the foot is known [mm]."""
    return _from_datum(item, s, body.length_mm)


def handle_heights_mm(item: Item, body: Shape) -> tuple[float, float] | None:
    """Lower and upper end of the handle in s [mm], whichever way round they were given; None without one."""
    if item.handle is None:
        return None
    ends = s_from_height_mm(item, body, item.handle.from_mm), s_from_height_mm(item, body, item.handle.to_mm)
    return min(ends), max(ends)


class _Measured(NamedTuple):
    """A station as it counts: its place in the list, height from the datum, diameter with its half width (95 %),
    whether a corner, and its two diameters where they differ."""

    place: int
    at_mm: float
    diameter_mm: float
    within_mm: float
    corner: bool
    oval: Oval | None


def _measured(item: Item) -> tuple[list[_Measured], list[Fault]]:
    """Stations in order of height from the datum, and what is wrong with single ones."""
    measurements, faults = [], []
    for i, station in enumerate(item.measurements):
        across, where = station.across_mm, f"item.measurements.{i}"
        if (across is None) == (station.round_mm is None):
            both = "this height has both a diameter (across) and a girth (round): leave one of the two out"
            says = both if across else "this height has no diameter: give a diameter or a girth, like 88 mm"
            faults.append(Fault(f"{where}.across", says))
            continue
        diameter_mm, second = station.diameter_mm, station.second_across_mm
        if second is not None and across is None:
            says = "this height has a second diameter but no first one: give both, or neither"
            faults.append(Fault(f"{where}.second_across", says))
        within_mm, oval = item.within_mm(across is None), None
        if second is not None:
            oval = Oval(min(diameter_mm, second), max(diameter_mm, second), i)
            diameter_mm = (diameter_mm + second) / 2
        oval = oval if oval and oval.differ_mm > within_mm else None
        measurements.append(_Measured(i, station.at_mm, diameter_mm, within_mm, station.corner, oval))
    measurements.sort(key=lambda station: station.at_mm)
    for lower, upper in pairwise(measurements):
        if upper.at_mm - lower.at_mm < SAME_HEIGHT_MM:
            says = (
                f"two rows have the height {upper.at_mm:g} mm: delete one row. For a shoulder enter two heights "
                "0.5 mm apart, and mark both as corners"
            )
            faults.append(Fault(f"item.measurements.{upper.place}.at", says))
    return measurements, faults


def _how_it_is_given(item: Item) -> Iterator[Fault]:
    """Whether stations or flats describe the item, and all of what that needs."""
    if item.flats is None and item.across_flats_mm is None:
        if not item.measurements:
            says = "no diameter is given: write a height and its diameter, like 0 mm and 88 mm, and the item's length"
            yield Fault("item.measurements", says)
        elif item.length_mm is None and len(item.measurements) == 1:
            says = "the item's length is not known: give its length, like 120 mm, or measure at a second height"
            yield Fault("item.length", says)
        return
    if item.measurements:
        yield Fault("item.measurements", "an item has diameters or flats: leave one of the two out")
    needed = (
        ("flats", item.flats, "the number of its flats, like 6"),
        ("across_flats", item.across_flats_mm, "its size across flats, like 16 mm"),
        ("length", item.length_mm, "its length, like 20 mm"),
    )
    for name, value, example in needed:
        if value is None:
            yield Fault(f"item.{name}", f"this item has flats: write {example}")


def _length_mm(item: Item, measurements: list[_Measured]) -> tuple[float, list[Fault]]:
    largest = max((station.at_mm for station in measurements), default=0.0)
    if item.length_mm is None:
        return largest, []
    beyond = [station for station in measurements if station.at_mm > item.length_mm + SAME_HEIGHT_MM]
    says = "you measured at {:g} mm, but the item is only {:g} mm long: write a smaller height or a greater length"
    return item.length_mm, [
        Fault(f"item.measurements.{station.place}.at", says.format(station.at_mm, item.length_mm)) for station in beyond
    ]


def _from_datum(item: Item, s_mm: float, length_mm: float) -> float:
    return s_mm if item.heights_from == "base" else length_mm - s_mm


def _past_a_point(item: Item, shape: SimplestWall, length_mm: float) -> list[Fault]:
    """The wall must not reach the axis before the item ends, beyond its stations or between two of them."""
    ends: tuple[tuple[float, End], ...] = ((0.0, "base"), (length_mm, "rim"))
    for end_mm, end in ends:
        r, along = revolution.radius_and_slope(shape.curve, end_mm)
        if r <= 0:
            point_mm = end_mm - float(r) / float(along)
            from_datum, name = _from_datum(item, point_mm, length_mm), item.end_words(end)
            says = (
                f"by your diameters the item ends in a point {from_datum:.4g} mm from "
                f"{item.end_words(item.heights_from)}: measure near {name} too, or correct length or diameters"
            )
            return [Fault("item.length" if item.length_mm else "item.measurements", says)]
    # The cubic pieces may dip between their knots too.
    knots = shape.curve.s_mm
    inside = np.interp(np.arange(0, len(knots) - 1, 1 / 32), np.arange(len(knots)), knots)
    inside = inside[(revolution.radius_mm(shape.curve, inside) <= 0) & (inside > 0) & (inside < length_mm)]
    if len(inside):
        says = (
            f"between your heights the item could narrow to nothing {_from_datum(item, inside[0], length_mm):.4g} mm "
            f"from {item.end_words(item.heights_from)}: measure the diameter there, or mark the shoulders as corners"
        )
        return [Fault("item.measurements", says)]
    return []


def _extras(item: Item, length_mm: float, least_radius_mm: float) -> Iterator[Fault]:
    """Wall, coating with its colour, runout, handle and weld line against the body they belong to."""
    if item.wall_mm and item.solid:
        yield Fault("item.wall", 'a solid item has no wall: leave the wall out, or choose no under "solid"')
    elif item.wall_mm and item.wall_mm >= least_radius_mm:
        says = (
            f"a wall {item.wall_mm:g} mm thick doesn't fit into an item {2 * least_radius_mm:.4g} mm across: correct "
            "the wall (of a double wall only the outer one) or the diameter, or choose solid"
        )
        yield Fault("item.wall", says)
    thick_mm = (item.coating_thickness_um or 0.0) / 1000
    if thick_mm and item.coating is None:
        says = "bare metal has no coating thickness: name the coating, or leave the thickness out"
        yield Fault("item.coating_thickness", says)
    elif thick_mm >= least_radius_mm:
        says = f'a coating of {thick_mm:g} mm is thicker than half the item: write micrometres, like "60 um"'
        yield Fault("item.coating_thickness", says)
    if item.colour is not None and item.coating is None:
        # Either is a slip, and a coating planned as bare metal would be marked with the wrong settings.
        says = "bare metal has no coating colour: name the coating, or leave the colour out"
        yield Fault("item.colour", says)
    if item.runout_mm >= least_radius_mm:
        says = f"{item.runout_mm:g} mm can't be right: write how far the needle of a dial indicator moves in one turn"
        yield Fault("item.runout", says)
    yield from _standing_out(item, length_mm, least_radius_mm)


def _standing_out(item: Item, length_mm: float, least_radius_mm: float) -> Iterator[Fault]:
    handle, weld = item.handle, item.weld_line
    if handle and handle.width_rad >= 2 * pi:
        says = 'a handle can\'t reach all the way round: write the angle that it covers, like "30 deg"'
        yield Fault("item.handle.width", says)
    if handle and abs(handle.from_mm - handle.to_mm) < SAME_HEIGHT_MM:
        says = "the handle begins and ends at the same height: write the heights of its lower and upper end"
        yield Fault("item.handle.to", says)
    elif handle and (max(handle.from_mm, handle.to_mm) <= 0 or min(handle.from_mm, handle.to_mm) >= length_mm):
        says = f"the handle lies past the item's end: write heights from 0 to {length_mm:g} mm"
        yield Fault("item.handle.from", says)
    if weld and weld.width_mm >= 2 * pi * least_radius_mm:
        says = f"{weld.width_mm:g} mm is more than once round the item: write only the weld line's width, like 3 mm"
        yield Fault("item.weld_line.width", says)


def _other_system(of: str, value: float, least: float, most: float, unit: Literal["mm", "um"]) -> list[Doubt]:
    """A doubt about a value that only makes sense in the other system of units; never a correction."""
    return (
        [] if least <= value <= most else [Doubt(id="other_unit", value=value, of=of, unit=unit, small=value < least)]
    )


def _doubts(item: Item, length_mm: float, least_mm: float, most_mm: float) -> tuple[Doubt, ...]:
    narrow, wide = _USUAL_DIAMETER_MM
    hollow = item.flats is None and not item.solid
    doubts = _other_system("diameter", most_mm, _USUAL_CUP_MM if hollow else narrow, wide, "mm")
    doubts = doubts or _other_system("smallest_diameter", least_mm, narrow, math.inf, "mm")
    doubts += _other_system("length", length_mm, *_USUAL_LENGTH_MM, "mm")
    for field, least, most in _USUAL:
        value, (of, _, unit) = getattr(item, field), field.rpartition("_")
        if value is not None:
            doubts += _other_system(of, value, least, most, "um" if unit == "um" else "mm")
    return tuple(doubts)


def _faceted(item: Item) -> Shape:
    flats, across_mm, length_mm = item.flats or 0, item.across_flats_mm or 0.0, item.length_mm or 0.0
    refuse_all(_extras(item, length_mm, across_mm / 2))
    u = item.within_mm() / 2 / HOLDS_95
    return Shape(
        curve=revolution.straight_curve(across_mm / 2, 0.0, length_mm),
        length_mm=length_mm,
        shape="flats",
        half_angle_rad=0.0,
        cone_residual_mm=None,
        flats=flats,
        diameters_mm=(across_mm, across_mm),
        doubts=_doubts(item, length_mm, across_mm, across_mm),
        spread=Spread(np.array([0.0, length_mm]), np.array([u, u])),
    )


def _places(item: Item, measurements: list[_Measured], length_mm: float) -> MeasuredPlaces:
    """The stations as places from the foot up."""
    if item.heights_from == "rim":
        measurements = measurements[::-1]
    s_mm = [station.at_mm if item.heights_from == "base" else length_mm - station.at_mm for station in measurements]
    return MeasuredPlaces(
        np.array(s_mm),
        np.array([station.diameter_mm for station in measurements]) / 2,
        np.array([station.within_mm for station in measurements]) / 2 / HOLDS_95,
        HEIGHT_WITHIN_MM / HOLDS_95,
        np.array([station.corner for station in measurements]),
    )


def with_place(item: Item, s_mm: float) -> Item:
    """The item with one more diameter measured at this height from the foot, where its shape is likeliest."""
    shape = fitted_shape(item)
    place = Measurement(at_mm=height_from_s_mm(item, shape, s_mm), across_mm=2 * float(shape.radius_mm(s_mm)))
    return Item(**dict(item) | {"measurements": (*item.measurements, place), "length_mm": shape.length_mm})


@lru_cache(maxsize=64)
def fitted_shape(item: Item) -> Shape:
    """The body that the measurements describe, fitted once; raises Refused with every fault at once."""
    faults = [*_how_it_is_given(item)]
    if not faults and item.flats:
        return _faceted(item)
    measurements, wrong = _measured(item)
    length_mm, beyond = _length_mm(item, measurements)
    refuse_all([*faults, *wrong, *beyond])
    places = _places(item, measurements, length_mm)
    shape = simplest_wall(places, length_mm, max(station.within_mm for station in measurements))
    refuse_all(_past_a_point(item, shape, length_mm))
    diameters = [*(2 * places.radius_mm), *(2 * revolution.radius_mm(shape.curve, [0.0, length_mm]))]
    least_mm, most_mm = float(min(diameters)), float(max(diameters))
    refuse_all(_extras(item, length_mm, least_mm / 2))
    has_edge = not math.isnan(shape.edge_mm)
    edge = [Doubt(id="edge", value=_from_datum(item, shape.edge_mm, length_mm))] if has_edge else []
    return Shape(
        curve=shape.curve,
        length_mm=length_mm,
        shape=shape.kind,
        half_angle_rad=shape.half_angle_rad,
        cone_residual_mm=shape.cone_residual_mm,
        flats=None,
        diameters_mm=(2 * float(places.radius_mm.min()), 2 * float(places.radius_mm.max())),
        doubts=(*edge, *_doubts(item, length_mm, least_mm, most_mm)),
        spread=shape.spread,
        measured_mm=tuple(places.s_mm.tolist()),
        edge_mm=shape.edge_mm if has_edge else None,
        oval=max((s.oval for s in measurements if s.oval), key=lambda oval: oval.differ_mm, default=None),
    )
