"""6  How high the apex stands, where the focal plane goes, and what eats the focus budget."""

import math
from itertools import pairwise
from typing import Final, Literal, NamedTuple

import numpy as np

from rotary.drive import Stand, handle_range
from rotary.errors import NoPlan, refuse
from rotary.formulas import circle, focus_budget, revolution
from rotary.formulas.arrays import Floats
from rotary.item import datum_from_s_mm
from rotary.model import Model
from rotary.setup import Setup
from rotary.shape import Shape
from rotary.slices import Split, split

BudgetId = Literal["sag", "slope", "plane", "runout", "setting", "field_curvature"]
Remark = Literal["plane_below", "plane_above", "over_budget", "refocus", "meets_head"]


class ApexRow(Model):
    """Height of the apex line over the bed at one place of the band, as it lies and levelled."""

    s_mm: float
    from_datum_mm: float
    as_it_lies_mm: float
    levelled_mm: float


class BudgetRow(Model):
    """One line of the focus budget: how far the surface lies below (-) or above (+) where it should [mm]."""

    id: BudgetId
    low_mm: float
    high_mm: float


class RefocusZone(Model):
    """A part of the band, measured from the item's datum, that is marked with the head at one height."""

    from_mm: float
    to_mm: float
    focal_plane_mm: float


class Focus(Model):
    """Heights over the bed [mm]. `plane_over_apex_mm` signed, + above the surface.

    `fluence_low`/`fluence_high`: least and most peak fluence over slice and budget, as a share
    of that at the wanted defocus. `move_from_bed_mm`: how far to raise the head once it is
    focused on the bed; `move_from_apex_mm`: once it is focused on the apex line. `shim_mm` is the level's;
    `levelled` whether it is put under. `highest_mm` is the item's highest place over the bed, `remarks` what a person
    has to know, by id.
    """

    apex: tuple[ApexRow, ...]
    apex_height_mm: float
    tilt_rad: float
    shim_mm: float
    levelled: bool
    focal_plane_mm: float
    plane_over_apex_mm: float
    balance_mm: float
    budget: tuple[BudgetRow, ...]
    total_low_mm: float
    total_high_mm: float
    allowed_low_mm: float
    allowed_high_mm: float
    fluence_low: float
    fluence_high: float
    move_from_bed_mm: float
    move_from_apex_mm: float
    refocus: tuple[RefocusZone, ...]
    highest_mm: float
    remarks: tuple[Remark, ...]


class SlicedSetup(Setup):
    """A setup with its slices and its focal plane: what a sheet is drawn by."""

    split: Split
    focus: Focus

    @property
    def apex_at_middle_mm(self) -> float:
        """Height over the bed of the apex at the artwork's middle, which lies under the middle of the field.

        The focus counts from the apex at the middle of the artwork's heights, which is another place where a wall is
        bellied or the artwork hangs lower on one side.
        """
        lies = self.layout
        here, there = (lies.band_from_mm + lies.band_to_mm) / 2, lies.centre_mm
        radii = self.shape.radius_mm(np.array([here, there]))
        apart = Stand(0.0, 0.0, self.focus.tilt_rad).apex_mm(np.array([here, there]), radii)
        return self.focus.apex_height_mm + float(apart[1] - apart[0])


SAMPLES: Final = 241
"""Places of the band at which the apex line is looked at: a quarter of a millimetre on a bottle."""

DUST: Final = 9
"""Decimals of a millimetre beyond which a budget line is rounding."""


def _as_it_lies(setup: Setup) -> Stand:
    cradle, at_mm = setup.turning.cradle, setup.turning.axis_height_at_mm
    if cradle is not None:
        return Stand(cradle.axis_height_mm, at_mm, cradle.tilt_rad)
    return Stand(setup.job.drive.axis_height_mm, at_mm, 0.0)


class _Zone(NamedTuple):
    """A part of the band in s, its largest sag, and the wall's least and greatest height in it: slice edges, apex."""

    from_mm: float
    to_mm: float
    sag_mm: float
    low_mm: float
    high_mm: float


