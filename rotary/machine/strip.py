r"""The seam strip: slices on paper tape on the item itself, drawn by the same code as the real sheet.

Five of them where the item has room, else three (drawn here): a motor stands a little off at every stop, and over
four seams in a row only the first and the last stop are left of that in the mean gap.

::

       slice 1          |     slice 2      |       slice 3
          1             |        2         |          3          numbers: the direction of turning
        5 ///           | ///    F   5 /// | ///                 rising ticks over each seam
        0 ///           | ///        0 /// | ///                 (the F: mirrored, upside down)
       -5 \\\           | \\\       -5 \\\ | \\\                 falling ticks
                        |     ------       | __---               level rules to measure between
      ------____________|____----------____|---                  one slanting line across all

The tape makes the item thicker; the strip is drawn for the item with the tape on, so what it shows holds for the
item without. Ticks end at the seam; on the right they stand 0.02 mm closer than on the left, so the number of the
tick that runs straight on, times 0.02 mm, is the step there. A gap moves rising and falling ticks apart, a stair
moves them together. Derivation: docs/formulas/strip.md.
"""

import math
from collections.abc import Iterator
from typing import Final, NamedTuple

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]

from rotary.artwork.rings import Rings, rings_from_shapely
from rotary.errors import Refused, no_plan
from rotary.focus import SlicedSetup, sliced_setup
from rotary.formulas.beam import spot_under_defocus_um
from rotary.formulas.revolution import arc_from_height_mm, height_from_arc_mm, radius_mm
from rotary.formulas.tape import VERNIER_MM
from rotary.item import fitted_shape
from rotary.job import Job
from rotary.machine.correct import NO_CORRECTION, Correction, corrected_composition
from rotary.machine.glyphs import number, stroke
from rotary.setup import setup
from rotary.sheet import SheetWish, order_of
from rotary.sheet.compose import SheetComposition, composition
from rotary.sheet.order import SheetOrder
from rotary.sheet.pages import pages

TAPE_MM: Final = 0.12
"""Thickness of paper masking tape: 0.10 to 0.15 mm (common practice, no source); ten layers and calipers tell."""

LINE_MM: Final = 0.05
"""Width of a line as drawn; the beam adds its own."""

LEAST_PITCH_MM: Final = 0.4
MOST_TICKS: Final = 8
LEAST_TICKS: Final = 4
REACH_MM: Final = 1.4
"""Length of a tick on either side of its seam."""

WIDEST_MM: Final = 10.0
NARROWEST_MM: Final = 2.5
"""A narrower slice has no room for ticks of both its seams."""

RADIUS_SHARE: Final = 0.5
"""A slice half a radius wide reaches a quarter of a radian to either side: 3 % of the radius in sag."""

BLANK_SHARE: Final = 0.04
"""Of the slice's width is left white besides, so that a correction can widen the slices by as much."""

SLICES: Final = (5, 3)
"""As many as there is room for: the most first."""

EDGE_MM: Final = 0.5
SLANT_MM: Final = 3.0
NUMBER_MM: Final = 2.2
LABEL_MM: Final = 0.8


class Vernier(NamedTuple):
    """Where a pair of verniers stands: the height's name, s of the middles of rising and falling ticks [mm]."""

    name: str
    rising_s_mm: float
    falling_s_mm: float

    @property
    def s_mm(self) -> float:
        """The middle of the pair, s from the foot [mm]."""
        return (self.rising_s_mm + self.falling_s_mm) / 2


class Base(SlicedSetup):
    """The stages of a plan that a strip is drawn from; the job is that of the strip."""

    slices: int


class Strip(NamedTuple):
    """A seam strip as drawn: the plan's order for its slices with the tape on, its files by name, its verniers.

    `ticks` counts to either side of zero; `between_mm` is the true length between the level rules, `ink` the
    artwork as flat as it was laid on; `made` the plan that it was drawn for.
    """

    made: Base
    order: SheetOrder
    files: dict[str, str]
    verniers: tuple[Vernier, ...]
    ticks: int
    pitch_mm: float
    between_mm: float
    tape_mm: float
    ink: Rings
    shown: SheetComposition
    drawn_with: Correction

    @property
    def seams(self) -> tuple[str, ...]:
        """The seams by the numbers of the slices on either side.

        Of three slices they are 1-2 and 2-3.
        """
        return tuple(f"{n}-{n + 1}" for n in range(1, self.order.slices))

    @property
    def numbers(self) -> str:
        """The numbers of the slices from left to right, as a strip without a fault shows them."""
        return "-".join(str(n) for n in range(1, self.order.slices + 1))


