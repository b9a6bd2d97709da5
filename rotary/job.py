"""The job as a person writes it: one TOML file, values as text with units."""

from pathlib import Path

from pydantic import Field

from rotary.artwork.layout import Artwork
from rotary.drive import Drive
from rotary.head import Head
from rotary.item import Item
from rotary.model import Model
from rotary.safety import Shop
from rotary.slices import Tolerances


class Job(Model):
    """Everything that a plan is made from. A shipped head is named by `use_head` in the file."""

    note: str = ""
    item: Item
    drive: Drive
    head: Head
    artwork: Artwork
    tolerances: Tolerances = Field(default_factory=Tolerances)
    shop: Shop = Field(default_factory=Shop)


def job_from_text(text: str, source: str = "job file") -> Job:
    """A job from TOML text; raises Refused with every fault at once."""
    raise NotImplementedError


def job_from_file(path: Path) -> Job:
    """A job from a file; raises FileTrouble where it can't be read, Refused where it can't be used."""
    raise NotImplementedError
