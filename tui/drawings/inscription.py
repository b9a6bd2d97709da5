"""An inscription in lines: how large, how it closes, how deep, whether it can be read; and a picture as it lies."""

from collections.abc import Mapping, Sequence
from math import degrees, tau
from typing import TYPE_CHECKING, Protocol

from rotary.papers.lines import clock
from tui.drawings.canvas import Canvas, Line, Run, fitted
from tui.drawings.fill import fill_rings
from tui.drawings.words import count, fine, length, wrapped

if TYPE_CHECKING:
    from rotary.inscription.models import Inscription
    from rotary.passes.learning.depth import DepthAnswer
    from tui.background.outlines import Outline


class Bounds(Protocol):
    """The bounds of the picture [mm]: once round and across, or a flat, or the rim and the bore."""

    turn_mm: float
    wide_mm: float
    high_mm: float
    rim_mm: float
    bore_mm: float
    closes: bool
    item: str


class DepthShown(Protocol):
    """Passes for the wanted depth, and what was measured; why there are none, where nothing was found."""

    found: "DepthAnswer | None"
    says: str
    warmth: Mapping[str, float] | None
    time_s: float
    notes: Sequence[str]
    kept: Sequence[tuple[str, bool]]


class Lying(Protocol):
    """Words as they lie; where something is turned, `borders_mm` is where slices meet, from the front."""

    around: str
    facts: "Inscription"
    inks: "Sequence[Outline]"
    room: Bounds
    borders_mm: Sequence[float]


class WordsShown(Lying, Protocol):
    """The same with what slices and depth come to."""

    trouble: str
    slices: int
    slice_mm: float
    index_rad: float
    depth: DepthShown


WHERE = {
    "ring": "once round the item",
    "arc": "part of the way round",
    "axis": "lengthwise, along the axis",
    "flats": "on the flats",
    "end": "round the end face",
}
GOVERNS = {
    "length": "high: larger letters would be too long",
    "height": "high: larger letters have no room",
    "asked": "high, as you asked: larger would fit",
}
SEEN_DEG = 60.0


def gist(shown: "WordsShown", system: str) -> str:
    """The whole answer in one line."""
    from rotary.inscription.card import failure

    facts = shown.facts
    parts = [f"letters {length(facts.letter_height_mm, system)}"]
    if shown.around in ("ring", "arc", "axis"):
        parts.append("all the way round" if shown.room.closes else f"{degrees(facts.arc_rad):.0f}° round")
    if shown.slices:
        parts.append(count(shown.slices, "slice"))
    bad = [check for check in facts.checks if check.state == "fails"]
    parts.append(failure(bad[0]) if bad else "can be read")
    found = shown.depth.found
    if found is not None:
        parts.append(
            f"{found.passes} pass{'' if found.passes == 1 else 'es'} to cut {fine(found.wanted_um / 1000, system)} deep"
        )
    return ", ".join(parts)


def answer_lines(shown: "WordsShown", system: str, width: int) -> list[Line]:
    """Everything there is to say, the numbers first."""
    return [*_size(shown, system, width), *_read(shown, width), [], *_depth(shown.depth, system, width)]


def _size(shown: "WordsShown", system: str, width: int) -> list[Line]:
    facts = shown.facts
    lines: list[Line] = [_row("letters", length(facts.letter_height_mm, system), GOVERNS[facts.governs], width)]
    long = max(facts.lines, key=lambda line: line.length_mm)
    if shown.around in ("ring", "arc", "axis"):
        closing = (
            "the words go all the way round"
            if shown.room.closes
            else f"round the item: {length(long.gap_mm, system)} stay free"
            if shown.around != "axis"
            else f"{length(long.length_mm, system)} long"
        )
        lines.append(_row("arc", f"{degrees(facts.arc_rad):.1f}°", closing, width))
        seen = "of the words are in view at once"
        lines.append(_row("seen", f"{100 * facts.visible_share:.0f} %", seen, width))
    elif shown.around == "end":
        lines.append(_row("circle", length(2 * facts.radius_mm, system), "across: line 1 stands on this circle", width))
        says = (
            f"round the end face: {length(long.gap_mm, system)} stay free"
            if abs(long.gap_mm) > 1e-6
            else "the words go all the way round"
        )
        lines.append(_row("arc", f"{degrees(facts.arc_rad):.1f}°", says, width))
    else:
        room = f"long. There is room for {length(facts.length_room_mm, system)}"
        lines.append(_row("words", length(long.length_mm, system), room, width))
    if shown.slices:
        turn = (
            f"wide. Turn per slice: {degrees(shown.index_rad):.3f}°"
            if shown.slices > 1
            else "the item stands still while you mark"
        )
        says = f"{length(shown.slice_mm, system)} {turn}" if shown.slices > 1 else turn
        lines.append(_row("slices", str(shown.slices), says, width))
    if shown.trouble:
        lines += wrapped(shown.trouble, width - 3, "bad", " ! ")
    for note in facts.notes:
        lines += wrapped(note, width - 1, "muted", " ")
    return lines


