"""Proof, repeat and logbook: a proof holds for the setup it was given on, and for no other."""

from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from rotary.errors import Refused
from rotary.job import Job
from rotary.papers.text import section_lines
from rotary.plan import plan
from rotary.repeat.checks import with_setup_of
from rotary.repeat.lines import repeat_section
from rotary.repeat.run import whole_run
from rotary.repeat.standing import Repeat, repeat_of
from rotary.store.additions import add_note, add_reading, artwork_file, prove, strike_reading
from rotary.store.changes import changes, plan_changes, setup_changes
from rotary.store.index import entries
from rotary.store.logbook import Run, log, logbook, run_from_bytes, totals
from rotary.store.profiles import keep, load
from rotary.store.proof import standing
from rotary.store.record import RunReading, as_run, now


def words_to_check(repeat: Repeat, system: str = "mm") -> str:
    return " ".join(" ".join(section_lines(repeat_section(repeat, system))).split())


def with_part(job: Job, part: str, **values: object) -> Job:
    return job.model_copy(update={part: getattr(job, part).model_copy(update=values)})


@pytest.fixture
def home(job: Job, store: Path) -> Path:
    """A profile that was proven."""
    saved = keep(job, "a", store, as_run(plan(job)))
    prove(saved.path.parent, as_run(plan(job)), "April", "wiped twice")
    return saved.path.parent


def test_a_proof_counts_while_the_setup_stays(home: Path, job: Job) -> None:
    """Proven, then kept again with another remark or drawing: still proven."""
    assert standing(load("a", home.parent).profile).state == "proven"
    keep(with_part(job, "artwork", name="another drawing").model_copy(update={"note": "x"}), "a", home.parent)
    assert standing(load("a", home.parent).profile).state == "proven"
    assert entries(home.parent)[0].state == "proven"


def test_a_list_says_where_only_the_sheet_can_tell(job: Job, store: Path) -> None:
    """Of a proof without a sheet a rule may have changed since; one without numbers counts for none."""
    run = as_run(plan(job))
    runs: dict[str, Any] = {"whole": whole_run(plan(job)), "old": run, "bare": None}
    for name, numbers in runs.items():
        prove(keep(job, name, store, run).path.parent, numbers)
    stands = {entry.name: (entry.state, entry.says) for entry in entries(store)}
    assert stands["whole"][0] == stands["old"][0] == "proven"
    assert [name for name, (_, says) in stands.items() if "the sheet says" in says] == ["old"]
    assert stands["bare"][0] == "lapsed"
    assert "numbers: those you ran → not stored" in stands["bare"][1]


@pytest.mark.parametrize(
    ("part", "values", "says"),
    [
        ("laser", {"focal_length_mm": 160.0}, "laser.focal_length: 254 mm → 160 mm"),
        ("turning", {"ticks": ()}, "turning.ticks.0.gap: 0.9 mm → -"),
        ("item", {"coating": "polyester-powder-light"}, "item.coating: polyester-powder-dark → polyester-powder-light"),
        ("item", {"coating": None}, "item.coating: polyester-powder-dark → none"),
        ("item", {"colour": "red"}, "item.colour: green → red"),
        ("artwork", {"centre_mm": 60.0}, "artwork.centre: 75 mm → 60 mm"),
        ("tolerances", {"slice_width_mm": 1.0}, "tolerances.slice_width: - → 1 mm"),
    ],
)
def test_a_proof_of_a_changed_setup_no_longer_counts(
    home: Path, job: Job, part: str, values: dict[str, object], says: str
) -> None:
    """Another lens, a recalibrated drive, another coating, another place: the proof lapses and says why."""
    keep(with_part(job, part, **values), "a", home.parent)
    stands = standing(load("a", home.parent).profile)
    assert stands.state == "lapsed"
    assert str(stands.changed[0]) == says
    assert "no longer counts" in stands.summary
    assert entries(home.parent)[0].state == "lapsed"


@pytest.mark.parametrize(("before", "after"), [(None, "green"), ("green", None)])
def test_a_colour_noted_since_is_no_other_setup(job: Job, before: str | None, after: str | None) -> None:
    """Two colours are two coatings; where one was not noted, nothing says so: a change to be told, and no more."""
    proven, today = (with_part(job, "item", colour=colour) for colour in (before, after))
    assert setup_changes(proven, today) == []
    assert [change.where for change in changes(proven, today)] == ["item.colour"]


def test_a_diameter_read_anew_is_no_other_setup(job: Job) -> None:
    """Two readings that agree as well as calipers do leave the proof; one that does not, ends it."""

    def measured(across_mm: float) -> Job:
        first, second = job.item.measurements
        return with_part(job, "item", measurements=(first.model_copy(update={"across_mm": across_mm}), second))

    assert setup_changes(job, measured(88.15)) == []
    assert [change.where for change in setup_changes(job, measured(88.4))] == ["item.measurements.0.across"]


