"""The quantities of a machine: what each is, how well it is believed before it is measured, and what makes it stale."""

from typing import Final, NamedTuple

FOR_ONE_ITEM: Final = "item"
"""Stands among what a quantity lapses with where a reading holds for one item only."""

FOR_ONE_COATING: Final = "coating"
"""Stands there where a reading holds for one coating, or one bare metal, at the settings that it was marked with."""


class MachineQuantity(NamedTuple):
    """One thing that a machine really does.

    `unit` as in `rotary.model`; `believed` and `believed_u` (1 sigma) before any reading, None where the job's own
    figure stands or a reading has reckoned with beliefs already; `lapses_with` the changes after which a reading is
    stale; `tape` the drawing that measures it. All beliefs are estimates, common practice without a source.
    """

    says: str
    unit: str
    believed: float | None
    believed_u: float
    lapses_with: tuple[str, ...]
    tape: str


CHANGES: Final = {
    "lens": "the lens was changed or refocused",
    "head": "the laser or its mirrors were changed",
    "field": "the field correction of the marking program was changed",
    "axis": "the rotary was removed and put back",
    "rollers": "the rollers were changed or moved",
    "drive": "motor, belt, gear or microsteps were changed",
    "pointer": "the pointer was moved",
    "item": "the item was re-mounted",
}
"""What can happen to a machine, as it is written in the machine's file, and in words."""

QUANTITIES: Final[dict[str, MachineQuantity]] = {
    "turn": MachineQuantity(
        "a full turn, + too far, - too short", "", None, 0.002, ("drive", "rollers", FOR_ONE_ITEM), "full-turn"
    ),
    "field-scale-x": MachineQuantity(
        "lines along X, + too long, - too short", "", 0.0, 0.0015, ("lens", "head", "field"), "field"
    ),
    "field-scale-y": MachineQuantity(
        "lines along Y, + too long, - too short", "", 0.0, 0.0015, ("lens", "head", "field"), "field"
    ),
    "pupil-x": MachineQuantity(
        "height over the focus where the X mirror turns the beam", "mm", None, 0.0, ("lens", "head"), "two-heights"
    ),
    "pupil-y": MachineQuantity(
        "height over the focus where the Y mirror turns the beam", "mm", None, 0.0, ("lens", "head"), "two-heights"
    ),
    "focus": MachineQuantity(
        "the focus, + above, - below where you set it", "mm", 0.0, 0.5, ("lens", "head"), "focus-lines"
    ),
    "rayleigh": MachineQuantity("depth of focus", "mm", None, 0.0, ("lens", "head"), "focus-lines"),
    "spot": MachineQuantity(
        "width of the spot in focus", "mm", None, 0.0, ("lens", "head"), "focus-lines"
    ),
    "pointer-right": MachineQuantity(
        "how far towards +X the pointer is off the beam, in focus", "mm", 0.0, 0.5, ("lens", "head", "pointer"),
        "pointer",
    ),
    "pointer-up": MachineQuantity(
        "how far towards +Y the pointer is off the beam, in focus", "mm", 0.0, 0.5, ("lens", "head", "pointer"),
        "pointer",
    ),
    "pointer-right-lean": MachineQuantity(
        "how far towards +X the pointer moves per mm of height", "", 0.0, 0.05, ("head", "pointer"), "pointer"
    ),
    "pointer-up-lean": MachineQuantity(
        "how far towards +Y the pointer moves per mm of height", "", 0.0, 0.05, ("head", "pointer"), "pointer"
    ),
    "skew": MachineQuantity(
        "how crooked the item lies, + anticlockwise from above", "rad", 0.0, 0.005, ("axis",), "edge"
    ),
    "offset": MachineQuantity("item beside the field's middle, + right, - left", "mm", 0.0, 0.5, ("axis",), "edge"),
    "level": MachineQuantity(
        "slope of the apex, + up towards the rim, - down", "rad", None, 0.003, ("axis", "rollers", FOR_ONE_ITEM),
        "level",
    ),
    "backlash": MachineQuantity("play of the rotary (backlash)", "rad", 0.0, 0.002, ("drive",), "backlash"),
    "marked-width": MachineQuantity(
        "width of one marked line", "mm", None, 0.0, ("lens", "head", FOR_ONE_ITEM), "line-width"
    ),
    "closing-gap": MachineQuantity(
        "widest gap that closes (on one coating)", "mm", None, 0.0, ("lens", "head", FOR_ONE_COATING),
        "gap-ladder",
    ),
    "stops-whole": MachineQuantity(
        "motor's error if it turns by whole cycles (4 full steps in most motors), in % of a full step",
        "", None, 0.0, ("drive",), "motor-whole"
    ),
    "stops-free": MachineQuantity(
        "motor's error if it turns by any number of steps, in % of a full step", "", None, 0.0, ("drive",), "motor-free"
    ),
    "sheet-scale": MachineQuantity(
        "slices in the file, + wider than planned (on one item)", "", None, 0.003,
        ("lens", "head", "field", "axis", "rollers", "drive", FOR_ONE_ITEM), "seam-test",
    ),
    "sheet-turn": MachineQuantity(
        "how far slices are tilted, + anticlockwise from above", "rad", None, 0.0009,
        ("axis", "head", FOR_ONE_ITEM), "seam-test",
    ),
}  # fmt: skip
"""Every quantity by the name that reports use, in the order in which they are told."""
