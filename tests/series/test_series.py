"""Names on items that are all alike: every name set as it should be, misfits first, all or nothing."""

import csv
import math
import subprocess
import sys
import tracemalloc
from pathlib import Path

import numpy as np
import pytest

from rotary.artwork.rings import Rings, bounds_mm, rings_from_list
from rotary.artwork.text import Lettering, drawing_from_text
from rotary.errors import FileTrouble, Refused
from rotary.job import job_from_file
from rotary.papers.text import text_lines
from rotary.plan import Plan, plan
from rotary.series import SeriesWish, series
from rotary.series.paper import names_sheet
from rotary.series.results import Outcome, misfit_lines, outcomes_in
from rotary.sheet.reread import drawing_from_file
from rotary.shipped import examples
from rotary.simulate.description import description

STAR = rings_from_list(
    [[(r * np.cos(a), 10 + r * np.sin(a)) for a, r in zip(np.arange(20) * np.pi / 10, [11, 5] * 10, strict=True)]]
)
PLANS = {name: plan(job_from_file(examples()[name]), 0) for name in ("regatta-bottle", "boathouse-mug")}
LINES = [
    "Heron",
    "Jay",
    "",
    "Ångström",
    "漢字",
    "A name so long that it goes on all round the bottle and further",
    "Heron",
]


@pytest.fixture
def listed(tmp_path: Path) -> Path:
    path = tmp_path / "list.csv"
    path.write_text("name;boat\n" + "".join(f'"{name}";x\n' for name in LINES), "utf-8")
    return path


def bottle() -> Plan:
    return PLANS["regatta-bottle"]


def test_misfits_stand_first_with_their_reasons(listed: Path, tmp_path: Path) -> None:
    """An empty line, letters that the font lacks and a name too long are told first, the rest in order."""
    made, paths = series(bottle(), listed, tmp_path / "out", SeriesWish(column="name"), STAR)
    assert [(entry.line, entry.state == "misfit") for entry in made.entries] == [
        (4, True), (6, True), (7, True), (2, False), (3, False), (5, False), (8, False),
    ]  # fmt: skip
    assert made.misfits == 3
    reasons = " ".join(entry.why for entry in made.entries[:3])
    assert all(words in reasons for words in ("the line has no name", "the font lacks", "shorten the name"))
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == sorted(path.name for path in paths)
    assert any(f'"{LINES[-1]}" is in the list more than once' in note for note in made.notes)
    assert misfit_lines(made.entries[:1])[1] == "  line 4: the line has no name: write a name, or take the line out"


def test_on_a_coating_the_first_name_alone_has_its_first_slice_apart(listed: Path, tmp_path: Path) -> None:
    """Every other name has no more than its own file; the notes say what is imported first, and bare metal has none."""
    made, _ = series(bottle(), listed, tmp_path / "out", SeriesWish(column="name"), STAR)
    first, *others = [entry.files for entry in made.entries if entry.files]
    whole = Path(first[0])
    stem = whole.stem.removesuffix("-sliced")
    assert [Path(file).stem for file in first] == [whole.stem, f"{stem}-first", f"{stem}-second", f"{stem}-rest"]
    assert all(len(files) == 1 for files in others)
    assert first[1] in made.notes[0]
    assert f"at most {bottle().removal.passes_at_most} passes" in made.notes[0]
    assert made.notes[1].index(first[2]) < made.notes[1].index(first[3])
    item = bottle().job.item.model_copy(update={"coating": None, "coating_thickness_um": None, "colour": None})
    bare = plan(bottle().job.model_copy(update={"item": item}), 0)
    made, _ = series(bare, listed, tmp_path / "bare", SeriesWish(column="name"), STAR)
    assert {len(entry.files) for entry in made.entries if entry.files} == {1}
    assert not any("-first" in note for note in made.notes)


def test_the_table_says_what_the_series_says(listed: Path, tmp_path: Path) -> None:
    """One line for each name, in the same order, with its files and its time; the sign is the list's own."""
    made, paths = series(bottle(), listed, tmp_path / "out", SeriesWish(column="name"), STAR)
    with paths[0].open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file, delimiter=";"))
    assert [row["name"] for row in rows] == [entry.name for entry in made.entries]
    assert [row["files"] for row in rows] == [" ".join(entry.files) for entry in made.entries]
    assert all(float(row["marking time s"]) > 0 for row in rows if row["files"])
    assert [row["start °"] for row in rows if not row["files"]] == [""] * made.misfits
    for row, entry in zip(rows, made.entries, strict=True):
        if row["files"]:
            told = start_of(tmp_path / "out" / entry.files[0])
            assert float(row["start °"]) == pytest.approx(math.degrees(told), abs=6e-4)


