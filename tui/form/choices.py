"""A choice that is open as a list: what it offers, what narrows it, where the pointer stands. No terminal in here."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

MOST_SHOWN: Final = 9


class Option(NamedTuple):
    """What is chosen, and what a person calls it."""

    value: str
    words: str


Outcome = Literal["open", "chosen", "next", "closed", ""]
"""Still open; chosen; chosen and on to the next field; closed; or a key that means nothing to a list."""


@dataclass(slots=True)
class OpenChoice:
    """The open list of one field; `at` is the pointer's place, -1 where nothing is chosen before a person does it."""

    key: str
    options: tuple[Option, ...]
    typed: str = ""
    at: int = 0

    @classmethod
    def of(cls, key: str, options: Sequence[Option], now: str | None = "") -> "OpenChoice":
        """A list with the pointer on what is chosen now; on nothing where that is None: Enter alone chooses nothing."""
        values = [option.value for option in options]
        return cls(key, tuple(options), "", -1 if now is None else values.index(now) if now and now in values else 0)

    @property
    def shown(self) -> tuple[Option, ...]:
        """The options that have every word that was typed, those that begin with it first."""
        wanted = self.typed.casefold().split()
        fits = [one for one in self.options if all(part in one.words.casefold() for part in wanted)]
        return tuple(sorted(fits, key=lambda one: not self._begins(one)))

    def _begins(self, option: Option) -> bool:
        """Whether a word of the option begins with what was typed."""
        return any(word.startswith(self.typed.casefold()) for word in option.words.casefold().split())

    @property
    def chosen(self) -> Option | None:
        """What the pointer stands on."""
        shown = self.shown
        return shown[min(self.at, len(shown) - 1)] if shown and self.at >= 0 else None

    @property
    def window(self) -> tuple[tuple[int, Option], ...]:
        """The options in sight with their places, the pointer's among them."""
        shown = self.shown
        top = max(min(self.at - MOST_SHOWN // 2, len(shown) - MOST_SHOWN), 0)
        return tuple(enumerate(shown))[top : top + MOST_SHOWN]

    def press(self, key: str, character: str | None) -> Outcome:
        """What a key does to the list."""
        if key in ("up", "down"):
            self.at = max(min(self.at + (1 if key == "down" else -1), len(self.shown) - 1), 0)
            return "open"
        if key == "enter" and self.at < 0:
            return "open"
        if key in ("enter", "tab"):
            return "closed" if self.chosen is None else "next" if key == "enter" else "chosen"
        if key == "escape":
            return "closed"
        if key == "backspace" and not self.typed:
            return "closed"
        if key == "backspace":
            self.typed, self.at = self.typed[:-1], 0
            return "open"
        if character and character.isprintable() and (character != " " or self.typed):
            self.typed, self.at = self.typed + character, 0
            return "open"
        return "open" if key == "space" else ""
