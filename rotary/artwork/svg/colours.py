"""Colours as SVG writes them: red, green, blue from 0 to 255 and opacity from 0 to 1."""

from functools import lru_cache
from typing import Final, NamedTuple

from tinycss2.color4 import parse_color  # type: ignore[import-untyped, unused-ignore]


class Colour(NamedTuple):
    """A colour; `alpha` is its opacity."""

    red: float
    green: float
    blue: float
    alpha: float = 1.0

    def luminance(self) -> float:
        """How bright it looks, 0 to 1 (the weights of ITU-R BT.601)."""
        return (0.299 * self.red + 0.587 * self.green + 0.114 * self.blue) / 255

    def faded(self, opacity: float) -> "Colour":
        """The same colour, less opaque."""
        return self if opacity == 1 else self._replace(alpha=self.alpha * opacity)


BLACK: Final = Colour(0, 0, 0)
GREY: Final = Colour(128, 128, 128)


@lru_cache(maxsize=4096)
def colour_from_text(text: str, current: Colour = BLACK) -> Colour | None:
    """A colour; `current` is what `currentColor` stands for. None where it is no colour.

    >>> colour_from_text("#f80"), colour_from_text("rgb(0 0 0 / 50%)"), colour_from_text("loud")
    (Colour(red=255, green=136, blue=0, alpha=1.0), Colour(red=0, green=0, blue=0, alpha=0.5), None)
    """
    colour = parse_color(text)
    if isinstance(colour, str):
        return current
    if colour is None or colour.space not in ("srgb", "hsl", "hwb"):
        return None
    srgb = colour.to("srgb")
    red, green, blue = (round(255 * min(max(part or 0.0, 0.0), 1.0)) for part in srgb.coordinates)
    return Colour(red, green, blue, srgb.alpha)
