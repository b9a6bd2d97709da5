"""What a written file will do, in black and grey: the wall laid flat, the marks on it, the seams that are off.

Slices are in two greys by turns, darker where they lie on each other, white where neither lies. A dot stands wherever
a seam crosses ink: black where it is wider open than wanted, a ring where it is marked twice, larger the more it is
off; pale ones are within a tenth of what is accepted. A cross stands where a mark strays farthest. A thin line is the
wall's outline, dashes are the corners of a faceted item.
"""

from typing import Final

import numpy as np

from rotary.errors import refuse
from rotary.formulas.arrays import Floats
from rotary.papers.drawing import BLACK, DASHED, FIRM_MM, HAIR_MM, Area, Face, Mark, PaperPicture, Words, arc, line
from rotary.papers.letters import broken
from rotary.papers.sizes import Sizes
from rotary.papers.true_size import LETTER_MM
from rotary.plan import Plan
from rotary.sheet import stance_of
from rotary.simulate.flats import as_long_round_mm
from rotary.simulate.forecast import SimulationRun
from rotary.simulate.rays import RayStand
from rotary.simulate.unrolled_wall import Unrolled

SHADES: Final = (0.36, 0.55)
GREY: Final = 0.55
PALE: Final = 0.88
SEEN_THROUGH: Final = 0.8
GOOD_SHARE: Final = 0.1
"""A seam that is off by less of what is accepted is good."""
MOST_WORDS: Final = 0.4
"""Share of a picture with its own size that its sentences may take."""
MARGIN_MM: Final = 6.0
TIMES: Final = (10, 5, 3, 2)
LARGEST_MM: Final = 180.0
"""Small artwork is enlarged as long as it stays within this; sentences are as wide."""
KEY: Final = "Black dot: gap. Ring: marked twice. Larger is worse, pale is good. Cross: mark farthest out of place."
WALL: Final = "the wall laid flat, {} up. Slices are light grey and grey; what is darker still is marked twice"
CORNERS: Final = "dashes: corners between two flats"


def forecast_chart(plan: Plan, found: SimulationRun, sizes: Sizes, wide: float, high: float) -> PaperPicture:
    """A picture of that size, with as many whole sentences as have room. Raises Refused where no mark landed."""
    size, outline = LETTER_MM, _outline_mm(_wall_of(plan), found)
    (left, low), (right, top) = outline.min(axis=0).tolist(), outline.max(axis=0).tolist()
    told = [broken(sizes.text(says), wide, size) for says in found.forecast.says]
    ends = [sum(map(len, told[:many])) for many in range(len(told) + 1)]
    lines = [
        *broken(KEY, wide, size),
        *[text for says in told for text in says][: max(e for e in ends if e <= MOST_WORDS * high / size / 1.25)],
    ]
    foot = len(lines) * 1.25 * size + 1.0
    scale = min((wide - 2.0) / max(right - left, 1e-9), (high - foot - 1.0) / max(top - low, 1e-9))
    by = np.array([wide / 2 - (left + right) / 2 * scale, foot - low * scale])
    says = " ".join(map(sizes.text, found.forecast.says))
    marks = [*_marks(plan, found, outline, scale, by), *_words(lines, 0.0, foot - 1.0, "narrow")]
    return PaperPicture(wide, high, tuple(marks), "What the file will mark", says)


