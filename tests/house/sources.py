"""The project's own sources, parsed once for all tests of the house."""

import ast
from functools import cache
from pathlib import Path


@cache
def tree_of(path: Path) -> ast.Module:
    """The syntax tree of a file; not to be changed, as others look at the same."""
    return ast.parse(path.read_text("utf-8"))
