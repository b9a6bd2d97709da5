"""An item taken off, or a stopped job: how the item sits now, and what is left to mark as it sits.

::

      before               now
      +  rim tick            +    found to the right and further up: the item is turned, moved, askew
      |                     /
      |                    /
      +  foot tick        +

The two witness ticks are marked with the first pass, on tape or under the foot, on the apex line of the middle slice.
"""

import math
import re
from pathlib import PurePosixPath
from typing import Final

import numpy as np
from pydantic import Field

from rotary.actions.files import NEXT_FILE_UP, counts_back
from rotary.artwork.rings import Rings
from rotary.errors import Fault, Refused, brief, listing, no_plan, refuse, refuse_all
from rotary.formulas.estimate import propagated_u
from rotary.formulas.revolution import radius_mm
from rotary.formulas.tape import Shift, shift_from_ticks
from rotary.item import ENDS, s_from_height_mm
from rotary.machine.correct import Correction, corrected_sheet
from rotary.model import Length, Model
from rotary.papers.sizes import Sizes
from rotary.plan import Plan
from rotary.sentences.files import numbers_text
from rotary.sentences.run_texts import BLANK
from rotary.sentences.short_rows import OTHER_SIDE, SIDES
from rotary.sheet import SheetWish
from rotary.sheet.flat import flat_drawing
from rotary.units import significant
from rotary.witness import WitnessTicks, witness_ticks

__all__ = ["Remainder", "TickReadings", "WitnessTicks", "remainder", "witness_ticks"]

READ_MM: Final = 0.1
"""How well a pointer is read against a tick, 1 sigma (estimate)."""

MOST_SKEW_RAD: Final = 0.05
FACES_ALONE: Final = (
    "nothing turns while these words are marked: put the part back as the setup sheet says, and import the file of "
    "each face that is left"
)

ALL: Final = -1
"""Stands for all passes of a slice, where its box is ticked and no number is told."""

STILL_MM: Final = 0.005
"""Nobody moves a drawing by less."""

STILL_DEG: Final = 5e-4


class TickReadings(Model):
    """The pointer's travel from the apex line to each tick: to the right, and towards the rim from its height."""

    foot_right_mm: Length
    foot_up_mm: Length = 0.0
    rim_right_mm: Length
    rim_up_mm: Length = 0.0
    u_mm: Length = Field(default=READ_MM, gt=0)


class Remainder(Model):
    """How the item sits, in numbers to turn and move by, and what of the plan is left.

    `turn_steps` brings the ticks back on top, + as an index turns; `left_steps` is what whole steps leave
    (in rad). `slices` are those left with the passes left of each, in order; on a coating those are in `says`, and 0
    where nobody has told how many passes a slice takes. `steps` say how the item sits and what is done about it.
    """

    turned_rad: float
    towards_rim_mm: float
    skew_rad: float
    turn_steps: int
    left_rad: float
    slices: tuple[tuple[int, int], ...]
    steps: tuple[str, ...]
    says: tuple[str, ...] = ()


def remainder(
    made: Plan,
    readings: TickReadings,
    done: dict[int, int] | None = None,
    passes: int | None = None,
    system: str = "mm",
) -> Remainder:
    """What is left of a plan, as the item sits now; `done` says how many passes each slice has had already.

    On a coating `passes` are those that each slice gets (what the second one took), without the weaker last pass. The
    card's lengths are told in `system`. Raises Refused where the readings or the slices make no sense.
    """
    if (wish := made.job.inscription) is not None and made.job.is_inscribed and wish.around in ("flats", "end"):
        raise refuse("done", FACES_ALONE)
    ticks = witness_ticks(made)
    item, shape = made.job.item, made.shape
    s = np.array([s_from_height_mm(item, shape, at) for at in (ticks.foot_at_mm, ticks.rim_at_mm)])
    low, high = radius_mm(shape.curve, s).tolist()
    shift = _shift(readings, low, high, ticks.apart_mm)
    step = made.turning.rad_per_step
    turn = round(shift.turned_rad / step)
    coated, told, last = made.removal.removes_coating, done or {}, made.removal.last_pass is not None
    wanted = passes if passes is not None else made.removal.counted_passes if coated else _passes(made)
    left = _left(made, told, wanted + last if wanted else 0)
    says = tuple(_left_text(wanted, max(told.get(number, 0), 0), last) for number, _ in left) if coated else ()
    u_turn = propagated_u([1 / (low + high), 1 / (low + high)], [readings.u_mm] * 2)
    return Remainder(
        turned_rad=shift.turned_rad,
        towards_rim_mm=shift.towards_rim_mm,
        skew_rad=shift.skew_rad,
        turn_steps=turn,
        left_rad=shift.turned_rad - turn * step,
        slices=left,
        steps=_steps(made, shift, turn, u_turn, readings, system),
        says=says,
    )


