"""Tones looked up where a map sends each dot: in bands, between four dots, averaged where the picture shrinks.

::

      sheet                        picture
      +---+---+                    .   .   .   .
      | o | o |   ->   looks up      o . o .        o  between four dots, bilinear
      +---+---+                    .   .   .   .       and where a cell covers more dots than one, the
                                                       mean of several places in it
"""

import math
import os
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from typing import Final

import numpy as np
from numpy.typing import NDArray

Tones = NDArray[np.uint16]
Floats32 = NDArray[np.float32]

BAND: Final = 64  # rows at a time
BLOCK: Final = 16_384  # dots at a time: all that is in the air stays in a core's own cache
SAMPLES_PER_DOT: Final = 0.6  # places to look at, along each side, for each dot that a cell covers
MOST_WORKERS: Final = 4


def remapped(tones: Tones, x: Floats32, y: Floats32) -> Floats32:
    """Tones between the dots, (n, m) float.

    `tones` (h, w), both at least 2; `x`, `y` (n, m) float: places in dots, (0, 0) the middle of the first.
    Places outside take the nearest edge; a place that is no number takes the first dot.

    >>> tones = np.array([[0, 10], [20, 30]], np.uint16)
    >>> remapped(tones, np.array([[0.5, 1.0]]), np.array([[0.5, -1.0]])).round(3).tolist()
    [[15.0, 10.0]]
    """
    out = np.empty(x.shape, np.float32)
    rows = max(1, min(BAND, BLOCK // max(x.shape[1], 1)))
    bands = range(0, x.shape[0], rows)
    workers = min(MOST_WORKERS, os.cpu_count() or 1, len(bands))
    if workers < 2 or x.size < 4 * BLOCK:
        _remap_bands(tones, x, y, out, bands, rows)
    else:
        # Array operations let go of the interpreter, so threads run on cores of their own.
        with ThreadPoolExecutor(workers) as pool:
            shares = [bands[k::workers] for k in range(workers)]
            list(pool.map(lambda share: _remap_bands(tones, x, y, out, share, rows), shares))
    return out


def _remap_bands(tones: Tones, x: Floats32, y: Floats32, out: Floats32, bands: Iterable[int], rows: int) -> None:
    high, wide = tones.shape
    flat = np.ascontiguousarray(tones).ravel()
    right, below, across = flat[1:], flat[wide:], flat[wide + 1 :]
    # The last place that still has a neighbour on its far side.
    last_x, last_y = (np.nextafter(np.float32(side - 1), np.float32(0)) for side in (wide, high))
    shape = (rows, x.shape[1])
    column, row = np.empty(shape, np.intp), np.empty(shape, np.intp)
    px, py, whole, low = (np.empty(shape, np.float32) for _ in range(4))
    for top in bands:
        here = slice(top, min(top + rows, x.shape[0]))
        n = here.stop - here.start
        c, r, fx, fy, w, a = column[:n], row[:n], px[:n], py[:n], whole[:n], low[:n]
        np.fmin(np.fmax(x[here], 0, out=fx), last_x, out=fx)
        np.fmin(np.fmax(y[here], 0, out=fy), last_y, out=fy)
        np.copyto(c, np.floor(fx, out=w), casting="unsafe")
        fx -= w
        np.copyto(r, np.floor(fy, out=w), casting="unsafe")
        fy -= w
        r *= wide
        r += c
        _between(flat[r], right[r], fx, a)
        _between(below[r], across[r], fx, w)
        w -= a
        w *= fy
        w += a
        out[here] = w


def _between(left: Tones, right: Tones, share: Floats32, out: Floats32) -> None:
    np.subtract(right, left, out=out, dtype=np.float32)
    out *= share
    out += left


def reduced(tones: Tones, factor: int) -> Tones:
    """The mean of blocks of `factor` by `factor` dots; what is left over at the right and below is averaged too.

    >>> reduced(np.array([[0, 10, 50], [20, 30, 70]], np.uint16), 2).tolist()
    [[15, 60]]
    """
    if factor == 1:
        return tones
    high, wide = tones.shape
    across, down = np.arange(0, wide, factor), np.arange(0, high, factor)
    out = np.empty((len(down), len(across)), np.uint16)
    counts = np.diff(np.append(across, wide))
    for k, top in enumerate(down.tolist()):
        part = tones[top : top + factor].sum(0, dtype=np.int64)
        out[k] = np.rint(np.add.reduceat(part, across) / (counts * min(factor, high - top)))
    return out


def averaged(tones: Tones, x: NDArray[np.float64], y: NDArray[np.float64]) -> Floats32:
    """Mean tones of the cells whose middles look up the places `x`, `y` (n, m) float [dots].

    A cell reaches half way to its neighbours. Where it covers several dots the mean of several places is
    taken; where it covers many, the picture is reduced first. n and m at least 2.

    >>> stripes = np.tile(np.array([0, 1000], np.uint16), (8, 8))
    >>> x, y = np.meshgrid(np.arange(1.5, 16, 4), np.arange(1.5, 8, 4))
    >>> averaged(stripes, x, y).tolist()
    [[500.0, 500.0, 500.0, 500.0], [500.0, 500.0, 500.0, 500.0]]
    """
    steps = [np.gradient(np.where(np.isfinite(v), v, 0.0)) for v in (x, y)]
    (x_down, x_right), (y_down, y_right) = steps
    usable = np.isfinite(x) & np.isfinite(y)
    if not usable.any():
        return np.zeros(x.shape, np.float32)
    right = np.hypot(x_right, y_right)[usable]
    down = np.hypot(x_down, y_down)[usable]
    factor = max(1, int(min(float(np.median(right)), float(np.median(down))) // 2))
    factor = min(factor, tones.shape[0] // 2, tones.shape[1] // 2)
    small = reduced(tones, factor)
    scale = 1 / factor
    # The dots that are not usable are never looked at again, so a wild step beside them costs nothing.
    many = [
        max(1, math.ceil(SAMPLES_PER_DOT * scale * float(np.quantile(size, 0.99)) - 1e-9)) for size in (right, down)
    ]
    total = np.zeros(x.shape, np.float32)
    for i in range(many[0]):
        for j in range(many[1]):
            a, b = (i + 0.5) / many[0] - 0.5, (j + 0.5) / many[1] - 0.5
            at_x = (x + a * x_right + b * x_down + 0.5) * scale - 0.5
            at_y = (y + a * y_right + b * y_down + 0.5) * scale - 0.5
            total += remapped(small, at_x.astype(np.float32), at_y.astype(np.float32))
    total /= many[0] * many[1]
    return total
