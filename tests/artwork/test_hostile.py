"""Whatever comes as artwork: read, or refused with a sentence, in bounded work and memory."""

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from rotary.artwork.read import read_artwork
from rotary.artwork.rings import area_mm2
from rotary.errors import Refused
from tests.artwork import hostile, hostile_more

ROOT = Path(__file__).resolve().parents[2]
MOST_CALLS = 25_000_000
MOST_MB = 1000.0

LONG = {
    "uses of uses", "markers on markers", "style rules", "a tangle", "a tangle of lines", "three million lines",
    "a million elements", "unpacked to much",
}  # fmt: skip
"""What is made to take as long as it can."""

# One fresh interpreter a file, so that work and memory are that file's alone.
CHILD = """
import cProfile, json, resource, sys
from rotary.artwork.read import read_artwork
from rotary.artwork.rings import area_mm2
from rotary.errors import Refused
data = sys.stdin.buffer.read()
told, calls = {}, cProfile.Profile()
calls.enable()
try:
    drawing = read_artwork(data)
    told["area"] = area_mm2(drawing.ink)
    told["unread"] = [u.what for u in drawing.unread]
except Refused as refused:
    told["says"] = [str(fault) for fault in refused.faults]
calls.disable()
told["calls"] = sum(one.callcount for one in calls.getstats())
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
told["mb"] = peak / (1024 * 1024 if sys.platform == "darwin" else 1024)
print(json.dumps(told))
"""


def told_by_a_child(data: bytes) -> dict[str, Any]:
    done = subprocess.run(
        [sys.executable, "-c", CHILD], input=data, capture_output=True, cwd=ROOT, timeout=280, check=False
    )
    assert done.returncode == 0, done.stderr.decode()[-2000:]
    told: dict[str, Any] = json.loads(done.stdout)
    return told


@pytest.mark.parametrize("name", [name for name in hostile.REFUSED if name not in LONG])
def test_a_hostile_file_is_refused_in_one_sentence(name: str) -> None:
    """A file that can't or mustn't be read says why, once, and what to do instead."""
    with pytest.raises(Refused) as refused:
        read_artwork(hostile.REFUSED[name]())
    assert_is_one_sentence([str(fault) for fault in refused.value.faults])


@pytest.mark.parametrize("name", [name for name in hostile.READ if name not in LONG])
def test_a_file_that_only_looks_hostile_is_read(name: str) -> None:
    """Harmless parts are read, the others left out: half of the page is ink in each of these files."""
    assert area_mm2(read_artwork(hostile.READ[name]()).ink) == pytest.approx(hostile.HALF_MM2, rel=1e-4)


@pytest.mark.parametrize("name", [name for name in hostile_more.ANY if name not in hostile_more.LONG])
def test_whatever_comes_is_read_or_refused_in_one_sentence(name: str) -> None:
    """Endless numbers, letters, remarks, blocks: a drawing comes of it, or a sentence, and never another error."""
    try:
        ink = read_artwork(hostile_more.ANY[name]()).ink
    except Refused as refused:
        assert_is_one_sentence([str(fault) for fault in refused.faults])
    else:
        assert area_mm2(ink) > 0


@pytest.mark.slow
@pytest.mark.parametrize("name", [*hostile.REFUSED, *hostile.READ, *hostile.EITHER, *hostile_more.ANY])
def test_whatever_is_read_takes_bounded_work_and_memory(name: str) -> None:
    """Read or refused alone in a fresh interpreter, each file ends within 25 million calls and a gigabyte."""
    pytest.importorskip("resource")
    told = told_by_a_child((hostile.REFUSED | hostile.READ | hostile.EITHER | hostile_more.ANY)[name]())
    if name in hostile.REFUSED:
        assert_is_one_sentence(told["says"])
    elif name in hostile.READ:
        assert told.get("area") == pytest.approx(hostile.HALF_MM2, rel=1e-4), told
    assert "says" in told or told["area"] > 0
    assert told["calls"] < MOST_CALLS
    assert told["mb"] < MOST_MB


def assert_is_one_sentence(says: list[str]) -> None:
    assert len(says) == 1
    assert re.fullmatch(r"artwork\.(file|font): [^\n]{15,}[^.\n]", says[0]), says
    assert "; " in says[0], "it has to say what to do instead"
