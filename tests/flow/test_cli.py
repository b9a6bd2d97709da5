"""The command line: right answers, plain output, exit codes as documented, and never a traceback."""

import argparse
import io
import json
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rotary import cli
from rotary.__main__ import main
from rotary.artwork.outfiles import MADE_BY
from rotary.cli import open_command
from rotary.cli.help_text import options
from rotary.job import job_from_file, job_from_text
from rotary.shipped import FIRST, examples
from tests.made_pages import leaves

ROOT = Path(__file__).resolve().parents[2]
Answer = tuple[int, str, str]
Run = Callable[..., Answer]


def spawned(*arguments: str, **more: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "rotary", *arguments]
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    return subprocess.run(command, capture_output=True, text=True, check=False, env=environment, timeout=200, **more)  # type: ignore[call-overload,no-any-return]


@pytest.mark.parametrize("name", examples())
def test_every_shipped_example_is_planned(rotary: Run, name: str) -> None:
    """Each example gives its card; only where no passes are offered is the exit code another."""
    code, out, err = rotary("print", "setup", name)
    assert code in (0, 5), err
    assert job_from_file(examples()[name]).item.name in out
    assert (code == 5) == bool(err)


@pytest.mark.slow
def test_without_a_command_and_a_terminal_the_first_card_is_printed() -> None:
    """A newcomer's first command shows the main job's answer even where no screen can open."""
    done = spawned(stdin=subprocess.DEVNULL)
    assert done.returncode == 0, done.stderr
    assert job_from_file(examples()[FIRST]).item.name in done.stdout
    assert "\x1b" not in done.stdout


@pytest.mark.slow
def test_json_keeps_to_the_published_schema(rotary: Run) -> None:
    """The JSON of every example fits docs/plan.schema.json, which is what `rotary job schema plan` prints."""
    published = json.loads((ROOT / "docs" / "plan.schema.json").read_text("utf-8"))
    assert json.loads(rotary("job", "schema", "plan")[1]) == published
    jsonschema.Draft202012Validator.check_schema(published)
    for name in examples():
        code, out, err = rotary("plan", name, "--json", "--samples", "50")
        assert code in (0, 5), err
        assert "NaN" not in out
        assert "Infinity" not in out
        jsonschema.validate(json.loads(out), published)


def test_the_job_schema_is_printed(rotary: Run) -> None:
    """`rotary job schema` gives the file that editors check jobs against."""
    assert json.loads(rotary("job", "schema")[1]) == json.loads((ROOT / "docs" / "job.schema.json").read_text("utf-8"))


def test_examples_are_listed_and_printed(rotary: Run) -> None:
    """The list names each with what it is; one of them printed is a job file to start from."""
    code, out, _ = rotary("job", "example")
    assert code == 0
    assert all(name in out for name in examples())
    assert out.count("nvented") == len(examples())
    assert job_from_text(rotary("job", "example", FIRST)[1]) == job_from_file(examples()[FIRST])
    assert rotary("job", "example", "nothing")[0] == 2
    assert 'did you mean "brass-nut"?' in rotary("job", "example", "bras-nut")[2]


@pytest.mark.slow
def test_keep_list_and_plan_again(rotary: Run, tmp_path: Path) -> None:
    """What is kept is listed, and planned again it gives the very same card."""
    assert "you have saved no job" in rotary("profile", "list")[1]
    code, out, err = rotary("profile", "save", FIRST, "--as", "spring bottle")
    assert code == 0, err
    assert "version 1" in out
    assert "version 2" in rotary("profile", "save", FIRST, "--as", "spring bottle")[1]
    assert "spring bottle  version 2" in rotary("profile", "list")[1]
    code, out, err = rotary("profile", "repeat", "spring bottle")
    # The very same numbers and steps, from the lens on.
    sheet = rotary("print", "setup", FIRST)[1]
    assert out.partition("FOCUS")[2].count("type this, not 79") == sheet.count("type this, not 79") == 1
    assert 'REPEAT: "spring bottle", version 2' in out
    assert "TEST FIRST. " in out
    assert "Not proven yet" in out
    assert rotary("profile", "repeat", "spring bottle", "--version", "1")[0] == 0
    assert rotary("profile", "repeat", "spring bottle", "--version", "9")[0] == 2
    code, _, err = rotary("profile", "repeat", "sprin bottle")
    assert code == 2
    assert 'did you mean "spring bottle"?' in err
    assert len(list((tmp_path / "profiles").glob("spring-bottle-*/000?-*.toml"))) == 2


