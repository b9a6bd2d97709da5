"""How artwork of a given size lands on the body: angles, widths, what is seen, what is distorted."""

from collections.abc import Iterator
from math import atan, degrees, floor, log10, pi
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from rotary.artwork.back import flat_from_wall_mm
from rotary.artwork.models import TYPED_MM, Artwork, Layout, LayoutNote, LayoutRow, MapName, Piece
from rotary.errors import Fault, refuse_all
from rotary.formulas import circle, maps, prism, revolution
from rotary.formulas.arrays import Floats
from rotary.formulas.circle import within_half_turn
from rotary.item import Item, handle_heights_mm, height_from_s_mm, s_from_height_mm
from rotary.model import Values
from rotary.shape import Shape

__all__ = ["Artwork", "Layout", "LayoutRow", "MapName", "layout"]


ROWS: Final = 7
SEEN_RAD: Final = pi / 3
"""What is called seen from the front: past 60 degrees a wall is foreshortened to less than half."""

FRONT_VIEW_EDGE: Final = 0.995
"""Share of the half width that front-view may use: at its end ink is stretched tenfold along the ring."""

FULL_WRAP_SLACK: Final = 0.05
"""How far, as a share of a turn, artwork may miss the full turn that it is meant to make."""

NOTED_ANGLE_RAD: Final = 0.035
"""A right angle that is off by less than two degrees isn't noticed on artwork (estimate)."""

_ROUNDING: Final = 1e-9


class _Lay(NamedTuple):
    """The artwork's right half on seven rows, top to bottom: heights of its middle and of its edges, both with
    their radii, and the edges' angle (7,); Tissot's factors at middle, half way and edge (7, 3)."""

    s_mm: Floats
    radius_mm: Floats
    edge_s_mm: Floats
    edge_radius_mm: Floats
    edge_angle_rad: Floats
    factors: maps.Tissot


class _Place(NamedTuple):
    """Where the artwork lies: from and to in s, its middle in s and the radius there."""

    from_mm: float
    to_mm: float
    centre_mm: float
    radius_mm: float


def _down(value: float) -> str:
    """A length for a sentence, four digits, never more than it is."""
    step = 10.0 ** (floor(log10(value)) - 3) if value > 0 else 1.0
    return f"{floor(value / step + _ROUNDING) * step:.4g}"


def _laid(artwork: Artwork, body: Shape, centre_mm: float) -> _Lay:
    place, derivative = maps.MAPS[artwork.surface_map]
    u = artwork.width_mm / 2 * np.array([0.0, 0.5, 1.0])
    v = np.linspace(artwork.height_mm / 2, -artwork.height_mm / 2, ROWS)[:, None]
    s, angle = place(body.curve, centre_mm, u, v)
    r = revolution.radius_mm(body.curve, s)
    factors = maps.tissot(body.curve, s, derivative(body.curve, centre_mm, u, v))
    return _Lay(s[:, 0], r[:, 0], s[:, 2], r[:, 2], angle[:, 2], factors)


def _widest_mm(surface_map: MapName, body: Shape, place: _Place, angle_rad: float) -> float:
    """Width of artwork that takes up this angle at most, anywhere over the band."""
    r = body.radius_mm(np.linspace(place.from_mm, place.to_mm, 2 * ROWS + 1))
    widest = maps.width_within_angle_mm(surface_map, r, place.radius_mm, body.half_angle_rad, angle_rad)
    return float(widest.min()) * (FRONT_VIEW_EDGE if surface_map == "front-view" else 1.0)


