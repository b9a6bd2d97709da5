"""A plan as it is run: its numbers, every row that is typed, what is done by hand, and how the passes go."""

from math import degrees
from typing import Final

from rotary.artwork.models import PieceSize
from rotary.artwork.outfiles import file_stem
from rotary.card.keying import numbers_to_key_in
from rotary.card.passes import alike
from rotary.focus import Focus
from rotary.item import datum_from_s_mm
from rotary.passes.plan.setting import LastWhen
from rotary.plan import Plan
from rotary.sentences import passes, running
from rotary.slices import KeyIn
from rotary.slices.trial import SLICED
from rotary.store.record import AsRun, PassesRun, RunSheet, SheetRow, as_run
from rotary.witness import witness_ticks

LEAST_SHIM_MM: Final = 0.05
"""A sheet of paper is thicker."""

LEAST_PAUSE_S: Final = 0.5


def whole_run(plan: Plan, passes_counted: int | None = None) -> AsRun:
    """A plan's numbers with the setup sheet that tells them, word for word."""
    return as_run(plan).model_copy(update={"sheet": run_sheet(plan), "passes_counted": passes_counted})


def run_sheet(plan: Plan) -> RunSheet:
    """The rows of a plan's setup sheet; lengths in mm."""
    return RunSheet(
        column_mm=plan.split.column_mm,
        height_mm=plan.split.sheet_height_mm,
        inked_slices=plan.split.inked_slices,
        file=file_name(plan),
        order=plan.removal.order if plan.removal.rows else "",
        check=plan.split.must_show,
        set_up=(*plan.turning.notes, witness_ticks(plan).says),
        typed=tuple(
            SheetRow(**{name: getattr(entry, name) for name in KeyIn.model_fields}) for entry in numbers_to_key_in(plan)
        ),
        by_hand=_by_hand(plan),
        passes=_passes(plan),
        run=running.run(plan),
    )


def with_passes_counted(run: AsRun, passes: int, rollers: bool) -> AsRun:
    """The run as the next item gets it: every slice the number of passes that the first one took."""
    run = run.model_copy(update={"passes_counted": passes})
    if run.sheet is None or not run.sheet.run:
        return run
    sheet, all_round = run.sheet, run.sheet.order == "all-round"
    as_typed = {"label": "Passes, every slice", "text": f"{passes}", "why": "what the first slice took"}
    if all_round:
        as_typed = {"label": "Passes", "text": "1", "why": f"run it all round {passes} times"}
    typed = tuple(
        row.model_copy(update=as_typed) if row.id == "passes" else row for row in sheet.typed if row.id != "passes_rest"
    )
    pause_s = sheet.passes[-1].pause_s if sheet.passes else 0.0
    last: LastWhen | None = None if sheet.passes and sheet.passes[-1].kind == "lift" else "each slice"
    steps = running.steps_as_counted(passes, all_round, rollers, pause_s, last)
    return run.model_copy(update={"sheet": sheet.model_copy(update={"typed": typed, "run": steps})})


def file_name(plan: Plan) -> str:
    """The name of the file for the marking program; none where an inscription has files of its own."""
    if plan.job.inscription is not None:
        return ""
    return f"{file_stem(plan.job.artwork.name)}{'-flat' if plan.split.method == 'plain' else SLICED}.svg"


def _by_hand(plan: Plan) -> tuple[SheetRow, ...]:
    sharp, job, lies = plan.focus, plan.job, plan.layout
    shape, middle_mm = plan.shape, (lies.band_from_mm + lies.band_to_mm) / 2
    place_mm, datum = datum_from_s_mm(job.item, shape, middle_mm), job.item.datum
    rows = [
        *([shim_row(sharp.shim_mm, shape.length_mm, job.drive.kind)] if is_shimmed(sharp) else []),
        *(_size_row(number, size) for number, size in enumerate(lies.pieces, 1)),
        _row("field_middle", "Under the middle of the field", f"{place_mm:.2f}", "mm", f"from the {datum}"),
    ]
    if job.item.handle is not None or job.item.weld_line is not None:
        angle = f"{degrees(job.artwork.centre_angle_rad):.2f}"
        rows.append(_row("start_angle", "Item's angle under the artwork's middle", angle, "°", "0 is its front"))
    rows += [
        _row("apex_over_bed", "Apex over the bed", f"{sharp.apex_height_mm:.2f}", "mm", "to check"),
        _row("focus_over_bed", "Focus over the bed", f"{sharp.focal_plane_mm:.2f}", "mm", "to check"),
    ]
    rows += [
        _row(
            f"focus_zone_{number}",
            f"Focus over the bed, {zone.from_mm:.2f} mm to {zone.to_mm:.2f} mm from the {datum}",
            f"{zone.focal_plane_mm:.2f}",
            "mm",
            "focus anew for this part",
        )
        for number, zone in enumerate(sharp.refocus, 1)
    ]
    setting = plan.removal.setting
    if setting is not None and setting.pause_s >= LEAST_PAUSE_S:
        rows.append(_row("pause", "Pause before each pass", f"{setting.pause_s:g}", "s", ""))
    return tuple(rows)


def is_shimmed(focus: Focus) -> bool:
    """Whether something is put under one end."""
    return focus.levelled and abs(focus.shim_mm) >= LEAST_SHIM_MM


def shim_row(shim_mm: float, base_mm: float, drive_kind: str) -> SheetRow:
    """What is put under which end, and how far from the end that stays down."""
    end = "foot" if shim_mm > 0 else "rim"
    under = "the rotary" if drive_kind == "rollers" else "the chuck"
    return _row("shim", f"Shim under {under}, {end} end", f"{abs(shim_mm):.2f}", "mm", f"over a base of {base_mm:g} mm")


def _size_row(number: int, size: PieceSize) -> SheetRow:
    """How large a piece is marked, and how many times as large as it is drawn."""
    grown = " × ".join(dict.fromkeys(f"{factor:.4g}" for factor in size.factors)) if size.factors else ""
    text = " × ".join(f"{side:.4g}" for side in size.marked_mm)
    why = f"{grown} times as large as drawn" if grown else ""
    return _row(f"marked_size_{number}", "Artwork, as marked", text, "mm", why)


def _row(name: str, label: str, text: str, unit: str, why: str) -> SheetRow:
    return SheetRow(id=name, label=label, text=text, unit=unit, why=why)


def _passes(plan: Plan) -> tuple[PassesRun, ...]:
    return tuple(
        PassesRun(
            first=same[0].number,
            last=same[-1].number,
            kind=same[0].kind,
            power_share=round(same[0].power_share, 6),
            scan_speed_mm_s=round(same[0].scan_speed_mm_s, 3),
            hatch_mm=round(same[0].hatch_mm, 6),
            direction=passes.DIRECTIONS[same[0].hatch_direction],
            pause_s=round(same[0].pause_before_s, 3),
            look=passes.look(plan.removal, same[0]),
        )
        for same in alike(plan.removal, plan.removal.rows)
    )
