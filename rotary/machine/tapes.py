"""Tape drawings at true size for all that is measured on paper tape: what to draw, what to read, where to write it.

Every drawing is sized to the field, the item and the drive of the job at hand; every tape has its instructions as
plain text, for those who would rather type than import.
"""

import math
import re
from collections.abc import Callable, Iterator
from contextlib import suppress
from typing import Any, Final, NamedTuple

from rotary.actions.by_hand import habit_row
from rotary.errors import Refused
from rotary.item import ENDS, height_from_s_mm
from rotary.machine import seam_tests
from rotary.machine.glyphs import number, stroke
from rotary.machine.resume import witness_ticks
from rotary.machine.strip_papers import NAME_OF_JOB
from rotary.machine.tape_drawing import LINE_MM, l_shape, tape_svg
from rotary.papers.model import Entry
from rotary.papers.text import entries_said
from rotary.plan import Plan

FIELD_SHARE: Final = 0.8
"""A long line takes this share of the field: its outermost tenth is the least true."""

LONGEST_MM: Final = 150.0
"""Ordinary calipers end there."""

STAIRS: Final = 11

CAUTION: Final = seam_tests.TAPE_CAUTION

THEN_TYPE: Final = (
    "Then type this at the computer, with what you read in place of each ? (once for each time you did the test):"
)

PURPOSES: Final = {
    "direction": "is anything mirrored, or does the item turn the wrong way?",
    "full-turn": "does the item come back to its place?",
    "field": "is a marked line as long as you drew it?",
    "two-heights": "how much shorter a line is on a higher surface",
    "focus-lines": "where the focus really is",
    "pointer": "how far the red spot is from the beam",
    "edge": "does the item lie straight, and under the field's middle?",
    "level": "is one end of the item higher?",
    "backlash": "how much play the rotary has",
    "witness": "to see later whether the item has moved",
    "gap-ladder": "the widest gap that still closes",
    "motor-whole": "how exactly the motor stops after whole cycles",
    "motor-free": "how exactly the motor stops after any turn",
}
"""What each test is for."""


_FIELD: Final = re.compile(r'([\w-]+)=(?:"([^"]*)"|(\S+))')


class Tape(NamedTuple):
    """One tape: its name, the quantities it tells, its SVG (empty where nothing is marked), instructions, the reading
    to type (`reading` with its kind and fields, values left at ?, a line each of several readings). `typed` are numbers
    to type, each of which has its line in the instructions, too; `more` are names and SVGs of drawings that the
    instructions lead to."""

    name: str
    tells: tuple[str, ...]
    svg: str
    instructions: tuple[str, ...]
    reading: str
    typed: tuple[Entry, ...] = ()
    more: tuple[tuple[str, str], ...] = ()

    @property
    def title(self) -> str:
        """Its heading on paper."""
        return f"{self.name.replace('-', ' ')}: {PURPOSES[self.name]}"

    @property
    def files(self) -> dict[str, bytes]:
        """Its drawings by the names of their files; none where nothing is marked."""
        drawn = ((self.name, self.svg), *self.more)
        return {f"tape-{name}.svg": svg.encode() for name, svg in drawn if svg}

    @property
    def fields(self) -> tuple[tuple[str, str], ...]:
        """The fields of the reading to write with their values, ? where one is to be read; a name may stand twice, as
        of both axes."""
        return tuple((name, quoted or bare) for name, quoted, bare in _FIELD.findall(self.reading))

    @property
    def fields_by_line(self) -> list[list[tuple[str, str]]]:
        """The same for each line of the reading."""
        lines = self.reading.split("\n") if self.reading else []
        return [[(name, quoted or bare) for name, quoted, bare in _FIELD.findall(line)] for line in lines]

    def lines(self, job_name: str = NAME_OF_JOB) -> list[str]:
        """What to do, and what to type then."""
        then = [f"  {THEN_TYPE}", *(f"    {line}" for line in self.commands(job_name))] if self.reading else []
        return [f"{self.name}: {PURPOSES[self.name]}", *(f"  - {step}" for step in self.instructions), *then]

    def commands(self, job_name: str = NAME_OF_JOB) -> list[str]:
        """What is typed for the readings, line by line; a motor test takes from its job what is not read."""
        asked = [f"{name}={value.replace('; ', ',')}" for name, value in self.fields if "?" in value]
        motor = " ".join([self.name, *asked, f"--from {job_name}"])
        lines = [motor] if self.name in seam_tests.MOTOR_ROWS else self.reading.split("\n")
        return [f"rotary machine record {line}" for line in lines]


