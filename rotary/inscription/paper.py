"""An inscription as a paper: its own section first, then the setup sheet of the part, of one look with all papers."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date

from rotary.actions.build import actions_of
from rotary.actions.files import drawn_of
from rotary.actions.models import Actions, Files
from rotary.card.behind import cautions_in_whole
from rotary.card.plan_sheet import actions_in_words, plan_facts
from rotary.card.sheet import sheet_by_height
from rotary.inscription.card import inscription_sections
from rotary.inscription.models import Inscription
from rotary.papers.model import Paper, Section
from rotary.plan import Plan
from rotary.sentences.actions import with_words
from rotary.sentences.cautions import cautions
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
    """The sheet of an inscription, by the height of its picture.

    `made` is the plan that turns it, None for flats and an end face, where `stands_in` has the setting and the
    cautions; `says` is what its files will do, `tried_on` the one that a coating is tried on where there are several.
    """
    own = inscription_sections(wish, facts, files, says)
    names = tuple(files)
    faces = Files(first=tried_on, whole=next(iter(names), ""), faces=names if len(names) > 1 else ())
    return part_sheet(made, stands_in, own, faces, day)


def part_sheet(
    made: Plan | None, stands_in: Plan, own: Sequence[Section], faces: Files, day: date | None = None
) -> Callable[[float], Paper]:
    """The sheet of a part with sections of `own`: the first leads, the others stand behind the cautions in whole."""
    whole, actions = made if made is not None else stands_in, _actions(made, stands_in, faces)
    behind = (cautions_in_whole(whole, actions.cautions), *own[1:])
    about = replace(plan_facts(whole, "mm", day, tuple(own[:1])), kind="inscription sheet", details=behind)
    if made is None:
        # Nothing is turned, and nothing of the stand-in's own artwork is marked.
        about = replace(about, picture=None, slices=1, minutes="", facts=())
    return sheet_by_height(actions, about)


def _actions(made: Plan | None, stands_in: Plan, faces: Files) -> Actions:
    if made is not None:
        return actions_in_words(made)
    # Nothing goes round: all passes are run where it lies.
    removal = stands_in.removal.model_copy(update={"order": "slice-by-slice", "file_per_slice": False})
    lying = stands_in.model_copy(update={"removal": removal})
    drawn = drawn_of(lying)._replace(files=faces, slices=1, is_final=True, is_turned=False, is_written=True)
    return with_words(actions_of(lying, drawn), cautions(lying.safety))
