"""The numbers to key in, in keying order, and what the marking program must then show."""

import math
from typing import Final, NamedTuple

import numpy as np

from rotary.errors import Refused
from rotary.formulas import keying, motion
from rotary.laser import LaserAndLens
from rotary.slices.models import KeyIn
from rotary.turning.faults import NO_DIAMETER
from rotary.turning.models import Chuck, Rollers

TRIES: Final = 400
"""Columns that are tried, each one last decimal wider, until the number to type suits both ways of rounding."""

WIDER: Final = 1.25
"""No column is made more than this much wider than the slice needs: the sheet would grow out of hand."""


NEAR_MM: Final = 0.001
"""A column of flat artwork may be this much off where that gives a number that suits every way of rounding."""


class KeyedColumn(NamedTuple):
    """The column, the number to type, and the steps that are then off [steps] over all indexes, + too far.

    `least_over` and `most_over` are by how many steps an index misses those wanted, at its fewest and its most.
    """

    file_slice_mm: float
    number: float
    keyed_steps: float
    wanted_steps: float
    both_round: bool
    drift_steps: float
    least_over: float
    most_over: float


def keyed_column(
    drive: Chuck | Rollers, file_slice_mm: float, steps: int, slices: int, nearest: bool = False
) -> KeyedColumn:
    """The column and the number to type for exactly `steps` an index; raises Refused where a number is missing.

    `file_slice_mm` is the least a column may be; with `nearest` the width that it should have.
    """
    motor = motion.steps_per_turn(drive.full_steps, drive.microsteps, drive.gear_ratio)
    # Steps a turn are typed whole, whatever the gear.
    whole = max(round(motor), 1)
    decimals, indexes, rounding = drive.typed_decimals, max(slices - 1, 1), drive.rounding
    room = 2 * NEAR_MM if nearest else (WIDER - 1) * file_slice_mm
    tries = max(min(TRIES, round(room * 10**decimals)), 1 if nearest else 2)
    kind = drive.controller_field
    if kind == "steps-only":
        if drive.typed_diameter_mm is None:
            raise Refused([NO_DIAMETER])
        at = drive.typed_diameter_mm
        typed = keying.typed_steps(file_slice_mm, steps, indexes, at, decimals, tries, nearest, rounding)
        key_steps = typed.number
    elif kind == "degrees":
        typed = keying.typed_degrees(file_slice_mm, steps, indexes, whole, decimals, nearest, rounding)
        key_steps = float(whole)
    else:
        typed = keying.typed_diameter(file_slice_mm, steps, indexes, whole, decimals, tries, nearest, rounding)
        key_steps = float(whole)
    drift, over = 0.0, np.zeros(1)
    if not typed.both_round:
        stands = motion.positions_steps(typed.wanted, indexes, rounding)
        drift = float(stands[-1] - steps * indexes)
        # A program turns the artwork's middle to the top first, and rounds places from there.
        places = np.floor((np.arange(indexes + 1) - indexes / 2) * typed.wanted + 0.5)
        over = np.diff(places if rounding == "absolute" else np.insert(stands, 0, 0.0)) - steps
    return KeyedColumn(
        typed.file_slice_mm, typed.number, key_steps, typed.wanted, typed.both_round, drift,
        float(over.min()), float(over.max()),
    )  # fmt: skip


class Columns(NamedTuple):
    """The columns as a program has to divide them: each turns `steps`; the sheet's size as it is drawn."""

    keyed: KeyedColumn
    steps: int
    index_rad: float
    slices: int
    inked: int
    size_mm: tuple[float, float]
    method: str


class _Turn(NamedTuple):
    """One index: how far it turns the item, how often, and the item's radius there."""

    index_rad: float
    indexes: int
    radius_mm: float