def _shift(readings: TickReadings, low: float, high: float, apart: float) -> Shift:
    faults, apart_mm = [], abs(readings.rim_up_mm - readings.foot_up_mm)
    to_blame = "foot_right" if abs(readings.foot_right_mm) > abs(readings.rim_right_mm) else "rim_right"
    if apart_mm > 10 * readings.u_mm:
        says = (
            f"the crosses are {significant(apart_mm)} mm nearer together or further apart than you drew them, and they "
            "can't have moved on the item: read both again, and check which cross is at the base and which at the rim."
        )
        faults.append(Fault("rim_up", says))
    try:
        shift = shift_from_ticks(
            readings.foot_right_mm, readings.foot_up_mm, readings.rim_right_mm, readings.rim_up_mm, low, high, apart
        )
    except ValueError:
        says = "a cross is more than 30 degrees from the top: turn the item by hand, and read both crosses again."
        raise Refused([*faults, Fault(to_blame, says)]) from None
    if abs(shift.skew_rad) > MOST_SKEW_RAD:
        says = "the item would sit more than 3 degrees crooked: seat the item again, and read both crosses again."
        faults.append(Fault(to_blame, says))
    refuse_all(faults)
    return shift


def _passes(made: Plan) -> int:
    """As many as the card has boxes for."""
    return max(len(made.removal.rows), 1)


def _left_text(took: int, had: int, last: bool) -> str:
    """What is left of a slice of a coated item; `took` 0 where nobody has told what each gets.

    `last` is whether the plan has a last pass.

    >>> _left_text(6, 0, True), _left_text(6, 4, False), _left_text(6, 6, True), _left_text(0, 4, True)
    ('6 passes + last pass', '2 passes', 'last pass', '____ minus 4 passes + last pass')
    """
    then = " + last pass" if last else ""
    if not took:
        return (f"{BLANK} minus {had} passes" if had else f"{BLANK} passes") + then
    rest = took - had
    return f"{rest} pass{'es' if rest != 1 else ''}{then}" if rest > 0 else "last pass"


def done_from_text(text: str) -> dict[int, int]:
    """Ticked boxes, such as 1-9, 10=4: passes by slice, all of them where no number is told; raises Refused.

    >>> done_from_text("1-2=16,3=4,5")
    {1: 16, 2: 16, 3: 4, 5: -1}
    """
    out: dict[int, int] = {}
    for part in filter(None, (one.strip() for one in text.split(","))):
        found = re.fullmatch(r"(\d{1,5})(?:-(\d{1,5}))?(?:=(\d{1,5}))?", part)
        if found is None or int(found[2] or found[1]) < int(found[1]):
            raise refuse(
                "done", f"{brief(part)} names no slices: write for example 1-9, or 10=4 for slice 10 with 4 passes."
            )
        had, slices = int(found[3]) if found[3] else ALL, range(int(found[1]), int(found[2] or found[1]) + 1)
        if twice := [number for number in slices if out.get(number, had) != had]:
            raise refuse("done", f"slice {twice[0]} is there twice, with different passes: write this slice once.")
        out |= dict.fromkeys(slices, had)
    return out


def _left(made: Plan, done: dict[int, int], passes: int) -> tuple[tuple[int, int], ...]:
    """The slices that are left with their passes; `passes` 0 where it is not known how many a slice takes."""
    most = passes or made.removal.passes_at_most + 1
    count = made.split.slices
    faults = []
    if none := sorted(number for number in done if not 1 <= number <= count):
        stands = "is no slice" if len(none) == 1 else "are no slices"
        every = f"numbers the slices from 1 to {count}" if count > 1 else "has only slice 1"
        says = f"there {stands} {numbers_text(none)}: the sheet {every}."
        faults.append(Fault("done", says))
    if many := sorted(number for number, had in done.items() if not ALL <= had <= most):
        says = (
            f"slice {numbers_text(many)} can't have had {done[many[0]]} passes, {most} is the most"
            f"{' (the last pass counted)' * (made.removal.last_pass is not None)}: write how many passes the slice had."
        )
        faults.append(Fault("done", says))
    refuse_all(faults)
    full = {number for number, had in done.items() if had == ALL or had == passes > 0}
    left = tuple((k, max(passes - done.get(k, 0), 0)) for k in range(1, count + 1) if k not in full)
    if not left:
        raise no_plan("done", "every slice has had all its passes: nothing is left to mark.")
    return left


