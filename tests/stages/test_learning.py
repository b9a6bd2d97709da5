"""Learning from readings: right by the numbers, deterministic, patient with a wrong reading."""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from rotary.artwork.layout import Artwork
from rotary.item import Item, Measurement
from rotary.job import Job
from rotary.laser import LaserAndLens, optics
from rotary.passes.beliefs.draws import COLUMNS, Coating, coatings, draws_from, known_of, latent, metals, substances
from rotary.passes.learning import coating as learning
from rotary.passes.learning.coating import Posterior, belief_changes, posterior, with_readings_counted
from rotary.passes.learning.likelihood import SHARED_ERRORS, evidence, log_likelihoods, outcome_shares
from rotary.passes.learning.reading import OUTCOMES, Look, Reading, reading_of
from rotary.passes.plan.grid import grid
from rotary.passes.plan.setting import Setting
from rotary.passes.plan.typed_settings import setting_from
from rotary.sentences.passes import first_line
from rotary.tolerances import Tolerances
from rotary.turning.models import Chuck

HEAD = LaserAndLens(
    name="a test head",
    rated_power_w=30,
    largest_pulse_mj=1.0,
    lowest_frequency_khz=20,
    highest_frequency_khz=80,
    focal_length_mm=254,
    field_mm=170,
)
ITEM = Item(
    name="a test bottle",
    measurements=(Measurement(at_mm=0, across_mm=80), Measurement(at_mm=180, across_mm=80)),
    coating="polyester-powder-dark",
    wall_mm=0.5,
)
JOB = Job(
    item=ITEM,
    laser=HEAD,
    turning=Chuck(),
    artwork=Artwork(width_mm=60, height_mm=40, centre_mm=75),
    tolerances=Tolerances(focus_mm=0.5),
)
METAL = metals()["stainless-304"]
DARK = coatings()["polyester-powder-dark"]
assert isinstance(DARK, Coating)


@lru_cache(maxsize=1)
def settings() -> tuple[Setting, ...]:
    beam = optics(HEAD)
    every = grid(HEAD, beam)
    return tuple(
        setting_from(every.take(np.array([at])), 100.0, count, 1.0, HEAD, beam)
        for at in range(0, len(every.line_spacing_mm), 7)
        for count in (1, 4, 12)
    )


def read(setting: Setting, outcome: str, number: int = 1, **changed: object) -> Reading:
    made = reading_of(JOB, setting, Look(outcome, "2026-05-01", number=number))  # type: ignore[arg-type]
    return made.model_copy(update=changed)


def by_fluence(low: float, high: float) -> Setting:
    return next(s for s in settings() if low < s.peak_fluence_j_cm2 < high and s.passes == 4)


def test_the_five_outcomes_share_all_there_is() -> None:
    """For any setting and any draw the chances of the five outcomes are none below nought and make one."""
    known = known_of(ITEM, METAL, DARK, HEAD)
    some = evidence([read(s, "clear") for s in settings()], known, HEAD.name, None)
    shares = outcome_shares(some, draws_from(latent(300), known), METAL, 10.0, solid=False)
    assert shares.shape == (len(OUTCOMES), len(settings()), 300)
    assert shares.min() >= 0
    assert shares.sum(axis=0) == pytest.approx(1.0, abs=0.02)


def test_a_weak_pulse_leaves_covered_and_a_strong_one_cuts() -> None:
    """Far below every threshold the coating stays, far above every threshold the metal is cut."""
    known = known_of(ITEM, METAL, DARK, HEAD)
    base = by_fluence(0.8, 3.0)
    weak, strong = read(base, "clear", energy_mj=base.pulse_mj / 100), read(base, "clear", energy_mj=base.pulse_mj * 60)
    shares = outcome_shares(
        evidence([weak, strong], known, HEAD.name, None), draws_from(latent(300), known), METAL, 10.0, solid=False
    ).mean(axis=-1)
    assert shares[0, 0] > 0.9
    assert shares[4, 1] > 0.9


