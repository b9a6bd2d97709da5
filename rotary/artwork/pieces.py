"""The pieces that a job names, read or set, put where they go on the item: one region of ink in the artwork's frame.

::

    piece ── file ──> read ──┐
          ── text ──> set  ──┼──> sized, turned, set down at (u, v) ──> one region, (0, 0) in the artwork's middle
    handle, weld line ───────┴──> no-mark zones: what of the ink lies in them is told
"""

from collections.abc import Callable, Iterator
from math import pi, sin
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.compose import ComposedPiece as Placed
from rotary.artwork.compose import Composition, Placing, Upright, Zone, composed, marked_size_mm
from rotary.artwork.drawing import HALF_TONE, Drawing, DrawingReading
from rotary.artwork.fonts import font_file
from rotary.artwork.layout import Artwork, Ground
from rotary.artwork.models import Piece, PieceSize
from rotary.artwork.overlay import joined_areas
from rotary.artwork.own_size import keeps_size
from rotary.artwork.read import read_artwork
from rotary.artwork.text import Lettering, drawing_from_text
from rotary.artwork.work import FIELD, Unread
from rotary.errors import Fault, Predicate, Refused, brief, listing, refuse, refuse_all
from rotary.formulas.arrays import Floats
from rotary.formulas.revolution import arc_from_height_mm, height_from_arc_mm, radius_mm
from rotary.item import handle_heights_mm

USUAL_LETTER_MM: Final = 8.0
"""Height of a capital where neither it nor the text's size is given."""

USUAL_STROKE_MM: Final = 0.3
"""Width of single strokes where it is not given."""

ZONE_HEIGHTS: Final = 61
ZONE_ANGLES: Final = 9
"""Places along each side of a no-mark zone that are brought to the flat artwork to find its outline there."""


class Ink(NamedTuple):
    """The artwork as one region, and everything that a person should know of it."""

    composition: Composition
    unread: tuple[Unread, ...]
    notes: tuple[str, ...]
    sizes: tuple[PieceSize, ...]


def ink_of(ground: Ground, beside: Path, read: Callable[[Path, DrawingReading], Drawing] = read_artwork) -> Ink:
    """Read and set all pieces of an artwork and put them together. Files are looked for `beside` the job.

    `read` reads a file, or remembers it. Raises Refused with every fault, FileTrouble.
    """
    pieces = ground.artwork.pieces
    if not pieces:
        raise refuse("artwork.pieces", 'name a drawing or a text, for example pieces = [{ file = "crest.svg" }]')
    faults: list[Fault] = []
    placed: list[Placed] = []
    for number, piece in enumerate(pieces):
        try:
            placed.append(_placed(piece, f"artwork.pieces.{number}", ground, beside, read))
        except Refused as refusal:
            faults += [_in_piece(fault, number, piece) for fault in refusal.faults]
    refuse_all(faults)
    whole = composed(placed, ground.once_round_mm, [*_zones(ground)])
    drawings = [one.drawing for one in placed]
    notes = tuple(note for drawing in drawings for note in drawing.notes)
    unread = tuple(one for drawing in drawings for one in drawing.unread)
    return Ink(whole, unread, notes + whole.notes, tuple(map(_size, pieces, placed)))


def _size(piece: Piece, placed: Placed) -> PieceSize:
    """A text is as large as its letters are asked to be, and has no size where nobody asked."""
    own = placed.drawing.own_mm if piece.text is None or piece.letter_height_mm else None
    marked = marked_size_mm(placed.drawing, placed.placing)
    return PieceSize.of(placed.drawing.name, own, marked, is_text=piece.text is not None)


def text_in_frame(text: str, artwork: Artwork) -> Piece:
    """A text in the default letters, as large as the artwork's frame takes it; raises Refused."""
    drawn = drawing_from_text(Lettering(text=text))
    scale = min(artwork.width_mm / drawn.ink_width_mm, artwork.height_mm / drawn.ink_height_mm)
    return Piece(text=text, width_mm=drawn.ink_width_mm * scale)


