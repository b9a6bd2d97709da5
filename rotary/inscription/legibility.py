"""Whether cut letters can be read: strokes and counters against the spot, sizes against published guidance.

::

      _____
     |  _  |   stroke: the widest disc that reaches every part of the ink        (opening)
     | |_| |   counter: the widest disc that reaches every part of the white     (closing)
     |  ___|
     |_____    both in heights of a capital, found once a letter; a spot of d mm needs letters of d / width mm
"""

from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from itertools import pairwise
from math import degrees, pi, tan
from typing import Final, NamedTuple

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.letters import Letter
from rotary.artwork.overlay import Shape
from rotary.artwork.reshape import shifted
from rotary.errors import RotaryError
from rotary.inscription.models import Check, Inscription, State
from rotary.inscription.setting import SetLine, set_lines
from rotary.wording import InscriptionWish

NARROWEST: Final = 0.01
WIDEST: Final = 0.5  # of a capital's height: no letter has thinner or wider strokes that matter
HALVINGS: Final = 7  # finds a width to 2 in 100
SIMPLE: Final = 0.002  # of a capital's height
QUARTER: Final = 6
SLOT: Final = 2.5
"""What is lost counts from this length on, in widths of the disc: a wedge of 23° or more loses less at any width."""
ARM: Final = 0.75
"""Lost ink counts from this area on, in squares of the disc's width: a corner of 27° or more loses less."""

SMALLEST_MARKED_MM: Final = 2.032
"""Smallest character of a durable mark, MIL-STD-130 [milstd130]."""

READING_SHARE: Final = 200.0
"""Reading distance over the height of a letter: [letterheights]."""

READING_RAD: Final = 20 / 60 * pi / 180
"""Angle under which a letter is read with ease, 20 minutes of arc [letterheights]."""

ISO_SIZES_MM: Final = (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)
"""Nominal heights of lettering, ISO 3098 [iso3098]; strokes of type B are a tenth of them."""

USUAL: Final = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789.,-&"
"""Letters that are made ready before they are typed."""

LINES_A_STROKE: Final = 2.0
"""Hatch lines that a stroke should hold, so that its edges are even: common practice, no source."""


class MarkCheck(NamedTuple):
    """What marks: width of one marked line, and the distance between hatch lines [mm].

    `slices` and what comes after them are of a turned part: sag of a slice and the lens's depth of focus [mm], the
    angle between beam and wall at a slice's edge [rad] and the largest that is accepted.
    """

    spot_mm: float
    line_spacing_mm: float
    slices: int = 0
    slice_mm: float = 0.0
    edge_drop_mm: float = 0.0
    depth_mm: float = 0.0
    incidence_rad: float = 0.0
    most_incidence_rad: float = 0.0


class Widths(NamedTuple):
    """Narrowest stroke and narrowest counter or gap of a letter, in heights of a capital."""

    stroke: float
    counter: float


@lru_cache(maxsize=8192)
def widths_of(shape: Shape) -> Widths:
    """Narrowest stroke and counter of a letter a capital of which is 1 high.

    >>> frame = shapely.box(0, 0, 1, 1) - shapely.box(0.1, 0.1, 0.5, 0.9)
    >>> [round(width, 1) for width in widths_of(frame)]
    [0.1, 0.4]
    """
    simple = shapely.simplify(shape, SIMPLE)
    return Widths(_largest(simple, _thin), _largest(simple, _closed))


def _largest(shape: Shape, lost: Callable[[Shape, float], bool]) -> float:
    low, high = float(NARROWEST), float(WIDEST)
    if not lost(shape, high):
        return high
    for _ in range(HALVINGS):
        middle = float((low * high) ** 0.5)
        low, high = (low, middle) if lost(shape, middle) else (middle, high)
    return float((low * high) ** 0.5)


def _thin(shape: Shape, disc: float) -> bool:
    inner = shapely.buffer(shape, -disc / 2, quad_segs=QUARTER)
    if inner.is_empty or np.any(~shapely.intersects(shapely.get_parts(shape), inner)):
        return True  # the letter, or its dot, is gone
    left = shapely.difference(shape, shapely.buffer(inner, disc / 2 * 1.02, quad_segs=QUARTER))
    # Short arms of heavy letters are no longer than the disc is wide, but they have the area of strokes.
    return bool(np.any(shapely.area(shapely.get_parts(left)) > ARM * disc**2)) or _reaches(left, disc)


def _closed(shape: Shape, disc: float) -> bool:
    holes = [shapely.Polygon(ring) for part in shapely.get_parts(shape) for ring in part.interiors]
    if holes and np.any(shapely.is_empty(shapely.buffer(holes, -disc / 2, quad_segs=QUARTER))):
        return True
    grown = shapely.buffer(shape, disc / 2, quad_segs=QUARTER)
    back = shapely.buffer(grown, -disc / 2, quad_segs=QUARTER)
    return _reaches(shapely.difference(back, shapely.buffer(shape, disc * 0.02, quad_segs=QUARTER)), disc)


