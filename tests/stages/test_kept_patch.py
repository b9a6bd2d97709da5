"""One patch however often it is printed; which patch a reading is for is never guessed."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from rotary.errors import Refused
from rotary.job import job_from_file
from rotary.passes.learning.reading import Reading
from rotary.passes.patch.cells import PatchToMark, named_patch, patch_to_read, patches_in, unread_patches
from rotary.services import Folders
from rotary.services.planning import plan_for
from rotary.shipped import examples
from rotary.store.patch import PatchWish, patch_to_mark
from rotary.store.readings import FILE_NAME, add_patch, add_readings, change_readings, close_patch, readings_in
from rotary.wishes import Wishes
from tests.stages.test_learning import by_fluence, read

JOB = job_from_file(examples()["boathouse-mug"])


def printed(folder: Path, day: str = "2026-05-01", job: Any = JOB, **wish: Any) -> PatchToMark:
    wanted = PatchWish(**{"cells": 4, **wish})
    return patch_to_mark(job, folder, day, wanted, 200)


def seen(folder: Path, name: str, cells: Sequence[int], outcome: str = "covered") -> None:
    """The first look at some cells is written down."""
    first = {r.cell: r.number for r in reversed(readings_in(folder)) if r.patch == name}
    change_readings({first[cell]: {"outcome": outcome} for cell in cells}, folder)


def names(folder: Path) -> list[str]:
    return [record.name for record in patches_in(readings_in(folder))]


def test_printed_twice_it_is_one_patch(tmp_path: Path) -> None:
    """On another day, after half of it was read: the same name and cells, and nothing is written. Read, it is done."""
    first = printed(tmp_path)
    assert first.new
    before = (tmp_path / FILE_NAME).read_bytes()
    again = printed(tmp_path, "2026-06-02")
    assert not again.new
    assert again.record == first.record
    assert again.chance == first.chance
    assert "This is patch 1" in again.says[0]
    assert (tmp_path / FILE_NAME).read_bytes() == before
    seen(tmp_path, "patch 1", [1, 2])
    half = printed(tmp_path)
    assert (half.new, half.record.name, half.record.unread) == (False, "patch 1", (3, 4))
    seen(tmp_path, "patch 1", [3, 4])
    after = printed(tmp_path)
    assert (after.new, after.record.name) == (True, "patch 2")


def test_other_cells_are_another_patch_and_that_is_said(tmp_path: Path) -> None:
    """A wish that changes the cells, another item, or being asked: a new patch, and the one that waits is named."""
    printed(tmp_path)
    held = printed(tmp_path, job=JOB.model_copy(update={"passes": Wishes(frequency_khz=50.0)}))
    assert held.new
    assert "patch 1" in held.says[1]
    assert printed(tmp_path, new=True).record.name == "patch 3"
    other = JOB.model_copy(update={"item": JOB.item.model_copy(update={"name": "帆船杯"})})
    assert printed(tmp_path, job=other).record.name == "patch 4"
    assert printed(tmp_path, surface="item", slice_mm=5.0).record.name == "patch 5"
    assert printed(tmp_path, cells=None).record.name == "patch 5"
    # The two that have the same cells: the newer one is what is printed again.
    assert printed(tmp_path, surface="scrap").record.name == "patch 3"
    assert len(names(tmp_path)) == 5


def test_where_nothing_is_said_of_cells_and_place_the_one_that_waits_has_them(tmp_path: Path) -> None:
    """A paper knows neither: four cells on the item stay four cells on the item, and else it is nine on scrap."""
    on_item = printed(tmp_path, surface="item", slice_mm=6.2, room_mm=20.0)
    again = printed(tmp_path, cells=None)
    assert again.record == on_item.record
    assert again.record.looks[0].surface == "item"
    assert len(printed(tmp_path, cells=None, new=True).record.cells) == 9


def test_a_kept_patch_is_printed_again_by_its_number(tmp_path: Path) -> None:
    """Whatever the plan is by now; not for another laser, and not one that isn't there."""
    first = printed(tmp_path)
    held = JOB.model_copy(update={"passes": Wishes(frequency_khz=50.0)})
    assert printed(tmp_path, job=held, again=1).record == first.record
    other = JOB.model_copy(update={"laser": JOB.laser.model_copy(update={"name": "another laser"})})
    with pytest.raises(Refused, match="not for this job"):
        printed(tmp_path, job=other, again=1)
    with pytest.raises(Refused, match="there is no patch 2: the only patch has the number 1"):
        printed(tmp_path, again=2)


