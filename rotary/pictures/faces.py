"""Items with flats, and end faces, in the picture from the front."""

from math import cos, pi, sin, tan
from typing import Final

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.rings import NO_INK, Rings, moved, shapely_from_rings
from rotary.formulas.arrays import Floats
from rotary.formulas.circle import within_half_turn
from rotary.formulas.sight import sight_mm
from rotary.papers.drawing import Area
from rotary.pictures import scene
from rotary.pictures.tones import lit
from rotary.plan import Plan
from rotary.sheet.facets import inked_flats

END_FACES_RAD: Final = -0.25
"""An end face is as bright as a wall that faces so far to the light."""


def flats_scene(view: scene.ItemView, ink: scene.MarkedInk) -> scene.Scene:
    """A prism: each flat that faces the eye in one tone, with what is marked on it."""
    shape, count = view.shape, view.shape.flats or 0
    out, turn = float(shape.radius_mm(0.0)), 2 * pi / count
    half = out * tan(turn / 2)
    inks = _inks_by_flat(view.plan, ink, out, count)
    total = sum(shapely_from_rings(rings).area for rings in inks.values())
    marks, art = list[Area](), list[Area]()
    faces, in_sight = [], 0.0
    for number in sorted(range(count), key=lambda k: cos(k * turn - view.look)):
        facing = number * turn - view.look
        if out >= view.eye.distance_mm * cos(facing) - 1e-9:
            continue

        def place(u: Floats, s: Floats, facing: float = facing) -> tuple[Floats, Floats]:
            across, towards = out * sin(facing) + u * cos(facing), out * cos(facing) - u * sin(facing)
            return sight_mm(view.eye, across, s, towards)

        corners = np.array([(-half, 0.0), (half, 0.0), (half, shape.length_mm), (-half, shape.length_mm)])
        face = shapely.Polygon(np.stack(place(*corners.T), axis=1))
        faces.append(face)
        turned = float(within_half_turn(facing))
        marks += scene.areas(face, view.surface(turned))
        rings = inks.get(number, NO_INK)
        if len(rings.points_mm):
            in_sight += shapely_from_rings(rings).area / total
            drawn = shapely_from_rings(Rings(np.stack(place(*rings.points_mm.T), axis=1), rings.offsets))
            art += scene.areas(drawn, view.marked(turned))
            marks += [art[-1], *scene.edge_areas(view, drawn)]
        marks += scene.areas(face.difference(face.buffer(-0.5 * view.rim_mm)), lit(view.tint, 0.35))
    return view.scene(scene.PaintedItem(shapely.union_all(faces), marks, art), in_sight)


def _inks_by_flat(plan: Plan, ink: scene.MarkedInk, out: float, count: int) -> dict[int, Rings]:
    """The ink of each flat by its number from the front, from the flat's middle and from the foot."""
    if ink.flats:
        return {number % count: rings for number, rings in ink.flats}
    own = round(plan.layout.centre_angle_rad / (2 * pi / count))
    rings = scene.frame_rings(plan) if ink.wall is None else ink.wall
    return {
        (own + number) % count: moved(part, 0.0, plan.layout.centre_mm)
        for number, part in inked_flats(rings, out, count).items()
    }


def end_scene(plan: Plan, rings: Rings, bore_mm: float) -> scene.Scene:
    """The end face, looked at along the axis: true to shape, the axis at (0, 0)."""
    view, shape = scene.ItemView(plan, scene.eye_before(plan.shape), 0.0), plan.shape
    out, sides = scene.reach_mm(shape, shape.length_mm), shape.flats or scene.ROUND
    corners = 2 * pi * (np.arange(sides) + 0.5) / sides
    face = shapely.Polygon(out * np.stack([np.sin(corners), np.cos(corners)], axis=1))
    wall_mm = plan.job.item.wall_mm
    hole = max(bore_mm / 2, float(shape.radius_mm(shape.length_mm)) - wall_mm if wall_mm else 0.0)
    face = face.difference(shapely.Point(0, 0).buffer(hole, 64)) if hole else face
    marks = list(scene.areas(face, view.surface(END_FACES_RAD)))
    for turn in np.linspace(-pi, pi, scene.STRIPS, endpoint=False).tolist():
        # A turned face shines in two wedges across it.
        ends = [
            (0.0, 0.0),
            *((2 * out * sin(at), 2 * out * cos(at)) for at in (turn - scene.LAP_RAD, turn + 2 * pi / scene.STRIPS)),
        ]
        tone = lit(view.surface(END_FACES_RAD), 0.88 + 0.12 * cos(2 * (turn + pi / 4)))
        marks += scene.areas(face.intersection(shapely.Polygon(ends)), tone)
    drawn = shapely_from_rings(rings)
    marks += [*scene.areas(drawn, view.marked(END_FACES_RAD)), *scene.edge_areas(view, drawn)]
    marks += scene.areas(face.difference(face.buffer(-view.rim_mm)), lit(view.surface(END_FACES_RAD), 0.45))
    return scene.Scene(tuple(marks), face.bounds, face.bounds, 0.0, 1.0)
