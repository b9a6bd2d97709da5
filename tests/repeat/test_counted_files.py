"""Files of a repeat whose passes were counted: that number is typed, and no slice is tried first."""

import re
from pathlib import Path

import pytest

from rotary.cli import main
from rotary.job import Job, job_from_bytes, job_from_file
from rotary.plan import plan
from rotary.program import Program
from rotary.repeat.run import whole_run, with_passes_counted
from rotary.repeat.run_numbers import numbers_run
from rotary.repeat.run_plan import plan_as_run
from rotary.repeat.standing import repeat_of
from rotary.shipped import examples
from rotary.store.additions import prove
from rotary.store.profiles import keep, load
from rotary.store.record import ArtworkFile
from tui.planner.repeat import repeat_shown

from .conftest import Prove

ART = '<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="10mm"><path d="M0 0H75V37H0Z"/></svg>'


@pytest.mark.slow
def test_files_of_a_repeat_say_the_passes_counted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The drawing is named anew, since a profile stores none; it lies and is called as the job says."""
    text = examples()["regatta-bottle"].read_text(encoding="utf-8")
    (tmp_path / "crest.svg").write_text(ART, encoding="utf-8")
    pieces = '[artwork]\npieces = [{ file = "crest.svg", width = "30 mm" }]'
    job = tmp_path / "bottle.toml"
    job.write_text(text.replace("[artwork]", pieces), encoding="utf-8")
    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path / "store"))
    assert main(["profile", "save", str(job), "--as", "a"]) == 0
    assert main(["profile", "proven", "a", "--passes", "5"]) == 0
    capsys.readouterr()
    assert main(["art", "slice", "a", "--art", str(tmp_path / "crest.svg"), "--to", str(tmp_path / "out")]) == 0
    said = capsys.readouterr().out
    assert re.search(r"Type 5 passes \(your count\), pause \d+ s", said)
    assert "Finish each slice before the item turns" in said
    assert "-first" not in said
    assert "Type 1 pass" not in said
    assert "marked 30 " in said
    written = [path.name for path in (tmp_path / "out").iterdir()]
    assert len(written) == 1
    assert main(["profile", "repeat", "a"]) == 0
    assert "Import crossed-oars-and-the-year-sliced.svg. Type 5 passes (your count), pause" in capsys.readouterr().out
    assert main(["art", "flat", "a", "--art", str(tmp_path / "crest.svg"), "--to", str(tmp_path / "flat")]) == 0
    said = capsys.readouterr().out
    assert said.startswith("TEST FIRST: you proved this job with a file of rotary art slice.")
    assert "PROVEN" not in said
    assert "Type 5 passes" in said


def test_the_pause_of_a_repeat_is_the_same_in_all_lines(mug: Job, proven: Prove) -> None:
    """A plan of one pass has no pause before it; the passes that were counted have."""
    slow = mug.model_copy(update={"passes": mug.passes.model_copy(update={"pause_s": 8.0, "passes": 1})})
    found = proven(slow, alter=lambda run: with_passes_counted(run, 3))
    repeat = repeat_of(found, slow, plan)
    assert repeat.run is not None
    actions = repeat.run.actions
    assert actions is not None
    assert (actions.rows["pause"].figure, actions.run.passes[-1].pause) == ("8", 8.0)
    assert "Run the file all round 3 times (your count)." in " ".join(actions.run.texts)


@pytest.mark.parametrize("coated", [True, False])
def test_a_repeat_is_drawn_as_it_was_run_whatever_was_asked_since(bottle: Job, coated: bool) -> None:
    """A program that can't pause or change the setting takes nothing off what was run, nor adds to it."""
    bare = {"coating": None, "coating_thickness_um": None, "colour": None}
    item = bottle.item if coated else bottle.item.model_copy(update=bare)
    held = bottle.passes.model_copy(update={"pause_s": 8.0})
    job = bottle.model_copy(update={"item": item, "passes": held})
    cannot = Program(can_pause=False, can_change_setting=False, can_repeat_slice=False)
    for ran, asked in ((Program(), cannot), (cannot.model_copy(update={"can_pause": None}), Program())):
        made = plan(job.model_copy(update={"program": ran}), 50)
        again = plan_as_run(job.model_copy(update={"program": asked}), whole_run(made), 50)
        assert [row.kind for row in again.removal.rows] == [row.kind for row in made.removal.rows]
        assert again.removal.pause_s == 8.0
        assert again.removal.last_when == made.removal.last_when
        assert again.removal.file_per_slice == made.removal.file_per_slice


STRAIGHT = b"""
[item]
name = "Tow mug"
heights_from = "rim"
measurements = [{ at = "0 mm", across = "78 mm" }, { at = "90 mm", across = "78 mm" }]
wall = "0.5 mm"
coating = "polyester-powder-light"
runout = "0.1 mm"
[turning]
kind = "chuck"
gear_ratio = 4
axis_height = "95 mm"
motor = "closed-loop"
[laser]
name = "Our 50 W head"
rated_power = "50 W"
largest_pulse = "1.25 mJ"
lowest_frequency = "40 kHz"
highest_frequency = "400 kHz"
focal_length = "254 mm"
field = "175 mm"
[artwork]
width = "48 mm"
height = "30 mm"
centre = "45 mm"
[tolerances]
seam = "0.025 mm"
"""


