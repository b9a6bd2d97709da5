"""The focus in sentences: what each line of its budget is, and what a person has to know."""

from collections.abc import Callable
from typing import Final

from rotary.focus import BudgetId, Remark
from rotary.plan import Plan

_Length = Callable[[float], str]
"""How a length is written."""

BUDGET: Final[dict[BudgetId, tuple[str, str]]] = {
    "sag": ("drop at the slice's edge", "at the widest place of the slice"),
    "slope": ("slope of the apex", "how far the apex rises or falls along the artwork"),
    "plane": ("where you set the focus", "halfway between the highest and the lowest place (drop and slope)"),
    "shape": ("measuring the item", "how far off your measurements may be, on 19 of 20 items"),
    "runout": ("runout", "half of the dial's reading"),
    "setting": ("setting the focus", "how far off you may set the lens, on 19 of 20 items (under tolerances)"),
    "field_curvature": ("field curvature", "not known: set the focus where you mark, not at the field's edge"),
}
"""What each line of the focus budget is, and where its figure comes from."""


_CURES: Final[dict[BudgetId, str]] = {
    "sag": "use narrower slices",
    "slope": "level the item",
    "plane": "set the focus more exactly",
    "shape": "measure the item more exactly, at more heights",
    "runout": "mount the item so that it runs truer",
    "setting": "set the focus more exactly",
    "field_curvature": "mark nearer to the field's middle",
}
"""What makes a line of the focus budget smaller."""


def notes(plan: Plan, length: _Length = "{:.2f} mm".format) -> tuple[str, ...]:
    """What a person has to know of the focus; figures that a table has too are written by `length`, as there."""
    return tuple(_NOTES[remark](plan, length) for remark in plan.focus.remarks)


def off_height(low_mm: float, high_mm: float, length: _Length = "{:.2f} mm".format) -> str:
    """How far the surface may lie from where the planned defocus has it, each way in words.

    >>> off_height(-0.71, 0.5)
    '0.71 mm too low to 0.50 mm too high'
    """
    return " to ".join(f"{length(abs(at))} too {'low' if at < 0 else 'high'}" for at in (low_mm, high_mm))


def _plane_below(_: Plan, _length: _Length) -> str:
    return (
        "The focus lies below the surface, so slice edges get more energy than the middle and may mark the metal. "
        "Better: put the focus above the surface."
    )


def _plane_above(_: Plan, _length: _Length) -> str:
    return (
        "The focus lies above the surface, so slice edges get less energy than the middle. That is the safe side: one "
        "more pass lifts coating left at the edges, but a mark on the metal stays."
    )


def _over_budget(plan: Plan, length: _Length) -> str:
    sharp = plan.focus
    worst = max(sharp.budget, key=lambda row: row.high_mm - row.low_mm)
    total = off_height(sharp.total_low_mm, sharp.total_high_mm, length)
    good = off_height(sharp.allowed_low_mm, sharp.allowed_high_mm, length)
    return (
        f"The surface can lie anywhere from {total}. Good enough is {good}. Biggest cause: {BUDGET[worst.id][0]}. To "
        f'gain room, {_CURES[worst.id]}, enter a larger "lens away" (under fixed settings), or use a lens with more '
        "depth of focus."
    )


def _refocus(plan: Plan, _length: _Length) -> str:
    """Whether levelling would take off the climb that the focus does not allow."""
    level = plan.turning.level
    if plan.job.turning.levelled or level.shim_mm == 0:
        cure = f". Even with the item levelled, the wall climbs {level.left_mm:.2g} mm"
    else:
        left = f", which leaves {level.left_mm:.2g} mm of climb" if level.left_mm > 0.005 else ""
        cure = f", or level the item{left}"
    parts = len(plan.focus.refocus)
    return (
        f"The apex is not level enough for one focus: mark the artwork in {parts} parts and focus again for each{cure}."
    )


def _meets_head(plan: Plan, _length: _Length) -> str:
    sharp = plan.focus
    lowest_mm = min((zone.focal_plane_mm for zone in sharp.refocus), default=sharp.focal_plane_mm)
    return (
        f"The item would hit the lens: the item reaches {sharp.highest_mm - lowest_mm:.4g} mm above the focus, and "
        f"the lens has room for {plan.job.laser.free_height_mm:g} mm. Use a lens with more room, or enter a "
        'larger "lens away" (under fixed settings).'
    )


def _setting_fills(plan: Plan, length: _Length) -> str:
    sharp, item = plan.focus, plan.job.item
    apart = length(sharp.allowed_high_mm - sharp.allowed_low_mm)
    return (
        f"The surface's highest and lowest place may be at most {apart} apart. Setting the "
        f"lens (±{plan.job.tolerances.focus_mm:g} mm) and the item's runout ({item.runout_mm:g} mm) use all of that "
        'up: set the lens more exactly, or enter a larger "lens away" (under fixed settings).'
    )


def _oval(plan: Plan, _length: _Length) -> str:
    oval_mm, cut = plan.shape.oval.differ_mm if plan.shape.oval else 0.0, plan.split
    off_um = 1000 * cut.slice_width_mm * oval_mm / 4 / plan.layout.reference_radius_mm
    seams = f" Seams may be off by {off_um:.3g} µm." if cut.inked_slices > 1 else ""
    return (
        f"The item is oval by {oval_mm:.2g} mm: as it turns, the wall moves {oval_mm / 2:.2g} mm to and from the "
        f"lens.{seams} The plan allows for it."
    )


_NOTES: Final[dict[Remark, Callable[[Plan, _Length], str]]] = {
    "setting_fills": _setting_fills,
    "oval": _oval,
    "plane_below": _plane_below,
    "plane_above": _plane_above,
    "over_budget": _over_budget,
    "refocus": _refocus,
    "meets_head": _meets_head,
}
