"""What ends a proof and what does not, line by line, as the verdict of its actions says it."""

import json
import re
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from rotary.actions.models import Actions
from rotary.cli import main
from rotary.errors import Refused
from rotary.job import Job, job_from_file
from rotary.papers.text import text_lines
from rotary.plan import plan
from rotary.repeat import rule_changes
from rotary.repeat.machine import MachineRun
from rotary.repeat.paper import repeat_sheet
from rotary.repeat.run import CameClean, whole_run
from rotary.repeat.run_numbers import numbers_run
from rotary.repeat.standing import Repeat, repeat_of
from rotary.repeat.today import actions_today
from rotary.services.actions import actions_for, steps_after_run
from rotary.services.profiles import prove_texts
from rotary.shipped import examples
from rotary.store.logbook import Run, log, run_from_texts
from rotary.store.profiles import OpenedProfile, load
from rotary.store.record import ArtworkFile, MachineReading, now

from .conftest import Prove, without_actions


def today(repeat: Repeat, beside: Path = Path()) -> Actions:
    """The actions that a person does today."""
    assert repeat.made is not None
    return actions_for(repeat.made, beside, repeat)


def with_part(job: Job, part: str, **values: object) -> Job:
    return job.model_copy(update={part: getattr(job, part).model_copy(update=values)})


def logged(found: OpenedProfile, **values: Any) -> None:
    """A run with the proven numbers, after the proof."""
    kept = found.profile.saved
    entry = {"on": now() + timedelta(minutes=1), "profile": kept.id, "as": "a", "outcome": "clear", "plan": kept.plan}
    log(Run.model_validate(entry | values), found.home.parent)


@pytest.mark.parametrize(
    ("part", "values"),
    [
        pytest.param("laser", {"rated_power_w": 50.0}, id="laser"),
        pytest.param("laser", {"focal_length_mm": 250.0}, id="lens"),
        pytest.param("turning", {"roller_diameter_mm": 21.0}, id="rollers"),
        pytest.param("turning", {"ticks": ()}, id="the turning measured anew"),
        pytest.param("item", {"coating": "polyester-powder-light"}, id="coating"),
        pytest.param("item", {"wall_mm": 0.6}, id="wall"),
        pytest.param("tolerances", {"slice_width_mm": 2.0}, id="a number that is typed"),
        pytest.param("artwork", {"centre_mm": 74.0}, id="a number that is set by hand"),
        pytest.param("artwork", {"width_mm": 79.0}, id="artwork of another size"),
    ],
)
def test_what_is_typed_or_set_otherwise_ends_a_proof(
    bottle: Job, proven: Prove, part: str, values: dict[str, object]
) -> None:
    """Laser, lens, turning, coating, wall, any number: TEST FIRST, with today's numbers and what was changed."""
    repeat = repeat_of(proven(bottle), with_part(bottle, part, **values), plan)
    assert repeat.proof is not None
    assert (repeat.proof.reason, repeat.run) == ("changed", None)
    verdict = today(repeat).verdict
    assert (verdict.state, verdict.reasons[0]) == ("test first", "changed")
    assert "TEST FIRST. Job or machine changed since it was proven." in verdict.text
    assert repeat.changed[0].startswith("changed since the proven run: ")
    # A person reads no name of the job file.
    assert not [text for text in (repeat.banner, *repeat.changed) if re.search(r"[a-z]+\.[a-z]|_", text)]


def test_how_many_are_wanted_ends_no_proof(bottle: Job, proven: Prove) -> None:
    """A larger order is run with the same numbers."""
    assert repeat_of(proven(bottle), with_part(bottle, "order", pieces=12), plan).state == "proven"


def test_a_machine_reading_out_of_date_ends_a_proof(bottle: Job, proven: Prove) -> None:
    """A reading that the proof rested on is there no more."""
    found = proven(bottle)
    proof = found.profile.saved.proof
    assert proof is not None
    rested = proof.model_copy(
        update={"machine": "bench", "machine_readings": (MachineReading(on=now(), of="turn", shows="1 mm"),)}
    )
    kept = found.profile.saved.model_copy(update={"proof": rested})
    found = replace(found, profile=found.profile.model_copy(update={"saved": kept}))
    same = MachineRun(name="bench", readings=rested.machine_readings)
    assert repeat_of(found, bottle, plan, same).state == "proven"
    repeat = repeat_of(found, bottle, plan, MachineRun(name="bench"))
    assert today(repeat).verdict.reasons[0] == "changed"
    assert "the machine no longer has the reading: turn" in repeat.banner


