"""A forecast as a picture: the wall laid flat, at true size or a stated number of times it, the marks, the seams.

Slices are drawn in two greys by turns; where they lie on each other it is darker, where neither lies, white. A seam's
places are dots: blue where it is wider open than wanted, orange where it is doubled, larger the more it is off; hollow
ones are within a tenth of what is accepted. A ring stands round the mark that strays farthest. A thin line is the
wall's outline, dashes are the corners of a faceted item. A legend says so.
"""

from collections.abc import Callable
from functools import partial
from textwrap import TextWrapper
from typing import NamedTuple
from xml.sax.saxutils import escape

import numpy as np

from rotary.artwork.outfiles import MADE_BY
from rotary.formulas.arrays import Floats
from rotary.simulate.forecast import SimulationRun
from rotary.simulate.unrolled import Unrolled

MARGIN_MM = 6.0
LINE_MM = 4.2
TIMES = (10, 5, 3, 2)
LARGEST_MM = 180.0  # small artwork is enlarged as long as it stays within this
GREYS = ("#5c5c5c", "#8c8c8c")
OPEN, DOUBLED = "#0072b2", "#d55e00"
DASHES = ' stroke-dasharray="2 1.5"'
WIDEST_LINE = 96  # letters of the sentences under the picture


class _Frame(NamedTuple):
    """From the wall laid flat to the picture: how many times larger, and what is at its left and top [mm]."""

    wall: Unrolled
    times: int
    left: float
    top: float

    def at(self, angle_rad: Floats, s_mm: Floats) -> Floats:
        """Where places of the wall (n,) lie on the picture (n, 2) [mm], downwards."""
        return self.down(self.wall.places_mm(angle_rad, s_mm))

    def down(self, places_mm: Floats) -> Floats:
        """The same of places that lie flat already."""
        x, y = self.times * places_mm[..., 0], self.times * places_mm[..., 1]
        return np.stack([x - self.left + MARGIN_MM, self.top - y + MARGIN_MM], axis=-1)


def picture(found: SimulationRun, wall: Unrolled, accepted_mm: float, title: str) -> str:
    """An SVG text; `accepted_mm` is what is accepted at a seam.

    Raises ValueError where no mark landed.
    """
    hit = np.isfinite(found.marks.angle_rad)
    if not hit.any():
        raise ValueError("no mark landed on the item, so there is nothing to show")
    outline = wall.outline_mm(found.marks.angle_rad[hit], found.marks.s_mm[hit])
    size = np.ptp(outline, axis=0)
    times = next((k for k in TIMES if k * float(size.max()) <= LARGEST_MM), 1)
    frame = _Frame(wall, times, times * float(outline[:, 0].min()), times * float(outline[:, 1].max()))
    high = times * float(size[1])
    scale = [f"Drawn {times} times its size."] if times > 1 else []
    fold = TextWrapper(WIDEST_LINE, break_long_words=False, break_on_hyphens=False).wrap
    lines = [line for sentence in (title, *scale, *found.forecast.says) for line in fold(sentence) or [""]]
    keys = _legend(found)
    letters_mm = 1.9 * max(map(len, [*lines, *("000" + text for _, text in keys)]))
    wide = max(times * float(size[0]), letters_mm) + 2 * MARGIN_MM
    tall = high + 3 * MARGIN_MM + LINE_MM * (len(lines) + len(keys))
    shown = frame.at(found.marks.angle_rad, found.marks.s_mm)
    body = [
        _outline(frame.down(outline)),
        _corners(found, frame, (float(found.marks.s_mm[hit].min()), float(found.marks.s_mm[hit].max()))),
        _slices(found, shown, times),
        _seams(found, frame, accepted_mm),
        _farthest(found, shown),
    ]
    for k, line in enumerate(lines):
        body.append(_words(MARGIN_MM, high + 2 * MARGIN_MM + LINE_MM * (k + 0.8), line, bold=k == 0))
    for k, (sign, text) in enumerate(keys, len(lines)):
        down = high + 2 * MARGIN_MM + LINE_MM * (k + 0.8)
        body += [sign(MARGIN_MM + 2.0, down - 1.1), _words(MARGIN_MM + 6.0, down, text)]
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.2f}mm" height="{tall:.2f}mm" '
        f'viewBox="0 0 {wide:.2f} {tall:.2f}" font-family="sans-serif" font-size="3.4">'
    )
    desc = f"<title>{escape(title)}</title><desc>what a written file will do ({MADE_BY})</desc>"
    return "\n".join([head, desc, '<rect width="100%" height="100%" fill="#ffffff"/>', *body, "</svg>"]) + "\n"