def _map_faults(artwork: Artwork, body: Shape, place: _Place) -> list[Fault]:
    """What the surface map can't do with this artwork on this body."""
    if artwork.surface_map == "label" and not revolution.is_straight(body.curve):
        says = (
            "artwork can lie like a label only on a straight or evenly tapered wall, and this wall is neither: "
            'choose "true width" under "on a taper"'
        )
        return [Fault("artwork.surface_map", says)]
    if artwork.surface_map == "front-view":
        if artwork.full_wrap:
            says = (
                "artwork as seen from the front covers one side of the item, so it can't go all round: under "
                '"on a taper" choose "true width" or "with the taper"'
            )
            return [Fault("artwork.surface_map", says)]
        widest_mm = _widest_mm("front-view", body, place, pi)
        if artwork.width_mm > widest_mm * (1 + _ROUNDING):
            says = (
                f"from the front you see a width of {_down(widest_mm)} mm at most, and the artwork is "
                f"{artwork.width_mm:g} mm wide: make it narrower, or choose another setting under "
                '"on a taper"'
            )
            return [Fault("artwork.width", says)]
    return []


def _band_faults(artwork: Artwork, item: Item, body: Shape, centre_mm: float) -> list[Fault]:
    """Artwork whose middle column hangs over the rim or the foot."""
    half_mm, length_mm = artwork.height_mm / 2, body.length_mm
    if artwork.surface_map == "front-view":
        low_mm, high_mm, room_mm = half_mm, length_mm - half_mm, length_mm
    else:
        foot_mm, rim_mm = revolution.arc_from_height_mm(body.curve, [0.0, length_mm]).tolist()
        low_mm, high_mm = revolution.height_from_arc_mm(body.curve, [foot_mm + half_mm, rim_mm - half_mm]).tolist()
        room_mm = rim_mm - foot_mm
    slack_mm = _ROUNDING * length_mm
    if artwork.height_mm > room_mm + slack_mm:
        says = f"the item's wall is {room_mm:.4g} mm long: make the artwork at most {_down(room_mm)} mm high"
        return [Fault("artwork.height", says)]
    if low_mm - slack_mm <= centre_mm <= high_mm + slack_mm:
        return []
    ends = sorted(height_from_s_mm(item, body, s) for s in (low_mm, high_mm))
    over = "rim" if centre_mm > high_mm else "base"
    says = (
        f"the artwork would reach past the {over}: put its middle between {ends[0]:.2f} and {ends[1]:.2f} mm from "
        f"{item.end_words(item.heights_from)}, or reduce the artwork's height"
    )
    return [Fault("artwork.centre", says)]


def _corner_faults(body: Shape, lay: _Lay) -> list[Fault]:
    """Corners of a decal, which lie higher or lower than its middle column."""
    over_mm = float(lay.edge_s_mm.max()) - body.length_mm
    under_mm = -float(lay.edge_s_mm.min())
    if max(over_mm, under_mm) <= _ROUNDING * body.length_mm:
        return []
    end, past_mm = ("rim", over_mm) if over_mm > under_mm else ("base", under_mm)
    says = (
        f"laid like a label, the artwork would reach {past_mm:.3g} mm past the {end} at its corners: "
        f"make it narrower, reduce its height, move it away from the {end}, or choose "
        '"true width" under "on a taper"'
    )
    return [Fault("artwork.centre", says)]


def _turn_faults(artwork: Artwork, body: Shape, place: _Place, angle_rad: float) -> list[Fault]:
    """Artwork that goes round more than once, or misses the full turn that it is meant to make."""
    if artwork.full_wrap:
        turn_mm = 2 * pi * place.radius_mm
        if abs(artwork.width_mm / turn_mm - 1) <= FULL_WRAP_SLACK:
            return []
        says = (
            f"the artwork is {artwork.width_mm:g} mm wide, but once round the item is {turn_mm:.5g} mm: make the "
            f'artwork {turn_mm:.5g} mm wide, or choose no under "full wrap"'
        )
        return [Fault("artwork.width", says)]
    if angle_rad <= 2 * pi + TYPED_MM / place.radius_mm:
        return []
    widest_mm = _widest_mm(artwork.surface_map, body, place, 2 * pi)
    says = (
        f"{artwork.width_mm:g} mm is more than once round the item: make the artwork at most {_down(widest_mm)} mm wide"
    )
    return [Fault("artwork.width", says)]


