"""The round from its end, to scale: slices, drive, focal plane; beside it one slice with its drop drawn larger."""

from math import cos, pi, sin, tan
from typing import TYPE_CHECKING

from tui.drawings.canvas import Canvas, Line, fitted
from tui.drawings.words import count, fine, length

if TYPE_CHECKING:
    from rotary.item import Item
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
    drive, radius = plan.job.turning, plan.layout.reference_radius_mm
    axis_mm = max(plan.focus.apex_height_mm - radius, radius)
    # Tell the kinds apart by name: a plan from another process has no classes.
    rollers = drive if drive.kind == "rollers" else None
    half_mm = max(radius, (rollers.centres_mm + rollers.roller_diameter_mm) / 2 if rollers else 0.0)
    plane_mm = plan.focus.plane_over_apex_mm
    top_mm = axis_mm + radius + max(plane_mm, 0.0) + 0.03 * radius
    roller_mm = axis_mm - _axis_over_rollers_mm(plan) if rollers else axis_mm
    low_mm = max(min(axis_mm - radius, roller_mm - rollers.roller_diameter_mm / 2 if rollers else axis_mm), 0.0)
    scale = min((2 * width - 3) / (2 * half_mm), (canvas.tall(height) - 2) / (top_mm - low_mm))
    x0, ground = float(width), canvas.tall(height) - 2.0

    def across(mm: float) -> float:
        return float(x0 + mm * scale)

    def up(mm: float) -> float:
        return float(ground - (mm - low_mm) * scale)

    if low_mm == 0.0:
        canvas.line(across(-half_mm), ground, across(half_mm), ground, "muted", dash=2)
    if rollers:
        for side in (-1, 1):
            roller = rollers.roller_diameter_mm / 2 * scale
            canvas.arc(across(side * rollers.centres_mm / 2), up(roller_mm), roller, "muted")
    _wall(canvas, plan.job.item, x0, up(axis_mm), radius * scale)
    _handle(canvas, plan, x0, up(axis_mm), scale)
    wall_mm = plan.job.item.wall_mm
    if wall_mm and wall_mm * scale >= 1.5:
        canvas.arc(x0, up(axis_mm), (radius - wall_mm) * scale, "grid")
    _slices(canvas, plan, x0, up(axis_mm), radius * scale)
    plane = up(axis_mm + radius + plane_mm)
    canvas.line(across(-0.7 * radius), plane, across(0.7 * radius), plane, "c", dash=3)
    middle = canvas.row(up(axis_mm))
    label = count(plan.split.slices, "slice")
    if len(label) + 2 < radius * scale:
        # Else it would stand in the wall; how many there are stands among the numbers too.
        canvas.text((width - len(label)) // 2, middle, label, "plain")


def _wall(canvas: Canvas, item: "Item", x: float, y: float, radius: float) -> None:
    """The outline: a circle, or as many flats as there are, one of them on top."""
    if not item.flats:
        canvas.arc(x, y, radius, "a")
        return
    corner = radius / cos(pi / item.flats)
    angles = [2 * pi * (place + 0.5) / item.flats for place in range(item.flats + 1)]
    canvas.path([(x + corner * sin(angle), y - corner * cos(angle)) for angle in angles], "a")


def _handle(canvas: Canvas, plan: "Plan", x: float, y: float, scale: float) -> None:
    """The handle, where it stands with the artwork's middle on top."""
    handle = plan.job.item.handle
    if handle is None:
        return
    inner = plan.layout.reference_radius_mm * scale
    outer = inner + handle.reach_mm * scale
    middle = handle.angle_rad - plan.job.artwork.centre_angle_rad
    low, high = middle - handle.width_rad / 2, middle + handle.width_rad / 2
    for angle in (low, high):
        canvas.spoke((x, y), angle, (inner, outer), "warn")
    canvas.arc(x, y, outer, "warn", low, high)


def _axis_over_rollers_mm(plan: "Plan") -> float:
    """How far the item's axis stands over the rollers' at the artwork's middle; a shim lifts both."""
    turning, cradle = plan.turning, plan.turning.cradle
    if cradle is None or turning.contact_mm is None:
        return float(turning.axis_height_mm - plan.job.turning.axis_height_mm)
    beyond_mm = plan.layout.centre_mm - turning.contact_mm
    return float(cradle.axis_height_mm - plan.job.turning.axis_height_mm + beyond_mm * tan(cradle.tilt_rad))


def _slices(canvas: Canvas, plan: "Plan", x: float, y: float, radius: float) -> None:
    """The borders of the slices, the artwork's middle on top; the slice in work stands out."""
    split = plan.split
    count, index = split.slices, split.index_angle_rad
    long = 0.14 * radius
    if count * 2.5 < radius * count * index:
        for place in range(count + 1):
            canvas.spoke((x, y), (place - count / 2) * index, (radius, radius - long), "grid")
    half = min(plan.layout.total_angle_rad / 2, pi)
    canvas.arc(x, y, radius - long, "b", -half, half)
    for side in (-0.5, 0.5):
        canvas.spoke((x, y), side * index, (radius, 0.0), "strong", dash=2)


def _detail(canvas: Canvas, plan: "Plan", system: str, left: int, tall: bool) -> None:
    """One slice across, its sag as many times larger as it takes to be seen."""
    split, focus = plan.split, plan.focus
    texts = [
        ("on the item", length(split.slice_width_mm, system)),
        ("drop at edge", fine(split.edge_drop_mm, system)),
        ("focus", f"{length(focus.plane_over_apex_mm, system, signed=True)}"),
        ("apex", length(focus.apex_height_mm, system)),
    ]
    if not tall:
        line = "  ".join(f"{name} {text}" for name, text in texts[:3])
        canvas.text(0, canvas.height - 1, fitted(line, canvas.width), "plain")
        return
    for place, (name, text) in enumerate(texts):
        row = canvas.height - len(texts) + place
        canvas.text(left + 1, row, f"{name:<13}", "muted")
        canvas.text(left + 14, row, text, "plain")
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
    canvas.text(left + 2, 0, "one slice, curve enlarged" if sags else "one slice, flat", "muted")
