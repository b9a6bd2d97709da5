"""What is looked up by the name of a class finds one: a class that is renamed takes its styles and its help with it."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import textual.command
import textual.containers
import textual.widgets
import textual.widgets._toast

from tests.house.sources import tree_of
from tui.catalogue.keys import SCREENS

TUI = Path(__file__).resolve().parents[2] / "tui"
OWN = {node.name for file in TUI.rglob("*.py") for node in ast.walk(tree_of(file)) if isinstance(node, ast.ClassDef)}


def sheets() -> Iterator[tuple[str, str]]:
    """Every sheet of styles, with the file that it stands in."""
    for file in TUI.rglob("*.tcss"):
        yield file.name, file.read_text("utf-8")
    for file in TUI.rglob("*.py"):
        for node in ast.walk(tree_of(file)):
            if isinstance(node, ast.Assign) and getattr(node.targets[0], "id", "") == "DEFAULT_CSS":
                yield file.name, str(ast.literal_eval(node.value))


def test_every_style_is_of_a_class_that_is_there() -> None:
    """No selector names a class that was renamed: its styles would be of nothing, and nobody would be told."""
    unknown = []
    for name, sheet in sheets():
        selectors = re.findall(r"([^{}]*)\{[^{}]*\}", re.sub(r"/\*.*?\*/", "", sheet, flags=re.S))
        for kind in re.findall(r"(?<![\w.#:-])[A-Z]\w+", " ".join(selectors)):
            theirs = (textual.widgets, textual.containers, textual.command, textual.widgets._toast)
            if kind not in OWN and not any(hasattr(module, kind) for module in theirs):
                unknown.append(f"{name}: {kind}")
    assert not unknown


def test_every_screen_of_the_help_is_there() -> None:
    """The help explains screens by the names of their classes."""
    assert set(SCREENS) <= OWN


def test_no_class_s_own_styles_wait_for_a_class_of_the_program() -> None:
    """A class's own styles are looked for below it alone: what goes by the program stands in a sheet of its own."""
    assert not [name for name, sheet in sheets() if name.endswith(".py") and ".ascii" in sheet]
