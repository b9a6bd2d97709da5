"""The questions in plain lines: the desk's own fields, and answers that anybody can hear."""

import io
import os
import re
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary.job import job_from_data
from rotary.papers.text import voice_text
from rotary.services.actions import actions_for
from tui.catalogue import GROUPS
from tui.catalogue.words import words_of
from tui.form.fields import Table
from tui.form.job_form import Session
from tui.plain import run
from tui.plain.questions import asked, questions
from tui.plain.talk import StoppedError, Talk
from tui.planner.request import Verdict

ROOT = Path(__file__).resolve().parents[2]
DRAWN = re.compile("[\u2190-\u21ff\u2300-\u23ff\u2500-\u25ff\u2800-\u28ff\x1b]|[|_]{2}|-{4}|={4}|\\[ \\]")
"""What a screen reader spells out sign by sign: arrows, frames, blocks, braille, strokes of big digits, rules."""


class Person(io.StringIO):
    """Answers each question by its words: the first key that its line has, else Enter."""

    def __init__(self, answers: dict[str, list[str]]) -> None:
        super().__init__()
        self.answers = answers
        self.out = io.StringIO()

    def readline(self, _size: int = -1) -> str:  # type: ignore[override]
        """The answer to what was asked last."""
        line = self.out.getvalue().rpartition("\n")[2]
        # Where a person types, the terminal goes to a new line.
        self.out.write("\n")
        for words, left in self.answers.items():
            if words in line and left:
                return left.pop(0) + "\n"
        return "\n"


def talk_of(session: Session, person: Person, in_person: bool = True) -> Talk:
    return Talk(session, person, person.out, in_person, run.numbers)


FLASK = {
    "Item, name": ["Heron flask"],
    "place 1, height": ["0"], "place 1, diameter": ["65"],
    "place 2, height": ["210 mm"], "place 2, diameter": ["3 in"],
    "Turning, roller diameter": ["20"], "Turning, roller centres": ["60"], "Turning, axis height": ["30"],
    "Turning, gear ratio": ["3"],
    "Laser and lens, laser name": ["Our head"], "Laser and lens, rated power": ["60"],
    "Laser and lens, focal length": ["254"],
    "Laser and lens, field": ["175"],
    "Laser and lens, largest pulse": ["1.5"], "Laser and lens, lowest frequency": ["20"],
    "Laser and lens, highest frequency": ["600"],
    "Artwork, width": ["60"], "Artwork, height": ["40"], "Artwork, middle at height": ["100"],
}  # fmt: skip


def answers(**more: list[str]) -> dict[str, list[str]]:
    return {words: list(lines) for words, lines in {**more, **FLASK}.items()}


@pytest.mark.slow
def test_from_nothing_to_the_numbers() -> None:
    """Answers to the questions make the job that a file would make, and the numbers are those of its setup sheet."""
    session = Session(run.BLANK)
    person = Person(answers())
    talk_of(session, person).through()
    assert not session.faults(), person.out.getvalue()
    job = job_from_data(session.data(), units="mm")
    assert job.item.name == "Heron flask"
    lines = run.numbers(session)
    assert session.plan is not None
    # What is typed has a line each, what is only looked at stands in the sentences of IMPORT and CHECK.
    for entry in session.plan.split.key_in:
        assert any(voice_text(entry.text) in line and voice_text(entry.leave) in line for line in lines), entry
    rows = actions_for(session.plan, Path()).type
    typed = [line for line in lines if line.startswith("TYPE ")]
    assert typed == [f"TYPE {place}: {voice_text(row.text)}" for place, row in enumerate(rows, 1)]
    for row in rows:
        figure = row.text if row.figure is None else f"{row.label}: {row.figure} {row.unit}".strip()
        assert voice_text(figure) in typed[rows.index(row)], row
    assert len(typed) > 8


@pytest.mark.slow
def test_nothing_is_drawn(bottle: dict[str, Any]) -> None:
    """No box, frame, arrow or big digit in a whole conversation."""
    person = Person({"Go through these questions": ["yes"] * 9})
    talk = talk_of(Session(bottle), person)
    talk.everything = True
    talk.through()
    talk.say(*run.numbers(talk.session))
    drawn = [line for line in person.out.getvalue().splitlines() if DRAWN.search(line)]
    assert not drawn


