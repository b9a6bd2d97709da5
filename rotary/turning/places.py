"""The item sampled along its axis, for contact and clearance."""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.formulas import revolution
from rotary.item import Item, s_from_height_mm
from rotary.shape import Shape
from rotary.turning.models import Rollers

PLACES: Final = 257
"""Places along the item at which contact and clearance are looked at: half a millimetre on a bottle."""


class Places(NamedTuple):
    """Heights from the foot, radii and slopes, (n,) each."""

    s: NDArray[np.float64]
    r: NDArray[np.float64]
    slope: NDArray[np.float64]


def places(body: Shape, from_mm: float, to_mm: float) -> Places:
    """The body between two heights from the foot."""
    s = np.linspace(from_mm, to_mm, PLACES)
    return Places(s, revolution.radius_mm(body.curve, s), revolution.slope(body.curve, s))


def roller_span_mm(drive: Rollers, item: Item, body: Shape) -> tuple[float, float]:
    """Heights from the foot between which the rollers may touch; the whole item where nothing is given."""
    start = 0.0 if drive.contact_from_mm is None else drive.contact_from_mm
    stop = body.length_mm if drive.contact_to_mm is None else drive.contact_to_mm
    ends = s_from_height_mm(item, body, start), s_from_height_mm(item, body, stop)
    return min(ends), max(ends)
