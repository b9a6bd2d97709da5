"""The step split in sentences: what each limit is, what would relax it, and what else has to be known."""

import math
from collections.abc import Callable, Mapping
from typing import Any, Final, TypeAlias

from rotary.model import Model
from rotary.slices.models import Candidate, GoverningId, JointCost, Limit, LimitId, RemarkId, Split

_Named: TypeAlias = Mapping[str, Any]
"""The values of a limit or remark."""

NAMES: Final[dict[GoverningId, str]] = {
    "focus": "focus",
    "incidence": "incidence",
    "joint_plain": "joint, plain artwork",
    "joint_sheet": "joint, slice sheet",
    "drive": "drive",
    "skew_offset": "skew and offset",
    "skew_plain": "skew, plain artwork",
    "hatch": "hatch",
    "closing": "closing",
    "field": "field",
    "artwork_width": "the artwork's own width",
}
"""What limits are called."""

_MEASURE: Final = {
    "diameter": ("diameter", "measure the diameter better"),
    "height": ("height", "set the focus better"),
    "field_scale": ("field scale", "measure the field's scale"),
    "pupil": ("pupil height", "measure the same long line at two bed heights"),
    "offset": (
        "axis beside the field's centre line",
        "set the axis by the pointer on both flanks and write the smaller offset under turning",
    ),
}
"""What each believed input is called, and what would make it better known."""


class LimitText(Model):
    """A limit in words."""

    name: str
    why: str
    relax: str


def limit_text(limit: Limit) -> LimitText:
    """What a limit is called, why it is one, and what would relax it."""
    why, relax = _LIMITS[limit.id](limit.values)
    return LimitText(name=NAMES[limit.id], why=why, relax=relax)


def reason(one: Candidate) -> str:
    """Why a split was not taken."""
    if one.breaks:
        return f"breaks: {', '.join(NAMES[limit] for limit in one.breaks)}"
    if one.longer_s > 0:
        return f"keeps to every limit that a width can keep to, but takes {one.longer_s:.2g} s longer"
    return "as good, but no quicker"


def notes(cut: Split) -> tuple[str, ...]:
    """What else has to be known of a split, and what other joints would cost."""
    told = [
        _not_kept(cut, remark.values) if remark.id == "not_kept" else _REMARKS[remark.id](remark.values)
        for remark in cut.remarks
    ]
    return (*told, *(cost_words(cost, cut.slices) for cost in cut.joint_costs))


def cost_words(cost: JointCost, now_slices: int) -> str:
    """One sentence about it."""
    asked, comes = f"{1000 * cost.accepted_mm:.3g} µm", f"{1000 * cost.joint_95_mm:.0f} µm"
    split = f"{cost.slices} slices of {cost.slice_width_mm:.2g} mm"
    if cost.slices == now_slices:
        return f"Accepting {asked} at a joint would change nothing: other things set the slices' width."
    took = f"{abs(cost.longer_s):.2g} s {'more' if cost.longer_s >= 0 else 'less'} turning each time round"
    kept = "" if cost.reached else f", and would still not be kept (about {comes})"
    return f"Accepting {asked} at a joint would take {split} and {took}{kept}."


def _um(mm: float) -> str:
    return f"{1000 * mm:.3g} µm"


def _focus(v: _Named) -> tuple[str, str]:
    return (
        f"a slice's edge may lie {v['room_mm']:.2g} mm below its middle before the fluence leaves "
        f"{100 * v['fluence_low_share']:.0f} to {100 * v['fluence_high_share']:.0f} % of the wanted one",
        "a larger Rayleigh length (longer lens), more defocus, or wider limits of the fluence",
    )


def _incidence(v: _Named) -> tuple[str, str]:
    angle = v["incidence_rad"]
    return (
        f"the beam may meet the wall at most {math.degrees(angle):.0f}° off square, which stretches the spot "
        f"{1 / math.cos(angle):.2f} times",
        f"{'level the apex line, or ' * v['levelling_helps']}accept a larger incidence",
    )


def _joint_plain(v: _Named) -> tuple[str, str]:
    why = "flat columns on a round wall come out a little wide, and the inputs are known only so well"
    if v["apart_mm"]:
        why = (
            f"flat columns fit one radius, here {v['radius_mm']:.4g} mm; where the band's radius differs (up to "
            f"{v['apart_mm']:.2g} mm) each joint is off by that share of the slice's width"
        )
    # Where the beliefs about the inputs cost most, redrawing would not help.
    cure = _MEASURE[v["costliest"]][1] if v["costliest"] else "a slice sheet, which is redrawn for every height"
    return why, cure


