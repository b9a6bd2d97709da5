"""The proof patch: cells worth marking, inside the head, few changes, drawn at true size; readings kept on disk."""

from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from rotary.errors import FileTrouble, NoPlan, Refused
from rotary.job import job_from_file
from rotary.laser import optics
from rotary.passes.beliefs.draws import draws_for, substances
from rotary.passes.learning.reading import NOT_READ, Look, reading_of
from rotary.passes.learning.window_map import window_map
from rotary.passes.patch.drawing import patch_svg
from rotary.passes.patch.layout import CellRoom, Patch, changes_of, patch
from rotary.passes.plan.grid import worst_places
from rotary.passes.plan.typed_settings import grid_from
from rotary.passes.plan.window import passes
from rotary.plan import plan
from rotary.program import Program
from rotary.setup import setup
from rotary.shipped import examples
from rotary.store.patch import patch_to_mark
from rotary.store.readings import FILE_NAME, add_patch, add_readings, readings_in, strike
from rotary.wishes import Wishes

JOB = job_from_file(examples()["boathouse-mug"])
BEAM = optics(JOB.laser)
AWAY_MM = 9.0
LIGHT = worst_places(np.array([AWAY_MM]), BEAM, JOB.tolerances, JOB.item.runout_mm)


@lru_cache(maxsize=32)
def made(**changed: Any) -> Patch:
    tables = {"passes": changed.pop("wishes", JOB.passes), "program": Program(**dict(changed.pop("program", ())))}
    if "slice_mm" in changed or "room_mm" in changed:
        changed["room"] = CellRoom(changed.pop("slice_mm", None), changed.pop("room_mm", 60.0))
    return patch(setup(JOB.model_copy(update=tables)), None, 500, **changed)


@pytest.mark.parametrize("cells", [4, 9, 16])
def test_a_patch_has_the_cells_asked_for_and_each_is_another(cells: int) -> None:
    """Four to sixteen cells, no two alike, each inside the head's limits, numbered in the order of marking."""
    found = made(cells=cells)
    assert [cell.number for cell in found.cells] == list(range(1, cells + 1))
    assert len({cell.setting for cell in found.cells}) == cells
    assert len({(cell.row, cell.column) for cell in found.cells}) == cells
    for cell in found.cells:
        assert cell.setting.pulse_mj <= JOB.laser.largest_pulse_mj * (1 + 1e-6)
        assert JOB.laser.lowest_frequency_khz <= cell.setting.frequency_khz <= JOB.laser.highest_frequency_khz


def test_one_of_the_cells_is_right_more_often_than_any_alone() -> None:
    """The patch's chance is above that of its best cell, and more cells don't lower it."""
    found = made(cells=9)
    assert found.chance > max(cell.chance for cell in found.cells)
    assert made(cells=16).chance >= made(cells=4).chance


@pytest.mark.parametrize("widths", [(20.0, 200.0), (200.0, 20.0), (100.0,)])
def test_cells_have_the_pulse_width_that_the_plan_has(widths: tuple[float, ...]) -> None:
    """A reading at another width would show nothing of what is planned, however many patches are marked."""
    head = JOB.laser.model_copy(update={"pulse_widths_ns": widths})
    job = JOB.model_copy(update={"laser": head})
    found = patch(setup(job), None, 500)
    planned = plan(job, 500).removal.setting
    assert planned is not None
    assert {cell.setting.pulse_width_ns for cell in found.cells} == {planned.pulse_width_ns}


def test_cells_are_in_an_order_that_changes_few_controls() -> None:
    """Keyed in as listed, fewer controls change than in an order mixed at random."""
    import random

    settings = [cell.setting for cell in made(cells=9).cells]
    mixed = []
    for seed in range(30):
        some = settings[:]
        random.Random(seed).shuffle(some)
        mixed.append(changes_of(some))
    assert changes_of(settings) == made(cells=9).changes
    assert changes_of(settings) < sum(mixed) / len(mixed)


def test_what_is_held_is_held_in_every_cell() -> None:
    """A rate and a defocus held by the person are the same in all cells."""
    found = made(wishes=Wishes(frequency_khz=50.0, defocus_mm=6.0))
    assert {cell.setting.frequency_khz for cell in found.cells} == {50.0}
    assert {cell.setting.defocus_mm for cell in found.cells} == {6.0}


@pytest.mark.parametrize(("facts", "pause_s"), [((), 1), ((("can_pause", False),), 0), ((("least_pause_s", 4),), 4)])
def test_a_cell_rests_as_the_program_can(facts: tuple[tuple[str, Any], ...], pause_s: float) -> None:
    """A second between its passes, none where the program can't pause, its shortest where that is longer."""
    several = [cell.setting for cell in made(program=facts).cells if cell.looks[-1] > 1]
    assert {setting.pause_s for setting in several} == {pause_s}


def test_a_patch_on_the_item_lies_within_its_slices() -> None:
    """Cells are no wider than the slice and fit the room along the item; too narrow a slice is refused."""
    found = made(surface="item", slice_mm=6.3, room_mm=30.0)
    assert 4.0 <= found.cell_width_mm <= 6.3
    assert found.height_mm <= 30.0
    with pytest.raises(NoPlan, match="flat scrap"):
        made(surface="item", slice_mm=3.0)


@pytest.mark.parametrize("cells", [0, 3, 17])
def test_a_patch_of_another_size_is_refused(cells: int) -> None:
    """Below four nothing is learned, above sixteen nobody reads them."""
    with pytest.raises(Refused, match="from 4 to 16"):
        made(cells=cells)


