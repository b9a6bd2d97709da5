"""An image for a terminal: the codes that paint it over cells, by two open standards. No terminal in here.

``sixel``  six rows of pixels a band, one colour after the other: DEC STD 070 and the VT330/VT340 programmer reference,
           volume 2, chapter 14 (dec1988, from memory, not seen).
``chunks`` a PNG in base64, 4096 signs a chunk: the terminal graphics protocol (tgp2024, from memory, not seen).
"""

from typing import Final, NamedTuple

COLOURS: Final = 256
"""Terminals with sixels have as many registers and more, if they don't say how many (common practice, no source)."""

BAND: Final = 6
CHUNK: Final = 4096
NUMBER: Final = 7060
"""What images of the second kind are called by, to put others in their place and to take them away."""


class CellPixels(NamedTuple):
    """How this terminal shows images, how many pixels a cell has, and how many colours an image may have at once;
    `grey` where none are wanted."""

    kind: str
    wide: int
    high: int
    colours: int = COLOURS
    grey: bool = False

    def words(self) -> tuple[str, ...]:
        """The same as texts, to be sent with an errand."""
        return self.kind, *(f"{int(value)}" for value in self[1:])


def cell_pixels(words: tuple[str, ...]) -> CellPixels | None:
    """What was sent with an errand; None where the terminal shows no images.

    >>> cell_pixels(CellPixels("sixel", 9, 18).words()), cell_pixels(())
    (CellPixels(kind='sixel', wide=9, high=18, colours=256, grey=False), None)
    """
    if len(words) != len(CellPixels._fields):
        return None
    wide, high, colours, grey = map(int, words[1:])
    return CellPixels(words[0], wide, high, colours, bool(grey))


class Tile(NamedTuple):
    """A part of an image by sixels: from which cell on, and its bands."""

    column: int
    row: int
    wide: int
    high: int
    palette: str
    bands: tuple[str, ...]


class Pixels(NamedTuple):
    """An image over so many cells, and its codes."""

    cell: CellPixels
    columns: int
    rows: int
    tiles: tuple[Tile, ...] = ()
    png: str = ""

    def codes(self, x: int, y: int, rows: int) -> str:
        """What paints its first `rows` rows of cells, the upper left one in column x and line y from 0; the cursor
        stays where it is."""
        painted = self._sixels(x, y, rows) if self.tiles else self._chunks(x, y, rows)
        return f"\x1b7{painted}\x1b8"

    def _sixels(self, x: int, y: int, rows: int) -> str:
        parts = []
        for tile in self.tiles:
            bands = min((rows - tile.row) * self.cell.high // BAND, len(tile.bands))
            if bands > 0:
                # Pixels as high as wide, and how many; what is not painted is left as it is.
                head = f'\x1bP0;1;0q"1;1;{tile.wide};{bands * BAND}{tile.palette}'
                parts.append(f"{_to(x + tile.column, y + tile.row)}{head}{'-'.join(tile.bands[:bands])}\x1b\\")
        return "".join(parts)

    def _chunks(self, x: int, y: int, rows: int) -> str:
        size = f"w={self.columns * self.cell.wide},h={rows * self.cell.high},c={self.columns},r={rows}"
        # q=2: no answers; C=1: the cursor stays; i, p: this one takes the place of the one before.
        head = f"a=T,f=100,q=2,C=1,i={NUMBER},p=1,{size}"
        chunks = [self.png[at : at + CHUNK] for at in range(0, len(self.png), CHUNK)]
        codes = [
            f"\x1b_G{'' if number else head + ','}m={int(number < len(chunks) - 1)};{chunk}\x1b\\"
            for number, chunk in enumerate(chunks)
        ]
        return _to(x, y) + "".join(codes)

    def gone(self) -> str:
        """What takes it away where other signs do not: sixels go with the cells that are painted over them."""
        return "" if self.tiles else f"\x1b_Ga=d,d=I,i={NUMBER},q=2\x1b\\"


def _to(x: int, y: int) -> str:
    return f"\x1b[{y + 1};{x + 1}H"
