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
