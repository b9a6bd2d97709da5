"""A job planned with the numbers of a run held: for the files of a repeat, and for what a proof did not store."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from rotary.actions.files import FileFacts, file_facts
from rotary.errors import Refused
from rotary.focus import Focus
from rotary.job import Job
from rotary.passes.plan.setting import Removal
from rotary.plan import Plan, plan
from rotary.program import Program
from rotary.repeat.run import row_value
from rotary.slices.models import Split
from rotary.store.changes import changes_by_plan
from rotary.store.record import AsRun
from rotary.wishes import CONTROLS, Wishes

DRAWS: Final = 1000
"""The pause between passes depends on them."""

STORED_SHARE: Final = 1e-5
"""A profile stores six digits."""


def _as_drawn(made: Plan) -> tuple[Plan, FileFacts]:
    return made, file_facts(made)


@dataclass(frozen=True, slots=True)
class Marking:
    """How a job is planned, with so many draws, and how its files are drawn: of its artwork, or of its words."""

    planned: Callable[[Job, int], Plan] = plan
    drawn: Callable[[Plan], tuple[Plan, FileFacts]] = _as_drawn


OF_ARTWORK: Final = Marking()


def job_as_run(job: Job, run: AsRun) -> Job:
    """The job with what a run stores as wishes: method, slice width, the laser's settings, passes."""
    tolerances = job.tolerances.but(method=run.method, slice_width_mm=run.slice_width_mm)
    steps = run.actions.run.passes if run.actions else ()
    # Of a coating's passes the last one is not wished for: it follows by itself, unless the program can't run it.
    had_last = any(one.kind == "last" for one in steps) if steps else job.item.coating is not None
    passes = max(run.passes - had_last, 0) or None
    pause_s = steps[-1].pause if steps else job.passes.pause_s
    wishes = Wishes(**{name: getattr(run, name) for name in CONTROLS}, passes=passes, pause_s=pause_s)
    by_hand = run.actions is not None and run.actions.run.file_per_slice
    # Of bare metal it shows in the lines whether the program could change a setting on a slice.
    changed = had_last if job.item.coating is not None else len({one.fill_direction for one in steps}) != 1
    program = _program_of(job, changed, by_hand)
    # So many passes as were run, not as many as a depth would take today.
    words = job.inscription and job.inscription.but(depth_um=None)
    return job.but(tolerances=tolerances, passes=wishes, program=program, inscription=words)


def _program_of(job: Job, changed: bool, by_hand: bool) -> Program:
    """What the program could do when it was run: pauses, another setting on a slice where it `changed`, a file per
    slice `by_hand` or not; not what is asked since."""
    changes = (job.program.can_change_setting if job.turning.kind == "chuck" else None) if changed else False
    repeats = False if by_hand else None
    return job.program.but(can_pause=None, least_pause_s=0.0, can_change_setting=changes, can_repeat_slice=repeats)


def plan_with_run(job: Job, run: AsRun, draws: int = DRAWS, marking: Marking = OF_ARTWORK) -> Plan:
    """The plan of a job with a run's numbers held, each index of exactly its steps. Raises Refused."""
    held = job_as_run(job, run)
    made = marking.planned(held, draws)
    if made.split.steps == run.steps or made.job.item.flats:
        return made
    # The same steps are another width on the wall where today's tool measures the wall elsewhere.
    width = run.steps * made.split.slice_width_mm / made.split.steps
    tolerances = held.tolerances.but(slice_width_mm=width)
    return marking.planned(held.but(tolerances=tolerances), draws)


def plan_as_run(job: Job, run: AsRun, draws: int = 0, marking: Marking = OF_ARTWORK) -> Plan:
    """A plan for what is drawn for a repeat: slices, columns, focal plane and rows are the run's. Raises Refused.

    How many passes are tried at most needs `draws`.
    """
    made = plan_with_run(job, run, 0 if run.passes_counted else draws, marking)
    steps = _removal_as_run(made.removal, run)
    if run.passes_counted:
        steps = steps.as_counted(run.passes_counted)
    return made.but(split=_split_as_run(made, run), focus=_focus_as_run(made.focus, run), removal=steps)


def _removal_as_run(steps: Removal, run: AsRun) -> Removal:
    """The passes in the order in which they were run, with the last pass that was: neither is a wish, so that a plan
    for other numbers may choose others."""
    ran = run.actions.run if run.actions else None
    if ran is None or not steps.rows:
        return steps
    steps = steps.but(order="all-round" if ran.order == "all round" else "slice-by-slice")
    if not steps.removes_coating and (count := run.passes_counted):
        # So many as were counted, whatever was planned.
        rows = steps.rows
        steps = steps.but(rows=tuple(rows[at % len(rows)].but(number=at + 1) for at in range(count)))
    if ran.last_pass is None or steps.last_pass is None:
        return steps
    last = ran.last_pass
    row = steps.last_pass.but(
        power_share=last.power / 100,
        speed_mm_s=last.speed,
        line_spacing_mm=last.line_spacing,
        fill_direction=last.fill_direction,
        line_shift_mm=last.line_shift,
    )
    return steps.but(rows=(*steps.rows[:-1], row), last_when=last.when)


def _focus_as_run(sharp: Focus, run: AsRun) -> Focus:
    apart_mm = run.focal_plane_mm - sharp.focal_plane_mm
    if abs(apart_mm) <= STORED_SHARE * abs(sharp.focal_plane_mm):
        return sharp
    moves = ("focal_plane_mm", "plane_over_apex_mm", "move_from_apex_mm", "move_from_bed_mm")
    return sharp.model_copy(update={name: getattr(sharp, name) + apart_mm for name in moves})


def _split_as_run(made: Plan, run: AsRun) -> Split:
    split, rows = made.split, run.actions.rows if run.actions else {}
    # Other words take as many slices as they are long.
    slices = split.slices if made.job.is_inscribed else run.slices
    update: dict[str, object] = {
        "steps": run.steps,
        "index_angle_rad": run.steps * made.turning.rad_per_step,
        "slices": slices,
    }
    width, page = row_value(rows.get("file_slice_width")), rows.get("page_size")
    if width is not None and page is not None:
        figures = {row.id: row.figure or f"{row.value}" for row in rows.values()}
        update |= {
            "file_slice_mm": width,
            "flat_slice_mm": width if slices > 1 and not made.job.item.flats else split.flat_slice_mm,
        }
        if slices == run.slices:
            figures |= {"sheet_width": f"{page.value:.3f}", "sheet_height": f"{page.high:.3f}"}
            update["sheet_width_mm"] = round(slices * width, 6)
            update["sheet_height_mm"] = page.high if made.job.laser.field_axis == "y" else page.value
        update["key_in"] = tuple(key.but(text=figures.get(key.id, key.text)) for key in split.key_in)
    return split.but(**update)


def plan_or_why(job: Job, run: AsRun) -> tuple[Plan | None, str]:
    """The job's own plan where it still gives the run's numbers, else the held one; or why today's tool has none."""
    try:
        made = plan(job, DRAWS)
        return (plan_with_run(job, run) if changes_by_plan(run, made) else made), ""
    except Refused as refused:
        return None, str(refused.faults[0])