def key_in(drive: Chuck | Rollers, columns: Columns, radius_mm: float, field_axis: str) -> tuple[KeyIn, ...]:
    """The entries in keying order; the sheet's size as the program shows it, turned where the item lies along X."""
    keys, steps, index_rad, slices, _, size_mm, _ = columns
    width, height = size_mm if field_axis == "y" else size_mm[::-1]
    whole = f"{steps} whole steps, {1000 * index_rad * radius_mm / steps:.3g} µm each on the wall"
    column = f"{keys.file_slice_mm:.{drive.typed_decimals}f}"
    return (
        _entry("sheet_width", "File width", f"{width:.3f}", "mm", "check after import, never scale it to fit"),
        _entry("sheet_height", "File height", f"{height:.3f}", "mm", "check after import"),
        _entry("file_slice_width", "Slice width in the file", column, "mm", f"each slice turns the item {steps} steps"),
        _entry("extra_per_slice", "Extra per slice", "0", "mm", "the file already has its margin"),
        *_number(drive, keys, steps, _Turn(index_rad, max(slices - 1, 1), radius_mm)),
        _entry(
            "slices_shown",
            "Slices shown",
            f"{slices}",
            "",
            "an odd number, so that slices counted from the left edge or the middle agree",
        ),
        _entry("slice_turn", "Turn per slice", f"{math.degrees(index_rad):.4f}", "°", whole),
    )


class _Unreal(NamedTuple):
    """What a field would truthfully hold, as a person would type it, and the warning against typing it."""

    real: str
    leave: str
    leave_in: str


_REAL: Final = _Unreal("", "", "")
NO_ROLLER: Final = _Unreal("none", "NO roller here, type this number", "")

READ_MM: Final = 0.05
"""Calipers are read to a tenth of a millimetre: a number nearer than this looks like the real one."""


def _number(drive: Chuck | Rollers, keys: KeyedColumn, steps: int, turn: _Turn) -> list[KeyIn]:
    """Steps for one turn and the number that the column is divided by, or the angle."""
    places, what = drive.typed_decimals, "the driven roller" if isinstance(drive, Rollers) else "the chuck"
    wanted = f"the program turns {keys.wanted_steps:.4f} steps, which it rounds to {steps}"
    motor = motion.steps_per_turn(drive.full_steps, drive.microsteps, drive.gear_ratio)
    turns = _entry(
        "typed_steps_per_turn", "Steps per turn", f"{keys.keyed_steps:.0f}", "steps",
        f"one turn of {what}, not of the item", _other(keys.keyed_steps, round(motor, 2)),
    )  # fmt: skip
    item_mm = 2 * turn.radius_mm
    if drive.controller_field == "degrees":
        degrees = round(math.degrees(turn.index_rad), 4)
        unreal = _other(keys.number, degrees) if round(degrees, places) != keys.number else _REAL
        why = f"degrees of {what}, {wanted}"
        return [turns, _entry("angle_per_slice", "Angle per slice", f"{keys.number:.{places}f}", "°", why, unreal)]
    if drive.controller_field == "steps-only" and drive.typed_diameter_mm is not None:
        stands = drive.typed_diameter_mm
        return [
            turns.but(why=f"not the motor's own steps: with the diameter you type, {wanted}"),
            _entry(
                "typed_diameter", "Diameter, unchanged", f"{stands:.10g}", "mm",
                "already in the program: the steps depend on it", _other_mm(stands, item_mm, drive, keys, turn),
            ),
        ]  # fmt: skip
    name, label, real_mm = "typed_diameter", "Diameter to type", item_mm
    unreal = _other_mm(keys.number, item_mm, drive, keys, turn)
    if drive.controller_field == "roller-diameter":
        name, label = "roller_diameter", "Roller diameter to type"
        real_mm = drive.roller_diameter_mm if isinstance(drive, Rollers) else math.nan
        unreal = _other_mm(keys.number, real_mm, drive, keys, turn) if isinstance(drive, Rollers) else NO_ROLLER
    text, why = f"{keys.number:.{places}f}", wanted
    if unreal.real and math.isfinite(real_mm):
        angle = math.degrees(turn.index_rad)
        here, there = f"{angle:.2f}°", f"{angle * keys.number / real_mm:.2f}°"
        why = (
            f"with {text} typed the item turns {here} per slice, with the real {unreal.real} it would turn {there}"
            if here != there
            else wanted
        )
    return [turns, _entry(name, label, text, "mm", why, unreal)]


