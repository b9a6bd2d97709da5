"""What is read of a machine at the seams: the gap ladder and the motor test, drawn and recorded.

Front ends import this at once, so it loads the core only when it is called.
"""

from collections.abc import Mapping, Sequence
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from rotary.job import Job
    from rotary.plan import Plan
    from rotary.rig.readings import GapLadder, MotorTest, Reading
    from rotary.rig.seam_tests import Rungs, SeamTest


def seam_tests(made: "Plan") -> "tuple[SeamTest, ...]":
    """The gap ladder and the rows of the motor test for a plan, as far as the item has room; never none by trouble."""
    from rotary.errors import Refused
    from rotary.rig.seam_tests import gap_ladder, motor_rows, motor_test

    tests = []
    for row in (None, *motor_rows(made.job)):
        with suppress(Refused):
            tests.append(gap_ladder(made) if row is None else motor_test(made.job, row))
    return tuple(tests)


def record_gap_ladder(
    made: "Plan", closed: int, machine: str, at: datetime, folder: Path | None = None, rungs: "Rungs | None" = None
) -> "GapLadder":
    """Record which gap of a plan's ladder was the widest that closed, by its number, in the machine's file.

    `rungs` are those that were marked, the plan's first ladder where not given. Raises Refused where all or none
    closed, with what to mark next; nothing is recorded then.
    """
    from rotary.rig.correct import seam_material
    from rotary.rig.readings import GapLadder
    from rotary.rig.seam_tests import rungs_of

    gaps = rungs or rungs_of(made)
    reading = {
        "kind": "gap-ladder", "coating": seam_material(made.job), "settings": made.seams.settings,
        "first": f"{gaps.first_mm} mm", "step": f"{gaps.step_mm} mm", "closed": closed, "at": at,
    }  # fmt: skip
    recorded = _recorded(reading, machine, folder)
    assert isinstance(recorded, GapLadder)
    return recorded


def record_motor_test(
    job: "Job",
    row: Literal["whole", "free"],
    ticks: Sequence[int],
    machine: str,
    at: datetime,
    folder: Path | None = None,
    back: Sequence[int] = (),
) -> "MotorTest":
    """Record a row of the motor test in the machine's file: the tick that runs straight on at each seam.

    `back` are those of the first three seams from the other side. Raises Refused where they are no such row.
    """
    from rotary.rig.readings import MotorTest
    from rotary.rig.seam_tests import full_step_on_tape

    full_step_mm, across_mm = full_step_on_tape(job, row)
    reading = {
        "kind": "motor-test", "row": row, "ticks": list(ticks), "back": list(back), "at": at,
        "full_step": f"{full_step_mm:.6f} mm", "across": f"{across_mm:.6f} mm",
    }  # fmt: skip
    recorded = _recorded(reading, machine, folder)
    assert isinstance(recorded, MotorTest)
    return recorded


def _recorded(data: Mapping[str, object], machine: str, folder: Path | None) -> "Reading":
    """The reading, written into the machine's file; raises Refused where it can't be."""
    from rotary.rig.record import with_reading
    from rotary.rig.sense import reading_from_data
    from rotary.rig.store import load_rig, rig_folder, save_rig

    reading: Reading = reading_from_data(data)
    place = folder or rig_folder()
    save_rig(with_reading(load_rig(machine, place), reading), place)
    return reading
