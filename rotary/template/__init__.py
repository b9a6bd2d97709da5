"""The wrap template: a paper pattern at full size that is taped round the item.

=============  ==========================================================
``models``     what is asked, what comes out
``paper``      the cone of paper round the wall, and its development
``marks``      strokes, labels
``content``    what stands on it
``tiles``      sheets of printer paper
``svg, pdf``   the files
=============  ==========================================================

Its ends meet without gap or overlap: if they don't, the diameter was mistaken by a third of that.
"""

from pathlib import Path
from typing import Final

from rotary.artwork.outfiles import file_stem
from rotary.artwork.rings import Rings
from rotary.artwork.sets import write_all
from rotary.errors import Fault, refuse_all
from rotary.item import height_from_s_mm
from rotary.plan import Plan
from rotary.shape import Shape
from rotary.template.content import Cover, cover_of, figure
from rotary.template.marks import box_mm
from rotary.template.models import BAR_MM, Template, TemplateWish
from rotary.template.paper import Misfit, paper_round
from rotary.template.pdf import pdf_bytes
from rotary.template.svg import svg_text
from rotary.template.tiles import PAPERS_MM, sheets_for

__all__ = ["Template", "TemplateWish", "template", "wrap_template"]

MARGIN_MM: Final = 8.0
"""How far the paper goes on past the artwork."""

SURE_SHARE: Final = 0.1
"""A bar that is off by more was not printed at true size, or was read in the wrong unit."""

FITTED_SHARE: Final = 0.02
"""A printer's own error stays below this; more means that a page was fitted to the paper (common practice)."""

SEEN_MM: Final = 0.05
"""What a taped paper may stand off the wall without being noticed (estimate)."""


def wrap_template(
    made: Plan, folder: Path, wish: TemplateWish | None = None, over: bool = False, rings: Rings | None = None
) -> tuple[Template, tuple[Path, ...]]:
    """Draw the template of a plan's item and artwork, and write it into `folder`; the template and the paths.

    One SVG in one piece, and a PDF of sheets for each paper. Raises Refused or FileTrouble; then nothing is written.
    """
    drawn, files = template(made, wish or TemplateWish(), rings)
    return drawn, write_all({folder / name: data for name, data in files.items()}, over=over)


def template(made: Plan, wish: TemplateWish, rings: Rings | None = None) -> tuple[Template, dict[str, bytes]]:
    """The template and its files by name, nothing written yet; `rings` are the artwork's own outlines, (0, 0) in its
    middle. Raises Refused."""
    _printer_faults(wish)
    job, shape = made.job, made.shape
    low, high = _heights(wish, made, shape)
    paper, misfit = paper_round(
        shape.curve, low, high, made.layout.centre_mm, wish.paper_thickness_mm, shape.flats or 0
    )
    cover = cover_of(job.artwork, job.item, shape, low, high)
    shown = figure(paper, cover, made, rings, made.safety.example)
    grows = wish.bar_short_mm / BAR_MM, wish.bar_long_mm / BAR_MM
    name, title = file_stem(job.artwork.name), f"{job.item.name}: wrap template"
    files = {f"{name}-template.svg": svg_text(shown, title).encode()}
    counts = {}
    for size in PAPERS_MM if wish.paper == "both" else (wish.paper,):
        sheets = sheets_for(shown, size, grows)
        counts[size] = len(sheets.names)
        files[f"{name}-template-{size}.pdf"] = pdf_bytes(shown, sheets, title)
    left, bottom, right, top = box_mm(shown.strokes, ())
    drawn = Template(
        kind="flats" if paper.flats else "sector" if paper.slope else "rectangle",
        from_mm=cover.low_mm,
        to_mm=cover.high_mm,
        wide_mm=right - left,
        high_mm=top - bottom,
        stands_off_mm=misfit.stands_off_mm,
        longer_mm=misfit.longer_mm,
        sheets=counts,
        files=tuple(files),
        notes=_notes(made, shape, wish, cover, misfit),
    )
    return drawn, files


def _printer_faults(wish: TemplateWish) -> None:
    refuse_all(
        Fault(
            name,
            f"a bar of 100 mm that measures {bar:g} mm was not printed at true size: choose 100 % or actual size in "
            'the print window, print again, and write what the bar measures, like "99.6 mm"',
        )
        for name, bar in (("bar_short", wish.bar_short_mm), ("bar_long", wish.bar_long_mm))
        if abs(bar / BAR_MM - 1) > SURE_SHARE
    )


def _heights(wish: TemplateWish, made: Plan, shape: Shape) -> tuple[float, float]:
    """From and to in s; where the person did not choose, a wall that paper follows is covered to the datum."""
    lies, item = made.layout, made.job.item
    reach = wish.reach or ("artwork" if shape.shape == "profile" else "end")
    low = max(lies.artwork_from_mm - MARGIN_MM, 0.0)
    high = min(lies.artwork_to_mm + MARGIN_MM, shape.length_mm)
    if reach == "whole" or (reach == "end" and item.heights_from == "base"):
        low = 0.0
    if reach == "whole" or (reach == "end" and item.heights_from == "rim"):
        high = shape.length_mm
    return low, high


def _notes(made: Plan, shape: Shape, wish: TemplateWish, cover: Cover, misfit: Misfit) -> tuple[str, ...]:
    """What a person does with it, and what it can't do."""
    item = made.job.item
    told = [
        "Print at 100 % (actual size, not fitted to the page). Measure both 100 mm bars on the printed PDF. If one is "
        'off, print again and add what you measured, like --bar-short "99.6 mm" or --bar-long "100.3 mm".',
        f"Wrap the paper round with the print outside, {item.end_words('rim')} up. On glossy walls tape the paper so "
        "that it can't slide.",
    ]
    if cover.flap:
        told.append(
            "The paper's ends must meet. If a gap stays, the item is thicker than you entered, by a third of the gap. "
            "If the ends overlap, the item is thinner. Measure it again."
        )
    else:
        told.append("The paper stays clear of the handle: lay its two ends along the handle's two sides.")
    if misfit.stands_off_mm > SEEN_MM:
        at = height_from_s_mm(item, shape, misfit.at_mm)
        told.append(
            f"The paper can't lie flat on this curved wall. It stands off by up to {misfit.stands_off_mm:.2g} mm, "
            f"{at:.4g} mm from {item.end_words(item.heights_from)}, and there it is {misfit.longer_mm:.2g} mm "
            "too long all round. Trust only the centre line and the level line. Cut small wedges out of the paper's "
            "edge, or make the artwork less high."
        )
    if shape.flats:
        told.append("Fold at the sharp corners. Real corners are rounded, so the paper is a little long.")
    if max(abs(bar / BAR_MM - 1) for bar in (wish.bar_short_mm, wish.bar_long_mm)) > FITTED_SHARE:
        told.append("The printer is off by more than 2 %: most likely it fitted the page to the paper. Print at 100 %.")
    return tuple(told)