def test_there_is_nothing_to_prove_on_bare_metal_or_vinyl() -> None:
    """No coating, or one that is refused: the sentence says why."""
    for coating, says in ((None, "bare"), ("vinyl", "hydrogen chloride")):
        item = JOB.item.model_copy(update={"coating": coating, "coating_thickness_um": None})
        with pytest.raises(Refused, match=says):
            patch(setup(JOB.model_copy(update={"item": item})), None, 100)


def test_the_drawing_is_at_true_size_with_labels_apart(tmp_path: Path) -> None:
    """Width and height in millimetres as the view box has them; a group a cell; labels in a group of their own."""
    found = patch_to_mark(JOB, tmp_path, "2026-05-01", draws=200).record
    root = ElementTree.fromstring(patch_svg(found))
    space = {"s": "http://www.w3.org/2000/svg"}
    view = [float(text) for text in root.attrib["viewBox"].split()]
    assert root.attrib["width"] == f"{view[2]:g}mm"
    assert root.attrib["height"] == f"{view[3]:g}mm"
    groups = {group.attrib["id"]: group for group in root.findall("s:g", space)}
    assert set(groups) == {f"cell-{n}" for n in range(1, 10)} | {"labels"}
    rects = [groups[f"cell-{n}"].find("s:rect", space) for n in range(1, 10)]
    assert all(rect is not None and float(rect.attrib["width"]) == 5.0 for rect in rects)
    assert groups["labels"].findall("s:rect", space) == []


def test_readings_come_back_from_disk_as_they_were(tmp_path: Path) -> None:
    """Settings to the last digit, notes with any sign, numbers that go on; a struck one stays in the file."""
    cell = made(cells=4).cells[0]
    one = reading_of(JOB, cell.setting, Look("haze", "2026-05-01", note='a "note" with \\ and ö'))
    first = add_readings([one, one], tmp_path)
    second = add_readings([one], tmp_path)
    assert [r.number for r in (*first, *second)] == [1, 2, 3]
    assert readings_in(tmp_path) == (*first, *second)
    strike(2, tmp_path)
    assert [r.ignored for r in readings_in(tmp_path)] == [False, True, False]
    strike(2, tmp_path, ignored=False)
    assert readings_in(tmp_path) == (*first, *second)
    with pytest.raises(Refused, match="from 1 to 3"):
        strike(9, tmp_path)
    # A cell that nobody has read yet is no reading to ignore.
    add_patch([one.but(outcome=NOT_READ)], tmp_path)
    with pytest.raises(Refused, match="there is no reading 4: write a number from 1 to 3"):
        strike(4, tmp_path)


def test_a_damaged_file_of_readings_is_told_and_left_alone(tmp_path: Path) -> None:
    """Neither half a table nor an unknown outcome passes, and nothing is written over it."""
    path = tmp_path / FILE_NAME
    path.write_text("[[reading]\n")
    with pytest.raises(FileTrouble, match="can't be read: the bracket ] is missing"):
        readings_in(tmp_path)
    path.write_text('[[reading]]\nnumber = 1\noutcome = "splendid"\n')
    with pytest.raises(Refused, match="outcome"):
        readings_in(tmp_path)
    assert "splendid" in path.read_text()


def test_the_window_map_agrees_with_the_plan() -> None:
    """At the plan's own fluence and passes the map's chance is that of the first rung run so often."""
    from rotary.passes.beliefs.draws import Coating, Material
    from rotary.passes.plan.removal import choice

    ready = setup(JOB)
    found = choice(ready, 500)
    assert found.setting is not None
    assert found.setting.defocus_mm == AWAY_MM
    metal, coating = substances(JOB.item)
    assert isinstance(coating, Coating)
    draws = draws_for(JOB.item, metal, coating, JOB.laser, 500)
    seen = window_map(ready, found.setting, Material(metal, coating, draws))
    middle = len(seen.fluences_j_cm2) // 2
    row = list(seen.passes).index(float(found.setting.passes))
    assert seen.fluences_j_cm2[middle] == pytest.approx(found.setting.peak_fluence_j_cm2)
    # The map is of one power, the ladder's first; heat is left out.
    frozen = passes(
        grid_from(found.setting), Material(metal, coating, draws), found.setting.pulse_width_ns, BEAM, LIGHT
    )
    assert seen.chance[row, middle] == pytest.approx(float(frozen.works(found.setting.passes)[0] @ draws.weight))


@pytest.mark.parametrize("job", ["boathouse-mug", "regatta-bottle"])
def test_between_most_cells_power_alone_is_changed(job: str) -> None:
    """Cells of one focal plane and hatch share rate and speed; a patch of nine changes at most two dozen controls."""
    some = job_from_file(examples()[job])
    found = patch(setup(some), None, 500)
    names = ("defocus_mm", "line_spacing_mm", "frequency_khz", "speed_mm_s", "power_share")
    settings = [cell.setting for cell in found.cells]
    changed = [sum(getattr(a, n) != getattr(b, n) for n in names) for a, b in pairwise(settings)]
    assert sum(changed) == found.changes <= 24
    assert sum(count == 1 for count in changed) >= 4
    for setting in settings:
        step = setting.power_share / some.laser.power_step_share
        assert step == pytest.approx(round(step))
        assert setting.pulse_mj * setting.frequency_khz == pytest.approx(setting.power_share * some.laser.rated_power_w)


def test_a_cell_is_looked_at_more_than_once_on_its_spot() -> None:
    """Looks rise, begin after the first pass, go on far enough to see what the metal stands; held passes are held."""
    for cell in made(cells=9).cells:
        assert cell.looks[0] == 1
        assert cell.looks[-1] >= 16
        assert list(cell.looks) == sorted(set(cell.looks))
        assert len(cell.looks) <= 7
        assert cell.setting.passes == cell.looks[-1]
    assert {cell.looks for cell in made(cells=4, wishes=Wishes(passes=5)).cells} == {(5,)}
