"""One line of text being edited."""

import random

import pytest

from tui.widgets.editor import Editor


def after(text: str, *keys: str) -> tuple[str, int]:
    editor = Editor.of(text)
    for key in keys:
        if not editor.press(key):
            editor.write(key)
    return editor.text, editor.at


@pytest.mark.parametrize(
    ("keys", "then"),
    [
        (("9",), ("9", 1)),
        (("left", "9"), ("988 mm", 1)),
        (("right", "backspace", "backspace"), ("88 ", 3)),
        (("home", "delete"), ("8 mm", 0)),
        (("backspace",), ("", 0)),
        (("end", "ctrl+u", "7"), ("7", 1)),
        (("home", "right", "ctrl+k"), ("8", 1)),
        (("end", "alt+backspace"), ("88", 2)),
        (("end", "ctrl+a", "5"), ("5", 1)),
    ],
)
def test_keys_edit_as_anywhere(keys: tuple[str, ...], then: tuple[str, int]) -> None:
    """The first key replaces the text, arrows go into it, the rest is as in any text field."""
    assert after("88 mm", *keys) == then


def test_a_pasted_text_becomes_one_line() -> None:
    """Line ends and tabs of a paste turn into spaces, control characters vanish."""
    editor = Editor.of("")
    editor.write("88,9\tmm\r\n\x07")
    assert editor.text == "88,9 mm "


def test_the_cursor_never_leaves_the_text() -> None:
    """Whatever is pressed, the cursor stands inside and the window shows it."""
    dice = random.Random(1)
    editor = Editor.of("some text")
    keys = ["left", "right", "home", "end", "backspace", "delete", "ctrl+a", "ctrl+k", "ctrl+u", "alt+backspace", "x"]
    for _ in range(3000):
        key = dice.choice(keys)
        if not editor.press(key):
            editor.write(key)
        shown, at = editor.window(6)
        assert 0 <= editor.at <= len(editor.text)
        assert 0 <= at <= len(shown) <= 6
