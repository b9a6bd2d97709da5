"""The largest letters that fit a part: closed forms for walls and flats, a search for the end face.

::

      barrel, laid flat                     flat                  end face, from its end
    +------------------------+        +-------------+            . - ~ - .
    |  margin                |        |  width of   |          '   H E R   '     baseline on radius R:
    | H E R O N   C L U B    |        |  the flat   |         |  .       .  |    corners within the rim,
    |                        |        |             |         |    bore     |    feet outside the bore
    +------------------------+        +-------------+          .           .
     once round, or the arc                                      ' - . - '
"""

from collections.abc import Iterator, Sequence
from math import floor, pi, sqrt
from typing import Final, NamedTuple

import numpy as np

from rotary.errors import Fault, Predicate, Refused, both, refuse, refuse_all
from rotary.formulas import circle, polygon
from rotary.formulas.revolution import arc_from_height_mm, height_from_arc_mm, radius_mm
from rotary.inscription.legibility import MarkCheck, checks_of, least_height_mm
from rotary.inscription.models import Governs, Inscription, LineFact
from rotary.inscription.setting import SetLine, set_lines
from rotary.item import Item, fitted_shape, height_from_s_mm, s_from_height_mm
from rotary.shape import Shape
from rotary.wording import InscriptionWish

SEEN_RAD: Final = 2 * pi / 3
"""What one eye far in front reads of a round wall: 60 degrees to either side, where letters look half as wide."""

ARC_RAD: Final = 2 * pi / 3
"""How far an arc reaches where nothing is said: as far as it is seen from the front."""

WIDE_GAPS: Final = 0.8
"""Spacing from which a line falls apart into letters, in heights of a capital (estimate)."""

FINEST_MM: Final = 0.01  # heights are rounded down to this


class Room(NamedTuple):
    """The room on a part: along the lines and across them [mm], at `radius_mm`, its middle at height `middle_mm`.

    `turn_mm` is once round; `inner_mm` and `outer_mm` are the radii that bound the end face.
    """

    length_mm: float
    height_mm: float
    radius_mm: float
    middle_mm: float
    turn_mm: float
    inner_mm: float = 0.0
    outer_mm: float = 0.0


class SizedText(NamedTuple):
    """An inscription with its letters as set, ready to be drawn. `texts` are those of the flats, or one."""

    facts: Inscription
    texts: tuple[tuple[SetLine, ...], ...]
    room: Room


def sized_text(wish: InscriptionWish, item: Item, mark: MarkCheck | None = None) -> SizedText:
    """The largest letters that fit. Raises Refused with every fault, or where none that could be read fits.

    >>> from rotary.item import Item
    >>> nut = Item.model_validate({"name": "nut", "solid": True, "coating": None, "measurements": [
    ...     {"at": "0 mm", "across": "22 mm"}, {"at": "18 mm", "across": "22 mm"}]})
    >>> made = sized_text(InscriptionWish(text="BOATHOUSE REGATTA 2026"), nut).facts
    >>> made.governs, made.letter_height_mm, abs(made.closing_error_mm) < 1e-9 * 22 * pi
    ('length', 3.75, True)
    """
    shape = fitted_shape(item)
    room, texts = both(lambda: room_of(wish, item, shape), lambda: _texts(wish, shape))
    least = wish.least_height_mm or (least_height_mm(texts, mark) if mark is not None else 0.0)
    every = [line for lines in texts for line in lines]
    facts = _on_end(wish, room, every, least) if wish.around == "end" else _on_wall(wish, room, every, texts, least)
    middle = height_from_s_mm(item, shape, room.middle_mm)
    facts = facts.but(middle_mm=middle, narrowed=_narrowed(wish, facts, shape, room))
    if mark is not None:
        facts = facts.but(checks=checks_of(wish, facts, texts, mark))
    return SizedText(facts, texts, room)


def _texts(wish: InscriptionWish, shape: Shape) -> tuple[tuple[SetLine, ...], ...]:
    """The text and those of further flats as set; raises Refused with every fault."""
    faults: list[Fault] = []
    texts = []
    for where, text in [("text", wish.text), *((f"more.{i}", text) for i, text in enumerate(wish.more))]:
        try:
            texts.append(set_lines(wish, text, where))
        except Refused as refusal:
            faults += refusal.faults
    if wish.more and wish.around != "flats":
        faults.append(Fault("more", "several texts need an item with flats: write one text, or choose flats"))
    if shape.flats is not None and 1 + len(wish.more) > shape.flats:
        says = f"there are {1 + len(wish.more)} texts and {shape.flats} flats: take some texts out"
        faults.append(Fault("more", says))
    refuse_all(faults)
    return tuple(texts)