def tapes(made: Plan) -> dict[str, Tape]:
    """Every tape for a plan's machine and item, by name, in the order in which they are best done."""
    return {tape.name: tape for tape in (*(make(made) for make in _TAPES), *_of_seams(made))}


def _of_seams(made: Plan) -> Iterator[Tape]:
    """The gap ladder and the rows of the motor test, where the item and the plan have room for them."""
    for row in ("", *seam_tests.motor_rows(made.job)):
        with suppress(Refused):
            yield _seam_tape(seam_tests.motor_test(made.job, row) if row else seam_tests.gap_ladder(made))


def _seam_tape(test: seam_tests.SeamTest) -> Tape:
    *more, (_, svg) = ((name.removesuffix(".svg"), data.decode()) for name, data in test.files.items())
    lines = dict(zip((one.id for one in test.typed), entries_said(test.typed), strict=True))
    steps = (lines.get(row.id) or _row_text(row) for row in test.rows)
    return Tape(test.name, test.tells, svg, (test.caution, *steps), test.reading, test.typed, tuple(more))


_IN_TEXT: Final = ("tape", "place", "index", *seam_tests.SHOWN, "ticks", "back", "all_closed", "none_closed")


def _row_text(row: seam_tests.SeamRow) -> str:
    """A figure with its name stands first; a word for a value, or a figure that its text has, says no more."""
    if row.id in _IN_TEXT or (isinstance(row.value, str) and not row.unit and not row.value.isdecimal()):
        return row.text
    name = row.label or row.id.replace("_", " ").capitalize()
    value = f"{row.value}{'' if row.unit == '°' else ' '}{row.unit}".rstrip()
    return f"{name}: {value}. {row.text[:1].upper()}{row.text[1:].rstrip('.')}."


def _long_mm(made: Plan) -> float:
    """Whole centimetres, whole millimetres in a small field."""
    most = min(FIELD_SHARE * made.job.laser.field_mm, LONGEST_MM)
    return float(math.floor(most / 10) * 10 or math.floor(most))


def _full_turn(made: Plan) -> Tape:
    steps, r = made.turning.nominal_steps_per_turn, made.layout.reference_radius_mm
    at = height_from_s_mm(made.job.item, made.shape, made.layout.centre_mm)
    on_rollers = made.job.turning.kind == "rollers"
    shapes = [stroke(0, -3, 0, 3), *number("0", -2, -1.5, 3, LINE_MM)]
    return Tape(
        "full-turn",
        ("turn",),
        tape_svg(10, 8, shapes, "full-turn tick", lies=made.job.laser),
        (
            CAUTION,
            f"Put 3 cm of tape across the apex, {at:.1f} mm from "
            f"{made.job.item.end_words(made.job.item.heights_from)}, where the item is {2 * r:.2f} mm across"
            f"{' (all the way round it would make the item thicker on the rollers)' * on_rollers}. Let the motor turn "
            "the item a little in the direction that the job turns. Mark the tick (tape-full-turn.svg, a short line) "
            "on the tape.",
            f"Turn the item by {round(steps)} steps in the same direction. That should be exactly one turn. Mark the "
            "tick again.",
            "Measure along the tape from the first tick to the second, to 0.1 mm, with calipers or with loupe and "
            "ruler. Write + if the first tick has moved past the apex (the item turned too far), - if it has not come "
            "back to the apex. Do the test three times.",
        ),
        f'full-turn item="{made.job.item.name}" gap="?" at_height="{at:.1f} mm" across="{2 * r:.2f} mm" '
        f"steps={round(steps)}",
    )


def _field(made: Plan) -> Tape:
    long = _long_mm(made)
    return Tape(
        "field",
        ("field-scale-x", "field-scale-y"),
        tape_svg(long + 4, long + 4, l_shape(long), "field lines"),
        (
            CAUTION,
            f"Stick tape flat on the bed or a board, and focus on it. Mark tape-field.svg: two lines of {long:g} mm, "
            "one along the field's X axis, one along Y.",
            "Measure each line from one end mark to the other, at the same edge of both marks, to 0.05 mm.",
        ),
        "\n".join(f'field axis="{axis}" drawn="{long:g} mm" measured="?"' for axis in "xy"),
    )


