"""What a person is told of a raster sheet."""

import math
from typing import Final

from rotary.artwork.layout import Artwork
from rotary.exports.models import RasterSheet, RasterWish
from rotary.sheet.order import SheetOrder
from rotary.sheet.words import middle_on_top, slice_by_slice, turn_to_start

COARSE: Final = 2.0
"""A picture whose own dots are larger than this many marked dots shows them as squares (estimate)."""

FACE_DOTS: Final = 40
"""Across a face that can be told from another (estimate, 20 to 60)."""

SAME_SHAPE: Final = 0.01


def must_show(drawn: RasterSheet, wish: RasterWish, order: SheetOrder | None, rim: str) -> tuple[str, ...]:
    """What has to be seen in the marking program after import; `rim` is what the item's upper end is called."""
    alone = order if wish.arrangement != "one-sheet" else None
    lines = [
        turn_to_start(drawn.middle_rad, rim) + (middle_on_top(alone) if alone else ""),
        f"The program must show the whole file as {drawn.wide_mm:.3f} × {drawn.high_mm:.3f} mm (its empty margins "
        "count). Keep the file in the field's middle.",
        f"Don't change its {drawn.wide_dots} × {drawn.high_dots} dots: in your program turn off everything that "
        f"smooths, dithers or rescales the picture. Set the line spacing to {1000 / drawn.per_metre:.4g} mm.",
        "The laser must mark black and leave white unmarked."
        if wish.tone == "dots"
        else "The laser must mark black at full power, greys at less, and leave white unmarked.",
        "In every pass let the lines run around the item, across the slices.",
    ]
    if alone:
        lines.append(slice_by_slice(alone))
    elif drawn.method == "sliced":
        half = drawn.columns * drawn.file_slice_mm / 2
        lines.append(
            f"The program must show {drawn.columns} slices, each {drawn.file_slice_mm:g} mm wide. The first slice must "
            f"begin at {-half:.3f} mm (0 is the middle), give or take a dot."
        )
    elif drawn.method == "flat":
        lines.append(f"The program must show {drawn.columns} slices, each {drawn.file_slice_mm:g} mm wide.")
    return tuple(lines)


def notes(
    drawn: RasterSheet, wish: RasterWish, read: tuple[str, ...], artwork: Artwork, spot_mm: float
) -> tuple[str, ...]:
    """What else is worth knowing."""
    told = [*too_coarse(drawn), *read]
    if abs(drawn.picture_wide_mm / artwork.width_mm - 1) > SAME_SHAPE or (
        abs(drawn.picture_high_mm / artwork.height_mm - 1) > SAME_SHAPE
    ):
        told.append(
            f"The picture keeps its shape, so on the item it is {drawn.picture_wide_mm:.4g} × "
            f"{drawn.picture_high_mm:.4g} mm, not {artwork.width_mm:.4g} × {artwork.height_mm:.4g} mm as in the job."
        )
    if wish.tone == "dots":
        told.append(
            f"A marked line is {spot_mm:.3g} mm wide, so a marked dot is {drawn.dot_mm:.3g} mm wide, as "
            f"wide as {drawn.pixels_per_dot} dots of the file."
        )
    if wish.mark is None:
        told.append(
            f"The plan assumes that marks are {drawn.mark} than the item. If your marks are not, add --mark "
            f"{'darker' if drawn.mark == 'lighter' else 'lighter'}."
        )
    return tuple(told)


def too_coarse(drawn: RasterSheet) -> list[str]:
    """A warning that the picture has fewer dots than its size asks for, and what can't be made out in it then."""
    if drawn.picture_dot_mm <= COARSE * drawn.dot_mm:
        return []
    return [
        f"The picture has too few dots: each would be {drawn.picture_dot_mm:.2g} mm wide, so you will see squares. A "
        f"face less than about {FACE_DOTS * drawn.picture_dot_mm:.0f} mm wide can't be recognised. A picture of "
        f"{math.ceil(drawn.picture_wide_mm / drawn.dot_mm)} dots across would show no squares."
    ]
