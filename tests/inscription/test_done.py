"""The whole way, from words to files and a card, on invented parts; what the files do is found by straight rays."""

import re
from math import pi, sqrt, tan
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from rotary.artwork.rings import bounds_mm
from rotary.errors import FileTrouble, Taken
from rotary.inscription import files
from rotary.inscription.face import Face, FaceForecast, on_face
from rotary.inscription.files import write_inscription
from rotary.inscription.lists import ListRow, from_list
from rotary.inscription.names import names
from rotary.inscription.work import part_plan, size
from rotary.item import Item
from rotary.job import Job, job_from_file
from rotary.series.results import ListWish
from rotary.sheet.reread import drawing_from_file
from rotary.shipped import examples
from rotary.simulate.description import description
from rotary.simulate.forecast import Forecast
from rotary.wording import InscriptionWish

BRASS = job_from_file(examples()["brass-nut"])
DOMED = job_from_file(examples()["domed-nut"])


def with_item(**table: Any) -> Job:
    base = {"name": "part", "metal": "brass-c26000", "coating": None, "solid": True}
    return BRASS.model_copy(update={"item": Item.model_validate({**base, **table})})


HEX = with_item(flats=6, across_flats="16 mm", length="18 mm")
PIN = with_item(measurements=[{"at": "0 mm", "across": "3 mm"}, {"at": "30 mm", "across": "3 mm"}])
TAPER = with_item(measurements=[{"at": "0 mm", "across": "14 mm"}, {"at": "20 mm", "across": "22 mm"}])
BARREL = with_item(
    measurements=[
        {"at": f"{at} mm", "across": f"{across} mm"} for at, across in ((0, 15), (5, 17.5), (10, 18), (15, 16))
    ]
)

SHEET = BRASS.model_copy(update={"tolerances": BRASS.tolerances.model_copy(update={"method": "sliced"})})

CASES = {
    "brass, two lines": (BRASS, {"text": "Kingfisher Crew\nRegatta 2026", "around": "arc"}),
    "brass, two lines, redrawn": (SHEET, {"text": "Kingfisher Crew\nRegatta 2026", "around": "arc"}),
    "brass, full ring": (BRASS, {"text": "KINGFISHER CREW", "repeat": 2}),
    "domed, two lines": (DOMED, {"text": "Kingfisher Crew\nRegatta 2026", "around": "arc"}),
    "domed, full ring": (DOMED, {"text": "KINGFISHER CREW"}),
    "brass, end face": (BRASS, {"text": "KINGFISHER CREW\nNo. 17", "around": "end", "bore_mm": 5.0}),
    "hexagon, two flats": (HEX, {"text": "CREW\n2026", "around": "flats", "more": ("Otter",)}),
    "hexagon, lengthwise": (HEX, {"text": "CREW 2026", "around": "flats", "lengthwise": True}),
    "pin of 3 mm": (PIN, {"text": "No. 007", "around": "axis"}),
    "pin of 3 mm, ring": (PIN, {"text": "OAR 7", "face": "line-sans"}),
    "taper, ring": (TAPER, {"text": "KINGFISHER CREW"}),
    "barrel, arc": (BARREL, {"text": "Heron 1884-05-01", "around": "arc"}),
}


LONG = ("pin of 3 mm", "pin of 3 mm, ring")  # thousands of slices


@pytest.mark.slow
@pytest.mark.parametrize("case", [pytest.param(case, marks=pytest.mark.slow if case in LONG else ()) for case in CASES])
def test_files_are_found_right_and_the_card_can_be_followed(case: str, tmp_path: Path) -> None:
    """Marks lie within 4 µm of where the ink belongs and none is missing; the card has all one needs at the machine.

    Flat columns, taken where their seams hold, are straight where a sheet is redrawn: between a slice's middle and its
    seams, which are right, their marks are off by the bow of the arc and no more.
    """
    job, asked = CASES[case]
    whole = write_inscription(job, InscriptionWish(**asked), tmp_path)
    found = whole_forecast(whole)
    assert found.placement_mm is not None
    assert found.missing_mm is not None
    assert max(found.placement_mm, found.missing_mm) < 0.004 + bow_mm(whole)
    if isinstance(found, Forecast):
        assert found.missed_points == 0
        assert max(found.seam_open_mm, found.seam_double_mm) < 0.004
    else:
        assert found.edge_mm > 0
    assert all(check.state != "fails" for check in whole.done.facts.checks)
    text = whole.card.read_text("utf-8")
    for words in (
        "mm high",
        "LEGIBILITY",
        "FILES",
        "WHAT THE FILE WILL MARK",
        "Eyes",
        "passes",
        whole.done.paths[0].name,
    ):
        assert words in text, words
    assert max(map(len, text.splitlines())) <= 100


