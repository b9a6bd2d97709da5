"""6  How high the apex stands, where the focal plane goes, and what eats the focus budget."""

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final, Literal

import numpy as np

from rotary.errors import no_plan
from rotary.formulas import circle, focus_budget, revolution
from rotary.formulas.arrays import Floats
from rotary.item import height_from_s_mm
from rotary.model import Model
from rotary.setup import Setup
from rotary.shape import Shape
from rotary.slices import split
from rotary.slices.models import Split
from rotary.slices.wall import SAMPLES, FocusZone, Wall, wall_under_head, zone_reach, zones_of
from rotary.turning.handle import handle_range
from rotary.turning.level import Stand

BudgetId = Literal["sag", "slope", "plane", "shape", "runout", "setting", "field_curvature"]
Remark = Literal["setting_fills", "oval", "plane_below", "plane_above", "over_budget", "refocus", "meets_head"]


class ApexRow(Model):
    """Height of the apex line over the bed at one place of the band, as it lies and levelled."""

    s_mm: float
    from_end_mm: float
    as_it_lies_mm: float
    levelled_mm: float


class BudgetRow(Model):
    """One line of the focus budget: how far the surface lies below (-) or above (+) where it should [mm]."""

    id: BudgetId
    low_mm: float
    high_mm: float


class RefocusZone(Model):
    """A part of the band, measured from the item's datum, that is marked with the head at one height.

    `beyond_from_mm` and `beyond_to_mm` are how far past either end that height would do as well.
    """

    from_mm: float
    to_mm: float
    focal_plane_mm: float
    beyond_from_mm: float = 0.0
    beyond_to_mm: float = 0.0

    def between(self, from_mm: float, to_mm: float) -> "RefocusZone":
        """The same height for a part that ends elsewhere, as far as it would do there as well."""
        up = 1 if self.to_mm > self.from_mm else -1
        return RefocusZone(
            from_mm=from_mm,
            to_mm=to_mm,
            focal_plane_mm=self.focal_plane_mm,
            beyond_from_mm=self.beyond_from_mm + up * (from_mm - self.from_mm),
            beyond_to_mm=self.beyond_to_mm - up * (to_mm - self.to_mm),
        )


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

    def focus_between(self, borders_mm: Sequence[float]) -> Focus:
        """The focus with its zones between these borders, which rise from the foot [mm]."""
        borders = [height_from_s_mm(self.job.item, self.shape, at) for at in borders_mm]
        zones = self.focus.refocus
        if not borders or len(borders) != len(zones) - 1:
            return self.focus
        ends = pairwise([zones[0].from_mm, *borders, zones[-1].to_mm])
        moved = tuple(zone.between(low, high) for zone, (low, high) in zip(zones, ends, strict=True))
        return self.focus.but(refocus=moved)

    @property
    def apex_at_middle_mm(self) -> float:
        """Height over the bed of the apex at the artwork's middle, which lies under the middle of the field.

        The focus counts from the apex at the middle of the artwork's heights, which is another place where a wall is
        bellied or the artwork hangs lower on one side.
        """
        lies = self.layout
        here, there = (lies.artwork_from_mm + lies.artwork_to_mm) / 2, lies.centre_mm
        radii = self.shape.radius_mm(np.array([here, there]))
        apart = Stand(0.0, 0.0, self.focus.tilt_rad).apex_mm(np.array([here, there]), radii)
        return self.focus.apex_height_mm + float(apart[1] - apart[0])


DUST: Final = 9
"""Decimals of a millimetre beyond which a budget line is rounding."""


def _as_it_lies(setup: Setup) -> Stand:
    cradle, at_mm = setup.turning.cradle, setup.turning.axis_height_at_mm
    if cradle is not None:
        return Stand(cradle.axis_height_mm, at_mm, cradle.tilt_rad)
    return Stand(setup.job.turning.axis_height_mm, at_mm, 0.0)


def sliced_setup(setup: Setup, defocus_mm: float, least_slice_mm: float = 0.0) -> SlicedSetup:
    """The setup with its split and its focus for this defocus (signed, + above the apex line)."""
    cut = split(setup, defocus_mm, least_slice_mm)
    return SlicedSetup(**dict(setup), split=cut, focus=focus(setup, cut, defocus_mm))


