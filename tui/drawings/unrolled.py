"""The wall unrolled, to scale: where flat artwork lands, the slices, what is seen from the front."""

from collections.abc import Sequence
from math import floor, pi, tan
from typing import TYPE_CHECKING

from rotary.artwork.own_size import size_words
from tui.drawings.canvas import Canvas, Line, fitted, greyed
from tui.drawings.filled import fill_rings
from tui.drawings.inscription import picture as on_faces
from tui.drawings.outline import radius_at
from tui.drawings.shown import NOTHING, Shown
from tui.drawings.words import count, length, wrapped

if TYPE_CHECKING:
    from rotary.plan import Plan


def unrolled(
    plan: "Plan", system: str, width: int, height: int, ascii_only: bool = False, art: Shown = NOTHING
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
    points = plan.outline
    tall_mm = points[-1][0] - points[0][0]
    flats = plan.job.item.flats or 0
    wide_mm = (2 * flats * tan(pi / flats) if flats else 2 * pi) * max(radius for _, radius in points)
    rows = height - 2
    scale = min((2 * width - 2) / wide_mm, (canvas.tall(rows) - 2) / tall_mm)
    _View(canvas, points, scale, (float(width), canvas.tall(rows + 1) - 1.0), flats).draw(plan, system, art)
    return [*canvas.lines(), *said]


def _said(art: Shown, plan: "Plan", system: str, width: int) -> list[Line]:
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
    crossed = ""
    if value.crossed_mm is not None:
        crossed = f". Seams cross {length(value.crossed_mm, system)} of ink"
    says = (
        f"ink {length(value.width_mm, system)} × {length(value.height_mm, system)}, {value.ink_share:.0%} of the frame "
        f"(the plan assumes {plan.job.artwork.ink_share:.0%}){crossed}"
    )
    lines += wrapped(says, width - 1, ink, " ")
    for text in value.unread:
        lines += wrapped(f"not read as drawn: {text}", width - 1, "warn", " ! ")
    for text in value.notes:
        lines += wrapped(text, width - 1, "muted", " - ")
    return lines


class _View:
    """A canvas with a scale: angles and heights in, dots out."""

    def __init__(
        self,
        canvas: Canvas,
        points: Sequence[tuple[float, float]],
        scale: float,
        origin: tuple[float, float],
        flats: int,
    ) -> None:
        self.canvas, self.points, self.scale, self.flats = canvas, points, scale, flats
        self.x0, self.y0 = origin

    def at(self, angle: float, s: float) -> tuple[float, float]:
        round_mm = around_mm(angle, radius_at(self.points, s), self.flats)
        return self.x0 + round_mm * self.scale, self.y0 - (s - self.points[0][0]) * self.scale

    def upright(self, angle: float, low: float, high: float, ink: str, dash: int = 0) -> None:
        heights = [low, *(s for s, _ in self.points if low < s < high), high]
        self.canvas.path([self.at(angle, s) for s in heights], ink, dash)

    def level(self, s: float, from_rad: float, to_rad: float, ink: str, dash: int = 0) -> None:
        self.canvas.line(*self.at(from_rad, s), *self.at(to_rad, s), ink, dash)

    def ink(self, art: Shown, centre_rad: float) -> None:
        """The artwork where it lands."""
        if art.value is None:
            return
        if art.value.flat:
            middle_mm = around_mm(centre_rad, self.points[0][1], self.flats)
            x0, y0 = self.x0 + middle_mm * self.scale, self.y0 + self.points[0][0] * self.scale
            fill_rings(
                self.canvas,
                art.value.rings,
                lambda u, s: (x0 + u * self.scale, y0 - s * self.scale),
                "strong" if art.fresh else "muted",
            )
        else:
            fill_rings(self.canvas, art.value.rings, self.at, "strong" if art.fresh else "muted")

    def draw(self, plan: "Plan", system: str, art: Shown) -> None:
        low, high = self.points[0][0], self.points[-1][0]
        lies, split = plan.layout, plan.split
        self._wall(low, high)
        self.ink(art, plan.job.artwork.centre_angle_rad)
        self._obstacles(plan, high)
        middle, index = plan.job.artwork.centre_angle_rad, split.index_angle_rad
        bottom, top = lies.artwork_from_mm, lies.artwork_to_mm
        step = self._every(index * lies.reference_radius_mm)
        borders = [middle + (place - split.slices / 2) * index for place in range(1, split.slices)]
        if art.fresh and art.value is not None:
            borders = list(art.value.borders_rad[1:-1])
        for border in borders[step - 1 :: step]:
            self.upright(border, bottom, top, "c", dash=1)
        sides = [(row.s_mm, row.angle_rad / 2) for row in lies.rows]
        for sign in (-1, 1):
            self.canvas.path([self.at(middle + sign * half, s) for s, half in sides], "b")
        for s, half in (sides[0], sides[-1]):
            self.level(s, middle - half, middle + half, "b")
        many = count(split.slices, "slice") + (f", every {step}. border drawn" if step > 1 else "")
        edges = ", edges of the flats" if self.flats else ""
        self.canvas.text(
            0, 0, fitted(f"rim   dotted: front and 90° to its sides{edges}, {many}", self.canvas.width), "muted"
        )
        every = [length(w, system) for w in (lies.width_top_mm, lies.width_centre_mm, lies.width_bottom_mm)]
        widths = every[0] if len(set(every)) == 1 else " / ".join(text.split(" ")[0] for text in every) + f" {system}"
        says = f"base  wide {widths}  seen {lies.visible_share:.0%}  free {length(lies.gap_mm, system)}"
        self.canvas.text(0, self.canvas.height - 1, fitted(says, self.canvas.width), "plain")

    def _every(self, slice_mm: float) -> int:
        """So many slices from one border that is drawn to the next, for them to stand apart."""
        return next((step for step in (1, 2, 5, 10, 20, 50, 100, 200, 500) if step * slice_mm * self.scale >= 3), 1000)

    def _wall(self, low: float, high: float) -> None:
        for side in (-pi / 2, pi / 2):
            self.upright(side, low, high, "grid", dash=2)
        for place in range(1, self.flats, 2):
            # The edges between the flats, the front in the middle of one.
            for side in (-1, 1):
                self.upright(side * place * pi / self.flats, low, high, "a", dash=4)
        self.upright(0.0, low, high, "grid", dash=1)
        for side in (-pi, pi):
            self.upright(side, low, high, "muted")
        for s in (low, high):
            self.level(s, -pi, pi, "muted")

    def _obstacles(self, plan: "Plan", high: float) -> None:
        item = plan.job.item
        if item.handle is not None:
            ends = [item.handle.from_mm, item.handle.to_mm]
            bottom, top = ends if item.heights_from == "base" else [high - ends[1], high - ends[0]]
            for side in (-0.5, 0.5):
                self.upright(item.handle.angle_rad + side * item.handle.width_rad, bottom, top, "bad")
            for s in (bottom, top):
                half = item.handle.width_rad / 2
                self.level(s, item.handle.angle_rad - half, item.handle.angle_rad + half, "bad")
        if item.weld_line is not None:
            self.upright(item.weld_line.angle_rad, self.points[0][0], high, "bad", dash=3)


def around_mm(angle: float, radius_mm: float, flats: int) -> float:
    """How far round the wall an angle is from the front [mm]; of flats, along them.

    >>> round(around_mm(pi, 20.0, 6) / (6 * 20 * tan(pi / 6)), 12), around_mm(pi, 20.0, 0) == 20 * pi
    (1.0, True)
    """
    if not flats:
        return radius_mm * angle
    face = floor(angle * flats / (2 * pi) + 0.5)
    return radius_mm * (2 * face * tan(pi / flats) + tan(angle - face * 2 * pi / flats))
