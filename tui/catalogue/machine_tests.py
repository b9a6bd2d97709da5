"""Every machine test whose reading is typed on a page for all: what is asked for, and how it is read."""

from collections.abc import Mapping
from typing import Final, NamedTuple


class Value(NamedTuple):
    """A value that a test asks for: its name in the reading, what it is called here, how it is read."""

    name: str
    label: str
    help: str
    unit: str | None = "mm"
    many: int = 1


class MachineTest(NamedTuple):
    """A test: the drawing that goes with it, the kind of its reading, what is fixed, what is asked for."""

    tape: str
    kind: str
    values: tuple[Value, ...]
    fixed: Mapping[str, str] = {}


_AXIS: Final = Value("axis", "line along", "Choose along which axis of your program you marked the line: x or y.", None)
_DRAWN: Final = Value("drawn", "drawn", "How long the line is in the drawing.")
_ACROSS: Final = Value("across", "diameter", "Measure the item's diameter at the height of the marks, with calipers.")
_STEP: Final = Value(
    "full_step", "full step", "How far a full step of the motor moves the tape. Don't change this number."
)
_SEAMS: Final = Value(
    "ticks",
    "seams 1 to",
    "Type the number of the tick that runs straight on at this seam, with - if it lies below tick 0.",
    None,
    8,
)
_BACK: Final = Value(
    "back",
    "tape 2, 1 to",
    "On the second tape: type the number of the tick that runs straight on.",
    None,
    3,
)

TESTS: Final = {
    "full-turn": MachineTest("full-turn", "turn", (
        Value("gap", "gap", "How far apart the two ticks are: + if the item turned too far, - if not far enough."),
        Value("at_height", "at height", "Height of the two ticks on the item."), _ACROSS,
    )),
    "field": MachineTest("field", "field", (
        _AXIS, _DRAWN, Value("measured", "measured",
        "How long the marked line is, from one end mark to the other, at the same edge of both."),
    )),
    "two-heights": MachineTest("two-heights", "two-heights", (
        _AXIS, _DRAWN, Value("low", "lower line", "Length of the first line, with the lens further away. "
        "It is the longer line."),
        Value("high", "higher line", "Length of the second line, with the lens closer. It is the shorter line."),
        Value("apart", "closer by", "How much closer bed and lens were for the second line."),
    )),
    "edge": MachineTest("edge", "edge", (
        Value("long", "line", "How long the line is that you marked beside the item. What you measure at the "
        "item's two sides goes into the test \"edge both sides\"."),
        Value("off", "further left", "With the rim (end 2) away from you: how much further left the rule lies "
        "at the rim than at the base (end 1), - if further right."),
    )),
    "edge-both-sides": MachineTest("edge", "flanks", (
        Value("left", "left side",
        "How far the item's left side is from the field's middle, without a minus. Use the pointer."),
        Value("right", "right side", "How far the item's right side is from the field's middle, without a "
        "minus. Use the pointer."),
    )),
    "backlash": MachineTest("backlash", "backlash", (
        Value("apart", "lines apart", "How far apart the two lines are, along the wall."), _ACROSS,
    )),
    "line-width": MachineTest("", "line-width", (
        Value("width", "width", "Mark one line on this item, with the job's settings. Measure its width with a loupe."),
    )),
    "gap-ladder": MachineTest("gap-ladder", "gap-ladder", (
        Value("closed", "closed", "Type the number of the last pair whose gap closed over its whole length.", None),
        Value("first", "first gap", "How wide the gap of the first pair is, - if its two areas overlap."),
        Value("step", "step", "How much wider the gap of each pair is than the gap before."),
    )),
    "motor-whole": MachineTest(
        "motor-whole", "motor-test", (_SEAMS, _BACK, _STEP, _ACROSS), {"row": "whole"}
    ),
    "motor-free": MachineTest("motor-free", "motor-test", (_SEAMS, _STEP, _ACROSS), {"row": "free"}),
}  # fmt: skip
"""Every test whose reading is typed here, by what a person calls it; seam test, level, focus and pointer have pages."""

OF_ITEM: Final = ("turn", "line-width")
"""Kinds of readings that are of one item."""

READ_TO_MM: Final = {"backlash": 0.03, "line-width": 0.02, "edge": 0.1, "flanks": 0.15, "motor-test": 0.005}
"""How exactly a person reads, where it is not 0.05 mm: estimates, no source."""
