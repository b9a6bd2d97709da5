"""Lists of names and numbers on like parts: misfits first, the rest done all the same."""

import csv
import errno
import os
from pathlib import Path
from typing import Any

import pytest

from rotary.cli import main
from rotary.errors import FileTrouble, Refused
from rotary.inscription.lists import ListRow, from_list, from_numbers
from rotary.inscription.names import LetterSizes, NameEntry, names
from rotary.inscription.work import forecast, inscribe
from rotary.job import job_from_file
from rotary.series.results import ListWish
from rotary.sheet.reread import drawing_from_file
from rotary.shipped import examples
from rotary.wording import InscriptionWish

JOB = job_from_file(examples()["domed-nut"])
ARC = InscriptionWish(around="arc", arc_rad=2.4)
LINES = ["Heron", "", "漢字", "x" * 1200, "Ångström", "🚣", 'The "Otter", 2nd', "Heron", "אב"]


def wanted(lines: list[str] | None = None) -> tuple[ListRow, ...]:
    return tuple(ListRow(place, name, name) for place, name in enumerate(lines or LINES, 2))


def test_misfits_are_told_before_anything_is_written_and_the_rest_is_done(tmp_path: Path) -> None:
    """Empty, foreign and endless names stand first with a reason each; four good ones have a file each."""
    told: list[NameEntry] = []
    folder = tmp_path / "out"

    def tell(found: LetterSizes) -> None:
        assert not folder.exists()
        told.extend(found.misfits)

    made = names(JOB, ARC, wanted(), folder, tell_sizes=tell)
    assert [entry.line for entry in told] == [3, 4, 5, 7, 10]
    assert all(len(entry.why) > 20 for entry in told)
    assert [entry.state for entry in made.entries] == ["misfit"] * 5 + ["cut"] * 4
    assert all((folder / name).is_file() for entry in made.entries for name in entry.files)
    assert any("more than once" in note for note in made.notes)
    rows = list(csv.DictReader((folder / "names.csv").read_text("utf-8-sig").splitlines()))
    assert [row["state"] for row in rows] == [entry.state for entry in made.entries]


@pytest.mark.parametrize("each", [False, True])
def test_heights_are_the_same_or_each_its_own(each: bool, tmp_path: Path) -> None:
    """All as high as the longest allows, or a short name larger than a long one."""
    made = names(JOB, ARC, wanted(["Jay", "Kingfisher & Otter"]), tmp_path / "out", ListWish(each))
    short, long = (entry.letter_height_mm for entry in made.entries)
    assert short > 1.5 * long if each else short == long == made.height_mm


@pytest.mark.parametrize(
    ("asked", "each", "why", "said"),
    [
        ({}, False, "the longest name of the list allows no more", "the longest name allows no more"),
        ({"letter_height_mm": 1.5}, False, "as high as you asked", "as you asked"),
        ({"letter_height_mm": 1.5}, True, "as high as you asked", ""),
        ({}, True, "this name allows no more", ""),
    ],
)
def test_what_set_the_size_is_told(asked: dict[str, float], each: bool, why: str, said: str, tmp_path: Path) -> None:
    """The longest name only where it did."""
    made = names(JOB, ARC.model_copy(update=asked), wanted(["Jay", "Otter"]), tmp_path / "out", ListWish(each))
    for one in made.entries:
        assert why in " ".join((tmp_path / "out" / one.card).read_text("utf-8").split())
    assert [note.partition(": ")[2].rstrip(".") for note in made.notes if "capitals" in note] == (
        [said] if said else []
    )


@pytest.mark.parametrize("around", ["arc", "ring"])
def test_a_file_of_a_list_is_the_file_of_the_name_alone(around: Any, tmp_path: Path) -> None:
    """A name cut from a list has the ink of the same name inscribed by itself, to the overlap at its own seams."""
    asked = ARC.model_copy(update={"around": around})
    made = names(JOB, asked, wanted(["Heron 17"]), tmp_path / "out")
    alone = inscribe(JOB, asked.model_copy(update={"text": "Heron 17"}), tmp_path / "alone")
    assert made.entries[0].letter_height_mm == alone.facts.letter_height_mm
    path = tmp_path / "out" / made.entries[0].files[0]
    from rotary.artwork.rings import area_mm2

    inks = [sum(area_mm2(part) for part in drawing_from_file(one).parts.values()) for one in (path, alone.paths[0])]
    assert inks[0] == pytest.approx(inks[1], rel=1e-2)
    assert forecast(alone, 5).missed_points == 0