def _handle_faults(artwork: Artwork, item: Item, body: Shape, place: _Place, angle_rad: float) -> list[Fault]:
    """Artwork that would lie on the handle."""
    heights = handle_heights_mm(item, body)
    if item.handle is None or heights is None or heights[1] <= place.from_mm or heights[0] >= place.to_mm:
        return []
    apart = abs(within_half_turn(item.handle.angle_rad - artwork.centre_angle_rad))
    width_rad = item.handle.width_rad
    if apart >= (angle_rad + width_rad) / 2 - _ROUNDING:
        return []
    if angle_rad + width_rad <= 2 * pi:
        opposite = -degrees(within_half_turn(pi - item.handle.angle_rad)) + 0.0
        says = f"the artwork would lie on the handle: put its middle opposite, at {opposite:.4g} deg"
        clear_mm = _widest_mm(artwork.surface_map, body, place, max(2 * apart - width_rad, 0.0))
        if clear_mm > 0:
            says += f", or make it at most {_down(clear_mm)} mm wide"
        return [Fault("artwork.centre_angle", says)]
    clear_mm = _widest_mm(artwork.surface_map, body, place, 2 * pi - width_rad)
    says = (
        f"the artwork would lie on the handle: make it at most {_down(clear_mm)} mm wide, with its middle opposite the "
        "handle"
    )
    return [Fault("artwork.width", says)]


def _weld_notes(artwork: Artwork, item: Item, place: _Place, angle_rad: float) -> Iterator[LayoutNote]:
    if item.weld_line is None:
        return
    beside = within_half_turn(item.weld_line.angle_rad - artwork.centre_angle_rad)
    if abs(beside) >= angle_rad / 2 + item.weld_line.width_mm / 2 / place.radius_mm:
        return
    beside_mm, side = abs(beside) * place.radius_mm, "right" if beside > 0 else "left"
    values: Values = {"beside_mm": beside_mm, "side": side, "white_mm": item.weld_line.width_mm}
    yield LayoutNote(id="on_weld", values=values)


def _visible_share(artwork: Artwork, body: Shape, place: _Place, lay: _Lay) -> float:
    """Share of the artwork's area within 60 degrees of its own middle."""
    seen_mm = maps.width_within_angle_mm(
        artwork.surface_map, lay.radius_mm, place.radius_mm, body.half_angle_rad, 2 * SEEN_RAD
    )
    return float(np.minimum(seen_mm / artwork.width_mm, 1.0).mean())


def _rows(artwork: Artwork, item: Item, body: Shape, place: _Place, lay: _Lay) -> tuple[LayoutRow, ...]:
    width_mm = artwork.width_mm
    angle_rad = 2 * lay.edge_angle_rad
    on_wall_mm = np.full(ROWS, width_mm) if artwork.surface_map == "label" else lay.radius_mm * angle_rad
    if artwork.surface_map == "front-view":
        correction = np.sinc(width_mm / (2 * pi * lay.radius_mm))
    else:
        correction = width_mm / on_wall_mm
    columns = (
        lay.s_mm,
        lay.s_mm if item.heights_from == "base" else body.length_mm - lay.s_mm,
        lay.radius_mm,
        on_wall_mm,
        angle_rad,
        lay.edge_radius_mm * (2 * pi - angle_rad),
        lay.factors.stretch_max.max(1),
        lay.factors.stretch_min.min(1),
        lay.factors.angular_distortion_rad.max(1),
        correction,
        angle_rad * place.radius_mm / width_mm,
    )
    return tuple(_row(*values) for values in np.column_stack(columns).tolist())


def _row(*values: float) -> LayoutRow:
    """A row from its values, in the order of its fields."""
    return LayoutRow(**dict(zip(LayoutRow.model_fields, values, strict=True)))


