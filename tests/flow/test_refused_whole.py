"""What is refused leaves nothing half done, and what is meant is found: machines, saved jobs, folders, files."""

import json
from collections.abc import Callable
from pathlib import Path

from rotary.shipped import FIRST, examples


def test_a_drawing_that_can_have_no_such_name_stops_no_plan(
    rotary: Callable[..., tuple[int, str, str]], tmp_path: Path
) -> None:
    """A plan says that the artwork can't be laid out yet, whatever its drawing is called; files of it are refused."""
    text = examples()[FIRST].read_text("utf-8").replace("[artwork]", '[artwork]\npieces = [{ file = "a\\u0000b" }]')
    (tmp_path / "nul.toml").write_text(text, "utf-8")
    code, out, err = rotary("plan", "nul.toml", "--samples", "0")
    assert (code, err, "RUN" in out) == (0, "", True)
    code, _, err = rotary("art", "slice", "nul.toml", "--to", "s")
    assert (code, "a b can't be read" in err) == (4, True)


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


def test_no_remark_makes_the_readings_unreadable(rotary: Callable[..., tuple[int, str, str]], tmp_path: Path) -> None:
    """What could not be read again is refused before it is written, or every later plan would be refused with it."""
    assert rotary("patch", "new", FIRST, "--samples", "50")[0] == 0
    before = {path: path.read_bytes() for path in tmp_path.rglob("readings.toml")}
    assert before
    says = "note is longer than 400 characters: write a shorter text"
    code, _, err = rotary("patch", "record", FIRST, "1=clean", "--note", "x" * 401)
    assert (code, says in err, {path: path.read_bytes() for path in before}) == (2, True, before)
    code, _, err = rotary("log", "add", FIRST, "good", "--teach", "--passes", "4", "--note", "x" * 401)
    assert (code, err, {path: path.read_bytes() for path in before}) == (2, f"rotary: --{says}\n", before)
    assert rotary("patch", "record", FIRST, "1=clean", "--note", "x" * 400, "--samples", "50")[0] == 0
    assert rotary("patch", "list")[0] == 0


def test_a_file_of_readings_that_is_wrong_is_named(rotary: Callable[..., tuple[int, str, str]], tmp_path: Path) -> None:
    """A person who has to put a file right is told which."""
    (tmp_path / "s").mkdir()
    (tmp_path / "s" / "readings.toml").write_text("[[reading]]\nnumber = 0\n", "utf-8")
    code, _, err = rotary("patch", "list", "--store", "s")
    assert code == 3
    assert all(
        part.strip().startswith("s/readings.toml, reading 1, ") for part in err.removeprefix("rotary: ").split(";")[:2]
    )


def test_a_long_remark_on_a_change_is_a_sentence(rotary: Callable[..., tuple[int, str, str]]) -> None:
    """What is typed is checked by the rules of its field wherever a record is made of it."""
    assert rotary("machine", "new", "main")[0] == 0
    says = "rotary: note is longer than 200 characters: write a shorter text\n"
    assert rotary("machine", "changed", "lens", "--note", "x" * 201) == (2, "", says)


def test_a_name_that_a_file_does_not_hold_is_not_imported(rotary: Callable[..., tuple[int, str, str]]) -> None:
    """Who misspells the job to import is told what the file holds, and nothing is written."""
    assert rotary("profile", "save", FIRST, "--as", "mug", "--samples", "50")[0] == 0
    assert rotary("profile", "export", "--to", "mug.zip")[0] == 0
    says = 'rotary: there is no saved job "mgu": did you mean "mug"?\n'
    assert rotary("profile", "import", "mug.zip", "mgu", "--store", "other") == (2, "", says)
    assert rotary("profile", "import", "mug.zip", "MUG", "--store", "other")[0] == 0


def test_a_reading_is_not_ignored_for_a_job_that_is_not_there(rotary: Callable[..., tuple[int, str, str]]) -> None:
    """The job whose plan is to be shown is looked for before anything is changed."""
    assert rotary("patch", "new", FIRST, "--samples", "50")[0] == 0
    assert rotary("patch", "ignore", "1", "nope")[:2] == (2, "")
    assert not json.loads(rotary("patch", "list", "--json")[1])[0]["ignored"]
