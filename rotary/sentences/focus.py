"""The focus in sentences: what each line of its budget is, and what a person has to know."""

from collections.abc import Callable
from typing import Final

from rotary.focus import BudgetId, Remark
from rotary.plan import Plan

BUDGET: Final[dict[BudgetId, tuple[str, str]]] = {
    "sag": ("drop at the slice's edge", "circle of the widest place, split"),
    "slope": ("slope of the apex", "over what is marked at one height"),
    "plane": ("plane put in the middle", "balances the two above"),
    "shape": ("how well the shape is known", "by the places measured, 95 %"),
    "runout": ("runout", "half the indicator reading"),
    "setting": ("setting the focus", "as assumed, 95 %"),
    "field_curvature": ("field curvature", "not known: focus where you mark, not at the field's edge"),
}
"""What each line of the focus budget is, and where its figure comes from."""


def notes(plan: Plan) -> tuple[str, ...]:
    """What a person has to know of the focus."""
    return tuple(_NOTES[remark](plan) for remark in plan.focus.remarks)


def _plane_below(_: Plan) -> str:
    return (
        "The focal plane lies below the surface: a slice's edges get more energy than its middle and may mark the "
        "metal. Prefer a focal plane above the surface: there they get less."
    )


def _plane_above(_: Plan) -> str:
    return (
        "The focal plane lies above the surface, so a slice's edges get less energy than its middle. Another pass "
        "lifts what is left there. A mark on the metal stays."
    )


def _over_budget(plan: Plan) -> str:
    sharp = plan.focus
    worst = max(sharp.budget, key=lambda row: row.high_mm - row.low_mm)
    return (
        f"Focus may be off by {sharp.total_low_mm:+.2f} to {sharp.total_high_mm:+.2f} mm, allowed is "
        f"{sharp.allowed_low_mm:+.2f} to {sharp.allowed_high_mm:+.2f} mm. Most comes from: {BUDGET[worst.id][0]}. "
        "A better setting of the focus, a greater depth of focus or more defocus would help."
    )


def _refocus(plan: Plan) -> str:
    """Whether levelling would take off the climb that the focus does not allow."""
    level = plan.turning.level
    if plan.job.turning.levelled or level.shim_mm == 0:
        cure = f". The wall itself climbs {level.left_mm:.2g} mm there, as level as it can lie"
    else:
        left = f", which leaves {level.left_mm:.2g} mm of climb" if level.left_mm > 0.005 else ""
        cure = f", or level the item{left}"
    parts = len(plan.focus.refocus)
    return (
        f"The apex can't be held at one height: mark the artwork's heights in {parts} parts and set the lens again "
        f"for each{cure}."
    )


def _meets_head(plan: Plan) -> str:
    sharp = plan.focus
    lowest_mm = min((zone.focal_plane_mm for zone in sharp.refocus), default=sharp.focal_plane_mm)
    return (
        f"The item's highest place would meet the lens: it stands {sharp.highest_mm - lowest_mm:.4g} mm over the focal "
        f"plane where that is lowest, and the lens leaves {plan.job.laser.free_height_mm:g} mm."
    )


def _setting_fills(plan: Plan) -> str:
    sharp, item = plan.focus, plan.job.item
    return (
        f"Setting the lens to ±{plan.job.tolerances.focus_mm:g} mm with {item.runout_mm:g} mm of runout fills all that "
        f"the focus allows, {sharp.allowed_high_mm - sharp.allowed_low_mm:.2g} mm. Set the lens more finely, or use "
        "more defocus."
    )


def _oval(plan: Plan) -> str:
    oval_mm, cut = plan.shape.oval.differ_mm if plan.shape.oval else 0.0, plan.split
    off_um = 1000 * cut.slice_width_mm * oval_mm / 4 / plan.layout.reference_radius_mm
    seams = f" Seams may be off by {off_um:.2g} µm." if cut.inked_slices > 1 else ""
    return (
        f"Oval by {oval_mm:.2g} mm: as it turns, the wall moves {oval_mm / 2:.2g} mm to and from the lens.{seams} The "
        "plan allows for it."
    )


_NOTES: Final[dict[Remark, Callable[[Plan], str]]] = {
    "setting_fills": _setting_fills,
    "oval": _oval,
    "plane_below": _plane_below,
    "plane_above": _plane_above,
    "over_budget": _over_budget,
    "refocus": _refocus,
    "meets_head": _meets_head,
}
