"""What the walk over a drawing hands on: shapes in the order of painting, with what clips, fades and masks them."""

from dataclasses import dataclass
from typing import Final, NamedTuple

from rotary.artwork.outline import Outline
from rotary.artwork.stroke import Pen
from rotary.artwork.svg.affine import Affine
from rotary.artwork.svg.gradient import Gradient
from rotary.colours import BLACK, Colour

Paint = Colour | Gradient


class Stroke(NamedTuple):
    """How an outline is drawn along. Lengths of the pen in the units of the outline, or of the page where `fixed`."""

    paint: Paint
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
    """Lets through where its painting is bright, or opaque (`by_alpha`), and in part where it is so in part."""

    painted: "tuple[Painted, ...]"
    by_alpha: bool


@dataclass(frozen=True, eq=False, slots=True)
class Layer:
    """Shapes that are painted on a sheet of their own, which is then laid on what is there: faded, and masked."""

    opacity: float = 1.0
    masks: tuple[Mask, ...] = ()


NOTHING: Final = Clip(())


@dataclass(frozen=True, eq=False, slots=True)
class Painted:
    """An outline under a transform to the page, filled and then stroked; each of its clips cuts it.

    `layers` are the sheets that it lies on, the outermost first.
    """

    outline: Outline
    affine: Affine
    fill: Paint | None = BLACK
    rule: str = "nonzero"
    stroke: Stroke | None = None
    clips: tuple[Clip, ...] = ()
    layers: tuple[Layer, ...] = ()

    @property
    def is_plain(self) -> bool:
        """Whether it hides whatever lies under it, in one tone."""
        paints = (self.fill, self.stroke.paint if self.stroke else None)
        return not self.layers and all(paint is None or paint.hides for paint in paints)