def bow_mm(whole: Any) -> float:
    """How far flat columns are off inside a slice: R h³ (1/6 + R/2f) (t - t³), most at t = 1/√3 of half a slice h."""
    made = whole.done.made
    if made is None or made.split.method == "sliced":
        return 0.0
    radius = made.layout.reference_radius_mm
    half = made.split.slice_width_mm / (2 * radius)
    lean = 1 / 6 + radius / (2 * made.job.laser.focal_length_mm)
    return float(radius * half**3 * lean * 2 / (3 * sqrt(3)))


def whole_forecast(whole: Any) -> Forecast | FaceForecast:
    from rotary.inscription.work import forecast

    return forecast(whole.done, draws=200)


def test_the_sheet_says_which_place_is_on_top_at_the_start(tmp_path: Path) -> None:
    """The words of a ring begin at the pen mark: on top at the start is what the file itself says, so many millimetres
    on. A face has its focus instead; a handle has a step of its own."""
    ring = write_inscription(BRASS, InscriptionWish(text="HERON CLUB"), tmp_path / "ring")
    said = " ".join(ring.card.read_text("utf-8").split())
    middle = description(drawing_from_file(ring.done.paths[0]), 0.0).middle_rad
    assert middle > 1.0
    place = f"place {middle / pi * 180:.4g}° to the right of the pen mark"
    assert f"{place} ({11 * middle:.1f} mm on the wall; seen with" in said
    assert said.count("Put a pen mark") == 1
    arc = write_inscription(BRASS, InscriptionWish(text="HERON", around="arc"), tmp_path / "arc")
    said = " ".join(arc.card.read_text("utf-8").split())
    assert "Turn the item until the pen mark (0°) lies under the field's middle" in said
    end = write_inscription(BRASS, InscriptionWish(text="HERON", around="end"), tmp_path / "end")
    assert "Focus on the face, leave the lens there" in " ".join(end.card.read_text("utf-8").split())


@pytest.mark.parametrize(("around", "kind"), [("ring", "sliced"), ("end", "end")])
def test_a_card_that_is_not_ours_stops_the_files_too(around: Any, kind: str, tmp_path: Path) -> None:
    """The card comes last: where it may not be written, nothing is."""
    own = tmp_path / f"heron-{kind}-setup.txt"
    own.write_text("mine", "utf-8")
    with pytest.raises(Taken):
        write_inscription(BRASS, InscriptionWish(text="HERON", around=around), tmp_path)
    assert list(tmp_path.iterdir()) == [own]
    assert own.read_text("utf-8") == "mine"


@pytest.mark.slow
def test_a_file_of_other_words_is_found_wrong(tmp_path: Path) -> None:
    """The check of faces can fail: another text, a mirrored file and a wrong focal plane are all told."""
    whole = write_inscription(BRASS, InscriptionWish(text="HERON", around="end"), tmp_path / "a")
    other = write_inscription(BRASS, InscriptionWish(text="OTTER", around="end"), tmp_path / "b")
    face = whole.done.face
    assert face is not None
    assert on_face(face, whole.done.paths, whole.done.rings, 20).placement_mm < 0.002
    assert on_face(face, other.done.paths, whole.done.rings, 20).placement_mm > 0.5
    off = face._replace(plane_mm=face.plane_mm + 4.0)
    assert on_face(off, whole.done.paths, whole.done.rings, 20).placement_mm > 0.1
    small = Face(face.job, face.wish.model_copy(update={"end_diameter_mm": 12.0}), face.plane_mm)
    found = on_face(small, whole.done.paths, whole.done.rings, 20)
    assert found.edge_mm < 0
    assert "run off the face" in found.says[0]


@pytest.mark.slow
def test_the_metal_left_at_the_edges_is_what_calipers_would_find(tmp_path: Path) -> None:
    """Rim less the farthest corner, bore from the nearest foot, flats by the polygon's textbook width."""
    wish = InscriptionWish(text="KINGFISHER CREW", around="end", bore_mm=6.0)
    done = write_inscription(BRASS, wish, tmp_path / "end").done
    reach = np.hypot(*done.rings[0].points_mm.T)
    found = whole_forecast(write_inscription(BRASS, wish, tmp_path / "again"))
    assert isinstance(found, FaceForecast)
    assert found.edge_mm == pytest.approx(11.0 - reach.max(), abs=0.002)
    assert found.bore_mm == pytest.approx(reach.min() - 3.0, abs=0.002)
    wish = InscriptionWish(text="CREW", around="flats")
    whole = write_inscription(HEX, wish, tmp_path / "flats")
    found = whole_forecast(whole)
    assert isinstance(found, FaceForecast)
    left, _, right, _ = bounds_mm(whole.done.rings[0])
    assert found.edge_mm == pytest.approx(16 * tan(pi / 6) / 2 - max(-left, right), abs=0.002)
    assert found.edge_mm >= wish.margin_mm - 0.01


