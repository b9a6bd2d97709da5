"""Rings as an SVG drawing in whole micrometres, one path a slice.

The page is `width` by `height` in mm and its user unit is one micrometre, so every number in the
file is a whole one and no program has to guess a resolution. y points down, as SVG has it.
"""

from collections.abc import Mapping
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import NDArray

from rotary.artwork.dxf_write import TICK_MM
from rotary.artwork.outfiles import MADE_BY
from rotary.artwork.rings import Rings, following

Ints = NDArray[np.int64]

TICKS_ID = "corner-ticks"


def drawing(width_mm: float, height_mm: float, parts: Mapping[str, Rings], title: str, about: str, ticks: bool) -> str:
    """An SVG text: `parts` by id, in mm from the page's middle with y up; `ticks` marks the page's corners.

    >>> from rotary.artwork.rings import rings_from_list
    >>> text = drawing(10, 4, {"slice-1": rings_from_list([[(0, 0), (1, 0), (0, 1)]])}, "a", "b", ticks=False)
    >>> text.splitlines()[4]
    '<path id="slice-1" d="M5000 2000l1000 0 -1000 -1000z"/>'
    """
    width_um, height_um = round(width_mm * 1000), round(height_mm * 1000)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width_um / 1000:g}mm" '
        f'height="{height_um / 1000:g}mm" viewBox="0 0 {width_um} {height_um}" fill="#000000" fill-rule="evenodd">',
        f"<title>{escape(_printable(title))}</title>",
        f"<desc>{escape(_printable(about))} ({MADE_BY})</desc>",
    ]
    middle = np.array([width_um / 2, height_um / 2])
    for name, rings in parts.items():
        lines.append(f'<path id="{name}" d="{path_data(rings, middle)}"/>')
    if ticks:
        lines.append(_corner_ticks(width_um, height_um))
    lines.append("</svg>")
    return "\n".join(lines) + "\n"


def path_data(rings: Rings, middle_um: NDArray[np.float64]) -> str:
    """Rings as closed subpaths of whole micrometres, relative; what rounding leaves without area goes.

    >>> from rotary.artwork.rings import rings_from_list
    >>> path_data(rings_from_list([[(0, 0), (0.5, 0), (1, 0), (1, 0.0001), (0, 1)]]), np.array([0.0, 0.0]))
    'M0 0l1000 0 -1000 -1000z'
    """
    um = np.rint(rings.points_mm * np.array([1000.0, -1000.0]) + middle_um).astype(np.int64)
    um, offsets = _corners_only(um, rings.offsets)
    steps = np.diff(um, axis=0, prepend=um[:1]).ravel().tolist()
    out = []
    for a, b in zip(offsets[:-1].tolist(), offsets[1:].tolist(), strict=True):
        if b - a >= 3:
            out.append(f"M{um[a, 0]} {um[a, 1]}l{' '.join(map(str, steps[2 * a + 2 : 2 * b]))}z")
    return "".join(out)


def _corners_only(um: Ints, offsets: Ints) -> tuple[Ints, Ints]:
    """Whole-micrometre rings without repeated points, points on a straight run, or spikes that go out and come back.

    Rounding leaves such points, and a cut through a corner of the artwork leaves spikes along the seam.
    """
    while len(um):
        after = following(offsets)
        keep = np.any(um != um[after], axis=1)
        if keep.all():
            # With no point repeated, neighbours may go at once: all that lies between them is on one line.
            before = np.empty_like(after)
            before[after] = np.arange(len(after))
            come, go = um - um[before], um[after] - um
            keep = come[:, 0] * go[:, 1] != come[:, 1] * go[:, 0]
            if keep.all():
                break
        counts = np.add.reduceat(keep.astype(np.int64), offsets[:-1])
        um, counts = um[keep], counts[counts > 0]
        offsets = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
    return um, offsets


def _corner_ticks(width_um: int, height_um: int) -> str:
    arm = min(round(TICK_MM * 1000), width_um // 4, height_um // 4)
    corners = [(0, 0, 1, 1), (width_um, 0, -1, 1), (width_um, height_um, -1, -1), (0, height_um, 1, -1)]
    data = "".join(f"M{x + sx * arm} {y}l{-sx * arm} 0 0 {sy * arm}" for x, y, sx, sy in corners)
    return f'<path id="{TICKS_ID}" fill="none" stroke="#7f7f7f" stroke-width="20" d="{data}"/>'


def _printable(text: str) -> str:
    """XML 1.0 has no place for control characters."""
    return "".join(c if c >= " " or c in "\t\n" else " " for c in text if c not in "\ufffe\uffff")
