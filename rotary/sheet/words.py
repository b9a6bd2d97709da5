"""What the card says of a sheet."""

import math
from typing import Final

from rotary.formulas.revolution import radius_mm
from rotary.sheet.compose import Composition
from rotary.sheet.models import SheetWish
from rotary.sheet.order import Order
from rotary.slices import Split

STRAIGHT_MM: Final = 0.001


def must_show(wish: SheetWish, made: Order, shown: Composition, size: tuple[float, float]) -> tuple[str, ...]:
    """What has to be seen in the marking program after import, and how the item stands then."""
    degrees = math.degrees(shown.middle_rad)
    start = f"Turn the item until {degrees:.3f}° from its front (+ to the right) lies under the field's middle."
    if wish.arrangement != "one-sheet":
        return (
            start,
            f"Every file measures {size[0]:.3f} × {size[1]:.3f} mm after import, whatever its slice looks like; keep "
            "it in the middle of the field.",
            f"Turn {math.degrees(made.index_rad):.4f}° from one slice to the next, blank ones too; first the one with "
            "the lowest number, which lies farthest left on the item.",
            "The small ticks at the corners are marked at zero power, or on tape.",
        )
    lines = [
        start,
        f"The program shows {made.slices} columns of {made.column_mm:g} mm, the first cut at "
        f"{-made.slices * made.column_mm / 2:.3f} mm from the middle.",
        f"After import the sheet measures {size[0]:.3f} × {size[1]:.3f} mm.",
        "The extra width per index is 0.",
        "White wedges between the slices are right: they close on the item.",
        "The number typed for the diameter or the steps is the one on the card; do not correct it to the item's own.",
        "The small ticks at the sheet's outer corners are marked at zero power, or on tape.",
    ]
    if made.closed and made.turn_slices < made.slices:
        lines.append("The last column is blank; it is there to make the number of columns odd.")
    return tuple(lines)


def flat_must_show(split: Split, size: tuple[float, float]) -> tuple[str, ...]:
    """As the plan says it of flat artwork, for the page as it was drawn: its artwork lies in the middle."""
    own = {
        "After import the sheet measures": f"After import the sheet measures {size[0]:.3f} × {size[1]:.3f} mm.",
        "The last column is blank": "Half a column stays blank at either end; that makes the number of columns odd.",
    }
    lines = []
    for line in split.must_show:
        start = next((start for start in own if line.startswith(start)), None)
        lines.append(line if start is None else own[start])
    return tuple(lines)


def hatch_advice(made: Order) -> tuple[str, ...]:
    """Which way the filling lines should run."""
    radii = radius_mm(made.stance.curve, made.stance.curve.s_mm)
    low, high = float(radii.min()), float(radii.max())
    lines = [
        f"Hatch around the item, across the slices, every {made.hatch_mm:g} mm, all slices on one grid along the item: "
        "fill the whole sheet at once, not slice by slice."
    ]
    if high - low <= STRAIGHT_MM:
        count = 2 * math.sin(made.index_rad / 2) * high / made.hatch_mm
        lines.append(
            "Lines along the item would work on this straight wall if a slice were a whole number of lines wide; it "
            f"is {count:.2f}."
        )
    else:
        lines.append("Lines along the item would beat at the joints: a slice's width changes with the height here.")
    return tuple(lines)


def notes(made: Order, shown: Composition, split: Split, more: float | None) -> tuple[str, ...]:
    """What else is worth knowing about this sheet."""
    told = []
    if shown.crossed_before_mm > 0:
        told.append(
            f"The joints cross {shown.crossed_mm:.1f} mm of ink; unslid they would have crossed "
            f"{shown.crossed_before_mm:.1f} mm."
        )
    if more is not None:
        told.append(
            f"Two blank columns more would let the joints slide further: they would cross {more:.1f} mm of ink "
            "(more_columns = 2)."
        )
    told.append(
        f"Each slice ends {1000 * made.inset_mm:.0f} µm before its joint, because a line is "
        f"{1000 * made.marked_width_mm:.0f} µm wide and neighbours should overlap by {1000 * made.overlap_mm:.0f} µm "
        "(estimates; measure a line, and read a joint strip)."
    )
    if made.height_mm > split.sheet_height_mm + 0.0011 or made.slices != split.slices:
        told.append("The sheet's size differs from the plan's, which did not know the artwork: these figures hold.")
    if len(shown.parts) > 1:
        told.append(f"The item can't be levelled enough: {len(shown.parts)} sheets, each with its own focal plane.")
        told += [
            f"Zone {place}: raise the head until the focal plane stands {part.zone.bed_mm:.2f} mm over the bed."
            for place, part in enumerate(shown.parts, 1)
            if part.zone is not None and any(len(column.points_mm) for column in part.columns)
        ]
    return tuple(told)