def test_the_beliefs_after_a_reading_are_those_of_brute_force() -> None:
    """Moments of 16,000 walked draws agree with 60,000 draws weighed once by the same likelihood."""
    cells = [read(by_fluence(1.0, 1.6), "covered", 1), read(by_fluence(2.5, 4.0), "clear", 2)]
    cells += [read(by_fluence(5.0, 9.5), "cut", 3)]
    found = posterior(ITEM, HEAD, cells, 16_000)
    assert found is not None
    known = known_of(ITEM, METAL, DARK, HEAD)
    many = draws_from(np.random.default_rng(5).standard_normal((COLUMNS, 60_000)), known)
    shared = np.random.default_rng(6).standard_normal((SHARED_ERRORS, 1, 60_000))
    log = log_likelihoods(evidence(cells, known, HEAD.name, None), many, METAL, 10.0, False, shared).sum(axis=0)
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    for field in ("threshold_j_cm2", "metal_j_cm2", "depth_um"):
        want, got = np.log(getattr(many, field)), np.log(getattr(found.draws, field))
        middle = float(weight @ want)
        spread = float(np.sqrt(weight @ (want - middle) ** 2))
        assert got.mean() == pytest.approx(middle, abs=0.12 * spread + 0.02), field
        assert got.std() == pytest.approx(spread, rel=0.12), field
    assert found.draws.lifts.mean() == pytest.approx(float(weight @ many.lifts), abs=0.03)


def bracketed(patches: int) -> Posterior:
    """What twelve cells in so many patches teach: half of them clean, the others engraved by half as much again."""
    base = next(s for s in settings() if s.defocus_mm >= 8 and s.peak_fluence_j_cm2 > 1.2 and s.passes == 4)
    mj = base.pulse_mj
    cells = [
        read(base, seen, at, cell=at, patch=f"patch {at // 2 % patches}", energy_mj=mj * energy, focus_mm=3.0)
        for at, (energy, seen) in enumerate(6 * [(1.2, "clear"), (1.8, "cut")], 2)
    ]
    found = posterior(ITEM, HEAD, cells, 4000)
    assert found is not None
    return found


def test_cells_of_one_patch_share_its_focus() -> None:
    """However many cells a patch has, its focus leaves open what the metal stands; six patches tell more."""
    one, six = (float(np.log(bracketed(patches).draws.metal_j_cm2).std()) for patches in (1, 6))
    assert one > 1.15 * six


ERRORS = {"focus": 0, "energy": 1, "thickness": 2}


@pytest.mark.parametrize("what", ERRORS)
def test_an_error_of_a_set_up_is_as_if_it_had_been_set_so(what: str) -> None:
    """One standard deviation: half of the granted focus, half of the variance of 12 % in energy and 15 % in passes."""
    item = ITEM.model_copy(update={"coating_thickness_um": 70.0})
    known = known_of(item, METAL, DARK, HEAD)
    believed = draws_from(latent(300), known)
    cells = [read(s, "clear", at, thickness_um=70.0) for at, s in enumerate(settings(), 1) if s.defocus_mm >= 5]
    shared, by = np.zeros((SHARED_ERRORS, 1, 300)), np.exp(np.array([0.0, 0.12, 0.15]) / np.sqrt(2))
    shared[ERRORS[what]] = 1.0
    off = {
        "focus": lambda r: {"defocus_mm": r.defocus_mm + 1.0 / 1.96},
        "energy": lambda r: {"energy_mj": r.energy_mj * by[1]},
        "thickness": lambda r: {"thickness_um": r.thickness_um * by[2]},
    }[what]
    cells = [cell.model_copy(update={"focus_mm": 1.0}) for cell in cells]

    def log(some: list[Reading], errors: np.ndarray | None) -> np.ndarray:
        return log_likelihoods(evidence(some, known, HEAD.name, None), believed, METAL, 10.0, False, errors)

    meant, got = log([cell.model_copy(update=off(cell)) for cell in cells], None), log(cells, shared)
    # The warmth of earlier pulses goes by the focus as set.
    assert got == pytest.approx(meant, abs=0.1)
    assert np.abs(got - log(cells, None)).max() > 0.2


def test_the_same_readings_teach_the_same() -> None:
    """Twice the same readings, in any order of the list, give the same draws to the last digit."""
    cells = [read(s, "covered", at + 1) for at, s in enumerate(settings()[:9])]
    one = posterior(ITEM, HEAD, cells, 500)
    learning._learned.cache_clear()
    learning._after_batches.cache_clear()
    two = posterior(ITEM, HEAD, cells[::-1], 500)
    assert one is not None
    assert two is not None
    assert np.array_equal(one.draws.metal_j_cm2, two.draws.metal_j_cm2)


