"""The tutorial and the how-to pages tell the truth of the screen: their keys are pressed, their answers come."""

import re
from pathlib import Path

import pytest

from tui.app import read_job

from .conftest import ROOT, Desk, Person

PAGES = [page for name in ("tutorial", "how-to") for page in sorted((ROOT / "docs" / name).glob("*.md"))]
FILE = re.compile(r"^`([\w.-]+)`:\n\n```\n(.*?)^```", re.M | re.S)
TABLE = re.compile(r"^\| Press or type \| The screen says \|\n\|---\|---\|\n((?:\|.*\n)+)", re.M)
NAMES = {"Enter": "enter", "Tab": "tab", "Esc": "escape", "Space": "space", "Up": "up", "Down": "down"}


def key_of(name: str) -> str:
    """A key as the tests press it.

    >>> key_of("Ctrl+N"), key_of("F5"), key_of("Enter"), key_of("G")
    ('ctrl+n', 'f5', 'enter', 'g')
    """
    return NAMES.get(name, name.lower())


async def follow(person: Person, page: str) -> int:
    """Press and type whatever the tables of a page say, and wait for their answers; how many lines there were."""
    lines = [line for table in TABLE.findall(page) for line in table.splitlines()]
    for line in lines:
        do, says = (cell.strip() for cell in line.strip("|").split("|"))
        for key, text in re.findall(r"\*\*([^*]+)\*\*|`([^`]+)`", do):
            await (person.press(key_of(key)) if key else person.write(text))
            await person.judged()
        for text in re.findall(r"`([^`]+)`", says):
            await person.see(text)
    return len(lines)


@pytest.mark.slow
@pytest.mark.parametrize("page", [p for p in PAGES if TABLE.search(p.read_text("utf-8"))], ids=lambda page: page.stem)
async def test_every_key_of_a_page_does_what_the_page_says(
    page: Path, desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In an empty folder, on the first screen that a person sees."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path / "kept"))
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    text = page.read_text("utf-8")
    for name, content in FILE.findall(text):
        (tmp_path / name).write_text(content, "utf-8")
    async with desk(120, 40, read_job(None)) as person:
        assert await follow(person, text) >= 3
