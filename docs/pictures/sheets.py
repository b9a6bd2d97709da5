"""Pictures of a slice sheet and of what it will do: run it from the top with ``python docs/pictures/sheets.py``.

The bottle is the shipped, invented one; the crossed oars are drawn here.
"""

import math
import re
import tempfile
from pathlib import Path

import shapely

from rotary.artwork.rings import Rings, rings_from_shapely
from rotary.job import job_from_file
from rotary.papers.drawing import Mark, PaperPicture, Words, moved
from rotary.papers.formats import picture_document
from rotary.papers.true_size import LETTER_MM
from rotary.pictures.front import scene_of
from rotary.pictures.front_page import screen_picture
from rotary.pictures.scene import MarkedInk
from rotary.plan import Plan, plan
from rotary.services.files import slice_sheet
from rotary.services.simulation import forecast_picture
from rotary.sheet import SheetWish

HERE = Path(__file__).parent
JOB = HERE.parents[1] / "profiles" / "regatta-bottle.toml"


def ring(radius: float, width: float) -> list[list[tuple[float, float]]]:
    """A circle with a hole in it."""
    turn = [2 * math.pi * k / 180 for k in range(180)]
    outer = [(radius * math.cos(t), radius * math.sin(t)) for t in turn]
    inner = [((radius - width) * math.cos(t), (radius - width) * math.sin(t)) for t in reversed(turn)]
    return [outer, inner]


def oar(angle: float, length: float) -> list[tuple[float, float]]:
    """A shaft and a blade, its middle at the crossing."""
    half, shaft, blade = length / 2, length / 60, length / 16
    flat = [
        (-half, -shaft), (0.22 * length, -shaft), (0.27 * length, -blade), (0.46 * length, -blade), (half, 0),
        (0.46 * length, blade), (0.27 * length, blade), (0.22 * length, shaft), (-half, shaft),
    ]  # fmt: skip
    c, s = math.cos(angle), math.sin(angle)
    return [(c * x - s * y, s * x + c * y) for x, y in flat]


def crossed_oars(made: Plan) -> Rings:
    """Two oars, one cut where the other passes over it, in a ring that they do not touch."""
    art = made.job.artwork
    size = 0.98 * min(art.width_mm, art.height_mm)
    under, over = (shapely.Polygon(oar(a, 0.8 * size)) for a in (2.2, 0.95))
    outer, inner = ring(size / 2, size / 24)
    band = shapely.Polygon(outer, [inner])
    shape = shapely.union_all([band, under - over.buffer(size / 60), over])
    wide = art.width_mm / art.height_mm
    return rings_from_shapely(shapely.transform(shape, lambda p: p * [min(wide, 1.3), 1.0]))


def before_and_after() -> PaperPicture:
    """A cup from the front: flat artwork as the taper stretches it, and the same artwork corrected."""
    job = job_from_file(JOB.with_name("heron-cup.toml"))
    marks: list[Mark] = []
    wide = 90.0
    for at, (drawn, title) in enumerate((("with-taper", "Flat artwork"), ("front-view", "Corrected"))):
        size = {"width_mm": 62.0, "height_mm": 62.0, "centre_mm": 55.0, "surface_map": drawn}
        made = plan(job.model_copy(update={"artwork": job.artwork.model_copy(update=size)}), draws=0)
        ink = MarkedInk(made, crossed_oars(made))
        seen = screen_picture(ink, scene_of(ink), (wide, 100.0))
        marks += moved(seen.marks, at * wide, 8.0)
        marks.append(Words(title, (at + 0.5) * wide, 2.5, 1.3 * LETTER_MM, "middle", "bold"))
    says = "Left: flat artwork, wider at the top than at the bottom. Right: corrected, a circle to whoever looks at it."
    return PaperPicture(2 * wide, 108.0, tuple(marks), "Before and after correction", says)


def main() -> None:
    """The sheet, what it will do, and what it would do with a drive that turns half a per cent too far."""
    (HERE / "before-after.png").write_bytes(picture_document(before_and_after(), ".png").data)
    job = job_from_file(JOB)
    tolerances = job.tolerances.model_copy(update={"method": "sheet", "slice_width_mm": 4.0})
    made = plan(job.model_copy(update={"tolerances": tolerances}), draws=0)
    ink = crossed_oars(made)
    with tempfile.TemporaryDirectory() as folder:
        _, (sheet, *_) = slice_sheet(made, ink, Path(folder), SheetWish())
        forecast_picture(made, sheet, HERE / "foretold.svg", ink)
        faster = made.turning.model_copy(update={"rad_per_step": made.turning.rad_per_step * 1.005})
        forecast_picture(made.model_copy(update={"turning": faster}), sheet, HERE / "foretold-wrong.svg", ink)
        drawn = sheet.read_text("utf-8")
    # On white, so that it is seen on a dark page too.
    ground = '<rect width="100%" height="100%" fill="#fff"/>'
    (HERE / "slice-sheet.svg").write_text(re.sub(r"(<svg[^>]*>)", rf"\1{ground}", drawn, count=1), "utf-8")


if __name__ == "__main__":
    main()
