"""What is refused leaves nothing half done, and what is meant is found: machines, saved jobs, folders, files."""

import json
from collections.abc import Callable
from pathlib import Path

from rotary.shipped import FIRST, examples


def test_a_drawing_of_no_name_is_refused_with_the_job(
    rotary: Callable[..., tuple[int, str, str]], tmp_path: Path
) -> None:
    """A sign that no file name can hold is a fault of the job, said before anything asks the disk for it."""
    text = examples()[FIRST].read_text("utf-8").replace("[artwork]", '[artwork]\npieces = [{ file = "a\\u0000b" }]')
    (tmp_path / "nul.toml").write_text(text, "utf-8")
    says = "rotary: artwork.pieces 1, file is no file name: write one like crest.svg\n"
    assert rotary("plan", "nul.toml") == (3, "", says)


def test_what_can_t_be_taught_is_not_logged(rotary: Callable[..., tuple[int, str, str]]) -> None:
    """A run is logged and taught, or neither: mended and typed again it would be logged twice."""
    assert rotary("profile", "save", FIRST, "--as", "mug", "--samples", "50")[0] == 0
    assert rotary("log", "add", "mug", "seams-show", "--teach")[:2] == (2, "")
    assert rotary("log", "add", "mug", "good", "--teach")[:2] == (2, "")
    assert rotary("log", "list", "--json")[1] == "[]\n"
    assert rotary("log", "add", "mug", "good", "--teach", "--passes", "4", "--samples", "50")[0] == 0
    assert len(json.loads(rotary("log", "list", "--json")[1])) == 1


def test_a_machine_that_can_t_be_read_is_said(rotary: Callable[..., tuple[int, str, str]], tmp_path: Path) -> None:
    """A list of machines says which it can't read, by file and reason; a folder that is none is no empty list."""
    (tmp_path / "m").mkdir()
    (tmp_path / "m" / "bench.toml").write_text("name = 3\n", "utf-8")
    assert rotary("machine", "list", "--json", "--machines", "m")[:2] == (0, "[]\n")
    assert "bench.toml, name: 3 can't be used" in rotary("machine", "list", "--machines", "m")[2]
    # Without a name it is the only one, readable or not.
    assert rotary("machine", "show", "--machines", "m")[0] == 2


def test_the_only_machine_needs_no_name(rotary: Callable[..., tuple[int, str, str]]) -> None:
    """Where one machine is saved, it is the one that is shown and recorded for."""
    assert rotary("machine", "new", "bench")[0] == 0
    assert rotary("machine", "show")[1].startswith("bench: 0 readings")


def test_another_saved_job_is_compared_by_its_name(rotary: Callable[..., tuple[int, str, str]]) -> None:
    """Two names behind compare are two jobs; the differences are data, by the name of their field."""
    for name in ("mug", "cup"):
        assert rotary("profile", "save", FIRST, "--as", name, "--samples", "50")[0] == 0
    code, out, _ = rotary("profile", "compare", "mug", "cup", "--json")
    assert (code, {one["where"]: one["after"] for one in json.loads(out)}) == (0, {"saved.as": "cup"})


def test_a_folder_may_have_a_dot_in_its_name(rotary: Callable[..., tuple[int, str, str]], tmp_path: Path) -> None:
    """A folder that is there is a folder, whatever its name looks like."""
    (tmp_path / "v1.2").mkdir()
    for words in (("machine", "tests", FIRST, "field"), ("print", "template", FIRST), ("print", "seam-test", FIRST)):
        assert rotary(*words, "--to", "v1.2", "--samples", "0")[0] == 0
    assert {path.suffix for path in (tmp_path / "v1.2").iterdir()} >= {".svg", ".pdf"}


def test_what_ends_with_json_is_json(rotary: Callable[..., tuple[int, str, str]], tmp_path: Path) -> None:
    """A plan that is written to plan.json is read by programs."""
    assert rotary("plan", FIRST, "--to", "plan.json", "--samples", "0")[0] in (0, 5)
    assert "actions" in json.loads((tmp_path / "plan.json").read_text("utf-8"))
