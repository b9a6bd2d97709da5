"""The library that reads and writes DXF, loaded without a look at this computer's fonts: no letters are set with it.

Left alone it looks through every font at its first use, and writes a list of them into the person's home.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

_PLACE: Final = "XDG_CACHE_HOME"
_NO_FONTS: Final = Path(__file__).parent / "no_fonts"
"""Holds the library's list of fonts, with none in it."""


@contextmanager
def without_fonts() -> Iterator[None]:
    """What is imported in the block finds a list of fonts that is empty, and so makes none."""
    before = os.environ.get(_PLACE)
    os.environ[_PLACE] = str(_NO_FONTS)
    try:
        yield
    finally:
        os.environ.pop(_PLACE)
        if before is not None:
            os.environ[_PLACE] = before
