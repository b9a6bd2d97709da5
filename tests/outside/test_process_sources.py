"""The process side against published sources, numeric solutions and the customs of the trade.

Each test names its source. "Seen" means that the figure was read in a copy (often an abstract);
"from memory, not seen" that it was not looked up again. Keys are those of docs/formulas/references.md.
"""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar

from rotary.formulas import ablation, heat
from rotary.passes.beliefs.draws import Coating, coatings, drawn, metals

Floats = NDArray[np.float64]
K, RHO, C = 16.2, 8000.0, 500.0  # 304, base case


def coating(name: str) -> Coating:
    found = coatings()[name]
    assert isinstance(found, Coating)
    return found


# Heat


def test_a_thin_wall_takes_eighty_kelvin() -> None:
    """Energy over heat capacity: half a millimetre of 304, 40 J/cm2, A 0.4 rise 80.0 K (arithmetic, second way)."""
    assert heat.wall_rise_k(0.40, 0.4, 0.5, RHO, C) == pytest.approx(0.16 / (0.5e-3 * 1e-6 * RHO * C), rel=1e-12)
    assert heat.wall_rise_k(0.40, 0.4, 0.5, RHO, C) == pytest.approx(80.0)


@pytest.mark.parametrize(("dimensions", "expected"), [(1, 18.58960), (2, 5.187378), (3, 2.412874)])
def test_heat_of_a_hundred_pulses_adds_up_as_published(dimensions: int, expected: float) -> None:
    """Weber et al., Optics Express 22, 11312 (2014): what is left adds up as the sum of n^(-d/2).

    The sum is from memory, not in the abstract.

    Heat into a thick part falls as t^(-1/2), that of a narrow line in a sheet as well; together
    they make the second dimension, a small patch the third.
    """
    after = np.arange(1, 101) * 10.0
    share = heat.depth_factor(4.05, after, 1e4)
    for _ in range(dimensions - 1):
        share = share * heat.remaining_share(0.05, 4.05, after)
    assert np.sum(share / share[0]) == pytest.approx(expected, rel=1e-4)


def sheet(dose_k: float, passes: int, every_s: float, a_mm: float, b_mm: float) -> float:
    """Rise of a patch's middle after the last pass, by finite differences in a large sheet (a quarter of it)."""
    size, cells, spread = 0.5, 120, 4.05
    x = (np.arange(cells) + 0.5) * size
    patch = (x < a_mm / 2)[:, None] & (x < b_mm / 2)[None, :]
    rise = np.zeros((cells, cells))
    steps = int(np.ceil(every_s / (0.2 * size**2 / spread)))
    for number in range(passes):
        rise[patch] += dose_k
        for _ in range(steps if number < passes - 1 else 0):
            wide = np.pad(rise, 1, mode="edge")
            rise += (
                (wide[2:, 1:-1] + wide[:-2, 1:-1] + wide[1:-1, 2:] + wide[1:-1, :-2] - 4 * rise)
                * spread
                * every_s
                / steps
                / size**2
            )
    return float(rise[0, 0])


def test_ten_passes_on_a_patch_add_up_as_a_sheet_in_finite_differences() -> None:
    """Ten passes of 35 K every 4 s on 10 x 20 mm: about 110 K (finite differences, no closed form)."""
    ages = np.arange(10) * 4.0
    kept = heat.remaining_share(10.0, 4.05, ages) * heat.remaining_share(20.0, 4.05, ages)
    assert 35 * kept.sum() == pytest.approx(sheet(35.0, 10, 4.0, 10.0, 20.0), rel=0.02)
    assert 35 * kept.sum() == pytest.approx(110, abs=6)


# Ablation


def test_energy_is_best_spent_at_e_squared_over_the_threshold() -> None:
    """Raciukaitis 2009, Neuenschwander 2010 (from memory, not seen): volume per energy is largest at F0 = e^2 F_c."""

    def wasted(log_peak: float) -> float:
        # Of pulses of a million units of energy, a unit of area apart: the mean depth is the volume of one.
        w = 1e3 * np.sqrt(2 / (np.pi * np.exp(log_peak)))
        mean, _ = ablation.lattice_sums(ablation.cleared_radius_mm(log_peak, w))
        return -float(ablation.depth_per_pulse_um(log_peak, 1e-6) * mean)

    found = minimize_scalar(wasted, bounds=(0.1, 6), method="bounded", options={"xatol": 1e-9})
    assert np.exp(found.x) == pytest.approx(7.389056, rel=1e-5)
    assert -found.fun == pytest.approx(0.2706706, rel=1e-6)


