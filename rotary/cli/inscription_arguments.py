"""What the commands about inscriptions and depth take."""

import argparse

from rotary.cli import inscription_commands as run
from rotary.cli.options import Adder, folder_argument, job_argument, over_argument, whole

MAPS = ("true-width", "with-taper", "decal", "front-view")

_TEXT = r"what is cut, in place of the job's own; \n begins a line; {name} and {date} in a list"

LENGTHS = (
    ("height", "the largest letters wanted, by a capital"),
    ("least", "the smallest letters that are good enough"),
    ("gap", "left between the end of a ring and its beginning; without it the ring closes"),
    ("band-from", "where the usable band begins, from the item's datum"),
    ("band-to", "where it ends"),
    ("chamfer", "taken off at each end of the item"),
    ("margin", "left free on all sides"),
    ("corner-radius", "of the rounded corners of a faceted part"),
    ("across-corners", "of a faceted part whose corners were turned down"),
    ("end-diameter", "of the flat end face"),
    ("bore", "of a hole in the end face"),
    ("read-at", "how far away it should be readable"),
)


def add_inscription_commands(command: Adder) -> None:
    """Add the commands about inscriptions and depth."""
    inscribe = command(
        "inscribe",
        run.inscribe,
        "size an inscription on a small part, say whether it can be read, and write its files",
        'rotary inscribe brass-nut --text "HERON ROWING CLUB" --around ring --to nut',
    )
    job_argument(inscribe)
    inscribe.add_argument("--text", metavar="TEXT", help=_TEXT)
    inscribe.add_argument("--around", choices=("ring", "arc", "axis", "flats", "end"), help="where it goes (ring)")
    inscribe.add_argument(
        "--to", dest="folder", metavar="FOLDER", help="write files and card; without it only the size"
    )
    over_argument(inscribe)
    inscribe.add_argument("--card", metavar="FILE", help="the card as a paper too: .pdf, .html, .txt or .svg")
    inscribe.add_argument(
        "--paper", choices=("A4", "Letter"), help="what it is printed on (if left out, what is usual)"
    )
    for name, says in LENGTHS:
        inscribe.add_argument(f"--{name}", metavar="LENGTH", help=says)
    inscribe.add_argument("--arc", metavar="ANGLE", help='how far an arc reaches, "120 deg"')
    inscribe.add_argument("--start", metavar="ANGLE", help="where it begins, or its middle, from the front")
    inscribe.add_argument("--repeat", metavar="N", type=whole(1, 360), help="the words so many times")
    inscribe.add_argument("--between", metavar="TEXT", help="between the words and their next beginning")
    inscribe.add_argument("--tracking", metavar="SHARE", help="put between letters, in heights of a capital")
    inscribe.add_argument("--line-pitch", metavar="SHARE", help="from line to line, in heights of a capital (1.6)")
    inscribe.add_argument("--more", metavar="TEXT", action="append", help="the text of the next flat")
    both = argparse.BooleanOptionalAction
    inscribe.add_argument("--lengthwise", action=both, default=None, help="along the flats, or not")
    inscribe.add_argument("--face", choices=("outline", "line-sans", "line-roman", "line-script"), help="letters")
    inscribe.add_argument("--font", metavar="FILE", help="a TTF or OTF font")
    inscribe.add_argument("--weight", metavar="N", type=whole(1, 1000), help="of the letters (400)")
    inscribe.add_argument("--italic", action=both, default=None, help="slanted letters, or upright ones")
    inscribe.add_argument("--surface-map", choices=MAPS, help="how letters lie on a taper (with-taper)")
    inscribe.add_argument("--depth", metavar="DEPTH", help="how deep bare metal is cut (as the job's own passes go)")
    inscribe.add_argument("--stroke", metavar="SHARE", help="of single strokes, in heights of a capital (0.1)")
    inscribe.add_argument("--list", dest="table", metavar="FILE", help="a CSV file of names, one part each")
    inscribe.add_argument("--column", metavar="NAME", help="the column that holds them")
    inscribe.add_argument("--numbers", metavar="FROM-TO", help="serial numbers in place of a list, 1-250")
    inscribe.add_argument("--digits", metavar="N", type=whole(1, 12), default=1, help="leading noughts up to so many")
    inscribe.add_argument("--each", action="store_true", help="each entry as large as fits, not all the same")
    depth = command(
        "depth",
        run.depth,
        "passes for a wanted depth in bare metal, and what gauge readings teach",
        'rotary depth brass-nut --wanted "40 um" --gauged "10 = 18 um"',
    )
    job_argument(depth)
    depth.add_argument("--wanted", metavar="DEPTH", help="the depth wanted (the job's own if left out)")
    depth.add_argument("--gauged", metavar="PASSES=DEPTH", action="append", help="what a gauge said after some passes")
    depth.add_argument("--resolution", metavar="DEPTH", default="1 um", help="the finest step of the gauge (1 um)")
    depth.add_argument("--keep", action="store_true", help="keep what was gauged: every card and plan goes by it")
    depth.add_argument("--kept", action="store_true", help="list what is kept, with its numbers")
    depth.add_argument(
        "--strike", metavar="N", type=whole(1, 99_999), help="strike out a kept one, or let it count again"
    )
    depth.add_argument("--readings", metavar="FILE", help="a file of readings of its own; new ones are added to it")
    folder_argument(depth)