def test_the_names_sheet_has_the_start_of_every_file(listed: Path, tmp_path: Path) -> None:
    """It is read back from the folder: what is imported first, its page, then each name to tick with its own start; a
    folder without a list is refused."""
    made, _ = series(bottle(), listed, tmp_path / "out", SeriesWish(column="name"), STAR)
    assert outcomes_in(tmp_path / "out") == tuple(
        Outcome(line=one.line, name=one.name, state=one.state, why=one.why, files=one.files,
                start_deg=None if one.start_deg is None else round(one.start_deg, 3))
        for one in made.entries
    )  # fmt: skip
    text = " ".join(" ".join(text_lines(names_sheet(bottle(), tmp_path / "out")(0.0))).split())
    done = [one for one in made.entries if one.files]
    page = drawing_from_file(tmp_path / "out" / done[0].files[0])
    assert f"Import {done[0].files[1]}." in text
    assert f"must show the file as {page.width_mm:.3f} × {page.height_mm:.3f} mm" in text
    assert len({one.start_deg for one in done}) > 1
    for one in done:
        assert f"{one.name} {one.start_deg:.1f}° {one.files[0]}" in text
    assert f"{done[0].files[0]} if you found power and passes on scrap. If not:" in text
    assert "Later items: import each item's own file" in text
    with pytest.raises(FileTrouble, match="drawn for other slices"):
        names_sheet(PLANS["boathouse-mug"], tmp_path / "out")
    with pytest.raises(FileTrouble, match=r"holds no names\.csv"):
        outcomes_in(tmp_path)


def test_flat_files_start_at_the_middle_of_the_artwork(listed: Path, tmp_path: Path) -> None:
    """Equal slices have their middle where the artwork has it, so every name starts there."""
    job = job_from_file(examples()["regatta-bottle"]).with_artwork(centre_angle_rad=math.radians(-40))
    made = plan(job.model_copy(update={"tolerances": job.tolerances.model_copy(update={"method": "flat"})}), 0)
    found, _ = series(made, listed, tmp_path / "out", SeriesWish(column="name"), STAR)
    assert {one.start_deg for one in found.entries if one.files} == {-40.0}
    text = " ".join(" ".join(text_lines(names_sheet(made, tmp_path / "out")(0.0))).split())
    place = "the place 40.0° to the left of its front (seen with the rim up)"
    assert f"Turn every item until {place} lies under the middle of the field." in text


def start_of(path: Path) -> float:
    """The angle under the field's middle [rad], as the file says of itself."""
    return description(drawing_from_file(path), 0.0).middle_rad


def ink_of(path: Path) -> Rings:
    return rings_from_list(
        [
            ring
            for part in drawing_from_file(path).parts.values()
            for ring in np.split(part.points_mm, part.offsets[1:-1])
        ]
    )


def test_names_stand_under_the_crest_in_letters_of_the_height_asked(tmp_path: Path) -> None:
    """On a plain plan of a cylinder the written file shows the name where and as large as it was asked."""
    (tmp_path / "a.csv").write_text("name\nHEH\n")
    mug = PLANS["boathouse-mug"]
    wish = SeriesWish(letter_height_mm=6.0, v_mm=-10.0)
    made, paths = series(mug, tmp_path / "a.csv", tmp_path / "out", wish)
    left, bottom, right, top = bounds_mm(ink_of(paths[1]))
    drawing = drawing_from_text(Lettering(text="HEH", letter_height_mm=6.0))
    # The file holds commands: the beam's lean makes them smaller or larger than the wall by a few per cent.
    lean = (top - bottom) / 6.0
    assert lean == pytest.approx(1.0, abs=0.06)
    assert (bottom + top) / 2 == pytest.approx(-10.0 * lean, abs=0.02)
    assert right - left == pytest.approx(
        drawing.ink_width_mm * mug.split.file_slice_mm / (mug.split.index_angle_rad * 40.0), rel=2e-3
    )
    assert made.entries[0].state == "fits"


