"""What a person wants to have inscribed on a part, and where: the `[inscription]` of a job."""

from math import pi
from typing import Final, Literal

from pydantic import Field

from rotary.artwork.line_letters import LineFaceName
from rotary.artwork.models import MapName
from rotary.model import Angle, Length, Model, Thin

Around = Literal["ring", "arc", "axis", "flats", "end"]

MOST_LETTERS: Final = 1_000
MOST_LINES: Final = 20


class InscriptionWish(Model):
    """What a person wants to have inscribed, and where.

    `around` is `ring` (once round the barrel), `arc` (part of the way round), `axis` (along it), `flats` (one file a
    flat) or `end` (a circle on the flat end face, which is not turned). Letters get as large as fit, or
    `letter_height_mm`, of a capital, at most.

    A ring closes with even spacing, or leaves `gap_mm` between its end and its beginning; `between` stands between
    the words' end and their next beginning. `tracking` is put between letters, in heights of a capital, as is
    `line_pitch` from line to line. `arc_rad` is how far an arc or a circle of words may reach, the words given
    `repeat` times counted in. `start_rad` is the angle of the middle of an arc, of the beginning of the words of a
    ring, from the item's front; of the end face from its top, clockwise.

    `from_mm` and `to_mm` bound the usable band (from the item's datum; the whole item where not given); `chamfer_mm`
    is taken off at each end of the item, `margin_mm` on all sides. `corner_radius_mm` or `across_corners_mm` say how
    the corners of a faceted part are broken; `more` are the texts of its next flats. `end_diameter_mm` is the flat
    of the end face, `bore_mm` a hole in it.

    `least_height_mm` is the smallest letter that is good enough; without it the smallest whose strokes and counters
    the spot can show. `stroke` is the width of single strokes, in heights of a capital (a tenth: ISO 3098, type B).
    `read_at_mm` is how far away it should be readable, `depth_um` how deep bare metal is cut; without it as deep as the
    job's own passes go. `font` is a TTF or OTF file, counted from where the job lies.
    """

    text: str = ""
    around: Around = "ring"
    letter_height_mm: Length | None = Field(default=None, gt=0, le=500)
    least_height_mm: Length | None = Field(default=None, gt=0)
    repeat: int = Field(default=1, ge=1, le=360)
    between: str | None = Field(default=None, max_length=40)
    tracking: float = Field(default=0.0, ge=-0.3, le=10)
    line_pitch: float = Field(default=1.6, ge=1.0, le=10)
    gap_mm: Length | None = Field(default=None, ge=0)
    arc_rad: Angle | None = Field(default=None, gt=0, le=2 * pi)
    start_rad: Angle = 0.0
    from_mm: Length | None = Field(default=None, ge=0)
    to_mm: Length | None = Field(default=None, ge=0)
    chamfer_mm: Length = Field(default=0.0, ge=0)
    margin_mm: Length = Field(default=0.5, ge=0)
    corner_radius_mm: Length | None = Field(default=None, ge=0)
    across_corners_mm: Length | None = Field(default=None, gt=0)
    more: tuple[str, ...] = Field(default=(), max_length=47)
    lengthwise: bool = False
    end_diameter_mm: Length | None = Field(default=None, gt=0)
    bore_mm: Length = Field(default=0.0, ge=0)
    surface_map: MapName = "with-taper"
    face: Literal["outline"] | LineFaceName = "outline"
    font: str | None = Field(default=None, min_length=1, max_length=4000)
    weight: int = Field(default=400, ge=1, le=1000)
    italic: bool = False
    stroke: float = Field(default=0.1, ge=0.02, le=0.3)
    read_at_mm: Length | None = Field(default=None, gt=0)
    depth_um: Thin | None = Field(default=None, gt=0, le=2000)