def seam_strip(job: Job, how: Correction = NO_CORRECTION, tape_mm: float = TAPE_MM) -> Strip:
    """The seam strip of a job, drawn with what is known of the machine so far; raises NoPlan where there can be none.

    Its slices are wider than the job's own may be before it is read: a wide slice shows an error of scale the
    better, and the factor that cures it holds for any width.
    """
    if job.item.flats is not None:
        raise no_plan("item.flats", "an item with flats has no seams: it needs no seam test.")
    made = _slices(job)
    order = order_on_tape(made, tape_mm)
    pitch, ticks, verniers, places = _layout(made, order)
    ink = _ink(order, pitch, ticks, places)
    shown = corrected_composition(composition(order, ink, slide=False), how, order.file_slice_mm)
    high = max(order.height_mm, 2 * shown.half_height_mm)
    order = order._replace(height_mm=math.ceil(1000 * high) / 1000)
    files, _ = pages(order, shown, "one-sheet", "seam test")
    between = places.upper_mm - places.lower_mm
    return Strip(made, order, files, verniers, ticks, pitch, between, tape_mm, ink, shown, how)


def _slices(job: Job) -> Base:
    """The stages of a plan for artwork that takes a strip's slices, as wide as they may be, marked in focus."""
    shape = fitted_shape(job.item)
    least = float(shape.radius_mm(np.linspace(0.0, shape.length_mm, 65)).min())
    wide = min(WIDEST_MM, RADIUS_SHARE * least)
    if wide < NARROWEST_MM:
        raise no_plan(
            "item.measurements",
            f"an item {2 * least:.3g} mm across is too small for a seam test: do the full-turn test.",
        )
    for count in SLICES[:-1]:
        try:
            return slices_on_tape(job, wide, count)
        except Refused:
            # A handle, or a field too narrow for the sheet: fewer slices may still do.
            continue
    return slices_on_tape(job, wide, SLICES[-1])


def slices_on_tape(job: Job, wide: float, count: int) -> Base:
    """The stages of a plan for so many slices; raises Refused or NoPlan where the item or the drive has no room."""
    job = job.with_artwork(name="seam test", width_mm=(count - 0.1) * wide, surface_map="with-taper", full_wrap=False)
    blank = job.tolerances.margin_mm + BLANK_SHARE * wide
    job = job.but(tolerances=job.tolerances.but(method="sliced", slice_width_mm=wide, margin_mm=blank))
    made = sliced_setup(setup(job), 0.0)
    if made.split.inked_slices < count:
        raise no_plan(
            "turning.full_steps", f"one motor step turns the item too far for {count} test slices: fit a slower gear."
        )
    if count > SLICES[-1] and count * made.split.file_slice_mm > job.laser.field_mm:
        raise no_plan("laser.field", f"{count} slices don't fit the field: use a lens with a larger field.")
    return Base(**dict(made), slices=count)


def order_on_tape(made: Base, tape_mm: float) -> SheetOrder:
    """The plan's own order for the strip's slices, with the tape on the item and ticks up to the seams."""
    order = order_of(SheetWish(), made, made.job.tolerances.line_spacing_mm or LINE_MM)
    stance = order.stance
    coefficients = stance.curve.coefficients.copy()
    coefficients[0] += tape_mm
    # The head stays where the job has it, so the plane stands lower over the apex of the tape.
    stance = stance._replace(
        curve=stance.curve._replace(coefficients=coefficients),
        plane_mm=stance.plane_mm - tape_mm * math.cos(stance.tilt_rad),
    )
    return order._replace(
        stance=stance,
        zones=(),
        surface_map="with-taper",
        slices=made.slices,
        closed=False,
        turn_slices=made.slices,
        inset_mm=0.0,
    )


class _Places(NamedTuple):
    """Heights v along the wall from the artwork's middle [mm]; `shared`: each seam has one kind of ticks only."""

    rising: tuple[float, ...]
    falling: tuple[float, ...]
    slant: float | None
    lower_mm: float
    upper_mm: float
    top: float
    shared: bool


def _layout(made: Base, order: SheetOrder) -> tuple[float, int, tuple[Vernier, ...], _Places]:
    """Pitch, ticks to a side, the verniers, and the heights of all rows: as many as the band has room for."""
    curve, lay = order.stance.curve, made.layout
    middle = float(arc_from_height_mm(curve, order.stance.centre_s_mm))
    low, high = (float(arc_from_height_mm(curve, s)) - middle for s in (lay.artwork_from_mm, lay.artwork_to_mm))
    pitch = tick_pitch_mm(made, order)
    reach = tick_reach_mm(order)
    for heights, kinds in ((3, 2), (2, 2), (1, 2), (1, 1)):
        slant = SLANT_MM if kinds == 2 else 0.0
        for ticks in range(MOST_TICKS, LEAST_TICKS - 1, -1):
            one = 2 * ticks * pitch + 2 * reach + EDGE_MM
            if heights * kinds * one <= high - low - 2 * EDGE_MM - slant:
                return pitch, ticks, *_placed(order, middle, low, high, heights, one, kinds == 1)
    least = 2 * LEAST_TICKS * pitch + 2 * reach + 3 * EDGE_MM
    raise no_plan(
        "artwork.height",
        f"the test needs artwork {least:.3g} mm high, and this artwork is only {high - low:.3g} mm high: make the test "
        "for a job with higher artwork on this item.",
    )


