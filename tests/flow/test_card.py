"""The setup card: all that is keyed in, in order, readable at arm's length, and never too wide."""

import re
import tomllib
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rotary.card.keying import entries, numbers_to_key_in

from rotary.card import answer_lines, card_lines
from rotary.job import job_from_data, job_from_file
from rotary.papers.lines import WIDTH, clock, few, in_inches, large, table
from rotary.papers.text import FIGURES_AT
from rotary.passes.plan.setting import PassRemark
from rotary.plan import Plan, plan
from rotary.program import Program
from rotary.sentences import focus, passes, slices
from rotary.sentences.cautions import cautions
from rotary.shipped import FIRST, examples

DAY = date(2026, 5, 1)
DIGITS = {
    large(digit)[0].ljust(3) + large(digit)[1].ljust(3) + large(digit)[2].ljust(3): digit for digit in "0123456789"
}


def _row(lines: list[str], begins: str) -> int:
    return next(row for row, line in enumerate(lines) if line.startswith(begins))


@pytest.fixture(scope="module")
def plans() -> dict[str, Plan]:
    return {name: plan(job_from_file(path), 200) for name, path in examples().items()}


@pytest.mark.parametrize("system", ["mm", "in"])
@pytest.mark.parametrize("name", examples())
def test_no_line_is_wider_than_the_paper(plans: dict[str, Plan], name: str, system: str) -> None:
    """Every line of every example fits the hundred columns, without tabs or loose ends."""
    for line in card_lines(plans[name], system, DAY) + answer_lines(plans[name], system):
        assert len(line) <= WIDTH
        assert line == line.rstrip()
        assert line.isprintable()


@pytest.mark.parametrize("name", examples())
def test_every_number_to_key_in_stands_on_the_card(plans: dict[str, Plan], name: str) -> None:
    """Labels in their order, each number large or in plain text beside its label."""
    lines = card_lines(plans[name], "mm", DAY)
    place = 0
    for number, entry in enumerate(numbers_to_key_in(plans[name]), 1):
        label = f"{number:>3}  {entry.label}"
        place = next(row for row in range(place, len(lines)) if lines[row].startswith(label[:WIDTH]))
        strokes = large(entry.text)
        if strokes[1]:
            shown = [line[FIGURES_AT:].rstrip() for line in lines[place : place + 3]]
            unit = f"{strokes[2]}  {entry.unit}".rstrip()
            assert shown == [*strokes[:2], f"{unit}  {entry.leave}".rstrip()]
        else:
            assert entry.text.split()[0] in lines[place]


@given(st.text("0123456789", min_size=1, max_size=8))
def test_large_figures_are_told_apart(number: str) -> None:
    """Reading the strokes back, digit by digit, gives the number."""
    assert len(DIGITS) == 10
    rows = [row.ljust(4 * len(number)) for row in large(number)]
    assert "".join(DIGITS["".join(row[4 * at : 4 * at + 3] for row in rows)] for at in range(len(number))) == number


def test_the_card_says_what_must_be_known_before_the_start(plans: dict[str, Plan]) -> None:
    """Name, date, that it is invented, the chance, the lines to compare, cautions with figures for the eyes."""
    made = plans[FIRST]
    text = " ".join(" ".join(card_lines(made, "mm", DAY)).split())
    assert text.startswith(f"SETUP CARD {made.job.item.name} 2026-05-01")
    assert "Invented" in text
    told = [passes.first_line(made), *made.split.must_show, *slices.notes(made.split), *focus.notes(made)]
    told += made.layout.notes
    told += [caution.says for caution in cautions(made.safety)] + [focus.BUDGET[row.id][1] for row in made.focus.budget]
    told += [eye.verdict for eye in made.safety.eyes] + [slices.limit_text(limit).why for limit in made.split.limits]
    assert [sentence for sentence in told if " ".join(sentence.split()) not in text] == []
    assert f"optical density {made.safety.eyes[0].optical_density:.1f}" in text
    assert "ocal rules" in text


def test_the_chance_is_the_first_thing_that_is_said(plans: dict[str, Plan]) -> None:
    """What the plan itself doubts stands above every number to key in."""
    for made in plans.values():
        lines = card_lines(made, "mm", DAY)
        first = next(row for row, line in enumerate(lines) if line and line in passes.first_line(made))
        assert first < next(row for row, line in enumerate(lines) if line.startswith("KEY IN"))


