"""The picture from the front of whatever a job marks: its artwork, or words of its own; in a file, or for a screen."""

from pathlib import Path
from typing import Final

from rotary.artwork.outfiles import write_file
from rotary.artwork.rings import moved
from rotary.inscription.ink import ink_on_end, ink_on_wall
from rotary.inscription.setting import with_font_path
from rotary.inscription.sizes import SizedText
from rotary.inscription.work import job_for_depth, size
from rotary.papers.formats import PICTURE_ENDINGS, ending_of, picture_document
from rotary.papers.sizes import Sizes
from rotary.pictures.front_page import front_picture
from rotary.pictures.scene import MarkedInk
from rotary.plan import Plan
from rotary.services.papers import PrintOrder, outlines
from rotary.wording import InscriptionWish

LOOKS: Final = ("front", "front-far")
"""From reading distance, and from far."""


def marked_ink(made: Plan, beside: Path) -> tuple[MarkedInk, str]:
    """What is marked by a plan of it, drawings and fonts `beside` the job; and why it is not drawn where it can't be
    read. Raises Refused where words don't fit, or FileTrouble."""
    job = made.job
    if job.inscription is None or not job.is_inscribed:
        rings, trouble = outlines(made, beside)
        return MarkedInk(made, rings), trouble
    wish = with_font_path(job.inscription, beside)
    return ink_of_words(made, wish, size(job_for_depth(job, wish), wish)), ""


def ink_of_words(made: Plan, wish: InscriptionWish, words: SizedText) -> MarkedInk:
    """Words as they lie on the wall, on each flat, or on the end face."""
    if wish.around == "end":
        return MarkedInk(made, end=ink_on_end(words, wish), bore_mm=wish.bore_mm)
    if wish.around != "flats":
        return MarkedInk(made, ink_on_wall(words, wish).rings)
    inks = (moved(ink_on_wall(words, wish, at).rings, 0.0, words.room.middle_mm) for at in range(len(words.texts)))
    return MarkedInk(made, flats=tuple(enumerate(inks)))


def front_file(made: Plan, look: str, order: PrintOrder) -> list[str]:
    """Write the picture from the front; what it shows. Raises Refused, FileTrouble."""
    ending = ending_of(order.path, PICTURE_ENDINGS)
    ink, trouble = marked_ink(made, order.beside)
    drawn = front_picture(ink, Sizes(order.system), from_far=look == "front-far")
    write_file(order.path, picture_document(drawn, ending).data, order.sources, order.over)
    return [f"{drawn.title}: {drawn.says}", *([trouble] if trouble else [])]
