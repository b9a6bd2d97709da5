"""What the commands about kept profiles take."""

from rotary.cli import again_command
from rotary.cli import store_commands as run
from rotary.cli.options import (
    Added,
    Adder,
    folder_argument,
    inches_argument,
    job_argument,
    output_arguments,
    plain_argument,
    rig_arguments,
    to_arguments,
    whole,
)


def add_store_commands(command: Adder) -> None:
    """Add every command about kept profiles."""
    _keeping(command)
    _finding(command)
    _versions(command)
    _findings(command)
    _carrying(command)


def _named(parser: Added, version: bool = False) -> Added:
    parser.add_argument("name", metavar="NAME", help="the profile's name, or its id")
    if version:
        parser.add_argument("--version", metavar="N", help="an older version (the newest if left out)")
    folder_argument(parser)
    return parser


def _keeping(command: Adder) -> None:
    keep = command(
        "keep", run.keep, "plan a job and keep it as an item profile", 'rotary keep bottle.toml --as "regatta bottle"'
    )
    job_argument(keep)
    keep.add_argument("--as", dest="name", metavar="NAME", help="the profile's name (the item's name if left out)")
    keep.add_argument("--follows", metavar="N", help="the version that the job was made from (the newest if left out)")
    says = "a drawing that is marked: its name and fingerprint are kept (those in the job are found anyway)"
    keep.add_argument("--drawing", metavar="FILE", action="append", default=[], help=says)
    folder_argument(keep)
    again = command(
        "again",
        again_command.again,
        "print a kept profile for a repeat: the numbers that were run, what to check first, what was changed",
        'rotary again "regatta bottle"',
    )
    _named(again, version=True)
    again.add_argument("--today", metavar="JOB", help="a job whose drive and head are what stands in the shop today")
    again.add_argument(
        "--batch", default="", metavar="TEXT", help="which batch of the coating is on the items of today"
    )
    again.add_argument("--anew", action="store_true", help="today's plan in place of the numbers that were run")
    again.add_argument("--json", action="store_true", help="how it stands and all numbers, as JSON")
    to_arguments(again, required=False)
    plain_argument(again)
    rig_arguments(again)
    output_arguments(again)
    copy = _named(
        command("copy", run.copy, "copy a profile to another name", 'rotary copy "mug" --as "blue mug"'), True
    )
    rename = _named(command("rename", run.rename, "give a profile another name", 'rotary rename "mug" --as "old mug"'))
    for parser in (copy, rename):
        parser.add_argument("--as", dest="new_name", metavar="NEW", required=True, help="the other name")


def _finding(command: Adder) -> None:
    kept = command(
        "kept",
        run.list_profiles,
        "list or search the item profiles that are kept",
        'rotary kept green --at-most "90 mm"',
    )
    kept.add_argument("words", metavar="WORD", nargs="*", help="words that must occur in name, note, coating or head")
    kept.add_argument("--at-least", metavar="SIZE", help="only items nowhere thinner than this diameter")
    kept.add_argument("--at-most", metavar="SIZE", help="only items nowhere thicker than this diameter")
    kept.add_argument("--coating", metavar="WORD", default="", help="only this coating")
    kept.add_argument("--head", metavar="WORD", default="", help="only this head")
    kept.add_argument("--proven", action="store_true", help="only those that are proven")
    folder_argument(kept)
    nearest = command(
        "nearest", run.nearest, "list the kept profiles nearest to an item just measured", "rotary nearest cup.toml"
    )
    job_argument(nearest)
    inches_argument(nearest)
    folder_argument(nearest)
    _named(command("show", run.show, "print a kept profile as its file has it", 'rotary show "mug"'), version=True)


