"""Words on coated parts: tried on one slice or face, and on one item of a list."""

from pathlib import Path

from rotary.inscription.files import write_inscription
from rotary.inscription.lists import from_list
from rotary.inscription.names import names
from rotary.job import Job, job_from_file
from rotary.plan import Plan, plan
from rotary.series.results import ListWish
from rotary.shipped import examples
from rotary.wording import InscriptionWish

MUG = job_from_file(examples()["boathouse-mug"])
ARC = InscriptionWish(text="{name}", around="arc")


def planned(job: Job) -> Plan:
    return plan(job, 0)


def test_a_list_is_tried_on_its_first_item_alone(tmp_path: Path) -> None:
    """One item has its first slice apart; all others get one file, one setting, and a blank for what the first took."""
    (tmp_path / "a.csv").write_text("name\nKingfisher and Otter\nJay\nWren\nKingfisher and Otter\n")
    wanted, _, sign = from_list(tmp_path / "a.csv", None, "{name}")
    found = names(MUG, ARC, wanted, tmp_path / "out", ListWish(sign=sign), made_by=planned)
    first, *others = [entry for entry in found.entries if entry.files]
    whole = Path(first.files[0]).stem
    parts = [f"{whole.removesuffix('-sliced')}-{part}" for part in ("first", "second", "rest")]
    assert [Path(file).stem for file in first.files] == [whole, *parts]
    assert all(len(entry.files) == 1 for entry in others)
    assert first.files[1] in found.notes[0]
    cards = {entry.card: (tmp_path / "out" / entry.card).read_text("utf-8") for entry in found.entries}
    assert len(cards) > 1
    assert first.card not in {entry.card for entry in others}
    for name, text in cards.items():
        assert ("Type 1 pass." in text) == (name == first.card)
        assert ("count of the list's first item)" in " ".join(text.split())) == (name != first.card)
    typed = ("  Power  ", "  Frequency  ", "  Speed  ", "  Line spacing  ", "  Lines  ")
    settings = [[line for line in text.splitlines() if line.startswith(typed)] for text in cards.values()]
    assert len(settings[0]) == len(typed)
    powers = {setting.pop(0).split()[1] for setting in settings[1:]}
    # Which power of the ladder cleans is found on the first item: no other sheet tells one.
    assert powers == {"____"}
    assert settings[0].pop(0).split()[1] != "____"
    assert all(setting == settings[0] for setting in settings)
    assert all("Type the power that cleaned" in text for name, text in cards.items() if name != first.card)


def test_a_coated_face_is_tried_too(tmp_path: Path) -> None:
    """Of several flats the one with most ink is the first file; the planned number is typed nowhere."""
    item = {"name": "hex", "flats": 6, "across_flats_mm": 24.0, "length_mm": 20.0, "solid": True}
    coat = {"metal": "stainless-304", "coating": "polyester-powder-dark"}
    data = MUG.model_dump() | {"item": item | coat, "inscription": None}
    data["artwork"] = {"width_mm": 11.0, "height_mm": 10.0, "centre_mm": 10.0}
    job = Job.model_validate(data)
    wish = InscriptionWish(text="A", around="flats", more=("HERON CLUB",))
    whole = write_inscription(job, wish, tmp_path, planned)
    text = " ".join("\n".join(whole.lines).split())
    assert whole.done.tried_on == whole.done.paths[1].name
    most, other = whole.done.paths[1].name, whole.done.paths[0].name
    assert f"Import {most}. [ ] For another face of the item: import {other}." in text
    assert "Passes 1 Pause" in text
    assert "Type 1 pass. Mark, let it cool, wipe, look." in text
    assert "Clean: note ____ % power, ____ passes." in text
    assert f"import its file ({other}). Type the power and passes of the first face, then mark the last pass." in text


def test_faces_of_a_list_are_tried_on_the_first_item_alone(tmp_path: Path) -> None:
    """The other items' card names no file of the first."""
    item = {"name": "hex", "flats": 6, "across_flats_mm": 24.0, "length_mm": 20.0, "solid": True}
    coat = {"metal": "stainless-304", "coating": "polyester-powder-dark"}
    data = MUG.model_dump() | {"item": item | coat, "inscription": None}
    data["artwork"] = {"width_mm": 11.0, "height_mm": 10.0, "centre_mm": 10.0}
    (tmp_path / "a.csv").write_text("name\nWren\nJay\n")
    wanted, _, sign = from_list(tmp_path / "a.csv", None, "{name}")
    wish = InscriptionWish(text="{name}", around="flats", more=("CLUB",))
    found = names(Job.model_validate(data), wish, wanted, tmp_path / "out", ListWish(sign=sign), made_by=planned)
    first, other = [(tmp_path / "out" / entry.card).read_text("utf-8") for entry in found.entries]
    assert "Import 001-wren-flat-02.svg." in first
    assert "Type 1 pass." in first
    assert "001-wren" not in other
    assert "Type 1 pass." not in other
    assert "Type ____ passes (the count of the list's first item)" in " ".join(other.split())