def test_an_older_file_of_readings_still_counts(tmp_path: Path) -> None:
    """Patches kept before the item's name and the place of a cell were: printed again they are the same patch."""
    first = printed(tmp_path)
    path = tmp_path / FILE_NAME
    lines = path.read_text("utf-8").splitlines()
    later = ("item =", "surface =", "row =", "column =")
    path.write_text("\n".join(line for line in lines if not line.startswith(later)) + "\n", "utf-8")
    again = printed(tmp_path)
    assert not again.new
    assert again.record.places == first.record.places
    assert patch_to_read(readings_in(tmp_path), JOB.item, JOB.laser).name == "patch 1"


# -- which patch a reading is for, with cells that no plan had to choose


def one(cell: int = 1, passes: int = 1, **changed: Any) -> Reading:
    setting = by_fluence(1.0, 1.6).model_copy(update={"passes": passes})
    about = {"coating": JOB.item.coating, "metal": JOB.item.metal, "laser": JOB.laser.name, "item": JOB.item.name}
    return read(setting, "not read").model_copy(update={**about, "source": "patch", "cell": cell, **changed})


def kept(folder: Path, **changed: Any) -> str:
    return add_patch([one(cell, passes, **changed) for cell in (1, 2) for passes in (1, 4)], folder)[0]


def waiting(folder: Path) -> list[str]:
    return [record.name for record in unread_patches(readings_in(folder), JOB.item, JOB.laser)]


def test_one_that_waits_is_taken_and_of_several_none(tmp_path: Path) -> None:
    """None, one, two: the sentence says how to name one; a closed or a finished one waits no longer."""
    with pytest.raises(Refused, match="print one first with rotary patch"):
        patch_to_read(readings_in(tmp_path), JOB.item, JOB.laser)
    kept(tmp_path)
    assert patch_to_read(readings_in(tmp_path), JOB.item, JOB.laser).name == "patch 1"
    kept(tmp_path)
    with pytest.raises(Refused, match=r"you have 2 patches still to read.*--patch 1 or --patch 2"):
        patch_to_read(readings_in(tmp_path), JOB.item, JOB.laser)
    close_patch("patch 1", tmp_path)
    assert waiting(tmp_path) == ["patch 2"]
    with pytest.raises(Refused, match="no patch 9"):
        close_patch("patch 9", tmp_path)


def test_a_patch_waits_until_its_last_look_or_the_next_patch(tmp_path: Path) -> None:
    """Read look by look it stays open; what is cut is left; a next patch was chosen from what was read of it."""
    kept(tmp_path)
    seen(tmp_path, "patch 1", [1, 2])
    assert waiting(tmp_path) == ["patch 1"]
    seen(tmp_path, "patch 1", [1, 2], "cut")
    assert waiting(tmp_path) == []
    with pytest.raises(Refused, match="to correct a reading add --patch 1"):
        patch_to_read(readings_in(tmp_path), JOB.item, JOB.laser)
    seen(tmp_path, "patch 1", [1, 2])
    kept(tmp_path)
    assert waiting(tmp_path) == ["patch 2"]


@pytest.mark.parametrize(
    "other", [{"coating": "anodised"}, {"metal": "brass-c26000"}, {"laser": "another"}, {"item": "x"}]
)
def test_a_patch_of_another_job_is_never_taken_silently(tmp_path: Path, other: dict[str, str]) -> None:
    """Of another coating, metal, laser or item: it is said whose it is; by number only of the same material."""
    kept(tmp_path, **other)
    with pytest.raises(Refused, match="for another job"):
        patch_to_read(readings_in(tmp_path), JOB.item, JOB.laser)
    if "item" in other:
        assert named_patch(1, readings_in(tmp_path), JOB.item, JOB.laser).name == "patch 1"
    else:
        with pytest.raises(Refused, match="name the job that you made the patch for"):
            named_patch(1, readings_in(tmp_path), JOB.item, JOB.laser)


def test_jobs_that_were_run_are_no_patches(tmp_path: Path) -> None:
    """A job's reading has no cell and is never asked for."""
    add_readings([one(cell=1).model_copy(update={"source": "job", "cell": None, "outcome": "clear"})], tmp_path)
    assert patches_in(readings_in(tmp_path)) == ()


def test_the_patch_of_an_example_states_the_chance_that_its_plan_states(tmp_path: Path) -> None:
    """An example that ships readings is planned after them, and so is its patch."""
    job = job_from_file(examples()["heron-cup"])
    stated = plan_for(job, Folders(tmp_path), 200).removal.chance_with_looks
    assert patch_to_mark(job, tmp_path, "2026-05-01", draws=200).chance_now == stated
