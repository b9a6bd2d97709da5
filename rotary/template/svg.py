"""A template as an SVG drawing at true size, in one piece: for a wide printer, or to be cut by a plotter."""

import math

from rotary.papers.drawing import Area, Mark, PaperPicture, moved
from rotary.papers.svg import svg_text as picture_text
from rotary.template.marks import ART_SHADE, Figure, box_mm, label_corners_mm

EDGE_MM = 5.0


def svg_text(figure: Figure, title: str) -> str:
    """The whole template on one page in whole micrometres; what it is drawn with has its kind as a class.

    >>> import numpy as np
    >>> from rotary.template.marks import TapeStroke
    >>> square = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 5.0]])
    >>> text = svg_text(Figure((TapeStroke("cut", square),), (), square), "a")
    >>> 'width="20mm" height="15mm" viewBox="0 0 20000 15000"' in text
    True
    """
    left, bottom, right, top = box_mm(figure.strokes, figure.labels)
    width, height = (math.ceil(1000 * (side + 2 * EDGE_MM)) / 1000 for side in (right - left, top - bottom))
    marks: list[Mark] = [Area(figure.art_mm, ART_SHADE, "artwork")] if figure.art_mm else []
    marks += [stroke.line for stroke in figure.strokes]
    # No line runs through words.
    marks += [Area((label_corners_mm(label),), 1.0) for label in figure.labels]
    marks += figure.labels
    placed = moved(marks, EDGE_MM - left, height - EDGE_MM - top)
    says = "wrap template at true size: never scale it."
    return picture_text(PaperPicture(width, height, placed, title, says), embed=False)
