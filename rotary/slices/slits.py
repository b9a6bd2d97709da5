"""Flat artwork slit at its seams: what of a split's seams the slits take out.

::

      a slice of flat artwork lands equally wide at every height, the item's own arc does not

      wide part    |----------|  gap  |----------|     the slit is narrower by what stands open
      right part   |----------| slit  |----------|     the slit is as wide as marking closes
      narrow part  |--------|   slit    |--------|     the slit is wider by what would lie double
"""

from collections.abc import Iterator
from typing import Final

import numpy as np

from rotary.formulas import seams
from rotary.formulas.estimate import HOLDS_95
from rotary.slices.choose import KEYED_MM
from rotary.slices.models import SeamAtHeight, Split, SplitRemark

LEAST_SLITS: Final = 2
"""A slice narrower than so many of its slits would keep less than half of itself."""


def fits(slit_mm: float, slice_mm: float) -> bool:
    """Whether slices of this width keep half of themselves with such slits between them, or such overlaps."""
    return LEAST_SLITS * abs(slit_mm) <= slice_mm


def with_slits(split: Split, slit_mm: float, accepted_mm: float) -> Split:
    """The split with its seams as they are once flat artwork is slit so wide where its slices are right [mm]; as it is
    where there is nothing to slit. The limit of flat artwork is kept where all seams are then within `accepted_mm`."""
    if split.method != "flat" or not split.seams or slit_mm <= 0 or not fits(slit_mm, split.slice_width_mm):
        return split
    rows = tuple(_with_slit(row, slit_mm) for row in split.seam_rows)
    worst = max(rows, key=lambda row: abs(row.plain_nominal_mm) + row.plain_95_mm)
    known = HOLDS_95 * float(np.hypot(split.shared_mm, split.stops_mm))
    share = worst.plain_95_mm / known if known else 1.0
    nominal, shared, stops = abs(worst.plain_nominal_mm), share * split.shared_mm, share * split.stops_mm
    within = float(seams.all_within_mm(shared, stops, split.seams, nominal))
    holds = within <= accepted_mm
    return split.but(
        seam_rows=rows,
        nominal_mm=nominal,
        shared_mm=shared,
        stops_mm=stops,
        seam_95_mm=within,
        typed_off_mm=min(split.typed_off_mm, nominal),
        remarks=tuple(_remarks(split, nominal, holds)),
        limits=tuple(one.but(met=True) if holds and one.id == "seam_plain" else one for one in split.limits),
    )


def _remarks(split: Split, worst_mm: float, holds: bool) -> Iterator[SplitRemark]:
    """What still has to be known: what the numbers typed cost at the worst seam, and limits that are not kept."""
    for remark in split.remarks:
        if remark.id == "typed_off" and worst_mm > KEYED_MM:
            yield remark.but(values={**remark.values, "off_mm": worst_mm})
        elif remark.id != "typed_off" and not (holds and remark.values.get("limit") == "seam_plain"):
            yield remark


def _with_slit(row: SeamAtHeight, slit_mm: float) -> SeamAtHeight:
    left_mm = max(row.plain_shape_mm - slit_mm, 0.0)
    return row.but(plain_nominal_mm=row.plain_typed_mm + left_mm)
