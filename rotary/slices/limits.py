"""Each limit's own widest slice, and in words what it is and what would relax it."""

import math
from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.drive import Chuck, ItemTurning, Rollers
from rotary.formulas import circle, motion
from rotary.head import Head
from rotary.setup import Setup
from rotary.slices.models import Limit
from rotary.slices.wall import STATIONS, Slices, Wall, slices_of
from rotary.tolerances import Tolerances

Floats = NDArray[np.float64]
Method = Literal["sheet", "plain"]

GRID: Final = 56
"""Index angles at which the limits are looked at; between them they follow power laws, so this is ample."""

WIDEST_INDEX_RAD: Final = 2.6
"""Beyond this the edges of a slice are out of the beam's sight whatever the lens."""

CURABLE: Final = 0.5
"""Where the drive alone would ask for slices narrower than this share of what all else allows, narrow slices
are no cure: the drive's error adds up to the same over the artwork. Then it is said and not obeyed."""


@dataclass(frozen=True, slots=True)
class Bound:
    """A limit as an index angle [rad], inf where it sets none; `methods` those it binds.

    `obeyed` is False where no slice width can help, so that the choice goes on without it;
    `at_joints_only` where it says nothing about artwork that needs a single slice.
    """

    name: str
    index_rad: float
    why: str
    relax: str
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


def _um(mm: float) -> str:
    return f"{1000 * mm:.3g} µm"


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
            "skew and offset",
            stair,
            f"an axis askew by {math.degrees(abs(drive.skew_rad)):.2g}° and {wall.offset:.2g} mm beside the field's "
            f"centre line puts a stair into every line at a joint, at most {_um(tolerances.joint_mm)} is accepted",
            "set the axis by a line along the item and the pointer on both flanks, and write the smaller skew and "
            "offset under [drive]",
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
    turned = math.degrees(abs(head.slice_turn_rad))
    return Bound(
        "skew, plain artwork",
        _widest(at.index_rad, flat_stair_mm(at, head).max(axis=1), tolerances.joint_mm),
        f"a sheet is drawn turned by {turned:.2g}° in every column for the axis as measured; flat artwork can't be, "
        "and keeps a stair at every joint",
        "a slice sheet, or set the axis straight and measure its skew again",
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
        f"a slice's edge may lie {room:.2g} mm below its middle before the fluence leaves "
        f"{100 * tolerances.fluence_low_share:.0f} to {100 * tolerances.fluence_high_share:.0f} % of the wanted one",
        "a larger Rayleigh length (longer lens), more defocus, or wider limits of the fluence",
    )


def can_be_levelled(drive: Chuck | Rollers, turning: ItemTurning) -> bool:
    """Whether the item lies less level than it could, and the job does not level it."""
    return not drive.levelled and turning.level.shim_mm != 0


