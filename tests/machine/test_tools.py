"""Tapes, levelling, what matters most, an item taken off, and all of it on the command line."""

import math
import tomllib
from pathlib import Path

import numpy as np
import pytest

from rotary.artwork.cut import slices_between
from rotary.artwork.rings import area_mm2, bounds_mm
from rotary.cli import main
from rotary.errors import NoPlan, Refused
from rotary.job import job_from_file
from rotary.machine.error_budget import error_budget, error_budget_lines
from rotary.machine.level import levelling
from rotary.machine.papers import resume_paper, resume_sections, tapes_paper
from rotary.machine.quantities import QUANTITIES
from rotary.machine.readings import KINDS
from rotary.machine.resume import TickReadings, done_from_text, remainder, turn_to, witness_ticks
from rotary.machine.tapes import PURPOSES, tapes
from rotary.papers.text import section_lines, text_lines
from rotary.plan import Plan, plan
from rotary.sentences.plan import actions_in_words
from rotary.sheet.reread import drawing_from_text
from rotary.shipped import examples


@pytest.fixture(scope="module")
def made() -> Plan:
    return plan(job_from_file(examples()["regatta-bottle"]), draws=0)


@pytest.fixture
def machines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    return tmp_path / "rigs"


def test_every_quantity_has_a_tape_that_tells_it(made: Plan) -> None:
    """Nothing is believed that nobody can measure: each quantity names a tape, and the tape's reading is known."""
    found = tapes(made)
    for name, quantity in QUANTITIES.items():
        if quantity.tape not in ("seam-test", "line-width"):
            assert any(one.name == quantity.tape for one in found.values()), name
    for one in found.values():
        assert not one.reading or one.reading.split()[0] in {*KINDS, "full-turn"}
        assert one.instructions


def test_the_long_line_is_as_long_as_it_says(made: Plan) -> None:
    """A tape is measured with calipers, so its drawing has to be true to the micrometre it is written in."""
    tape = tapes(made)["field"]
    page = drawing_from_text(tape.svg)
    points = page.parts["tape"].points_mm
    assert np.ptp(points[:, 0]) == pytest.approx(140 + 0.1, abs=0.002)
    assert np.ptp(points[:, 1]) == pytest.approx(140 + 0.1, abs=0.002)
    assert 'drawn="140 mm"' in tape.reading
    assert page.width_mm <= made.job.laser.field_mm


def test_a_test_on_paper_is_headed_by_what_it_is_for(made: Plan) -> None:
    """Names of quantities are for files: a person reads what the test shows."""
    every = tapes(made)
    assert [*every] == [*PURPOSES]
    heads = [section.title for section in tapes_paper(made, tuple(every.values())).sections]
    assert heads[1:] == [tape.title for tape in every.values()]
    assert not [head for head in heads if any(name in head for name in QUANTITIES if "-" in name)]


def test_tapes_warn_of_eyes_fumes_and_fire(made: Plan) -> None:
    """Whoever marks tape is told of eyewear, of vinyl and of smouldering."""
    for tape in tapes(made).values():
        if tape.name == "gap-ladder":
            # It marks the coating itself, not tape.
            assert {"eyewear", "fume", "extraction"} <= set(tape.instructions[0].replace(",", " ").split())
        elif tape.svg:
            assert {"vinyl", "eyewear"} <= set(tape.instructions[0].replace("(", " ").split())


def test_shares_add_up_and_the_dearest_comes_first(made: Plan) -> None:
    """The inputs' shares of each error are all of it, and leaving one out takes off what it says."""
    found = error_budget(made)
    assert sum(i.part_of_seam for i in found.inputs) == pytest.approx(1)
    assert sum(i.part_of_fluence for i in found.inputs) == pytest.approx(1)
    assert found.inputs[0].part_of_seam == max(i.part_of_seam for i in found.inputs)
    for one in found.inputs:
        assert one.seam_without_mm**2 + one.seam_mm**2 == pytest.approx(found.seam_95_mm**2)
    assert len(error_budget_lines(found)) > len(found.inputs)


