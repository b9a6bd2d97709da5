"""A job with an inscription: saved, planned, logged and repeated by the numbers of its words, not of its artwork."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import pytest

from rotary.cli import main
from rotary.inscription.actions import drawn_marks, marking_of, plan_of_marks
from rotary.job import job_from_file
from rotary.plan import plan
from rotary.repeat.run import whole_run
from rotary.repeat.run_numbers import numbers_run
from rotary.repeat.standing import repeat_of
from rotary.services.actions import actions_of_repeat
from rotary.sheet.reread import drawing_from_file
from rotary.shipped import examples
from rotary.store.additions import prove
from rotary.store.profiles import keep, load
from tests.setups import wordless_nut

CREST: Final = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="70mm" height="40mm">'
    '<path d="M0 0H70V40H0Z M10 10V30H60V10Z"/></svg>'
)
Told = Callable[..., Any]

HEXAGON = """
flats = 6
across_flats = "30 mm"
length = "24 mm"
"""
COATED_HEXAGON = ('coating = "none"', 'coating = "polyester-powder-dark"')


def nut(words: str, hexagon: bool = False, *changes: tuple[str, str]) -> str:
    """An invented nut with words of its own."""
    text = wordless_nut()
    if hexagon:
        before, after = text.split("measurements = [")
        text = before + HEXAGON + after.partition("]\n")[2]
        text = text.replace('width = "40 mm"', 'width = "16 mm"').replace('centre = "8 mm"', 'centre = "12 mm"')
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return f"{text}\n[inscription]\n{words}\n"


@pytest.fixture
def told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Told:
    """Runs a command in a folder with a store of its own; what it prints."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path / "kept"))

    def run(*words: str) -> str:
        assert main(list(words)) == 0, capsys.readouterr().err
        return capsys.readouterr().out

    return run


def actions_of(told: Told, job: str) -> dict[str, Any]:
    done: dict[str, Any] = json.loads(told("plan", job, "--json", "--samples", "1000"))["actions"]
    return done


def rows_of(actions: dict[str, Any], *parts: str) -> dict[str, Any]:
    """Rows by id, without whether the file has to be written first."""
    some = [row for part in parts or ("import", "type", "by_hand", "check") for row in actions[part]]
    return {row["id"]: {name: value for name, value in row.items() if name not in ("step", "text")} for row in some}


@pytest.mark.parametrize("method", ["flat", "slice"])
def test_a_file_of_words_is_checked_against_its_words(method: str, told: Told, tmp_path: Path) -> None:
    """Words are planned as large as they fit, in slices of their own: a file just written goes with its job."""
    told("art", method, "pommel-nut", "--to", "out")
    (file,) = (tmp_path / "out").glob("*.svg")
    said = told("art", "check", "pommel-nut", f"out/{file.name}", "--samples", "5", "--inches")
    assert "the marks lie at most 0." in said
    assert "write the file again" not in said
    assert " mm" not in said


def test_what_is_saved_logged_and_repeated_is_the_words(told: Told, tmp_path: Path) -> None:
    """Planned, saved, proven and printed again, every row is that of the file which is written for the words."""
    (tmp_path / "nut.toml").write_text(nut('text = "HERON CLUB"\naround = "ring"'), "utf-8")
    planned = actions_of(told, "nut.toml")
    rows = rows_of(planned)
    assert rows["file"]["value"] == "heron-club-sliced.svg"
    assert rows["slices_shown"]["value"] == 21
    text = told("plan", "nut.toml", "--plain")
    # The block that is keyed in has the words' page, which the artwork's frame does not have.
    assert "The program must show 21 slices of" in text
    told("profile", "save", "nut.toml", "--as", "nut")
    told("inscribe", "nut", "--to", ".")
    assert "PROVEN" not in told("plan", "nut")
    told("profile", "proven", "nut", "--passes", "12")
    again = json.loads(told("profile", "repeat", "nut", "--json"))
    assert (again["verdict"], again["newer"]) == ("proven", "")
    ran = again["numbers"]["actions"]
    assert "step" not in ran["import"][0]
    counted = rows | {"passes": rows["passes"] | {"value": 12, "figure": "12"}}
    assert rows_of(ran) == counted
    assert rows_of(actions_of(told, "nut")) == counted
    sheet = told("profile", "repeat", "nut")
    assert "Import heron-club-sliced.svg." in sheet
    assert "78.582 × 7.806 mm" in sheet
    told("log", "add", "nut", "--outcome", "clear", "--items", "3", "--passes", "12")
    assert "3 of 3 items good" in told("profile", "repeat", "nut")
    assert "Slice width in the file: 3.742 mm" in told("log", "list", "--settings")


