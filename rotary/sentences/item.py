"""The item's shape, and what to ask the person about it, in sentences."""

from math import degrees
from typing import Final

from rotary.formulas import circle
from rotary.item import Item
from rotary.shape import Doubt, Shape

_MM_PER_INCH: Final = 25.4  # and µm to the thou
_OTHERS: Final = {"mm": "in", "um": "thou"}


def summary(shape: Shape) -> str:
    """What was recognised in the measurements."""
    (least, most), count, off_mm = shape.diameters_mm, len(shape.measured_mm), shape.cone_residual_mm
    if shape.flats is not None:
        corners_mm = float(circle.across_corners_mm(most, shape.flats))
        return f"{shape.flats} flats, {most:g} mm across flats, {corners_mm:.4g} mm across sharp corners"
    if shape.shape == "straight":
        within = f" ({count} diameters within {most - least:.2g} mm)" if most > least else ""
        return f"⌀{(least + most) / 2:.5g} mm, straight{within}"
    if shape.shape == "taper":
        base_mm, rim_mm = 2 * shape.radius_mm([0.0, shape.length_mm])
        off = f" ({count} heights measured, at most {off_mm:.2g} mm off a straight taper)" if off_mm is not None else ""
        return f"⌀{base_mm:.4g} → ⌀{rim_mm:.4g} mm, taper {degrees(abs(shape.half_angle_rad)):.1f}°{off}"
    return f"⌀{least:.4g} to ⌀{most:.4g} mm, measured at {count} heights, up to {off_mm:.2g} mm off a straight taper"


def questions(doubts: tuple[Doubt, ...], item: Item) -> tuple[str, ...]:
    """What to ask the person about the measurements, which are never corrected."""
    return tuple(_question(doubt, item) for doubt in doubts)


def _question(doubt: Doubt, item: Item) -> str:
    if doubt.id == "edge":
        end = item.end_words(item.heights_from)
        return f"Is there an edge {doubt.value:.4g} mm from {end}? If so, enter this height as a corner."
    name = "The smallest diameter" if doubt.of == "smallest_diameter" else f"The item's {doubt.of.replace('_', ' ')}"
    value, unit, other = doubt.value, doubt.unit, _OTHERS[doubt.unit]
    if doubt.small:
        return f"{name} is {value:g} {unit}: did you mean {value:g} {other} ({value * _MM_PER_INCH:.4g} {unit})?"
    meant = f"{value / _MM_PER_INCH:.4g}"
    return f"{name} is {value:g} {unit} ({meant} {other}): did you mean {meant} {unit}?"
