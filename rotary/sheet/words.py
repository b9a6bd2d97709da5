"""What the card says of a sheet."""

import math
from typing import Final

from rotary.actions.files import NEXT_FILE_UP
from rotary.formulas.revolution import radius_mm
from rotary.laser import LaserAndLens
from rotary.sentences.short_rows import SIDES
from rotary.sheet.compose import SheetComposition
from rotary.sheet.models import SheetWish
from rotary.sheet.order import SheetOrder
from rotary.slices import keys
from rotary.slices.limits import STRAIGHT_MM
from rotary.slices.models import Split

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
    start = turn_to_start(shown.middle_rad, made.rim)
    if wish.arrangement != "one-sheet":
        return (
            start + middle_on_top(made),
            f"The program must show every file as {size[0]:.3f} × {size[1]:.3f} mm, whatever its slice looks like. "
            "Keep the file in the middle of the field.",
            slice_by_slice(made),
            CORNERS,
        )
    lines = [
        start,
        f"The program must show {made.slices} slices of {made.file_slice_mm:g} mm. The first slice must begin at "
        f"{-made.slices * made.file_slice_mm / 2:.3f} mm (0 is the middle).",
        f"The program must show the file as {size[0]:.3f} × {size[1]:.3f} mm.",
        "Type 0 for the extra per slice.",
        "Leave the white, wedge-shaped gaps between the slices: they close on the item.",
        CORNERS,
    ]
    if made.closed and made.turn_slices < made.slices:
        lines.append("The last slice is blank, to make the number of slices odd.")
    return tuple(lines)


def middle_on_top(made: SheetOrder) -> str:
    """Which of files of one slice is marked as the item stands at the start."""
    return f" Then slice {made.slices // 2 + 1} lies under the beam." if made.slices % 2 else ""


def slice_by_slice(made: SheetOrder) -> str:
    """How the item is turned to the slices of files that hold one each."""
    return (
        f"From one slice to the next turn the item by {math.degrees(made.index_rad):.4f}°, past blank slices too. "
        f"The file with the lowest number holds the slice farthest left (rim up): {_next_up(made)}."
    )


def _next_up(made: SheetOrder) -> str:
    """From where the slice of the next file comes up."""
    return f"the next comes up from the {SIDES[NEXT_FILE_UP[made.field_axis, made.rim_towards]]}"


def turn_to_start(middle_rad: float, rim: str) -> str:
    """How the item stands at the start, in a person's words."""
    place = right_of_front(middle_rad, rim)
    return (
        f"Turn the item until {f'the place {place}' if place else 'its front'} lies under the field's middle. (If "
        "nothing shows where the item's front is, begin anywhere.)"
    )


def right_of_front(angle_rad: float, rim: str) -> str:
    """Where a place lies round the item, empty at its front; `rim` is what its upper end is called.

    >>> right_of_front(-0.05, "end 2"), right_of_front(0.0, "the rim")
    ('2.865° to the left of its front (seen with end 2 up)', '')
    """
    degrees = round(math.degrees(angle_rad), 3)
    side = f"{abs(degrees):.3f}° to the {'right' if degrees > 0 else 'left'} of its front (seen with {rim} up)"
    return side if degrees else ""