@pytest.mark.slow
@pytest.mark.parametrize(("job", "around"), [(HEX, "flats"), (BRASS, "end")], ids=["flats", "end"])
@pytest.mark.parametrize("each", [False, True])
def test_a_list_goes_on_flats_and_end_faces_too(job: Job, around: Any, each: bool, tmp_path: Path) -> None:
    """Every entry's file holds its own ink within 2 µm; misfits are told; one card serves all and says so."""
    wanted = tuple(ListRow(k + 2, name, name) for k, name in enumerate(["007", "Otter", "漢", "Kingfisher 2026-05-01"]))
    wish = InscriptionWish(around=around)
    made = names(job, wish, wanted, tmp_path / "out", ListWish(each))
    assert [one.name for one in made.entries] == ["漢", "007", "Otter", "Kingfisher 2026-05-01"]
    for entry in made.entries[1:]:
        asked = wish.model_copy(update={"text": entry.name, "letter_height_mm": entry.letter_height_mm})
        alone = write_inscription(job, asked, tmp_path / entry.name.replace(" ", "-"))
        face = alone.done.face
        assert face is not None
        paths = [tmp_path / "out" / name for name in entry.files]
        assert on_face(face, paths, alone.done.rings, 5).placement_mm < 0.002
        assert entry.marking_s is not None
        assert entry.marking_s > 0
    heights = {entry.letter_height_mm for entry in made.entries[1:]}
    assert (len(heights) > 1) == each
    assert {entry.card for entry in made.entries[1:]} == {"setup-01.txt"}
    card = (tmp_path / "out" / "setup-01.txt").read_text("utf-8")
    for words in ("names.csv", "strokes", "Eyes", "passes"):
        assert words in card


def test_further_flats_of_a_list_carry_the_name_where_they_ask_for_it(tmp_path: Path) -> None:
    """The club on one flat, the name of each entry on the next."""
    wish = InscriptionWish(text="OTTER CREW", around="flats", more=("{name}",))
    made = names(HEX, wish, (ListRow(2, "Jay", "CREW"), ListRow(3, "Ibis", "CREW")), tmp_path / "out")
    first, second = (tmp_path / "out" / entry.files[0] for entry in made.entries)
    assert first.read_bytes().split(b"<path")[1] == second.read_bytes().split(b"<path")[1]
    first, second = (tmp_path / "out" / entry.files[1] for entry in made.entries)
    assert first.read_bytes().split(b"<path")[1] != second.read_bytes().split(b"<path")[1]


def test_a_list_on_a_wall_has_a_card_for_every_entry(tmp_path: Path) -> None:
    """Entries that are planned alike share a card, and each card tells the columns that its files are drawn for."""
    (tmp_path / "crew.csv").write_text("name\nJay\nIbis\nKingfisher\nOtter\n", "utf-8")
    wanted, _, sign = from_list(tmp_path / "crew.csv", None, "{name} 2026")
    made = names(BRASS, InscriptionWish(around="arc"), wanted, tmp_path / "out", ListWish(sign=sign))
    assert {one.card for one in made.entries} == {path.name for path in (tmp_path / "out").glob("setup-*.txt")}
    table = (tmp_path / "out" / "names.csv").read_text("utf-8-sig")
    assert all(one.card in table for one in made.entries)
    for one in made.entries:
        text = (tmp_path / "out" / one.card).read_text("utf-8")
        assert "LEGIBILITY" in text
        assert "the longest name of the list allows no more" in " ".join(text.split())


def test_small_radii_make_slices_narrow() -> None:
    """The thinner the part, the narrower its slices, down to the pin, and each says its own."""
    widths = []
    for job in (BRASS, DOMED, PIN):
        made, whole, _ = part_plan(job, InscriptionWish(text="OAR", around="ring"))
        widths.append(whole.split.slice_width_mm)
        says = next(check.says for check in made.facts.checks if check.name == "beam's angle")
        assert f"slices is {widths[-1]:.2f} mm wide" in says
    assert widths == sorted(widths, reverse=True)
    assert widths[-1] < 0.75


def test_serial_numbers_with_leading_noughts_are_all_of_one_height() -> None:
    """0001 to 9999 in tabular figures: no number is taller than another when each is as large as fits."""
    heights = {size(BRASS, InscriptionWish(text=f"{n:04d}")).facts.letter_height_mm for n in (1, 17, 888, 9999)}
    assert max(heights) - min(heights) < 0.2 * max(heights)