def _zones(s: Floats, edge: Floats, apex: Floats, room_mm: float) -> list[_Zone]:
    """The band in the fewest equal parts whose apex line climbs no more than `room_mm` in each."""
    parts = 1
    while True:
        borders = np.linspace(0, len(s) - 1, parts + 1).round().astype(int).tolist()
        zones = [
            _Zone(
                float(s[a]),
                float(s[b]),
                float((apex[a : b + 1] - edge[a : b + 1]).max()),
                float(edge[a : b + 1].min()),
                float(apex[a : b + 1].max()),
            )
            for a, b in pairwise(borders)
        ]
        climbs = max(float(np.ptp(apex[a : b + 1])) for a, b in pairwise(borders))
        if climbs <= room_mm or parts == focus_budget.MOST_ZONES:
            return zones
        # A straight apex line needs exactly this many; a bent one may need a few more.
        parts = max(parts + 1, int(focus_budget.zone_count(climbs, room_mm)) if parts == 1 else 0)


def sliced_setup(setup: Setup, defocus_mm: float) -> SlicedSetup:
    """The setup with its split and its focus for this defocus (signed, + above the apex line)."""
    cut = split(setup, defocus_mm)
    return SlicedSetup(**dict(setup), split=cut, focus=focus(setup, cut, defocus_mm))


