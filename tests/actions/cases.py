"""Invented jobs on which actions are played: shipped ones, and what turning, fields, ends and shapes can ask for."""

import math
from functools import cache
from typing import Any, Final

import pytest

from rotary.job import Job, job_from_file
from rotary.plan import Plan, plan
from rotary.shipped import examples

COAT: Final = {"coating": "polyester-powder-dark", "coating_thickness_um": 70.0, "wall_mm": 0.5}
BARE: Final = {"coating": None, "solid": True, "runout_mm": 0.05, "measuring_tolerance_mm": 0.02}
HEAD: Final[dict[str, Any]] = {
    "name": "invented laser and lens", "rated_power_w": 60.0, "largest_pulse_mj": 1.5, "lowest_frequency_khz": 20.0,
    "highest_frequency_khz": 200.0, "focal_length_mm": 254.0, "field_mm": 175.0, "pulse_widths_ns": (100.0, 200.0),
}  # fmt: skip
CHUCK: Final[dict[str, Any]] = {
    "kind": "chuck", "axis_height_mm": 90.0, "gear_ratio": 4.0, "full_steps": 200, "microsteps": 16,
}  # fmt: skip
ROLLERS: Final[dict[str, Any]] = {
    "kind": "rollers", "axis_height_mm": 40.0, "roller_diameter_mm": 20.0, "centres_mm": 50.0,
    "ticks": [{"gap_mm": 0.2, "at_mm": 60.0}, {"gap_mm": 0.2, "at_mm": 60.0}],
}  # fmt: skip


def _cup(*diameters: float, length: float = 120.0, **more: Any) -> dict[str, Any]:
    """A coated cup that was measured at equal heights."""
    step = length / max(len(diameters) - 1, 1)
    return COAT | {"measurements": [{"at_mm": k * step, "across_mm": d} for k, d in enumerate(diameters)], **more}


def _job(item: dict[str, Any], drive: dict[str, Any], art: dict[str, Any], **more: Any) -> Job:
    given: dict[str, Any] = {
        "item": {"name": "invented item", **item},
        "turning": drive,
        "laser": HEAD | more.pop("laser", {}),
        "artwork": {"name": "rings and bar", "width_mm": 50.0, "height_mm": 40.0, "centre_mm": 60.0} | art,
        **more,
    }
    return Job.model_validate(given)


SHEET: Final = {"method": "sliced"}
STRAIGHT, TAPER, BELLY = _cup(80.0, 80.0), _cup(84.0, 72.0), _cup(70.0, 76.0, 78.0, 77.0, 71.0)
NUT: Final = BARE | {"measurements": [{"at_mm": 0, "across_mm": 22.0}, {"at_mm": 16, "across_mm": 22.0}]}
HEXAGON: Final = BARE | {"flats": 6, "across_flats_mm": 30.0, "length_mm": 24.0}
HANDLE: Final = {"angle_rad": math.pi, "width_rad": 0.5, "reach_mm": 35.0, "from_mm": 15.0, "to_mm": 100.0}
SMALL: Final = {"width_mm": 26.0, "height_mm": 7.0, "centre_mm": 8.0}


def _levelled(drive: dict[str, Any], is_levelled: bool = True) -> dict[str, Any]:
    return drive | {"levelled": is_levelled}


