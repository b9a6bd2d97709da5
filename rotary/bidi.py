"""The order in which letters stand on a line where some scripts run to the left.

After the Unicode Bidirectional Algorithm (Unicode Standard Annex #9): rules P2-P3, W1-W7, N1-N2, I1-I2
and L1-L2. Explicit embeddings and isolates are not honoured: a name on a bottle has none.
"""

from typing import Final, NamedTuple
from unicodedata import bidirectional

_STRONG: Final = {"L", "R", "AL"}
_NEUTRAL: Final = {"B", "S", "WS", "ON", "BN", "LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}


class BidiRun(NamedTuple):
    """Letters text[start:stop] that run the same way."""

    start: int
    stop: int
    rightwards: bool


def runs(text: str, rightwards: bool | None = None, line: slice = slice(None)) -> list[BidiRun]:
    """The runs from left to right of one `line` of a text, or of all of it, counted from the line's start. Without
    `rightwards` the first strong letter of the text decides.

    >>> runs("ab")
    [BidiRun(start=0, stop=2, rightwards=True)]
    >>> [(run.start, run.stop) for run in runs("ab אב 12")]
    [(0, 3), (6, 8), (3, 6)]
    """
    if text.isascii() and rightwards is not False:
        return [BidiRun(0, len(text[line]), True)] if text[line] else []
    return _in_view(_levels(text, rightwards, line))


def runs_left(text: str) -> bool:
    """Whether some of a text runs to the left.

    >>> runs_left("Heron 60"), runs_left("60 \u05d0")
    (False, True)
    """
    return not text.isascii() and any(bidirectional(letter) in ("R", "AL") for letter in text)


def _levels(text: str, rightwards: bool | None, line: slice) -> list[int]:
    given = [bidirectional(letter) or "L" for letter in text]
    if rightwards is None:
        rightwards = next((kind for kind in given if kind in _STRONG), "L") == "L"
    base = 0 if rightwards else 1
    side = "L" if rightwards else "R"
    kinds = _neutrals(_weak(given, side), side)
    levels = [_level(kind, base) for kind in kinds[line]]
    # L1: white space at the line's end, and separators, go with the line.
    for i, kind in zip(range(len(levels) - 1, -1, -1), reversed(given[line]), strict=True):
        if kind not in ("WS", "B", "S", "BN"):
            break
        levels[i] = base
    return levels


def _level(kind: str, base: int) -> int:
    if base == 0:
        return {"L": 0, "R": 1}.get(kind, 2)
    return {"R": 1}.get(kind, 2)


def _weak(kinds: list[str], side: str) -> list[str]:
    """Rules W1 to W7: marks, numbers, and what stands between and beside them."""
    out = _marks_and_digits(kinds, side)
    for i in range(1, len(out) - 1):
        around = out[i - 1], out[i + 1]
        if out[i] in ("ES", "CS") and around == ("EN", "EN"):
            out[i] = "EN"
        elif out[i] == "CS" and around == ("AN", "AN"):
            out[i] = "AN"
    _terminators(out)
    strong = side
    for i, kind in enumerate(out):
        if kind in ("L", "R"):
            strong = kind
        elif kind in ("ES", "ET", "CS"):
            out[i] = "ON"
        elif kind == "EN" and strong == "L":
            out[i] = "L"
    return out


def _marks_and_digits(kinds: list[str], side: str) -> list[str]:
    """W1 to W3: marks go with their letter, digits after Arabic letters are Arabic."""
    out = list(kinds)
    strong = before = side
    for i, kind in enumerate(out):
        if kind == "NSM":
            out[i] = before
        elif kind == "EN" and strong == "AL":
            out[i] = "AN"
        elif kind in _STRONG:
            strong = kind
        before = out[i]
    return ["R" if kind == "AL" else kind for kind in out]


def _terminators(kinds: list[str]) -> None:
    """W5: signs such as % and € beside a number belong to it."""
    for order in (range(len(kinds)), range(len(kinds) - 1, -1, -1)):
        number = False
        for i in order:
            if kinds[i] == "ET" and number:
                kinds[i] = "EN"
            number = kinds[i] == "EN"


def _neutrals(kinds: list[str], side: str) -> list[str]:
    """N1 and N2: what stands between two letters of one way goes with them, else with the line."""
    out = list(kinds)
    i = 0
    while i < len(out):
        if out[i] not in _NEUTRAL:
            i += 1
            continue
        stop = i
        while stop < len(out) and out[stop] in _NEUTRAL:
            stop += 1
        left = _way(out[i - 1]) if i else side
        right = _way(out[stop]) if stop < len(out) else side
        out[i:stop] = [left if left == right else side] * (stop - i)
        i = stop
    return out


def _way(kind: str) -> str:
    """Numbers count as running to the left where neutrals are decided."""
    return "L" if kind == "L" else "R"


def _in_view(levels: list[int]) -> list[BidiRun]:
    """L2: from the highest level down, every stretch at that level or above is turned round."""
    found: list[tuple[BidiRun, int]] = []
    start = 0
    for i in range(1, len(levels) + 1):
        if i == len(levels) or levels[i] != levels[start]:
            found.append((BidiRun(start, i, levels[start] % 2 == 0), levels[start]))
            start = i
    for level in range(max(levels, default=0), 0, -1):
        i = 0
        while i < len(found):
            stop = i
            while stop < len(found) and found[stop][1] >= level:
                stop += 1
            found[i:stop] = found[i:stop][::-1]
            i = max(stop, i + 1)
    return [run for run, _ in found]
