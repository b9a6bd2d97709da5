"""2  What turns the item: a chuck or two rollers, its steps, and what they mean at the surface.

`models` is what is asked and what comes out, `faults` what is refused, `lie` how the item lies,
`handle` how far it may turn; the one public verb is `turning`.
"""

from typing import Final, NamedTuple

import numpy as np

from rotary.errors import refuse, refuse_all
from rotary.formulas import motion, revolution, stops
from rotary.item import Item, s_from_height_mm
from rotary.shape import Shape
from rotary.turning.faults import motor_faults, roller_faults
from rotary.turning.handle import free_range
from rotary.turning.lie import Lie, in_chuck, on_rollers
from rotary.turning.models import Chuck, ItemTurning, Rollers, TurnNote, TurnNoteId

GEAR_SHARE: Final = 1e-4
"""Relative standard uncertainty of a chuck's steps a turn: teeth are counted, only play is left (estimate)."""

CREEP_SHARE: Final = 0.003
"""What soft rollers lose in a turn: 0.05 to 1 %, by rubber and load. Estimate, no source."""

COARSEST_STEPS: Final = 24
"""With fewer steps a turn one step is wider than any slice."""


class _Scale(NamedTuple):
    steps: float
    u: float
    source: str
    creep: float
    used: int
    odd: tuple[int, ...]
    notes: list[TurnNote]


def _read_scale(drive: Chuck | Rollers, item: Item, body: Shape, nominal: float) -> _Scale:
    """The scale from full-turn ticks."""
    radius = revolution.radius_mm(body.curve, [s_from_height_mm(item, body, tick.at_mm) for tick in drive.ticks])
    gap, u = np.array([(tick.gap_mm, tick.u_mm) for tick in drive.ticks]).T
    share, u_share = (motion.overshoot_share(mm, radius) for mm in (gap, u))
    steps = np.array([tick.steps or nominal for tick in drive.ticks])
    found = motion.weighted_mean(motion.turn_share(share, steps, nominal), u_share)
    if not found.agree:
        raise refuse(
            "turning.ticks",
            "the full-turn tests disagree too much: do the test at least three times more, each time from a "
            "fresh tick, and enter only these tests. Leave out any turn in which the item slipped.",
        )
    used = len(drive.ticks) - len(found.odd)
    notes = [TurnNote(id="tick_left_out", values={"number": k + 1}) for k in found.odd]
    source = f"{used} full-turn test{'s' if used > 1 else ''}"
    return _Scale(nominal / (1 + found.value), found.u / (1 + found.value), source, 0.0, used, found.odd, notes)


def _scale(drive: Chuck | Rollers, item: Item, body: Shape, nominal: float, lie: Lie) -> _Scale:
    if drive.ticks:
        return _read_scale(drive, item, body, nominal)
    if isinstance(drive, Chuck):
        return _Scale(nominal, GEAR_SHARE, "the play in the chuck's gear, not measured", 0.0, 0, (), [])
    creep = CREEP_SHARE if drive.covering == "soft" else 0.0
    u = float(np.sqrt(lie.u_contact**2 + creep**2 + GEAR_SHARE**2))
    where = "where the item touches" if drive.covering == "soft" else "under the balance point"
    cause: TurnNoteId = "contact_unknown" if lie.u_contact > creep else "rollers_slip"
    notes = [TurnNote(id=cause, values={"u_percent": 100 * u, "steps": nominal})] if u > 0.002 else []
    return _Scale(nominal, u, f"the diameter {where}, not measured", creep, 0, (), notes)


def turning(
    drive: Chuck | Rollers, item: Item, body: Shape, heights_mm: tuple[float, float] | None = None
) -> ItemTurning:
    """What the drive does to this body; raises Refused (falls through, hits the bed, never fits).

    `heights_mm` are those (s) between which it is levelled, the artwork's; the whole item where there is none.
    """
    of_rollers = roller_faults(drive, item, body) if isinstance(drive, Rollers) else ()
    refuse_all([*motor_faults(drive, item, body), *of_rollers])
    heights = heights_mm or (0.0, body.length_mm)
    lie = on_rollers(drive, item, body, heights) if isinstance(drive, Rollers) else in_chuck(drive, body, heights)
    motor = motion.steps_per_turn(drive.full_steps, drive.microsteps, drive.gear_ratio)
    nominal = motor
    if isinstance(drive, Rollers) and lie.rolling_mm is not None:
        nominal = float(motion.steps_per_item_turn(motor, lie.rolling_mm, drive.roller_diameter_mm / 2))
    if nominal < COARSEST_STEPS:
        raise refuse(
            "turning.full_steps",
            f"{nominal:.3g} steps would turn the item once, so one step is wider than a slice: write the motor's full "
            "steps per turn (often 200), its microsteps and the gear ratio (motor turns for one turn of the chuck or "
            "roller).",
        )
    scale = _scale(drive, item, body, nominal, lie)
    widest = body.widest_radius_mm
    arc = float(motion.arc_per_step_mm(widest, scale.steps))
    full_step = arc * drive.microsteps
    error = widest * motion.motor_error_rad(drive.full_steps, drive.gear_ratio * nominal / motor)
    contact = lie.contact_mm
    notes = [*lie.notes, *scale.notes]
    if drive.microsteps > 10:
        notes.append(TurnNote(id="microsteps", values={"off_um": 1000 * error}))
    return ItemTurning(
        steps_per_turn=scale.steps,
        nominal_steps_per_turn=nominal,
        u_scale=scale.u,
        scale_source=scale.source,
        rad_per_step=2 * np.pi / scale.steps,
        arc_per_step_mm=arc,
        contact_mm=contact[1] if contact else None,
        contact_from_mm=contact[0] if contact else None,
        contact_to_mm=contact[2] if contact else None,
        contact_radius_mm=lie.rolling_mm,
        slip_share=scale.creep,
        closing_steps=float(np.floor(scale.steps + 0.5) - scale.steps),
        axis_height_mm=lie.stand.axis_mm,
        tilt_rad=lie.stand.tilt_rad,
        level=lie.level,
        cradle=lie.cradle,
        turn_range=free_range(drive, item, body, lie.stand),
        offset_per_mm=float(motion.skew_stair_mm(1.0, abs(drive.skew_rad))),
        readings_used=scale.used,
        odd_readings=scale.odd,
        notes=tuple(notes),
        axis_height_at_mm=lie.stand.at_mm,
        motor_error_mm=error,
        seam_stops_mm=_seam_stops_mm(drive, full_step),
        cycle_steps=stops.cycle_microsteps(drive.motor, drive.microsteps),
        stops_tested=(drive.stops_free_share is not None, drive.stops_whole_share is not None),
    )


def _seam_stops_mm(drive: Chuck | Rollers, full_step_mm: float) -> tuple[float, float]:
    """What two stops leave at a seam (1 sigma), of free indexes and of whole cycles: as tested, else as believed."""
    shares = (drive.stops_free_share, drive.stops_whole_share)
    free, whole = (stops.SEAM_SHARE if one is None else stops.normal_equivalent(one) for one in shares)
    return full_step_mm * free, full_step_mm * whole
