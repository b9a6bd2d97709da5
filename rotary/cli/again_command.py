"""What the command about a repeat does: the numbers that were run, or what is planned today in their place."""

import argparse
from functools import partial
from typing import TYPE_CHECKING

from rotary.cli.output import OK
from rotary.cli.store_commands import opened
from rotary.services import USUAL_DRAWS
from rotary.services.planning import plan_for
from rotary.services.profiles import repeat_for

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.repeat.standing import Repeat
    from rotary.store.keeping import OpenedProfile


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
    from rotary.cli.commands import named_rig
    from rotary.rig.store import rig_folder

    planned = partial(plan_for, draws=getattr(asked, "draws", USUAL_DRAWS))
    system = "in" if getattr(asked, "inches", False) else "mm"
    machines, rig = rig_folder(getattr(asked, "rigs", None)), named_rig(job, asked).rig
    return repeat_for(found, job, planned, system, machines, rig)


def printed_repeat(repeat: "Repeat", asked: argparse.Namespace) -> int:
    """To the output, or as a paper: the sheet as run, else the card of today's plan."""
    from rotary.cli.commands import card_text, deliver, verdict
    from rotary.cli.paper_commands import put_on_paper, refuse_two_kinds

    if getattr(asked, "anew", False):
        from dataclasses import replace

        repeat = replace(repeat, state="test first", banner=repeat.newer or repeat.banner, run=None, newer="")
    if repeat.run is None and repeat.made is None:
        # It is refused again, with every fault.
        plan_for(repeat.machine.corrected(repeat.job), draws=0)
    if getattr(asked, "to", None) is not None:
        refuse_two_kinds(asked)
        return put_on_paper(repeat.made, asked, "setup-card", repeat, (repeat.found.version.path,))
    answer = None if repeat.run is not None else repeat.today()
    if getattr(asked, "json", False):
        from rotary.repeat.telling import repeat_json

        deliver(repeat_json(repeat) + "\n", asked)
    else:
        deliver(card_text(answer, asked, repeat), asked)
    return OK if answer is None else verdict(answer)
