"""Each limit's own widest slice, and what its sentences need."""

import math
from dataclasses import dataclass, field
from typing import Final, Literal, NamedTuple

import numpy as np

from rotary.formulas import circle, motion, seams
from rotary.formulas.arrays import Floats
from rotary.formulas.estimate import HOLDS_95
from rotary.laser import LaserAndLens
from rotary.model import Values
from rotary.setup import Setup
from rotary.slices.models import GoverningId, Limit, LimitId
from rotary.slices.wall import STATIONS, Slices, Wall, slices_of
from rotary.tolerances import Tolerances
from rotary.turning.models import Chuck, ItemTurning, Rollers

Method = Literal["sliced", "flat"]

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
    `at_seams_only` where it says nothing about artwork that needs a single slice.
    """

    id: LimitId
    index_rad: float
    values: Values = field(default_factory=dict)
    methods: tuple[Method, ...] = ("sliced", "flat")
    obeyed: bool = True
    at_seams_only: bool = False

    def binds(self, method: Method) -> bool:
        """Whether the choice for this method has to keep to it."""
        return self.obeyed and method in self.methods


class WallSurvey(NamedTuple):
    """The wall at many index angles (g,), and within what all seams of each method are there in 19 of 20 items.

    `seam_count` (g,) seams share one part of their error; each has its own from the motor's stops, `stops_mm`
    (1 sigma), which are those of free indexes, or of whole cycles of the motor.
    """

    wall: Wall
    at: Slices
    seam_count: Floats
    stops_mm: Floats
    worst_sheet: Floats
    worst_plain: Floats

    def worst_mm(self, method: Method, index_rad: float) -> float:
        """The worst that a seam may be off at an index angle."""
        worst = self.worst_sheet if method == "sliced" else self.worst_plain
        return float(np.interp(index_rad, self.at.index_rad, worst))


def wall_survey(wall: Wall, least_rad: float, most_rad: float, ring: bool) -> tuple[WallSurvey, WallSurvey]:
    """The wall at index angles from the least that the drive can turn to the whole artwork: with the stops of free
    indexes, and with those of whole cycles of the motor."""
    most = min(max(most_rad, 1.001 * least_rad), WIDEST_INDEX_RAD)
    at = slices_of(wall, np.geomspace(min(least_rad, most / 2000), most, GRID), prove_sheet=False)
    count = np.maximum(np.ceil(most_rad / at.index_rad - 1e-9) - (not ring), 1.0)
    # Flat columns may close by chance at one wide angle: that is no reason to go there.
    flat = np.maximum.accumulate(_known(np.abs(at.plain_seam)), axis=0)

    def with_stops(stops: Floats) -> WallSurvey:
        # Both methods at once: each call has its own cost.
        twice, nominal = np.concatenate([count, count]), np.concatenate([np.zeros_like(flat), flat])
        within = all_seams_mm(np.concatenate([at.spread, at.spread]), stops, twice, nominal)
        return WallSurvey(wall, at, count, stops, *np.split(within, 2))

    free = with_stops(wall.seam_stops[0])
    return free, free if np.array_equal(*wall.seam_stops) else with_stops(wall.seam_stops[1])


def all_seams_mm(spread_mm: Floats, stops_mm: Floats, count: Floats, nominal_mm: Floats | float = 0.0) -> Floats:
    """Within what all of `count` (g,) seams are in 19 of 20 items, at the worst station of the band (g,) [mm].

    `spread_mm` (g, k) is what they share (95 %), `stops_mm` (k,) what is each seam's own (1 sigma).
    """
    common, own = np.broadcast_arrays(spread_mm / HOLDS_95, stops_mm)
    nominal = np.broadcast_to(np.abs(nominal_mm), common.shape)
    finite = np.where(np.isfinite(nominal), nominal, 1e9)
    worst = np.argmax(finite + HOLDS_95 * np.hypot(common, own * seams.two_sided(count)[:, None] / HOLDS_95), axis=1)
    at = np.arange(len(worst)), worst
    within = seams.all_within_mm(common[at], own[at], count, finite[at])
    return np.where(np.isfinite(nominal[at]), within, np.inf)


def applicable(found: list[Bound], method: Method, slices: int) -> list[Bound]:
    """The limits that say something about this method and this number of slices."""
    return [bound for bound in found if method in bound.methods and (slices > 1 or not bound.at_seams_only)]


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


def _last(index: Floats, quantity: Floats, most: float) -> float:
    """The widest index angle at which a quantity (g,) is within `most`; inf where it is at the end, 0 where nowhere.

    All seams are within less where they are few, so that a narrow slice may exceed what a wider one keeps to.
    """
    kept = np.flatnonzero(quantity <= most)
    if not kept.size:
        return 0.0
    last = int(kept[-1])
    return _widest(index[last:], quantity[last:], most)


def bounds(setup: Setup, tolerances: Tolerances, seen: WallSurvey) -> list[Bound]:
    """All the limits, in the order in which they are told; `tolerances` need not be the job's."""
    drive, turning, laser, ring = setup.job.turning, setup.turning, setup.job.laser, setup.layout.is_ring
    wall, at = seen.wall, seen.at
    if not wall.sags:
        # A flat lies still under the head, and there is an edge of the item between it and the next.
        return [_incidence(tolerances, seen, False), _closing(ring), _field(laser, seen)]
    steep = _incidence(tolerances, seen, can_be_levelled(drive, turning))
    found = [_focus(tolerances, wall), steep, *_seams(tolerances, turning, seen)]
    stair = _widest(at.index_rad, at.stair.max(axis=1), tolerances.accepted_seam_mm)
    found.append(
        Bound(
            "skew_offset",
            stair,
            {"skew_rad": abs(drive.skew_rad), "offset_mm": wall.offset, "seam_mm": tolerances.accepted_seam_mm},
            at_seams_only=True,
        )
    )
    if laser.slice_turn_rad != 0:
        found.append(_askew(tolerances, laser, at))
    found.append(_hatch(tolerances, wall))
    found.append(_closing(ring))
    found.append(_field(laser, seen))
    return found


