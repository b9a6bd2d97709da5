"""Sections beside each other: in the left and the right column, or one in two columns of its own."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from rotary.papers.model import Section, Sentences
from rotary.papers.typeset import NOTHING, Laid, Size, block, heading, section, side_by_side, stacked

LEFT_SHARE: Final = 0.5
_GUTTER_MM: Final = 4.5


def runs(sections: Sequence[Section]) -> list[list[Section]]:
    """Sections that stand beside each other, together; after a right one, a left one begins a new run.

    >>> [len(run) for run in runs([Section("a", (), "left"), Section("b", (), "right"), Section("c", ())])]
    [2, 1]
    """
    found: list[list[Section]] = []
    for part in sections:
        before = found[-1][-1].column if found else "full"
        beside_it = part.column in ("left", "right") and before in ("left", "right")
        if beside_it and (before, part.column) != ("right", "left"):
            found[-1].append(part)
        else:
            found.append([part])
    return found


def set_run(run: Sequence[Section], wide: float, size: Size) -> Laid:
    """A run of sections, set across the page."""
    if run[0].column == "two":
        return _two(run[0], wide, size)
    if run[0].column == "full":
        return section(run[0], wide, size)
    left_wide = LEFT_SHARE * wide - _GUTTER_MM / 2
    right_wide = wide - left_wide - _GUTTER_MM
    left = stacked([section(part, left_wide, size) for part in run if part.column == "left"], size.gap_mm)
    right = stacked([section(part, right_wide, size) for part in run if part.column == "right"], size.gap_mm)
    return side_by_side([(left, 0.0), (right, left_wide + _GUTTER_MM)])


def filled(sections: Sequence[Section], wide: float, size: Size) -> tuple[Section, ...]:
    """Sections with those that may fill it moved into the right column, where it is so much shorter than the left."""
    found = list(sections)
    side = {name: [part for part in found if part.column == name] for name in ("left", "right")}
    if not side["left"] or not side["right"]:
        return tuple(found)
    half = LEFT_SHARE * wide - _GUTTER_MM / 2
    left, right = (stacked([section(part, half, size) for part in parts], size.gap_mm) for parts in side.values())
    spare = left.high_mm - right.high_mm
    for part in [part for part in found if part.fills]:
        moved = replace(part, column="right")
        takes = section(moved, half, size).high_mm + size.gap_mm
        if takes <= spare:
            found.remove(part)
            last = max(at for at, one in enumerate(found) if one.column == "right")
            found.insert(last + 1, moved)
            spare -= takes
    return tuple(found)


def _two(part: Section, wide: float, size: Size) -> Laid:
    """A section in two columns: sentence by sentence, other blocks whole."""
    half = (wide - _GUTTER_MM) / 2
    pieces: list[Laid] = []
    for one in part.blocks:
        if isinstance(one, Sentences):
            pieces += [block(replace(one, texts=(text,)), half, size) for text in one.texts]
        else:
            pieces.append(block(one, half, size))
    return stacked([heading(part.title, wide, size), columns(pieces, wide, _GUTTER_MM)], 0.3)


def columns(parts: Sequence[Laid], wide: float, gap: float) -> Laid:
    """Parts in two columns of about the same height, in order, the left first."""
    if not parts:
        return NOTHING
    best = min(range(1, len(parts) + 1), key=lambda at: max(_tall(parts[:at]), _tall(parts[at:])))
    return side_by_side([(stacked(parts[:best], 0.25), 0.0), (stacked(parts[best:], 0.25), (wide + gap) / 2)])


def _tall(parts: Sequence[Laid]) -> float:
    return stacked(parts, 0.25).high_mm
