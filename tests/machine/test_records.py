"""Machine records: readings folded, odd ones flagged, stale ones lapsed, bad ones refused, nothing stored half."""

from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rotary import shipped
from rotary.errors import FileTrouble, Refused
from rotary.job import job_from_file, job_from_text, job_text
from rotary.machine.correct import corrected, correction
from rotary.machine.level import focus_words
from rotary.machine.lookup import add_machine, answers_to, machine_names, rename_machine
from rotary.machine.lookup import machine_of as machine_named
from rotary.machine.reading_data import reading_from_data
from rotary.machine.record import MachineRecord, known, with_change, with_reading, without_reading
from rotary.machine.store import first_machine, load_machine, machine_from_text, machine_text, save_machine
from rotary.machine.words import reading_from_words
from rotary.plan import plan
from rotary.shipped import examples

START = datetime(2026, 5, 1, 9, 30, tzinfo=UTC)


def reading(minute: int = 0, **data: Any) -> Any:
    return reading_from_data({"at": START + timedelta(minutes=minute), **data})


def machine_of(*readings: Any) -> MachineRecord:
    machine = MachineRecord(name="Boathouse rig")
    for one in readings:
        machine = with_reading(machine, one)
    return machine


def field(measured: str, minute: int = 0, axis: str = "x") -> Any:
    return reading(minute, kind="field", axis=axis, drawn="100 mm", measured=measured)


def test_several_readings_sharpen_what_is_known() -> None:
    """Four equal readings halve the uncertainty of one, as the mean of independent readings must."""
    one = known(machine_of(field("100.1 mm")))["field-scale-x"]
    four = known(machine_of(*(field("100.1 mm", k) for k in range(4))))["field-scale-x"]
    assert four.u == pytest.approx(one.u / 2, rel=0.1)
    assert four.value == pytest.approx(0.001, rel=0.05)


def test_an_odd_reading_is_flagged_and_not_averaged_in() -> None:
    """A reading that fits none of the others must not move the result, and is told by its number."""
    good = [field("99.8 mm", 0), field("99.82 mm", 1), field("99.79 mm", 2)]
    without = known(machine_of(*good))["field-scale-x"]
    with_odd = known(machine_of(*good, field("101.9 mm", 3)))["field-scale-x"]
    assert with_odd.value == pytest.approx(without.value, abs=1e-12)
    assert with_odd.odd == 1
    assert "Reading 4" in with_odd.says[0]


def test_readings_that_contradict_each_other_are_not_used() -> None:
    """Of two readings that can't both be right nobody knows which is: the belief stands, and it is said."""
    now = known(machine_of(field("99 mm"), field("101 mm", 1)))["field-scale-x"]
    assert now.source == "believed"
    assert "disagree too much" in now.says[0]


def test_a_changed_lens_lapses_what_hangs_on_it_and_nothing_else() -> None:
    """After a change the readings before it are stale, with a sentence; the drive's and later ones stand."""
    turn = reading(0, kind="turn", item="Bottle", gap="0.4 mm", at_height="75 mm", across="79 mm")
    machine = with_change(machine_of(field("99.8 mm"), turn), "lens", START + timedelta(hours=1))
    now = known(machine, "bottle")
    assert now["field-scale-x"].source == "believed"
    assert now["field-scale-x"].stale == 1
    assert "Reading 1 is out of date: the lens" in now["field-scale-x"].says[0]
    assert now["turn"].source == "measured"
    later = known(with_reading(machine, field("99.9 mm", 90)))["field-scale-x"]
    assert later.used == 1


def test_a_reading_for_one_item_says_nothing_about_another() -> None:
    """On rollers a turn belongs to the item that was on them."""
    machine = machine_of(reading(0, kind="turn", item="Bottle", gap="0.4 mm", at_height="75 mm", across="79 mm"))
    assert known(machine, "Mug")["turn"].source == "believed"


def test_a_strip_lapses_when_the_turn_is_read_anew() -> None:
    """A strip corrects the sheet of one plan; a newer full-turn reading makes another plan."""
    strip = reading(0, kind="strip", item="Bottle", scale="0.4 %", u_scale="0.05 %")
    turn = reading(60, kind="turn", item="Bottle", gap="0.4 mm", at_height="75 mm", across="79 mm")
    assert known(machine_of(strip), "Bottle")["sheet-scale"].source == "measured"
    late = known(machine_of(strip, turn), "Bottle")["sheet-scale"]
    assert late.source == "believed"
    assert "do a new seam test" in late.says[-1]


