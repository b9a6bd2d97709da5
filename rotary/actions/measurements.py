"""Where more diameters would tell most about the item's shape, and what they would bring."""

from typing import Final, NamedTuple

import numpy as np

from rotary.formulas.arrays import Floats
from rotary.item import fitted_shape, height_from_s_mm, with_place
from rotary.plan import Plan
from rotary.shape import Shape
from rotary.slices.models import Split

WORTH_SHARE: Final = 0.25
"""Asked for where the shape alone may open a seam by more than this share of what is accepted."""

BRINGS_SHARE: Final = 0.8
"""Nor is a place worth measuring that leaves more than this share of the doubt (estimate)."""

NEAR_SHARE: Final = 0.03
"""A place nearer to a measured one than this share of the item tells nothing new."""

LOOKED_AT: Final = 97


MOST_PLACES: Final = 3
"""Nobody is sent to measure more than these at once."""


class PlacesToMeasure(NamedTuple):
    """Heights from the item's datum, the one that tells most first [mm], and how far the diameter may be off within
    the artwork (95 %) [mm]: now, and with all of them measured."""

    at_mm: tuple[float, ...]
    now_mm: float
    then_mm: float


def places_to_measure(plan: Plan) -> PlacesToMeasure | None:
    """The heights in the artwork at which the shape is known least, until seams no longer depend on it; None where
    none does."""
    item, lies, given = plan.job.item, plan.layout, plan.job.tolerances.diameter_mm
    if given is not None or plan.shape.flats is not None or plan.split.inked_slices < 2:
        return None
    s = np.linspace(lies.artwork_from_mm, lies.artwork_to_mm, LOOKED_AT)
    places: list[float] = []
    known_mm = [2 * float(plan.shape.radius_half_mm(s).max())]
    while len(places) < MOST_PLACES:
        at = _least_known_mm(fitted_shape(item), s, WORTH_SHARE * plan.job.tolerances.accepted_seam_mm, plan.split)
        if at is None:
            break
        item = with_place(item, at)
        then_mm = 2 * float(fitted_shape(item).radius_half_mm(s).max())
        if then_mm > BRINGS_SHARE * known_mm[-1]:
            break
        places.append(height_from_s_mm(plan.job.item, plan.shape, at))
        known_mm.append(then_mm)
    return PlacesToMeasure(tuple(places), known_mm[0], known_mm[-1]) if places else None


def _least_known_mm(shape: Shape, s: Floats, worth_mm: float, split: Split) -> float | None:
    """The height (of s, rising) at which the shape is known least; None where seams hardly depend on it."""
    half = shape.radius_half_mm(s)
    far = np.abs(s[:, None] - np.array(shape.measured_mm)).min(axis=1) > NEAR_SHARE * shape.length_mm
    if not far.any() or (half / shape.radius_mm(s)).max() * split.slice_width_mm <= worth_mm:
        return None
    # As a rule gives it: to the millimetre, where that still is in the artwork and no place that was measured.
    at = float(s[far][int(np.argmax(half[far]))])
    near_mm = np.abs(round(at) - np.array(shape.measured_mm)).min()
    is_new = s[0] <= round(at) <= s[-1] and near_mm > NEAR_SHARE * shape.length_mm
    return float(round(at)) if is_new else at
