"""Draws the papers of the documentation: python docs/pictures/papers.py

The shipped bottle's setup sheet and its test patch as a printer without colours shows them, and the pictures of its
plan. The crossed oars are those of sheets.py. The day is fixed, so that the same pictures come out again.
"""

import sys
import tempfile
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pypdfium2  # type: ignore[import-untyped, unused-ignore]

from rotary.card.patch_paper import patch_paper
from rotary.card.plan_sheet import plan_facts
from rotary.card.sheet import sheet_by_height
from rotary.job import job_from_file
from rotary.papers.formats import document, picture_document
from rotary.papers.model import Paper
from rotary.pictures import picture
from rotary.plan import plan
from rotary.sentences.plan import actions_in_words
from rotary.store.patch import patch_to_mark

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))

from sheets import JOB, crossed_oars  # noqa: E402

DAY = date(2026, 5, 1)
DOTS_PER_INCH = 110
GREYS = 16


def main() -> None:
    """Sheet, patch, pictures."""
    made = plan(job_from_file(JOB))
    _first_page(sheet_by_height(actions_in_words(made), plan_facts(made, "mm", DAY)), "setup-sheet.png")
    with tempfile.TemporaryDirectory() as folder:
        to_mark = patch_to_mark(made.job, Path(folder), DAY.isoformat())
    _first_page(lambda _: patch_paper(to_mark, made, "mm", DAY), "test-patch.png")
    for name in ("unrolled", "seams"):
        drawn = picture(made, name, rings=crossed_oars(made) if name == "unrolled" else None)
        (HERE / f"card-{name}.svg").write_bytes(picture_document(drawn, ".svg").data)


def _first_page(make: Callable[[float], Paper], name: str) -> None:
    page = pypdfium2.PdfDocument(document(make, ".pdf", "A4").data)[0]
    image = page.render(scale=DOTS_PER_INCH / 72, grayscale=True).to_pil()
    image.quantize(GREYS).save(HERE / name, optimize=True)


if __name__ == "__main__":
    main()
