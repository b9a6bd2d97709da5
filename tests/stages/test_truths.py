"""The first fifty made-up truths of the learning bench: what docs/contributors/benches.md says holds on them."""

import importlib.util
import math
import re
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from rotary.laser import Optics, optics
from rotary.passes.beliefs.draws import FIELDS, Material, material_for
from rotary.passes.plan.setting import Removal

ROOT = Path(__file__).resolve().parents[2]
SEED = 80291
SOLVABLE = (0, 1, 2, 4, 9, 11, 14, 18, 20, 23, 24, 26, 27, 32, 33, 34, 35, 41, 42, 43, 45, 46, 47, 48)
"""Those of the first fifty truths that some setting or ladder solves, as the bench finds out."""
MUST = {"units": "must"}
OWN_TRUTHS = 250
UNLUCKY = 0.01
"""So seldom would as few come out right by luck alone, were the page's share the true one."""


def module(name: str) -> ModuleType:
    """A module of the bench, which stands in no package."""
    spec = importlib.util.spec_from_file_location(name, ROOT / "tests" / "bench" / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    found = importlib.util.module_from_spec(spec)
    sys.modules[name] = found
    spec.loader.exec_module(found)
    return found


@pytest.fixture(scope="module")
def bench() -> ModuleType:
    module("marking")
    module("truth")
    module("truth_skin")
    return module("learning")


def promised(row: str) -> float:
    """The share that the page promises of all solvable truths."""
    page = (ROOT / "docs" / "contributors" / "benches.md").read_text("utf-8")
    assert f"seed {SEED}:" in page
    found = re.search(rf"^\| {re.escape(row)} \| (\d+) % \(", page, re.MULTILINE)
    assert found is not None, row
    return int(found[1]) / 100


def least(share: float, of: int) -> int:
    """The least number of `of` that is no worse than bad luck: fewer come with a chance of `UNLUCKY` (binomial)."""
    below = 0.0
    for right in range(of + 1):
        below += math.comb(of, right) * share**right * (1 - share) ** (of - right)
        if below > UNLUCKY:
            return right
    return of


def test_luck_is_the_binomials() -> None:
    """Ten tosses with no head at all come once in 1024, with one at most 11 times; what is sure has no bad luck."""
    assert [least(0.5, 10), least(1.0, 50), least(0.0, 50)] == [1, 50, 0]


@pytest.mark.slow
@pytest.mark.timeout(1800)
def test_one_patch_makes_a_ladder_right_as_often_as_the_page_says(bench: ModuleType) -> None:
    """Of fifty truths those that can be solved: a first guess, then a patch of nine cells, by a person who is wrong one
    time in twenty. Right are as many as the page says, less bad luck; few are spoilt."""
    assert {number for number in range(6) if bench.Case(number, SEED).solving()} <= set(SOLVABLE)
    rows: list[dict[str, Any]] = [bench.one_truth(number, SEED, 1, rivals=False) for number in SOLVABLE]
    truths = len(rows)
    came = [[row["first"][stage] for row in rows] for stage in (0, 1)]
    right = [ends.count("clear") for ends in came]
    told = f"right at first and after one patch: {right}; then {sorted(set(came[1]))}"
    assert right[0] >= least(promised("the tool, first guess"), truths), told
    assert right[1] >= least(promised("the tool, one patch"), truths), told
    spoiled_cost = sum(came[1].count(kind) for kind in bench.SPOILT)
    assert spoiled_cost <= truths - least(0.8, truths), told


@pytest.mark.slow
def test_of_truths_that_are_the_tools_own_assumptions_as_many_are_marked_as_stated(
    bench: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the world is as assumed, the plan's chances are what happens, but for luck and the slack of the model.

    The passes are played by the bench, which knows none of the tool's formulas.
    """
    kind, head = (
        sys.modules["truth"],
        bench.LaserAndLens.model_validate(next(iter(bench.laser_tables().values())), context=MUST),
    )
    monkeypatch.setattr(kind, "HALO_SHARE", 0.0)
    monkeypatch.setattr(kind, "spot_mm", _spot_mm)
    plan, steps = bench.first_guess(head, False), bench.ladder_of(bench.first_guess(head, False))
    material = material_for(bench.item(False), head, 1000)
    ends = []
    for number in range(0, 1000, 1000 // OWN_TRUTHS):
        case = bench.Case(0, number)
        case.laser, case.model, case.beam, case.real = (
            head,
            kind,
            optics(head),
            _own_truth(kind, material, plan, number),
        )
        ends.append(bench.whole_item(case, steps)[0])
    marked, clean = (sum(map(ends.count, some)) / len(ends) for some in (bench.SPOILT, ("clear",)))
    assert marked == pytest.approx(1 - plan.chance_unmarked, abs=0.09)
    assert clean == pytest.approx(plan.chance_with_looks, abs=0.09)


def _own_truth(kind: ModuleType, material: Material, plan: Removal, at: int) -> Any:
    """One of the tool's draws as a truth of the bench, at the plan's pulse width."""
    assert plan.setting is not None
    ns, one = (
        plan.setting.pulse_width_ns,
        {name: getattr(material.draws, name)[at] for name in FIELDS},
    )
    lifted = (ns / material.lift_off_at_ns) ** one["lift_off_exponent"] / (ns / 10.0) ** 0.3
    return kind.Truth(
        lifts=bool(one["lifts"]),
        threshold=one["threshold_j_cm2"] * (ns / 100.0) ** one["threshold_exponent"],
        depth_um=one["depth_um"],
        energy_j_mm3=one["energy_j_mm3"],
        lift_off=one["lift_off_j_cm2"] * lifted,
        thick_um=(one["thickest_um"] + one["thinnest_um"]) / 2,
        uneven_um=(one["thickest_um"] - one["thinnest_um"]) / 2,
        residual=one["residual_share"],
        metal=one["metal_j_cm2"],
        incubation=one["incubation"],
        absorptivity=one["absorptivity"],
        tints_at_c=one["tints_at_c"],
        wall_mm=one["wall_mm"],
        beam=(one["spot_factor"], one["divergence_factor"]),
        power=one["power_factor"],
    )


def _spot_mm(one: Any, beam: Optics, away_mm: float) -> float:
    """The spot's radius as the tool has it: a waist and a divergence, each off by its own factor."""
    waist, (wider, diverges) = beam.spot_um / 2000, one.beam
    return math.hypot(waist * wider, waist / beam.rayleigh_mm * diverges * away_mm)
