"""What a template is drawn with: strokes of a few kinds, and words. Lengths in [mm], y towards the rim."""

from collections.abc import Iterable
from typing import Final, Literal, NamedTuple

import numpy as np

from rotary.formulas.arrays import Floats
from rotary.papers.drawing import Line, Words

Kind = Literal[
    "cut", "flap", "frame", "centre", "level", "front", "handle", "weld", "fold", "tick", "bar", "cross", "trim"
]


# Kinds are told apart by dashes and width, so that any printer shows them.
PENS: Final[dict[Kind, tuple[float, tuple[float, ...]]]] = {
    "cut": (0.25, ()),
    "flap": (0.18, (2.0, 1.0)),
    "frame": (0.35, ()),
    "centre": (0.18, (6.0, 1.5, 1.0, 1.5)),
    "level": (0.18, (3.0, 1.5)),
    "front": (0.18, (6.0, 1.5, 1.0, 1.5, 1.0, 1.5)),
    "handle": (0.5, (1.5, 1.0)),
    "weld": (0.25, (0.8, 0.8)),
    "fold": (0.18, (1.0, 1.0)),
    "tick": (0.12, ()),
    "bar": (0.18, ()),
    "cross": (0.12, ()),
    "trim": (0.1, (0.5, 1.5)),
}
"""Width of a line of each kind and its dashes [mm]; no dashes: drawn through."""


class TapeStroke(NamedTuple):
    """A line through points (n, 2) float [mm]."""

    kind: Kind
    points_mm: Floats

    @property
    def line(self) -> Line:
        """As papers draw it."""
        width_mm, dashes_mm = PENS[self.kind]
        return Line(self.points_mm, width_mm, dashes_mm)


class Figure(NamedTuple):
    """A template on flat paper: its marks, and the outline of the paper itself (n, 2) float [mm]."""

    strokes: tuple[TapeStroke, ...]
    labels: tuple[Words, ...]
    outline_mm: Floats


WIDE_SHARE: Final = 0.6
"""Width of a letter over its size, on the safe side for the usual sans-serif faces (estimate)."""


def label_box_mm(label: Words) -> tuple[float, float, float, float]:
    """Left, bottom, right, top of a label [mm], with room for any usual face."""
    wide, size = WIDE_SHARE * label.size_mm * len(label.text), label.size_mm
    start = {"start": 0.0, "middle": -wide / 2, "end": -wide}[label.anchor]
    corners = np.array([[start, -0.3 * size], [start + wide, -0.3 * size], [start, size], [start + wide, size]])
    cos, sin = np.cos(label.turn_rad), np.sin(label.turn_rad)
    x = label.x_mm + corners[:, 0] * cos - corners[:, 1] * sin
    y = label.y_mm + corners[:, 0] * sin + corners[:, 1] * cos
    return float(x.min()), float(y.min()), float(x.max()), float(y.max())


def box_mm(strokes: Iterable[TapeStroke], labels: Iterable[Words]) -> tuple[float, float, float, float]:
    """Left, bottom, right, top of all that is drawn [mm]."""
    lows, highs = [], []
    for stroke in strokes:
        lows.append(stroke.points_mm.min(0))
        highs.append(stroke.points_mm.max(0))
    for label in labels:
        left, bottom, right, top = label_box_mm(label)
        lows.append(np.array([left, bottom]))
        highs.append(np.array([right, top]))
    (left, bottom), (right, top) = np.min(lows, axis=0).tolist(), np.max(highs, axis=0).tolist()
    return left, bottom, right, top
