"""Where the marks of a play land, against where the artwork belongs."""

from typing import NamedTuple

import numpy as np

from rotary.artwork.cut import between_heights
from rotary.artwork.rings import Rings, area_mm2
from rotary.simulate.controller import SimulatedColumn
from rotary.simulate.description import Description, SimulatedMachine, TrueInk
from rotary.simulate.flats import laid_round
from rotary.simulate.marks import marks
from rotary.simulate.placement import placement, seam_lines
from rotary.simulate.rays import RayStand
from rotary.simulate.seams import gaps
from rotary.simulate.seams import seams as crossings
from tests.actions.bench import Bench, true_wall


class Landed(NamedTuple):
    """How far a mark lies from the artwork's outline at worst [mm], the outline from a mark, and a seam from what is
    wanted; how many places of seams have no mark, and how many beams missed the item."""

    strays_mm: float
    missing_mm: float
    seam_mm: float
    lost: int
    missed: int

    @property
    def off_mm(self) -> float:
        """The worst of marks and outline."""
        return max(self.strays_mm, self.missing_mm)


def landed(
    bench: Bench, stand: RayStand, cut: list[SimulatedColumn], about: Description, ink: Rings, start_rad: float
) -> Landed:
    """Send the columns through the lens onto the item; `start_rad` is its angle under the field's middle then.

    Of the file's own description only how far slices are drawn short of a seam counts, and its part of the heights.
    """
    shown = marks(stand, cut, start_rad)
    turned = np.array([one.turned_rad for one in cut])
    missed = int((~shown.hit).sum())
    wall = true_wall(bench, ink, stand)
    if about.zone_mm is not None:
        wall = between_heights(wall, *about.zone_mm)
    centre = bench.job.artwork.centre_angle_rad
    if bench.flats:
        machine = SimulatedMachine(stand, 1.0, 1.0, 1.0, bench.job.turning.rounding, bench.rad_per_step, 0)
        curve, round_marks = laid_round(machine, shown, centre)
        _, strays, missing = placement(curve, round_marks, TrueInk(wall, centre, 0), np.zeros(0), about)
        return Landed(strays, missing, 0.0, 0, missed)
    index = float(np.median(np.diff(turned))) if len(turned) > 1 else 0.0
    inked = sum(area_mm2(one.rings) > 1e-6 for one in cut)
    ring = inked if bench.is_ring and abs(inked * index - 2 * np.pi) < index / 2 else 0
    true = TrueInk(wall, centre, ring)
    at = crossings(bench.curve, shown, true, turned + start_rad, about.inset_mm)
    lines = seam_lines(turned, index, ring) + start_rad
    _, strays, missing = placement(bench.curve, shown, true, lines, about)
    seams = gaps(stand, at, turned, 2 * about.inset_mm).open_mm
    return Landed(strays, missing, float(np.abs(seams).max(initial=0.0)), at.lost, missed)


def worst(places: list[Landed]) -> Landed:
    """Several files as one: the worst of each figure, all that is missed."""
    columns = list(zip(*places, strict=True))
    return Landed(*map(max, columns[:3]), *map(sum, columns[3:]))