def _joint_sheet(v: _Named) -> tuple[str, str]:
    largest, cure = _MEASURE[v["costliest"]]
    # A plan of before this was told has neither.
    source = (
        (" (as you gave it)" if v["diameter_given"] else " (by the places measured)") if "diameter_given" in v else ""
    )
    return (
        f"known are the diameter to ±{v['diameter_mm']:.2g} mm{source}, the height to ±{v['height_mm']:.2g} mm, "
        f"the field scale to ±{100 * v['field_scale_share']:.2g} % and the pupil height to "
        f"±{100 * v['pupil_share']:.2g} %, the axis to ±{v['offset_mm']:.2g} mm; the {largest} costs most. "
        f"{_um(v['joint_mm'])} at a joint is accepted",
        f"{cure}; or read a joint strip and correct the sheet",
    )


def _drive(v: _Named) -> tuple[str, str]:
    by_scale, by_stops = v["scale_adds_up"], v["stops_open"]
    told = ["the scale adds up to the same"] * (by_scale or not (by_stops or v["curable"]))
    told += ["the stops open every joint alike"] * by_stops
    no_cure = f"; narrower slices can't cure that, {' and '.join(told)}" if told else ""
    ticks = "mark a tick, command one full turn, mark again, and write the gap under ticks"
    ticks = "read more full-turn ticks" if v["readings"] else ticks
    gear = "more gear between motor and item; microsteps place no better"
    if v.get("has_cycles"):
        gear = f"whole cycles of the motor, or {gear}"
    if not v.get("tested"):
        gear += "; the motor test on tape shows what this motor does (10 minutes)"
    believed = "as tested" if v.get("tested") else f"±{_um(v['stop_mm'])}, not tested"
    return (
        f"the drive's scale is known to ±{100 * v['scale_share']:.2g} % ({v['scale_source']}); the motor's stops "
        f"({believed}) may open the worst of all seams by {_um(v['stops_mm'])}{no_cure}",
        ticks if not by_stops else f"{ticks}; then {gear}" if by_scale else gear,
    )


def _skew_offset(v: _Named) -> tuple[str, str]:
    return (
        f"an axis askew by {math.degrees(v['skew_rad']):.2g}° and {v['offset_mm']:.2g} mm beside the field's centre "
        f"line puts a stair into every line at a joint, at most {_um(v['joint_mm'])} is accepted",
        "set the axis by a line along the item and the pointer on both flanks, and write the smaller skew and offset "
        "under turning",
    )


def _skew_plain(v: _Named) -> tuple[str, str]:
    return (
        f"a sheet is drawn turned by {math.degrees(v['turn_rad']):.2g}° in every column for the axis as measured; flat "
        "artwork can't be, and keeps a stair at every joint",
        "a slice sheet, or set the axis straight and measure its skew again",
    )


def _hatch(v: _Named) -> tuple[str, str]:
    why = "hatch around the item, all slices on one grid along it; lines along it would beat at the joints"
    if v["lines_mm"]:
        multiple = f"a whole multiple of {v['lines_mm']:g} mm"
        why = f"hatch around the item; lines along it would need slices that are {multiple} wide"
    return why, "nothing: it sets no limit as long as lines run around"


def _closing(v: _Named) -> tuple[str, str]:
    ring = "the artwork goes all round: a whole number of indexes has to make one turn"
    return ring if v["ring"] else "no full ring", "a number of slices that divides the steps of a turn"


def _field(v: _Named) -> tuple[str, str]:
    why = f"slice and band have to lie inside the lens's field of {v['field_mm']:g} mm"
    return why, "a lens with a larger field"


_LIMITS: Final[dict[LimitId, Callable[[_Named], tuple[str, str]]]] = {
    "focus": _focus,
    "incidence": _incidence,
    "joint_plain": _joint_plain,
    "joint_sheet": _joint_sheet,
    "drive": _drive,
    "skew_offset": _skew_offset,
    "skew_plain": _skew_plain,
    "hatch": _hatch,
    "closing": _closing,
    "field": _field,
}