def _steps(made: Plan, shift: Shift, turn: int, u_turn: float, read: TickReadings, system: str) -> tuple[str, ...]:
    """How the item sits, and what is done about it."""
    off = 2 * math.hypot(u_turn * made.layout.reference_radius_mm, read.u_mm / math.sqrt(2))
    length = Sizes(system).length
    base, rim = (made.job.item.end_words(end) for end in ENDS)
    moved, turned, skew = shift.towards_rim_mm, math.degrees(shift.turned_rad), math.degrees(shift.skew_rad)
    to, back = (rim, base) if moved > 0 else (base, rim)
    along = f"{length(abs(moved))} towards {to}" if abs(moved) >= STILL_MM else ""
    turns = f"{abs(turned):.3f}° to the {'right' if turned > 0 else 'left'}" if abs(turned) > STILL_DEG else "by 0°"
    sits = [
        f"is turned {turns} (± {2 * math.degrees(u_turn):.2f}°)",
        *([f"has moved {along}"] if along else []),
        f"lies {abs(skew):.3f}° crooked ({rim} too far {'right' if skew > 0 else 'left'})",
    ]
    sits = sits if abs(skew) > STILL_DEG else sits[:-1]
    return (
        f"Seen with {rim} away from you, the item now {listing(sits)}, compared with how it lay before.",
        _turned_back(turn, made),
        f"Move the drawing {along} in your program, or move the rotary as far towards {back}."
        if along
        else "Don't move the drawing in your program.",
        "Import the new files of the slices still to mark, not the old files: only the new ones fit how the item sits "
        "now. (rotary resume with these numbers and --to FOLDER writes them, as the screen does.)",
        f"Old and new marks will meet within {length(off)} on 19 of 20 items. Check it on a slice that you began "
        "before the stop: the new marks must lie on the old ones.",
    )


def _turned_back(turn: int, made: Plan) -> str:
    """How the crosses come back on top, before anything is marked; + where they lie to the right."""
    if turn == 0:
        return "The crosses are on top: don't turn."
    laser = made.job.laser
    # The side of the field, which is right seen with the rim away.
    side = NEXT_FILE_UP[laser.field_axis, laser.rim_towards]
    side = SIDES[side if turn > 0 else OTHER_SIDE[side]]
    return f"Turn the item {abs(turn)} step{'s' * (abs(turn) != 1)}: the crosses come back on top from the {side}."


def remaining_files(made: Plan, rings: Rings, left: Remainder, how: Correction) -> dict[str, str]:
    """One file for each slice that is left, by its number on the setup sheet, drawn for the item as it sits now."""
    if not lies_alone(made):
        files = flat_drawing(made, rings, askew_rad=left.skew_rad, counts_back=counts_back(made)).texts
    else:
        # The rim found to the right is the axis turned clockwise; slices are drawn turned anticlockwise where +.
        now = how.but(turn_rad=how.turn_rad - left.skew_rad)
        wish = SheetWish(arrangement="a-file-a-slice", counts_back=counts_back(made))
        files = corrected_sheet(made, rings, now, wish)
    numbers = {number for number, _ in left.slices}
    return {name: text for name, text in files.items() if _slice_of(name) in numbers}


def lies_alone(made: Plan) -> bool:
    """Whether a slice that is left lies in the middle of its own file, so that the item is turned to it by hand; in a
    flat file it keeps its place, and the program turns to it."""
    return made.split.method != "flat" or made.shape.flats is not None


def turn_to(made: Plan, number: int) -> int:
    """Steps from the middle of the artwork on top to this slice on top, + as the item turns from slice to slice."""
    return round((number - (made.split.slices + 1) / 2) * made.split.steps)


def _slice_of(name: str) -> int:
    """The slice that a file's name tells.

    >>> _slice_of("zone-1/oars-slice-07-of-21.svg")
    7
    """
    return int(PurePosixPath(name).name.rpartition("-slice-")[2].split("-")[0])
