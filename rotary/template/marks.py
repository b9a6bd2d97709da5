"""What a template is drawn with: strokes of a few kinds, and words. Lengths in [mm], y towards the rim."""

from collections.abc import Iterable
from typing import Final, Literal, NamedTuple

import numpy as np

from rotary.formulas.arrays import Floats
from rotary.papers.drawing import Line, Words
from rotary.papers.letters import printable, wide_mm

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
        return Line(self.points_mm, width_mm, dashes_mm, kind=self.kind)


ART_SHADE: Final = 0.8
"""How dark the artwork is: pale enough for the lines across it."""


class Figure(NamedTuple):
    """A template on flat paper: its marks, the outline of the paper itself (n, 2) float [mm], the artwork's rings."""

    strokes: tuple[TapeStroke, ...]
    labels: tuple[Words, ...]
    outline_mm: Floats
    art_mm: tuple[Floats, ...] = ()


WIDER: Final = 1.06
"""How much wider another font may run that a program takes for ours (estimate)."""


def label_corners_mm(label: Words) -> Floats:
    """The corners of a label (4, 2) [mm], with room for any usual face."""
    wide, size = WIDER * wide_mm(printable(label.text), label.size_mm, label.face), label.size_mm
    start = {"start": 0.0, "middle": -wide / 2, "end": -wide}[label.anchor]
    corners = np.array([[start, -0.3 * size], [start + wide, -0.3 * size], [start, size], [start + wide, size]])
    cos, sin = np.cos(label.turn_rad), np.sin(label.turn_rad)
    x = label.x_mm + corners[:, 0] * cos - corners[:, 1] * sin
    y = label.y_mm + corners[:, 0] * sin + corners[:, 1] * cos
    # Round the label, not across it.
    return np.stack([x, y], axis=1)[[0, 1, 3, 2]]


def label_box_mm(label: Words) -> tuple[float, float, float, float]:
    """Left, bottom, right, top of a label [mm]."""
    corners = label_corners_mm(label)
    (left, bottom), (right, top) = corners.min(0).tolist(), corners.max(0).tolist()
    return left, bottom, right, top


def on_each_other(one: Words, other: Words) -> bool:
    """Whether two labels overprint each other."""
    left, bottom, right, top = label_box_mm(one)
    far, low, near, high = label_box_mm(other)
    return left < near and far < right and bottom < high and low < top


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
