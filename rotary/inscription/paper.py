"""An inscription as a paper: its own section first, then the setup sheet of the part, of one look with all papers."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from rotary.actions.files import FaceFacts, WordsFacts, file_facts
from rotary.actions.models import Actions, Files
from rotary.card.details import cautions_in_whole
from rotary.card.plan_sheet import plan_facts
from rotary.card.sheet import sheet_by_height
from rotary.inscription.actions import as_artwork, words_facts
from rotary.inscription.card import inscription_sections
from rotary.inscription.front import ink_of_words
from rotary.inscription.work import InscribedPart, face_facts
from rotary.papers.model import Paper, Section
from rotary.pictures.scene import MarkedInk
from rotary.plan import Plan
from rotary.sentences.plan import actions_in_words
from rotary.wording import InscriptionWish


def inscription_sheet(
    wish: InscriptionWish, done: InscribedPart, stands_in: Plan, says: Sequence[str] = (), system: str = "mm"
) -> Callable[[float], Paper]:
    """The sheet of an inscription whose files are written, by the height of its picture; `says` is what they will do.

    What nothing turns is on flats or an end face: `stands_in` has the setting and the cautions then.
    """
    names = tuple(path.name for path in done.paths)
    own = inscription_sections(wish, done.facts, names, says, system=system)
    # Bare metal and a known number of passes are tried on none.
    tried_on = done.tried_on if stands_in.is_tried else ""
    faces = Files(first=tried_on, whole=names[0], faces=names if len(names) > 1 else ())
    ink = ink_of_words(done.made or stands_in, wish, done.sized)
    face = face_facts(done.face, done.facts) if done.face is not None else None
    return part_sheet(done.made, stands_in, own, faces, face or words_facts(done.facts), ink, system)


def part_sheet(
    made: Plan | None,
    stands_in: Plan,
    own: Sequence[Section],
    faces: Files,
    lies: FaceFacts | WordsFacts | None = None,
    ink: MarkedInk | None = None,
    system: str = "mm",
) -> Callable[[float], Paper]:
    """The sheet of a part whose files are written, with sections of `own`: the first leads, the others stand behind the
    cautions in whole. `lies` says how the face lies, or where words begin; `ink` is for the picture."""
    whole, actions = made if made is not None else stands_in, _actions(made, stands_in, faces, lies, system)
    behind = (cautions_in_whole(whole, actions.cautions), *own[1:])
    about = replace(plan_facts(whole, system, first=tuple(own[:1]), ink=ink), kind="inscription sheet", details=behind)
    if made is None:
        # Nothing is turned, and nothing of the stand-in's own artwork is marked.
        picture = about.picture if ink is not None else None
        about = replace(about, picture=picture, slices=1, time=None, facts=())
    return sheet_by_height(actions, about)


def _actions(
    made: Plan | None, stands_in: Plan, faces: Files, lies: FaceFacts | WordsFacts | None, system: str
) -> Actions:
    if made is not None:
        whole = as_artwork(made)
        drawn = file_facts(whole)._replace(is_written=True, words=lies if isinstance(lies, WordsFacts) else None)
    else:
        # Nothing goes round: all passes are run where it lies.
        removal = stands_in.removal.but(order="slice-by-slice", file_per_slice=False)
        whole = stands_in.but(removal=removal)
        face = lies if isinstance(lies, FaceFacts) else None
        drawn = file_facts(whole)._replace(files=faces, slices=1, is_final=True, face=face, is_written=True)
    return actions_in_words(whole, drawn, system=system)