@pytest.mark.parametrize("name", examples())
def test_what_is_followed_at_the_machine_comes_before_the_figures_behind_it(plans: dict[str, Plan], name: str) -> None:
    """Done in this order; 78 lines a page upright, and no example needs more than three pages of them."""
    lines = card_lines(plans[name], "mm", DAY)
    order = ["SET UP", "KEY IN", "BEFORE THE FIRST", "FOCUS ---", "CAUTIONS", "PASSES ---", "TICK OFF", "WHAT HAPPENED"]
    order += ["STEP SPLIT", "JOINT ERRORS", "ARTWORK", "FOCUS BUDGET", "PASSES: energy"]
    places = [_row(lines, title) for title in order]
    assert places == sorted(places)
    # An example says first that it is one.
    assert places[order.index("BEFORE THE FIRST")] <= 78 + 2
    assert places[order.index("STEP SPLIT")] < 3 * 78


@pytest.mark.parametrize("name", examples())
def test_there_is_a_box_for_every_slice(plans: dict[str, Plan], name: str) -> None:
    """A box a slice and pass; where that would be hundreds, one a slice."""
    made = plans[name]
    lines = card_lines(made, "mm", DAY)
    start = next(row for row, line in enumerate(lines) if line.startswith("TICK OFF"))
    boxes = sum(line.count("[ ]") for line in lines[start : _row(lines, "WHAT HAPPENED")])
    passes = len(made.removal.rows)
    assert boxes in (made.split.slices * passes, made.split.slices)


def test_without_passes_the_card_says_why(plans: dict[str, Plan]) -> None:
    """A coating that can't be lifted gives the reasons and no number that could be keyed in."""
    made = plans[FIRST]
    bare = made.removal.model_copy(
        update={"setting": None, "rows": (), "refused": (PassRemark(id="too_little_known"),)}
    )
    lines = card_lines(made.model_copy(update={"removal": bare}), "mm", DAY)
    assert any("Too little is known about this coating" in line for line in lines)
    assert not any("Scan speed" in line or line.startswith("TICK OFF") for line in lines)


def test_inches_are_the_same_lengths(plans: dict[str, Plan]) -> None:
    """The apex height in inches times 25.4 is that in millimetres, to what is shown."""
    row = {
        system: next(line for line in card_lines(plans[FIRST], system, DAY) if line.startswith("  apex line over"))
        for system in ("mm", "in")
    }
    shown = {system: float(line.split()[-2]) for system, line in row.items()}
    assert shown["in"] * 25.4 == pytest.approx(shown["mm"], abs=0.007)


def test_names_from_a_file_can_not_play_with_the_terminal(plans: dict[str, Plan]) -> None:
    """Control characters in a name, and names of any length, leave the card plain and within its width."""
    made = plans[FIRST]
    job = made.job
    item = job.item.model_copy(update={"name": "bottle\x1b[2J\r\n\u202e" + "x" * 100})
    art = job.artwork.model_copy(update={"name": "y" * 300 + "\x07"})
    odd = made.model_copy(
        update={"job": job.model_copy(update={"item": item, "artwork": art, "note": "z" * 500 + "\x9b"})}
    )
    for line in card_lines(odd, "mm", DAY) + answer_lines(odd):
        assert line.isprintable()
        assert len(line) <= WIDTH


def test_columns_and_times_keep_their_shape() -> None:
    """Long last cells wrap under themselves; times are read off a watch; long tables keep their ends."""
    assert all(len(line) <= WIDTH for line in table([("a", "b" * 20, "word " * 60), ("c", "d", "")]))
    assert [clock(seconds) for seconds in (0.0, 59.94, 59.96, 3599.0, 3600.0)] == [
        "0.0 s",
        "59.9 s",
        "1 min 00 s",
        "1 h 00 min",
        "1 h 00 min",
    ]
    assert [few(range(100), 5)[at] for at in (0, -1)] == [0, 99]


@pytest.mark.parametrize(
    ("metric", "inches"),
    [
        ("put 20.2 mm under it, over 150 mm", "put 0.795 in under it, over 5.91 in"),
        ("⌀88 → ⌀70 mm, straight", "⌀3.46 → ⌀2.76 in, straight"),
        ("97.605 × 57.090 mm", "3.8427 × 2.2476 in"),
        ("from -0.50 to +1.25 mm", "from -0.0197 to +0.0492 in"),
        ("25 µm at a joint", "0.98 thou at a joint"),
        ("4000 mm/s, 3 mm² and 1064 nm", "4000 mm/s, 3 mm² and 1064 nm"),
    ],
)
def test_sentences_follow_the_inches(metric: str, inches: str) -> None:
    """Lengths inside sentences are in inches too (25.4 mm exactly), speeds and areas and wavelengths are left."""
    assert in_inches(metric) == inches


