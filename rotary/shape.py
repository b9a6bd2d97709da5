"""The item as a surface of revolution: what every stage after the item goes by."""

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rotary.formulas import revolution
from rotary.formulas.revolution import Curve

OUTLINED: Final = 33
"""Heights of a bent wall's outline, beside its stations."""


@dataclass(frozen=True, slots=True)
class Shape:
    """The item as a surface of revolution, heights from the foot.

    `shape` says what was recognised; `half_angle_rad` is the wall's, + where it widens towards
    the rim, and for a profile that of the nearest cone; `cone_residual_mm` is how far a measured
    diameter lies off the fitted cone at most, None with fewer than three stations; `state` is
    one line for a person; `doubts` are questions to the person (a 3.5 mm cup), never
    corrections. For a faceted item the radius is that of the inscribed circle and `flats` is set.
    """

    curve: Curve
    length_mm: float
    shape: Literal["straight", "taper", "profile", "flats"]
    half_angle_rad: float
    cone_residual_mm: float | None
    flats: int | None
    state: str
    doubts: tuple[str, ...]

    def radius_mm(self, s_mm: ArrayLike) -> NDArray[np.float64]:
        """Radius at heights from the foot (...) [mm]."""
        return revolution.radius_mm(self.curve, s_mm)

    def slope(self, s_mm: ArrayLike) -> NDArray[np.float64]:
        """dr/ds at heights from the foot (...) [mm]."""
        return revolution.slope(self.curve, s_mm)

    @property
    def widest_radius_mm(self) -> float:
        """The largest radius of what was measured."""
        return float(self.radius_mm(self.curve.s_mm).max())

    @property
    def outline(self) -> tuple[tuple[float, float], ...]:
        """Heights from the foot and radii from foot to rim [mm], straight between them: enough for a picture."""
        heights = np.array([0.0, self.length_mm])
        if not revolution.is_straight(self.curve):
            between = self.curve.s_mm[(self.curve.s_mm > 0) & (self.curve.s_mm < self.length_mm)]
            heights = np.union1d(np.linspace(0.0, self.length_mm, OUTLINED), between)
        return tuple(zip(heights.tolist(), self.radius_mm(heights).tolist(), strict=True))
