"""Controls that a person holds: kept as they are, refused with the range, the others chosen round them."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary.errors import Refused
from rotary.job import job_from_data, job_from_text, job_text
from rotary.laser import LaserAndLens, optics
from rotary.passes.plan.edges import MOST_PASSES, _run
from rotary.passes.plan.grid import grid, worst_places
from rotary.plan import plan
from rotary.sentences.passes import _edges
from rotary.shipped import examples
from rotary.tolerances import Tolerances
from rotary.wishes import Wishes, feasible

BOTTLE = examples()["regatta-bottle"].read_text("utf-8")
NUT = examples()["pommel-nut"].read_text("utf-8")
HEAD = LaserAndLens(
    name="a test head",
    rated_power_w=30,
    largest_pulse_mj=1.0,
    lowest_frequency_khz=20,
    highest_frequency_khz=80,
    focal_length_mm=254,
    field_mm=170,
)

HELD = {
    "power": ("40 %", "power_share", 0.4),
    "frequency": ("50 kHz", "frequency_khz", 50.0),
    "speed": ("1500 mm/s", "speed_mm_s", 1500.0),
    "line_spacing": ("0.05 mm", "line_spacing_mm", 0.05),
    "defocus": ("-5 mm", "defocus_mm", -5.0),
    "passes": (4, "passes", 4),
    "pause": ("2 s", "pause_s", 2.0),
}


def with_passes(text: str, lines: str) -> str:
    return f"{text}\n[passes]\n{lines}\n"


@pytest.mark.parametrize("name", HELD)
def test_what_is_held_is_in_the_plan(name: str) -> None:
    """A control held in the job file stands in the setting as it was written; the others still obey the head."""
    typed, field, value = HELD[name]
    line = f"{name} = {typed!r}" if isinstance(typed, int) else f'{name} = "{typed}"'
    job = job_from_text(with_passes(BOTTLE, line))
    found = plan(job, 200)
    setting = found.choice.setting
    if setting is None:
        assert any(name in str(one.values.get("held")) for one in found.choice.would_change_it)
        return
    assert getattr(setting, field) == pytest.approx(value)
    assert job.laser.lowest_frequency_khz <= setting.frequency_khz <= job.laser.highest_frequency_khz
    assert setting.pulse_mj <= job.laser.largest_pulse_mj * (1 + 1e-6)
    assert setting.speed_mm_s <= job.laser.top_speed_mm_s


@pytest.mark.parametrize(
    ("line", "where", "says"),
    [
        ('frequency = "5000 kHz"', "passes.frequency", "kHz"),
        ('pulse_width = "3 ns"', "passes.pulse_width", "ns"),
        ('speed = "20000 mm/s"', "passes.speed", "at most"),
        ('power = "0.4 %"', "passes.power", "steps"),
        ('depth = "50 um"', "passes.depth", "bare metal"),
    ],
)
def test_what_the_head_cannot_do_is_refused_with_its_range(line: str, where: str, says: str) -> None:
    """A control outside the head's range is refused at its own field, with what to write instead."""
    with pytest.raises(Refused) as caught:
        plan(job_from_text(with_passes(BOTTLE, line)), 0)
    assert [fault.where for fault in caught.value.faults] == [where]
    assert says in caught.value.faults[0].says


@pytest.mark.parametrize(
    ("step", "asked", "offered"), [(0.01, 0.004, "40 %"), (0.05, 0.03, "5 %"), (0.1, 0.0057, "60 %"), (0.3, 1, "90 %")]
)
def test_the_power_offered_can_be_set(step: float, asked: float, offered: str) -> None:
    """Whole steps of this laser, at most all of it; less than 1 % is taken for a share of the whole."""
    with pytest.raises(Refused, match=f": write {offered}"):
        feasible(Wishes(power_share=asked), HEAD.model_copy(update={"power_step_share": step}), bare=False)


def test_all_faults_of_the_held_controls_are_told_at_once() -> None:
    """Three wrong controls, three faults."""
    with pytest.raises(Refused) as caught:
        feasible(Wishes(frequency_khz=500, pulse_width_ns=3, speed_mm_s=1e5), HEAD, bare=False)
    assert len(caught.value.faults) == 3


def test_a_rate_too_low_for_the_power_is_refused_with_the_least() -> None:
    """30 W at 20 kHz would be 1.5 mJ a pulse; the source makes 1 mJ: the sentence names 30 kHz."""
    with pytest.raises(Refused, match="at least 30 kHz"):
        feasible(Wishes(power_share=1.0, frequency_khz=20), HEAD, bare=False)


def test_a_job_with_held_controls_is_written_back_the_same() -> None:
    """Nothing of [passes] is lost on the way through a file, and an empty one leaves no table."""
    job = job_from_text(with_passes(BOTTLE, 'frequency = "50 kHz"\npasses = 3'))
    assert job_from_text(job_text(job)) == job
    assert "[passes]" not in job_text(job_from_text(BOTTLE))


