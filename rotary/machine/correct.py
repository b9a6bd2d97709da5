"""From what is known about a machine to the job that the plan uses, and to what the sheet must be drawn with."""

import math
from typing import Final, Literal

from rotary.artwork.rings import Rings, area_mm2
from rotary.errors import no_plan
from rotary.formulas.estimate import HOLDS_95
from rotary.job import Job
from rotary.machine.equipment import equipped
from rotary.machine.readings import StripResult, TurnTick
from rotary.machine.record import KnownMachine, MachineRecord, known, newest_ladder
from rotary.model import Model
from rotary.plan import Plan
from rotary.sheet import SheetWish, laid_out
from rotary.sheet.compose import SheetComposition
from rotary.sheet.correction import drawn_composition
from rotary.sheet.pages import pages
from rotary.turning.models import TickReading

WIDEST_SLICE_MM: Final = 20.0
"""Slices are seldom wider; the blank edge is kept wide enough for a correction of one like this."""

LEAST_DRAWN: Final = 0.8
MOST_DRAWN: Final = 1.25
"""No reading that is kept leads beyond these."""

MOST_PUPIL_DOUBT: Final = 0.5
"""A pupil less well known than this is not known."""


class Correction(Model):
    """How each slice has to be drawn so that it lands as planned on this machine.

    About the middle of its column, first turned by `turn_rad` (+ anticlockwise), then `scale_across` times as
    wide and `scale_along` times as high. `u_scale` and `u_turn_rad` say how well that is known (1 sigma).
    """

    scale_across: float
    scale_along: float
    turn_rad: float
    u_scale: float
    u_turn_rad: float
    source: Literal["seam test", "field test", "belief"]


NO_CORRECTION: Final = Correction(
    scale_across=1.0, scale_along=1.0, turn_rad=0.0, u_scale=0.0015, u_turn_rad=0.0009, source="belief"
)


def correction(job: Job, machine: MachineRecord) -> Correction:
    """What the sheet of a job has to be drawn with on this machine."""
    job = equipped(job, machine)
    now = known(machine, job.item.name)
    across, along = ("y", "x") if job.laser.field_axis == "x" else ("x", "y")
    wide, high, strip, turn = (
        now[name] for name in (f"field-scale-{across}", f"field-scale-{along}", "sheet-scale", "sheet-turn")
    )
    scale_along = 1 / (1 + (high.measured or 0.0))
    if strip.measured is not None:
        return Correction(
            scale_across=1 + strip.measured,
            scale_along=scale_along,
            turn_rad=turn.value or 0.0,
            u_scale=strip.u,
            u_turn_rad=turn.u,
            source="seam test",
        )
    if wide.measured is not None:
        return NO_CORRECTION.but(
            scale_across=1 / (1 + wide.measured), scale_along=scale_along, u_scale=wide.u, source="field test"
        )
    return NO_CORRECTION.but(scale_along=scale_along)


def corrected(job: Job, machine: MachineRecord) -> Job:
    """The job with this machine's equipment, and drive, laser and tolerances as measured, for the plan."""
    job = equipped(job, machine)
    now = known(machine, job.item.name, seam_material(job))
    drawn = correction(job, machine)
    return job.but(
        # Corrected once and for all: whoever plans this job must not correct it again.
        machine="",
        turning=job.turning.but(**_drive(job, machine, now, drawn)),
        laser=job.laser.but(**_head(job, now, drawn)),
        tolerances=job.tolerances.but(**_tolerances(job, machine, now, drawn)),
    )


def seam_material(job: Job) -> str:
    """What a gap ladder is marked in: the job's coating with its batch, or its bare metal."""
    return job.item.coating or job.item.metal


def _drive(job: Job, machine: MachineRecord, now: dict[str, KnownMachine], drawn: Correction) -> dict[str, object]:
    changed: dict[str, object] = {}
    turn = now["turn"]
    if turn.measured is not None:
        # Told as one reading, with the gap that the folded turn leaves at the newest reading's place.
        ticks = [
            r for r in machine.readings if isinstance(r, TurnTick) and r.item.casefold() == job.item.name.casefold()
        ]
        around = math.pi * ticks[-1].across_mm
        newest = ticks[-1]
        tick = TickReading(
            gap_mm=turn.measured * around, at_mm=newest.at_height_mm, u_mm=turn.u * around, steps=newest.steps
        )
        changed["ticks"] = (*job.turning.ticks, tick)
    skew, offset = now["skew"], now["offset"]
    if drawn.source == "seam test":
        # What the strip has shown is drawn away; what is left is how well it was read.
        changed["skew_rad"] = HOLDS_95 * drawn.u_turn_rad
    elif skew.measured is not None:
        changed["skew_rad"] = abs(skew.measured) + HOLDS_95 * skew.u
    if offset.measured is not None:
        changed["offset_mm"] = abs(offset.measured) + HOLDS_95 * offset.u
    for name, field in (("stops-whole", "stops_whole_share"), ("stops-free", "stops_free_share")):
        if now[name].measured is not None:
            changed[field] = now[name].measured
    return changed


