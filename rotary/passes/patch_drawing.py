"""The proof patch as a drawing at true size: one group a cell, labels in a group of their own that is not marked."""

from typing import Final

from rotary.passes.patch import Patch

_BORDER_MM: Final = 6.0
_LETTER_MM: Final = 2.2


def patch_svg(patch: Patch) -> str:
    """The drawing, in millimetres; the group of each cell bears its number, as in the table of settings."""
    width, height = patch.width_mm + 2 * _BORDER_MM, patch.height_mm + 2 * _BORDER_MM
    cells, labels = [], []
    for cell in patch.cells:
        x = _BORDER_MM + (cell.column - 1) * (patch.cell_width_mm + patch.gap_mm)
        y = _BORDER_MM + (cell.row - 1) * (patch.cell_height_mm + patch.gap_mm)
        cells.append(
            f'  <g id="cell-{cell.number}"><rect x="{x:g}" y="{y:g}" width="{patch.cell_width_mm:g}" '
            f'height="{patch.cell_height_mm:g}"/></g>'
        )
        labels.append(f'    <text x="{x:g}" y="{y - 0.4:g}">{cell.number}</text>')
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}">',
        "  <title>Proof patch: true size; one group a cell, each with its own setting</title>",
        "  <desc>The group labels is for paper only: it is not marked.</desc>",
        *cells,
        f'  <g id="labels" font-family="sans-serif" font-size="{_LETTER_MM:g}" fill="#808080">',
        *labels,
        "  </g>",
        "</svg>",
    ]
    return "\n".join(lines) + "\n"
