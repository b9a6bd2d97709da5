"""What the command about a repeat does: the numbers that were run, or what is planned today in their place."""

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING

from rotary.cli.measured import machine_asked_for
from rotary.cli.output import OK
from rotary.cli.store_commands import opened

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.repeat.standing import Repeat
    from rotary.store.keeping import OpenedProfile
    from rotary.store.record import AsRun


def again(asked: argparse.Namespace) -> int:
    """Print a kept profile for a repeat."""
    from rotary.cli.commands import job_of, refuse_out
    from rotary.cli.paper_commands import ready, refuse_two_kinds
    from rotary.repeat.checks import with_setup_of

    if asked.to is not None:
        refuse_two_kinds(asked)
        ready(asked, "setup-card")
    refuse_out(asked)
    found = opened(asked)
    job = with_setup_of(found.profile.job, job_of(asked.today)) if asked.today else found.profile.job
    # Its artwork lies where it is called from, or beside the job that names today's setup.
    asked.job = asked.today or "-"
    return printed_repeat(repeat_asked_for(found, job, asked), asked)


def repeat_asked_for(found: "OpenedProfile", job: "Job", asked: argparse.Namespace) -> "Repeat":
    """How a profile stands today, for the machine that is asked for."""
    from rotary.cli.commands import planned
    from rotary.cli.options import USUAL_DRAWS
    from rotary.repeat.standing import repeat_of

    proof = found.profile.kept.proof
    machine = machine_asked_for(job, asked, proof.rig if proof else "")
    draws, system = getattr(asked, "draws", USUAL_DRAWS), "in" if getattr(asked, "inches", False) else "mm"
    return repeat_of(found, job, lambda one: planned(one, draws), machine, system)


def printed_repeat(repeat: "Repeat", asked: argparse.Namespace) -> int:
    """To the output, or as a paper: the sheet as run, else the card of today's plan."""
    from rotary.cli.commands import planned
    from rotary.cli.paper_commands import put_on_paper, refuse_two_kinds

    if getattr(asked, "anew", False):
        repeat = replace(repeat, state="test first", banner=repeat.newer or repeat.banner, run=None, newer="")
    if repeat.run is None and repeat.made is None:
        # It is refused again, with every fault.
        planned(repeat.machine.corrected(repeat.job), 0)
    if getattr(asked, "to", None) is not None:
        refuse_two_kinds(asked)
        return put_on_paper(repeat.made, asked, "setup-card", repeat, (repeat.found.version.path,))
    if repeat.run is not None:
        return _as_run(repeat, repeat.run, asked)
    return _anew(repeat, asked)


def _as_run(repeat: "Repeat", run: "AsRun", asked: argparse.Namespace) -> int:
    from rotary.cli.commands import deliver, system_of
    from rotary.papers.plain import plain_lines
    from rotary.papers.text import text_lines
    from rotary.repeat.paper import repeat_paper
    from rotary.repeat.telling import repeat_json

    system = system_of(asked)
    if getattr(asked, "json", False):
        deliver(repeat_json(repeat) + "\n", asked)
        return OK
    paper = repeat_paper(repeat, run, system)
    lines = plain_lines(paper) if asked.plain else text_lines(paper)
    deliver("\n".join(lines) + "\n", asked)
    return OK


def _anew(repeat: "Repeat", asked: argparse.Namespace) -> int:
    from rotary.card import before_the_card, card_lines
    from rotary.card.plain import plain_card
    from rotary.cli.commands import deliver, system_of, verdict, with_artwork
    from rotary.papers.plain import plain_section
    from rotary.repeat.telling import repeat_json, section_before_card

    answer, system = repeat.today(), system_of(asked)
    if getattr(asked, "json", False):
        deliver(repeat_json(repeat) + "\n", asked)
        return verdict(answer)
    told = section_before_card(repeat, system)
    shown = with_artwork(answer, asked.job)
    if asked.plain:
        lines = [*plain_section(told), *plain_card(shown, system)]
    else:
        lines = [*before_the_card(told), *card_lines(shown, system)]
    deliver("\n".join(lines) + "\n", asked)
    return verdict(answer)