@pytest.mark.slow
def test_another_batch_of_the_coating_asks_for_one_patch(bottle: Job, proven: Prove) -> None:
    """It stays proven, and the first step is a patch; the batch is named by the person, or by the last run."""
    found = proven(bottle, batch="B-77")
    assert repeat_of(found, bottle, plan).on_batch("B-77").banner.endswith("Batch B-77.")
    repeat = repeat_of(found, bottle, plan).on_batch("B-78")
    assert 'You proved it on batch "B-77", today\'s batch is "B-78": mark one test patch first.' in repeat.banner
    actions = today(repeat)
    assert (actions.verdict.state, actions.verdict.reasons) == ("proven", ("other_batch",))
    assert actions.verdict.text.endswith("PROVEN. Proven on batch B-77, not on today's: mark one test patch.")
    assert actions.steps[0].id == "test_patch"
    assert any("Mark a test patch on scrap" in text for text in actions.run.texts)
    logged(found, batch="B-79", outcome="stopped")
    assert today(repeat_of(found, bottle, plan)).verdict.reasons == ("other_batch",)
    assert today(repeat_of(found, bottle, plan).on_batch("B-77")).verdict.state == "proven"
    assert "other_batch" not in today(repeat_of(found, bottle, plan).on_batch("B-77")).verdict.reasons
    logged(found, batch="B-79", on=now() + timedelta(minutes=2))
    # It came out well on that batch, too.
    assert today(repeat_of(found, bottle, plan)).verdict.reasons == ("run_well",)


def test_other_artwork_of_the_same_size_stays_proven_under_its_own_name(
    bottle: Job, proven: Prove, tmp_path: Path
) -> None:
    """The numbers are those that were run; the file to import is the new artwork's, with its own size on the item."""
    (tmp_path / "crest.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="10mm"><path d="M0 0H75V37H0Z"/></svg>', "utf-8"
    )
    art = {"name": "New crest", "pieces": ({"file": "crest.svg", "width": "30 mm"},)}
    other = Job.model_validate(bottle.model_dump(by_alias=False) | {"artwork": bottle.artwork.model_dump() | art})
    repeat = repeat_of(proven(bottle), other, plan)
    actions, was = today(repeat, tmp_path), today(repeat_of(proven(bottle, "b"), bottle, plan))
    assert actions.verdict.state == "proven"
    assert actions.type == was.type
    assert actions.rows["file"].value == "new-crest-sliced.svg"
    assert actions.rows["artwork_size_1"].value == 30
    assert was.rows["file"].value == "crossed-oars-and-the-year-sliced.svg"


def test_numbers_that_nobody_noted_are_never_printed_as_proven(bottle: Job, proven: Prove, tmp_path: Path) -> None:
    """A proof without the passes of its first slice is tested first: the sheet counts anew, on this item, then on."""
    repeat = repeat_of(proven(bottle, alter=lambda _: whole_run(plan(bottle))), bottle, plan)
    assert (repeat.state, repeat.verdict) == ("test first", "TEST FIRST")
    assert "nobody noted the passes" in repeat.banner
    assert today(repeat, tmp_path).rows["file"].value == "crossed-oars-and-the-year-first.svg"


def test_marked_by_hand_or_run_well_by_the_logbook(bottle: Job, proven: Prove) -> None:
    """Without a logged run it says so; with some, how many items came out well."""
    found = proven(bottle)
    assert today(repeat_of(found, bottle, plan)).verdict.reasons == ("marked_by_you",)
    logged(found, items=13, spoiled=1)
    verdict = today(repeat_of(found, bottle, plan)).verdict
    assert (verdict.state, verdict.reasons, verdict.good, verdict.count) == ("proven", ("run_well",), 12, 13)
    assert "12 of 13 items good" in verdict.text


