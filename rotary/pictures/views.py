"""The item to scale: from its end, from its side, and its wall unrolled."""

from collections.abc import Callable
from math import pi
from typing import Final, NamedTuple, TypeAlias

import numpy as np

from rotary.artwork.cut import slices_between
from rotary.artwork.rings import Rings, bounds_mm, list_from_rings, moved
from rotary.artwork.wall import on_wall
from rotary.formulas.arrays import Floats
from rotary.item import End
from rotary.papers.drawing import (
    BLACK,
    CENTRE,
    DASHED,
    DOTTED,
    FIRM_MM,
    HAIR_MM,
    HEAVY_MM,
    THIN_MM,
    Area,
    Mark,
    PaperPicture,
    Words,
    area,
    line,
)
from rotary.papers.letters import clipped, wide_mm
from rotary.papers.sizes import Sizes
from rotary.papers.true_size import LETTER_MM
from rotary.plan import Plan
from rotary.scenes import ItemScene, Role, apex_and_lens_mm, around_mm, end_scene, radius_at, side_scene, unrolled_scene

PALE, MIDDLE = 0.9, 0.7
Onto: TypeAlias = Callable[..., Floats]
KEY = "thick line: artwork, dashed line: focus"
OUTLINE_MM = 0.02
"""How near the drawn artwork follows the mapped one: below what a printer shows."""


def _scale_words(scale: float) -> str:
    """A scale as drawings name it.

    >>> _scale_words(0.5), _scale_words(4.0)
    ('1 : 2', '4 : 1')
    """
    return f"{scale:.3g} : 1" if scale >= 1 else f"1 : {1 / scale:.3g}"


class LineLook(NamedTuple):
    """How a line is drawn: its width, dashes and shade, and the shade of what lies in it."""

    width_mm: float
    dashes_mm: tuple[float, ...] = ()
    shade: float = BLACK
    fill: float | None = None


LOOKS: Final[dict[Role, LineLook]] = {
    "roller": LineLook(THIN_MM, fill=MIDDLE), "outline": LineLook(FIRM_MM, fill=PALE),
    "handle": LineLook(THIN_MM, fill=MIDDLE),
    "inner": LineLook(HAIR_MM), "border": LineLook(HAIR_MM, shade=0.45), "artwork": LineLook(HEAVY_MM, shade=0.25),
    "cut": LineLook(THIN_MM, DOTTED), "axis": LineLook(HAIR_MM, CENTRE), "end": LineLook(THIN_MM, DASHED),
    "plane": LineLook(THIN_MM, DASHED), "guide": LineLook(HAIR_MM, DOTTED), "corner": LineLook(HAIR_MM, DASHED),
    "weld": LineLook(FIRM_MM, (0.8, 0.8)),
}  # fmt: skip

LEAST_MM: Final = 0.45
"""Borders nearer to each other than this are not drawn."""


def _placed(scene: ItemScene, wide: float, high: float, left: float, bottom: float) -> tuple[Onto, float]:
    """Where a place of the scene lies on the paper, with the scene in so much room over a corner; its scale."""
    scale = scene.scale(wide, high)
    by = np.array([left + wide / 2 - (scene.left + scene.right) / 2 * scale, bottom - scene.bottom * scale])
    return lambda points: np.asarray(points, float) * scale + by, scale


def _painted(scene: ItemScene, at: Onto, looks: dict[Role, LineLook]) -> list[Mark]:
    marks: list[Mark] = []
    for role, points in scene.strokes:
        on_paper = at(points)
        if role == "contact":
            (x, y) = on_paper[0]
            marks.append(area([(x, y), (x - 1.0, y - 1.8), (x + 1.0, y - 1.8)], 0.0))
        elif role == "bed":
            marks += _bed(float(on_paper[0, 0]), float(on_paper[1, 0]), float(on_paper[0, 1]))
        elif (look := looks.get(role)) is not None:
            marks += [area(on_paper, look.fill)] if look.fill is not None else []
            marks.append(line(on_paper, look.width_mm, look.dashes_mm, look.shade))
    return marks