def room_of(wish: InscriptionWish, item: Item, shape: Shape) -> Room:
    """The room for an inscription; raises Refused where there is none, naming what takes it away."""
    if wish.around == "end":
        return _end_room(wish, shape)
    low, high = sorted(
        s_from_height_mm(item, shape, at)
        for at in (
            wish.from_mm if wish.from_mm is not None else 0.0,
            wish.to_mm if wish.to_mm is not None else shape.length_mm,
        )
    )
    faults = [
        Fault(name, Predicate(f"lies beyond the item: write a height between 0 mm and {shape.length_mm:g} mm"))
        for name, at in (("from", wish.from_mm), ("to", wish.to_mm))
        if at is not None and at > shape.length_mm + 1e-9
    ]
    if wish.from_mm is not None and wish.to_mm is not None and wish.to_mm <= wish.from_mm:
        says = f"must be above the lower end of the usable height: write more than {wish.from_mm:g} mm, or swap the two"
        faults.append(Fault("to", Predicate(says)))
    if (shape.flats is None) == (wish.around == "flats"):
        faults.append(Fault("around", _WRONG_SHAPE if shape.flats is None else _FACETED))
    refuse_all(faults)
    low, high = max(low, wish.chamfer_mm), min(high, shape.length_mm - wish.chamfer_mm)
    if high - low <= 2 * wish.margin_mm:
        field = "margin" if high > low else "chamfer"
        says = (
            f"leaves no room on {max(high - low, 0):.3g} mm of usable height: make the {field} smaller, or enter more "
            "usable height"
        )
        raise refuse(field, Predicate(says))
    ends = arc_from_height_mm(shape.curve, [low, high]).tolist()
    along = ends[1] - ends[0] - 2 * wish.margin_mm
    middle = float(height_from_arc_mm(shape.curve, (ends[0] + ends[1]) / 2))
    radius = float(radius_mm(shape.curve, middle))
    turn = 2 * pi * radius
    if wish.around == "flats":
        assert shape.flats is not None
        across = _flat_mm(wish, 2 * radius, shape.flats) - 2 * wish.margin_mm
        if across <= 0:
            field = "corner_radius" if across <= -2 * wish.margin_mm else "margin"
            raise refuse(field, Predicate(f"leaves no room on the flats: write a smaller {field.replace('_', ' ')}"))
        return _turned_room(wish.lengthwise, along, across, radius, middle, turn)
    if wish.around == "ring":
        if wish.gap_mm is not None and wish.gap_mm >= turn:
            says = f"{wish.gap_mm:g} mm is as much as once round the item, {turn:.2f} mm: write a smaller gap"
            raise refuse("gap", says)
        return Room(turn - (wish.gap_mm or 0.0), along, radius, middle, turn)
    reach = (wish.arc_rad or ARC_RAD) * radius
    return _turned_room(wish.around == "axis", along, reach, radius, middle, turn)


_WRONG_SHAPE: Final = "the item is round and has no flats: choose ring, arc, axis or end"
_FACETED: Final = "the item has flats: choose flats or end"


def _turned_room(lengthwise: bool, along: float, across: float, radius: float, middle: float, turn: float) -> Room:
    return Room(along, across, radius, middle, turn) if lengthwise else Room(across, along, radius, middle, turn)


def _flat_mm(wish: InscriptionWish, across_flats_mm: float, flats: int) -> float:
    """What is flat of a face, between corners as they are broken."""
    sharp = float(circle.flat_width_mm(across_flats_mm, flats))
    if wish.across_corners_mm is not None:
        most = float(circle.across_corners_mm(across_flats_mm, flats))
        if not across_flats_mm < wish.across_corners_mm <= most * (1 + 1e-9):
            says = (
                f"can't be right for {flats} flats {across_flats_mm:g} mm across: write more than "
                f"{across_flats_mm:g} mm, at most {most:.3f} mm (sharp corners)"
            )
            raise refuse("across_corners", Predicate(says))
        return min(sharp, float(polygon.turned_flat_mm(across_flats_mm, wish.across_corners_mm)))
    return float(polygon.rounded_flat_mm(across_flats_mm, flats, wish.corner_radius_mm or 0.0))


def _end_room(wish: InscriptionWish, shape: Shape) -> Room:
    diameter = wish.end_diameter_mm or 2 * float(radius_mm(shape.curve, shape.length_mm))
    outer = diameter / 2 - wish.margin_mm - (0.0 if wish.end_diameter_mm else wish.chamfer_mm)
    inner = wish.bore_mm / 2 + (wish.margin_mm if wish.bore_mm else 0.0)
    if outer <= inner:
        says = f"leaves no room on an end face {diameter:g} mm across: enter a smaller margin or bore"
        raise refuse("bore" if wish.bore_mm else "margin", Predicate(says))
    return Room(2 * pi * outer, outer - inner, outer, shape.length_mm, 2 * pi * outer, inner, outer)


