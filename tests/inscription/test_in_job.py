"""The words are the job's: in its file, kept with its profile, sized for the machine that it names."""

import re
from functools import partial
from pathlib import Path

import pytest

from rotary.cli import main
from rotary.errors import Refused
from rotary.files import toml_tables
from rotary.inscription.actions import plan_of_marks
from rotary.inscription.work import part_plan, size
from rotary.job import Job, job_from_data, job_from_file, job_from_text, job_text
from rotary.plan import plan
from rotary.shipped import examples
from rotary.store.changes import setup_changes
from rotary.store.profiles import keep, load
from rotary.wording import InscriptionWish
from tests.setups import wordless_nut

NUT = wordless_nut()
WORDS = '\n[inscription]\ntext = "HERON\\n1884"\naround = "arc"\ngap = "2 mm"\nstart = "20 deg"\ndepth = "40 um"\n'


def job_with(words: str = WORDS) -> Job:
    return job_from_text(NUT + words)


def written(folder: Path, words: str = WORDS) -> str:
    path = folder / "nut.toml"
    path.write_text(NUT + words, "utf-8")
    return str(path)


def test_a_job_file_keeps_every_word_and_measure() -> None:
    """What a job says of its inscription reads back as exactly the same; a file without it stays as it was."""
    full = InscriptionWish(
        text='A "B"\n§ ü', around="flats", letter_height_mm=3.1, least_height_mm=0.5, repeat=3, between=" * ",
        tracking=0.2, line_pitch=1.7, gap_mm=1.25, arc_rad=1.1, start_rad=-0.5, from_mm=1.0, to_mm=9.0, chamfer_mm=0.3,
        margin_mm=0.7, corner_radius_mm=0.4, across_corners_mm=18.1, more=("a, b", "c\nd"), lengthwise=True,
        end_diameter_mm=12.0, bore_mm=4.0, surface_map="label", face="line-roman", font="own.ttf", weight=650,
        italic=True, stroke=0.12, read_at_mm=900.0, depth_um=33.3,
    )  # fmt: skip
    assert full.model_fields_set == set(InscriptionWish.model_fields)
    job = job_with("").model_copy(update={"inscription": full})
    assert job_from_text(job_text(job)) == job
    assert job_with("").inscription is None
    assert "inscription" not in job_text(job_with(""))


def test_a_wrong_value_is_told_by_its_name() -> None:
    """A length without a unit and a word that is not known are refused where they stand."""
    with pytest.raises(Refused) as caught:
        job_with('\n[inscription]\ntext = "A"\ngap = "2"\ncolour = "red"\n')
    assert {fault.where for fault in caught.value.faults} == {"inscription.gap", "inscription.colour"}


def test_a_kept_profile_has_the_words_and_another_font_path(tmp_path: Path) -> None:
    """Months later the version opens with the same words; where a font lay on one machine is not in it."""
    job = job_with(WORDS + 'font = "/somewhere/else/own.ttf"\n')
    keep(job, "Nut", tmp_path)
    found = load("Nut", tmp_path).profile.job
    assert found.inscription is not None
    assert found.inscription.font == "own.ttf"
    assert found.inscription.model_copy(update={"font": None}) == job_with().inscription


def test_other_words_leave_a_proof_standing_and_another_depth_does_not() -> None:
    """A setting that was proven holds for any name cut with it; a deeper cut is another number of passes."""
    job, words = job_with(), job_with().inscription
    assert words is not None
    other = job.model_copy(update={"inscription": words.model_copy(update={"text": "IBIS", "start_rad": 1.0})})
    deeper = job.model_copy(update={"inscription": words.model_copy(update={"depth_um": 80.0})})
    assert setup_changes(job, other) == []
    assert [change.where for change in setup_changes(job, deeper)] == ["inscription.depth"]


def test_the_depth_of_the_words_sets_the_passes() -> None:
    """A card of an inscription cuts as deep as its own depth asks, whatever the job's passes say."""
    job, words = job_with(), job_with().inscription
    assert words is not None
    counts = []
    for deep in (20.0, 40.0, 80.0):
        whole = part_plan(job, words.model_copy(update={"depth_um": deep}))[1]
        assert whole.removal.setting is not None
        counts.append(whole.removal.setting.passes)
    assert counts[1] / counts[0] == pytest.approx(2, abs=0.3)
    assert counts[2] / counts[0] == pytest.approx(4, abs=0.6)


