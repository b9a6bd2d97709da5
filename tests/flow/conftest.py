"""The command line as a person in an empty folder has it."""

from collections.abc import Callable
from pathlib import Path

import pytest

from rotary.__main__ import main

Answer = tuple[int, str, str]
Run = Callable[..., Answer]


@pytest.fixture
def rotary(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs a command in an empty folder with a profile folder of its own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path / "profiles"))
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    monkeypatch.delenv("ROTARY_DEBUG", raising=False)

    def run(*arguments: str) -> Answer:
        code = main(arguments)
        out, err = capsys.readouterr()
        assert "Traceback" not in out + err
        return code, out, err

    return run
