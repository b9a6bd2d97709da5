"""The twelve words: their help, what stands anywhere, and that nothing is replaced in silence."""

import argparse
import ast
import json
import os
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from rotary.cli import core, main
from rotary.cli.help_text import options
from rotary.cli.words import WORDS, tree
from rotary.job import Job, job_from_file
from rotary.plan import Plan
from rotary.services import Folders
from rotary.services.planning import plan_for
from rotary.shipped import FIRST, examples
from rotary.store.changes import Change, change_lines
from tests.made_pages import PAGES, leaves

ROOT = Path(__file__).resolve().parents[2]
Run = Callable[..., tuple[int, str, str]]


def test_there_are_twelve_words_and_each_command_has_its_example() -> None:
    """Each example in a help is understood."""
    assert len(WORDS) == 12
    for name, app in leaves():
        doc = app.default_command.__doc__ or "" if app.default_command else ""
        shown = re.findall(r"^\s*Example: rotary (.+)$", doc, re.M)
        assert shown, name
        for example in shown:
            assert example.startswith((name, "--"))
            words = [word for word in shlex.split(example.partition(" >")[0]) if word != "--dry-run"]
            tree().parse_args(words, print_error=False, exit_on_error=False)


@pytest.mark.parametrize("name", PAGES)
def test_a_page_that_is_made_from_the_code_is_up_to_date(name: str) -> None:
    """Commands, old words, keys and fields stand on their pages as the code has them."""
    place, made = ROOT / "docs" / "reference" / f"{name}.md", PAGES[name]()
    if os.environ.get("MADE") == "update":
        place.write_text(made, "utf-8")
    assert place.read_text("utf-8") == made


def test_every_option_stands_with_its_command() -> None:
    """What several commands share is explained once, and named with each."""
    _, *parts = PAGES["commands"]().split("\n## rotary ")
    sections = dict(part.split("\n", 1) for part in parts)
    for name, app in leaves():
        assert {row.names.split()[0] for row in options(app)} <= {*re.findall(r"`([^ `]+)", sections[name])}, name


def test_an_option_has_one_meaning() -> None:
    """What is shared is said in the same words everywhere, and no earlier option is left."""
    meanings: dict[str, set[str]] = {}
    for _, app in leaves():
        for row in options(app):
            meanings.setdefault(row.names.partition(" ")[0], set()).add(row.meaning)
    for shared in ("--store", "--machine", "--machines", "--samples", "--inches", "--json", "--plain", "--art"):
        assert len(meanings[shared]) == 1, meanings[shared]
    assert not {"--out", "--folder", "--rig", "--rigs", "--draws", "--over", "--svg", "--strike", "--keep"} & {
        *meanings
    }


def test_a_plan_begins_with_the_verdict(rotary: Run) -> None:
    """Of every example: how it stands, what forbids the start, what is typed, each number on a line of its own."""
    for name in examples():
        code, out, _ = rotary("plan", name, "--samples", "50")
        lines = out.splitlines()
        assert code in (0, 5)
        # An example that has all its readings never says READY.
        assert any(word in lines[0] for word in ("NOT READY", "TEST FIRST", "NOT YOUR MACHINE. Clean", "PROVEN"))
        starts = [line.split(" ")[0].rstrip(":") for line in lines]
        assert starts.index("STOP") < starts.index("IMPORT") < starts.index("TYPE") < starts.index("RUN")
        actions = json.loads(rotary("plan", name, "--samples", "50", "--json")[1])["actions"]
        assert lines[0] == actions["verdict"]["text"]
        assert [line.partition(": ")[2] for line in lines if line.startswith("TYPE")] == [
            row["text"] for row in actions["type"]
        ]
        whole = " ".join(lines)
        assert all(text in whole for text in actions["run"]["texts"])
        assert all(row["text"] in whole for part in ("import", "by_hand", "check") for row in actions[part])