def test_a_machine_reads_back_from_its_file_as_it_was(tmp_path: Path) -> None:
    """What is kept is what was read: text and back is the same machine, with every kind of reading."""
    machine = machine_of(
        field("99.8 mm"),
        reading(1, kind="two-heights", axis="y", drawn="140 mm", low="144 mm", high="137 mm", apart="15 mm"),
        reading(
            2, kind="stairs", heights=["-4 mm", "-2 mm", "0 mm", "2 mm", "4 mm"],
            widths=["0.12 mm", "0.08 mm", "0.05 mm", "0.08 mm", "0.12 mm"],
        ),
        reading(3, kind="pointer", right="1 mm", up="0.5 mm", second_height="10 mm", second_right="1.4 mm",
                second_up="0.5 mm"),
        reading(4, kind="edge", long="55 mm", off="0.1 mm"),
        reading(5, kind="flanks", left="43.1 mm", right="44.2 mm"),
        reading(6, kind="level", item="Bottle", base_end="95 mm", rim_end="95.4 mm", apart="60 mm"),
        reading(7, kind="backlash", apart="0.02 mm", across="79 mm", note='said "again"'),
        reading(8, kind="line-width", item="Bottle", width="0.07 mm"),
        reading(9, kind="strip", item="Bottle", scale="0.4 %", u_scale="0.05 %", turn="0.1 deg"),
    )  # fmt: skip
    machine = with_change(machine, "axis", START + timedelta(days=1), "after cleaning")
    assert machine_from_text(machine_text(machine)) == machine
    save_machine(machine, tmp_path)
    assert load_machine("Boathouse rig", tmp_path) == machine


@pytest.mark.parametrize(
    ("data", "where", "word"),
    [
        ({"kind": "field", "axis": "x", "drawn": "100 mm", "measured": "3.93 mm"}, "measured", "inches"),
        ({"kind": "field", "axis": "x", "drawn": "100 mm", "measured": "120 mm"}, "measured", "5 %"),
        ({"kind": "field", "axis": "x", "drawn": "100 mm", "measured": "99 kg"}, "measured", "length"),
        ({"kind": "field", "axis": "x", "drawn": "100 mm"}, "measured", "missing"),
        (
            {"kind": "two-heights", "axis": "x", "drawn": "100", "low": "97", "high": "103", "apart": "10"},
            "high",
            "other way round",
        ),
        (
            {"kind": "turn", "item": "B", "gap": "30 mm", "at_height": "75 mm", "across": "79 mm"},
            "gap",
            "item once",
        ),
        (
            {"kind": "stairs", "heights": ["0", "1", "2", "3", "4"], "widths": [".05", ".06", ".08", ".1", ".12"]},
            "widths",
            "narrower and then wider",
        ),
        ({"kind": "stairs", "heights": ["0", "1"], "widths": [".05"]}, "widths", "one width"),
        ({"kind": "edge", "long": "50 mm", "off": "20 mm"}, "off", "crooked"),
        ({"kind": "colour"}, "", "turn"),
    ],
)
def test_a_senseless_reading_is_refused_in_a_sentence(data: dict[str, Any], where: str, word: str) -> None:
    """Wrong unit, out of range, missing, swapped: the sentence names the field and what to write instead."""
    with pytest.raises(Refused) as refused:
        reading(0, **data)
    assert refused.value.faults[0].where == f"reading.{where}".rstrip(".")
    assert word in refused.value.faults[0].says


