"""The command that draws a sheet for each name of a list."""

import argparse
from pathlib import Path

from rotary.cli.jobs import drawings_folder, plan_to_draw, system_of
from rotary.cli.options import Adder, inches_argument, job_argument, rig_arguments
from rotary.cli.output import OK, say
from rotary.cli.waiting import waiting
from rotary.errors import brief
from rotary.services.artwork import ink_for


def add_series_command(command: Adder) -> None:
    """Add the command about lists of names."""
    names = command(
        "names",
        names_sheets,
        "write a slice sheet for each name of a list (CSV), under the pieces that the job has; misfits are told first",
        "rotary names bottle.toml crew.csv --to crew --column name",
    )
    job_argument(names)
    rig_arguments(names)
    inches_argument(names)
    names.add_argument("table", metavar="CSV", help="the list, with a line of headings")
    names.add_argument("--to", dest="folder", metavar="FOLDER", required=True, help="a new folder to write to")
    names.add_argument("--column", metavar="HEADING", help="the column of the names, where there are several")
    names.add_argument("--letters", metavar="LENGTH", help='height of a capital (8 mm), "9 mm"')
    names.add_argument("--room", metavar="LENGTH", help="how wide a name may be (the artwork's width)")
    names.add_argument("--least", metavar="SHARE", help='how far a long name may be set smaller (60 %%), "80 %%"')
    names.add_argument("--up", metavar="LENGTH", help="height of a name's middle over the artwork's middle, signed")
    names.add_argument(
        "--face", choices=("outline", "line-sans", "line-roman", "line-script"), help="outlines or single strokes"
    )
    names.add_argument("--font", metavar="FILE", help="a TTF or OTF file")


def names_sheets(asked: argparse.Namespace) -> int:
    """A sheet for each name, and one table."""
    from rotary.artwork.models import size_texts
    from rotary.artwork.outfiles import refuse_folder
    from rotary.artwork.rings import NO_INK
    from rotary.faults import model_from_texts
    from rotary.papers.sizes import Sizes
    from rotary.series import SeriesWish, series
    from rotary.series.results import refuse_full

    given = {
        "column": asked.column, "letter_height": asked.letters, "room": asked.room, "least": asked.least,
        "v": asked.up, "face": asked.face, "font": asked.font,
    }  # fmt: skip
    wish = model_from_texts(SeriesWish, {name: value for name, value in given.items() if value is not None})
    refuse_folder(Path(asked.folder))
    refuse_full(Path(asked.folder), "series")
    made = plan_to_draw(asked)
    crest, sizes, system = NO_INK, [], system_of(asked)
    if made.job.artwork.pieces:
        ink = ink_for(made, drawings_folder(asked.job))
        crest, sizes = ink.composition.ink, [*size_texts(ink.sizes, system)]
    high = Sizes(system).length(wish.letter_height_mm)
    sizes.append(f"Names: marked with capitals {high} high at most. A text has no size of its own.")
    with waiting("drawing the sheets") as tell:
        found, paths = series(made, Path(asked.table), Path(asked.folder), wish, crest, progress=tell)
    lines = [f"{len(found.entries)} names, {found.misfits} of them can't be set", *(f"  - {says}" for says in sizes)]
    lines += [f"  misfit in line {one.line}: {brief(one.name, 30)}: {one.why}" for one in found.entries if one.why]
    lines += [f"  wrote {len(paths)} files to {brief(asked.folder, 200)}, with the table {found.table}"]
    lines += [f"  - {note}" for note in found.notes]
    say("\n".join(lines) + "\n")
    return OK