def _upright(ground: Ground, turn_mm: float | None) -> Upright | None:
    """How a piece beside the artwork's middle is kept from leaning on a taper.

    True-width keeps every distance from the artwork's middle line, which makes uprights beside it lean. A piece has
    its own middle line: its widths are true from there, and that line is moved to one angle at all heights.
    """
    body = ground.shape
    if ground.artwork.surface_map != "true-width" or turn_mm is None or body.shape in {"straight", "flats"}:
        return None
    radius = turn_mm / (2 * pi)
    base = float(arc_from_height_mm(body.curve, ground.layout.centre_mm))

    def upright(points: Floats, u_mm: float) -> Floats:
        r = radius_mm(body.curve, height_from_arc_mm(body.curve, base + points[:, 1]))
        return np.stack([points[:, 0] + u_mm / radius * (r - radius), points[:, 1]], axis=1)

    return upright


def _in_piece(fault: Fault, number: int, piece: Piece) -> Fault:
    """A fault of a drawing or text that knows nothing of the list it is in: under the piece's own name."""
    if fault.where.startswith("artwork.pieces."):
        return fault
    says = f"{brief(Path(piece.file).name)} {fault.says}" if piece.file and fault.where == FIELD else fault.says
    return Fault(f"artwork.pieces.{number}.{fault.where.removeprefix('artwork.')}", says)


def _placed(
    piece: Piece, where: str, ground: Ground, beside: Path, read: Callable[[Path, DrawingReading], Drawing]
) -> Placed:
    artwork = ground.artwork
    around, u_mm, v_mm = _middle(piece, where, ground)
    drawing = _drawing(piece, where, artwork, beside, read)
    width, height, by_page = piece.width_mm, piece.height_mm, False
    if piece.file is not None and piece.line_width_mm and width is None:
        # Open lines are as wide as they should be where the drawing is read as wide as it is marked.
        wide, high = drawing.ink_width_mm, drawing.ink_height_mm
        marked = {"width_mm": _in_frame(drawing, artwork)[0] if height is None else wide * height / high}
        drawing = _drawing(piece.model_copy(update=marked), where, artwork, beside, read)
    if piece.file is not None and width is None and height is None:
        width, by_page = _in_frame(drawing, artwork)
    placing = Placing(
        width_mm=width,
        height_mm=height,
        u_mm=u_mm,
        v_mm=v_mm,
        # An unrolled cone turns what lies beside its middle; turned back, it stands upright on the item.
        rotation_rad=piece.rotation_rad
        - (sin(ground.shape.half_angle_rad) * around if artwork.surface_map == "label" else 0.0),
        mirror=piece.mirror,
        invert=piece.invert,
        margin_mm=piece.margin_mm,
        repeat=piece.repeat,
        turn_mm=_turn_mm(piece, where, ground),
        by_page=by_page,
    )
    return Placed(drawing, placing, _upright(ground, placing.turn_mm))


def _in_frame(drawing: Drawing, artwork: Artwork) -> tuple[float, bool]:
    """How wide the ink of a drawing without a wish is marked [mm], and whether its page lies in the frame's middle.

    Its own size and page where the file states a size and the page fits the frame; else the ink fills the frame.
    """
    page_mm = drawing.own_page_mm
    if page_mm and keeps_size(page_mm, (artwork.width_mm, artwork.height_mm)):
        return drawing.ink_width_mm * page_mm[0] / drawing.width_mm, True
    fills = min(artwork.width_mm / drawing.ink_width_mm, artwork.height_mm / drawing.ink_height_mm)
    return drawing.ink_width_mm * fills, False


def _drawing(
    piece: Piece, where: str, artwork: Artwork, beside: Path, read: Callable[[Path, DrawingReading], Drawing]
) -> Drawing:
    if (piece.file is None) == (piece.text is None):
        says = "needs a file or a text, not both: name a file like crest.svg, or write a text"
        raise refuse(where, Predicate(says))
    font = None if piece.font is None else font_file(piece.font, beside)
    if piece.text is not None:
        lettering = Lettering(
            text=piece.text,
            letter_height_mm=piece.letter_height_mm or USUAL_LETTER_MM,
            face=piece.face,
            font=font,
            weight=piece.weight,
            letter_spacing_mm=piece.letter_spacing_mm,
            line_width_mm=piece.line_width_mm or USUAL_STROKE_MM,
        )
        return drawing_from_text(lettering)
    assert piece.file is not None
    how = DrawingReading(
        width_mm=piece.width_mm or artwork.width_mm,
        unit=piece.unit,
        line_width_mm=piece.line_width_mm,
        close_gaps_mm=piece.close_gaps_mm,
        dark_below=piece.dark_below or HALF_TONE,
        fonts=() if font is None else (font,),
    )
    return read(beside / piece.file, how)


