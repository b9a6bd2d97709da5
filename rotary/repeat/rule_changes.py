"""What was reckoned by other rules when older tools stored a proof: each change with its test and its sentence.

A new rule that alters a number of a job gets an entry in `CHANGES`, so that no proof counts for numbers nobody has run.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from rotary.actions.by_hand import LEAST_SHIM_MM, is_shimmed, shim_row
from rotary.actions.models import Actions
from rotary.errors import brief
from rotary.formulas import cradle
from rotary.plan import Plan
from rotary.slices.keys import keyed_column
from rotary.store.record import AsRun

COARSE_DECIMALS: Final = 1
"""With so few decimals typed, a slice of a flat file always may have had another width."""

SAME_MM: Final = 0.0025
"""Slices of a flat file that differ by less are the same: their seams move by less than anybody sees."""

TYPED_MM: Final = 0.0005
"""The width that was wanted lies within half a thousandth of the one that is typed with three decimals."""


@dataclass(frozen=True, slots=True)
class RuleChange:
    """A rule that changed: what it does to this proof, in a sentence, and the actions as they were by the old rule.

    `ends_proof` where a number that a person types or sets is altered.
    """

    says: str
    actions: Actions
    ends_proof: bool


@dataclass(frozen=True, slots=True)
class ChangedRule:
    """A rule that changed, and what finds out whether a proof without actions is touched by it."""

    id: str
    found: Callable[[AsRun, Plan, Actions], RuleChange | None]


def changes_since(run: AsRun, rebuilt: Plan, actions: Actions) -> tuple[Actions, tuple[RuleChange, ...]]:
    """The rebuilt actions by the rules of then, as far as they are known, and the rules that changed."""
    told = []
    for rule in CHANGES:
        since = rule.found(run, rebuilt, actions)
        if since is not None:
            actions = since.actions
            told.append(since)
    return actions, tuple(told)


def tool_of_run(run: AsRun) -> str:
    """Which tool stored a run."""
    return f" with {brief(run.by, 40)}" if run.by else ""


def _levelling(run: AsRun, rebuilt: Plan, actions: Actions) -> RuleChange | None:
    """Once the whole item was levelled; now the artwork's heights are."""
    if not rebuilt.job.turning.levelled:
        return None
    old_mm = whole_item_shim_mm(rebuilt)
    now_mm = rebuilt.focus.shim_mm if is_shimmed(rebuilt) else 0.0
    old_mm = old_mm if abs(old_mm) >= LEAST_SHIM_MM else 0.0
    if abs(old_mm - now_mm) < LEAST_SHIM_MM:
        return None
    then, now = _shim_in_words(old_mm), _shim_in_words(now_mm)
    row = shim_row(rebuilt, old_mm, rebuilt.shape.length_mm).but(rebuilt=True)
    others = tuple(one for one in actions.by_hand if one.id != "shim")
    rows = (row, *others) if old_mm else others
    says = f"the shim was {then} when you proved this job{tool_of_run(run)}, today it would be {now}"
    return RuleChange(says, actions.but(by_hand=rows), ends_proof=True)


def whole_item_shim_mm(plan: Plan) -> float:
    """The shim that levels the whole item, + under the foot end [mm]."""
    shape, cradled = plan.shape, plan.turning.cradle
    climbs = shape.half_angle_rad + (cradled.tilt_rad if cradled is not None else 0.0)
    return float(cradle.shim_mm(climbs, shape.length_mm))


def _shim_in_words(shim_mm: float) -> str:
    return f"{abs(shim_mm):.1f} mm at the {'base' if shim_mm > 0 else 'rim'} end" if shim_mm else "none"


def _flat_file(run: AsRun, rebuilt: Plan, actions: Actions) -> RuleChange | None:
    """A slice of a flat file once was made wider until its number suited; now it is the nearest that can be typed."""
    drive = rebuilt.job.turning
    if run.method != "flat" or run.slices == 1 or rebuilt.job.item.flats is not None:
        return None
    # With few decimals the width that was wanted is not known well enough to tell the one that was typed.
    file_slice_mm = rebuilt.split.file_slice_mm
    today_mm = keyed_column(drive, file_slice_mm - TYPED_MM, run.steps, run.slices).file_slice_mm
    same = abs(today_mm - file_slice_mm) < SAME_MM
    if same and drive.typed_decimals > COARSE_DECIMALS:
        return None
    says = (
        f"an older rule chose the flat file's slices when this job was proven{tool_of_run(run)}. A new file has "
        f"slices of {file_slice_mm:g} mm: never mark an old file with these numbers"
    )
    return RuleChange(says, actions, ends_proof=True)


def _passes(run: AsRun, rebuilt: Plan, actions: Actions) -> RuleChange | None:
    """Once the passes planned were stored as if they had been run; now they are counted at the first slice."""
    if rebuilt.job.item.coating is None or run.passes_counted is not None or not run.passes:
        return None
    says = (
        "the pass count was not saved: mark the first slice one pass at a time, at most "
        f"{rebuilt.removal.passes_at_most or max(run.passes - 1, 1)} passes"
    )
    return RuleChange(says, actions, ends_proof=False)


CHANGES: Final = (
    ChangedRule("levelling", _levelling),
    ChangedRule("flat-file", _flat_file),
    ChangedRule("passes", _passes),
)
