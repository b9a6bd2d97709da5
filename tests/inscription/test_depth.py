"""Depth in bare metal: passes with a range, and what a gauge teaches."""

from pathlib import Path

import numpy as np
import pytest

from rotary.cli import main
from rotary.errors import Refused
from rotary.inscription.depths import depth_of
from rotary.job import Job, job_from_file
from rotary.passes.beliefs.draws import draws_from, known_of, latent, metals
from rotary.passes.learning.depth import (
    EXPONENTS,
    SCATTERS,
    DepthBelief,
    DepthReading,
    depth_answer,
    depth_of_parts_um,
    posterior,
    prior,
    relevant_readings,
)
from rotary.plan import plan
from rotary.sentences.passes import remarks
from rotary.sentences.plan import actions_in_words
from rotary.shipped import examples
from rotary.store.depths import depths_in, keep_depths
from rotary.wishes import Wishes, feasible

JOB = job_from_file(examples()["brass-nut"])
BRASS = metals()["brass-c26000"]


def reading(passes: int, depth: float, resolution: float = 1.0) -> DepthReading:
    return DepthReading(passes=passes, depth_um=depth, resolution_um=resolution)


def test_the_belief_is_that_of_the_draws() -> None:
    """The grid's quantiles agree with a hundred thousand draws of removal times power, within the beliefs' own blur."""
    many = draws_from(latent(20_000), known_of(JOB.item, BRASS, None, JOB.laser))
    rates = many.removal_mm3_j * many.power_factor
    belief = prior(BRASS)
    for share in (0.05, 0.5, 0.95):
        assert belief.at(share) == pytest.approx(float(np.quantile(rates, share)), rel=0.06)


@pytest.mark.parametrize("true_um", [0.8, 2.0, 6.0])
def test_readings_bring_the_belief_to_the_truth(true_um: float) -> None:
    """Five scattered readings of a known removal leave it within the range that is told, and the range small."""
    scatter = np.random.default_rng(3).normal(1.0, 0.1, 5)
    readings = [reading(20, float(round(20 * true_um * factor))) for factor in scatter]
    low, high = ranged(posterior(prior(BRASS), readings, 1.0), 20)
    assert low < 20 * true_um < high
    assert high / low < 2.5


def ranged(belief: DepthBelief, passes: int) -> tuple[float, float]:
    """5 and 95 % of the depth of the next part, energy 1 J/mm²."""
    low, high = np.quantile(depth_of_parts_um(belief, passes, 1.0), [0.05, 0.95])
    return float(low), float(high)


@pytest.mark.parametrize(("scatter", "exponent"), [(0.10, 1.0), (0.20, 0.85), (0.35, 0.85)])
def test_ranges_hold_in_worlds_that_scatter_and_fade(scatter: float, exponent: float) -> None:
    """Of parts in worlds of 10, 20 and 35 % scatter, two of them with a depth that grows as n^0.85, at least 85 of 100
    lie in the range of 5 to 95 % after six readings; it is at most half as wide again as that of one who knows the
    world."""
    mixer, start, held, wide = np.random.default_rng(5), prior(BRASS), [], []
    known = start.weight * (np.abs(SCATTERS - scatter) < 0.01)[:, None] * (np.abs(EXPONENTS - exponent) < 0.01)
    for _ in range(60):
        each = 2.0 * float(np.exp(mixer.normal(0, 0.3)))

        def deep(passes: int, each: float = each) -> float:
            return each * 10 * (passes / 10) ** exponent * float(np.exp(mixer.normal(0, scatter)))

        readings = [reading(passes, round(deep(passes))) for passes in (5, 8, 10, 12, 15, 20)]
        low, high = ranged(posterior(start, readings, 1.0), 12)
        held.append(low <= deep(12) <= high)
        least, most = ranged(posterior(start._replace(weight=known / known.sum()), readings, 1.0), 12)
        wide.append(np.log(high / low) / np.log(most / least))
    assert np.mean(held) >= 0.85
    assert np.mean(wide) <= 1.5


