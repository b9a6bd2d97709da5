"""What the commands about papers take."""

from rotary.cli import paper_commands as run
from rotary.cli.options import (
    Adder,
    folder_argument,
    job_argument,
    output_arguments,
    plain_argument,
    rig_arguments,
    to_arguments,
    which_patch_arguments,
)
from rotary.services.papers import ENDINGS_OF

PAPERS = tuple(ENDINGS_OF)
PICTURES = ("end-view", "side-view", "unrolled", "joints", "budget", "window", "heat", "forecast")


def add_paper_commands(command: Adder) -> None:
    """Add the commands that print: the card, and every paper."""
    card = command(
        "card",
        run.card,
        "plan a job and print its setup card, as text or as a file to print",
        "rotary card bottle.toml --to card.pdf --paper A4",
    )
    job_argument(card)
    to_arguments(card, required=False)
    card.add_argument("--picture", choices=PICTURES, help="write this picture alone, as SVG or PDF")
    plain_argument(card)
    card.add_argument("--details", action="store_true", help="more pages: reasons, cautions in whole, pictures")
    card.add_argument(
        "--forecast",
        metavar="FILE",
        help="a written sheet or folder of slices: what it will do goes on the card",
    )
    output_arguments(card)
    rig_arguments(card)
    paper = command(
        "paper",
        run.paper,
        "write any paper of a job: card, proof patch, tapes, wrap template, slice sheet",
        "rotary paper bottle.toml tapes --to tapes.pdf",
    )
    job_argument(paper)
    paper.add_argument("paper_name", metavar="PAPER", choices=PAPERS, help=f"one of {', '.join(PAPERS)}")
    to_arguments(paper, required=True)
    which_patch_arguments(paper)
    folder_argument(paper)
    output_arguments(paper, out=False)
    rig_arguments(paper)
