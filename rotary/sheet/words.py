"""What the card says of a sheet."""

import math
from typing import Final

from rotary.formulas.revolution import radius_mm
from rotary.laser import LaserAndLens
from rotary.sheet.compose import SheetComposition
from rotary.sheet.models import SheetWish
from rotary.sheet.order import SheetOrder
from rotary.slices import Split, keys
from rotary.slices.limits import STRAIGHT_MM

OFF_FLAT_TOLD_MM: Final = 0.002
"""What whole steps leave of a flat is told from here on."""

HEIGHT_TOLD_MM: Final = 0.05
"""A page that is higher than the plan's by less changes nothing that a person keys in or sees."""


CORNERS: Final = (
    "Let the corner ticks run too, because they hold the file's size. Set them to zero power, so that they leave no "
    "mark, or put paper tape under them."
)
"""What is done with the ticks at a file's corners."""


def must_show(wish: SheetWish, made: SheetOrder, shown: SheetComposition, size: tuple[float, float]) -> tuple[str, ...]:
    """What has to be seen in the marking program after import, and how the item stands then."""
    if made.flats:
        return _flats_must_show(wish, made, shown, size)
    degrees = math.degrees(shown.middle_rad)
    start = (
        f"Turn the item until the place {degrees:.3f}° from its front (+ to the right) lies under the field's middle."
    )
    if wish.arrangement != "one-sheet":
        return (
            start,
            f"Every file measures {size[0]:.3f} × {size[1]:.3f} mm after import, even if its slice is small: keep the "
            "file in the middle of the field.",
            f"Turn the item {math.degrees(made.index_rad):.4f}° from one slice to the next, blank slices too. "
            "Start with the file of the lowest number: its slice is farthest left on the item.",
            CORNERS,
        )
    lines = [
        start,
        f"The program shows {made.slices} slices of {made.file_slice_mm:g} mm. The first slice begins at "
        f"{-made.slices * made.file_slice_mm / 2:.3f} mm (0 is the middle).",
        f"After import the file measures {size[0]:.3f} × {size[1]:.3f} mm.",
        "Type 0 for the extra per slice.",
        "White wedges between the slices are right: on the item they close.",
        CORNERS,
    ]
    if made.closed and made.turn_slices < made.slices:
        lines.append("The last slice is blank, to make the number of slices odd.")
    return tuple(lines)


def _flats_must_show(
    wish: SheetWish, made: SheetOrder, shown: SheetComposition, size: tuple[float, float]
) -> tuple[str, ...]:
    """The same for a faceted item, where each column is a flat."""
    start = (
        f"Turn the item until its flat at {math.degrees(shown.middle_rad):.3f}° from the front (+ to the right) lies "
        "level under the field's middle. Check with the pointer at both sides of the flat."
    )
    turn = f"{math.degrees(made.index_rad):.4f}°"
    if wish.arrangement != "one-sheet":
        return (
            start,
            f"Every file measures {size[0]:.3f} × {size[1]:.3f} mm after import: keep every file in the "
            "middle of the field.",
            f"Turn the item {turn} from one flat to the next, blank flats too. Start with the file of the lowest "
            "number: its flat is farthest left.",
            CORNERS,
        )
    lines = [
        start,
        (
            f"The program shows {made.slices} slices of {made.file_slice_mm:g} mm, one flat each. The first slice "
            f"begins at {-made.slices * made.file_slice_mm / 2:.3f} mm (0 is the middle). The item turns "
            f"{turn} from one "
            "slice to the next."
            if made.slices > 1
            else f"The program shows one slice of {made.file_slice_mm:g} mm: the flat."
        ),
        f"After import the file measures {size[0]:.3f} × {size[1]:.3f} mm.",
        "Type 0 for the extra per slice.",
        CORNERS,
    ]
    if made.slices > made.flats:
        lines.append("The first and the last slice are the same flat: one of them is blank.")
    return tuple(lines)


