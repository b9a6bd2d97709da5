"""The commands of earlier versions: each still does its work, and says what it is now.

docs/reference/old-words.md shows the same table.
"""

from collections.abc import Callable, Sequence
from functools import partial
from typing import Final

from rotary.cli.words import LIKE, OLD_TOO, renamed

Lines = list[list[str]]

OLD_WORDS: Final = {
    "desk": "open", "browser": "open --browser", "ask": "open --ask", "plan": "plan", "card": "print setup",
    "paper": "print", "examples": "job example", "sheet": "art slice", "flat": "art flat", "forecast": "art check",
    "picture": "art dots", "template": "print template", "names": "art names", "keep": "profile save",
    "again": "profile repeat", "copy": "profile copy", "rename": "profile rename", "kept": "profile list",
    "nearest": "profile find", "show": "profile show", "history": "profile history", "compare": "profile compare",
    "restore": "profile restore", "choose": "profile resolve", "discard": "profile delete", "bin": "profile bin",
    "mend": "profile repair", "proven": "profile proven", "ran": "log add", "note": "profile note",
    "reading": "profile reading", "logbook": "log list", "export": "profile export", "import": "profile import",
    "rig": "machine show", "program": "machine record program", "gauge": "machine record",
    "changed": "machine changed", "strike": "machine ignore", "tape": "machine tests", "strip": "machine seam-test",
    "matters": "plan --error-budget", "measured": "job as-measured", "level": "machine level", "resume": "resume",
    "patch": "patch new", "read-patch": "patch record", "came-out": "log add --teach --unlogged",
    "readings": "patch list", "what-helps": "plan --suggestions", "inscribe": "inscribe", "depth": "depth plan",
    "schema": "job schema",
}  # fmt: skip
"""What stands in the place of each; `_TURNED` has those of which more is turned than the words."""

_OPTIONS: Final = {
    "--out": "--to", "--folder": "--store", "--rig": "--machine", "--rigs": "--machines", "--draws": "--samples",
    "--over": "--yes", "--head": "--laser",
}  # fmt: skip
"""Options that have another name now, wherever they stand."""

_OWN_OPTIONS: Final[dict[str, dict[str, str]]] = {
    "card": {"--forecast": "--from"}, "forecast": {"--picture": "--to"}, "sheet": {"--more-columns": "--more-slices"},
    "paper": {"--new": "--another"}, "patch": {"--svg": "--to", "--new": "--another"},
    "reading": {"--strike": "--ignore"}, "strip": {"--form": "--from", "--only-say": "--dry-run"},
    "measured": {"--folder": "--folder"}, "level": {"--foot-end": "--base-end", "--base": "--pivot"},
    "resume": {"--folder": "--to", "--foot-right": "--base-right", "--foot-up": "--base-up"},
    "readings": {"--taught": "--assumptions"},
}  # fmt: skip
"""Those of one word."""

_GROUPS: Final = {"patch": ("new", "record", "list", "ignore"), "depth": ("plan", "record", "list", "ignore")}
"""Words that are a group now, with what may stand behind them."""


def _take(words: list[str], name: str, takes_value: bool = True) -> list[str]:
    """Take an option out of what was typed, as often as it stands there; its values."""
    taken: list[str] = []
    for place in reversed([place for place, word in enumerate(words) if word.partition("=")[0] == name]):
        _, sign, value = words.pop(place).partition("=")
        taken.insert(0, words.pop(place) if takes_value and not sign and place < len(words) else value)
    return taken


def _store(words: list[str]) -> list[str]:
    """The folder of profiles, taken out with its option."""
    return [text for folder in _take(words, "--store") for text in ("--store", folder)]


def _card(words: list[str]) -> Lines:
    if not (views := _take(words, "--picture")):
        return [["print", "setup", *words]]
    _take(words, "--paper")
    _take(words, "--plain", takes_value=False)
    return [["print", "picture", *words, *views]]


_PAPERS: Final = {
    "setup-card": "print setup", "proof-patch": "print patch", "tapes": "print tests", "gap-ladder": "print gap-ladder",
    "seam-test": "print seam-test", "wrap-template": "print template", "slice-sheet": "art slice",
}  # fmt: skip


def _paper(words: list[str]) -> Lines:
    name = next(iter([*(word for word in words if word in _PAPERS), *words[1:2], ""]))
    if name == "slice-sheet":
        _take(words, "--paper")
    return [[*_PAPERS.get(name, f"print {name}").split(), *(word for word in words if word != name)]]


