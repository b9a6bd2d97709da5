"""What is asked of a wrap template, and what comes out of it."""

from typing import Final, Literal

from pydantic import Field

from rotary.model import Length, Model

BAR_MM: Final = 100.0
"""Length of the bars on every sheet by which a printer is measured."""


class TemplateWish(Model):
    """What a person wants of the template.

    `bar_short_mm` and `bar_long_mm` are what the two bars of 100 mm, along the paper's short and long side,
    measured on a sheet that was printed without a correction; the sheets are then drawn smaller or larger
    by as much. `reach` is how
    much of the item is covered: from the end that heights are measured from to past the artwork
    (`end`), the artwork with a margin (`artwork`), or the whole wall (`whole`); where not given, `end`
    on a wall that paper follows and `artwork` on one that it does not.
    """

    paper: Literal["a4", "letter", "both"] = "a4"
    bar_short_mm: Length = Field(default=BAR_MM, gt=0)
    bar_long_mm: Length = Field(default=BAR_MM, gt=0)
    reach: Literal["end", "artwork", "whole"] | None = None
    paper_thickness_mm: Length = Field(default=0.1, ge=0, le=2)


class Template(Model):
    """The template as drawn.

    `kind` is the paper's shape when flat. `from_mm` and `to_mm` are the heights s of its lower and upper edge.
    `stands_off_mm` is how far the paper stands off the wall at most; a level line there is `longer_mm` longer on the
    paper than on the wall. `sheets` counts the printed sheets by paper.
    """

    kind: Literal["rectangle", "sector", "flats"]
    from_mm: float
    to_mm: float
    wide_mm: float
    high_mm: float
    stands_off_mm: float
    longer_mm: float
    sheets: dict[str, int]
    files: tuple[str, ...]
    notes: tuple[str, ...]
