"""A job set up: the item's shape, how it is turned, the beam and where the artwork lies; every stage goes by it."""

from functools import lru_cache

from rotary.artwork.layout import Layout, layout
from rotary.drive import ItemTurning, turning
from rotary.errors import Refused, both
from rotary.head import Optics, optics
from rotary.item import Item, Shape, fitted_shape
from rotary.job import Job
from rotary.model import Model


class Setup(Model):
    """A job, and what follows from it before anything is chosen."""

    job: Job
    item_state: str
    doubts: tuple[str, ...]
    turning: ItemTurning
    optics: Optics
    layout: Layout

    @property
    def shape(self) -> Shape:
        """The item as a surface of revolution, fitted once."""
        return _shape(self.job.item)


@lru_cache(maxsize=64)
def _shape(item: Item) -> Shape:
    return fitted_shape(item)


def setup(job: Job) -> Setup:
    """What follows from a job before slices and passes are chosen. Raises Refused with what to put right."""
    shape, beam = both(lambda: _shape(job.item), lambda: optics(job.head))
    turns, lies = both(lambda: _turning(job, shape), lambda: layout(job.artwork, job.item, shape))
    return Setup(job=job, item_state=shape.state, doubts=shape.doubts, turning=turns, optics=beam, layout=lies)


def _turning(job: Job, shape: Shape) -> ItemTurning:
    """The drive with the item levelled by the artwork's heights; as it lies where the artwork does not go on."""
    try:
        lies = layout(job.artwork, job.item, shape)
    except Refused:
        return turning(job.drive.model_copy(update={"levelled": False}), job.item, shape)
    return turning(job.drive, job.item, shape, (lies.band_from_mm, lies.band_to_mm))
