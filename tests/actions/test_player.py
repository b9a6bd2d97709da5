"""The actions of a job, done literally, put every mark where it belongs; and each number in them matters."""

import math
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Final

import pytest

from rotary.actions.files import file_facts
from rotary.actions.models import ActionRow, Actions
from rotary.artwork.rings import area_mm2, joined
from rotary.machine.resume import TickReadings, remainder
from rotary.repeat.run import whole_run, with_passes_counted
from rotary.sheet.reread import drawing_from_file
from tests.actions.bench import as_it_lies, bench_of
from tests.actions.cases import EACH, NAMES, QUICK, plan_of
from tests.actions.player import Marked, Rows, play
from tests.actions.written import Written, written

PLACED_MM: Final = 0.015
SEAM_MM: Final = 0.006
SET_MM: Final = 0.05
"""A height is set by hand to a tenth of a millimetre."""


def played(name: str, folder: Path, *changes: Callable[[Actions], Actions]) -> tuple[Written, Marked, Rows]:
    job = written(plan_of(name), folder)
    actions = job.actions
    for change in changes:
        actions = change(actions)
    return job, *play(actions, bench_of(job.plan), folder, job.ink)


@pytest.mark.parametrize("name", EACH)
def test_who_does_what_the_actions_say_marks_the_artwork_in_its_place(name: str, tmp_path: Path) -> None:
    """Every mark within 15 µm of the artwork's outline and the reverse, seams within what is stated, all slices with
    the same passes, none marked by two files, all ink marked; every row was needed, and what is checked agrees."""
    job, marked, rows = played(name, tmp_path)
    places, split, art = marked.places, job.plan.split, job.plan.job.artwork
    set_off = abs(rows.number("field_middle") - art.centre_mm)
    assert set_off <= SET_MM
    flat_mm = split.seam_95_mm if split.method == "flat" else 0.0
    assert places.off_mm <= PLACED_MM + set_off + flat_mm
    assert places.seam_mm <= max(split.seam_95_mm, SEAM_MM * (split.slices > 1))
    if split.method == "sliced":
        assert places.seam_mm <= SEAM_MM
    assert places.missed == 0
    if not job.actions.run.files.zones:
        assert places.lost == 0
    assert not marked.twice
    assert len(set(map(str, marked.passes))) == 1
    assert rows.off == set()
    assert rows.unread == set(), "rows that nobody needs"
    files = job.actions.run.files
    if files.whole:
        whole = area_mm2(joined(drawing_from_file(tmp_path / files.whole).parts.values()))
        parts = [ink for part, ink in marked.ink_mm2.items() if part in (files.first, files.second, files.rest)]
        assert math.isclose(sum(parts) if parts else marked.ink_mm2[files.whole], whole, rel_tol=2e-4)


REPEATED = (
    "regatta-bottle", "boathouse-mug", "brass-nut", "chuck, straight", "one slice", "long taper, lens moved",
    "handle and weld line", "program without a second setting, chuck", "program without several passes, rollers",
)  # fmt: skip


@pytest.mark.parametrize("name", [pytest.param(n, marks=() if n in QUICK else pytest.mark.slow) for n in REPEATED])
def test_a_run_that_was_stored_is_repeated_with_the_same_marks(name: str, tmp_path: Path) -> None:
    """Stored with the passes that were counted, and read again, the actions alone put every mark where it was."""
    job, first, _ = played(name, tmp_path)
    run = with_passes_counted(whole_run(job.plan, file_facts(job.plan)._replace(is_written=True)), 5)
    assert run.actions is not None
    stored = Actions.model_validate_json(run.actions.model_dump_json())
    marked, rows = play(stored, bench_of(job.plan), tmp_path, job.ink)
    assert marked.places == first.places
    assert (rows.off, rows.unread, marked.twice) == (set(), set(), set())
    coated = job.plan.job.item.coating is not None
    last = Counter(last=int(job.plan.removal.last_pass is not None))
    assert all(one == (Counter(removal=5) + last if coated else one) for one in marked.passes)
    assert len(marked.passes) == len(first.passes)


@pytest.mark.parametrize("name", [name for name in NAMES if "rollers" in name or name == "regatta-bottle"])
def test_an_item_lies_on_rollers_where_its_weight_hangs_lowest(name: str) -> None:
    """The tilt that a shim is computed from, against the least energy of the item between its rollers."""
    made = plan_of(name)
    assert made.turning.cradle is not None
    lies = as_it_lies(bench_of(made))
    assert lies.tilt_rad == pytest.approx(made.turning.cradle.tilt_rad, abs=2e-4)
    here = made.turning.axis_height_at_mm
    axis_mm = lies.axis_mm + (here - lies.at_mm) * math.sin(lies.tilt_rad)
    assert axis_mm == pytest.approx(made.turning.cradle.axis_height_mm, abs=0.02)


def changed(name: str, **values: object) -> Callable[[Actions], Actions]:
    """The actions with another value in one row; of what is typed the digits as well."""

    def row(one: ActionRow) -> ActionRow:
        if one.id != name:
            return one
        figure = {"figure": f"{values['value']}"} if one.figure is not None else {}
        return one.model_copy(update=values | figure)

    def change(actions: Actions) -> Actions:
        groups = {"import": actions.to_import, "type": actions.type, "by_hand": actions.by_hand}
        return actions.model_copy(update={key: tuple(map(row, rows)) for key, rows in groups.items()})

    return change


