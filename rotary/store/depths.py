"""Depth readings in a file of their own, one a line, so that a shop's gauge goes on teaching."""

import json
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Final

from pydantic import ValidationError

from rotary.errors import Fault, FileTrouble, Predicate, brief, counted, known_numbers, refuse, refuse_all
from rotary.faults import faults_of
from rotary.files import file_trouble, regular_bytes, write_whole
from rotary.finishes import METALS
from rotary.lock import exclusive
from rotary.old_keys import with_new_keys
from rotary.passes.learning.depth import DepthReading

FILE_NAME: Final = "depths.jsonl"
"""The file in the folder of profiles that every plan of bare metal goes by."""
LARGEST_BYTES: Final = 20_000_000


def depth_readings(folder: Path) -> tuple[DepthReading, ...]:
    """The readings that are kept beside the profiles; none where there is no such file."""
    return depths_in(folder / FILE_NAME)


def add_depths(new: Sequence[DepthReading], folder: Path) -> tuple[DepthReading, ...]:
    """Keep more readings beside the profiles; all that are then kept."""
    with exclusive(folder):
        every = (*depth_readings(folder), *new)
        keep_depths(every, folder / FILE_NAME)
    return every


def strike_depth(number: int, folder: Path) -> DepthReading:
    """Strike out the reading of that number, from 1 on, or let it count again; raises Refused where there is none."""
    if not depth_readings(folder):
        raise refuse("strike", f"there is no depth reading {number}: no depth is saved yet")
    with exclusive(folder):
        every = list(depth_readings(folder))
        if not 1 <= number <= len(every):
            known = known_numbers("depth reading", range(1, len(every) + 1), "")
            raise refuse("strike", f"there is no depth reading {number}: {known}")
        every[number - 1] = every[number - 1].but(ignored=not every[number - 1].ignored)
        keep_depths(every, folder / FILE_NAME)
    return every[number - 1]


def depth_text(number: int, one: DepthReading) -> str:
    """A kept reading in one line.

    >>> depth_text(3, DepthReading(passes=10, depth_um=18.0, metal="brass-c26000", ignored=True))
    '3  18 µm deep after 10 passes, to within 1 µm, brass, ignored'
    """
    about = [f"{one.depth_um:g} µm deep after {counted(one.passes, 'pass')}", f"to within {one.resolution_um:g} µm"]
    about += [f"{one.dose_j_mm2:.4g} J/mm² per pass"] if one.dose_j_mm2 else []
    about += [METALS.get(name, name) for name in (one.metal, one.laser) if name]
    return f"{number}  " + ", ".join([*about, *(["ignored"] if one.ignored else [])])


def depths_in(path: Path) -> tuple[DepthReading, ...]:
    """The readings of a file, none where there is no file; raises Refused with the line that can't be read."""
    larger = FileTrouble(f"{brief(path, 80)} is too large for depth readings: move the file to another folder")
    with file_trouble(path, "read", "name a file of depth readings, or a new one"):
        try:
            text = regular_bytes(path, LARGEST_BYTES, larger).decode("utf-8")
        except FileNotFoundError:
            return ()
    return _depths(text, brief(path.name))


@lru_cache(maxsize=4)
def _depths(text: str, name: str) -> tuple[DepthReading, ...]:
    """What a file of that name says; the same text is read once, since the desk asks anew at every key."""
    readings, faults = [], []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        try:
            readings.append(
                DepthReading.model_validate(with_new_keys(json.loads(line), "reading"), context={"units": "must"})
            )
        except ValidationError as error:
            faults += faults_of(error, DepthReading, f"{name}, line {number}")
        except ValueError:
            says = Predicate('is not a reading: write {"passes": 10, "depth": "18 um"}, or take it out')
            faults.append(Fault(f"{name}, line {number}", says))
    refuse_all(faults)
    return tuple(readings)


def keep_depths(readings: Sequence[DepthReading], path: Path) -> None:
    """Write all readings, whole or not at all."""
    lines = []
    for one in readings:
        table = {"passes": one.passes, "depth": f"{one.depth_um!r} um", "resolution": f"{one.resolution_um!r} um"}
        more = {"dose_j_mm2": one.dose_j_mm2, "metal": one.metal, "laser": one.laser, "ignored": one.ignored or None}
        table |= {name: value for name, value in more.items() if value is not None}
        lines.append(json.dumps(table, ensure_ascii=False))
    write_whole(path, ("\n".join(lines) + "\n").encode(), shared=True)
