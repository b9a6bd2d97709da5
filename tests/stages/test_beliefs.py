"""Beliefs: every figure has a source, draws follow them, and are the same each time."""

import tomllib

import numpy as np
import pytest
from pydantic import ValidationError

from rotary.errors import Refused
from rotary.job import job_from_file
from rotary.passes.beliefs import draws as beliefs
from rotary.passes.beliefs.belief import BY_LAW
from rotary.passes.beliefs.draws import (
    Belief,
    Coating,
    Metal,
    RefusedCoating,
    coatings,
    drawn,
    metals,
    substances,
)
from rotary.shipped import examples, reference

LIFTED = [name for name, coating in coatings().items() if isinstance(coating, Coating)]


def all_beliefs() -> list[tuple[str, Belief]]:
    substances = {**metals(), **{name: coatings()[name] for name in LIFTED}}
    return [
        (f"{name}.{field}", value)
        for name, substance in substances.items()
        for field in type(substance).model_fields
        if isinstance(value := getattr(substance, field), Belief)
    ]


def test_the_shipped_substances_are_there() -> None:
    """The three coatings and three metals that the tool promises, the refused ones with a reason."""
    assert {"polyester-powder-dark", "polyester-powder-light"} <= set(LIFTED)
    assert {"stainless-304", "aluminium-6061", "mild-steel"} <= set(metals())
    for name in ("fluoropolymer-nonstick", "vinyl"):
        refused = coatings()[name]
        assert isinstance(refused, RefusedCoating)
        assert len(refused.refused) > 40


def test_every_figure_names_a_source_or_says_that_it_is_an_estimate() -> None:
    """A belief without a word on where it is from is a defect; keys stand in the references."""
    for name, belief in all_beliefs():
        said = belief.source.lower()
        known = ("estimate", "kumar2015", "brygo2006", "as ", "heating and decomposing")
        assert any(word in said for word in known), name


def test_every_figure_has_a_range() -> None:
    """Low, central and high rise, and no belief is a constant in disguise."""
    for name, belief in all_beliefs():
        assert belief.low <= belief.central <= belief.high, name
        assert belief.high > 1.05 * belief.low, name


def test_figures_out_of_order_are_refused() -> None:
    """A person who extends a data file and swaps two figures is told which three."""
    with pytest.raises(ValidationError, match="low, central, high must go up in this order, got"):
        Belief(low=2.0, central=1.0, high=3.0, source="estimate")


def test_a_misspelt_field_of_the_data_file_is_refused() -> None:
    """A table copied with a wrong name in it doesn't pass as a metal."""
    table = tomllib.loads(reference("metals.toml"))["copper"]
    with pytest.raises(ValidationError, match="absorbtivity"):
        Metal.model_validate({**table, "absorbtivity": 0.1})


@pytest.mark.parametrize("name", LIFTED)
def test_draws_follow_their_beliefs(name: str) -> None:
    """5, 50 and 95 % of the draws lie where the belief says, weights make one, the mechanism has its share."""
    coating = coatings()[name]
    assert isinstance(coating, Coating)
    draws = drawn(metals()["stainless-304"], coating, None, None, False, 4000)
    assert draws.weight.sum() == pytest.approx(1.0)
    assert draws.lifts.mean() == pytest.approx(coating.lift_off_share, abs=1e-3)
    pairs = [
        (draws.threshold_j_cm2, coating.threshold_j_cm2),
        (draws.lift_off_j_cm2, coating.lift_off_j_cm2),
        (draws.residual_share, coating.residual_share),
        (draws.metal_j_cm2, metals()["stainless-304"].threshold_j_cm2),
        (draws.wall_mm, beliefs.machine().bottle_wall_mm),
    ]
    for values, belief in pairs:
        found = np.quantile(values, [0.05, 0.5, 0.95])
        # The threshold is made of three strata, which do not lie as evenly as one.
        within = 0.04 if belief is coating.threshold_j_cm2 else 0.02
        assert found == pytest.approx([belief.low, belief.central, belief.high], rel=within)


