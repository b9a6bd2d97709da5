"""The numbers to key in, in keying order, and what the marking program must then show."""

import math
from typing import Final, NamedTuple

import numpy as np

from rotary.drive import Chuck, Rollers
from rotary.errors import refuse
from rotary.formulas import keying, motion
from rotary.slices.models import KeyIn

TRIES: Final = 400
"""Columns that are tried, each one last decimal wider, until the number to type suits both ways of rounding."""

WIDER: Final = 1.25
"""No column is made more than this much wider than the slice needs: the sheet would grow out of hand."""


NEAR_MM: Final = 0.001
"""A column of flat artwork may be this much off where that gives a number that suits every way of rounding."""


class Keyed(NamedTuple):
    """The column, the number to type, and the steps that are then off [steps] over all indexes, + too far.

    `least_over` and `most_over` are by how many steps an index misses those wanted, at its fewest and its most.
    """

    column_mm: float
    number: float
    keyed_steps: float
    wanted_steps: float
    both_round: bool
    drift_steps: float
    least_over: float
    most_over: float


def keyed(drive: Chuck | Rollers, column_mm: float, steps: int, slices: int, nearest: bool = False) -> Keyed:
    """The column and the number to type for exactly `steps` an index; raises Refused where a number is missing.

    `column_mm` is the least a column may be; with `nearest` the width that it should have.
    """
    motor = motion.steps_per_turn(drive.full_steps, drive.microsteps, drive.gear_ratio)
    # Steps a turn are typed whole, whatever the gear.
    whole = max(round(motor), 1)
    decimals, indexes, rounding = drive.typed_decimals, max(slices - 1, 1), drive.rounding
    room = 2 * NEAR_MM if nearest else (WIDER - 1) * column_mm
    tries = max(min(TRIES, round(room * 10**decimals)), 1 if nearest else 2)
    kind = drive.controller_field
    if kind == "steps-only":
        if drive.typed_diameter_mm is None:
            raise refuse(
                "drive.typed_diameter",
                "where only the steps can be typed, the diameter that the marking program divides by has to be known; "
                'write it as it stands there, for example typed_diameter = "50 mm".',
            )
        at = drive.typed_diameter_mm
        typed = keying.typed_steps(column_mm, steps, indexes, at, decimals, tries, nearest, rounding)
        key_steps = typed.number
    elif kind == "degrees":
        typed = keying.typed_degrees(column_mm, steps, indexes, whole, decimals, nearest, rounding)
        key_steps = float(whole)
    else:
        typed = keying.typed_diameter(column_mm, steps, indexes, whole, decimals, tries, nearest, rounding)
        key_steps = float(whole)
    drift, over = 0.0, np.zeros(1)
    if not typed.both_round:
        stands = motion.positions_steps(typed.wanted, indexes, rounding)
        drift = float(stands[-1] - steps * indexes)
        # A program turns the artwork's middle to the top first, and rounds places from there.
        places = np.floor((np.arange(indexes + 1) - indexes / 2) * typed.wanted + 0.5)
        over = np.diff(places if rounding == "absolute" else np.insert(stands, 0, 0.0)) - steps
    return Keyed(
        typed.column_mm, typed.number, key_steps, typed.wanted, typed.both_round, drift,
        float(over.min()), float(over.max()),
    )  # fmt: skip