def flat_stair_mm(at: Slices, laser: LaserAndLens) -> Floats:
    """The stair (g, k) at the seams of flat artwork, which can't be turned column by column as a sheet is [mm]."""
    return np.asarray(at.stair + motion.skew_stair_mm(at.width, abs(laser.slice_turn_rad)))


def _askew(tolerances: Tolerances, laser: LaserAndLens, at: Slices) -> Bound:
    return Bound(
        "skew_plain",
        _widest(at.index_rad, flat_stair_mm(at, laser).max(axis=1), tolerances.accepted_seam_mm),
        {"turn_rad": abs(laser.slice_turn_rad)},
        methods=("flat",),
        at_seams_only=True,
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


def _incidence(tolerances: Tolerances, seen: WallSurvey, can_level: bool) -> Bound:
    index = _widest(seen.at.index_rad, seen.at.incidence.max(axis=1), tolerances.incidence_rad)
    return Bound(
        "incidence",
        index,
        {"incidence_rad": tolerances.incidence_rad, "levelling_helps": index == 0 and can_level},
        obeyed=index > 0,
    )


def _seams(tolerances: Tolerances, turning: ItemTurning, seen: WallSurvey) -> list[Bound]:
    wall, at, tolerance = seen.wall, seen.at, tolerances.accepted_seam_mm
    geometry = at.spread_without_drive.max(axis=1)
    sheet_free = _widest(at.index_rad, geometry, tolerance)
    widest = min(sheet_free, float(at.index_rad[-1]))
    radius = float(wall.r.max())
    # All stops of the slices that the geometry would allow, by themselves.
    fewest = float(np.interp(widest, at.index_rad, seen.seam_count))
    stops = float(seen.stops_mm.max() * seams.two_sided(fewest))
    left = math.sqrt(max(tolerance**2 - stops**2, 0.0))
    drive_index = left / (radius * wall.drive_half) if wall.drive_half > 0 else math.inf
    full = _last(at.index_rad, seen.worst_sheet, tolerance)
    scale_index = tolerance / (radius * wall.drive_half) if wall.drive_half > 0 else math.inf
    by_scale = scale_index < CURABLE * widest
    by_stops = left < CURABLE * tolerance or (full < CURABLE * widest and not by_scale)
    curable = not by_stops and drive_index >= CURABLE * widest
    sheet = full if curable else sheet_free
    plain_free = _widest(at.index_rad, _known(np.abs(at.plain_seam)).max(axis=1) + geometry, tolerance)
    # Flat slices may have to be so narrow that the stops of all of them exceed what is accepted: then by shape alone.
    plain = (_last(at.index_rad, seen.worst_plain, tolerance) or plain_free) if curable else plain_free
    if by_stops:
        # What keeps to the tolerance all the same would be so narrow that it is said and not obeyed.
        drive_index = min(drive_index, full)
    costliest, apart_mm = _costliest_belief(wall, at), float(wall.r.max() - wall.r.min()) / 2
    # Where the beliefs about the inputs and not the flat columns cost most, redrawing would not help.
    shape = float(np.interp(plain, at.index_rad, _known(np.abs(at.plain_seam)).max(axis=1)))
    believed = shape < float(np.interp(plain, at.index_rad, geometry))
    return [
        Bound(
            "seam_plain",
            plain,
            {
                "apart_mm": apart_mm if apart_mm >= STRAIGHT_MM else 0.0,
                "radius_mm": float(wall.r.max()) - apart_mm,
                "costliest": costliest if believed else "",
            },
            methods=("flat",),
            obeyed=plain > 0,
        ),
        Bound(
            "seam_sheet",
            sheet,
            {
                "diameter_mm": 2 * float(wall.radius_half.max()),
                "diameter_given": tolerances.diameter_mm is not None,
                "height_mm": wall.height_half,
                "field_scale_share": wall.scale_half,
                "pupil_share": wall.pupil_half,
                "offset_mm": wall.offset,
                "seam_mm": tolerance,
                "costliest": costliest,
            },
            methods=("sliced",),
            obeyed=sheet > 0,
            at_seams_only=True,
        ),
        Bound(
            "turning",
            drive_index,
            {
                "scale_share": wall.drive_half,
                "scale_source": turning.scale_source,
                "stop_mm": float(wall.stop_bound.max()),
                "tested": any(turning.stops_tested),
                "has_cycles": turning.cycle_steps is not None,
                "cycle_steps": turning.cycle_steps or 0,
                "stops_mm": stops,
                "scale_adds_up": by_scale,
                "stops_open": by_stops,
                "curable": curable,
                "readings": turning.readings_used,
            },
            obeyed=curable,
            at_seams_only=True,
        ),
    ]


def _costliest_belief(wall: Wall, at: Slices) -> str:
    """Which of the inputs spreads the seams most."""
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
    return Bound("line_spacing", math.inf, {"lines_mm": (tolerances.line_spacing_mm or 0.0) if straight else 0.0})


def _closing(ring: bool) -> Bound:
    return Bound("closing", math.inf, {"ring": ring})


def _field(laser: LaserAndLens, seen: WallSurvey) -> Bound:
    index = _widest(seen.at.index_rad, seen.at.command_x.max(axis=1), laser.field_mm / 2)
    return Bound("field", index, {"field_mm": laser.field_mm})


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
            by_width=bound.obeyed,
            values=bound.values,
        )
        for bound in found
    )
