"""How artwork of a given size lands on the body: angles, widths, what is seen, what is distorted."""

from typing import Literal

from pydantic import Field

from rotary.item import Body, Item
from rotary.model import Angle, Length, Model, Share

MapName = Literal["true-width", "with-taper", "decal", "front-view"]


class Artwork(Model):
    """Artwork by size alone. `centre_mm` is the height of its middle from the item's datum."""

    name: str = "artwork"
    width_mm: Length = Field(gt=0)
    height_mm: Length = Field(gt=0)
    centre_mm: Length
    centre_angle_rad: Angle = 0.0
    surface_map: MapName = "true-width"
    full_wrap: bool = False
    ink_share: Share = Field(default=0.35, gt=0, le=1)


class BandRow(Model):
    """One height of the band. `scale_x`/`scale_y` are the semi-axes of Tissot's indicatrix
    along the ring and along the wall where the map keeps them at right angles, else the
    singular values; `correction` is what flat artwork's width must be multiplied by there."""

    s_mm: float
    from_datum_mm: float
    radius_mm: float
    width_on_wall_mm: float
    angle_rad: float
    gap_mm: float
    stretch_max: float
    stretch_min: float
    angular_distortion_rad: float
    correction: float


class Layout(Model):
    """Where the artwork lies on the item and how it is distorted. `band_from_mm`/`band_to_mm` in s."""

    band_from_mm: float
    band_to_mm: float
    centre_mm: float
    reference_radius_mm: float
    total_angle_rad: float
    width_top_mm: float
    width_centre_mm: float
    width_bottom_mm: float
    gap_mm: float
    seen_share: float
    stretch_max: float
    stretch_min: float
    rows: tuple[BandRow, ...]
    notes: tuple[str, ...]


def layout(artwork: Artwork, item: Item, body: Body) -> Layout:
    """Where the artwork lands; raises Refused (past the rim, wider than a turn, on the handle)."""
    raise NotImplementedError
