"""Speed of pictures as ratios measured in one run: looking up 4096² dots against OpenCV, dithering, whole sheets.

Usage: python tests/bench/raster.py
"""

import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
from PIL import Image

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

SIDE = 4096


def best_ms(calls: list[Callable[[], object]], rounds: int = 7) -> list[float]:
    """Median times of the processor of several calls, all threads, in turn: what else runs hits all alike [ms]."""
    times: list[list[float]] = [[] for _ in calls]
    for _ in range(rounds + 1):
        for mine, call in zip(times, calls, strict=True):
            start = time.process_time()
            call()
            mine.append(1e3 * (time.process_time() - start))
    return [statistics.median(mine[1:]) for mine in times]


def remap() -> None:
    """The same smooth map through both, 16 bit tones."""
    from rotary.artwork.raster import remapped

    cv2.setNumThreads(1)
    tones = np.random.default_rng(0).integers(0, 65_536, (SIDE, SIDE)).astype(np.uint16)
    down, across = np.mgrid[0:SIDE, 0:SIDE].astype(np.float32)
    x = (0.97 * across + 30 + 20 * np.sin(down / 700)).astype(np.float32)
    y = (0.98 * down + 20 + 15 * np.cos(across / 900)).astype(np.float32)
    del down, across
    ours, theirs = best_ms([lambda: remapped(tones, x, y), lambda: cv2.remap(tones, x, y, cv2.INTER_LINEAR)])
    print(f"remap {SIDE}²: ours {ours:.0f} ms, OpenCV {cv2.__version__} on one thread {theirs:.0f} ms: ", end="")
    print(f"ratio {ours / theirs:.2f} (budget 2)")


def dither() -> None:
    """Dithering four million cells."""
    from rotary.artwork.dither import dithered

    share = np.random.default_rng(0).random((2000, 2000)).astype(np.float32)
    allowed = np.ones(share.shape, bool)
    (ours,) = best_ms([lambda: dithered(share, allowed)])
    print(f"dither 2000²: {ours:.0f} ms, {share.size / ours / 1e3:.0f} M cells/s")


def sheets() -> None:
    """A photograph of twelve million dots on each shipped item, read, laid, dithered and written."""
    from rotary.exports import RasterWish, raster_sheet
    from rotary.job import job_from_file
    from rotary.plan import plan
    from rotary.shipped import examples

    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "photograph.jpg"
        slope = np.linspace(0, 255, 4000)[None] * np.linspace(0.2, 1, 3000)[:, None]
        Image.fromarray(np.stack([slope, slope[::-1], slope], axis=2).astype(np.uint8)).save(source, quality=90)
        for name, path in examples().items():
            made = plan(job_from_file(path), 0)
            wish = RasterWish(mark="lighter", line_mm=0.05, marked_width_mm=0.05)
            (ours,) = best_ms([lambda made=made, wish=wish: raster_sheet(made, source, Path(folder), wish)], 3)  # type: ignore[misc]
            print(f"{name:<20}{ours:>8.0f} ms for a photograph of 12 M dots")


if __name__ == "__main__":
    remap()
    dither()
    sheets()
