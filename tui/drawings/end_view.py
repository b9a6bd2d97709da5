"""The round from its end, to scale: slices, drive, focal plane; beside it one slice with its drop drawn larger."""

from typing import TYPE_CHECKING

from rotary.scenes import apex_and_lens_mm, end_scene
from tui.drawings.canvas import Canvas, Line, fitted
from tui.drawings.scenes import border_step, paint, placed
from tui.drawings.words import by_hand, count, fine, length

if TYPE_CHECKING:
    from rotary.plan import Plan


def end_view(plan: "Plan", system: str, width: int, height: int, ascii_only: bool = False) -> list[Line]:
    """The end view as lines of characters."""
    canvas = Canvas(width, height, ascii_only, to_scale=True)
    if width < 12 or height < 5:
        canvas.text(0, 0, fitted("too small for a picture", width), "muted")
        return canvas.lines()
    beside = width >= 62
    room = width - 30 if beside else width
    if width >= 30:
        _detail(canvas, plan, system, room if beside else 0, beside)
    _round(canvas, plan, room, height - (0 if beside else 2))
    return canvas.lines()


def _round(canvas: Canvas, plan: "Plan", width: int, height: int) -> None:
    scene = end_scene(plan, with_bed=False)
    at, scale = placed(canvas, scene, width, height)
    wall_mm = plan.job.item.wall_mm or 0.0
    strokes = [one for one in scene.strokes if one.role != "axis" and (one.role != "inner" or wall_mm * scale >= 1.5)]
    paint(canvas, strokes, at, border_step(scene, scale))
    label = count(plan.split.slices, "slice")
    if len(label) + 2 < plan.layout.reference_radius_mm * scale:
        # Else it would stand in the wall; how many there are stands among the numbers too.
        canvas.text((width - len(label)) // 2, canvas.row(at((0.0, 0.0))[1]), label, "plain")


def _detail(canvas: Canvas, plan: "Plan", system: str, left: int, tall: bool) -> None:
    """One slice across, its sag as many times larger as it takes to be seen."""
    split, (apex_mm, lens_mm) = plan.split, apex_and_lens_mm(plan)
    texts = [
        ("slice on wall", length(split.slice_width_mm, system)),
        ("edge is lower", fine(split.edge_drop_mm, system)),
        (
            "move lens",
            f"{by_hand(abs(lens_mm), system)} {'AWAY' if lens_mm > 0 else 'CLOSER'}" if lens_mm else "not at all",
        ),
        ("apex over bed", by_hand(apex_mm, system)),
    ]
    if not tall:
        # What is set by hand comes first: of a move without its end nobody knows which way it goes.
        line = "  ".join(f"{name} {text}" for name, text in (texts[2], *texts[:2]))
        canvas.text(0, canvas.height - 1, fitted(line, canvas.width), "plain")
        return
    for place, (name, text) in enumerate(texts):
        row = canvas.height - len(texts) + place
        canvas.text(left + 1, row, f"{name:<13}", "muted")
        canvas.text(left + 15, row, text, "plain")
    if canvas.height < len(texts) + 4:
        # No room over the figures for the slice itself.
        return
    x0, x1 = 2 * left + 4.0, 2 * canvas.width - 3.0
    tall_dots = max(min(canvas.tall(canvas.height - len(texts)) - 14, 30), 4)
    top = 10.0
    sags = split.edge_drop_mm > 0
    tall_dots = tall_dots if sags else 0
    points = [(x0 + (x1 - x0) * place / 40, top + tall_dots * (place / 20 - 1) ** 2) for place in range(41)]
    canvas.line(x0, top, x1, top, "grid", dash=2)
    canvas.path(points, "a")
    canvas.text(left + 2, 0, "one slice, curve exaggerated" if sags else "one slice, flat", "muted")
