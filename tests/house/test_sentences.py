"""No module takes a sentence apart: what is meant goes by ids and values, never by English words."""

import ast
import re
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
    "rotary/artwork/line_letters.py": "a table of letters that ships",
    "rotary/store/old_sheets.py": "labels that an older tool stored",
    "rotary/job.py": "what the TOML library says of a file",
    "rotary/sheet/reread.py": "sheets that are read back",
    "rotary/cli/core.py": "its own imports",
    "rotary/toml.py": "the words of Python's reader of TOML",
    "rotary/cli/help_text.py": "the docstrings of its own commands",
}
"""What reads words that this tool did not make."""

EXCEPTIONS: Final = {
    ("rotary/cli/patch_commands.py", "patch "): "how a patch is named in the person's own files",
    ("rotary/passes/patch/cells.py", "patch "): "how a patch is named in the person's own files",
    ("rotary/store/readings.py", "patch "): "how a patch is named in the person's own files",
    ("tui/screens/inscription_files.py", "write the rest"): "an answer that a person chose from a list of such words",
    ("tui/widgets/inks.py", "auto "): "a colour that Textual works out itself",
    ("tui/screens/artwork.py", "dots "): "a key of the screen's own, with a number behind it",
    ("tui/screens/machine_level.py", "width "): "a key of the screen's own, with a number behind it",
    ("rotary/cli/words.py", "a word of others"): "a table of single words",
    ("tui/form/facts.py", "the rest"): "a key of the screen's own",
    ("tui/form/job_form.py", "left out"): "a key of the form's own",
    ("tui/screens/run_log.py", "as saved"): "an answer that a person chose from a list of such words",
    ("rotary/sentences/actions.py", "both ways"): "the value of a row, whose two others are a type's",
    ("rotary/sheet/keys.py", r"keys: ((?:\w+=[-+.\de]+ ?)+)"): "a line of keys, written to be read back",
    ("rotary/store/formats.py", "# Whole as saved: "): "the line with the sum of a file, written to be read back",
    ("rotary/store/readings.py", r"patch \d+"): "how a patch is named in the person's own files",
    ("rotary/store/proof_readings.py", r', u(_\w+)? "[^"]*"'): "a reading's own fields, as the person typed them",
    ("rotary/cli/output.py", '"on a taper"'): "fields of the screen get their names in a file, the rest stays as it is",
    (
        "rotary/papers/lines.py",
        r"(?<![\w.])[+-]?\d+(?:\.\d+)?(?:(?: to | and | × | or | → ⌀| to ⌀|, )[+-]?\d+(?:\.\d+)?)* [mµ]m(?![\w/²³])",
    ): "lengths for who measures in inches: only numbers with their unit are changed, nothing is meant by the rest",
}
"""Where a text with words is looked at all the same, by the file and the text, and why."""

CUTS: Final = {
    "startswith", "endswith", "partition", "rpartition", "removeprefix", "removesuffix", "split", "rsplit", "find",
    "rfind", "index", "rindex", "count", "replace", "get", "pop",
    "compile", "search", "match", "fullmatch", "findall", "finditer", "sub", "eq", "contains",
}  # fmt: skip


AT_BLANKS: Final = {"partition", "rpartition", "split", "rsplit"}
SENTENCES: Final = {"says", "why", "trouble", "sentence", "hint", "doubt", "banner", "caution"}
"""What a variable or a field is called here that holds a sentence."""


NO_CUTS: Final = {"get", "pop", "replace", "sub", "compile", "count", "eq", "contains"}


def cut_at_blank(node: ast.expr, words: dict[str, str]) -> str:
    """What a node is that holds a word of some text, or is called after one; "" where it is no such thing."""
    if isinstance(node, ast.Name):
        return words.get(f"{node.id}[0]", "")
    call = node.value if isinstance(node, ast.Subscript) else node
    if not isinstance(call, ast.Call) or not isinstance(call.func, ast.Attribute) or call.func.attr not in AT_BLANKS:
        return ""
    is_at_blank = not call.args or getattr(call.args[0], "value", "") in (None, " ")
    return f"a word of {ast.unparse(call.func.value)}" if is_at_blank else ""


def words_of_texts(body: list[ast.stmt]) -> dict[str, str]:
    """Names for words that a function cuts out of a text at its blanks."""
    found = {}
    for node in (part for statement in body for part in ast.walk(statement)):
        if isinstance(node, ast.Assign) and (text := cut_at_blank(node.value, {})):
            names = [part for target in node.targets for part in ast.walk(target) if isinstance(part, ast.Name)]
            found |= {f"{name.id}[0]": text for name in names}
    return found


def has_words(text: object) -> bool:
    """Whether it is a text with a blank and letters, those apart that mean something else in a pattern."""
    bare = re.sub(r"\\.|\[[^]]*\]|\(\?\W*", "", text) if isinstance(text, str) else ""
    return " " in bare and any(letter.isalpha() for letter in bare)


