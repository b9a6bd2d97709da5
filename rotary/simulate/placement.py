"""How far the marks lie from where the artwork belongs, and how much of it has no mark."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.cut import slices_between
from rotary.artwork.rings import Rings, joined
from rotary.formulas.arrays import Floats
from rotary.formulas.revolution import Curve, radius_mm
from rotary.simulate.description import Description, Progress, TrueInk, quiet
from rotary.simulate.marks import Marks
from rotary.simulate.nearest import distances_mm, outline

SEAM_MM = 0.02


def ink_in_slices(wall: Rings, left_rad: Floats, inked: Sequence[bool], ring: int) -> Rings:
    """The wall's ink in the slices that are inked; `left_rad` (n,) is where each begins, rising, `ring` of them a turn.

    It is cut only where a slice with ink meets one without, so that seams between two with ink stay what they are.
    """
    if ring:
        left_rad = (2 * np.pi * np.arange(-1, 2)[:, None] + left_rad[:ring]).ravel()
        inked = [*inked[:ring]] * 3
    cut = [k for k in range(1, len(left_rad)) if inked[k] != inked[k - 1]]
    strips = slices_between(wall, left_rad[cut])
    return joined(strip for strip, k in zip(strips, [0, *cut], strict=True) if inked[k])


def placement(
    curve: Curve, shown: Marks, true: TrueInk, lines: Floats, says: Description, progress: Progress = quiet
) -> tuple[Floats, float, float]:
    """How far each landed point strays, the worst of them, and the worst place of the artwork left unmarked.

    `lines` are the angles of the seams, rising.
    """
    wall, centre, ring = true
    hit = shown.hit
    places = np.stack([shown.angle_rad, shown.s_mm], axis=1)
    strays = np.full(len(places), np.nan)
    drawn = outline(curve, wall, centre, ring=bool(ring))
    strays[hit] = distances_mm(drawn, places[hit], lambda share: progress(share / 2))
    # A slice's own ends are no outline of the artwork: there the seam is what counts.
    from_seam = _nearest_rad(lines, shown.angle_rad) * radius_mm(curve, shown.s_mm) - says.inset_mm
    ends = np.abs(from_seam)
    if says.zone_mm is not None:
        ends = np.minimum(ends, np.min([np.abs(np.abs(shown.s_mm - z) - says.inset_mm) for z in says.zone_mm], axis=0))
    strays = np.fmin(strays, ends)
    marked = Rings(places[hit], np.array([0, int(hit.sum())]))
    written = outline(curve, marked, centre, after=_after_hits(shown, hit))
    # The artwork's outline close to a seam is meant to be left out; the rest has to be there.
    radius = radius_mm(curve, wall.points_mm[:, 1])
    clear = _nearest_rad(lines, wall.points_mm[:, 0]) * radius > 2 * abs(says.inset_mm) + 0.02
    if ring:
        # Where the artwork's two sides meet at the back there is no outline.
        clear &= np.abs(np.abs(wall.points_mm[:, 0] - centre) - np.pi) * radius > SEAM_MM
    if says.zone_mm is not None:
        height = wall.points_mm[:, 1]
        clear &= np.min([np.abs(height - z) for z in says.zone_mm], axis=0) > 2 * abs(says.inset_mm) + 0.02
    asked = wall.points_mm[clear]
    missing = (
        float(np.nanmax(distances_mm(written, asked, lambda share: progress(0.5 + share / 2)))) if len(asked) else 0.0
    )
    return strays, float(np.nanmax(strays)), missing


def seam_lines(turned: Floats, index: float, ring: int) -> Floats:
    """Angles of the seams, rising; round a ring those of the turns before and after as well."""
    left = turned - index / 2
    return (2 * np.pi * np.arange(-1, 2)[:, None] + left[:ring]).ravel() if ring else left[1:]


def _nearest_rad(lines: Floats, angle: Floats) -> Floats:
    """Distance of each angle from the nearest line, infinite where there is none."""
    if len(lines) == 0:
        return np.full(len(angle), np.inf)
    right = np.searchsorted(lines, angle)
    below, above = lines[np.maximum(right - 1, 0)], lines[np.minimum(right, len(lines) - 1)]
    return np.minimum(np.abs(angle - below), np.abs(above - angle))


def _after_hits(shown: Marks, hit: NDArray[np.bool_]) -> NDArray[np.int64]:
    """The ring neighbour of each landed point among the landed ones; a point before a miss keeps itself."""
    new = np.cumsum(hit) - 1
    after = np.where(hit[shown.after], new[shown.after], new)
    return np.asarray(after[hit])