JOBS: Final[dict[str, Job]] = {
    "rollers, taper, shim": _job(TAPER, ROLLERS, {}, tolerances=SHEET),
    "rollers, taper, as it lies": _job(TAPER, _levelled(ROLLERS, False), {}, tolerances=SHEET),
    "rollers, straight, no shim": _job(STRAIGHT, ROLLERS, {}, tolerances=SHEET),
    "rollers, straight, flat file": _job(STRAIGHT, ROLLERS, {}, tolerances={"method": "flat"}),
    "rollers, wider at the rim": _job(_cup(72.0, 84.0), ROLLERS, {"surface_map": "label"}, tolerances=SHEET),
    "rollers, roller's diameter typed": _job(
        TAPER, ROLLERS | {"controller_field": "roller-diameter"}, {}, tolerances=SHEET
    ),
    "rollers, degrees typed": _job(TAPER, ROLLERS | {"controller_field": "degrees"}, {}, tolerances=SHEET),
    "rollers, belly": _job(BELLY, ROLLERS, {}, tolerances=SHEET),
    "rollers, along X": _job(TAPER, ROLLERS, {}, tolerances=SHEET, laser={"field_axis": "x"}),
    "chuck, straight": _job(STRAIGHT, CHUCK, {}, tolerances=SHEET),
    "chuck, taper, level axis": _job(TAPER, CHUCK, {"surface_map": "label"}, tolerances=SHEET),
    "chuck, taper, levelled": _job(TAPER, _levelled(CHUCK), {"surface_map": "with-taper"}, tolerances=SHEET),
    "chuck, seen from the front": _job(TAPER, CHUCK, {"surface_map": "front-view"}, tolerances=SHEET),
    "chuck, belly, heights from the rim": _job(
        BELLY | {"heights_from": "rim"}, CHUCK, {"centre_mm": 45.0}, tolerances=SHEET
    ),
    "chuck, only steps can be typed": _job(
        STRAIGHT, CHUCK | {"controller_field": "steps-only", "typed_diameter_mm": 50.0}, {}, tolerances=SHEET
    ),
    "chuck, degrees with one decimal": _job(
        STRAIGHT, CHUCK | {"controller_field": "degrees", "typed_decimals": 1}, {}, tolerances=SHEET
    ),
    "chuck, no decimals": _job(STRAIGHT, CHUCK | {"typed_decimals": 0}, {}, tolerances=SHEET),
    "chuck, one decimal": _job(TAPER, CHUCK | {"typed_decimals": 1}, {}, tolerances=SHEET),
    "chuck, cut down to whole steps": _job(STRAIGHT, CHUCK | {"rounding": "truncate"}, {}, tolerances=SHEET),
    "chuck, places rounded": _job(TAPER, CHUCK | {"rounding": "absolute"}, {}, tolerances=SHEET),
    "chuck, along Y, rim to the front": _job(TAPER, CHUCK, {}, tolerances=SHEET, laser={"rim_towards": "minus"}),
    "chuck, along X, rim to the right": _job(TAPER, CHUCK, {}, tolerances=SHEET, laser={"field_axis": "x"}),
    "chuck, along X, rim to the left": _job(
        TAPER, CHUCK, {}, tolerances=SHEET, laser={"field_axis": "x", "rim_towards": "minus"}
    ),
    "chuck, flat file along X": _job(
        STRAIGHT, CHUCK, {}, tolerances={"method": "flat"}, laser={"field_axis": "x", "rim_towards": "minus"}
    ),
    "chuck, flat file, rim to the front": _job(
        STRAIGHT, CHUCK, {}, tolerances={"method": "flat"}, laser={"rim_towards": "minus"}
    ),
    "telecentric lens": _job(TAPER, CHUCK, {}, tolerances=SHEET, laser={"lens": "telecentric"}),
    "machine as measured, askew": _job(
        TAPER, CHUCK, {}, tolerances=SHEET,
        laser={"slice_wide_share": 1.004, "slice_high_share": 0.997, "slice_turn_rad": 0.003},
    ),
    "handle and weld line": _job(
        STRAIGHT | {"handle": HANDLE, "weld_line": {"angle_rad": 2.0, "width_mm": 2.0}}, CHUCK,
        {"centre_angle_rad": 0.4}, tolerances=SHEET,
    ),
    "handle, flat file along X": _job(
        STRAIGHT | {"handle": HANDLE}, CHUCK, {"centre_angle_rad": -0.3},
        tolerances={"method": "flat"}, laser={"field_axis": "x"},
    ),
    "weld line on rollers": _job(
        TAPER | {"weld_line": {"angle_rad": 2.0, "width_mm": 2.0}}, ROLLERS, {"centre_angle_rad": 0.2},
        tolerances=SHEET,
    ),
    "bare nut": _job(NUT, CHUCK, SMALL, tolerances=SHEET),
    "bare nut, flat file": _job(NUT | {"heights_from": "rim"}, CHUCK, SMALL, tolerances={"method": "flat"}),
    "hexagon": _job(HEXAGON, CHUCK | {"gear_ratio": 6.0}, {"width_mm": 16.0, "height_mm": 14.0, "centre_mm": 12.0}),
    "hexagon, degrees, along X": _job(
        HEXAGON, CHUCK | {"gear_ratio": 6.0, "controller_field": "degrees"},
        {"width_mm": 16.0, "height_mm": 14.0, "centre_mm": 12.0}, laser={"field_axis": "x"},
    ),
    "whole turn": _job(
        STRAIGHT, CHUCK, {"width_mm": 80 * math.pi, "full_wrap": True, "height_mm": 30.0}, tolerances=SHEET
    ),
    "whole turn, flat file": _job(
        STRAIGHT, CHUCK, {"width_mm": 80 * math.pi, "full_wrap": True, "height_mm": 30.0},
        tolerances={"method": "flat"},
    ),
    "whole turn, rim to the front": _job(
        TAPER, CHUCK, {"width_mm": 78 * math.pi, "full_wrap": True, "height_mm": 30.0}, tolerances=SHEET,
        laser={"rim_towards": "minus"},
    ),
    "one slice": _job(_cup(80.0, 80.0), CHUCK, {"width_mm": 1.2, "height_mm": 20.0}, tolerances=SHEET),
    "pin of 3 mm": _job(
        BARE | {"measurements": [{"at_mm": 0, "across_mm": 3.0}, {"at_mm": 40, "across_mm": 3.0}]}, CHUCK,
        {"width_mm": 6.0, "height_mm": 10.0, "centre_mm": 20.0},
        # With seams of 0.05 mm a slice is so narrow that more than half of it would be the gaps at its edges: no sheet.
        tolerances=SHEET | {"seam_mm": 0.06},
    ),
    "drum of 400 mm": _job(
        _cup(400.0, 400.0, length=200.0), CHUCK | {"axis_height_mm": 300.0},
        {"width_mm": 300.0, "height_mm": 120.0, "centre_mm": 100.0}, tolerances=SHEET,
    ),
    "cone of 40 degrees": _job(
        _cup(120.0, 52.9, length=40.0), _levelled(CHUCK) | {"axis_height_mm": 150.0},
        {"width_mm": 60.0, "height_mm": 24.0, "centre_mm": 20.0, "surface_map": "label"}, tolerances=SHEET,
    ),
    "long taper, lens moved": _job(
        _cup(70.0, 110.0), CHUCK, {"height_mm": 80.0, "width_mm": 40.0}, tolerances=SHEET
    ),
    "program without a second setting": _job(
        TAPER, ROLLERS, {}, tolerances=SHEET, program={"can_change_setting": False}
    ),
    "program without a second setting, chuck": _job(
        TAPER, CHUCK, {}, tolerances=SHEET,
        program={"can_change_setting": False, "can_store_start": True, "can_pause": False},
    ),
    "program without several passes, chuck": _job(
        STRAIGHT, CHUCK, {}, tolerances=SHEET, program={"can_repeat_slice": False}
    ),
    "program without several passes, rollers": _job(
        STRAIGHT, ROLLERS, {}, tolerances=SHEET, program={"can_repeat_slice": False}
    ),
    "program without several passes, rollers along X": _job(
        TAPER, ROLLERS, {}, tolerances=SHEET, program={"can_repeat_slice": False},
        laser={"field_axis": "x", "rim_towards": "minus"},
    ),
    "program without several passes, open method": _job(STRAIGHT, ROLLERS, {}, program={"can_repeat_slice": False}),
    "bare rod on rollers, file by file": _job(
        BARE | {"measurements": [{"at_mm": 0, "across_mm": 40.0}, {"at_mm": 120, "across_mm": 40.0}]},
        ROLLERS | {"centres_mm": 40.0}, {"width_mm": 26.0, "height_mm": 20.0}, program={"can_repeat_slice": False},
    ),
    "bare nut, program without several passes": _job(
        NUT, CHUCK, SMALL, tolerances=SHEET, program={"can_repeat_slice": False}
    ),
    "bare nut, program without a second setting": _job(
        NUT, CHUCK, SMALL, tolerances=SHEET, program={"can_change_setting": False, "can_repeat_slice": True}
    ),
    "long taper, parts without ink": _job(
        _cup(70.0, 110.0), CHUCK, {"height_mm": 80.0, "width_mm": 40.0, "name": "two lines"}, tolerances=SHEET
    ),
    "bare, long taper, parts without ink": _job(
        BARE | {"measurements": [{"at_mm": 0, "across_mm": 70.0}, {"at_mm": 120, "across_mm": 110.0}]}, CHUCK,
        {"height_mm": 80.0, "width_mm": 40.0, "name": "two lines"}, tolerances=SHEET,
    ),
    "file by file, slices without ink": _job(
        STRAIGHT, ROLLERS, {"name": "two lines"}, tolerances=SHEET, program={"can_repeat_slice": False}
    ),
    "bare, file by file, slices without ink": _job(
        BARE | {"measurements": [{"at_mm": 0, "across_mm": 40.0}, {"at_mm": 120, "across_mm": 40.0}]},
        ROLLERS | {"centres_mm": 40.0}, {"width_mm": 26.0, "height_mm": 20.0, "name": "two lines"},
        program={"can_repeat_slice": False},
    ),
    "slices without ink": _job(STRAIGHT, CHUCK, {"name": "two lines"}, tolerances=SHEET),
    "flat file, slices without ink": _job(STRAIGHT, CHUCK, {"name": "two lines"}, tolerances={"method": "flat"}),
    "middle between tenths": _job(TAPER, CHUCK, {"centre_mm": 61.5733}, tolerances=SHEET),
}  # fmt: skip


COUNTED: Final = {
    "counted, rollers": "rollers, taper, shim",
    "counted, chuck all round": "chuck, straight",
    "counted, chuck slice by slice": "boathouse-mug",
    "counted, file by file": "program without several passes, rollers",
    "counted, one slice": "one slice",
}
"""Repeats whose passes were counted on an earlier run."""


@cache
def plan_of(name: str) -> Plan:
    """The plan of a job here, or of one that ships, as fronts make it; words are played elsewhere."""
    if name in COUNTED:
        made = plan_of(COUNTED[name])
        return made.model_copy(update={"removal": made.removal.as_counted(5)})
    shipped = examples()
    job = job_from_file(shipped[name]) if name in shipped else JOBS[name]
    return plan(job.model_copy(update={"inscription": None}))


NAMES: Final = (*examples(), *JOBS, *COUNTED)
QUICK: Final = (
    *examples(), "rollers, taper, as it lies", "chuck, along X, rim to the left", "hexagon", "counted, rollers",
    "program without several passes, rollers",
)  # fmt: skip
"""A handful of all kinds that is played at every change; the others with the slow tests."""

EACH: Final = tuple(pytest.param(name, marks=() if name in QUICK else pytest.mark.slow) for name in NAMES)
