"""What a written file will do: for the numbers as believed, and for draws of what is not known about them."""

from collections.abc import Iterator
from itertools import product
from typing import NamedTuple

import numpy as np

from rotary.artwork.cut import between_heights
from rotary.artwork.rings import Rings, area_mm2
from rotary.errors import FileTrouble
from rotary.formulas.arrays import Floats
from rotary.formulas.beam import peak_fluence_factor
from rotary.formulas.motion import Rounding
from rotary.formulas.revolution import radius_mm
from rotary.model import Model
from rotary.sheet.reread import SheetDrawing
from rotary.simulate.chances import Sampling, half_widths_95
from rotary.simulate.controller import Origin, SimulatedColumn, columns, single_column
from rotary.simulate.description import Description, Progress, SimulatedMachine, TrueInk, description, quiet
from rotary.simulate.flats import laid_round, placement_95_mm
from rotary.simulate.marks import Marks, marks
from rotary.simulate.placement import ink_in_slices, placement, seam_lines
from rotary.simulate.seams import NO_SEAMS, Gaps, SeamMarks, gaps, seams

ROUNDINGS: tuple[Rounding, ...] = ("each-index", "truncate", "absolute")
ORIGINS: tuple[Origin, ...] = ("left", "centre")
LEAST_INK_MM2 = 1e-6  # less is rounding at a slice's border


class RuleRow(Model):
    """One way in which a program may divide and round: columns it makes, worst seam, drift at the last [mm].

    None where it makes other columns than the sheet was drawn for: then nothing fits.
    """

    origin: Origin
    rounding: Rounding
    columns: int
    seam_open_mm: float | None = None
    seam_double_mm: float | None = None
    drift_mm: float | None = None


class Forecast(Model):
    """What will happen. Lengths on the wall [mm]; placement None where the artwork was not given.

    `placement_mm` is how far a mark's outline lies from where the artwork belongs, at worst,
    `missing_mm` how far a place of the artwork's outline lies from the nearest mark; `seam_open_mm` and
    `seam_double_mm` how much wider open or further overlapped than wanted a seam is at worst. `_95`: the
    half width that holds 95 % of what the beliefs about the inputs allow; of the seam within which all of them are
    in 19 of 20 items. Fluence is the share of
    that on the apex line at the believed focus. `flats` is their number on a faceted item, which has no
    seams; 0 on one that is round. `part` are the slices of a file that has not all of them; nothing else is measured.
    """

    columns: int
    outline_points: int
    missed_points: int
    placement_mm: float | None
    missing_mm: float | None
    seam_places: int
    lost_seam_places: int
    seam_open_mm: float
    seam_double_mm: float
    seam_95_mm: float
    seam_offset_95_mm: float
    placement_95_mm: float
    fluence_low: float
    fluence_high: float
    rules: tuple[RuleRow, ...]
    draws: int
    flats: int = 0
    part: tuple[int, ...] = ()
    says: tuple[str, ...]


class SimulationRun(NamedTuple):
    """A forecast and all that it was read from, for pictures."""

    forecast: Forecast
    marks: Marks
    strays_mm: Floats
    seams: SeamMarks
    gaps: Gaps
    middles_rad: Floats
    marked_width_mm: float

    @property
    def farthest(self) -> int | None:
        """The mark that strays farthest; None where that was not measured."""
        measured = self.forecast.placement_mm is not None and np.isfinite(self.strays_mm).any()
        return int(np.nanargmax(self.strays_mm)) if measured else None

    def seam_places(self) -> list[tuple[float, float, float]]:
        """Angle [rad] and height [mm] of each place on a seam, and how much wider open it is than wanted [mm]."""
        at = self.seams
        borders = (self.middles_rad[at.left] + self.middles_rad[at.right]) / 2
        # From the last column on to the first the border lies at the back.
        borders = np.where(at.right <= at.left, borders + np.pi, borders)
        return list(zip(borders.tolist(), at.s_mm.tolist(), self.gaps.open_mm.tolist(), strict=True))

    def rings_by_column(self, shown: Floats) -> list[tuple[int, list[Floats]]]:
        """The rings of each column that landed whole, as their points `shown` (n, 2) are drawn."""
        ends = np.flatnonzero(self.marks.after != np.arange(1, len(self.marks.after) + 1)) + 1
        rings: dict[int, list[Floats]] = {}
        for a, b in zip([0, *ends[:-1].tolist()], ends.tolist(), strict=True):
            if b - a > 2 and np.isfinite(shown[a:b]).all():
                rings.setdefault(int(self.marks.column[a]), []).append(shown[a:b])
        return sorted(rings.items())


