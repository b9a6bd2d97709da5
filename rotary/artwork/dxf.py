"""A DXF file as a drawing: closed lines are the borders of ink, loose ones are joined where their ends meet.

DXF knows no painting order and seldom a fill, so areas are told by the even-odd rule: a contour in a
contour is a hole. Hatches are areas as they stand. Layers that are off or frozen stay out.
"""

import logging
from contextlib import suppress
from io import BytesIO, StringIO
from typing import Any, Final

import numpy as np

from rotary.artwork.drawing import Drawing, DrawingReading
from rotary.artwork.fill import filled
from rotary.artwork.outline import Polylines
from rotary.artwork.overlay import Shape, clean_rings, joined_areas
from rotary.artwork.reshape import reshaped
from rotary.artwork.stroke import Pen, stroked
from rotary.artwork.work import FARTHEST, Ledger, refused
from rotary.errors import refuse
from rotary.formulas.arrays import Floats

# The parser has warnings of its own, which would go to the terminal: what matters is in the list of what was not read.
logging.getLogger("ezdxf").addHandler(logging.NullHandler())

MOST_DXF_BYTES: Final = 12 << 20  # the parser needs some thirty times as much memory
ENTITY_COST: Final = 30
ARC_PIECES: Final = 16  # curves a turn: an arc of 40 mm then strays by 3 nm from its circle
MEET_MM: Final = 0.01  # ends of lines that are this near are meant to meet
_LINES: Final = {
    "LINE",
    "ARC",
    "CIRCLE",
    "ELLIPSE",
    "SPLINE",
    "LWPOLYLINE",
    "POLYLINE",
    "HELIX",
    "SOLID",
    "TRACE",
    "3DFACE",
}
_AREAS: Final = {"HATCH", "MPOLYGON"}
_SILENT: Final = {"POINT", "VIEWPORT", "XLINE", "RAY", "ATTDEF"}
_TEXTS: Final = {"TEXT", "MTEXT", "ATTRIB", "DIMENSION", "ARC_DIMENSION", "LEADER", "MULTILEADER", "TOLERANCE"}

# What the parser raises, besides its own errors, on a file that is not what it says.
_TRIPPED: Final = (ValueError, LookupError, TypeError, AttributeError, OSError)

# $INSUNITS of the header, as the DXF reference lists it.
_MM_OF_CODE: Final = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0, 8: 25.4e-6, 9: 0.0254, 13: 0.001, 14: 100.0}
_MM_OF_NAME: Final = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}


def drawing_from_dxf(data: bytes, how: DrawingReading, name: str, ledger: Ledger) -> Drawing:
    """The drawing of a text DXF file. Raises Refused: no unit, broken off, no closed contour."""
    document = _document(data)
    own = _mm_per_unit(document, how)
    per_unit = own or 1.0
    found = _Found(max(how.tolerance_mm, 1e-6) / per_unit, ledger)
    try:
        found.take_all(document)
    except RecursionError:
        raise refused("holds blocks within blocks without end; explode them and save it again") from None
    shape = found.shape(how, MEET_MM / per_unit)
    if how.width_mm is not None and not shape.is_empty:
        width = shape.bounds[2] - shape.bounds[0]
        wanted = how.width_mm / width
        if wanted > per_unit:
            found = _Found(how.tolerance_mm / wanted, ledger)
            found.take_all(document)
            shape = found.shape(how, MEET_MM / wanted)
        per_unit = wanted
    if shape.is_empty:
        raise refused("has no closed contour in it; close the lines around what is to be marked, or give line_width")
    left, bottom, right, top = shape.bounds
    corner = np.array([left, bottom])
    shape = reshaped(shape, lambda points: (points - corner) * per_unit)
    return Drawing(
        name,
        clean_rings(shape),
        (right - left) * per_unit,
        (top - bottom) * per_unit,
        own is not None,
        ledger.list_of_unread(),
        tuple(found.notes),
        None if own is None else ((right - left) * own, (top - bottom) * own),
    )


