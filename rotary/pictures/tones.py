"""Colours of the picture from the front: the coating's own, bare metal, and how they go from light to dark round an
item. Light comes from the upper left, as drawings of machines have it (common practice, no source)."""

from math import cos, radians, sin
from typing import Final, TypeAlias

import numpy as np

from rotary.colours import shade
from rotary.item import Item

Rgb: TypeAlias = tuple[float, float, float]

GROUND: Final[Rgb] = (0.918, 0.922, 0.918)
"""Behind the item: on black a dark cup could not be told from it, on white a white one."""

METALS: Final[dict[str, Rgb]] = {"brass": (1.0, 0.84, 0.52), "copper": (1.0, 0.72, 0.56), "carbon": (0.90, 0.92, 0.95)}
"""What tints the grey of a bare metal, by the first word of its name; all others are drawn a plain cool grey."""

PLAIN_METAL: Final[Rgb] = (0.96, 0.98, 1.0)
UNNAMED: Final[dict[str, Rgb]] = {"dark": (0.27, 0.28, 0.29), "light": (0.86, 0.86, 0.85), "": (0.55, 0.56, 0.56)}
"""A coating whose colour nobody said, by the last word of its name: a grey."""

MUTED: Final = 0.22
LIGHT_RAD: Final = radians(-38)
_GLOSS: Final = (-1.0, -0.78, -0.56, -0.34, -0.18, 0.0, 0.26, 0.52, 0.80, 0.93, 1.0)
_SHINE: Final = (0.40, 0.56, 0.74, 0.93, 0.86, 0.70, 0.54, 0.50, 0.66, 0.56, 0.40)
"""How bright a turned metal is across what is in sight of it: bright towards the light, a second edge of light far
from it."""
ENGRAVED: Final = 0.30
"""How bright a cut in bare metal is, over the metal beside it: grooves swallow light."""


def coating_tone(item: Item) -> Rgb | None:
    """The coating's colour; a grey where nobody said which, None on bare metal."""
    if item.coating is None:
        return None
    colour = shade(item.colour) if item.colour else None
    if colour is not None:
        pure = colour.red / 255, colour.green / 255, colour.blue / 255
        # A name says no shade, and no paint is as pure as the colours of a screen.
        return pure if (item.colour or "").startswith("#") else _muted(pure)
    return UNNAMED.get(item.coating.rpartition("-")[2], UNNAMED[""])


def _muted(tone: Rgb) -> Rgb:
    grey, (red, green, blue) = MUTED * luminance(tone), lit(tone, 0.97 - MUTED)
    return red + grey, green + grey, blue + grey


def metal_tone(metal: str) -> Rgb:
    """What tints the grey of a metal.

    >>> metal_tone("brass-c26000") == METALS["brass"], metal_tone("stainless-304") == PLAIN_METAL
    (True, True)
    """
    return METALS.get(metal.partition("-")[0], PLAIN_METAL)


def luminance(tone: Rgb) -> float:
    """How bright a colour looks, 0 to 1."""
    red, green, blue = tone
    return 0.299 * red + 0.587 * green + 0.114 * blue


def coated(tone: Rgb, turn_rad: float) -> Rgb:
    """A coating as it looks where the wall faces so far to the right of the eye: matt, with a soft sheen."""
    towards = cos(turn_rad - LIGHT_RAD)
    bright = 0.40 + 0.60 * max((towards + 0.3) / 1.3, 0.0)
    sheen = 0.13 * max(cos(turn_rad - LIGHT_RAD * 0.62), 0.0) ** 26
    # Even black paint is no hole: it shines a little all over.
    red, green, blue = (bright * (0.035 + 0.965 * part) for part in tone)
    return _towards_white(red, sheen), _towards_white(green, sheen), _towards_white(blue, sheen)


def _towards_white(part: float, share: float) -> float:
    return part + (1.0 - part) * share


def bare(tint: Rgb, turn_rad: float, bright: float = 1.0) -> Rgb:
    """A metal as it looks where the wall faces so far to the right of the eye, so `bright`."""
    return lit(tint, bright * float(np.interp(sin(turn_rad), _GLOSS, _SHINE)))


def lit(tint: Rgb, bright: float) -> Rgb:
    """A tint, so bright."""
    red, green, blue = tint
    return bright * red, bright * green, bright * blue
