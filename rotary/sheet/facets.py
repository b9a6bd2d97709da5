"""Artwork on the flats of a faceted item: a column a flat, drawn as it is, since a flat bends nothing.

::

      on the item, unrolled                    in the sheet: N odd, the artwork's own flat in the middle

      |   flat   |   flat   |   flat   |       |          |          |          |
      |          |  HERON   |    1     |  ->   |          |  HERON   |    1     |
      +----------+----------+----------+       +----------+----------+----------+
            corner     corner                    a column is as wide as a flat

An index turns the item from flat to flat. The flat that is marked lies level under the head, so only the
beam's lean is left to be reckoned with.
"""

from math import ceil, pi, tan

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.cut import slices_between
from rotary.artwork.rings import NO_INK, Rings, bounds_mm, joined, moved
from rotary.artwork.warp import warped
from rotary.errors import Fault, Refused, no_plan
from rotary.sheet.compose import LEAST_BLANK_MM, SheetComposition, ZoneColumns, largest_mm
from rotary.sheet.fits import NOTHING_DARK, SIZE_SLACK_MM
from rotary.sheet.order import SheetOrder
from rotary.sheet.redraw import REDRAW_TOLERANCE_MM, Stance, command_to_hit_mm

Floats = NDArray[np.float64]


def inked_flats(rings: Rings, from_axis_mm: float, flats: int) -> dict[int, Rings]:
    """The ink flat by flat, each from its flat's own middle [mm]; flat 0 is the artwork's own, + to the right.

    `rings` lie on the unrolled prism with the artwork's middle at (0, 0). Flats that go once round are the same.

    >>> from rotary.artwork.rings import area_mm2, rings_from_list
    >>> bar = rings_from_list([[(9, 0), (17, 0), (17, 1), (9, 1)]])
    >>> {k: area_mm2(part) for k, part in inked_flats(bar, 6.0, 4).items()}
    {1: 8.0}
    """
    wide = 2 * from_axis_mm * tan(pi / flats)
    left, _, right, _ = bounds_mm(rings)
    first, last = (ceil(end / wide - 0.5) for end in (left, right))
    strips = slices_between(rings, (np.arange(first, last) + 0.5) * wide)
    parts: dict[int, list[Rings]] = {}
    for k, strip in enumerate(strips, first):
        if len(strip.points_mm):
            once_round = k - flats * ceil(k / flats - 0.5)
            parts.setdefault(once_round, []).append(moved(strip, -k * wide, 0.0))
    return {k: joined(found) for k, found in parts.items()}


def flat_composition(
    order: SheetOrder, rings: Rings, from_axis_mm: float, flats: int, width_mm: float
) -> SheetComposition:
    """The columns of a faceted item's sheet; `width_mm` is how wide the plan takes the artwork of one flat to be.

    `order.slices` is at least the number of flats that `columns_needed` tells. Raises Refused or NoPlan, with what to
    do, where ink lies on a corner or beside what was planned for a flat.
    """
    parts = inked_flats(rings, from_axis_mm, flats)
    _refuse_corners(parts, from_axis_mm, flats, width_mm)
    columns = [NO_INK] * order.slices
    for k, part in parts.items():
        columns[k + order.slices // 2] = flat_redrawn(order.stance, part, from_axis_mm)
    half_width, half_height = largest_mm(columns)
    if len(parts) > 1 and 2 * half_width > order.file_slice_mm - LEAST_BLANK_MM:
        says = (
            f"a flat's artwork is drawn {2 * half_width:.3f} mm wide, too wide for a slice width of "
            f"{order.file_slice_mm:.3f} mm in the file: make the artwork's frame at most "
            f"{2 * half_width - SIZE_SLACK_MM - LEAST_BLANK_MM:.2f} mm wide."
        )
        raise no_plan("artwork.width", says)
    first = order.centre_angle_rad - order.slices * order.index_rad / 2
    return SheetComposition(
        [ZoneColumns(None, order.stance.plane_mm, columns)], first, order.centre_angle_rad, 0.0, 0.0, 0.0, half_width,
        half_height,
    )  # fmt: skip


def columns_needed(rings: Rings, from_axis_mm: float, flats: int) -> int:
    """How many columns, an odd number, bring every inked flat onto the sheet with the artwork's own in the middle."""
    if len(rings.points_mm) == 0:
        raise no_plan(*NOTHING_DARK)
    return 2 * max(map(abs, inked_flats(rings, from_axis_mm, flats))) + 1


def flat_redrawn(stance: Stance, part: Rings, from_axis_mm: float) -> Rings:
    """One flat's ink, from its middle, as commands [mm] from the field's middle; the flat lies level on top."""

    def command(u: Floats, v: Floats) -> tuple[Floats, Floats]:
        # Places of the flat's plane lie farther from the axis towards the corners.
        return command_to_hit_mm(stance, np.arctan2(u, from_axis_mm), stance.centre_s_mm + v, np.hypot(u, from_axis_mm))

    return warped(part, command, REDRAW_TOLERANCE_MM)


def _refuse_corners(parts: dict[int, Rings], from_axis_mm: float, flats: int, width_mm: float) -> None:
    faults = []
    wide = 2 * from_axis_mm * tan(pi / flats)
    for k, part in sorted(parts.items()):
        left, _, right, _ = bounds_mm(part)
        reach = max(-left, right)
        if 2 * reach <= width_mm + SIZE_SLACK_MM:
            continue
        which = "the artwork's flat" if k == 0 else f"the flat {360 * k / flats:+.5g}° from the artwork's"
        if reach > wide / 2 - SIZE_SLACK_MM:
            says = f"artwork on {which} runs over the flat's corner: make the piece at most {wide:.4g} mm wide"
        else:
            says = (
                f"artwork on {which} reaches {reach:.2f} mm to one side of its middle, but the plan is for artwork "
                f'{width_mm:g} mm wide: write "{2 * reach:.2f} mm", or move the piece'
            )
        faults.append(Fault("artwork.width", f"{says}."))
    if faults:
        raise Refused(faults)
