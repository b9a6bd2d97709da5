"""The commands of earlier versions: each still does its work, and says what it is now.

The table is also what docs/old-words.md shows.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Final, NamedTuple

Lines = list[list[str]]

_OPTIONS: Final = {
    "--out": "--to", "--folder": "--store", "--rig": "--machine", "--rigs": "--machines", "--draws": "--samples",
    "--over": "--yes",
}  # fmt: skip
"""Options that have another name now, wherever they stand."""

_FLAGS: Final = frozenset({
    "--all", "--anew", "--dxf", "--each", "--files", "--greys", "--inches", "--json", "--keep", "--kept",
    "--more-columns", "--new", "--only-say", "--over", "--plain", "--proven", "--settings", "--take", "--unslid",
})  # fmt: skip
"""Options of earlier versions that take no value."""

_GROUPS: Final = {"patch": ("new", "record", "list", "ignore"), "depth": ("plan", "record", "list", "ignore")}
"""Words that are a group now, with what may stand behind them."""


class OldLine(NamedTuple):
    """What stood behind an old word: its words, and its options with their values, in order."""

    words: list[str]
    options: list[tuple[str, list[str]]]

    def value(self, name: str) -> str | None:
        """The value of an option; None where it isn't there."""
        return next((value[0] for option, value in self.options if option == name and value), None)

    def has(self, name: str) -> bool:
        """Whether an option is there."""
        return any(option == name for option, _ in self.options)

    def rest(self, *but: str) -> list[str]:
        """All options but these, as they are written now."""
        return [word for name, value in self.options if name not in but for word in (name, *value)]


class OldWord(NamedTuple):
    """What an old command is now: the words that take its place, options of its own with another name, and how it is
    turned where that is not enough. `shown` is the new form as documents show it, where it is more than the words."""

    new: str
    options: Mapping[str, str] = {}
    turned: Callable[[OldLine], Lines] | None = None
    shown: str = ""


def _card(typed: OldLine) -> Lines:
    view = typed.value("--picture")
    if view is None:
        return [["print", "setup", *typed.words, *typed.rest()]]
    return [["print", "picture", *typed.words, view, *typed.rest("--picture", "--paper", "--plain")]]


_PAPERS: Final = {
    "setup-card": ["print", "setup"], "proof-patch": ["print", "patch"], "tapes": ["print", "tests"],
    "wrap-template": ["print", "template"], "slice-sheet": ["art", "slice"],
}  # fmt: skip


def _paper(typed: OldLine) -> Lines:
    job, name = [*typed.words, "", ""][:2]
    new = _PAPERS.get(name, ["print", name])
    return [[*new, *filter(None, [job]), *typed.rest(*(["--paper"] if new[0] == "art" else []))]]


def _renamed(verb: str) -> Callable[[OldLine], Lines]:
    def turned(typed: OldLine) -> Lines:
        new = typed.value("--as")
        return [["profile", verb, *typed.words, *([] if new is None else [new]), *typed.rest("--as")]]

    return turned


def _export(typed: OldLine) -> Lines:
    return [["profile", "export", *typed.words[1:], *(["--to", typed.words[0]] if typed.words else []), *typed.rest()]]


def _import(typed: OldLine) -> Lines:
    return [["profile", "import", *typed.words, *([] if typed.has("--take") else ["--dry-run"]), *typed.rest("--take")]]


def _rig(typed: OldLine) -> Lines:
    name = typed.value("--machine")
    for option, verb, words in (("--new", "new", []), ("--rename", "rename", [name or "rig"])):
        if (value := typed.value(option)) is not None:
            return [["machine", verb, *words, value, *typed.rest(option, "--machine")]]
    if typed.has("--all"):
        return [["machine", "list", *typed.rest("--all", "--machine")]]
    return [["machine", "show", *typed.words, *typed.rest()]]