def _named(words: list[str], new: str) -> Lines:
    names = _take(words, "--as")
    return [["profile", new, *words, *names]]


def _export(words: list[str]) -> Lines:
    store = _store(words)
    named = any(word.partition("=")[0] == "--to" for word in words)
    file = None if named else next((word for word in words if not word.startswith("-")), None)
    to = [] if file is None else ["--to", words.pop(words.index(file))]
    return [["profile", "export", *words, *to, *store]]


def _import(words: list[str]) -> Lines:
    takes = _take(words, "--take", takes_value=False)
    return [["profile", "import", *words, *([] if takes else ["--dry-run"])]]


def _machine(words: list[str]) -> Lines:
    new, to, every = _take(words, "--new"), _take(words, "--rename"), _take(words, "--all", takes_value=False)
    if not new and not to and not every:
        return [["machine", "show", *words]]
    machine = _take(words, "--machine")
    if new:
        return [["machine", "new", *words, *new]]
    return [["machine", "rename", *words, *(machine or [_unnamed(words)]), *to] if to else ["machine", "list", *words]]


def _unnamed(words: list[str]) -> str:
    """The machine that is meant where none is named."""
    from rotary.machine.store import first_machine
    from rotary.shipped import machine_folder

    return first_machine(machine_folder(next(iter(_take([*words], "--machines")), None)))


def _begins(words: list[str], new: str) -> Lines:
    """A machine that was named with a reading began with it."""
    return [[*new.split(), *words, *(["--new"] if _take([*words], "--machine") else [])]]


def _measured(words: list[str]) -> Lines:
    job = [*words]
    drawn = [*_take(job, "--art"), *_take(job, "--text"), *_take(job, "--files", takes_value=False)]
    to, wrote = [*_take(job, "--folder"), "."][0], _take(words, "--to")
    lines = [["job", "as-measured", *job]] if wrote or not drawn else []
    _take(words, "--folder")
    return [*lines, *([["art", "slice", *words, "--to", to]] if drawn else [])]


def _readings(words: list[str]) -> Lines:
    ignored, again, closed = (_take(words, name) for name in ("--strike", "--count-again", "--close-patch"))
    listed = ["patch", "list", *words]
    is_listed = _take(words, "--window") + _take(words, "--assumptions") or not (ignored or again or closed)
    lines = [["patch", "ignore", "--patch", number, *_store([*words])] for number in closed]
    lines += [["patch", "ignore", number, *words] for number in ignored]
    lines += [["patch", "ignore", number, *words, "--undo"] for number in again]
    return [*lines, *([listed] if is_listed else [])]


def _depth(words: list[str]) -> Lines:
    ignored, is_listed = _take(words, "--strike"), _take(words, "--kept", takes_value=False)
    if ignored or is_listed:
        return [["depth", "ignore" if ignored else "list", *ignored, *_store(words)]]
    measured, keeps = _take(words, "--gauged"), _take(words, "--keep", takes_value=False)
    if not measured:
        return [["depth", "plan", *words]]
    return [["depth", "record", *words, *measured, *([] if keeps or _take([*words], "--readings") else ["--tries"])]]


_TURNED: Final[dict[str, Callable[[list[str]], Lines]]] = {
    "card": _card, "paper": _paper, "export": _export, "import": _import, "rig": _machine, "measured": _measured,
    "readings": _readings, "depth": _depth, **{word: partial(_named, new=word) for word in ("copy", "rename")},
    **{word: partial(_begins, new=OLD_WORDS[word]) for word in ("program", "gauge", "strip")},
}  # fmt: skip


def in_new_words(words: Sequence[str]) -> Lines | None:
    """Today's form of a command in the words of earlier versions, seldom two; None where it is today's already."""
    if not words or words[0] not in OLD_WORDS:
        return None
    word, rest = words[0], words[1:]
    if rest[:1] in (["--help"], ["-h"]):
        return None if word in OLD_TOO else [[*OLD_WORDS[word].split(), "--help"]]
    names = {**_OPTIONS, **_OWN_OPTIONS.get(word, {})}
    if word in _GROUPS:
        # A group of before took one word and options: two words are today's, with a name that it hasn't.
        if not rest or rest[0] in {*_GROUPS[word], *LIKE} or not all(text.startswith("-") for text in rest[1:2]):
            return None
    elif OLD_WORDS[word] == word and not any(text.partition("=")[0] in names for text in rest):
        return None
    today = renamed(rest, names)
    return _TURNED[word](today) if word in _TURNED else [[*OLD_WORDS[word].split(), *today]]
