"""Which file is imported when, and which slices a file holds."""

from collections.abc import Sequence

from rotary.plan import Plan
from rotary.sentences.running import run, steps_of_files
from rotary.slices.trial import TrialFiles


def import_order(trial: TrialFiles | None) -> tuple[str, ...]:
    """Which file is imported when; nothing where a coating is not tried."""
    if trial is None:
        return ()
    if not trial.whole:
        second = f"Then {trial.second}, counted again. " if trial.second else ""
        return (f"Mark {trial.first} first, alone: it has most ink. {second}Then the others, with that count.",)
    alone = f"{slices_text((trial.first_number,), trial.slices)} alone"
    first = f"Import {trial.first} first: {alone}. Its blank slices turn past unmarked."
    if not trial.second:
        return (f"{first} No other slice has ink.",)
    others = [f"Then import {trial.second}: slice {trial.second_number} alone."]
    others += [f"Then import {trial.rest}: all other slices."] if trial.rest else []
    return (first, *others, f"The next items get {trial.whole}: all at once.")


def slices_text(numbers: Sequence[int], of: int) -> str:
    """Which slices a file holds.

    >>> slices_text((1, 2, 3, 7), 9), slices_text((5,), 9)
    ('slices 1 to 3, 7 of 9', 'slice 5 of 9')
    """
    return f"slice{'s' * (len(numbers) != 1)} {numbers_text(numbers)} of {of}"


def numbers_text(numbers: Sequence[int]) -> str:
    """Numbers in rising order, runs of them by their ends.

    >>> numbers_text([1, 2, 3, 7])
    '1 to 3, 7'
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs)


def run_with(plan: Plan, trial: TrialFiles | None, slices: int) -> tuple[str, ...]:
    """Which file is imported when, and how the passes are run with it; `slices` are those of the files."""
    if trial is None or trial.whole:
        return (*import_order(trial), *run(plan, slices))
    rollers = plan.job.drive.kind == "rollers"
    steps = steps_of_files(plan.removal, trial.first, plan.job.item, rollers, trial.second)
    return (*import_order(trial), *steps)
