"""A DXF file as a drawing: closed lines are the borders of ink, loose ones are joined where their ends meet.

DXF knows no painting order and seldom a fill, so areas are told by the even-odd rule: a contour in a
contour is a hole. Hatches are areas as they stand, and a contour along a hatch's border is that border and no area of
its own. Layers that are off, frozen or not plotted stay out.
"""

import math
from collections import Counter
from collections.abc import Iterable
from typing import Any, Final

import numpy as np

from rotary.artwork.contours import is_border, joined_ends, nearest_ends, polyline, ring_lines, tapered, without_doubles
from rotary.artwork.drawing import Drawing, DrawingReading
from rotary.artwork.dxf_document import TRIPPED, document_from_dxf
from rotary.artwork.dxf_spline import ended
from rotary.artwork.fill import filled
from rotary.artwork.overlay import Shape, clean_rings, joined_areas
from rotary.artwork.reshape import reshaped
from rotary.artwork.stroke import Pen, stroked
from rotary.artwork.work import FARTHEST, Ledger, refused
from rotary.errors import brief, listing, refuse
from rotary.formulas.arrays import Floats

ENTITY_COST: Final = 30
PATH_COST: Final = 90  # of one that is more than a straight line
BEND_COST: Final = 40  # of an arc in a polyline
BLOCK_COST: Final = 150  # of an entity that a block brings along: it is copied, turned and scaled
MOST_BLOCKS_DEEP: Final = 60
_NAMED: Final = 8
SMALLEST_MM: Final = 0.001  # a drawing that is smaller has another unit
TOO_SMALL: Final = f"is smaller than {SMALLEST_MM:g} mm: check the drawing's unit, or enter its width"
FAR_APART_MM: Final = 1.0  # ends farther apart than this are not meant to meet
ARC_PIECES: Final = 16  # curves a turn: an arc of 40 mm then strays by 3 nm from its circle
MEET_MM: Final = 0.01  # ends of lines that are this near are meant to meet
_LINES: Final = {
    "LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE", "HELIX", "SOLID", "TRACE", "3DFACE",
}  # fmt: skip
_AREAS: Final = {"HATCH", "MPOLYGON"}
_SILENT: Final = {"POINT", "VIEWPORT", "XLINE", "RAY", "ATTDEF"}
_TEXTS: Final = {"TEXT", "MTEXT", "ATTRIB", "DIMENSION", "ARC_DIMENSION", "LEADER", "MULTILEADER", "TOLERANCE"}

# $INSUNITS of the header, as the DXF reference lists it.
_MM_OF_CODE: Final = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0, 8: 25.4e-6, 9: 0.0254, 13: 0.001, 14: 100.0}
_MM_OF_NAME: Final = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}


def drawing_from_dxf(data: bytes, how: DrawingReading, name: str, ledger: Ledger) -> Drawing:
    """The drawing of a text DXF file. Raises Refused: no unit, broken off, no closed contour."""
    document = document_from_dxf(data)
    own = _mm_per_unit(document, how)
    per_unit = own or 1.0
    found, shape = _read(document, how, per_unit, per_unit, ledger)
    if how.width_mm is not None and not shape.is_empty:
        wanted = how.width_mm / (shape.bounds[2] - shape.bounds[0])
        if wanted > per_unit:
            # Read once more, finer; what was noted the first time is not counted twice.
            ledger.forget()
            found, shape = _read(document, how, wanted, per_unit, ledger)
        per_unit = wanted
    if shape.is_empty:
        raise refused(_nothing_closed(document, found, own))
    left, bottom, right, top = shape.bounds
    if max(right - left, top - bottom) * per_unit < SMALLEST_MM:
        raise refused(TOO_SMALL)
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


def _read(document: Any, how: DrawingReading, per_unit: float, own: float, ledger: Ledger) -> "tuple[_Found, Shape]":
    """All that a file holds, as fine as its marks ask for, and the area that it makes.

    A unit of the file is `per_unit` mm wide when it is marked, and `own` mm in the drawing.
    """
    from ezdxf.lldxf.const import DXFError

    found = _Found(max(how.tolerance_mm, 1e-6) / per_unit, ledger)
    try:
        found.take_all(document)
    except RecursionError:
        raise refused("holds blocks that contain themselves: explode these blocks and save the drawing again") from None
    except (DXFError, *TRIPPED):
        raise refused("has a shape that can't be drawn: export the drawing again as a text DXF, or as SVG") from None
    return found, found.shape(how, per_unit, own)


