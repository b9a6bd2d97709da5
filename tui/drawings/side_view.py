"""The item from its side, to scale, as it lies on its drive: taper, tilt, band, apex line, focal plane."""

from math import cos, sin
from typing import TYPE_CHECKING

from tui.drawings.canvas import Canvas, Line, fitted
from tui.drawings.outline import radius_at
from tui.drawings.words import length

if TYPE_CHECKING:
    from rotary.plan import Plan


def side_view(plan: "Plan", system: str, width: int, height: int, ascii_only: bool = False) -> list[Line]:
    """The side view as lines of characters: foot left, rim right, the bed below."""
    canvas = Canvas(width, height, ascii_only, to_scale=True)
    if width < 12 or height < 6:
        canvas.text(0, 0, fitted("too small for a picture", width), "muted")
        return canvas.lines()
    points = plan.outline
    turning, lies = plan.turning, plan.layout
    tilt, pivot, axis = turning.tilt_rad, turning.axis_height_at_mm, turning.axis_height_mm

    def place(s: float, r: float) -> tuple[float, float]:
        """Along the bed and up from it [mm] of a point of the outline."""
        return (s - pivot) * cos(tilt) - r * sin(tilt), axis + (s - pivot) * sin(tilt) + r * cos(tilt)

    corners = [place(s, sign * r) for s, r in points for sign in (-1, 1)]
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    top = max(*(y for _, y in corners), plan.focus.focal_plane_mm) * 1.02
    rows = height - 2
    scale = min((2 * width - 18) / (right - left), (canvas.tall(rows) - 2) / top)
    x0, y0 = width - (left + right) / 2 * scale, canvas.tall(rows) - 1.0

    def at(s: float, r: float) -> tuple[float, float]:
        x, y = place(s, r)
        return x0 + x * scale, y0 - y * scale

    canvas.line(2, y0, 2 * width - 3, y0, "muted", dash=2)
    if plan.job.turning.kind == "rollers":
        # Bars along the item, seen behind it; they reach beyond both its ends.
        middle, half = plan.job.turning.axis_height_mm, plan.job.turning.roller_diameter_mm / 2
        ends = (x0 + left * scale - 6, x0 + right * scale + 6)
        bar = [(ends[0], y0 - (middle - half) * scale), (ends[1], y0 - (middle + half) * scale)]
        corners_xy = [bar[0], (bar[0][0], bar[1][1]), bar[1], (bar[1][0], bar[0][1]), bar[0]]
        canvas.path(corners_xy, "muted")
    canvas.path([at(points[0][0], 0.0), at(points[-1][0], 0.0)], "grid", dash=2)
    for sign in (-1, 1):
        canvas.path([at(s, sign * r) for s, r in points], "a")
    for s, r in (points[0], points[-1]):
        canvas.path([at(s, -r), at(s, r)], "a")
    for s in (lies.artwork_from_mm, lies.artwork_to_mm):
        r = radius_at(points, s)
        canvas.path([at(s, r * (1 - 2 * part / 8)) for part in range(9)], "b", dash=2)
    band = [
        lies.artwork_from_mm,
        *(s for s, _ in points if lies.artwork_from_mm < s < lies.artwork_to_mm),
        lies.artwork_to_mm,
    ]
    canvas.path([at(s, radius_at(points, s)) for s in band], "strong")
    plane = y0 - plan.focus.focal_plane_mm * scale
    canvas.line(at(lies.artwork_from_mm, 0)[0] - 6, plane, at(lies.artwork_to_mm, 0)[0] + 6, plane, "c", dash=3)
    if turning.contact_mm is not None:
        x, y = at(turning.contact_mm, -radius_at(points, turning.contact_mm))
        canvas.text(int(x) // 2, min(canvas.row(y) + 1, rows - 1), "^", "warn")
    canvas.text(0, height - 2, "base", "muted")
    canvas.text(width - 4, height - 2, "rim", "muted")
    rests = turning.contact_mm is not None
    plane_says, apex_says = (length(mm, system) for mm in (plan.focus.focal_plane_mm, plan.focus.apex_height_mm))
    says = f"focus {plane_says} over the bed, apex {apex_says}{', ^ rests on the rollers here' if rests else ''}"
    if len(says) > width:
        says = f"focus {plane_says}, apex {apex_says}{', ^ on rollers' if rests else ''}"
    canvas.text(0, height - 1, fitted(says, width), "plain")
    return canvas.lines()
