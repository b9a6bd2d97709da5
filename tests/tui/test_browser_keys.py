"""Keys that a browser keeps for itself are never the only way to anything."""

import importlib
import pkgutil
from collections.abc import Iterator

import pytest
from textual.app import App
from textual.binding import Binding
from textual.screen import Screen

import tui.screens
from tui.app import Rotary

KEPT = frozenset({"ctrl+t", "ctrl+n", "ctrl+w", "ctrl+r", "ctrl+q", "f5", "f11", "f12", "ctrl+tab", "ctrl+shift+t"})
"""New tab, new window, close, load anew, leave, whole screen, the page's insides: browsers act on these themselves."""

BY_OTHER_MEANS = {("Rotary", "quit"): "the palette has it, and the tab can be closed: the desk waits"}


def bindings() -> Iterator[tuple[str, Binding]]:
    """Every key of the program and of each of its screens."""
    owners: list[type] = [Rotary]
    for module in pkgutil.iter_modules(tui.screens.__path__):
        loaded = importlib.import_module(f"tui.screens.{module.name}")
        owners += [
            thing
            for thing in vars(loaded).values()
            if isinstance(thing, type) and issubclass(thing, Screen | App) and thing.__module__ == loaded.__name__
        ]
    for owner in owners:
        for binding in owner.__dict__.get("BINDINGS", []):
            if isinstance(binding, Binding):
                yield owner.__name__, binding


@pytest.mark.parametrize(
    ("owner", "binding"), [pytest.param(*pair, id=f"{pair[0]}-{pair[1].key}") for pair in bindings()]
)
def test_another_key_does_the_same(owner: str, binding: Binding) -> None:
    """What a kept key does, another key of the same screen does too."""
    keys = {key.strip() for key in binding.key.split(",")}
    if (owner, binding.action) in BY_OTHER_MEANS:
        return
    others = {
        key.strip()
        for name, other in bindings()
        if name == owner and other.action == binding.action
        for key in other.key.split(",")
    }
    assert not keys or others - KEPT, f"{owner}: {binding.key} is kept by browsers, add another key for it"
