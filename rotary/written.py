"""What is written to disk from a plan and real artwork, and what a written file will do.

`slice_sheet` and `plain_export` draw and write, whole or not at all, and read back what stands there;
`simulation_of_files` takes a file as it lies on the disk and sends it through the machine, `forecast_picture` draws it.
"""

import math
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import Literal

from rotary.artwork.models import PieceSize
from rotary.artwork.outfiles import file_stem, write_file
from rotary.artwork.rings import Rings, area_mm2, moved
from rotary.artwork.sets import Over, write_set
from rotary.artwork.turn import once_round
from rotary.artwork.wall import on_wall
from rotary.drive import Chuck, Rollers
from rotary.errors import Fault, FileTrouble, Refused, brief
from rotary.examples import BANNER
from rotary.formulas.duration import marking_time_s
from rotary.formulas.revolution import radius_mm
from rotary.item import fitted_shape
from rotary.job import Job
from rotary.plan import Plan, plan
from rotary.sheet import Sheet, SheetWish, is_ring, laid_out, sheet, stance_of, under_stem, with_note
from rotary.sheet.compose import SheetComposition
from rotary.sheet.drawn import drawn_for
from rotary.sheet.fits import refuse_misfit
from rotary.sheet.ink_check import check_ink
from rotary.sheet.order import SheetOrder
from rotary.sheet.plain import Plain, plain_drawing
from rotary.sheet.words import flat_must_show, must_show
from rotary.simulate.chances import NORMAL_95, Beliefs
from rotary.simulate.controller import steps_asked, turned_to_item
from rotary.simulate.description import Description, Progress, SimulatedMachine, description, quiet, share_of
from rotary.simulate.files import sheets_of
from rotary.simulate.flats import as_long_round_mm
from rotary.simulate.forecast import Forecast, Simulated, simulated
from rotary.simulate.picture import picture
from rotary.simulate.rays import RayStand
from rotary.simulate.together import together
from rotary.simulate.words import sentences
from rotary.wishes import Wishes

TRUE_WALL_MM = 0.0002  # how finely the true artwork is followed, a fifth of what a sheet may err
LEAST_INK_SHARE = 1e-4  # a plan needs some ink to mark
SAME_COLUMN = 2e-5  # share of a column, as a description rounds it
MOST_BYTES_FOR_A_CARD = 5_000_000  # of one drawing: about a second to read and lay out
MOST_POINTS_FOR_A_CARD = 300_000
FALLBACK_HATCH_MM = 0.05  # only for lengths that are shown where a plan has no setting


def slice_sheet(
    made: Plan,
    rings: Rings,
    folder: Path,
    wish: SheetWish | None = None,
    sources: Sequence[Path] = (),
    over: Over = "no",
    stem: str = "",
) -> tuple[Sheet, tuple[Path, ...]]:
    """Draw the plan's slice sheet of this artwork and write it into `folder`; the sheet and the paths written.

    `rings` lie with the artwork's middle at (0, 0) [mm] at the wanted size; `sources` are never written over. With a
    `stem` the file bears that name alone, one for each zone where the head is moved between them.
    Raises Refused with what to write instead, or FileTrouble; then nothing is written.
    """
    drawn, files = _sheet(made, rings, wish or SheetWish())
    if stem:
        drawn, files = under_stem(drawn, files, file_stem(made.job.artwork.name), stem)
    data = {name: text.encode() for name, text in files.items()}
    wrote = write_set(folder, stem or file_stem(made.job.artwork.name), data, sources, over, made.job.item.name)
    check_ink(folder, files, drawn.first, sum(row.ink_mm2 for row in drawn.rows))
    return with_note(drawn, wrote.instead), wrote.paths


def _sheet(made: Plan, rings: Rings, wish: SheetWish) -> tuple[Sheet, dict[str, str]]:
    job = made.job
    return sheet(
        wish.for_passes(made.removal), rings, job.artwork, job.item, fitted_shape(job.item), job.head, made.optics,
        made.layout, made.split, made.focus, _hatch_mm(made), made.turning.turn_range,
    )  # fmt: skip