def _reaches(left: Shape, disc: float) -> bool:
    """Whether a part much longer than the disc is left: the rest are corners and wedges, whatever the disc."""
    parts = shapely.get_parts(left)
    boxes = shapely.bounds(parts)
    # A part's box is an upper bound of its reach: most need no closer look.
    long = np.hypot(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1]) > SLOT * disc
    return bool(np.any(2 * shapely.minimum_bounding_radius(parts[long]) > SLOT * disc))


class _Worst(NamedTuple):
    sign: str
    width: float


def make_ready(wish: InscriptionWish) -> None:
    """Have the usual letters of a wish's face outlined and measured, so that no key has to wait for one."""
    _make_ready(wish.face, wish.font, wish.weight, wish.italic, wish.stroke)


@lru_cache(maxsize=16)
def _make_ready(face: str, font: str | None, weight: int, italic: bool, stroke: float) -> None:
    wish = InscriptionWish().but(face=face, font=font, weight=weight, italic=italic, stroke=stroke)
    for sign in USUAL:
        try:
            lines = set_lines(wish, sign)
        except RotaryError:
            # A letter that the font lacks, or a font that can't be read, is told when it is asked for.
            continue
        for letter in (letter for line in lines for letter in line.letters if letter.shape is not None):
            widths_of(letter.shape)


def _letters(texts: Iterable[Sequence[SetLine]]) -> list[Letter]:
    known: dict[str, Letter] = {}
    for lines in texts:
        for line in lines:
            for letter in line.letters:
                if letter.shape is not None:
                    known.setdefault(letter.sign, letter)
    return list(known.values())


def _worst(letters: list[Letter], part: str, narrowed: float = 1.0) -> _Worst:
    found = (_Worst(one.sign, narrowed * getattr(widths_of(one.shape), part)) for one in letters)
    return min(found, key=lambda worst: worst.width)


def least_height_mm(texts: Sequence[Sequence[SetLine]], mark: MarkCheck) -> float:
    """Smallest capital at which every stroke takes the spot, and every counter stays open [mm]."""
    letters = _letters(texts)
    return max(mark.spot_mm / _worst(letters, "stroke").width, 2 * mark.spot_mm / _worst(letters, "counter").width)


def checks_of(
    wish: InscriptionWish, facts: Inscription, texts: Sequence[Sequence[SetLine]], mark: MarkCheck
) -> tuple[Check, ...]:
    """Every condition of legibility at the size that was found."""
    height, letters = facts.letter_height_mm, _letters(texts)
    # Where letters follow a wall that draws in, the narrowest decide.
    stroke, counter = (_worst(letters, part, facts.narrowed) for part in ("stroke", "counter"))
    checks = [
        _stroke(height, stroke, mark, wish),
        _counter(height, counter, mark),
        *_spacing(height * facts.narrowed, texts, facts, mark),
        _hatch(height, stroke, mark),
        *_guidance(wish, height),
    ]
    if mark.slices:
        checks += _slices(mark)
    return tuple(check for check in checks if check is not None)


def _check(name: str, holds: bool, letter: str, says: str, cure: str, soft: bool = False) -> Check:
    state: State = "passes" if holds else "advice" if soft else "fails"
    return Check.model_construct(name=name, state=state, letter=letter, says=says, cure="" if holds else cure)


def _stroke(height: float, worst: _Worst, mark: MarkCheck, wish: InscriptionWish) -> Check:
    stroke = worst.width * height
    cure = f"letters of {mark.spot_mm / worst.width:.2f} mm" + (
        f", weight {min(900, wish.weight + 300)}, or single strokes" if wish.face == "outline" else ", or wider strokes"
    )
    says = (
        f'the thinnest stroke, in "{worst.sign}", is {stroke:.3f} mm wide. A laser line is {mark.spot_mm:.3f} mm wide'
        + (", so the stroke comes out too fat" if stroke < mark.spot_mm else "")
    )
    return _check("strokes", stroke >= mark.spot_mm, worst.sign, says, cure)


def _counter(height: float, worst: _Worst, mark: MarkCheck) -> Check:
    # An edge is cut half a spot beyond the line it is drawn on, on both sides of a counter.
    left = worst.width * height - mark.spot_mm
    says = (
        f'the narrowest hole in a letter, in "{worst.sign}", is drawn {worst.width * height:.3f} mm wide. After '
        f"marking {max(left, 0):.3f} mm of it are left"
    )
    cure = f"letters of {2 * mark.spot_mm / worst.width:.2f} mm, a lighter weight, or single strokes"
    return _check("holes", left >= mark.spot_mm * (1 - 1e-9), worst.sign, says, cure)


