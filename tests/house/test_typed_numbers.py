"""What is typed and what warns of it come from one place, so that no front can show the one without the other."""

import ast
from pathlib import Path

from tests.house.sources import tree_of

ROOT = Path(__file__).resolve().parents[2]

MAKES = {
    "rotary/slices/__init__.py",
    "rotary/slices/models.py",
    "rotary/card/details.py",
    "rotary/actions/typed_rows.py",
    "rotary/actions/files.py",
}
"""Where the numbers come from; fronts take rows of actions by `sentences.rows.entries`, or `KeyIn.entry` below it."""

RECKONS = {"rotary/services/files.py", "rotary/services/simulation.py", "rotary/repeat/run_plan.py"}
"""Where they are reckoned with, or kept in whole with what warns of them, and shown to nobody."""

SHOWS = {"rotary/machine/strip_papers.py", "rotary/machine/seam_tests.py"}
"""Fronts that stand below the card, or know no core."""


def functions(tree: ast.AST) -> list[ast.AST]:
    """Every function, methods too."""
    return [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)]


def read(tree: ast.AST) -> set[str]:
    """The names of attributes that are read, and of what is called or passed on."""
    names = {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
    return names | {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}


def test_numbers_to_type_are_shown_with_what_warns_of_them() -> None:
    """No other file takes a plan's numbers bare; and a front that does reads the warning in the same breath."""
    bare = {}
    for path in (one for folder in ("rotary", "tui") for one in sorted((ROOT / folder).rglob("*.py"))):
        tree = tree_of(path)
        if {"key_in"} & read(tree):
            bare[path.relative_to(ROOT).as_posix()] = functions(tree)
    assert set(bare) == MAKES | RECKONS | SHOWS
    for name in SHOWS:
        for function in bare[name]:
            told = read(function)
            assert "key_in" not in told or {"leave", "entry", "entries"} & told, name


def test_papers_write_an_entry_with_its_warning() -> None:
    """In each writer of papers, whoever reads the unit of an entry reads what warns of it, or takes both as one."""
    for path in sorted((ROOT / "rotary" / "papers").rglob("*.py")):
        for function in functions(tree_of(path)):
            told = read(function)
            if {"text", "unit", "label"} <= told:
                assert {"leave", "figure"} & told, f"{path.name}: {getattr(function, 'name', '')}"