def moved(name: str, by: float) -> Callable[[Actions], Actions]:
    return lambda actions: changed(name, value=float(actions.rows[name].value) + by)(actions)


def times(name: str, factor: float) -> Callable[[Actions], Actions]:
    return lambda actions: changed(name, value=round(float(actions.rows[name].value) * factor, 6))(actions)


def real(name: str) -> Callable[[Actions], Actions]:
    return lambda actions: changed(name, value=actions.rows[name].real)(actions)


@pytest.mark.parametrize("name", ["handle and weld line", pytest.param("weld line on rollers", marks=pytest.mark.slow)])
def test_an_item_that_is_put_on_again_is_marked_on_in_its_place(name: str, tmp_path: Path) -> None:
    """Taken off and put on turned and moved: both witness marks are read, and the turn that follows brings it back."""
    job = written(plan_of(name), tmp_path)
    made, bench, marks = job.plan, bench_of(job.plan), job.actions.rows["witness_marks"]
    turned_rad, moved_mm = 0.11, 0.8
    heights = [bench.s_mm(at, f"{marks.end}") for at in (float(marks.value), marks.rim_at or 0.0)]
    # Seen from above, a mark that came round lies beside the apex by its radius times the sine.
    foot, rim = (float(made.shape.radius_mm(at)) * math.sin(turned_rad) for at in heights)
    readings = {"foot_right_mm": foot, "rim_right_mm": rim, "foot_up_mm": moved_mm, "rim_up_mm": moved_mm}
    left = remainder(made, TickReadings(**readings))
    assert left.towards_rim_mm == pytest.approx(moved_mm, abs=0.01)
    still_rad = turned_rad - left.turn_steps * made.turning.rad_per_step
    step_mm = made.turning.rad_per_step * made.shape.widest_radius_mm
    for by_rad, most_mm in ((still_rad, PLACED_MM + SET_MM + step_mm), (turned_rad, math.inf)):
        marked, _ = play(moved("start_angle", math.degrees(by_rad))(job.actions), bench, tmp_path, job.ink)
        assert marked.places.off_mm <= most_mm
    assert marked.places.off_mm > 10 * PLACED_MM, "put on anew and not turned back it would be spoiled"


WRONG: Final = {
    "steps a hundredth more": ("regatta-bottle", times("typed_steps_per_turn", 1.01), {"slice_turns", "whole_turn"}),
    "the real diameter": ("regatta-bottle", real("typed_diameter"), {"slice_turns", "whole_turn"}),
    "the real steps": ("oar-ferrule", real("typed_steps_per_turn"), {"slice_turns", "whole_turn"}),
    "the real roller": ("rollers, roller's diameter typed", real("roller_diameter"), {"slice_turns", "whole_turn"}),
    "another angle": ("boathouse-mug", moved("angle_per_slice", 0.1), {"slice_turns", "whole_turn"}),
    "wider slices": ("chuck, straight", times("file_slice_width", 1.02), {"slices_shown", "slice_turns", "whole_turn"}),
    "something extra": ("chuck, straight", moved("extra_per_slice", 0.05), {"slice_turns", "whole_turn"}),
    "the lens 2 mm higher": ("chuck, straight", moved("focus", 2.0), set()),
    "another middle": ("chuck, straight", moved("field_middle", 1.0), set()),
    "the other end": ("chuck, belly, heights from the rim", changed("field_middle", end="base"), {"focus", "focus_2"}),
    "no shim": ("rollers, taper, shim", moved("shim", -9.0), {"focus"}),
    "the shim under the other end": ("rollers, taper, shim", changed("shim", end="base"), {"focus"}),
    "turned the wrong way": ("chuck, straight", changed("turn_way", value="left"), set()),
    "turned the wrong way, along X": ("chuck, along X, rim to the left", changed("turn_way", value="front"), set()),
    "the rim the other way": ("chuck, straight", changed("rim_edge", value="down"), set()),
    "another start": ("handle and weld line", moved("start_angle", 1.0), set()),
}  # fmt: skip


@pytest.mark.parametrize("wrong", WRONG)
def test_a_number_that_is_not_as_the_actions_say_moves_the_marks(wrong: str, tmp_path: Path) -> None:
    """No row is idle: with another value the marks leave their place, and what is checked before shows most of it."""
    name, change, shows = WRONG[wrong]
    job = written(plan_of(name), tmp_path)
    actions = change(job.actions)
    wrongly = {k: (a.value, a.end) for k, a in actions.rows.items()} != {
        k: (a.value, a.end) for k, a in job.actions.rows.items()
    }
    assert wrongly
    actions = actions.model_copy(update={"by_hand": tuple(_with_focus_kept(actions))})
    marked, rows = play(actions, bench_of(job.plan), tmp_path, job.ink)
    assert marked.places.off_mm > 2 * PLACED_MM
    assert rows.off == shows


def _with_focus_kept(actions: Actions) -> list[ActionRow]:
    """A lens that is moved stands higher over the bed as well."""
    return [
        row.model_copy(update={"focus_over_bed": (row.apex_over_bed or 0.0) + float(row.value)})
        if row.id == "focus"
        else row
        for row in actions.by_hand
    ]
