"""The item to scale: from its end, from its side, and its wall unrolled."""

from collections.abc import Callable
from math import cos, pi, sin, tan
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from rotary.artwork.rings import Rings, list_from_rings
from rotary.artwork.wall import on_wall
from rotary.formulas.arrays import Floats
from rotary.formulas.circle import within_half_turn
from rotary.item import handle_heights_mm
from rotary.papers.drawing import (
    CENTRE,
    DASHED,
    DOTTED,
    FIRM_MM,
    HAIR_MM,
    HEAVY_MM,
    THIN_MM,
    Area,
    Mark,
    PaperPicture,
    Words,
    arc,
    area,
    corners,
    line,
)
from rotary.papers.letters import clipped, wide_mm
from rotary.papers.sizes import Sizes
from rotary.papers.true_size import LETTER_MM
from rotary.plan import Plan
from rotary.shape import Shape
from rotary.turning import Rollers

PALE, MIDDLE = 0.9, 0.7
Onto: TypeAlias = Callable[..., Floats]
KEY = "thick: artwork, dashed: focus"
OUTLINE_MM = 0.02
"""How near the drawn artwork follows the mapped one: below what a printer shows."""


def _scale_words(scale: float) -> str:
    """A scale as drawings name it.

    >>> _scale_words(0.5), _scale_words(4.0)
    ('1 : 2', '4 : 1')
    """
    return f"{scale:.3g} : 1" if scale >= 1 else f"1 : {1 / scale:.3g}"


def _round(plan: Plan, shape: Shape) -> Floats:
    """The outline seen from the end about its axis (n, 2) [mm]."""
    radius = plan.layout.reference_radius_mm
    if not shape.flats:
        return arc(0.0, 0.0, radius)
    turn = 2 * pi * (np.arange(shape.flats + 1) + 0.5) / shape.flats
    corner = radius / cos(pi / shape.flats)
    return np.stack([corner * np.sin(turn), corner * np.cos(turn)], axis=1)


def end_view(plan: Plan, sizes: Sizes, wide: float, high: float) -> PaperPicture:
    """The round from its end: drive, slices, focal plane; beside it one slice, its sag drawn larger."""
    room = 0.6 * wide
    marks, scale = _end(plan, room - 2.0, high - 3.4)
    split, sharp = plan.split, plan.focus
    texts = [
        ("slice", sizes.length(split.slice_width_mm)),
        ("drop", f"{sizes.fine(split.edge_drop_mm, signed=False)} {sizes.fine_unit}"),
        ("plane", sizes.length(sharp.plane_over_apex_mm, signed=True)),
        ("apex", sizes.length(sharp.apex_height_mm)),
    ]
    marks += _detail(plan, room, wide, high - 2.0)
    for place, (name, text) in enumerate(reversed(texts)):
        y = 0.6 + place * 1.3 * LETTER_MM
        left = wide - room - wide_mm(text, LETTER_MM, "bold") - 1.0
        marks.append(Words(clipped(name, left, LETTER_MM, "narrow"), room, y, LETTER_MM, face="narrow"))
        marks.append(Words(text, wide, y, LETTER_MM, "end", "bold"))
    end = plan.job.item.end_words("base")
    marks.append(Words(f"seen from {end}, {_scale_words(scale)}", 0.0, 0.6, LETTER_MM))
    says = (
        f"slice {texts[0][1]} wide, drop at its edge {texts[1][1]}, focus {texts[2][1]} over the apex, apex "
        f"{texts[3][1]} over the bed, {split.slices} slices."
    )
    return PaperPicture(wide, high, tuple(marks), "End view", says)