def _nothing_closed(document: Any, found: "_Found", per_unit: float | None) -> str:
    if found.open and per_unit and np.ptp(np.concatenate(found.open), axis=0).max() * per_unit < SMALLEST_MM:
        return TOO_SMALL
    if found.gap is not None and per_unit is None:
        return (
            f"has no closed outline, and the nearest line ends are {found.gap:.3g} of its units apart: close that gap. "
            "The file names no unit: choose its unit too, mm or in"
        )
    if found.gap is not None and per_unit is not None:
        gap_mm = found.gap * per_unit
        instead = f', or enter {1.2 * gap_mm:.2g} mm for "close gaps"' if gap_mm < FAR_APART_MM else ""
        return f"has no closed outline: the nearest line ends are {gap_mm:.3g} mm apart. Close this gap{instead}"
    if not found.open and found.unplotted:
        return (
            f"has shapes only on layers that are hidden or not plotted ({found.hidden_layers()}): show these layers, "
            "and save the drawing again"
        )
    papers = (document.layout(name) for name in document.layout_names() if name != "Model")
    if not found.open and any(entity.dxftype() != "VIEWPORT" for paper in papers for entity in paper):
        return "is drawn on a paper layout: copy the drawing to model space, and save the file again"
    if not found.open:
        for unread in found.ledger.list_of_unread():
            return f"has nothing to mark. {unread}"
        return "has no lines to mark: draw closed outlines, and save the file again"
    return "has no closed outline: close the lines around the area to mark, or enter a line width"


def _mm_per_unit(document: Any, how: DrawingReading) -> float | None:
    """None where the file does not say and the wanted width will do; raises Refused where that is not known either."""
    if how.unit is not None:
        if how.unit not in _MM_OF_NAME:
            raise refuse("artwork.unit", f"{how.unit} is not a unit of drawings: write {listing([*_MM_OF_NAME], 'or')}")
        return _MM_OF_NAME[how.unit]
    code = int(document.header.get("$INSUNITS", 0))
    if code in _MM_OF_CODE:
        return _MM_OF_CODE[code]
    if how.width_mm is not None:
        return None
    raise refuse(
        "artwork.unit", "the DXF does not say its unit: choose mm or in as its unit, or enter the drawing's width"
    )