def forecast_page(plan: Plan, found: SimulationRun, title: str) -> PaperPicture:
    """At true size or a stated number of times it, with all sentences. Raises Refused where no mark landed."""
    outline = _outline_mm(_wall_of(plan), found)
    low, high = outline.min(axis=0), outline.max(axis=0)
    times = next((k for k in TIMES if k * float((high - low).max()) <= LARGEST_MM), 1)
    scale = [f"Drawn {times} times its size."] if times > 1 else []
    rim = plan.job.item.end_name("rim")
    says = (title, *scale, *found.forecast.says, KEY, WALL.format(rim), *([CORNERS] if found.forecast.flats else []))
    lines = [text for one in says for text in broken(one, LARGEST_MM, LETTER_MM)]
    across, up = (times * (high - low)).tolist()
    foot = len(lines) * 1.25 * LETTER_MM + 2 * MARGIN_MM
    wide = max(across, LARGEST_MM) + 2 * MARGIN_MM
    by = np.array([MARGIN_MM, foot]) - times * low
    marks = [*_marks(plan, found, outline, times, by), *_words(lines, MARGIN_MM, foot - MARGIN_MM, "bold")]
    return PaperPicture(wide, foot + up + MARGIN_MM, tuple(marks), title, "What a written file will do.")


def _wall_of(plan: Plan) -> Unrolled:
    """How the item's wall is laid flat, the artwork in the middle."""
    flats = plan.shape.flats or 0
    flat_mm = as_long_round_mm(RayStand(*stance_of(plan), flats=flats)) if flats else 0.0
    return Unrolled(plan.shape.curve, plan.layout.centre_angle_rad, plan.shape.length_mm, flat_mm)


def _outline_mm(wall: Unrolled, found: SimulationRun) -> Floats:
    """The outline of the wall round all marks that land on the item."""
    hit = np.isfinite(found.marks.angle_rad)
    if not hit.any():
        says = "no mark landed on the item, so there is nothing to show: check that the file was drawn for this item."
        raise refuse("", says)
    return wall.outline_mm(found.marks.angle_rad[hit], found.marks.s_mm[hit])


def _marks(plan: Plan, found: SimulationRun, outline: Floats, scale: float, by: Floats) -> list[Mark]:
    """All but the words, the wall so many times as large and moved [mm]."""
    wall, flats = _wall_of(plan), found.forecast.flats or 0
    marks: list[Mark] = [line(np.concatenate([outline, outline[:1]]) * scale + by, HAIR_MM, shade=GREY)]
    reach = np.nanmax(np.abs(found.marks.angle_rad - wall.middle_rad))
    heights = np.array([np.nanmin(found.marks.s_mm), np.nanmax(found.marks.s_mm)])
    middle = found.middles_rad[len(found.middles_rad) // 2]
    corners = middle + np.pi * np.arange(1 - 2 * flats, 2 * flats, 2) / max(flats, 1)
    for angle in corners[np.abs(corners - wall.middle_rad) < reach]:
        marks += [line(wall.places_mm(np.full(2, angle), heights) * scale + by, HAIR_MM, DASHED, GREY)]
    shown = wall.places_mm(found.marks.angle_rad, found.marks.s_mm) * scale + by
    for column, rings in found.rings_by_column(shown):
        marks.append(Area(tuple(rings), SHADES[column % 2], "", found.marked_width_mm * scale, SEEN_THROUGH))
    for angle, s, gap in found.seam_places():
        share = abs(gap) / plan.job.tolerances.accepted_seam_mm
        x, y = (wall.places_mm(np.array(angle), np.array(s)) * scale + by).tolist()
        ring = arc(x, y, 0.25 + 0.45 * min(share, 2.0), points=17)
        good = share <= GOOD_SHARE
        marks.append(Area((ring,), PALE if good else BLACK if gap > 0 else 1.0))
        marks += [] if good or gap > 0 else [line(ring, HAIR_MM)]
    if found.farthest is not None:
        x, y = shown[found.farthest].tolist()
        marks += [line([(x - 1.5, y), (x + 1.5, y)], FIRM_MM), line([(x, y - 1.5), (x, y + 1.5)], FIRM_MM)]
    return marks


def _words(lines: list[str], x_mm: float, top_mm: float, first: Face) -> list[Mark]:
    """Lines of words from a height down, the first in another face."""
    size = LETTER_MM
    return [
        Words(text, x_mm, top_mm - n * 1.25 * size + 0.3, size, "start", "plain" if n > 1 else first)
        for n, text in enumerate(lines, 1)
    ]
