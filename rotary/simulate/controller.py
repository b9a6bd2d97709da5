"""What a marking program does with a drawing on a rotary axis: columns, one after the other, an index between them.

::

      from the left edge                from the centre

      |<- S ->|<- S ->|<- S ->|         |<- S ->|<- S ->|<- S ->|
      ^ the first shape begins here             ^   x   ^ the shapes' middle in the middle of a column

Both give the same columns where the shapes' bounds are an odd number of columns wide.
"""

import math
from typing import Literal, NamedTuple

import numpy as np

from rotary.artwork.cut import slices_between
from rotary.artwork.rings import NO_INK, Rings, joined, moved
from rotary.formulas.arrays import Floats
from rotary.formulas.motion import Rounding, positions_steps
from rotary.sheet.reread import SheetDrawing

Origin = Literal["left", "centre"]

SAME_PLACE_MM = 0.002  # a column that would hold less than this is rounding of the file, not artwork


class SimulatedColumn(NamedTuple):
    """What is marked without turning: rings from the column's middle [mm], and the item's turn then [rad]."""

    rings: Rings
    turned_rad: float


def steps_asked(file_slice_mm: float, typed_steps: float, typed_diameter_mm: float) -> float:
    """Steps that a program asks of the motor for one column, from the steps a turn and the diameter typed in.

    >>> steps_asked(10.0, 3200, 100.0 / 3.141592653589793)
    320.0
    """
    return round(file_slice_mm * typed_steps / (math.pi * typed_diameter_mm), 9)


def columns(
    drawing: SheetDrawing,
    file_slice_mm: float,
    asked_steps: float,
    rounding: Rounding,
    origin: Origin,
    rad_per_step: float,
) -> list[SimulatedColumn]:
    """The drawing as it is marked, left column first; turned 0 where the drawing's middle is on top."""
    middle = (drawing.left_mm + drawing.right_mm) / 2
    width = drawing.right_mm - drawing.left_mm
    if origin == "left":
        count = max(1, math.ceil((width - SAME_PLACE_MM) / file_slice_mm))
        first = drawing.left_mm
    else:
        count = 2 * max(0, math.ceil((width / file_slice_mm - 1) / 2 - SAME_PLACE_MM / file_slice_mm)) + 1
        first = middle - count * file_slice_mm / 2
    shown = joined(drawing.parts.values())
    # A path a slice lies on top of none of the others, so together they are one region.
    strips = slices_between(shown, first + file_slice_mm * np.arange(1, count))
    turns = _turns_steps(count, (first - middle) / file_slice_mm + 0.5, asked_steps, rounding) * rad_per_step
    return [
        SimulatedColumn(moved(strip, -(first + (k + 0.5) * file_slice_mm), 0.0), float(turns[k]))
        for k, strip in enumerate(strips)
    ]


def single_column(
    drawing: SheetDrawing | None, place: tuple[int, int], asked_steps: float, rounding: Rounding, rad_per_step: float
) -> SimulatedColumn:
    """One file a slice: drawn centred by its page, the item turned by the indexes before it.

    `place` is the slice's number and how many there are; a blank one has no drawing. The middle one is at turn 0.
    """
    number, count = place
    first = (1 - count) / 2
    steps = _turns_steps(count, first, asked_steps, rounding)[number - 1]
    if drawing is None:
        return SimulatedColumn(NO_INK, float(steps * rad_per_step))
    middle = np.array([drawing.left_mm + drawing.right_mm, drawing.bottom_mm + drawing.top_mm]) / 2
    return SimulatedColumn(moved(joined(drawing.parts.values()), -middle[0], -middle[1]), float(steps * rad_per_step))


def _turns_steps(count: int, first_column: float, asked_steps: float, rounding: Rounding) -> Floats:
    """Where the motor stands for each column, in steps from where the drawing's middle is on top."""
    back = float(positions_steps(-first_column * asked_steps, 1, rounding)[0]) if first_column < 0 else 0.0
    start = -back if first_column < 0 else float(positions_steps(first_column * asked_steps, 1, rounding)[0])
    if rounding == "absolute":
        places = first_column + np.arange(count)
        return np.asarray(np.floor(places * asked_steps + 0.5))
    return np.concatenate([[0.0], positions_steps(asked_steps, count - 1, rounding)]) + start


def turned_to_item(drawing: SheetDrawing, field_axis: str, rim_towards: str) -> SheetDrawing:
    """The drawing as seen with the item's rim away from oneself, whichever way the item lies in the field.

    >>> from rotary.artwork.rings import rings_from_list
    >>> lying = SheetDrawing(9, 4, {"a": rings_from_list([[(1, 0), (2, 0), (2, 1)]])}, -4.5, -2, 4.5, 2, "")
    >>> turned_to_item(lying, "x", "plus").parts["a"].points_mm.tolist()
    [[0.0, 1.0], [0.0, 2.0], [-1.0, 2.0]]
    """
    quarters = {("y", "plus"): 0, ("x", "plus"): 1, ("y", "minus"): 2, ("x", "minus"): 3}[field_axis, rim_towards]
    for _ in range(quarters):
        parts = {name: Rings(_quarter(part.points_mm), part.offsets) for name, part in drawing.parts.items()}
        drawing = SheetDrawing(
            drawing.height_mm,
            drawing.width_mm,
            parts,
            -drawing.top_mm,
            drawing.left_mm,
            -drawing.bottom_mm,
            drawing.right_mm,
            drawing.about,
        )
    return drawing


def _quarter(points: Floats) -> Floats:
    return np.stack([-points[:, 1], points[:, 0]], axis=1) + 0.0
