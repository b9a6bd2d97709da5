"""How an item lies and turns on its drive, in sentences."""

from typing import Final

from rotary.actions.by_hand import settable
from rotary.formulas.estimate import HOLDS_95
from rotary.item import Item
from rotary.turning.models import ItemTurning, TurnNote, TurnNoteId

_TICKS: Final = (
    "Mark a tick, turn the item one full turn by motor ({steps:.6g} steps), mark again. Enter the gap "
    "between the two ticks as a full-turn test (under turning). Until then one turn may be up to {off_percent:.2g} % "
    "off (on 19 of 20 items), "
)
_SHIM: Final = (
    "a {shim_mm} mm shim under the {under} at the item's {end}, {base_mm:g} mm from the {under}'s end that stays down "
    "(at twice the distance use twice the thickness)"
)
_SAYS: Final[dict[TurnNoteId, str]] = {
    "tick_left_out": "Full-turn test {number:g} does not fit the others, so the plan leaves it out: do this test "
    "again.",
    "contact_unknown": _TICKS + "because you have not entered where the item touches the rollers.",
    "rollers_slip": _TICKS + "because soft rollers slip.",
    "walks": (
        "Push {stop} against a fixed stop: the item may wander along the rollers, because its axis is not parallel to "
        "them (it rises {climbs_deg:.1f}° from the rollers towards {end})."
    ),
    "level_as_can_be": "The apex is as level as it can be: put nothing under the item.",
    "levelled": "The plan assumes that you level the apex. That needs " + _SHIM + ".",
    "to_level": (
        "To level the item put " + _SHIM + '{tilt}, and enter yes under "apex levelled". The apex now climbs '
        "{climb_mm:.3g} mm along the artwork, and still {left_mm:.2f} mm once you have levelled the item. A climb "
        "blurs the focus and offsets lines at the seams."
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
    count = f"{steps:.6g}" if steps < 1e6 else f"{steps:.0f}"
    return (
        f"{count} motor steps (± {off:.2g} %) turn the item once. One step moves the wall by "
        f"{1000 * turning.arc_per_step_mm:.3g} µm"
    )


_STANDING: Final = Item(name="bottle")
"""Its ends are base and rim."""
_RISKS: Final = ("may_tip", "hangs_between", "may_wedge", "may_roll_off")


def risks(turning: ItemTurning) -> tuple[str, ...]:
    """What may happen to the item on its drive while it turns."""
    return tuple(_note(note) for note in turning.notes if note.id in _RISKS)


def notes(turning: ItemTurning, item: Item = _STANDING) -> tuple[str, ...]:
    """What has to be known of the item on its drive, its ends as the person calls them."""
    return tuple(_note(note, item) for note in turning.notes if note.id in _SAYS)


def _note(note: TurnNote, item: Item = _STANDING) -> str:
    values = dict(note.values)
    for name, words in (("end", item.end_words if note.id == "walks" else item.end_name), ("stop", item.end_words)):
        if name in values:
            values[name] = words("rim" if values[name] == "rim" else "base")
    if "shim_mm" in values:
        shim_mm = float(values["shim_mm"])
        # As it can be set, and as the sheet says it.
        values["shim_mm"] = f"{settable(shim_mm):.{1 if shim_mm >= 1 else 2}f}"
    tilt = (
        f", or tilt the {values['under']} by {values['tilt_deg']:.1f}°, its end there up"
        if "tilt_deg" in values
        else ""
    )
    said = _SAYS[note.id].format(**values, tilt=tilt, off_percent=2 * float(values.get("u_percent", 0.0)))
    if note.id not in ("levelled", "to_level"):
        return said
    differ = float(values["differ_mm"])
    end = item.end_words("rim" if differ > 0 else "base")
    higher = f": {end} must be {abs(differ):.2g} mm higher" if differ else ""
    return f"{said} With the shim in place measure the apex height again at both ends of the artwork{higher}."
