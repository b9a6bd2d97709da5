"""What a written file will do, in black and grey: the wall unrolled, the marks on it, the seams that are off."""

import numpy as np

from rotary.papers.drawing import FIRM_MM, HAIR_MM, Area, Mark, PaperPicture, Words, arc, area, line
from rotary.papers.letters import broken
from rotary.papers.sizes import Sizes
from rotary.papers.true_size import LETTER_MM
from rotary.plan import Plan
from rotary.simulate.forecast import SimulationRun
from rotary.simulate.unrolled import Unrolled

SHADES = (0.45, 0.65)
MOST_WORDS = 0.4
"""Share of the picture that its sentences may take."""


def forecast_chart(plan: Plan, found: SimulationRun, sizes: Sizes, wide: float, high: float) -> PaperPicture:
    """Slices in two greys by turns; seams as dots, black where they are too wide open, ringed where marked twice,
    larger the more they are off; a cross where a mark strays farthest. Raises ValueError where no mark landed."""
    radius, accepted = plan.layout.reference_radius_mm, plan.job.tolerances.accepted_seam_mm
    wall = Unrolled(
        plan.shape.curve, plan.layout.centre_angle_rad, plan.shape.length_mm, radius if plan.shape.flats else 0.0
    )
    x, y = np.moveaxis(wall.places_mm(found.marks.angle_rad, found.marks.s_mm), -1, 0)
    hit = np.isfinite(x)
    if not hit.any():
        raise ValueError("no mark landed on the item, so there is nothing to show")
    size = LETTER_MM
    lines = [text for says in found.forecast.says for text in broken(sizes.text(says), wide, size)]
    lines = lines[: max(int(MOST_WORDS * high / (1.25 * size)), 1)]
    foot = (len(lines) + 1) * 1.25 * size + 1.0
    left, right, low, top = float(x[hit].min()), float(x[hit].max()), float(y[hit].min()), float(y[hit].max())
    scale = min((wide - 2.0) / max(right - left, 1e-9), (high - foot - 1.0) / max(top - low, 1e-9))
    by = np.array([wide / 2 - (left + right) / 2 * scale, foot - low * scale])
    shown = np.stack([x, y], axis=1) * scale + by
    rows = found.rings_by_column(shown)
    marks: list[Mark] = [Area(tuple(rings), SHADES[column % 2]) for column, rings in rows]
    marks += _seams(found, wall, accepted, scale, by)
    if found.farthest is not None:
        px, py = shown[found.farthest].tolist()
        marks += [line([(px - 1.5, py), (px + 1.5, py)], FIRM_MM), line([(px, py - 1.5), (px, py + 1.5)], FIRM_MM)]
    key = "black dots: open seams, rings: marked twice, larger means more, cross: farthest off"
    for at, text in enumerate([key, *lines]):
        marks.append(
            Words(text, 0.0, foot - 1.0 - (at + 1) * 1.25 * size + 0.3, size, "start", "plain" if at else "narrow")
        )
    return PaperPicture(
        wide, high, tuple(marks), "What the file will mark", " ".join(map(sizes.text, found.forecast.says))
    )


def _seams(found: SimulationRun, wall: Unrolled, accepted: float, scale: float, by: np.ndarray) -> list[Mark]:
    marks: list[Mark] = []
    for angle, s, gap in found.seam_places():
        size = 0.18 + 0.45 * min(abs(gap) / accepted, 2.0)
        x, y = (wall.places_mm(np.array(angle), np.array(s)) * scale + by).tolist()
        ring = arc(x, y, size, points=17)
        marks += [area(ring, 0.0)] if gap > 0 else [area(ring, 1.0), line(ring, HAIR_MM)]
    return marks
