"""The item from its side, to scale, as it lies on its drive: taper, tilt, band, apex line, focal plane."""

from typing import TYPE_CHECKING

from rotary.defaults import END_NAMES
from rotary.scenes import apex_and_lens_mm, side_scene
from tui.drawings.canvas import Canvas, Line, fitted
from tui.drawings.scenes import paint, placed
from tui.drawings.words import by_hand

if TYPE_CHECKING:
    from rotary.plan import Plan


def side_view(plan: "Plan", system: str, width: int, height: int, ascii_only: bool = False) -> list[Line]:
    """The side view as lines of characters: foot left, rim right, the bed below."""
    canvas = Canvas(width, height, ascii_only, to_scale=True)
    if width < 12 or height < 6:
        canvas.text(0, 0, fitted("too small for a picture", width), "muted")
        return canvas.lines()
    scene = side_scene(plan)
    paint(canvas, scene.strokes, placed(canvas, scene, width, height - 2)[0])
    base, rim = END_NAMES[plan.job.item.solid]
    canvas.text(0, height - 2, base, "muted")
    canvas.text(width - 1 - len(rim), height - 2, rim, "muted")
    rests = plan.turning.contact_mm is not None
    apex_mm, lens_mm = apex_and_lens_mm(plan)
    plane, apex = (by_hand(mm, system) for mm in (apex_mm + lens_mm, apex_mm))
    says = f"focus {plane} over the bed, apex {apex}{'. At ^ the item rests on the rollers' if rests else ''}"
    if len(says) > width:
        says = f"over the bed: focus {plane}, apex {apex}{', ^ rollers' if rests else ''}"
    canvas.text(0, height - 1, fitted(says, width), "plain")
    return canvas.lines()
