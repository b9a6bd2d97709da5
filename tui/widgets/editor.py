"""One line of text being edited: its cursor, what is selected, what a key does to it. No terminal in here."""

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tui.drawings.canvas import cells, cut

if TYPE_CHECKING:
    from textual.events import Key


@dataclass(slots=True)
class Editor:
    """A text, the cursor before the character `at`, and whether all of it is selected."""

    text: str = ""
    at: int = 0
    whole: bool = False

    @classmethod
    def of(cls, text: str) -> "Editor":
        """An editor in which the first key replaces the whole text."""
        return cls(text, len(text), bool(text))

    def write(self, typed: str) -> None:
        """Put characters in at the cursor, in place of what is selected; line ends and tabs become spaces."""
        plain = re.sub(r"\s+", " ", typed)
        plain = "".join(sign for sign in plain if sign.isprintable())
        if self.whole:
            self.text, self.at, self.whole = "", 0, False
        self.text = self.text[: self.at] + plain + self.text[self.at :]
        self.at += len(plain)

    def press(self, key: str) -> bool:
        """Do what an editing key does; False if it is none."""
        action = _KEYS.get(key)
        if action is None:
            return False
        action(self)
        return True

    def take(self, event: "Key") -> bool:
        """Edit by a key, or write its sign; False where it does neither."""
        if self.press(event.key):
            return True
        if event.is_printable and event.character:
            self.write(event.character)
            return True
        return False

    def window(self, width: int) -> tuple[str, int]:
        """The part of the text that fits `width` cells with the cursor in it, and the cursor's place there."""
        start = 0 if self.whole else max(0, self.at - width + 1)
        # Signs of wide scripts take two cells.
        while not self.whole and start < self.at and cells(self.text[start : self.at]) > width - 1:
            start += 1
        return cut(self.text[start:], width).rstrip(" ") if not self.text.isascii() else self.text[
            start : start + width
        ], min(self.at - start, width)

    def _erase(self, start: int, end: int) -> None:
        if self.whole:
            start, end = 0, len(self.text)
        self.text = self.text[:start] + self.text[end:]
        self.at, self.whole = start, False

    def _back(self) -> None:
        self._erase(max(self.at - 1, 0), self.at)

    def _forward(self) -> None:
        self._erase(self.at, self.at + 1)

    def _clear(self) -> None:
        self._erase(0, len(self.text))

    def _word_back(self) -> None:
        self._erase(len(self.text[: self.at].rstrip().rpartition(" ")[0]), self.at)

    def _to_end(self) -> None:
        self._erase(self.at, len(self.text))

    def _go(self, at: int) -> None:
        self.at, self.whole = min(max(at, 0), len(self.text)), False

    def _left(self) -> None:
        self._go(0 if self.whole else self.at - 1)

    def _right(self) -> None:
        self._go(len(self.text) if self.whole else self.at + 1)

    def _home(self) -> None:
        self._go(0)

    def _end(self) -> None:
        self._go(len(self.text))

    def _select(self) -> None:
        self.at, self.whole = len(self.text), bool(self.text)


_KEYS = {
    "backspace": Editor._back,
    "delete": Editor._forward,
    "left": Editor._left,
    "right": Editor._right,
    "home": Editor._home,
    "end": Editor._end,
    "ctrl+a": Editor._select,
    "ctrl+u": Editor._clear,
    "ctrl+k": Editor._to_end,
    "alt+backspace": Editor._word_back,
}
