"""What is said of a list of names: those that don't fit first, then what was written."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from rotary.cli.jobs import NamedJob
from rotary.errors import brief

if TYPE_CHECKING:
    from rotary.series import SeriesWish

MOST_NAMED = 50
"""So many misfits are named; all of them stand in the table."""


def series_lines(
    named: NamedJob, table: Path, folder: Path, wish: "SeriesWish", tell: Callable[[float], None]
) -> list[str]:
    """Write a sliced file for each name of a list; what is to be said of them."""
    from rotary.artwork.models import size_texts
    from rotary.artwork.rings import NO_INK
    from rotary.papers.sizes import Sizes
    from rotary.series import series
    from rotary.services.artwork import ink_for

    made, crest, system = named.plan_to_draw(), NO_INK, named.where.system
    sizes: list[str] = []
    if made.job.artwork.pieces:
        ink = ink_for(made, named.drawings)
        crest, sizes = ink.composition.ink, [*size_texts(ink.sizes, system)]
    high = Sizes(system).length(wish.letter_height_mm)
    sizes.append(f"Names: marked with capitals {high} high at most. A text has no size of its own.")
    result, paths = series(made, table, folder, wish, crest, progress=tell)
    misfits = [f"line {one.line}: {brief(one.name, 30)}: {one.why}" for one in result.entries if one.state == "misfit"]
    lines = [*misfit_lines(misfits, "set"), f"{len(result.entries) - len(misfits)} of {len(result.entries)} names set"]
    lines += [f"  wrote {len(paths)} files to {brief(folder, 200)}, with the table {result.table}"]
    return [*lines, *(f"  - {line}" for line in (*sizes, *result.notes))]


def misfit_lines(misfits: list[str], done: str) -> list[str]:
    """Those that don't fit, by name as far as a person reads."""
    if not misfits:
        return []
    more = [f"  and {len(misfits) - MOST_NAMED} more, all in the table"] if len(misfits) > MOST_NAMED else []
    return [f"{len(misfits)} can't be {done}:", *(f"  misfit in {one}" for one in misfits[:MOST_NAMED]), *more]
