"""Proof patches and readings from the command line: choose, read, see what it taught, strike out."""

from pathlib import Path

import pytest

from rotary.cli import main
from rotary.job import job_from_file
from rotary.plan import plan
from rotary.shipped import examples
from rotary.store.readings import readings_in

JOB = "boathouse-mug"
FEW = ("--samples", "200")


def ran(capsys: pytest.CaptureFixture[str], folder: Path, *words: str) -> tuple[int, str, str]:
    code = main([*words, "--store", str(folder)])
    told = capsys.readouterr()
    return code, told.out, told.err


def test_an_unknown_coating_gets_a_patch_nine_readings_and_a_plan(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The whole way: a patch is chosen and drawn, its cells are read, the plan's chance is told before and after."""
    drawing = tmp_path / "patch.svg"
    code, out, _ = ran(capsys, tmp_path, "patch", "new", JOB, "--to", str(drawing), *FEW)
    assert code == 0
    assert "9 cells" in out
    assert 'id="cell-9"' in drawing.read_text()
    assert {r.outcome for r in readings_in(tmp_path)} == {"not read"}
    seen = [f"{n}=covered" for n in range(1, 5)] + ["5=clear", "6=haze", "7=cut", "8=not-read", "9=covered"]
    code, out, _ = ran(capsys, tmp_path, "patch", "record", JOB, *seen, "--note", "by the window", *FEW)
    assert code == 0
    assert "after 8 readings" in out.lower()
    assert "plan without readings:" in out
    assert "now: No passes are planned after 8 readings. " in " ".join(out.split())
    noted = [r for r in readings_in(tmp_path) if r.note == "by the window"]
    assert sorted({r.cell for r in noted if r.cell}) == list(range(1, 10))


def test_a_cell_is_read_once_a_look_on_the_same_spot(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Words with commas go to the looks in their order, each kept with its passes; one too many is refused."""
    ran(capsys, tmp_path, "patch", "new", JOB, "--cells", "4", *FEW)
    looks = [r for r in readings_in(tmp_path) if r.cell == 1]
    assert len(looks) > 1
    assert [r.passes for r in looks] == sorted({r.passes for r in looks})
    code, _, _ = ran(capsys, tmp_path, "patch", "record", JOB, "1=covered,haze", *FEW)
    assert code == 0
    assert [r.outcome for r in readings_in(tmp_path) if r.cell == 1][:2] == ["covered", "haze"]
    before = (tmp_path / "readings.toml").read_bytes()
    code, _, err = ran(capsys, tmp_path, "patch", "record", JOB, "1=" + ",".join(["clear"] * 9), *FEW)
    assert code != 0
    assert "has too many words" in err
    assert (tmp_path / "readings.toml").read_bytes() == before


def test_a_real_job_counts_as_a_reading(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What a job looked like after so many passes is kept with the whole setting, and teaches."""
    code, out, _ = ran(capsys, tmp_path, "log", "add", JOB, "clear", "--teach", "--unlogged", "--passes", "3", *FEW)
    assert code == 0
    assert "After 1 reading" in out
    (kept,) = readings_in(tmp_path)
    assert (kept.source, kept.passes, kept.outcome, kept.pulse_width_ns) == ("job", 3, "clear", 100)
    says = f"saved as reading 1 of this coating: clean after 3 passes at {100 * kept.power_share:.0f} % power"
    assert says in " ".join(out.split())


@pytest.mark.slow
def test_a_reading_can_be_struck_out_and_counted_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Struck out it stays in the list; the plan before that and now are said; it can come back."""
    code, _, told = ran(capsys, tmp_path, "log", "add", JOB, "cut", "--teach", "--unlogged", *FEW)
    assert code == 2
    assert "--passes" in told
    ran(capsys, tmp_path, "log", "add", JOB, "cut", "--teach", "--unlogged", "--passes", "3", *FEW)
    code, out, _ = ran(capsys, tmp_path, "patch", "ignore", "1", JOB, *FEW)
    assert code == 0
    assert "plans no longer use reading 1" in out
    said = " ".join(out.split())
    assert "plan before: No passes are planned after 1 reading. " in said
    assert "reading" not in said[said.index("now: ") :]
    _, out, _ = ran(capsys, tmp_path, "patch", "ignore", "1", JOB, "--undo", *FEW)
    assert "now: No passes are planned after 1 reading. " in " ".join(out.split())


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["99=clear"], "has no cell"),
        (["clear"], "has no cell"),
        (["1=splendid"], "write coating-left, residue, clean, heat-tint, engraved or not-read"),
        (["1=clear", "1=cut"], "cell 1 is written twice"),
        (["²=clear"], "has no cell"),
    ],
)
def test_what_is_no_reading_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], says: str
) -> None:
    """A cell that isn't there or a word that isn't one of the five: what to write instead, and nothing is kept."""
    ran(capsys, tmp_path, "patch", "new", JOB, "--cells", "4", *FEW)
    code, _, err = ran(capsys, tmp_path, "patch", "record", JOB, *words, *FEW)
    assert code == 2
    assert says in err
    assert {r.outcome for r in readings_in(tmp_path)} == {"not read"}


def test_reading_without_a_patch_says_how_to_get_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Before any patch was chosen there is nothing to read."""
    code, _, err = ran(capsys, tmp_path, "patch", "record", JOB, "1=clear", *FEW)
    assert code == 2
    assert "rotary patch" in err


@pytest.mark.slow
def test_one_patch_whatever_it_is_printed_as(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Lines, JSON, a drawing, a page: one patch, the same cells; what was read of it is still the same patch."""
    _, lines, _ = ran(capsys, tmp_path, "patch", "new", JOB)
    before = (tmp_path / "readings.toml").read_bytes()
    for words in (
        ("patch", "new", JOB, "--json"),
        ("patch", "new", JOB, "--inches", "--to", str(tmp_path / "patch.svg")),
        ("print", "patch", JOB, "--to", str(tmp_path / "patch.html"), "--samples", "0"),
        ("print", "patch", JOB, "--to", str(tmp_path / "patch.txt"), "--patch", "1", "--samples", "0"),
    ):
        code, out, _ = ran(capsys, tmp_path, *words)
        assert code == 0
        assert "patch 1" in out
        assert (tmp_path / "readings.toml").read_bytes() == before
    rows = [line for line in lines.splitlines() if line.startswith("  [ ] 3 ")]
    assert set(rows) <= set((tmp_path / "patch.txt").read_text("utf-8").splitlines())
    assert "rotary patch record boathouse-mug --patch 1" in lines
    assert "You can't set the pulse width: on this laser it is always 100 ns." in " ".join(lines.split())


@pytest.mark.slow
def test_of_two_patches_one_has_to_be_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Refused with how to name one, and nothing is written; named, what was read before is said when it changes."""
    ran(capsys, tmp_path, "patch", "new", JOB, "--cells", "4", *FEW)
    ran(capsys, tmp_path, "patch", "new", JOB, "--cells", "4", "--another", *FEW)
    before = (tmp_path / "readings.toml").read_bytes()
    code, _, err = ran(capsys, tmp_path, "patch", "record", JOB, "1=clear", *FEW)
    assert code == 2
    assert "--patch 1 or --patch 2" in err
    assert (tmp_path / "readings.toml").read_bytes() == before
    code, out, _ = ran(capsys, tmp_path, "patch", "record", JOB, "1=clear", "--patch", "1", *FEW)
    assert code == 0
    assert "saved what you saw in cell 1 of patch 1" in out
    _, out, _ = ran(capsys, tmp_path, "patch", "record", JOB, "1=haze", "--patch", "1", *FEW)
    assert "cell 1 after 1 pass: before clean, now residue" in out
    ran(capsys, tmp_path, "patch", "record", JOB, "1=haze,clear", "--patch", "1", *FEW)
    _, out, _ = ran(capsys, tmp_path, "patch", "record", JOB, "1=not-read", "--patch", "1", *FEW)
    assert "before residue, now not read" in out
    assert "before clean, now not read" in out
    assert {r.outcome for r in readings_in(tmp_path)} == {"not read"}
    ran(capsys, tmp_path, "patch", "record", JOB, "1=haze", "--patch", "1", *FEW)
    assert {r.patch for r in readings_in(tmp_path) if r.outcome != "not read"} == {"patch 1"}
    code, _, err = ran(capsys, tmp_path, "patch", "record", "regatta-bottle", "1=clear", "--patch", "1", *FEW)
    assert code == 2
    assert "not for this job" in err
    ran(capsys, tmp_path, "patch", "ignore", "--patch", "1")
    code, out, _ = ran(capsys, tmp_path, "patch", "record", JOB, "2=clear", *FEW)
    assert code == 0
    assert "patch 2" in out


def test_a_kept_patch_has_its_cells(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Asked for by number it takes neither another count of cells nor another place; other papers take no patch."""
    ran(capsys, tmp_path, "patch", "new", JOB, "--cells", "4", *FEW)
    code, _, err = ran(capsys, tmp_path, "patch", "new", JOB, "--patch", "1", "--cells", "9", *FEW)
    assert code == 2
    assert "the cells of patch 1 are saved already" in err
    code, _, err = ran(capsys, tmp_path, "print", "tests", JOB, "--another", "--to", str(tmp_path / "t.pdf"))
    assert code == 2
    assert "no option --another" in err


def test_a_patch_on_the_item_keeps_flat_enough(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """On a mug of 80 mm cells lie in columns no wider than what hardly sags; a thin pin is sent to flat scrap."""
    code, out, _ = ran(capsys, tmp_path, "patch", "new", JOB, "--on", "item", *FEW)
    assert code == 0
    assert "hidden place of this item" in out
    wide = float(out.split("cells of ")[1].split(" ")[0])
    assert wide**2 / (8 * 40) < 0.13
    pin = examples()[JOB].read_text("utf-8").replace("80 mm", "12 mm").replace("60 mm", "9 mm").replace("42 mm", "8 mm")
    job = tmp_path / "pin.toml"
    job.write_text(pin.replace('width = "28 deg"', 'width = "20 deg"'), encoding="utf-8")
    code, _, err = ran(capsys, tmp_path, "patch", "new", str(job), "--on", "item", *FEW)
    assert code == 3
    assert "flat scrap" in err


@pytest.mark.slow
def test_the_window_and_what_was_taught_are_drawn(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two SVG files that are well formed: the readings' letters stand in the window, each belief has its name."""
    from xml.etree import ElementTree

    ran(capsys, tmp_path, "patch", "new", JOB, "--cells", "4", *FEW)
    ran(capsys, tmp_path, "patch", "record", JOB, "1=clear", "2=cut", *FEW)
    window, taught = tmp_path / "window.svg", tmp_path / "taught.svg"
    code, _, _ = ran(
        capsys, tmp_path, "patch", "list", JOB, "--window", str(window), "--assumptions", str(taught), *FEW
    )
    assert code == 0
    texts = [
        ["".join(node.itertext()).strip() for node in ElementTree.parse(path).iter() if node.tag.endswith("text")]
        for path in (window, taught)
    ]
    assert "X" in texts[0]
    assert any("the metal is marked from" in text for text in texts[1])
    code, _, err = ran(capsys, tmp_path, "patch", "list", "--window", str(window))
    assert code != 0
    assert "rotary patch list JOB" in err


def test_coating_left_at_the_ladders_end_is_a_reading_of_its_last_rung(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without a count, all of the ladder left it: the last rung's power and passes are saved."""
    code, out, _ = ran(capsys, tmp_path, "log", "add", JOB, "coating-left", "--teach", "--unlogged", *FEW)
    assert code == 0, out
    (reading,) = readings_in(tmp_path)
    rung = plan(job_from_file(examples()[JOB]), 200).removal.rungs[-1]
    assert (reading.outcome, reading.passes) == ("covered", rung.passes)
    assert reading.power_share == pytest.approx(rung.power_share)
    watts = reading.power_share * job_from_file(examples()[JOB]).laser.rated_power_w
    assert reading.energy_mj == pytest.approx(watts / reading.frequency_khz)