def _document(data: bytes) -> Any:
    if len(data) > MOST_DXF_BYTES:
        raise refused(f"is a DXF of more than {MOST_DXF_BYTES >> 20} MB; simplify it, or export it as SVG")
    if b"EOF" not in data[-200:]:
        raise refused("breaks off before its end; copy it again, or export it again")
    from ezdxf import recover  # type: ignore[import-not-found, import-untyped, unused-ignore]
    from ezdxf.filemanagement import read  # type: ignore[import-not-found, unused-ignore]
    from ezdxf.lldxf.const import DXFError  # type: ignore[import-not-found, unused-ignore]

    with suppress(DXFError, *_TRIPPED):
        return read(StringIO(data.decode("utf-8").replace("\r\n", "\n")))
    # Another encoding, or damage: the slower way, which mends what it can.
    try:
        return recover.read(BytesIO(data))[0]
    except (DXFError, *_TRIPPED):
        raise refused("is a damaged DXF; export it again, as a text DXF of release R12 or later") from None


def _mm_per_unit(document: Any, how: DrawingReading) -> float | None:
    """None where the file does not say and the wanted width will do; raises Refused where that is not known either."""
    if how.unit is not None:
        if how.unit not in _MM_OF_NAME:
            raise refuse("artwork.unit", f"{how.unit} is no unit known here: write {', '.join(_MM_OF_NAME)}")
        return _MM_OF_NAME[how.unit]
    code = int(document.header.get("$INSUNITS", 0))
    if code in _MM_OF_CODE:
        return _MM_OF_CODE[code]
    if how.width_mm is not None:
        return None
    raise refuse("artwork.unit", 'the DXF does not say its unit: write unit = "mm" or unit = "in", or give the width')


class _Found:
    """What a file holds, in its own units: closed rings, open lines, areas, and lines with a width."""

    def __init__(self, tolerance: float, ledger: Ledger) -> None:
        self.tolerance = tolerance
        self.ledger = ledger
        self.closed: list[Floats] = []
        self.open: list[Floats] = []
        self.areas: list[Shape] = []
        self.notes: list[str] = []

    def take_all(self, document: Any) -> None:
        from ezdxf.disassemble import recursive_decompose  # type: ignore[import-not-found, unused-ignore]

        hidden = {layer.dxf.name.lower() for layer in document.layers if layer.is_off() or layer.is_frozen()}
        for entity in recursive_decompose(document.modelspace()):
            self.ledger.spend(ENTITY_COST)
            if entity.dxf.get("layer", "0").lower() not in hidden and not entity.dxf.get("invisible", 0):
                self._take(entity)

    def _take(self, entity: Any) -> None:
        kind = entity.dxftype()
        if kind in _LINES:
            self._take_line(entity)
        elif kind in _AREAS:
            self._take_area(entity)
        elif kind in _TEXTS:
            self.ledger.unread("text or dimension", "it is left out; explode it to lines, or set it here")
        elif kind not in _SILENT:
            self.ledger.unread(kind.lower(), "it is left out; explode it to lines")

    def _take_line(self, entity: Any) -> None:
        from ezdxf.path import make_path  # type: ignore[import-not-found, unused-ignore]

        path = make_path(entity, segments=ARC_PIECES)
        width = float(entity.dxf.get("const_width", 0.0)) if entity.dxftype() == "LWPOLYLINE" else 0.0
        for part in path.sub_paths() if path.has_sub_paths else (path,):
            points = self._flat(part)
            if points is None:
                continue
            meets = part.is_closed or bool(np.hypot(*(points[0] - points[-1])) <= self.tolerance)
            closed = meets and len(points) > 3
            if width > 0:
                self.areas.append(stroked(_one(points, closed), Pen(width), self.tolerance))
            elif closed:
                self.closed.append(points)
            else:
                self.open.append(points)

    def _take_area(self, entity: Any) -> None:
        from ezdxf.path import from_hatch

        rings = [points for path in from_hatch(entity) if (points := self._flat(path)) is not None]
        if rings:
            self.areas.append(filled(_lines(rings), "evenodd"))

    def _flat(self, path: Any) -> Floats | None:
        """Points (n, 2) of a path; heights over the plane are left out of account."""
        if len(path) == 0:
            return None
        points = np.array([(v.x, v.y) for v in path.flattening(self.tolerance, segments=4)])
        self.ledger.spend(len(points))
        if len(points) < 2 or not np.abs(points).max() < FARTHEST:
            self.ledger.unread("line without extent, or far outside", "it is left out; remove or redraw it")
            return None
        return points

    def shape(self, how: DrawingReading, meet: float) -> Shape:
        """One region of all that was found."""
        rings, loose = joined_ends(self.open, meet)
        contours, doubled = _without_doubles(self.closed + rings, meet)
        if doubled:
            self.notes.append(f"{doubled} contours were drawn twice over each other; each is taken once")
        parts = [*self.areas]
        if contours:
            parts.append(filled(_lines(contours), "evenodd"))
        if loose and how.line_width_mm:
            pen = Pen(how.line_width_mm * meet / MEET_MM, "round", "round")
            parts += [stroked(_one(line, False), pen, self.tolerance) for line in loose]
        elif loose:
            self.ledger.unread("open line", "it borders no area; close it, or give line_width", len(loose))
        return joined_areas(parts)


