"""Where the focus of a form goes next, among its rows. No terminal in here."""

from collections.abc import Sequence

from tui.form.fields import Table, row_and_column
from tui.form.rows import Row
from tui.form.values import FormValues

Place = tuple[int, int]
"""A row, and a cell in it."""


def row_with_cells(rows: Sequence[Row], row: int, by: int, wrap: bool = True) -> int:
    """The next row in that direction that has a cell; without `wrap` the same row where there is none."""
    place = row
    while True:
        place += by
        if not 0 <= place < len(rows):
            if not wrap:
                return row
            place %= len(rows)
        if rows[place].cells:
            return place


def next_missing(rows: Sequence[Row], missing: Sequence[str], at: Place, here: str) -> str:
    """The next field after a place that has to be filled in, then the first of all; empty where there is none."""
    places = {cell.key: (row, column) for row, line in enumerate(rows) for column, cell in enumerate(line.cells)}
    keys = [key for key in missing if key != here]
    return next((key for key in keys if places.get(key, at) > at), keys[0] if keys else "")


def next_field(rows: Sequence[Row], values: FormValues, at: Place) -> Place | None:
    """What is filled in after a place: down the column, on to a gap in the column beside it, then past the table.

    Buttons and folds are passed over: Enter alone, pressed again and again, adds nothing and folds nothing.
    """
    row, column = rows[at[0]], at[1]
    below = rows[at[0] + 1] if at[0] + 1 < len(rows) else row
    stays = below.kind == row.kind and below.table is row.table
    gap = gap_beside(rows, values, row.table, column) if row.kind == "cells" and not stays else None
    if gap is not None:
        return gap, column + 1
    for place in range(at[0] + 1, len(rows)):
        cells = rows[place].cells
        if cells and cells[0].act in ("type", "choose"):
            return place, column if stays else 0
    return None


def gap_beside(rows: Sequence[Row], values: FormValues, table: Table | None, column: int) -> int | None:
    """The first row of a table whose next cell should be filled in and is not."""
    for place, row in enumerate(rows):
        if row.kind != "cells" or row.table is not table or column + 1 >= len(row.cells):
            continue
        cell = row.cells[column + 1]
        # What stands while it is empty will do.
        wanted = cell.act == "type" and cell.field and not cell.field.stands and not cell.field.instead
        if wanted and not values.text(cell.key):
            return place
    return None


def pasted(values: FormValues, table: Table, key: str, lines: Sequence[Sequence[str]]) -> dict[str, str]:
    """The texts of pasted lines from a cell on: down its column, across the columns beside it, with rows as needed."""
    here = row_and_column(key, table)
    if here is None:
        return {}
    first = next((place for place, column in enumerate(table.columns) if column.key == here[1]), 0)
    texts = {f"{table.key}.#": str(max(values.rows(table), here[0] + len(lines)))}
    for place, line in enumerate(lines):
        for column, text in zip(table.columns[first:], line, strict=False):
            texts[table.cell(here[0] + place, column)] = text.strip()[:400]
    return texts