def _on_wall(
    wish: InscriptionWish, room: Room, every: list[SetLine], texts: tuple[tuple[SetLine, ...], ...], least: float
) -> Inscription:
    """Length and height are both in proportion to the letters, so the largest that fit are a division away."""
    closes = wish.around == "ring" and wish.gap_mm is None
    t = wish.tracking
    longest = max(line.period + line.spaces * t if closes else line.advance + line.gaps * t for line in every)
    tall = max(_tall(lines, wish.line_pitch) for lines in texts)
    by_length, by_height = room.length_mm / longest, room.height_mm / tall
    height, governs = _largest(by_length, by_height, wish.letter_height_mm)
    _legible(height, governs, least, by_length, by_height, wish)
    facts = []
    for line in every:
        spacing = (room.turn_mm - line.period * height) / line.spaces if closes else t * height
        long = line.advance * height + (line.spaces if closes else line.gaps) * spacing
        whole = line.period * height + line.spaces * spacing if closes else long
        gap = 0.0 if wish.around in ("flats", "axis") else room.turn_mm - whole
        arc = _arc(wish, room, whole, height)
        facts.append(LineFact.model_construct(
            text=line.text, letters=line.spaces, radius_mm=room.radius_mm, length_mm=whole, spacing_mm=spacing,
            gap_mm=gap, arc_rad=arc,
        ))  # fmt: skip
    width = max(fact.length_mm for fact in facts)
    arc = tall * height / room.radius_mm if wish.around == "axis" else max(fact.arc_rad for fact in facts)
    notes = tuple(_notes(wish, facts, height, every))
    return Inscription.model_construct(
        around=wish.around, letter_height_mm=height, governs=governs, radius_mm=room.radius_mm, middle_mm=0.0,
        length_room_mm=room.length_mm, height_room_mm=room.height_mm, width_mm=width, height_mm=tall * height,
        arc_rad=arc, visible_share=1.0 if wish.around == "flats" else min(1.0, SEEN_RAD / max(arc, 1e-12)),
        start_rad=wish.start_rad, closing_error_mm=max((abs(f.gap_mm) for f in facts), default=0.0) if closes else 0.0,
        lines=tuple(facts), checks=(), notes=notes,
    )  # fmt: skip


def _narrowed(wish: InscriptionWish, facts: Inscription, shape: Shape, room: Room) -> float:
    """Least radius that the ink reaches over that in its middle, where letters follow the wall."""
    if wish.around in ("flats", "end") or wish.surface_map != "with-taper":
        return 1.0
    along = facts.width_mm if wish.around == "axis" else facts.height_mm
    middle = float(arc_from_height_mm(shape.curve, room.middle_mm))
    reach = np.clip(middle + along * np.linspace(-0.5, 0.5, 9), 0.0, float(shape.curve.arc_mm[-1]))
    radii = radius_mm(shape.curve, height_from_arc_mm(shape.curve, reach))
    return min(1.0, float(radii.min()) / room.radius_mm)


def _arc(wish: InscriptionWish, room: Room, long_mm: float, height_mm: float) -> float:
    if wish.around == "flats":
        return 2 * float(np.arctan2(long_mm / 2, room.radius_mm))
    return (height_mm if wish.around == "axis" else long_mm) / room.radius_mm


def _tall(lines: tuple[SetLine, ...], pitch: float) -> float:
    """Height of the ink of all lines, in heights of a capital."""
    middle = [(line.top - i * pitch, line.bottom - i * pitch) for i, line in enumerate(lines)]
    return max(top for top, _ in middle) - min(bottom for _, bottom in middle)


def _largest(by_length: float, by_height: float, asked: float | None) -> tuple[float, Governs]:
    governs: Governs = "length" if by_length <= by_height else "height"
    height = min(by_length, by_height)
    height = round(floor(height / FINEST_MM * (1 + 1e-12)) * FINEST_MM, 6) if height > 10 * FINEST_MM else height
    if asked is not None and asked <= height:
        return asked, "asked"
    return height, governs


def _legible(
    height: float, governs: str, least: float, by_length: float, by_height: float, wish: InscriptionWish
) -> None:
    if height >= least * (1 - 1e-9):
        return
    if governs == "asked":
        says = f"letters of {height:.3g} mm are too small to read once they are marked: write at least {_up(least)} mm"
        raise refuse("letter_height", says)
    share = by_length / least if governs == "length" else by_height / least
    several = any(len(text.splitlines()) > 1 for text in (wish.text, *wish.more))
    cure = (
        f"shorten the text by about {100 * max(0.0, 1 - share):.0f} %, use more lines, or take a larger part"
        if governs == "length"
        else f"{'write fewer lines, or ' * several}enter more usable height"
    )
    if wish.repeat > 1 and governs == "length":
        cure = f"repeat the words only {max(1, int(wish.repeat * share))} times"
    cure = f"accept smaller letters, {cure}" if wish.least_height_mm else cure
    floor_says = "the smallest that you accept" if wish.least_height_mm else "the smallest that your laser can draw"
    says = f"only letters of {height:.2f} mm fit, but {_up(least)} mm is {floor_says}: {cure}"
    raise refuse("text", says)


