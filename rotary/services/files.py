"""What is written to disk from a plan and real artwork.

`slice_sheet` and `flat_file` draw and write, whole or not at all, and read back what stands there.
"""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Literal

from rotary.artwork.models import PieceSize
from rotary.artwork.outfiles import file_stem
from rotary.artwork.rings import Rings, area_mm2
from rotary.artwork.sets import FileSet, write_set
from rotary.errors import FileTrouble, Refused, brief
from rotary.formulas.duration import marking_time_s
from rotary.job import Job
from rotary.plan import Plan, plan
from rotary.services.artwork import ink_for
from rotary.sheet import Sheet, SheetWish, laid_out, sheet, under_stem, with_note
from rotary.sheet.compose import SheetComposition
from rotary.sheet.correction import drawn_for
from rotary.sheet.fits import refuse_misfit
from rotary.sheet.flat import FLAT, FlatDrawing, flat_drawing
from rotary.sheet.ink_check import check_ink
from rotary.sheet.order import SheetOrder
from rotary.sheet.words import flat_must_show, must_show
from rotary.wishes import CONTROLS, Wishes

MOST_BYTES_FOR_A_CARD = 5_000_000  # of one drawing: about a second to read and lay out
MOST_POINTS_FOR_A_CARD = 300_000


def slice_sheet(
    made: Plan,
    rings: Rings,
    folder: Path,
    wish: SheetWish | None = None,
    sources: Sequence[Path] = (),
    over: bool = False,
    stem: str = "",
) -> tuple[Sheet, tuple[Path, ...]]:
    """Draw the plan's slice sheet of this artwork and write it into `folder`; the sheet and the paths written.

    `rings` lie with the artwork's middle at (0, 0) [mm] at the wanted size; `sources` are never written over. With a
    `stem` the file bears that name alone, one for each zone where the head is moved between them.
    Raises Refused with what to write instead, or FileTrouble; then nothing is written.
    """
    drawn, files = sheet(wish or SheetWish(), rings, made)
    if stem:
        names = under_stem(files, file_stem(made.job.artwork.name), stem)
        drawn, files = drawn.renamed(names), {names[name]: text for name, text in files.items()}
    wrote = write_drawings(made, files, folder, sources, over, stem)
    check_ink(folder, files, drawn.trial, sum(row.ink_mm2 for row in drawn.rows))
    return with_note(drawn, wrote.instead), wrote.paths


def write_drawings(
    made: Plan, files: Mapping[str, str], folder: Path, sources: Sequence[Path] = (), over: bool = False, stem: str = ""
) -> FileSet:
    """Write drawings of a plan's artwork as one set named after it, or after `stem`; raises FileTrouble."""
    data = {name: text.encode() for name, text in files.items()}
    return write_set(folder, stem or file_stem(made.job.artwork.name), data, sources, over, made.job.item.name)


def real_files(made: Plan, beside: Path) -> tuple[Plan, Mapping[str, str]]:
    """The plan with what its sheet of the real artwork will show, where the job names artwork `beside` which it lies,
    and what stands in each file, by its name.

    The plan alone does not know where the seams slide to, nor how far the ink reaches: both change the angle that the
    item starts at and may change the sheet's size. Where the artwork can't be read, or takes longer than a person
    waits for a card, the card says that they come with the sheet, and there are no files.
    """
    pieces, split = made.job.artwork.pieces, made.split
    texts: Mapping[str, str] = {}
    if not pieces:
        later = "the real artwork moves the seams and the start angle"
        return (_comes_later(made, later) if split.method == "sliced" and split.slices > 1 else made), texts
    try:
        if any(piece.file and _bytes_in(beside / piece.file) > MOST_BYTES_FOR_A_CARD for piece in pieces):
            return _comes_later(made, "this artwork is too large to be laid out for a setup sheet"), texts
        ink = ink_for(made, beside)
        rings, made = ink.composition.ink, _sized(made, ink.sizes)
        if len(rings.points_mm) > MOST_POINTS_FOR_A_CARD:
            return _comes_later(made, "this artwork is too large to be laid out for a setup sheet"), texts
        made, lines, texts = with_files(made, rings)
    except (Refused, FileTrouble, OSError) as trouble:
        # The system's own words name the whole way to a file, which is nothing for a paper.
        says = trouble.strerror or "" if isinstance(trouble, OSError) else str(trouble)
        return _comes_later(made, f"the artwork can't be laid out yet ({brief(says, 160)})"), {}
    shows = (split.must_show[0], *lines)
    return made.with_split(must_show=shows), texts


def _bytes_in(path: Path) -> int:
    try:
        return path.stat().st_size
    except ValueError:
        # No file can have such a name, which is said when it is read.
        return 0


def with_files(made: Plan, rings: Rings) -> tuple[Plan, tuple[str, ...], Mapping[str, str]]:
    """The plan as its files of this ink are drawn, what the program must show of them, and what stands in each."""
    if made.split.method == "flat" and made.job.item.flats is None:
        made, flat = _flat(made, rings)
        return made, made.split.must_show[1:], flat.texts
    drawn, texts = sheet(SheetWish(), rings, made)
    return with_file_facts(made, drawn, drawn.columns, drawn.middle_rad), drawn.must_show, texts