@pytest.mark.parametrize("depth", ["20 um", "80 um", "300 um"])
def test_a_wanted_depth_gets_the_passes_whose_middle_figure_it_is(depth: str) -> None:
    """Bare metal: the passes for a depth bring the median there, to half a pass, and the range stands beside it."""
    steps = plan(job_from_text(with_passes(NUT, f'depth = "{depth}"')), 1000).removal
    wanted = float(depth.split()[0])
    assert steps.setting is not None
    assert steps.depth_um_50 == pytest.approx(wanted, abs=0.06 * wanted + steps.depth_um_50 / steps.setting.passes)
    assert steps.depth_um_5 < wanted < steps.depth_um_95


def test_the_pause_of_a_free_plan_may_be_held() -> None:
    """Holding the very pause that a free plan has changes nothing of its chance."""
    job = job_from_text(examples()["boathouse-mug"].read_text("utf-8"))
    free = plan(job, 300).removal
    held = plan(job.model_copy(update={"passes": Wishes(pause_s=free.pause_s)}), 300).removal
    assert held.rows[1].pause_before_s == free.rows[1].pause_before_s == free.pause_s
    assert held.chance_with_looks == pytest.approx(free.chance_with_looks, abs=0.02)


@settings(max_examples=40, deadline=None)
@given(
    power=st.none() | st.integers(1, 100),
    rate=st.none() | st.floats(20, 80),
    speed=st.none() | st.floats(50, 7000),
    hatch=st.none() | st.floats(0.005, 0.3),
    defocus=st.none() | st.floats(-20, 20),
)
def test_every_setting_of_the_grid_keeps_what_is_held(
    power: int | None, rate: float | None, speed: float | None, hatch: float | None, defocus: float | None
) -> None:
    """Whatever is held together, each setting tried keeps it and stays inside the head; power is pulse x rate."""
    share = None if power is None else power / 100
    wishes = Wishes(power_share=share, frequency_khz=rate, speed_mm_s=speed, line_spacing_mm=hatch, defocus_mm=defocus)
    found = grid(HEAD, optics(HEAD), wishes)
    pairs = (
        ("power_share", share),
        ("frequency_khz", rate),
        ("speed_mm_s", speed),
        ("line_spacing_mm", hatch),
        ("defocus_mm", defocus),
    )
    for field, value in pairs:
        if value is not None:
            assert np.allclose(getattr(found, field), value, rtol=1e-9)
    assert np.allclose(found.pulse_mj * found.frequency_khz, found.power_share * HEAD.rated_power_w)
    assert (found.pulse_mj <= HEAD.largest_pulse_mj * (1 + 1e-5)).all()
    assert (found.frequency_khz >= HEAD.lowest_frequency_khz * (1 - 1e-9)).all()
    assert (found.speed_mm_s <= HEAD.top_speed_mm_s * (1 + 1e-6)).all()
    assert np.allclose(found.dose_j_mm2, 1e-3 * found.pulse_mj / (found.pitch_mm * found.line_spacing_mm))


def test_the_worst_places_are_the_same_on_either_side_of_the_surface() -> None:
    """A focal plane as far below the surface as above has the same spot, and the same budget."""
    beam = optics(HEAD)
    above, below = (worst_places(np.array([z]), beam, Tolerances(), 0.2) for z in (6.0, -6.0))
    assert np.allclose(above[:2], below[:2])


def test_edges_stand_round_the_chosen_setting() -> None:
    """The window's edges lie on both sides of the chosen power and passes, and are told in a sentence."""
    steps = plan(job_from_text(BOTTLE), 600).removal
    assert steps.edges is not None
    assert steps.setting is not None
    power = steps.rows[steps.setting.passes - 1].power_share
    assert 0 < steps.edges.power_low <= power <= steps.edges.power_high <= 1
    assert steps.edges.passes_low <= steps.setting.passes <= steps.edges.passes_high
    assert any(one.id == "edges" for one in steps.remarks)
    for high in (steps.setting.passes, max(MOST_PASSES, steps.setting.passes)):
        at_end = steps.model_copy(update={"edges": steps.edges.model_copy(update={"passes_high": high})})
        assert (f"to {high} passes, perhaps more," in _edges(at_end)) == (high >= MOST_PASSES), "no more were looked at"
    assert _run(np.array([0.1, 0.2, 0.4, 0.21, 0.19]), 2) == (1, 3), "half of the plan's own chance, however small"


def test_unknown_controls_are_refused_with_the_nearest() -> None:
    """A misspelt control doesn't pass unnoticed."""
    import tomllib

    with pytest.raises(Refused, match="line_spacing"):
        job_from_data(tomllib.loads(BOTTLE) | {"passes": {"hach": "0.05 mm"}})
