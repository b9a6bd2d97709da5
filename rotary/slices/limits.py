"""Each limit's own widest slice, and what its sentences need."""

import math
from dataclasses import dataclass, field
from typing import Final, Literal, NamedTuple

import numpy as np

from rotary.drive import Chuck, ItemTurning, Rollers
from rotary.formulas import circle, motion
from rotary.formulas.arrays import Floats
from rotary.head import Head
from rotary.model import Values
from rotary.setup import Setup
from rotary.slices.models import GoverningId, Limit, LimitId
from rotary.slices.wall import STATIONS, Slices, Wall, slices_of
from rotary.tolerances import Tolerances

Method = Literal["sheet", "plain"]

GRID: Final = 56
"""Index angles at which the limits are looked at; between them they follow power laws, so this is ample."""

WIDEST_INDEX_RAD: Final = 2.6
"""Beyond this the edges of a slice are out of the beam's sight whatever the lens."""

STRAIGHT_MM: Final = 0.001
"""A wall whose radius differs by less is straight."""

CURABLE: Final = 0.5
"""Where the drive alone would ask for slices narrower than this share of what all else allows, narrow slices
are no cure: the drive's error adds up to the same over the artwork. Then it is said and not obeyed."""


@dataclass(frozen=True, slots=True)
class Bound:
    """A limit as an index angle [rad], inf where it sets none; `methods` those it binds, `values` for its sentences.

    `obeyed` is False where no slice width can help, so that the choice goes on without it;
    `at_joints_only` where it says nothing about artwork that needs a single slice.
    """

    id: LimitId
    index_rad: float
    values: Values = field(default_factory=dict)
    methods: tuple[Method, ...] = ("sheet", "plain")
    obeyed: bool = True
    at_joints_only: bool = False

    def binds(self, method: Method) -> bool:
        """Whether the choice for this method has to keep to it."""
        return self.obeyed and method in self.methods


class Surveyed(NamedTuple):
    """The wall at many index angles, and the worst joint (nominal and 95 %) of each method there (g,)."""

    wall: Wall
    at: Slices
    worst_sheet: Floats
    worst_plain: Floats

    def worst_mm(self, method: Method, index_rad: float) -> float:
        """The worst that a joint may be off at an index angle."""
        worst = self.worst_sheet if method == "sheet" else self.worst_plain
        return float(np.interp(index_rad, self.at.index_rad, worst))


def surveyed(wall: Wall, least_rad: float, most_rad: float) -> Surveyed:
    """The wall at index angles from the least that the drive can turn to the whole artwork."""
    most = min(max(most_rad, 1.001 * least_rad), WIDEST_INDEX_RAD)
    at = slices_of(wall, np.geomspace(min(least_rad, most / 2000), most, GRID), prove_sheet=False)
    sheet = at.spread.max(axis=1)
    plain = _known(np.abs(at.plain_joint) + at.spread).max(axis=1)
    return Surveyed(wall, at, sheet, plain)


def applying(found: list[Bound], method: Method, slices: int) -> list[Bound]:
    """The limits that say something about this method and this number of slices."""
    return [bound for bound in found if method in bound.methods and (slices > 1 or not bound.at_joints_only)]


def _known(values: Floats) -> Floats:
    return np.where(np.isnan(values), np.inf, values)


def _widest(index: Floats, quantity: Floats, most: float) -> float:
    """Index angle at which a growing quantity (g,) reaches `most`; inf where it never does, 0 where it always has."""
    grown = np.maximum.accumulate(_known(quantity))
    if grown[-1] <= most:
        return math.inf
    if grown[0] > most:
        return 0.0
    over = int(np.searchsorted(grown, most, side="right"))
    low, high = float(grown[over - 1]), float(grown[over])
    a, b = float(index[over - 1]), float(index[over])
    if low <= 0 or not math.isfinite(high) or low == high:
        share = (most - low) / (high - low) if math.isfinite(high) and high > low else 0.0
        return a + share * (b - a)
    return float(a * (b / a) ** (math.log(most / low) / math.log(high / low)))