def test_checks_of_today_name_the_face_and_no_patch_on_bare_metal(told: Told, tmp_path: Path) -> None:
    """Words on flats have no apex to focus on, and bare metal has no test patch; a good run says how it is proven."""
    (tmp_path / "nut.toml").write_text(nut('text = "HERON"\naround = "flats"', hexagon=True))
    told("profile", "save", "nut.toml", "--as", "nut")
    sheet = told("profile", "repeat", "nut")
    assert "Focus on the face again, then move the lens as this sheet says." in sheet
    assert "treat it as a first run, with a trial on scrap" in sheet
    assert "patch" not in sheet
    assert 'next: to repeat these numbers: rotary profile proven "nut"' in told("log", "add", "nut", "good")
    told("profile", "proven", "nut")
    assert "next: to repeat" not in told("log", "add", "nut", "good")


def with_narrow_slices(folder: Path, words: str) -> dict[str, Any]:
    """A profile "nut" whose words were run in slices of 2.468 mm, which nobody would plan today; the rows as run."""
    path = folder / "nut.toml"
    path.write_text(nut(words), "utf-8")
    job = job_from_file(path)
    narrow = job.tolerances.model_copy(update={"slice_width_mm": 2.468})
    made = plan_of_marks(job.model_copy(update={"tolerances": narrow}), plan, folder)
    run = whole_run(*drawn_marks(made, folder))
    prove(keep(job, "nut", folder / "kept", run).path.parent, run)
    assert run.actions is not None
    return rows_of(run.actions.model_dump(mode="json"))


@pytest.mark.slow
def test_files_of_a_repeat_are_drawn_with_the_numbers_run(told: Told, tmp_path: Path) -> None:
    """A newer plan would divide the words otherwise, and stands beside it as untested; the files are those that were
    run, and no step asks for them once they lie there."""
    rows = with_narrow_slices(tmp_path, 'text = "HERON CLUB"\naround = "ring"')
    assert "PROVEN" in told("inscribe", "nut", "--to", ".")
    drawing = drawing_from_file(tmp_path / "heron-club-sliced.svg")
    assert (drawing.width_mm, drawing.height_mm) == (rows["page_size"]["value"], rows["page_size"]["high"])
    again = json.loads(told("profile", "repeat", "nut", "--json"))
    assert again["newer"].startswith("There is a newer plan that you have not run: ")
    actions = again["numbers"]["actions"]
    assert rows_of(actions) == rows
    assert "write_file" not in [step["id"] for step in actions["steps"]]


def test_other_words_are_cut_with_the_numbers_run(tmp_path: Path) -> None:
    """More lines stay proven: what is typed stays, file and size and number of slices are its own."""
    rows = with_narrow_slices(tmp_path, 'text = "HERON"\naround = "axis"\nletter_height = "2 mm"')
    found = load("nut", tmp_path / "kept")
    words = found.profile.job.inscription
    assert words is not None
    longer = found.profile.job.model_copy(
        update={"inscription": words.model_copy(update={"text": "HERON\nCLUB\n1884"})}
    )
    marking = marking_of(longer, tmp_path)
    repeat = repeat_of(found, longer, lambda job: plan_of_marks(job, plan, tmp_path), marking=marking)
    actions = actions_of_repeat(repeat, tmp_path)
    assert (actions.verdict.state, actions.rows["file"].value) == ("proven", "heron-flat.svg")
    now = rows_of(actions.model_dump(mode="json"))
    assert [row.figure for row in actions.type] == [rows[row.id]["figure"] for row in actions.type]
    assert now["page_size"]["value"] > rows["page_size"]["value"]
    assert now["slices_shown"]["value"] > rows["slices_shown"]["value"]


def test_a_proof_of_an_older_tool_has_no_numbers_of_its_words(tmp_path: Path) -> None:
    """It stored the rows of the artwork's frame, which nobody ran: test first, and today's plan of the words."""
    path = tmp_path / "nut.toml"
    path.write_text(nut('text = "HERON CLUB"\naround = "ring"'), "utf-8")
    job = job_from_file(path)
    run = whole_run(plan(job))
    prove(keep(job, "nut", tmp_path / "kept", run).path.parent, run)
    found = load("nut", tmp_path / "kept")
    repeat = repeat_of(found, job, lambda job: plan_of_marks(job, plan, tmp_path), marking=marking_of(job, tmp_path))
    assert repeat.proof is not None
    assert (repeat.proof.reason, repeat.run) == ("rebuilt", None)
    assert "the numbers of the words were not saved" in repeat.banner
    logged = numbers_run(repeat)
    assert logged is not None
    assert logged.actions is not None
    assert logged.actions.rows["file"].value == "heron-club-sliced.svg"


FLATS: Final = 'text = "HERON"\naround = "flats"\nmore = ["CLUB REGATTA", "1884"]'


@pytest.mark.parametrize("around", ["ring", "end"])
@pytest.mark.slow
def test_the_step_that_a_plan_names_writes_the_words(told: Told, around: str) -> None:
    """What stands behind the step is typed as it is told; the file is there, and the step is done."""
    Path("nut.toml").write_text(nut(f'text = "HERON"\naround = "{around}"'), "utf-8")
    step = re.search(r"Make the file (\S+): .*\(rotary (art .*)\)", told("plan", "nut.toml"))
    assert step is not None
    told(*step[2].split())
    assert Path(step[1]).is_file()
    assert f"Make the file {step[1]}" not in told("plan", "nut.toml")


