"""A setup: what follows from a job before anything is chosen, handed on as one."""

import numpy as np
import pytest

from rotary.item import fitted_shape
from rotary.job import job_from_file
from rotary.laser import optics
from rotary.passes.learning.depth import DepthReading
from rotary.plan import plan
from rotary.setup import setup
from rotary.shipped import examples
from rotary.turning import turning
from rotary.wishes import Wishes

BOTTLE = job_from_file(examples()["regatta-bottle"])


def test_a_setup_is_levelled_by_the_artworks_heights() -> None:
    """What it holds is what its stages give, the drive with the item levelled between the artwork's ends."""
    ready = setup(BOTTLE)
    band = ready.layout.artwork_from_mm, ready.layout.artwork_to_mm
    assert ready.turning == turning(BOTTLE.turning, BOTTLE.item, fitted_shape(BOTTLE.item), band)
    assert np.array(ready.outline) == pytest.approx(np.array([(0.0, 44.0), (150.0, 35.0)]))


def test_other_tables_leave_the_item_where_it_lies() -> None:
    """With another lens the beam is another; the drive, the layout and all other tables of the job stay."""
    ready = setup(BOTTLE)
    lens = BOTTLE.laser.model_copy(update={"focal_length_mm": 300.0, "spot_um": None, "rayleigh_mm": None})
    changed = ready.with_tables(laser=lens)
    assert changed.optics == optics(lens) != ready.optics
    assert (changed.turning, changed.layout, changed.job.item) == (ready.turning, ready.layout, BOTTLE.item)
    assert changed.job.laser == lens


def test_where_the_item_lies_along_the_field_the_pupils_change_places() -> None:
    """Across the item is X in the field, or Y where the item lies along X; a telecentric lens has its pupil far off."""
    head = BOTTLE.laser.model_copy(update={"pupil_x_mm": 220.0, "pupil_y_mm": 205.0})
    assert setup(BOTTLE).with_tables(laser=head).pupils_mm == (220.0, 205.0)
    assert setup(BOTTLE).with_tables(laser=head.model_copy(update={"field_axis": "x"})).pupils_mm == (205.0, 220.0)


def test_a_plan_keeps_the_job_as_it_was_written() -> None:
    """Depth readings set the passes of a plan; the wish for a depth stays in its job."""
    nut = job_from_file(examples()["brass-nut"]).model_copy(update={"passes": Wishes(depth_um=30.0)})
    shallow = plan(nut, 0)
    setting = shallow.removal.setting
    assert setting is not None
    names = {"metal": nut.item.metal, "laser": nut.laser.name}
    read = DepthReading(passes=10, depth_um=5.0, dose_j_mm2=setting.dose_j_mm2, **names)
    made = plan(nut, 0, depths=(read,))
    assert made.job == nut
    assert made.removal.setting is not None
    assert made.removal.setting.passes > setting.passes
