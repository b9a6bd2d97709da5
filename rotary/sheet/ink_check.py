"""What stands on the disk has to show the ink that was drawn: read back once a set of files is written."""

from collections.abc import Iterable
from pathlib import Path

import numpy as np

from rotary.artwork.rings import Rings, area_mm2, following
from rotary.errors import FileTrouble
from rotary.sheet.reread import drawing_from_file
from rotary.slices.trial import TrialFiles

REREAD_MM = 0.0015  # whole micrometres move an outline by this at most


def check_ink(folder: Path, names: Iterable[str], trial: TrialFiles | None, ink_mm2: float) -> None:
    """What stands on the disk has to show the ink that was drawn, the parts as much as their whole.

    Raises FileTrouble.
    """
    parts = trial.parts if trial else ()
    _shows([folder / name for name in names if name not in parts], ink_mm2)
    if trial and parts:
        whole = sum(area_mm2(part) for part in drawing_from_file(folder / trial.whole).parts.values())
        _shows([folder / name for name in names if name in parts], whole)


def _shows(paths: list[Path], ink_mm2: float) -> None:
    area = edge = 0.0
    for path in paths:
        for part in drawing_from_file(path).parts.values():
            area += area_mm2(part)
            edge += _edge_mm(part)
    if abs(area - ink_mm2) > REREAD_MM * edge + 1e-6:
        raise FileTrouble(
            f"the written file shows {area:.3f} mm² of artwork instead of {ink_mm2:.3f}: the disk may be failing, "
            "write the file to another disk"
        )


def _edge_mm(part: Rings) -> float:
    step = part.points_mm[following(part.offsets)] - part.points_mm
    return float(np.hypot(step[:, 0], step[:, 1]).sum())
