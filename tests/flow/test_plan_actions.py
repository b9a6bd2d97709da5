"""What `rotary plan` says a person does: as JSON, and at the top of the short answer."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import jsonschema
import pytest

from rotary.__main__ import main
from rotary.services import USUAL_DRAWS
from rotary.sheet.reread import drawing_from_file
from rotary.shipped import FIRST, examples
from tests.setups import wordless_nut

Run = Callable[..., tuple[int, str, str]]
SCHEMA: Final = json.loads((Path(__file__).resolve().parents[2] / "docs" / "plan.schema.json").read_text("utf-8"))


@pytest.fixture
def rotary(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs a command in an empty folder with stores of its own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path / "profiles"))
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))

    def run(*arguments: str) -> tuple[int, str, str]:
        return main(arguments), *capsys.readouterr()

    return run


def test_what_can_t_be_planned_says_as_json_what_to_fill_in(rotary: Run, tmp_path: Path) -> None:
    """The faults stay on the error output, the exit code stays 3; a program gets the same as steps. No file is
    written over by them."""
    text = examples()[FIRST].read_text("utf-8").replace('width = "80 mm"\n', "").replace('"88 mm"', '"88 m"')
    (tmp_path / "bad.toml").write_text(text, encoding="utf-8")
    code, out, err = rotary("plan", "bad.toml", "--json")
    assert code == 3
    actions = json.loads(out)["actions"]
    jsonschema.validate(actions, {"$ref": "#/$defs/Actions", "$defs": SCHEMA["$defs"]})
    assert actions["verdict"]["state"] == "not ready"
    assert [f"rotary: {step['text']}" for step in actions["steps"]] == [f"{line}." for line in err.splitlines()]
    assert "artwork.width" in [step["where"] for step in actions["steps"]]
    assert rotary("plan", "bad.toml", "--json", "--to", "plan.json")[:2] == (3, "")
    assert not (tmp_path / "plan.json").exists()


def test_a_person_reads_the_cautions_before_the_first_thing_to_do(rotary: Run) -> None:
    """Whoever reads the JSON from the top meets eyewear and enclosure before any file is imported."""
    keys = list(json.loads(rotary("plan", FIRST, "--json", "--samples", "50")[1])["actions"])
    assert keys[:4] == ["verdict", "steps", "cautions", "import"]


@pytest.mark.parametrize("plainly", [(), ("--plain",)])
@pytest.mark.parametrize("name", [FIRST, "brass-nut"])
def test_the_short_answer_begins_with_how_the_job_stands_and_what_comes_next(
    rotary: Run, name: str, plainly: tuple[str, ...]
) -> None:
    """Verdict and steps, each with its time, before the cautions that stop and the numbers; no older sentence says
    the same of a coating again, and the range of a depth is not lost."""
    actions = json.loads(rotary("plan", name, "--json")[1])["actions"]
    text = " ".join(rotary("plan", name, *plainly)[1].split()).lower()
    verdict = actions["verdict"]["text"].partition("EXAMPLE, NOT YOUR MACHINE. ")[2]
    said = [verdict, *(step["text"] for step in actions["steps"]), "stop", "type 1"]
    places = [text.find(one.lower()) for one in said]
    assert -1 not in places
    assert places == sorted(places)
    assert all(f"{step['minutes']:g} min" in step["text"] for step in actions["steps"])
    assert "in doubt" not in text
    untried = re.search(r"no depth measured on this metal yet. estimate: 0\.\d\d to 0\.\d\d mm", text)
    assert bool(untried) == (name == "brass-nut")


def test_what_must_not_be_marked_says_so_first(rotary: Run, tmp_path: Path) -> None:
    """Before any number, with the gas that it gives off."""
    text = examples()[FIRST].read_text("utf-8").replace("polyester-powder-dark", "vinyl")
    (tmp_path / "sign.toml").write_text(text, encoding="utf-8")
    top = rotary("plan", "sign.toml")[1].partition("KEY IN")[0]
    assert "NOT READY. This coating must not be marked: its fumes are toxic." in top
    assert "hydrogen chloride" in top
    assert "test patch" not in top


# --- words, which have files of their own ---------------------------------------------------------------------------


def inscribed(folder: Path, around: str, text: str = "HERON CLUB", samples: int = 50) -> dict[str, Any]:
    """The rows of an invented nut's words, by their ids; each value stands there once."""
    (folder / "nut.toml").write_text(
        f'{wordless_nut()}\n[inscription]\ntext = "{text}"\naround = "{around}"\n', "utf-8"
    )
    assert main(["plan", "nut.toml", "--json", "--samples", str(samples), "--to", "plan.json", "--yes"]) == 0
    actions: dict[str, Any] = json.loads((folder / "plan.json").read_text("utf-8"))["actions"]
    jsonschema.validate(actions, {"$ref": "#/$defs/Actions", "$defs": SCHEMA["$defs"]})
    return actions | {row["id"]: row for part in ("import", "type", "by_hand", "check") for row in actions[part]}