def with_real_sheet(made: Plan, beside: Path) -> Plan:
    """The plan with what its sheet of the real artwork will show, where the job names artwork `beside` which it lies.

    The plan alone does not know where the joints slide to, nor how far the ink reaches: both change the angle that the
    item starts at and may change the sheet's size. Where the artwork can't be read, or takes longer than a person
    waits for a card, the card says that they come with the sheet.
    """
    pieces, split = made.job.artwork.pieces, made.split
    if not pieces:
        later = "the real artwork moves the joints, and with them the angle that the item starts at"
        return _comes_later(made, later) if split.method == "sheet" and split.slices > 1 else made
    # The readers and the letters are heavy, and a card without artwork needs none of them.
    from rotary.artwork.pieces import ink_of

    try:
        if any(piece.file and (beside / piece.file).stat().st_size > MOST_BYTES_FOR_A_CARD for piece in pieces):
            return _comes_later(made, "this artwork is too large to be laid out for a card")
        ink = ink_of(made.job.artwork, made.job.item, fitted_shape(made.job.item), made.layout, beside)
        rings, made = ink.composition.ink, _sized(made, ink.sizes)
        if len(rings.points_mm) > MOST_POINTS_FOR_A_CARD:
            return _comes_later(made, "this artwork is too large to be laid out for a card")
        if split.method == "plain" and made.job.item.flats is None:
            shown, drawn = _flat(made, rings)
            columns, size, lines = shown.split.slices, (drawn.wide_mm, drawn.high_mm), shown.split.must_show[1:]
        else:
            real, _ = _sheet(made, rings, SheetWish())
            columns, size, lines = real.columns, (real.wide_mm, real.high_mm), real.must_show
    except (Refused, FileTrouble, OSError) as trouble:
        # The system's own words name the whole way to a file, which is nothing for a paper.
        says = trouble.strerror or "" if isinstance(trouble, OSError) else str(trouble)
        return _comes_later(made, f"the artwork can't be laid out yet ({brief(says, 160)})")
    texts = {"sheet_width": f"{size[0]:.3f}", "sheet_height": f"{size[1]:.3f}", "slices_shown": f"{columns}"}
    keys = tuple(key.model_copy(update={"text": texts.get(key.id, key.text)}) for key in split.key_in)
    update = {"must_show": (split.must_show[0], *lines), "key_in": keys, "slices": columns}
    return made.model_copy(update={"split": split.model_copy(update=update)})


def with_sizes(made: Plan, beside: Path) -> Plan:
    """The plan with the sizes of its drawings, which lie `beside` the job; as it is where they can't be read."""
    from rotary.artwork.pieces import ink_of

    try:
        job = made.job
        return _sized(made, ink_of(job.artwork, job.item, fitted_shape(job.item), made.layout, beside).sizes)
    except (Refused, FileTrouble, OSError):
        return made


def _sized(made: Plan, sizes: tuple[PieceSize, ...]) -> Plan:
    return made.model_copy(update={"layout": made.layout.model_copy(update={"pieces": sizes})})


def _comes_later(made: Plan, why: str) -> Plan:
    line = f"The start angle and the size that rotary sheet or rotary flat tells hold, not these: {why}."
    return made.model_copy(update={"split": made.split.model_copy(update={"must_show": (*made.split.must_show, line)})})


def slice_times_s(made: Plan, drawn: Sheet) -> tuple[float, ...]:
    """Time of marking each slice of a sheet once [s], from its own lines; none where the plan has no setting."""
    setting, head = made.choice.setting, made.job.head
    if setting is None:
        return ()
    rows = [
        marking_time_s(
            row.fill_mm, row.lines, setting.scan_speed_mm_s, head.line_wait_s, row.travel_mm, head.travel_speed_mm_s
        )
        for row in drawn.rows
    ]
    return tuple(float(row) for row in rows)


