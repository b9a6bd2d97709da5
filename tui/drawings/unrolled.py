"""The wall unrolled, to scale: where flat artwork lands, the slices, what is seen from the front."""

from math import pi
from typing import Any

from tui.drawings.canvas import Canvas, Line, fitted
from tui.drawings.outline import outline, radius_at
from tui.drawings.words import length


def unrolled(plan: Any, system: str, width: int, height: int, ascii_only: bool = False) -> list[Line]:
    """The unrolled view as lines of characters: rim above, right as the head sees it."""
    canvas = Canvas(width, height, ascii_only)
    if width < 12 or height < 6:
        canvas.text(0, 0, fitted("too small for a picture", width), "muted")
        return canvas.lines()
    points = outline(plan.job.item)
    tall_mm = points[-1][0] - points[0][0]
    wide_mm = 2 * pi * max(radius for _, radius in points)
    rows = height - 2
    scale = min((2 * width - 2) / wide_mm, (4 * rows - 2) / tall_mm)
    _View(canvas, points, scale, float(width), 4 + 4 * rows - 1.0).draw(plan, system)
    return canvas.lines()


class _View:
    """A canvas with a scale: angles and heights in, dots out."""

    def __init__(self, canvas: Canvas, points: list[tuple[float, float]], scale: float, x0: float, y0: float) -> None:
        self.canvas, self.points, self.scale, self.x0, self.y0 = canvas, points, scale, x0, y0

    def at(self, angle: float, s: float) -> tuple[float, float]:
        return self.x0 + angle * radius_at(self.points, s) * self.scale, self.y0 - (s - self.points[0][0]) * self.scale

    def upright(self, angle: float, low: float, high: float, ink: str, dash: int = 0) -> None:
        heights = [low, *(s for s, _ in self.points if low < s < high), high]
        self.canvas.path([self.at(angle, s) for s in heights], ink, dash)

    def level(self, s: float, from_rad: float, to_rad: float, ink: str, dash: int = 0) -> None:
        self.canvas.line(*self.at(from_rad, s), *self.at(to_rad, s), ink, dash)

    def draw(self, plan: Any, system: str) -> None:
        low, high = self.points[0][0], self.points[-1][0]
        lies, split, art = plan.layout, plan.split, plan.job.artwork
        for side in (-pi / 2, pi / 2):
            self.upright(side, low, high, "grid", dash=2)
        self.upright(0.0, low, high, "grid", dash=1)
        for side in (-pi, pi):
            self.upright(side, low, high, "muted")
        for s in (low, high):
            self.level(s, -pi, pi, "muted")
        self._obstacles(plan, high)
        middle, index = art.centre_angle_rad, split.index_angle_rad
        bottom, top = lies.band_from_mm, lies.band_to_mm
        drawn = index * lies.reference_radius_mm * self.scale >= 3
        if drawn:
            for place in range(1, split.slices):
                self.upright(middle + (place - split.slices / 2) * index, bottom, top, "c", dash=1)
        sides = [(row.s_mm, row.angle_rad / 2) for row in lies.rows]
        for sign in (-1, 1):
            self.canvas.path([self.at(middle + sign * half, s) for s, half in sides], "b")
        for s, half in (sides[0], sides[-1]):
            self.level(s, middle - half, middle + half, "b")
        count = f"{split.slices} slices" + ("" if drawn else ", too narrow to draw")
        self.canvas.text(0, 0, fitted(f"rim   dotted: front and 90° to its sides; {count}", self.canvas.width), "muted")
        widths = " / ".join(length(w, system) for w in (lies.width_top_mm, lies.width_centre_mm, lies.width_bottom_mm))
        says = f"foot  wide on the wall {widths}   seen {lies.seen_share:.0%}   free {length(lies.gap_mm, system)}"
        self.canvas.text(0, self.canvas.height - 1, fitted(says, self.canvas.width), "plain")

    def _obstacles(self, plan: Any, high: float) -> None:
        item = plan.job.item
        if item.handle is not None:
            ends = [item.handle.from_mm, item.handle.to_mm]
            bottom, top = ends if item.datum == "foot" else [high - ends[1], high - ends[0]]
            for side in (-0.5, 0.5):
                self.upright(item.handle.angle_rad + side * item.handle.width_rad, bottom, top, "bad")
            for s in (bottom, top):
                half = item.handle.width_rad / 2
                self.level(s, item.handle.angle_rad - half, item.handle.angle_rad + half, "bad")
        if item.weld_line is not None:
            self.upright(item.weld_line.angle_rad, self.points[0][0], high, "bad", dash=3)
