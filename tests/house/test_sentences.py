"""No module takes a sentence apart: what is meant goes by ids and values, never by English words."""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Final

import pytest

from tests.house.sources import tree_of

ROOT: Final = Path(__file__).parents[2]
FILES: Final = sorted(path for folder in ("rotary", "tui") for path in (ROOT / folder).rglob("*.py"))

READERS: Final = {
    "rotary/units.py": "lengths, angles and powers as people write them",
    "rotary/artwork/svg/": "drawings of other programs",
    "rotary/artwork/dxf.py": "drawings of other programs",
    "rotary/store/old_sheets.py": "labels that an older tool stored",
    "rotary/job.py": "what the TOML library says of a file",
}
"""What reads words that this tool did not make."""

EXCEPTIONS: Final = {
    ("rotary/cli/patch_commands.py", "patch "): "how a patch is named in the person's own files",
    ("rotary/passes/patch/cells.py", "patch "): "how a patch is named in the person's own files",
    ("rotary/store/readings.py", "patch "): "how a patch is named in the person's own files",
    ("tui/screens/inscription_files.py", "write the rest"): "an answer that a person chose from a list of such words",
    ("tui/widgets/inked.py", "auto "): "a colour that Textual works out itself",
    ("tui/screens/artwork.py", "dots "): "a key of the screen's own, with a number behind it",
    ("tui/screens/machine_level.py", "width "): "a key of the screen's own, with a number behind it",
    ("tui/drawings/patches.py", "patch "): "how a patch is named in the person's own files",
    (
        "tui/form/hints.py",
        "is missing",
    ): "a fault as the planner hands it over: its place and its sentence",
    ("rotary/formulas/exposure.py", "from 1050 nm"): "a key of its own table",
}
"""Where a text with words is looked at all the same, by the file and the text, and why."""

CUTS: Final = {
    "startswith", "endswith", "partition", "rpartition", "removeprefix", "removesuffix", "split", "rsplit", "find",
    "rfind", "index", "rindex", "count", "replace",
}  # fmt: skip


def has_words(text: object) -> bool:
    return isinstance(text, str) and " " in text and any(letter.isalpha() for letter in text)


def worded(node: ast.expr, named: dict[str, str]) -> str:
    """The first text with words that a node is, holds or names; "" where there is none."""
    if isinstance(node, ast.Constant):
        return str(node.value) if has_words(node.value) else ""
    if isinstance(node, ast.Name):
        return named.get(node.id, "")
    inner: list[ast.expr] = []
    if isinstance(node, ast.JoinedStr):
        inner = node.values
    elif isinstance(node, ast.Tuple | ast.List | ast.Set):
        inner = node.elts
    elif isinstance(node, ast.IfExp):
        inner = [node.body, node.orelse]
    elif isinstance(node, ast.Dict):
        inner = [key for key in node.keys if key is not None]
    return next(filter(None, (worded(part, named) for part in inner)), "")


@cache
def ids() -> frozenset[str]:
    """The values of types: an id may have words, since a type checker knows all of them."""
    found = set()
    for path in FILES:
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.Subscript) and isinstance(node.value, ast.Name) and node.value.id == "Literal":
                found |= {part.value for part in ast.walk(node.slice) if isinstance(part, ast.Constant)}
    return frozenset(found)


def constants(tree: ast.Module) -> dict[str, str]:
    """Names of a module that stand for texts with words."""
    named: dict[str, str] = {}
    for node in tree.body:
        value = node.value if isinstance(node, ast.Assign | ast.AnnAssign) else None
        targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
        if value is not None:
            named |= {target.id: worded(value, named) for target in targets if isinstance(target, ast.Name)}
    return {name: text for name, text in named.items() if text}


def tried(node: ast.AST, named: dict[str, str]) -> dict[str, str]:
    """Names under which a loop goes through texts with words one by one, or through the keys of a table of such."""
    found = {}
    for loop in (node, *getattr(node, "generators", ())):
        if isinstance(loop, ast.For | ast.comprehension):
            pairs = isinstance(loop.iter, ast.Call) and getattr(loop.iter.func, "attr", "") == "items"
            over = loop.iter.func.value if pairs else loop.iter  # type: ignore[attr-defined]
            target = loop.target.elts[0] if pairs and isinstance(loop.target, ast.Tuple) else loop.target
            text = worded(over, named) if isinstance(over, ast.Name | ast.Tuple) else ""
            found |= {target.id: text} if text and isinstance(target, ast.Name) else {}
    return found


def taken_apart(source: str) -> Iterator[tuple[int, str]]:
    """Where a text with words is compared, looked for, cut out, or is the key of a look-up: lines and texts."""
    tree = ast.parse(source)
    yield from _within(tree, constants(tree))


def _within(node: ast.AST, named: dict[str, str]) -> Iterator[tuple[int, str]]:
    named = named | tried(node, named)
    looked_at: list[ast.expr] = []
    if isinstance(node, ast.Compare):
        looked_at = [node.left, *node.comparators]
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in CUTS:
        looked_at = node.args[:1]
    elif isinstance(node, ast.Subscript) and getattr(node.value, "id", "") != "Literal":
        looked_at = [node.slice] if not isinstance(node.slice, ast.Name) else []
    for part in looked_at:
        text = worded(part, named)
        if text and text not in ids():
            yield part.lineno, text
    for child in ast.iter_child_nodes(node):
        yield from _within(child, named)


def broken() -> list[str]:
    out = []
    for path in FILES:
        name = path.relative_to(ROOT).as_posix()
        if not name.startswith(tuple(READERS)):
            out += [
                f"{name}:{line}: {text!r}"
                for line, text in taken_apart(path.read_text("utf-8"))
                if (name, text) not in EXCEPTIONS
            ]
    return out


def test_no_module_takes_a_sentence_apart() -> None:
    """A text with words is compared, cut or looked up nowhere but where it is listed above, with the reason."""
    assert broken() == []


def test_no_exception_is_kept_for_nothing() -> None:
    """What is no longer done is no longer excused."""
    used = {(name, text) for name, _ in EXCEPTIONS for _, text in taken_apart((ROOT / name).read_text("utf-8"))}
    assert set(EXCEPTIONS) <= used


@pytest.mark.parametrize(
    "line",
    [
        'doubtful = lead.startswith("In doubt: ")',
        'kept = [text for text in before if text != "Mark a test patch first."]',
        'steps = float(typed["Steps for one turn"])',
        'what, _, _ = says.partition(": extract at the mark")',
        'first = [says for says in found if says.startswith(("Draw each slice", "Left out"))]',
        'wrong = "to put right" in row.state',
        'BEGINS = {"Stay with the machine": "Stay."}\nshort = [s for b, s in BEGINS.items() if says.startswith(b)]',
        'CURES = ("field scale", "turn")\nhelps = best in CURES',
    ],
)
def test_it_is_noticed(line: str) -> None:
    """Ways in which English once carried meaning here."""
    assert list(taken_apart(line))


@pytest.mark.parametrize(
    "line", ['kind = row.kind == "lift"', 'says = f"at most {most} mm"', 'first, _ = text.split(" ")']
)
def test_what_is_no_sentence_is_let_be(line: str) -> None:
    """Ids, sentences that are made, and blanks."""
    assert not list(taken_apart(line))
