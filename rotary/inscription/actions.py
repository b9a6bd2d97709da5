"""What a person does for the words of a job: the rows of their own files, not those of the artwork's frame."""

from pathlib import Path
from typing import Final

from rotary.actions.build import actions_of, actions_of_refused
from rotary.actions.files import drawn_of
from rotary.actions.models import Actions, Files
from rotary.errors import Refused
from rotary.inscription.setting import with_font_path
from rotary.inscription.work import Planner, deepened, face_files, plane_over_face_mm, planned, size, stand_in, stem_of
from rotary.plan import Plan
from rotary.sentences.actions import with_words
from rotary.sentences.cautions import cautions
from rotary.services.actions import files_are_current
from rotary.services.files import with_files
from rotary.wording import InscriptionWish

OF_A_FACE: Final = (
    "file", "scale", "power", "frequency", "pulse_width", "speed", "line_spacing", "fill_direction", "passes", "pause",
    "vessel", "corner_ticks",
)  # fmt: skip
"""Rows of what is not turned; how it lies is on the card that is written with its files."""


def actions_of_words(made: Plan, beside: Path, made_by: Planner, system: str = "mm") -> Actions:
    """The actions, in words, for the inscription of a plan's job; `beside` is where its font and its files lie.

    Words that don't fit are not ready, with what to write instead as steps.
    """
    try:
        wish = with_font_path(made.job.inscription or InscriptionWish(), beside)
        if wish.around in ("flats", "end"):
            actions, whole = _of_face(made, wish, made_by)
        else:
            actions, whole = _turned(made, wish, beside, made_by)
    except Refused as refused:
        return with_words(actions_of_refused(refused.faults, bool(made.safety.example)), (), system)
    return with_words(actions, cautions(whole.safety), system)


def _turned(made: Plan, wish: InscriptionWish, beside: Path, made_by: Planner) -> tuple[Actions, Plan]:
    _, whole, rings = planned(made.job, wish, made_by)
    whole, _, texts = with_files(whole, rings)
    whole = _as_artwork(whole)
    drawn = drawn_of(whole)
    drawn = drawn._replace(is_written=files_are_current(whole, beside, drawn.files, texts))
    return actions_of(whole, drawn), whole


def _of_face(made: Plan, wish: InscriptionWish, made_by: Planner) -> tuple[Actions, Plan]:
    """Flats and end faces: marked as they lie, a file each, the first one named."""
    job = deepened(made.job, wish)
    files, _ = face_files(job, wish, size(job, wish), stem_of(wish), plane_over_face_mm(job, made_by))
    whole = stand_in(job, made_by)
    return actions_of_face(whole, Files(whole=next(iter(files)))), whole


def actions_of_face(whole: Plan, files: Files) -> Actions:
    """The rows of what is marked as it lies, of a plan that stands in for it; the first of its files is named."""
    # Nothing goes round: all passes are run where it lies.
    removal = whole.removal.model_copy(update={"order": "slice-by-slice", "file_per_slice": False})
    whole = _as_artwork(whole).model_copy(update={"removal": removal})
    drawn = drawn_of(whole)._replace(files=files, slices=1, is_final=True, is_written=True)
    actions = actions_of(whole, drawn)
    kept = {
        name: tuple(row for row in getattr(actions, name) if row.id in OF_A_FACE)
        for name in ("import", "type", "by_hand", "check")
    }
    return actions.model_copy(update={**kept, "on_item": None})


def _as_artwork(whole: Plan) -> Plan:
    """The same plan, whose artwork the words are by now."""
    return whole.model_copy(update={"job": whole.job.model_copy(update={"inscription": None})})