def test_a_reading_on_another_wall_is_taken_for_that_wall() -> None:
    """The same reading foretold from an item of half the wall is as likely as from one of its own wall."""
    large = {"wall_mm": 0.2, "passes": 40, "inked_width_mm": 60.0, "inked_height_mm": 60.0, "pause_s": 0.0}
    hot = [read(s, "tinted", at + 1, **large) for at, s in enumerate(settings()) if s.passes == 12]
    own, half = (known_of(ITEM.model_copy(update={"wall_mm": wall}), METAL, DARK, HEAD) for wall in (0.2, 0.1))
    tinted = [
        outcome_shares(evidence(hot, one, HEAD.name, None), draws_from(latent(300), one), METAL, 10.0, solid=False)[3]
        for one in (own, half)
    ]
    assert tinted[0].max() > 0.05
    assert tinted[1] == pytest.approx(tinted[0])


def test_readings_of_a_known_truth_find_it() -> None:
    """Cells read as a sharp truth would have them: its thresholds lie within the beliefs after, which are narrower."""
    known = known_of(ITEM, METAL, DARK, HEAD)
    central = draws_from(np.zeros((COLUMNS, 1)), known)
    truth = replace(central, threshold_j_cm2=central.threshold_j_cm2 * 1.5, metal_j_cm2=central.metal_j_cm2 * 1.4)
    strong = [s for s in settings() if s.peak_fluence_j_cm2 > 1.0 and s.passes > 1]
    cells = [read(s, "clear", at + 1) for at, s in enumerate(strong)]
    shares = outcome_shares(evidence(cells, known, HEAD.name, None), truth, METAL, 10.0, solid=False)[:, :, 0]
    names = list(OUTCOMES)
    told = [c.model_copy(update={"outcome": names[int(s)]}) for c, s in zip(cells, shares.argmax(axis=0), strict=True)]
    found = posterior(ITEM, HEAD, told, 2000)
    assert found is not None
    for field in ("threshold_j_cm2", "metal_j_cm2"):
        low, high = np.quantile(getattr(found.draws, field), [0.05, 0.95])
        before = np.quantile(getattr(found.before, field), [0.05, 0.95])
        least, most = np.quantile(getattr(found.draws, field), [0.01, 0.99])
        assert least < getattr(truth, field)[0] < most, field
        assert np.log(high / low) < 0.86 * np.log(before[1] / before[0]), field


def test_one_wrong_reading_does_not_ruin_the_belief() -> None:
    """Eight readings that agree and one that contradicts them all: the metal's threshold hardly moves."""
    right = [read(by_fluence(2.5, 4.0), "clear", at + 1) for at in range(8)]
    wrong = read(by_fluence(1.0, 1.6), "cut", 9)
    with_it, without = posterior(ITEM, HEAD, [*right, wrong], 2000), posterior(ITEM, HEAD, right, 2000)
    assert with_it is not None
    assert without is not None
    moved = np.median(np.log(with_it.draws.metal_j_cm2)) - np.median(np.log(without.draws.metal_j_cm2))
    spread = np.log(without.before.metal_j_cm2).std()
    assert abs(moved) < 0.5 * spread


def test_a_struck_reading_and_one_not_read_teach_nothing() -> None:
    """Struck out or not read, a reading leaves the beliefs as they were without it."""
    cell = read(by_fluence(2.5, 4.0), "clear")
    assert posterior(ITEM, HEAD, [cell.model_copy(update={"ignored": True})], 500) is None
    assert posterior(ITEM, HEAD, [cell.model_copy(update={"outcome": "not read"})], 500) is None
    other = cell.model_copy(update={"coating": "epoxy-powder"})
    assert posterior(ITEM, HEAD, [other], 500) is None


def test_another_head_teaches_less_of_the_coating_and_nothing_of_this_head() -> None:
    """The same readings from another head narrow less which pulse starts on the coating, and leave this power alone."""
    cells = [read(by_fluence(1.0, 1.6), "covered", 1), read(by_fluence(2.5, 4.0), "clear", 2)]
    mine = posterior(ITEM, HEAD, cells, 3000)
    theirs = posterior(ITEM, HEAD, [c.model_copy(update={"laser": "another"}) for c in cells], 3000)
    assert mine is not None
    assert theirs is not None
    assert theirs.other_heads == 2

    def spread(found: learning.Posterior) -> float:
        # The pulse energy at which the coating starts, in focus.
        after, before = (
            np.log(some.threshold_j_cm2 * some.spot_factor**2 / some.power_factor).std()
            for some in (found.draws, found.before)
        )
        return float(after / before)

    assert spread(mine) < spread(theirs) < 1.0
    shift = np.log(theirs.draws.power_factor).mean() - np.log(theirs.before.power_factor).mean()
    assert abs(shift) < 0.01


