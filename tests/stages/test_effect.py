"""The window that decides and the likelihood that learns say the same of a pass, whatever the setting and the draw."""

from dataclasses import replace

import numpy as np
import pytest

from rotary.laser import optics
from rotary.passes.beliefs.draws import Coating, Known, Material, coatings, draws_from, latent, metals
from rotary.passes.learning.likelihood import evidence, outcome_shares
from rotary.passes.learning.reading import Reading
from rotary.passes.plan.grid import Grid, Light, grid
from rotary.passes.plan.window import Passes, passes
from tests.setups import shipped_heads

HEAD = shipped_heads()["fibre-30w-160"]
BEAM, METAL = optics(HEAD), metals()["aluminium-6061"]
COVERED, CLEAR, CUT = 0, 2, 4


def reading(one: Grid, at: int, count: int, pulse_width_ns: float) -> Reading:
    """A cell marked with a setting, with its focus on the spot."""
    keyed = {name: float(getattr(one, name)[at]) for name in one.__dataclass_fields__ if name != "pulse_mj"}
    return Reading(
        number=at + 1, day="2026-01-01", source="patch", patch="A", cell=at + 1, outcome="clear", coating="c",
        metal="aluminium-6061", laser=HEAD.name, spot_um=BEAM.spot_um, rayleigh_mm=BEAM.rayleigh_mm,
        energy_mj=float(one.pulse_mj[at]), pulse_width_ns=pulse_width_ns, passes=count, pause_s=0.0, inked_width_mm=1.0,
        inked_height_mm=1.0, focus_mm=0.0, **keyed,
    )  # fmt: skip


def both(lifts: float, count: int, pulse_width_ns: float, seed: int) -> tuple[Passes, np.ndarray]:
    """What the window says of some settings and draws on an even coat, and what the likelihood says of them."""
    coating = coatings()["polyester-powder-light"]
    assert isinstance(coating, Coating)
    known = Known(METAL, coating, None, 3.0, False)
    draws = draws_from(latent(400), known)
    even = (draws.thickest_um + draws.thinnest_um) / 2
    draws = replace(draws, thickest_um=even, thinnest_um=even, lifts=np.full_like(even, lifts))
    rng, every = np.random.default_rng(seed), grid(HEAD, BEAM)
    some = every.take(rng.choice(len(every.line_spacing_mm), 60, replace=False))
    # Longer one way too, as where a speed is held.
    some = replace(some, speed_mm_s=some.speed_mm_s * rng.choice([1.0, 2.3], 60))
    one = np.ones(60)
    seen = passes(some, Material(METAL, coating, draws), pulse_width_ns, BEAM, Light(one, one))
    read = evidence([reading(some, at, count, pulse_width_ns) for at in range(60)], known, HEAD.name, None)
    return seen, outcome_shares(read, draws, METAL, coating.lift_off_at_ns, solid=False)


@pytest.mark.parametrize(("lifts", "count"), [(0.0, 1), (0.0, 3), (0.0, 12), (1.0, 1)])
@pytest.mark.parametrize("pulse_width_ns", [20.0, 100.0])
def test_what_works_in_the_window_is_read_as_clear_and_unmarked(
    lifts: float, count: int, pulse_width_ns: float
) -> None:
    """Clear is likelier than covered where the passes suffice, and a cut likelier than not where the metal gives way.

    In the first half pass on bare metal the likelihood is in doubt about a cut: left out.
    """
    seen, shares = both(lifts, count, pulse_width_ns, seed=count)
    clear, unmarked = shares[CLEAR] > shares[COVERED], shares[CUT] < 0.5
    whole = shares[CUT] < 0.999
    assert np.array_equal(clear[whole], (seen.needed <= count)[whole])
    sure = ~((count - seen.bare_after > 0) & (count - seen.bare_after < 0.6))
    assert np.array_equal(unmarked[sure], (count <= seen.most)[sure])
    assert np.array_equal((clear & unmarked)[sure], seen.works(count)[sure])
    assert 20 < seen.works(count).sum() < 0.9 * sure.size


def test_the_window_promises_no_more_than_the_likelihood_where_passes_may_fill_each_others_gaps() -> None:
    """A coat thrown off whole: the window lays every pass on the first; the likelihood lets more passes fill gaps."""
    seen, shares = both(1.0, 9, 100.0, seed=4)
    clear, whole = shares[CLEAR] > shares[COVERED], shares[CUT] < 0.999
    assert clear[(seen.needed <= 9) & whole].all()
    assert (clear & (seen.needed > 9)).sum() > 1000