def bounds(setup: Setup, tolerances: Tolerances, seen: Surveyed) -> list[Bound]:
    """All the limits, in the order in which they are told; `tolerances` need not be the job's."""
    drive, turning, head, ring = setup.job.drive, setup.turning, setup.job.head, setup.layout.is_ring
    wall, at = seen.wall, seen.at
    if not wall.sags:
        # A flat lies still under the head, and there is an edge of the item between it and the next.
        return [_incidence(tolerances, seen, False), _closing(ring), _field(head, seen)]
    steep = _incidence(tolerances, seen, can_be_levelled(drive, turning))
    found = [_focus(tolerances, wall), steep, *_joints(tolerances, turning, seen)]
    stair = _widest(at.index_rad, at.stair.max(axis=1), tolerances.joint_mm)
    found.append(
        Bound(
            "skew_offset",
            stair,
            {"skew_rad": abs(drive.skew_rad), "offset_mm": wall.offset, "joint_mm": tolerances.joint_mm},
            at_joints_only=True,
        )
    )
    if head.slice_turn_rad != 0:
        found.append(_askew(tolerances, head, at))
    found.append(_hatch(tolerances, wall))
    found.append(_closing(ring))
    found.append(_field(head, seen))
    return found


def flat_stair_mm(at: Slices, head: Head) -> Floats:
    """The stair (g, k) at the joints of flat artwork, which can't be turned column by column as a sheet is [mm]."""
    return np.asarray(at.stair + motion.skew_stair_mm(at.width, abs(head.slice_turn_rad)))


def _askew(tolerances: Tolerances, head: Head, at: Slices) -> Bound:
    return Bound(
        "skew_plain",
        _widest(at.index_rad, flat_stair_mm(at, head).max(axis=1), tolerances.joint_mm),
        {"turn_rad": abs(head.slice_turn_rad)},
        methods=("plain",),
        at_joints_only=True,
    )


def _focus(tolerances: Tolerances, wall: Wall) -> Bound:
    room = wall.allowed[1] - wall.allowed[0]
    radius = float(wall.r.max()) * math.cos(wall.tilt)
    index = float(circle.widest_arc_mm(radius, room)) / radius if wall.sags and room < 2 * radius else math.inf
    return Bound(
        "focus",
        index,
        {
            "room_mm": room,
            "fluence_low_share": tolerances.fluence_low_share,
            "fluence_high_share": tolerances.fluence_high_share,
        },
    )


def can_be_levelled(drive: Chuck | Rollers, turning: ItemTurning) -> bool:
    """Whether the item lies less level than it could, and the job does not level it."""
    return not drive.levelled and turning.level.shim_mm != 0


def _incidence(tolerances: Tolerances, seen: Surveyed, can_level: bool) -> Bound:
    index = _widest(seen.at.index_rad, seen.at.incidence.max(axis=1), tolerances.incidence_rad)
    return Bound(
        "incidence",
        index,
        {"incidence_rad": tolerances.incidence_rad, "levelling_helps": index == 0 and can_level},
        obeyed=index > 0,
    )