def test_a_reading_on_another_metal_teaches_the_coating_alone() -> None:
    """A cut on brass says nothing of what steel stands."""
    cells = [read(by_fluence(2.5, 4.0), "cut", at + 1, metal="brass-c26000") for at in range(6)]
    found = posterior(ITEM, HEAD, cells, 3000)
    assert found is not None
    shift = np.log(found.draws.metal_j_cm2).mean() - np.log(found.before.metal_j_cm2).mean()
    assert abs(shift) < 0.1


def test_what_the_patch_taught_is_told_before_and_after() -> None:
    """The table names the beliefs with both ranges; covered cells raise the coating's threshold."""
    cells = [read(by_fluence(1.0, 1.6), "covered", at + 1) for at in range(3)]
    found = posterior(ITEM, HEAD, cells, 2000)
    assert found is not None
    rows = {row.name: row for row in belief_changes(found)}
    row = rows["the coating wears away from"]
    assert row.after[1] > row.before[1]
    assert all(r.before[0] <= r.before[1] <= r.before[2] for r in rows.values())


def test_a_belief_is_told_of_the_draws_that_it_matters_in() -> None:
    """What is told of ablation is the range where the coating is ablated; that of a way ruled out is left out."""
    found = posterior(ITEM, HEAD, [read(by_fluence(1.0, 1.6), "covered", at + 1) for at in range(3)], 2000)
    assert found is not None
    ablated = found.draws.lifts == 0
    row = next(row for row in belief_changes(found) if row.name == "the coating wears away from")
    assert row.after[1] == pytest.approx(float(np.median(found.draws.threshold_j_cm2[ablated])), rel=0.02)
    none_thrown = replace(found, draws=replace(found.draws, lifts=np.zeros(2000)))
    assert "lifting off starts at (10 ns)" not in {row.name for row in belief_changes(none_thrown)}


@pytest.mark.parametrize("measured", [{"across_mm": 200 / np.pi}, {"round_mm": 200.0}])
def test_a_solid_bar_is_as_deep_whichever_way_its_diameter_was_measured(measured: dict[str, float]) -> None:
    """A bar 200 mm round is 63.7 mm across: its volume over its surface, half its radius, is 15.9 mm."""
    measurements = tuple(Measurement(at_mm=at, **measured) for at in (0.0, 180.0))
    bar = ITEM.model_copy(update={"solid": True, "wall_mm": None, "measurements": measurements})
    assert learning._solid_mm(bar) == pytest.approx(200 / (4 * np.pi))


def test_the_plan_says_that_it_rests_on_readings() -> None:
    """A plan after readings begins with their number; one without says nothing of any."""
    from rotary.job import job_from_file
    from rotary.plan import plan
    from rotary.shipped import examples

    job = job_from_file(examples()["regatta-bottle"])
    made = plan(job, 300)
    setting = made.removal.setting
    assert setting is not None
    sharp = job.model_copy(update={"tolerances": job.tolerances.model_copy(update={"focus_mm": 0.5})})
    cell = reading_of(sharp, setting, Look("clear", "2026-05-01"))
    after = plan(job, 300, [cell])
    assert first_line(after).startswith("After 1 reading: ")
    assert after.removal.readings == 1
    assert after.removal.chance > made.removal.chance
    assert with_readings_counted(made.removal, None, job.item, job.laser) is made.removal


@pytest.mark.parametrize("name", ["dark paint", "Light lacquer", "clear powder: batch 7", "metallic paint"])
def test_an_own_coating_is_known_by_colour_and_kind(name: str) -> None:
    """Two words are enough, every range is at least as wide as that of the table it starts from, sources are told."""
    _, own = substances(ITEM.model_copy(update={"coating": name}))
    assert isinstance(own, Coating)
    assert own.threshold_j_cm2.high / own.threshold_j_cm2.low > 5
    assert "estimate" in own.threshold_j_cm2.source


def test_batches_are_kept_apart() -> None:
    """What follows the colon is no other coating, but its readings are its own."""
    item = ITEM.model_copy(update={"coating": "polyester-powder-dark: spring batch"})
    assert substances(item)[1] == DARK
    assert posterior(item, HEAD, [read(by_fluence(1.0, 1.6), "covered")], 200) is None
