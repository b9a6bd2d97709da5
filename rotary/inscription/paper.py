"""An inscription as a paper: its own sections first, then the setup card of the part, of one look with all papers."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date

from rotary.card.essence import in_short
from rotary.card.paper import card_by_height
from rotary.inscription.card import inscription_sections, laser_section
from rotary.inscription.models import Inscription
from rotary.papers.model import Notes, Paper, Section, Sentences
from rotary.plan import Plan
from rotary.sentences.cautions import stops
from rotary.wording import InscriptionWish


def inscription_by_height(
    wish: InscriptionWish,
    facts: Inscription,
    files: Sequence[str],
    made: Plan | None,
    stands_in: Plan,
    says: Sequence[str] = (),
    day: date | None = None,
    tried_on: str = "",
) -> Callable[[float], Paper]:
    """The card of an inscription, by the height of its pictures.

    `made` is the plan that turns it, None for an end face, where `stands_in` has the setting and the cautions; `says`
    is what its files will do, `tried_on` the one that a coating is tried on where there are several.
    """
    own = inscription_sections(wish, facts, files, says)
    if made is not None:
        card_of = card_by_height(made, "mm", day)
        return lambda high: _over(card_of(high), own)
    warns, notes = in_short(stands_in)
    paper = Paper(
        kind="inscription card",
        name=stands_in.job.item.name,
        day=day or date.today(),
        banner=stands_in.safety.example,
        stops=stops(stands_in.safety),
        sections=(
            *own,
            laser_section(stands_in, tried_on),
            Section("Cautions in short", (Sentences(warns, "warn"), Sentences(notes)), "two"),
            Section("What happened: date, who, what was seen", (Notes(3),)),
        ),
    )
    return lambda _: paper


def _over(card: Paper, own: tuple[Section, ...]) -> Paper:
    """The part's card with the inscription's sections: the page holds what is done, what was judged stands behind."""
    return replace(card, kind="inscription card", sections=(own[0], *card.sections), behind=(*own[1:], *card.behind))