def _end(plan: Plan, wide: float, high: float) -> tuple[list[Mark], float]:
    drive, radius, shape = plan.job.turning, plan.layout.reference_radius_mm, plan.shape
    rollers = isinstance(drive, Rollers)
    axis = max(plan.focus.apex_height_mm - radius, 0.0)
    roller_axis = axis
    half = radius / (cos(pi / shape.flats) if shape.flats else 1.0)
    reach = plan.job.item.handle.reach_mm if plan.job.item.handle else 0.0
    half = max(half, radius + reach)
    low = 0.0
    if isinstance(drive, Rollers):
        cradle, contact = plan.turning.cradle, plan.turning.contact_mm
        rise = plan.turning.axis_height_mm - drive.axis_height_mm
        if cradle is not None and contact is not None:
            rise = cradle.axis_height_mm - drive.axis_height_mm
            rise += (plan.layout.centre_mm - contact) * tan(cradle.tilt_rad)
        roller_axis = axis - rise
        half = max(half, (drive.centres_mm + drive.roller_diameter_mm) / 2)
    else:
        # The bed is shown where it is near; a chuck may hold the item high over it.
        below = axis - half
        low = min(below - 0.06 * radius, 0.0) if below < 0.8 * radius else below - 0.06 * radius
    plane = plan.focus.focal_plane_mm
    top = max(axis + radius, plane) + 0.04 * radius
    scale = min(wide / (2 * half), high / (top - low))
    x0, y0 = wide / 2, 3.6 - low * scale

    def at(points: Floats) -> Floats:
        return np.asarray(points * scale + np.array([x0, y0 + axis * scale]))

    marks: list[Mark] = [area(at(_round(plan, shape)), PALE)]
    if low <= 0.0:
        marks += _bed(x0 - half * scale, x0 + half * scale, y0)
    if rollers and isinstance(drive, Rollers):
        for side in (-0.5, 0.5):
            ring = arc(
                x0 + side * drive.centres_mm * scale, y0 + roller_axis * scale, drive.roller_diameter_mm / 2 * scale
            )
            marks += [Area((ring,), MIDDLE), line(ring, THIN_MM)]
    handle = plan.job.item.handle
    if handle is not None:
        middle = handle.angle_rad - plan.job.artwork.centre_angle_rad
        low_rad, high_rad = middle - handle.width_rad / 2, middle + handle.width_rad / 2
        ring = np.concatenate(
            [arc(0, 0, radius, low_rad, high_rad, 31), arc(0, 0, radius + handle.reach_mm, high_rad, low_rad, 31)]
        )
        marks += [area(at(ring), MIDDLE), line(at(np.concatenate([ring, ring[:1]])), THIN_MM)]
    wall = plan.job.item.wall_mm
    if wall and wall * scale > 0.25:
        marks.append(line(at(arc(0, 0, radius - wall)), HAIR_MM))
    marks.append(line(at(_round(plan, shape)), FIRM_MM))
    marks += _slices(plan, at, radius, scale)
    marks.append(line(at(np.array([(-0.06, 0.0), (0.06, 0.0)]) * radius), HAIR_MM))
    marks.append(line(at(np.array([(0.0, -0.06), (0.0, 0.06)]) * radius), HAIR_MM))
    y = y0 + plane * scale
    marks.append(line([(x0 - 0.6 * radius * scale, y), (x0 + 0.6 * radius * scale, y)], THIN_MM, DASHED))
    return marks, scale


def _slices(plan: Plan, at: Onto, radius: float, scale: float) -> list[Mark]:
    """Borders of the slices, the artwork's arc, and the slice in work from the axis."""
    split, marks = plan.split, list[Mark]()
    index, count = split.index_angle_rad, split.slices
    if radius * scale * index > 0.45:
        for place in range(count + 1):
            turn = (place - count / 2) * index
            ends = np.array([(sin(turn), cos(turn))])
            marks.append(line(at(np.concatenate([ends * radius, ends * 0.9 * radius])), HAIR_MM))
    half = min(plan.layout.total_angle_rad / 2, pi)
    marks.append(line(at(arc(0, 0, 0.88 * radius, -half, half)), HEAVY_MM, (), 0.25))
    for side in (-0.5, 0.5):
        turn = side * index
        marks.append(line(at(np.array([(0.0, 0.0), (radius * sin(turn), radius * cos(turn))])), THIN_MM, DOTTED))
    return marks


def _bed(left: float, right: float, y: float) -> list[Mark]:
    """The bed: a line with short slants under it."""
    marks: list[Mark] = [line([(left, y), (right, y)], THIN_MM)]
    many = max(int((right - left) / 2.0), 2)
    for place in range(many):
        x = left + (right - left) * (place + 1) / many
        marks.append(line([(x, y), (x - 0.8, y - 0.8)], HAIR_MM))
    return marks


