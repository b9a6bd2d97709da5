"""Readings that contradict, are out of range, in a wrong unit, missing, swapped: a sentence each, nothing stored."""

import re
from pathlib import Path

import pytest

from rotary.cli import main
from rotary.machine.store import load_machine


@pytest.fixture
def machines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    return tmp_path / "rigs"


BAD = [
    ("field axis=x drawn=140 measured=5.51", "inches"),
    ("field axis=x drawn=140 measured=120", "more than 5 %"),
    ("field axis=z drawn=140 measured=140", "axis"),
    ("field axis=x drawn=140", "measured"),
    ("field axis=x drawn=140 measured=140kg", "kg"),
    ("field axis=x drawn=140 measured=", "measured"),
    ("field axis=x drawn=140 measured=-140", "measured"),
    ("field axis=x drawn=140 measured=nan", "measured"),
    ("field axis=x drawn=140 measured=140 measured=139", "twice"),
    ("two-heights axis=x drawn=140 low=136 high=143 apart=10", "other way round"),
    ("two-heights axis=x drawn=140 low=140.1 high=140 apart=10", "further apart"),
    ("two-heights axis=x drawn=140 low=14 high=13 apart=10", "unit"),
    ("turn item=Cup gap=40 at_height=75 across=79", "% of a turn"),
    ("turn item=Cup gap=0.4 at_height=75 across=0", "across"),
    ("stairs heights=-2;-1;0;1;2 widths=0.2;0.15;0.1;0.15", "one width for each height"),
    ("stairs heights=-2;-1;0;1;2 widths=0.1;0.15;0.2;0.15;0.1", "narrower and then wider again"),
    ("stairs heights=-2;-1;0 widths=0.2;0.1;0.2", "four different heights"),
    ("stairs heights=-2;-1;0;1 widths=0.2;0;0.1;0.2", "a width is 0 or less"),
    ("pointer height=0 right=1 up=0 second_height=10 second_right=2", "belong together"),
    ("pointer height=5 right=1 up=0", "second height"),
    ("pointer height=0 right=1 up=0 second_height=1 second_right=2 second_up=0", "2 mm apart"),
    ("pointer right=50 up=0", "30 mm"),
    ("edge long=100 off=20", "6 degrees"),
    ("flanks left=40 right=4", "differ too much"),
    ("level item=Cup base_end=10 rim_end=90 apart=60", "the heights differ by more"),
    ("backlash apart=20 across=79", "too much play"),
    ("moon drawn=140", "there is no reading"),
]


@pytest.mark.parametrize(("typed", "word"), BAD)
def test_a_reading_that_no_machine_made_is_a_sentence(
    machines: Path, typed: str, word: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Whatever is wrong with it, the sentence says so, the exit code is that of a refusal, and no file is begun."""
    assert main(["machine", "record", *re.sub(r"([\d.]+)(?=[; ]|$)", r"\1mm", typed).split()]) == 2
    said = capsys.readouterr()
    assert word in said.err
    assert "Traceback" not in said.err
    assert said.out == ""
    assert not machines.exists()


def test_readings_that_contradict_are_told_and_neither_is_used(
    machines: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two turns far apart: both are kept as read, neither is used, and a third is asked for."""
    first = ["machine", "record", "turn", "item=Cup", "at_height=75mm", "across=79mm"]
    assert main([*first, "gap=0.4mm"]) == 0
    assert main([*first, "gap=1.9mm"]) == 0
    assert "disagree too much" in capsys.readouterr().out
    assert len(load_machine("main", machines).readings) == 2


FORM = """item = "Regatta bottle 600 ml"
tape = "0.12 mm"
order = "1-2-3-4-5"
letter = "right"
between = "?"
"""
ROW = '\n[[verniers]]\nseam = "{}"\nheight = "{}"\nrising = "{}"\nfalling = "{}"\n'


@pytest.mark.slow
@pytest.mark.parametrize(
    ("form", "word"),
    [
        (FORM, "fewer than 4 ticks"),
        (FORM + ROW.format("1-2", "top", "400", "0"), "more than the test shows"),
        (FORM + ROW.format("1-2", "top", "1 kg", "0"), "kg"),
        (FORM + ROW.format("1-2", "top", "left", "0"), "left"),
        (FORM + ROW.format("1-2", "attic", "0", "0"), "height"),
        (FORM + ROW.format("7-8", "top", "0", "0"), "seam"),
        (FORM + 2 * ROW.format("1-2", "top", "0", "0"), "twice"),
        (FORM.replace('"right"', '"?"'), "is not filled in"),
        (FORM.replace("Regatta bottle 600 ml", "Mug"), "the form is for"),
        (FORM.replace('between = "?"', 'between = "58 in"'), "but they are drawn 59.00 mm apart"),
        ("not = [toml", "can't be read: put the value and its unit in quotes"),
    ],
)
def test_a_form_that_can_not_be_right_is_a_sentence(
    machines: Path, tmp_path: Path, form: str, word: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A senseless form keeps nothing and says what to write."""
    path = tmp_path / "form.toml"
    path.write_text(form, "utf-8")
    assert main(["machine", "seam-test", "regatta-bottle", "--from", str(path)]) == 2
    said = capsys.readouterr()
    assert word in said.err
    assert "Traceback" not in said.err
    assert not machines.exists()


@pytest.mark.parametrize(
    ("typed", "word"),
    [
        ("machine level regatta-bottle --base-end 95mm --rim-end 0mm --apart 60mm", "above zero"),
        ("machine level regatta-bottle --base-end 95mm --rim-end 300mm --apart 60mm", "the heights differ by more"),
        ("machine level regatta-bottle --base-end 95mm --rim-end 97kg --apart 60mm", "kg"),
        ("machine level regatta-bottle --base-end 95 --rim-end 97mm --apart 60mm", "--base-end 95 has no unit"),
        ("resume regatta-bottle --rim-up 5mm", "can't have moved on the item"),
        ("resume regatta-bottle --base-right 39mm --rim-right 38mm", "30 degrees"),
        ("resume regatta-bottle --base-right -5mm --rim-right 5mm", "3 degrees crooked"),
        ("resume regatta-bottle --done 7=x", "names no slices"),
        ("resume regatta-bottle --done 900=1", "there is no slice 900"),
        ("machine seam-test regatta-bottle --tape 3kg", "kg"),
        ("machine changed moon", "there is no change named moon"),
        ("machine ignore 4", "no reading 4"),
    ],
)
def test_the_other_commands_refuse_in_a_sentence(
    machines: Path, typed: str, word: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Levels, ticks, boxes, tape, changes: nothing is written where anything is refused."""
    assert main(typed.split()) == 2
    said = capsys.readouterr()
    assert word in said.err
    assert "Traceback" not in said.err
    assert not machines.exists()
