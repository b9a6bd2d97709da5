"""The commands of earlier versions: each still does its work, and says what it is now.

docs/reference/old-words.md shows the same table.
"""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Final, NamedTuple

from rotary.cli.words import LIKE, renamed

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

_FLAGS: Final = frozenset({
    "--all", "--anew", "--dxf", "--each", "--files", "--greys", "--inches", "--json", "--keep", "--kept",
    "--more-columns", "--new", "--only-say", "--over", "--plain", "--proven", "--settings", "--take", "--unslid",
})  # fmt: skip
"""Options of earlier versions that take no value; what a machine was begun by took its name."""

_GROUPS: Final = {"patch": ("new", "record", "list", "ignore"), "depth": ("plan", "record", "list", "ignore")}
"""Words that are a group now, with what may stand behind them."""


class OldLine(NamedTuple):
    """What stood behind an old word: its words, and its options with their values, in order."""

    words: list[str]
    options: list[tuple[str, list[str]]]

    def values(self, name: str) -> list[str]:
        """The values of an option; none where it isn't there."""
        return [word for option, given in self.options if option == name for word in given]

    def has(self, *names: str) -> bool:
        """Whether one of the options is there."""
        return any(option in names for option, _ in self.options)

    def line(self, new: str, *more: str, but: Sequence[str] = ()) -> list[str]:
        """The new words with what stood behind the old, all options but these, and more behind its words."""
        rest = [word for name, given in self.options if name not in but for word in (name, *given)]
        return [*new.split(), *self.words, *more, *rest]


def _card(typed: OldLine) -> Lines:
    if views := typed.values("--picture"):
        return [typed.line("print picture", *views, but=("--picture", "--paper", "--plain"))]
    return [typed.line("print setup")]


_PAPERS: Final = {
    "setup-card": "print setup", "proof-patch": "print patch", "tapes": "print tests",
    "wrap-template": "print template", "slice-sheet": "art slice",
}  # fmt: skip


def _paper(typed: OldLine) -> Lines:
    name = " ".join(typed.words[1:])
    new = _PAPERS.get(name, f"print {name}".strip())
    return [typed._replace(words=typed.words[:1]).line(new, but=["--paper"] if name == "slice-sheet" else ())]


def _named(typed: OldLine, new: str) -> Lines:
    return [typed.line(new, *typed.values("--as"), but=["--as"])]


def _export(typed: OldLine) -> Lines:
    to = [("--to", typed.words[:1])] if typed.words else []
    return [OldLine(typed.words[1:], [*to, *typed.options]).line("profile export")]


def _import(typed: OldLine) -> Lines:
    return [typed.line("profile import", *([] if typed.has("--take") else ["--dry-run"]), but=["--take"])]


def _machine(typed: OldLine) -> Lines:
    for option, new in (("--new", "machine new"), ("--rename", "machine rename")):
        if value := typed.values(option):
            names = (typed.values("--machine") or [_unnamed(typed)]) if option == "--rename" else []
            return [typed.line(new, *names, *value, but=[option, "--machine"])]
    if typed.has("--all"):
        return [typed.line("machine list", but=["--all", "--machine"])]
    return [typed.line("machine show")]


def _unnamed(typed: OldLine) -> str:
    """The machine that is meant where none is named."""
    from rotary.machine.store import first_machine
    from rotary.shipped import machine_folder

    return first_machine(machine_folder(next(iter(typed.values("--machines")), None)))


def _begins(typed: OldLine, new: str) -> Lines:
    """A machine that was named with a reading began with it."""
    return [typed.line(new, *(["--new"] if typed.has("--machine") else []))]


def _measured(typed: OldLine) -> Lines:
    job = typed.line("job as-measured", but=("--art", "--text", "--files", "--folder"))
    if not typed.has("--art", "--text"):
        return [job]
    to = (typed.values("--folder") or ["."])[0]
    return [*([job] if typed.has("--to") else ()), typed.line("art slice", "--to", to, but=("--folder", "--to"))]


def _readings(typed: OldLine) -> Lines:
    listed = ("--strike", "--count-again", "--close-patch")
    but, lines = (*listed, "--window", "--assumptions"), Lines()
    for patch in typed.values("--close-patch"):
        lines.append(typed._replace(words=[]).line("patch ignore --patch", patch, but=but))
    for option in listed[:2]:
        for number in typed.values(option):
            undo = ["--undo"] if option == "--count-again" else []
            lines.append(typed._replace(words=[number, *typed.words[:1], *undo]).line("patch ignore", but=but))
    return [*lines, typed.line("patch list", but=listed)] if not lines or typed.has(*but[3:]) else lines


def _depth(typed: OldLine) -> Lines:
    if typed.has("--kept", "--strike"):
        struck = typed.values("--strike")
        line = OldLine(struck, [one for one in typed.options if one[0] == "--store"])
        return [line.line("depth ignore" if struck else "depth list")]
    but = ("--gauged", "--keep")
    if not typed.has("--gauged"):
        return [typed.line("depth plan", but=but)]
    tries = [] if typed.has("--keep", "--readings") else ["--tries"]
    return [typed.line("depth record", *typed.values("--gauged"), *tries, but=but)]


_TURNED: Final[dict[str, Callable[[OldLine], Lines]]] = {
    "card": _card, "paper": _paper, "export": _export, "import": _import, "rig": _machine, "measured": _measured,
    "readings": _readings, "depth": _depth,
    **{word: partial(_named, new=OLD_WORDS[word]) for word in ("copy", "rename")},
    **{word: partial(_begins, new=OLD_WORDS[word]) for word in ("program", "gauge", "strip")},
}  # fmt: skip


def in_new_words(words: Sequence[str]) -> Lines | None:
    """Today's form of a command in the words of earlier versions, seldom two; None where it is today's already."""
    if not words or words[0] not in OLD_WORDS or words[1:2] in (["--help"], ["-h"]):
        return None
    word, rest = words[0], words[1:]
    names = {**_OPTIONS, **_OWN_OPTIONS.get(word, {})}
    if word in _GROUPS:
        if not rest or rest[0] in _GROUPS[word] or rest[0] in LIKE:
            return None
    elif OLD_WORDS[word] == word and not any(text.partition("=")[0] in names for text in rest):
        return None
    if word in _TURNED:
        return _TURNED[word](_typed(rest, names, _FLAGS - ({"--new"} if word == "rig" else set())))
    return [[*OLD_WORDS[word].split(), *renamed(rest, names)]]


def _typed(rest: Sequence[str], names: Mapping[str, str], flags: frozenset[str]) -> OldLine:
    line, texts = OldLine([], []), list(rest)
    while texts:
        text = texts.pop(0)
        if text == "--":
            line.words.extend(texts)
            break
        if not text.startswith("--"):
            line.words.append(text)
            continue
        name, sign, value = text.partition("=")
        given = [value] if sign else [texts.pop(0)] if name not in flags and texts else []
        line.options.append((names.get(name, name), given))
    return line
