"""A DXF file's bytes as a document of the parser: looked at before it counts with them, and mended for it."""

import logging
import re
from codecs import BOM_UTF8
from contextlib import suppress
from io import BytesIO, StringIO
from typing import Any, Final

from rotary.artwork.dxf_library import without_fonts
from rotary.artwork.work import refused
from rotary.errors import brief

# The parser has warnings of its own, which would go to the terminal: what matters is in the list of what was not read.
logging.getLogger("ezdxf").addHandler(logging.NullHandler())

MOST_DXF_BYTES: Final = 12 << 20  # the parser needs some thirty times as much memory
WILD: Final = 1e9
_AROUND: Final = b" \t\n\0\x1a"  # what old programs write after the end, and others before the beginning

# What the parser raises, besides its own errors, on a file that is not what it says.
TRIPPED: Final = (ValueError, LookupError, TypeError, AttributeError, OSError, ArithmeticError)


def document_from_dxf(data: bytes) -> Any:
    """The parser's document, which no number in it can hang or crash; raises Refused."""
    if len(data) > MOST_DXF_BYTES:
        raise refused(f"is a DXF of more than {MOST_DXF_BYTES >> 20} MB: simplify it, or export it as SVG")
    data = data.removeprefix(BOM_UTF8).replace(b"\r\n", b"\n").replace(b"\r", b"\n").strip(_AROUND)
    if b"EOF" not in data[-200:]:
        raise refused("breaks off before its end: copy the file again, or export it again")
    _refuse_wild_numbers(data)
    with without_fonts():
        from ezdxf import recover  # type: ignore[import-not-found, import-untyped, unused-ignore]
        from ezdxf.filemanagement import read  # type: ignore[import-not-found, unused-ignore]
        from ezdxf.lldxf.const import DXFError  # type: ignore[import-not-found, unused-ignore]
        from ezdxf.tools.codepage import toencoding  # type: ignore[import-not-found, unused-ignore]

    if b"AcDb" not in data:
        data = _with_subclasses(data)
    page = re.search(rb"\$DWGCODEPAGE\s+3\s+(\w+)", data)
    for encoding in ("utf-8", toencoding(page[1].decode("ascii", "replace")) if page else "cp1252"):
        with suppress(DXFError, *TRIPPED):
            return _with_stated_unit(read(StringIO(data.decode(encoding))), data)
    # Damage: the slower way, which mends what it can.
    try:
        return _with_stated_unit(recover.read(BytesIO(data))[0], data)
    except (DXFError, *TRIPPED):
        raise refused("is a damaged DXF: export it again, as a text DXF of release R12 or later") from None


def _with_stated_unit(document: Any, data: bytes) -> Any:
    """The document without a unit where the file names none: the parser would take metres."""
    if not re.search(rb"(?m)^ *\$INSUNITS *$", data):
        document.header["$INSUNITS"] = 0
    return document


# The marks within an entity that releases after R12 have, and small programs leave out.
_SUBCLASSES: Final = {b"LWPOLYLINE": b"AcDbPolyline", b"SPLINE": b"AcDbSpline"}
_OF_ANY_ENTITY: Final = frozenset(b"5 330 6 8 48 60 62 67 370 390 410 420 430 440".split())
_POINTS: Final = frozenset(b"10 11 40 41".split())
OLD_RELEASE: Final = 1009  # R12


def _with_subclasses(data: bytes) -> bytes:
    """The same with the marks that the parser asks for."""
    lines = data.split(b"\n")
    out: list[bytes] = []
    mark: bytes | None = None
    # Where a file names no release, or an old one, the parser looks for all but the points before the marks.
    release = re.search(rb"\$ACADVER\s+1\s+AC(\d+)", data)
    old = release is None or int(release[1]) <= OLD_RELEASE
    for code, value in zip(lines[::2], lines[1::2], strict=False):
        plain = code.strip()
        if plain == b"0":
            mark = _SUBCLASSES.get(value.strip())
        elif mark is not None and (plain in _POINTS if old else plain not in _OF_ANY_ENTITY):
            out += [b"100", b"AcDbEntity", b"100", mark]
            mark = None
        out += [code, value]
    return b"\n".join(out)


# Group codes of coordinates, lengths, angles, widths and shares, as the DXF reference lists them.
_COORDINATES: Final = frozenset(b"%d" % code for code in (*range(10, 60), *range(140, 150), *range(210, 240)))


def _refuse_wild_numbers(data: bytes) -> None:
    """Look at every coordinate that is drawn before a library counts with it: a number, and not beyond reach.

    The header and the tables are left out: they say 1e20 where a drawing has no extent yet.
    """
    lines = data.split(b"\n")
    drawn, before = False, b""
    for i in range(0, len(lines) - 1, 2):
        code, value = lines[i].strip(), lines[i + 1]
        if drawn and code in _COORDINATES:
            # The parser would mend a damaged number to some other, and draw another shape.
            if not _is_within_reach(value):
                shown = brief(value.decode("latin-1").strip(), 20)
                raise refused(
                    f"has an unusable coordinate in line {i + 2} ({shown}): remove that shape, and export the "
                    "drawing again"
                )
        elif code == b"2" and before == b"SECTION":
            drawn = value.strip() in (b"BLOCKS", b"ENTITIES")
        before = value.strip() if code == b"0" else b""


def _is_within_reach(value: bytes) -> bool:
    try:
        return abs(float(value)) < WILD
    except ValueError:
        return False
