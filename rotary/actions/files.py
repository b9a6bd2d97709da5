"""What is imported into the marking program: which file, how large it must show, which way up."""

from typing import Final, Literal, NamedTuple

from rotary.actions.models import ActionRow, Files
from rotary.artwork.outfiles import file_stem
from rotary.focus import RefocusZone
from rotary.plan import Plan
from rotary.slices.trial import SLICED

RIM_EDGE: Final = {("y", "plus"): "up", ("y", "minus"): "down", ("x", "plus"): "right", ("x", "minus"): "left"}
"""Where the rim points in the program, by the axis of the field along the item and the way that the rim lies. Files
are written that way."""

COMES_UP: Final = {"y": "right", "x": "back"}
"""From which side of the field the next slice of a file comes up, by the field's axis along the item: that of +X, or
of +Y, as the file is divided that way."""

NEXT_FILE_UP: Final = {("y", "plus"): "right", ("y", "minus"): "left", ("x", "plus"): "front", ("x", "minus"): "back"}
"""The same where each slice has a file, numbered to the right as seen with the rim away."""

WORDS: Final = "words"
"""In place of a file's name where words of an inscription have files of their own."""


class FaceFacts(NamedTuple):
    """What is known of a face that lies level while it is marked: the focal plane's height over it, and the place of a
    flat under the middle of the field, from where heights count [mm]."""

    kind: Literal["flats", "end"]
    plane_mm: float
    middle_mm: float


class WordsFacts(NamedTuple):
    """Words that are marked on a round part: where the first letter begins, None lengthwise, and where a list says the
    start of each of its parts."""

    first_letter_rad: float | None
    starts_in: str = ""


class FileFacts(NamedTuple):
    """What is known of the files: their names, slices, the page as the program shows it [mm], and the item's angle
    under the middle of the field while the page's middle is marked.

    `is_final` once the artwork is laid out; before that slices may still slide, and with them size and angle. `face`
    is that of what isn't turned, `words` are None for artwork.
    """

    files: Files
    slices: int
    wide_mm: float
    high_mm: float
    middle_rad: float
    is_final: bool = False
    is_written: bool = False
    face: FaceFacts | None = None
    words: WordsFacts | None = None


def file_facts(plan: Plan) -> FileFacts:
    """The files of a plan, as they were drawn where they were."""
    split = plan.split
    shown = {key.id: float(key.text) for key in split.key_in if key.id in ("sheet_width", "sheet_height")}
    wide, high = shown["sheet_width"], shown["sheet_height"]
    if plan.removal.file_per_slice:
        wide, high = (wide, split.file_slice_mm) if plan.job.laser.field_axis == "x" else (split.file_slice_mm, high)
    start, is_final = plan.start_rad, plan.start_rad is not None
    middle = plan.layout.centre_angle_rad if start is None else start
    return FileFacts(_files_of(plan), split.slices, wide, high, middle, is_final)


