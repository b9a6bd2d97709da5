"""The step split in sentences: what each limit is, what would relax it, and what else has to be known."""

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final, TypeAlias

from rotary.model import Model
from rotary.sentences.runs import duration
from rotary.slices.models import Candidate, GoverningId, Limit, LimitId, RemarkId, SeamCost, Split, SplitRemark

_Named: TypeAlias = Mapping[str, Any]
"""The values of a limit or remark."""

NAMES: Final[dict[GoverningId, str]] = {
    "focus": "focus",
    "incidence": "angle of the beam",
    "seam_plain": "seams of flat files",
    "seam_sheet": "seams of sliced files",
    "turning": "turning",
    "skew_offset": "crooked or off-centre axis",
    "skew_plain": "crooked axis, flat files",
    "line_spacing": "lines",
    "closing": "where the ring closes",
    "field": "the lens's field",
    "artwork_width": "the artwork's own width",
}
"""What limits are called."""

_MEASURE: Final = {
    "diameter": ("diameter", "measure the diameter at more heights"),
    "height": ("lens's height", "set the focus more exactly"),
    "field_scale": ("field's scale", "measure the field's scale (a machine test)"),
    "pupil": ("pupil height", "measure the same long line at two bed heights (a machine test)"),
    "offset": (
        "axis",
        "set the axis under the middle of the field (test edge), then enter how far off the axis still is",
    ),
}
"""What each believed input is called, and what would make it better known."""


_TURN_TEST: Final = (
    "do the full-turn test (mark a tick, turn once, mark again), then enter the gap between the ticks as a full-turn "
    "test (under turning)"
)


class LimitText(Model):
    """A limit in words."""

    name: str
    why: str
    relax: str


def limit_text(limit: Limit, remarks: Sequence[SplitRemark] = ()) -> LimitText:
    """What a limit is called, why it is one, and what would relax it; not whole cycles of the motor where one of the
    split's `remarks` says whether its slices are that."""
    offers = limit.values.get("has_cycles") and not any(one.id == "whole_cycles" for one in remarks)
    why, relax = _LIMITS[limit.id]({**limit.values, "has_cycles": offers})
    return LimitText(name=NAMES[limit.id], why=why, relax=relax)


def reason(one: Candidate, cut: Split, cycle_steps: int | None = None) -> str:
    """Why a split was not taken; `cycle_steps` of the motor, None where it has no cycle."""
    if one.breaks:
        return f"wider than the limit for {', '.join(NAMES[limit] for limit in one.breaks)}"
    if one.longer_s > 0:
        return f"within all limits too, but the turning takes {_seconds(one.longer_s)} longer"
    if one.longer_s == 0:
        return "within all limits too, but no quicker"
    other_stops = cycle_steps is not None and (one.steps % cycle_steps == 0) != cut.whole_cycles
    return f"quicker, but {'the motor would stop' if other_stops else 'the numbers to type would fit'} less exactly"


def notes(cut: Split, within_mm: float | None = None) -> tuple[str, ...]:
    """What else has to be known of a split, and what other seams would cost; `within_mm` is what all seams are within,
    the gap that closes included."""
    within = cut.seam_95_mm if within_mm is None else within_mm
    told = [
        _not_kept(cut, remark.values, within) if remark.id == "not_kept" else _REMARKS[remark.id](remark.values)
        for remark in cut.remarks
    ]
    return (*told, *(cost_words(cost, cut.slices) for cost in cut.seam_costs))


def cost_words(cost: SeamCost, now_slices: int) -> str:
    """One sentence about it."""
    asked, comes = _um(cost.accepted_mm), _um(cost.seam_95_mm)
    if cost.slices == now_slices:
        return f'If you enter {asked} under "off at a seam", nothing changes: another limit sets the slice width.'
    took = f"{_seconds(abs(cost.longer_s))} {'longer' if cost.longer_s >= 0 else 'less'}"
    missed = "" if cost.reached else f", but seams may still be off by about {comes}"
    return (
        f'If you enter {asked} under "off at a seam", you get {cost.slices} slices of {cost.slice_width_mm:.2g} mm'
        f"{missed}. The turning takes {took}."
    )


def _um(mm: float) -> str:
    return f"{1000 * mm:.3g} µm" if mm < 0.9995 else f"{mm:.2g} mm" if mm < 9.95 else f"{mm:.0f} mm"


def _seconds(s: float) -> str:
    return f"{s:.2g} s" if s < 99.5 else duration(s)


def _focus(v: _Named) -> tuple[str, str]:
    return (
        f"a slice's edge may lie up to {v['room_mm']:.2g} mm below its middle. Lower down it gets too little or too "
        f"much energy per area (you allow {100 * v['fluence_low_share']:.0f} to "
        f"{100 * v['fluence_high_share']:.0f} % of what the plan aims for)",
        'use a lens with a longer focal length, enter a larger "lens away" (under fixed settings), or accept a wider '
        "range of energy (under tolerances)",
    )