def test_no_number_is_said_to_turn_otherwise_where_it_turns_the_same() -> None:
    """78 typed for a little less turns a narrow slice by the same angle, to the digits printed; a wide one not."""
    whys = []
    for wide in (b"0.6", b"4"):
        held = b'slice_width = "%b mm"\n[passes]\ndefocus = "0.1 mm"\n' % wide
        split = plan(job_from_bytes(STRAIGHT + held, "a job"), 0).split
        number = next(key for key in split.key_in if key.id == "typed_diameter")
        assert number.real == "78" != number.text
        whys.append(number.why)
    assert "would turn" not in whys[0]
    assert "the item turns 5.88° per slice, with the real 78 it would turn 5.87°" in whys[1]


@pytest.mark.parametrize(
    ("file", "is_whole"),
    [
        ("oars.svg", True), ("oars-sliced.svg", True), ("oars-sheet.svg", True), ("oars-first.svg", False),
        ("oars-second.svg", False), ("oars-rest.svg", False), ("oars-sheet-first.svg", False),
    ],
)  # fmt: skip
def test_a_proof_keeps_the_sheet_of_the_drawing_that_was_kept(
    file: str, is_whole: bool, mug: Job, tmp_path: Path
) -> None:
    """What `keep` saw of the drawing stays, though it is not at hand when the run is proven.

    A file that was run is the one of the repeat where it held all slices, also by the name that such files once had.
    """
    run = whole_run(plan(mug, 0))
    assert run.actions is not None
    wider = run.actions.with_each(lambda row: row.model_copy(update={"value": 99.9}) if row.id == "size_shown" else row)
    saved = run.model_copy(update={"actions": wider})
    keep(mug, "a", tmp_path, saved)
    proof = numbers_run(repeat_of(load("a", tmp_path), mug, lambda job: plan(job, 0)), came=4)
    assert proof is not None
    assert proof.actions is not None
    assert (proof.actions.rows["size_shown"].value, proof.actions.run.files.first) == (99.9, "")
    prove(load("a", tmp_path).home, proof, files=(ArtworkFile(name=file, size_bytes=6, sha256="0" * 64),))
    repeat = repeat_of(load("a", tmp_path), mug, lambda job: plan(job, 0))
    assert repeat.run is not None
    assert repeat.run.actions is not None
    name = file if is_whole else proof.actions.run.files.whole
    assert repeat.run.actions.rows["file"].value == name
    assert f"Import {name}. Type 4 passes" in " ".join(repeat.run.actions.run.texts)
    assert proof.actions.run.files.whole.endswith(("-sliced.svg", "-flat.svg"))


def test_a_small_screen_cuts_off_no_end_of_a_shim(bottle: Job, proven: Prove) -> None:
    """Labels have 24 cells at most: which way the head goes and which end is raised stand within them."""
    seen = repeat_shown(repeat_of(proven(bottle), bottle, plan), "mm")
    assert seen is not None
    rows = {label: (text, unit) for label, text, unit, _ in seen.rows}
    assert rows["Shim, rim"] == ("20.2", "mm")
    assert rows["Shim to end that's down"] == ("150", "mm")
    assert rows["Focus, move lens AWAY"] == ("10.4", "mm")
    assert (rows["Witness crosses"][0], rows["Second witness cross"][0]) == ("43.1", "106.9")
    assert max(map(len, rows)) <= 24


@pytest.mark.parametrize("counted", [1, 4, 9])
@pytest.mark.parametrize("one_way", [False, True])
def test_passes_counted_in_bare_metal_are_those_typed(counted: int, one_way: bool) -> None:
    """The trial was deep enough earlier, or later, than planned: 7 passes here, around and along in turn."""
    job = job_from_file(examples()["brass-nut"])
    if one_way:
        job = job.model_copy(update={"program": Program(can_change_setting=False)})
    job = job.model_copy(update={"passes": job.passes.model_copy(update={"depth_um": None, "passes": 7})})
    planned = whole_run(plan(job, 0)).actions
    run = with_passes_counted(whole_run(plan(job, 0)), counted).actions
    assert planned is not None
    assert run is not None
    assert run.rows["passes"].value == counted
    assert run.run.rungs[0].passes == run.run.passes[-1].last == counted
    assert run.run.depth_check_after == min(counted, planned.run.depth_check_after or 0)
    around, along = (
        sum(one.last - one.first + 1 for one in run.run.passes if one.fill_direction == way)
        for way in ("around", "along")
    )
    assert (around, along) == ((counted, 0) if one_way else (counted - counted // 2, counted // 2))
    each_um = (planned.run.passes[-1].depth_um or 0.0) / 7
    assert run.run.passes[-1].depth_um == pytest.approx(each_um * counted, abs=0.02)
    assert any("measure the depth" in text for text in run.run.texts)
