"""What the command about a repeat does: the numbers that were run, or what is planned today in their place."""

import argparse

from rotary.cli.jobs import repeat_asked_for
from rotary.cli.store_commands import opened


def again(asked: argparse.Namespace) -> int:
    """Print a kept profile for a repeat."""
    from rotary.cli.answers import refuse_out
    from rotary.cli.jobs import job_of
    from rotary.cli.paper_commands import printed_repeat, ready, refuse_two_kinds
    from rotary.repeat.checks import with_setup_of

    if asked.to is not None:
        refuse_two_kinds(asked)
        ready(asked, "setup-card")
    refuse_out(asked)
    found = opened(asked)
    job = with_setup_of(found.profile.job, job_of(asked.today)) if asked.today else found.profile.job
    # Its artwork lies where it is called from, or beside the job that names today's setup.
    asked.job = asked.today or "-"
    repeat = repeat_asked_for(found, job, asked)
    return printed_repeat(repeat.on_batch(asked.batch) if asked.batch else repeat, asked)