def _row(name: str, value: str, says: str, width: int) -> Line:
    return [
        Run(f" {name:<8}", "muted"),
        Run(f"{value:<10} ", "strong"),
        Run(fitted(says, max(width - 20 - max(len(value) - 10, 0), 0))),
    ]


def _read(shown: "WordsShown", width: int) -> list[Line]:
    """What fails first, then what is advised; what passes in one line."""
    lines: list[Line] = []
    checks = shown.facts.checks
    for state, ink, sign in (("fails", "bad", " ! "), ("advice", "warn", " ~ ")):
        for check in (check for check in checks if check.state == state):
            lines += wrapped(f"{check.name}: {check.says}. Use {check.cure}.", width - 1, ink, sign)
    passes = [check.name for check in checks if check.state == "passes"]
    if passes:
        lines += wrapped(", ".join(passes), width - 1, "good", " ok ")
    return lines


def _depth(depth: "DepthShown", system: str, width: int) -> list[Line]:
    found = depth.found
    if found is None:
        return wrapped(f"Depth: {depth.says}.", width - 1, "muted", " ")
    wanted, um = fine(found.wanted_um / 1000, system), 1e-3
    least, most = _fine(found.depth_um_5 * um, system), fine(found.depth_um_95 * um, system)
    reach = f"to cut {wanted}. 9 of 10 items come out {least} to {most} deep"
    lines: list[Line] = [_row("passes", str(found.passes), reach, width)]
    lines += wrapped(
        f"On your first item stop after pass {found.safe_passes} and measure the depth: by then 1 item of 20 is too "
        f"deep. Then add passes until it is deep enough: {found.sure_passes} in all are enough for 19 of 20 items. "
        f"Depth readings used: {found.readings}.",
        width - 1,
        "plain",
        " ",
    )
    told = f"All passes take {clock(depth.time_s)}"
    if depth.warmth is not None:
        warm = depth.warmth
        told += (
            f". The whole item gets about {warm['lump_k']:.0f} °C warmer, at most {warm['lump_high_k']:.0f} °C "
            f"(estimate). In the first {warm['even_s']:.0f} s the marked face gets about {warm['face_k']:.0f} °C warmer"
        )
    lines += wrapped(f"{told}.", width - 1, "plain", " ")
    for kept, ignored in depth.kept:
        lines += wrapped(f"reading {kept}", width - 1, "muted" if ignored else "good", " ")
    for note in (*found.notes, *depth.notes):
        lines += wrapped(note, width - 1, "muted", " ")
    return lines


def _fine(mm: float, system: str) -> str:
    return fine(mm, system).rpartition(" ")[0]


# -- the picture


def rows_wanted(shown: "Lying", width: int, most: int) -> int:
    """How many rows of so many columns the picture fills, its words among them; no more than `most`."""
    room = shown.room
    if shown.around == "end":
        return most
    wide = 2 * width - 2
    if shown.around == "flats":
        scale = wide / (max(len(shown.inks), 1) * room.wide_mm * 1.1)
    else:
        xs = [x for rings in shown.inks for ring in rings for x, _ in ring] or [0.0]
        scale = wide / (room.turn_mm if shown.around == "ring" else 1.15 * max(max(xs) - min(xs), 1e-3))
    return max(min(int(scale * (_tall_mm(shown) if shown.around != "flats" else room.high_mm) / 4) + 5, most), 4)


def _tall_mm(shown: "Lying") -> float:
    """How much of the wall's height is drawn: all of it, or of a long one what is round the words."""
    heights = [y for rings in shown.inks for ring in rings for _, y in ring] or [0.0]
    around = 1.8 * (max(heights) - min(heights))
    return min(shown.room.high_mm, around) if around > 0 else float(shown.room.high_mm)


