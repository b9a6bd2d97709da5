"""A sized inscription as ink: letters put down on the flat wall, on a flat, or round the end face."""

from typing import NamedTuple

import numpy as np

from rotary.artwork.overlay import Shape, clean_rings, joined_areas
from rotary.artwork.reshape import reshaped
from rotary.artwork.rings import Rings, bounds_mm, moved, turned
from rotary.inscription.setting import SetLine
from rotary.inscription.sizes import SizedText
from rotary.wording import InscriptionWish


class InscriptionInk(NamedTuple):
    """Ink with (0, 0) in the middle of its box [mm]; `begin_mm` is where, from there, the first line's words begin."""

    rings: Rings
    begin_mm: float


def ink_on_wall(made: SizedText, wish: InscriptionWish, text: int = 0) -> InscriptionInk:
    """The ink of a text on the wall laid flat, u to the right and v up; lines in the middle above each other.

    On the axis, or lengthwise on a flat, it is turned by a quarter: its lines run from the foot to the rim.

    >>> from rotary.inscription.sizes import sized_text
    >>> from rotary.item import Item
    >>> nut = Item.model_validate({"name": "nut", "measurements": [
    ...     {"at": "0 mm", "across": "22 mm"}, {"at": "18 mm", "across": "22 mm"}]})
    >>> asked = InscriptionWish(text="HERON", around="arc", letter_height_mm=3.0)
    >>> left, bottom, right, top = bounds_mm(ink_on_wall(sized_text(asked, nut), asked).rings)
    >>> round(top - bottom, 2)
    3.09
    """
    height, shapes, starts = made.facts.letter_height_mm, [], []
    first = sum(len(lines) for lines in made.texts[:text])
    for i, line in enumerate(made.texts[text]):
        fact = made.facts.lines[first + i]
        starts.append(-fact.length_mm / 2)
        shapes += _line(line, height, fact.spacing_mm, starts[-1], -i * wish.line_pitch * height)
    rings = _region(shapes)
    left, bottom, right, top = bounds_mm(rings)
    middle_u = (left + right) / 2
    rings = moved(rings, -middle_u, -(bottom + top) / 2)
    if wish.around == "axis" or (wish.around == "flats" and wish.lengthwise):
        rings = _quarter(rings)
    return InscriptionInk(rings, starts[0] - middle_u)


def ink_on_end(made: SizedText, wish: InscriptionWish) -> Rings:
    """The ink round the end face as it is looked at, its axis at (0, 0), the beginning at `start_rad` clockwise."""
    height, shapes = made.facts.letter_height_mm, []
    for line, fact in zip(made.texts[0], made.facts.lines, strict=True):
        # Words that go round begin at the start; an arc has its middle there.
        begin = 0.0 if wish.arc_rad is None else -fact.arc_rad / 2
        for letter, pen, before in zip(line.letters, line.pen.tolist(), line.before.tolist(), strict=True):
            if letter.shape is None:
                continue
            middle = (letter.bounds[0] + letter.bounds[2]) / 2
            along = (pen + middle) * height + before * fact.spacing_mm
            angle = wish.start_rad + begin + along / fact.radius_mm
            shapes.append(_round(letter.shape, middle, height, fact.radius_mm, angle))
    return _region(shapes)


def _line(line: SetLine, height: float, spacing: float, start: float, up: float) -> list[Shape]:
    return [
        _put(letter.shape, height, start + pen * height + before * spacing, up)
        for letter, pen, before in zip(line.letters, line.pen.tolist(), line.before.tolist(), strict=True)
        if letter.shape is not None
    ]


def _put(shape: Shape, scale: float, right: float, up: float) -> Shape:
    return reshaped(shape, lambda points: points * scale + np.array([right, up]))


def _round(shape: Shape, middle: float, scale: float, radius: float, angle: float) -> Shape:
    there = np.array([-middle * scale, radius])
    return reshaped(shape, lambda points: turned(points * scale + there, -angle))


def _region(shapes: list[Shape]) -> Rings:
    return clean_rings(joined_areas(shapes))


def _quarter(rings: Rings) -> Rings:
    """Turned anticlockwise by a quarter."""
    return Rings(np.stack([-rings.points_mm[:, 1], rings.points_mm[:, 0]], axis=1), rings.offsets)
