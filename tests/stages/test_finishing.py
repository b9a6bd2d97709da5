"""The finishing pass keeps the split's rule of the hatch; choice and plan reckon with the same light."""

import numpy as np
import pytest

from rotary.focus import BudgetRow, Focus, SlicedSetup
from rotary.item import Measurement
from rotary.job import Job
from rotary.laser import optics
from rotary.passes.plan.grid import worst_places
from rotary.passes.plan.removal import usual_light
from rotary.passes.plan.rows import finishing_hatch
from rotary.tolerances import Tolerances
from tests.stages.test_passes import HEAD, bottle, ready


def test_the_finishing_pass_keeps_the_splits_rule_of_the_hatch() -> None:
    """Along the axis only on a straight wall in a slice that is a whole number of lines wide; else around."""
    straight, taper = (
        bottle(),
        bottle(measurements=(Measurement(at_mm=0, across_mm=70), Measurement(at_mm=180, across_mm=88))),
    )
    for item, slice_mm, along in ((straight, 7.0, True), (straight, 7.02, False), (taper, 7.0, False)):
        direction, shift_mm = finishing_hatch(ready(item), slice_mm, 0.05)
        assert (direction == "along") == along
        assert shift_mm == (0 if along else 0.025)


def test_choice_and_plan_reckon_with_the_same_light() -> None:
    """A budget of nothing but focus and runout gives the plan the range that the choice took, where that is granted."""
    beam, limits = optics(HEAD), Tolerances(focus_mm=1.0, fluence_low_share=0.999, fluence_high_share=1.001)
    job = Job.model_construct(tolerances=limits)
    rows = (
        BudgetRow(id="runout", low_mm=-0.1, high_mm=0.1),
        BudgetRow(id="setting", low_mm=-1.0, high_mm=1.0),
    )
    for defocus in (6.0, 12.0):
        setup = SlicedSetup.model_construct(focus=Focus.model_construct(budget=rows), optics=beam, job=job)
        found, chosen = usual_light(setup, defocus), worst_places(np.array([defocus]), beam, limits, 0.2)
        assert np.concatenate(found[:2]) == pytest.approx(np.concatenate(chosen[:2]), rel=1e-6)
        assert found.off_mm == chosen.off_mm == pytest.approx(1.0 / 1.96, rel=1e-4)
