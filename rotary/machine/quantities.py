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
    "axis": "the rotary was removed and set up again",
    "rollers": "the rollers were changed or moved",
    "drive": "motor, belt, gear or microsteps were changed",
    "pointer": "the pointer was moved",
    "item": "the item was re-mounted",
}
"""What can happen to a machine, as it is written in the machine's file, and in words."""

QUANTITIES: Final[dict[str, MachineQuantity]] = {
    "turn": MachineQuantity(
        "overshoot of a turn", "", None, 0.002, ("drive", "rollers", FOR_ONE_ITEM), "full-turn"
    ),
    "field-scale-x": MachineQuantity(
        "field scale in X", "", 0.0, 0.0015, ("lens", "head", "field"), "field"
    ),
    "field-scale-y": MachineQuantity(
        "field scale in Y", "", 0.0, 0.0015, ("lens", "head", "field"), "field"
    ),
    "pupil-x": MachineQuantity(
        "pupil height of the X mirror (where it turns the beam)", "mm", None, 0.0, ("lens", "head"), "two-heights"
    ),
    "pupil-y": MachineQuantity(
        "pupil height of the Y mirror (where it turns the beam)", "mm", None, 0.0, ("lens", "head"), "two-heights"
    ),
    "focus": MachineQuantity(
        "height of the focus above where you set it", "mm", 0.0, 0.5, ("lens", "head"), "focus-lines"
    ),
    "rayleigh": MachineQuantity("depth of focus", "mm", None, 0.0, ("lens", "head"), "focus-lines"),
    "spot": MachineQuantity(
        "spot's diameter in focus, at 1/e² of its peak", "mm", None, 0.0, ("lens", "head"), "focus-lines"
    ),
    "pointer-right": MachineQuantity(
        "pointer's offset to the right, in focus", "mm", 0.0, 0.5, ("lens", "head", "pointer"), "pointer"
    ),
    "pointer-up": MachineQuantity(
        "pointer's offset towards +Y, in focus", "mm", 0.0, 0.5, ("lens", "head", "pointer"), "pointer"
    ),
    "pointer-right-lean": MachineQuantity(
        "pointer's move to the right per mm of height", "", 0.0, 0.05, ("head", "pointer"), "pointer"
    ),
    "pointer-up-lean": MachineQuantity(
        "pointer's move towards +Y per mm of height", "", 0.0, 0.05, ("head", "pointer"), "pointer"
    ),
    "skew": MachineQuantity("axis's angle in the field, + anticlockwise", "rad", 0.0, 0.0009, ("axis",), "edge"),
    "offset": MachineQuantity("axis's offset to the right of the field's middle", "mm", 0.0, 0.5, ("axis",), "edge"),
    "level": MachineQuantity(
        "rise of the apex towards the rim", "rad", None, 0.003, ("axis", "rollers", FOR_ONE_ITEM), "level"
    ),
    "backlash": MachineQuantity("backlash of the turning", "rad", 0.0, 0.0003, ("drive",), "backlash"),
    "marked-width": MachineQuantity(
        "width of one marked line", "mm", None, 0.0, ("lens", "head", FOR_ONE_ITEM), "seam-test"
    ),
    "closing-gap": MachineQuantity(
        "gap between two filled areas that just closes", "mm", None, 0.0, ("lens", "head", FOR_ONE_COATING),
        "gap-ladder",
    ),
    "stops-whole": MachineQuantity(
        "motor's stopping error after whole cycles, in full steps", "", None, 0.0, ("drive",), "motor-whole"
    ),
    "stops-free": MachineQuantity(
        "motor's stopping error after any turn, in full steps", "", None, 0.0, ("drive",), "motor-free"
    ),
    "sheet-scale": MachineQuantity(
        "extra width of drawn slices (seam test)", "", None, 0.003,
        ("lens", "head", "field", "axis", "rollers", "drive", FOR_ONE_ITEM), "seam-test",
    ),
    "sheet-turn": MachineQuantity(
        "turn of drawn slices (seam test), + anticlockwise", "rad", None, 0.0009,
        ("axis", "head", FOR_ONE_ITEM), "seam-test",
    ),
}  # fmt: skip
"""Every quantity by the name that reports use, in the order in which they are told."""
