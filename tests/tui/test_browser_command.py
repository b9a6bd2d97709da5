"""`rotary open --browser`: what it says, what it refuses, and that nothing of it is left when it ends."""

import os
import re
import signal
import socket
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from rotary import cli
from rotary.__main__ import main

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def taken_port() -> Iterator[int]:
    """A port that something else listens on."""
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        yield other.getsockname()[1]


def test_what_can_t_be_had_is_a_sentence(
    taken_port: int, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A port in use, a folder or a job that is not there: exit code 4, one line, what to write instead."""
    monkeypatch.chdir(tmp_path)
    refused = {
        ("--port", str(taken_port)): "--port with another number",
        ("--files", "nowhere"): "is not a folder",
        ("nothing.toml",): "nothing.toml",
        ("--address", "192.0.2.1", "--port", str(taken_port)): "--address with an address of this computer",
    }
    for words, says in refused.items():
        assert main(["open", "--browser", *words]) == 4, words
        told = capsys.readouterr().err
        assert says in told
        assert "Traceback" not in told
    assert main(["open", "--browser", "--port", "99999"]) == 2


def test_without_the_extra_it_says_what_to_install(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The desk in a browser is an extra, and whoever lacks it is told how to get it."""
    for name in [name for name in sys.modules if name.startswith(("tui.browser.s", "textual_serve"))]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "textual_serve", None)
    assert main(["open", "--browser"]) == 4
    assert "pip install 'rotary[browser]'" in capsys.readouterr().err


def test_the_command_line_alone_says_which_front_is_missing(capsys: pytest.CaptureFixture[str]) -> None:
    """Without the fronts that the entry point hands over, a command that opens one ends with a sentence."""
    assert cli.main(["open", "--browser"]) == 4
    assert "tui" in capsys.readouterr().err


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="signals of this kind are POSIX")
def test_it_serves_until_it_is_stopped(taken_port: int, tmp_path: Path) -> None:
    """It prints an address with a key, lets nobody in without it, and ends at Ctrl+C with exit code 0 and no words."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    assert port != taken_port
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "ROTARY_FOLDER": str(tmp_path / "kept")}
    command = [sys.executable, "-m", "rotary", "browser", "--port", str(port), "--files", str(tmp_path)]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment, cwd=tmp_path
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        lines = [process.stdout.readline() for _ in range(3)]
        found = re.search(rf"http://127\.0\.0\.1:{port}/enter/([2-9a-z]{{4}}-){{2}}[2-9a-z]{{4}}$", lines[1].strip())
        assert found, lines
        assert urllib.request.urlopen(found[0], timeout=200).status == 200
        with pytest.raises(urllib.error.HTTPError) as refused:
            urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=200)
        refused.value.close()
        assert refused.value.code == 403
        process.send_signal(signal.SIGINT)
        assert process.wait(200) == 0
        assert "Traceback" not in process.stderr.read()