@pytest.mark.parametrize(
    "data",
    [
        b'name,boat\n"O\'Neill, Mia",Heron\n',
        "\ufeffname;boat\nBjörn;Otter\n".encode(),
        "name\tboat\nBjörn\tOtter\n".encode("utf-16"),
        "name;boat\nBjörn;Otter\n".encode("cp1252"),
    ],
)
def test_lists_in_any_of_the_usual_codes_are_read(data: bytes, tmp_path: Path) -> None:
    """Quotes, marks at the beginning and other codes give the name that was meant."""
    path = tmp_path / "list.csv"
    path.write_bytes(data)
    read, _, _ = from_list(path, "name", "Crew {name}")
    assert read[0].text in ("Crew Björn", "Crew O'Neill, Mia")
    with pytest.raises(Refused, match="no column"):
        from_list(path, "nmae", "")


def test_serial_numbers_keep_their_digits() -> None:
    """001 to 1000: as many as there are, leading noughts only where wanted; a wrong range is refused."""
    made = from_numbers("1-1000", 3, "No. {name}")[0]
    assert (len(made), made[0].text, made[-1].text) == (1000, "No. 001", "No. 1000")
    with pytest.raises(Refused):
        from_numbers("5-1", 1, "")


def test_a_stop_leaves_nothing(tmp_path: Path) -> None:
    """Whatever progress raises half way leaves no folder and no spare beside it; a full folder is not touched."""

    def stop(share: float) -> None:
        if share > 0.5:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        names(JOB, ARC, wanted(["Heron", "Otter", "Jay"]), tmp_path / "out", progress=stop)
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "x").mkdir()
    (tmp_path / "x" / "mine").write_text("mine")
    with pytest.raises(FileTrouble):
        names(JOB, ARC, wanted(["Heron"]), tmp_path / "x")


def test_a_list_in_which_nothing_fits_is_refused(tmp_path: Path) -> None:
    """Then nothing is written."""
    with pytest.raises(Refused, match="no name of the list fits"):
        names(JOB, ARC, wanted(["漢字", ""]), tmp_path / "out")
    assert not (tmp_path / "out").exists()


@pytest.mark.slow
def test_the_command_takes_lists_and_numbers(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A list and a range each make a folder; both at once, and a bad range, are refused."""
    path = tmp_path / "l.csv"
    path.write_text("name\nHeron\n漢\n", "utf-8")
    start = ["inscribe", "domed-nut", "--around", "arc"]
    assert main([*start, "--list", str(path), "--to", str(tmp_path / "a")]) == 0
    assert "1 name does not fit" in capsys.readouterr().out
    assert main([*start, "--numbers", "8-11", "--digits", "2", "--text", "No {name}", "--to", str(tmp_path / "b")]) == 0
    assert len(list((tmp_path / "b").glob("*.svg"))) == 4
    assert main([*start, "--numbers", "11-8", "--to", str(tmp_path / "c")]) == 2
    assert main([*start, "--numbers", "1", "--to", str(tmp_path / "c")]) == 2
    assert main([*start, "--numbers", "1-2", "--list", str(path), "--to", str(tmp_path / "c")]) == 2


def test_a_list_is_on_disk_before_its_folder_has_its_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each file is flushed once, at the end, while the folder still has no name; then the folder gets it."""
    flushed: list[str] = []
    real, folder = os.fsync, tmp_path / "out"

    def fsync(handle: int) -> None:
        if os.path.isfile(path := os.readlink(f"/proc/self/fd/{handle}")):  # noqa: PTH113, PTH115
            assert not folder.exists()
            flushed.append(Path(path).name)
        real(handle)

    if not Path("/proc/self/fd").is_dir():
        pytest.skip("this system does not tell which file a handle is of")
    monkeypatch.setattr(os, "fsync", fsync)
    names(JOB, ARC, wanted(["Heron", "Ibis"]), folder)
    assert sorted(flushed) == sorted(path.name for path in folder.iterdir())


def test_a_disk_that_fails_at_the_flush_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A full disk may only show when all is flushed: told in a sentence, and no half list stands there."""

    def fsync(_handle: int) -> None:
        raise OSError(errno.ENOSPC, "no space left")

    monkeypatch.setattr(os, "fsync", fsync)
    with pytest.raises(FileTrouble, match="no space left"):
        names(JOB, ARC, wanted(["Heron", "Ibis"]), tmp_path / "out")
    assert list(tmp_path.iterdir()) == []
