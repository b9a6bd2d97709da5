"""The pages behind a setup sheet: what they say fits the job, and no two figures of one paper contradict each other."""

import re
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from rotary.card.details import figures_behind
from rotary.job import job_from_file
from rotary.machine.papers import tapes_paper
from rotary.machine.tapes import tapes
from rotary.machine.words import reading_from_words, reading_name
from rotary.papers.model import Pairs, Sentences, Table
from rotary.papers.sizes import Sizes
from rotary.papers.text import text_lines
from rotary.plan import Plan
from rotary.sentences import focus
from rotary.sentences.slices import limit_text, reason
from rotary.sentences.turning import summary
from rotary.services import Folders
from rotary.services.patches import window_after_readings
from rotary.services.planning import plan_for
from rotary.shipped import examples


def figures(made: Plan) -> str:
    """All that the figures say, in one string."""
    parts: list[str] = []
    for block in (block for section in figures_behind(made, Sizes("mm")) for block in section.blocks):
        if isinstance(block, Pairs):
            parts += [f"{name}: {value}" for name, value in block.pairs]
        elif isinstance(block, Sentences):
            parts += block.texts
        elif isinstance(block, Table):
            parts += [" ".join(row) for row in block.rows]
    return "\n".join(parts)


@pytest.mark.parametrize("name", examples())
def test_odds_of_a_coating_stand_only_where_there_is_one(shipped: dict[str, Plan], name: str) -> None:
    """Bare metal is engraved on purpose: odds that it stays unmarked would read as a certain failure."""
    made = shipped[name]
    assert ("metal unmarked on" in figures(made)) == made.removal.removes_coating


@pytest.mark.parametrize("name", examples())
def test_slices_of_whole_cycles_are_not_told_to_be_that(shipped: dict[str, Plan], name: str) -> None:
    """What the plan does already, or says that it can't, is no advice."""
    split = shipped[name].split
    turning = next(one for one in split.limits if one.id == "turning")
    told = any(one.id == "whole_cycles" for one in split.remarks)
    assert not (told and "whole cycles" in limit_text(turning, split.remarks).relax)
    if turning.values["stops_open"] and turning.values["has_cycles"]:
        assert f"a multiple of {turning.values['cycle_steps']} steps" in limit_text(turning).relax


@pytest.mark.parametrize("name", examples())
def test_sentences_in_inches_have_the_figures_of_their_table(shipped: dict[str, Plan], name: str) -> None:
    """How far the surface can lie from focus is rounded once, not first in millimetres."""
    made, sizes = shipped[name], Sizes("in")
    low, high = (sizes.length(abs(mm)) for mm in (made.focus.total_low_mm, made.focus.total_high_mm))
    told = [says for says in sizes.texts(focus.notes(made, sizes.length)) if "can lie anywhere" in says]
    assert all(f"{low} too low to {high} too high" in says for says in told)
    assert bool(told) == ("over_budget" in made.focus.remarks)


def test_a_straight_wall_has_no_taper_and_stretches_nothing(shipped: dict[str, Plan]) -> None:
    """Its page says no way of laying artwork on a taper, and no range from one to one."""
    straight, taper = figures(shipped["brass-nut"]), figures(shipped["regatta-bottle"])
    assert ("how much it is stretched: not at all" in straight, "on a taper: " in straight) == (True, False)
    assert ("how much it is stretched: 0.9" in taper, "on a taper: " in taper) == (True, True)


@pytest.mark.parametrize("name", examples())
def test_the_error_of_a_turn_is_the_same_everywhere(shipped: dict[str, Plan], name: str) -> None:
    """Beside the steps and among the limits: on 19 of 20 items, not once for two of three."""
    made = shipped[name]
    beside = re.search(r"± ([\d.e-]+) %", summary(made.turning))
    why = limit_text(next(one for one in made.split.limits if one.id == "turning")).why
    among = re.search(r"may be ([\d.e-]+) % too long", why)
    assert beside is not None
    assert among is not None
    assert beside[1] == among[1]


def test_no_quicker_width_is_said_to_be_no_quicker(shipped: dict[str, Plan]) -> None:
    """Why a width was not taken agrees with its time, which stands beside it."""
    quicker = 0
    for made in shipped.values():
        for one in made.split.runners_up:
            said = reason(one, made.split, made.turning.cycle_steps)
            assert (not one.breaks and one.longer_s < 0) == said.startswith("quicker"), (one, said)
            quicker += said.startswith("quicker")
    assert quicker


def test_every_test_names_the_drawings_that_it_is_marked_from(shipped: dict[str, Plan]) -> None:
    """Who is told to mark a drawing has to know which file; and a test has one name, on paper and when it is saved."""
    for one in tapes(shipped["regatta-bottle"]).values():
        assert [name for name in one.files if name not in " ".join(one.instructions)] == []
    assert tapes(shipped["regatta-bottle"])["full-turn"].commands()[0].split()[3] == "full-turn"
    words = ["full-turn", "item=Mug", "gap=0.2 mm", "at_height=50 mm", "across=80 mm"]
    reading = reading_from_words(words, datetime(2026, 5, 1, tzinfo=UTC))
    assert (reading.kind, reading_name(reading)) == ("turn", "full-turn on Mug")


def test_a_command_on_paper_names_the_job(shipped: dict[str, Plan]) -> None:
    """JOB, taken literally, is no job."""
    made = shipped["regatta-bottle"]
    paper = tapes_paper(made, list(tapes(made).values()), job_name="mug.toml")
    said = " ".join("\n".join(text_lines(paper)).split())
    assert "rotary machine tests mug.toml --to tests" in said
    assert "--from mug.toml" in said
    assert "JOB" not in said


def test_a_reading_is_typed_in_whole_lines(shipped: dict[str, Plan]) -> None:
    """One command a line, of both axes too, with nothing between that is not typed."""
    found = tapes(shipped["regatta-bottle"])
    assert [line.split()[3] for line in found["edge"].commands()] == ["edge", "flanks"]
    for name in ("field", "two-heights"):
        assert [re.findall(r'axis="(.)"', line) for line in found[name].commands()] == [["x"], ["y"]]
    for tape in found.values():
        assert all(re.fullmatch(r'rotary machine record \S+( [\w-]+=("[^"]*"|\S+)| --from [A-Z-]+)*', one)
                   for one in tape.commands() if tape.reading)  # fmt: skip


def test_the_window_of_an_example_knows_the_readings_that_its_plan_knows(tmp_path: Path) -> None:
    """A picture whose best odds lie far below the plan's own would contradict the same paper."""
    made = plan_for(job_from_file(examples()["heron-cup"]), Folders(tmp_path), 200)
    seen = window_after_readings(made, ())
    assert made.removal.readings > 0
    assert seen is not None
    assert float(np.max(seen.chance)) > 0.8 * made.removal.chance
    assert seen.readings


def test_the_gap_ladder_of_bare_metal_says_nothing_of_a_coating(shipped: dict[str, Plan]) -> None:
    """No coating comes off there, and no patch lies beside it."""
    for name, made in shipped.items():
        said = " ".join(tapes(made)["gap-ladder"].instructions)
        assert ("the metal is clean" in said) == ("last pass" in said) == made.removal.removes_coating, name
        assert ("test patch" in said) == made.removal.removes_coating, name
