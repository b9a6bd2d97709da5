"""The crash trial, shortened: kills, failing disks, many writers lose nothing; docs/contributors/benches.md has all."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.slow
def test_nothing_reported_as_saved_is_ever_lost() -> None:
    """Killed at random, out of space or out of order at every call, written by eight at once: all of it is there."""
    trial = [sys.executable, str(ROOT / "tests" / "bench" / "crash_store.py")]
    done = subprocess.run(
        [*trial, "--kills", "12", "--seconds", "1", "--profiles", "0"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.count(" 0 lost or damaged") == 7
    assert " 0 saved" not in done.stdout
