"""A proven repeat prints the numbers that were run, word for word, whatever today's tool would plan."""

import html
import json
import re
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest

from rotary.actions.models import ActionRow, Actions
from rotary.cli import main
from rotary.errors import Fault, NoPlan, Refused
from rotary.job import Job, job_from_file
from rotary.papers.text import plain_lines, text_lines
from rotary.plan import Plan, plan
from rotary.repeat.lines import repeat_data
from rotary.repeat.paper import RepeatWish, repeat_sheet
from rotary.repeat.run import with_passes_counted
from rotary.repeat.run_numbers import numbers_run
from rotary.repeat.run_plan import Marking
from rotary.repeat.standing import Repeat, repeat_of
from rotary.repeat.today import actions_today
from rotary.services.papers import PrintOrder, print_paper
from rotary.shipped import examples
from rotary.store.logbook import Run, log
from rotary.store.profiles import load
from rotary.store.record import AsRun, now
from tests.setups import wordless_nut

from .conftest import Prove


def newer(job: Job, *_: object, **__: object) -> Plan:
    """A newer tool, which would rather have narrower slices and half the power."""
    tolerances = job.tolerances.model_copy(update={"slice_width_mm": 1.4})
    passes = job.passes.model_copy(update={"power_share": 0.5, "speed_mm_s": 700.0})
    return plan(job.model_copy(update={"tolerances": tolerances, "passes": passes}))


def said(repeat: Repeat) -> AsRun:
    assert repeat.run is not None
    return repeat.run


def typed(actions: Actions | None) -> tuple[ActionRow, ...]:
    """The rows that are typed."""
    assert actions is not None
    return actions.type


@pytest.fixture
def with_a_newer_tool(bottle: Job, proven: Prove, monkeypatch: pytest.MonkeyPatch) -> Repeat:
    """The proven bottle, opened by a tool that plans other numbers."""
    found = proven(bottle, batch="April")
    monkeypatch.setattr("rotary.repeat.run_plan.plan", newer)
    return repeat_of(found, bottle, newer)


def test_a_newer_plan_never_takes_the_place_of_the_numbers_run(with_a_newer_tool: Repeat) -> None:
    """Every row is as it was stored; the newer plan is offered in one line, as untested."""
    repeat, proof = with_a_newer_tool, with_a_newer_tool.found.profile.saved.proof
    assert proof is not None
    assert repeat.state == "proven"
    assert repeat.run == proof.plan
    assert typed(actions_today(repeat, said(repeat))) == typed(proof.plan.actions)  # type: ignore[union-attr, arg-type]
    assert "There is a newer plan that you have not run: " in repeat.newer
    lines = text_lines(repeat_sheet(repeat, said(repeat))(0.0))
    assert next(line for line in lines if "PROVEN" in line).startswith("PROVEN. ")
    assert sum("There is a newer plan" in line for line in lines) == 1


@pytest.mark.slow
@pytest.mark.parametrize("ending", [".pdf", ".html", ".txt"])
def test_every_form_has_the_rows_as_stored(with_a_newer_tool: Repeat, tmp_path: Path, ending: str) -> None:
    """Printed with a newer tool: PROVEN before the first number, then every row as it was stored."""
    path = tmp_path / f"card{ending}"
    print_paper(with_a_newer_tool.made, PrintOrder("setup", path, sheet="A4", repeat=with_a_newer_tool))
    data = path.read_bytes()
    text = pypdfium2.PdfDocument(data)[0].get_textpage().get_text_bounded() if ending == ".pdf" else data.decode()
    text = html.unescape(text)
    diameter = next(row for row in typed(said(with_a_newer_tool).actions) if row.id == "typed_diameter")
    assert text.index("PROVEN") < text.index(diameter.figure if ending != ".txt" else "Diameter to type")
    assert "come out clean" not in text
    for row in typed(said(with_a_newer_tool).actions):
        # In plain text the figures are drawn, and on a page a long label is broken.
        assert row.label.split(" of the ")[0] in text.replace("\r\n", " ")
        assert f"{row.figure}" in text or ending == ".txt"
    assert "20.2 mm" in text


