"""The sheet of a run that was stored without one: worked out again from the proof's own job and what it stores."""

from dataclasses import dataclass
from math import degrees
from typing import Final

from rotary.job import Job
from rotary.plan import Plan
from rotary.repeat.holding import plan_or_why
from rotary.repeat.run import run_sheet
from rotary.repeat.since import changes_since
from rotary.store.changes import plan_changes
from rotary.store.record import AsRun, RunSheet, SheetRow, as_run
from rotary.units import text_from_value

FOCUS_MM: Final = 0.05
"""Focal planes that differ by less are the same: less than a lens is set by hand."""

LASER: Final = ("power", "frequency", "pulse_width", "speed", "line_spacing")


@dataclass(frozen=True, slots=True)
class Rebuilt:
    """A run with its sheet again: what contradicts what was stored, and which rules changed since.

    `ends_proof` where a number to type or to set is not the one that was run for sure.
    """

    run: AsRun
    says: tuple[str, ...] = ()
    ends_proof: tuple[str, ...] = ()


def rebuilt(job: Job, run: AsRun, system: str = "mm") -> Rebuilt:
    """The run with a sheet: its own where one was stored, else one of which every row is marked as rebuilt."""
    if run.sheet is not None:
        return Rebuilt(run)
    made, why = plan_or_why(job, run)
    if made is None:
        says = f"today's tool can't plan the proven job ({why}): only what was stored is told"
        return Rebuilt(run.model_copy(update={"sheet": _stored_alone(run)}), ends_proof=(says,))
    contradictions = _contradictions(run, made, system)
    sheet = _with_stored(run, _marked(run_sheet(made)))
    sheet, since = changes_since(run, made, sheet)
    ends = (*contradictions, *(one.says for one in since if one.ends_proof))
    notes = tuple(one.says for one in since if not one.ends_proof)
    return Rebuilt(run.model_copy(update={"sheet": sheet}), notes, ends)


def _marked(sheet: RunSheet) -> RunSheet:
    typed, by_hand = (
        tuple(row.model_copy(update={"rebuilt": True}) for row in rows) for rows in (sheet.typed, sheet.by_hand)
    )
    return sheet.model_copy(update={"typed": typed, "by_hand": by_hand})


def _contradictions(run: AsRun, made: Plan, system: str) -> tuple[str, ...]:
    """Where planning the proof's job again does not give what the proof stores."""
    told = [
        (change.where.replace("_", " "), change.before, change.after)
        for change in plan_changes(run, as_run(made), system)
    ]
    then_mm, now_mm = run.focal_plane_mm, made.focus.focal_plane_mm
    if abs(then_mm - now_mm) >= FOCUS_MM:
        then, now = (text_from_value(mm, "mm", system, digits=5) for mm in (then_mm, now_mm))
        told.append(("focus over the bed", then, now))
    return tuple(f"{what}: {then} when proven, {now} worked out again; it stays {then}" for what, then, now in told)


def _with_stored(run: AsRun, sheet: RunSheet) -> RunSheet:
    """The rebuilt rows, with those that the proof does store as they were stored."""
    stored = {row.id: row for row in stored_rows(run)}
    typed = tuple(_stored(row, stored) for row in sheet.typed)
    by_hand = tuple(_stored(row, stored) for row in sheet.by_hand)
    return sheet.model_copy(update={"typed": typed, "by_hand": by_hand})


def _stored(row: SheetRow, stored: dict[str, SheetRow]) -> SheetRow:
    if row.id not in stored:
        return row
    return row.model_copy(update={"text": stored[row.id].text, "rebuilt": False})


def stored_rows(run: AsRun) -> tuple[SheetRow, ...]:
    """What an old proof stores of a sheet's rows."""
    values: list[tuple[str, str, str, str]] = [
        ("slices_shown", "Slices it must show", f"{run.slices}", ""),
        ("slice_turn", "One slice turns, to check", f"{degrees(run.index_angle_rad):.4f}", "°"),
        ("focus_over_bed", "Focus over the bed", f"{run.focal_plane_mm:.2f}", "mm"),
    ]
    laser: list[tuple[str, str, float | None, float, str, str]] = [
        ("power", "Power", run.power_share, 100, "g", "%"),
        ("frequency", "Repetition rate", run.rate_khz, 1, "g", "kHz"),
        ("pulse_width", "Pulse duration", run.pulse_ns, 1, "g", "ns"),
        ("speed", "Scan speed", run.scan_speed_mm_s, 1, ".0f", "mm/s"),
        ("line_spacing", "Hatch spacing", run.hatch_mm, 1, ".3f", "mm"),
    ]
    values += [
        (name, label, f"{times * value:{form}}", unit)
        for name, label, value, times, form, unit in laser
        if value is not None
    ]
    return tuple(SheetRow(id=name, label=label, text=text, unit=unit, why="") for name, label, text, unit in values)


def laser_in_words(run: AsRun) -> str:
    """The laser's settings of a run on one line."""
    rows = (row for row in stored_rows(run) if row.id in LASER)
    return ", ".join(f"{row.label.lower()} {row.text} {row.unit}" for row in rows)


def _stored_alone(run: AsRun) -> RunSheet:
    rows = stored_rows(run)
    by_hand = tuple(row for row in rows if row.id == "focus_over_bed")
    return RunSheet(column_mm=0.0, typed=tuple(row for row in rows if row not in by_hand), by_hand=by_hand)