def test_a_repeat_says_what_to_check_first(home: Path, job: Job) -> None:
    """Diameter, focus and batch come first, with their figures; a proven repeat says so."""
    found = load("a", home.parent)
    repeat = repeat_of(found, job, plan)
    text = words_to_check(repeat)
    # The sheet's own head says the verdict; the section begins with the profile, and nothing warns.
    assert (repeat.verdict, "no longer" in repeat.banner) == ("PROVEN", False)
    assert text.startswith("CHECK TODAY ")
    assert "REPEAT: " in text.partition("[ ]")[0]
    assert "! " not in text
    sizes = "88 mm across at height 0 mm, 70 mm across at height 150 mm"
    assert f"{sizes}. Is one more than 0.15 mm off? Then correct the job first." in text
    assert 'Coating, green: proven on batch "April".' in text
    assert "Focus on the apex again" in text
    assert "3.4646 in across" in words_to_check(repeat, "in")


def test_a_repeat_on_another_machine_says_what_is_not_proven(home: Path, job: Job, mug: Job) -> None:
    """The same item on another machine: the proof lapses, changes and other numbers to key in are named."""
    programs = mug.program.model_copy(update={"can_pause": False, "labels": {"power": "Output"}})
    eyewear = mug.shop.model_copy(update={"other_lasers": ()})
    here = with_setup_of(job, mug.model_copy(update={"program": programs, "shop": eyewear}))
    assert (here.turning, here.laser, here.program, here.shop) == (mug.turning, mug.laser, programs, eyewear)
    assert (here.item, here.artwork) == (job.item, job.artwork)
    repeat = repeat_of(load("a", home.parent), here, plan)
    text = words_to_check(repeat)
    assert "REPEAT: " in text.partition("! changed since")[0]
    assert repeat.verdict == "TEST FIRST"
    assert "the proof no longer counts" in repeat.banner
    assert "changed since the proven run: turning: rollers → chuck" in text
    assert "different from the proven number: " in text


def test_other_numbers_from_a_newer_tool_are_told(job: Job) -> None:
    """The same setup planned to other numbers: they are named; what can't be set that finely is not."""
    proven = as_run(plan(job))
    other = proven.model_copy(
        update={"power_share": (proven.power_share or 0) / 2, "slice_width_mm": proven.slice_width_mm * 1.001}
    )
    assert [change.where for change in plan_changes(proven, other)] == ["power"]
    assert plan_changes(None, other) == []


def test_readings_stay_when_they_are_struck(home: Path) -> None:
    """A wrong reading is struck out, not forgotten; a place that isn't there is refused."""
    add_reading(home, RunReading(on=now(), of="test patch", shows="clear"))
    add_note(home, "wipe twice")
    strike_reading(home, 1)
    kept = load("a", home.parent).profile.saved
    assert [(reading.shows, reading.ignored) for reading in kept.readings] == [("clear", True)]
    assert [note.text for note in kept.notes] == ["wipe twice"]
    with pytest.raises(Refused, match="the only reading has the number 1"):
        strike_reading(home, 2)


def test_a_drawing_is_known_by_its_fingerprint(tmp_path: Path) -> None:
    """Name, size and SHA-256, checked against the sum that FIPS 180-4's example for "abc" gives; no path."""
    (tmp_path / "oars.svg").write_bytes(b"abc")
    drawing = artwork_file(tmp_path / "oars.svg")
    # FIPS 180-4 worked example, from memory, not seen.
    assert drawing.sha256 == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert (drawing.name, drawing.size_bytes) == ("oars.svg", 3)


def test_the_logbook_adds_up(home: Path) -> None:
    """Runs come back as written, the last first, and the totals are their sums."""
    store = home.parent
    days = [datetime(2026, month, 3, 12, tzinfo=UTC) for month in (3, 4, 5)]
    runs = [
        Run(on=day, profile="x", name="a", outcome=outcome, items=items, spoiled=spoiled, took_s=took, note="n")  # type: ignore[arg-type]
        for day, outcome, items, spoiled, took in zip(
            days, ("clear", "clear", "metal-marked"), (10, 5, 1), (0, 1, 1), (1800.0, 900.0, None), strict=True
        )
    ]
    for run in runs:
        log(run, store)
    found = logbook(store)
    assert found.runs == tuple(reversed(runs))
    assert totals(found.runs).summary() == (
        "3 runs (2 good, 1 engraved), 16 items, 2 spoiled (12.5 %), 45 min at the machine"
    )
    assert logbook(store, since=date(2026, 4, 3)).runs == tuple(reversed(runs[1:]))
    same = [runs[-1].model_copy(update={"note": f"{place}"}) for place in range(12)]
    for run in same:
        log(run, store)
    assert logbook(store).runs[:13] == (*reversed(same), runs[-1])
    assert logbook(store, "y").runs == ()
    assert totals([]).summary() == "you have logged no runs yet"


def test_a_damaged_run_is_told_and_the_rest_counts(home: Path) -> None:
    """One bad file in the logbook takes no other run out of the totals."""
    run = Run(on=now(), profile="x", name="a", outcome="clear")
    log(run, home.parent)
    bad = log(run, home.parent)
    bad.write_text(bad.read_text("utf-8").replace('"clear"', '"claer"'), "utf-8")
    found = logbook(home.parent)
    assert len(found.runs) == 1
    assert 'did you mean "clear"?' in found.troubles[0]
    for raw in (b"\xff", b"[[[", b"x = " + b"[" * 3000, b""):
        with pytest.raises(Refused):
            run_from_bytes(raw, "run")
