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
SHARE = 6
"""The part of the work that a drawing may be that is allowed here: what it takes is a sixth of what it may take."""

MOST_S = 5
"""Processor time after which the reading of a file is ended: about a tenth of it is used where nothing else runs."""

MOST_MB = 1000.0

LONG = {
    "uses of uses", "markers on markers", "style rules", "a tangle", "a tangle of lines", "three million lines",
    "a million elements", "unpacked to much",
    "attributes that all elements have",
}  # fmt: skip
"""What is made to take as long as it can."""

ALL = hostile.REFUSED | hostile.READ | hostile.EITHER | hostile_more.ANY
GROUPS = 4

# The readers are loaded once; each file is read in a fork, so that time and memory are that file's alone.
CHILD = """
import json, os, resource, sys
from rotary.artwork import work
from rotary.artwork.read import read_artwork
from rotary.artwork.rings import area_mm2
from rotary.errors import Refused
from tests.artwork.test_hostile import ALL, MOST_S, SHARE

work.BUDGET //= SHARE

def answer(data):
    try:
        return {"area": area_mm2(read_artwork(data).ink)}
    except Refused as refused:
        return {"says": [str(fault) for fault in refused.faults]}

for name in ("packed", "a tiny pattern", "DXF: no radius"):
    answer(ALL[name]())
for name in json.load(sys.stdin):
    data = ALL[name]()
    read_end, write_end = os.pipe()
    child = os.fork()
    if child == 0:
        resource.setrlimit(resource.RLIMIT_CPU, (MOST_S, MOST_S))
        os.write(write_end, json.dumps(answer(data)).encode())
        os._exit(0)
    os.close(write_end)
    with os.fdopen(read_end) as pipe:
        told = json.loads(pipe.read() or "{}")
    _, code, used = os.wait4(child, 0)
    peak = used.ru_maxrss / (1024 * 1024 if sys.platform == "darwin" else 1024)
    told |= {"name": name, "code": code, "mb": peak}
    print(json.dumps(told), flush=True)
"""


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
@pytest.mark.parametrize("group", range(GROUPS))
def test_whatever_is_read_takes_bounded_work_and_memory(group: int) -> None:
    """Read or refused alone, each file ends within some seconds of processor time and a gigabyte.

    Most end where the work that is allowed is used up: a sixth of it is enough to see that none of it is too cheap.
    """
    pytest.importorskip("resource")
    names = list(ALL)[group::GROUPS]
    done = subprocess.run(
        [sys.executable, "-c", CHILD], input=json.dumps(names), capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert done.returncode == 0, done.stderr[-2000:]
    told: list[dict[str, Any]] = [json.loads(line) for line in done.stdout.splitlines()]
    assert [one["name"] for one in told] == names
    for one in told:
        assert one["code"] == 0, one
        assert one["mb"] < MOST_MB, one
        if one["name"] in hostile.REFUSED:
            assert_is_one_sentence(one["says"])
        elif one["name"] in hostile.READ:
            assert one.get("area") == pytest.approx(hostile.HALF_MM2, rel=1e-4), one
        assert "says" in one or one["area"] > 0


def assert_is_one_sentence(says: list[str]) -> None:
    assert len(says) == 1
    assert re.fullmatch(r"artwork\.(file|font):? [^\n]{15,}[^.\n]", says[0]), says
    assert ": " in says[0][len("artwork.file: ") :], "it has to say what to do instead"
