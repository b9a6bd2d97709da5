"""The seam test as a paper: what to type for it, how to mark and read it, and where to write what is read."""

from dataclasses import replace
from datetime import date
from typing import Final

from rotary.machine.papers import WRITE
from rotary.machine.strip import Strip, kinds_at
from rotary.machine.strip_papers import NAME_OF_JOB, TYPE_THESE, marking_steps, numbers_to_type
from rotary.machine.tapes import CAUTION
from rotary.papers.model import Keyed, Notes, Paper, PictureRow, Section, Sentences, Table
from rotary.pictures.looks import seam_pictures, tick_picture
from rotary.plan import Plan
from rotary.sentences.safety import paper_of

LEAD: Final = (
    "Mark this test on paper tape before the job. It shows how far slices gap or overlap, and why. To get the drawing "
    "and the form: rotary print seam-test {} --to seams."
)
WHICH: Final = "write the number of the tick that runs straight on, with - if it lies below tick 0"
KINDS: Final = ("rising", "falling")


def seam_paper(
    strip: Strip, made: Plan, system: str = "mm", day: date | None = None, job_name: str = NAME_OF_JOB
) -> Paper:
    """The paper of a seam test, without its file and its form."""
    typed, (stretch, *steps) = numbers_to_type(strip.made, system), marking_steps(strip, system, job_name)
    heights = [vernier.name for vernier in reversed(strip.verniers)]
    head = ("seam", *(f"{height}, {kind}" for height in heights for kind in KINDS))
    rows = tuple(
        (seam, *(WRITE if kind in kinds_at(strip, seam) else "" for _ in heights for kind in KINDS))
        for seam in strip.seams
    )
    order = (
        f"Numbers from left to right, {made.job.item.end_words('rim')} away from you: ____________   "
        "The F is the right way round [ ]  mirrored [ ]  upside down [ ]  mirrored and upside down [ ]"
    )
    sections = (
        Section("TAPE", (Sentences((stretch,), "box"),), "1"),
        Section("TYPE", (Sentences((TYPE_THESE,), "none"), Keyed(typed)), "2"),
        Section("MARK, READ", (Sentences(tuple(steps), "box", 2),), "3"),
        Section("LIKE THIS", (PictureRow((*seam_pictures(), tick_picture())),)),
        Section(
            "WRITE",
            (
                Sentences((order,), "none"),
                Table(head, rows, WHICH),
                Sentences(("From one level line to the other, measured twice: __________  __________",), "none"),
            ),
            "4",
        ),
        Section("NOTES", (Notes(2),)),
    )
    paper = paper_of(made, "seam test", LEAD.format(job_name), sections, day, (CAUTION,))
    return replace(paper, ids=tuple(one.id for one in typed))