def test_nothing_is_stored_half(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A write that fails leaves the machine's file as it was."""
    path = save_machine(machine_of(field("99.8 mm")), tmp_path)
    before = path.read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(FileTrouble):
        save_machine(machine_of(field("99.8 mm"), field("99.9 mm", 1)), tmp_path)
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == [path.name]


def test_the_same_reading_is_not_counted_twice_and_can_be_struck_out() -> None:
    """A reading kept by mistake twice would pretend to more than was read."""
    machine = machine_of(field("99.8 mm"))
    with pytest.raises(Refused):
        with_reading(machine, field("99.8 mm"))
    assert without_reading(machine, 1).readings == ()
    with pytest.raises(Refused):
        without_reading(machine, 2)


def test_the_corrected_job_is_planned_with_what_was_measured() -> None:
    """Measured pupils, spot and turn reach the plan, and a job file says the same as the corrected job."""
    job = job_from_file(examples()["regatta-bottle"])
    machine = machine_of(
        field("99.8 mm"),
        reading(1, kind="two-heights", axis="x", drawn="140 mm", low="147 mm", high="140 mm", apart="15 mm"),
        reading(2, kind="turn", item=job.item.name, gap="0.85 mm", at_height="75 mm", across="79 mm"),
    )
    measured = corrected(job, machine)
    made = plan(measured, draws=0)
    assert made.optics.pupil_x_mm == pytest.approx(140 * 15 / 7)
    assert made.turning.readings_used == 3
    pupil = known(machine, job.item.name)["pupil-x"]
    assert measured.laser.pupil_doubt_share == pytest.approx(1.96 * pupil.u / pupil.value, rel=1e-3)
    assert measured.tolerances.field_scale_share < job.tolerances.field_scale_share
    assert job_from_text(job_text(measured)) == measured
    assert correction(job, machine).scale_across == pytest.approx(1 / 0.998, abs=3e-4)  # the belief pulls by a tenth


def test_stairs_tell_the_spot_and_the_pointer_is_told_at_the_apex() -> None:
    """The narrowest of nine lines is the spot, 52 µm. A pointer that leans by 0.1 mm a mm stands as much farther right
    at an apex that lies over the focal plane, and as much less where it lies under it."""
    job = job_from_file(examples()["regatta-bottle"])
    heights = range(-4, 5)
    widths = [f"{0.052 * (1 + (h / 1.5) ** 2) ** 0.5:.4f} mm" for h in heights]
    machine = machine_of(
        reading(0, kind="focus-lines", heights=[f"{h} mm" for h in heights], widths=widths),
        reading(1, kind="pointer", height="0 mm", right="1 mm", up="-2 mm", second_height="20 mm", second_right="3 mm",
                second_up="-2 mm"),
    )  # fmt: skip
    measured = corrected(job, machine)
    assert measured.laser.spot_um == pytest.approx(52, abs=1)
    for defocus_mm in (5.0, -5.0):
        asked = measured.model_copy(update={"passes": job.passes.model_copy(update={"defocus_mm": defocus_mm})})
        made = plan(asked, draws=0)
        over = -made.focus.plane_over_apex_mm
        assert abs(over) > 2
        told = next(line for line in focus_words(made, known(machine, job.item.name)) if "pointer" in line)
        right = float(told.split("off the beam by ")[1].split(" mm")[0])
        assert right == pytest.approx(1 + 0.1 * over, abs=0.1)
        assert f"mm {'above' if over > 0 else 'below'} the focus" in told


@pytest.mark.parametrize("too_high_mm", [0.7, -0.7])
def test_a_focus_off_its_setting_comes_right_where_the_lens_is_set_as_told(too_high_mm: float) -> None:
    """A beam whose focus is off by so much marks lines on one surface, the lens moved up by each height before its
    line. What is then set, with that error on top, is the height that was wanted."""
    heights = range(-4, 5)
    widths = [f"{0.052 * (1 + ((h + too_high_mm) / 1.5) ** 2) ** 0.5:.4f} mm" for h in heights]
    machine = machine_of(reading(0, kind="focus-lines", heights=[f"{h} mm" for h in heights], widths=widths))
    made = plan(job_from_file(examples()["regatta-bottle"]), draws=0)
    told = focus_words(made, known(machine, None))[0]
    assert f"{'above' if too_high_mm > 0 else 'below'} where you set it" in told
    words = ("to have it at ", "over the bed, set your focus to ")
    wanted, typed = (float(told.split(word)[1].split(" mm")[0]) for word in words)
    assert typed + too_high_mm == pytest.approx(wanted, abs=0.1)
    # The setup sheet has the same as a move of the lens: with both it would be off the other way.
    assert told.endswith("do only one of the two.")
    assert "Whenever you focus" not in told


def test_a_strip_lets_slices_be_wider() -> None:
    """What a strip has measured is no longer doubted, so that the same seams hold with wider slices."""
    job = job_from_file(examples()["regatta-bottle"])
    head = job.laser.model_copy(update={"pupil_x_mm": 300.0, "pupil_y_mm": 285.0})
    job = job.model_copy(update={"laser": head})
    strip = reading(0, kind="strip", item=job.item.name, scale="0.4 %", u_scale="0.05 %", u_focus="0.2 mm")
    before, after = plan(job, draws=0), plan(corrected(job, machine_of(strip)), draws=0)
    assert after.split.sheet_widest_mm > before.split.sheet_widest_mm


@given(st.lists(st.text(max_size=12), max_size=5))
def test_whatever_is_typed_is_a_reading_or_a_sentence(words: list[str]) -> None:
    """No text makes anything but a reading or a refusal, whatever the kind before it."""
    for kind in ("field", "stairs", "turn", *words[:1]):
        with pytest.raises(Refused):
            reading_from_words([kind, *words], START)


@given(st.text(max_size=80))
def test_whatever_stands_in_a_machines_file_is_a_machine_or_a_sentence(text: str) -> None:
    """A file spoiled by hand is told in words, never by a traceback."""
    for spoiled in (text, f'name = "r"\n{text}', f'name = "r"\n[[readings]]\nkind = "field"\n{text}'):
        with suppress(Refused):
            assert machine_from_text(spoiled).name


def test_a_file_that_holds_another_machine_is_not_written_elsewhere(tmp_path: Path) -> None:
    """A machine's name and its file go together; else a reading would land in a new file unseen."""
    (tmp_path / "rig.toml").write_text('name = "Other"\n', "utf-8")
    with pytest.raises(Refused):
        load_machine("rig", tmp_path)


def test_a_renamed_machine_is_found_by_its_former_names(tmp_path: Path) -> None:
    """Twice renamed, all three names mean the same readings; nothing is left under the old files' names."""
    save_machine(MachineRecord(name="laser one"), tmp_path)
    rename_machine("laser one", "Boathouse", tmp_path)
    rename_machine("laser one", "river shed", tmp_path)
    names = {name: load_machine(name, tmp_path).name for name in ("laser one", "LASER one", "boathouse", "river shed")}
    assert set(names.values()) == {"river shed"}
    assert machine_names(tmp_path) == ["river shed"]
    job = job_from_file(examples()["regatta-bottle"]).model_copy(update={"machine": "laser one"})
    found = machine_named(job, tmp_path)
    assert found is not None
    assert found.former == ("laser one", "Boathouse")
    assert machine_from_text(machine_text(found)) == found
    assert answers_to(found, "boathouse", tmp_path)
    assert not answers_to(found, "", tmp_path)


def test_a_former_name_is_refused_to_any_other_machine(tmp_path: Path) -> None:
    """Jobs that name it would be planned for another machine; the machine itself may take its old name back."""
    save_machine(MachineRecord(name="old"), tmp_path)
    save_machine(MachineRecord(name="other"), tmp_path)
    rename_machine("old", "new", tmp_path)
    for act in (lambda: add_machine("Old", tmp_path), lambda: rename_machine("other", "old", tmp_path)):
        with pytest.raises(Refused, match="earlier name"):
            act()
    rename_machine("new", "old", tmp_path)
    assert load_machine("old", tmp_path).former == ("new",)
    assert load_machine("new", tmp_path).name == "old"
    assert sorted(machine_names(tmp_path)) == ["old", "other"]


def test_a_file_of_its_own_name_goes_before_a_former_one(tmp_path: Path) -> None:
    """A file put there by hand is taken at its word; one that can't be read hides no other."""
    save_machine(MachineRecord(name="mine", former=("old",)), tmp_path)
    (tmp_path / "broken.toml").write_text("name = [", "utf-8")
    assert load_machine("old", tmp_path).name == "mine"
    save_machine(MachineRecord(name="old"), tmp_path)
    assert load_machine("old", tmp_path) == MachineRecord(name="old")


def test_unicode_forms_of_one_name_are_one_machine(tmp_path: Path) -> None:
    """Letter and accent in one sign or two, as other systems type them: one file, an older tool's too."""
    composed, apart = "Café machine", "Cafe\u0301 machine"
    add_machine(composed, tmp_path)
    with pytest.raises(Refused):
        add_machine(apart, tmp_path)
    assert load_machine(apart, tmp_path).name == composed
    older = tmp_path / "older"
    older.mkdir()
    (older / "cafe-machine.toml").write_text(machine_text(MachineRecord(name=apart)), "utf-8")
    assert machine_names(older) == [apart]
    for name in (composed, apart):
        save_machine(load_machine(name, older), older)
    assert [path.name for path in older.iterdir()] == ["cafe-machine.toml"]
    assert load_machine("Cafe machine", tmp_path).readings == ()


def test_the_machine_and_the_folder_of_earlier_versions_are_still_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where nobody names a machine, `rig` is taken if it is saved; the folder `rigs`, and ROTARY_RIGS, still count."""
    monkeypatch.setattr(shipped, "_own_data", lambda: tmp_path)
    for variable in ("ROTARY_MACHINES", "ROTARY_RIGS"):
        monkeypatch.delenv(variable, raising=False)
    assert shipped.machine_folder() == tmp_path / "machines"
    assert first_machine(tmp_path / "rigs") == "main"
    save_machine(MachineRecord(name="rig"), tmp_path / "rigs")
    assert shipped.machine_folder() == tmp_path / "rigs"
    assert first_machine(tmp_path / "rigs") == "rig"
    save_machine(MachineRecord(name="main"), tmp_path / "rigs")
    assert first_machine(tmp_path / "rigs") == "main"
    (tmp_path / "machines").mkdir()
    assert shipped.machine_folder() == tmp_path / "rigs", "an empty folder hides no machine"
    save_machine(MachineRecord(name="other"), tmp_path / "machines")
    assert shipped.machine_folder() == tmp_path / "machines"
    monkeypatch.setenv("ROTARY_RIGS", str(tmp_path / "elsewhere"))
    assert shipped.machine_folder() == tmp_path / "elsewhere"
    monkeypatch.setenv("ROTARY_MACHINES", str(tmp_path / "here"))
    assert shipped.machine_folder() == tmp_path / "here"