def test_json_and_plain_lines_have_the_rows_as_stored(with_a_newer_tool: Repeat) -> None:
    """For other programs and for screen readers the same rows, and PROVEN before all but whose machine it is."""
    told = repeat_data(with_a_newer_tool)
    rows = typed(said(with_a_newer_tool).actions)
    assert (told["verdict"], told["as_run"]) == ("proven", True)
    assert [row["figure"] for row in told["numbers"]["actions"]["type"]] == [row.figure for row in rows]
    assert told["numbers"]["actions"]["verdict"]["state"] == "proven"
    lines = plain_lines(repeat_sheet(with_a_newer_tool, said(with_a_newer_tool))(0.0))
    assert [line.split()[0] for line in lines[1:3]] == ["EXAMPLE,", "PROVEN."]
    for row in rows:
        assert any(line.startswith(f"{row.label}: {row.figure}") for line in lines)


def test_inches_are_for_hands_and_not_for_the_program(with_a_newer_tool: Repeat) -> None:
    """Lengths that are set by hand turn to inches; what the marking program takes in mm stays word for word."""
    run = said(with_a_newer_tool)
    here = actions_today(with_a_newer_tool, run, None, "in")
    assert (
        "Put a 0.795 in shim under the rotary, 5.906 in from its end that stays down: at the item's rim."
        in here.rows["shim"].text
    )
    assert [row.figure for row in here.type] == [row.figure for row in typed(run.actions)]


def test_a_file_drawn_for_a_repeat_fits_the_numbers_run(with_a_newer_tool: Repeat, bottle: Job) -> None:
    """Slices, column, size and focal plane of the plan that sheets are drawn from are the stored ones."""
    run, drawn, then = said(with_a_newer_tool), with_a_newer_tool.to_draw(), plan(bottle)
    assert (drawn.split.steps, drawn.split.slices, drawn.split.file_slice_mm) == (run.steps, run.slices, 6.667)
    assert drawn.split.sheet_height_mm == pytest.approx(then.split.sheet_height_mm, abs=1e-3)
    assert drawn.focus.focal_plane_mm == pytest.approx(run.focal_plane_mm, abs=1e-3)
    assert with_a_newer_tool.made is not None
    assert with_a_newer_tool.made.split.file_slice_mm < 2


def test_the_plan_behind_a_proof_of_this_tool_is_its_own(bottle: Job, proven: Prove) -> None:
    """With the same tool there is nothing newer, and a sheet drawn for the repeat is that of the plan."""
    repeat, then = repeat_of(proven(bottle), bottle, plan), plan(bottle)
    assert (repeat.state, repeat.newer, repeat.notes) == ("proven", "", ())
    drawn = repeat.to_draw()
    assert drawn.focus.focal_plane_mm == then.focus.focal_plane_mm
    assert drawn.split.index_angle_rad == pytest.approx(then.split.index_angle_rad, rel=1e-12)
    assert [one.text for one in drawn.split.key_in] == [one.text for one in then.split.key_in]


@pytest.mark.parametrize("name", sorted(examples()))
def test_every_example_comes_back_as_it_was_run(name: str, proven: Prove) -> None:
    """Bottle, mug, flask, nuts in a chuck, ferrule, facets: kept, proven, opened again, each row is there."""
    job = job_from_file(examples()[name]).model_copy(update={"inscription": None})
    repeat = repeat_of(proven(job), job, plan)
    run = said(repeat)
    assert repeat.state == "proven"
    assert run.actions is not None
    assert run.actions.type
    assert not any(row.rebuilt for row in run.actions.rows.values())
    assert any("PROVEN. " in line for line in text_lines(repeat_sheet(repeat, run, RepeatWish("in"))(0.0)))


