"""The words of invented parts, played literally from what was saved and read again: every mark in its place."""

from pathlib import Path
from typing import Any, Final

import pytest

from rotary.actions.models import Actions
from rotary.inscription.actions import drawn_marks, plan_of_marks
from rotary.inscription.work import inscribe, part_plan
from rotary.job import Job
from rotary.plan import plan
from rotary.repeat.run import whole_run
from rotary.wording import InscriptionWish
from tests.actions.bench import bench_of
from tests.actions.cases import BARE, CHUCK, COAT, ROLLERS, STRAIGHT, TAPER, _job
from tests.actions.player import play

NUT: Final[dict[str, Any]] = BARE | {
    "measurements": [{"at_mm": 0, "across_mm": 22.0}, {"at_mm": 16, "across_mm": 22.0}]
}
ROD: Final[dict[str, Any]] = BARE | {
    "measurements": [{"at_mm": 0, "across_mm": 12.0}, {"at_mm": 60, "across_mm": 12.0}]
}
CONE: Final[dict[str, Any]] = BARE | {
    "measurements": [{"at_mm": 0, "across_mm": 30.0}, {"at_mm": 30, "across_mm": 24.0}]
}
SLICED: Final = {"method": "sliced"}

PARTS: Final[dict[str, tuple[dict[str, Any], dict[str, Any], dict[str, Any]]]] = {
    "ring of a nut": (NUT, CHUCK, {"text": "HERON CLUB", "around": "ring"}),
    "part of a nut": (NUT, CHUCK, {"text": "HERON\n1931", "around": "arc"}),
    "along a rod": (ROD, CHUCK, {"text": "LAUNCH 07", "around": "axis"}),
    "ring of a cone": (CONE, CHUCK, {"text": "WEIR", "around": "ring", "gap_mm": 4.0}),
    "arc of a cone, heights from the rim": (CONE | {"heights_from": "rim"}, CHUCK, {"text": "OAR 12", "around": "arc"}),
    "nut, degrees typed": (NUT, CHUCK | {"controller_field": "degrees"}, {"text": "COX", "around": "ring"}),
    "nut, few decimals": (NUT, CHUCK | {"typed_decimals": 1}, {"text": "STROKE", "around": "ring"}),
    "coated cup in a chuck": (STRAIGHT, CHUCK, {"text": "REGATTA", "around": "arc", "letter_height_mm": 12.0}),
    "coated taper in a chuck": (TAPER, CHUCK, {"text": "EIGHT", "around": "arc", "letter_height_mm": 10.0}),
    "coated cup on rollers": (STRAIGHT, ROLLERS, {"text": "FOUR", "around": "arc", "letter_height_mm": 12.0}),
    "coated tube along its axis": (
        COAT | {"measurements": [{"at_mm": 0, "across_mm": 50.0}, {"at_mm": 140, "across_mm": 50.0}]},
        CHUCK, {"text": "SKIFF", "around": "axis", "letter_height_mm": 9.0},
    ),
}  # fmt: skip
QUICK: Final = ("ring of a nut", "along a rod", "coated cup on rollers")


def job_of(name: str) -> Job:
    item, drive, words = PARTS[name]
    job = _job(item, drive, {"width_mm": 10.0, "height_mm": 6.0, "centre_mm": 8.0}, tolerances=SLICED)
    return job.model_copy(update={"inscription": InscriptionWish(**words)})


@pytest.mark.parametrize("name", [pytest.param(n, marks=() if n in QUICK else pytest.mark.slow) for n in PARTS])
def test_words_that_were_saved_are_marked_in_their_place_again(name: str, tmp_path: Path) -> None:
    """Sized, saved and read again; the files are those that `inscribe` writes, and each row is needed and right."""
    job = job_of(name)
    assert job.inscription is not None
    made = plan_of_marks(job, lambda job: plan(job, 0), tmp_path)
    done = inscribe(job, job.inscription, tmp_path, lambda job: plan(job, 0))
    assert done.made is not None
    whole, drawn = drawn_marks(made, tmp_path)
    assert drawn.is_written
    run = whole_run(whole, drawn)
    assert run.actions is not None
    stored = Actions.model_validate_json(run.actions.model_dump_json())
    ink = part_plan(job, job.inscription, lambda _: made)[2]
    marked, rows = play(stored, bench_of(whole), tmp_path, ink)
    set_off = abs(rows.number("field_middle") - whole.job.artwork.centre_mm)
    flat_mm = whole.split.seam_95_mm if whole.split.method == "flat" else 0.0
    assert marked.places.off_mm <= 0.015 + set_off + flat_mm
    assert (marked.places.missed, marked.places.lost, marked.twice) == (0, 0, set())
    assert (rows.off, rows.unread) == (set(), set())