def simulate_sheet(
    drawings: list[SheetDrawing],
    machine: SimulatedMachine,
    wall: Rings | None,
    centre_angle_rad: float,
    sampling: Sampling,
    progress: Progress = quiet,
) -> SimulationRun:
    """Divide, turn and mark a sheet (or one file a slice), and see where it lands.

    `wall` is the true artwork on the wall, angle [rad] by height [mm], or None. `progress` is told the share
    that is done. Raises FileTrouble where the drawings do not belong together.
    """
    says = description(drawings[0], centre_angle_rad)
    if len({description(d, centre_angle_rad)._replace(single=None) for d in drawings}) > 1:
        raise FileTrouble("these files are not slices of one job: name the files of one job, and no others")
    believed_plane_mm = machine.stand.plane_mm
    if says.plane_mm is not None:
        machine = machine._replace(stand=machine.stand._replace(plane_mm=says.plane_mm))
    cols = _columns(drawings, machine, says, machine.rounding, "left")
    shown = marks(machine.stand, cols, says.middle_rad)
    turned = np.array([c.turned_rad for c in cols])
    index = float(np.median(np.diff(turned))) if len(turned) > 1 else machine.asked_steps * machine.rad_per_step
    hit, draws = shown.hit, sampling.draws
    # One file of a slice, or a file of some: what the others hold is in none of its columns.
    inked = (
        [area_mm2(c.rings) > LEAST_INK_MM2 for c in cols] if says.part or (says.single and len(drawings) == 1) else []
    )
    true = None
    if wall is not None and hit.any():
        wall = wall if says.zone_mm is None else between_heights(wall, *says.zone_mm)
        if inked:
            wall = ink_in_slices(wall, turned - index / 2 + says.middle_rad, inked, machine.ring_columns)
        # Of a sliver that is no more than rounding nothing is left to measure by.
        true = TrueInk(wall, centre_angle_rad, machine.ring_columns) if len(wall.points_mm) else None
    at, placed, missing = NO_SEAMS, None, None
    strays = np.full(len(shown.s_mm), np.nan)
    if machine.stand.flats:
        curve, shown_round = laid_round(machine, shown, centre_angle_rad)
        if true is not None:
            # No column meets another: nothing is let pass as the end of a slice.
            strays, placed, missing = placement(curve, shown_round, true, np.zeros(0), says, progress)
    elif true is not None:
        at = seams(machine.stand.curve, shown, true, turned + says.middle_rad, says.inset_mm)
        lines = seam_lines(turned, index, true.ring_columns) + says.middle_rad
        strays, placed, missing = placement(machine.stand.curve, shown, true, lines, says, progress)
    # Sliced and flat files are held against the same gap, that which closes.
    wanted_mm = 2 * says.inset_mm if machine.slit_mm is None else machine.slit_mm
    nominal = gaps(machine.stand, at, turned, wanted_mm)
    share = _fluence(machine, believed_plane_mm, shown)
    if machine.stand.flats:
        seam_95, stair_95 = 0.0, 0.0
        placement_95 = placement_95_mm(machine, shown, turned + says.middle_rad, sampling)
        shown = shown_round
    else:
        seam_95, stair_95, placement_95 = half_widths_95(machine, at, shown, turned, nominal, sampling)
    forecast = Forecast(
        columns=len(cols),
        outline_points=len(shown.s_mm),
        missed_points=int((~hit).sum()),
        placement_mm=placed,
        missing_mm=missing,
        seam_places=len(at.s_mm),
        lost_seam_places=at.lost,
        seam_open_mm=max(0.0, float(nominal.open_mm.max(initial=0.0))),
        seam_double_mm=max(0.0, float(-nominal.open_mm.min(initial=0.0))),
        seam_95_mm=seam_95,
        seam_offset_95_mm=stair_95,
        placement_95_mm=placement_95,
        fluence_low=float(share[hit].min()) if hit.any() else 0.0,
        fluence_high=float(share[hit].max()) if hit.any() else 0.0,
        rules=tuple(_rules(drawings, machine, says, at, turned, nominal)),
        draws=draws,
        flats=machine.stand.flats,
        part=tuple(number for number, has_ink in enumerate(inked, 1) if has_ink),
        says=(),
    )
    return SimulationRun(forecast, shown, strays, at, nominal, turned + says.middle_rad, says.marked_width_mm)


