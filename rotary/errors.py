"""Everything that can go wrong, and how it is said.

::

    RotaryError                 the root: catch this to catch all
    ├── Refused                 the input can't be used; `.faults` names every one
    │   └── NoPlan              the input is fine, but no plan exists; the faults say why
    ├── BadArgument             a word, a number or an option that was typed can't be used
    └── FileTrouble             a file or folder can't be read or written
        ├── Taken               something stands there that is not replaced unasked
        └── UnknownName         nothing is known by that name

A fault says where it is, what was needed, what was given and what to write instead,
in one sentence, so that a screen can redden the field and a terminal can print the line.
"""

from collections.abc import Callable, Iterable, Sequence
from pathlib import PurePath
from typing import NamedTuple, TypeVar

A = TypeVar("A")
B = TypeVar("B")


class Predicate(str):
    """A sentence of a fault that goes on from the name of its field: "is longer than the item: write less"."""

    __slots__ = ()


class Missing(Predicate):
    """That a field is not there, or empty."""

    __slots__ = ()


class Unknown(Predicate):
    """That no field has that name."""

    __slots__ = ()


class Fault(NamedTuple("Fault", [("where", str), ("says", str)])):
    """One thing to put right.

    `where` is the dotted name of the field as a job file has it, for example
    ``item.measurements.1.across``; empty where no single field is to blame.
    `says` is one sentence that ends with what to write instead; it stands in a list, so it ends without a full stop.
    One that goes on from the field's name is a `Predicate`: nobody has to read it to know.

    >>> str(Fault("item.wall", "too thick: write 0.5 mm."))
    'item.wall: too thick: write 0.5 mm'
    >>> str(Fault("item.measurements.1.across", "too large.")), str(Fault("item.wall", Missing("is missing: write it")))
    ('item.measurements 2, across: too large', 'item.wall is missing: write it')
    """

    __slots__ = ()

    def __new__(cls, where: str, says: str) -> "Fault":
        """A fault; a full stop at the end of its sentence goes."""
        form = type(says) if isinstance(says, Predicate) else str
        return super().__new__(cls, where, form(says.strip().removesuffix(".")))

    def __str__(self) -> str:
        return fault_line(_counted_name(self.where), self.says) if self.where else self.says


def fault_line(where: str, says: str) -> str:
    """A fault with what it is about before it: as one sentence where its own goes on from there."""
    return f"{where} {says}" if isinstance(says, Predicate) else f"{where}: {says}"


def _counted_name(where: str) -> str:
    """A dotted name with rows counted from 1, as a person counts."""
    spoken, after_row = "", False
    for part in where.split("."):
        if part.isdecimal():
            spoken += f" {int(part) + 1}"
        else:
            spoken += (", " if after_row else "." if spoken else "") + part
        after_row = part.isdecimal()
    return spoken


class RotaryError(Exception):
    """The root of all errors that this package raises on purpose."""


class Refused(RotaryError):  # noqa: N818  (the word that a person reads)
    """The input can't be used; every fault is told at once."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("\n".join(map(str, self.faults)))


class NoPlan(Refused):
    """The input is in order, but what is asked for can't be done; the faults say why."""


class BadArgument(RotaryError):  # noqa: N818  (what was typed, not what went wrong in here)
    """A word, a number or an option that was typed can't be used; the sentence says what to write instead."""


class FileTrouble(RotaryError):  # noqa: N818  (the word that a person reads)
    """A file or folder can't be read or written; the sentence says which and what to do."""


class Taken(FileTrouble):
    """Something stands there that is not to be replaced unless the person says so; the sentence says what it is.

    `what` would be replaced: it, the file that the sentence is about, or those files of a folder.
    """

    def __init__(self, says: str, what: str = "it") -> None:
        self.what = what
        super().__init__(says)


class UnknownName(FileTrouble):
    """Nothing is known by a name that was typed; the sentence offers what comes near, or says what there is."""


def nearest_name(word: str, names: Iterable[str]) -> str:
    """The name that a mistyped word is nearest to, whatever its case; empty where none comes near.

    >>> nearest_name("regata-bottle", ["regatta-bottle", "brass-nut"]), nearest_name("moon", ["brass-nut"])
    ('regatta-bottle', '')
    """
    from difflib import get_close_matches

    meant = {name.casefold(): name for name in names}
    near = get_close_matches(word.casefold(), meant, 1)
    return meant[near[0]] if near else ""


