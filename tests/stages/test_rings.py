"""Artwork that goes all round: by the girth as it is typed, and by slices that close."""

from math import pi
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rotary.artwork.layout import Artwork
from rotary.errors import Refused
from rotary.item import Item, Measurement
from rotary.plan import Plan, plan
from rotary.sentences.slices import notes
from rotary.tolerances import Tolerances
from rotary.turning.models import Chuck, Rollers
from tests.setups import setup_of, shipped_heads

HEAD = shipped_heads()["fibre-30w-160"]
BARE: dict[str, Any] = {"coating": None, "solid": True}


def collar(across_mm: float) -> Item:
    return Item(name="Collar", measurements=(Measurement(at_mm=0, across_mm=across_mm),), length_mm=9, **BARE)


def ring(width_mm: float, slice_mm: float | None = None, across_mm: float = 20.0, **drive: Any) -> Plan:
    ready = setup_of(
        collar(across_mm),
        Artwork(width_mm=width_mm, height_mm=5, centre_mm=4.5),
        HEAD,
        Rollers(**drive) if "covering" in drive else Chuck(**drive),
        tolerances=Tolerances(slice_width_mm=slice_mm),
    )
    return plan(ready.job, draws=0)


@given(st.floats(5, 150))
def test_a_girth_typed_to_three_decimals_is_a_ring(across_mm: float) -> None:
    """π d rounded to a micrometre goes all round; a hundredth less does not, a hundredth more is too wide."""
    typed = round(pi * across_mm, 3)
    for width, closes in ((typed, True), (typed - 0.01, False)):
        ready = setup_of(
            collar(across_mm), Artwork(width_mm=width, height_mm=5, centre_mm=4.5), HEAD, Chuck(axis_height_mm=100)
        )
        assert ready.layout.is_ring == closes
    with pytest.raises(Refused, match="more than once round"):
        setup_of(
            collar(across_mm),
            Artwork(width_mm=typed + 0.01, height_mm=5, centre_mm=4.5),
            HEAD,
            Chuck(axis_height_mm=100),
        )


def test_a_width_that_was_asked_for_closes_the_ring_or_the_nearest_is_told() -> None:
    """On ⌀20 with 3200 steps 1.963 mm are 32 slices of 100; 1.75 mm leave a gap, and what is told instead closes."""
    assert ring(62.832, 1.9635).split.closing_error_mm == pytest.approx(0.0, abs=1e-9)
    with pytest.raises(Refused) as refused:
        ring(62.832, 1.75)
    fault = refused.value.faults[0]
    assert fault.where == "tolerances.slice_width"
    told_mm = float(fault.says.split('"')[1].split()[0])
    made = ring(62.832, told_mm)
    assert abs(made.split.closing_error_mm) <= made.job.tolerances.seam_mm
    # No whole number of steps nearer to what was asked for closes.
    step_mm = pi * 20 / 3200
    for steps in range(round(told_mm / step_mm) - 1, round(1.75 / step_mm), -1):
        count = round(3200 / steps)
        assert abs(count * steps - 3200) * step_mm > made.job.tolerances.seam_mm


def test_a_ring_that_nothing_closes_is_told_in_numbers() -> None:
    """On rollers that turn the item once in 36.1 coarse steps no width closes; the gap is told, and nothing is inf."""
    rollers = {"covering": "hard", "roller_diameter_mm": 20.5, "centres_mm": 25.0, "full_steps": 37, "microsteps": 1}
    for asked_mm in (None, 7.0):
        made = ring(62.832, asked_mm, **rollers)
        said = " ".join(notes(made.split))
        assert f"The ring stays open by {abs(made.split.closing_error_mm):.2g} mm" in said
        assert "inf " not in said
