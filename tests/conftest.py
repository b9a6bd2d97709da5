"""What every test stands on: no animation, no colour setting of whoever runs the tests, no folder of theirs."""

import os
import signal
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# How long an example takes depends on the machine and on who else is at work there: it is no truth.
settings.register_profile("patient", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("patient")
# Where every change is judged, the same examples each time; at a contributor's desk, new ones.
settings.register_profile("judged", settings.get_profile("patient"), derandomize=True)
if os.environ.get("CI"):
    settings.load_profile("judged")

# Before textual is imported, which reads them once.
os.environ["TEXTUAL_ANIMATIONS"] = "none"
OWN = ("ROTARY_BELIEFS", "ROTARY_DEBUG", "ROTARY_HELD_TO", "ROTARY_PICTURES")
for name in ("NO_COLOR", "FORCE_COLOR", "COLUMNS", "LINES", "LANGUAGE", "LC_PAPER", *OWN):
    os.environ.pop(name, None)
# The language and the sheet of paper of whoever runs the tests are not what is tested.
os.environ["LC_ALL"] = "C.UTF-8"

# A shell that starts the tests behind its back has them ignore Ctrl+C, and so every program that they start.
if signal.getsignal(signal.SIGINT) == signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture(autouse=True)
def _own_profile_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing that a test stores lands in the person's own folders."""
    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path / "profiles"))
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    monkeypatch.setenv("ROTARY_VERDICTS", str(tmp_path / "verdicts"))
