"""Tones looked up where a map sends each dot: in blocks, between four dots, averaged where the picture shrinks.

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

BLOCK: Final = 65_536  # dots at a time: few enough for the cache, enough that threads seldom wait for each other
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
    out = np.empty(x.size, np.float32)
    flat_x, flat_y = (np.ascontiguousarray(v, np.float32).ravel() for v in (x, y))
    whole = np.ascontiguousarray(tones)
    starts = range(0, out.size, BLOCK)
    workers = min(MOST_WORKERS, os.cpu_count() or 1, len(starts))
    if workers < 2:
        _remap_blocks(whole, flat_x, flat_y, out, starts)
    else:
        # Array operations let go of the interpreter, so threads run on cores of their own.
        with ThreadPoolExecutor(workers) as pool:
            shares = [starts[k::workers] for k in range(workers)]
            list(pool.map(lambda share: _remap_blocks(whole, flat_x, flat_y, out, share), shares))
    return out.reshape(x.shape)


def _remap_blocks(tones: Tones, x: Floats32, y: Floats32, out: Floats32, starts: Iterable[int]) -> None:
    high, wide = tones.shape
    flat, many = tones.ravel(), high * wide - wide - 1
    upper = flat[:many], flat[1 : many + 1]
    lower = flat[wide : many + wide], flat[wide + 1 :]
    # The last place that still has a neighbour on its far side.
    last_x, last_y = (np.nextafter(np.float32(side - 1), np.float32(0)) for side in (wide, high))
    size = min(BLOCK, len(out))
    column, row, at = np.empty(size, np.int32), np.empty(size, np.int32), np.empty(size, np.intp)
    px, py, spare, found = (np.empty(size, np.float32) for _ in range(4))
    picked = np.empty(size, tones.dtype)
    for start in starts:
        here = slice(start, min(start + size, len(out)))
        n = here.stop - start
        c, r, i, fx, fy, w, g = column[:n], row[:n], at[:n], px[:n], py[:n], spare[:n], picked[:n]
        _whole_and_rest(_within(x[here], last_x), c, fx)
        _whole_and_rest(_within(y[here], last_y), r, fy)
        r *= np.int32(wide)
        r += c
        np.copyto(i, r)
        top = out[here]
        _row_between(upper, i, fx, g, w, top)
        _row_between(lower, i, fx, g, w, found[:n])
        np.subtract(found[:n], top, out=w)
        w *= fy
        top += w


def _within(places: Floats32, last: np.float32) -> Floats32:
    """The places themselves where all lie on the picture, which is cheap to see; else the nearest that do."""
    if places.min() >= 0 and places.max() <= last:
        return places
    return np.fmin(np.fmax(places, np.float32(0)), last)


def _whole_and_rest(places: Floats32, whole: NDArray[np.int32], rest: Floats32) -> None:
    np.copyto(whole, places, casting="unsafe")
    np.copyto(rest, whole, casting="unsafe")
    np.subtract(places, rest, out=rest)


def _row_between(
    sides: tuple[Tones, Tones], at: NDArray[np.intp], share: Floats32, picked: Tones, spare: Floats32, out: Floats32
) -> None:
    """Between the dots on the left and on the right; `picked` and `spare` are room to work in."""
    # Every place has been brought onto the picture, so none is ever wrapped: it is the mode that looks least.
    sides[0].take(at, out=picked, mode="wrap")
    np.copyto(out, picked)
    sides[1].take(at, out=picked, mode="wrap")
    np.copyto(spare, picked)
    spare -= out
    spare *= share
    out += spare


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