def _notes(artwork: Artwork, rows: tuple[LayoutRow, ...], lay: _Lay, visible_share: float) -> Iterator[LayoutNote]:
    top, bottom = rows[0], rows[-1]
    if artwork.full_wrap:
        least, most = min(row.gap_mm for row in rows), max(row.gap_mm for row in rows)
        if most - least > 0.005:
            yield LayoutNote(id="ends_differ", values={"top_mm": top.gap_mm, "bottom_mm": bottom.gap_mm})
        elif abs(most) > 0.005:
            yield LayoutNote(id="ends_miss", values={"gap_mm": most})
    upper_mm, lower_mm = top.width_on_wall_mm, bottom.width_on_wall_mm
    if artwork.surface_map == "with-taper" and abs(upper_mm - lower_mm) > 0.005 * artwork.width_mm:
        yield LayoutNote(id="follows_taper", values={"upper_mm": upper_mm, "lower_mm": lower_mm})
    turned = max(row.angular_distortion_rad for row in rows)
    if turned > NOTED_ANGLE_RAD:
        yield LayoutNote(id="angles_off", values={"off_deg": degrees(turned)})
    bow_mm = float(np.abs(lay.edge_s_mm - lay.s_mm).max())
    if bow_mm > 0.05:
        yield LayoutNote(id="bowed", values={"bow_mm": bow_mm})
    if visible_share < 0.995:
        yield LayoutNote(id="from_front", values={"percent": 100 * visible_share})


def _on_a_flat(artwork: Artwork, item: Item, body: Shape, flats: int, place: _Place) -> Layout:
    """Artwork on one flat of a faceted item: nothing is bent, and an index turns from flat to flat."""
    room_mm = float(circle.flat_width_mm(2 * place.radius_mm, flats))
    faults, width_mm = [], artwork.width_mm
    if artwork.full_wrap:
        says = "on an item with flats the artwork lies on one flat, so it can't go all the way round"
        faults.append(Fault("artwork.full_wrap", says))
    elif width_mm > room_mm * (1 + _ROUNDING):
        says = (
            f"{width_mm:g} mm is wider than a flat of {room_mm:.4g} mm: make the artwork at most {_down(room_mm)} mm "
            "wide"
        )
        faults.append(Fault("artwork.width", says))
    turns = artwork.centre_angle_rad * flats / (2 * pi)
    if abs(turns - round(turns)) > 1e-3:
        says = (
            'the artwork is off the middle of a flat: as its angle write "0 deg" or a multiple of '
            f'"{360 / flats:.5g} deg"'
        )
        faults.append(Fault("artwork.centre_angle", says))
    angle_rad = 2 * atan(width_mm / (2 * place.radius_mm))
    faults += _handle_faults(artwork, item, body, place, angle_rad)
    refuse_all(faults)
    rows = tuple(
        _row(
            s, height_from_s_mm(item, body, s), place.radius_mm, width_mm, angle_rad, room_mm - width_mm, 1, 1, 0, 1, 1
        )
        for s in np.linspace(place.to_mm, place.from_mm, ROWS).tolist()
    )
    turned = LayoutNote(id="on_flat", values={"flats": flats, "turn_deg": 360 / flats, "room_mm": room_mm})
    notes = (turned, *_weld_notes(artwork, item, place, angle_rad))
    return _summary(artwork, rows, place, angle_rad, 1.0, notes)