def _spacing(height: float, texts: Sequence[Sequence[SetLine]], facts: Inscription, mark: MarkCheck) -> list[Check]:
    """White between neighbours, at the spacing that each line has."""
    found: list[_Pair] = []
    need = 2 * mark.spot_mm / height
    every = [line for lines in texts for line in lines]
    for line, fact in zip(every, facts.lines, strict=True):
        seen = [i for i, letter in enumerate(line.letters) if letter.shape is not None]
        for i, j in pairwise(seen):
            if line.before[i] == line.before[j]:
                continue  # a mark on its letter
            step = (
                line.pen[j] - line.pen[i] + (line.before[j] - line.before[i]) * fact.spacing_mm / facts.letter_height_mm
            )
            one, other = line.letters[i], line.letters[j]
            if step + other.bounds[0] - one.bounds[2] <= 1.5 * need:
                white = _white(one.shape, other.shape, round(float(step), 3))
                found.append(_Pair(white, one, other, float(step), fact.spacing_mm / facts.letter_height_mm))
    if not found:
        return []
    worst = min(found, key=lambda pair: pair.white)
    signs = worst.one.sign + worst.other.sign
    says = (
        f'the narrowest gap between letters, in "{signs}", is {worst.white * height:.3f} mm wide. It must '
        f"be at least {2 * mark.spot_mm:.3f} mm"
    )
    holds = worst.white >= need
    cure = "" if holds else f"letter spacing of {worst.tracking + _apart(worst, need):.3f} × height"
    return [_check("spacing", holds, signs, says, cure)]


class _Pair(NamedTuple):
    """Two neighbours, the white between them, from pen to pen, and the tracking there is, in heights of a capital."""

    white: float
    one: Letter
    other: Letter
    step: float
    tracking: float


def _apart(pair: _Pair, need: float) -> float:
    """How much farther apart two letters have to stand to keep that white; each try leaves less to go."""
    more = 0.0
    for _ in range(40):
        short = need - _white(pair.one.shape, pair.other.shape, round(pair.step + more, 3))
        if short <= 0:
            break
        more += max(short, 0.001)
    return more


@lru_cache(maxsize=16384)
def _white(one: Shape, other: Shape, step: float) -> float:
    return float(shapely.distance(one, shifted(other, step, 0.0)))


def _hatch(height: float, worst: _Worst, mark: MarkCheck) -> Check:
    lines = worst.width * height / mark.line_spacing_mm
    says = (
        f'the thinnest stroke, in "{worst.sign}", takes {lines:.1f} fill lines {mark.line_spacing_mm:g} mm apart. '
        f"Clean edges need at least {LINES_A_STROKE:g}"
    )
    cure = (
        f"lines {worst.width * height / LINES_A_STROKE:.3f} mm apart, an outline round each letter, or single strokes"
    )
    return _check("lines", lines >= LINES_A_STROKE, worst.sign, says, cure, soft=True)


def _guidance(wish: InscriptionWish, height: float) -> list[Check]:
    says = (
        f"capitals are {height:.2f} mm high. A lasting part number should have at least {SMALLEST_MARKED_MM} mm (US "
        "standard MIL-STD-130). For names less will do"
    )
    checks = [
        _check("part numbers", height >= SMALLEST_MARKED_MM, "", says, f"letters of {SMALLEST_MARKED_MM} mm", soft=True)
    ]
    if wish.read_at_mm is not None:
        need = max(wish.read_at_mm / READING_SHARE, 2 * wish.read_at_mm * tan(READING_RAD / 2))
        says = f"to be read with ease {wish.read_at_mm:g} mm away, capitals must be {need:.2f} mm high"
        checks.append(
            _check("reading distance", height >= need, "", says, f"letters of {need:.2f} mm, or come nearer", True)
        )
    else:
        far = height / (2 * tan(READING_RAD / 2))
        says = f"people read the words with ease from up to {far:.0f} mm away"
        checks.append(_check("reading distance", True, "", says, ""))
    if wish.face != "outline":
        near = min(ISO_SIZES_MM, key=lambda size: abs(size - height))
        says = (
            f"strokes are usually a tenth of a capital's height wide, yours are {wish.stroke:.3g}. The nearest "
            f"standard height is {near:g} mm (ISO 3098)"
        )
        checks.append(_check("stroke width", abs(wish.stroke - 0.1) < 1e-6, "", says, "a stroke of 0.1", soft=True))
    return checks


def _slices(mark: MarkCheck) -> list[Check]:
    says = (
        f"each of the {mark.slices} slices is {mark.slice_mm:.2f} mm wide. At its edges the beam meets the wall "
        f"{degrees(mark.incidence_rad):.1f}° off square. You allow {degrees(mark.most_incidence_rad):.1f}°"
    )
    checks = [_check("beam's angle", mark.incidence_rad <= mark.most_incidence_rad + 1e-9, "", says, "narrower slices")]
    says = (
        f"the edges of a slice lie {mark.edge_drop_mm:.2f} mm below its middle. Lines stay in focus down to "
        f"{mark.depth_mm:.2f} mm"
    )
    checks.append(_check("slice edges", mark.edge_drop_mm <= mark.depth_mm, "", says, "narrower slices"))
    return checks