def worded(node: ast.expr, named: dict[str, str]) -> str:
    """The first text with words that a node is, holds or names; "" where there is none."""
    if isinstance(node, ast.Constant):
        return str(node.value) if has_words(node.value) else ""
    if isinstance(node, ast.Name | ast.Attribute):
        name = node.id if isinstance(node, ast.Name) else node.attr
        return named.get(name, "") if isinstance(node, ast.Name) or name.isupper() else ""
    inner: list[ast.expr] = []
    if isinstance(node, ast.JoinedStr):
        inner = node.values
    elif isinstance(node, ast.Tuple | ast.List | ast.Set):
        inner = node.elts
    elif isinstance(node, ast.IfExp):
        inner = [node.body, node.orelse]
    elif isinstance(node, ast.BinOp):
        inner = [node.left, node.right]
    elif isinstance(node, ast.Call):
        inner = [node.func]
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


def constants(body: list[ast.stmt], follow: bool = True) -> dict[str, str]:
    """Names of a module, a class or a function that stand for texts with words; those it imports too, to `follow`."""
    named: dict[str, str] = {}
    for node in body:
        value = node.value if isinstance(node, ast.Assign | ast.AnnAssign) else None
        targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
        if value is not None:
            names = [target.id for target in targets if isinstance(target, ast.Name)]
            names += [f"{name}[]" for name in names if isinstance(value, ast.Dict)]
            named |= dict.fromkeys(names, worded(value, named))
        elif isinstance(node, ast.ClassDef):
            named |= constants(node.body)
        elif isinstance(node, ast.ImportFrom) and node.module and follow:
            from_there = constants_of(node.module)
            for end in ("", "[]"):
                named |= {f"{one.asname or one.name}{end}": from_there.get(one.name + end, "") for one in node.names}
    return {name: text for name, text in named.items() if text}


@cache
def constants_of(module: str) -> dict[str, str]:
    """Those of another module of this project, by its name; none of one that is not."""
    path = ROOT / module.replace(".", "/")
    path = path / "__init__.py" if path.is_dir() else path.with_suffix(".py")
    if not path.is_file():
        return {}
    body = tree_of(path).body
    says = {
        node.name: f"what {node.name} says"
        for node in body
        if isinstance(node, ast.FunctionDef) and isinstance(node.returns, ast.Name) and node.returns.id == "str"
    }
    return constants(body, follow=False) | (says if module.startswith("rotary.sentences") else {})


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
    yield from _within(tree, constants(tree.body))


def _begun(node: ast.AST, named: dict[str, str]) -> Iterator[tuple[int, str]]:
    """Where a sentence is cut by its name, or a word of a text is compared."""
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in CUTS - NO_CUTS:
        receiver = node.func.value
        name = getattr(receiver, "id", getattr(receiver, "attr", ""))
        if name in SENTENCES:
            yield node.lineno, f"{name}.{node.func.attr}"
    if isinstance(node, ast.Compare):
        compared = [(part.lineno, cut_at_blank(part, named)) for part in (node.left, *node.comparators)]
        yield from ((line, word) for line, word in compared if word)


def _within(node: ast.AST, named: dict[str, str]) -> Iterator[tuple[int, str]]:
    own = constants(node.body) | words_of_texts(node.body) if isinstance(node, ast.FunctionDef) else {}
    named = named | tried(node, named) | own
    looked_at: list[ast.expr] = []
    table: ast.AST | None = None
    yield from _begun(node, named)
    if isinstance(node, ast.Compare):
        looked_at = [node.left, *node.comparators]
    elif isinstance(node, ast.MatchValue):
        looked_at = [node.value]
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in CUTS:
        looked_at = node.args if node.func.attr in {"eq", "contains"} else node.args[:1]
        table = node.func.value if node.func.attr in {"get", "pop"} else None
    elif isinstance(node, ast.Call) and any(getattr(part, "attr", "") in CUTS for part in node.args):
        looked_at = node.args
    elif isinstance(node, ast.Subscript) and getattr(node.value, "id", "") != "Literal":
        looked_at = [node.slice] if not isinstance(node.slice, ast.Name) else []
        table = node.value
    looked_up = named.get(f"{getattr(table, 'id', '')}[]", "")
    if looked_up and looked_up not in ids():
        yield node.lineno, looked_up
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
        'match says:\n    case "to put right":\n        wrong = True',
        'wrong = re.search(r"to put\\s+right", says)',
        'steps = typed.get("Steps for one turn")',
        'TYPED = {"Steps for one turn": 1}\nsteps = TYPED[label]',
        'TYPED = {"Steps for one turn": 1}\nsteps = TYPED.get(label)',
        'def at(says):\n    begin = "In doubt: "\n    return says.startswith(begin)',
        'class Row:\n    LEAD = "In doubt: "\n    def doubt(self, says):\n        return says.startswith(self.LEAD)',
        'wrong = says == "to put " + "right"',
        "from rotary.sentences.actions import label_of\nfirst = label == label_of(row)",
        "from rotary.sentences.run_texts import DULL\nstops = says.startswith(DULL)",
        'first = any(map(says.startswith, ("Draw each slice", "Left out")))',
        'same = operator.eq(says, "to put right")',
        'VERBS = frozenset(("is", "has"))\ngoes_on = says.partition(" ")[0] in VERBS',
        'goes_on = text.split()[0] == "is"',
        'def place(text):\n    where, _, rest = text.partition(" ")\n    return where in FIELDS',
        'says.startswith("is")',
        'fault.says.partition(": ")',
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