def test_a_job_that_can_not_be_planned_any_more_prints_its_rows(bottle: Job, proven: Prove) -> None:
    """The stored rows need no plan; that there is none is told, and the cautions are those of any laser."""

    def refused(*_: object, **__: object) -> Plan:
        raise NoPlan([Fault("turning", "does not turn")])

    repeat = repeat_of(proven(bottle), bottle, refused, marking=Marking(planned=refused))
    text = "\n".join(text_lines(repeat_sheet(repeat, said(repeat))(0.0)))
    assert "PROVEN. " in text
    assert "this job can't be planned today: turning: does not turn" in " ".join(text.split())
    assert "Ask your laser safety officer" in text
    assert "aper tape, never vinyl" in text
    assert "Diameter to type" in text


def test_another_item_is_tested_first_with_todays_plan(bottle: Job, proven: Prove, tmp_path: Path) -> None:
    """Old turning numbers may be wrong on another item: today's plan is printed, the laser's settings as a start."""
    found = proven(bottle)
    first, second = bottle.item.measurements
    item = bottle.item.model_copy(update={"measurements": (first.model_copy(update={"across_mm": 84.0}), second)})
    other = bottle.model_copy(update={"item": item})
    repeat = repeat_of(found, other, plan)
    assert (repeat.state, repeat.run) == ("test first", None)
    assert "diameter 1: 88 mm → 84 mm" in repeat.banner
    assert "proven laser settings: power 16 %, frequency 20 kHz" in repeat.notes[0]
    path = tmp_path / "card.txt"
    print_paper(repeat.made, PrintOrder("setup", path, repeat=repeat))
    assert path.read_text("utf-8").count("TEST FIRST. ") > 0


def test_a_coating_that_is_never_lifted_ends_every_proof(bottle: Job, proven: Prove) -> None:
    """What today's tool refuses for the fumes is not printed as proven, whoever ran it then."""
    refused = bottle.model_copy(update={"item": bottle.item.model_copy(update={"coating": "fluoropolymer-nonstick"})})
    found = proven(bottle)
    kept = found.profile.saved
    assert kept.proof is not None
    proof = kept.proof.model_copy(update={"job": refused})
    profile = found.profile.model_copy(update={"saved": kept.model_copy(update={"proof": proof})})
    repeat = repeat_of(replace(found, profile=profile), refused, plan)
    assert (repeat.state, repeat.run) == ("test first", None)
    assert "coating: " in repeat.banner


def test_the_banner_counts_the_runs_with_these_numbers(bottle: Job, proven: Prove) -> None:
    """Twelve good of thirteen; a run with other numbers is no run of these; without any it is said."""
    found = proven(bottle)
    assert "proven by you, no run logged" in repeat_of(found, bottle, plan).banner
    run = found.profile.saved.plan
    assert run is not None
    entry = Run(
        on=now(),
        profile=found.profile.saved.id,
        name="a",
        outcome="clear",
        items=13,
        spoiled=1,
        took_s=1500.0,
        plan=run,
    )
    log(entry, found.home.parent)
    log(entry.model_copy(update={"plan": run.model_copy(update={"power_share": 0.5})}), found.home.parent)
    assert (
        ": 12 of 13 items good. The last good run took 25 min. Machine and numbers are as in the proven run."
        in repeat_of(found, bottle, plan).banner
    )


def test_where_the_plan_changed_nobody_guesses_what_was_run(bottle: Job, tmp_path: Path) -> None:
    """Saved and today's numbers differ: the person says which; a printed proof needs no question."""
    from rotary.repeat.run import whole_run
    from rotary.store.profiles import keep

    saved = whole_run(plan(bottle))
    keep(bottle, "a", tmp_path, saved)
    repeat = repeat_of(load("a", tmp_path), bottle, newer)
    with pytest.raises(Refused, match="write --numbers saved or --numbers now, whichever you ran"):
        numbers_run(repeat)
    assert numbers_run(repeat, "saved", 6) == with_passes_counted(saved, 6)
    ran_now = numbers_run(repeat, "now")
    assert ran_now is not None
    assert ran_now.power_share == 0.5
    with pytest.raises(Refused, match='write "saved"'):
        numbers_run(repeat, "yesterday")


