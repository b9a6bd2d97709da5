"""Profiles and runs of format 4, as that tool wrote them: their sheets become actions, and no number is lost."""

from pathlib import Path

import pytest

from rotary.errors import Refused
from rotary.job import job_from_file
from rotary.papers.text import text_lines
from rotary.plan import plan
from rotary.repeat.paper import repeat_sheet
from rotary.repeat.run import with_passes_counted
from rotary.repeat.standing import repeat_of
from rotary.sentences.actions import with_words
from rotary.shipped import examples
from rotary.store.formats import profile_from_bytes
from rotary.store.logbook import run_from_bytes
from rotary.store.profile_text import profile_text
from rotary.store.profiles import load
from rotary.store.record import AsRun

OLD = Path(__file__).parent / "old"


def proof_of(name: str) -> AsRun:
    """The run that a file of format 4 holds as proven."""
    found = profile_from_bytes((OLD / f"format-4-{name}.toml").read_bytes(), "file")
    assert (found.format, found.doubt, found.read_only) == (4, "", "")
    proof = found.profile.saved.proof
    assert proof is not None
    assert proof.plan is not None
    return proof.plan


def test_every_row_of_a_bottle_gets_its_id() -> None:
    """What was typed, set by hand and checked, number by number, and the last pass; nothing is marked as rebuilt."""
    actions = proof_of("bottle").actions
    assert actions is not None
    assert [(row.id, row.figure) for row in actions.type] == [
        ("file_slice_width", "2.837"), ("extra_per_slice", "0"), ("typed_steps_per_turn", "3200"),
        ("typed_diameter", "22.400"), ("power", "96"), ("frequency", "50"), ("pulse_width", "200"), ("speed", "2500"),
        ("line_spacing", "0.050"), ("passes", "1"), ("pause", "2"),
    ]  # fmt: skip
    rows, run = actions.rows, actions.run
    assert (rows["page_size"].value, rows["page_size"].high) == (93.621, 57.089)
    assert (rows["typed_diameter"].value, rows["typed_diameter"].real) == (22.4, 79)
    # It was stored as "NOT 79: leave it".
    assert rows["typed_diameter"].leave == "type this, not 79"
    assert (rows["shim"].value, rows["shim"].end, rows["shim"].base, rows["shim"].of) == (20.22, "rim", 150, "rotary")
    assert (rows["focus"].value, rows["focus"].apex_over_bed, rows["focus"].focus_over_bed) == (14.49, 118.19, 132.68)
    assert (rows["field_middle"].value, rows["field_middle"].end) == (75, "base")
    assert (rows["slices_shown"].value, rows["slices_shown"].of, rows["slice_turns"].value) == (33, "2.837", 3.6905)
    assert not any(row.rebuilt for row in rows.values())
    last = run.last_pass
    assert last is not None
    assert (last.power, last.speed, last.line_shift, last.when) == (62, 2500, 0.025, "each slice")
    assert [(one.first, one.last, one.kind, one.power, one.pause) for one in run.passes] == [
        (1, 1, "removal", 96, 0), (2, 8, "removal", 96, 2), (9, 9, "last", 62, 2)
    ]  # fmt: skip
    assert any(text.startswith("Coating left: one more pass, look again, ") for text in run.texts)
    assert any("Witness ticks: with the middle slice on top" in row.text for row in actions.by_hand)
    assert any(row.text.startswith("White wedges between the slices") for row in actions.check)


def test_a_nut_in_a_chuck_gets_its_passes_and_their_depth_check() -> None:
    """Bare metal is typed with the passes planned; the lens moves closer; ends of a solid part are numbered."""
    actions = proof_of("nut").actions
    assert actions is not None
    rows, run = actions.rows, actions.run
    assert (rows["passes"].value, run.rungs[0].passes, run.depth_check_after, run.last_pass) == (10, 10, 4, None)
    assert (rows["focus"].value, rows["field_middle"].end, run.turns) == (-0.04, "end 1", "chuck")
    assert [one.fill_direction for one in run.passes[:2]] == ["around", "along"]


def test_bare_metal_all_round_keeps_what_was_typed() -> None:
    """Such a sheet had all passes typed; how today's tool runs them all round is not put beside that number."""
    raw = (OLD / "format-4-nut.toml").read_bytes().replace(b'"slice-by-slice"', b'"all-round"')
    proof = profile_from_bytes(raw, "file").profile.saved.proof
    assert proof is not None
    assert proof.plan is not None
    assert proof.plan.actions is not None
    actions = with_words(proof.plan.actions, ())
    fills = "5 passes with lines around, 5 along"
    assert actions.rows["passes"].text == f"Passes: 10 on each slice ({fills}). Measure the depth after 4 passes."
    assert actions.run.texts[0] == "Order: all round."
    assert "Type 1 pass" not in " ".join(actions.run.texts)


@pytest.mark.parametrize(("name", "example"), [("bottle", "regatta-bottle"), ("nut", "pommel-nut")])
def test_it_is_repeated_and_saved_anew(name: str, example: str, tmp_path: Path) -> None:
    """Opened it is proven with the numbers that were run, and what is saved of it reads back the same."""
    home = tmp_path / "a-zbdcgxc7za"
    home.mkdir()
    (home / "0002-aaaaaa.toml").write_bytes((OLD / f"format-4-{name}.toml").read_bytes())
    found = load("a", tmp_path)
    again = profile_from_bytes(profile_text(found.profile).encode(), "file")
    assert (again.format, again.profile) == (7, found.profile)
    repeat = repeat_of(found, job_from_file(examples()[example]), plan)
    # Nobody noted how many passes the bottle took.
    assert (repeat.state, repeat.run) == ({"bottle": "test first", "nut": "proven"}[name], proof_of(name))
    assert repeat.run is not None
    assert repeat.run.actions is not None
    text = " ".join(" ".join(text_lines(repeat_sheet(repeat, repeat.run)(0.0))).split())
    for row in (*repeat.run.actions.by_hand, *repeat.run.actions.check):
        assert (f"{abs(row.value):g}" if isinstance(row.value, float) else f"{row.value}") in text
    how = {
        "bottle": "22 at most. Left after 22: stop, mark a test patch.",
        "nut": "Stop after 4 passes on the first slice and measure the depth",
    }
    assert how[name] in text


def test_passes_counted_on_an_old_sheet_are_typed_from_then_on() -> None:
    """A run of it that is logged with a count says that count, in place of the first slice's sentences."""
    counted = with_passes_counted(proof_of("bottle"), 6).actions
    assert counted is not None
    assert (counted.rows["passes"].value, counted.run.counted, counted.run.rungs[0].power) == (6, 6, 96)
    texts = " ".join(counted.run.texts)
    assert "Type 6 passes (your count), pause 2 s between passes." in texts
    assert "First slice alone" not in texts


def test_a_run_of_the_logbook_opens_too() -> None:
    """A run has no format of its own: its sheet is brought up all the same."""
    run = run_from_bytes((OLD / "run-with-sheet.toml").read_bytes(), "run")
    assert run.plan is not None
    assert run.plan.actions is not None
    assert run.plan.actions.rows["power"].figure == "96"


def test_a_damaged_sheet_is_refused_in_words() -> None:
    """A number that is none any more names the table and its line."""
    raw = (OLD / "format-4-bottle.toml").read_bytes().replace(b'text = "20.22"', b'txt = "20.22"', 1)
    with pytest.raises(Refused, match=r"saved\.plan\.sheet: line \d+: is damaged"):
        profile_from_bytes(raw, "file")
