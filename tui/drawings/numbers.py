"""Numbers in their order, as large as the room allows, each with its warning."""

from collections.abc import Iterator
from math import ceil
from typing import Final, NamedTuple

from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.figures import can_be_large, large, large_width
from tui.drawings.words import wrapped

LEAST_LABEL: Final = 6
"""Cells of a label that is still known."""


class Number(NamedTuple):
    """One number to key in; `leave` warns of one that is not the real one, and stands on its line."""

    label: str
    text: str
    unit: str = ""
    leave: str = ""


def _runs(found: list[Number]) -> Iterator[list[Number]]:
    """Numbers that stand side by side, together; one with a warning has its lines to itself."""
    run: list[Number] = []
    for number in found:
        if number.leave:
            yield from ([run] if run else [])
            yield [number]
            run = []
        else:
            run.append(number)
    yield from ([run] if run else [])


def _warning(ink: str) -> str:
    return "muted" if ink == "muted" else "warn"


def large_part(found: list[Number], width: int, ink: str) -> list[Line]:
    """The numbers in figures three lines high, side by side where there is room."""
    return [line for run in _runs(found) for line in _large_run(run, width, ink)]


def _large_run(run: list[Number], width: int, ink: str) -> list[Line]:
    columns = _large_columns(run, width)
    each = width // columns
    lines: list[Line] = []
    for start in range(0, len(run), columns):
        chosen = run[start : start + columns]
        lines.append([Run(f" {fitted(number.label, each - 2):<{each - 1}}", "muted") for number in chosen])
        figures = [large(number.text) if can_be_large(number.text) else ("", number.text, "") for number in chosen]
        for row in range(3):
            units = [f" {number.unit}" if row == 2 else "" for number in chosen]
            cells = [f" {fitted(figure[row] + unit, each - 1)}" for figure, unit in zip(figures, units, strict=True)]
            lines.append([Run(f"{cell:<{each}}", ink) for cell in cells])
        if chosen[0].leave:
            lines[-1] = [Run(cells[0], ink)]
            lines = _with_warning(lines, chosen[0].leave, width, ink)
    return lines


def _with_warning(lines: list[Line], leave: str, width: int, ink: str) -> list[Line]:
    """Lines with a warning after the last of them, or below it where that is too narrow."""
    if sum(len(run.text) for run in lines[-1]) + 3 + len(leave) <= width:
        return [*lines[:-1], [*lines[-1], Run(f"   {leave}", _warning(ink))]]
    return [*lines, *wrapped(leave, width - 1, _warning(ink), "   ")]


def _large_columns(found: list[Number], width: int) -> int:
    """How many columns there are room for, wide enough for the widest figure and its label."""
    return max(1, width // (max(max(_wide(number), min(len(number.label), 22)) for number in found) + 3))


def _small_columns(found: list[Number], width: int) -> tuple[int, int, int]:
    """How many columns, and how wide a label and a value are."""
    value = max(len(number.text) + len(number.unit) + 1 for number in found)
    label = min(max(len(number.label) for number in found), 24)
    return max(1, min(3, width // (min(label, 21) + value + 3))), label, value


def _wide(number: Number) -> int:
    figure = large_width(number.text) if can_be_large(number.text) else len(number.text)
    return figure + 1 + len(number.unit)


def small_part(found: list[Number], width: int, ink: str) -> list[Line]:
    """The numbers a line each, side by side where there is room."""
    if not found:
        return []
    columns, label, value = _small_columns(found, width)
    each = max(width // columns, 1)
    label = max(min(label, each - value - 2), LEAST_LABEL)
    lines: list[Line] = []
    for run in _runs(found):
        if run[0].leave:
            lines += _small_alone(run[0], label, width, ink)
            continue
        rows = ceil(len(run) / columns)
        lines += [
            [part for number in run[row::rows] for part in _cell(number, label, max(each - label - 2, 1), ink)]
            for row in range(rows)
        ]
    return lines


def _cell(number: Number, label: int, room: int, ink: str) -> Line:
    value = fitted(f"{number.text} {number.unit}", room)
    return [Run(f" {fitted(number.label, label):<{label}} ", "muted"), Run(f"{value:<{room}}", ink)]


def _small_alone(number: Number, label: int, width: int, ink: str) -> list[Line]:
    """A number with its warning: its label gives way, so that both stand on one line as long as they can."""
    value = f"{number.text} {number.unit}".rstrip()
    room = width - len(value) - len(number.leave) - 5
    room = min(label, room) if room >= len(number.label) else label
    return _with_warning([_cell(number, room, len(value), ink)], number.leave, width, ink)
