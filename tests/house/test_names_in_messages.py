"""Messages of readers and store name keys, options and commands that there are."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from tui.catalogue import GROUPS
from tui.form.fields import each_field, each_table

ROOT = Path(__file__).resolve().parents[2]
PARTS = ("rotary/artwork", "rotary/exports", "rotary/store", "rotary/files.py")
KEY = re.compile(r"(?<![\w/.{-])[a-z]+(?:_[a-z]+)+(?![\w/(}-])")
OPTION = re.compile(r"(?<!\S)--[a-z][a-z-]*")
COMMAND = re.compile(r"(?<!of )\brotary (?:[a-z]+)(?: [a-z]+)?")


def sentences(path: Path) -> Iterator[str]:
    """The texts of a file that have words in them, docstrings left out."""
    tree = ast.parse(path.read_text("utf-8"))
    documented = (ast.Module, ast.ClassDef, ast.FunctionDef)
    docs = {
        id(body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, documented) and (body := node.body)
        if isinstance(body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        # A remark under a constant stands by itself as a docstring does.
        docs |= {id(node.value)} if isinstance(node, ast.Expr) else set()
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and " " in node.value
            and id(node) not in docs
        ):
            yield node.value


def test_a_field_is_called_as_the_screen_calls_it() -> None:
    """What a message tells a person to enter for "…", or to choose under "…", is the label of a field."""
    columns = [column for table in each_table(GROUPS) for column in (*table.columns, *table.more)]
    labels = {field.label for field in (*each_field(GROUPS), *columns)}
    texts = [text for file in (ROOT / "rotary").rglob("*.py") for text in sentences(file)]
    named = [name for text in texts for name in re.findall(r'(?:for|under) "([a-z ]+)"', text)]
    assert len(named) > 5
    assert set(named) <= labels


def test_messages_name_what_there_is() -> None:
    """Every key, option and command in a sentence of the readers, the writers and the store can be given."""
    keys = set(re.findall(r'"([a-z]+(?:_[a-z]+)+)": \{', (ROOT / "docs/job.schema.json").read_text("utf-8")))
    commands = (ROOT / "docs/reference/commands.md").read_text("utf-8")
    files = [
        file for part in PARTS for file in ((ROOT / part).rglob("*.py") if (ROOT / part).is_dir() else [ROOT / part])
    ]
    unknown, count = [], 0
    for file in files:
        for text in sentences(file):
            names = [(name, name in keys) for name in KEY.findall(text)]
            names += [(name, f"`{name}" in commands) for name in OPTION.findall(text)]
            names += [(name, name in commands) for name in COMMAND.findall(text)]
            count += len(names)
            unknown += [f"{file.name}: {name} in {text!r}" for name, is_there in names if not is_there]
    assert count > 20
    assert unknown == []
