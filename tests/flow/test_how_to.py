"""The how-to pages tell the truth: their files are written, their commands run, their answers come."""

import io
import re
import shlex
from pathlib import Path

import pytest

from rotary.__main__ import main

DOCS = Path(__file__).resolve().parents[2] / "docs"
PAGES = [*sorted((DOCS / "tutorial").glob("*.md")), *sorted((DOCS / "how-to").glob("*.md"))]
OF_BEFORE = {"CHANGELOG.md", "old-words.md"}
NO_COMMANDS = {"tablet", "first-bottle"}
BLOCK = re.compile(r"(?:^`(?P<name>[\w.-]+)`:\n\n)?^```\n(?P<text>.*?)^```", re.M | re.S)


def plainly(text: str) -> str:
    """With single blanks, so that columns may be shown narrower than they are printed."""
    return " ".join(text.split())


@pytest.mark.slow
@pytest.mark.parametrize("page", PAGES, ids=[page.stem for page in PAGES])
def test_every_command_of_a_page_gives_what_the_page_shows(
    page: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """In an empty folder, with the page's own files; the lines that it shows stand in the answer, in order."""
    monkeypatch.chdir(tmp_path)
    for name in ("FOLDER", "RIGS"):
        monkeypatch.setenv(f"ROTARY_{name}", str(tmp_path / f".{name.casefold()}"))
    ran = 0
    for block in BLOCK.finditer(page.read_text("utf-8")):
        if block["name"]:
            (tmp_path / block["name"]).write_text(block["text"], "utf-8")
            continue
        for command, shown in re.findall(r"^\$ (.+)\n((?:(?!\$ ).*\n)*)", block["text"], re.M):
            said = run(command, tmp_path, monkeypatch, capsys)
            ran += 1
            at = 0
            for line in filter(lambda line: line.strip() not in ("", "…"), shown.splitlines()):
                for piece in map(plainly, line.split("…")):
                    found = said.find(piece, at)
                    assert found >= 0, f"{page.name}: {command}\nhas not, or not in this place: {line}\n{said}"
                    at = found + len(piece)
    assert ran or page.stem in NO_COMMANDS


def run(command: str, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> str:
    """What a command prints; it has to end well. `>` and `<` do what a shell would do."""
    words = shlex.split(command)
    assert words[0] == "rotary", command
    out = words[words.index(">") + 1] if ">" in words else None
    answers = words[words.index("<") + 1] if "<" in words else None
    arguments = words[1 : min(words.index(sign) if sign in words else len(words) for sign in "<>")]
    with monkeypatch.context() as patched:
        if answers is not None:
            patched.setattr("sys.stdin", io.StringIO((folder / answers).read_text("utf-8")))
        code = main(arguments)
    printed, complaints = capsys.readouterr()
    assert code == 0, f"{command}: {complaints or printed}"
    if out is not None:
        (folder / out).write_text(printed, "utf-8")
    return plainly(printed)


def test_every_page_is_in_the_list() -> None:
    """The list of pages names all of them."""
    listed = (DOCS / "README.md").read_text("utf-8")
    assert len(PAGES) > 10
    for page in PAGES:
        assert f"({page.relative_to(DOCS)})" in listed


def test_the_commands_that_are_named_exist() -> None:
    """Every `rotary …` in running text, and each that begins a line, is understood as far as its options go."""
    from rotary.cli.help_text import options
    from tests.made_pages import leaves

    known = {
        name: {word for row in options(app) for word in row.names.replace(",", "").split()} for name, app in leaves()
    }
    words_of_groups = {name.split()[0] for name in known if " " in name}
    for page in [DOCS.parent / "README.md", *(p for p in DOCS.rglob("*.md") if p.name not in OF_BEFORE)]:
        text = page.read_text("utf-8")
        lines = [line.partition("  ")[0] for line in re.findall(r"^\s*(?:\$ )?rotary ([a-z].*)$", text, re.M)]
        for named in [*re.findall(r"`rotary (?!--|WORD)([^`]+)`", text), *(line for line in lines if ":" not in line)]:
            words = shlex.split(named)
            name = " ".join(words[:2]) if words[0] in words_of_groups else words[0]
            options_named = [word for word in words if word.startswith("--")]
            assert name in known or (words[0] in words_of_groups and len(words) == 1), (page.name, named)
            assert {*options_named} <= {*known.get(name, ()), "--dry-run", "--yes"}, (page.name, named)