def _incidence(v: _Named) -> tuple[str, str]:
    angle = v["incidence_rad"]
    return (
        f"you allow the beam to hit the wall up to {math.degrees(angle):.0f}° off square. Beyond that marks get faint "
        "and wide",
        f"{'level the item, or ' * v['levelling_helps']}enter a larger beam angle (under tolerances): marks get "
        "fainter at the edges of slices",
    )


def _seam_plain(v: _Named) -> tuple[str, str]:
    why = "flat slices come out a little wide on a round wall, and measurements are never exact"
    if v["apart_mm"]:
        why = (
            f"flat slices fit a wall of one radius, here {v['radius_mm']:.4g} mm. Where the radius is larger or "
            f"smaller (by up to {v['apart_mm']:.2g} mm), seams gap or overlap"
        )
    # Where the beliefs about the inputs cost most, redrawing would not help.
    cure = (
        _MEASURE[v["costliest"]][1]
        if v["costliest"]
        else "use a sliced file: its artwork fits the wall at every height"
    )
    return why, cure


def _seam_sheet(v: _Named) -> tuple[str, str]:
    largest, cure = _MEASURE[v["costliest"]]
    # A plan of before this was told has neither.
    source = (" (as entered)" if v["diameter_given"] else " (as measured)") if "diameter_given" in v else ""
    return (
        f"seams depend on numbers that are never exact. The diameter may be off by {v['diameter_mm']:.2g} mm{source}, "
        f"the lens's height by {v['height_mm']:.2g} mm, the field's scale by {100 * v['field_scale_share']:.2g} %, the "
        f"pupil heights (where the mirrors turn the beam) by {100 * v['pupil_share']:.2g} %, the axis by "
        f"{v['offset_mm']:.2g} mm. For seams the {largest} matters most. You accept {_um(v['seam_mm'])} at a seam",
        f"{cure}, or do the seam test",
    )


def _drive(v: _Named) -> tuple[str, str]:
    by_scale, by_stops = v["scale_adds_up"], v["stops_open"]
    told = ["one turn stays just as far off"] * (by_scale or not (by_stops or v["curable"]))
    told += ["however wide the slices are, the motor opens each seam equally far"] * by_stops
    no_cure = f". Narrower slices don't help, so the plan may use wider ones: {' and '.join(told)}" if told else ""
    ticks = "do more full-turn tests" if v["readings"] else _TURN_TEST
    gear = "fit a slower gear (finer microsteps don't help)"
    if v.get("has_cycles"):
        cycle = f" (a multiple of {v['cycle_steps']} steps)" if v.get("cycle_steps") else ""
        gear = f"choose a slice that turns the motor by whole cycles{cycle}, or {gear}"
    if not v.get("tested"):
        gear += (
            ". The motor tests on paper tape (motor-whole, motor-free) show how exactly your motor stops (10 minutes)"
        )
    believed = "as tested" if v.get("tested") else f"up to {_um(v['stop_mm'])} off on the artwork, not tested yet"
    return (
        f"one turn may be {100 * v['scale_share']:.2g} % too long or too short ({v['scale_source']}). The motor never "
        f"stops exactly ({believed}). Its stops alone may open the worst seam by {_um(v['stops_mm'])}{no_cure}",
        ticks if not by_stops else f"{ticks}. Then {gear}" if by_scale else gear,
    )


def _skew_offset(v: _Named) -> tuple[str, str]:
    return (
        f"the plan assumes that the axis is {math.degrees(v['skew_rad']):.2g}° crooked and {v['offset_mm']:.2g} mm off "
        f"centre. Then lines jump at every seam, and further with wider slices. You accept {_um(v['seam_mm'])} at a "
        "seam",
        "set the axis under the middle of the field, along X or Y (test edge), then enter how far off the "
        "axis still is (under turning)",
    )


def _skew_plain(v: _Named) -> tuple[str, str]:
    return (
        f"your axis lies {math.degrees(v['turn_rad']):.2g}° crooked. A sliced file allows for this. A flat file "
        "can't, so its lines are offset at every seam",
        "use a sliced file, or set the axis straight and measure its angle again",
    )


def _hatch(v: _Named) -> tuple[str, str]:
    why = "lines around the item meet from slice to slice. Lines along the item may show at the seams"
    if v["lines_mm"]:
        why = (
            f"lines run around the item. Lines along the item need slices that are a whole multiple of "
            f"{v['lines_mm']:g} mm wide"
        )
    return why, "nothing to do: lines that run around the item set no limit"


def _closing(v: _Named) -> tuple[str, str]:
    ring = "the artwork goes all round, so a whole number of slices must make one turn"
    why = ring if v["ring"] else "the artwork does not go all the way round the item"
    return why, "enter a slice width that fits a whole number of times round the item (under tolerances)"


