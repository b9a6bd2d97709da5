"""Files that are needed only while the tool works: what a killed process leaves goes at the next start."""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from rotary.scratch import scratch_folder, sweep

KILLED = """
import os, signal
from rotary.scratch import scratch_folder
with scratch_folder() as folder:
    (folder / "artwork.svg").write_text("a customer's crest")
    os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.skipif(os.name != "posix", reason="processes are asked for by their number")
def test_what_a_killed_process_left_is_swept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its folder with a customer's artwork goes; those of living processes, and other folders and links, stay."""
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr(tempfile, "tempdir", None)
    subprocess.run([sys.executable, "-c", KILLED], check=False)
    left = [path.name for path in tmp_path.iterdir()]
    assert len(left) == 1
    others = [tmp_path / "rotary-notes", tmp_path / f"rotary-{os.getpid()}-mine", tmp_path / "rotary-x-y"]
    for path in others:
        path.mkdir()
    gone = left[0].split("-")[1]
    (tmp_path / f"rotary-{gone}-link").symlink_to(others[0])
    with scratch_folder() as folder:
        assert not (tmp_path / left[0]).exists()
        assert folder.is_dir()
        sweep()
        assert folder.is_dir()
    assert not folder.exists()
    assert all(path.is_dir() for path in others)
    assert (tmp_path / f"rotary-{gone}-link").is_symlink()