def test_in_inches_no_length_that_is_not_typed_stays_in_millimetres(plans: dict[str, Plan]) -> None:
    """On a card in inches only what the marking program takes, the beam and the passes speak millimetres."""
    lines = card_lines(plans[FIRST], "in", DAY)
    parts = [("FOCUS ---", "CAUTIONS"), ("STEP SPLIT", "PASSES: energy")]
    told = [line for start, stop in parts for line in lines[_row(lines, start) : _row(lines, stop)]]
    assert len(told) > 60
    assert not [line for line in told if re.search(r"\d mm\b|\d µm", line)]
    move = next(row for row, line in enumerate(lines) if "Focus on the apex" in line)
    assert lines[move + 2].endswith("  in")


def test_heights_on_the_card_are_from_the_items_own_datum() -> None:
    """Measured from the rim, the band and the refocus heights are told from the rim."""
    data = tomllib.loads(examples()[FIRST].read_text("utf-8"))
    data["item"] |= {
        "datum": "rim",
        "stations": [{"at": "0 mm", "across": "70 mm"}, {"at": "150 mm", "across": "88 mm"}],
    }
    data["artwork"]["centre"] = "50 mm"
    data["drive"]["levelled"] = False
    made = plan(job_from_data(data), 0)
    lines = card_lines(made, "mm", DAY)
    band = next(line for line in lines if "band, from the" in line)
    assert re.search(r"from the rim +20\.0\d mm to 79\.9\d mm", band)
    assert any("heights from the rim" in line for line in lines)
    assert not any("from the foot" in line for line in lines)


def test_the_card_says_what_goes_under_which_end(plans: dict[str, Plan]) -> None:
    """A shim is told with its end and base, not with a sign; a straight item has none."""
    bottle = " ".join(card_lines(plans[FIRST], "mm", DAY))
    assert re.search(r" levelled, with +20.22 mm under the rotary, rim end, over a base of +150.00 mm", bottle)
    assert not any("levelled, with" in line or "to level it" in line for line in card_lines(plans["boathouse-mug"]))


def test_each_height_to_move_the_head_by_stands_beside_its_own_start(plans: dict[str, Plan]) -> None:
    """From the bed and from the apex are different moves; each figure is beside its words."""
    for made in plans.values():
        lines = card_lines(made, "mm", DAY)
        for words, move_mm in (
            ("on the bed", made.focus.move_from_bed_mm),
            ("on the apex", made.focus.move_from_apex_mm),
        ):
            line = next(line for line in lines if line.startswith(f"  focused {words}"))
            assert line.endswith(f"{move_mm:+.2f} mm")


def test_the_table_of_widths_has_both_corrections_in_their_columns(plans: dict[str, Plan]) -> None:
    """On the tapered bottle true-width needs none and flat artwork r(centre)/r at each height: by hand 39.5/37.70."""
    lines = card_lines(plans[FIRST], "mm", DAY)
    row = next(line for line in lines[_row(lines, "ARTWORK") :] if line.startswith("  104.95 mm"))
    assert row.split()[-2:] == ["1.0000", f"{39.5 / (44 - 0.06 * 104.9461):.4f}"]


def test_the_card_plans_witness_ticks_into_every_job() -> None:
    """Should the item be taken off, two ticks beyond the band tell where it was; the card says where they go."""
    for path in examples().values():
        text = " ".join(" ".join(card_lines(plan(job_from_file(path), draws=0))).split())
        assert "Witness ticks: with the middle slice on top" in text


def test_the_program_s_own_names_stand_in_brackets(plans: dict[str, Plan]) -> None:
    """Those that the person wrote, and no others."""
    job = plans["regatta-bottle"].job
    named = job.model_copy(update={"program": Program(labels={"power": "Output", "typed_diameter": "Object"})})
    labels = [entry.label for entry in entries(plans["regatta-bottle"].model_copy(update={"job": named}))]
    assert [label for label in labels if "(" in label] == ["Item diameter, as typed (Object)", "Power (Output)"]
