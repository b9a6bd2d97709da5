"""The band of the wall under the head, at any index angle: sag, commands, incidence, seams.

All is worked out for many index angles (g,) at once, at seven stations (k,) of the band.
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from rotary.formulas import circle, focus_budget, motion, revolution, scan, seam_gap
from rotary.formulas.arrays import Floats
from rotary.formulas.estimate import HOLDS_95
from rotary.setup import Setup

STATIONS: Final = 7
"""Places of the band that are looked at and shown: both ends, the middle and two between on either side."""

SAMPLES: Final = 241
"""Places of the band at which the apex line is looked at: a quarter of a millimetre on a bottle."""

SAME_DROP_MM: Final = 0.01
"""Slices whose edges drop alike but for this have the same zones, nearer than a lens is set."""

_SHARES: Final = np.linspace(0.0, 1.0, STATIONS)
"""Where the stations lie, as shares of the band."""


class Wall(NamedTuple):
    """The band as it stands under the head.

    `apex_mm` (k,) is the height of the apex line over that at the band's middle, `y_mm` (k,) where it stands
    from the field's centre; `sags` is False on the flats of a faceted item; `radius_half` (k,) how far r may be off;
    `fine_r` and `fine_apex_mm` (n,) are radius and apex at `SAMPLES` places from end to end, and `window` the focus
    room, runout and setting that its zones go by;
    `stop_bound` (k,) how far the motor may stop from its place on the wall, `seam_stops` (2, k) what two such stops
    leave at a seam (1 sigma), of free indexes and of whole cycles.
    """

    s: Floats
    r: Floats
    slope: Floats
    tilt: float
    apex_mm: Floats
    fine_r: Floats
    fine_apex_mm: Floats
    window: tuple[float, float, float]
    middle_s: float
    middle_r: float
    pupil_x: float
    pupil_y: float
    defocus: float
    allowed: tuple[float, float]
    sags: bool
    radius_half: Floats
    height_half: float
    scale_half: float
    pupil_half: float
    drive_half: float
    stop_bound: Floats
    seam_stops: Floats
    skew_stair: float
    offset: float


class Slices(NamedTuple):
    """What follows from index angles (g,). Fields (g, k) unless said.

    `width` on the wall, `fall` of the slice's edge below the apex, `plane` the focal plane over the apex at the
    band's middle (where the apex line climbs too far for one, that of the zone in which the station lies),
    `command_x`/`command_y` of the edge and `over` its height over the focal plane, `widest_command` (g,) and
    `tallest_mm` (g,) the widest of `command_x` and all that `command_y` spans, the ends of every zone included;
    `incidence` at the edge, `plain_command` (g,) half a plain column, `spread_without_drive`
    what all seams may be off together, were the drive perfect, and `spread` with the drive's scale (95 %).
    """

    index_rad: Floats
    width: Floats
    fall: Floats
    plane: Floats
    command_x: Floats
    command_y: Floats
    widest_command: Floats
    tallest_mm: Floats
    over: Floats
    incidence: Floats
    sheet_seam: Floats
    plain_command: Floats
    plain_seam: Floats
    spread: Floats
    spread_without_drive: Floats
    stair: Floats


def wall_under_head(setup: Setup, defocus_mm: float) -> Wall:
    """The band at its stations, with what is believed about the inputs."""
    tolerances, item, body = setup.job.tolerances, setup.job.item, setup.shape
    turning, optics, layout = setup.turning, setup.optics, setup.layout
    s = np.linspace(layout.artwork_from_mm, layout.artwork_to_mm, STATIONS)
    r, slope = revolution.radius_and_slope(body.curve, s)
    tilt = turning.tilt_rad
    apex = s * math.sin(tilt) + r * math.cos(tilt)
    half = STATIONS // 2
    fine_s = np.linspace(layout.artwork_from_mm, layout.artwork_to_mm, SAMPLES)
    fine_r = revolution.radius_mm(body.curve, fine_s)
    allowed = focus_budget.allowed_mm(
        defocus_mm, optics.rayleigh_mm, tolerances.fluence_low_share, tolerances.fluence_high_share
    )
    stop = turning.motor_error_mm * r / body.widest_radius_mm
    return Wall(
        s=s,
        r=r,
        slope=slope,
        tilt=tilt,
        apex_mm=apex - apex[half],
        fine_r=fine_r,
        fine_apex_mm=fine_s * math.sin(tilt) + fine_r * math.cos(tilt) - apex[half],
        window=(allowed[1] - allowed[0], item.runout_mm, tolerances.focus_mm),
        middle_s=float(s[half]),
        middle_r=float(r[half]),
        pupil_x=setup.pupils_mm[0],
        pupil_y=setup.pupils_mm[1],
        defocus=defocus_mm,
        allowed=allowed,
        sags=body.flats is None,
        radius_half=setup.radius_half_mm(s),
        height_half=math.hypot(tolerances.focus_mm, item.runout_mm / 2),
        scale_half=tolerances.field_scale_share,
        pupil_half=(optics.pupil_high_share - optics.pupil_low_share) / 2,
        drive_half=HOLDS_95 * turning.u_scale,
        stop_bound=stop,
        seam_stops=np.outer(turning.seam_stops_mm, r / body.widest_radius_mm),
        skew_stair=turning.offset_per_mm,
        offset=abs(setup.job.turning.offset_mm),
    )


class _Edge(NamedTuple):
    """The edge of a slice at places of the band (g, k): how far beside the axis and below the apex it lies, its
    height over the focal plane, its commands."""

    beside: Floats
    fall: Floats
    over: Floats
    command_x: Floats
    command_y: Floats


def _edge(wall: Wall, half: Floats, share: Floats, plane: Floats) -> _Edge:
    """The edges at shares of the band that broadcast, under planes over the apex at the band's middle."""
    s, r, apex = wall.s, wall.r, wall.apex_mm
    if share is not _SHARES:
        s, r, apex = (np.interp(share, _SHARES, values) for values in (s, r, apex))
    cos_tilt, sin_tilt = math.cos(wall.tilt), math.sin(wall.tilt)
    drop = circle.fall_mm(1.0, half) if wall.sags else np.zeros_like(half)
    fall = r * drop * cos_tilt
    beside = r * (np.sin(half) if wall.sags else np.tan(half))
    over = apex - fall - plane
    centre = wall.middle_s * cos_tilt - wall.middle_r * sin_tilt
    y = s * cos_tilt - r * (1 - drop) * sin_tilt - centre
    return _Edge(
        beside, fall, over, scan.command_mm(beside, over, wall.pupil_x), scan.command_mm(y, over, wall.pupil_y)
    )


