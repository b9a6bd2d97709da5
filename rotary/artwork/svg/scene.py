"""What the walk over a drawing hands on: shapes in the order of painting, with what clips and masks them."""

from dataclasses import dataclass
from typing import Final, NamedTuple

from rotary.artwork.outline import Outline
from rotary.artwork.stroke import Pen
from rotary.artwork.svg.affine import Affine
from rotary.colours import BLACK, Colour


class Stroke(NamedTuple):
    """How an outline is drawn along. Lengths of the pen in the units of the outline, or of the page where `fixed`."""

    colour: Colour
    pen: Pen
    path_length: float | None = None
    fixed: bool = False


@dataclass(frozen=True, eq=False, slots=True)
class Clip:
    """The union of its shapes, and within another clip where there is one."""

    shapes: "tuple[Painted, ...]"
    within: "Clip | None" = None


@dataclass(frozen=True, eq=False, slots=True)
class Mask:
    """Where its painting is bright, or opaque (`by_alpha`)."""

    painted: "tuple[Painted, ...]"
    by_alpha: bool


NOTHING: Final = Clip(())


@dataclass(frozen=True, eq=False, slots=True)
class Painted:
    """An outline under a transform to the page, filled and then stroked; each of its clips cuts it."""

    outline: Outline
    affine: Affine
    fill: Colour | None = BLACK
    rule: str = "nonzero"
    stroke: Stroke | None = None
    clips: tuple[Clip | Mask, ...] = ()
