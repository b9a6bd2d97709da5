"""An inscription as a paper: its own section first, then the setup sheet of the part, of one look with all papers."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import degrees

from rotary.actions.by_hand import settable
from rotary.actions.files import FaceFacts, file_facts
from rotary.actions.models import Actions, Files
from rotary.card.details import cautions_in_whole
from rotary.card.plan_sheet import plan_facts
from rotary.card.sheet import sheet_by_height
from rotary.inscription.actions import as_artwork
from rotary.inscription.card import inscription_sections
from rotary.inscription.front import ink_of_words
from rotary.inscription.work import InscribedPart, face_facts
from rotary.papers.model import Paper, Section
from rotary.papers.sizes import Sizes
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
    item, begin = stands_in.job.item, _begin(done, Sizes(system))
    own = inscription_sections(wish, done.facts, item, names, says, system=system, begin=begin)
    # Bare metal and a known number of passes are tried on none.
    tried_on = done.tried_on if stands_in.is_tried else ""
    faces = Files(first=tried_on, whole=names[0], faces=names if len(names) > 1 else ())
    ink = ink_of_words(done.made or stands_in, wish, done.sized)
    face = face_facts(done.face, done.facts) if done.face is not None else None
    return part_sheet(done.made, stands_in, own, faces, face, ink, system)


def _begin(done: InscribedPart, sizes: Sizes) -> str:
    """Which place of a round part is on top first, where the setup sheet has no step for it."""
    if done.made is None or (item := done.made.job.item).front_mark:
        return ""
    middle_rad = file_facts(as_artwork(done.made)).middle_rad
    if abs(round(degrees(middle_rad), 1)) == 0:
        return "Before you start, turn the part until the pen mark is on top."
    side = "right" if middle_rad > 0 else "left"
    far = sizes.by_hand(settable(abs(middle_rad) * done.facts.radius_mm))
    return (
        f"Before you start, turn the part until the place {far} to the {side} of the pen mark "
        f"({abs(degrees(middle_rad)):.1f}°) is on top: the file's middle comes there. Look from above, with "
        f"{item.end_words('rim')} away from you."
    )


def part_sheet(
    made: Plan | None,
    stands_in: Plan,
    own: Sequence[Section],
    faces: Files,
    face: FaceFacts | None = None,
    ink: MarkedInk | None = None,
    system: str = "mm",
    starts_alone: bool = True,
) -> Callable[[float], Paper]:
    """The sheet of a part whose files are written, with sections of `own`: the first leads, the others stand behind the
    cautions in whole. `ink` is for its picture. Without `starts_alone` it is for parts that start at angles of their
    own."""
    whole, actions = made if made is not None else stands_in, _actions(made, stands_in, faces, face, system)
    if not starts_alone:
        actions = actions.without("start_angle")
    behind = (cautions_in_whole(whole, actions.cautions), *own[1:])
    about = replace(plan_facts(whole, system, first=tuple(own[:1]), ink=ink), kind="inscription sheet", details=behind)
    if made is None:
        # Nothing is turned, and nothing of the stand-in's own artwork is marked.
        picture = about.picture if ink is not None else None
        about = replace(about, picture=picture, slices=1, time=None, facts=())
    return sheet_by_height(actions, about)


def _actions(made: Plan | None, stands_in: Plan, faces: Files, face: FaceFacts | None, system: str) -> Actions:
    if made is not None:
        whole = as_artwork(made)
        drawn = file_facts(whole)._replace(is_written=True)
    else:
        # Nothing goes round: all passes are run where it lies.
        removal = stands_in.removal.but(order="slice-by-slice", file_per_slice=False)
        whole = stands_in.but(removal=removal)
        drawn = file_facts(whole)._replace(files=faces, slices=1, is_final=True, face=face, is_written=True)
    return actions_in_words(whole, drawn, system=system)