def _detail(plan: Plan, left: float, right: float, top: float) -> list[Mark]:
    """One slice across, to scale in its width, its sag as many times larger as it takes to be seen."""
    width, sag = plan.split.slice_width_mm, plan.split.edge_drop_mm
    radius = plan.layout.reference_radius_mm
    flat = sag <= 0 or bool(plan.job.item.flats)
    across = right - left
    # The figures stand below it, four lines of them.
    floor = 0.6 + 4 * 1.3 * LETTER_MM + 0.8
    deep = max(min(0.22 * top, top - 3.6 - floor - 0.6), 1.0)
    x = np.linspace(-width / 2, width / 2, 61)
    # Seen from the end: an arc's place across, and how far the wall has fallen there.
    down = np.zeros_like(x) if flat else 2 * radius * np.sin(x / (2 * radius)) ** 2
    x = x if flat else radius * np.sin(x / radius)
    scale = across / max(2 * float(np.abs(x).max()), 1e-9)
    most = float(down.max())
    larger = 1.0 if flat or most <= 0 else deep / (most * scale)
    surface = np.stack([left + across / 2 + x * scale, top - 3.6 - down * scale * larger], axis=1)
    base = max(top - 3.6 - deep - 2.0, min(floor, top - 3.6 - deep - 0.4))
    solid = np.concatenate([surface, [(right, base), (left, base)]])
    words = "one slice, flat" if flat else f"slice, drop {larger:.3g} × larger"
    marks: list[Mark] = [
        area(solid, PALE),
        line(surface, FIRM_MM),
        line([(left, top - 3.6), (right, top - 3.6)], HAIR_MM, DASHED),
        Words(clipped(words, across, LETTER_MM, "narrow"), left, top - LETTER_MM, LETTER_MM, face="narrow"),
    ]
    if not flat:
        marks.append(line([(right - 0.2, top - 3.6), (right - 0.2, float(surface[-1, 1]))], THIN_MM))
    return marks


def side_view(plan: Plan, sizes: Sizes, wide: float, high: float) -> PaperPicture:
    """The item from its side as it lies on its drive: taper, tilt, band, apex line, focal plane."""
    shape, turning, lies, drive = plan.shape, plan.turning, plan.layout, plan.job.turning
    s = np.linspace(0.0, shape.length_mm, 161)
    r = shape.radius_mm(s)
    tilt, pivot, axis = turning.tilt_rad, turning.axis_height_at_mm, turning.axis_height_mm

    def place(along: Floats, out: Floats) -> Floats:
        """Along the bed and up from it (n, 2) [mm]."""
        x = (along - pivot) * cos(tilt) - out * sin(tilt)
        return np.stack([x, axis + (along - pivot) * sin(tilt) + out * cos(tilt)], axis=1)

    ring = np.concatenate([place(s, r), place(s[::-1], -r[::-1])])
    left, right = float(ring[:, 0].min()), float(ring[:, 0].max())
    plane = plan.focus.focal_plane_mm
    top, low = max(float(ring[:, 1].max()), plane) * 1.01, min(float(ring[:, 1].min()), 0.0)
    margin = 3.6 + 1.3 * LETTER_MM
    if not isinstance(drive, Rollers) and float(ring[:, 1].min()) > 0.6 * (top - float(ring[:, 1].min())):
        low = float(ring[:, 1].min()) - 0.15 * (top - float(ring[:, 1].min()))
    scale = min((wide - 8.0) / (right - left), (high - margin - 1.0) / (top - low))
    by = np.array([wide / 2 - (left + right) / 2 * scale, margin - low * scale])

    def at(points: Floats) -> Floats:
        return np.asarray(points * scale + by)

    marks: list[Mark] = []
    if low <= 0.0:
        marks += _bed(1.0, wide - 1.0, float(by[1]))
    if isinstance(drive, Rollers):
        middle, half = drive.axis_height_mm, drive.roller_diameter_mm / 2
        bar = at(corners(left - 3.0 / scale, middle - half, right + 3.0 / scale, middle + half))
        marks += [area(bar, MIDDLE), line(bar, HAIR_MM)]
    marks += [area(at(ring), PALE), line(at(np.concatenate([ring, ring[:1]])), FIRM_MM)]
    marks.append(line(at(place(np.array([-3.0 / scale, shape.length_mm + 3.0 / scale]), np.zeros(2))), HAIR_MM, CENTRE))
    band = np.linspace(lies.artwork_from_mm, lies.artwork_to_mm, 61)
    radii = shape.radius_mm(band)
    for end in (0, -1):
        marks.append(line(at(place(band[[end, end]], np.array([-1.0, 1.0]) * radii[end])), THIN_MM, DASHED))
    marks.append(line(at(place(band, radii)), 2 * HEAVY_MM, (), 0.2))
    y = float(by[1] + plane * scale)
    ends = at(place(band[[0, -1]], radii[[0, -1]]))
    marks.append(line([(ends[0, 0] - 4.0, y), (ends[1, 0] + 4.0, y)], THIN_MM, DASHED))
    if turning.contact_mm is not None:
        x, foot = at(place(np.array([turning.contact_mm]), -shape.radius_mm(np.array([turning.contact_mm]))))[0]
        marks.append(area([(x, foot), (x - 1.0, foot - 1.8), (x + 1.0, foot - 1.8)], 0.0))
    marks.append(Words(plan.job.item.end_name("base"), 0.0, margin - 2.6, LETTER_MM))
    marks.append(Words(plan.job.item.end_name("rim"), wide, margin - 2.6, LETTER_MM, "end"))
    rests = ", black: on the rollers" if turning.contact_mm is not None else ""
    # A small picture says less, not half of it.
    texts = (f"{_scale_words(scale)}; {KEY}{rests}", f"{KEY}{rests}", KEY, "thick: artwork")
    text = next((text for text in texts if wide_mm(text, LETTER_MM, "narrow") <= wide), "")
    marks.append(Words(text, 0.0, 0.6, LETTER_MM, face="narrow"))
    says = (
        f"focus {sizes.length(plane)} over the bed, apex {sizes.length(plan.focus.apex_height_mm)}, axis tilted "
        f"by {np.degrees(tilt):.2f}°."
    )
    return PaperPicture(wide, high, tuple(marks), "Side view", says)


