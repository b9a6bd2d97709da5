"""An SVG file as a drawing: its page in millimetres, y up, everything outside the page cut off."""

from typing import Final

import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.areas import View
from rotary.artwork.drawing import WHOLE_PAGE, Drawing, DrawingReading
from rotary.artwork.ink import ink_region
from rotary.artwork.outline import bounds
from rotary.artwork.overlay import Shape, clean_rings, common
from rotary.artwork.reshape import reshaped
from rotary.artwork.svg.affine import SAME
from rotary.artwork.svg.lengths import MM_PER_PX
from rotary.artwork.svg.reader import Page, page_from_svg
from rotary.artwork.svg.words import SvgWords
from rotary.artwork.work import Ledger, refused

_CLOSE_ENOUGH: Final = 1.25  # chords made for a size that is this near the wanted one are as good


def drawing_from_svg(data: bytes, how: DrawingReading, name: str, ledger: Ledger) -> Drawing:
    """The drawing of an SVG file. Raises Refused.

    >>> path = b'<svg width="9mm" height="9mm"><path d="M0 0h9v9"/></svg>'
    >>> drawing = drawing_from_svg(path, DrawingReading(), "", Ledger())
    >>> round(drawing.width_mm, 9), drawing.size_stated
    (9.0, True)
    """
    page = page_from_svg(data, ledger, SvgWords(how.fonts).draw)
    scale = MM_PER_PX if how.width_mm is None else how.width_mm / _guessed_width_px(page)
    shape = _ink(page, scale, how, ledger)
    if how.width_mm is not None:
        ratio = how.width_mm / (shape.bounds[2] - shape.bounds[0])
        if ratio > _CLOSE_ENOUGH:
            # The ink fills less of its shapes' extent than guessed: chords must be finer for the wanted width.
            shape = _ink(page, scale * ratio, how, ledger)
            ratio, scale = how.width_mm / (shape.bounds[2] - shape.bounds[0]), scale * ratio
        shape, scale = reshaped(shape, lambda points: points * ratio), scale * ratio
    left, bottom, right, top = shape.bounds
    own = MM_PER_PX / scale
    notes = () if page.size_stated or how.width_mm else (_no_size(page),)
    return Drawing(
        name,
        clean_rings(shape),
        page.width_px * scale,
        page.height_px * scale,
        page.size_stated,
        ledger.list_of_unread(),
        notes,
        ((right - left) * own, (top - bottom) * own) if page.size_stated else None,
    )


def _no_size(page: Page) -> str:
    width, height = page.width_px * MM_PER_PX, page.height_px * MM_PER_PX
    return (
        f"the drawing states no size in mm. It could be {width:.1f} by {height:.1f} mm (96 units per inch): enter the "
        "width that you want"
    )


def _guessed_width_px(page: Page) -> float:
    """Width of what is painted, within the page."""
    boxes = [box for item in page.painted if (box := bounds(item.outline, item.affine))]
    if not boxes:
        return page.width_px
    left, right = max(0.0, min(box[0] for box in boxes)), min(page.width_px, max(box[2] for box in boxes))
    return right - left if right > left else page.width_px


def _ink(page: Page, scale: float, how: DrawingReading, ledger: Ledger) -> Shape:
    width, height = page.width_px * scale, page.height_px * scale
    to_mm = (scale, 0.0, 0.0, -scale, 0.0, height) if scale != 1 else SAME
    shape = ink_region(page.painted, View(to_mm, how.tolerance_mm, how.dark_below), ledger)
    left, bottom, right, top = shape.bounds if not shape.is_empty else (0.0, 0.0, 0.0, 0.0)
    if left < 0 or bottom < 0 or right > width or top > height:
        shape = common(shape, shapely.box(0, 0, width, height))
    if shape.area <= 0:
        raise refused(_nothing_dark(page, how.dark_below, ledger))
    if shape.area > WHOLE_PAGE * width * height:
        raise refused("is dark all over, which would mark one whole rectangle: choose a drawing with light parts")
    return shape


def _nothing_dark(page: Page, dark_below: float, ledger: Ledger) -> str:
    boxes = [box for one in page.painted if (box := bounds(one.outline, one.affine))]
    if boxes and not any(x < page.width_px and y < page.height_px and to_x > 0 < to_y for x, y, to_x, to_y in boxes):
        return "lies outside its page: move the shapes onto the page, or make the page as large as the drawing"
    if page.painted:
        return (
            "has nothing dark enough to mark: draw in black what you want to mark, or enter more than "
            f'{100 * dark_below:g} % (0 % is black, 100 % is white) for "dark below"'
        )
    for unread in ledger.list_of_unread():
        return f"has nothing to mark. {unread}"
    return "has nothing to mark: draw shapes filled with black, and save the drawing again"
