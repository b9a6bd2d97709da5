"""Rings as a DXF drawing: closed polylines, a layer for each slice, millimetres.

R2010, because older kinds of DXF drop the unit and programs then guess it.
"""

import io
from collections.abc import Mapping
from typing import Final

from rotary.artwork.dxf_library import without_fonts
from rotary.artwork.outfiles import MADE_BY
from rotary.artwork.rings import Rings, list_from_rings
from rotary.errors import single_line

TICK_MM: Final = 1.0
TICKS_LAYER: Final = "corner-ticks"
MILLIMETRES: Final = 4  # as $INSUNITS counts units
GREY: Final = 8  # of the indexed colours


def dxf_bytes(parts: Mapping[str, Rings], width_mm: float, height_mm: float, about: str) -> bytes:
    """A DXF text of closed LWPOLYLINEs [mm] from the page's middle with y up; a layer for each part.

    Small ticks hold the page's corners, on a layer of their own. Holes are rings of their own: fill even-odd.

    >>> from rotary.artwork.rings import rings_from_list
    >>> text = dxf_bytes({"slice-1": rings_from_list([[(0, 0), (1, 0), (0, 1)]])}, 10, 4, "a page").decode()
    >>> text.count("\\nLWPOLYLINE\\n"), text.splitlines()[:2]
    (5, ['999', 'a page (drawn by rotary)'])
    """
    with without_fonts():
        from ezdxf.filemanagement import new

    document = new("R2010", units=MILLIMETRES)
    space = document.modelspace()
    for name, rings in parts.items():
        document.layers.add(name)
        for ring in list_from_rings(rings):
            space.add_lwpolyline(ring.tolist(), close=True, dxfattribs={"layer": name})
    document.layers.add(TICKS_LAYER, color=GREY)
    x, y = width_mm / 2, height_mm / 2
    arm = min(TICK_MM, width_mm / 4, height_mm / 4)
    for sx, sy in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
        corner = [(sx * (x - arm), sy * y), (sx * x, sy * y), (sx * x, sy * (y - arm))]
        space.add_lwpolyline(corner, dxfattribs={"layer": TICKS_LAYER})
    out = io.StringIO()
    document.write(out)
    # A comment before everything else is part of the format, and says whose file this is.
    return f"999\n{single_line(about)} ({MADE_BY})\n{out.getvalue()}".encode()