def unrolled(plan: Plan, sizes: Sizes, wide: float, high: float, rings: Rings | None = None) -> PaperPicture:
    """The wall unrolled, each level line at its own length: where the artwork lands, the slices, handle, weld line."""
    shape, lies, art = plan.shape, plan.layout, plan.job.artwork
    flats = shape.flats or 0
    s = np.linspace(0.0, shape.length_mm, 121)
    turn = 2 * flats * tan(pi / flats) if flats else 2 * pi
    widest = float(turn * shape.radius_mm(s).max())
    head = 1.3 * LETTER_MM
    scale = min((wide - 1.0) / widest, (high - 2.6 * head) / shape.length_mm)
    by = np.array([wide / 2, (high - shape.length_mm * scale) / 2])

    def at(angle: ArrayLike, along: ArrayLike) -> Floats:
        """Angles from the front and heights, on the paper (n, 2) [mm]."""
        angle, along = np.broadcast_arrays(np.asarray(angle, float), np.asarray(along, float))
        if flats:
            each = pi / flats
            side = np.round(angle / (2 * each))
            x = (2 * side * tan(each) + np.tan(angle - 2 * side * each)) * shape.radius_mm(along)
        else:
            x = angle * shape.radius_mm(along)
        return np.asarray(np.stack([x, along], axis=1) * scale + by)

    marks: list[Mark] = [area(np.concatenate([at(-pi, s), at(pi, s[::-1])]), PALE)]
    marks += [line(np.concatenate([at(-pi, s), at(pi, s[::-1]), at(-pi, s[:1])]), FIRM_MM)]
    marks += [line(at(side, s), HAIR_MM, DOTTED) for side in (-pi / 2, 0.0, pi / 2)]
    for place in range(1, flats, 2):
        marks += [line(at(side * (place * pi / flats - 1e-9), s), HAIR_MM, DASHED) for side in (-1, 1)]
    marks += _obstacles(plan, shape, at, s)
    middle, index, count = art.centre_angle_rad, plan.split.index_angle_rad, plan.split.slices
    band = np.linspace(lies.artwork_from_mm, lies.artwork_to_mm, 61)
    drawn = index * lies.reference_radius_mm * scale > 0.45
    if drawn:
        for place in range(count + 1):
            angle = middle + (place - count / 2) * index
            marks += [line(piece, HAIR_MM, (), 0.45) for piece in _pieces(at, np.full_like(band, angle), band)]
    marks += _frame(plan, at)
    if rings is not None and not flats:
        marks += _outlines(plan, shape, at, rings)
    marks.append(Words("rim", 0.0, high - LETTER_MM, LETTER_MM))
    many = f"{count} slice{'s' if count != 1 else ''}" + ("" if drawn else ", too narrow to draw")
    right = f"dotted: front, 90°; {many}; {_scale_words(scale)}"
    room = wide - wide_mm("rim", LETTER_MM) - 2.0
    marks.append(Words(clipped(right, room, LETTER_MM, "narrow"), wide, high - LETTER_MM, LETTER_MM, "end", "narrow"))
    widths = ", ".join(sizes.length(w) for w in dict.fromkeys((lies.width_top_mm, lies.width_bottom_mm)))
    says = f"wide {widths}, seen {100 * lies.visible_share:.0f} %, free {sizes.length(lies.gap_mm)}"
    marks.append(Words(clipped(f"base   {says}", wide, LETTER_MM, "narrow"), 0.0, 0.6, LETTER_MM, face="narrow"))
    return PaperPicture(wide, high, tuple(marks), "Wall unrolled", f"{says}, {many}.")