def unknown_name(what: str, word: str, names: Sequence[str], otherwise: str) -> UnknownName:
    """A name that nothing is known by, to be raised by the caller: with the name it is nearest to, else what to do.

    >>> print(unknown_name("example", "brasnut", ["brass-nut"], "rotary job example lists them"))
    there is no example "brasnut": did you mean "brass-nut"?
    """
    near = nearest_name(word, names)
    hint = f'did you mean "{brief(near)}"?' if near else otherwise
    return UnknownName(f'there is no {what} "{brief(word)}": {hint}')


def refuse(where: str, says: str) -> Refused:
    """A refusal with a single fault, to be raised by the caller."""
    return Refused([Fault(where, says)])


def refuse_all(faults: Iterable[Fault]) -> None:
    """Raise Refused with every fault, if there is any."""
    if told := tuple(faults):
        raise Refused(told)


def no_plan(where: str, says: str) -> NoPlan:
    """That no plan exists, for one reason, to be raised by the caller."""
    return NoPlan([Fault(where, says)])


def both(first: Callable[[], A], second: Callable[[], B]) -> tuple[A, B]:
    """The answers of two questions that don't need each other, or all that both have to refuse.

    >>> both(lambda: 1, lambda: "two")
    (1, 'two')
    """
    refusals: list[Refused] = []
    answers: list[object] = []
    for question in (first, second):
        try:
            answers.append(question())
        except Refused as refused:
            refusals.append(refused)
    if len(refusals) == 1:
        raise refusals[0]
    if refusals:
        kind = NoPlan if all(isinstance(refused, NoPlan) for refused in refusals) else Refused
        raise kind(fault for refused in refusals for fault in refused.faults)
    return answers[0], answers[1]  # type: ignore[return-value]


def single_line(text: str) -> str:
    r"""A text that can't move the cursor or change colours: one line of printable signs.

    >>> single_line("a\x1b[31m\nb")
    'a [31m b'
    """
    return "".join(sign if sign.isprintable() else " " for sign in text)


def listing(words: Sequence[str], last: str = "and") -> str:
    """Words as a sentence lists them.

    >>> listing(["a", "b", "c"]), listing(["a", "b"], "or"), listing([])
    ('a, b and c', 'a or b', '')
    """
    return f" {last} ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)


def known_numbers(what: str, numbers: Sequence[int], none: str) -> str:
    """Which numbers can be written in place of one that nothing has.

    >>> known_numbers("patch", [1], "none"), known_numbers("patch", [1, 3], "none"), known_numbers("patch", [], "none")
    ('the only patch has the number 1', 'write 1 or 3', 'none')
    >>> known_numbers("reading", range(1, 9), "none")
    'write a number from 1 to 8'
    """
    if len(numbers) < 2:
        return f"the only {what} has the number {numbers[0]}" if numbers else none
    in_a_row = len(numbers) > 2 and numbers[-1] - numbers[0] == len(numbers) - 1
    if in_a_row:
        return f"write a number from {numbers[0]} to {numbers[-1]}"
    return f"write {listing([str(number) for number in numbers], 'or')}"


def counted(count: int, name: str) -> str:
    """A number of things, with the name of one of them.

    >>> counted(1, "slice"), counted(2, "slice"), counted(2, "pass")
    ('1 slice', '2 slices', '2 passes')
    """
    many = f"{name}es" if name.endswith("s") else f"{name}s"
    return f"{count} {name if count == 1 else many}"


def _in_words(value: object) -> str:
    """What kind of thing a file holds there, for what is no text and no number."""
    kind = type(value).__name__
    spoken = {"dict": "a table", "list": "a list", "tuple": "a list", "NoneType": "nothing", "datetime": "a date"}
    return spoken.get(kind, f"a {kind}")


def brief(value: object, length: int = 40) -> str:
    r"""A value as it may be shown in a sentence: one line, printable, not long. Of a path the end is kept: the name.

    >>> brief("two\nlines"), brief("x" * 100, 5), brief(PurePath("x" * 90 + ".toml"), 6)
    ('two lines', 'xxxx…', '….toml')
    """
    if isinstance(value, PurePath):
        path = single_line(str(value)[-4 * length :]).strip()
        return path if len(path) <= length else "…" + path[len(path) - length + 1 :]
    text = str(value)[: 4 * length] if isinstance(value, str | int | float) else _in_words(value)
    shown = single_line(text).strip()
    return shown if len(shown) <= length else shown[: length - 1] + "…"
