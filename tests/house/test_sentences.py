"""No module of the flow takes a sentence apart: meaning goes by ids and values, never by English words."""

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).parents[2]

# They read what other programs wrote, or a person typed: there words are what is asked.
READERS: Final = {
    "rotary/units.py": "reads lengths, angles and powers as people write them",
    "rotary/artwork/svg": "reads drawings of other programs",
    "rotary/artwork/dxf.py": "reads drawings of other programs",
}

TAKES_APART: Final = {
    "startswith", "endswith", "partition", "rpartition", "removeprefix", "removesuffix", "split", "rsplit", "find",
    "rfind", "index", "rindex", "count", "replace",
}  # fmt: skip


def worded(node: ast.expr) -> bool:
    """Whether a node is a text with words in it, or holds one."""
    if isinstance(node, ast.Constant):
        return (
            isinstance(node.value, str) and any(letter.isalpha() for letter in node.value) and " " in node.value.strip()
        )
    if isinstance(node, ast.JoinedStr):
        return any(isinstance(part, ast.Constant) and " " in str(part.value) for part in node.values)
    if isinstance(node, ast.Tuple | ast.List | ast.Set):
        return any(map(worded, node.elts))
    return isinstance(node, ast.Dict) and any(worded(key) for key in node.keys if key is not None)


def taken_apart(tree: ast.AST) -> Iterator[int]:
    """Lines on which a text with words is compared, looked for, cut, or used as a key."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Compare) and any(map(worded, (node.left, *node.comparators))):
            yield node.lineno
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in TAKES_APART:
            if any(map(worded, node.args[:1])):
                yield node.lineno
        elif isinstance(node, ast.Subscript) and worded(node.slice):
            yield node.lineno


def main() -> None:
    for path in sorted([*ROOT.glob("rotary/**/*.py"), *ROOT.glob("tui/**/*.py")]):
        tree = ast.parse(path.read_text())
        for line in taken_apart(tree):
            print(path.relative_to(ROOT), line, path.read_text().splitlines()[line - 1].strip())


if __name__ == "__main__":
    main()