def _pieces(at: Onto, angle: Floats, s: Floats) -> list[Floats]:
    """A line over the wall in pieces, parted where it leaves one edge and comes in at the other."""
    once = within_half_turn(angle)
    cuts = np.flatnonzero(np.abs(np.diff(once)) > pi) + 1
    return [at(a, b) for a, b in zip(np.split(once, cuts), np.split(s, cuts), strict=True) if len(a) > 1]


def _obstacles(plan: Plan, shape: Shape, at: Onto, s: Floats) -> list[Mark]:
    item, marks = plan.job.item, list[Mark]()
    heights = handle_heights_mm(item, shape)
    if item.handle is not None and heights is not None:
        along = np.linspace(max(heights[0], 0.0), min(heights[1], shape.length_mm), 31)
        for side in (-0.5, 0.5):
            angle = np.full_like(along, item.handle.angle_rad + side * item.handle.width_rad)
            marks += [line(piece, HEAVY_MM, (1.5, 1.0)) for piece in _pieces(at, angle, along)]
    if item.weld_line is not None:
        marks += [
            line(piece, FIRM_MM, (0.8, 0.8)) for piece in _pieces(at, np.full_like(s, item.weld_line.angle_rad), s)
        ]
    return marks


def _frame(plan: Plan, at: Onto) -> list[Mark]:
    """The artwork's frame as it lands: its sides by height, its top and bottom."""
    rows, middle = plan.layout.rows, plan.job.artwork.centre_angle_rad
    s = np.array([row.s_mm for row in rows])
    half = np.array([row.angle_rad / 2 for row in rows])
    marks: list[Mark] = []
    for side in (-1.0, 1.0):
        marks += [line(piece, HEAVY_MM) for piece in _pieces(at, middle + side * half * (1 - 1e-9), s)]
    for end in (0, -1):
        turn = np.linspace(middle - half[end], middle + half[end], 121)
        marks += [line(piece, HEAVY_MM) for piece in _pieces(at, turn, np.full_like(turn, s[end]))]
    return marks


def _outlines(plan: Plan, shape: Shape, at: Onto, rings: Rings) -> list[Mark]:
    """Real artwork through its surface map onto the wall, drawn as it lands."""
    lies, art = plan.layout, plan.job.artwork
    wall = on_wall(rings, art.surface_map, shape.curve, lies.centre_mm, OUTLINE_MM)
    shown = []
    for ring in list_from_rings(wall):
        angle = ring[:, 0] + art.centre_angle_rad
        turned = round(float(angle.mean()) / (2 * pi))
        shown.append(at(angle - 2 * pi * turned, ring[:, 1]))
    return [Area(tuple(shown), 0.15)] if shown else []