def tick_pitch_mm(made: Base, order: SheetOrder) -> float:
    """How far ticks lie apart, so that the beam's own width leaves room between them."""
    marked = float(spot_under_defocus_um(made.optics.spot_um, made.optics.rayleigh_mm, order.stance.plane_mm)) / 1000
    return math.ceil(20 * max(LEAST_PITCH_MM, 2.5 * (marked + LINE_MM))) / 20


def tick_reach_mm(order: SheetOrder) -> float:
    """How far ticks reach to either side of their seam."""
    return min(REACH_MM, 0.16 * float(radius_mm(order.stance.curve, order.stance.centre_s_mm)) * order.index_rad)


def _placed(
    order: SheetOrder, middle: float, low: float, high: float, heights: int, one: float, shared: bool
) -> tuple[tuple[Vernier, ...], _Places]:
    bottom, top = low + EDGE_MM + (0.0 if shared else SLANT_MM), high - EDGE_MM
    names = {1: ("middle",), 2: ("bottom", "top"), 3: ("bottom", "middle", "top")}[heights]
    centres = np.linspace(bottom + one, top - one, heights) if heights > 1 else np.array([(bottom + top) / 2])
    apart = 0.0 if shared else one
    rising, falling = centres + apart / 2, centres - apart / 2
    s = [height_from_arc_mm(order.stance.curve, middle + v).tolist() for v in (rising, falling)]
    verniers = tuple(Vernier(name, up, down) for name, up, down in zip(names, s[0], s[1], strict=True))
    return verniers, _Places(
        rising=tuple(rising.tolist()),
        falling=tuple(falling.tolist()),
        slant=None if shared else low + EDGE_MM,
        lower_mm=low + EDGE_MM,
        upper_mm=high - EDGE_MM,
        top=top,
        shared=shared,
    )


def _ink(order: SheetOrder, pitch: float, ticks: int, places: _Places) -> Rings:
    """All of the strip as flat artwork: u = r0 times the angle, v along the wall."""
    slice_mm = float(radius_mm(order.stance.curve, order.stance.centre_s_mm)) * order.index_rad
    shapes: list[object] = []
    count = order.slices
    for which in range(count - 1):
        seam = (which + 1 - count / 2) * slice_mm
        for rows, slope in ((places.rising, 1.0), (places.falling, -1.0)):
            if places.shared and (which % 2 > 0) == (slope > 0):
                continue
            for v in rows:
                shapes += vernier_ticks(seam, v, slope, pitch, ticks, tick_reach_mm(order), slice_mm)
    if places.slant is not None:
        # It rises by 2 mm in all, so that a coarse step is seen at a glance.
        end = (count / 2 - 0.05) * slice_mm
        shapes.append(stroke(-end, places.slant + 0.4, end, places.slant + SLANT_MM - 0.6, LINE_MM))
    half = 0.18 * slice_mm
    shapes += [stroke(-half, v, half, v, LINE_MM) for v in (places.lower_mm, places.upper_mm)]
    size = min(NUMBER_MM, 0.2 * slice_mm)
    for place in range(count):
        middle = (place - (count - 1) / 2) * slice_mm
        shapes += number(str(place + 1), middle, places.top - EDGE_MM - size, size, LINE_MM * 2)
    shapes += number("F", 0.0, places.top - 2 * EDGE_MM - 2.2 * size, size, LINE_MM * 2)
    return rings_from_shapely(shapely.union_all(shapes, grid_size=1e-6))


def vernier_ticks(
    seam: float, v: float, slope: float, pitch: float, ticks: int, reach: float, slice_mm: float
) -> Iterator[object]:
    """Ticks on both sides of a seam, closer on the right by what the vernier is worth; numbers at the left."""
    left = shapely.box(seam - 10 * slice_mm, -1e4, seam, 1e4)
    right = shapely.box(seam, -1e4, seam + 10 * slice_mm, 1e4)
    for n in range(-ticks, ticks + 1):
        long = reach if n % 4 == 0 else 0.7 * reach
        for side, apart, clip in ((-1, pitch, left), (1, pitch - VERNIER_MM, right)):
            at = v + n * apart
            tick = stroke(seam - long, at - slope * long, seam + long, at + slope * long, LINE_MM)
            yield shapely.intersection(tick, clip)
            if side < 0 and n % 4 == 0:
                size = min(LABEL_MM, 3.2 * pitch, 0.1 * slice_mm)
                yield from number(
                    str(n), seam - long - 1.1 * size, at - slope * long - size / 2, size, LINE_MM, towards=-1
                )


def kinds_at(strip: Strip, seam: str) -> tuple[str, ...]:
    """Which ticks a seam has; where the band is low, each seam has one kind only."""
    if strip.verniers[0].rising_s_mm != strip.verniers[0].falling_s_mm:
        return ("rising", "falling")
    return ("rising",) if strip.seams.index(seam) % 2 == 0 else ("falling",)
