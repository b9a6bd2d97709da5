"""The picture from the front as a page: the scene in the middle of it, a scale, and that it is a drawing."""

from collections.abc import Callable
from functools import cache
from typing import Final

from rotary.papers.drawing import Area, Mark, PaperPicture, Words, abreast, corners, line, moved
from rotary.papers.letters import clipped, wide_mm
from rotary.papers.sizes import Sizes
from rotary.papers.true_size import LETTER_MM
from rotary.pictures.front import scene_of
from rotary.pictures.scene import MarkedInk, Scene
from rotary.pictures.tones import GROUND
from rotary.pictures.views import side_view
from rotary.sentences.front import DRAWING, DRAWING_SHORT, front_text

LARGEST_MM: Final = (170.0, 230.0)
"""A picture to send goes on a sheet of paper when it is printed."""

LEAST_MM: Final = (90.0, 60.0)
MARGIN: Final = 0.085
FOOT_MM: Final = 3.4 * LETTER_MM
INK: Final = 0.32
SIDE_SHARE: Final = 1.3
"""Width of the view from the side over its height."""

NARROWEST, WIDEST, GAP_MM = 0.62, 1.6, 2.0
"""Of the front on a setup sheet: width over height, and what parts it from the side."""

_BARS_MM: Final = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0)
_BARS_IN: Final = (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0, 2.0, 4.0, 8.0)


def front_picture(
    ink: MarkedInk, sizes: Sizes, room: tuple[float, float] | None = None, from_far: bool = False
) -> PaperPicture:
    """The picture from the front in a room [mm]; without one as large as the item is, as far as a sheet has room."""
    scene = scene_of(ink, from_far)
    wide, high, scale = _page(scene, room, FOOT_MM)
    marks = _set(scene, (wide, high), FOOT_MM, scale)
    return _titled([*marks, *_foot(wide, scale, sizes)], (wide, high), ink, scene)


def screen_picture(ink: MarkedInk, scene: Scene, room: tuple[float, float], close: bool = False) -> PaperPicture:
    """The same in a room of a screen, which has words of its own and no scale; `close` up the artwork fills it."""
    box = scene._replace(box_mm=scene.art_mm) if close else scene
    return _titled(_set(box, room, 0.0, _page(box, room, 0.0)[2]), room, ink, scene)


def sheet_picture(ink: MarkedInk, sizes: Sizes) -> Callable[[float], PaperPicture]:
    """What stands on the setup sheet, by its height [mm]: how the item lies, and beside it what it will look like.

    Where nothing is turned it does not lie on the rotary, and only the front is drawn.
    """
    is_turned = ink.end is None and not ink.flats

    @cache
    def scene() -> Scene:
        return scene_of(ink)

    def picture(high: float) -> PaperPicture:
        left, bottom, right, top = scene().box_mm
        size = high * min(max((right - left) / (top - bottom), NARROWEST), WIDEST), high
        foot_mm = 1.3 * LETTER_MM
        marks = _set(scene(), size, foot_mm, _page(scene(), size, foot_mm)[2])
        text = next((text for text in (DRAWING, DRAWING_SHORT) if wide_mm(text, LETTER_MM, "narrow") <= size[0]), "")
        marks.append(Words(text, size[0] / 2, 0.6, LETTER_MM, "middle", "narrow", INK))
        front = _titled(marks, size, ink, scene())
        side = [side_view(ink.plan, sizes, SIDE_SHARE * high, high)] if is_turned else []
        return abreast((*side, front), GAP_MM)

    return picture


def _titled(marks: list[Mark], size: tuple[float, float], ink: MarkedInk, scene: Scene) -> PaperPicture:
    item = ink.plan.job.item
    text = front_text(item, scene.looked_from_rad, scene.in_sight, ink.is_frame, scene.has_handle)
    return PaperPicture(*size, tuple(marks), f"{item.name}, from the front", text)


def _set(scene: Scene, size: tuple[float, float], foot_mm: float, scale: float) -> list[Mark]:
    """The scene in the middle of its ground, above the foot."""
    left, bottom, right, top = scene.box_mm
    x, y = size[0] / 2 - (left + right) / 2 * scale, (size[1] + foot_mm) / 2 - (bottom + top) / 2 * scale
    return [Area((corners(0.0, 0.0, *size),), GROUND), *moved(scene.marks, x, y, scale)]


def _page(scene: Scene, room: tuple[float, float] | None, foot_mm: float) -> tuple[float, float, float]:
    """Width and height of the page, and the scale of the item on it."""
    left, bottom, right, top = scene.box_mm
    share = 1 - 2 * MARGIN
    most = room or LARGEST_MM
    scale = min(share * most[0] / (right - left), share * (most[1] - foot_mm) / (top - bottom))
    if room is not None:
        return *room, scale
    # True to size where a sheet has room for it, and several times as large where it is small.
    scale = min(scale, max(1.0, LEAST_MM[1] / (top - bottom), LEAST_MM[0] / (right - left) / 1.6))
    wide = max((right - left) * scale / share, LEAST_MM[0])
    return wide, (top - bottom) * scale / share + foot_mm, scale


def _foot(wide: float, scale: float, sizes: Sizes) -> list[Mark]:
    """A length as a scale, and that this is no photograph."""
    inches = sizes.system == "in"
    bars = [25.4 * bar for bar in _BARS_IN] if inches else list(_BARS_MM)
    long = max((bar for bar in bars if bar * scale <= 0.42 * wide), default=bars[0])
    text = f"{long / 25.4:g} in" if inches else f"{long:g} mm"
    low, half, y = 0.45 * LETTER_MM, long * scale / 2, 2.2 * LETTER_MM
    x, tick = wide / 2, 0.7
    return [
        line([(x - half, y + tick), (x - half, y - tick)], 0.25, (), INK),
        line([(x - half, y), (x + half, y)], 0.25, (), INK),
        line([(x + half, y + tick), (x + half, y - tick)], 0.25, (), INK),
        Words(text, wide / 2 + half + 1.5, y - 0.35 * LETTER_MM, LETTER_MM, shade=INK),
        Words(clipped(DRAWING, wide - 2.0, LETTER_MM), wide / 2, low, LETTER_MM, "middle", shade=INK),
    ]