def _head(job: Job, now: dict[str, KnownMachine], drawn: Correction) -> dict[str, object]:
    changed: dict[str, object] = {
        "slice_wide_share": min(max(drawn.scale_across, LEAST_DRAWN), MOST_DRAWN),
        "slice_high_share": min(max(drawn.scale_along, LEAST_DRAWN), MOST_DRAWN),
        "slice_turn_rad": drawn.turn_rad,
    }
    doubts = []
    for name, field, factor in (
        ("pupil-x", "pupil_x_mm", 1.0),
        ("pupil-y", "pupil_y_mm", 1.0),
        ("rayleigh", "rayleigh_mm", 1.0),
        ("spot", "spot_um", 1000.0),
        ("focus", "focus_above_mm", 1.0),
    ):
        value, is_pupil = now[name].measured, name.startswith("pupil")
        if value is None or (is_pupil and job.laser.lens == "telecentric"):
            continue
        changed[field] = factor * value
        if is_pupil and value:
            doubts.append(HOLDS_95 * now[name].u / value)
    return changed | ({"pupil_doubt_share": min(max(doubts), MOST_PUPIL_DOUBT)} if doubts else {})


def _tolerances(job: Job, machine: MachineRecord, now: dict[str, KnownMachine], drawn: Correction) -> dict[str, object]:
    told = job.tolerances
    changed: dict[str, object] = {}
    if drawn.source != "belief":
        changed["field_scale_share"] = HOLDS_95 * drawn.u_scale
    if now["focus"].measured is not None:
        changed["focus_mm"] = min(told.focus_mm, HOLDS_95 * now["focus"].u)
    if drawn.source == "seam test":
        # The strip has measured what diameter, focus and field scale do together; counted once, as the scale.
        changed["diameter_mm"] = 0.0
        strips = [
            r for r in machine.readings if isinstance(r, StripResult) and r.item.casefold() == job.item.name.casefold()
        ]
        if strips and strips[-1].u_focus_mm is not None:
            changed["focus_mm"] = min(told.focus_mm, HOLDS_95 * strips[-1].u_focus_mm)
    gap, ladder = now["closing-gap"], newest_ladder(machine, seam_material(job))
    if gap.measured is not None and ladder is not None:
        changed |= {"closing_gap_mm": gap.value, "closing_gap_u_mm": gap.u, "closing_gap_at": ladder.settings}
    wider = WIDEST_SLICE_MM * max(drawn.scale_across - 1, 0.0) + job.artwork.height_mm * abs(math.sin(drawn.turn_rad))
    if wider > 0.001:
        changed["margin_mm"] = math.ceil(1000 * (told.margin_mm + wider)) / 1000
    return changed


def corrected_composition(shown: SheetComposition, how: Correction, file_slice_mm: float) -> SheetComposition:
    """All columns as they have to be drawn; raises NoPlan where they would meet their neighbours in the sheet."""
    return drawn_composition(shown, how.scale_across, how.scale_along, how.turn_rad, file_slice_mm)


def corrected_sheet(made: Plan, rings: Rings, how: Correction, wish: SheetWish | None = None) -> dict[str, str]:
    """The slice sheet of a plan drawn for this machine: file names and SVG texts, nothing written yet.

    `rings` lie with the artwork's middle at (0, 0) [mm]. Raises NoPlan where no sheet can be drawn.
    """
    job, asked = made.job, wish or SheetWish()
    order, drawn = laid_out(asked, rings, made, made.line_spacing_mm)
    shown = corrected_composition(drawn, how, order.file_slice_mm)
    high = max(order.height_mm, 2 * shown.half_height_mm)
    order = order._replace(height_mm=math.ceil(1000 * high) / 1000, counts_back=asked.counts_back)
    files, _ = pages(order, shown, asked.arrangement, job.artwork.name)
    if not any(area_mm2(column) > 0 for part in shown.parts for column in part.columns):
        raise no_plan("artwork", "no slice has anything to mark: choose a drawing with dark parts.")
    return files