def key_in(
    drive: Chuck | Rollers,
    keys: Keyed,
    steps: int,
    index_rad: float,
    slices: int,
    size_mm: tuple[float, float],
    radius_mm: float,
    field_axis: str,
) -> tuple[KeyIn, ...]:
    """The entries in keying order; the sheet's size as the program shows it, turned where the item lies along X."""
    places = drive.typed_decimals
    what = "the driven roller" if isinstance(drive, Rollers) else "the chuck"
    width, height = size_mm if field_axis == "y" else size_mm[::-1]
    entries = [
        KeyIn(label="Sheet width", text=f"{width:.3f}", unit="mm", why="check after import; never scale it to fit"),
        KeyIn(label="Sheet height", text=f"{height:.3f}", unit="mm", why="check after import"),
        KeyIn(label="Column width", text=f"{keys.column_mm:.{places}f}", unit="mm", why=f"each turns {steps} steps"),
        KeyIn(label="Extra width per index", text="0", unit="mm", why="the sheet has its blank edges already"),
        *_number(drive, keys, steps, what, places, radius_mm),
        KeyIn(
            label="Columns it must show",
            text=f"{slices}",
            unit="",
            why="an odd number: from the left or from the middle",
        ),
        KeyIn(
            label="Index angle, to check",
            text=f"{math.degrees(index_rad):.4f}",
            unit="°",
            why=f"{steps} whole steps, {1000 * index_rad * radius_mm / steps:.3g} µm each on the wall",
        ),
    ]
    return tuple(entries)


def _number(drive: Chuck | Rollers, keys: Keyed, steps: int, what: str, places: int, radius_mm: float) -> list[KeyIn]:
    wanted = f"makes the program turn {keys.wanted_steps:.4f} steps, which it takes as {steps}"
    turn = KeyIn(
        label="Steps for one turn",
        text=f"{keys.keyed_steps:.0f}",
        unit="steps",
        why=f"one turn of {what}, not of the item",
    )
    if drive.controller_field == "degrees":
        why = f"degrees of {what}; {wanted}"
        return [turn, KeyIn(label="Angle per index", text=f"{keys.number:.{places}f}", unit="°", why=why)]
    if drive.controller_field == "steps-only":
        why = f"not the drive's own steps; with the diameter {drive.typed_diameter_mm:g} mm as it stands {wanted}"
        return [turn.model_copy(update={"why": why})]
    name, true = "Item diameter", f"the item has {2 * radius_mm:.4g} mm there"
    if drive.controller_field == "roller-diameter":
        name = "Roller diameter"
        true = f"the roller has {drive.roller_diameter_mm:g} mm" if isinstance(drive, Rollers) else "a chuck has none"
    why = f"not the true diameter ({true}), do not correct it: {wanted}"
    return [turn, KeyIn(label=f"{name}, as typed", text=f"{keys.number:.{places}f}", unit="mm", why=why)]


# How the rim points in the program, and how a sheet that was drawn with the rim on top has to lie there.
_LIES: Final = {
    ("y", "plus"): ("up (+Y)", "upright, as it is drawn"),
    ("y", "minus"): ("down (-Y)", "turned by half a turn"),
    ("x", "plus"): ("right (+X)", "turned by a quarter turn clockwise"),
    ("x", "minus"): ("left (-X)", "turned by a quarter turn anticlockwise"),
}


def must_show(
    slices: int, inked: int, column_mm: float, size_mm: tuple[float, float], method: str, field_axis: str, rim: str
) -> tuple[str, ...]:
    """What has to be seen in the marking program before the first slice."""
    wide = f"{column_mm:g} mm" if slices == 1 else f"{slices} columns of {column_mm:g} mm"
    across, width, height = ("X", *size_mm) if field_axis == "y" else ("Y", *size_mm[::-1])
    points, lies = _LIES[field_axis, rim]
    lines = [
        f"The rim points {points}; the sheet lies {lies}, never mirrored.",
        f"The program shows {wide} along {across}, the first cut at {-slices * column_mm / 2:.3f} mm from the middle.",
        f"After import the sheet measures {width:.3f} × {height:.3f} mm.",
        "The extra width per index is 0.",
        "The number typed for the diameter or the steps is the one on the card; do not correct it to the item's own.",
    ]
    if method == "sheet":
        lines.append("White wedges between the slices are right: they close on the item.")
    lines.append("The small ticks at the sheet's outer corners are there, and marked at zero power or on tape.")
    if inked < slices:
        lines.append("The last column is blank; it is there to make the number of columns odd.")
    return tuple(lines)


def closing_mm(closing_steps: float, steps_per_turn: float, radius_mm: float) -> float:
    """What a full ring is off where it closes, along the wall [mm], + too far."""
    return float(closing_steps * 2 * np.pi * radius_mm / steps_per_turn)
