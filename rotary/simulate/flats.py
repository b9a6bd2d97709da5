"""What a written file will do on a faceted item: each flat a plane, each column on its own flat, no seams.

To be held against the artwork, marks and artwork are laid on a round wall that is as long round as all flats side by
side, where distances round it are those along the flats.
"""

from math import pi

import numpy as np

from rotary.formulas.arrays import Floats
from rotary.formulas.circle import flat_width_mm
from rotary.formulas.prism import unrolled_from_angle_mm
from rotary.formulas.revolution import Curve, radius_mm, straight_curve
from rotary.simulate.chances import OUTLINE_PLACES, Sampling, normal_draws, sample_indices, worst_95
from rotary.simulate.description import SimulatedMachine
from rotary.simulate.marks import Marks
from rotary.simulate.rays import RayStand, landing


def as_long_round_mm(stand: RayStand) -> float:
    """Radius [mm] of the round wall that the flats are laid on."""
    return stand.flats * float(flat_width_mm(2 * _from_axis_mm(stand), stand.flats)) / (2 * pi)


def laid_round(machine: SimulatedMachine, shown: Marks, centre_rad: float) -> tuple[Curve, Marks]:
    """The round wall and the marks as they are on it; angles from that of the artwork's middle."""
    stand = machine.stand
    radius = as_long_round_mm(stand)
    along = unrolled_from_angle_mm(shown.angle_rad - centre_rad, _from_axis_mm(stand), stand.flats)
    round_wall = straight_curve(radius, 0.0, float(stand.curve.s_mm[-1]))
    return round_wall, shown._replace(angle_rad=np.asarray(centre_rad + along / radius))


def placement_95_mm(machine: SimulatedMachine, shown: Marks, tops_rad: Floats, sampling: Sampling) -> float:
    """95 % half width of where the marks sit on their flats, at the worst place.

    `tops_rad` (columns,) is the believed angle on top, which the drive misses by its scale and at any place: then
    the flat is not level under the head.
    """
    beliefs, draws, seed = sampling
    landed = np.flatnonzero(shown.hit)
    if draws < 1 or len(landed) == 0:
        return 0.0
    rng = np.random.default_rng(seed)
    stand = machine.stand
    few = landed[sample_indices(len(landed), OUTLINE_PLACES, rng)]
    x, y, which = shown.x_mm[few], shown.y_mm[few], shown.column[few]
    drawn, scale = normal_draws(stand, beliefs, draws, rng)
    own = rng.normal(0.0, beliefs.motor_rad / 2**0.5, (draws, len(tops_rad)))[:, which]
    turned = (tops_rad - tops_rad[len(tops_rad) // 2])[which]
    believed = landing(stand._replace(top_rad=tops_rad[which]), x, y)
    there = landing(drawn._replace(top_rad=tops_rad[which] + turned * (scale - 1) + own), x, y)
    top = tops_rad[which]
    u = [
        unrolled_from_angle_mm(one.angle_rad + angle, _from_axis_mm(stand), stand.flats)
        for one, angle in ((believed, top), (there, top + turned * (scale - 1) + own))
    ]
    return worst_95(np.hypot(u[1] - u[0], there.s_mm - believed.s_mm))


def _from_axis_mm(stand: RayStand) -> float:
    return float(radius_mm(stand.curve, stand.centre_s_mm))