def _incidence(tolerances: Tolerances, seen: Surveyed, can_level: bool) -> Bound:
    index = _widest(seen.at.index_rad, seen.at.incidence.max(axis=1), tolerances.incidence_rad)
    degrees = math.degrees(tolerances.incidence_rad)
    return Bound(
        "incidence",
        index,
        f"the beam may meet the wall at most {degrees:.0f}° off square, which stretches the spot "
        f"{1 / math.cos(tolerances.incidence_rad):.2f} times",
        "level the apex line, or accept a larger incidence"
        if index == 0 and can_level
        else "accept a larger incidence",
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
    largest, cure = _largest_belief(wall, at)
    # Where the beliefs about the inputs and not the flat columns cost most, redrawing would not help.
    shape = float(np.interp(plain, at.index_rad, _known(np.abs(at.plain_joint)).max(axis=1)))
    believed = shape < float(np.interp(plain, at.index_rad, geometry))
    percent = 100 * wall.drive_half
    return [
        Bound(
            "joint, plain artwork",
            plain,
            _plain_why(wall),
            cure if believed else "a slice sheet, which is redrawn for every height",
            methods=("plain",),
            obeyed=plain > 0,
        ),
        Bound(
            "joint, slice sheet",
            sheet,
            f"known are the diameter to ±{2 * wall.radius_half:.2g} mm, the height to ±{wall.height_half:.2g} mm, the "
            f"field scale to ±{100 * wall.scale_half:.2g} % and the pupil height to ±{100 * wall.pupil_half:.2g} %, "
            f"the axis to ±{wall.offset:.2g} mm; the {largest} costs most. {_um(tolerance)} at a joint is accepted "
            "(joint under [tolerances])",
            f"{cure}; or read a joint strip and correct the sheet",
            methods=("sheet",),
            obeyed=sheet > 0,
            at_joints_only=True,
        ),
        Bound(
            "drive",
            drive_index,
            f"the drive's scale is known to ±{percent:.2g} % ({turning.scale_source}) and the motor stops within "
            f"±{_um(float(wall.stop_bound.max()))} of its place, which opens a joint between two stops by {_um(stops)}"
            + _why_no_cure(by_scale or (not by_stops and not curable), by_stops),
            _drive_relax(turning, by_scale, by_stops),
            obeyed=curable,
            at_joints_only=True,
        ),
    ]


def _largest_belief(wall: Wall, at: Slices) -> tuple[str, str]:
    """Which of the inputs spreads the joints most, and what would make it better known."""
    under = abs(float(at.over[0, STATIONS // 2]))
    return max(
        (wall.radius_half / wall.middle_r, "diameter", "measure the diameter better"),
        (wall.height_half / wall.pupil_x, "height", "set the focus better"),
        (wall.scale_half, "field scale", "measure the field's scale"),
        (wall.pupil_half * under / wall.pupil_x, "pupil height", "measure the same long line at two bed heights"),
        (
            wall.offset**2 / (2 * wall.middle_r**2),
            "axis beside the field's centre line",
            "set the axis by the pointer on both flanks and write the smaller offset under [drive]",
        ),
    )[1:]


def _plain_why(wall: Wall) -> str:
    apart = float(wall.r.max() - wall.r.min()) / 2
    if apart < 0.001:
        return "flat columns on a round wall come out a little wide, and the inputs are known only so well"
    return (
        f"flat columns fit one radius, here {wall.r.max() - apart:.4g} mm; where the band's radius differs (up to "
        f"{apart:.2g} mm) each joint is off by that share of the slice's width"
    )


def _why_no_cure(by_scale: bool, by_stops: bool) -> str:
    told = ["the scale adds up to the same"] * by_scale + ["the stops open every joint alike"] * by_stops
    return f"; narrower slices can't cure that, {' and '.join(told)}" if told else ""


def _drive_relax(turning: ItemTurning, by_scale: bool, by_stops: bool) -> str:
    gear = "more gear between motor and item; microsteps place no better"
    if by_stops and not by_scale:
        return gear
    ticks = "mark a tick, command one full turn, mark again, and write the gap under ticks"
    if turning.readings_used:
        ticks = "read more full-turn ticks"
    return f"{ticks}; then {gear}" if by_stops else ticks


def _hatch(tolerances: Tolerances, wall: Wall) -> Bound:
    straight = float(wall.r.max() - wall.r.min()) < 0.001
    if straight and tolerances.hatch_mm:
        multiple = f"a whole multiple of {tolerances.hatch_mm:g} mm"
        why = f"hatch around the item; lines along it would need slices that are {multiple} wide"
    else:
        why = "hatch around the item, all slices on one grid along it; lines along it would beat at the joints"
    return Bound("hatch", math.inf, why, "nothing: it sets no limit as long as lines run around")


def _closing(ring: bool) -> Bound:
    why = "the artwork goes all round: a whole number of indexes has to make one turn" if ring else "no full ring"
    return Bound("closing", math.inf, why, "a number of slices that divides the steps of a turn")


def _field(head: Head, seen: Surveyed) -> Bound:
    index = _widest(seen.at.index_rad, seen.at.command_x.max(axis=1), head.field_mm / 2)
    return Bound(
        "field",
        index,
        f"slice and band have to lie inside the lens's field of {head.field_mm:g} mm",
        "a lens with a larger field",
    )


def limit_rows(found: list[Bound], reference_mm: float, governing: str, unmet: tuple[str, ...]) -> tuple[Limit, ...]:
    """The limits as a person reads them, widths along the wall at the reference radius."""
    return tuple(
        Limit(
            name=bound.name,
            widest_mm=bound.index_rad * reference_mm if math.isfinite(bound.index_rad) else None,
            governs=bound.name == governing,
            why=bound.why,
            relax=bound.relax,
            met=bound.name not in unmet,
        )
        for bound in found
    )
