"""A proof that an older tool stored has no sheet: it is worked out again, marked, and never more than was run."""

from pathlib import Path

import pytest

from rotary.errors import Fault, NoPlan
from rotary.job import Job, job_from_file, job_text
from rotary.papers.text import text_lines
from rotary.plan import Plan, plan
from rotary.repeat import rule_changes
from rotary.repeat.paper import repeat_sheet
from rotary.repeat.rebuilt_actions import rebuilt
from rotary.repeat.run import whole_run
from rotary.repeat.run_numbers import numbers_run
from rotary.repeat.standing import Repeat, repeat_of
from rotary.shipped import examples
from rotary.store.formats import profile_from_bytes
from rotary.store.profile_text import profile_text
from rotary.store.profiles import load
from rotary.store.record import AsRun

from .conftest import Prove, without_actions


def rows(run: AsRun | None) -> dict[str, tuple[str, bool]]:
    """The figure of each row, and whether it was rebuilt."""
    assert run is not None
    assert run.actions is not None
    return {name: (row.figure or f"{row.value}", bool(row.rebuilt)) for name, row in run.actions.rows.items()}


def words(repeat: Repeat) -> str:
    assert repeat.run is not None
    return " ".join(" ".join(text_lines(repeat_sheet(repeat, repeat.run)(0.0))).split())


def test_what_an_old_proof_does_not_store_is_rebuilt_and_marked(bottle: Job, proven: Prove) -> None:
    """Slice width, diameter to type, pause and shim come from the proof's own job; what it stores is as stored."""
    repeat = repeat_of(proven(bottle, alter=without_actions), bottle, plan)
    found, then = rows(repeat.run), rows(whole_run(plan(bottle)))
    assert repeat.state == "proven"
    for name in ("file_slice_width", "typed_diameter", "pause", "shim"):
        assert found[name] == (then[name][0], True)
    for name in ("power", "frequency", "speed", "line_spacing", "slices_shown"):
        assert found[name] == (then[name][0], False)
    # An old proof holds the angle in radians to six digits.
    assert float(found["slice_turns"][0]) == pytest.approx(float(then["slice_turns"][0]), abs=1.5e-4)
    assert "Slice width in the file (rebuilt)" in words(repeat)
    assert "Power (rebuilt)" not in words(repeat)


@pytest.mark.slow
def test_passes_that_nobody_counted_are_run_one_at_a_time(bottle: Job, proven: Prove) -> None:
    """Older tools stored the passes planned, the last one too: nobody may type nine of them."""
    uncounted = proven(bottle, alter=lambda run: without_actions(run).model_copy(update={"passes_counted": None}))
    repeat = repeat_of(uncounted, bottle, plan)
    assert rows(repeat.run)["passes"] == ("1", True)
    most = plan(bottle).removal.passes_at_most
    assert f"the pass count was not saved: mark the first slice one pass at a time, at most {most}" in words(repeat)
    counted = repeat_of(
        proven(bottle, "b", lambda run: without_actions(run).model_copy(update={"passes_counted": 5})), bottle, plan
    )
    assert counted.notes == ()
    assert "You counted 5 passes" in words(counted)


def test_a_nut_of_bare_metal_is_rebuilt_with_its_passes(proven: Prove) -> None:
    """Bare metal is cut with the passes planned, so they count as stored; nothing is put to the test."""
    nut = job_from_file(examples()["pommel-nut"]).model_copy(update={"inscription": None})
    repeat = repeat_of(proven(nut, alter=without_actions), nut, plan)
    assert (repeat.state, repeat.notes) == ("proven", ())
    assert rows(repeat.run)["passes"][0] == rows(whole_run(plan(nut)))["passes"][0]


