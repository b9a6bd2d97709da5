"""Colours as CSS and SVG write them: red, green, blue from 0 to 255 and opacity from 0 to 1."""

import re
from difflib import get_close_matches
from functools import lru_cache
from typing import Final, NamedTuple

from tinycss2.color4 import parse_color  # type: ignore[import-untyped, unused-ignore]

from rotary.errors import brief, listing


class Colour(NamedTuple):
    """A colour; `alpha` is its opacity."""

    red: float
    green: float
    blue: float
    alpha: float = 1.0

    def luminance(self) -> float:
        """How bright it looks, 0 to 1 (the weights of ITU-R BT.601)."""
        return (0.299 * self.red + 0.587 * self.green + 0.114 * self.blue) / 255

    @property
    def hides(self) -> bool:
        """Whether it hides what lies under it."""
        return self.alpha == 1

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


def shade(name: str) -> Colour | None:
    """The colour that a name of `plain_colour` stands for.

    >>> shade("burgundy"), shade("loud")
    (Colour(red=110, green=31, blue=47, alpha=1.0), None)
    """
    return colour_from_text(_COATINGS.get(name, name))


def plain_colour(text: str) -> str:
    """The colour of a thing as a person writes it: a name of coatings, a keyword of CSS Color Module Level 4, #rgb or
    #rrggbb.

    In small letters without spaces; raises ValueError with a sentence that has the likely repair.

    >>> plain_colour("Dark green"), plain_colour("#2F6B3A"), plain_colour("off-white")
    ('darkgreen', '#2f6b3a', 'offwhite')
    >>> plain_colour("matt green")
    Traceback (most recent call last):
    ValueError: "matt green" is not a colour that rotary knows: did you mean "green"?
    """
    word = "".join(text.casefold().replace("-", " ").split())
    if _PLAIN.fullmatch(word) and word not in _NO_COLOUR and shade(word) is not None:
        return word
    likely = listing([f'"{name}"' for name in _likely_colours(text.casefold())], "or")
    repair = f"did you mean {likely}?" if likely else 'write a name like "green", or a shade like "#2f6b3a"'
    raise ValueError(f'"{brief(text)}" is not a colour that rotary knows: {repair}')


_PLAIN: Final = re.compile("[a-z]+|#[0-9a-f]{3}|#[0-9a-f]{6}")
_NO_COLOUR: Final = ("currentcolor", "transparent")
"""Keywords that say nothing of what a thing looks like."""


_COATINGS: Final = {
    "anthracite": "#383e42", "bronze": "#8c6239", "burgundy": "#6e1f2f", "champagne": "#e8d6b0", "charcoal": "#36393d",
    "copper": "#b46a45", "cream": "#f5ecd0", "graphite": "#4a4d52", "lilac": "#c2a3d0", "mint": "#b5e2cd",
    "mustard": "#c99a25", "offwhite": "#f2efe6", "peach": "#f7c5a0", "petrol": "#1f5c68", "rose": "#e3a3ae",
    "rosegold": "#d6a496", "sand": "#d5c29b", "wine": "#722f3b",
}  # fmt: skip
"""Names of coatings that no standard has; the shades are common practice, no source."""


def _likely_colours(text: str) -> list[str]:
    """What may have been meant: the number sign left out, a colour among other words, or a misspelt name."""
    from PIL.ImageColor import colormap

    digits = f"#{text.strip()}"
    if _PLAIN.fullmatch(digits):
        return [digits]
    known = [*colormap, *_COATINGS]
    among = [word for word in re.findall("[a-z]+", text) if word in known]
    return among[-1:] or get_close_matches("".join(text.split()), known, 2, cutoff=0.75)