def _joints(tolerances: Tolerances, turning: ItemTurning, seen: Surveyed) -> list[Bound]:
    wall, at, tolerance = seen.wall, seen.at, tolerances.joint_mm
    geometry = at.spread_without_drive.max(axis=1)
    sheet_free = _widest(at.index_rad, geometry, tolerance)
    radius = float(wall.r.max())
    stops = float(wall.stops_half.max())
    left = math.sqrt(max(tolerance**2 - stops**2, 0.0))
    drive_index = left / (radius * wall.drive_half) if wall.drive_half > 0 else math.inf
    by_stops = left < CURABLE * tolerance
    scale_index = tolerance / (radius * wall.drive_half) if wall.drive_half > 0 else math.inf
    by_scale = scale_index < CURABLE * min(sheet_free, float(at.index_rad[-1]))
    curable = not by_stops and drive_index >= CURABLE * min(sheet_free, float(at.index_rad[-1]))
    sheet = _widest(at.index_rad, seen.worst_sheet, tolerance) if curable else sheet_free
    plain_free = _widest(at.index_rad, _known(np.abs(at.plain_joint)).max(axis=1) + geometry, tolerance)
    plain = _widest(at.index_rad, seen.worst_plain, tolerance) if curable else plain_free
    if by_stops:
        # What keeps to the tolerance all the same would be so narrow that it is said and not obeyed.
        drive_index = min(drive_index, _widest(at.index_rad, seen.worst_sheet, tolerance))
    costliest, apart_mm = _costliest_belief(wall, at), float(wall.r.max() - wall.r.min()) / 2
    # Where the beliefs about the inputs and not the flat columns cost most, redrawing would not help.
    shape = float(np.interp(plain, at.index_rad, _known(np.abs(at.plain_joint)).max(axis=1)))
    believed = shape < float(np.interp(plain, at.index_rad, geometry))
    return [
        Bound(
            "joint_plain",
            plain,
            {
                "apart_mm": apart_mm if apart_mm >= STRAIGHT_MM else 0.0,
                "radius_mm": float(wall.r.max()) - apart_mm,
                "costliest": costliest if believed else "",
            },
            methods=("plain",),
            obeyed=plain > 0,
        ),
        Bound(
            "joint_sheet",
            sheet,
            {
                "diameter_mm": 2 * float(wall.radius_half.max()),
                "diameter_given": tolerances.diameter_mm is not None,
                "height_mm": wall.height_half,
                "field_scale_share": wall.scale_half,
                "pupil_share": wall.pupil_half,
                "offset_mm": wall.offset,
                "joint_mm": tolerance,
                "costliest": costliest,
            },
            methods=("sheet",),
            obeyed=sheet > 0,
            at_joints_only=True,
        ),
        Bound(
            "drive",
            drive_index,
            {
                "scale_share": wall.drive_half,
                "scale_source": turning.scale_source,
                "stop_mm": float(wall.stop_bound.max()),
                "stops_mm": stops,
                "scale_adds_up": by_scale,
                "stops_open": by_stops,
                "curable": curable,
                "readings": turning.readings_used,
            },
            obeyed=curable,
            at_joints_only=True,
        ),
    ]


def _costliest_belief(wall: Wall, at: Slices) -> str:
    """Which of the inputs spreads the joints most."""
    under = abs(float(at.over[0, STATIONS // 2]))
    return max(
        (float((wall.radius_half / wall.r).max()), "diameter"),
        (wall.height_half / wall.pupil_x, "height"),
        (wall.scale_half, "field_scale"),
        (wall.pupil_half * under / wall.pupil_x, "pupil"),
        (wall.offset**2 / (2 * wall.middle_r**2), "offset"),
    )[1]


def _hatch(tolerances: Tolerances, wall: Wall) -> Bound:
    straight = float(wall.r.max() - wall.r.min()) < STRAIGHT_MM
    return Bound("hatch", math.inf, {"lines_mm": (tolerances.hatch_mm or 0.0) if straight else 0.0})


def _closing(ring: bool) -> Bound:
    return Bound("closing", math.inf, {"ring": ring})


def _field(head: Head, seen: Surveyed) -> Bound:
    index = _widest(seen.at.index_rad, seen.at.command_x.max(axis=1), head.field_mm / 2)
    return Bound("field", index, {"field_mm": head.field_mm})


def limit_rows(
    found: list[Bound], reference_mm: float, governing: GoverningId, unmet: tuple[LimitId, ...]
) -> tuple[Limit, ...]:
    """The limits with their widths along the wall at the reference radius."""
    return tuple(
        Limit(
            id=bound.id,
            widest_mm=bound.index_rad * reference_mm if math.isfinite(bound.index_rad) else None,
            governs=bound.id == governing,
            met=bound.id not in unmet,
            values=bound.values,
        )
        for bound in found
    )
