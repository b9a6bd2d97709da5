"""A job set up: the item's shape, how it is turned, the beam and where the artwork lies; every stage goes by it."""

import math

import numpy as np
from numpy.typing import ArrayLike

from rotary.artwork.layout import Ground, Layout, layout
from rotary.errors import Refused, both
from rotary.formulas.arrays import Floats
from rotary.item import fitted_shape
from rotary.job import Job
from rotary.laser import Optics, optics
from rotary.model import Model
from rotary.shape import Doubt, Shape
from rotary.turning import turning
from rotary.turning.models import ItemTurning


class Setup(Model):
    """A job, and what follows from it before anything is chosen.

    `outline` are heights from the foot and radii of the fitted shape [mm], for pictures drawn far from the core.
    """

    job: Job
    doubts: tuple[Doubt, ...]
    outline: tuple[tuple[float, float], ...]
    turning: ItemTurning
    optics: Optics
    layout: Layout

    @property
    def shape(self) -> Shape:
        """The item as a surface of revolution."""
        return fitted_shape(self.job.item)

    def radius_half_mm(self, s_mm: ArrayLike) -> Floats:
        """How far the radius may be off (95 %) at heights (...) [mm]: as the job says, else as the places tell."""
        given = self.job.tolerances.diameter_mm
        return self.shape.radius_half_mm(s_mm) if given is None else np.full(np.shape(s_mm), given / 2)

    @property
    def artwork_half_mm(self) -> float:
        """How far the radius may be off (95 %) where it is known least within the artwork's heights [mm]."""
        heights = np.linspace(self.layout.artwork_from_mm, self.layout.artwork_to_mm, 49)
        return float(self.radius_half_mm(heights).max())

    @property
    def ground(self) -> Ground:
        """What the artwork's pieces are put on."""
        return Ground(self.job.artwork, self.job.item, self.shape, self.layout)

    @property
    def pupils_mm(self) -> tuple[float, float]:
        """Heights of the mirrors' pupils across and along the item; infinite where the lens is telecentric."""
        across, along = self.optics.pupil_x_mm or math.inf, self.optics.pupil_y_mm or math.inf
        return (across, along) if self.job.laser.field_axis == "y" else (along, across)

    def with_tables(self, **tables: Model) -> "Setup":
        """The same with other tables of the job, such as `passes`: those that leave shape, drive and layout alone."""
        job = Job(**dict(self.job) | tables)
        kept = {name: getattr(self, name) for name in Setup.model_fields}
        return Setup(**kept | {"job": job, "optics": optics(job.laser)})


def setup(job: Job) -> Setup:
    """What follows from a job before slices and passes are chosen. Raises Refused with what to put right."""
    shape, beam = both(lambda: fitted_shape(job.item), lambda: optics(job.laser))
    turns, lies = _placed(job, shape)
    return Setup(job=job, doubts=shape.doubts, outline=shape.outline, turning=turns, optics=beam, layout=lies)


def _placed(job: Job, shape: Shape) -> tuple[ItemTurning, Layout]:
    """The drive with the item levelled by the artwork's heights, and the artwork; raises Refused with what both say."""
    try:
        lies = layout(job.artwork, job.item, shape)
    except Refused:
        unlevelled = job.turning.but(levelled=False)
        return both(lambda: turning(unlevelled, job.item, shape), lambda: layout(job.artwork, job.item, shape))
    return turning(job.turning, job.item, shape, (lies.artwork_from_mm, lies.artwork_to_mm)), lies