def test_no_depth_is_cut_into_a_coating(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Words on a coated item have no depth of their own: said before any file is written, and nothing is."""
    for more in ([], ["--to", str(tmp_path / "out")]):
        assert main(["inscribe", "boathouse-mug", "--text", "IBIS", "--depth", "40 um", *more]) == 2
        assert "bare metal" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_a_job_is_inscribed_without_options(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The command takes the job's words, options go before them, and `none` takes back what the job fixes."""
    path = written(tmp_path)
    assert main(["inscribe", path]) == 0
    plain = capsys.readouterr().out
    assert "The words go part of the way round." in plain
    assert "1884" in plain
    assert main(["inscribe", path, "--text", "IBIS", "--around", "ring"]) == 0
    ring = capsys.readouterr().out
    assert "The words go once round the part." in ring
    assert "1884" not in ring
    assert main(["inscribe", path, "--text", "IBIS", "--around", "ring", "--gap", "none"]) == 0
    closed = capsys.readouterr().out
    assert closed != ring
    kept = job_with().inscription
    assert kept is not None
    alone = size(job_with(), kept.model_copy(update={"text": "IBIS", "around": "ring", "gap_mm": None})).facts
    assert f"{alone.letter_height_mm:.2f} mm high" in closed


def test_a_font_of_the_job_lies_beside_the_job(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A font is counted from the job's own folder; one that is not there is the complaint of its field."""
    import fontpkg_noto_sans

    (tmp_path / "jobs").mkdir()
    monkeypatch.chdir(tmp_path)
    path = written(tmp_path / "jobs", WORDS + 'font = "own.ttf"\n')
    assert main(["inscribe", path]) == 3
    assert "font" in capsys.readouterr().err
    source = min(Path(fontpkg_noto_sans.ROOT).glob("files/*.ttf"))
    (tmp_path / "jobs" / "own.ttf").write_bytes(source.read_bytes())
    assert main(["inscribe", path]) == 0


def test_a_repeat_tells_of_the_words(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Whoever repeats a profile sees on its card that words go with it."""
    assert main(["profile", "save", written(tmp_path), "--as", "Nut", "--store", str(tmp_path / "kept")]) == 0
    capsys.readouterr()
    assert main(["profile", "repeat", "Nut", "--store", str(tmp_path / "kept")]) == 0
    assert '"HERON / 1884"' in " ".join(capsys.readouterr().out.split())


def test_sizes_are_those_of_the_machine_that_the_job_names(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stairs that show a spot twice as wide as computed make letters illegible that the catalogue's spot could show."""
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "rigs"))
    small = ["--text", "HERON", "--around", "arc", "--height", "1.1 mm", "--gap", "none"]
    path = Path(written(tmp_path))
    text = path.read_text("utf-8")
    assert main(["inscribe", str(path), *small]) == 0
    width = re.compile(r"A laser line is ([\d.]+) mm")
    believed = width.search(" ".join(capsys.readouterr().out.split()))
    assert believed is not None
    waist, rayleigh = 0.1, 3.0
    heights = (-6.0, -3.0, 0.0, 3.0, 6.0)
    widths = [waist * (1 + (high / rayleigh) ** 2) ** 0.5 for high in heights]
    stairs = [f"heights={', '.join(f'{high:g} mm' for high in heights)}"]
    stairs += [f"widths={', '.join(f'{wide:.4f} mm' for wide in widths)}", "u=0.002 mm"]
    assert main(["machine", "record", "stairs", *stairs, "--machine", "Shed", "--new"]) == 0
    path.write_text(text.replace("[item]", 'machine = "Shed"\n\n[item]', 1), "utf-8")
    capsys.readouterr()
    code = main(["inscribe", str(path), *small, "--least", "0.2 mm"])
    shown = capsys.readouterr()
    measured = width.search(" ".join(shown.out.split()))
    assert code == 0, shown.err
    assert measured is not None
    assert float(measured[1]) == pytest.approx(waist, rel=0.05)
    assert float(measured[1]) > 1.5 * float(believed[1])
    small[small.index("1.1 mm")] = "0.6 mm"
    assert main(["inscribe", str(path), *small]) == 2
    assert "letter" in capsys.readouterr().err
    path.write_text(text, "utf-8")
    assert main(["inscribe", str(path), *small]) == 0


def test_the_shipped_pommel_nuts_have_words_and_the_others_stay_as_they_are() -> None:
    """The nuts of steel and of brass open with two lines; job files from before the words read as they did."""
    words = {name: wish.text for name, path in examples().items() if (wish := job_from_file(path).inscription)}
    assert words == dict.fromkeys(("brass-nut", "pommel-nut"), "HERON CLUB\nEST 1931")


def test_a_job_of_words_needs_no_artwork_and_its_file_has_none() -> None:
    """Item, turning, laser and words are a job; written and read back it is the same, still without artwork."""
    tables = toml_tables(examples()["pommel-nut"].read_text("utf-8"))
    del tables["artwork"]
    job = job_from_data(tables)
    assert "[artwork]" not in job_text(job)
    assert job_from_text(job_text(job)) == job
    made = plan_of_marks(job, partial(plan, draws=0), Path())
    assert made.job.artwork.width_mm > 20
    with pytest.raises(Refused) as refused:
        job_from_data({name: table for name, table in tables.items() if name != "inscription"})
    assert [fault.where for fault in refused.value.faults] == ["artwork"]