def end_view(plan: Plan, sizes: Sizes, wide: float, high: float) -> PaperPicture:
    """The round from its end: drive, slices, focal plane; beside it one slice, its sag drawn larger."""
    room = 0.6 * wide
    marks, scale = _end(plan, room - 2.0, high - 3.4)
    split, (apex, lens) = plan.split, apex_and_lens_mm(plan)
    texts = [
        ("slice", sizes.length(split.slice_width_mm)),
        ("drop", f"{sizes.fine(split.edge_drop_mm, signed=False)} {sizes.fine_unit}"),
        ("focus over apex", f"{'+' if lens > 0 else ''}{sizes.by_hand(lens)}"),
        ("apex over bed", sizes.by_hand(apex)),
    ]
    marks += _detail(plan, room, wide, high - 2.0)
    for place, (name, text) in enumerate(reversed(texts)):
        y = 0.6 + place * 1.3 * LETTER_MM
        left = wide - room - wide_mm(text, LETTER_MM, "bold") - 1.0
        marks.append(Words(clipped(name, left, LETTER_MM, "narrow"), room, y, LETTER_MM, face="narrow"))
        marks.append(Words(text, wide, y, LETTER_MM, "end", "bold"))
    end = plan.job.item.end_words("base")
    marks.append(Words(f"seen from {end}, {_scale_words(scale)}", 0.0, 0.6, LETTER_MM))
    each = f"each of the {split.slices} slices" if split.slices > 1 else "the slice"
    says = (
        f"{each} is {texts[0][1]} wide. Its edge lies {texts[1][1]} below its middle. The focus is "
        f"{sizes.by_hand(abs(lens))} {'below' if lens < 0 else 'above'} the apex, and the apex {texts[3][1]} over the "
        "bed."
    )
    return PaperPicture(wide, high, tuple(marks), "End view", says)


def _end(plan: Plan, wide: float, high: float) -> tuple[list[Mark], float]:
    scene = end_scene(plan)
    at, scale = _placed(scene, wide, high, 0.0, 3.6)
    looks = {**LOOKS, "axis": LineLook(HAIR_MM)}
    if scene.slice_mm * scale <= LEAST_MM:
        del looks["border"]
    if (plan.job.item.wall_mm or 0.0) * scale <= 0.25:
        del looks["inner"]
    return _painted(scene, at, looks), scale


def _bed(left: float, right: float, y: float) -> list[Mark]:
    """The bed: a line with short slants under it."""
    marks: list[Mark] = [line([(left, y), (right, y)], THIN_MM)]
    many = max(int((right - left) / 2.0), 2)
    for place in range(many):
        x = left + (right - left) * (place + 1) / many
        marks.append(line([(x, y), (x - 0.8, y - 0.8)], HAIR_MM))
    return marks


def _detail(plan: Plan, left: float, right: float, top: float) -> list[Mark]:
    """One slice across, to scale in its width, its sag as many times larger as it takes to be seen."""
    width, sag = plan.split.slice_width_mm, plan.split.edge_drop_mm
    radius = plan.layout.reference_radius_mm
    flat = sag <= 0 or bool(plan.job.item.flats)
    across = right - left
    # The figures stand below it, four lines of them.
    floor = 0.6 + 4 * 1.3 * LETTER_MM + 0.8
    deep = max(min(0.22 * top, top - 3.6 - floor - 0.6), 1.0)
    x = np.linspace(-width / 2, width / 2, 61)
    # Seen from the end: an arc's place across, and how far the wall has fallen there.
    down = np.zeros_like(x) if flat else 2 * radius * np.sin(x / (2 * radius)) ** 2
    x = x if flat else radius * np.sin(x / radius)
    scale = across / max(2 * float(np.abs(x).max()), 1e-9)
    most = float(down.max())
    larger = 1.0 if flat or most <= 0 else deep / (most * scale)
    surface = np.stack([left + across / 2 + x * scale, top - 3.6 - down * scale * larger], axis=1)
    base = max(top - 3.6 - deep - 2.0, min(floor, top - 3.6 - deep - 0.4))
    solid = np.concatenate([surface, [(right, base), (left, base)]])
    words = "one slice, flat" if flat else f"slice, drop drawn {larger:.3g} × as deep"
    marks: list[Mark] = [
        area(solid, PALE),
        line(surface, FIRM_MM),
        line([(left, top - 3.6), (right, top - 3.6)], HAIR_MM, DASHED),
        Words(clipped(words, across, LETTER_MM, "narrow"), left, top - LETTER_MM, LETTER_MM, face="narrow"),
    ]
    if not flat:
        marks.append(line([(right - 0.2, top - 3.6), (right - 0.2, float(surface[-1, 1]))], THIN_MM))
    return marks


def side_view(plan: Plan, sizes: Sizes, wide: float, high: float) -> PaperPicture:
    """The item from its side as it lies on its drive: taper, tilt, band, apex line, focal plane."""
    scene, margin = side_scene(plan), 3.6 + 1.3 * LETTER_MM
    apex, lens = apex_and_lens_mm(plan)
    at, scale = _placed(scene, wide - 2.0, high - margin - 1.0, 1.0, margin)
    marks = _painted(scene, at, {**LOOKS, "artwork": LineLook(2 * HEAVY_MM, shade=0.2)})
    marks.append(Words(plan.job.item.end_name("base"), 0.0, margin - 2.6, LETTER_MM))
    marks.append(Words(plan.job.item.end_name("rim"), wide, margin - 2.6, LETTER_MM, "end"))
    rests = ", black: it rests on the rollers" if plan.turning.contact_mm is not None else ""
    # A small picture says less, not half of it.
    texts = (f"{_scale_words(scale)}, {KEY}{rests}", f"{KEY}{rests}", KEY, "thick line: artwork")
    text = next((text for text in texts if wide_mm(text, LETTER_MM, "narrow") <= wide), "")
    marks.append(Words(text, 0.0, 0.6, LETTER_MM, face="narrow"))
    up: End = "rim" if plan.turning.tilt_rad >= 0 else "base"
    tilt = f"{np.degrees(abs(plan.turning.tilt_rad)):.2f}"
    lies = "level" if tilt == "0.00" else f"tilted by {tilt}°, with {plan.job.item.end_words(up)} higher"
    says = (
        f"the focus is {sizes.by_hand(apex + lens)} over the bed, the apex {sizes.by_hand(apex)}. The axis is {lies}."
    )
    return PaperPicture(wide, high, tuple(marks), "Side view", says)


