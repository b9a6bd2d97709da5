"""The short answer and the card in plain lines, for screen readers: nothing drawn, signs as words."""

from datetime import date

from rotary.actions.models import Actions
from rotary.card.keying import checks, entries
from rotary.card.paper import card_paper
from rotary.card.setup import NOT_TURNED, standing
from rotary.papers.plain import keyed_entries, plain_lines, sentence
from rotary.plan import Plan
from rotary.sentences.cautions import stops
from rotary.sentences.running import run


def plain_answer(plan: Plan, system: str = "mm", actions: Actions | None = None) -> list[str]:
    """How it stands, what to do next, what forbids the start, what is keyed in in its order, what the program must
    show."""
    stands, steps = standing(plan, actions, system)
    lines = [*filter(None, [plan.safety.example]), *stands, *steps]
    lines += [f"Stop. {text}" for text in stops(plan.safety)]
    if actions is None or actions.type:
        is_turned = actions is None or actions.is_turned
        shows = checks(plan, system) if is_turned else ()
        lines += ["Key in, in this order.", *keyed_entries(entries(plan, system, is_turned))]
        lines += [f"Before the first slice, see that: {says}" for says in shows] or [NOT_TURNED]
        lines += [f"Run it: {says}" for says in run(plan)]
    lines.append("Cautions are on the card. Local rules and licensed practice go first.")
    return [sentence(line) for line in lines]


def plain_card(plan: Plan, system: str = "mm", day: date | None = None) -> list[str]:
    """All that the setup card says, line by line."""
    return plain_lines(card_paper(plan, system, day, picture_mm=0.0))