def focus(setup: Setup, split: Split, defocus_mm: float) -> Focus:
    """Where to put the focal plane for this defocus (signed, + above the apex line), and what it costs."""
    drive, laser = setup.job.turning, setup.job.laser
    body, turning, optics, layout = setup.shape, setup.turning, setup.optics, setup.layout
    lies = _as_it_lies(setup)
    level = Stand(turning.level.axis_height_mm, turning.axis_height_at_mm, turning.level.tilt_rad)
    stands = level if drive.levelled else lies
    s = np.linspace(layout.artwork_from_mm, layout.artwork_to_mm, SAMPLES)
    r = revolution.radius_mm(body.curve, s)
    here = float(stands.apex_mm(s, r)[SAMPLES // 2])
    wall = wall_under_head(setup, defocus_mm)
    allowed = wall.allowed
    _refuse_oval(setup, allowed)
    zones = zones_of(wall, split.index_angle_rad)
    placed = [here + zone.plane_mm for zone in zones]
    # The zone that takes most of its window is what the budget is about.
    widest = max(zones, key=lambda zone: zone.high_mm - zone.low_mm)
    middle = next(zone for zone in zones if zone.last >= SAMPLES // 2)
    plane = here + middle.plane_mm
    _refuse_handle_at_head(setup, split, min(placed))
    balance = middle.plane_mm - defocus_mm
    rows = _budget(setup, split, widest, widest.high_mm if len(zones) > 1 else 0.0, defocus_mm)
    low, high = sum(row.low_mm for row in rows), sum(row.high_mm for row in rows)
    least, most = focus_budget.fluence_range(defocus_mm, optics.rayleigh_mm, low, high)
    fills = setup.job.item.runout_mm + 2 * setup.job.tolerances.focus_mm >= allowed[1] - allowed[0]
    highest = float(stands.apex_mm(*_whole(body)).max())
    meets_head = laser.free_height_mm is not None and highest - min(placed) > laser.free_height_mm
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
        refocus=tuple(_refocus(setup, wall, split.index_angle_rad, zones, here)),
        highest_mm=highest,
        remarks=(
            *(["setting_fills"] if fills else []),
            *(["oval"] if body.oval else []),
            *_remarks(defocus_mm, (low, high), allowed, len(zones), meets_head),
        ),
    )


def _refuse_handle_at_head(setup: Setup, split: Split, lowest_plane_mm: float) -> None:
    """The handle comes round with the item: over the turn that this split needs it has to pass under the head."""
    job, layout = setup.job, setup.layout
    if job.item.handle is None or job.laser.free_height_mm is None:
        return
    bottom_mm = lowest_plane_mm + job.laser.free_height_mm
    free = handle_range(job.turning, job.item, setup.shape, setup.turning, bottom_mm)
    if free is None:
        return
    reach = (split.inked_slices - 1) / 2 * split.index_angle_rad
    low, high = layout.centre_angle_rad - reach, layout.centre_angle_rad + reach
    if low < free.from_rad - 1e-9 or high > free.to_rad + 1e-9:
        says = (
            f"the handle would hit {free.stopped_by}: the item has to turn from {math.degrees(low):.0f}° to "
            f"{math.degrees(high):.0f}° from its front, and can turn only from {math.degrees(free.from_rad):.0f}° to "
            f"{math.degrees(free.to_rad):.0f}°. Make the artwork narrower, place it further from the handle, "
            "or use a lens that leaves more room"
        )
        raise no_plan("artwork.width", says)


def _whole(body: Shape) -> tuple[Floats, Floats]:
    return body.curve.s_mm, revolution.radius_mm(body.curve, body.curve.s_mm)


def _apex_rows(setup: Setup, s: Floats, r: Floats, lies: Stand, level: Stand) -> tuple[ApexRow, ...]:
    item, shape = setup.job.item, setup.shape
    heights = zip(s.tolist(), lies.apex_mm(s, r).tolist(), level.apex_mm(s, r).tolist(), strict=True)
    return tuple(
        ApexRow(s_mm=at, from_end_mm=height_from_s_mm(item, shape, at), as_it_lies_mm=one, levelled_mm=other)
        for at, one, other in heights
    )


def _refuse_oval(setup: Setup, allowed: tuple[float, float]) -> None:
    """An oval's wall comes nearer and goes away as it turns: refused where that alone leaves the focus."""
    oval, room_mm = setup.shape.oval, allowed[1] - allowed[0]
    if oval is None or oval.differ_mm / 2 <= room_mm:
        return
    panel_mm = float(circle.flat_panel_width_mm(oval.wide_mm, oval.narrow_mm, room_mm))
    says = (
        f"an item of {oval.wide_mm:g} by {oval.narrow_mm:g} mm is oval: as it turns, the apex rises and falls by "
        f"{oval.differ_mm / 2:.3g} mm, but the focus allows only {room_mm:.2g} mm. Mark only the flatter side, without "
        f'turning the item, at most {panel_mm:.3g} mm wide, or enter a larger "lens away" (under fixed settings).'
    )
    raise no_plan(f"item.measurements.{oval.place}.second_across", says)


def _budget(setup: Setup, split: Split, zone: FocusZone, apex_mm: float, defocus_mm: float) -> tuple[BudgetRow, ...]:
    """The lines of the budget, counted from an apex; their sums are how far the surface may be off its place."""
    # Of the wall's own range in this zone, what the sag does not explain is the slope of the apex line.
    drop, balance_mm = min(split.edge_drop_mm, zone.high_mm - zone.low_mm), zone.plane_mm - defocus_mm - apex_mm
    half, focus_mm = setup.job.item.runout_mm / 2, setup.job.tolerances.focus_mm
    known_mm = setup.artwork_half_mm
    given: tuple[tuple[BudgetId, float, float], ...] = (
        ("sag", -drop, 0.0),
        ("slope", zone.low_mm + drop - apex_mm, zone.high_mm - apex_mm),
        ("plane", -balance_mm, -balance_mm),
        ("shape", -known_mm, known_mm),
        ("runout", -half, half),
        ("setting", -focus_mm, focus_mm),
        ("field_curvature", 0.0, 0.0),
    )
    return tuple(BudgetRow(id=name, low_mm=round(low, DUST), high_mm=round(high, DUST)) for name, low, high in given)


def _refocus(
    setup: Setup, wall: Wall, index_rad: float, zones: list[FocusZone], here_mm: float
) -> Iterator[RefocusZone]:
    if len(zones) < 2:
        return
    s = np.linspace(setup.layout.artwork_from_mm, setup.layout.artwork_to_mm, SAMPLES)
    for zone in zones:
        first, last = zone_reach(wall, index_rad, zone)
        yield RefocusZone(
            from_mm=height_from_s_mm(setup.job.item, setup.shape, float(s[zone.first])),
            to_mm=height_from_s_mm(setup.job.item, setup.shape, float(s[zone.last])),
            focal_plane_mm=here_mm + zone.plane_mm,
            beyond_from_mm=float(s[zone.first] - s[first]),
            beyond_to_mm=float(s[last] - s[zone.last]),
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
