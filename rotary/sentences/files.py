"""Which file is imported when, and which slices a file holds."""

from collections.abc import Sequence

from rotary.actions.build import actions_of
from rotary.actions.models import kind_of
from rotary.errors import listing
from rotary.plan import Plan
from rotary.sentences.actions import with_words
from rotary.sentences.rows import row_texts
from rotary.sentences.run_texts import run_parts
from rotary.slices.trial import TrialFiles


def slices_text(numbers: Sequence[int], of: int, back: bool = False) -> str:
    """Which slices a file holds, by numbers from the item's left; `back` where the program counts from its right.

    >>> slices_text((1, 2, 3, 7), 9), slices_text((5,), 9), slices_text((1, 2), 9, back=True)
    ('slices 1 to 3 and 7 of 9', 'slice 5 of 9', 'slices 8 to 9 of 9')
    """
    if back:
        numbers = sorted(of + 1 - number for number in numbers)
    return f"slice{'s' * (len(numbers) != 1)} {numbers_text(numbers)} of {of}"


def numbers_text(numbers: Sequence[int]) -> str:
    """Numbers in rising order, runs of them by their ends.

    >>> numbers_text([1, 2, 3, 5, 7])
    '1 to 3, 5 and 7'
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return listing([f"{run[0]} to {run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs])


def focus_with(plan: Plan) -> tuple[str, ...]:
    """Where the lens goes for the files of each part of a long taper; nothing where it stays."""
    rows = [row for row in with_words(actions_of(plan), ()).by_hand if kind_of(row.id) == "focus"]
    return row_texts(rows) if len(rows) > 1 else ()


def run_with(plan: Plan, trial: TrialFiles | None) -> tuple[str, ...]:
    """How a coating is removed with the files that were written; nothing in bare metal, whose sheet says it."""
    if not plan.removal.removes_coating:
        return ()
    # Without a whole file each slice has one of its own, and is turned to by hand.
    singly = trial is not None and not trial.whole
    removal = plan.removal.model_copy(update={"file_per_slice": singly or plan.removal.file_per_slice})
    parts = run_parts(actions_of(plan.model_copy(update={"trial": trial, "removal": removal})))
    once = tuple(text for text in (parts.stop, parts.clean) if text)
    return (*parts.first, *once, *parts.second, *parts.others)
