"""Scenes of the item painted in characters."""

from collections.abc import Callable, Iterable
from typing import Final

from rotary.scenes import ItemScene, Point, Role, SceneLine
from tui.drawings.canvas import Canvas

LOOKS: Final[dict[Role, tuple[str, int]]] = {
    "bed": ("muted", 2), "roller": ("muted", 0), "outline": ("a", 0), "inner": ("grid", 0), "axis": ("grid", 2),
    "handle": ("warn", 0), "weld": ("warn", 3), "corner": ("a", 4), "guide": ("grid", 2), "border": ("c", 1),
    "artwork": ("b", 0), "cut": ("strong", 2), "end": ("b", 2), "plane": ("c", 3),
}  # fmt: skip
"""The ink of each kind of line, and how many dots of it are drawn and left out."""

LEAST_DOTS: Final = 3
STEPS: Final = (1, 2, 5, 10, 20, 50, 100, 200, 500)


def placed(
    canvas: Canvas, scene: ItemScene, width: int, rows: int, top: int = 0
) -> tuple[Callable[[Point], Point], float]:
    """Where a place of the scene lies among the dots, with the scene in so many cells below line `top`; its scale."""
    scale = scene.scale(2 * width - 3, canvas.tall(rows) - 2)
    x0, y0 = width - (scene.left + scene.right) / 2 * scale, canvas.tall(top + rows) - 2 + scene.bottom * scale
    return lambda point: (x0 + point[0] * scale, y0 - point[1] * scale), scale


def border_step(scene: ItemScene, scale: float) -> int:
    """So many slices from one border that is drawn to the next, for them to stand apart."""
    return next((step for step in STEPS if step * scene.slice_mm * scale >= LEAST_DOTS), 1000)


def paint(canvas: Canvas, strokes: Iterable[SceneLine], at: Callable[[Point], Point], step: int = 1) -> None:
    """Lines in their inks; of borders every so-manyth."""
    borders = 0
    for stroke in strokes:
        if stroke.role == "border":
            borders += 1
            if (borders - 1) % step:
                continue
        if stroke.role == "contact":
            x, y = at(stroke.points[0])
            canvas.text(int(x) // 2, canvas.row(y) + 1, "^", "warn")
        else:
            canvas.path([*map(at, stroke.points)], *LOOKS[stroke.role])
