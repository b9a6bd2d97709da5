"""Where one more diameter would tell most about the item's shape, and what it would bring."""

from typing import Final, NamedTuple

import numpy as np

from rotary.item import datum_from_s_mm, shape_with_place
from rotary.plan import Plan

WORTH_SHARE: Final = 0.25
"""Asked for where the shape alone may open a seam by more than this share of what is accepted."""

BRINGS_SHARE: Final = 0.8
"""Nor is a place worth measuring that leaves more than this share of the doubt (estimate)."""

NEAR_SHARE: Final = 0.03
"""A place nearer to a measured one than this share of the item tells nothing new."""

LOOKED_AT: Final = 97


class PlaceToMeasure(NamedTuple):
    """Height from the item's datum [mm], and how far the diameter may be off within the artwork (95 %) [mm]: now, and
    with that place measured."""

    at_mm: float
    now_mm: float
    then_mm: float


def place_to_measure(plan: Plan) -> PlaceToMeasure | None:
    """The height in the artwork at which the shape is known least; None where no seam depends on it."""
    shape, lies, given = plan.shape, plan.layout, plan.job.tolerances.diameter_mm
    if given is not None or shape.flats is not None or plan.split.inked_slices < 2:
        return None
    s = np.linspace(lies.band_from_mm, lies.band_to_mm, LOOKED_AT)
    half = shape.radius_half_mm(s)
    opens = (half / shape.radius_mm(s)).max() * plan.split.slice_width_mm
    far = np.abs(s[:, None] - np.array(shape.measured_mm)).min(axis=1) > NEAR_SHARE * shape.length_mm
    if not far.any() or opens <= WORTH_SHARE * plan.job.tolerances.seam_mm:
        return None
    # As a rule gives it: to the millimetre, where that still is in the artwork and no place that was measured.
    at = float(s[far][int(np.argmax(half[far]))])
    near_mm = np.abs(round(at) - np.array(shape.measured_mm)).min()
    is_new = lies.band_from_mm <= round(at) <= lies.band_to_mm and near_mm > NEAR_SHARE * shape.length_mm
    at = round(at) if is_new else at
    then = shape_with_place(plan.job.item, at).radius_half_mm(s)
    now_mm, then_mm = 2 * float(half.max()), 2 * float(then.max())
    if then_mm > BRINGS_SHARE * now_mm:
        return None
    return PlaceToMeasure(datum_from_s_mm(plan.job.item, shape, at), now_mm, then_mm)
