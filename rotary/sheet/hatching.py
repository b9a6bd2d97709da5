"""How much beam a drawing takes: length and number of the hatch lines that fill it."""

from typing import NamedTuple

import numpy as np

from rotary.artwork.rings import Rings, following
from rotary.artwork.white import ink_profile, inked_length


class Fill(NamedTuple):
    """Hatch lines that run across the item: their whole length [mm] and their number."""

    length_mm: float
    lines: int


def fill(rings: Rings, hatch_mm: float) -> Fill:
    """What filling a region with lines along x costs, all on one grid y = (i + 1/2) hatch.

    >>> from rotary.artwork.rings import rings_from_list
    >>> fill(rings_from_list([[(0, 0), (4, 0), (4, 1), (0, 1)]]), 0.1)
    Fill(length_mm=40.0, lines=10)
    """
    if len(rings.points_mm) == 0:
        return Fill(0.0, 0)
    y = rings.points_mm[:, 1]
    row = np.floor(y / hatch_mm + 0.5).astype(np.int64)
    crossings = int(np.abs(row[following(rings.offsets)] - row).sum())
    # Turned by a quarter, lines along x are upright.
    turned = Rings(np.stack([-y, rings.points_mm[:, 0]], axis=1), rings.offsets)
    grid = (np.arange(int(row.min()), int(row.max())) + 0.5) * hatch_mm
    length = float(inked_length(ink_profile(turned), -grid).sum())
    return Fill(round(length, 6), crossings // 2)
