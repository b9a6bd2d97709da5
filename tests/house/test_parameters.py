"""What belongs together is handed as one argument: a Setup, or a small model of the stage's own."""

import ast
from pathlib import Path

from tests.house.sources import tree_of

ROOT = Path(__file__).resolve().parents[2]

FLOW = (
    "item",
    "turning",
    "laser",
    "artwork/layout",
    "slices",
    "focus",
    "passes",
    "sheet",
    "template",
    "exports",
    "plan",
)
FLOW += ("setup", "simulate", "repeat", "seams", "safety", "actions")

MOST, MOST_IN_FLOW = 8, 6

LONGER = {
    "rotary/artwork/svg/pathdata.py cubics_from_arc",
    "rotary/formulas/seam_gap.py seam_gap_spread_mm",
    "rotary/formulas/scan.py landing_on_cone",
}
"""Formulas of so many quantities, and the arc as SVG has it."""


def counts() -> dict[str, int]:
    """How many parameters every function of the core takes, `self` left out."""
    found = {}
    for path in sorted((ROOT / "rotary").rglob("*.py")):
        name = path.relative_to(ROOT).as_posix()
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                given = node.args.posonlyargs + node.args.args + node.args.kwonlyargs
                found[f"{name} {node.name}"] = len([one for one in given if one.arg not in ("self", "cls")])
    return found


def test_no_stage_takes_its_parts_one_by_one() -> None:
    """A stage that takes ten things in a row takes two of them in the wrong order one day."""
    starts = tuple(f"rotary/{name}{end}" for name in FLOW for end in ("/", ".py"))
    assert [one for one in FLOW if not any((ROOT / "rotary").glob(f"{one}*"))] == []
    flow = {name for name, count in counts().items() if name.startswith(starts) and count > MOST_IN_FLOW}
    assert flow <= LONGER
    assert {name for name, count in counts().items() if count > MOST} <= LONGER
