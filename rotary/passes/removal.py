"""The removal plan: a setting chosen over all beliefs at once, its passes, its chance, its heat, its time."""

from typing import Literal

from rotary.artwork.layout import Artwork, Layout
from rotary.drive import Chuck, ItemTurning, Rollers
from rotary.focus import Focus
from rotary.head import Head, Optics
from rotary.item import Body, Item
from rotary.model import Model
from rotary.slices import Split, Tolerances


class Setting(Model):
    """What is keyed into the laser, and what the surface then sees."""

    power_share: float
    power_w: float
    rate_khz: float
    pulse_ns: float
    pulse_mj: float
    scan_speed_mm_s: float
    hatch_mm: float
    defocus_mm: float
    passes: int
    pause_s: float
    spot_at_surface_um: float
    peak_fluence_j_cm2: float
    pulses_per_place: float
    dose_j_mm2: float


class Choice(Model):
    """The setting that came out best before the slices are known; `setting` None with the reasons why."""

    setting: Setting | None
    chance_clear: float
    chance_unmarked: float
    chance: float
    draws: int
    refused: tuple[str, ...]
    would_change_it: tuple[str, ...]


class PassRow(Model):
    """One pass, in order."""

    number: int
    kind: Literal["lift", "finish", "cut"]
    power_share: float
    scan_speed_mm_s: float
    hatch_mm: float
    hatch_direction: str
    pause_before_s: float
    time_s: float
    wall_peak_c: float
    look: str


class Removal(Model):
    """The passes in order, with chances and heat over all beliefs.

    `chance*` hold for the best and worst place of a slice, with the focus budget used up.
    Temperatures are of the wall in bulk [degC], 5, 50 and 95 % of the draws. `order` is what
    is recommended; both orders' times are given, None where the drive forbids one.
    """

    setting: Setting | None
    first_line: str
    rows: tuple[PassRow, ...]
    chance_clear: float
    chance_unmarked: float
    chance: float
    draws: int
    wall_c_5: float
    wall_c_50: float
    wall_c_95: float
    order: Literal["slice-by-slice", "all-round"]
    order_why: str
    time_slice_by_slice_s: float
    time_all_round_s: float | None
    refused: tuple[str, ...]
    would_change_it: tuple[str, ...]
    before: tuple[str, ...]
    after: tuple[str, ...]
    notes: tuple[str, ...]


def choice(
    item: Item, body: Body, layout: Layout, head: Head, optics: Optics, tolerances: Tolerances, draws: int = 1000
) -> Choice:
    """The setting with the best joint chance of clear and unmarked, then the least time."""
    raise NotImplementedError


def removal(
    choice: Choice,
    artwork: Artwork,
    item: Item,
    body: Body,
    drive: Chuck | Rollers,
    turning: ItemTurning,
    head: Head,
    optics: Optics,
    layout: Layout,
    split: Split,
    focus: Focus,
) -> Removal:
    """The passes that carry out the choice on this split, with what they do to the wall."""
    raise NotImplementedError
