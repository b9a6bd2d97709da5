"""Files that are damaged at random: every reader reads them or says what is wrong, and never fails otherwise.

FUZZ=2000 in the environment tries so many of each kind.
"""

import io
import os
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from random import Random

import numpy as np
import pytest
from PIL import Image

from rotary.artwork.drawing import DrawingReading
from rotary.artwork.fonts import default_faces, face_from_bytes
from rotary.artwork.raster_read import picture_from_file
from rotary.artwork.read import read_artwork
from rotary.errors import FileTrouble, Refused
from rotary.series.table import table_from_bytes
from tests.artwork.small_files import SMALL_FILES

ROUNDS = int(os.environ.get("FUZZ", "60"))
WILD = [
    b"nan",
    b"-1e400",
    b"1e308",
    b"0",
    b"",
    b"-1",
    b"99999999999999999999",
    b"\x00",
    b"\xff\xfe",
    b"url(#",
    b"<",
    b"(",
]


# Shapes alone: a whole file is a thousand times as long, and damage would seldom meet one.
DXF = (
    b"0 SECTION 2 BLOCKS 0 BLOCK 2 B 70 0 10 0 20 0 30 0 3 B 0 CIRCLE 8 0 10 5 20 5 30 0 40 2 0 ENDBLK 0 ENDSEC "
    b"0 SECTION 2 ENTITIES 0 CIRCLE 8 0 10 1 20 2 30 0 40 5 0 ELLIPSE 8 0 10 0 20 0 30 0 11 9 21 0 31 0 40 1 41 0 42 6 "
    b"0 POLYLINE 8 0 66 1 70 1 40 0.5 41 2 0 VERTEX 8 0 10 0 20 0 42 0.5 0 VERTEX 8 0 10 9 20 0 0 VERTEX 8 0 10 9 20 9 "
    b"0 SEQEND 0 INSERT 2 B 8 0 10 20 20 0 41 2 42 3 50 30 70 2 71 2 44 9 45 9 0 LINE 8 0 10 0 20 0 11 5 21 5 "
    b"0 ENDSEC 0 EOF "
)


def damaged(data: bytes, draw: Random) -> bytes:
    """A few numbers, words or bytes of a file changed, doubled, or taken out."""
    out = bytearray(data)
    for _ in range(draw.randint(1, 6)):
        at = draw.randrange(len(out) or 1)
        end = at + draw.choice([0, 1, 3, 20])
        kind = draw.randrange(4)
        if kind == 0:
            out[at:end] = draw.choice(WILD)
        elif kind == 1:
            out[at:at] = out[at : at + draw.choice([5, 60, 300])]
        elif kind == 2:
            del out[at:end]
        elif out:
            out[min(at, len(out) - 1)] = draw.randrange(256)
    return bytes(out)


def picture_bytes() -> bytes:
    target = io.BytesIO()
    Image.fromarray(np.arange(4096, dtype=np.uint8).reshape(64, 64)).save(target, "PNG", dpi=(300, 300))
    return target.getvalue()


def font_bytes() -> bytes:
    import fontpkg_noto_sans

    assert default_faces()
    return min(Path(fontpkg_noto_sans.ROOT).glob("files/*.ttf"), key=lambda path: path.stat().st_size).read_bytes()


def set_letters(data: bytes) -> None:
    font = face_from_bytes(data, "letters.ttf").font(400)
    for glyph in font.shaped("Heron"):
        font.outline(glyph.number)


def read_list(data: bytes) -> None:
    """Without a word of the person, and with the words that a list of several columns needs."""
    with suppress(Refused):
        table_from_bytes(data, None)
    with suppress(Refused):
        table_from_bytes(data, "1", "no")
    table_from_bytes(data, "name")


@pytest.mark.parametrize("kind", ["svg", "dxf", "list", "font"])
def test_a_damaged_file_is_read_or_refused(kind: str) -> None:
    """Whatever bytes come, the reader ends with a result or a Refused."""
    reader: Callable[[bytes], object] = read_artwork
    if kind == "svg":
        whole = [small.svg for small in SMALL_FILES.values()]
    elif kind == "dxf":
        reader = lambda data: read_artwork(data, DrawingReading(unit="mm"))  # noqa: E731
        whole = [DXF.replace(b" ", b"\n")]
    elif kind == "list":
        whole = ['name;boat\nAnna;"Heron"\nBjørn;Tern\n'.encode(), "name\tn\nØ\t1\n".encode("utf-16")]
        reader = read_list
    else:
        whole, reader = [font_bytes()], set_letters
    draw = Random(20)
    ends = set()
    for _ in range(ROUNDS):
        try:
            reader(damaged(draw.choice(whole), draw))
            ends.add("read")
        except Refused:
            ends.add("refused")
    assert "read" in ends or kind == "font"


def test_a_damaged_picture_is_read_or_refused(tmp_path: Path) -> None:
    """The same for pictures, which are read from a file."""
    whole, draw, path = picture_bytes(), Random(21), tmp_path / "a.png"
    for _ in range(ROUNDS):
        path.write_bytes(damaged(whole, draw))
        with suppress(Refused, FileTrouble):
            assert picture_from_file(path).tones.size
