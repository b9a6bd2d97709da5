"""What is asked of the artwork's layout, and what comes out."""

from collections.abc import Sequence
from math import pi
from typing import Final, Literal

from pydantic import Field

from rotary.artwork.own_size import factors, size_words
from rotary.model import Angle, Length, Model, Share, Values

TYPED_MM: Final = 0.001
"""A girth that is typed to three decimals goes all round."""

MapName = Literal["true-width", "with-taper", "label", "front-view"]

RING_RAD: Final = 2 * pi * (1 - 1e-6)
"""Artwork that takes up this angle or more goes all round."""


class Piece(Model):
    """One drawing (SVG or DXF, beside the job file) or one text of the artwork, and where it goes on the item.

    `centre_mm` is the height of its middle from the item's datum, `angle_rad` its angle from what `angle_from`
    names; both are the artwork's own where not given. Of a drawing without a wish the page
    keeps its own size where it fits the artwork's frame; else the ink fills the frame.
    `invert` marks what is light in it; `repeat` sets it that often, evenly round the turn. `unit` is that of a
    DXF file which doesn't say, `close_gaps_mm` how far apart ends of its lines may be that are meant to meet. What is
    at most `dark_below` as bright as white is marked. `font` is a TTF or OTF file, or the family name of a font of this
    machine; `face` outlines, or single strokes `line_width_mm` wide (0.3 mm where not given; open lines of a DXF file
    are drawn only where it is given).
    """

    file: str | None = Field(default=None, min_length=1, max_length=4000)
    text: str | None = Field(default=None, min_length=1, max_length=5000)
    width_mm: Length | None = Field(default=None, gt=0)
    height_mm: Length | None = Field(default=None, gt=0)
    centre_mm: Length | None = None
    angle_rad: Angle = 0.0
    angle_from: Literal["artwork", "front", "handle", "weld-line"] = "artwork"
    rotation_rad: Angle = Field(default=0.0, ge=-2 * pi, le=2 * pi)
    mirror: bool = False
    invert: bool = False
    margin_mm: Length = Field(default=0.0, ge=0)
    repeat: int = Field(default=1, ge=1, le=1000)
    unit: Literal["mm", "cm", "m", "in", "ft"] | None = None
    letter_height_mm: Length | None = Field(default=None, gt=0)
    face: Literal["outline", "line-sans", "line-roman", "line-script"] = "outline"
    font: str | None = Field(default=None, min_length=1, max_length=4000)
    weight: int = Field(default=400, ge=1, le=1000)
    letter_spacing_mm: Length = 0.0
    line_width_mm: Length | None = Field(default=None, gt=0)
    close_gaps_mm: Length | None = Field(default=None, gt=0, le=10)
    dark_below: Share | None = Field(default=None, gt=0, lt=1)


class Artwork(Model):
    """Artwork by size, and the pieces it is made of where they are known.

    `centre_mm` is the height of its middle from the item's datum.
    """

    name: str = "artwork"
    width_mm: Length = Field(gt=0)
    height_mm: Length = Field(gt=0)
    centre_mm: Length
    centre_angle_rad: Angle = 0.0
    surface_map: MapName = "true-width"
    full_wrap: bool = False
    ink_share: Share = Field(default=0.35, gt=0, le=1)
    pieces: tuple[Piece, ...] = Field(default=(), max_length=100)


class PieceSize(Model):
    """How large a piece is drawn by its own file, and how large it is marked; both (width, height).

    `drawn_mm` is None where the file states no size; `factors` are how many times as wide and as high it is marked.
    """

    name: str
    drawn_mm: tuple[float, float] | None
    marked_mm: tuple[float, float]
    factors: tuple[float, float] | None
    is_text: bool = False

    @classmethod
    def of(
        cls, name: str, drawn_mm: tuple[float, float] | None, marked_mm: tuple[float, float], is_text: bool = False
    ) -> "PieceSize":
        """The size with its factors."""
        grown = factors(drawn_mm, marked_mm) if drawn_mm else None
        return cls(name=name, drawn_mm=drawn_mm, marked_mm=marked_mm, factors=grown, is_text=is_text)


def size_texts(sizes: Sequence[PieceSize], system: str = "mm") -> tuple[str, ...]:
    """A sentence for each piece, with its name where there are several."""
    return tuple(
        size_words(size.name if len(sizes) > 1 else "", size.drawn_mm, size.marked_mm, system, size.is_text)
        for size in sizes
    )


class LayoutRow(Model):
    """One row of the artwork, at the height of its middle; on a taper a decal's row is no level ring.

    `width_on_wall_mm` runs along the wall, `gap_mm` is what is left of the turn at the row's ends
    (- is an overlap; on a faceted item, of the flat). `stretch_max`/`stretch_min` are the longest
    and shortest semi-axis of Tissot's indicatrix met in the row. `correction` is what the
    artwork's width must be multiplied by there so that this map brings it to the wall as wide as
    it was drawn; `plain_correction` the same for plain artwork, which a machine wraps by angle at
    the reference radius, so that it lands as this map would lay it.
    """

    s_mm: float
    from_end_mm: float
    radius_mm: float
    width_on_wall_mm: float
    angle_rad: float
    gap_mm: float
    stretch_max: float
    stretch_min: float
    angular_distortion_rad: float
    correction: float
    plain_correction: float


LayoutNoteId = Literal[
    "ends_differ", "ends_miss", "follows_taper", "angles_off", "bowed", "from_front", "on_flat", "on_weld"
]


class LayoutNote(Model):
    """What has to be known of how the artwork lies, by its id, with what its sentence needs."""

    id: LayoutNoteId
    values: Values


class Layout(Model):
    """Where the artwork lies on the item and how it is distorted.

    `artwork_from_mm`, `artwork_to_mm` and `centre_mm` in s; `reference_radius_mm` at the centre.
    `total_angle_rad` is the largest angle over the band, a whole turn on a full wrap; `gap_mm`
    what is left of the turn at the centre (on a faceted item, of the flat); `visible_share` the share
    of its area within 60 degrees of the artwork's middle. `rows` run from top to bottom. `pieces` are the
    drawings' own sizes, once they are read.
    """

    artwork_from_mm: float
    artwork_to_mm: float
    centre_mm: float
    reference_radius_mm: float
    total_angle_rad: float
    width_top_mm: float
    width_centre_mm: float
    width_bottom_mm: float
    gap_mm: float
    centre_angle_rad: float
    visible_share: float
    stretch_max: float
    stretch_min: float
    rows: tuple[LayoutRow, ...]
    notes: tuple[LayoutNote, ...]
    pieces: tuple[PieceSize, ...] = ()

    @property
    def is_ring(self) -> bool:
        """Whether the artwork goes all round, so that its last slice meets its first and has to close."""
        return self.total_angle_rad >= RING_RAD
