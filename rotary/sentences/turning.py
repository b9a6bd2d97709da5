"""How an item lies and turns on its drive, in sentences."""

from typing import Final

from rotary.formulas.estimate import HOLDS_95
from rotary.turning import ItemTurning
from rotary.turning.models import TurnNote, TurnNoteId

_UNCERTAIN: Final = (
    ", so on 19 of 20 items one turn may be up to {off_percent:.2g} % off. Mark a tick, command one full turn "
    "({steps:.6g} steps), mark again, and enter the gap between the two ticks under full-turn ticks."
)
_SHIM: Final = (
    "a {shim_mm:.2f} mm shim under the {under} at the item's {end} end, {base_mm:g} mm from the end that stays down "
    "(at twice the distance use twice the thickness)"
)
_SAYS: Final[dict[TurnNoteId, str]] = {
    "tick_left_out": "Tick reading {number:g} does not fit the others, so the plan leaves it out: read this tick "
    "again.",
    "contact_unknown": "You have not entered where the item touches the rollers" + _UNCERTAIN,
    "rollers_slip": "Soft rollers slip" + _UNCERTAIN,
    "microsteps": (
        "Where the item is widest, each stop of the motor may be {off_um:.2g} µm off (5 % of a full step). These "
        "errors don't add up from slice to slice, and more than about ten microsteps per full step don't make them "
        "smaller."
    ),
    "walks": (
        "Measured against the rollers the axis climbs {climbs_deg:.1f} degrees towards the {end}, so the item may "
        "wander along the "
        "rollers. Push the {stop} against a fixed stop."
    ),
    "level_as_can_be": "The apex is as level as it can be: put nothing under the item.",
    "levelled": "You entered that the item is levelled. For that it needs " + _SHIM + ".",
    "to_level": (
        "The apex climbs {climb_mm:.3g} mm over the artwork, {left_mm:.2f} mm if levelled. Climbing costs focus and "
        "offsets lines at the seams. To level the item put " + _SHIM + "{tilt}, and enter yes under apex levelled."
    ),
    "may_tip": "The item may tip, because its balance point lies beyond the rollers: put a weight on the light end.",
    "hangs_between": "Part of the item is too thin for rollers this far apart and hangs between them: make sure that "
    "it touches nothing there.",
    "may_wedge": "The item sits deep between the rollers and may wedge: bring the rollers closer together.",
    "may_roll_off": "The item sits high on the rollers and may roll off: move the rollers farther apart.",
}


def summary(turning: ItemTurning) -> str:
    """How finely it turns, and how surely."""
    steps, off = turning.steps_per_turn, 100 * HOLDS_95 * turning.u_scale
    return f"{steps:.6g} steps per turn ± {off:.2g} %, {1000 * turning.arc_per_step_mm:.3g} µm per step"


def notes(turning: ItemTurning) -> tuple[str, ...]:
    """What has to be known of the item on its drive."""
    return tuple(map(_note, turning.notes))


def _note(note: TurnNote) -> str:
    values = note.values
    tilt = f", or tilt it by {values['tilt_deg']:.1f} degrees" if "tilt_deg" in values else ""
    said = _SAYS[note.id].format(**values, tilt=tilt, off_percent=2 * float(values.get("u_percent", 0.0)))
    if note.id not in ("levelled", "to_level"):
        return said
    differ = float(values["differ_mm"])
    higher = f": the {'rim' if differ > 0 else 'base'} end must be {abs(differ):.2g} mm higher" if differ else ""
    return f"{said} Then measure the apex height again at both ends of the artwork{higher}."