def _files_of(plan: Plan) -> Files:
    """Their names; none for words, which have files of their own."""
    if plan.job.is_inscribed:
        return Files(zones=(WORDS,) * len(zones_of(plan)))
    stem = file_stem(plan.job.artwork.name)
    zones = tuple(_zone_file(plan, stem, number) for number, _ in enumerate(zones_of(plan), 1))
    if (trial := plan.trial) is not None:
        first, second = trial.first_number, trial.second_number
        if counts_back(plan):
            first, second = trial.slices + 1 - first, second and trial.slices + 1 - second
        numbers = {"first_slice": first, "second_slice": second}
        whole = {"whole": trial.whole, "zones": zones}
        return Files(first=trial.first, second=trial.second, rest=trial.rest, **whole, **numbers)
    if plan.removal.file_per_slice:
        return _single_files(plan, stem, zones)
    flat = plan.split.method == "flat" and plan.shape.flats is None
    # Before the artwork is laid out the fullest slice is taken to lie in the middle part.
    alone = list(plan.drawn_files) if len(plan.drawn_files) == 1 else []
    parts = [zone for zone in zones if zone] or alone or [f"{stem}-flat.svg" if flat else f"{stem}{SLICED}.svg"]
    middle = parts[len(parts) // 2]
    files = Files(whole=middle, zones=zones)
    if not plan.removal.removes_coating or not plan.is_tried or plan.split.slices == 1:
        return files
    names = ("first", "second", "rest")[: plan.split.inked_slices]
    part = middle.removesuffix(".svg").removesuffix(SLICED)
    return files.model_copy(update={name: f"{part}-{name}.svg" for name in names})


def _zone_file(plan: Plan, stem: str, number: int) -> str:
    """The file of a part of a long taper, by the name it was drawn under, or the folder of its slices; none where it
    was drawn without ink."""
    folder, ends = f"zone-{number}/", (f"-zone-{number}{SLICED}", f"-zone-{number}")
    if not plan.drawn_files:
        return folder if plan.removal.file_per_slice else f"{stem}{ends[0]}.svg"
    if any(name.startswith(folder) for name in plan.drawn_files):
        return folder
    alone = f"-zone-{number}-slice-"
    return next((name for name in plan.drawn_files if name.rpartition(".")[0].endswith(ends) or alone in name), "")


def _is_drawn(plan: Plan, name: str) -> bool:
    """Whether a file has ink, as far as that is known."""
    return not plan.drawn_files or name in plan.drawn_files


def _single_files(plan: Plan, stem: str, zones: tuple[str, ...]) -> Files:
    """The two that are imported first, of a file for each slice, taken to lie in the middle."""
    slices = plan.split.slices
    numbers = (f"{number:0{len(str(slices))}d}" for number in range(1, slices + 1))
    parts = [zone for zone in zones if zone] or [""]
    stem = f"{parts[len(parts) // 2]}{stem}"
    names = [name for number in numbers if _is_drawn(plan, name := f"{stem}-slice-{number}-of-{slices}.svg")]
    second = names[len(names) // 2 + 1] if len(names) > 2 else ""
    return Files(first=names[len(names) // 2], second=second, zones=zones)


def zones_of(plan: Plan) -> tuple[RefocusZone, ...]:
    """The parts of a long taper, from the foot up, that have a file and a height of the lens each; flat artwork is one
    file, at one height."""
    zones, flat = plan.focus.refocus, plan.split.method == "flat"
    return () if flat or len(zones) < 2 else zones


def comes_up(plan: Plan) -> str:
    """From which side of the field the next slice comes up, by the numbers on the setup sheet."""
    laser = plan.job.laser
    if plan.removal.file_per_slice:
        return NEXT_FILE_UP[laser.field_axis, laser.rim_towards]
    return COMES_UP[laser.field_axis]


def counts_back(plan: Plan) -> bool:
    """Whether slices are counted from the item's right to its left, seen with the rim away."""
    laser = plan.job.laser
    return not plan.removal.file_per_slice and divides_back(laser.field_axis, laser.rim_towards)


def divides_back(field_axis: str, rim_towards: str) -> bool:
    """Whether the program, which begins at -X or -Y, divides a file from the item's right, seen with the rim away."""
    return COMES_UP[field_axis] != NEXT_FILE_UP[field_axis, rim_towards]


def import_rows(plan: Plan, drawn: FileFacts) -> tuple[ActionRow, ...]:
    """The file, the drawing's own size against that on the item, the size it must show, which edge is up."""
    return (
        *file_rows(drawn),
        *(
            ActionRow(
                id=f"artwork_size_{number}",
                value=round(size.marked_mm[0], 2),
                unit="mm",
                high=round(size.marked_mm[1], 2),
                factor=round(size.factors[0], 4) if size.factors else None,
                about=size.name if len(plan.layout.pieces) > 1 else None,
            )
            for number, size in enumerate(plan.layout.pieces, 1)
        ),
        page_row("page_size", drawn),
        rim_row(plan),
        ActionRow(id="scale", value=100, unit="%"),
    )


def rim_row(plan: Plan) -> ActionRow:
    """Where the item's rim points in the program."""
    laser = plan.job.laser
    return ActionRow(
        id="rim_edge", value=RIM_EDGE[laser.field_axis, laser.rim_towards], end=plan.job.item.end_name("rim")
    )


def file_rows(drawn: FileFacts) -> tuple[ActionRow, ...]:
    """The file that is imported first, and each other one of a part that has a file for each of its faces."""
    files, step = drawn.files, None if drawn.is_written else "write_file"
    first = files.first or files.whole or WORDS
    others = [name for name in files.faces if name != first]
    return (
        ActionRow(id="file", value=first, step=step),
        *(ActionRow(id=f"file_{number}", value=name, step=step) for number, name in enumerate(others, 2)),
    )


def page_row(name: str, drawn: FileFacts) -> ActionRow:
    """The page in whole micrometres, as a file states it."""
    return ActionRow(id=name, value=round(drawn.wide_mm, 3), high=round(drawn.high_mm, 3), unit="mm")