def _up(height_mm: float) -> str:
    return f"{-floor(-height_mm * 100) / 100:.2f}"


def _notes(wish: InscriptionWish, facts: list[LineFact], height: float, every: Sequence[SetLine]) -> Iterator[str]:
    if any(line.joined for line in every):
        yield "Letters of this script join, so only the spaces between words get wider."
        if wish.around == "end":
            yield "Look at the file first: on a circle joined letters come slightly apart."
    for number, fact in enumerate(facts, 1):
        name = f"line {number}" if len(facts) > 1 else "the line"
        if wish.around in ("ring", "end") and fact.spacing_mm > WIDE_GAPS * height and fact.letters:
            own = fact.length_mm - fact.letters * fact.spacing_mm
            times = max(1, floor(fact.length_mm / max(own + fact.letters * 0.2 * height, 1e-9)))
            yield (
                f"To close the ring, {name} gets {fact.spacing_mm:.2f} mm between letters. To avoid that, repeat the "
                f"words {times * wish.repeat} times, or leave a gap."
            )
    if wish.around == "flats":
        yield "Measure across the corners: the flat ends where the rounded corner begins."


# --- the end face -------------------------------------------------------------------------------------------------


def _on_end(wish: InscriptionWish, room: Room, every: list[SetLine], least: float) -> Inscription:
    """Halve the bounds: larger letters need a smaller circle for their corners and a longer one for their length."""
    lines = tuple(every)
    low, high = 0.0, room.outer_mm
    for _ in range(50):
        height = (low + high) / 2
        low, high = (height, high) if _fits_end(wish, lines, height, room) else (low, height)
    by_room = low
    height, governs = _largest(by_room, np.inf, wish.letter_height_mm)
    _legible(height, governs, least, by_room, np.inf, wish)
    closes = wish.arc_rad is None
    facts = []
    for line, radius in zip(lines, baselines_mm(wish, lines, height, room), strict=True):
        turn = 2 * pi * radius
        spacing = (turn - line.period * height) / line.spaces if closes else wish.tracking * height
        long = line.period * height + line.spaces * spacing if closes else (line.advance * height + line.gaps * spacing)
        facts.append(LineFact.model_construct(
            text=line.text, letters=line.spaces, radius_mm=radius, length_mm=long, spacing_mm=spacing,
            gap_mm=turn - long, arc_rad=long / radius,
        ))  # fmt: skip
    reach = max(facts[0].radius_mm + lines[0].top * height, 0.0)
    return Inscription.model_construct(
        around="end", letter_height_mm=height, governs=governs, radius_mm=facts[0].radius_mm, middle_mm=0.0,
        length_room_mm=2 * pi * facts[0].radius_mm, height_room_mm=room.height_mm, width_mm=2 * reach,
        height_mm=2 * reach, arc_rad=max(f.arc_rad for f in facts), visible_share=1.0, start_rad=wish.start_rad,
        closing_error_mm=max(abs(f.gap_mm) for f in facts) if closes else 0.0, lines=tuple(facts), checks=(),
        notes=tuple(_notes(wish, facts, height, lines)),
    )  # fmt: skip


def baselines_mm(wish: InscriptionWish, lines: tuple[SetLine, ...], height_mm: float, room: Room) -> list[float]:
    """Radius of each line's circle: the first as far out as the corners of its letters allow, the others within."""
    first = -1.0
    corners = [
        (half * height_mm, letter.bounds[3] * height_mm)
        for letter in lines[0].letters
        if letter.shape is not None
        for half in [(letter.bounds[2] - letter.bounds[0]) / 2]
    ]
    if all(half < room.outer_mm for half, _ in corners):
        first = min(sqrt(room.outer_mm**2 - half**2) - top for half, top in corners)
    return [first - i * wish.line_pitch * height_mm for i in range(len(lines))]


def _fits_end(wish: InscriptionWish, lines: tuple[SetLine, ...], height_mm: float, room: Room) -> bool:
    radii = baselines_mm(wish, lines, height_mm, room)
    for line, radius in zip(lines, radii, strict=True):
        if radius + line.bottom * height_mm < room.inner_mm or radius <= 0:
            return False
        t = wish.tracking
        if wish.arc_rad is None:
            need, have = line.period + line.spaces * t, 2 * pi
        else:
            need, have = line.advance + line.gaps * t, min(wish.arc_rad, 2 * pi)
        if need * height_mm > have * radius:
            return False
    return True