def _flats_must_show(
    wish: SheetWish, made: SheetOrder, shown: SheetComposition, size: tuple[float, float]
) -> tuple[str, ...]:
    """The same for a faceted item, where each column is a flat."""
    place = right_of_front(shown.middle_rad, made.rim)
    start = (
        f"Turn the item until {f'its flat {place}' if place else 'its front flat'} lies level under the field's "
        "middle. Check with the pointer at both sides of the flat."
    )
    turn = f"{math.degrees(made.index_rad):.4f}°"
    if wish.arrangement != "one-sheet":
        return (
            f"{start} Then slice {made.slices // 2 + 1} lies under the beam.",
            f"The program must show every file as {size[0]:.3f} × {size[1]:.3f} mm. Keep every file in the middle of "
            "the field.",
            f"From one flat to the next turn the item by {turn}, past blank flats too. The file with the lowest number "
            f"holds the flat farthest left (rim up): {_next_up(made)}.",
            CORNERS,
        )
    lines = [
        start,
        (
            f"The program must show {made.slices} slices of {made.file_slice_mm:g} mm, one flat each. The first slice "
            f"must begin at {-made.slices * made.file_slice_mm / 2:.3f} mm (0 is the middle). The item must turn "
            f"{turn} from one slice to the next."
            if made.slices > 1
            else f"The program must show one slice of {made.file_slice_mm:g} mm: the flat."
        ),
        f"The program must show the file as {size[0]:.3f} × {size[1]:.3f} mm.",
        "Type 0 for the extra per slice.",
        CORNERS,
    ]
    if made.slices > made.flats:
        lines.append("The first and the last slice lie on the same flat, so one of them is blank.")
    return tuple(lines)


def flat_must_show(split: Split, size: tuple[float, float], laser: LaserAndLens, rim: str) -> tuple[str, ...]:
    """As the plan says it of flat artwork, for the page as it was drawn: its artwork lies in the middle."""
    columns = keys.SheetColumns(split.slices, split.inked_slices, split.file_slice_mm, split.method)
    return keys.must_show(columns, size, laser, rim, in_the_middle=True)


def hatch_advice(made: SheetOrder) -> tuple[str, ...]:
    """Which way the filling lines should run."""
    if made.flats:
        return (
            f"Fill with lines every {made.line_spacing_mm:g} mm, around the item or along it: a flat has no seams.",
        )
    if made.is_bare:
        return (
            f"Fill the whole file at once, never slice by slice: lines every {made.line_spacing_mm:g} mm. The setup "
            "sheet says which way they run.",
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
            f"Don't fill with lines along the item: a slice is {count:.2f} lines wide, and such lines meet at the "
            "seams only if a slice is a whole number of lines wide."
        )
    else:
        lines.append(
            "Don't fill with lines along the item: they would show at the seams, because on this item a slice is not "
            "equally wide at all heights."
        )
    return tuple(lines)


def notes(made: SheetOrder, shown: SheetComposition, split: Split, more: float | None) -> tuple[str, ...]:
    """What else is worth knowing about this sheet."""
    told = []
    if shown.crossed_before_mm > 0:
        told.append(
            f"In all, {shown.crossed_mm:.0f} mm of the seams cross dark parts of the artwork, where a seam can show."
        )
    elif made.slices > 1 and not made.flats:
        told.append("No seam crosses dark parts of the artwork.")
    if more is not None:
        told.append(
            "To move more seams away from dark parts, add --more-slices: two blank slices make room. Then only "
            f"{more:.0f} mm of the seams cross dark parts."
        )
    if made.flats:
        told += _flats_notes(made, shown)
    else:
        overlap = f"{1000 * made.overlap_mm:.0f}"
        here = "" if float(overlap) == 0 else f", so marks overlap by {overlap} µm"
        told.append(
            f"Each slice in the file ends {1000 * made.inset_mm:.0f} µm before its seam, because marks come out wider "
            f"than drawn. The gap between two slices is then {1000 * 2 * made.inset_mm:.0f} µm. Marking can close a "
            f"gap of up to {1000 * made.marked_width_mm:.0f} µm{here}. To measure what your marks close, mark a gap "
            "ladder."
        )
    if made.height_mm > split.sheet_height_mm + HEIGHT_TOLD_MM or made.slices != split.slices:
        told.append("rotary made the plan before it knew this artwork: type the numbers from here, not from the plan.")
    if len(shown.parts) > 1:
        told.append(
            f"One focus is not enough for this wall: mark {len(shown.parts)} parts, each with its own files and focus."
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
