"""Draws the papers of the documentation: python docs/pictures/papers.py

The shipped bottle's card and its proof patch as they are printed, and the pictures on them. The crossed oars are
those of sheets.py. The day is fixed, so that the same pictures come out again.
"""

import sys
import tempfile
from datetime import date
from pathlib import Path

from rotary.card.paper import card_by_height

from rotary.card.patch_paper import patch_paper
from rotary.job import job_from_file
from rotary.papers.formats import document, picture_document
from rotary.pictures import NAMES, picture
from rotary.plan import plan
from rotary.store.patch import patch_to_mark

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))

from sheets import JOB, crossed_oars  # noqa: E402

DAY = date(2026, 5, 1)


def main() -> None:
    """Card, patch, pictures."""
    made = plan(job_from_file(JOB))
    ink = crossed_oars(made)
    card = document(card_by_height(made, "mm", DAY, ink), ".svg", "A4", fits_a_page=True)
    (HERE / "setup-card.svg").write_bytes(card.data)
    with tempfile.TemporaryDirectory() as folder:
        found = patch_to_mark(made.job.item, made.job.head, made.job.tolerances, Path(folder), DAY.isoformat())
    patch = document(lambda _: patch_paper(found, made, "mm", DAY), ".svg", "A4", fits_a_page=True)
    (HERE / "proof-patch.svg").write_bytes(patch.data)
    for name in NAMES:
        drawn = picture(made, name, rings=ink if name == "unrolled" else None)
        (HERE / f"card-{name}.svg").write_bytes(picture_document(drawn, ".svg").data)


if __name__ == "__main__":
    main()
