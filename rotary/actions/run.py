"""How a job is run: rungs to type, files of the first slice and the others, the last pass, order, heat, chances."""

from itertools import groupby
from math import ceil
from typing import Final, Literal

from rotary.actions.files import FileFacts
from rotary.actions.models import LastPass, PassStep, RunActions, Rung
from rotary.actions.typed_rows import TURNS, fill_direction
from rotary.passes.plan.setting import PassRow, Removal
from rotary.plan import Plan

DEPTH_CHECK_SHARE: Final = 1 / 3
"""After this share of the passes the depth in bare metal is measured: common practice, no source."""

_KINDS: Final[dict[str, Literal["removal", "last", "cut"]]] = {"lift": "removal", "finish": "last", "cut": "cut"}


def run_of(plan: Plan, drawn: FileFacts) -> RunActions:
    """How the passes are run; of a plan that offers none only the files."""
    steps = plan.removal
    if steps.setting is None:
        return RunActions(files=drawn.files)
    clean, coated, marked = chances(steps)
    coated_item = steps.removes_coating
    third = max(1, ceil(DEPTH_CHECK_SHARE * len(steps.rows)))
    check = None if coated_item else min(third, steps.safe_passes or third)
    return RunActions(
        files=drawn.files,
        rungs=_rungs(steps, check),
        second_slice=drawn.files.second_slice,
        last_pass=_last(steps),
        order="all round" if steps.order == "all-round" else "slice by slice",
        passes=_pass_steps(plan),
        counted=steps.counted_passes or None,
        like_first=coated_item and not steps.typed_passes,
        file_per_slice=steps.file_per_slice,
        stored_start=plan.job.program.can_store_start,
        turns=TURNS[plan.job.turning.kind],
        before=steps.before,
        # Flats have corners between them, and no seams.
        after=tuple(name for name in steps.after if name != "seams" or plan.shape.flats is None),
        depth_check_after=check,
        wall_c_95=round(steps.wall_c_95, 1),
        wall_wish_c=steps.wall_wish_c,
        chance_clean=clean,
        chance_coated=coated,
        chance_marked=marked,
    )


def chances(steps: Removal) -> tuple[float, float, float] | tuple[None, None, None]:
    """Comes off clean, stays coated, metal marked: together 1; None in bare metal and without samples."""
    if not steps.removes_coating or not steps.samples:
        return None, None, None
    clean, coated = round(steps.chance_with_looks, 3), round(steps.chance_left_coated, 3)
    return clean, coated, round(1 - clean - coated, 3)


def _rungs(steps: Removal, check: int | None) -> tuple[Rung, ...]:
    power = _percent(steps.rows[0].power_share)
    if check is not None:
        return (Rung(power=power, passes=len(steps.rows), look_after=check),)
    if steps.counted_passes:
        return (Rung(power=power, passes=steps.counted_passes, look_after=steps.counted_passes),)
    return tuple(Rung(power=_percent(one.power_share), passes=one.passes, look_after=1) for one in steps.rungs)


def _last(steps: Removal) -> LastPass | None:
    last = steps.last_pass
    if last is None:
        return None
    return LastPass(
        power=_percent(last.power_share),
        speed=round(last.speed_mm_s),
        line_spacing=round(last.line_spacing_mm, 3),
        fill_direction=last.fill_direction,
        line_shift=round(last.line_shift_mm, 4),
        when=steps.last_when or "each slice",
        only_if_uneven=any(one.id == "bleached" for one in steps.remarks),
    )


def _pass_steps(plan: Plan) -> tuple[PassStep, ...]:
    steps = plan.removal
    each_um = steps.depth_um_50 / len(steps.rows)

    def alike(row: PassRow) -> tuple[object, ...]:
        return row.kind, row.power_share, row.speed_mm_s, row.line_spacing_mm, fill_direction(plan, row)

    groups = [list(rows) for _, rows in groupby(steps.rows, alike)]
    return tuple(
        PassStep(
            first=rows[0].number,
            last=rows[-1].number,
            kind=_KINDS[rows[0].kind],
            power=_percent(rows[0].power_share),
            speed=round(rows[0].speed_mm_s),
            line_spacing=round(rows[0].line_spacing_mm, 3),
            fill_direction=fill_direction(plan, rows[0]),
            # No pause stands before the very first pass.
            pause=rows[-1].pause_before_s,
            depth_um=round(each_um * rows[-1].number, 2) if steps.depth_um_50 else None,
        )
        for rows in groups
    )


def _percent(share: float) -> float:
    return round(100 * share, 4)