@pytest.mark.parametrize("around", ["ring", "arc", "axis"])
@pytest.mark.slow
def test_words_are_imported_and_typed_by_their_own_file(rotary: Run, tmp_path: Path, around: str) -> None:
    """Page, slice and number of slices are those of the file that `rotary inscribe` writes, not the artwork's.

    Files are drawn from the usual samples, which find how far seams are pulled back: a plan of as many knows them.
    """
    rows = inscribed(tmp_path, around)
    assert rows["file"]["step"] == "write_file"
    assert rows["file"]["value"] in [step["value"] for step in rows["steps"] if step["id"] == "write_file"]
    assert rotary("inscribe", "nut.toml", "--to", ".")[0] == 0
    drawing = drawing_from_file(tmp_path / rows["file"]["value"])
    page = rows["page_size"]
    assert (page["value"], page["high"]) == (drawing.width_mm, drawing.height_mm)
    stated = re.search(r"(?:file_slice|flat_column)_mm=([\d.]+)", drawing.about)
    assert stated
    wide = rows["file_slice_width"]["value"]
    assert wide == float(stated[1])
    assert rows["slices_shown"]["value"] == pytest.approx(drawing.width_mm / wide, abs=0.01)
    assert rows["file"]["value"] in rows["run"]["texts"][1]
    assert "step" not in inscribed(tmp_path, around, samples=USUAL_DRAWS)["file"]


@pytest.mark.slow
def test_words_on_a_face_are_not_turned(rotary: Run, tmp_path: Path) -> None:
    """Nothing is typed of turning, and no place is set that only a turned item has."""
    rows = inscribed(tmp_path, "end")
    assert rotary("inscribe", "nut.toml", "--to", ".")[0] == 0
    assert (tmp_path / rows["file"]["value"]).exists()
    assert rows["type"][0]["id"] == "power"
    assert not {"typed_diameter", "slices_shown", "field_middle", "turn_way"} & set(rows)
    assert rows["passes"]["value"] == rows["run"]["rungs"][0]["passes"]
    assert not [text for text in rows["run"]["texts"] if "round" in text and "around" not in text]


def test_words_that_do_not_fit_are_not_ready(rotary: Run, tmp_path: Path) -> None:
    """What to write instead is a step; no row says how to mark them."""
    rows = inscribed(tmp_path, "ring", "HERON CLUB " * 30)
    assert rows["verdict"]["state"] == "not ready"
    assert "shorten the text" in rows["steps"][0]["text"]
    assert "file" not in rows
    assert rotary("plan", "nut.toml")[1].count("NOT READY") == 1


@pytest.mark.usefixtures("rotary")
def test_a_table_without_words_is_no_inscription(tmp_path: Path) -> None:
    """The artwork is what is marked then."""
    assert inscribed(tmp_path, "ring", "")["file"]["value"].startswith("ring-of-names")


@pytest.mark.slow
def test_a_setup_sheet_of_words_is_that_of_the_plan(rotary: Run, tmp_path: Path) -> None:
    """What is typed for words stands on the printed sheet as in the plan, not what their frame would need; so does the
    sheet that goes with their files, which says that they are there."""
    rows = inscribed(tmp_path, "ring", samples=0)
    sheet = " ".join(rotary("print", "setup", "nut.toml", "--samples", "0")[1].split())
    assert rows["typed_diameter"]["figure"] in sheet
    assert f"{rows['slices_shown']['value']} slices" in sheet
    assert f"Make {rows['file']['value']} (key F5, or rotary art slice), then import it." in sheet
    own = " ".join(rotary("inscribe", "nut.toml", "--samples", "0", "--to", ".")[1].split())
    assert f"Import {rows['file']['value']}." in own
    assert "then import" not in own
    assert rows["typed_diameter"]["figure"] in own