@pytest.mark.parametrize(("method", "words"), [("auto", "gets a sliced file"), ("flat", "rarely fit one turn exactly")])
def test_the_card_says_how_a_ring_closes(method: Any, words: str, tmp_path: Path) -> None:
    """A slice sheet closes it; plain columns come with a warning, and meet as well as a typed width of them can."""
    tolerances = BRASS.tolerances.model_copy(update={"method": method})
    whole = write_inscription(
        BRASS.model_copy(update={"tolerances": tolerances}), InscriptionWish(text="HERON CLUB"), tmp_path
    )
    assert words in " ".join(whole.card.read_text("utf-8").split())
    found = whole_forecast(whole)
    assert isinstance(found, Forecast)
    off = max(found.seam_open_mm, found.seam_double_mm)
    # Half of the last digit of a column's width, for each column of the turn.
    split = whole.done.made.split if whole.done.made is not None else None
    assert split is not None
    assert off < (0.004 if method == "auto" else 0.0005 * split.slices + 0.004)


def test_files_and_card_come_together_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the disk has no room for the card any more, the drawings go again."""

    def full(path: Path, *_: Any, **__: Any) -> None:
        raise FileTrouble(f"{path.name} can't be written (No space left on device)")

    monkeypatch.setattr(files, "write_file", full)
    with pytest.raises(FileTrouble, match="No space"):
        write_inscription(BRASS, InscriptionWish(text="HERON"), tmp_path / "a")
    assert not [*(tmp_path / "a").iterdir()]


def test_sheet_and_cards_are_in_inches_where_asked(tmp_path: Path) -> None:
    """Sizes of words and of what is set by hand; the numbers to type stay metric, as the other papers have it."""
    wish = InscriptionWish(text="HERON")
    one = "\n".join(write_inscription(BRASS, wish, tmp_path / "one", system="in").lines)
    how = ListWish(system="in")
    entries = names(BRASS, wish, (ListRow(1, "Otter", "OTTER"),), tmp_path / "list", how).entries
    card = (tmp_path / "list" / entries[0].card).read_text("utf-8")
    for text in (one, card):
        words = text[text.index("1 WORDS") : text.index("2 SAFE")]
        assert "in high (a capital)" in words
        assert "mm" not in words
        by_hand = text[text.index("3 MOUNT") : text.index("5 IMPORT")]
        assert " in from end 1" in by_hand
        assert "mm" not in by_hand
        assert "Slice width in the file " in text
        assert " mm\n" in text[text.index("Slice width in the file ") :]


@pytest.mark.parametrize("case", ["bare", "coated"])
@pytest.mark.parametrize(
    ("axis", "towards", "points", "up"),
    [("y", "plus", "up", 1), ("y", "minus", "down", -1), ("x", "plus", "right", 1), ("x", "minus", "left", -1)],
)
def test_who_follows_the_sheet_marks_each_flat_once(
    case: str, axis: str, towards: str, points: str, up: int, tmp_path: Path
) -> None:
    """Of three flats the third has most ink. Whatever is imported, in the order of the steps, is each file once; the
    words' middle and the rim lie as the sheet says, in the program's window; and so lie the letters, whose tops are
    towards the rim."""
    coat = {"coating": "polyester-powder-dark", "coating_thickness_um": 70.0} if case == "coated" else {}
    job = with_item(flats=6, across_flats_mm=30.0, length_mm=40.0, **coat)
    lies: dict[str, Any] = {"laser": job.laser.model_copy(update={"field_axis": axis, "rim_towards": towards})}
    if case == "coated":
        lies["passes"] = job.passes.model_copy(update={"depth_um": None})
    job = job.model_copy(update=lies)
    wish = InscriptionWish(text="LLL", around="flats", more=("L", "LLLLLL"), corner_radius_mm=1.0, to_mm=24.0)
    told = " ".join(" ".join(write_inscription(job, wish, tmp_path).lines).split())
    steps = told[told.index("LASER ---") : told.index("AFTER MARKING ---")]
    marked = re.findall(r"[\w-]+-flat-\d+\.svg", steps)
    if case == "coated":
        # The first face is the one that is imported first.
        marked.insert(0, re.findall(r"Import ([\w-]+\.svg)", told)[0])
        assert marked[0].endswith("-03.svg")
    assert sorted(marked) == [f"lll-flat-{number:02d}.svg" for number in (1, 2, 3)]
    assert "the place 12 mm from end 1 under the middle of the field." in told
    assert f"In the program the side at end 2 must point {points}: end 2 lies at the " in told
    assert ("OTHER FACES ---" in told, "OTHER SLICES" in told) == (True, False)
    assert "away from you: the next file's flat always lies to the right of the flat before" in told
    # An L has more ink at its foot than at its top.
    (ink,) = drawing_from_file(tmp_path / "lll-flat-02.svg").parts.values()
    along = ink.points_mm[:, 1 if axis == "y" else 0] * up
    assert np.sum(along < 0) > np.sum(along > 0)