def unrolled(plan: Plan, sizes: Sizes, wide: float, high: float, rings: Rings | None = None) -> PaperPicture:
    """The wall unrolled, each level line at its own length: where the artwork lands, the slices, handle, weld line."""
    scene, lies, head = unrolled_scene(plan), plan.layout, 1.3 * LETTER_MM
    room = wide - 1.0, high - 2.6 * head
    at, scale = _placed(scene, *room, 0.5, (high - (scene.top - scene.bottom) * scene.scale(*room)) / 2)
    drawn, count = scene.slice_mm * scale > LEAST_MM, plan.split.slices
    looks = {**LOOKS, "artwork": LineLook(HEAVY_MM), "handle": LineLook(HEAVY_MM, (1.5, 1.0))}
    if not drawn:
        del looks["border"]
    marks = _painted(scene, at, looks)
    if rings is not None:
        marks += _outlines(plan, at, rings)
    rim, base = (plan.job.item.end_name(end) for end in ("rim", "base"))
    marks.append(Words(rim, 0.0, high - LETTER_MM, LETTER_MM))
    many = f"{count} slice{'s' if count != 1 else ''}" + ("" if drawn else ", too narrow to draw")
    right = f"Dotted lines: the front, 90° to each side. {many}, scale {_scale_words(scale)}"
    left = wide - wide_mm(rim, LETTER_MM) - 2.0
    marks.append(Words(clipped(right, left, LETTER_MM, "narrow"), wide, high - LETTER_MM, LETTER_MM, "end", "narrow"))
    widths = list(dict.fromkeys(map(sizes.length, (lies.width_top_mm, lies.width_bottom_mm))))
    across = f"{' at the top, '.join(widths)} wide{' at the bottom' * (len(widths) > 1)}"
    free = sizes.length(lies.gap_mm)
    marks.append(Words(base, 0.0, 0.6, LETTER_MM, face="narrow"))
    under, after = f"artwork {across}, {free} stay unmarked", wide_mm(f"{base}   ", LETTER_MM, "narrow")
    marks.append(Words(clipped(under, wide - after, LETTER_MM, "narrow"), after, 0.6, LETTER_MM, face="narrow"))
    whole = "flat" if plan.job.item.flats else "way round"
    rest = f" {free} of the {whole} stay unmarked." if lies.gap_mm > 0.005 else ""
    says = f"the artwork is {across}, in {many}.{rest}"
    return PaperPicture(wide, high, tuple(marks), "Wall unrolled", says)


def _in_one_turn(rings: Rings, turn: float) -> list[Rings]:
    """Ink in the one turn about the front; what lies beyond its edges comes in from the other side."""
    left, _, right, _ = bounds_mm(rings)
    first, last = round(left / turn), round(right / turn)
    strips = slices_between(rings, (np.arange(first, last) + 0.5) * turn)
    return [moved(strip, -k * turn, 0.0) for k, strip in enumerate(strips, first)]


def _outlines(plan: Plan, at: Onto, rings: Rings) -> list[Mark]:
    """Real artwork through its surface map onto the wall, drawn as it lands."""
    art, shape, middle_mm = plan.job.artwork, plan.shape, plan.layout.centre_mm
    if shape.flats:
        # Flats lie flat as they are, beside each other.
        radius = radius_at(plan.outline, middle_mm)
        flat = moved(rings, around_mm(art.centre_angle_rad, radius, shape.flats), middle_mm)
        whole_mm = 2 * around_mm(pi, radius, shape.flats)
        shown = [at(ring) for part in _in_one_turn(flat, whole_mm) for ring in list_from_rings(part)]
    else:
        wall = moved(on_wall(rings, art.surface_map, shape.curve, middle_mm, OUTLINE_MM), art.centre_angle_rad, 0.0)
        on_it = [ring for part in _in_one_turn(wall, 2 * pi) for ring in list_from_rings(part)]
        shown = [at(np.stack([r[:, 0] * shape.radius_mm(r[:, 1]), r[:, 1]], axis=1)) for r in on_it]
    return [Area(tuple(shown), 0.15)] if shown else []
