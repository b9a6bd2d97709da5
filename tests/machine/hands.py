"""A person at the machine: what lies where as that person sees it, and what is typed of what was read."""

from pathlib import Path
from typing import Any, Final

import numpy as np
import shapely  # type: ignore[import-untyped, unused-ignore]
from numpy.typing import NDArray

from rotary.cli import main
from rotary.job import Job, job_from_file
from rotary.machine.lookup import on_its_machine
from rotary.machine.tapes import Tape
from rotary.sheet.reread import drawing_from_text
from rotary.shipped import examples

Floats = NDArray[np.float64]

RIM_TO: Final = {("y", "plus"): (0, 1), ("y", "minus"): (0, -1), ("x", "plus"): (1, 0), ("x", "minus"): (-1, 0)}
"""Where the rim points in the field, by what the job says of it."""

WAYS: Final = [*RIM_TO]


def job_lying(name: str, axis: Any = "y", rim: Any = "plus") -> Job:
    job = job_from_file(examples()[name])
    return job.model_copy(update={"laser": job.laser.model_copy(update={"field_axis": axis, "rim_towards": rim})})


def seen_with_rim_away(points_mm: Floats, way: tuple[str, str]) -> Floats:
    """Places of the field for a person who looks with the rim away: to the right, and away."""
    x, y = RIM_TO[way]
    return np.asarray(points_mm @ np.array([[y, x], [-x, y]]))


def ink(tape: Tape, way: tuple[str, str]) -> Any:
    """What a tape's drawing marks, as that person sees it."""
    rings = drawing_from_text(tape.svg).parts["tape"]
    marked: Any = shapely.Polygon()
    for first, last in zip(rings.offsets[:-1], rings.offsets[1:], strict=True):
        marked = marked.symmetric_difference(shapely.Polygon(seen_with_rim_away(rings.points_mm[first:last], way)))
    return marked


def share(shape: Any, *box: float) -> float:
    return float(shape.intersection(shapely.box(*box)).area)


def recorded(*words: str) -> None:
    assert main(["machine", "record", *words]) == 0


def asked(tape: Tape, **read: str) -> list[str]:
    """The line to type, with what was read in place of each question mark."""
    fields = [(name, read.get(name, value)) for name, value in tape.fields_by_line[0]]
    return [tape.reading.split()[0], *(f"{name}={value}" for name, value in fields)]


def on_main(job: Job, folder: Path) -> Job:
    return on_its_machine(job.model_copy(update={"machine": "main"}), folder)


def from_the_rim(job: Job) -> Job:
    """The same item and artwork, all heights told from the rim."""
    item, long = job.item, max(one.at_mm for one in job.item.measurements)
    measured = tuple(one.model_copy(update={"at_mm": long - one.at_mm}) for one in reversed(item.measurements))
    artwork = job.artwork.model_copy(update={"centre_mm": long - job.artwork.centre_mm})
    item = item.model_copy(update={"heights_from": "rim", "measurements": measured})
    return job.model_copy(update={"item": item, "artwork": artwork})
