"""Levelling and focusing: from heights at both ends to a tilt or shim, and to where the head goes."""

import math
from typing import Final, Literal

import numpy as np

from rotary.errors import refuse
from rotary.formulas.cradle import shim_mm
from rotary.formulas.estimate import HOLDS_95, propagated_u
from rotary.formulas.tape import tilt_from_heights_rad
from rotary.item import ENDS, End
from rotary.machine.record import KnownMachine
from rotary.model import Model
from rotary.papers.sizes import Sizes
from rotary.plan import Plan
from rotary.turning.level import Stand
from rotary.turning.models import Chuck, Rollers

LEVEL_ENOUGH: Final = 0.25
"""The slope left over the band may take this share of the focus room."""

SAME_RAD: Final = 1e-4
"""A rise below this is shown as none."""

SAME_MM: Final = 0.005
"""Ends that differ by less lie alike."""


class Levelling(Model):
    """What to put under which end, and what it is good for.

    On a curved wall the apex line need not lie level, the shim brings the artwork's heights level as the plan has them;
    `u_rise_rad` is how well its rise is known. `shim_mm` what to put under, over `base_mm`;
    `end` which end of the rotary to raise, empty where it is level enough; `left_over_band_mm` what the band still
    climbs after it, from how well the heights were read (95 %).
    """

    u_rise_rad: float
    end: str
    shim_mm: float
    base_mm: float
    left_over_band_mm: float
    says: tuple[str, ...]


def levelling(
    made: Plan,
    base_end_mm: float,
    rim_end_mm: float,
    apart_mm: float,
    u_mm: float = 0.1,
    base_mm: float | None = None,
    system: str = "mm",
) -> Levelling:
    """Shim from the apex heights at two places, `apart_mm` along the item; raises Refused.

    The places are taken to lie alike far from the artwork's middle. `base_mm` is what the shim goes under, from the
    edge that stays down (as long as the item if left out).
    """
    if apart_mm <= 0 or min(base_end_mm, rim_end_mm) <= 0 or (base_mm is not None and base_mm <= 0):
        raise refuse(
            "level",
            "the two heights over the bed, the distance between them, and the shim's distance must all be above "
            "zero: measure them again.",
        )
    if apart_mm > made.shape.length_mm:
        raise refuse(
            "level",
            f"the item is only {made.shape.length_mm:.4g} mm long: write how far apart you measured the two heights.",
        )
    rise = tilt_from_heights_rad(base_end_mm, rim_end_mm, apart_mm)
    foot_mm, rim_mm = _levelled_mm(made, apart_mm)
    wanted = tilt_from_heights_rad(foot_mm, rim_mm, apart_mm)
    turn = rise - wanted
    if abs(rise) > math.radians(45):
        raise refuse(
            "level.rim_end", "the heights differ by more than the distance between them: measure both from the bed up."
        )
    u = propagated_u([1 / apart_mm, 1 / apart_mm], [u_mm, u_mm])
    base = base_mm or made.turning.level.base_mm
    shim = float(shim_mm(turn, base))
    band = made.layout.artwork_to_mm - made.layout.artwork_from_mm
    room = made.focus.allowed_high_mm - made.focus.allowed_low_mm
    climbs = abs(math.tan(turn)) * band
    end: End | Literal[""] = "" if climbs <= LEVEL_ENOUGH * room else ("base" if shim > 0 else "rim")
    base_name, rim_name = map(made.job.item.end_words, ENDS)
    length = Sizes(system).length
    what = "rotary" if isinstance(made.job.turning, Rollers) else "chuck"
    off = "too high" if end else "higher than planned"
    goal = f" and should {_climb(wanted)}" if abs(wanted) > SAME_RAD else ""
    says = [
        "Both ends of the artwork are as high as they should be."
        if climbs < SAME_MM
        else f"The artwork's end near {rim_name if turn > 0 else base_name} lies {length(climbs)} {off}. (Towards "
        f"{rim_name} the apex {_climb(rise, 's')}{goal}.)"
    ]
    if end:
        says.append(
            f"Put a {length(abs(shim))} shim under the {what}, at the end where the item's "
            f"{made.job.item.end_name(end)} is, {length(base)} from the end that stays down. (A shim twice as "
            "far away must be twice as thick.) Then measure both heights again."
        )
        if isinstance(made.job.turning, Chuck):
            higher = length(abs(rim_end_mm - base_end_mm - (rim_mm - foot_mm)))
            says.append(
                f"Or, if the chuck holds the other end, prop up the item near {made.job.item.end_words(end)} by "
                f"{higher}, at the place where you measured."
            )
    else:
        says.append(
            f"The item is level enough: one end is higher by less than a quarter of the {length(room)} that the focus "
            "allows."
        )
    return Levelling(
        u_rise_rad=u, end=end, shim_mm=abs(shim) if end else 0.0, base_mm=base,
        left_over_band_mm=HOLDS_95 * u * band, says=tuple(says),
    )  # fmt: skip


