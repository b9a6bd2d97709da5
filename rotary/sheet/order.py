"""What a sheet is drawn to: the item's stance, the slices, the columns, the inset. Plain numbers, gathered once."""

from typing import NamedTuple

from rotary.actions.files import divides_back
from rotary.sheet.redraw import Stance


class SheetZone(NamedTuple):
    """A part of the band that is marked with the head at one height: s from and to, the focal plane over the apex
    at the artwork's middle; how far below and above it that height would do as well."""

    from_mm: float
    to_mm: float
    plane_mm: float
    below_mm: float = 0.0
    above_mm: float = 0.0


class SheetOrder(NamedTuple):
    """What a sheet is drawn to.

    `slices` columns of `file_slice_mm`; where `closed`, the first `turn_slices` of them make one whole turn and the
    rest stay blank. `inset_mm` is how far a slice ends before its border, on the wall: half of the gap that just
    closes, `marked_width_mm`, less `overlap_mm`. `field_axis` and `rim_towards` say how the item lies. `flats` is
    their number on a faceted item, which has a column a flat and no seams, 0 on one that is round. `typed` are the
    numbers to key in that are not the real ones, with what warns of them; `base` and `rim` are what the item's ends are
    called.
    `counts_back` numbers files of one slice from the last column on, as a program does that begins at that side.
    `is_bare` is metal without a coating, whose passes run both ways.
    """

    stance: Stance
    zones: tuple[SheetZone, ...]
    surface_map: str
    centre_angle_rad: float
    index_rad: float
    slices: int
    closed: bool
    turn_slices: int
    file_slice_mm: float
    height_mm: float
    inset_mm: float
    marked_width_mm: float
    overlap_mm: float
    line_spacing_mm: float
    field_axis: str
    rim_towards: str
    flats: int = 0
    typed: tuple[str, ...] = ()
    base: str = "the base"
    rim: str = "the rim"
    counts_back: bool = False
    is_bare: bool = False

    def number(self, k: int) -> int:
        """The number of column k of a file of its own."""
        return self.slices - k if self.counts_back else k + 1

    @property
    def divides_back(self) -> bool:
        """Whether the program counts the slices of one file from the last column on."""
        return divides_back(self.field_axis, self.rim_towards)