class _Found:
    """What a file holds, in its own units: closed rings, open lines, areas, and lines with a width."""

    def __init__(self, tolerance: float, ledger: Ledger) -> None:
        self.tolerance = tolerance
        self.ledger = ledger
        self.closed: list[Floats] = []
        self.open: list[Floats] = []
        self.areas: list[Shape] = []
        self.borders: list[Floats] = []  # of hatches
        self.hidden: set[str] = set()
        self.unplotted: Counter[str] = Counter()
        self.gap: float | None = None
        self.notes: list[str] = []

    def take_all(self, document: Any) -> None:
        self.hidden = {
            layer.dxf.name.lower()
            for layer in document.layers
            if layer.is_off() or layer.is_frozen() or not layer.dxf.get("plot", 1)
        } | {"defpoints"}
        self._take_each(document.modelspace(), "0", 0)
        if self.unplotted:
            count = sum(self.unplotted.values())
            shapes = "1 shape is" if count == 1 else f"{count} shapes are"
            says = f"{shapes} not marked, because these layers are hidden or not plotted: {self.hidden_layers()}"
            self.notes.append(says)

    def hidden_layers(self) -> str:
        """The names of the layers whose shapes were left out."""
        layers = sorted(self.unplotted)
        more = [f"{len(layers) - _NAMED} more"] if len(layers) > _NAMED else []
        return listing([*(brief(layer, 40) for layer in layers[:_NAMED]), *more], "and")

    def _take_each(self, entities: Iterable[Any], around: str, depth: int) -> None:
        """Entities, and what blocks hold; in a block, what lies on layer 0 lies on the layer of the block's place."""
        from ezdxf.disassemble import recursive_decompose  # type: ignore[import-not-found, unused-ignore]

        if depth > MOST_BLOCKS_DEEP:
            raise RecursionError
        for entity in entities:
            self.ledger.spend(BLOCK_COST if depth else ENTITY_COST)
            layer = entity.dxf.get("layer", "0")
            layer = around if layer == "0" else layer
            if layer.lower() in self.hidden:
                if entity.dxftype() not in _SILENT:
                    self.unplotted[layer] += 1
            elif not entity.dxf.get("invisible", 0):
                if entity.dxftype() == "INSERT" and (entity.block() is None or entity.block().block.is_xref):
                    self.ledger.unread(
                        "block that is not in this file", "it is not marked. Insert the block again, or remove it"
                    )
                elif entity.dxftype() == "INSERT":
                    self._take_each((text for text in entity.attribs if not text.is_invisible), layer, depth + 1)
                    for one in entity.multi_insert() if entity.mcount > 1 else (entity,):
                        self.ledger.spend(BLOCK_COST)
                        self._take_each(one.virtual_entities(), layer, depth + 1)
                else:
                    whole = entity.dxftype() in _LINES or entity.dxftype() in _TEXTS
                    for part in [entity] if whole else recursive_decompose([entity]):
                        self._take(part)

    def _take(self, entity: Any) -> None:
        kind = entity.dxftype()
        if kind in _LINES:
            self._take_line(entity)
        elif kind in _AREAS:
            self._take_area(entity)
        elif kind in _TEXTS:
            self.ledger.unread("text or dimension", "it is not marked. Explode it to lines, or add its words as a text")
        elif kind not in _SILENT:
            self.ledger.unread(kind.lower(), "it is not marked. Explode it to lines")

    def _take_line(self, entity: Any) -> None:
        from ezdxf.path import make_path  # type: ignore[import-not-found, unused-ignore]

        if entity.dxftype() == "LINE":
            ends = np.array([(end.x, end.y) for end in (entity.dxf.start, entity.dxf.end)])
            if np.abs(ends).max() < FARTHEST and (ends[0] != ends[1]).any():
                self.open.append(ends)
                return
        self.ledger.spend(PATH_COST + BEND_COST * _bends(entity))
        if entity.dxftype() in ("SPLINE", "HELIX"):
            entity.control_points, entity.knots, entity.weights = ended(entity, entity.dxf.degree, entity.knots)
        path = make_path(entity, segments=ARC_PIECES)
        widths = _widths(entity)
        for part in path.sub_paths() if path.has_sub_paths else (path,):
            points = self._flat(part)
            if points is None:
                continue
            meets = part.is_closed or bool(np.hypot(*(points[0] - points[-1])) <= self.tolerance)
            closed = meets and len(points) > 3
            if widths is not None:
                self.areas.append(self._wide(points, closed, part, widths))
            elif closed:
                self.closed.append(points)
            else:
                self.open.append(points)

    def _wide(self, points: Floats, closed: bool, path: Any, widths: Floats) -> Shape:
        """A line with a width: one for all of it, or from (n, 0) to (n, 1) over its n pieces."""
        if np.ptp(widths) == 0:
            return stroked(polyline(points, closed), Pen(float(widths[0, 0])), self.tolerance)
        areas = []
        start = path.start
        for piece, (first, last) in zip(path.commands(), widths.tolist(), strict=False):
            single = type(path)(start)
            single.append_path_element(piece)
            start = piece.end
            line = self._flat(single)
            if line is not None and max(first, last) > 0:
                areas.append(tapered(line, first, last))
        return joined_areas(areas)

    def _take_area(self, entity: Any) -> None:
        from ezdxf.path import from_hatch_boundary_path

        if entity.dxftype() == "HATCH" and getattr(entity, "gradient", None):
            self.ledger.unread("gradient", "it is marked as a solid area. Fill it solid, or remove its light part")
        elif entity.dxftype() == "HATCH" and not entity.dxf.get("solid_fill", 1):
            self.ledger.unread("pattern hatch", "it is marked as a solid area. Explode it to lines, or fill it solid")
        for edge in (edge for path in entity.paths for edge in getattr(path, "edges", ())):
            if hasattr(edge, "knot_values"):
                edge.control_points, edge.knot_values, edge.weights = ended(edge, edge.degree, edge.knot_values)
        ocs, up = entity.ocs(), entity.dxf.elevation.z
        drawn = entity.paths.rendering_paths(entity.dxf.get("hatch_style", 0))
        paths = [from_hatch_boundary_path(path, ocs, up) for path in drawn]
        rings = [points for path in paths for part in path.sub_paths() if (points := self._flat(part)) is not None]
        if rings:
            self.areas.append(filled(ring_lines(rings), "evenodd", self.ledger.spend))
            self.borders += rings

    def _flat(self, path: Any) -> Floats | None:
        """Points (n, 2) of a path; heights over the plane are left out of account."""
        if len(path) == 0:
            return None
        reach = np.array([(v.x, v.y) for v in path.control_vertices()])
        if not np.abs(reach).max() < FARTHEST:
            self.ledger.unread("line far away", "it is not marked. Remove it, or draw it near the rest")
            return None
        points = np.array([(v.x, v.y) for v in path.flattening(self.tolerance, segments=4)])
        self.ledger.spend(len(points))
        if not np.ptp(points, axis=0).max() > 0:
            self.ledger.unread("line of no length", "it is not marked. Remove it")
            return None
        return points

    def shape(self, how: DrawingReading, per_unit: float, own: float) -> Shape:
        """One region of all that was found; gaps are as wide as they are drawn."""
        meet = max(MEET_MM / per_unit, (how.close_gaps_mm or 0.0) / own)
        rings, loose = joined_ends(self.open, meet)
        contours, doubled = without_doubles(self.closed + rings, MEET_MM / per_unit)
        if doubled:
            outlines = "1 outline is" if doubled == 1 else f"{doubled} outlines are"
            self.notes.append(f"{outlines} drawn twice in the same place, but marked only once")
        contours = [ring for ring in contours if not is_border(ring, self.borders, 10 * MEET_MM / per_unit)]
        parts = [*self.areas]
        if contours:
            parts.append(filled(ring_lines(contours), "evenodd", self.ledger.spend))
        if loose and how.line_width_mm:
            pen = Pen(how.line_width_mm / per_unit, "round", "round")
            parts += [stroked(polyline(line, False), pen, self.tolerance) for line in loose]
        elif loose:
            self.gap = nearest_ends(loose)
            gap_mm = math.inf if self.gap is None else self.gap * own
            near = f', or enter {1.2 * gap_mm:.2g} mm for "close gaps" (the ends are {gap_mm:.3g} mm apart)'
            cure = (
                "it encloses no area, so it is not marked. Close the line, or enter a line "
                f"width{near if gap_mm < FAR_APART_MM else ''}"
            )
            self.ledger.unread("open line", cure, len(loose))
        return joined_areas(parts)


def _bends(entity: Any) -> int:
    """How many pieces of a polyline are arcs."""
    if entity.dxftype() == "LWPOLYLINE":
        return sum(bool(point[0]) for point in entity.get_points("b"))
    return sum(bool(one.dxf.get("bulge", 0)) for one in entity.vertices) if entity.dxftype() == "POLYLINE" else 0


def _widths(entity: Any) -> Floats | None:
    """Widths (n, 2) at the start and end of each piece of a polyline; None where it has none."""
    if entity.dxftype() == "LWPOLYLINE":
        wide = entity.dxf.get("const_width", 0.0)
        own = [(point[2] or wide, point[3] or wide) for point in entity.get_points("xyse")]
    elif entity.dxftype() == "POLYLINE" and entity.is_2d_polyline:
        wide = entity.dxf.get("default_start_width", 0.0), entity.dxf.get("default_end_width", 0.0)
        own = [
            (vertex.dxf.get("start_width", wide[0]), vertex.dxf.get("end_width", wide[1])) for vertex in entity.vertices
        ]
    else:
        return None
    pieces = own if entity.is_closed else own[:-1]
    widths = np.array(pieces, float).reshape(-1, 2)
    return widths if (widths > 0).any() else None
