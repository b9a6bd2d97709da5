"""Whatever comes as artwork: read, or refused with a sentence, in bounded time and memory."""

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.artwork import hostile

ROOT = Path(__file__).resolve().parents[2]
MOST_SECONDS = 10.0
MOST_MB = 1000.0

# One fresh interpreter a file, so that time and memory are that file's alone.
CHILD = """
import json, resource, sys, time
from rotary.artwork.read import read_artwork
from rotary.artwork.rings import area_mm2
from rotary.errors import Refused
data = sys.stdin.buffer.read()
start = time.perf_counter()
told = {}
try:
    drawing = read_artwork(data)
    told["area"] = area_mm2(drawing.ink)
    told["unread"] = [u.what for u in drawing.unread]
except Refused as refused:
    told["says"] = [str(fault) for fault in refused.faults]
told["seconds"] = time.perf_counter() - start
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
told["mb"] = peak / (1024 * 1024 if sys.platform == "darwin" else 1024)
print(json.dumps(told))
"""


def told_by_a_child(data: bytes) -> dict[str, Any]:
    done = subprocess.run(
        [sys.executable, "-c", CHILD], input=data, capture_output=True, cwd=ROOT, timeout=100, check=False
    )
    assert done.returncode == 0, done.stderr.decode()[-2000:]
    told: dict[str, Any] = json.loads(done.stdout)
    return told


@pytest.mark.parametrize("name", hostile.REFUSED)
def test_a_hostile_file_is_refused_in_one_sentence(name: str) -> None:
    """A file that can't or mustn't be read says why, once, within ten seconds and a gigabyte."""
    pytest.importorskip("resource")
    told = told_by_a_child(hostile.REFUSED[name]())
    assert "says" in told, told
    assert len(told["says"]) == 1
    assert re.fullmatch(r"artwork\.file: [^\n]{15,}[^.\n]", told["says"][0]), told["says"]
    assert "; " in told["says"][0], "it has to say what to do instead"
    assert told["seconds"] < MOST_SECONDS
    assert told["mb"] < MOST_MB


@pytest.mark.parametrize("name", hostile.READ)
def test_a_file_that_only_looks_hostile_is_read(name: str) -> None:
    """Harmless parts are read, the others left out: half of the page is ink in each of these files."""
    pytest.importorskip("resource")
    told = told_by_a_child(hostile.READ[name]())
    assert told.get("area") == pytest.approx(hostile.HALF_MM2, rel=1e-4), told
    assert told["seconds"] < MOST_SECONDS
    assert told["mb"] < MOST_MB


@pytest.mark.parametrize("name", hostile.EITHER)
def test_a_file_that_multiplies_itself_ends(name: str) -> None:
    """Masks in masks are either read or refused, within the same bounds."""
    pytest.importorskip("resource")
    told = told_by_a_child(hostile.EITHER[name]())
    assert "says" in told or told["area"] > 0
    assert told["seconds"] < MOST_SECONDS
    assert told["mb"] < MOST_MB
