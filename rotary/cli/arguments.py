"""The commands and what they take."""

import argparse
import re
from collections.abc import Callable
from typing import NoReturn

from rotary.cli import commands
from rotary.cli.artwork_arguments import add_artwork_commands
from rotary.cli.ask_command import add_ask_command
from rotary.cli.browser_command import add_browser_command
from rotary.cli.inscription_arguments import add_inscription_commands
from rotary.cli.options import job_argument, output_arguments, plain_argument, rig_arguments
from rotary.cli.output import EXIT_CODES, USAGE
from rotary.cli.paper_arguments import add_paper_commands
from rotary.cli.patch_arguments import add_patch_commands
from rotary.cli.rig_arguments import add_rig_commands
from rotary.cli.series_commands import add_series_command
from rotary.cli.store_arguments import add_store_commands
from rotary.errors import brief


class _Parser(argparse.ArgumentParser):
    """Says in one line what was not understood and where the help is."""

    _mixing = False

    def error(self, message: str) -> NoReturn:
        command = f"{self.prog} --help"
        self.exit(USAGE, f"{self.prog}: {brief(message, 300)}; see: {command}\n")

    def parse_known_args(self, args=None, namespace=None):  # type: ignore[no-untyped-def]
        """A command's options may stand anywhere among its other words, which are one list though they are parted."""
        if self._mixing or self._subparsers is not None:
            return super().parse_known_args(args, namespace)
        # A length may be less than nothing with its unit right behind it: -0.5mm is no option.
        self._negative_number_matcher = re.compile(r"-\.?\d")
        self._mixing = True
        try:
            found, left = self.parse_known_intermixed_args(args, namespace)
        finally:
            self._mixing = False
        strange = [word for word in left if word.startswith("-")]
        if strange:
            self.error(f"there is no option {strange[0]}")
        if left:
            self.error(f"these words are too many: {' '.join(left)}")
        return found, left


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

    add_browser_command(command)
    add_ask_command(command)

    plan = command(
        "plan",
        commands.plan,
        "plan a job and say the numbers to key in",
        "rotary plan bottle.toml --json --out plan.json",
    )
    job_argument(plan)
    plan.add_argument("--json", action="store_true", help="the whole plan as JSON, always in metric units")
    plain_argument(plan)
    output_arguments(plan)
    rig_arguments(plan)

    add_paper_commands(command)

    examples = command(
        "examples",
        commands.examples,
        "list the shipped examples, or print one",
        "rotary examples regatta-bottle > mine.toml",
    )
    examples.add_argument("name", metavar="NAME", nargs="?", help="the example to print")

    add_artwork_commands(command)
    add_series_command(command)
    add_store_commands(command)
    add_rig_commands(command)
    add_patch_commands(command)
    add_inscription_commands(command)

    schema = command("schema", commands.schema, "print the JSON schema of a job, profile or plan", "rotary schema job")
    schema.add_argument(
        "of", choices=("job", "profile", "plan"), nargs="?", default="job", help="which one (job if left out)"
    )
    return whole
