"""An inscription as a paper: its own sections first, then the setup card of the part, of one look with all papers."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from typing import Final

from rotary.card.essence import in_short
from rotary.card.keying import passes_typed
from rotary.card.paper import card_by_height
from rotary.inscription.card import GOVERNS, WHERE, steps_to_begin
from rotary.inscription.models import Inscription
from rotary.papers.model import Block, Entry, Keyed, Notes, Pairs, Paper, Section, Sentences, Table
from rotary.plan import Plan
from rotary.sentences.cautions import stops
from rotary.sentences.passes import first_line
from rotary.sentences.running import steps_of_files
from rotary.wording import InscriptionWish

_WORDS: Final = {"fails": "FAILS"}
"""What stands before a check that does not pass; any other state asks for a look."""


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
    own = _own(wish, facts, files, says)
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
            Section("Laser, for what is marked without turning", _laser(stands_in, tried_on)),
            Section("Cautions in short", (Sentences(warns, "warn"), Sentences(notes)), "two"),
            Section("What happened: date, who, what was seen", (Notes(3),)),
        ),
    )
    return lambda _: paper


def _over(card: Paper, own: tuple[Section, ...]) -> Paper:
    """The part's card with the inscription's sections: the page holds what is done, what was judged stands behind."""
    return replace(card, kind="inscription card", sections=(own[0], *card.sections), behind=(*own[1:], *card.behind))


def _own(wish: InscriptionWish, facts: Inscription, files: Sequence[str], says: Sequence[str]) -> tuple[Section, ...]:
    """What is cut and how to begin; what can be read; what the files will do."""
    rows = tuple(
        (f"{place}", f"{line.letters}", f"{line.length_mm:.3f}", f"{line.spacing_mm:+.4f}", line.text)
        for place, line in enumerate(facts.lines, 1)
    )
    head = ("line", "letters", "long mm", "between letters mm", "text")
    size = f"{facts.letter_height_mm:.2f} mm high (a capital): {GOVERNS[facts.governs]}"
    blocks: list[Block] = [
        Pairs((("letters", size),)),
        Table(head, rows, "the lines of the inscription", wide=4),
        Sentences(tuple(steps_to_begin(wish, facts)), "box"),
    ]
    checks = tuple(
        f"{check.name}: {check.says}"
        if check.state == "passes"
        else f"{_WORDS.get(check.state, 'Look')}, {check.name}: {check.says}. It would pass with {check.cure}"
        for check in facts.checks
    )
    return (
        Section(f"Inscription {WHERE[facts.around]}", tuple(blocks)),
        Section("Legibility", (Sentences(checks, "dash"), Sentences(facts.notes))),
        *((Section("Files", (Sentences(tuple(files), "dash"), Sentences(tuple(says), "dash"))),) if files else ()),
    )


def _laser(made: Plan, tried_on: str) -> tuple[Block, ...]:
    """What is keyed in where nothing is turned."""
    says = Sentences((first_line(made),), "none")
    setting = made.choice.setting
    if setting is None:
        return (says,)
    entries = (
        Entry("Power", f"{100 * setting.power_share:g}", "%"),
        Entry("Repetition rate", f"{setting.rate_khz:g}", "kHz"),
        Entry("Pulse duration", f"{setting.pulse_ns:g}", "ns"),
        Entry("Scan speed", f"{setting.scan_speed_mm_s:g}", "mm/s"),
        Entry("Hatch spacing", f"{setting.hatch_mm:g}", "mm"),
        Entry("Focal plane over the face", f"{setting.defocus_mm:+g}" if setting.defocus_mm else "0", "mm"),
        *(Entry(one.label, one.text, one.unit, one.why) for one in passes_typed(made, tried_on)),
    )
    run = steps_of_files(made.removal, tried_on, made.job.item)
    return says, Keyed(entries), *((Sentences(run, "box"),) if run else ())
