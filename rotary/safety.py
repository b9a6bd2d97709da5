"""Cautions that belong to this job, with the eye-exposure figures computed."""

from typing import Literal

from pydantic import Field

from rotary.head import Head
from rotary.item import Item
from rotary.model import Model, Power, Wavelength
from rotary.passes.removal import Removal


class Eyewear(Model):
    """A pair of laser eyewear as its own marking says."""

    name: str
    from_nm: Wavelength = Field(gt=0)
    to_nm: Wavelength = Field(gt=0)
    optical_density: float = Field(gt=0, le=12)


class OtherLaser(Model):
    """Another laser in the same room (an engraving diode, a pointer)."""

    name: str
    wavelength_nm: Wavelength = Field(gt=0)
    power_w: Power = Field(gt=0)


class Shop(Model):
    """What else is in the room."""

    eyewear: tuple[Eyewear, ...] = ()
    other_lasers: tuple[OtherLaser, ...] = ()


class EyeRow(Model):
    """One source: its exposure limit, the optical density that follows, and which pair covers it."""

    source: str
    wavelength_nm: float
    exposure_w_m2: float
    limit_w_m2: float
    optical_density: float
    scale_number: str
    covered_by: tuple[str, ...]
    verdict: str


class Caution(Model):
    """One caution: what about, what it is, what to do. `level` orders them."""

    level: Literal["stop", "warn", "note"]
    about: str
    says: str


class Safety(Model):
    """All that must be said before this job is run."""

    eyes: tuple[EyeRow, ...]
    cautions: tuple[Caution, ...]


def safety(head: Head, item: Item, removal: Removal, drive_kind: str, shop: Shop) -> Safety:
    """The cautions of this job, the worst first."""
    raise NotImplementedError
