"""No module imports itself by way of others, neither when it is loaded nor when a function of it is called."""

import ast
from collections.abc import Iterator
from graphlib import TopologicalSorter
from pathlib import Path

from tests.house.sources import tree_of

ROOT = Path(__file__).resolve().parents[2]
FILES = {
    ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path
    for folder in ("rotary", "tui")
    for path in (ROOT / folder).rglob("*.py")
}


def imported(node: ast.AST) -> Iterator[str]:
    """The modules of ours that are imported under a node; what is only there for types is left out."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.If) and "TYPE_CHECKING" in ast.unparse(child.test):
            continue
        if isinstance(child, ast.ImportFrom):
            for alias in child.names:
                whole = f"{child.module}.{alias.name}"
                yield whole if whole in FILES else str(child.module)
        elif isinstance(child, ast.Import):
            yield from (alias.name for alias in child.names)
        yield from imported(child)


def test_no_module_needs_itself() -> None:
    """What a module needs stands below it, so that each can be read by itself; a circle would be named here."""
    needs = {
        name: {one for one in imported(tree_of(path)) if one in FILES and one != name} for name, path in FILES.items()
    }
    TopologicalSorter(needs).prepare()