def _climb(rise_rad: float, ending: str = "") -> str:
    """A rise in words.

    >>> _climb(0.01, "s"), _climb(-0.01)
    ('rises 0.57°', 'fall 0.57°')
    """
    return f"{'rise' if rise_rad >= 0 else 'fall'}{ending} {math.degrees(abs(rise_rad)):.2f}°"


def _levelled_mm(made: Plan, apart_mm: float) -> tuple[float, float]:
    """Heights of the apex line over the bed, levelled, at two places alike far from the middle of the artwork."""
    level, shape = made.turning.level, made.shape
    middle = (level.from_mm + level.to_mm) / 2
    s = np.clip([middle - apart_mm / 2, middle + apart_mm / 2], 0.0, shape.length_mm)
    stands = Stand(level.axis_height_mm, made.turning.axis_height_at_mm, level.tilt_rad)
    low, high = stands.apex_mm(s, shape.radius_mm(s)).tolist()
    return low, high


def focus_habit(above_mm: float, system: str = "mm") -> str:
    """What a person does whenever the lens is focused, whose focus is this much above where it is set."""
    says = f"Whenever you focus, first move the lens {_corrected(above_mm, system)}."
    return f"{says} Setup sheets and patches ask for this move too: none of their other numbers includes it."


def _corrected(above_mm: float, system: str) -> str:
    return f"{Sizes(system).length(abs(above_mm))} {'closer' if above_mm >= 0 else 'further away'}"


def focus_words(made: Plan, now: dict[str, KnownMachine], system: str = "mm") -> tuple[str, ...]:
    """Where the head goes, with what stairs have told of the focal plane and a cross of the pointer."""
    says, length = [], Sizes(system).length
    focus = now["focus"]
    height = made.focus.focal_plane_mm
    if focus.measured is not None:
        says.append(
            f"The focus is {length(abs(focus.measured))} {'above' if focus.measured >= 0 else 'below'} where you set "
            f"it (± {length(HOLDS_95 * focus.u)}): to have it at {length(height)} over the bed, set "
            f"your focus to {length(height - focus.measured)}. The setup sheet asks for the same in another way (first "
            f"move the lens {_corrected(focus.measured, system)}): do only one of the two."
        )
    else:
        says.append(
            f"Set the focus {length(height)} over the bed. To see where the focus really is, do the test focus-lines "
            "(on the screen: page focus)."
        )
    pointer = [now[f"pointer-{name}"].measured or 0.0 for name in ("right", "right-lean", "up", "up-lean")]
    if now["pointer-right"].measured is not None:
        right, lean, up, up_lean = pointer
        over = -made.focus.plane_over_apex_mm
        across, along = right + lean * over, up + up_lean * over
        says.append(
            f"At the apex, {length(abs(over))} {'above' if over >= 0 else 'below'} the focus, the pointer is off the "
            f"beam by {length(across, signed=True)} (+ towards +X) and {length(along, signed=True)} (+ towards +Y): "
            "add both numbers to the X and Y that you measure with the pointer."
        )
    return tuple(says)