def test_draws_of_different_figures_do_not_hang_together() -> None:
    """A stratified sample must still be mixed: no pair of independent beliefs is correlated. The threshold goes with
    depth and energy, as the law F_c = E_v l has it: together as far as is assumed."""
    coating = coatings()["polyester-powder-dark"]
    assert isinstance(coating, Coating)
    draws = drawn(metals()["stainless-304"], coating, None, None, False, 1000)
    threshold, depth, energy = map(np.log, (draws.threshold_j_cm2, draws.depth_um, draws.energy_j_mm3))
    columns = np.stack([np.log(draws.metal_j_cm2), depth, energy, draws.lifts])
    others = np.corrcoef(columns) - np.eye(4)
    assert np.abs(others).max() < 0.12
    assert abs(np.corrcoef(threshold, columns[0])[0, 1]) < 0.12
    assert np.corrcoef(threshold, depth + energy)[0, 1] == pytest.approx(BY_LAW, abs=0.05)


@pytest.mark.parametrize("name", sorted({*LIFTED} - {"anodised-film"}))
def test_the_ranges_fit_the_law_that_holds_them_together(name: str) -> None:
    """Beer's law with the energy of a volume, F_c = E_v l: the middles of the three agree within a factor of two.

    (A dyed film is bleached, not ablated: its three are not used.)
    """
    coating = coatings()[name]
    assert isinstance(coating, Coating)
    by_law_j_cm2 = 0.1 * coating.energy_j_mm3.central * coating.depth_um.central
    assert 0.5 < by_law_j_cm2 / coating.threshold_j_cm2.central < 2.0


def test_what_was_measured_is_believed() -> None:
    """A measured thickness, wall or spot replaces the wide belief by a narrow one about it."""
    coating = coatings()["polyester-powder-dark"]
    assert isinstance(coating, Coating)
    draws = drawn(metals()["stainless-304"], coating, 62.0, 0.42, True, 1000)
    middle = (draws.thickest_um + draws.thinnest_um) / 2
    assert np.median(middle) == pytest.approx(62.0, rel=0.03)
    assert np.quantile(draws.wall_mm, [0.05, 0.95]) == pytest.approx([0.378, 0.462], rel=0.01)
    assert draws.spot_factor.max() < 1.2


def test_no_draws_means_the_central_figures() -> None:
    """With nought draws a single one stands for all, at the central figures."""
    coating = coatings()["polyester-powder-light"]
    assert isinstance(coating, Coating)
    one = drawn(metals()["copper"], coating, None, None, False, 0)
    assert one.weight.tolist() == [1.0]
    assert one.metal_j_cm2[0] == metals()["copper"].threshold_j_cm2.central
    assert one.lifts[0] == 1.0


def test_the_first_draws_are_a_fair_sample() -> None:
    """The search's few draws come from all over the beliefs, not from one end, and weigh one together."""
    coating = coatings()["polyester-powder-dark"]
    assert isinstance(coating, Coating)
    few = drawn(metals()["stainless-304"], coating, None, None, False, 1000).first(72)
    assert few.weight.sum() == pytest.approx(1.0)
    assert np.median(few.metal_j_cm2) == pytest.approx(2.5, rel=0.35)


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("ecoat", "e-coat"), ("Electro coat", "e-coat"), ("ceramic coating", "ceramic-filled-paint"),
        ("PVD", "pvd-film"), ("titanium nitride", "pvd-film"), ("anodising", "anodised-film"),
    ],
)  # fmt: skip
def test_a_coating_by_a_shops_word_leads_to_its_name(said: str, meant: str) -> None:
    """What people call a coating is no name of it, but the refusal offers the one they mean, which is planned."""
    item = job_from_file(examples()["regatta-bottle"]).item
    with pytest.raises(Refused, match=f"did you mean {meant}"):
        substances(item.model_copy(update={"coating": said}))
    assert isinstance(substances(item.model_copy(update={"coating": meant}))[1], Coating)