@pytest.mark.slow
def test_a_shell_completes_every_word(rotary: Run) -> None:
    """Words, their commands and options stand in what each shell is given."""
    for shell in ("bash", "zsh", "fish"):
        code, out, _ = rotary("--completion", shell)
        assert code == 0
        assert all(word in out for word in (*WORDS, "as-measured", "error-budget"))


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("bash") is None, reason="needs that shell")
@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("pro", "profile"),
        ("profile resol", "resolve"),
        ("print setup x --paper ", "A4 Letter"),
        ("plan x --plai", "--plain"),
    ],
)
def test_bash_completes_what_is_begun(rotary: Run, tmp_path: Path, typed: str, offered: str) -> None:
    """The shell itself is asked, with the script that is printed for it."""
    (tmp_path / "script").write_text(rotary("--completion", "bash")[1], "utf-8")
    words = ["rotary", *typed.split(" ")]
    ask = 'source ./script; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _rotary rotary "${@: -1}" "${@: -2:1}"'
    asked = ["bash", "-c", f'{ask}; echo "${{COMPREPLY[*]}}"', "bash", *words]
    done = subprocess.run(asked, capture_output=True, text=True, check=True, cwd=tmp_path)
    assert done.stdout.strip() == offered


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("bash") is None, reason="needs that shell")
def test_bash_completes_the_name_of_a_job_file(rotary: Run, tmp_path: Path) -> None:
    """A shell at a terminal: Tab after a command that takes a job offers the files that lie there."""
    (tmp_path / "script").write_text(rotary("--completion", "bash")[1], "utf-8")
    (tmp_path / "bottle.toml").write_text("", "utf-8")
    keys = 'source ./script\nrotary() { echo "got:$*"; }\nrotary plan bot\t\nrotary print set\tbot\t\nexit\n'
    done = subprocess.run(
        ["bash", "--norc", "--noprofile", "-i"], input=keys, capture_output=True, text=True, check=False, cwd=tmp_path,
        env={**os.environ, "PS1": "$ ", "TERM": "dumb", "INPUTRC": os.devnull},
    )  # fmt: skip
    assert "got:plan bottle.toml" in done.stdout
    assert "got:print setup bottle.toml" in done.stdout


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("zsh") is None, reason="needs that shell")
@pytest.mark.parametrize("way", ["source ./_rotary", "fpath=($PWD $fpath); compinit -u -D"])
def test_zsh_knows_the_script_by_its_name(rotary: Run, tmp_path: Path, way: str) -> None:
    """Sourced, or as a file of that name in its path of functions, it belongs to the command."""
    (tmp_path / "_rotary").write_text(rotary("--completion", "zsh")[1], "utf-8")
    ask = f"autoload -Uz compinit; compinit -u -D; {way}; print $_comps[rotary]; print $+functions[_rotary]"
    done = subprocess.run(["zsh", "-f", "-c", ask], capture_output=True, text=True, check=True, cwd=tmp_path)
    assert done.stdout.split() == ["_rotary", "1"]
    assert "_cyclopts" not in (tmp_path / "_rotary").read_text("utf-8")


@pytest.mark.slow
def test_what_stands_anywhere(rotary: Run, tmp_path: Path) -> None:
    """-q leaves the answer and takes the reports; --dry-run checks all and writes nothing; behind -- all is meant."""
    code, out, _ = rotary("profile", "save", FIRST, "--as", "mug", "--dry-run")
    assert (code, out.count("nothing was written")) == (0, 1)
    assert not (tmp_path / "profiles").exists()
    assert rotary("-q", "profile", "save", FIRST, "--as", "mug") == (0, "", "")
    stored = {path: path.read_bytes() for path in (tmp_path / "profiles").rglob("*") if path.is_file()}
    for words in (
        ("profile", "delete", "mug"), ("profile", "rename", "mug", "cup"), ("profile", "copy", "mug", "cup"),
        ("profile", "note", "mug", "wipe"), ("log", "add", "mug", "good"), ("machine", "new", "bench"),
        ("profile", "export", "--to", "all.zip"), ("patch", "new", FIRST), ("print", "setup", FIRST, "--to", "a.txt"),
        ("art", "slice", FIRST, "--text", "A", "--to", "s"), ("depth", "record", "brass-nut", "10 = 18 um"),
        ("machine", "record", "field", "axis=x", "drawn=140 mm", "measured=139 mm"),
        ("profile", "proven", "mug", "--passes", "4"),
    ):  # fmt: skip
        code, out, err = rotary(*words, "--dry-run")
        assert (code, "nothing was written" in out) == (0, True), (words, err)
    assert {path: path.read_bytes() for path in (tmp_path / "profiles").rglob("*") if path.is_file()} == stored
    assert sorted(path.name for path in tmp_path.iterdir()) == ["profiles"]
    assert "mug" in rotary("profile", "list", "-q")[1]
    assert rotary("profile", "note", "mug", "--", "-q")[0] == 0


