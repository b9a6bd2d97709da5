"""What better or worse seams would cost: the split as it would be were another error accepted."""

from collections.abc import Callable
from typing import Final

from rotary.slices.choose import Pick, Splits
from rotary.slices.models import SeamCost

FINER: Final = 0.6
COARSER: Final = 1.6
"""50 µm gives 30 and 80."""


def seam_costs(
    accepted_mm: float, splits: Splits, pick: Pick, reference_mm: float, pick_for: Callable[[float], Pick]
) -> tuple[SeamCost, ...]:
    """The splits for a finer and a coarser seam than is accepted; `pick_for` chooses the split for an error [mm]."""

    def cost(accepted_mm: float) -> SeamCost:
        other = pick_for(accepted_mm)
        index = float(splits.index_rad[other.at])
        return SeamCost(
            accepted_mm=accepted_mm,
            method=other.method,
            slices=int(splits.slices[other.at]),
            slice_width_mm=index * reference_mm,
            seam_95_mm=other.seen.worst_mm(other.method, index) if int(splits.inked[other.at]) > 1 else 0.0,
            longer_s=float(splits.time_s[other.at] - splits.time_s[pick.at]),
        )

    return tuple(cost(float(f"{accepted_mm * factor:.2g}")) for factor in (FINER, COARSER))
