"""Templates as other programs see them: page boxes, bars by rendering, lengths and areas by another library."""

import io
import math
from xml.etree import ElementTree

import numpy as np
import pypdf
import pypdfium2
import pytest
import shapely

from rotary.item import fitted_shape
from rotary.job import job_from_file
from rotary.plan import plan
from rotary.shipped import examples
from rotary.template import TemplateWish, template
from rotary.template.content import cover_of, figure
from rotary.template.marks import PENS
from rotary.template.paper import TapePaper, flat_mm, paper_round
from rotary.template.pdf import HEAD_MM
from rotary.template.tiles import EDGE_MM

MADE = {name: plan(job_from_file(path), 0) for name, path in examples().items()}
DPI = 600


def pdf_of(name: str, wish: TemplateWish) -> bytes:
    return next(data for file, data in template(MADE[name], wish)[1].items() if file.endswith(".pdf"))


# ISO 216: A4 is 210 by 297 mm. ANSI/ASME Y14.1: A is 8 1/2 by 11 in. Both from memory, not seen.
@pytest.mark.slow
@pytest.mark.parametrize(("paper", "size_mm"), [("a4", (210, 297)), ("letter", (8.5 * 25.4, 11 * 25.4))])
@pytest.mark.parametrize("name", MADE)
def test_the_page_box_is_the_paper_of_the_standard(name: str, paper: str, size_mm: tuple[float, float]) -> None:
    """Another library reads every page as the standard's size, to a micrometre, and that it must not be scaled."""
    reader = pypdf.PdfReader(io.BytesIO(pdf_of(name, TemplateWish(paper=paper))))  # type: ignore[arg-type]
    for page in reader.pages:
        sides = sorted((float(page.mediabox.width) * 25.4 / 72, float(page.mediabox.height) * 25.4 / 72))
        assert sides == pytest.approx(sorted(size_mm), abs=0.001)
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"  # type: ignore[index]


def bars_mm(pdf: bytes, page: int = 0) -> tuple[float, float]:
    """Lengths of the lying and the standing bar on a page, measured in its rendered picture [mm]."""
    bitmap = pypdfium2.PdfDocument(pdf)[page].render(scale=DPI / 72, grayscale=True)
    dark = np.asarray(bitmap.to_pil().convert("L")) < 128
    per_mm = DPI / 25.4
    # The strip with the name stands over the foot, and has a rule of its own.
    foot = dark[-round((EDGE_MM + HEAD_MM - 0.5) * per_mm) :]
    side = dark[:, : round((EDGE_MM + 8) * per_mm)]
    # From the middle of one end tick to the middle of the other; a tick is as wide as the pen.
    pen = PENS["bar"][0]
    return longest_run(foot) / per_mm - pen, longest_run(side.T) / per_mm - pen


def longest_run(dark: np.ndarray) -> int:
    """The longest unbroken run of dark dots in any row: words beside a bar are broken."""
    longest = 0
    for row in dark:
        ends = np.flatnonzero(np.diff(np.concatenate([[False], row, [False]])))
        longest = max(longest, int((ends[1::2] - ends[::2]).max(initial=0)))
    return longest


@pytest.mark.parametrize("name", ["boathouse-mug", "oar-ferrule", "regatta-bottle"])
@pytest.mark.slow
def test_bars_measure_a_hundred_millimetres(name: str) -> None:
    """A renderer draws both bars 100 mm long, to about a dot of its picture."""
    lying, standing = bars_mm(pdf_of(name, TemplateWish()))
    assert lying == pytest.approx(100.0, abs=0.06)
    assert standing == pytest.approx(100.0, abs=0.06)


def test_a_printer_that_shrinks_is_answered_by_larger_bars() -> None:
    """Bars that measured 98 and 101 mm are drawn 100/0.98 and 100/1.01 mm long, so that they come out at 100."""
    lying, standing = bars_mm(pdf_of("oar-ferrule", TemplateWish(bar_short_mm=98.0, bar_long_mm=101.0)))
    assert lying * 0.98 == pytest.approx(100.0, abs=0.06)
    assert standing * 1.01 == pytest.approx(100.0, abs=0.06)


@pytest.mark.parametrize("name", ["regatta-bottle", "oar-ferrule", "pommel-nut", "boathouse-mug"])
def test_the_paper_is_as_large_as_the_wall(name: str) -> None:
    """The area of the flat outline is that of the frustum, by the formula of solid geometry (common knowledge)."""
    made = MADE[name]
    shape = fitted_shape(made.job.item)
    paper, _ = paper_round(shape.curve, 0.0, shape.length_mm, made.layout.centre_mm, 0.0)
    cover = cover_of(made.job.artwork, made.job.item, shape, 0.0, shape.length_mm)._replace(flap=False)
    outline = shapely.Polygon(figure(paper, cover, made).outline_mm)
    low, high = shape.radius_mm([0.0, shape.length_mm]).tolist()
    slant = math.hypot(shape.length_mm, high - low)
    share = (cover.right_rad - cover.left_rad) / (2 * math.pi)
    assert outline.is_valid
    assert outline.area == pytest.approx(math.pi * (low + high) * slant * share, rel=2e-5)


def test_a_cone_three_wide_and_four_high_rolls_out_to_216_degrees() -> None:
    """The 3-4-5 cone of the textbooks: slant 5, sector 360 x 3/5 = 216 degrees (an identity of plane geometry)."""
    paper = TapePaper(3.0, -0.75, 0.0, 0.0)
    (point_x, end_x), (point_y, end_y) = flat_mm(paper, [4.0, 0.0], [0.0, math.pi])
    assert 2 * math.degrees(math.atan2(end_x - point_x, point_y - end_y)) == pytest.approx(216.0)
    assert math.hypot(end_x - point_x, end_y - point_y) == pytest.approx(5.0)


@pytest.mark.parametrize("name", MADE)
def test_the_svg_is_at_true_size(name: str) -> None:
    """Another reader finds the page in mm, its unit a micrometre, and the frame as large as drawn."""
    drawn, files = template(MADE[name], TemplateWish())
    root = ElementTree.fromstring(next(data for file, data in files.items() if file.endswith(".svg")))
    unit = float(root.attrib["width"].removesuffix("mm")) / float(root.attrib["viewBox"].split()[2])
    assert unit == pytest.approx(0.001)
    cut = [path.attrib["d"] for path in root if path.attrib.get("class") == "cut"]
    numbers = np.concatenate([np.fromstring(d[1:].replace("L", " "), sep=" ").reshape(-1, 2) for d in cut])
    lower = np.fromstring(cut[0][1:].replace("L", " "), sep=" ").reshape(-1, 2)
    length = np.hypot(*np.diff(lower, axis=0).T).sum() * unit
    job, shape = MADE[name].job, fitted_shape(MADE[name].job.item)
    laid = (drawn.from_mm, drawn.to_mm, MADE[name].layout.centre_mm, 0.1, shape.flats or 0)
    paper, cover = paper_round(shape.curve, *laid)[0], cover_of(job.artwork, job.item, shape, *laid[:2])
    turn = np.linspace(cover.left_rad, cover.right_rad, 60_001)
    on_paper = np.stack(flat_mm(paper, np.full(len(turn), drawn.from_mm), turn))
    assert length == pytest.approx(np.hypot(*np.diff(on_paper, axis=1)).sum(), rel=1e-4)
    assert np.ptp(numbers[:, 0]) * unit <= drawn.wide_mm + 0.002