def _middle(piece: Piece, where: str, ground: Ground) -> tuple[float, float, float]:
    """The angle of the piece's middle from the artwork's, and where it lies on the flat artwork (u, v)."""
    item, length_mm = ground.item, ground.shape.length_mm
    own = {
        "artwork": ground.artwork.centre_angle_rad,
        "front": 0.0,
        "handle": None if item.handle is None else item.handle.angle_rad,
        "weld-line": None if item.weld_line is None else item.weld_line.angle_rad,
    }[piece.angle_from]
    if own is None:
        says = f"the item has no {piece.angle_from.replace('-', ' ')} to count from: count from the front"
        raise refuse(f"{where}.angle_from", says)
    height = ground.height_mm(piece)
    if not 0 <= height <= length_mm:
        says = Predicate(f"lies beyond the item: write a height between 0 mm and {length_mm:g} mm")
        raise refuse(f"{where}.centre", says)
    around = ground.around_rad(own + piece.angle_rad)
    u, v = ground.flat_mm(height, around)
    if not (np.isfinite(u).all() and np.isfinite(v).all()):
        says = "is on the back, which the front view doesn't show: choose a place within 90 deg of the artwork's middle"
        raise refuse(f"{where}.angle", Predicate(says))
    return around, float(u), float(v)


def _turn_mm(piece: Piece, where: str, ground: Ground) -> float:
    """Once round at the piece's height, as the surface map measures it on the flat artwork."""
    body, surface_map = ground.shape, ground.artwork.surface_map
    if body.flats is not None:
        if body.flats % piece.repeat:
            some = listing([str(n) for n in range(1, body.flats + 1) if body.flats % n == 0], "or")
            says = Predicate(f"would put the piece over a corner between two flats: write {some}")
            raise refuse(f"{where}.repeat", says)
        return ground.once_round_mm
    if surface_map == "with-taper":
        return 2 * pi * ground.layout.reference_radius_mm
    slanted = body.half_angle_rad is None or body.half_angle_rad != 0.0
    if piece.repeat > 1 and (surface_map == "front-view" or (surface_map == "label" and slanted)):
        says = Predicate(
            'can be more than 1 only with "true width" or "with the taper": choose one of the two under "on a taper", '
            "or write 1"
        )
        raise refuse(f"{where}.repeat", says)
    return 2 * pi * float(body.radius_mm(ground.height_mm(piece)))


def _zones(ground: Ground) -> Iterator[Zone]:
    item, body = ground.item, ground.shape
    ends = handle_heights_mm(item, body)
    if item.handle is not None and ends is not None:
        half = item.handle.width_rad / 2
        yield from _laid("handle", item.handle.angle_rad, lambda _: half, ends, ground)
    if item.weld_line is not None:
        wide_mm = item.weld_line.width_mm
        yield from _laid(
            "weld line",
            item.weld_line.angle_rad,
            lambda s: wide_mm / 2 / np.maximum(body.radius_mm(s), wide_mm / 2),
            (0.0, body.length_mm),
            ground,
        )


def _laid(
    name: str,
    angle_rad: float,
    half_rad: Callable[[Floats], float | Floats],
    ends_mm: tuple[float, float],
    ground: Ground,
) -> list[Zone]:
    """A part of the wall as it lies on the flat artwork, on this turn and its neighbours; none where the map lays
    nothing there. `half_rad` is half its angle at heights of it."""
    low, high = max(ends_mm[0], 0.0), min(ends_mm[1], ground.shape.length_mm)
    if low >= high:
        return []
    middle = ground.around_rad(angle_rad)
    s, part = np.meshgrid(np.linspace(low, high, ZONE_HEIGHTS), np.linspace(-1.0, 1.0, ZONE_ANGLES))
    regions = []
    for turn in (-1, 0, 1):
        places = np.stack(ground.flat_mm(s, middle + part * half_rad(s) + 2 * pi * turn), axis=-1)
        corners = [places[:-1, :-1], places[:-1, 1:], places[1:, 1:], places[1:, :-1]]
        quads = np.stack(corners, axis=2).reshape(-1, 4, 2)
        regions += list(shapely.polygons(quads[np.isfinite(quads).all(axis=(1, 2))]))
    return [Zone(name, joined_areas(regions))] if regions else []
