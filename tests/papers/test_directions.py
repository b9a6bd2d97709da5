"""Which way, in words: a person moves the lens, a shim or the artwork by them, so each is held against its sign."""

import pytest

from rotary.card.details import figures_behind
from rotary.laser import LaserAndLens
from rotary.papers.sizes import Sizes
from rotary.papers.text import section_lines
from rotary.pictures.views import end_view, side_view
from rotary.plan import Plan
from rotary.sentences import slices
from rotary.sentences.plan import actions_in_words
from rotary.slices.keys import SheetColumns, must_show
from rotary.slices.models import SplitRemark

MM = Sizes("mm")


def details_of(made: Plan) -> str:
    lines = [line for section in figures_behind(made, MM) for line in section_lines(section)]
    return " ".join(" ".join(lines).split())


@pytest.mark.parametrize(("name", "end"), [("regatta-bottle", "rim"), ("heron-cup", "base")])
def test_the_end_over_the_shim_is_the_higher_one(shipped: dict[str, Plan], name: str, end: str) -> None:
    made = shipped[name]
    assert (made.job.turning.levelled, made.turning.level.end) == (True, end)
    assert f"the {end} higher." in side_view(made, MM, 120.0, 80.0).says


def test_an_axis_that_lies_level_is_not_tilted(shipped: dict[str, Plan]) -> None:
    assert side_view(shipped["pommel-nut"], MM, 120.0, 80.0).says.endswith("The axis is level.")


@pytest.mark.parametrize(
    ("name", "lens", "side"), [("regatta-bottle", "AWAY", "above"), ("pommel-nut", "CLOSER", "below")]
)
def test_the_lens_moves_away_for_a_focus_above_the_apex(
    shipped: dict[str, Plan], name: str, lens: str, side: str
) -> None:
    made = shipped[name]
    assert (made.focus.focal_plane_mm > made.focus.apex_height_mm) == (side == "above")
    (focus,) = (row.text for row in actions_in_words(made).by_hand if row.id == "focus")
    assert f" mm {lens} (" in focus
    assert f" mm {side} the apex" in end_view(made, MM, 120.0, 80.0).says


@pytest.mark.parametrize(("drift_mm", "way"), [(0.05, "too far"), (-0.05, "too little")])
def test_slices_turn_too_far_or_too_little(shipped: dict[str, Plan], drift_mm: float, way: str) -> None:
    made = shipped["regatta-bottle"]
    drifting = made.model_copy(update={"split": made.split.model_copy(update={"drift_mm": drift_mm})})
    assert f"all slices together turn 50 µm {way}" in details_of(drifting)


def test_what_is_drawn_narrower_would_come_out_too_wide(shipped: dict[str, Plan]) -> None:
    split = shipped["pommel-nut"].split
    remark = SplitRemark(id="drawn_larger", values={"wide_share": 0.98, "high_share": 1.02, "measured": False})
    told = slices.notes(split.model_copy(update={"remarks": (remark,)}))[0]
    assert (
        "drawn at 98.00 % of its true width and 102.00 % of its true height. Drawn at true size, the artwork "
        "would come out 2.04 % too wide, 1.96 %" in told
    )


@pytest.mark.parametrize(
    ("axis", "place"),
    [
        ("y", "along X. The first slice must begin at -25.000 mm"),
        ("x", "along Y. The first slice must begin at -25.000 mm"),
    ],
)
def test_the_first_slice_begins_on_the_minus_side(shipped: dict[str, Plan], axis: str, place: str) -> None:
    laser: LaserAndLens = shipped["regatta-bottle"].job.laser.model_copy(update={"field_axis": axis})
    assert place in must_show(SheetColumns(5, 5, 10.0, "sliced"), (50.0, 40.0), laser, "the rim")[1]


def test_each_chance_stands_by_its_own_name(shipped: dict[str, Plan]) -> None:
    steps = shipped["regatta-bottle"].removal
    clean, unmarked, both = (f"{100 * of:.0f} %" for of in (steps.chance_clean, steps.chance_unmarked, steps.chance))
    assert len({clean, unmarked, both}) == 3
    assert f"coating off on {clean}, metal unmarked on {unmarked}, both on {both}" in details_of(
        shipped["regatta-bottle"]
    )