def flat_must_show(split: Split, size: tuple[float, float], laser: LaserAndLens) -> tuple[str, ...]:
    """As the plan says it of flat artwork, for the page as it was drawn: its artwork lies in the middle."""
    columns = keys.SheetColumns(split.slices, split.inked_slices, split.file_slice_mm, split.method)
    return keys.must_show(columns, size, laser, in_the_middle=True)


def hatch_advice(made: SheetOrder) -> tuple[str, ...]:
    """Which way the filling lines should run."""
    if made.flats:
        return (
            f"Fill with lines every {made.line_spacing_mm:g} mm, around the item or along it: a flat has no seams.",
        )
    radii = radius_mm(made.stance.curve, made.stance.curve.s_mm)
    low, high = float(radii.min()), float(radii.max())
    lines = [
        f"Fill the whole file at once with lines around the item, every {made.line_spacing_mm:g} mm. Never fill the "
        "file slice by slice."
    ]
    if high - low <= STRAIGHT_MM:
        count = 2 * math.sin(made.index_rad / 2) * high / made.line_spacing_mm
        lines.append(
            f"Don't fill with lines along the item: a slice is {count:.2f} lines wide, and on a straight wall such "
            "lines meet at the seams only if a slice is a whole number of lines wide."
        )
    else:
        lines.append(
            "Don't fill with lines along the item: they would show at the seams, because a slice's width here changes "
            "with the height."
        )
    return tuple(lines)


def notes(made: SheetOrder, shown: SheetComposition, split: Split, more: float | None) -> tuple[str, ...]:
    """What else is worth knowing about this sheet."""
    told = []
    if shown.crossed_before_mm > 0:
        told.append(
            f"{shown.crossed_mm:.1f} mm of seams run through dark parts of the artwork, where they can show."
            + (
                f" Before rotary moved the seams it was {shown.crossed_before_mm:.1f} mm."
                if f"{shown.crossed_mm:.1f}" != f"{shown.crossed_before_mm:.1f}"
                else ""
            )
        )
    elif made.slices > 1 and not made.flats:
        told.append("No seam runs through dark parts of the artwork.")
    if more is not None:
        told.append(
            "With two more blank slices (--more-slices) the seams can move further. Then only "
            f"{more:.1f} mm of seams run through dark parts."
        )
    if made.flats:
        told += _flats_notes(made, shown)
    else:
        told.append(
            f"Each slice in the file ends {1000 * made.inset_mm:.0f} µm before its seam: marks spread and close "
            f"gaps of up to {1000 * made.marked_width_mm:.0f} µm. To measure what your marks close, mark a gap ladder."
        )
    if made.height_mm > split.sheet_height_mm + HEIGHT_TOLD_MM or made.slices != split.slices:
        told.append("The plan was made before rotary knew this artwork: type the numbers from here, not from the plan.")
    if len(shown.parts) > 1:
        told.append(
            f"The apex is not level enough for one focus: mark {len(shown.parts)} parts, each with its own files."
        )
    return tuple(told)


def _flats_notes(made: SheetOrder, shown: SheetComposition) -> list[str]:
    """How far the ink stays off the corners, which no drawing knows, and what whole steps leave of a flat."""
    from_axis = float(radius_mm(made.stance.curve, made.stance.centre_s_mm))
    left = from_axis * math.tan(math.pi / made.flats) - shown.half_width_mm
    told = [
        f"The artwork ends {max(left, 0.0):.2f} mm or more before a sharp corner. If corners are rounded or turned "
        "down, measure the flat part: marks beyond the flat part are wider, weaker and out of place."
    ]
    farthest = max(abs(k - made.slices // 2) for k, one in enumerate(shown.parts[0].columns) if len(one.points_mm))
    off = farthest * abs(made.index_rad - 2 * math.pi / made.flats)
    if off * from_axis > OFF_FLAT_TOLD_MM:
        told.append(
            "The motor can't turn exactly from flat to flat: on the farthest flat marks lie "
            f"{1000 * off * from_axis:.0f} µm out of place, and the flat is tilted by {math.degrees(off):.2g}°."
        )
    return told
