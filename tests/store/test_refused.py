"""What is refused has not happened, and what several write at once all stands."""

import errno
import os
import stat
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Final

import pytest

from rotary.errors import FileTrouble
from rotary.job import Job
from rotary.passes.learning.depth import DepthReading
from rotary.passes.learning.reading import Look, reading_of
from rotary.passes.plan.setting import Setting
from rotary.store import history
from rotary.store.depths import add_depths, depth_readings
from rotary.store.index import entries
from rotary.store.logbook import log, logbook, run_of
from rotary.store.profiles import keep, load
from rotary.store.readings import add_readings, readings_in

SETTING: Final = Setting(
    power_share=0.2, power_w=10.0, frequency_khz=36.0, pulse_width_ns=200.0, pulse_mj=0.28, speed_mm_s=1074.0,
    line_spacing_mm=0.05,
    defocus_mm=7.5, passes=3, pause_s=0.0, spot_at_surface_um=60.0, peak_fluence_j_cm2=4.0, pulses_per_place=2.0,
    dose_j_mm2=1.0,
)  # fmt: skip
WRITERS: Final[dict[str, Callable[[Path, Job], object]]] = {
    "save": lambda folder, job: keep(job, "Bottle", folder),
    "log": lambda folder, _: log(run_of(load("Mug", folder), {"outcome": "clear"}), folder),
    "discard": lambda folder, _: history.discard("Mug", folder),
    "reading": lambda folder, job: add_readings([reading_of(job, SETTING, Look("clear", "2026-05-01"))], folder),
    "depth": lambda folder, _: add_depths([DepthReading(passes=10, depth_um=18.0)], folder),
}
"""What is told as done or as refused."""


@pytest.mark.parametrize("number", [errno.EIO, errno.ENOSPC])
@pytest.mark.parametrize("begun", [False, True], ids=["first", "later"])
@pytest.mark.parametrize("verb", WRITERS)
def test_what_is_refused_has_not_happened(
    verb: str, begun: bool, number: int, job: Job, mug: Job, store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A folder that can't be flushed refuses what was to be written: nothing of it stands, a retry doubles nothing."""
    keep(mug, "Mug", store)
    if begun:
        WRITERS[verb](store, job)
        keep(mug, "Mug", store)

    def contents() -> dict[str, bytes]:
        return {
            str(path.relative_to(store)): path.read_bytes() if path.is_file() else b""
            for path in store.rglob("*")
            if not any(part.startswith(".") for part in path.relative_to(store).parts)
        }

    before, real = contents(), os.fsync

    def fail(handle: int) -> None:
        if stat.S_ISDIR(os.fstat(handle).st_mode):
            raise OSError(number, os.strerror(number))
        real(handle)

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(FileTrouble):
        WRITERS[verb](store, job)
    monkeypatch.undo()
    assert contents() == before
    WRITERS[verb](store, job)
    how_many = {"save": lambda: entries(store)[0].count, "log": lambda: len(logbook(store).runs)}
    how_many |= {"reading": lambda: len(readings_in(store)), "depth": lambda: len(depth_readings(store))}
    how_many["discard"] = lambda: len(history.bin_entries(store))
    assert how_many[verb]() == 1 + begun


def test_two_that_read_depths_at_once_both_stand(store: Path) -> None:
    """Eight writers of readings at the same moment: every one of them is there, and counts once."""
    depths = [float(number + 1) for number in range(8)]
    threads = [
        threading.Thread(target=add_depths, args=([DepthReading(passes=10, depth_um=depth)], store)) for depth in depths
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(one.depth_um for one in depth_readings(store)) == depths