@pytest.mark.parametrize("kind", ["rollers", "chuck"])
@pytest.mark.parametrize("section", ["round", "flats"])
def test_every_field_of_the_desk_is_asked(bottle: dict[str, Any], kind: str, section: str) -> None:
    """Where everything is asked for, the questions are the desk's fields, in its order, with its words and units. Only
    a drawing comes before the size that it has to offer."""
    session = Session(bottle)
    session.edit("turning.kind", kind)
    session.edit("item.section", section)
    every = questions(session, {group.key for group in GROUPS}, everything=True)
    keys = [question.key for question in every if question.kind != "part"]
    expected: list[str] = []
    for group in GROUPS:
        for entry in sorted(group.content, key=lambda entry: entry.key not in ("artwork.name", "artwork.pieces")):
            if not session.is_there(entry):
                continue
            if isinstance(entry, Table):
                rows = range(session.rows(entry))
                expected += [entry.cell(row, column) for row in rows for column in entry.every]
            expected.append(entry.key)
    assert keys == expected
    for question in every:
        if question.field is not None:
            line = asked(session, question)
            assert question.field.label in line
            stands = session.text(question.key) or session.stands(question.key)
            if question.field.is_choice:
                stands = words_of(question.field, stands)
            assert stands in line


def test_a_job_that_can_t_be_saved_is_told_in_the_words_of_its_question(tmp_path: Path) -> None:
    """Not with the name that a file has for the field."""
    person = Person({"Save this job": ["yes"]})
    run._offers(talk_of(Session(run.BLANK), person), tmp_path, None)
    assert "Not saved: Height 1: this field is still empty. Type at what height" in person.out.getvalue()
    assert "item." not in person.out.getvalue()


def test_laser_and_lens_are_asked_for_and_not_only_offered(bottle: dict[str, Any]) -> None:
    """Which laser it is comes first; its figures are asked for where it is a person's own."""
    session = Session(bottle)
    keys = [question.key for question in questions(session, set())]
    assert "use_laser" in keys
    assert "laser.rated_power" not in keys
    session.edit("use_laser", "own")
    assert "laser.rated_power" in [question.key for question in questions(session, set())]


@pytest.mark.slow
def test_a_wrong_answer_is_told_in_a_sentence_and_asked_again() -> None:
    """A person is asked again, and what stood there before stays."""
    session = Session(run.BLANK)
    person = Person({**answers(), "place 1, diameter": ["12 kg", "65"]})
    talk_of(session, person).through()
    said = person.out.getvalue()
    assert re.search(r"(?m)^12 kg .*mm.*\. Nothing changed\.$", said)
    assert said.count("place 1, diameter") == 2
    assert session.text("item.measurements.0.across") == "65"


def test_what_the_core_refuses_is_asked_again() -> None:
    """What no single field shows to be wrong is said at the end of its part, and the field asked again."""
    session = Session(run.BLANK)
    person = Person({**answers(), "Turning, roller centres": ["200", "60"]})
    talk_of(session, person).through()
    assert person.out.getvalue().count("Turning, roller centres, in mm") == 2
    assert "Your answer can't be used" in person.out.getvalue()
    assert not session.faults()


def test_what_can_t_be_put_right_yet_is_left() -> None:
    """Where Enter is all that is answered, nobody is asked the same for ever: it is said again at the end."""
    session = Session(run.BLANK)
    person = Person({**answers(), "Turning, roller centres": ["200"]})
    talk_of(session, person).through()
    assert person.out.getvalue().count("Turning, roller centres, in mm") == 3
    said = run.numbers(session)
    assert said[0] == "There are no numbers yet."
    assert any("roller centres" in line for line in said)


def test_back_undo_help_remove_skip() -> None:
    """The words do what they say: one question back, one change taken back, a row out, on to the next part."""
    session = Session(run.BLANK)
    person = Person({
        **answers(),
        "Item, name": ["Heron cup", "help", "Heron mug"],
        "section": ["back", ""],
        "place 1, height": ["undo", "0"],
        "measured at: 2 so far": ["yes"],
        "place 3, height": ["remove"],
        "Turning, turned by": ["skip"],
        "Artwork, width": ["stop"],
    })  # fmt: skip
    with pytest.raises(StoppedError):
        talk_of(session, person).through()
    said = person.out.getvalue()
    assert said.count("Item, name") == 4, "asked, asked again after back, after help, and after undo"
    assert "The job is saved under this name" in said
    assert "Undone" in said
    assert "place 3 is removed" in said
    assert session.rows(session.tables["item.measurements"]) == 2
    assert "Turning, gear ratio" not in said