def with_ink_of(made: Plan, rings: Rings) -> Plan:
    """The plan made again with the share of the frame that this artwork really inks, so that its times go by it."""
    art = made.job.artwork
    share = min(max(area_mm2(rings) / (art.width_mm * art.height_mm), LEAST_INK_SHARE), 1.0)
    return plan(_held(made).model_copy(update={"artwork": art.model_copy(update={"ink_share": share})}), draws=0)


def plain_export(
    made: Plan,
    rings: Rings,
    folder: Path,
    sources: Sequence[Path] = (),
    over: Over = "no",
    first_alone: bool = True,
) -> tuple[Plan, tuple[Path, ...]]:
    """Write the artwork flat, corrected for the surface map alone; the plan whose columns it is for, and the paths.

    The whole comes first, then on a coated item the first slice alone and all others, unless `first_alone` is False.

    A plan that wants a slice sheet is made again for plain columns: its `split.joints` hold the error that
    they leave. Raises as `slice_sheet` does.
    """
    made, drawn = _flat(made, rings, first_alone)
    data = {name: text.encode() for name, text in drawn.texts.items()}
    wrote = write_set(folder, file_stem(made.job.artwork.name), data, sources, over, made.job.item.name)
    check_ink(folder, drawn.texts, drawn.first, area_mm2(drawn.rings))
    if wrote.instead:
        shows = (*made.split.must_show, wrote.instead)
        made = made.model_copy(update={"split": made.split.model_copy(update={"must_show": shows})})
    return made, wrote.paths


def _flat(made: Plan, rings: Rings, first_alone: bool = True) -> tuple[Plan, Plain]:
    """The plan for the columns of flat artwork, and the drawing."""
    job, shape = made.job, fitted_shape(made.job.item)
    refuse_misfit(rings, job.artwork, is_ring(made.layout) or shape.flats is not None)
    made = made if shape.flats else _for_columns(made, "plain")
    job = made.job
    on_flats = _on_flats(made, rings) if shape.flats else None
    flats = tuple(on_flats[1].parts[0].columns) if on_flats else ()
    columns = len(flats) or made.split.slices
    drawn = plain_drawing(
        stance_of(shape, job.head, made.optics, made.layout, made.focus),
        rings, job.artwork.surface_map, made.split.column_mm, made.split.flat_slice_mm / made.split.index_angle_rad,
        columns, made.split.sheet_height_mm, job.artwork.name, job.head.field_axis, job.head.rim_towards,
        is_ring(made.layout), flats, job.head.slice_high_share,
        (*([BANNER] if job.head.use else []), *made.split.unreal()),
        first_alone and job.item.coating is not None and not made.removal.is_counted,
    )  # fmt: skip
    size = drawn.wide_mm, drawn.high_mm
    shows = must_show(SheetWish(), *on_flats, size) if on_flats else flat_must_show(made.split, size, job.head)
    shows = (*shows, *(drawn.first.import_order if drawn.first else ()))
    split = made.split.model_copy(update={"must_show": shows, "slices": columns})
    return made.model_copy(update={"split": split}), drawn


def _on_flats(made: Plan, rings: Rings) -> tuple[SheetOrder, SheetComposition]:
    job = made.job
    order, shown = laid_out(
        SheetWish(), rings, job.artwork, job.item, fitted_shape(job.item), job.head, made.optics, made.layout,
        made.split, made.focus, _hatch_mm(made),
    )  # fmt: skip
    return order, drawn_for(job.head, shown, order.column_mm)


def simulation_of_files(
    made: Plan, path: Path, rings: Rings | None = None, draws: int = 200, progress: Progress = quiet
) -> Forecast:
    """What a written sheet, flat drawing, or folder of slices will do on the plan's item.

    With the artwork's `rings`, placement and joints are measured against where it belongs. Raises FileTrouble
    where the file is none that was written here, Refused where the plan can't be simulated. `progress` is told the
    share that is done, and may raise to stop.
    """
    return simulation(made, path, rings, draws, progress).forecast