def _one(points: Floats, closed: bool) -> Polylines:
    return Polylines(points, np.array([0, len(points)]), np.array([closed]))


def _lines(rings: list[Floats]) -> Polylines:
    offsets = np.concatenate([[0], np.cumsum([len(ring) for ring in rings])])
    return Polylines(np.concatenate(rings), offsets, np.ones(len(rings), bool))


def _without_doubles(rings: list[Floats], meet: float) -> tuple[list[Floats], int]:
    """Rings of which no two have the same corners: by even-odd, a contour drawn twice would vanish."""
    seen: dict[bytes, Floats] = {}
    for ring in rings:
        cells = np.unique(np.rint(ring / meet).astype(np.int64), axis=0)
        seen.setdefault(cells.tobytes(), ring)
    return list(seen.values()), len(rings) - len(seen)


def joined_ends(lines: list[Floats], meet: float) -> tuple[list[Floats], list[Floats]]:
    """Closed rings made of lines (n, 2) whose ends lie within `meet` of each other, and lines left over.

    >>> a, b = np.array([[0.0, 0.0], [2.0, 0.0]]), np.array([[0.0, 0.001], [1.0, 2.0], [2.0, 0.0]])
    >>> rings, loose = joined_ends([a, b], 0.01)
    >>> len(rings), len(rings[0]), len(loose)
    (1, 4, 0)
    """
    nodes = _Nodes(meet)
    ends = [(nodes.at(line[0]), nodes.at(line[-1])) for line in lines]
    at_node: dict[int, list[int]] = {}
    for i, pair in enumerate(ends):
        for node in pair:
            at_node.setdefault(node, []).append(i)
    used = [False] * len(lines)
    rings: list[Floats] = []
    loose: list[Floats] = []
    # Begin where a line ends in nothing, so that an open chain is found whole.
    for i in sorted(range(len(lines)), key=lambda k: min(len(at_node[node]) for node in ends[k])):
        if not used[i]:
            chain, closed = _chain(i, lines, ends, at_node, used)
            (rings if closed else loose).append(np.concatenate(chain))
    return rings, loose


def _chain(
    first: int, lines: list[Floats], ends: list[tuple[int, int]], at_node: dict[int, list[int]], used: list[bool]
) -> tuple[list[Floats], bool]:
    used[first] = True
    start, here = ends[first]
    if len(at_node[here]) == 1 and len(at_node[start]) > 1:
        start, here = here, start
    chain = [lines[first] if ends[first] == (start, here) else lines[first][::-1]]
    while here != start:
        following = next((k for k in at_node[here] if not used[k]), None)
        if following is None:
            return chain, False
        used[following] = True
        forward = ends[following][0] == here
        chain.append((lines[following] if forward else lines[following][::-1])[1:])
        here = ends[following][1 if forward else 0]
    return chain, True


class _Nodes:
    """Places where ends meet: one within reach is the same."""

    def __init__(self, reach: float) -> None:
        self.reach = reach
        self._cells: dict[tuple[int, int], list[tuple[int, float, float]]] = {}
        self._count = 0

    def at(self, point: Floats) -> int:
        x, y = float(point[0]), float(point[1])
        column, row = round(x / self.reach), round(y / self.reach)
        for i in (column - 1, column, column + 1):
            for j in (row - 1, row, row + 1):
                for number, px, py in self._cells.get((i, j), ()):
                    if (px - x) ** 2 + (py - y) ** 2 <= self.reach**2:
                        return number
        self._cells.setdefault((column, row), []).append((self._count, x, y))
        self._count += 1
        return self._count - 1
