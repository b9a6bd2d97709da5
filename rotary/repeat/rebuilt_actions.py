"""The actions of a run that was stored without: worked out again from the proof's own job and what it stores."""

from dataclasses import dataclass
from math import degrees
from typing import Final

from rotary.actions.build import actions_of
from rotary.actions.by_hand import lens_away, settable
from rotary.actions.models import ActionRow, Actions, Files, RunActions, Verdict
from rotary.job import Job
from rotary.plan import Plan
from rotary.repeat.rule_changes import changes_since
from rotary.repeat.run import with_passes_counted
from rotary.repeat.run_plan import plan_or_why
from rotary.sentences.actions import LABELS, figure_of, with_words
from rotary.sentences.cautions import cautions
from rotary.sentences.changes import name_of
from rotary.store.changes import changes_by_plan
from rotary.store.record import AsRun
from rotary.units import text_from_value

FOCUS_MM: Final = 0.05
"""Focal planes that differ by less are the same: less than a lens is set by hand."""

LASER: Final = ("power", "frequency", "pulse_width", "speed", "line_spacing")


@dataclass(frozen=True, slots=True)
class Rebuilt:
    """A run with its actions again: what contradicts what was stored, and which rules changed since.

    `ends_proof` where a number to type or to set is not the one that was run for sure.
    """

    run: AsRun
    says: tuple[str, ...] = ()
    ends_proof: tuple[str, ...] = ()


def rebuilt(job: Job, run: AsRun, system: str = "mm") -> Rebuilt:
    """The run with actions: its own where they were stored, else some of which every row is marked as rebuilt."""
    if run.actions is not None:
        return Rebuilt(run)
    made, why = plan_or_why(job, run)
    if made is None:
        says = f"the proven job can't be planned today ({why}): only its stored numbers are shown"
        return Rebuilt(run.but(actions=_stored_alone(run)), ends_proof=(says,))
    actions, since = changes_since(run, made, _with_stored(run, made, actions_of(made)))
    ends = (*_contradictions(run, made, system), *(one.says for one in since if one.ends_proof))
    notes = tuple(one.says for one in since if not one.ends_proof)
    whole = run.but(actions=with_words(actions, cautions(made.safety)))
    return Rebuilt(with_passes_counted(whole, run.passes_counted) if run.passes_counted else whole, notes, ends)


def _contradictions(run: AsRun, made: Plan, system: str) -> tuple[str, ...]:
    """Where planning the proof's job again does not give what the proof stores."""
    told = [(name_of(change.where), change.before, change.after) for change in changes_by_plan(run, made, system)]
    then_mm, now_mm = run.focal_plane_mm, made.focus.focal_plane_mm
    if abs(then_mm - now_mm) >= FOCUS_MM:
        then, now = (text_from_value(mm, "mm", system, digits=5) for mm in (then_mm, now_mm))
        told.append(("focus over the bed", then, now))
    return tuple(
        f"{what} was {then} when you proved this job, and today's plan has {now}. The sheet shows {then}"
        for what, then, now in told
    )


def _with_stored(run: AsRun, made: Plan, actions: Actions) -> Actions:
    """The rebuilt rows, with those that the proof does store as they were stored."""
    stored = {row.id: row for row in stored_rows(run)}
    plane_mm = settable(run.focal_plane_mm)
    away_mm = lens_away(run.focal_plane_mm - made.apex_at_middle_mm)

    def row_of(row: ActionRow) -> ActionRow:
        if row.id in stored:
            return row.but(value=stored[row.id].value, figure=stored[row.id].figure)
        focus = {"value": away_mm, "focus_over_bed": plane_mm} if row.id == "focus" and row.from_at is None else {}
        return row.but(rebuilt=True, **focus)

    return actions.with_each(row_of)


def stored_rows(run: AsRun) -> tuple[ActionRow, ...]:
    """What an old proof stores of the rows that are typed, and of those that are checked."""
    laser: list[tuple[str, float | None, float, str, str]] = [
        ("power", run.power_share, 100, "g", "%"),
        ("frequency", run.frequency_khz, 1, "g", "kHz"),
        ("pulse_width", run.pulse_width_ns, 1, "g", "ns"),
        ("speed", run.speed_mm_s, 1, ".0f", "mm/s"),
        ("line_spacing", run.line_spacing_mm, 1, ".3f", "mm"),
    ]
    return (
        *(
            ActionRow(id=name, value=round(times * value, 4), unit=unit, figure=f"{times * value:{form}}")
            for name, value, times, form, unit in laser
            if value is not None
        ),
        ActionRow(id="slices_shown", value=run.slices),
        ActionRow(id="slice_turns", value=round(degrees(run.index_angle_rad), 4), unit="°"),
    )


def laser_in_words(run: AsRun) -> str:
    """The laser's settings of a run on one line."""
    return ", ".join(f"{LABELS[row.id].lower()} {figure_of(row)}" for row in stored_rows(run) if row.id in LASER)


def _stored_alone(run: AsRun) -> Actions:
    rows, plane = stored_rows(run), f"{run.focal_plane_mm:.2f}"
    focus = ActionRow(id="focus_over_bed", value=settable(run.focal_plane_mm), unit="mm", label="Focus over the bed")
    alone = Actions(
        verdict=Verdict(state="test first", reasons=("rebuilt",)),
        type=tuple(row for row in rows if row.id in LASER),
        by_hand=(focus.but(text=f"Focus {plane} mm over the bed."),),
        check=tuple(row for row in rows if row.id not in LASER),
        run=RunActions(files=Files()),
    )
    return with_words(alone, ())