def _summary(
    artwork: Artwork,
    rows: tuple[LayoutRow, ...],
    place: _Place,
    angle_rad: float,
    visible_share: float,
    notes: tuple[LayoutNote, ...],
) -> Layout:
    middle = rows[ROWS // 2]
    return Layout(
        artwork_from_mm=place.from_mm,
        artwork_to_mm=place.to_mm,
        centre_mm=place.centre_mm,
        reference_radius_mm=place.radius_mm,
        total_angle_rad=angle_rad,
        width_top_mm=rows[0].width_on_wall_mm,
        width_centre_mm=middle.width_on_wall_mm,
        width_bottom_mm=rows[-1].width_on_wall_mm,
        gap_mm=middle.gap_mm,
        centre_angle_rad=artwork.centre_angle_rad,
        visible_share=visible_share,
        stretch_max=max(row.stretch_max for row in rows),
        stretch_min=min(row.stretch_min for row in rows),
        rows=rows,
        notes=notes,
    )


class Ground(NamedTuple):
    """What artwork is put on: its own table of the job, the item, its fitted shape, and where the artwork lies."""

    artwork: Artwork
    item: Item
    shape: Shape
    layout: Layout

    @property
    def once_round_mm(self) -> float:
        """Round a turned body, or along the flats of a faceted one, corner to corner."""
        r, flats = self.layout.reference_radius_mm, self.shape.flats
        return 2 * pi * r if flats is None else flats * float(circle.flat_width_mm(2 * r, flats))

    def height_mm(self, piece: Piece) -> float:
        """Height s of a piece's middle."""
        own = piece.centre_mm
        return float(self.layout.centre_mm if own is None else s_from_height_mm(self.item, self.shape, own))

    def around_rad(self, angle_rad: float) -> float:
        """An angle from the item's front, counted from the artwork's middle, within half a turn."""
        return float(within_half_turn(angle_rad - self.artwork.centre_angle_rad))

    def flat_mm(self, s_mm: ArrayLike, around_rad: ArrayLike) -> tuple[Floats, Floats]:
        """Where places of the wall lie on the flat artwork (u, v); nan where the map lays nothing."""
        if self.shape.flats is None:
            return flat_from_wall_mm(
                self.artwork.surface_map, self.shape.curve, self.layout.centre_mm, s_mm, around_rad
            )
        # A flat bends nothing, whatever the surface map: the artwork lies on the flats side by side.
        u = prism.unrolled_from_angle_mm(around_rad, self.layout.reference_radius_mm, self.shape.flats)
        return np.asarray(u), np.asarray(s_mm, float) - self.layout.centre_mm


def layout(artwork: Artwork, item: Item, body: Shape) -> Layout:
    """Where the artwork lands; raises Refused (past the rim, wider than a turn, on the handle)."""
    centre_mm = s_from_height_mm(item, body, artwork.centre_mm)
    faults = _band_faults(artwork, item, body, centre_mm)
    refuse_all(faults)
    radius_mm = float(body.radius_mm(centre_mm))
    half_mm = artwork.height_mm / 2
    rough = _Place(max(centre_mm - half_mm, 0.0), min(centre_mm + half_mm, body.length_mm), centre_mm, radius_mm)
    if body.flats:
        return _on_a_flat(artwork, item, body, body.flats, rough)
    faults = _map_faults(artwork, body, rough)
    refuse_all(faults)
    lay = _laid(artwork, body, centre_mm)
    heights = np.concatenate([lay.s_mm, lay.edge_s_mm])
    from_mm, to_mm = float(heights.min()), float(heights.max())
    place = _Place(max(from_mm, 0.0), min(to_mm, body.length_mm), centre_mm, radius_mm)
    angle_rad = 2 * float(lay.edge_angle_rad.max())
    faults = _corner_faults(body, lay) + _turn_faults(artwork, body, place, angle_rad)
    if artwork.full_wrap or abs(angle_rad - 2 * pi) * radius_mm <= TYPED_MM:
        angle_rad = 2 * pi
    faults += _handle_faults(artwork, item, body, place, angle_rad)
    refuse_all(faults)
    rows = _rows(artwork, item, body, place, lay)
    visible_share = _visible_share(artwork, body, place, lay)
    notes = (*_notes(artwork, rows, lay, visible_share), *_weld_notes(artwork, item, place, angle_rad))
    return _summary(artwork, rows, place, min(angle_rad, 2 * pi), visible_share, notes)
