"""6  How high the apex stands, where the focal plane goes, and what eats the focus budget."""

from rotary.artwork.layout import Layout
from rotary.drive import Chuck, ItemTurning, Rollers
from rotary.head import Head, Optics
from rotary.item import Body, Item
from rotary.model import Model
from rotary.slices import Split, Tolerances


class ApexRow(Model):
    """Height of the apex line over the bed at one place of the band, as it lies and levelled."""

    s_mm: float
    from_datum_mm: float
    as_it_lies_mm: float
    levelled_mm: float


class BudgetRow(Model):
    """One line of the focus budget: how far the surface lies below (-) or above (+) where it should [mm]."""

    name: str
    low_mm: float
    high_mm: float
    source: str


class RefocusZone(Model):
    """A part of the band that is marked with the head at one height."""

    from_mm: float
    to_mm: float
    focal_plane_mm: float


class Focus(Model):
    """Heights over the bed [mm]. `plane_over_apex_mm` signed, + above the surface.

    `fluence_low`/`fluence_high`: least and most peak fluence over slice and budget, as a share
    of that at the wanted defocus. `move_from_bed_mm`: how far to raise the head once it is
    focused on the bed; `move_from_apex_mm`: once it is focused on the apex line.
    """

    apex: tuple[ApexRow, ...]
    apex_height_mm: float
    tilt_rad: float
    shim_mm: float
    levelled: bool
    focal_plane_mm: float
    plane_over_apex_mm: float
    balance_mm: float
    budget: tuple[BudgetRow, ...]
    total_low_mm: float
    total_high_mm: float
    allowed_low_mm: float
    allowed_high_mm: float
    fluence_low: float
    fluence_high: float
    move_from_bed_mm: float
    move_from_apex_mm: float
    refocus: tuple[RefocusZone, ...]
    notes: tuple[str, ...]


def focus(
    tolerances: Tolerances,
    drive: Chuck | Rollers,
    turning: ItemTurning,
    head: Head,
    optics: Optics,
    item: Item,
    body: Body,
    layout: Layout,
    split: Split,
    defocus_mm: float,
) -> Focus:
    """Where to put the focal plane for this defocus (signed, + above the apex line), and what it costs."""
    raise NotImplementedError
