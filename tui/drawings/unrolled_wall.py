"""The wall unrolled, to scale: where flat artwork lands, the slices, what is seen from the front."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from rotary.artwork.own_size import size_words
from rotary.defaults import END_NAMES
from rotary.scenes import Point, on_the_wall, unrolled_scene
from tui.drawings.canvas import Canvas, Line, fitted, greyed
from tui.drawings.fill import fill_rings
from tui.drawings.inscription import picture as on_faces
from tui.drawings.panel_content import NOTHING, Content
from tui.drawings.scenes import border_step, paint, placed
from tui.drawings.words import count, length, wrapped

if TYPE_CHECKING:
    from rotary.plan import Plan

BELOW: Final = ("outline", "guide", "corner")
"""What lies under the artwork's ink."""


def unrolled(
    plan: "Plan", system: str, width: int, height: int, ascii_only: bool = False, art: Content = NOTHING
) -> list[Line]:
    """The unrolled view as lines of characters: rim above, right as the head sees it; `art` is the artwork on it.

    Words on flats or an end face are shown as they lie there.
    """
    if art.value is not None and hasattr(art.value, "faces"):
        lines = on_faces(art.value.faces, system, width, height, ascii_only)
        return lines if art.fresh else greyed(lines)
    said = _said(art, plan, system, width)
    # What is said of the artwork may not push the wall out of sight.
    said = said[: max((height - 8) // 2, 0)]
    canvas = Canvas(width, height - len(said), ascii_only, to_scale=True)
    height -= len(said)
    if width < 12 or height < 6:
        canvas.text(0, 0, fitted("too small for a picture", width), "muted")
        return canvas.lines()
    scene = unrolled_scene(plan, art.value.borders_rad if art.fresh and art.value is not None else ())
    at, scale = placed(canvas, scene, width, height - 2, 1)
    step = border_step(scene, scale)
    below = [one for one in scene.strokes if one.role in BELOW]
    paint(canvas, below, at)
    if art.value is not None:
        _ink(canvas, plan, art, at)
    paint(canvas, scene.strokes[len(below) :], at, step)
    lies, flats = plan.layout, plan.job.item.flats
    many = count(plan.split.slices, "slice") + (f", 1 of {step} borders drawn" if step > 1 else "")
    edges = ", edges of the flats" if flats else ""
    base, rim = END_NAMES[plan.job.item.solid]
    canvas.text(0, 0, fitted(f"{rim:<5} dotted: front, 90° left/right{edges}. {many}", width), "muted")
    every = [length(w, system) for w in (lies.width_top_mm, lies.width_centre_mm, lies.width_bottom_mm)]
    widths = every[0] if len(set(every)) == 1 else " / ".join(text.split(" ")[0] for text in every) + f" {system}"
    free = length(lies.gap_mm, system)
    says = f"{base:<5} artwork {widths} wide, you see {lies.visible_share:.0%} of it at once, {free} of wall left free"
    if len(says) > width:
        says = f"{base:<5} artwork {widths} wide, {free} of wall left free"
    canvas.text(0, height - 1, fitted(says, width), "plain")
    return [*canvas.lines(), *said]


def _ink(canvas: Canvas, plan: "Plan", art: Content, at: Callable[[Point], Point]) -> None:
    """The artwork where it lands; on a flat it is told along it."""
    wall, ink = on_the_wall(plan), "strong" if art.fresh else "muted"
    middle_mm = wall(plan.job.artwork.centre_angle_rad, plan.outline[0][0])[0]
    flat = art.value.flat
    fill_rings(canvas, art.value.rings, lambda u, s: at((middle_mm + u, s) if flat else wall(u, s)), ink)


def _said(art: Content, plan: "Plan", system: str, width: int) -> list[Line]:
    """What is to be said of the artwork, the most important first."""
    lines: list[Line] = []
    if art.says:
        ink = "bad" if art.bad else "muted"
        lines += wrapped(f"artwork: {art.says}", width - 1, ink, " ! " if art.bad else " ")
    if art.value is None:
        return lines
    value, ink = art.value, "plain" if art.fresh else "muted"
    sizes = [
        size_words(name if len(value.sizes) > 1 else "", drawn_mm, marked_mm, system, is_text)
        for name, drawn_mm, marked_mm, is_text in value.sizes
    ]
    if sizes:
        lines += wrapped(" ".join(sizes), width - 1, "strong", " ")
    drawn, planned = (f"{share:.0%}" for share in (value.ink_share, plan.job.artwork.ink_share))
    change = f" (the plan takes {planned}: Ctrl+P, Dark share as drawn changes that)" if drawn != planned else ""
    says = (
        f"The dark parts span {length(value.width_mm, system)} × {length(value.height_mm, system)}. They cover "
        f"{drawn} of the frame{change}."
    )
    lines += wrapped(says, width - 1, ink, " ")
    for text in value.unread:
        lines += wrapped(text, width - 1, "warn", " ! ")
    for text in value.notes:
        lines += wrapped(text, width - 1, "muted", " - ")
    return lines
