"""A forecast as a picture: the wall unrolled, at true size or a stated number of times it, the marks, the joints.

Slices are drawn in two greys by turns; where they lie on each other it is darker, where neither lies, white. A joint's
places are dots: blue where it is wider open than wanted, orange where it is doubled, larger the more it is off; hollow
ones are within a tenth of what is accepted. A ring stands round the mark that strays farthest. Dashes are the corners
of a faceted item.
"""

from textwrap import TextWrapper
from xml.sax.saxutils import escape

import numpy as np

from rotary.artwork.outfiles import MADE_BY
from rotary.formulas.arrays import Floats
from rotary.simulate.forecast import Simulated

MARGIN_MM = 6.0
LINE_MM = 4.2
TIMES = (10, 5, 3, 2)
LARGEST_MM = 180.0  # small artwork is enlarged as long as it stays within this
GREYS = ("#5c5c5c", "#8c8c8c")
OPEN, DOUBLE = "#0072b2", "#d55e00"
WIDEST_LINE = 96  # letters of the sentences under the picture


def picture(found: Simulated, radius_mm: float, accepted_mm: float, title: str) -> str:
    """An SVG text; `radius_mm` unrolls the angles, `accepted_mm` is what is accepted at a joint.

    Raises ValueError where no mark landed.
    """
    hit = np.isfinite(found.marks.angle_rad)
    if not hit.any():
        raise ValueError("no mark landed on the item, so there is nothing to show")
    size = max(radius_mm * float(np.ptp(found.marks.angle_rad[hit])), float(np.ptp(found.marks.s_mm[hit])))
    times = next((k for k in TIMES if k * size <= LARGEST_MM), 1)
    radius_mm *= times
    x, y = radius_mm * found.marks.angle_rad, times * found.marks.s_mm
    left, right = float(x[hit].min()), float(x[hit].max())
    low, high = float(y[hit].min()), float(y[hit].max())
    scale = [f"Drawn {times} times its size."] if times > 1 else []
    fold = TextWrapper(WIDEST_LINE, break_long_words=False, break_on_hyphens=False).wrap
    lines = [line for sentence in (title, *scale, *found.forecast.says) for line in fold(sentence) or [""]]
    letters_mm = 1.9 * max(map(len, lines))
    wide = max(right - left, letters_mm) + 2 * MARGIN_MM
    tall = high - low + 3 * MARGIN_MM + LINE_MM * len(lines)
    shown = np.stack([x - left + MARGIN_MM, high - y + MARGIN_MM], axis=1)
    body = [
        _corners(found, radius_mm, (left, right), high - low),
        _slices(found, shown, times),
        _joints(found, radius_mm, (left, high), accepted_mm, times),
        _farthest(found, shown),
    ]
    for k, line in enumerate(lines):
        down = high - low + 2 * MARGIN_MM + LINE_MM * (k + 0.8)
        weight = ' font-weight="bold"' if k == 0 else ""
        body.append(f'<text x="{MARGIN_MM:g}" y="{down:.2f}"{weight}>{escape(line)}</text>')
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.2f}mm" height="{tall:.2f}mm" '
        f'viewBox="0 0 {wide:.2f} {tall:.2f}" font-family="sans-serif" font-size="3.4">'
    )
    desc = f"<title>{escape(title)}</title><desc>what a written file will do ({MADE_BY})</desc>"
    return "\n".join([head, desc, '<rect width="100%" height="100%" fill="#ffffff"/>', *body, "</svg>"]) + "\n"


def _corners(found: Simulated, radius_mm: float, ends: tuple[float, float], tall: float) -> str:
    """Where a faceted item's flats meet, over the marks' whole height."""
    flats = found.forecast.flats
    if not flats:
        return ""
    middle = float(found.middles_rad[len(found.middles_rad) // 2])
    lines = radius_mm * (middle + 2 * np.pi * (np.arange(-flats, flats) + 0.5) / flats)
    return "\n".join(
        f'<line x1="{at:.3f}" x2="{at:.3f}" y1="{MARGIN_MM / 2:g}" y2="{tall + 1.5 * MARGIN_MM:.3f}" stroke="#8c8c8c" '
        'stroke-width="0.2" stroke-dasharray="2 1.5"/>'
        for at in (lines - ends[0] + MARGIN_MM).tolist()
        if -MARGIN_MM < at - MARGIN_MM < ends[1] - ends[0] + MARGIN_MM
    )


def _slices(found: Simulated, shown: Floats, times: int) -> str:
    """Each column's rings as one path, as wide as a line is marked, see-through, so that what is doubled is darker."""
    width = found.marked_width_mm * times

    def data(ring: Floats) -> str:
        return f"M{' '.join(f'{px:.3f},{py:.3f}' for px, py in ring.tolist())}z"

    return "\n".join(
        f'<path fill="{GREYS[k % 2]}" stroke="{GREYS[k % 2]}" stroke-width="{width:.4f}" stroke-linejoin="round" '
        f'opacity="0.8" fill-rule="evenodd" d="{"".join(map(data, rings))}"/>'
        for k, rings in found.rings_by_column(shown)
    )


def _joints(found: Simulated, radius_mm: float, origin: tuple[float, float], accepted_mm: float, times: int) -> str:
    out = []
    for angle, s, gap in found.joint_places():
        share = abs(gap) / accepted_mm
        colour = OPEN if gap > 0 else DOUBLE
        fill = colour if share > 0.1 else "none"
        size = 0.25 + 0.55 * min(share, 2.0)
        px, py = radius_mm * angle - origin[0] + MARGIN_MM, origin[1] - times * s + MARGIN_MM
        out.append(
            f'<circle cx="{px:.3f}" cy="{py:.3f}" r="{size:.3f}" fill="{fill}" stroke="{colour}" stroke-width="0.1"/>'
        )
    return "\n".join(out)


def _farthest(found: Simulated, shown: Floats) -> str:
    if found.farthest is None:
        return ""
    x, y = shown[found.farthest].tolist()
    return f'<circle cx="{x:.3f}" cy="{y:.3f}" r="1.5" fill="none" stroke="#000000" stroke-width="0.25"/>'