def simulation(
    made: Plan, path: Path, rings: Rings | None = None, draws: int = 200, progress: Progress = quiet
) -> Simulated:
    """As `simulation_of_files`, with every landed mark, for pictures."""
    job, shape = made.job, fitted_shape(made.job.item)
    head = job.head
    files_of, dots_mm = sheets_of(path)
    sheets = [[turned_to_item(d, head.field_axis, head.rim_towards) for d in files] for files in files_of]
    says = description(sheets[0][0], job.artwork.centre_angle_rad)
    if (says.flat or made.split.slices > 1) and shape.flats is None:
        made = _for_columns(made, "plain" if says.flat else "sheet")
    centre = job.artwork.centre_angle_rad
    wall = None
    machine = machine_of(made)
    if dots_mm:
        # A photograph's dots have no outline that they belong to.
        rings = None
    if rings is not None and shape.flats is not None:
        # Flats side by side, on a wall as long round as they are together.
        laid = rings.points_mm / [as_long_round_mm(machine.stand), 1.0] + [centre, made.layout.centre_mm]
        wall = Rings(laid, rings.offsets)
    elif rings is not None:
        on_item = on_wall(rings, job.artwork.surface_map, shape.curve, made.layout.centre_mm, TRUE_WALL_MM)
        wall = moved(once_round(on_item) if is_ring(made.layout) else on_item, centre, 0.0)
    known, tell = beliefs_of(made), partial(share_of, progress, count=len(sheets))
    found = together(
        [simulated(files, machine, wall, centre, known, draws, progress=tell(k)) for k, files in enumerate(sheets)]
    )
    lines = _out_of_date(made, says) + sentences(found.forecast, job.tolerances.joint_mm)
    if dots_mm:
        lines += (
            f"Dots are cut at their slice's borders to within {1000 * dots_mm / 2:.0f} µm, half a dot of the file; "
            "how far each lies from its place is not measured.",
        )
    return found._replace(forecast=found.forecast.model_copy(update={"says": lines}))


def _for_columns(made: Plan, method: Literal["plain", "sheet"]) -> Plan:
    """The plan itself, or made again for the other kind of columns."""
    if made.split.method == method:
        return made
    tolerances = made.job.tolerances.model_copy(update={"method": method})
    again = plan(_held(made).model_copy(update={"tolerances": tolerances}), draws=0)
    # Without samples nothing is known of how far one may go on; that was said by the plan itself.
    names = ("typed_passes", "passes_at_most", "look_after", "counted_passes")
    kept = {name: getattr(made.removal, name) for name in names}
    return again.model_copy(update={"removal": again.removal.model_copy(update=kept)})


def _held(made: Plan) -> Job:
    """The plan's job with its own setting held: planned again it keeps the passes, and the focal plane they need."""
    return made.job.model_copy(update={"passes": wishes_of(made)})


def wishes_of(made: Plan) -> Wishes:
    """What holds the plan's own setting when it is planned again; what the job holds where it has none."""
    setting = made.removal.setting
    if setting is None:
        return made.job.passes
    names = ("power_share", "rate_khz", "pulse_ns", "scan_speed_mm_s", "hatch_mm", "defocus_mm", "passes", "pause_s")
    return Wishes(**{name: getattr(setting, name) for name in names})


def _out_of_date(made: Plan, says: Description) -> tuple[str, ...]:
    """A file that was written before the job was changed no longer goes with what the card says to type."""
    drawn, typed = says.column_mm, made.split.column_mm
    if drawn is None or abs(drawn - typed) <= SAME_COLUMN * typed:
        return ()
    return (
        f"This file was drawn for columns of {drawn:g} mm, and the job as it is now types {typed:g} mm: write it "
        "again.",
    )


