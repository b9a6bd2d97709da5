"""The commands and what they take."""

import argparse
from collections.abc import Callable
from typing import Final, NoReturn

from rotary.cli import commands
from rotary.cli.output import EXIT_CODES, USAGE
from rotary.errors import brief

MOST_DRAWS: Final = 100_000


class _Parser(argparse.ArgumentParser):
    """Says in one line what was not understood and where the help is."""

    def error(self, message: str) -> NoReturn:
        command = f"{self.prog} --help"
        self.exit(USAGE, f"{self.prog}: {brief(message, 300)}; see: {command}\n")


def parser() -> argparse.ArgumentParser:
    """The parser of the whole command line."""
    whole = _Parser(
        prog="rotary",
        description="From a measured round item to the numbers to key in: step split, focus and passes.",
        epilog="Without a command the desk opens; where there is no terminal, the card of a shipped example is\n"
        "printed. JOB is a job file, the name of a shipped example, or - for the standard input.\n\n"
        "example:\n  rotary card regatta-bottle\n\n" + EXIT_CODES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    whole.add_argument("--version", action="store_true", help="say the version")
    whole.set_defaults(run=commands.start)
    added_commands = whole.add_subparsers(metavar="COMMAND", title="commands")

    def command(
        name: str, run: Callable[[argparse.Namespace], int], says: str, example: str
    ) -> argparse.ArgumentParser:
        added = added_commands.add_parser(
            name,
            help=says,
            description=f"{says[0].upper()}{says[1:]}.",
            epilog=f"example:\n  {example}\n\n{EXIT_CODES}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
            allow_abbrev=False,
        )
        added.set_defaults(run=run)
        return added

    desk = command(
        "desk", commands.desk, "open the desk, the screen that answers while you type", "rotary desk regatta-bottle"
    )
    desk.add_argument("job", metavar="JOB", nargs="?", help="a job file or the name of a shipped example")

    plan = command(
        "plan",
        commands.plan,
        "plan a job and say the numbers to key in",
        "rotary plan bottle.toml --json --out plan.json",
    )
    _job_argument(plan)
    plan.add_argument("--json", action="store_true", help="the whole plan as JSON, always in metric units")
    _output_arguments(plan)

    card = command(
        "card", commands.card, "plan a job and print its setup card", "rotary card bottle.toml --out card.txt"
    )
    _job_argument(card)
    _output_arguments(card)

    examples = command(
        "examples",
        commands.examples,
        "list the shipped examples, or print one",
        "rotary examples regatta-bottle > mine.toml",
    )
    examples.add_argument("name", metavar="NAME", nargs="?", help="the example to print")

    keep = command(
        "keep",
        commands.keep,
        "plan a job and keep it as an item profile",
        'rotary keep bottle.toml --as "regatta bottle"',
    )
    _job_argument(keep)
    keep.add_argument("--as", dest="name", metavar="NAME", help="the profile's name (the item's name if left out)")
    _folder_argument(keep)

    kept = command("kept", commands.kept, "list the item profiles that are kept", "rotary kept")
    _folder_argument(kept)

    again = command(
        "again", commands.again, "plan a kept item profile again and print its card", 'rotary again "regatta bottle"'
    )
    again.add_argument("name", metavar="NAME", help="the profile's name")
    again.add_argument(
        "--version", metavar="N", type=_whole(1, 10**9), help="an older version (the newest if left out)"
    )
    _folder_argument(again)
    _output_arguments(again)

    schema = command("schema", commands.schema, "print the JSON schema of a job file or of a plan", "rotary schema job")
    schema.add_argument("of", choices=("job", "plan"), nargs="?", default="job", help="which one (job if left out)")
    return whole


def _whole(low: int, high: int) -> Callable[[str], int]:
    def whole(text: str) -> int:
        if not (text.isascii() and text.isdigit() and len(text) < 12 and low <= int(text) <= high):
            raise argparse.ArgumentTypeError(f"{brief(text)} won't do: write a whole number from {low} to {high}")
        return int(text)

    return whole


def _job_argument(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "job", metavar="JOB", help="a job file, the name of a shipped example, or - for the standard input"
    )


def _folder_argument(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--folder", metavar="FOLDER", help="where profiles are kept (or set ROTARY_FOLDER)")


def _output_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--inches", action="store_true", help="lengths in inches where they are not typed in mm")
    parser.add_argument(
        "--draws",
        metavar="N",
        type=_whole(0, MOST_DRAWS),
        default=1000,
        help="draws for the chances (1000; 0 leaves them out)",
    )
    parser.add_argument("--out", metavar="FILE", help="write to a file, whole or not at all")
