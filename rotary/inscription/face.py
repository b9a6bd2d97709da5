"""What a file for a level face will do: read back from the disk, sent through the head, held against the ink.

::

           o  pupil of one mirror, f over the focal plane
          /|
    -----c-+----- focal plane: the command c is met here
        /  |
    ---x---+----- the face, as far below as the setting wants

Nothing here knows how the file was drawn: each outline is followed as straight beams down to the face.
"""

from collections.abc import Sequence
from math import hypot, pi, tan
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.rings import Rings, list_from_rings
from rotary.errors import FileTrouble
from rotary.formulas.arrays import Floats
from rotary.formulas.estimate import HOLDS_95
from rotary.item import fitted_shape
from rotary.job import Job
from rotary.laser import Optics, optics
from rotary.model import Model
from rotary.sheet.reread import SheetDrawing, drawing_from_file
from rotary.simulate.controller import turned_to_item
from rotary.wording import InscriptionWish

STEP_MM: Final = 0.05  # how finely outlines are followed
SEED: Final = 1


class Face(NamedTuple):
    """A part that is not turned while it is marked: the focal plane stands `plane_mm` over its face."""

    job: Job
    wish: InscriptionWish
    plane_mm: float


class FaceForecast(Model):
    """What will happen on a level face, the worst over all of its files [mm].

    `placement_mm` is how far a mark's outline lies from where the ink belongs, `missing_mm` how far a place of the
    ink's outline lies from the nearest mark; `edge_mm` is the least metal left to the rim, or to a flat's end, and
    `bore_mm` that to the bore, None where there is none. `placement_95_mm`: what holds 95 % of what is not known
    about the field's scale and the height of the face.
    """

    files: int
    placement_mm: float
    missing_mm: float
    edge_mm: float
    bore_mm: float | None
    placement_95_mm: float
    says: tuple[str, ...]


def on_face(face: Face, paths: Sequence[Path], inks: Sequence[Rings], draws: int = 200) -> FaceForecast:
    """What the written files will do; raises FileTrouble where one can't be read or shows nothing."""
    lens = optics(face.job.laser)
    placed = missing = scatter = 0.0
    edge, bore = np.inf, np.inf
    for path, ink in zip(paths, inks, strict=True):
        commands = _outline(_as_the_part_lies(path, face))
        landed = landing_mm(commands, lens, face.plane_mm)
        belongs = _followed(list_from_rings(ink))
        placed = max(placed, _farthest_mm(landed, belongs))
        missing = max(missing, _farthest_mm(belongs, landed))
        points = np.concatenate(landed)
        edge = min(edge, _edge_mm(points, face))
        bore = min(bore, float(np.hypot(*points.T).min()) - face.wish.bore_mm / 2)
        scatter = max(scatter, _scatter_mm(np.concatenate(commands), lens, face, draws))
    has_bore = face.wish.around == "end" and face.wish.bore_mm > 0
    found = FaceForecast(
        files=len(paths),
        placement_mm=placed,
        missing_mm=missing,
        edge_mm=edge,
        bore_mm=bore if has_bore else None,
        placement_95_mm=scatter,
        says=(),
    )
    return found.but(says=_sentences(found, face))


def landing_mm(lines: Sequence[Floats], lens: Optics, plane_mm: float) -> list[Floats]:
    """Where beams to these commands meet the face, as straight lines out of each mirror's pupil; lists of (n, 2).

    >>> from types import SimpleNamespace
    >>> head = SimpleNamespace(pupil_x_mm=200.0, pupil_y_mm=None)
    >>> landing_mm([np.array([[10.0, 10.0]])], head, 4.0)[0].round(3).tolist()
    [[10.2, 10.0]]
    """
    out = []
    for points in lines:
        columns = []
        for axis, pupil in ((0, lens.pupil_x_mm), (1, lens.pupil_y_mm)):
            at = points[:, axis]
            if pupil is None:
                columns.append(at)
                continue
            # From (0, f) through (c, 0): the share of the way to the face at height -plane.
            columns.append(at * ((pupil + plane_mm) / pupil))
        out.append(np.stack(columns, axis=1))
    return out