def test_output_goes_to_a_file_whole(rotary: Run, tmp_path: Path) -> None:
    """--to writes what would have been printed and says so; nothing else appears in the folder."""
    code, out, _ = rotary("print", "setup", FIRST, "--to", "card.txt")
    assert (code, out) == (0, "wrote card.txt\n")
    assert (tmp_path / "card.txt").read_text("utf-8") == rotary("print", "setup", FIRST)[1] + f"({MADE_BY})\n"
    assert [path.name for path in tmp_path.iterdir()] == ["card.txt"]


def test_the_job_file_is_never_written_over(rotary: Run, tmp_path: Path) -> None:
    """Naming the job file after --to, even by another path, is refused and leaves it as it was."""
    text = examples()[FIRST].read_text("utf-8")
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    (tmp_path / "other.toml").symlink_to("mine.toml")
    for name in ("mine.toml", "./mine.toml", "other.toml"):
        code, _, err = rotary("plan", "mine.toml", "--to", name)
        assert code == 4
        assert "is the file you read from" in err
    assert (tmp_path / "mine.toml").read_text("utf-8") == text


def test_every_fault_of_a_job_is_one_line(rotary: Run, tmp_path: Path) -> None:
    """Exit code 3, a line for each fault, each with its field and what to write."""
    text = (
        examples()[FIRST].read_text("utf-8").replace('"88 mm"', "88").replace("wall", "wal").replace('"35 %"', '"0 %"')
    )
    (tmp_path / "bad.toml").write_text(text, encoding="utf-8")
    code, out, err = rotary("plan", "bad.toml")
    lines = err.splitlines()
    assert (code, out, len(lines)) == (3, "", 3)
    assert all(re.match(r"rotary: [a-z., 0-9_]+(:| is) ", line) for line in lines)


def test_a_coating_that_must_not_be_marked_has_its_own_exit_code(rotary: Run, tmp_path: Path) -> None:
    """The rest of the answer is given, the reason is told twice, and scripts see that there is nothing to run."""
    text = examples()[FIRST].read_text("utf-8").replace("polyester-powder-dark", "fluoropolymer-nonstick")
    (tmp_path / "pan.toml").write_text(text, encoding="utf-8")
    for command in (["plan"], ["print", "setup"]):
        code, out, err = rotary(*command, "pan.toml")
        assert code == 5
        assert "hydrogen fluoride" in " ".join(out.split())
        assert "hydrogen fluoride" in err
        # No row says how to mark what must not be marked.
        assert "Slice width in the file" not in out
    assert json.loads(rotary("plan", "pan.toml", "--json")[1])["removal"]["setting"] is None


@pytest.mark.parametrize("name", ["job.toml", "-"])
def test_the_length_that_alone_is_impossible_is_blamed(
    rotary: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """Of 88 m in a job file that length is told with what was meant, not the rollers that it falls between."""
    text = examples()[FIRST].read_text("utf-8").replace('"88 mm"', '"88 m"', 1)
    monkeypatch.chdir(tmp_path)
    Path("job.toml").write_text(text, "utf-8")
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(text.encode())))
    code, _, err = rotary("plan", name)
    assert code == 3
    assert "measurements 1, across: 88 m is too big here. Did you mean 88 mm?" in err
    assert "rollers" not in err


@pytest.mark.slow
def test_the_standard_input_is_a_job_too() -> None:
    """A dash reads the job from a pipe; the commands that come next name it as it was named."""
    text = examples()[FIRST].read_text("utf-8")
    named = spawned("plan", FIRST, "--samples", "0").stdout
    assert f"rotary print setup {FIRST}\n" in named
    assert spawned("plan", "-", "--samples", "0", input=text).stdout == named.replace(f" {FIRST}", " -")
    bad = spawned("plan", "-", input="what = is\n")
    assert (bad.returncode, bad.stdout) == (3, "")
    assert bad.stderr.startswith("rotary: line 1 of the job from the other program can't be read")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs the device that is always full")