@pytest.mark.parametrize("name", ["gypq", "HEHH", "jay", "Åse"])
def test_tails_and_accents_move_no_name(name: str, tmp_path: Path) -> None:
    """Names stand on one line, whatever reaches below or above it: the capital H beside each is where it always is."""
    (tmp_path / "a.csv").write_text(f"name\nH{name}\nH\n", "utf-8")
    _, paths = series(PLANS["boathouse-mug"], tmp_path / "a.csv", tmp_path / "out", SeriesWish(letter_height_mm=6.0))
    with_tail, alone = (ink_of(path) for path in paths[1:] if not path.stem.endswith(("-first", "-second", "-rest")))
    stem = with_tail.points_mm[with_tail.points_mm[:, 0] < bounds_mm(with_tail)[0] + 0.5]
    assert stem[:, 1].min() == pytest.approx(bounds_mm(alone)[1], abs=0.003)
    assert stem[:, 1].max() == pytest.approx(bounds_mm(alone)[3], abs=0.003)


def test_long_names_are_set_smaller_but_not_too_small(tmp_path: Path) -> None:
    """A name as wide as 1/0.8 of the room is set at 0.8; below the least share it is a misfit."""
    wide = drawing_from_text(Lettering(text="KINGFISHER", letter_height_mm=8.0)).ink_width_mm
    (tmp_path / "a.csv").write_text("name\nKINGFISHER\nJ\n")
    made, _ = series(bottle(), tmp_path / "a.csv", tmp_path / "a", SeriesWish(room_mm=0.8 * wide), STAR)
    first = made.entries[0]
    assert (first.state, first.letter_height_mm, first.width_mm) == (
        "smaller",
        pytest.approx(6.4),
        pytest.approx(0.8 * wide),
    )
    made, _ = series(
        bottle(), tmp_path / "a.csv", tmp_path / "b", SeriesWish(room_mm=0.8 * wide, least_share=0.9), STAR
    )
    assert (made.entries[0].name, made.entries[0].state) == ("KINGFISHER", "misfit")


def test_a_name_on_the_crest_is_a_misfit(tmp_path: Path) -> None:
    """Ink that would lie on the artwork is told, not marked twice."""
    (tmp_path / "a.csv").write_text("name\nHeron\n")
    with pytest.raises(Refused, match="would lie on the artwork"):
        series(bottle(), tmp_path / "a.csv", tmp_path / "out", SeriesWish(v_mm=10.0), STAR)
    assert not (tmp_path / "out").exists()


def test_the_folder_has_to_be_new_or_empty(listed: Path, tmp_path: Path) -> None:
    """Nothing is mixed with what lies there already; an empty folder is taken."""
    (tmp_path / "empty").mkdir()
    series(bottle(), listed, tmp_path / "empty", SeriesWish(column="name"))
    with pytest.raises(FileTrouble, match="not empty"):
        series(bottle(), listed, tmp_path / "empty", SeriesWish(column="name"))


def test_stopping_leaves_nothing_behind(listed: Path, tmp_path: Path) -> None:
    """Progress rises name by name; whoever stops it finds no folder and no part of one."""
    seen: list[float] = []

    class Stopped(Exception):  # noqa: N818
        pass

    def stop(share: float) -> None:
        seen.append(share)
        if share > 0.5:
            raise Stopped

    with pytest.raises(Stopped):
        series(bottle(), listed, tmp_path / "out", SeriesWish(column="name"), STAR, progress=stop)
    assert seen == sorted(seen)
    assert [path.name for path in tmp_path.iterdir()] == ["list.csv"]


def test_names_that_would_leave_the_folder_stay_in_it(tmp_path: Path) -> None:
    """A name of dots and slashes is a name like any other: its file lies in the folder."""
    (tmp_path / "a.csv").write_text("name\n../../Heron\nC:\\Heron\n/etc\n")
    _, paths = series(bottle(), tmp_path / "a.csv", tmp_path / "out", None, STAR)
    assert all(path.parent == tmp_path / "out" and path.is_file() for path in paths)


@pytest.mark.slow
def test_memory_stays_flat(tmp_path: Path) -> None:
    """Four times as many names take no more memory at the peak, but for their lines in the table."""
    peaks = []
    for count in (6, 24):
        (tmp_path / "a.csv").write_text("name\n" + "".join(f"Heron {k}\n" for k in range(count)))
        tracemalloc.start()
        series(bottle(), tmp_path / "a.csv", tmp_path / f"out{count}", None, STAR)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[1] < 1.25 * peaks[0] + 18 * 4000


def test_importing_loads_no_geometry_library() -> None:
    """Fonts and geometry are loaded when a name is set, not before."""
    late = ("shapely", "uharfbuzz", "fontpkg_noto_sans")
    code = f"import rotary.series, sys; print([m for m in {late} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=200)
    assert done.stdout.strip() == "[]"