def _entry(name: str, label: str, text: str, unit: str, why: str, unreal: _Unreal = _REAL) -> KeyIn:
    return KeyIn(id=name, label=label, text=text, unit=unit, why=why, **unreal._asdict())


def _other(number: float, real: float) -> _Unreal:
    """The warning where a number is not the real one."""
    return _REAL if math.isclose(number, real) else _Unreal(f"{real:.10g}", f"type this, not {real:.10g}", "")


def _other_mm(number: float, true_mm: float, drive: Chuck | Rollers, keys: KeyedColumn, turn: _Turn) -> _Unreal:
    """The warning where a diameter can be told from the real one, or the real one typed for it would turn otherwise."""
    real = round(true_mm, 1) or round(true_mm, 4)
    right = motion.positions_steps(keys.wanted_steps, turn.indexes, drive.rounding)
    wrong = motion.positions_steps(keys.wanted_steps * number / real, turn.indexes, drive.rounding)
    if abs(number - real) <= READ_MM and right[-1] == wrong[-1]:
        return _REAL
    inches = f"type this, not {round(true_mm / 25.4, 3) or round(true_mm / 25.4, 5):g} in ({real:g} mm)"
    return _other(number, real)._replace(leave_in=inches) if number != real else _REAL


# How the rim points in the program, and how the sheet comes out of its file for it.
_LIES: Final = {
    ("y", "plus"): ("up (+Y)", "the file is upright in your program"),
    ("y", "minus"): ("down (-Y)", "the file is upside down in your program, as planned"),
    ("x", "plus"): ("right (+X)", "the top of the file points right in your program, as planned"),
    ("x", "minus"): ("left (-X)", "the top of the file points left in your program, as planned"),
}


class SheetColumns(NamedTuple):
    """The columns of a sheet, how many of them carry ink, how wide one is, and the method that they are for."""

    slices: int
    inked: int
    file_slice_mm: float
    method: str


def must_show(
    columns: SheetColumns, size_mm: tuple[float, float], laser: LaserAndLens, rim: str, in_the_middle: bool = False
) -> tuple[str, ...]:
    """What has to be seen in the marking program before the first slice.

    `size_mm` is the sheet's as the program shows it, `rim` what that end is called; `in_the_middle` says that its
    artwork lies there, so that what is blank is half a column at either end.
    """
    slices, inked, file_slice_mm, method = columns
    wide = f"{file_slice_mm:g} mm" if slices == 1 else f"{slices} slices of {file_slice_mm:g} mm"
    across = "X" if laser.field_axis == "y" else "Y"
    points, lies = _LIES[laser.field_axis, laser.rim_towards]
    lines = [
        f"{rim[0].upper()}{rim[1:]} points {points}: {lies}. Never turn or mirror it.",
        f"The program must show {wide} along {across}. The first slice must begin at "
        f"{-slices * file_slice_mm / 2:.3f} mm (0 is the middle).",
        f"The program must show the file as {size_mm[0]:.3f} × {size_mm[1]:.3f} mm.",
        "Type 0 for the extra per slice.",
    ]
    if method == "sliced":
        lines.append("Leave the white, wedge-shaped gaps between the slices: they close on the item.")
    lines.append("Let the corner ticks run too, at zero power (so that they leave no mark) or on paper tape.")
    if inked < slices:
        lines.append(
            "Half a slice stays blank at each end, to make the slice count odd."
            if in_the_middle
            else "The last slice is blank, to make the slice count odd."
        )
    return tuple(lines)


def closing_mm(closing_steps: float, steps_per_turn: float, radius_mm: float) -> float:
    """What a full ring is off where it closes, along the wall [mm], + too far."""
    return float(closing_steps * 2 * np.pi * radius_mm / steps_per_turn)