@pytest.mark.slow
def test_an_output_that_takes_nothing_is_told() -> None:
    """A full disk behind the output ends with a sentence and its exit code."""
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        command = [sys.executable, "-m", "rotary", "print", "setup", FIRST]
        done = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True, check=False, cwd=ROOT)
    assert (done.returncode, done.stderr.count("\n")) == (4, 1)
    assert "can't write its output" in done.stderr


@pytest.mark.skipif(os.name == "nt", reason="pipes end otherwise there")
@pytest.mark.slow
def test_a_reader_that_goes_away_is_no_fault() -> None:
    """`rotary print setup | head` ends without a word."""
    command = [sys.executable, "-m", "rotary", "print", "setup", FIRST]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == ""
    assert process.returncode == 0


def test_help_loads_nothing_heavy() -> None:
    """The help text is there at once: neither arrays, models nor units library are loaded for it."""
    code = (
        "import sys; from rotary.__main__ import main; main(['--help']);"
        "print({'pint', 'numpy', 'pydantic', 'textual', 'rich.markdown'} & {*sys.modules}, file=sys.stderr);"
        "loaded = [name for name in sys.modules if name.startswith('rotary.cli.') and '_command' in name];"
        "assert loaded == [], loaded"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stderr.strip() == "set()"
    assert "Exit codes" in done.stdout


def test_a_fault_of_the_tool_is_one_sentence_unless_asked(rotary: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody at a machine meets a traceback; whoever mends the tool can ask for it."""

    def broken(*_: object) -> int:
        raise ZeroDivisionError("in rotary")

    monkeypatch.setattr(cli, "_run", broken)
    code, out, err = rotary("print", "setup", FIRST)
    assert (code, out) == (1, "")
    assert "Send this message and the job file" in err
    monkeypatch.setenv("ROTARY_DEBUG", "1")
    with pytest.raises(ZeroDivisionError):
        main(["print", "setup", FIRST])


def test_the_desk_is_opened_in_a_terminal(rotary: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In a terminal the bare command opens the desk; a job is handed on as the path of a file that can be read."""
    opened: list[str | None] = []

    def desk(job_path: str | None) -> int:
        opened.append(job_path)
        return 0

    monkeypatch.setattr(open_command, "_in_terminal", lambda: True)
    monkeypatch.setattr("tui.start.run", desk)
    mine = tmp_path / "mine.toml"
    mine.write_text("", encoding="utf-8")
    assert [rotary()[0], rotary("open")[0], rotary("open", FIRST)[0], rotary("open", "mine.toml")[0]] == [0, 0, 0, 0]
    assert opened == [None, None, str(examples()[FIRST]), "mine.toml"]
    assert rotary("open", "missing.toml")[0] == 4
    mine.write_text("what = is", encoding="utf-8")
    assert rotary("open", "mine.toml")[0] == 3
    assert len(opened) == 4


def test_a_desk_drawn_into_a_file_is_not_opened(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, terminal in (("stdin", True), ("stdout", True), ("stderr", False)):
        monkeypatch.setattr(sys, name, argparse.Namespace(isatty=lambda it=terminal: it))
    assert not open_command._in_terminal()


def test_the_desk_that_is_not_installed_is_told(rotary: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the screen's library there is a sentence and the way round it."""

    def missing(_: str | None) -> int:
        raise ModuleNotFoundError("no", name="textual")

    monkeypatch.setattr(open_command, "_in_terminal", lambda: True)
    monkeypatch.setattr("tui.start.run", missing)
    code, _, err = rotary("open")
    assert code == 4
    assert "because textual is not installed" in err


def test_questions_ask_for_input_and_take_a_file(rotary: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where input is closed, the sentence offers answers from a file, which is read as one that is typed."""
    monkeypatch.setattr(sys, "stdin", None)
    code, _, err = rotary("open", "--ask")
    assert code == 4
    assert "give it a file of answers" in err
    monkeypatch.setattr(sys, "stdin", io.StringIO("Heron bottle\nstop\n"))
    code, out, err = rotary("open", "--ask", "regatta-bottle")
    assert (code, err) == (0, "")
    assert "questions about a job" in out


@pytest.mark.skipif(sys.platform == "win32", reason="the folder that one is in can't be deleted")
def test_a_folder_that_was_deleted_under_one_is_told(
    rotary: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A name from there leads nowhere, which is said, whatever the shell believes where it is."""
    (tmp_path / "gone").mkdir()
    monkeypatch.chdir(tmp_path / "gone")
    monkeypatch.setenv("PWD", str(tmp_path))
    (tmp_path / "gone").rmdir()
    assert rotary("art", "slice", FIRST, "--text", "A", "--to", "s", "--samples", "0") == (
        4, "", "rotary: the folder that you are in was deleted: change to another folder\n",
    )  # fmt: skip


def test_ctrl_c_stops_with_its_own_code(rotary: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stopping is no fault and is told apart from one."""

    def stopped(*_: object) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr(cli, "_run", stopped)
    assert rotary("print", "setup", FIRST)[0] == 130


def every_option() -> dict[str, list[str]]:
    """Every command, and the options that it knows."""
    return {
        name: [word for row in options(app) for word in row.names.replace(",", "").split() if word[0] == "-"]
        for name, app in leaves()
    }


OPTIONS = every_option()
VALUES = [
    "",
    "0",
    "1",
    "-1",
    "nan",
    "1e400",
    "-",
    "--",
    "*",
    "job",
    FIRST,
    "../up.zip",
    "clear",
    "25 min",
    "2026-01-01",
]
VALUES += ["field", "axis=x", "drawn=1 mm", "\x1b[31m", "\udc80", "ü" * 300, "\0"]
TYPED = [
    *(word for name in OPTIONS for word in name.split()),
    *{word for known in OPTIONS.values() for word in known},
    *VALUES,
]


@st.composite
def command_lines(draw: st.DrawFn) -> list[str]:
    """A command with values in its places and some of its own options, each with a value or without."""
    name = draw(st.sampled_from(sorted(OPTIONS)))
    values = st.sampled_from(VALUES) | st.text(max_size=12)
    line = [*name.split(), *draw(st.lists(values, max_size=3))]
    options = OPTIONS[name] or ["--yes"]
    for option in draw(st.lists(st.sampled_from(options), max_size=3)):
        line += [option, *draw(st.lists(values, max_size=1))]
    return line


async def _stopped_at_once(*_: object) -> None:
    """What Ctrl+C makes of a server."""


@pytest.mark.slow
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.lists(st.sampled_from(TYPED) | st.text(max_size=12), max_size=5) | command_lines())
def test_no_arguments_end_in_a_traceback(rotary: Run, arguments: list[str]) -> None:
    """Whatever is typed, the exit code is one of the documented ones, and a failure says something."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "stdin", None)
        # It would serve until somebody stops it.
        patch.setattr("tui.browser.server._served", _stopped_at_once)
        code, _, err = rotary(*(arguments or ["plan"]))
    assert code in (0, 2, 3, 4, 5)
    assert code == 0 or err


def test_the_page_and_the_help_tell_the_same_exit_codes() -> None:
    """The documented codes are those of the help text."""
    page = (ROOT / "docs" / "reference" / "command-line.md").read_text("utf-8")
    told = re.findall(r"^\| (\d+) \|", page, re.M)
    assert told == list(map(str, cli.output.EXIT_CODES))


def test_the_job_on_the_page_is_a_job() -> None:
    """The example in the documentation of job files can be copied and planned."""
    page = (ROOT / "docs" / "reference" / "job-file.md").read_text("utf-8")
    (block,) = re.findall(r"^```toml\n(.*?)^```", page, re.M | re.S)
    assert tomllib.loads(block)
    assert job_from_text(block).item.wall_mm == 0.5


def test_the_page_names_every_key() -> None:
    """No key of a job file is left out of its pages."""
    page = "".join((ROOT / "docs" / "reference" / f"{name}.md").read_text("utf-8") for name in ("job-file", "fields"))
    schema = json.loads((ROOT / "docs" / "job.schema.json").read_text("utf-8"))
    tables = [schema["properties"], *(entry["properties"] for entry in schema["$defs"].values())]
    assert not {key for table in tables for key in table if not re.search(rf"\b{key}\b", page)}
