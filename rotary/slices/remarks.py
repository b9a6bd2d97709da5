"""What has to be known of a split besides its numbers, by ids with what their sentences need."""

from typing import Final

import numpy as np

from rotary.formulas.arrays import Floats
from rotary.laser import LaserAndLens
from rotary.model import Values
from rotary.setup import Setup
from rotary.slices.choose import NARROWEST_SPOTS, IndexKind, Pick, Splits
from rotary.slices.keys import KeyedColumn
from rotary.slices.limits import Bound, Method
from rotary.slices.models import LimitId, SplitRemark
from rotary.slices.wall import Slices, Wall
from rotary.tolerances import Tolerances
from rotary.turning.models import Chuck, Rollers

DRAWN_SHARE: Final = 0.001
"""Artwork that lands within a thousandth of its size needs no word."""

SEAM_OF: Final[dict[Method, LimitId]] = {"flat": "seam_plain", "sliced": "seam_sheet"}
"""The limit that holds the seams of each method."""


def typed_off(drive: Chuck | Rollers, keys: KeyedColumn, method: str, off_mm: Floats) -> tuple[SplitRemark, ...]:
    """What numbers with few decimals cost at the seams."""
    values: Values = {
        "off_mm": float(off_mm.max()),
        "decimals": drive.typed_decimals,
        "sheet_helps": method == "flat" and keys.least_over == keys.most_over == 0,
    }
    return (SplitRemark(id="typed_off", values=values),)


def broken_limits(found: list[Bound], pick: Pick, index_rad: float) -> tuple[SplitRemark, ...]:
    """Each limit that the choice breaks, and whether it is one of the seams."""
    return tuple(
        SplitRemark(id="not_kept", values={"limit": bound.id, "at_seams": bound.id in ("turning", *SEAM_OF.values())})
        for bound in found
        if bound.id in pick.unmet and not (bound.id == "turning" and index_rad <= bound.index_rad)
    )


def too_narrow(
    tolerances: Tolerances, index_rad: float, floor_rad: float, reference_mm: float
) -> tuple[SplitRemark, ...]:
    """What the width has to be at least, where a narrower one was asked for."""
    if tolerances.slice_width_mm is None or index_rad >= floor_rad:
        return ()
    return (SplitRemark(id="too_narrow", values={"spots": NARROWEST_SPOTS, "least_mm": floor_rad * reference_mm}),)


def inexact(keys: KeyedColumn, steps: int, width_mm: float) -> tuple[SplitRemark, ...]:
    """What is left over all indexes, where no number that can be typed gives whole steps however it is rounded."""
    if keys.both_round:
        return ()
    values: Values = {"steps": steps, "left_steps": keys.drift_steps, "left_mm": keys.drift_steps * width_mm / steps}
    return (SplitRemark(id="inexact", values=values),)


def drawn_larger(
    at: Slices, wall: Wall, index_rad: float, laser: LaserAndLens, slice_mm: float | None, method: Method
) -> tuple[SplitRemark, ...]:
    """How much flat artwork has to be drawn larger or smaller, so that it lands as large as it was meant."""
    if method != "flat" or not wall.sags:
        return ()
    middle_mm = (float(wall.r.max()) + float(wall.r.min())) / 2
    wide = (slice_mm or laser.slice_wide_share * float(2 * at.plain_command[0])) / (index_rad * middle_mm)
    meridian_mm = float(np.sum(np.hypot(np.diff(wall.s), np.diff(wall.r))))
    high = laser.slice_high_share * float(at.tallest_mm[0]) / meridian_mm
    if max(abs(wide - 1), abs(high - 1)) <= DRAWN_SHARE:
        return ()
    measured = (laser.slice_wide_share, laser.slice_high_share) != (1.0, 1.0)
    values: Values = {"wide_share": wide, "high_share": high, "measured": measured}
    return (SplitRemark(id="drawn_larger", values=values),)


def why_method(pick: Pick, sheet: Pick, plain: Pick, splits: Splits, reference_mm: float) -> tuple[SplitRemark, ...]:
    """Why flat columns or a sheet were taken, where the person left it open."""
    flat, redrawn = (int(splits.slices[p.at]) for p in (plain, sheet))
    values: Values = {
        "columns": flat,
        "slices": redrawn,
        "file_slice_mm": float(splits.index_rad[plain.at]) * reference_mm,
    }
    if pick.method == "flat":
        return (SplitRemark(id="columns_hold", values=values),)
    alone = set(plain.unmet) - set(sheet.unmet) or plain.widest_rad <= 0
    return (SplitRemark(id="sheet_alone" if alone else "sheet_wider", values=values),)


def whole_cycles(
    setup: Setup, splits: Splits, kinds: tuple[IndexKind, IndexKind], pick: Pick, reference_mm: float
) -> tuple[SplitRemark, ...]:
    """That a slice is whole cycles of the motor, and what that costs in width; or what one would be."""
    cycle = setup.turning.cycle_steps
    if cycle is None or setup.shape.flats is not None:
        return ()
    index, at_whole = float(splits.index_rad[pick.at]), bool(splits.whole[pick.at])
    fewest = int(splits.inked[pick.at])
    free = splits.index_rad[~splits.whole & (splits.index_rad <= kinds[0].seen.at.index_rad[-1])]
    within = free[free <= pick.widest_rad] if np.isfinite(pick.widest_rad) else free
    values: Values = {
        "whole": at_whole,
        "cycles": int(splits.steps[pick.at]) // cycle,
        "cycle_mm": cycle * setup.turning.rad_per_step * reference_mm,
        "width_mm": index * reference_mm,
        "free_mm": float(within.max(initial=index)) * reference_mm if at_whole else index * reference_mm,
        "slices": fewest,
        "tested": setup.turning.stops_tested[1],
        "free_tested": setup.turning.stops_tested[0],
        "stops_mm": pick.seen.worst_mm(pick.method, index),
    }
    return (SplitRemark(id="whole_cycles", values=values),)


FLAT_MM: Final = 1.0
"""The slice of flat artwork that people use on tapers (common practice, no source)."""


def flat_would_do(
    setup: Setup, splits: Splits, kinds: tuple[IndexKind, IndexKind], pick: Pick, reference_mm: float
) -> tuple[SplitRemark, ...]:
    """On a taper, within what flat artwork in slices of 1 mm would be: whether that is good enough."""
    if pick.method != "sliced" or setup.shape.shape == "straight" or float(splits.index_rad[pick.at]) == 0:
        return ()
    off_mm = kinds[0].seen.worst_mm("flat", FLAT_MM / reference_mm)
    if not off_mm <= setup.job.tolerances.accepted_seam_mm:
        return ()
    return (SplitRemark(id="flat_would_do", values={"width_mm": FLAT_MM, "off_mm": off_mm}),)