def _begins(*new: str) -> Callable[[OldLine], Lines]:
    """A machine that was named with a reading began with it."""
    return lambda typed: [[*new, *typed.words, *(["--new"] if typed.has("--machine") else []), *typed.rest()]]


def _measured(typed: OldLine) -> Lines:
    drawing = ("--art", "--text", "--files", "--folder")
    lines = []
    if (not typed.has("--art") and not typed.has("--text")) or typed.has("--to"):
        lines.append(["job", "as-measured", *typed.words, *typed.rest(*drawing)])
    if typed.has("--art") or typed.has("--text"):
        to = typed.value("--folder") or "."
        lines.append(["art", "slice", *typed.words, "--to", to, *typed.rest("--folder", "--to")])
    return lines


def _patch(typed: OldLine) -> Lines:
    return [["patch", "new", *typed.words, *typed.rest()]]


def _readings(typed: OldLine) -> Lines:
    ignored: tuple[tuple[str, list[str]], ...] = (("--strike", []), ("--count-again", ["--undo"]))
    lines = [
        ["patch", "ignore", value, *typed.words[:1], *undo, *typed.rest(*_OF_LISTS)]
        for option, undo in ignored
        if (value := typed.value(option)) is not None
    ]
    if (patch := typed.value("--close-patch")) is not None:
        lines.insert(0, ["patch", "ignore", "--patch", patch, *typed.rest(*_OF_LISTS)])
    if not lines or typed.has("--window") or typed.has("--assumptions"):
        lines.append(["patch", "list", *typed.words, *typed.rest("--strike", "--count-again", "--close-patch")])
    return lines


_OF_LISTS: Final = ("--strike", "--count-again", "--close-patch", "--window", "--assumptions")


def _depth(typed: OldLine) -> Lines:
    if typed.has("--kept") or typed.has("--strike"):
        number = typed.value("--strike")
        store = [word for name, value in typed.options if name == "--store" for word in (name, *value)]
        return [["depth", "list", *store] if number is None else ["depth", "ignore", number, *store]]
    gauged = [word for name, value in typed.options if name == "--gauged" for word in value]
    rest = typed.rest("--gauged", "--keep")
    if not gauged:
        return [["depth", "plan", *typed.words, *[word for word in rest if not typed.has("--keep")]]]
    tries = [] if typed.has("--keep") or typed.has("--readings") else ["--tries"]
    return [["depth", "record", *typed.words, *gauged, *tries, *rest]]