def test_the_seam_error_is_that_of_the_plan(made: Plan) -> None:
    """What matters most and the step split tell the same 95 % error at a seam, by different sums."""
    rows = made.split.seam_rows
    assert error_budget(made).seam_95_mm == pytest.approx(rows[len(rows) // 2].sheet_95_mm, rel=0.05)


def test_measuring_what_pays_takes_off_what_was_foretold(made: Plan) -> None:
    """Put the answer back: with the pupils known the seam error falls to what the table says is left."""
    pupil = next(i for i in error_budget(made).inputs if i.name == "pupil height")
    head = made.job.laser.model_copy(
        update={"pupil_x_mm": made.optics.pupil_x_mm, "pupil_y_mm": made.optics.pupil_y_mm}
    )
    width = made.split.slice_width_mm
    told = made.job.tolerances.model_copy(update={"slice_width_mm": width})
    known = plan(made.job.model_copy(update={"laser": head, "tolerances": told}), draws=0)
    assert known.split.slice_width_mm == pytest.approx(width)
    assert error_budget(known).seam_95_mm == pytest.approx(pupil.seam_without_mm, rel=0.01)


def test_a_shim_levels_what_was_measured(made: Plan) -> None:
    """Raising the foot end by the shim over its base turns the apex line by what it climbed."""
    found = levelling(made, 95.0, 97.0, 60.0)
    assert found.end == "base"
    assert found.shim_mm == pytest.approx(found.base_mm * math.tan(math.atan2(2, 60)), rel=0.01)
    assert levelling(made, 97.0, 95.0, 60.0).end == "rim"
    assert levelling(made, 95.0, 95.0, 60.0).end == ""
    twice = levelling(made, 95.0, 97.0, 60.0, base_mm=2 * found.base_mm, system="in")
    assert twice.shim_mm == pytest.approx(2 * found.shim_mm)
    assert f"{twice.shim_mm / 25.4:.4f} in" in twice.says[1]
    with pytest.raises(Refused):
        levelling(made, 0.0, 95.0, 60.0)
    with pytest.raises(Refused, match="only 150 mm long"):
        levelling(made, 95.0, 97.0, 160.0)


def test_in_a_chuck_a_prop_levels_too() -> None:
    """What the heights differ by is what a prop under the low end has to bring."""
    mug = plan(job_from_file(examples()["boathouse-mug"]), draws=0)
    assert "prop up the item near the base by 2.00 mm" in levelling(mug, 95.0, 97.0, 60.0).says[-1]


def test_an_item_put_back_is_turned_by_whole_steps(made: Plan) -> None:
    """Both ticks found to the right by the same angle: the steps bring them back to less than a step."""
    ticks = witness_ticks(made)
    assert ticks.apart_mm > made.layout.artwork_to_mm - made.layout.artwork_from_mm
    r = [44 - 18 / 150 / 2 * s for s in (ticks.foot_at_mm, ticks.rim_at_mm)]
    a = 0.03
    left = remainder(made, TickReadings(foot_right_mm=r[0] * math.sin(a), rim_right_mm=r[1] * math.sin(a)))
    assert left.turned_rad == pytest.approx(a, rel=1e-6)
    assert left.skew_rad == pytest.approx(0, abs=1e-6)
    assert abs(left.left_rad) <= made.turning.rad_per_step / 2 + 1e-12
    assert left.turn_steps * made.turning.rad_per_step + left.left_rad == pytest.approx(a)
    assert len(left.slices) == made.split.slices


def test_boxes_ticked_are_not_marked_again() -> None:
    """A slice that has had all its passes is gone from the card, one that was begun has the rest."""
    bare = plan(job_from_file(examples()["pommel-nut"]), draws=0)
    passes = len(bare.removal.rows)
    still = TickReadings(foot_right_mm=0.0, rim_right_mm=0.0)
    left = remainder(bare, still, {1: passes, 2: 1})
    assert left.slices[0] == (2, passes - 1)
    assert left.says == ()
    for all_of_them in (passes, -1):
        everything = dict.fromkeys(range(1, bare.split.slices + 1), all_of_them)
        with pytest.raises(NoPlan):
            remainder(bare, still, everything)


def test_on_a_coating_the_passes_left_are_those_that_the_first_slice_took(made: Plan) -> None:
    """The planned number is never told as what is left; without the one that it took the card leaves a blank."""
    still = TickReadings(foot_right_mm=0.0, rim_right_mm=0.0)
    done = done_from_text("1-9, 10=4")
    known = remainder(made, still, done, passes=6)
    assert known.slices[0] == (10, 3)
    assert known.says[:2] == ("2 passes + last pass", "6 passes + last pass")
    unknown = remainder(made, still, done)
    assert unknown.says[:2] == ("____ minus 4 passes + last pass", "____ passes + last pass")
    assert len(unknown.slices) == made.split.slices - 9
    tried = plan(made.job, draws=200)
    for left in (known, unknown):
        lines = section_lines(resume_sections(made, left)[1])
        assert not any(f" {len(made.removal.rows)} passes" in line for line in lines)
        assert sum("[ ]" in line for line in lines) == len(left.slices)
        # Neither the ladder's first power nor its single pass is what the slices before were marked with.
        told = text_lines(resume_paper(tried, left))
        assert [line.split()[1:] for line in told if line.strip().startswith("Power   ")] == [["____", "%"]]
        assert not any(line.strip().startswith("Passes") for line in told)
        # What the second slice took is for the rest, as on the setup sheet.
        assert ("mark as many as cleaned the second slice." in " ".join(" ".join(told).split())) == (left is unknown)
        assert any("Last pass: " in line for line in told)
        *rungs, last = (f"{rung.power:g}" for rung in actions_in_words(tried).run.rungs)
        assert any(f"earlier slices ({', '.join(rungs)} or {last} %)" in line for line in told)
        # It came off, so it is mounted and focused again; each file has its slice in the middle.
        assert any("mm shim under" in line for line in told)
        assert any("AWAY" in line for line in told)
        turned = (known.slices[-1][0] - tried.split.slices / 2 - 0.5) * tried.split.index_angle_rad
        assert turn_to(tried, known.slices[-1][0]) == pytest.approx(turned / tried.turning.rad_per_step)
        assert any(f"{turn_to(tried, known.slices[-1][0])} steps forward" in line for line in told)
    whole = remainder(made, still, dict.fromkeys(range(1, 5), 7), passes=6)
    assert whole.slices[0][0] == 5


@pytest.mark.parametrize(
    ("readings", "done", "where"),
    [
        ({"foot_right_mm": 39.0, "rim_right_mm": 38.0}, {}, "foot_right"),
        ({"foot_right_mm": 1.0, "rim_right_mm": 60.0}, {}, "rim_right"),
        ({"foot_right_mm": -5.0, "rim_right_mm": 5.0}, {}, "rim_right"),
        ({"foot_right_mm": 0.0, "rim_right_mm": 0.0, "foot_up_mm": 5.0}, {}, "rim_up"),
        ({"foot_right_mm": 0.0, "rim_right_mm": 0.0}, {999: 1}, "done"),
        ({"foot_right_mm": 0.0, "rim_right_mm": 0.0}, {1: 999}, "done"),
    ],
)
def test_ticks_that_can_not_be_right_are_refused(
    made: Plan, readings: dict[str, float], done: dict[int, int], where: str
) -> None:
    """Ticks can't move on the item: readings that move them apart, or slices that do not exist, are refused."""
    with pytest.raises(Refused) as refused:
        remainder(made, TickReadings(**readings), done)
    assert refused.value.faults[0].where == where


@pytest.mark.slow
def test_the_command_line_goes_from_beliefs_to_a_corrected_sheet(
    machines: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One strip: draw it, fill in the form, read it, and the sheet is drawn wider by what it showed."""
    place = tmp_path / "strip"
    assert main(["machine", "seam-test", "regatta-bottle", "--to", str(place)]) == 0
    form = place / "seam-test-form.toml"
    text = form.read_text("utf-8").replace('order = "?"', 'order = "1-2-3"').replace('letter = "?"', 'letter = "right"')
    text = text.replace('rising = "?"', "rising = -2").replace('falling = "?"', "falling = 2")
    form.write_text(text, "utf-8")
    assert main(["machine", "seam-test", "regatta-bottle", "--from", str(form)]) == 0
    assert "saved in" in capsys.readouterr().out
    named = ["machine", "seam-test", "regatta-bottle", "--from", str(form), "--machine", "bench"]
    assert [main(named), main([*named, "--new"])] == [2, 0]
    assert "bench" in capsys.readouterr().out
    # Rising and falling ticks show a gap of 0.04 mm in slices of 10 mm; what the motor may have added is taken off.
    assert main(["job", "as-measured", "regatta-bottle", "--to", str(tmp_path / "mine.toml")]) == 0
    said = capsys.readouterr().out
    assert "seam test" in said
    assert float(said.split("rotary makes slices ")[1].split()[0]) == pytest.approx(1.0037, abs=0.0004)
    assert tomllib.loads((tmp_path / "mine.toml").read_text("utf-8"))["item"]["name"] == "Regatta bottle 600 ml"
    assert (
        main(
            [
                "art",
                "slice",
                "regatta-bottle",
                "--machine",
                "main",
                "--text",
                "Regatta",
                "--to",
                str(tmp_path / "sheet"),
            ]
        )
        == 0
    )
    assert list((tmp_path / "sheet").glob("*-sliced.svg"))
    assert list(machines.glob("*.toml"))


def test_readings_are_kept_lapse_and_are_struck_out(machines: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """From the command line: keep, see, lapse, strike; each says what it did."""
    assert main(["machine", "show"]) == 0
    assert "this machine's file" not in capsys.readouterr().out, "no file is there yet"
    assert main(["machine", "record", "field", "axis=x", "drawn=140 mm", "measured=139.6 mm"]) == 0
    assert main(["machine", "show"]) == 0
    assert "main: 1 reading," in capsys.readouterr().out
    assert main(["machine", "changed", "rollers"]) == 0
    assert "None of your readings" in capsys.readouterr().out
    assert main(["machine", "changed", "lens"]) == 0
    assert "in these tests: field. Do" in capsys.readouterr().out
    assert main(["machine", "ignore", "1"]) == 0
    assert main(["machine", "ignore", "1"]) == 2
    assert main(["machine", "changed", "moon"]) == 2
    assert main(["machine", "record", "field", "axis=x", "drawn=140 mm", "measured=5.5 mm"]) == 2
    assert main(["machine", "record", "field", "axis=x", "drawn=140 mm", "measured=139.6"]) == 2
    assert "inches" in capsys.readouterr().err
    assert [p.name for p in machines.glob("*.toml")] == ["main.toml"]


def test_machines_are_begun_listed_and_renamed(machines: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """More than one machine: each has a file of its own, and no name is taken twice."""
    assert main(["machine", "new", "Boathouse laser"]) == 0
    assert main(["machine", "new", "boathouse  laser"]) == 2
    assert main(["machine", "new", "Shed"]) == 0
    assert main(["machine", "rename", "Shed", "Boathouse laser"]) == 2
    assert main(["machine", "rename", "Shed", "Shed laser"]) == 0
    capsys.readouterr()
    assert main(["machine", "list"]) == 0
    assert capsys.readouterr().out.split("\n")[:2] == ["Boathouse laser", "Shed laser"]
    assert sorted(path.name for path in machines.glob("*.toml")) == ["boathouse-laser.toml", "shed-laser.toml"]
    assert main(["machine", "rename", "Moon", "Sun"]) == 2
    assert main(["machine", "new", "?"]) == 2


def test_a_job_that_names_its_machine_is_planned_for_it(machines: Path, tmp_path: Path) -> None:
    """With machine = NAME in the file, plan says what plan --machine NAME does; corrected twice it would not."""
    read = ["item=Regatta bottle 600 ml", "gap=0.85 mm", "at_height=75 mm", "across=79 mm"]
    assert main(["machine", "record", "turn", *read, "--machine", "Shed", "--new"]) == 0
    job = tmp_path / "job.toml"
    text = examples()["regatta-bottle"].read_text("utf-8")
    job.write_text(text.replace("[item]", 'machine = "Shed"\n\n[item]', 1), "utf-8")
    said = []
    for number, asked in enumerate((["plan", str(job)], ["plan", "regatta-bottle", "--machine", "Shed"])):
        out = tmp_path / f"{number}.json"
        assert main([*asked, "--json", "--to", str(out)]) == 0
        said.append(out.read_text("utf-8"))
    assert said[0] == said[1]
    assert '"readings_used": 3' in said[0]
    job.write_text(text.replace("[item]", 'machine = "Moon"\n\n[item]', 1), "utf-8")
    assert main(["plan", str(job)]) == 3
    assert sorted(path.name for path in machines.glob("*.toml")) == ["shed.toml"]


@pytest.mark.slow
def test_the_other_commands_say_what_to_do(machines: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Tapes, table, level and what is left, each from one command."""
    assert main(["machine", "tests", "regatta-bottle", "--to", str(tmp_path / "tapes")]) == 0
    assert (tmp_path / "tapes" / "tape-field.svg").exists()
    assert main(["machine", "tests", "regatta-bottle", "moon"]) == 2
    assert main(["plan", "--error-budget", "regatta-bottle"]) == 0
    assert (
        main(["machine", "level", "regatta-bottle", "--base-end", "95 mm", "--rim-end", "97 mm", "--apart", "60 mm"])
        == 0
    )
    ticks = ["--base-right", "0.4 mm", "--rim-right", "0.4 mm"]
    files = ["--text", "Regatta", "--to", str(tmp_path / "rest")]
    assert main(["resume", "regatta-bottle", *ticks, "--done", "1-10", *files]) == 0
    assert "then mark" in capsys.readouterr().out
    assert all(int(p.name.split("-slice-")[1][:2]) > 10 for p in (tmp_path / "rest").glob("*.svg"))
    assert main(["resume", "regatta-bottle", "--done", "x"]) == 2
    assert not machines.exists()


@pytest.mark.usefixtures("machines")
@pytest.mark.slow
def test_the_sheet_and_its_forecast_go_by_the_machine(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """art slice draws what the correction asks for, and art check finds its seams shut on that machine."""
    assert main(["machine", "record", "field", "axis=x", "drawn=140 mm", "measured=141.4 mm"]) == 0
    assert (
        main(["art", "slice", "regatta-bottle", "--text", "Regatta", "--to", str(tmp_path / "a"), "--machine", "main"])
        == 0
    )
    assert main(["art", "slice", "regatta-bottle", "--text", "Regatta", "--to", str(tmp_path / "b")]) == 0
    mine, plain = (next((tmp_path / name).glob("*-sliced.svg")) for name in "ab")
    wide = [float(drawing_from_text(path.read_text("utf-8")).width_mm) for path in (mine, plain)]
    assert mine.read_text("utf-8") != plain.read_text("utf-8")
    assert wide[0] > 0
    capsys.readouterr()
    asked = ["art", "check", "regatta-bottle", "--text", "Regatta", "--samples", "0", "--machine", "main"]
    assert main([*asked, str(mine)]) == 0
    shut = capsys.readouterr().out
    assert main([*asked, str(plain)]) == 0
    assert capsys.readouterr().out != shut
    assert (
        main(["art", "slice", "regatta-bottle", "--text", "x", "--to", str(tmp_path / "c"), "--machine", "moon"]) == 2
    )
    assert not (tmp_path / "c").exists()


@pytest.mark.parametrize("command", ["plan", "job as-measured", "resume", "art slice"])
def test_a_machine_that_is_not_there_is_not_taken_for_one_without_readings(
    machines: Path, command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A slip in its name would plan with beliefs and say nothing: it is refused, and told which there are."""
    assert (
        main(
            ["machine", "record", "field", "axis=x", "drawn=140 mm", "measured=139.6 mm", "--machine", "bench", "--new"]
        )
        == 0
    )
    ticks = ["--base-right", "0.4 mm", "--rim-right", "0.5 mm"] if command == "resume" else []
    words = [*command.split(), "regatta-bottle", *ticks]
    if command == "art slice":
        words += ["--text", "A", "--to", str(machines.parent / "slices")]
    assert main([*words, "--machine", "bensh"]) == 2
    assert 'did you mean "bench"?' in capsys.readouterr().err
    assert main([*words, "--machine", "bench"]) == 0
    assert [path.name for path in machines.glob("*.toml")] == ["bench.toml"]


def test_a_stopped_nut_goes_on_with_the_numbers_and_files_of_its_words(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is typed stands on the setup sheet alike; each slice that is left has a file with its part of the ink."""
    sheet, rest, whole = tmp_path / "setup.txt", tmp_path / "rest", tmp_path / "whole"
    assert main(["print", "setup", "pommel-nut", "--to", str(sheet)]) == 0
    assert main(["art", "flat", "pommel-nut", "--to", str(whole)]) == 0
    capsys.readouterr()
    assert main(["resume", "pommel-nut", "--done", "1-3", "--to", str(rest)]) == 0
    told, setup = capsys.readouterr().out, sheet.read_text("utf-8")
    for label in ("Slice width in the file", "Diameter to type"):
        row = next(line for line in setup.splitlines() if line.strip().startswith(label))
        assert row in told
    files = sorted(rest.glob("*-slice-*-of-11.svg"))
    assert [int(path.stem.split("-")[-3]) for path in files] == list(range(4, 12))
    every = drawing_from_text(next(whole.glob("*-flat.svg")).read_text("utf-8"))
    strips = slices_between(every.parts["artwork"], (np.arange(1, 11) - 5.5) * 5.132)
    for path, strip in zip(files, strips[3:], strict=True):
        alone = drawing_from_text(path.read_text("utf-8")).parts["artwork"]
        assert area_mm2(alone) == pytest.approx(area_mm2(strip), abs=0.01)
        assert bounds_mm(alone) == pytest.approx(bounds_mm(strip), abs=0.005)