def focus(setup: Setup, split: Split, defocus_mm: float) -> Focus:
    """Where to put the focal plane for this defocus (signed, + above the apex line), and what it costs."""
    tolerances, drive, head = setup.job.tolerances, setup.job.drive, setup.job.head
    body, turning, optics, layout = setup.shape, setup.turning, setup.optics, setup.layout
    lies = _as_it_lies(setup)
    level = Stand(turning.level.axis_height_mm, turning.axis_height_at_mm, turning.level.tilt_rad)
    stands = level if drive.levelled else lies
    s = np.linspace(layout.band_from_mm, layout.band_to_mm, SAMPLES)
    r = revolution.radius_mm(body.curve, s)
    apex = stands.apex_mm(s, r)
    drop = 0.0 if body.flats is not None else float(circle.fall_mm(1.0, split.index_angle_rad / 2))
    edge = apex - r * (drop * math.cos(stands.tilt_rad))
    allowed = focus_budget.allowed_mm(
        defocus_mm, optics.rayleigh_mm, tolerances.fluence_low_share, tolerances.fluence_high_share
    )
    zones = _zones(s, edge, apex, float(focus_budget.room_for_slope_mm(allowed, split.sag_mm)))
    placed = [float(focus_budget.balance_mm(zone.low_mm, zone.high_mm, *allowed)) + defocus_mm for zone in zones]
    middle = len(zones) // 2
    here = float(apex[SAMPLES // 2])
    plane = placed[middle]
    _refuse_handle_at_head(setup, split, min(placed))
    balance = plane - defocus_mm - here
    rows = _budget(setup, zones[middle], balance, here)
    low, high = sum(row.low_mm for row in rows), sum(row.high_mm for row in rows)
    least, most = focus_budget.fluence_range(defocus_mm, optics.rayleigh_mm, low, high)
    highest = float(stands.apex_mm(*_whole(body)).max())
    meets_head = head.free_height_mm is not None and highest - min(placed) > head.free_height_mm
    return Focus(
        apex=_apex_rows(setup, s[:: SAMPLES // 6], r[:: SAMPLES // 6], lies, level),
        apex_height_mm=here,
        tilt_rad=stands.tilt_rad,
        shim_mm=turning.level.shim_mm,
        levelled=drive.levelled and turning.level.shim_mm != 0,
        focal_plane_mm=plane,
        plane_over_apex_mm=plane - here,
        balance_mm=balance,
        budget=rows,
        total_low_mm=low,
        total_high_mm=high,
        allowed_low_mm=allowed[0],
        allowed_high_mm=allowed[1],
        fluence_low=least,
        fluence_high=most,
        move_from_bed_mm=plane,
        move_from_apex_mm=plane - here,
        refocus=_refocus(setup, zones, placed),
        highest_mm=highest,
        remarks=_remarks(defocus_mm, (low, high), allowed, len(zones), meets_head),
    )


def _refuse_handle_at_head(setup: Setup, split: Split, lowest_plane_mm: float) -> None:
    """The handle comes round with the item: over the turn that this split needs it has to pass under the head."""
    job, layout = setup.job, setup.layout
    if job.item.handle is None or job.head.free_height_mm is None:
        return
    bottom_mm = lowest_plane_mm + job.head.free_height_mm
    free = handle_range(job.drive, job.item, setup.shape, setup.turning, bottom_mm)
    if free is None:
        return
    reach = (split.inked_slices - 1) / 2 * split.index_angle_rad
    low, high = layout.centre_angle_rad - reach, layout.centre_angle_rad + reach
    if low < free.from_rad - 1e-9 or high > free.to_rad + 1e-9:
        says = (
            f"the item would have to turn from {math.degrees(low):.0f}° to {math.degrees(high):.0f}°, but only "
            f"{math.degrees(free.from_rad):.0f}° to {math.degrees(free.to_rad):.0f}° are free ({free.stopped_by}); "
            "make the artwork narrower, move its centre_angle, or use a lens that leaves more room"
        )
        raise NoPlan(refuse("artwork.width", says).faults)


def _whole(body: Shape) -> tuple[Floats, Floats]:
    return body.curve.s_mm, revolution.radius_mm(body.curve, body.curve.s_mm)


def _apex_rows(setup: Setup, s: Floats, r: Floats, lies: Stand, level: Stand) -> tuple[ApexRow, ...]:
    item, shape = setup.job.item, setup.shape
    heights = zip(s.tolist(), lies.apex_mm(s, r).tolist(), level.apex_mm(s, r).tolist(), strict=True)
    return tuple(
        ApexRow(s_mm=at, from_datum_mm=datum_from_s_mm(item, shape, at), as_it_lies_mm=one, levelled_mm=other)
        for at, one, other in heights
    )


def _budget(setup: Setup, zone: _Zone, balance_mm: float, here_mm: float) -> tuple[BudgetRow, ...]:
    """The lines of the budget; their sums are what the surface may be off from where it should."""
    # Of the wall's own range in this zone, what the sag does not explain is the slope of the apex line.
    slope_low, slope_high = zone.low_mm - here_mm + zone.sag_mm, zone.high_mm - here_mm
    half, focus_mm = setup.job.item.runout_mm / 2, setup.job.tolerances.focus_mm
    given: tuple[tuple[BudgetId, float, float], ...] = (
        ("sag", -zone.sag_mm, 0.0),
        ("slope", slope_low, slope_high),
        ("plane", -balance_mm, -balance_mm),
        ("runout", -half, half),
        ("setting", -focus_mm, focus_mm),
        ("field_curvature", 0.0, 0.0),
    )
    return tuple(BudgetRow(id=name, low_mm=round(low, DUST), high_mm=round(high, DUST)) for name, low, high in given)


def _refocus(setup: Setup, zones: list[_Zone], placed: list[float]) -> tuple[RefocusZone, ...]:
    if len(zones) < 2:
        return ()
    return tuple(
        RefocusZone(
            from_mm=datum_from_s_mm(setup.job.item, setup.shape, zone.from_mm),
            to_mm=datum_from_s_mm(setup.job.item, setup.shape, zone.to_mm),
            focal_plane_mm=height,
        )
        for zone, height in zip(zones, placed, strict=True)
    )


def _remarks(
    defocus_mm: float, total: tuple[float, float], allowed: tuple[float, float], zones: int, meets_head: bool
) -> tuple[Remark, ...]:
    """What a person has to know of this focus."""
    remarks: tuple[tuple[bool, Remark], ...] = (
        (defocus_mm < 0, "plane_below"),
        (defocus_mm > 0, "plane_above"),
        (total[0] < allowed[0] - 1e-9 or total[1] > allowed[1] + 1e-9, "over_budget"),
        (zones > 1, "refocus"),
        (meets_head, "meets_head"),
    )
    return tuple(remark for holds, remark in remarks if holds)
