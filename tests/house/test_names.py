"""Names say what a thing is: no past participles or prepositions, and one class a name."""

import ast
import re
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

from tests.house.sources import tree_of

ROOT = Path(__file__).resolve().parents[2]
CORE = sorted((ROOT / "rotary").rglob("*.py"))

NO_NAMES = frozenset(
    {"found", "made", "told", "shown", "seen", "kept", "held", "beside", "apart", "written", "worded", "judging"}
    | {"what", "one", "says", "gauged", "dug", "thrown", "surveyed", "foretold", "otherwise", "spoken"}
    | {"holding", "telling", "carrying", "passing", "undoing"}
)
"""Words that tell nothing of what a module holds, a class is or a function gives."""

DEEDS = frozenset(
    {"keeping", "finding", "noting", "joining", "naming", "proving", "writing", "measuring", "running", "sizing"}
    | {"choosing", "cutting", "heating", "looking", "pacing", "pausing", "rebuilding", "recording", "counting"}
    | {"inscribing", "placing", "printing", "ending", "repeating", "drafting", "opening", "opened", "typed", "behind"}
    | {"unrolled", "filled", "inked", "once", "incoming"}
)
"""What is done in a module, or how something became what it is: its name is what it holds."""


def words_of(name: str) -> set[str]:
    """The words of a name in snake or camel case.

    >>> sorted(words_of("DepthFound")), sorted(words_of("one_line"))
    (['depth', 'found'], ['line', 'one'])
    """
    return {word.lower() for word in re.findall(r"[A-Z]?[a-z0-9]+|[A-Z]+", name)}


def public_names(node: ast.AST) -> Iterator[tuple[int, str]]:
    """Public classes and functions, and what stands inside public classes."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) and not child.name.startswith("_"):
            yield child.lineno, child.name
            if isinstance(child, ast.ClassDef):
                yield from public_names(child)


def test_what_is_public_has_a_name() -> None:
    """A module is named for its content, a class is a noun, a function the noun of its value or a verb."""
    bad = [str(path.relative_to(ROOT)) for path in CORE if words_of(path.stem) & NO_NAMES]
    for path in CORE:
        for line, name in public_names(tree_of(path)):
            if words_of(name) & NO_NAMES:
                bad.append(f"{path.relative_to(ROOT)}:{line}: {name}")
    assert bad == []


def test_no_module_is_called_by_what_is_done_in_it() -> None:
    """In the core and on the screen a module has the noun of its content."""
    modules = [path for folder in ("rotary", "tui") for path in (ROOT / folder).rglob("*.py")]
    assert [str(path.relative_to(ROOT)) for path in modules if {path.stem} & DEEDS] == []


def test_a_class_has_its_name_alone() -> None:
    """Who searches for a public class of the core finds one."""
    places = defaultdict(list)
    for path in CORE:
        for node in tree_of(path).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                places[node.name].append(str(path.relative_to(ROOT)))
    assert {name: files for name, files in places.items() if len(files) > 1} == {}


def test_the_glossary_names_what_is_there() -> None:
    """Each name in its last column stands in the core."""
    page = (ROOT / "docs" / "reference" / "glossary.md").read_text("utf-8")
    names = {
        name.split()[0].rpartition(".")[2].rstrip("*")
        for cell in re.findall(r"^\|[^|]*\|[^|]*\|([^|]*)\|$", page, re.M)
        for name in re.findall(r"`([^`]+)`", cell)
    }
    core = "\n".join(path.read_text("utf-8") for path in CORE)
    assert len(names) > 50
    assert {name for name in names if not re.search(rf"\b{name}", core)} == set()
