"""What a command answers with: text or a file, and the exit code of a plan."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from rotary.cli.jobs import drawings_folder, system_of
from rotary.cli.output import NO_PASSES, OK, complain, say
from rotary.cli.pieces import sources_of
from rotary.errors import FileTrouble
from rotary.services.papers import setup_card_lines

if TYPE_CHECKING:
    from rotary.plan import Plan
    from rotary.repeat.standing import Repeat


def deliver(text: str, asked: argparse.Namespace) -> None:
    """To the output, or to the file asked for, where lines end with one that says whose they are."""
    if asked.out is None:
        say(text)
        return
    from rotary.artwork.outfiles import MADE_BY, write_file

    whole = text if getattr(asked, "json", False) else f"{text}({MADE_BY})\n"
    write_file(Path(asked.out), whole.encode("utf-8"), sources_of(asked), asked.over)


def refuse_out(asked: argparse.Namespace) -> None:
    """Raise FileTrouble where the file asked for can't be written, before anything is planned."""
    if asked.out is None:
        return
    if not asked.out.strip():
        raise FileTrouble("no file is named after --out: write --out card.txt")
    from rotary.artwork.outfiles import refuse_file

    refuse_file(Path(asked.out), sources_of(asked), asked.over)


def verdict(plan: "Plan") -> int:
    """The exit code of a plan; why there are no passes goes to the error output."""
    if plan.removal.setting is not None:
        return OK
    from rotary.sentences.passes import first_line

    complain(first_line(plan))
    return NO_PASSES


def card_text(made: "Plan | None", asked: argparse.Namespace, repeat: "Repeat | None" = None) -> str:
    """The setup card of a plan, or of a kept profile that is run again."""
    from rotary.cli.waiting import waiting

    with waiting("laying out the artwork"):
        return (
            "\n".join(setup_card_lines(made, repeat, drawings_folder(asked.job), system_of(asked), asked.plain)) + "\n"
        )
