r"""Two tests that tell what a seam needs: the gap ladder on scrap, the motor test on paper tape.

::

    gap ladder: pairs of filled areas, each gap wider       motor test: a vernier over each seam of nine stops
      12  [####]   [####]                                     1   |   2   |   3   |   …   |   9
      11  [####]  [####]                                       ///|///    |///    |
      …                                                        ///|///    |///    |
       1  [####][####]      read: the widest closed one            read: the tick that runs straight on

Each is rows of what is typed and read, a drawing in mm, and files for the marking program.
"""

import math
from typing import Final, Literal, NamedTuple

import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.rings import Rings, rings_from_shapely
from rotary.errors import Refused, no_plan
from rotary.formulas.motion import arc_per_step_mm
from rotary.formulas.stops import CYCLES
from rotary.item import height_from_s_mm
from rotary.job import Job
from rotary.laser import LaserAndLens
from rotary.machine import strip
from rotary.machine.correct import seam_material
from rotary.machine.glyphs import number
from rotary.machine.readings import ROW_SEAMS, RUNGS
from rotary.machine.strip_papers import numbers_to_type
from rotary.papers.model import Entry
from rotary.plan import Plan
from rotary.sheet.compose import composition
from rotary.sheet.pages import in_field, page_in_field, pages
from rotary.sheet.svg import drawing

FIELD_MM: Final = (2.0, 1.5)
"""A filled area of the ladder, around and along the item."""

RUNG_MM: Final = 2.1
LABEL_MM: Final = 1.2
SPAN_SPOTS: Final = 1.4
"""The ladder's widest gap, in spots (1/e²): no line is wider."""

LEAST_STEP_MM: Final = 0.005
FINER: Final = 4
"""How many times finer a ladder is of which no gap closed; it begins with areas that overlap."""

STOPS: Final = ROW_SEAMS + 1
SHOWN: Final = {
    "sheet_width": "After the import the program must show the file {} mm wide. Never scale it.",
    "sheet_height": "The program must show the file {} mm high.",
    "slices_shown": "The program must show {} slices.",
}
"""What is checked after the import; its figure stands in its text."""

FREE_STEPS: Final = 0.43
"""How far past whole cycles a free index goes, in full steps: nine stops then lie all over one cycle."""


TAPE_CAUTION: Final = (
    "Use paper masking tape, never vinyl (its fumes are poisonous). Wear eyewear marked for this laser, and switch "
    "fume extraction on. Tape can smoulder: mark gently, watch the tape, and keep hands clear of turning parts."
)
LADDER_CAUTION: Final = (
    "This test marks scrap with the job's own settings: wear eyewear marked for this laser, switch fume extraction "
    "on, and follow all cautions of the setup sheet. Never leave the laser alone. Local rules and licensed "
    "experts come first."
)


class SeamRow(NamedTuple):
    """One thing to type, to do or to read: a stable id, its value and unit, what it is, and a name for
    people where the id is none."""

    id: str
    value: float | str
    unit: str
    text: str
    label: str = ""


class SeamTest(NamedTuple):
    """A test: its rows, its drawing by parts [mm] with y up from the page's middle, its files by name.

    `reading` is what is recorded, values to be filled in at ?; `tells` the quantities that it measures; `typed` those
    rows that are typed, with what warns of them.
    """

    name: str
    rows: tuple[SeamRow, ...]
    parts: dict[str, Rings]
    width_mm: float
    height_mm: float
    files: dict[str, bytes]
    reading: str
    tells: tuple[str, ...]
    caution: str
    typed: tuple[Entry, ...] = ()


