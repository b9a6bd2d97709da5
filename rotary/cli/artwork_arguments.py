"""What the commands about real artwork take."""

import argparse

from rotary.cli import artwork_commands as run
from rotary.cli.options import Adder, inches_argument, job_argument, over_argument, rig_arguments, whole


def add_artwork_commands(command: Adder) -> None:
    """Add every command that reads or writes artwork."""
    sheet = command(
        "sheet",
        run.sheet,
        "write the slice sheet: the artwork redrawn slice by slice so that it lands true",
        "rotary sheet bottle.toml --art crest.svg --to sheets",
    )
    _art(sheet)
    rig_arguments(sheet)
    inches_argument(sheet)
    _to(sheet)
    sheet.add_argument("--files", action="store_true", help="a file a slice, each with the same border")
    sheet.add_argument("--dxf", action="store_true", help="DXF in place of SVG, one layer a slice")
    sheet.add_argument("--marked-width", metavar="LENGTH", help='width of one marked line as measured, "0.09 mm"')
    sheet.add_argument("--overlap", metavar="LENGTH", help='how far neighbouring slices overlap, "0.02 mm"')
    sheet.add_argument("--more-columns", action="store_true", help="two blank columns more for the joints to slide in")
    sheet.add_argument("--unslid", action="store_true", help="leave the joints where they fall, even across ink")
    flat = command(
        "flat",
        run.flat,
        "write the artwork flat, corrected for the item alone, for equal columns",
        "rotary flat bottle.toml --art crest.svg --to sheets",
    )
    _art(flat)
    rig_arguments(flat)
    inches_argument(flat)
    _to(flat)
    forecast = command(
        "forecast",
        run.forecast,
        "say what a written sheet, or a folder of slice files, will do on this item",
        "rotary forecast bottle.toml sheets/crest-sliced.svg --picture forecast.svg",
    )
    _art(forecast, "forecast")
    rig_arguments(forecast)
    inches_argument(forecast)
    forecast.add_argument("--picture", metavar="FILE", help="draw it too, as SVG")
    over_argument(forecast)
    forecast.add_argument(
        "--draws", metavar="N", type=whole(0, 2000), default=200, help="draws from what is believed (200)"
    )
    picture = command(
        "picture",
        run.picture,
        "write a photograph or a grey picture as a sheet of dots",
        "rotary picture bottle.toml heron.png --to sheets --mark lighter",
    )
    job_argument(picture)
    rig_arguments(picture)
    inches_argument(picture)
    picture.add_argument("image", metavar="IMAGE", help="a PNG, JPEG or TIFF file")
    _to(picture)
    picture.add_argument("--mark", choices=("lighter", "darker"), help="whether a marked place is lighter or darker")
    picture.add_argument("--greys", action="store_true", help="greys in place of dots")
    picture.add_argument("--files", action="store_true", help="a file a slice")
    template = command(
        "template",
        run.template,
        "write the wrap template: a paper pattern at full size to tape round the item",
        "rotary template bottle.toml --to papers --paper a4",
    )
    job_argument(template)
    rig_arguments(template)
    _to(template)
    template.add_argument("--paper", choices=("a4", "letter", "both"), help="the printer's paper (a4)")
    template.add_argument("--bar-short", metavar="LENGTH", help='what the bar along the short side measured, "99.6 mm"')
    template.add_argument("--bar-long", metavar="LENGTH", help="what the bar along the long side measured")
    template.add_argument("--reach", choices=("datum", "band", "whole"), help="how much of the item the paper covers")


def _art(parser: argparse.ArgumentParser, command: str = "") -> None:
    job_argument(parser)
    if command == "forecast":
        parser.add_argument("file", metavar="FILE", help="the written sheet, or the folder of slice files")
    parser.add_argument("--art", metavar="FILE", action="append", help="an SVG or DXF drawing in place of the job's")
    parser.add_argument("--text", metavar="TEXT", action="append", help=r"a text in place of the job's; \n breaks it")
    parser.add_argument("--unit", metavar="UNIT", help="of a DXF drawing that doesn't say: mm, cm, m, in, ft")
    parser.add_argument("--line-width", metavar="LENGTH", help="how wide open lines of a DXF drawing are marked")
    parser.add_argument("--close-gaps", metavar="LENGTH", help="how far apart ends of a DXF drawing may be that meet")
    parser.add_argument("--dark-below", metavar="SHARE", help='what is at most so bright is marked ("50 %%")')
    parser.add_argument("--font", metavar="FONT", help="a TTF or OTF file, or a font's name, for the words in it")


def _to(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--to", dest="folder", metavar="FOLDER", required=True, help="the folder to write to")
    over_argument(parser)