def picture(shown: "Lying", system: str, width: int, height: int, ascii_only: bool) -> list[Line]:
    """The inscription as it lies: the wall laid flat, the flats beside each other, or the end face."""
    if width < 12 or height < 3:
        return []
    canvas = Canvas(width, height - 1, ascii_only)
    if shown.around == "end":
        says = _end(canvas, shown, system)
    elif shown.around == "flats":
        says = _flats(canvas, shown, system)
    else:
        says = _wall(canvas, shown, system)
    return [[Run(fitted(f" {says}", width), "muted")], *canvas.lines()]


def _wall(canvas: Canvas, shown: "Lying", system: str) -> str:
    """The wall laid flat, the front in its middle; a ring over the whole turn, else what is round the words."""
    room, rings = shown.room, shown.inks[0] if shown.inks else ()
    wide, high = canvas.dots
    turn = room.turn_mm
    xs = [x for ring in rings for x, _ in ring] or [0.0]
    whole = shown.around == "ring" or max(xs) - min(xs) > 0.7 * turn
    middle = 0.0 if whole else (min(xs) + max(xs)) / 2
    span = turn if whole else min(turn, 1.15 * (max(xs) - min(xs)))
    tall = _tall_mm(shown)
    scale = min((wide - 2) / span, (high - 8) / tall)
    top, left = high / 2 - scale * tall / 2, wide / 2 - scale * span / 2

    def place(x: float, y: float) -> tuple[float, float]:
        return wide / 2 + (x - middle) * scale, high / 2 - y * scale

    for edge in (top, top + scale * tall):
        # Dashed where the band goes on beyond it.
        canvas.line(left, edge, left + scale * span, edge, "grid", 0 if tall == room.high_mm else 3)
    for angle in (-SEEN_DEG, 0.0, SEEN_DEG):
        at = angle / 360 * turn
        if abs(at - middle) <= span / 2:
            x, _ = place(at, 0.0)
            canvas.line(x, top, x, top + scale * tall, "b" if angle == 0 else "grid", 1 if angle else 2)
    shifts = (-turn, 0.0, turn) if whole else (0.0,)
    # Where slices meet: the smaller the radius, the closer.
    for border in shown.borders_mm:
        at = (border + turn / 2) % turn - turn / 2 if whole else border
        if abs(at - middle) <= span / 2:
            x, y = place(at, -tall / 2)
            canvas.line(x, y, x, y + 2, "muted")
    seen = [
        [(x + shift, y) for x, y in ring]
        for ring in rings
        for shift in shifts
        if abs(sum(x for x, _ in ring) / len(ring) + shift - middle) <= span / 2
    ]
    fill_rings(canvas, seen, place, "a")
    seams = ". Ticks: seams" if shown.borders_mm else ""
    if whole:
        return f"the wall laid flat, {length(turn, system)} once round. Middle: the front{seams}"
    return f"the wall near the words, {length(span, system)} of {length(turn, system)} round{seams}"


def _flats(canvas: Canvas, shown: "Lying", system: str) -> str:
    room, wide, high = shown.room, *canvas.dots
    many = max(len(shown.inks), 1)
    scale = min((wide - 2) / (many * room.wide_mm * 1.1), (high - 2) / room.high_mm)
    for number, rings in enumerate(shown.inks):
        middle = wide / 2 + (number - (many - 1) / 2) * room.wide_mm * 1.1 * scale
        w, h = room.wide_mm * scale / 2, room.high_mm * scale / 2
        corners = [(middle + a * w, high / 2 + b * h) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1))]
        canvas.path(corners, "grid")
        fill_rings(canvas, rings, lambda x, y, at=middle: (at + x * scale, high / 2 - y * scale), "a")  # type: ignore[misc]
    size = f"{length(room.wide_mm, system)} × {length(room.high_mm, system)}"
    return f"{count(many, 'flat')} with words. Room on each: {size}"


def _end(canvas: Canvas, shown: "Lying", system: str) -> str:
    room, wide, high = shown.room, *canvas.dots
    scale = (min(wide, high) / 2 - 1) / room.rim_mm
    x0, y0 = wide / 2, high / 2
    canvas.arc(x0, y0, room.rim_mm * scale, "grid")
    if room.bore_mm:
        canvas.arc(x0, y0, room.bore_mm * scale, "grid")
    tick = shown.facts.start_rad
    canvas.spoke((x0, y0), tick, (room.rim_mm * scale, room.rim_mm * scale * 0.93), "b")
    fill_rings(canvas, shown.inks[0] if shown.inks else (), lambda x, y: (x0 + x * scale, y0 - y * scale), "a")
    turned = degrees(tick % tau)
    return f"end face, {length(2 * room.rim_mm, system)} across. Words begin {turned:.0f}° clockwise from the top"
