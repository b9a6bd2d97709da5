"""How large a drawing is by its own file, and how large it is marked: said wherever artwork is placed."""

from typing import Final

from rotary.units import text_from_value, text_in_unit

Size = tuple[float, float]
"""Width and height [mm]."""

FITS: Final = 1e-3
"""A page larger than the frame by no more than this share is as large: sizes are rounded."""

SAME: Final = 5e-4
"""Two factors that differ by less than this share are one."""


def factors(drawn_mm: Size, marked_mm: Size) -> tuple[float, float]:
    """How many times as wide and as high it is marked as it was drawn.

    >>> factors((20.0, 10.0), (80.0, 40.0))
    (4.0, 4.0)
    """
    return marked_mm[0] / drawn_mm[0], marked_mm[1] / drawn_mm[1]


def keeps_size(page_mm: Size | None, frame_mm: Size) -> bool:
    """Whether a drawing without a wish keeps its own size and page: where its file states one that fits the frame.

    >>> keeps_size((80.0, 60.0), (80.0, 60.0)), keeps_size((100.0, 60.0), (80.0, 60.0)), keeps_size(None, (80.0, 60.0))
    (True, False, False)
    """
    return page_mm is not None and all(
        page <= frame * (1 + FITS) for page, frame in zip(page_mm, frame_mm, strict=True)
    )


def size_words(name: str, drawn_mm: Size | None, marked_mm: Size, system: str = "mm", is_text: bool = False) -> str:
    """One sentence: as drawn, as marked, and the factor. `name` is left out where it is empty.

    >>> size_words("", (20.0, 10.0), (80.0, 40.0))
    'Drawn 20 × 10 mm, marked 80 × 40 mm on the item (4 times as large as drawn).'
    >>> size_words("", (20.0, 10.0), (20.0, 10.0))
    'Marked 20 × 10 mm on the item, as large as drawn.'
    >>> size_words("crest.svg", None, (25.4, 12.7), "in")
    'crest.svg: marked 1 × 0.5 in on the item. The file states no size, so check this size.'
    """
    start = f"{name}: " if name else ""
    marked = f"marked {_size(marked_mm, system)} on the item"
    alone = f"{start}{marked}" if name else marked.capitalize()
    if drawn_mm is None:
        return f"{alone}." if is_text else f"{alone}. The file states no size, so check this size."
    wide, high = factors(drawn_mm, marked_mm)
    drawn = f"{start}drawn {_size(drawn_mm, system)}" if name else f"Drawn {_size(drawn_mm, system)}"
    if abs(wide / high - 1) > SAME:
        return f"{drawn}, {marked} ({_number(wide)} times as wide and {_number(high)} times as high as drawn)."
    if abs(wide - 1) <= SAME:
        return f"{alone}, {'at its letter height' if is_text else 'as large as drawn'}."
    return f"{drawn}, {marked} ({_number(wide)} times as large as drawn)."


def _size(size_mm: Size, system: str) -> str:
    wide, high = (text_from_value(side, "mm", system, digits=4) for side in size_mm)
    return f"{wide.split()[0]} × {high}"


def _number(value: float) -> str:
    return text_in_unit(value, "mm", "mm", digits=4).split()[0]