def _words(x: float, y: float, text: str, bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return f'<text x="{x:g}" y="{y:.2f}"{weight}>{escape(text)}</text>'


def _legend(found: SimulationRun) -> list[tuple[Callable[[float, float], str], str]]:
    """The signs of this picture, drawn about a place, with what each means."""

    def box(x: float, y: float) -> str:
        halves = enumerate(GREYS)
        return "".join(
            f'<rect x="{x - 2 + 2 * k:.2f}" y="{y - 1:.2f}" width="2" height="2" fill="{grey}" opacity="0.8"/>'
            for k, grey in halves
        )

    def dot(x: float, y: float, colour: str, fill: str) -> str:
        where = f'cx="{x:.2f}" cy="{y:.2f}" rx="0.7" ry="0.7"'
        return f'<ellipse {where} fill="{fill}" stroke="{colour}" stroke-width="0.15"/>'

    def line(x: float, y: float, dashes: str = "") -> str:
        ends = f'x1="{x - 2:.2f}" x2="{x + 2:.2f}" y1="{y:.2f}" y2="{y:.2f}"'
        return f'<line {ends} stroke="#8c8c8c" stroke-width="0.2"{dashes}/>'

    keys: list[tuple[Callable[[float, float], str], str]] = [(box, "slices in two greys, darker where marked twice")]
    if found.forecast.seam_places:
        keys += [
            (partial(dot, colour=OPEN, fill=OPEN), "seam too far open, larger means more"),
            (partial(dot, colour=DOUBLED, fill=DOUBLED), "seam marked twice, larger means more"),
            (partial(dot, colour=OPEN, fill="none"), "good seam: off by less than a tenth of your limit"),
        ]
    if found.farthest is not None:
        keys.append((partial(dot, colour="#000000", fill="none"), "mark that is farthest off"))
    if found.forecast.flats:
        keys.append((partial(line, dashes=DASHES), "corner between two flats"))
    return [*keys, (line, "the wall laid flat, rim up: every ring at its own width")]


def _outline(places: Floats) -> str:
    points = " ".join(f"{x:.3f},{y:.3f}" for x, y in places.tolist())
    return f'<polygon points="{points}" fill="none" stroke="#8c8c8c" stroke-width="0.2"/>'


def _corners(found: SimulationRun, frame: _Frame, heights_mm: tuple[float, float]) -> str:
    """Where a faceted item's flats meet, over the marks' whole height."""
    flats = found.forecast.flats
    if not flats:
        return ""
    middle = float(found.middles_rad[len(found.middles_rad) // 2])
    reach = np.abs(found.marks.angle_rad[np.isfinite(found.marks.angle_rad)] - frame.wall.middle_rad).max()
    out = []
    for angle in (middle + 2 * np.pi * (np.arange(-flats, flats) + 0.5) / flats).tolist():
        if abs(angle - frame.wall.middle_rad) < reach:
            (x1, y1), (x2, y2) = frame.at(np.full(2, angle), np.array(heights_mm)).tolist()
            ends = f'x1="{x1:.3f}" x2="{x2:.3f}" y1="{y1:.3f}" y2="{y2:.3f}"'
            out.append(f'<line {ends} stroke="#8c8c8c" stroke-width="0.2"{DASHES}/>')
    return "\n".join(out)


def _slices(found: SimulationRun, shown: Floats, times: int) -> str:
    """Each column's rings as one path, as wide as a line is marked, see-through, so that what is doubled is darker."""
    width = found.marked_width_mm * times

    def data(ring: Floats) -> str:
        return f"M{' '.join(f'{px:.3f},{py:.3f}' for px, py in ring.tolist())}z"

    return "\n".join(
        f'<path fill="{GREYS[k % 2]}" stroke="{GREYS[k % 2]}" stroke-width="{width:.4f}" stroke-linejoin="round" '
        f'opacity="0.8" fill-rule="evenodd" d="{"".join(map(data, rings))}"/>'
        for k, rings in found.rings_by_column(shown)
    )


def _seams(found: SimulationRun, frame: _Frame, accepted_mm: float) -> str:
    out = []
    for angle, s, gap in found.seam_places():
        share = abs(gap) / accepted_mm
        colour = OPEN if gap > 0 else DOUBLED
        fill = colour if share > 0.1 else "none"
        size = 0.25 + 0.55 * min(share, 2.0)
        px, py = frame.at(np.array(angle), np.array(s)).tolist()
        out.append(
            f'<circle cx="{px:.3f}" cy="{py:.3f}" r="{size:.3f}" fill="{fill}" stroke="{colour}" stroke-width="0.1"/>'
        )
    return "\n".join(out)


def _farthest(found: SimulationRun, shown: Floats) -> str:
    if found.farthest is None:
        return ""
    x, y = shown[found.farthest].tolist()
    return f'<circle cx="{x:.3f}" cy="{y:.3f}" r="1.5" fill="none" stroke="#000000" stroke-width="0.25"/>'
