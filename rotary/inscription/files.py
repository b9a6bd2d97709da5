"""An inscription as it leaves the desk: its files, and the card that goes with them."""

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Final, NamedTuple

from rotary.artwork.outfiles import mark_of, marked, refuse_file, write_file
from rotary.errors import FileTrouble
from rotary.files import file_trouble, is_folder
from rotary.inscription.paper import inscription_sheet
from rotary.inscription.work import InscribedPart, Planner, forecast, inscribe, job_for_depth, stand_in, stem_of
from rotary.job import Job
from rotary.papers.model import Paper
from rotary.papers.text import text_lines
from rotary.plan import plan
from rotary.sheet import SheetWish
from rotary.wording import InscriptionWish

_CARD_OF: Final = ("sliced", "flat", "end", "flat-01")
"""The first file of an inscription, by which its card is called."""


class InscriptionFiles(NamedTuple):
    """What was written, the card with where it lies, and the same as a paper by the height of its picture."""

    done: InscribedPart
    card: Path
    lines: tuple[str, ...]
    sheet: Callable[[float], Paper]


def write_inscription(
    job: Job,
    wish: InscriptionWish,
    folder: Path,
    made_by: Planner = plan,
    over: bool = False,
    sliced: SheetWish | None = None,
    system: str = "mm",
) -> InscriptionFiles:
    """Size an inscription, write its files and its card, and say what the files will do. Raises as `inscribe` does."""
    for kind in _CARD_OF:
        # Asked before anything is written: the files and their card come together or not at all.
        if is_folder(folder):
            refuse_file(folder / f"{stem_of(wish)}-{kind}-setup.txt", over=over)
    done = inscribe(job, wish, folder, made_by, over, sliced)
    stands_in = done.made if done.made is not None else stand_in(job_for_depth(job, wish), made_by)
    sheet = inscription_sheet(wish, done, stands_in, forecast(done).says, system)
    lines = text_lines(sheet(0.0))
    card = folder / f"{done.paths[0].stem}-setup.txt"
    # With its mark it is one of the set, and goes with it.
    with file_trouble(done.paths[0], "read", "choose a folder on a disk that works"):
        mark = mark_of(done.paths[0])
    text = ("\n".join(lines) + "\n").encode()
    try:
        write_file(card, marked(text, mark._replace(name=card.name)) if mark else text, over=over)
    except FileTrouble:
        for path in done.paths:
            with suppress(OSError):
                path.unlink()
        raise
    return InscriptionFiles(done, card, tuple(lines), sheet)
