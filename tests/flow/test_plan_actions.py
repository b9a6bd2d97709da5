"""What `rotary plan` says a person does: as JSON, and at the top of the short answer."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Final

import jsonschema
import pytest

from rotary.__main__ import main
from rotary.shipped import FIRST, examples

Run = Callable[..., tuple[int, str, str]]
SCHEMA: Final = json.loads((Path(__file__).resolve().parents[2] / "docs" / "plan.schema.json").read_text("utf-8"))


@pytest.fixture
def rotary(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs a command in an empty folder with stores of its own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ROTARY_FOLDER", str(tmp_path / "profiles"))
    monkeypatch.setenv("ROTARY_RIGS", str(tmp_path / "rigs"))

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
    assert rotary("plan", "bad.toml", "--json", "--out", "plan.json")[:2] == (3, "")
    assert not (tmp_path / "plan.json").exists()


def test_a_person_reads_the_cautions_before_the_first_thing_to_do(rotary: Run) -> None:
    """Whoever reads the JSON from the top meets eyewear and enclosure before any file is imported."""
    keys = list(json.loads(rotary("plan", FIRST, "--json", "--draws", "50")[1])["actions"])
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
    said = [verdict, *(step["text"] for step in actions["steps"]), "stop", "key in"]
    places = [text.find(one.lower()) for one in said]
    assert -1 not in places
    assert places == sorted(places)
    assert all(f"{step['minutes']:g} min" in step["text"] for step in actions["steps"])
    assert "in doubt" not in text
    assert ("anything from" in text) == (name == "brass-nut")


def test_what_must_not_be_marked_says_so_first(rotary: Run, tmp_path: Path) -> None:
    """Before any number, with the gas that it gives off."""
    text = examples()[FIRST].read_text("utf-8").replace("polyester-powder-dark", "vinyl")
    (tmp_path / "sign.toml").write_text(text, encoding="utf-8")
    top = rotary("plan", "sign.toml")[1].partition("KEY IN")[0]
    assert "NOT READY. This coating must not be marked: its fumes are toxic." in top
    assert "hydrogen chloride" in top
    assert "test patch" not in top
