"""What the command about a repeat does: a kept profile planned again, to the output or as a paper."""

import argparse

from rotary.cli.measured import on_rig
from rotary.cli.store_commands import opened


def again(asked: argparse.Namespace) -> int:
    """Plan a kept profile again."""
    from rotary.card import before_the_card, card_lines
    from rotary.card.plain import plain_card, plain_texts
    from rotary.cli.commands import deliver, job_of, planned, refuse_out, system_of, verdict, with_artwork
    from rotary.cli.paper_commands import put_on_paper, ready, refuse_two_kinds
    from rotary.store.record import as_run
    from rotary.store.repeat import repeat_lines, with_setup_of

    if asked.to is not None:
        refuse_two_kinds(asked)
        ready(asked, "setup-card")
    refuse_out(asked)
    found = opened(asked)
    job = with_setup_of(found.profile.job, job_of(asked.today)) if asked.today else found.profile.job
    proof = found.profile.kept.proof
    here, name, readings = on_rig(job, asked, proof.rig if proof else "")
    answer, system = planned(here, asked.draws), system_of(asked)
    told = repeat_lines(found, job, as_run(answer), system, name, readings)
    # Its artwork lies where it is called from, or beside the job that names today's setup.
    asked.job = asked.today or "-"
    if asked.to is not None:
        return put_on_paper(answer, asked, "setup-card", told, (found.version.path,))
    shown = with_artwork(answer, asked.job)
    if asked.plain:
        lines = [*plain_texts(told), *plain_card(shown, system)]
    else:
        lines = [*before_the_card(told), *card_lines(shown, system)]
    deliver("\n".join(lines) + "\n", asked)
    return verdict(answer)