def _not_kept(cut: Split, v: _Named) -> str:
    limit = next(one for one in cut.limits if one.id == v["limit"])
    off = f"; as it is, {all_seams_words(cut.joint_95_mm)}" if v["at_joints"] else ""
    if limit.widest_mm is None:
        open_mm = f"{abs(cut.closing_error_mm):.2g} mm"
        return f"Not kept: the ring is left open by {open_mm}{off}. What helps: {limit_text(limit).relax}."
    if not limit.by_width or limit.widest_mm <= 0:
        return f"No slice width keeps to this limit: {NAMES[limit.id]}{off}. What helps: {limit_text(limit).relax}."
    return (
        f"Not kept: {NAMES[limit.id]} allows at most {limit.widest_mm:.3g} mm{off}. "
        f"What helps: {limit_text(limit).relax}."
    )


def all_seams_words(within_mm: float) -> str:
    """Within what all seams are.

    >>> all_seams_words(0.0412)
    'all seams are within 41 µm in 19 of 20 items'
    """
    return f"all seams are within {1000 * within_mm:.0f} µm in 19 of 20 items"


def _whole_cycles(v: _Named) -> str:
    if not v["whole"]:
        said = f"Whole cycles of the motor would be slices of {v['cycle_mm']:.3g} mm or a multiple"
        return f"{said}: none keeps to the limits here, or the motor test says that they stop no better."
    wider = v["free_mm"] / v["width_mm"]
    cost = f" Free slices could be {v['free_mm']:.3g} mm." if wider > 1.005 else ""
    claim = "" if v["tested"] else " They may place better; the motor test shows it, and no gain is counted before."
    cycles = "a whole cycle" if v["cycles"] == 1 else f"{v['cycles']} whole cycles"
    return f"Each slice, {v['width_mm']:.3g} mm, is {cycles} of the motor.{cost}{claim}"


def _flat_would_do(v: _Named) -> str:
    would = f"Flat slices of {v['width_mm']:g} mm would do here too"
    return f"{would}: {all_seams_words(v['off_mm'])}. They need no sliced file."


def _typed_off(v: _Named) -> str:
    decimals = "one decimal" if v["decimals"] == 1 else f"{v['decimals'] or 'no'} decimals"
    return (
        f"Joints are off by up to {1000 * v['off_mm']:.0f} µm before anything else: numbers typed with {decimals} "
        "can't fit these slices. Type more decimals if your program takes them"
        f"{', or write a slice sheet' * v['sheet_helps']}."
    )


def _too_narrow(v: _Named) -> str:
    return (
        f"Slices narrower than {v['spots']} spots are all joint: write a wider slice_width, at least about "
        f'"{math.ceil(1000 * v["least_mm"]) / 1000:g} mm".'
    )


def _columns_hold(v: _Named) -> str:
    than = f"no more slices ({v['columns']}) than a redrawn sheet ({v['slices']})"
    return f"Flat columns hold here in {than}, so nothing is redrawn."


def _sheet_alone(v: _Named) -> str:
    return f"The sheet is redrawn for every height: {v['slices']} slices; flat columns would not hold at any width."


def _sheet_wider(v: _Named) -> str:
    return (
        f"The sheet is redrawn for every height: {v['slices']} slices; flat columns would need {v['columns']}, each "
        f"{v['column_mm']:.2g} mm wide."
    )


def _drawn_larger(v: _Named) -> str:
    wide, high = v["wide_share"], v["high_share"]
    return (
        f"The beam leans{' and the field is as measured' * v['measured']}, so flat artwork would land "
        f"{100 * (1 / wide - 1):+.2f} % wide and {100 * (1 / high - 1):+.2f} % high: draw it {wide:.4f} times as wide "
        f"and {high:.4f} times as high before it is divided. The sheet's size on this card has that in it."
    )


def _inexact(v: _Named) -> str:
    left = "nothing is left over"
    if v["left_steps"]:
        left = f"{v['left_steps']:+.0f} steps, {v['left_mm']:+.3g} mm on the wall, are left over all indexes"
    return (
        f"No number that can be typed gives exactly {v['steps']} steps with every way of rounding: with the one given "
        f"here {left}. More decimals, or another controller_field, would help."
    )


_REMARKS: Final[dict[RemarkId, Callable[[_Named], str]]] = {
    "typed_off": _typed_off,
    "too_narrow": _too_narrow,
    "columns_hold": _columns_hold,
    "sheet_alone": _sheet_alone,
    "sheet_wider": _sheet_wider,
    "drawn_larger": _drawn_larger,
    "inexact": _inexact,
    "whole_cycles": _whole_cycles,
    "flat_would_do": _flat_would_do,
}
"""All but the limits that are not kept."""
