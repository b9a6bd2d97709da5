"""What the commands about the rig take."""

from rotary.cli import rig_commands as run
from rotary.cli.options import Added, Adder, inches_argument, job_argument, over_argument, whole

MOST_READINGS = 100_000


def add_rig_commands(command: Adder) -> None:
    """Add every command about what this machine really does."""
    _records(command)
    _strip_and_tapes(command)
    _jobs(command)


def _rig(parser: Added) -> Added:
    parser.add_argument("--rig", metavar="NAME", help="which machine (the one the job names, else the one named rig)")
    parser.add_argument("--rigs", metavar="FOLDER", help="where rigs are kept (or set ROTARY_RIGS)")
    return parser


def _records(command: Adder) -> None:
    rig = _rig(command("rig", run.rig, "say what is known of this machine, and what has lapsed", "rotary rig"))
    rig.add_argument("--item", metavar="NAME", help="with what holds for this item only")
    rig.add_argument("--all", action="store_true", help="every rig by name")
    rig.add_argument("--new", metavar="NAME", help="begin a rig of which nothing is known yet")
    rig.add_argument("--rename", metavar="NAME", help="give the rig another name (the old one still finds it)")
    rig.add_argument("--json", action="store_true", help="all of it as JSON, always in metric units")
    program = _rig(
        command(
            "program",
            run.program,
            "say once per machine what your marking program can do, and what it calls its fields",
            'rotary program pause=yes least-pause="0.5 s" change-setting=no --label power="Output"',
        )
    )
    program.add_argument(
        "answers",
        metavar="NAME=ANSWER",
        nargs="*",
        help='pause, change-setting, repeat-slice, stored-start: yes, no or "not asked"; least-pause: a time',
    )
    program.add_argument(
        "--label",
        metavar="ROW=TEXT",
        action="append",
        default=[],
        help="what your program calls a row of the setup sheet, such as power or line_spacing (no text takes it out)",
    )
    program.add_argument(
        "--from", dest="source", metavar="JOB", help="take laser, lens, eyewear and other lasers from this job"
    )
    program.add_argument("--json", action="store_true", help="the machine as JSON, always in metric units")
    read = _rig(
        command(
            "gauge",
            run.gauge,
            "keep what was read at the machine; rotary tape says what there is to read",
            'rotary gauge field axis=x drawn="140 mm" measured="139.6 mm"',
        )
    )
    read.add_argument("kind", metavar="KIND", help="turn, field, two-heights, stairs, pointer, edge, flanks, level, …")
    read.add_argument("values", metavar="NAME=VALUE", nargs="*", help='for example measured="139.6 mm"')
    read.add_argument("--note", metavar="TEXT", default="", help="a remark that is kept with it")
    changed = _rig(
        command("changed", run.changed, "say that something was changed, so that readings lapse", "rotary changed lens")
    )
    changed.add_argument("what", metavar="WHAT", help="lens, head, field, axis, rollers, drive, pointer or item")
    changed.add_argument("--note", metavar="TEXT", default="", help="a remark that is kept with it")
    strike = _rig(command("strike", run.strike, "strike out a reading by its number", "rotary strike 3"))
    strike.add_argument("number", metavar="N", type=whole(1, MOST_READINGS), help="its number, as rotary rig says it")


def _strip_and_tapes(command: Adder) -> None:
    tape = command(
        "tape", run.tape, "draw tapes to measure by, and say what to read", "rotary tape regatta-bottle field"
    )
    job_argument(tape)
    tape.add_argument("name", metavar="TAPE", nargs="?", help="one tape (all are listed if left out)")
    tape.add_argument("--out", metavar="FOLDER", help="write the drawings at true size")
    over_argument(tape)
    strip = _rig(
        command(
            "strip",
            run.strip,
            "draw the joint strip and its form, or read the filled-in form",
            "rotary strip regatta-bottle --out strip",
        )
    )
    job_argument(strip)
    strip.add_argument("--out", metavar="FOLDER", help="write the drawing, the form and what to do")
    over_argument(strip)
    strip.add_argument("--form", metavar="FILE", help="a filled-in form: say what fits, and keep the correction")
    strip.add_argument("--only-say", action="store_true", help="keep nothing")
    strip.add_argument("--tape", metavar="LENGTH", default="0.12 mm", help="thickness of the tape (0.12 mm)")


def _jobs(command: Adder) -> None:
    matters = _rig(
        command(
            "matters", run.matters, "say which input costs most at this job's joints", "rotary matters regatta-bottle"
        )
    )
    job_argument(matters)
    measured = _rig(
        command(
            "measured",
            run.measured,
            "write the job, or with --art the slice sheet, for this machine as measured",
            "rotary measured regatta-bottle --out mine.toml",
        )
    )
    job_argument(measured)
    inches_argument(measured)
    measured.add_argument("--out", metavar="FILE", help="the job with this machine's drive, head and tolerances")
    measured.add_argument("--art", metavar="FILE", action="append", default=[], help="a drawing to write the sheet of")
    measured.add_argument("--text", metavar="TEXT", action="append", default=[], help="words to write the sheet of")
    measured.add_argument("--folder", metavar="FOLDER", default=".", help="where the sheet goes (here)")
    over_argument(measured)
    measured.add_argument("--files", action="store_true", help="a file a slice in place of one sheet")
    level = command(
        "level",
        run.level,
        "say what to put under which end, from heights read at both ends of the artwork",
        'rotary level regatta-bottle --foot-end "95.2 mm" --rim-end "96.0 mm" --apart "60 mm"',
    )
    job_argument(level)
    for name, says in (("foot-end", "towards the foot"), ("rim-end", "towards the rim"), ("apart", "between the two")):
        level.add_argument(f"--{name}", metavar="LENGTH", required=True, help=f"{says}, as read")
    level.add_argument("--base", metavar="LENGTH", help="from the edge that stays down to the shim (the item's length)")
    resume = _rig(
        command(
            "resume",
            run.resume,
            "lay out what is left of a stopped job, as the item sits now",
            'rotary resume regatta-bottle --foot-right "0.4 mm" --rim-right "0.5 mm" --passes 6 --done 1-9,10=4',
        )
    )
    job_argument(resume)
    inches_argument(resume)
    for name in ("foot-right", "foot-up", "rim-right", "rim-up"):
        resume.add_argument(f"--{name}", metavar="LENGTH", default="0 mm", help="the witness tick, from where it was")
    resume.add_argument(
        "--done", metavar="SLICES", default="", help="slices ticked, and passes of one that was begun: 1-9,10=4"
    )
    resume.add_argument(
        "--passes", metavar="N", type=whole(1, 200), help="on a coating: how many passes the first slice took"
    )
    resume.add_argument("--art", metavar="FILE", action="append", default=[], help="a drawing to write the files of")
    resume.add_argument("--text", metavar="TEXT", action="append", default=[], help="words to write the files of")
    resume.add_argument("--folder", metavar="FOLDER", help="where the files of what is left go")
    over_argument(resume)
    resume.add_argument("--card", metavar="FILE", help="its card as a paper, as the name ends: .pdf …")
    resume.add_argument("--paper", choices=("A4", "Letter"), help="what it is printed on (if left out, what is usual)")