@pytest.mark.slow
def test_every_flat_has_its_file(told: Told, tmp_path: Path) -> None:
    """Each file is a row and stands in the run; written, none has to be written; one that is gone has."""
    (tmp_path / "hexagon.toml").write_text(nut(FLATS, True), "utf-8")
    names = [f"heron-flat-0{number}.svg" for number in (1, 2, 3)]
    actions = actions_of(told, "hexagon.toml")
    assert [row["value"] for row in actions["import"] if row["id"].startswith("file")] == names
    assert all(
        "(key F5, or rotary art flat)" in row["text"] for row in actions["import"] if row["id"].startswith("file")
    )
    assert [text for text in actions["run"]["texts"] if f"{names[1]}, {names[2]}" in text]
    assert "on each slice" not in " ".join(row["text"] for row in actions["type"])
    told("inscribe", "hexagon.toml", "--to", ".")
    told("profile", "save", "hexagon.toml", "--as", "hexagon")
    told("profile", "proven", "hexagon", "--passes", "9")
    again = json.loads(told("profile", "repeat", "hexagon", "--json"))["numbers"]["actions"]
    assert [row["value"] for row in again["import"] if row["id"].startswith("file")] == names
    assert not [row for row in again["import"] if "step" in row]
    assert rows_of(again, "type")["passes"]["value"] == 9
    assert "TYPE 1: Power: 80 %." in (plain := told("plan", "hexagon.toml", "--plain"))
    assert "Steps per turn" not in plain
    assert f"Other faces: turn to each and import its file ({names[1]}, {names[2]}). Run the same passes." in plain
    (tmp_path / names[2]).unlink()
    assert actions_of(told, "hexagon.toml")["import"][0]["step"] == "write_file"


@pytest.mark.slow
def test_a_coating_is_tried_on_the_flat_with_most_ink(told: Told, tmp_path: Path) -> None:
    """That file comes first; counted, all are run alike, in their order."""
    coated = nut(FLATS, True, COATED_HEXAGON, ('\n[passes]\ndepth = "40 um"', ""))
    (tmp_path / "hexagon.toml").write_text(coated.replace("fibre-30w-160", "fibre-60w-254"), "utf-8")
    files = [row["value"] for row in actions_of(told, "hexagon.toml")["import"] if row["id"].startswith("file")]
    assert files == ["heron-flat-02.svg", "heron-flat-01.svg", "heron-flat-03.svg"]
    told("profile", "save", "hexagon.toml", "--as", "hexagon")
    told("profile", "proven", "hexagon", "--passes", "5")
    again = actions_of(told, "hexagon")
    assert [row["value"] for row in again["import"] if row["id"].startswith("file")] == sorted(files)
    assert (again["run"]["counted"], again["run"]["files"]["first"]) == (5, "")


def test_words_that_do_not_fit_are_not_saved_as_the_artwork(
    told: Told, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is typed for words that can't be cut, and nothing is kept of them."""
    (tmp_path / "nut.toml").write_text(nut(f'text = "{"HERON CLUB " * 30}"\naround = "ring"'), "utf-8")
    text = told("plan", "nut.toml")
    assert "NOT READY" in text
    assert "\nTYPE" not in text
    assert "TYPE 1" not in told("plan", "nut.toml", "--plain")
    assert main(["profile", "save", "nut.toml", "--as", "nut"]) == 3
    assert "shorten the text" in capsys.readouterr().err
    assert not list((tmp_path / "kept").glob("nut*"))


@pytest.mark.slow
def test_files_of_single_slices_that_lie_there_need_no_writing(told: Told, tmp_path: Path) -> None:
    """Planned or repeated: once each slice has its file nothing says to write one; one gone, and it does."""
    (tmp_path / "crest.svg").write_text(CREST, "utf-8")
    text = examples()["regatta-bottle"].read_text("utf-8")
    text = text.replace("[artwork]", '[artwork]\npieces = [{ file = "crest.svg" }]')
    program = "can_repeat_slice = false\ncan_pause = true\ncan_change_setting = true\ncan_store_start = true\n"
    (tmp_path / "job.toml").write_text(f"{text}\n[program]\n{program}", "utf-8")
    told("profile", "save", "job.toml", "--as", "bottle")
    told("profile", "proven", "bottle", "--passes", "5")

    def writes() -> set[bool]:
        planned = actions_of(told, "job.toml")
        again = json.loads(told("profile", "repeat", "bottle", "--json"))["numbers"]["actions"]
        steps = ["file_per_slice" in [step["id"] for step in one["steps"]] for one in (planned, again)]
        rows = ["step" in one["import"][0] for one in (planned, again)]
        return {*steps, *rows}

    assert writes() == {True}
    told("art", "slice", "job.toml", "--to", ".")
    assert writes() == {False}
    next(tmp_path.glob("*-slice-*-of-*.svg")).unlink()
    assert writes() == {True}
