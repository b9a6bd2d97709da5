"""The proof patch as a drawing at true size: one group a cell, labels in a group of their own that is not marked."""

from typing import Final
from xml.sax.saxutils import escape

from rotary.errors import single_line
from rotary.passes.learning.reading_text import columns_of, same_for_all, settings_text
from rotary.passes.patch.cells import GAP_MM, PatchRecord

BORDER_MM: Final = 6.0
_LETTER_MM: Final = 2.2


def patch_svg(record: PatchRecord, axis: str = "y") -> str:
    """The drawing, in millimetres; the group of each cell bears its number and, as words, the settings of its own.

    `axis` is that of the field along which the item lies.
    """
    record = record.in_field(axis)
    width, height = (side + 2 * BORDER_MM for side in record.size_mm)
    cell_wide, cell_high = record.looks[0].inked_width_mm, record.looks[0].inked_height_mm
    last = {number: looks[-1] for number, looks in record.cells.items()}
    columns = columns_of(list(last.values()))
    cells, labels = [], []
    for number, (row, column) in record.places.items():
        x = BORDER_MM + (column - 1) * (cell_wide + GAP_MM)
        y = BORDER_MM + (row - 1) * (cell_high + GAP_MM)
        looked = ", ".join(f"{look.passes}" for look in record.cells[number])
        says = f"cell {number}: {settings_text(last[number], fields=columns)}; stop and look after {looked} passes"
        cells.append(
            f'  <g id="cell-{number}"><desc>{_text(says)}</desc><rect x="{x:g}" y="{y:g}" width="{cell_wide:g}" '
            f'height="{cell_high:g}"/></g>'
        )
        labels.append(f'    <text x="{x:g}" y="{y - 0.4:g}">{number}</text>')
    same = "; ".join(f"{name}: {text}" for name, text in same_for_all(list(last.values())))
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}">',
        f"  <title>{_text(f'Test {record.name}')}: true size. Each cell is a group with its own settings</title>",
        f"  <desc>For all cells: {_text(same)}. The group labels is for paper only: it is not marked.</desc>",
        *cells,
        f'  <g id="labels" font-family="sans-serif" font-size="{_LETTER_MM:g}" fill="#808080">',
        *labels,
        "  </g>",
        "</svg>",
    ]
    return "\n".join(lines) + "\n"


def _text(words: str) -> str:
    return escape(single_line(words))