def _two_heights(made: Plan) -> Tape:
    long = _long_mm(made)
    apart = max(10.0, round(made.job.laser.focal_length_mm / 16 / 5) * 5.0)
    return Tape(
        "two-heights",
        ("pupil-x", "pupil-y"),
        tape_svg(long + 4, long + 4, l_shape(long), "lines at two heights"),
        (
            CAUTION,
            f"Focus on flat tape, then move the lens {apart / 2:g} mm away. Mark tape-two-heights.svg: two lines of "
            f"{long:g} mm. Then "
            f"move bed and lens {apart:g} mm closer together, measured with gauge blocks. Mark both lines again on "
            "fresh tape.",
            "Measure all four lines to 0.05 mm, at the same edge of both end marks: the marks are wide here. The "
            "first lines are the lower lines. The second (higher) lines must be shorter.",
        ),
        "\n".join(
            f'two-heights axis="{axis}" drawn="{long:g} mm" low="?" high="?" apart="{apart:g} mm"' for axis in "xy"
        ),
    )


def stair_heights_mm(rayleigh_mm: float) -> list[float]:
    """The heights of the stairs about where the focus is set: twice the Rayleigh length to either side.

    >>> stair_heights_mm(1.0)[:3]
    [-2.0, -1.6, -1.2]
    """
    step = max(0.2, round(rayleigh_mm * 4 / (STAIRS - 1), 1))
    return [round((k - STAIRS // 2) * step, 2) for k in range(STAIRS)]


def _stairs(made: Plan) -> Tape:
    heights = stair_heights_mm(made.optics.rayleigh_mm)
    step = round(heights[1] - heights[0], 2)
    stairs: dict[str, list[Any]] = {}
    for k, height in enumerate(heights):
        y = (k - STAIRS // 2) * 4.0
        name = f"height{height:+g}"
        stairs[name] = [stroke(-5, y, 5, y, 0.02), *number(f"{height:g}", -6, y - 0.8, 1.6, LINE_MM, towards=-1)]
    listed = "; ".join(f"{h:g} mm" for h in heights)
    # Read after the move that an earlier reading asks for, the focus would contradict that reading.
    without = "This time leave out the first move that your focus reading asks for. " if habit_row(made) else ""
    return Tape(
        "focus-lines",
        ("focus", "rayleigh", "spot"),
        tape_svg(32, 4 * STAIRS + 4, [], "focus lines", stairs),
        (
            CAUTION,
            f"Focus on flat tape. {without}Import tape-focus-lines.svg. Mark its {STAIRS} lines one by one (each is a "
            f"path of its own). Before the first line move the lens {-heights[0]:g} mm closer than in focus. Before "
            f"each further line move the lens {step:g} mm away. The number beside a line says how far the lens is from "
            "focus (with - closer, without - away).",
            "Read each line's width to 0.01 mm, under a measuring loupe or on a photo with a scale in it. The "
            "narrowest line shows where the focus really is.",
        ),
        f'focus-lines heights="{listed}" widths="{"; ".join("?" * STAIRS)}"',
    )


def _pointer(_: Plan) -> Tape:
    shapes = [stroke(-4, 0, 4, 0), stroke(0, -4, 0, 4)]
    return Tape(
        "pointer",
        ("pointer-right", "pointer-up"),
        tape_svg(10, 10, shapes, "pointer cross"),
        (
            CAUTION,
            "Focus on flat tape, and mark the cross (tape-pointer.svg). Switch the pointer on. Measure how far its "
            "spot is from the "
            "cross's middle, to 0.1 mm: towards +X in your program (- towards -X), and towards +Y (- towards -Y).",
            "Raise the tape by 10 mm, leave the lens where it is, and do the same again on fresh tape.",
        ),
        'pointer height="0 mm" right="?" up="?" second_height="10 mm" second_right="?" second_up="?"',
    )


def _edge(made: Plan) -> Tape:
    band = made.layout.artwork_to_mm - made.layout.artwork_from_mm
    base, rim = map(made.job.item.end_words, ENDS)
    long = math.floor(min(FIELD_SHARE * made.job.laser.field_mm, max(band, 20.0)) / 5) * 5.0
    lies = made.job.laser
    plus, side, other = _PLUS_SIDE[lies.field_axis, lies.rim_towards]
    minus = plus.replace("+", "-")
    # The sides of a taper lean by as much to the left as to the right.
    both = " Do the same on the item's other side, and write the mean of the two numbers."
    return Tape(
        "edge",
        ("skew", "offset"),
        tape_svg(6, long + 4, [stroke(0, -long / 2, 0, long / 2)], "line along the item", lies=made.job.laser),
        (
            CAUTION,
            "Stick tape on the bed, and focus on it. Lay a steel rule on the tape against the item's side. Mark the "
            f"line of {long:g} mm (tape-edge.svg) beside the rule. Look with {rim} away from you. Measure at both ends "
            "of the line how far left of it the rule lies, to 0.1 mm (- if right of it). Take the number at "
            f"{rim} minus the number at {base}." + both * (made.shape.shape != "straight"),
            f"Then focus on the apex, and move the lens {made.layout.reference_radius_mm:.0f} mm closer, so that the "
            "item's sides are in focus. Move the pointer until it just touches the item's left side. Read how far the "
            "pointer is from the field's middle. Do the same on the right side. Write both numbers without a minus. If "
            f"in the test pointer the spot lies towards {plus} of the beam, add this distance to the number of the "
            f"{side} side, and take it off the number of the {other} side. If the spot lies towards {minus}, do the "
            "opposite.",
        ),
        f'edge long="{long:g} mm" off="?"\nflanks left="?" right="?"',
    )


_PLUS_SIDE: Final = {
    ("y", "plus"): ("+X", "right", "left"),
    ("y", "minus"): ("+X", "left", "right"),
    ("x", "plus"): ("+Y", "left", "right"),
    ("x", "minus"): ("+Y", "right", "left"),
}
"""The field's axis across the item, and which side of the item it points to, seen with the rim away; the other."""


def _level(made: Plan) -> Tape:
    rows = made.focus.apex
    low, high = rows[0], rows[-1]
    apart = abs(high.s_mm - low.s_mm)
    return Tape(
        "level",
        ("level",),
        "",
        (
            "You mark nothing in this test. Measure with a height gauge how high the apex is over the bed, to 0.1 mm, "
            f"at two places: {low.from_end_mm:.1f} mm and {high.from_end_mm:.1f} mm from "
            f"{made.job.item.end_words(made.job.item.heights_from)}.",
        ),
        f'level item="{made.job.item.name}" base_end="?" rim_end="?" apart="{apart:.1f} mm"',
    )


def _backlash(made: Plan) -> Tape:
    r = made.layout.reference_radius_mm
    return Tape(
        "backlash",
        ("backlash",),
        tape_svg(6, 8, [stroke(0, -3, 0, 3)], "backlash line", lies=made.job.laser),
        (
            CAUTION,
            f"Put tape on the item where it is {2 * r:.2f} mm across. Let the motor turn the item 10° back, then 10° "
            "forward. Mark the line (tape-backlash.svg). Let the item turn 10° further forward, then 10° back. Mark "
            "the line again.",
            "Measure with a loupe how far apart the two lines are along the wall, to 0.02 mm.",
        ),
        f'backlash apart="?" across="{2 * r:.2f} mm"',
    )


def _direction(made: Plan) -> Tape:
    shapes: list[Any] = []
    for place, digit in ((-1, "1"), (0, "2"), (1, "3")):
        shapes += number(digit, 5.0 * place, -2, 4, 2 * LINE_MM)
    shapes += number("F", 0.0, 4, 4, 2 * LINE_MM)
    return Tape(
        "direction",
        (),
        tape_svg(15, 16, shapes, "direction and mirror", lies=made.job.laser),
        (
            CAUTION,
            "Put tape on the item. Import tape-direction.svg with slices 5 mm wide, so that 1, 2 and 3 lie in a slice "
            "each. Mark this drawing.",
            f"Look with {made.job.item.end_words('rim')} away from you: you must read 1-2-3 from left to right, with "
            "an F the right way round over the 2. If the numbers are mirrored, upside down or in the order 3-2-1, a "
            "setting of your program is wrong. Do the seam test: its answer names this setting.",
        ),
        "",
    )


def _witness(made: Plan) -> Tape:
    ticks = witness_ticks(made)
    half = ticks.apart_mm / 2
    shapes = [s for y in (-half, half) for s in (stroke(-1.5, y, 1.5, y), stroke(0, y - 1.5, 0, y + 1.5))]
    return Tape(
        "witness",
        (),
        tape_svg(6, ticks.apart_mm + 6, shapes, "witness marks", lies=made.job.laser),
        (
            CAUTION,
            ticks.says,
            "Instead of drawing the crosses you can mark tape-witness.svg, with the place halfway between them under "
            "the middle of the field.",
            "If the item came off, type rotary print resume with these four numbers: --help explains how.",
        ),
        "",
    )


_TAPES: Final[tuple[Callable[[Plan], Tape], ...]] = (
    _direction, _full_turn, _field, _two_heights, _stairs, _pointer, _edge, _level, _backlash, _witness,
)  # fmt: skip