class FocusZone(NamedTuple):
    """A part of the band at one height of the plane: first and last of its `SAMPLES` places, lowest edge and highest
    apex there over the apex at the band's middle, and the plane."""

    first: int
    last: int
    low_mm: float
    high_mm: float
    plane_mm: float


def zones_of(wall: Wall, index_rad: float) -> list[FocusZone]:
    """The parts of the band that are marked at one height each, from the foot up."""
    apex, edge = _apex_and_edge(wall, index_rad)
    window = focus_budget.window_mm(*wall.window, float((apex - edge).max()))
    return _zones_between(wall, edge, focus_budget.zones(apex, edge, window))


def _zones_between(wall: Wall, edge: Floats, borders: Sequence[int]) -> list[FocusZone]:
    zones = []
    for a, b in pairwise(borders):
        low, high = float(edge[a : b + 1].min()), float(wall.fine_apex_mm[a : b + 1].max())
        zones.append(
            FocusZone(a, b, low, high, float(focus_budget.balance_mm(low, high, *wall.allowed)) + wall.defocus)
        )
    return zones


def zone_reach(wall: Wall, index_rad: float, zone: FocusZone) -> tuple[int, int]:
    """First and last of the `SAMPLES` places that the zone's plane would keep as well inside the focus room as the zone
    itself: its borders may move so far."""
    apex, edge = _apex_and_edge(wall, index_rad)
    _, runout, setting = wall.window
    reserve, at = runout / 2 + setting, zone.plane_mm - wall.defocus
    top, bottom = wall.allowed[1] - reserve, wall.allowed[0] + reserve
    too_far = (apex > max(zone.high_mm, at + top)) | (edge < min(zone.low_mm, at + bottom))
    before, after = np.flatnonzero(too_far[: zone.first]), np.flatnonzero(too_far[zone.last :])
    return (int(before[-1]) + 1 if before.size else 0, zone.last + int(after[0]) - 1 if after.size else SAMPLES - 1)


def _apex_and_edge(wall: Wall, index_rad: ArrayLike) -> tuple[Floats, Floats]:
    """Heights of apex (n,) and slice edge (..., n) at the `SAMPLES` places, over the apex at the band's middle."""
    drop = circle.fall_mm(math.cos(wall.tilt), np.asarray(index_rad) / 2) * wall.sags
    return wall.fine_apex_mm, wall.fine_apex_mm - wall.fine_r * drop


