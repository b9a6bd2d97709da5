"""From a file to a drawing: one region of ink in millimetres, and the list of what could not be read.

::

    file ── SVG ──> shapes in the order of painting ──┐
         ── DXF ──> closed lines                    ──┼──> one region of ink, x to the right, y up [mm]
    typed text ───> letters                         ──┘
"""

from codecs import BOM_UTF8
from pathlib import Path
from typing import Final

from rotary.artwork.drawing import AS_IT_IS, Drawing, DrawingReading
from rotary.artwork.work import MOST_BYTES, Ledger, refused
from rotary.errors import brief
from rotary.files import bytes_of_file


def read_artwork(source: Path | bytes, how: DrawingReading = AS_IT_IS, name: str = "") -> Drawing:
    """Read an SVG or DXF file, or its bytes. Raises Refused, with one sentence that says what to do instead.

    >>> from rotary.artwork.rings import area_mm2
    >>> disc = b'<svg width="20mm" height="20mm" viewBox="0 0 20 20"><circle cx="10" cy="10" r="8"/></svg>'
    >>> drawing = read_artwork(disc, DrawingReading(width_mm=10))
    >>> round(area_mm2(drawing.ink), 1), drawing.size_stated
    (78.5, True)
    """
    data = source if isinstance(source, bytes) else _bytes_of(source)
    name = name or (brief(source.name, 60) if isinstance(source, Path) else "artwork")
    _refuse_other_kinds(data)
    ledger = Ledger(progress=how.progress)
    if _is_dxf(data):
        from rotary.artwork.dxf import drawing_from_dxf

        return drawing_from_dxf(data, how, name, ledger)
    from rotary.artwork.svg_drawing import drawing_from_svg

    return drawing_from_svg(data, how, name, ledger)


def _bytes_of(path: Path) -> bytes:
    larger = refused(f"is larger than {MOST_BYTES >> 20} MB: simplify the drawing, or divide it into parts")
    return bytes_of_file(path, MOST_BYTES, "name an SVG or DXF file", larger)


# First bytes of files that are often given by mistake, and what to do with each.
_OTHERS: Final = (
    (b"PK\x03\x04", "is a zip archive, whatever its name says: unpack it, and choose the SVG or DXF file in it"),
    (b"%PDF", "is a PDF: open it in a drawing program and export it as SVG"),
    (b"%!PS", "is PostScript: open it in a drawing program and export it as SVG"),
    (b"\x89PNG", "is a picture made of dots, not a drawing: use rotary art dots for pictures, or trace it to an SVG"),
    (b"\xff\xd8\xff", "is a photograph, not a drawing: use rotary art dots for pictures, or trace it to an SVG"),
    (
        b"GIF8",
        "is a picture made of dots, not a drawing: save it as PNG and use rotary art dots, or trace it to an SVG",
    ),
    (b"II*\x00", "is a picture made of dots, not a drawing: use rotary art dots for pictures, or trace it to an SVG"),
    (b"MM\x00*", "is a picture made of dots, not a drawing: use rotary art dots for pictures, or trace it to an SVG"),
    (b"AutoCAD Binary DXF", "is a binary DXF: save it as a text DXF"),
    (b"AC10", "is a DWG: save it as DXF"),
    (b"\x00\x01\x00\x00", "is a font, not a drawing: write a text, and choose this file as its font"),
    (b"OTTO", "is a font, not a drawing: write a text, and choose this file as its font"),
)


def _refuse_other_kinds(data: bytes) -> None:
    if not data.strip():
        raise refused("is empty: export the artwork again as SVG or DXF")
    if len(data) > MOST_BYTES:
        raise refused(f"is larger than {MOST_BYTES >> 20} MB: simplify the drawing, or divide it into parts")
    for first, says in _OTHERS:
        if data.startswith(first):
            raise refused(says)


def _is_dxf(data: bytes) -> bool:
    """A text of pairs of lines that starts with a section or a comment."""
    lines = [line.strip() for line in data[:2000].strip().removeprefix(BOM_UTF8).splitlines()[:40]]
    return b"SECTION" in lines or lines[:1] == [b"999"]