class Rungs(NamedTuple):
    """The gaps of a ladder: the first, and how much wider each further one is [mm]."""

    first_mm: float
    step_mm: float

    def gap_mm(self, rung: int) -> float:
        """The gap of a rung, counted from 1."""
        return round(self.first_mm + (rung - 1) * self.step_mm, 6)

    def after_all(self) -> "Rungs":
        """The ladder to mark where all gaps closed: twice as wide."""
        return Rungs(self.first_mm, 2 * self.step_mm)

    def after_none(self) -> "Rungs":
        """The ladder to mark where none closed: finer, and it begins with areas that overlap."""
        step = max(self.step_mm / FINER, LEAST_STEP_MM)
        return Rungs(round(self.first_mm - (RUNGS // 2) * step, 6), step)


_BACK: Final = (
    "Then put on fresh tape. Let the item come forward to slice 1, mark it, and go on to slice 3, mark it. Let it turn "
    "past slice 4, then back to it. Mark slice 4, and turn back to slice 2, mark it. Read these 3 seams in the same "
    "way."
)


def rungs_of(made: Plan) -> Rungs:
    """The first ladder of a plan: from no gap to 1.4 times the spot on the surface."""
    setting = made.removal.setting
    if setting is None:
        raise no_plan(
            "item.coating", "no passes are planned, so a gap ladder can't be marked: mark a test patch first."
        )
    step = SPAN_SPOTS * setting.spot_at_surface_um / 1000 / (RUNGS - 1)
    return Rungs(0.0, max(math.ceil(1000 * step) / 1000, LEAST_STEP_MM))


def gap_ladder(made: Plan) -> SeamTest:
    """The gap ladder of a plan, with the two to mark where all or no gaps closed; raises NoPlan."""
    gaps = rungs_of(made)
    setting, settings = made.removal.setting, made.seams.settings
    assert setting is not None
    files: dict[str, bytes] = {}
    for name, rungs in (("-wider", gaps.after_all()), ("-finer", gaps.after_none()), ("", gaps)):
        page, parts = _ladder_drawing(rungs, made.job.laser)
        about = f"gap ladder, first gap {rungs.first_mm:g} mm, each {rungs.step_mm:g} mm wider, true size, never scale"
        files[f"gap-ladder{name}.svg"] = drawing(*page, parts, "gap ladder", about, ticks=False).encode()
    coating = seam_material(made.job)
    coated = made.removal.removes_coating
    rows = (
        SeamRow(
            "place",
            "scrap",
            "",
            f"Mark tape-gap-ladder.svg on scrap with the item's {'coating' if coated else 'surface'} and wall"
            f"{', or beside the test patch' * coated}.",
        ),
        SeamRow("turning", "off", "", "Mark all pairs without turning: the rotary stands still."),
        SeamRow("settings", settings, "", "Type the job's own settings, with the lines in the job's direction."),
        SeamRow(
            "passes",
            setting.passes,
            "",
            "If the metal is clean before that, mark fewer. If it isn't clean yet, mark more. Then mark the last pass."
            if coated
            else "Mark each pair with as many passes as the job.",
        ),
        SeamRow("first_gap", gaps.first_mm, "mm", "Pair 1 has this gap. A minus means that the two areas overlap."),
        SeamRow("step", gaps.step_mm, "mm", "From pair to pair the gap gets this much wider."),
        SeamRow(
            "closed",
            "?",
            "",
            "Look with a loupe: write down the number of the last pair whose gap is closed from end to end.",
        ),
        SeamRow(
            "all_closed",
            gaps.after_all().step_mm,
            "mm",
            "If all gaps closed, mark tape-gap-ladder-wider.svg and read that ladder. With your reading type its step, "
            f"{gaps.after_all().step_mm} mm.",
        ),
        SeamRow(
            "none_closed",
            gaps.after_none().step_mm,
            "mm",
            "If no gap closed, mark tape-gap-ladder-finer.svg and read that ladder. With your reading type its step, "
            f"{gaps.after_none().step_mm} mm, and {gaps.after_none().first_mm:g} mm as the first gap.",
        ),
    )
    reading = (
        f'gap-ladder coating="{coating}" settings="{settings}" first="{gaps.first_mm:g} mm" '
        f'step="{gaps.step_mm:g} mm" closed="?"'
    )
    return SeamTest("gap-ladder", rows, parts, *page, files, reading, ("closing-gap",), LADDER_CAUTION)


def _ladder_drawing(gaps: Rungs, lies: LaserAndLens) -> tuple[tuple[float, float], dict[str, Rings]]:
    """Width and height [mm], and twelve pairs of filled areas, all under the lens at one stop.

    They are turned the way that the item lies, so that the job's lines cross a gap as they cross a seam.
    """
    wide, high = FIELD_MM
    parts: dict[str, Rings] = {}
    labels: list[object] = []
    for rung in range(1, RUNGS + 1):
        y, gap = (rung - (RUNGS + 1) / 2) * RUNG_MM, gaps.gap_mm(rung)
        # Each area by itself: two that overlap would be filled as one.
        for side, left in (("left", -gap / 2 - wide), ("right", gap / 2)):
            area = shapely.box(left, y - high / 2, left + wide, y + high / 2)
            parts[f"gap-{rung}-{side}"] = rings_from_shapely(area)
        labels += number(str(rung), -wide - 0.9, y - LABEL_MM / 2, LABEL_MM, strip.LINE_MM * 2, towards=-1)
    parts["numbers"] = rings_from_shapely(shapely.union_all(labels, grid_size=1e-6))
    page = round(2 * (wide + 4.0) + gaps.gap_mm(RUNGS), 3), round(RUNGS * RUNG_MM + 2.0, 3)
    turned = {name: in_field(ink, lies.field_axis, lies.rim_towards) for name, ink in parts.items()}
    return page_in_field(*page, lies.field_axis), turned


def motor_test(job: Job, row: str) -> SeamTest:
    """One row of the motor test of a job, "whole" or "free": nine stops on tape on the item; raises NoPlan.

    `job` is the machine's own, corrected. Rows differ in the index alone: whole cycles of the motor, or a little more.
    """
    made = _row_slices(job, row)
    order = strip.order_on_tape(made, strip.TAPE_MM)
    slice_mm = made.layout.reference_radius_mm * order.index_rad
    pitch, reach = strip.tick_pitch_mm(made, order), strip.tick_reach_mm(order)
    shapes: list[object] = []
    for seam in range(1, STOPS):
        shapes += strip.vernier_ticks((seam - STOPS / 2) * slice_mm, 0.0, 1.0, pitch, strip.MOST_TICKS, reach, slice_mm)
    figure, top = min(strip.NUMBER_MM, 0.2 * slice_mm), strip.MOST_TICKS * pitch + reach + strip.EDGE_MM
    for place in range(STOPS):
        shapes += number(str(place + 1), (place - ROW_SEAMS / 2) * slice_mm, top, figure, strip.LINE_MM * 2)
    ink = rings_from_shapely(shapely.union_all(shapes, grid_size=1e-6))
    shown = composition(order, ink, slide=False)
    order = order._replace(height_mm=math.ceil(1000 * max(order.height_mm, 2 * shown.half_height_mm)) / 1000)
    texts, _ = pages(order, shown, "one-sheet", f"motor test {row}")
    split = made.split
    full_step, across = _full_step(made)
    page = page_in_field(order.file_slice_mm * STOPS, order.height_mm, order.field_axis)
    size = dict(zip(("sheet_width", "sheet_height"), (f"{mm:.3f}" for mm in page), strict=True))
    texts_shown = ((k, size.get(k.id, k.text)) for k in split.key_in if k.id != "slice_turn")
    typed = (SeamRow(k.id, text, k.unit, SHOWN.get(k.id, k.leave or k.why).format(text), k.label)
             for k, text in texts_shown)  # fmt: skip
    item, full_steps = made.job.item, split.steps / job.turning.microsteps
    at = height_from_s_mm(item, made.shape, made.layout.centre_mm)
    rows = (
        SeamRow(
            "tape",
            strip.TAPE_MM,
            "mm",
            f"Put paper masking tape {strip.TAPE_MM:g} mm thick round the item, never vinyl. The test is drawn for "
            "tape of this thickness.",
        ),
        SeamRow(
            "place",
            round(at, 2),
            "mm",
            f"Import tape-motor-{row}.svg. Put its middle {at:.1f} mm from {item.end_words(item.heights_from)}.",
        ),
        SeamRow(
            "index",
            split.steps,
            "steps",
            f"Type the numbers below for this test only. Then the item turns {split.steps} motor steps "
            f"({full_steps:.4g} full steps) from slice to slice.",
        ),
        *typed,
        SeamRow(
            "approach",
            "one side",
            "",
            "Before slice 1 let the motor turn back past this slice, then forward to it. The motor then reaches every "
            "slice while it turns forward.",
        ),
        SeamRow(
            "ticks",
            ROW_SEAMS,
            "seams",
            f"At each of the {ROW_SEAMS} seams find the tick that runs straight on from the left slice to the right "
            "slice, and write its number. Long ticks have their numbers beside them. Count upwards from 0, downwards "
            "with a minus.",
        ),
        *([SeamRow("back", 3, "seams", _BACK)] if row == "whole" else []),
    )
    reading = (
        f'motor-test row={row} ticks="?; ?; ?; ?; ?; ?; ?; ?" '
        + ('back="?; ?; ?" ' if row == "whole" else "")
        + f'full_step="{full_step:.4f} mm" across="{across:.2f} mm"'
    )
    files = {f"motor-test-{row}.svg": text.encode() for text in texts.values()}
    return SeamTest(f"motor-{row}", rows, {"row": ink}, *page, files, reading, (f"stops-{row}",), TAPE_CAUTION,
                    numbers_to_type(made))  # fmt: skip


MOTOR_ROWS: Final[dict[str, Literal["whole", "free"]]] = {"motor-whole": "whole", "motor-free": "free"}
"""The rows of the motor test, by the names of their tapes."""


def motor_rows(job: Job) -> tuple[Literal["whole", "free"], ...]:
    """The rows of the motor test; where the motor has no cycle there is nothing to tell apart."""
    return ("free",) if CYCLES[job.turning.motor] is None else ("whole", "free")


def full_step_on_tape(job: Job, row: str) -> tuple[float, float]:
    """The arc of a full step where a row is marked, and the diameter there [mm]."""
    return _full_step(_row_slices(job, row))


def _full_step(made: strip.Base) -> tuple[float, float]:
    radius = made.layout.reference_radius_mm
    step = float(arc_per_step_mm(radius, made.turning.steps_per_turn))
    return step * made.job.turning.microsteps, 2 * radius


def _row_slices(job: Job, row: str) -> strip.Base:
    """Nine slices whose index is whole cycles of the motor, near the job's own width, or a little more than that."""
    kind = job.turning.motor
    cycle = (CYCLES[kind] or CYCLES["two-phase"] or 1) * job.turning.microsteps
    trial = strip.slices_on_tape(job, strip.NARROWEST_MM, 3)
    step_mm = trial.layout.reference_radius_mm * trial.turning.rad_per_step
    least = max(math.ceil(strip.NARROWEST_MM / (cycle * step_mm) - 1e-9), 1) * cycle
    steps = least
    if row == "free":
        past = max(round(FREE_STEPS * job.turning.microsteps), 1)
        steps = least + past
    width = steps * step_mm
    if width > strip.WIDEST_MM:
        raise no_plan(
            "turning.gear_ratio",
            f"one cycle of this motor moves the surface {width:.3g} mm, too far for this test: "
            "fit a slower gear, or skip the test.",
        )
    try:
        made = strip.slices_on_tape(job, width, STOPS)
    except Refused as refused:
        says = f"the test needs nine slices of {width:.3g} mm, too many for this item: {refused.faults[0].says}"
        raise no_plan(refused.faults[0].where, says) from None
    if STOPS * made.split.file_slice_mm > job.laser.field_mm and job.laser.field_mm > 0:
        says = f"nine slices of {width:.3g} mm don't fit the field: use a lens with a larger field, or skip the test."
        raise no_plan("laser.field", says)
    return made
