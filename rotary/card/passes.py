"""Passes and levelling as all forms of the card tell them."""

from collections.abc import Sequence
from itertools import groupby, pairwise
from typing import Final

from rotary.papers.lines import clock, few, percent
from rotary.papers.model import Block, Sentences, Table, Ticks
from rotary.papers.sizes import Sizes
from rotary.passes.plan.removal import PassRow, Removal
from rotary.plan import Plan
from rotary.sentences.files import numbers_text
from rotary.sentences.passes import DIRECTIONS, look
from rotary.sentences.running import BLANK, last_pass_text

_RUN_BY: Final = ("kind", "power_share", "scan_speed_mm_s", "hatch_mm", "hatch_direction", "pause_before_s", "time_s")


def slice_done(steps: Removal) -> str:
    """What a box stands for on a coated item."""
    last = " and its last pass" if steps.last_when else ""
    return f"a slice once its passes{last} are done"


def alike(steps: Removal, rows: Sequence[PassRow]) -> list[list[PassRow]]:
    """Passes that follow each other and are run alike, together: one line does for all of them."""

    def how(row: PassRow) -> tuple[object, ...]:
        return (*(getattr(row, name) for name in _RUN_BY), look(steps, row))

    return [list(same) for _, same in groupby(rows, how)]


def pass_cells(steps: Removal, same: Sequence[PassRow]) -> tuple[str, ...]:
    """One line of the table of passes: which, kind, power, speed, hatch, its direction, pause, time, heat, look."""
    first = same[0]
    return (
        f"{first.number}" + (f" to {same[-1].number}" if len(same) > 1 else ""),
        first.kind,
        percent(first.power_share),
        f"{first.scan_speed_mm_s:.0f}",
        f"{first.hatch_mm:.3f}",
        DIRECTIONS[first.hatch_direction],
        clock(first.pause_before_s),
        clock(first.time_s),
        f"{max(row.wall_peak_c for row in same):.0f}",
        look(steps, first),
    )


def pass_rows(steps: Removal) -> list[tuple[str, ...]]:
    """The lines of the table: alike passes on one, and on a coating one for the removal passes, one for the last."""
    if not steps.removes_coating:
        return [pass_cells(steps, same) for same in alike(steps, steps.rows)]
    lifts, last = [row for row in steps.rows if row.kind == "lift"], steps.last_pass
    hot = max(row.wall_peak_c for row in lifts)
    # The pause stands before every pass but the first.
    one = lifts[0].model_copy(update={"wall_peak_c": hot, "pause_before_s": steps.pause_s})
    again = f"look, then again: {steps.passes_at_most} at most"
    number, then = ("1", again) if steps.typed_passes else (BLANK, "as many as the first item took")
    removal = (number, "removal", *pass_cells(steps, [one])[2:-1], then)
    if last is None:
        return [removal]
    return [removal, ("once", "last", *pass_cells(steps, [last])[2:-1], last_pass_text(last))]


MOST_ROWS: Final = 10
"""More lines of passes than this are packed: each way of running them once, and a box for every pass."""

HEAD: Final = ("pass", "kind", "power", "mm/s", "hatch mm", "hatch", "pause", "time", "wall °C", "look for")


def passes_table(steps: Removal) -> Table:
    """All passes in their order, alike ones on one line."""
    return Table(HEAD, tuple(pass_rows(steps)), "the passes in their order", not steps.removes_coating, 9)


def passes_packed(steps: Removal) -> tuple[Block, ...]:
    """The table of passes, or where it were long each way of running them once, and a box for every pass."""
    whole, rows = passes_table(steps), steps.rows
    if len(whole.rows) <= MOST_ROWS:
        return (whole,)
    ways: dict[tuple[object, ...], list[PassRow]] = {}
    for row in rows:
        ways.setdefault(tuple(getattr(row, name) for name in _RUN_BY), []).append(row)
    told = tuple(
        (*pass_cells(steps, same)[1:-1], numbers_in_words([row.number for row in same])) for same in ways.values()
    )
    by_look: dict[str, list[int]] = {}
    for row in rows:
        by_look.setdefault(look(steps, row), []).append(row.number)
    if len(by_look) <= MOST_ROWS:
        looks = tuple(f"pass {numbers_in_words(numbers)}: {says}" for says, numbers in by_look.items())
    else:
        # Depths, which differ from pass to pass: some of them tell how it goes.
        looks = tuple(f"after pass {row.number}: {look(steps, row)}" for row in few(rows, 5))
    return (
        Table((*HEAD[1:-1], "passes"), told[:MOST_ROWS], "how the passes are run", wide=8),
        Sentences((*looks, "Every pass has its line overleaf."), "dash"),
        Ticks(tuple((f"{row.number}", 1) for row in rows), "For the slice in work, a box a pass:"),
    )


def numbers_in_words(numbers: Sequence[int]) -> str:
    """Numbers that rise, as one reads them.

    >>> numbers_in_words([4]), numbers_in_words([1, 2, 3]), numbers_in_words([2, 4, 6, 8]), numbers_in_words([1, 4, 5])
    ('4', '1 to 3', 'every other, 2 to 8', '1, 4 to 5')
    """
    if len(numbers) > 2 and all(b - a == 2 for a, b in pairwise(numbers)):
        return f"every other, {numbers[0]} to {numbers[-1]}"
    return numbers_text(numbers)


def focus_pairs(plan: Plan, sizes: Sizes) -> list[tuple[str, str]]:
    """Where the apex and the focal plane stand, how the head is moved there, and what goes under the item."""
    sharp = plan.focus
    over = "over the apex line" if sharp.plane_over_apex_mm >= 0 else "below the apex line"
    return [
        ("apex line over the bed", sizes.length(sharp.apex_height_mm)),
        ("focal plane over the bed", sizes.length(sharp.focal_plane_mm)),
        ("which is", f"{sizes.length(abs(sharp.plane_over_apex_mm))} {over}"),
        ("focused on the bed: move the head by", sizes.length(sharp.move_from_bed_mm, signed=True)),
        ("focused on the apex: move it by", sizes.length(sharp.move_from_apex_mm, signed=True)),
        *level_pairs(plan, sizes),
    ]


def level_pairs(plan: Plan, sizes: Sizes) -> list[tuple[str, str]]:
    """What goes under which end so that the apex line is level, or that nothing does."""
    level = plan.turning.level
    if level.shim_mm == 0:
        return [("level", "as it lies: put nothing under it")]
    name = "levelled, with" if plan.focus.levelled else "to level it, put"
    under = "under the rotary" if plan.job.drive.kind == "rollers" else "under the chuck's base"
    shim, base = sizes.length(abs(level.shim_mm)), sizes.length(level.base_mm)
    return [(name, f"{shim} {under}, {level.end} end, over a base of {base}")]