def _versions(command: Adder) -> None:
    _named(command("history", run.history, "list the versions of a profile", 'rotary history "regatta bottle"'))
    compare = command("compare", run.compare, "say what changed between two versions", 'rotary compare "mug" 2 5')
    compare.add_argument("name", metavar="NAME", help="the profile's name, or its id")
    compare.add_argument("before", metavar="N", nargs="?", help="one version (the last but one if left out)")
    compare.add_argument("after", metavar="M", nargs="?", help="the other (the newest if left out)")
    compare.add_argument("--with", dest="other", metavar="NAME", help="compare with another profile instead")
    inches_argument(compare)
    folder_argument(compare)
    says = "make an older version the newest, or take a profile back that was discarded or deleted"
    _named(command("restore", run.restore, says, 'rotary restore "mug" --version 2'), version=True)
    says = "say which of the versions that stand side by side goes on"
    choose = _named(command("choose", run.choose, says, 'rotary choose "mug" 5'))
    choose.add_argument("version", metavar="N", help="the version that goes on")
    _named(command("discard", run.discard, "move a profile with its history to the bin", 'rotary discard "old mug"'))
    folder_argument(command("bin", run.bin, "list what was discarded or deleted by hand", "rotary bin"))
    says = "look through all profiles: set damaged files aside, bring back what was deleted by hand"
    folder_argument(command("mend", run.mend, says, "rotary mend"))


def _findings(command: Adder) -> None:
    proven = _named(
        command(
            "proven", run.proven, "write down that a profile came out as wanted", 'rotary proven "mug" --batch "April"'
        ),
        version=True,
    )
    rig_arguments(proven)
    ran = _named(command("ran", run.ran, "write a run into the logbook", 'rotary ran "mug" --outcome clear --items 12'))
    ran.add_argument("--outcome", required=True, metavar="WORD", help="one of " + ", ".join(run.OUTCOMES))
    ran.add_argument("--items", type=whole(1, 100_000), default=1, metavar="N", help="how many (1)")
    ran.add_argument("--spoiled", type=whole(0, 100_000), default=0, metavar="N", help="how many of them were spoiled")
    ran.add_argument("--json", action="store_true", help="the run's file and what to do next, as JSON")
    ran.add_argument("--took", metavar="TIME", help='how long, like "25 min"')
    for parser in (proven, ran):
        says = "how many passes the first slice took, before the last one"
        parser.add_argument("--passes", type=whole(0, 1000), metavar="N", help=says)
        says = "which numbers were run: saved (as in the profile) or now (today's plan)"
        parser.add_argument("--numbers", choices=("saved", "now"), default="", help=says)
        says = "a file that the marking program was given: its name and fingerprint are kept"
        parser.add_argument("--file", metavar="FILE", action="append", default=[], help=says)
        parser.add_argument("--batch", default="", metavar="TEXT", help="which batch of the coating")
        parser.add_argument("--note", default="", metavar="TEXT", help="a remark")
    note = _named(command("note", run.note, "add a remark to a profile", 'rotary note "mug" "wipe twice"'))
    note.add_argument("says", metavar="TEXT", help="the remark")
    says = "add something that was read to a profile, or strike it out"
    read = _named(command("reading", run.reading, says, 'rotary reading "mug" --of "proof patch" --shows clear'))
    read.add_argument("--of", metavar="WHAT", help="what was read: a patch, a strip, a diameter")
    read.add_argument("--shows", metavar="TEXT", help="what it shows")
    read.add_argument("--place", default="", metavar="TEXT", help="where: the cell, the height")
    read.add_argument("--note", default="", metavar="TEXT", help="a remark")
    read.add_argument("--strike", metavar="N", type=whole(1, 100_000), help="strike reading N out; it stays on file")
    book = command("logbook", run.logbook, "list the runs, with totals", "rotary logbook --since 2026-01-01")
    book.add_argument("name", metavar="NAME", nargs="?", help="of this profile only")
    book.add_argument("--since", metavar="DATE", help="from this day on, like 2026-01-31")
    book.add_argument("--settings", action="store_true", help="with what was set in each")
    inches_argument(book)
    folder_argument(book)


def _carrying(command: Adder) -> None:
    export = command("export", run.export, "write profiles and their runs to one file", 'rotary export mugs.zip "mug"')
    export.add_argument("file", metavar="FILE", help="the file to write")
    export.add_argument("names", metavar="NAME", nargs="*", help="the profiles (all if none is named)")
    export.add_argument("--over", action="store_true", help="write over a file that is there already")
    folder_argument(export)
    says = "say what an exported file holds against what is here; with --take, take it"
    bring = command("import", run.import_, says, "rotary import mugs.zip --take")
    bring.add_argument("file", metavar="FILE", help="a file that rotary export wrote")
    bring.add_argument("names", metavar="NAME", nargs="*", help="the profiles to take (all if none is named)")
    bring.add_argument("--take", action="store_true", help="take them; nothing that is here is touched")
    folder_argument(bring)