OLD_WORDS: Final[dict[str, OldWord]] = {
    "desk": OldWord("open"),
    "browser": OldWord("open --browser"),
    "ask": OldWord("open --ask"),
    "plan": OldWord("plan"),
    "card": OldWord("print setup", {"--forecast": "--from"}, _card, "print setup JOB, print picture JOB VIEW"),
    "paper": OldWord("print", {"--new": "--another"}, _paper, "print setup, patch, tests, template JOB, art slice JOB"),
    "examples": OldWord("job example"),
    "sheet": OldWord("art slice", {"--more-columns": "--more-slices"}),
    "flat": OldWord("art flat"),
    "forecast": OldWord("art check", {"--picture": "--to"}),
    "picture": OldWord("art dots"),
    "template": OldWord("print template"),
    "names": OldWord("art names"),
    "keep": OldWord("profile save"),
    "again": OldWord("profile repeat"),
    "copy": OldWord("profile copy", {}, _renamed("copy"), "profile copy NAME NEW"),
    "rename": OldWord("profile rename", {}, _renamed("rename"), "profile rename NAME NEW"),
    "kept": OldWord("profile list"),
    "nearest": OldWord("profile find"),
    "show": OldWord("profile show"),
    "history": OldWord("profile history"),
    "compare": OldWord("profile compare"),
    "restore": OldWord("profile restore"),
    "choose": OldWord("profile resolve"),
    "discard": OldWord("profile delete"),
    "bin": OldWord("profile bin"),
    "mend": OldWord("profile repair"),
    "proven": OldWord("profile proven"),
    "ran": OldWord("log add"),
    "note": OldWord("profile note"),
    "reading": OldWord("profile reading", {"--strike": "--ignore"}),
    "logbook": OldWord("log list"),
    "export": OldWord("profile export", {}, _export, "profile export NAME … --to FILE"),
    "import": OldWord("profile import", {}, _import, "profile import FILE --dry-run; --take is left out"),
    "rig": OldWord("machine show", {}, _rig, "machine show, list, new, rename"),
    "program": OldWord("machine record program", {}, _begins("machine", "record", "program")),
    "gauge": OldWord("machine record", {}, _begins("machine", "record")),
    "changed": OldWord("machine changed"),
    "strike": OldWord("machine ignore"),
    "tape": OldWord("machine tests"),
    "strip": OldWord(
        "machine seam-test", {"--form": "--from", "--only-say": "--dry-run"}, _begins("machine", "seam-test")
    ),
    "matters": OldWord("plan --error-budget"),
    "measured": OldWord("job as-measured", {"--folder": "--folder"}, _measured, "job as-measured JOB, art slice JOB"),
    "level": OldWord("machine level", {"--foot-end": "--base-end", "--base": "--pivot"}),
    "resume": OldWord("resume", {"--folder": "--to", "--foot-right": "--base-right", "--foot-up": "--base-up"}),
    "patch": OldWord("patch new", {"--svg": "--to", "--new": "--another"}, _patch),
    "read-patch": OldWord("patch record"),
    "came-out": OldWord("log add --teach --unlogged"),
    "readings": OldWord(
        "patch list",
        {"--taught": "--assumptions"},
        _readings,
        "patch list [JOB], patch ignore N, patch ignore --patch N",
    ),
    "what-helps": OldWord("plan --suggestions"),
    "inscribe": OldWord("inscribe"),
    "depth": OldWord(
        "depth plan", {}, _depth, "depth plan JOB, depth record JOB PASSES=DEPTH, depth list, depth ignore N"
    ),
    "schema": OldWord("job schema"),
}


def in_new_words(words: Sequence[str]) -> Lines | None:
    """Today's form of a command in the words of earlier versions, seldom two; None where it is today's already."""
    if not words or words[0] not in OLD_WORDS or words[1:2] in (["--help"], ["-h"]):
        return None
    word, rest = words[0], words[1:]
    old = OLD_WORDS[word]
    names = {**_OPTIONS, **old.options}
    if word in _GROUPS:
        if not rest or rest[0] in _GROUPS[word]:
            return None
    elif old.new == word and not any(_name(text) in names for text in rest):
        return None
    typed = _typed(rest, names, frozenset({"--new"}) if word == "rig" else frozenset())
    return old.turned(typed) if old.turned else [[*old.new.split(), *_in_place(rest, names)]]


def _name(text: str) -> str:
    return text.partition("=")[0]


def _in_place(rest: Sequence[str], names: Mapping[str, str]) -> list[str]:
    """Every option under its name of today, and all else where it stands."""
    end = list(rest).index("--") if "--" in rest else len(rest)
    return [*(names.get(_name(t), _name(t)) + t[len(_name(t)) :] for t in rest[:end]), *rest[end:]]


def _typed(rest: Sequence[str], names: Mapping[str, str], valued: frozenset[str]) -> OldLine:
    words: list[str] = []
    options: list[tuple[str, list[str]]] = []
    texts = list(rest)
    while texts:
        text = texts.pop(0)
        if text == "--":
            words += texts
            break
        if not text.startswith("--"):
            words.append(text)
            continue
        name, sign, value = text.partition("=")
        takes = name not in _FLAGS or name in valued
        given = [value] if sign else [texts.pop(0)] if takes and texts else []
        options.append((names.get(name, name), given))
    return OldLine(words, options)
