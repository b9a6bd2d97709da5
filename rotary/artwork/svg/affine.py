"""Transforms of the plane: (a, b, c, d, e, f) takes x, y to a x + c y + e, b x + d y + f."""

import re
from collections.abc import Callable
from math import cos, degrees, hypot, isfinite, radians, sin, sqrt, tan
from typing import Final

from rotary.artwork.svg.lengths import NUMBER, PX_IN, bounded, numbers

Affine = tuple[float, float, float, float, float, float]
Box = tuple[float, float, float, float]
SAME: Final[Affine] = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)

_CALL: Final = re.compile(r"\s*,?\s*([a-zA-Z]+)\s*\(([^)]*)\)")
_ALIGN: Final = re.compile(r"x(Min|Mid|Max)Y(Min|Mid|Max)")
_SHARE_OF: Final = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}


def after(outer: Affine, inner: Affine) -> Affine:
    """`inner` first, then `outer`.

    >>> after((2, 0, 0, 2, 0, 0), (1, 0, 0, 1, 3, 0))
    (2, 0, 0, 2, 6, 0)
    """
    a, b, c, d, e, f = outer
    g, h, i, j, k, m = inner
    return a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j, a * k + c * m + e, b * k + d * m + f


def moved_by(x: float, y: float) -> Affine:
    """A shift.

    >>> moved_by(1, 2)
    (1.0, 0.0, 0.0, 1.0, 1, 2)
    """
    return 1.0, 0.0, 0.0, 1.0, x, y


def turned(angle_rad: float) -> Affine:
    """A rotation about the origin, from x towards y.

    >>> turned(0.0)
    (1.0, 0.0, -0.0, 1.0, 0.0, 0.0)
    """
    c, s = cos(angle_rad), sin(angle_rad)
    return c, s, -s, c, 0.0, 0.0


def inverse(m: Affine) -> Affine:
    """What undoes a transform.

    >>> inverse((2, 0, 0, 4, 2, 4))
    (0.5, 0.0, 0.0, 0.25, -1.0, -1.0)
    """
    a, b, c, d, e, f = m
    whole = a * d - b * c or 1e-300
    return d / whole, -b / whole, -c / whole, a / whole, (c * f - d * e) / whole, (b * e - a * f) / whole


def largest_stretch(m: Affine) -> float:
    """By how much the transform lengthens at most (its larger singular value).

    >>> largest_stretch((3, 0, 0, 2, 0, 0))
    3.0
    """
    a, b, c, d = m[:4]
    return (hypot(a + d, b - c) + hypot(a - d, b + c)) / 2


def keeps_shape(m: Affine) -> bool:
    """Whether circles stay circles.

    >>> keeps_shape((0, 2, -2, 0, 5, 5)), keeps_shape((1, 0, 0.5, 1, 0, 0))
    (True, False)
    """
    a, b, c, d = m[:4]
    size = hypot(a, b)
    return min(hypot(a - d, b + c), hypot(a + d, b - c)) <= 1e-9 * size


def mean_stretch(m: Affine) -> float:
    """Square root of what areas are multiplied by.

    >>> mean_stretch((8, 0, 0, 2, 0, 0))
    4.0
    """
    return sqrt(abs(m[0] * m[3] - m[1] * m[2]))


def _rotate(v: list[float]) -> Affine:
    m = turned(radians(v[0]))
    return m if len(v) < 3 else after(after(moved_by(v[1], v[2]), m), moved_by(-v[1], -v[2]))


_KINDS: Final[dict[str, tuple[tuple[int, ...], Callable[[list[float]], Affine]]]] = {
    "matrix": ((6,), lambda v: (v[0], v[1], v[2], v[3], v[4], v[5])),
    "translate": ((1, 2), lambda v: moved_by(v[0], v[1] if len(v) > 1 else 0.0)),
    "translateX": ((1,), lambda v: moved_by(v[0], 0.0)),
    "translateY": ((1,), lambda v: moved_by(0.0, v[0])),
    "scale": ((1, 2), lambda v: (v[0], 0.0, 0.0, v[-1], 0.0, 0.0)),
    "scaleX": ((1,), lambda v: (v[0], 0.0, 0.0, 1.0, 0.0, 0.0)),
    "scaleY": ((1,), lambda v: (1.0, 0.0, 0.0, v[0], 0.0, 0.0)),
    "rotate": ((1, 3), _rotate),
    "skewX": ((1,), lambda v: (1.0, 0.0, tan(radians(v[0])), 1.0, 0.0, 0.0)),
    "skewY": ((1,), lambda v: (1.0, tan(radians(v[0])), 0.0, 1.0, 0.0, 0.0)),
    "skew": ((1, 2), lambda v: (1.0, tan(radians(v[1])) if len(v) > 1 else 0.0, tan(radians(v[0])), 1.0, 0.0, 0.0)),
}


def affine_from_text(text: str) -> Affine | None:
    """A transform list; None where it is not one.

    >>> affine_from_text("translate(10) scale(2)")
    (2.0, 0.0, 0.0, 2.0, 10.0, 0.0)
    """
    text, out, at = text.strip(), SAME, 0
    if text in ("", "none"):
        return SAME
    while at < len(text):
        call = _CALL.match(text, at)
        if call is None or call[1] not in _KINDS:
            return None
        counts, make = _KINDS[call[1]]
        values = _values(call[2])
        if values is None or len(values) not in counts:
            return None
        out, at = after(out, make(values)), call.end()
    return out if all(map(isfinite, out)) else None


def _values(text: str) -> list[float] | None:
    """Arguments: plain numbers, or CSS lengths [user units] and angles [degrees]."""
    if not re.search(r"[a-df-zA-DF-Z%]", text):
        return numbers(text)
    out = []
    for part in filter(None, re.split(r"[\s,]+", text)):
        found = NUMBER.match(part)
        if not found:
            return None
        value, unit = bounded(found.group()), part[found.end() :].lower()
        factor = {"deg": 1.0, "rad": degrees(1.0), "turn": 360.0, "grad": 0.9}.get(unit, PX_IN.get(unit))
        if factor is None:
            return None
        out.append(value * factor)
    return out


def view_box(text: str | None) -> Box | None:
    """x, y, width, height of a viewBox attribute; None where it gives no area.

    >>> view_box("0 0 24 24"), view_box("0 0 0 -5")
    ((0.0, 0.0, 24.0, 24.0), None)
    """
    if not text:
        return None
    v = numbers(text)
    if len(v) != 4 or not all(map(isfinite, v)) or v[2] <= 0 or v[3] <= 0:
        return None
    return v[0], v[1], v[2], v[3]


def fitted(box: Box, align: str, port: Box) -> Affine:
    """What lays the viewBox into the viewport `port` (x, y, width, height), as preserveAspectRatio asks.

    >>> fitted((0, 0, 10, 10), "", (0, 0, 40, 20))
    (2.0, 0.0, 0.0, 2.0, 10.0, 0.0)
    """
    x, y, width, height = port
    across, up = width / box[2], height / box[3]
    words = [word for word in align.split() if word != "defer"]
    if words and words[0] == "none":
        return across, 0.0, 0.0, up, x - box[0] * across, y - box[1] * up
    found = _ALIGN.fullmatch(words[0]) if words else None
    share_x, share_y = (_SHARE_OF[word] for word in found.groups()) if found else (0.5, 0.5)
    scale = max(across, up) if words[1:2] == ["slice"] else min(across, up)
    left = x - box[0] * scale + share_x * (width - box[2] * scale)
    top = y - box[1] * scale + share_y * (height - box[3] * scale)
    return scale, 0.0, 0.0, scale, left, top