def _planes(wall: Wall, half: Floats) -> tuple[Floats, Floats, Floats]:
    """The focal plane (g, k) at the stations, and the lower and upper end of each station's zone as shares.

    Of many indexes the zones are sought where the drop at a slice's edge differs, and only so finely.
    """
    apex, edges = _apex_and_edge(wall, 2 * half)
    fine_mm = SAME_DROP_MM if len(half) > 1 else focus_budget.FINE_MM
    drops, low, high = (apex - edges).max(axis=1), edges.min(axis=1), float(apex.max())
    one_plane = focus_budget.balance_mm(low, high, *wall.allowed) + wall.defocus
    planes = np.repeat(one_plane[:, None], STATIONS, axis=1)
    first, last = np.zeros_like(planes), np.ones_like(planes)
    borders: tuple[int, ...] = (0, SAMPLES - 1)
    sought_mm = -math.inf
    for row, (edge, drop_mm) in enumerate(zip(edges, drops.tolist(), strict=True)):
        window = focus_budget.window_mm(*wall.window, drop_mm)
        if high - low[row] <= window:
            sought_mm = -math.inf
            continue
        if drop_mm - sought_mm > fine_mm:
            borders, sought_mm = focus_budget.zones(apex, edge, window, fine_mm), drop_mm
        zones = _zones_between(wall, edge, borders)
        which = np.searchsorted([zone.last for zone in zones[:-1]], _SHARES * (SAMPLES - 1), side="right")
        shown = np.array([(zone.plane_mm, zone.first, zone.last) for zone in zones])[which].T
        planes[row], first[row], last[row] = shown[0], shown[1] / (SAMPLES - 1), shown[2] / (SAMPLES - 1)
    return planes, first, last


def slices_of(wall: Wall, index_rad: Floats, prove_sheet: bool = True) -> Slices:
    """All that follows from index angles (g,) float [rad], each up to most of half a turn.

    A sheet's commands are worked out so that its seams close; `prove_sheet` sends them back down to the
    wall to show it, which a survey of many angles can do without.
    """
    index = index_rad[:, None]
    half = index / 2
    r = wall.r
    plane, start, stop = _planes(wall, half)
    at = _edge(wall, half, _SHARES, plane)
    apex_over = wall.apex_mm - plane
    edges = [at, *(_edge(wall, half, end, plane) for end in (start, stop))]
    leaning = scan.incidence_cosine(
        half if wall.sags else 0.0, wall.slope, wall.tilt, at.command_x / wall.pupil_x, at.command_y / wall.pupil_y
    )
    plain_command = _plain_command(wall, half[:, 0], apex_over)
    width = 2 * at.beside if not wall.sags else r * index
    spread, without = _spreads(wall, width, at.over)
    aside = motion.offset_stair_mm(width, wall.offset, r, at.command_y, wall.pupil_y, wall.tilt)
    highest = np.max([edge.command_y.max(axis=1) for edge in edges], axis=0)
    lowest = np.min([edge.command_y.min(axis=1) for edge in edges], axis=0)
    return Slices(
        index_rad=index_rad,
        width=width,
        fall=at.fall,
        plane=plane,
        command_x=at.command_x,
        command_y=at.command_y,
        widest_command=np.max([edge.command_x.max(axis=1) for edge in edges], axis=0),
        tallest_mm=highest - lowest,
        over=at.over,
        incidence=np.arccos(np.minimum(np.maximum(leaning, -1.0), 1.0)),
        sheet_seam=_gap(wall, at.command_x, index, apex_over) if prove_sheet else np.zeros_like(at.over),
        plain_command=plain_command,
        plain_seam=_gap(wall, plain_command[:, None], index, apex_over),
        spread=spread,
        spread_without_drive=without,
        stair=np.hypot(width * wall.skew_stair, aside),
    )


def _plain_command(wall: Wall, half: Floats, apex_over: Floats) -> Floats:
    """Half the column (g,) of plain artwork for which the seams close in the middle of the band's radii."""
    radius = (float(wall.r.max()) + float(wall.r.min())) / 2
    middle = (apex_over.max(axis=1) + apex_over.min(axis=1)) / 2
    drop = circle.fall_mm(math.cos(wall.tilt), half) if wall.sags else np.zeros_like(half)
    beside = radius * (np.sin(half) if wall.sags else np.tan(half))
    return scan.command_mm(beside, middle - radius * drop, wall.pupil_x)


def column_gap_mm(wall: Wall, at: Slices, file_slice_mm: float) -> Floats:
    """The seam (g, k) of flat artwork in columns of this width, + gap, - double mark."""
    command = np.full((len(at.index_rad), 1), file_slice_mm / 2)
    return _gap(wall, command, at.index_rad[:, None], wall.apex_mm - at.plane)


def _gap(wall: Wall, command: Floats, index: Floats, apex_over: Floats) -> Floats:
    if wall.sags:
        gap = seam_gap.seam_gap_mm(command, index, wall.r, apex_over, wall.pupil_x, wall.tilt)
        # Where a column's edge passes beside the wall, all that the head can see is in it: half a turn.
        return np.where(np.isnan(gap), wall.r * (index - math.pi), gap)
    reached = scan.from_centre_mm(command, apex_over, wall.pupil_x)
    return np.asarray(2 * (wall.r * np.tan(index / 2) - reached))


def _spreads(wall: Wall, width: Floats, over: Floats) -> tuple[Floats, Floats]:
    given = (wall.r, wall.pupil_x, over, wall.radius_half, wall.height_half, wall.scale_half, wall.pupil_half)
    without = seam_gap.seam_gap_spread_mm(width, *given, 0.0, wall.offset)
    drive = width * wall.drive_half
    return np.hypot(without, drive), without