def test_a_shim_by_another_rule_is_told_and_tested_first(
    bottle: Job, proven: Prove, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The sheet has the shim of then; that today's rule gives another keeps TEST FIRST on top."""
    monkeypatch.setattr(rule_changes, "whole_item_shim_mm", lambda _: -14.8)
    repeat = repeat_of(proven(bottle, alter=without_actions), bottle, plan)
    assert repeat.state == "test first"
    says = next(text for text in repeat.changed if text.startswith("the shim was "))
    assert says.startswith("the shim was 14.8 mm at the rim end when you proved this job with rotary ")
    assert says.endswith("today it would be 20.2 mm at the rim end")
    assert rows(repeat.run)["shim"] == ("14.8", True)
    assert "TEST FIRST. " in words(repeat)
    assert "20.2 mm shim under the rotary" not in words(repeat)
    # The next proof of this very sheet stores it as it was typed.
    assert rows(numbers_run(repeat))["shim"] == ("14.8", False)


def test_a_shim_that_is_stored_is_nobodys_rule(bottle: Job, proven: Prove, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was set by hand came out well: another rule today changes nothing about it."""
    monkeypatch.setattr(rule_changes, "whole_item_shim_mm", lambda _: -14.8)
    repeat = repeat_of(proven(bottle), bottle, plan)
    assert (repeat.state, rows(repeat.run)["shim"]) == ("proven", ("20.2", False))


def test_a_flat_file_for_coarse_keying_is_tested_first(mug: Job, proven: Prove) -> None:
    """With one decimal typed the slices of flat files once had another width; with three nothing changed."""
    flat = mug.tolerances.model_copy(update={"method": "flat"})
    coarse = mug.model_copy(
        update={"turning": mug.turning.model_copy(update={"typed_decimals": 1}), "tolerances": flat}
    )
    repeat = repeat_of(proven(coarse, "b", without_actions), coarse, plan)
    assert repeat.state == "test first"
    assert any(text.startswith("an older rule chose the flat file's slices") for text in repeat.changed)
    assert repeat_of(proven(mug, alter=without_actions), mug, plan).state == "proven"


def test_what_was_stored_wins_and_the_contradiction_is_told(bottle: Job, proven: Prove) -> None:
    """A focal plane and slices that today's tool would not give: the stored ones stand, the person is told."""

    def otherwise(run: AsRun) -> AsRun:
        return without_actions(run).model_copy(update={"focal_plane_mm": 130.0, "slices": 31})

    repeat = repeat_of(proven(bottle, alter=otherwise), bottle, plan)
    assert repeat.state == "test first"
    assert "slices was 31 when you proved this job, and today's plan has 15. The sheet shows 31" in repeat.changed
    apart = (
        "focus over the bed was 130 mm when you proved this job, and today's plan has 128.63 mm. The sheet shows 130 mm"
    )
    assert apart in repeat.changed
    assert "focus 130 mm over the bed" in words(repeat)
    assert rows(repeat.run)["slices_shown"] == ("31", False)


def test_an_old_proof_of_a_job_that_can_not_be_planned_prints_what_it_has(
    bottle: Job, proven: Prove, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Power, speed, focus are there; what can't be worked out is not made up, and it is tested first."""

    def refused(*_: object, **__: object) -> Plan:
        raise NoPlan([Fault("turning", "does not turn")])

    found = proven(bottle, alter=without_actions)
    monkeypatch.setattr("rotary.repeat.run_plan.plan", refused)
    repeat = repeat_of(found, bottle, refused)
    assert repeat.state == "test first"
    assert rows(repeat.run)["power"] == ("16", False)
    assert "typed_diameter" not in rows(repeat.run)
    assert "only its stored numbers are shown" in words(repeat)


def test_a_file_of_format_3_is_repeated(bottle: Job, proven: Prove) -> None:
    """A version as the tool before this one wrote it opens, and its numbers are printed."""
    found = proven(bottle, alter=without_actions)
    text = profile_text(found.profile)
    old = text[: text.index("# Whole as saved")].replace("format = 7", "format = 3")
    profile = profile_from_bytes(old.encode(), "file").profile
    assert profile == found.profile
    assert rows(rebuilt(bottle, profile.saved.proof.plan).run)["power"] == ("16", False)  # type: ignore[union-attr, arg-type]


def test_a_proof_of_the_second_format_has_no_numbers(bottle: Job, tmp_path: Path) -> None:
    """It says that it came out well and not with which numbers: today's plan is printed, to be tested first."""
    home = tmp_path / "spring-mugs"
    home.mkdir()
    kept = 'format = 2\nseries = "m"\ntitle = "m"\nsaved = 2025-03-01T08:00:00+01:00\ntool = "r"\noutcome = "good"\n'
    (home / "0001-aaaaaa.toml").write_text(f"{job_text(bottle)}\n[saved]\n{kept}", "utf-8")
    repeat = repeat_of(load("m", tmp_path), bottle, plan)
    assert (repeat.state, repeat.run) == ("test first", None)
    assert "the numbers were not saved with the proof" in repeat.banner