def test_craters_give_back_spot_and_threshold() -> None:
    """J. M. Liu, Optics Letters 7, 196 (1982), from memory, not seen: w 25 um, threshold 2, peak 20 J/cm2: D 53.649
    um. Squares of diameters over ln E lie on a line: its slope is 2 w^2, its foot the threshold.
    """
    assert 2e3 * ablation.cleared_radius_mm(np.log(20.0 / 2.0), 0.025) == pytest.approx(53.649, abs=1e-3)
    peak = np.array([3.0, 6.0, 12.0, 20.0])
    over = ablation.over_threshold(np.log(peak), np.log(2.0))
    gain, start = np.polyfit(np.log(peak), (2 * ablation.cleared_radius_mm(over, 0.025)) ** 2, 1)
    assert (np.sqrt(gain / 2), np.exp(-start / gain)) == pytest.approx((0.025, 2.0), rel=1e-9)


def test_incubation_is_that_measured_on_titanium() -> None:
    """Maharjan et al., Appl. Phys. A 124, 519 (2018), seen: 0.272 J/cm2 falls to 0.142 after 100 pulses, S = 0.8589.

    The law is that of Jee, Becker and Walser, JOSA B 5, 648 (1988), from memory, not seen.
    """
    fallen = ablation.log_threshold_after_pulses(np.log(0.272), np.log(100), 0.8589)
    assert np.exp(fallen) == pytest.approx(0.142, abs=5e-5)
    assert ablation.pulses_stood(np.log(0.272 / 0.142), 0.8589) == pytest.approx(100, rel=2e-3)
    assert 1 + np.log(0.142 / 0.272) / np.log(100) == pytest.approx(0.8589, abs=1e-4)


# Beliefs hold the published cases


def test_the_beliefs_hold_the_published_lift_off_of_a_powder_coat() -> None:
    """Kumar et al., Appl. Phys. A 119, 853 (2015), abstract seen: 60 um of polyester powder coat on zinc, 1064 nm,
    10 ns, lifted by single pulses of 0.7 J/cm2, 0.1167 J/mm3.

    The belief in lift-off must call that likely; the law of ablation, which needs more than ten
    times that energy for the volume, must not be able to explain it.
    """
    light = coating("polyester-powder-light")
    draws = drawn(metals()["mild-steel"], light, 60.0, None, True, 4000)
    lifts = draws.lifts > 0
    assert np.mean(lifts & (draws.lift_off_j_cm2 < 0.7)) > 0.35
    assert pytest.approx(0.1167, abs=1e-4) == 0.7e-2 / 60e-3
    assert np.min(draws.energy_j_mm3) > 8 * 0.1167
    over = ablation.over_threshold(np.log(0.7), np.log(draws.threshold_j_cm2))
    deep_um = ablation.depth_per_pulse_um(over, draws.depth_um)
    assert np.mean(deep_um >= 60) < 0.01
    assert light.lift_off_at_ns == 10.0


def test_the_beliefs_hold_the_published_energy_of_paint() -> None:
    """Brygo et al., Appl. Surf. Sci. 252, 2131 (2006), abstract seen: about 0.3 mm3/J at 1.5 J/cm2, which is 3.33
    J/mm3.
    """
    energy = coating("polyester-powder-dark").energy_j_mm3
    assert energy.low < 1 / 0.3 < energy.high


def test_the_beliefs_hold_the_published_paint_on_aluminium() -> None:
    """Opt. Laser Technol. 149, 107882 (2022), seen: 3.2 J/cm2 clears blue polyurethane paint without harm to
    aluminium.
    """
    draws = drawn(metals()["aluminium-6061"], coating("polyester-powder-dark"), None, None, False, 4000)
    assert np.mean(draws.threshold_j_cm2 < 3.2) > 0.95
    assert 0.6 < np.mean(draws.metal_j_cm2 > 3.2) < 0.95


def test_the_belief_about_steel_spans_melting_to_boiling() -> None:
    """Melting by Carslaw and Jaeger's solution, Conduction of Heat in Solids, 2.9 (from memory, not seen), 0.53
    (A 0.6) J/cm2 on, lies inside; femtosecond thresholds far outside.
    """
    belief = metals()["stainless-304"].threshold_j_cm2
    # A steady flux A F / tau on a thick body: rise 2 A F / sqrt(pi k rho c tau).
    melts = 1e-4 * 1380 * np.sqrt(np.pi * K * RHO * C * 100e-9) / (2 * np.array([0.6, 0.21]))
    assert melts[0] == pytest.approx(0.53, abs=0.02)
    assert melts[1] == pytest.approx(1.49, abs=0.02)
    assert belief.low < melts[0] < melts[1] < belief.high
    assert belief.low > 2 * 0.22


