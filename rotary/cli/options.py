"""Arguments that several commands take."""

import argparse
from collections.abc import Callable
from typing import Final, Protocol

from rotary.errors import brief
from rotary.services import USUAL_DRAWS

MOST_DRAWS: Final = 100_000

Added = argparse.ArgumentParser


class Adder(Protocol):
    """Adds a command to the command line."""

    def __call__(self, name: str, run: Callable[[argparse.Namespace], int], says: str, example: str) -> Added:
        """Name, what it runs, what it does, an example."""


def whole(low: int, high: int) -> Callable[[str], int]:
    """Reads a whole number within bounds."""

    def read(text: str) -> int:
        if not (text.isascii() and text.isdigit() and len(text) < 12 and low <= int(text) <= high):
            raise argparse.ArgumentTypeError(f"{brief(text)} won't do: write a whole number from {low} to {high}")
        return int(text)

    return read


def job_argument(parser: argparse.ArgumentParser) -> None:
    """The job that a command is about."""
    parser.add_argument(
        "job", metavar="JOB", help="a job file, the name of a shipped example, or - for the standard input"
    )


def folder_argument(parser: argparse.ArgumentParser) -> None:
    """Where profiles are kept."""
    parser.add_argument("--folder", metavar="FOLDER", help="where profiles are kept (or set ROTARY_FOLDER)")


def inches_argument(parser: argparse.ArgumentParser) -> None:
    """In which system lengths are shown."""
    parser.add_argument("--inches", action="store_true", help="lengths in inches where they are not typed in mm")


def which_patch_arguments(parser: argparse.ArgumentParser) -> None:
    """Whether a patch is printed again, or a new one made in any case."""
    which = parser.add_mutually_exclusive_group()
    which.add_argument("--patch", metavar="N", type=whole(1, 10**6), help="print this patch again, as it is kept")
    which.add_argument("--new", action="store_true", help="a new patch, even where the same one is still to be read")


def plain_argument(parser: argparse.ArgumentParser) -> None:
    """Whether anything may be drawn with characters."""
    parser.add_argument("--plain", action="store_true", help="plain lines for a screen reader: nothing drawn")


def over_argument(parser: argparse.ArgumentParser) -> None:
    """Whether something may be replaced that is not of the same kind."""
    parser.add_argument("--over", action="store_true", help="replace what stands there, whoever made it")


def to_arguments(parser: argparse.ArgumentParser, required: bool) -> None:
    """A file that is set as a paper, and the paper it is for."""
    parser.add_argument(
        "--to", metavar="FILE", required=required, help="the file to write; its ending, .pdf .html .txt .svg, tells how"
    )
    over_argument(parser)
    parser.add_argument(
        "--paper", choices=("A4", "Letter"), help="what it is printed on (if left out, what is usual where you are)"
    )


def rig_arguments(parser: argparse.ArgumentParser) -> None:
    """For which machine, as measured, a job is planned."""
    parser.add_argument(
        "--rig", metavar="NAME", help="plan for this machine as measured (the one the job names, if left out)"
    )
    parser.add_argument("--rigs", metavar="FOLDER", help="where rigs are kept (or set ROTARY_RIGS)")


def output_arguments(parser: argparse.ArgumentParser, out: bool = True) -> None:
    """How a plan is shown and where it goes; with or without --out."""
    inches_argument(parser)
    parser.add_argument(
        "--draws",
        metavar="N",
        type=whole(0, MOST_DRAWS),
        default=USUAL_DRAWS,
        help=f"draws for the chances ({USUAL_DRAWS}, as sheets, tapes and all else are planned; 0 leaves them out)",
    )
    if out:
        parser.add_argument("--out", metavar="FILE", help="write to a file, whole or not at all")
        if "--over" not in parser._option_string_actions:
            over_argument(parser)
