"""The wall laid flat for a picture: every ring at its own width, every height where it lies along the wall.

::

     rim     ______________          equal letters are equally wide at all heights; on a taper the
            /  A        A  \\         outline narrows as the item does
     base  /_A__________A___\\
"""

from typing import NamedTuple

import numpy as np

from rotary.formulas.arrays import Floats
from rotary.formulas.revolution import Curve, arc_from_height_mm, radius_mm

OUTLINE = 61  # places along each side of the outline
BESIDE_MM = 3.0  # what is shown of the wall beside the marks


class Unrolled(NamedTuple):
    """How a wall is laid flat: its curve, the angle that is in the middle [rad], the item's length [mm].

    `flat_radius_mm` is that of a faceted item, whose flats lie side by side; 0 for one that is round.
    """

    curve: Curve
    middle_rad: float
    length_mm: float
    flat_radius_mm: float = 0.0

    def places_mm(self, angle_rad: Floats, s_mm: Floats) -> Floats:
        """Where places of the wall (n,) lie on the picture (n, 2) [mm], + to the right and towards the rim."""
        off = angle_rad - self.middle_rad
        if self.flat_radius_mm:
            return np.stack([self.flat_radius_mm * off, s_mm], axis=-1)
        return np.stack([radius_mm(self.curve, s_mm) * off, arc_from_height_mm(self.curve, s_mm)], axis=-1)

    def outline_mm(self, angle_rad: Floats, s_mm: Floats) -> Floats:
        """The outline (n, 2) of the wall round places (n,) on it, as far as the item goes."""
        low, high = max(float(s_mm.min()) - BESIDE_MM, 0.0), min(float(s_mm.max()) + BESIDE_MM, self.length_mm)
        heights = np.linspace(low, high, OUTLINE)
        least = float(radius_mm(self.curve, heights).min())
        half = min(float(np.abs(angle_rad - self.middle_rad).max()) + BESIDE_MM / least, np.pi)
        right = self.places_mm(np.full(OUTLINE, self.middle_rad + half), heights)
        left = self.places_mm(np.full(OUTLINE, self.middle_rad - half), heights)
        return np.concatenate([left, right[::-1]])
