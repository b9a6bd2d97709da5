"""What is refused, or only shown, leaves nothing behind: no folder of profiles, no list of a library's own."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from rotary.__main__ import main

ROOT = Path(__file__).resolve().parents[2]

REFUSED = (
    "patch ignore 99", "patch ignore --patch 7", "patch record regatta-bottle 1=clean", "depth ignore 1",
    "depth record brass-nut 0=1", "machine ignore 1", "machine changed weather", "machine rename a b",
    "profile delete mug", "profile note mug text", "profile restore mug", "log add mug good", "log list mug",
)  # fmt: skip


@pytest.fixture
def empty_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home without anything, and nothing named that would stand in its place."""
    for name in ("ROTARY_FOLDER", "ROTARY_MACHINES", "ROTARY_RIGS", "XDG_DATA_HOME", "XDG_CACHE_HOME"):
        monkeypatch.delenv(name, raising=False)
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    monkeypatch.setenv("HOME", str(tmp_path))
    return tmp_path


@pytest.mark.skipif(os.name == "nt", reason="the home is named otherwise there")
@pytest.mark.parametrize("line", REFUSED)
def test_a_command_that_is_refused_makes_no_folder(
    line: str, empty_home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Not even that of the profiles or of the machines."""
    assert main(line.split()) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert [*empty_home.rglob("*")] == [empty_home / "here"]


@pytest.mark.skipif(os.name == "nt", reason="the home is named otherwise there")
def test_the_library_of_drawings_writes_no_list_of_fonts(empty_home: Path) -> None:
    """Neither to write a drawing nor to read one does it look through the computer's fonts."""
    code = (
        "from rotary.artwork.dxf_write import dxf_bytes; from rotary.artwork.rings import rings_from_list;"
        "data = dxf_bytes({'a': rings_from_list([[(0, 0), (1, 0), (0, 1)]])}, 10, 4, 'a page');"
        "from rotary.artwork.dxf_document import document_from_dxf; document_from_dxf(data)"
    )
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    subprocess.run([sys.executable, "-c", code], check=True, env=environment, cwd=empty_home / "here")
    assert [*empty_home.rglob("*")] == [empty_home / "here"]


@pytest.mark.parametrize(
    ("option", "ours"),
    [("--force", "--yes"), ("--output", "--to"), ("-o", "--to"), ("--format", "--json"), ("-n", "--dry-run")],
)
def test_an_option_of_other_tools_leads_to_ours(
    option: str, ours: str, rotary: Callable[..., tuple[int, str, str]]
) -> None:
    """Where the command has one that does the same."""
    code, out, err = rotary("plan", "regatta-bottle", option)
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert f"Did you mean {ours}?" in err