def forecast_picture(
    made: Plan,
    path: Path,
    target: Path,
    rings: Rings | None = None,
    draws: int = 200,
    progress: Progress = quiet,
    over: bool = False,
) -> Forecast:
    """Write what a file will do as a picture (SVG) of the unrolled wall, and give the forecast.

    Raises FileTrouble, or Refused where nothing lands on the item.
    """
    found = simulation(made, path, rings, draws, progress)
    job = made.job
    title = f"{job.artwork.name} on {job.item.name}: what {path.name} will do"
    try:
        text = picture(found, _round_radius_mm(made), job.tolerances.joint_mm, title)
    except ValueError as trouble:
        raise Refused([Fault("", f"{trouble}; check that the file was drawn for this item.")]) from None
    write_file(target, text.encode(), (path,), over)
    return found.forecast


def _round_radius_mm(made: Plan) -> float:
    """Radius by which the marks' angles become distances round the item."""
    machine = machine_of(made)
    return as_long_round_mm(machine.stand) if machine.stand.flats else made.layout.reference_radius_mm


def machine_of(made: Plan) -> SimulatedMachine:
    """The machine of a plan, with the numbers as they are typed."""
    job, shape = made.job, fitted_shape(made.job.item)
    stance = stance_of(shape, job.head, made.optics, made.layout, made.focus)
    split = made.split
    closes = is_ring(made.layout) and (split.method == "sheet" or split.inked_slices == split.slices)
    head = job.head
    stand = RayStand(*stance, flats=shape.flats or 0)._replace(
        # What has to be drawn away is what this machine is believed to do.
        scale_x=1 / head.slice_wide_share, scale_y=1 / head.slice_high_share, skew_rad=head.slice_turn_rad,
    )  # fmt: skip
    return SimulatedMachine(
        stand=stand,
        rayleigh_mm=made.optics.rayleigh_mm,
        column_mm=split.column_mm,
        asked_steps=_asked_steps(job.drive, made),
        rounding=job.drive.rounding,
        rad_per_step=made.turning.rad_per_step,
        # Flat artwork has its middle in a column's middle, so of an even number its ends meet inside a column.
        ring_columns=split.inked_slices if closes else 0,
    )


def _asked_steps(drive: Chuck | Rollers, made: Plan) -> float:
    """Steps that the program works out for one column from what the card says to type."""
    typed = {entry.id: float(entry.text) for entry in made.split.key_in}
    motor = typed["typed_steps_per_turn"]
    if "angle_per_slice" in typed:
        return round(typed["angle_per_slice"] / 360 * motor, 9)
    kept = drive.typed_diameter_mm or math.nan
    diameter = typed.get("typed_diameter", typed.get("roller_diameter", kept))
    return steps_asked(typed["file_slice_width"], motor, diameter)


def beliefs_of(made: Plan) -> Beliefs:
    """How well a plan's inputs are known, 95 % half widths."""
    job, turning = made.job, made.turning
    widest = float(radius_mm(fitted_shape(job.item).curve, fitted_shape(job.item).curve.s_mm).max())
    return Beliefs(
        diameter_mm=job.tolerances.diameter_mm,
        focus_mm=math.hypot(job.tolerances.focus_mm, job.item.runout_mm / 2),
        field_share=job.tolerances.field_scale_share,
        turn_share=NORMAL_95 * turning.u_scale,
        motor_rad=turning.motor_error_mm / widest,
        skew_rad=abs(job.drive.skew_rad),
        aside_mm=abs(job.drive.offset_mm),
        pupil_share=(made.optics.pupil_high_share - made.optics.pupil_low_share) / 2,
    )


def _hatch_mm(made: Plan) -> float:
    setting = made.choice.setting
    return made.job.tolerances.hatch_mm or (setting.hatch_mm if setting else FALLBACK_HATCH_MM)