@pytest.mark.parametrize("readings", [(), (DepthReading(passes=10, depth_um=25.0),)])
def test_the_plan_stops_to_measure_no_later_than_the_depth_answer(readings: tuple[DepthReading, ...]) -> None:
    """A first part that is marked as the sheet says is no deeper than wanted when it is measured, 19 times of 20."""
    for wanted in (8.0, 40.0, 90.0):
        made = plan(wanting(JOB, wanted), 0, depths=readings)
        check = actions_in_words(made).run.depth_check_after
        assert check == min(depth_of(JOB, wanted, readings).answer.safe_passes, -(-made.removal.setting.passes // 3))


def test_readings_that_contradict_each_other_widen_the_range() -> None:
    """The same middle, but one reading half and one twice as deep: wider than where all agree, and than before."""
    alike, apart = ([reading(10, deep) for deep in each] for each in ((20.0, 20.0, 20.0), (10.0, 20.0, 40.0)))
    (low, high), (least, most) = (ranged(posterior(prior(BRASS), some, 1.0), 10) for some in (alike, apart))
    assert most / least > 1.5 * high / low


def test_what_polishing_takes_off_is_cut_as_well() -> None:
    """30 µm that are left after 10 are polished off take the passes of 40; a coated item has no depth to polish."""
    left = JOB.model_copy(update={"passes": JOB.passes.model_copy(update={"polish_um": 10.0})})
    assert depth_of(left, 30.0).answer.passes == depth_of(JOB, 40.0).answer.passes
    assert plan(wanting(left, 30.0), 0).removal.setting == plan(wanting(JOB, 40.0), 0).removal.setting
    made = plan(wanting(left, 30.0), 0)
    assert "These passes allow for it." in " ".join(remarks(made, made.removal.remarks))
    # Where no depth is wanted, nothing allows for it, and nothing says so.
    free = plan(left.model_copy(update={"passes": Wishes(polish_um=10.0)}), 0)
    assert "polished" not in {remark.id for remark in free.removal.remarks}
    assert any("takes off 10 µm" in note for note in depth_of(left, 30.0).notes)
    with pytest.raises(Refused, match="bare metal"):
        feasible(Wishes(polish_um=10.0), JOB.laser, bare=False)


def wanting(job: Job, depth_um: float) -> Job:
    return job.model_copy(update={"passes": job.passes.model_copy(update={"depth_um": depth_um, "passes": None})})


def test_a_coarse_gauge_teaches_less() -> None:
    """The same reading on a gauge of 30 µm leaves a wider range than on one of 1 µm."""
    fine, coarse = (posterior(prior(BRASS), [reading(10, 20.0, q)], 1.0) for q in (1.0, 30.0))
    assert coarse.at(0.95) / coarse.at(0.05) > 1.5 * fine.at(0.95) / fine.at(0.05)


def test_nothing_to_be_seen_is_a_reading_too() -> None:
    """Nought on a gauge of 5 µm after two passes says that a pass takes less than was feared."""
    start = prior(BRASS)
    assert posterior(start, [reading(2, 0.0, 5.0)], 1.0).at(0.95) < start.at(0.95)


def test_passes_and_time_are_nearly_in_proportion_to_the_depth() -> None:
    """Twice the depth takes twice the passes, by an exponent of 0.9 to 1, and time in proportion to them."""
    once, twice = (depth_of(JOB, wanted) for wanted in (60.0, 120.0))
    assert 2 * once.answer.passes - 1 <= twice.answer.passes <= 2 ** (1 / 0.9) * once.answer.passes + 1
    assert twice.time_s / twice.answer.passes == pytest.approx(once.time_s / once.answer.passes, rel=0.02)


def test_safe_passes_seldom_go_too_deep_and_sure_ones_seldom_fall_short() -> None:
    """By the range of a pass, safe passes stay below the wanted depth at 95 %, sure ones reach it at 5 %."""
    found = depth_answer(posterior(prior(BRASS), [reading(10, 20.0)], 1.0), 40.0, 1.0)
    assert found.safe_passes * found.per_pass_um_95 <= 40.0
    assert found.sure_passes * found.per_pass_um_5 >= 40.0
    assert found.safe_passes <= found.passes <= found.sure_passes


def test_readings_that_contradict_each_other_are_told() -> None:
    """A depth three times that of the others, and passes that take ever less, each get a word."""
    odd = posterior(prior(BRASS), [reading(10, 20.0), reading(10, 21.0), reading(10, 60.0)], 1.0)
    assert any("measure this depth again" in note for note in odd.notes)
    fading = posterior(prior(BRASS), [reading(10, 40.0), reading(40, 80.0)], 1.0)
    assert any("cut more slowly" in note for note in fading.notes)


def test_a_reading_that_can_not_be_true_is_refused() -> None:
    """A millimetre in one pass is no reading of this laser."""
    with pytest.raises(Refused, match="can't be right"):
        posterior(prior(BRASS), [reading(1, 20_000.0)], 0.01)


def test_only_readings_of_this_metal_and_head_teach() -> None:
    """Steel says nothing of brass."""
    steel = reading(10, 20.0).model_copy(update={"metal": "stainless-304"})
    assert relevant_readings([steel, reading(10, 18.0)], "brass-c26000", "any") == (reading(10, 18.0),)


def test_only_another_metals_readings_are_said_to_be_left_out() -> None:
    """A reading that the person ignores belongs to no other metal or laser, and is not counted as one."""
    own = reading(10, 18.0).model_copy(update={"metal": JOB.item.metal, "laser": JOB.laser.name})
    ignored, steel = own.model_copy(update={"ignored": True}), own.model_copy(update={"metal": "stainless-304"})
    assert not any("left out" in note for note in depth_of(JOB, 40.0, (own, ignored)).notes)
    assert (
        "rotary left out 1 depth reading of another metal, laser or lens."
        in depth_of(JOB, 40.0, (own, ignored, steel)).notes
    )


def test_kept_readings_come_back_as_they_were(tmp_path: Path) -> None:
    """Written and read again they are the same; a broken line is named."""
    path = tmp_path / "depths.txt"
    kept = (reading(10, 18.5, 0.5).model_copy(update={"metal": "brass-c26000", "dose_j_mm2": 1.25}), reading(3, 0.0))
    keep_depths(kept, path)
    assert depths_in(path) == kept
    path.write_text(path.read_text("utf-8") + "soon\n", "utf-8")
    with pytest.raises(Refused, match=r"depths\.txt, line 3 is not a reading: write"):
        depths_in(path)


def test_the_part_is_warmed_by_what_it_takes_up() -> None:
    """Without a loss the lump's rise is energy over heat capacity; it is never above that, and near it here."""
    found = depth_of(JOB, 40.0)
    assert found.warmth is not None
    art, setting = JOB.artwork, found.stamp["dose_j_mm2"]
    energy = art.width_mm * art.height_mm * art.ink_share * setting * found.answer.passes
    mass = np.pi * 11**2 * 16 * 8530e-6
    most = BRASS.absorptivity.central * energy / (mass * 1e-3 * 380)
    assert found.warmth.mass_g == pytest.approx(mass, rel=1e-9)
    assert 0.8 * most < found.warmth.lump_k <= most


def test_the_command_answers_and_refuses(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A reading typed is kept and teaches the next call; a coated item and a typo are refused in one sentence."""
    path = str(tmp_path / "d.txt")
    assert main(["depth", "record", "brass-nut", "10 = 18 um", "--readings", path]) == 0
    assert "used 1 depth reading for this" in capsys.readouterr().out
    assert main(["depth", "plan", "brass-nut", "--wanted", "20 um", "--readings", path]) == 0
    assert "used 1 depth reading for this" in capsys.readouterr().out
    assert main(["depth", "plan", "regatta-bottle", "--wanted", "20 um"]) == 3
    assert main(["depth", "record", "brass-nut", "ten"]) == 2
    assert main(["depth", "record", "brass-nut", "ten = 3 um"]) == 2
