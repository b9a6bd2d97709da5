"""What the commands about proof patches and readings take."""

from rotary.cli import patch_commands as run
from rotary.cli.options import (
    Added,
    Adder,
    folder_argument,
    inches_argument,
    job_argument,
    over_argument,
    which_patch_arguments,
    whole,
)

_SEEN = ("covered", "haze", "clear", "tinted", "cut")


def add_patch_commands(command: Adder) -> None:
    """Add every command about proof patches and readings."""
    patch = command(
        "patch", run.patch, "choose the cells of a proof patch and keep them to be read", "rotary patch regatta-bottle"
    )
    job_argument(patch)
    patch.add_argument(
        "--cells",
        metavar="N",
        type=whole(4, 16),
        help="how many cells (9, or as many as the patch has that is printed again)",
    )
    patch.add_argument("--on", choices=("scrap", "item"), help="a flat scrap (if left out), or a slice of the item")
    which_patch_arguments(patch)
    patch.add_argument("--svg", metavar="FILE", help="write the drawing at true size")
    patch.add_argument("--json", action="store_true", help="the cells with all their settings as JSON")
    inches_argument(patch)
    over_argument(patch)
    _common(patch, " or more: cells that are marked are chosen with no fewer")
    read = command(
        "read-patch",
        run.read_patch,
        "write down what was seen in the cells of a patch, and say what it taught",
        "rotary read-patch regatta-bottle 1=covered,clear 2=clear 3=covered,cut",
    )
    job_argument(read)
    read.add_argument(
        "seen",
        metavar="CELL=SEEN",
        nargs="+",
        help=f"a cell and what was seen at each look, with commas: one of {', '.join(_SEEN)}, not-read",
    )
    read.add_argument(
        "--patch", metavar="N", type=whole(1, 10**6), help="which patch (if left out, the one that is still to be read)"
    )
    read.add_argument("--note", metavar="TEXT", default="", help="a note to these readings")
    _common(read)
    came = command(
        "came-out",
        run.came_out,
        "take a real job, run as it is planned now, as a reading",
        "rotary came-out regatta-bottle clear --passes 6",
    )
    job_argument(came)
    came.add_argument("seen", choices=_SEEN, help="what the job looks like")
    came.add_argument(
        "--passes", metavar="N", type=whole(1, 200), help="after how many passes, as counted on the first slice"
    )
    came.add_argument("--note", metavar="TEXT", default="", help="a note to this reading")
    _common(came)
    kept = command(
        "readings", run.readings, "list the readings, strike one out, see what they teach", "rotary readings"
    )
    kept.add_argument("job", metavar="JOB", nargs="?", help="a job whose plan is told with and without them")
    kept.add_argument(
        "--strike", metavar="N", type=whole(1, 10**9), help="strike out a reading: it teaches nothing more"
    )
    kept.add_argument(
        "--close-patch",
        metavar="N",
        type=whole(1, 10**6),
        help="nothing more will be read of this patch: its looks to come are struck out",
    )
    kept.add_argument("--count-again", metavar="N", type=whole(1, 10**9), help="let a struck reading count again")
    _common(kept)

    kept.add_argument("--window", metavar="FILE", help="with a job: draw the process window with the readings, as SVG")
    over_argument(kept)
    kept.add_argument("--taught", metavar="FILE", help="with a job: draw the beliefs before and after, as SVG")
    helps = command(
        "what-helps",
        run.suggest,
        "plan again with one thing changed each time, and say what it would bring",
        "rotary what-helps regatta-bottle",
    )
    job_argument(helps)
    helps.add_argument("--seconds", metavar="N", type=whole(1, 3600), default=20, help="stop trying after so long (20)")
    _common(helps)


def _common(parser: Added, least: str = "") -> None:
    folder_argument(parser)
    parser.add_argument(
        "--draws", metavar="N", type=whole(100, 100_000), default=1000, help=f"draws for the chances (1000{least})"
    )