@pytest.mark.parametrize(("answer", "chosen"), [("2", "chuck"), ("ch", "chuck"), ("CHUCK", "chuck"), ("", "rollers")])
def test_a_choice_by_number_or_by_name(answer: str, chosen: str) -> None:
    """An option is named by its number, its name or the beginning of it."""
    session = Session(run.BLANK)
    talk_of(session, Person({**answers(), "turned by": [answer]})).through()
    assert session.text("turning.kind") == chosen


@pytest.mark.slow
def test_an_item_may_be_called_back() -> None:
    """A text that is also a word of the conversation is written after =; = alone empties the field."""
    session = Session(run.BLANK)
    person = Person({**answers(), "Item, name": ["= back"], "runout": ["0.3", "= "]})
    talk_of(session, person).through()
    assert session.text("item.name") == "back"
    assert session.text("item.runout") == "0.3"


@pytest.fixture
def piped(tmp_path: Path) -> Callable[..., subprocess.CompletedProcess[str]]:
    """Runs `rotary open --ask` with answers from a pipe, in an empty folder."""

    def run(lines: str, *more: str) -> subprocess.CompletedProcess[str]:
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "ROTARY_FOLDER": str(tmp_path / "kept")}
        return subprocess.run(
            [sys.executable, "-m", "rotary", "ask", *more],
            input=lines, capture_output=True, text=True, check=False, env=environment, cwd=tmp_path, timeout=200,
        )  # fmt: skip

    return run


@pytest.mark.slow
def test_from_a_pipe_to_profile_and_card(
    piped: Callable[..., subprocess.CompletedProcess[str]], tmp_path: Path
) -> None:
    """A shipped job gone through by a pipe: numbers, then a kept profile and a card on disk."""
    session = Session(run.BLANK)
    count = len(questions(Session(_example()), set()))
    assert count > 20
    done = piped("\n" * count + "yes\ncard.txt\n", "regatta-bottle")
    assert done.returncode == 0, done.stdout + done.stderr
    assert re.search(r"(?m)^TYPE 1: Slice width in the file: [0-9.]+ mm", done.stdout)
    assert not DRAWN.search(done.stdout)
    assert len(list((tmp_path / "kept").glob("regatta-bottle-600-ml-*/0001-*.toml"))) == 1
    assert "Regatta bottle 600 ml" in (tmp_path / "card.txt").read_text("utf-8")
    assert session.plan is None


@pytest.mark.slow
def test_too_few_answers_keep_the_rest(piped: Callable[..., subprocess.CompletedProcess[str]], tmp_path: Path) -> None:
    """A pipe that ends early has answered the first questions; the numbers come, nothing is written."""
    done = piped("Heron bottle\n", "regatta-bottle")
    assert done.returncode == 0, done.stdout + done.stderr
    assert "You gave no more answers" in done.stdout
    assert re.search(r"(?m)^TYPE 1: Slice width in the file: [0-9.]+ mm", done.stdout)
    assert not (tmp_path / "kept").exists()


@pytest.mark.slow
def test_a_wrong_answer_in_a_pipe_ends_it(
    piped: Callable[..., subprocess.CompletedProcess[str]], tmp_path: Path
) -> None:
    """The answers after it would land at other questions: exit code 3, the reason told, nothing written."""
    done = piped("Heron bottle\n\n12 kg\n", "regatta-bottle")
    assert done.returncode == 3
    assert re.search(r"(?m)^12 kg .* Nothing changed\.$", done.stdout)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
def test_in_inches(piped: Callable[..., subprocess.CompletedProcess[str]]) -> None:
    """Asked in inches, a bare number is one, and the question says so."""
    done = piped("Heron bottle\n\n0\n3.5\n", "regatta-bottle", "--inches")
    assert "place 1, diameter, in inches" in done.stdout
    assert done.returncode == 0, done.stdout