def with_file_facts(made: Plan, drawn: FlatDrawing | Sheet, columns: int, start_rad: float) -> Plan:
    """The plan with what its files show: page and slices, their names, the item's angle under the field's middle."""
    texts = {
        "sheet_width": f"{drawn.wide_mm:.3f}",
        "sheet_height": f"{drawn.high_mm:.3f}",
        "slices_shown": f"{columns}",
    }
    keys = tuple(key.but(text=texts.get(key.id, key.text)) for key in made.split.key_in)
    names = drawn.files if isinstance(drawn, Sheet) else tuple(drawn.texts)
    files: dict[str, object] = {"trial": drawn.trial, "start_rad": start_rad, "drawn_files": names}
    if isinstance(drawn, Sheet):
        files["focus"] = made.focus_between(drawn.zone_borders_mm)
    return made.with_split(key_in=keys, slices=columns).but(**files)


def with_sizes(made: Plan, beside: Path) -> Plan:
    """The plan with the sizes of its drawings, which lie `beside` the job; as it is where they can't be read."""
    try:
        return _sized(made, ink_for(made, beside).sizes)
    except (Refused, FileTrouble, OSError):
        return made


def _sized(made: Plan, sizes: tuple[PieceSize, ...]) -> Plan:
    return made.but(layout=made.layout.but(pieces=sizes))


def _comes_later(made: Plan, why: str) -> Plan:
    line = f"{why[0].upper()}{why[1:]}. Use the start angle and size that rotary art slice or rotary art flat shows."
    return made.with_split(must_show=(*made.split.must_show, line))


def slice_times_s(made: Plan, drawn: Sheet) -> tuple[float, ...]:
    """Time of marking each slice of a sheet once [s], from its own lines; none where the plan has no setting."""
    setting, laser = made.choice.setting, made.job.laser
    if setting is None:
        return ()
    rows = [
        marking_time_s(
            row.fill_mm, row.lines, setting.speed_mm_s, laser.line_wait_s, row.travel_mm, laser.travel_speed_mm_s
        )
        for row in drawn.rows
    ]
    return tuple(float(row) for row in rows)


def flat_file(
    made: Plan,
    rings: Rings,
    folder: Path,
    sources: Sequence[Path] = (),
    over: bool = False,
    trial: bool = True,
    stem: str = "",
) -> tuple[Plan, tuple[Path, ...]]:
    """Write the artwork flat, corrected for the surface map alone; the plan whose columns it is for, and the paths.

    The whole comes first, then on a coated item the files that it is tried with, unless `trial` is False. With a
    `stem` the whole bears that name alone.

    A plan that wants a sliced file is made again for a flat file: its `split.seams` hold the error that
    they leave. Raises as `slice_sheet` does.
    """
    made, drawn = _flat(made, rings, trial, stem)
    wrote = write_drawings(made, drawn.texts, folder, sources, over, stem)
    check_ink(folder, drawn.texts, drawn.trial, area_mm2(drawn.rings))
    if wrote.instead:
        made = made.with_split(must_show=(*made.split.must_show, wrote.instead))
    return made, wrote.paths


def _flat(made: Plan, rings: Rings, trial: bool = True, stem: str = "") -> tuple[Plan, FlatDrawing]:
    """The plan for the columns of flat artwork, and the drawing."""
    job, shape = made.job, made.shape
    refuse_misfit(rings, job.artwork, made.layout.is_ring or shape.flats is not None)
    made = made if shape.flats else for_columns(made, "flat")
    job = made.job
    on_flats = _on_flats(made, rings) if shape.flats else None
    flats = tuple(on_flats[1].parts[0].columns) if on_flats else ()
    columns = len(flats) or made.split.slices
    drawn = flat_drawing(made, rings, flats, trial and made.is_tried)
    if stem:
        drawn = drawn.renamed(under_stem(drawn.texts, file_stem(job.artwork.name), stem, FLAT))
    size = drawn.wide_mm, drawn.high_mm
    rim = job.item.end_words("rim")
    shows = must_show(SheetWish(), *on_flats, size) if on_flats else flat_must_show(made.split, size, job.laser, rim)
    start_rad = on_flats[1].middle_rad if on_flats else job.artwork.centre_angle_rad
    made = with_file_facts(made, drawn, columns, start_rad)
    return made.with_split(must_show=shows), drawn


def _on_flats(made: Plan, rings: Rings) -> tuple[SheetOrder, SheetComposition]:
    order, shown = laid_out(SheetWish(), rings, made, made.line_spacing_mm)
    return order, drawn_for(made.job.laser, shown, order.file_slice_mm)


def for_columns(made: Plan, method: Literal["flat", "sliced"]) -> Plan:
    """The plan itself, or made again for the other kind of columns."""
    if made.split.method == method:
        return made
    tolerances = made.job.tolerances.but(method=method)
    again = plan(_held(made).but(tolerances=tolerances), draws=0)
    # Without samples nothing is known of how far one may go on; that was said by the plan itself.
    names = ("typed_passes", "passes_at_most", "look_after", "counted_passes")
    kept = {name: getattr(made.removal, name) for name in names}
    split, seams = made.seams.at(again)
    return again.but(removal=again.removal.but(**kept), seams=seams, split=split)


def _held(made: Plan) -> Job:
    """The plan's job with its own setting held: planned again it keeps the passes, and the focal plane they need."""
    return made.job.but(passes=wishes_of(made))


def wishes_of(made: Plan) -> Wishes:
    """What holds the plan's own setting when it is planned again; what the job holds where it has none."""
    setting = made.removal.setting
    if setting is None:
        return made.job.passes
    return Wishes(**{name: getattr(setting, name) for name in (*CONTROLS, "passes", "pause_s")})