def _as_the_part_lies(path: Path, face: Face) -> SheetDrawing:
    drawing = drawing_from_file(path)
    if not drawing.parts:
        raise FileTrouble(
            f"{path.name} has nothing to mark in it: write the file again with rotary inscribe JOB --to FOLDER"
        )
    if face.wish.around == "end":
        return drawing
    return turned_to_item(drawing, face.job.laser.field_axis, face.job.laser.rim_towards)


def _outline(drawing: SheetDrawing) -> list[Floats]:
    return _followed([ring for part in drawing.parts.values() for ring in list_from_rings(part)])


def _followed(rings: Sequence[Floats]) -> list[Floats]:
    """Outlines as points no farther apart than a step, back to their beginning."""
    return [
        shapely.get_coordinates(shapely.segmentize(shapely.LinearRing(ring), STEP_MM))
        for ring in rings
        if len(ring) > 2
    ]


def _farthest_mm(of: Sequence[Floats], to: Sequence[Floats]) -> float:
    tree = shapely.STRtree([shapely.LineString(line) for line in to])
    points = shapely.points(np.concatenate(of))
    _, far = tree.query_nearest(points, return_distance=True, all_matches=False)
    return float(np.max(far))


def _edge_mm(points: Floats, face: Face) -> float:
    """The least metal left outside of the marks: to the rim of an end face, to the end or side of a flat."""
    shape = fitted_shape(face.job.item)
    if face.wish.around == "end":
        across = face.wish.end_diameter_mm or 2 * float(shape.radius_mm(shape.length_mm))
        return across / 2 - float(np.hypot(*points.T).max())
    assert shape.flats is not None
    return _side_mm(face.wish, 2 * float(shape.radius_mm(shape.length_mm / 2)), shape.flats) - float(
        np.abs(points[:, 0]).max()
    )


def _side_mm(wish: InscriptionWish, across_mm: float, flats: int) -> float:
    """Half of what is flat, from the polygon's own drawing: corners of a radius, or turned down to a diameter."""
    if wish.across_corners_mm is not None:
        return float(min((wish.across_corners_mm**2 - across_mm**2) ** 0.5 / 2, across_mm / 2 * tan(pi / flats)))
    corner = (wish.corner_radius_mm or 0.0) * tan(pi / flats)
    return float(across_mm / 2 * tan(pi / flats) - corner)


def _scatter_mm(points: Floats, lens: Optics, face: Face, draws: int) -> float:
    """How far off the farthest mark may lie, in 95 of 100 draws of the field's scale and the face's height."""
    limits = face.job.tolerances
    chance = np.random.default_rng(SEED)
    far = points[np.argmax(np.hypot(*points.T))][None, :]
    there = landing_mm([far], lens, face.plane_mm)[0]
    strays = []
    known = limits.field_scale_share, limits.focus_mm
    for scale, lower in zip(*(chance.normal(0, half / HOLDS_95, draws) for half in known), strict=True):
        strays.append(hypot(*(landing_mm([far * (1 + scale)], lens, face.plane_mm + lower)[0] - there)[0]))
    return float(np.quantile(strays, 0.95)) if strays else 0.0


def _sentences(found: FaceForecast, face: Face) -> tuple[str, ...]:
    what = "edge of the face" if face.wish.around == "end" else "corner of the flat"
    many = "of all files" if found.files > 1 else "of the file"
    bore = "" if found.bore_mm is None else f", and {found.bore_mm:.2f} mm to the bore"
    says = [
        f"If all that you entered is exact, the marks {many} lie at most "
        f"{1000 * max(found.placement_mm, found.missing_mm):.1f} µm from where they belong.",
        f"{found.edge_mm:.2f} mm stay unmarked between the marks and the {what}{bore}.",
        "Centre the face under the field with the pointer: if the face lies off the middle, so does every mark. Even "
        f"when it is centred, the outermost marks can be up to {found.placement_95_mm:.3f} mm out of place (19 of 20 "
        "parts are better).",
    ]
    if min(found.edge_mm, found.bore_mm if found.bore_mm is not None else np.inf) < 0:
        says.insert(0, "Marks run off the face: this file is for another part.")
    return tuple(says)