WORDS = ("", "help", "back", "undo", "remove", "skip", "all", "yes", "no", "1", "2", "65", "3 in", "12 kg", "=", "= x")


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(WORDS) | st.text(max_size=8), max_size=120))
def test_whatever_is_answered_it_goes_on(lines: list[str]) -> None:
    """Any answers in any order bring no fault of the tool and no question without end."""
    said = io.StringIO("".join(f"{' '.join(line.split())}\n" for line in lines))
    talk = Talk(Session(run.BLANK), said, io.StringIO(), True, lambda _: ["numbers"])
    talk.ask_core = lambda request: Verdict(request.number)
    with suppress(StoppedError):
        talk.through()
    assert talk.session.rows(talk.session.tables["item.measurements"]) >= 0


def test_signs_are_words() -> None:
    """Signs that are read badly or not at all are said."""
    assert voice_text("⌀88 → ⌀70 mm") == "diameter 88 to diameter 70 mm"
    assert voice_text("± 5 µm") == "plus or minus 5 micrometres"


def _example() -> dict[str, Any]:
    from rotary.shipped import examples
    from tui.app import read_job

    data = read_job(str(examples()["regatta-bottle"]))
    assert isinstance(data, dict)
    return data


def test_a_person_who_stops_is_told_so(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """One word of ours, not the name of a fault inside; nothing is kept."""
    person = Person({"Item, name": ["stop"]})
    for stream in (person, person.out):
        monkeypatch.setattr(stream, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(sys, "stdin", person)
    monkeypatch.setattr(sys, "stdout", person.out)
    assert run.run(None, "mm", tmp_path / "kept") == 130
    assert "Stopped. Nothing is saved." in person.out.getvalue()
    assert "Error" not in person.out.getvalue()
    assert not (tmp_path / "kept").exists()


@pytest.mark.slow
@pytest.mark.parametrize(
    "name",
    [
        "link.pdf",
        *(pytest.param(name, marks=pytest.mark.slow) for name in ("mine.toml", "nowhere/card.txt", "~no/card.txt")),
    ],
)
def test_the_card_is_written_nowhere_else(
    piped: Callable[..., subprocess.CompletedProcess[str]], tmp_path: Path, name: str
) -> None:
    """Never over the job it was made from, by any name; a folder that is not there is a sentence."""
    from rotary.shipped import examples

    job = tmp_path / "mine.toml"
    job.write_bytes(examples()["regatta-bottle"].read_bytes())
    (tmp_path / "link.pdf").symlink_to(job)
    count = len(questions(Session(_example()), set()))
    done = piped("\n" * count + f"no\n{name}\nyes\n", "mine.toml")
    assert done.returncode == 0, done.stdout + done.stderr
    assert "The setup sheet is not written" in done.stdout
    assert job.read_bytes() == examples()["regatta-bottle"].read_bytes()


@pytest.mark.slow
def test_the_card_knows_the_artwork_beside_the_job(
    piped: Callable[..., subprocess.CompletedProcess[str]], tmp_path: Path
) -> None:
    """Called from elsewhere, the drawing that the job names is found, and the card says what its sheet will show."""
    from rotary.shipped import examples

    there = tmp_path / "there"
    there.mkdir()
    (there / "bar.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 8 4"><path d="M0 0h8v4h-8zM2 1v2h4v-2z"/></svg>'
    )
    text = (
        examples()["regatta-bottle"]
        .read_text("utf-8")
        .replace("[artwork]", '[artwork]\npieces = [{ file = "bar.svg" }]')
    )
    (there / "mine.toml").write_text(text, encoding="utf-8")
    session = _example()
    session["artwork"]["pieces"] = [{"file": "bar.svg"}]
    count = len(questions(Session(session), set()))
    done = piped("\n" * count + "no\ncard.txt\n", str(there / "mine.toml"))
    assert done.returncode == 0, done.stdout + done.stderr
    card = (tmp_path / "card.txt").read_text("utf-8")
    assert "can't be laid out" not in card
    # The drawing's own proportions, not those of the frame of 80 by 60 mm, which is all that is known without it.
    assert "On the item the artwork is 80 mm wide, 40 mm high." in card


def test_without_an_input_there_is_nobody_to_ask(monkeypatch: pytest.MonkeyPatch) -> None:
    """Started without a standard input, it says so and ends as a file that can't be read."""
    from rotary.__main__ import main

    monkeypatch.setattr(sys, "stdin", None)
    assert main(["open", "--ask"]) == 4