@pytest.mark.slow
def test_from_keeping_to_the_file_by_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Keep, prove, run, repeat, draw; with a newer tool the repeat says the same and the drawing is the same size."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path / "kept"))

    def run(*words: str) -> str:
        assert main(list(words)) == 0
        return capsys.readouterr().out

    run("profile", "save", "regatta-bottle", "--as", "b")
    (tmp_path / "sheet.svg").write_text("<svg/>", "utf-8")
    run("proven", "b", "--passes", "6", "--file", "sheet.svg")
    run("log", "add", "b", "--outcome", "clear", "--items", "3")
    before, sheet = run("profile", "repeat", "b"), run("art", "slice", "b", "--text", "HERON", "--to", "s")
    monkeypatch.setattr("rotary.plan.plan", newer)
    after = run("profile", "repeat", "b")
    assert "3 of 3 items good" in before
    assert "You counted 6 passes" in before
    offer, *wrapped = [line for line in after.splitlines() if line not in before.splitlines()]
    assert "There is a newer plan" in offer
    assert all(line.startswith("    ") for line in wrapped)
    assert run("print", "setup", "b") == after
    assert "This file is for the numbers that you ran." in sheet
    ((many, wide),) = re.findall(r"must show (\d+) slices of ([\d.]+ mm)\.", " ".join(before.split()))
    assert f"{many} slices of {wide}" in sheet
    proof = load("b", tmp_path / "kept").profile.saved.proof
    assert proof is not None
    assert [file.name for file in proof.files] == ["sheet.svg"]
    assert "TEST FIRST" in run("profile", "repeat", "b", "--anew")
    assert "PROVEN" not in run("plan", "b")
    assert main(["print", "setup", "nobody"]) == 2
    assert 'there is no job "nobody"' in capsys.readouterr().err


def test_which_flats_are_marked_is_no_other_plan(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The drawing lies on two of six flats, which only it says: three slices, and one where none is at hand."""
    text = wordless_nut()
    measurements = text[text.index("measurements") : text.index("metal =")]
    text = text.replace(measurements, 'flats = 6\nacross_flats = "22 mm"\nlength = "16 mm"\n')
    text = text.replace('width = "40 mm"', 'width = "9 mm"')
    pieces = ", ".join(f'{{ text = "A", letter_height = "3 mm", angle = "{angle} deg" }}' for angle in (0, 120))
    job = tmp_path / "nut.toml"
    job.write_text(text.replace("[artwork]", f"[artwork]\npieces = [{pieces}]"), encoding="utf-8")
    folder = ["--store", str(tmp_path / "store")]
    assert main(["profile", "save", str(job), "--as", "nut", *folder]) == 0
    assert main(["log", "add", "nut", "--outcome", "clear", *folder]) == 0
    assert main(["profile", "proven", "nut", *folder]) == 0
    capsys.readouterr()
    assert main(["profile", "repeat", "nut", "--json", *folder]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["numbers"]["slices"] > 1
    sizes = [row for row in told["numbers"]["actions"]["import"] if row["id"].startswith("artwork_size")]
    assert all(row[side] == round(row[side], 2) for row in sizes for side in ("value", "high"))
    assert (told["verdict"], told["newer"]) == ("proven", "")


def test_another_drive_is_named_before_its_numbers(bottle: Job, mug: Job, proven: Prove) -> None:
    """Rollers and a chuck have little in common: that it is another says all."""
    repeat = repeat_of(proven(bottle), bottle.model_copy(update={"turning": mug.turning}), plan)
    assert repeat.banner.endswith("(turning: rollers → chuck)")
    assert sum("changed since" in text for text in repeat.changed) == 1
