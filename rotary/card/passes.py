"""Passes and levelling as all forms of the card tell them."""

from collections.abc import Sequence
from itertools import groupby
from typing import Final

from rotary.papers.lines import clock, percent
from rotary.papers.sizes import Sizes
from rotary.passes.removal import PassRow
from rotary.plan import Plan

LEAST_SHIM_MM: Final = 0.05
"""A sheet of paper is thicker."""

_RUN_BY: Final = ("kind", "power_share", "scan_speed_mm_s", "hatch_mm", "hatch_direction", "pause_before_s", "time_s")


def alike(rows: Sequence[PassRow]) -> list[list[PassRow]]:
    """Passes that follow each other and are run alike, together: one line does for all of them."""

    def how(row: PassRow) -> tuple[object, ...]:
        return (*(getattr(row, name) for name in _RUN_BY), row.look)

    return [list(same) for _, same in groupby(rows, how)]


def pass_cells(same: Sequence[PassRow]) -> tuple[str, ...]:
    """One line of the table of passes: which, kind, power, speed, hatch, its direction, pause, time, heat, look."""
    first = same[0]
    return (
        f"{first.number}" + (f" to {same[-1].number}" if len(same) > 1 else ""),
        first.kind,
        percent(first.power_share),
        f"{first.scan_speed_mm_s:.0f}",
        f"{first.hatch_mm:.3f}",
        first.hatch_direction,
        clock(first.pause_before_s),
        clock(first.time_s),
        f"{max(row.wall_peak_c for row in same):.0f}",
        first.look,
    )


def level_pairs(plan: Plan, sizes: Sizes) -> list[tuple[str, str]]:
    """What goes under which end so that the apex line is level."""
    shim_mm = plan.focus.shim_mm
    if abs(shim_mm) < LEAST_SHIM_MM:
        return []
    name = "levelled, with" if plan.focus.levelled else "to level it, put"
    under = "under the rotary" if plan.job.drive.kind == "rollers" else "under the chuck's base"
    return [(name, f"{sizes.length(abs(shim_mm))} {under}, {'foot' if shim_mm > 0 else 'rim'} end")]
