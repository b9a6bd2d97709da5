"""Options stand wherever a person writes them: before, between and behind a command's other words."""

from itertools import permutations
from pathlib import Path

import pytest

from rotary.cli import main
from rotary.machine.store import load_machine

WORDS = ("field", "axis=x", "drawn=140 mm", "measured=139.6 mm")


@pytest.mark.parametrize("place", range(len(WORDS) + 1))
@pytest.mark.parametrize("note_place", range(len(WORDS) + 1))
def test_a_reading_is_kept_wherever_its_options_stand(place: int, note_place: int, tmp_path: Path) -> None:
    """Machine and note in any two places among the values: one and the same reading, kept for that machine."""
    words = list(WORDS)
    for at, option in sorted([(place, ["--machine", "big one"]), (note_place, ["--note", "cold"])], reverse=True):
        words[at:at] = option
    assert main(["machine", "record", "--new", *words, "--machines", str(tmp_path)]) == 0
    (reading,) = load_machine("big one", tmp_path).readings
    assert (reading.kind, reading.note) == ("field", "cold")
    assert getattr(reading, "measured_mm", None) == 139.6


def test_cells_of_a_patch_are_read_round_an_option(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Every order of two cells and the folder gets as far as asking for the patch itself."""
    for order in permutations((["1=covered"], ["2=clear"], ["--store", str(tmp_path)])):
        assert main(["patch", "record", "regatta-bottle", *(word for part in order for word in part)]) == 2
        assert "this job has no patch still to read" in capsys.readouterr().err


def test_a_tick_to_the_left_is_a_length_below_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    """-0.5mm behind an option is its value, whether or not a space stands before the unit."""
    said = []
    for length in ("-0.5mm", "-0.5 mm", "-.5mm"):
        assert main(["resume", "regatta-bottle", "--base-right", length, "--rim-right", length]) == 0
        said.append(capsys.readouterr().out)
    assert said[0] == said[1] == said[2]
    assert main(["resume", "regatta-bottle", "--base-right", "0.5mm", "--rim-right", "0.5mm"]) == 0
    assert capsys.readouterr().out != said[0]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("machine", "record", "field", "axis=x", "--moon", "drawn=140"), "there is no option --moon"),
        (("job", "schema", "plan", "moon"), 'too many words: leave out "moon"'),
        (("machine", "record", "field", "axis=x", "--machine"), "--machine"),
    ],
)
def test_what_is_no_option_is_named(words: tuple[str, ...], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    """One line names the word that was not understood, and the command whose help to read."""
    assert main(words) == 2
    told = capsys.readouterr().err
    assert says in told
    assert f"rotary {words[0]} {words[1]} --help" in told
    assert told.count("\n") == 1