def test_a_newer_plan_stands_beside_as_untested(bottle: Job, proven: Prove) -> None:
    """The numbers stay; the last step says that there is another plan, which nobody has run."""
    repeat = repeat_of(proven(bottle), bottle, lambda job: plan(with_part(job, "passes", power_share=0.5)))
    actions = today(repeat)
    assert (actions.verdict.state, actions.rows["power"].figure) == ("proven", "16")
    assert [step.id for step in actions.steps] == ["write_file", "print_sheet", "new_plan"]
    anew = repeat.as_planned_anew()
    verdict = today(anew).verdict
    assert (verdict.state, verdict.reasons[0], today(anew).rows["power"].figure) == ("test first", "never_run", "50")


def test_a_plan_with_the_proven_numbers_is_proven(bottle: Job, proven: Prove) -> None:
    """Who asks for today's plan where it is the proven one is not told to test it first."""
    repeat = repeat_of(proven(bottle), bottle, plan)
    assert repeat.newer == ""
    assert repeat.as_planned_anew().verdict == "PROVEN"


def test_a_mend_since_names_the_number_that_it_changes(
    bottle: Job, proven: Prove, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An old proof whose shim another rule gives now: TEST FIRST, with the shim that was run, marked as rebuilt."""
    monkeypatch.setattr(rule_changes, "whole_item_shim_mm", lambda _: -14.8)
    actions = today(repeat_of(proven(bottle, alter=without_actions), bottle, plan))
    assert (actions.verdict.state, actions.verdict.reasons[0]) == ("test first", "rebuilt")
    assert (actions.rows["shim"].value, actions.rows["shim"].rebuilt) == (14.8, True)


def test_a_file_that_stands_there_needs_no_writing(tmp_path: Path) -> None:
    """Current files are imported; another drawing in their place, or one of them gone, and they are written first."""
    crest = tmp_path / "crest.svg"
    crest.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="10mm"><path d="M0 0H75V37H0Z"/></svg>', "utf-8"
    )
    text = examples()["regatta-bottle"].read_text("utf-8")
    file = tmp_path / "job.toml"
    file.write_text(text.replace("[artwork]", '[artwork]\npieces = [{ file = "crest.svg" }]'), "utf-8")
    made = plan(job_from_file(file))
    row = actions_for(made, tmp_path).rows["file"]
    assert (row.value, row.step) == ("crossed-oars-and-the-year-first.svg", "write_file")
    assert main(["art", "slice", str(file), "--to", str(tmp_path)]) == 0
    actions = actions_for(made, tmp_path)
    assert actions.rows["file"].text == "Import crossed-oars-and-the-year-first.svg."
    assert "write_file" not in [step.id for step in actions.steps]
    crest.write_text(crest.read_text("utf-8").replace("H75", "H60"), "utf-8")
    assert actions_for(made, tmp_path).rows["file"].step == "write_file"


@pytest.mark.parametrize("name", sorted(examples()))
def test_every_row_stands_on_the_paper(name: str, proven: Prove) -> None:
    """Of every example: each number as it is typed or set, each word in its sentence."""
    # Words have numbers of their own, which are proven with them.
    job = job_from_file(examples()[name]).model_copy(update={"inscription": None})
    repeat = repeat_of(proven(job), job, plan)
    assert repeat.run is not None
    actions = actions_today(repeat, repeat.run)
    text = " ".join(" ".join(text_lines(repeat_sheet(repeat, repeat.run)(0.0))).split())
    for row in actions.type:
        assert f"{row.label} " in text
    for row in (*actions.to_import, *actions.by_hand, *actions.check):
        # The page's size stands there once, not twice.
        assert row.text.rstrip(".") in text or row.id == "size_shown"
        # The front is a place of the item, whose angle is 0.
        if row.id == "scale" or "leave the lens there" in row.text or "until its front (" in row.text:
            continue
        assert isinstance(row.value, str) or f"{abs(row.value):g}" in row.text.replace(".000", "")


def test_the_file_that_was_given_names_the_import(bottle: Job, proven: Prove) -> None:
    """A proof that notes one file of all slices prints that name."""
    found = proven(bottle)
    proof = found.profile.saved.proof
    assert proof is not None
    noted = proof.model_copy(update={"files": (ArtworkFile(name="mine.svg", sha256="0" * 64, size_bytes=1),)})
    kept = found.profile.saved.model_copy(update={"proof": noted})
    found = replace(found, profile=found.profile.model_copy(update={"saved": kept}))
    assert today(repeat_of(found, bottle, plan)).rows["file"].value == "mine.svg"


@pytest.mark.parametrize(
    ("outcome", "name", "ids"),
    [
        ("coating-left", "regatta-bottle", ["test_patch", "what_helps"]),
        ("metal-marked", "regatta-bottle", ["test_patch", "what_helps"]),
        ("seams-show", "regatta-bottle", ["seam_test", "motor_test"]),
        ("metal-marked", "pommel-nut", ["trial_cut"]),
        ("seams-show", "pommel-nut", ["seam_test", "machine_test"]),
        ("clear", "regatta-bottle", []),
        ("spoiled", "regatta-bottle", []),
    ],
)
def test_a_run_that_came_out_badly_has_a_next_step(outcome: str, name: str, ids: list[str], proven: Prove) -> None:
    """Engraved, coating left, seams show: what to do at once, each with its figure in words."""
    job = job_from_file(examples()[name])
    steps = steps_after_run(repeat_of(proven(job), job, plan), outcome)
    assert [step.id for step in steps] == ids
    assert all(step.text and "{" not in step.text for step in steps)


@pytest.mark.slow
def test_a_logged_run_says_what_comes_next_and_a_plan_says_what_was_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """On the command line: after a run, in words and as JSON; the plan of a proven profile has the actions as run."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path / "kept"))

    def run(*words: str) -> str:
        assert main(list(words)) == 0
        return capsys.readouterr().out

    run("profile", "save", "regatta-bottle", "--as", "b")
    run("proven", "b", "--passes", "6", "--batch", "B-77")
    actions = json.loads(run("plan", "b", "--json"))["actions"]
    assert (actions["verdict"]["state"], actions["run"]["counted"]) == ("proven", 6)
    assert next(row["value"] for row in actions["type"] if row["id"] == "passes") == 6
    assert "mark one test patch first" in run("profile", "repeat", "b", "--batch", "B-78")
    assert "next: Mark a test patch" in run("log", "add", "b", "--outcome", "coating-left")
    told = json.loads(run("log", "add", "b", "--outcome", "seams-show", "--json"))
    assert Path(told["logged"]).is_file()
    assert [step["id"] for step in told["steps"]] == ["seam_test", "motor_test"]
    assert "next" not in run("log", "add", "b", "--outcome", "clear")


def test_a_repeat_has_the_names_that_the_program_has_today(bottle: Job, proven: Prove) -> None:
    """Named since, renamed or taken out: a name is no number, so the proof stays."""
    found = proven(with_part(bottle, "program", labels={"power": "Output", "speed": "Pace"}))
    repeat = repeat_of(found, with_part(bottle, "program", labels={"power": "Strength", "passes": "Loops"}), plan)
    rows = today(repeat).rows
    assert repeat.state == "proven"
    labels = [rows[name].label for name in ("power", "speed", "passes")]
    assert labels == [
        "Power (Strength)",
        "Speed",
        "Passes (Loops)",
    ]
    assert "Power (Strength)" in "\n".join(
        text_lines(repeat_sheet(repeat, repeat.run or found.profile.saved.plan)(0.0))
    )


def test_a_bad_run_in_the_second_of_the_proof_counts(bottle: Job, proven: Prove) -> None:
    """Times are stored by the second: which of the two was first is not known, so the numbers are tried first."""
    found = proven(bottle)
    proof = found.profile.saved.proof
    assert proof is not None
    logged(found, outcome="coating-left", on=proof.on)
    assert today(repeat_of(found, bottle, plan)).verdict.reasons[0] == "ran_badly"


@pytest.mark.parametrize(
    ("outcome", "says", "step"),
    [
        ("coating-left", "coating left", "test_patch"),
        ("metal-marked", "metal engraved", "test_patch"),
        ("seams-show", "seams showed", "seam_test"),
    ],
)
def test_a_bad_run_after_the_proof_shows_until_a_good_one(
    bottle: Job, proven: Prove, outcome: str, says: str, step: str
) -> None:
    """The same numbers, run badly since: test first with the run's next step, the numbers and counts still there."""
    found = proven(bottle, batch="B-77")
    logged(found, items=12, batch="B-77")
    logged(found, items=2, batch="B-77", outcome=outcome, on=now() + timedelta(minutes=2))
    repeat = repeat_of(found, bottle, plan)
    actions = today(repeat)
    assert (actions.verdict.state, actions.verdict.reasons[0]) == ("test first", "ran_badly")
    assert f"TEST FIRST. Last run: {says}. So far 12 of 14 items good." in actions.verdict.text
    assert actions.steps[0].id == step
    assert ("Mark a test patch on scrap" in " ".join(actions.run.texts)) == (step == "test_patch")
    assert "12 of 14 items good" in repeat.banner
    assert says in repeat.banner
    assert repeat.run is not None
    # On another batch it says nothing; a good run on this one ends it.
    assert today(repeat.on_batch("B-80")).verdict.reasons[0] == "other_batch"
    logged(found, batch="B-77", on=now() + timedelta(minutes=3))
    assert today(repeat_of(found, bottle, plan)).verdict.state == "proven"


def test_a_run_stores_the_power_that_it_came_clean_at(bottle: Job, proven: Prove) -> None:
    """A higher rung of the ladder: its power is typed for the next items, the last pass keeps its own."""
    repeat = repeat_of(proven(bottle), bottle, plan)
    run = numbers_run(repeat, "", CameClean(6, 98.0))
    assert run is not None
    assert run.actions is not None
    actions = run.actions
    assert (run.power_share, run.passes_counted, actions.rows["power"].figure) == (0.98, 6, "98")
    assert [(rung.power, rung.passes) for rung in actions.run.rungs] == [(98.0, 6)]
    assert {one.power for one in actions.run.passes if one.kind == "removal"} == {98.0}
    last = actions.run.last_pass
    assert last is not None
    assert [one.power for one in actions.run.passes if one.kind == "last"] == [last.power]

    def typed(**texts: str) -> Run:
        return run_from_texts({"outcome": "clear", **texts}, repeat.found, lambda *came: numbers_run(
            repeat, "", CameClean(*came)
        ))  # fmt: skip

    assert typed(power="98 %", passes="6", took="25").plan == run
    assert typed(took="25").took_s == 1500.0
    for wrong in ("0", "101", "much"):
        with pytest.raises(Refused, match="power"):
            typed(power=wrong)
    with pytest.raises(Refused, match=r"(?s)passes.*power"):
        typed(power="much", passes="few")


def test_proven_again_keeps_batch_and_note(bottle: Job, proven: Prove, tmp_path: Path) -> None:
    """What nobody says stays as the proof before had it; what is said takes its place."""
    found = proven(bottle)
    prove_texts(
        repeat_of(found, bottle, plan), {"outcome": "clear", "passes": "5", "batch": "B-77", "note": "wiped twice"}
    )
    again = load("a", tmp_path / "store")
    prove_texts(repeat_of(again, bottle, plan), {"outcome": "clear", "passes": "6"})
    proof = load("a", tmp_path / "store").profile.saved.proof
    assert proof is not None
    assert (proof.batch, proof.note, proof.plan and proof.plan.passes_counted) == ("B-77", "wiped twice", 6)
    prove_texts(
        repeat_of(load("a", tmp_path / "store"), bottle, plan), {"outcome": "clear", "passes": "6", "batch": "B-78"}
    )
    proof = load("a", tmp_path / "store").profile.saved.proof
    assert proof is not None
    assert (proof.batch, proof.note) == ("B-78", "wiped twice")


@pytest.mark.parametrize("singly", [False, True])
def test_the_next_step_writes_the_files_that_were_run(bottle: Job, proven: Prove, singly: bool) -> None:
    """An answer given since plans other files; those proven are the ones to write."""
    whole, single = (
        # A diameter that is known well: no other place has to be measured first.
        with_part(with_part(bottle, "tolerances", diameter_mm=0.1), "program", can_repeat_slice=answer)
        for answer in (None, False)
    )
    then, now = (single, whole) if singly else (whole, single)
    repeat = repeat_of(proven(then), now, plan)
    assert repeat.state == "proven"
    assert today(repeat).steps[0].id == ("file_per_slice" if singly else "write_file")