@pytest.mark.parametrize("name", sorted(metals()))
def test_no_metal_is_taken_to_stand_what_melts_it(name: str) -> None:
    """Carslaw and Jaeger: the low end of each threshold lies at or under melting at the highest absorptivity taken."""
    metal = metals()[name]
    product = metal.conductivity_w_mk * metal.density_kg_m3 * metal.heat_j_kgk
    slow_s = metal.known_at_ns * 1e-9
    melts = 1e-4 * (metal.melts_at_c - 20) * np.sqrt(np.pi * product * slow_s) / (2 * metal.absorptivity.high)
    assert metal.threshold_j_cm2.low <= 1.03 * melts


def test_steel_colours_no_sooner_than_in_a_furnace() -> None:
    """Dooley, Applied Science for Metal Workers, seen: 221 degC very pale yellow; stainless 290 degC light yellow,
    seen.

    Furnace charts assume long times: seconds on a wall need more, never less.
    """
    for name, furnace_c in (("mild-steel", 221.0), ("carbon-steel-1095", 221.0), ("stainless-304", 290.0)):
        tints = metals()[name].tints_at_c
        assert tints is not None
        assert tints.low > furnace_c


def test_powder_coat_is_as_thick_as_the_trade_lays_it() -> None:
    """Common practice, no source: 60 to 80 um in general, 38 to 89 um by product, 12 um either way in a part."""
    for name in ("polyester-powder-dark", "polyester-powder-light", "polyester-powder-metallic", "epoxy-powder"):
        belief = coating(name)
        assert belief.thickness_um.low <= 60
        assert belief.thickness_um.high >= 89
        assert 60 <= belief.thickness_um.central <= 80
        assert belief.uneven_um.central >= 12


@pytest.mark.parametrize(
    ("name", "k", "rho", "c", "melts_c"),
    [
        ("stainless-304", (16.2, 16.2), (8000, 8000), (500, 500), (1400, 1455)),
        ("stainless-316", (14.6, 14.6), (8027, 8027), (450, 485), (1390, 1440)),
        ("carbon-steel-1095", (47, 47), (7800, 7800), (470, 470), (1400, 1540)),
        ("brass-c26000", (120, 120), (8200, 8530), (375, 390), (920, 950)),
        ("aluminium-6061", (155, 167), (2700, 2700), (896, 954), (580, 650)),
        ("titanium-grade-5", (6.8, 7.2), (4400, 4420), (560, 560), (1604, 1660)),
        ("copper", (391, 391), (8890, 8890), (385, 385), (1065, 1083)),
    ],
)
def test_metals_have_the_tables_properties(
    name: str, k: tuple[float, float], rho: tuple[float, float], c: tuple[float, float], melts_c: tuple[float, float]
) -> None:
    """Usual handbook values (estimate, no source): conductivity, density, heat and melting lie in their ranges."""
    metal = metals()[name]
    assert k[0] <= metal.conductivity_w_mk <= k[1]
    assert rho[0] <= metal.density_kg_m3 <= rho[1]
    assert c[0] <= metal.heat_j_kgk <= c[1]
    assert melts_c[0] <= metal.melts_at_c <= melts_c[1]


@pytest.mark.parametrize(
    ("name", "smooth"), [("stainless-304", 0.2958), ("brass-c26000", 0.0524), ("aluminium-6061", 0.0465)]
)
def test_real_metal_absorbs_one_to_six_times_more_than_a_mirror(name: str, smooth: float) -> None:
    """n and k at 1064 nm: Karlsson and Ribbing 1982, Querry 1985, Rakic and Ordal, seen in an open database."""
    belief = metals()[name].absorptivity
    assert belief.central >= smooth
    assert belief.high <= 7 * smooth
    assert belief.low >= 0.8 * smooth


def test_a_pass_on_knife_steel_gains_a_micrometre_or_two() -> None:
    """Common practice, no source: small low-power marks on knife steel gain 1 to 2.5 um a pass (about 0.5 J/mm2)."""
    draws = drawn(metals()["carbon-steel-1095"], None, None, 3.0, False, 2000)
    low, high = np.quantile(1e3 * draws.removal_mm3_j * 0.5, [0.05, 0.95])
    assert low < 1.0
    assert high > 2.5
