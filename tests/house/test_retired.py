"""No phrase that was retired comes back in what people read: screens, papers, messages, help."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest

from tests.house.sources import tree_of

ROOT: Final = Path(__file__).parents[2]
FILES: Final = sorted(path for folder in ("rotary", "tui") for path in (ROOT / folder).rglob("*.py"))

RETIRED: Final = (
    "apex line", "stations?", "drive's", "columns? width", "extra width per index", "as typed", "steps for one turn",
    "index angle", "one index", "per index", "slice sheets?", "plain artwork", "joint strips?", "joints?", "stairs?",
    "sags?", "witness ticks", "blank edges?", "surface map", "laid on by", "proof patch(?:es)?",
    "lifting pass(?:es)?", "finishing pass(?:es)?", "looking after", "run blind", "haze", "draws", "beliefs?",
    "as believed", "repetition rates?", "pulse durations?", "scan speeds?", "hatch(?:es)?", "desk", "setup cards?",
    "forecasts?", "foretold", "taken off", "gone on", "creeps?", "noughts?", "governed by", "relaxed by", "the tool",
    "rigs?", "what counts", "where it is none", "gauged", "struck", "lapsed?s?", "kept", "told", "datum", "foot",
    "focal planes?", "fluences?", "central figures?", "dry turns?", "put right", "askew", "goes? by",
    "as counted", "as it must", "worth trying", "reckon(?:s|ed)?", "an example's", "taught",
)  # fmt: skip
"""Phrases that no person reads any more, in this sense, as patterns."""

_RETIRED: Final = re.compile(rf"(?<![\w.-])(?:{'|'.join(RETIRED)})(?![\w.-]|/)", re.I)

ALLOWED: Final = {
    ("rotary/artwork/dxf.py", "pattern hatch"): "what a drawing of another program holds",
    ("rotary/sheet/keys.py", ""): "files that earlier versions wrote are still read",
    ("rotary/store/old_sheets.py", ""): "proofs that earlier versions stored are still read",
    ("rotary/store/proof_readings.py", "proof patch"): "how earlier versions named a reading in a profile",
}
"""Where a phrase stands all the same: the file, a part of the text, and why."""

_INSERTED: Final = re.compile(r"[A-Za-z_.]+\[.*\]$")
"""A type, not a sentence."""


def texts(tree: ast.Module, with_help: bool = False) -> Iterator[tuple[int, str]]:
    """Lines and texts with words of a module: no docstrings but those that are shown as help, values left out."""
    skipped: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            skipped |= {id(part) for part in node.values}
        for line in getattr(node, "body", None) or () if not isinstance(node, ast.IfExp | ast.Lambda) else ():
            if isinstance(line, ast.Expr) and isinstance(line.value, ast.Constant | ast.JoinedStr):
                text = line.value.value if isinstance(line.value, ast.Constant) else ""
                if not (with_help and isinstance(text, str) and re.search(r":param |Example: rotary", text)):
                    skipped.add(id(line.value))
    for node in ast.walk(tree):
        if id(node) in skipped or not isinstance(node, ast.JoinedStr | ast.Constant):
            continue
        parts = node.values if isinstance(node, ast.JoinedStr) else [node]
        text = "".join(str(part.value) if isinstance(part, ast.Constant) else "{}" for part in parts)
        if " " in text.strip() and isinstance(getattr(node, "value", text), str) and not _INSERTED.match(text):
            yield node.lineno, text


def retired_in(path: Path) -> list[str]:
    """Every retired phrase of a module that is not allowed there."""
    name = path.relative_to(ROOT).as_posix()
    allowed = [part for file, part in ALLOWED if file == name]
    return [
        f"{name}:{line}: {phrase!r} in {text!r}"
        for line, text in texts(tree_of(path), with_help=name.startswith("rotary/cli/"))
        if not any(part in text for part in allowed)
        for phrase in _RETIRED.findall(text)
    ]


def test_no_retired_phrase_is_read() -> None:
    """On screens, papers, in messages and in help there is one word for one thing."""
    assert [line for path in FILES for line in retired_in(path)] == []


PAGES_ONLY: Final = (
    "(?:peak )?fluences?", "focal planes?", "chances?", "witness (?:ticks?|marks?)", "surface maps?", "decal",
    "(?<!no-mark )zones?", "cleared", "laser sources?",
)  # fmt: skip
"""What strangers asked about on a page: energy per area, focus, odds, witness crosses, how artwork follows a taper …"""

PRINTED: Final = {"numbers.md": {"peak fluence"}, "front-picture.md": {"draws"}}
"""What a page quotes from a sheet, and a verb."""


def test_no_retired_phrase_is_read_on_a_page() -> None:
    """Nor on the pages for users; code, keys and what the code makes are not looked at."""
    docs = ROOT / "docs"
    made = {"commands.md", "old-words.md", "keys.md", "fields.md", "glossary.md"}
    pages = [ROOT / "README.md", docs / "README.md"]
    pages += [
        p
        for name in ("tutorial", "how-to", "reference", "explanation")
        for p in (docs / name).glob("*.md")
        if p.name not in made
    ]
    assert len(pages) > 20
    read = {p: re.sub(r"```.*?```|`[^`]*`|\]\([^)]*\)", "", p.read_text("utf-8"), flags=re.S) for p in pages}
    asked = re.compile(rf"\b(?:{'|'.join(PAGES_ONLY)})\b", re.I)
    phrases = {
        p: {*_RETIRED.findall(text), *asked.findall(text)} - PRINTED.get(p.name, set()) for p, text in read.items()
    }
    assert {str(p.relative_to(ROOT)): bad for p, bad in phrases.items() if bad} == {}


def test_no_retired_phrase_is_read_in_a_browser() -> None:
    """Nor on the pages that a browser shows, scripts and tags aside."""
    pages = [*(ROOT / "tui" / "browser").rglob("*.html")]
    assert len(pages) > 3
    read = {p.name: re.sub(r"<(script|style).*?</\1>", "", p.read_text("utf-8"), flags=re.S) for p in pages}
    assert {name: found for name, text in read.items() if (found := _RETIRED.findall(text))} == {}


def test_nothing_is_allowed_for_nothing() -> None:
    """What is no longer said is no longer excused."""
    for name, part in ALLOWED:
        said = [text for _, text in texts(tree_of(ROOT / name)) if part in text]
        assert any(_RETIRED.search(text) for text in said), (name, part)


@pytest.mark.parametrize(
    "line",
    ['raise refuse("", f"{name} is no rig: mark a proof patch")', "says = f'the joint of {one} opens'"],
)
def test_it_is_noticed(line: str) -> None:
    """A phrase of before in a message, also between values."""
    assert [text for _, text in texts(ast.parse(line)) if _RETIRED.search(text)]
