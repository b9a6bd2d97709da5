"""What comes out of an inscription: what was asked for is in `rotary/wording.py`."""

from typing import Literal

from rotary.model import Model
from rotary.wording import Around

Governs = Literal["length", "height", "asked"]
State = Literal["passes", "fails", "advice"]


class LineFact(Model):
    """One line as it will be: its length along itself [mm] and the space that was put between its letters."""

    text: str
    letters: int
    radius_mm: float
    length_mm: float
    spacing_mm: float
    gap_mm: float
    arc_rad: float


class Check(Model):
    """One condition of legibility: whether it holds, the letter that decides, and what would make it pass."""

    name: str
    state: State
    letter: str
    says: str
    cure: str = ""


class Inscription(Model):
    """An inscription as sized. Lengths in mm, on the wall at `radius_mm`.

    `governs` says which room set the height, `height_room_mm` and `length_room_mm` what there was. `arc_rad` is all
    of it, `visible_share` the share that one eye in front sees within 60 degrees. `closing_error_mm` is by how much
    a ring would miss itself. `narrowed` is how wide letters are at the thinnest place they reach, over how wide they
    were drawn: on a taper or a dome they follow the wall.
    """

    around: Around
    letter_height_mm: float
    governs: Governs
    radius_mm: float
    middle_mm: float
    length_room_mm: float
    height_room_mm: float
    width_mm: float
    height_mm: float
    arc_rad: float
    visible_share: float
    start_rad: float
    closing_error_mm: float
    narrowed: float = 1.0
    lines: tuple[LineFact, ...]
    checks: tuple[Check, ...] = ()
    notes: tuple[str, ...] = ()
