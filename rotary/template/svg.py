"""A template as an SVG drawing at true size, in one piece: for a wide printer, or to be cut by a plotter."""

import math
from xml.sax.saxutils import escape

import numpy as np

from rotary.artwork.outfiles import MADE_BY
from rotary.errors import single_line
from rotary.papers.drawing import Words
from rotary.template.marks import ART_SHADE, PENS, Figure, TapeStroke, box_mm, label_corners_mm

EDGE_MM = 5.0


def svg_text(figure: Figure, title: str) -> str:
    """The whole template on one page in whole micrometres.

    >>> import numpy as np
    >>> square = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 5.0]])
    >>> text = svg_text(Figure((TapeStroke("cut", square),), (), square), "a")
    >>> text.splitlines()[1].split(" ", 3)[3]
    'width="20mm" height="15mm" viewBox="0 0 20000 15000" fill="none">'
    """
    left, bottom, right, top = box_mm(figure.strokes, figure.labels)
    width, height = (math.ceil(1000 * (side + 2 * EDGE_MM)) for side in (right - left, top - bottom))
    origin = np.array([left - EDGE_MM, top + EDGE_MM])
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width / 1000:g}mm" '
        f'height="{height / 1000:g}mm" viewBox="0 0 {width} {height}" fill="none">',
        f"<title>{escape(single_line(title))}</title>",
        f"<desc>wrap template, true size, not to be scaled ({MADE_BY})</desc>",
    ]
    if figure.art_mm:
        grey = f"#{round(255 * ART_SHADE):02x}" + 2 * f"{round(255 * ART_SHADE):02x}"
        data = "".join(f"{_data(ring, origin)}z" for ring in figure.art_mm)
        lines.append(f'<path class="artwork" fill="{grey}" fill-rule="evenodd" d="{data}"/>')
    lines += [_path(stroke, origin) for stroke in figure.strokes]
    lines += [f'<path fill="#fff" d="{_data(label_corners_mm(label), origin)}z"/>' for label in figure.labels]
    lines += [_text(label, origin) for label in figure.labels]
    return "\n".join([*lines, "</svg>", ""])


def _data(points_mm: np.ndarray, origin: np.ndarray) -> str:
    um = np.rint((points_mm - origin) * np.array([1000.0, -1000.0])).astype(np.int64)
    return "M" + "L".join(f"{x} {y}" for x, y in um.tolist())


def _path(stroke: TapeStroke, origin: np.ndarray) -> str:
    width_mm, dashes_mm = PENS[stroke.kind]
    dashes = " ".join(f"{1000 * dash:.0f}" for dash in dashes_mm)
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    pen = f'class="{stroke.kind}" stroke="#000" stroke-width="{1000 * width_mm:.0f}"{dashed}'
    return f'<path {pen} d="{_data(stroke.points_mm, origin)}"/>'


def _text(label: Words, origin: np.ndarray) -> str:
    x, y = 1000 * (label.x_mm - origin[0]), 1000 * (origin[1] - label.y_mm)
    turned = f' transform="rotate({-math.degrees(label.turn_rad):.3f} {x:.0f} {y:.0f})"' if label.turn_rad else ""
    return (
        f'<text x="{x:.0f}" y="{y:.0f}" font-family="Noto Sans, sans-serif" '
        f'font-size="{1000 * label.size_mm:.0f}" fill="#000" text-anchor="{label.anchor}"{turned}>'
        f"{escape(single_line(label.text))}</text>"
    )
