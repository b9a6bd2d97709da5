"""What is imported into the marking program: which file, how large it must show, which way up."""

from typing import Final, NamedTuple

from rotary.actions.models import ActionRow, Files
from rotary.artwork.outfiles import file_stem
from rotary.plan import Plan
from rotary.slices.trial import SLICED

RIM_EDGE: Final = {("y", "plus"): "up", ("y", "minus"): "down", ("x", "plus"): "right", ("x", "minus"): "left"}
"""Where the rim points in the program, by the axis of the field along the item and the way that the rim lies."""

PAGE_TURNED: Final = {"up": 0, "down": 180, "right": -90, "left": 90}
"""How far a page that was drawn with the rim on top is turned there, in degrees, + anticlockwise."""

WORDS: Final = "words"
"""In place of a file's name where words of an inscription have files of their own."""


class Drawn(NamedTuple):
    """What is known of the files: their names, slices, the page as the program shows it [mm], and the item's angle
    under the middle of the field while the page's middle is marked.

    `is_final` once the artwork is laid out; before that slices may still slide, and with them size and angle.
    """

    files: Files
    slices: int
    wide_mm: float
    high_mm: float
    middle_rad: float
    is_final: bool = False
    is_written: bool = False


def drawn_of(plan: Plan) -> Drawn:
    """The files of a plan whose artwork is not laid out yet."""
    shown = {key.id: float(key.text) for key in plan.split.key_in if key.id in ("sheet_width", "sheet_height")}
    return Drawn(
        _files_of(plan),
        plan.split.slices,
        shown["sheet_width"],
        shown["sheet_height"],
        plan.layout.centre_angle_rad,
    )


def _files_of(plan: Plan) -> Files:
    """Their names; none for words, which have files of their own."""
    if plan.job.inscription is not None:
        return Files()
    if (trial := plan.trial) is not None:
        numbers = {"first_slice": trial.first_number, "second_slice": trial.second_number}
        return Files(first=trial.first, second=trial.second, rest=trial.rest, whole=trial.whole, **numbers)
    stem = file_stem(plan.job.artwork.name)
    flat = plan.split.method == "plain" and plan.shape.flats is None
    whole = f"{stem}-flat.svg" if flat else f"{stem}{SLICED}.svg"
    steps, inked = plan.removal, plan.split.inked_slices
    if not steps.removes_coating or not plan.is_tried or plan.split.slices == 1:
        return Files(whole=whole)
    names = [f"{stem}{'-flat' if flat else ''}-{part}.svg" for part in ("first", "second", "rest")]
    first, second, rest = (name if inked > place else "" for place, name in enumerate(names))
    return Files(first=first, second=second, rest=rest, whole=whole)


def import_rows(plan: Plan, drawn: Drawn) -> tuple[ActionRow, ...]:
    """The file, the drawing's own size against that on the item, the size it must show, which edge is up."""
    head, files = plan.job.head, drawn.files
    edge = RIM_EDGE[head.field_axis, head.rim_towards]
    return (
        ActionRow(
            id="file", value=files.first or files.whole or WORDS, step=None if drawn.is_written else "write_file"
        ),
        *(
            ActionRow(
                id=f"artwork_size_{number}",
                value=size.marked_mm[0],
                unit="mm",
                high=size.marked_mm[1],
                factor=size.factors[0] if size.factors else None,
                about=size.name if len(plan.layout.pieces) > 1 else None,
            )
            for number, size in enumerate(plan.layout.pieces, 1)
        ),
        ActionRow(id="page_size", value=drawn.wide_mm, high=drawn.high_mm, unit="mm"),
        ActionRow(id="rim_edge", value=edge, turned=PAGE_TURNED[edge]),
        ActionRow(id="scale", value=100, unit="%"),
    )