def _field(v: _Named) -> tuple[str, str]:
    return f"a slice must fit the lens's field of {v['field_mm']:g} mm", "use a lens with a larger field"


_LIMITS: Final[dict[LimitId, Callable[[_Named], tuple[str, str]]]] = {
    "focus": _focus,
    "incidence": _incidence,
    "seam_plain": _seam_plain,
    "seam_sheet": _seam_sheet,
    "turning": _drive,
    "skew_offset": _skew_offset,
    "skew_plain": _skew_plain,
    "line_spacing": _hatch,
    "closing": _closing,
    "field": _field,
}


def _not_kept(cut: Split, v: _Named, within_mm: float) -> str:
    limit = next(one for one in cut.limits if one.id == v["limit"])
    off = f" As planned, {all_seams_words(within_mm)}." if v["at_seams"] else ""
    cure = limit_text(limit, cut.remarks).relax
    cure = f"{cure[0].upper()}{cure[1:]}."
    if limit.widest_mm is None:
        return f"The ring stays open by {abs(cut.closing_error_mm):.2g} mm.{off} {cure}"
    if not limit.by_width or limit.widest_mm <= 0:
        return f"The limit for {NAMES[limit.id]} is not met, whatever the slice width.{off} {cure}"
    return f"Slices are too wide for {NAMES[limit.id]}: {limit.widest_mm:.3g} mm at most.{off} {cure}"


def all_seams_words(within_mm: float) -> str:
    """How far off all seams are at most.

    >>> all_seams_words(0.0412)
    'seams gap or overlap by at most 41 µm on 19 of 20 items'
    """
    return f"seams gap or overlap by at most {1000 * within_mm:.0f} µm on 19 of 20 items"


def _whole_cycles(v: _Named) -> str:
    if not v["whole"]:
        said = f"No slice that turns the motor by whole cycles (a multiple of {v['cycle_mm']:.3g} mm) fits here"
        return f"{said}, or the motor test found no gain."
    claim = (
        ""
        if v["tested"]
        else " After whole cycles many motors stop more exactly. Do the motor test to see if yours does."
    )
    cycles = f"{v['cycles']} whole cycle{'s' * (v['cycles'] != 1)}"
    return f"From slice to slice the motor turns by {cycles} (of 4 full steps in most motors).{claim}"


def _flat_would_do(v: _Named) -> str:
    would = f"A flat file in narrow slices of {v['width_mm']:g} mm would do here too"
    return f"{would}: {all_seams_words(v['off_mm'])}. You then need no sliced file, but more turns."


def _typed_off(v: _Named) -> str:
    decimals = "one decimal" if v["decimals"] == 1 else f"{v['decimals'] or 'no'} decimals"
    return (
        f"Rounding alone puts seams up to {1000 * v['off_mm']:.0f} µm off: numbers with {decimals} can't fit these "
        f"slices. Type more decimals if your program takes them{', or use a sliced file' * v['sheet_helps']}."
    )


def _too_narrow(v: _Named) -> str:
    least = math.ceil(1000 * v["least_mm"]) / 1000
    return (
        f"Enter a slice width of {least:g} mm or more: a slice narrower than {v['spots']} spots of the laser would be "
        "nothing but seam."
    )


def _columns_hold(v: _Named) -> str:
    return f"Flat file: {v['columns']} slices. A sliced file would have {v['slices']}."


def _sheet_alone(v: _Named) -> str:
    return f"Sliced file: {v['slices']} slices whose artwork fits the wall at every height. A flat file won't do here."


def _sheet_wider(v: _Named) -> str:
    return (
        f"Sliced file: {v['slices']} slices whose artwork fits the wall at every height. A flat file would need "
        f"{v['columns']} slices of {v['file_slice_mm']:.2g} mm."
    )


def _drawn_larger(v: _Named) -> str:
    wide, high = v["wide_share"], v["high_share"]
    return (
        f"Import the flat file as it is: it is drawn at {100 * wide:.2f} % of its true width and {100 * high:.2f} % of "
        f"its true height. Drawn at true size, the artwork would come out {_off(1 / wide - 1, 'wide', 'narrow')}, "
        f"{_off(1 / high - 1, 'high', 'low')}, because the beam leans"
        f"{' and because of the field that you measured' * v['measured']}."
    )


def _off(share: float, over: str, under: str) -> str:
    return f"{100 * abs(share):.2f} % too {over if share >= 0 else under}"


def _inexact(v: _Named) -> str:
    left = "all slices together still come out right"
    if v["left_steps"]:
        sense = "too far" if v["left_steps"] > 0 else "too short"
        left = f"all slices together turn {abs(v['left_steps']):.0f} steps {sense} ({abs(v['left_mm']):.3g} mm)"
    return (
        f"No number you can type gives exactly {v['steps']} steps per slice: with the planned number {left}. Use "
        "more decimals, or another way to enter the rotary in your program."
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