def test_a_person_is_asked_before_anything_is_replaced(
    rotary: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At a terminal: no leaves it, yes replaces it. An earlier drawing of a set is no other than a file."""
    path = tmp_path / "a.txt"
    path.write_text("mine", "utf-8")
    for answer, code in (("n\n", 4), ("\n", 4), ("y\n", 0)):
        assert path.read_text("utf-8") == "mine"
        stream = argparse.Namespace(isatty=lambda: True, readline=lambda answer=answer: answer)
        monkeypatch.setattr(sys, "stdin", stream)
        monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
        found, _, err = rotary("plan", FIRST, "--samples", "0", "--to", "a.txt")
        assert (found, "Replace it? [y/N]" in err) == (code, True)
    assert path.read_text("utf-8") != "mine"
    monkeypatch.undo()


def test_a_second_drawing_never_replaces_the_first_in_silence(rotary: Run, tmp_path: Path) -> None:
    """The same folder again: refused before anything is planned, unless it is said."""
    words = ("art", "slice", FIRST, "--text", "A", "--to", "s")
    assert rotary(*words)[0] == 0
    before = {path.name: path.read_bytes() for path in (tmp_path / "s").iterdir()}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("rotary.plan.plan", lambda *_, **__: pytest.fail("was planned"))
        code, _, err = rotary(*words)
    assert (code, "add --yes to replace those files" in err) == (
        4,
        1,
    )
    assert {path.name: path.read_bytes() for path in (tmp_path / "s").iterdir()} == before
    assert rotary(*words, "--yes")[0] == 0


@pytest.mark.parametrize("command", ["slice", "flat", "check"])
def test_a_file_name_that_is_no_text_is_a_sentence(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A name with a byte that is no letter in any alphabet is refused by its option, not by a traceback."""
    more = [str(tmp_path / "x.svg")] if command == "check" else ["--to", str(tmp_path / "out")]
    assert main(["art", command, "boathouse-mug", *more, "--art", "\udc80.svg"]) == 2
    assert ".svg can't be used here: write" in capsys.readouterr().err


@pytest.mark.slow
def test_the_power_of_the_rung_is_stored(rotary: Run) -> None:
    """The first slice came clean at a higher power: proof, log and reading store it, the reading with its pulses."""
    assert rotary("profile", "save", FIRST, "--as", "mug", "--samples", "50")[0] == 0
    assert rotary("profile", "proven", "mug", "--passes", "6", "--power", "98 %", "--numbers", "now")[0] == 0
    numbers = json.loads(rotary("profile", "repeat", "mug", "--json")[1])["numbers"]
    assert (numbers["power_share"], numbers["passes_counted"]) == (0.98, 6)
    words = ("log", "add", "mug", "clean", "--passes", "6", "--power", "97", "--numbers", "saved", "--samples", "50")
    assert rotary(*words, "--teach")[0] == 0
    assert json.loads(rotary("log", "list", "--json")[1])[0]["plan"]["power_share"] == 0.97
    (read,) = json.loads(rotary("patch", "list", "--json")[1])
    assert (read["power_share"], read["passes"]) == (0.97, 6)
    average_w = read["energy_mj"] * read["frequency_khz"]
    assert average_w == pytest.approx(0.97 * job_from_file(examples()[FIRST]).laser.rated_power_w, rel=0.01)


@pytest.mark.parametrize(
    ("what", "word", "likely"),
    [
        ("metal", "steel", "did you mean stainless-304 or mild-steel?"),
        ("metal", "brass", "did you mean brass-c26000?"),
        ("metal", "Aluminum", "did you mean aluminium-6061?"),
        ("metal", "unobtainium", "write one of stainless-304"),
        ("coating", "anodised", "did you mean anodised-film?"),
        ("coating", "powder coat", "did you mean polyester-powder-dark, polyester-powder-light"),
        ("coating", "powdercoated", "did you mean polyester-powder-dark, polyester-powder-light"),
        ("coating", "PTFE", "did you mean fluoropolymer-nonstick?"),
        (
            "coating",
            "moonshine",
            'For bare metal write "none", for your own coating two words: dark, light, metallic or clear, then powder,',
        ),
    ],
)
def test_a_shops_word_for_a_material_leads_somewhere(
    rotary: Run, tmp_path: Path, what: str, word: str, likely: str
) -> None:
    """What is known by another name is offered; else all names are."""
    text = re.sub(rf'(?m)^{what} = ".*"$', f'{what} = "{word}"', examples()[FIRST].read_text("utf-8"))
    (tmp_path / "job.toml").write_text(text, "utf-8")
    code, _, err = rotary("plan", "job.toml", "--samples", "0")
    assert (code, err.count("\n")) == (3, 1)
    assert likely in err


@pytest.mark.slow
def test_one_file_bears_the_name_that_is_asked_for(rotary: Run, tmp_path: Path) -> None:
    """Flat artwork and dots are written as the person called them, the parts that a coating is tried with after it."""
    Image.linear_gradient("L").save(tmp_path / "grey.png")
    assert rotary("art", "flat", FIRST, "--text", "A", "--to", "my crest.svg")[0] == 0
    assert rotary("art", "dots", FIRST, "grey.png", "--mark", "lighter", "--to", "my heron.png")[0] == 0
    names = {path.name for path in tmp_path.iterdir() if path.is_file() and path.name != "grey.png"}
    parts = ("", "-first", "-second", "-rest")
    assert names == {f"my {name}" for part in parts for name in (f"crest{part}.svg", f"heron{part}.png")}
    before = (tmp_path / "grey.png").read_bytes()
    assert rotary("art", "dots", FIRST, "grey.png", "--mark", "lighter", "--to", "grey.png", "--yes")[0] == 4
    assert (tmp_path / "grey.png").read_bytes() == before


def test_details_stand_in_lines_too(rotary: Run, tmp_path: Path) -> None:
    """What a PDF has behind its first page, plain lines and a text file have as well."""
    first = rotary("print", "setup", FIRST, "--samples", "50")[1].splitlines()
    whole = rotary("print", "setup", FIRST, "--samples", "50", "--details")[1]
    assert len(whole.splitlines()) > 2 * len(first)
    assert rotary("print", "setup", FIRST, "--samples", "50", "--details", "--to", "a.txt")[1] == "wrote a.txt\n"
    assert (tmp_path / "a.txt").read_text("utf-8").startswith(whole)


def test_words_are_planned_as_asked(rotary: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Words on small parts go by the samples, readings and machines that are named, as every other command does."""
    asked = set()

    def spied(job: Job, folders: Folders, draws: int) -> Plan:
        asked.add((str(folders.profiles), str(folders.machines), draws))
        return plan_for(job, folders, draws)

    monkeypatch.setattr("rotary.services.planning.plan_for", spied)
    words = ("--text", "A", "--samples", "7", "--store", "mine", "--machines", "bench", "--to", "n", "--card", "n.json")
    assert rotary("inscribe", "brass-nut", *words)[0] == 0
    assert asked == {("mine", "bench", 7)}


@pytest.mark.parametrize("more", [(), ("--to", "n")])
def test_words_are_told_in_inches_where_asked(rotary: Run, more: tuple[str, ...]) -> None:
    """What is only shown, and the sheet that goes with the files."""
    words = ("inscribe", "brass-nut", "--text", "HERON", "--samples", "0", *more)
    for unit, others in (((), " mm high (a capital)"), (("--inches",), " in high (a capital)")):
        assert others in rotary(*words, *unit, "--yes")[1]


def test_a_gap_ladder_is_recorded_by_the_number_of_its_gap(rotary: Run) -> None:
    """The widest gap that closed is saved for the machine, and its plans go by it; nothing is saved by a dry run."""
    words = ("patch", "record", FIRST, "--gap", "3", "--samples", "50")
    assert "nothing was written" in rotary(*words, "--dry-run")[1]
    assert rotary("machine", "list", "--json")[1].strip() == "[]"
    code, out, _ = rotary(*words)
    assert (code, "Your gap ladder shows that marking closes gaps of up to" in out) == (0, True)
    (reading,) = json.loads(rotary("machine", "show", "--json")[1])["readings"]
    assert (reading["kind"], reading["closed"]) == ("gap-ladder", 3)
    seams = json.loads(rotary("plan", FIRST, "--samples", "50", "--machine", "main", "--json")[1])["seams"]
    assert seams["source"] == "measured"
    assert json.loads(rotary("plan", FIRST, "--samples", "50", "--json")[1])["seams"]["source"] == "assumed"


def test_options_of_a_drawing_need_one_and_answers_go_to_a_file(rotary: Run, tmp_path: Path) -> None:
    """The error budget and the suggestions go where --to says, as lines or as JSON, like the plan itself."""
    assert rotary("plan", FIRST, "--samples", "50", "--error-budget", "--to", "b.txt")[1] == "wrote b.txt\n"
    shown = rotary("plan", FIRST, "--samples", "50", "--error-budget")[1]
    assert " thou " in rotary("plan", FIRST, "--samples", "50", "--error-budget", "--inches")[1]
    assert (tmp_path / "b.txt").read_text("utf-8").startswith(shown)
    assert rotary("plan", FIRST, "--samples", "50", "--error-budget", "--json", "--to", "b.json")[0] == 0
    assert json.loads((tmp_path / "b.json").read_text("utf-8"))["inputs"]


def test_help_is_a_word_too(rotary: Run) -> None:
    """`rotary help plan` shows what `rotary plan --help` shows."""
    assert rotary("help", "plan") == rotary("plan", "--help")
    assert rotary("help") == rotary("--help")


def test_an_example_is_written_where_it_is_asked_for(rotary: Run, tmp_path: Path) -> None:
    """As it ships, to start from; nothing that stands there is replaced unasked."""
    assert rotary("job", "example", "brass-nut", "--to", "mine.toml")[::2] == (0, "")
    assert (tmp_path / "mine.toml").read_bytes() == examples()["brass-nut"].read_bytes()
    code, _, err = rotary("job", "example", "pommel-nut", "--to", "mine.toml")
    assert (code, "add --yes" in err) == (4, True)
    assert rotary("job", "example", "--to", "all.json", "--json")[0] == 0
    assert {*json.loads((tmp_path / "all.json").read_text("utf-8"))} == {*examples()}


def test_what_changed_between_versions_is_said_in_a_persons_words(rotary: Run, tmp_path: Path) -> None:
    """The same words as on the screen; JSON keeps the names of the file."""
    text = examples()["brass-nut"].read_text("utf-8")
    for place, width in enumerate(("0.3 mm", "0.4 mm")):
        edge = f'[tolerances]\nblank_edge = "{width}"'
        (tmp_path / "nut.toml").write_text(text.replace("[tolerances]", edge), "utf-8")
        assert rotary("profile", "save", "nut.toml", "--as", "nut", "--samples", "0")[0] in (0, 5), place
    said = rotary("profile", "compare", "nut")[1]
    assert "  margin of slices: 0.3 mm → 0.4 mm" in said
    assert "tolerances" not in said
    assert any("tolerances." in one["where"] for one in json.loads(rotary("profile", "compare", "nut", "--json")[1]))


def test_a_reading_that_was_added_is_one_line_in_a_persons_words() -> None:
    """Not a line for each of its settings, and never the word that is stored for what was seen."""
    stored = {"of": "test patch", "place": "cell 3", "shows": "covered", "power": "12 %", "ignored": "no"}
    added = [Change(f"saved.readings.1.{name}", "-", text) for name, text in stored.items()]
    marked = Change("saved.readings.0.ignored", "no", "yes")
    gone = [Change("saved.readings.4.of", "diameter", "-")]
    assert change_lines([*added, marked, *gone]) == [
        "reading added: test patch, cell 3, coating left",
        "ignored reading 1: no → yes",
        "reading removed: diameter",
    ]


def test_a_complaint_goes_nowhere_else(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """Without an error output the answer's place stays empty."""
    monkeypatch.setattr(sys, "stderr", None)
    assert main(["plan", "nope"]) == 2
    monkeypatch.undo()
    assert capsys.readouterr().out == ""


def test_each_module_of_the_core_is_the_one_that_is_checked() -> None:
    """What a command takes at run time is what the type checker reads of it."""
    (block,) = (one for one in ast.parse(Path(core.__file__).read_text("utf-8")).body if isinstance(one, ast.If))
    imports = [line for line in block.body if isinstance(line, ast.ImportFrom)]
    checked = {name.asname or name.name: f"{line.module}.{name.name}" for line in imports for name in line.names}
    assert checked == {name: f"rotary.{place}" for name, place in core._MODULES.items()}
    assert all(getattr(core, name).__name__ == place for name, place in checked.items())
