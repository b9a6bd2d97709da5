"""What is asked of a wrap template, and what comes out of it."""

from typing import Final, Literal

from pydantic import Field

from rotary.model import Angle, Length, Model

BAR_MM: Final = 100.0
"""Length of the bars on every sheet by which a printer is measured."""


class TemplateWish(Model):
    """What a person wants of the template.

    `bar_short_mm` and `bar_long_mm` are what the two bars of 100 mm, along the paper's short and long side,
    measured on a sheet that was printed without a correction; the sheets are then drawn smaller or larger
    by as much. `reach` is how
    much of the item is covered: from the end that heights are measured from to past the artwork
    (`datum`), the artwork with a margin (`band`), or the whole wall (`whole`); where not given, `datum`
    on a wall that paper follows and `band` on one that it does not.
    """

    paper: Literal["a4", "letter", "both"] = "a4"
    bar_short_mm: Length = Field(default=BAR_MM, gt=0)
    bar_long_mm: Length = Field(default=BAR_MM, gt=0)
    reach: Literal["datum", "band", "whole"] | None = None
    paper_thickness_mm: Length = Field(default=0.1, ge=0, le=2)


class Template(Model):
    """The template as drawn.

    `kind` is the paper's shape when flat. `from_mm` and `to_mm` are the heights s of its lower and upper edge;
    `round_low_mm` and `round_high_mm` the lengths of those edges from end to end, `sector_rad` the angle of a
    cone's sector (0 on a straight wall), `slant_low_mm` and `slant_high_mm` its radii (None there).
    `open_rad` is the angle round the item that the paper leaves free for a handle. `stands_off_mm` is how
    far the paper stands off the wall at most, at height `stands_off_at_mm`; a level line there is
    `longer_mm` longer on the paper than on the wall. `sheets` counts the printed sheets by paper.
    """

    kind: Literal["rectangle", "sector", "flats"]
    from_mm: float
    to_mm: float
    wide_mm: float
    high_mm: float
    round_low_mm: float
    round_high_mm: float
    sector_rad: Angle
    slant_low_mm: float | None
    slant_high_mm: float | None
    open_rad: Angle
    stands_off_mm: float
    stands_off_at_mm: float
    longer_mm: float
    sheets: dict[str, int]
    files: tuple[str, ...]
    notes: tuple[str, ...]