def _columns(
    drawings: list[SheetDrawing], machine: SimulatedMachine, says: Description, rounding: Rounding, origin: Origin
) -> list[SimulatedColumn]:
    if says.single is None:
        return columns(drawings[0], machine.file_slice_mm, machine.asked_steps, rounding, origin, machine.rad_per_step)
    count = says.single[1]
    found: dict[int, SheetDrawing] = {}
    for drawing in drawings:
        single = description(drawing, 0.0).single
        if single is None or single[1] != count or not 1 <= single[0] <= count or single[0] in found:
            raise FileTrouble("these files are not slices of one job: name the files of one job, and no others")
        found[single[0]] = drawing
    # A blank slice has no file, and is turned past.
    return [
        single_column(found.get(k), (k, count), machine.asked_steps, rounding, machine.rad_per_step)
        for k in range(1, count + 1)
    ]


def _fluence(machine: SimulatedMachine, believed_plane_mm: float, shown: Marks) -> Floats:
    """Peak fluence at the marks as a share of that on the apex line at the middle, incidence included.

    A zone's focal plane is meant for heights other than the middle's: what it is a share of goes by the plan's own.
    """
    plane = machine.stand.plane_mm
    at_apex = peak_fluence_factor(believed_plane_mm, machine.rayleigh_mm)
    return np.asarray(peak_fluence_factor(shown.z_mm - plane, machine.rayleigh_mm) / at_apex * shown.cos_incidence)


def _rules(
    drawings: list[SheetDrawing],
    machine: SimulatedMachine,
    says: Description,
    at: SeamMarks,
    turned: Floats,
    nominal: Gaps,
) -> Iterator[RuleRow]:
    """The seams under each way of dividing and rounding; a division into other columns shows in their number."""
    radius = radius_mm(machine.stand.curve, at.s_mm)
    for origin, rounding in product(ORIGINS, ROUNDINGS):
        turns = np.array([c.turned_rad for c in _columns(drawings, machine, says, rounding, origin)])
        worst: dict[str, float] = {}
        if len(turns) == len(turned):
            change = turns - turned
            gap = nominal.open_mm + radius * (change[at.right] - change[at.left])
            off = float(turns[-1] - turns[0]) - machine.asked_steps * machine.rad_per_step * (len(turns) - 1)
            worst["seam_open_mm"] = max(0.0, float(np.max(gap, initial=0.0)))
            worst["seam_double_mm"] = max(0.0, float(-np.min(gap, initial=0.0)))
            worst["drift_mm"] = off * float(radius.max(initial=0.0))
        yield RuleRow(origin=origin, rounding=rounding, columns=len(turns), **worst)
