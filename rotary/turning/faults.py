"""What a drive can't be, or can't do with this item: every fault at once."""

from collections.abc import Iterator
from typing import Final

import numpy as np

from rotary.errors import Fault
from rotary.formulas import revolution
from rotary.item import Item, s_from_height_mm
from rotary.shape import Shape
from rotary.turning.models import Chuck, Rollers

LEAST_ROLLER_MM: Final = 1.0
"""A thinner roller is a slip of the unit. Common practice, no source."""

NO_DIAMETER: Final = Fault(
    "turning.typed_diameter",
    "you type only steps, but your program still divides by a diameter: write the diameter that your program "
    'shows, for example "80 mm".',
)


def motor_faults(drive: Chuck | Rollers, item: Item, body: Shape) -> Iterator[Fault]:
    """What contradicts itself in the motor, the program and the tick readings."""
    if drive.controller_field == "steps-only" and drive.typed_diameter_mm is None:
        yield NO_DIAMETER
    for place, tick in enumerate(drive.ticks):
        if not 0 <= tick.at_mm <= body.length_mm:
            yield Fault(
                f"turning.ticks.{place}.at",
                f"the tick at {tick.at_mm:g} mm is not on the item: write a height from 0 to {body.length_mm:g} mm.",
            )
            continue
        radius = float(revolution.radius_mm(body.curve, s_from_height_mm(item, body, tick.at_mm)))
        if abs(tick.gap_mm) >= np.pi * radius:
            yield Fault(
                f"turning.ticks.{place}.gap",
                f"a gap of {tick.gap_mm:g} mm is more than half way round the item: measure the shorter way between "
                f"the two ticks (less than {np.pi * radius:.4g} mm), and write it with + if the item turned too far.",
            )


def roller_faults(drive: Rollers, item: Item, body: Shape) -> Iterator[Fault]:
    """What rollers can't be, or can't carry."""
    if body.flats:
        yield Fault("turning.kind", f"an item with {body.flats} flats can't turn on rollers: use a chuck.")
    if drive.roller_diameter_mm < LEAST_ROLLER_MM:
        yield Fault(
            "turning.roller_diameter",
            f'rollers of {drive.roller_diameter_mm:g} mm are too thin: write the diameter of one roller, like "20 mm".',
        )
    if drive.centres_mm <= drive.roller_diameter_mm:
        yield Fault(
            "turning.centres",
            f"rollers of {drive.roller_diameter_mm:g} mm can't have their axes {drive.centres_mm:g} mm apart: "
            f"write the distance between the two axes, more than {drive.roller_diameter_mm:g} mm.",
        )
    if drive.axis_height_mm <= drive.roller_diameter_mm / 2:
        yield Fault(
            "turning.axis_height",
            f"with their axes {drive.axis_height_mm:g} mm above the bed, rollers of {drive.roller_diameter_mm:g} mm "
            "would touch the bed: measure up to the middle of a roller, and write that height, more than "
            f"{drive.roller_diameter_mm / 2:g} mm.",
        )
    for name, at in (("contact_from", drive.contact_from_mm), ("contact_to", drive.contact_to_mm)):
        if at is not None and not 0 <= at <= body.length_mm:
            yield Fault(
                f"turning.{name}",
                f"{at:g} mm is not on the item: write a height from 0 to {body.length_mm:g} mm, measured from the "
                f"{item.heights_from}.",
            )
    from_mm, to_mm = drive.contact_from_mm, drive.contact_to_mm
    if from_mm is not None and to_mm is not None and from_mm >= to_mm:
        yield Fault(
            "turning.contact_to",
            f"the rollers can't touch from {from_mm:g} mm up to {to_mm:g} mm: write a greater height here.",
        )
