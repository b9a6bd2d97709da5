"""Rings as DXF, read back with the library that others use."""

import io

import ezdxf
import numpy as np
import pytest
from ezdxf import recover

from rotary.artwork.dxf_write import TICKS_LAYER, dxf_bytes
from rotary.artwork.rings import NO_INK, area_mm2, list_from_rings, rings_from_list

SQUARE = [(0, 0), (4, 0), (4, 4), (0, 4)]
HOLE = [(1, 1), (1, 2), (2, 2), (2, 1)]
PARTS = {"slice-1": rings_from_list([SQUARE, HOLE]), "slice-2": rings_from_list([[(5.001, -1), (7.25, -1), (6, 3)]])}


def test_another_reader_finds_the_same_rings() -> None:
    """Closed polylines of R2010 in millimetres, a layer a slice, every vertex to the last digit, no complaint."""
    document, auditor = recover.read(io.BytesIO(dxf_bytes(PARTS, 20, 10, "a sheet")))
    assert not auditor.has_errors
    assert (document.dxfversion, document.header["$INSUNITS"]) == ("AC1024", 4)
    for name, rings in PARTS.items():
        found = document.modelspace().query(f'LWPOLYLINE[layer=="{name}"]')
        assert all(line.closed for line in found)
        points = [np.array([(x, y) for x, y, *_ in line.get_points()]) for line in found]
        for mine, theirs in zip(list_from_rings(rings), points, strict=True):
            assert np.array_equal(mine, theirs)
        assert area_mm2(rings_from_list(points)) == area_mm2(rings)


def test_the_corners_are_held_by_ticks() -> None:
    """What is drawn is as large as the page, whatever the slices look like."""
    document = ezdxf.read(io.StringIO(dxf_bytes({"slice-1": NO_INK}, 20, 10, "a").decode()))
    ticks = document.modelspace().query(f'LWPOLYLINE[layer=="{TICKS_LAYER}"]')
    points = np.concatenate([[(x, y) for x, y, *_ in line.get_points()] for line in ticks])
    assert (points.min(0).tolist(), points.max(0).tolist()) == ([-10.0, -5.0], [10.0, 5.0])


@pytest.mark.parametrize("about", ["two\nlines", "Ωρύγιον", "a" * 5000])
def test_any_description_leaves_the_file_whole(about: str) -> None:
    """A name with line breaks or in any script can't break the pairs of lines that DXF is made of."""
    document, auditor = recover.read(io.BytesIO(dxf_bytes(PARTS, 20, 10, about)))
    assert not auditor.has_errors
    assert len(document.modelspace().query("LWPOLYLINE")) == 3 + 4
