"""The file of a profile: it reads back exactly, older formats go on working, and every fault is told with its line."""

import json
import re
import tomllib
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rotary.errors import Refused
from rotary.job import Job, job_from_bytes, job_text
from rotary.plan import plan
from rotary.repeat.run import whole_run, with_passes_counted
from rotary.store.formats import profile_from_bytes
from rotary.store.profile_text import LAST_LINE, profile_text
from rotary.store.record import ArtworkFile, Note, Profile, Proof, Record, RunReading
from rotary.store.schema import profile_schema

ROOT = Path(__file__).resolve().parents[2]
DAY = datetime(2026, 5, 1, 9, 30, tzinfo=UTC)


@pytest.fixture(scope="module")
def full(job: Job) -> Profile:
    """A profile in which everything is filled in."""
    numbers = with_passes_counted(whole_run(plan(job, 100)), 6)
    drawing = ArtworkFile(name="oars.svg", sha256="0" * 64, size_bytes=12)
    record = Record(
        id="k3f9ab27cd",
        name='Pokal "Nº 5" / 🚣 .. con',
        at=DAY,
        by="rotary test",
        follows=("0001-aaaaaa", "0001-bbbbbb"),
        why="kept",
        drawings=(drawing,),
        plan=numbers,
        proof=Proof(on=DAY, batch="April", note="two\nlines", plan=numbers, job=job, files=(drawing,)),
        readings=(RunReading(on=DAY, of="test patch", place="3", shows="clear", power_share=0.3, ignored=True),),
        notes=(Note(on=DAY, text='a "quote", a # sign and a [bracket]'),),
    )
    return Profile(job=job, saved=record)


def test_a_profile_reads_back_exactly(full: Profile) -> None:
    """Nothing is lost or changed between saving and opening, and the file proves that it is whole."""
    found = profile_from_bytes(profile_text(full).encode(), "file")
    assert found.profile == full
    assert (found.read_only, found.doubt, found.format) == ("", "", 7)


def test_a_profile_is_a_job_file_too(full: Profile) -> None:
    """A kept file can be planned by its path, like any job."""
    assert job_from_bytes(profile_text(full).encode()) == full.job


def test_a_file_with_the_line_ends_of_another_system_is_whole(full: Profile) -> None:
    """Carried through a tool that rewrites line ends, it is still the file that was saved."""
    found = profile_from_bytes(profile_text(full).replace("\n", "\r\n").encode(), "file")
    assert (found.profile, found.doubt) == (full, "")


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(entry) for key, entry in value.items()}
    if isinstance(value, list):
        return [_plain(entry) for entry in value]
    return value.isoformat() if isinstance(value, datetime) else value


def test_the_schema_is_the_published_one_and_fits_the_file(full: Profile) -> None:
    """An editor that checks a profile against docs/profile.schema.json finds it right, and a wrong key wrong."""
    schema = profile_schema()
    assert schema == json.loads((ROOT / "docs" / "profile.schema.json").read_text("utf-8"))
    check = jsonschema.Draft202012Validator(schema, format_checker=jsonschema.FormatChecker())
    check.check_schema(schema)
    tables = _plain(tomllib.loads(profile_text(full)))
    check.validate(tables)
    for path in (("saved",), ("saved", "proof"), ("saved", "proof", "job"), ("saved", "plan"), ("item",)):
        spoiled = json.loads(json.dumps(tables))
        node = spoiled
        for part in path:
            node = node[part]
        node["shade"] = "green"
        assert not check.is_valid(spoiled), path


FORMAT_1 = """
[saved]
as = "Spring mugs"
at = 2024-03-01T08:00:00+01:00
by = "rotary 0.0.1"
"""

FORMAT_2 = """
[saved]
format = 2
series = "spring-mugs"
title = "Spring mugs"
saved = 2025-03-01T08:00:00+01:00
tool = "rotary 0.0.2"
outcome = "good"
remark = "wipe twice"
"""


def test_the_first_format_is_brought_up(job: Job) -> None:
    """What was kept with the first tool opens with name, date and job; its folder's name stands for the id."""
    found = profile_from_bytes((job_text(job) + FORMAT_1).encode(), "file", "spring-mugs")
    kept = found.profile.saved
    assert (found.format, kept.id, kept.name, kept.at.year, kept.by) == (
        1, "spring-mugs", "Spring mugs", 2024, "rotary 0.0.1"
    )  # fmt: skip
    assert found.profile.job == job
    assert kept.proof is None


def test_the_second_format_is_brought_up(job: Job) -> None:
    """A good outcome becomes a proof of the job as it stood, a remark a dated note; another outcome is a reading."""
    found = profile_from_bytes((job_text(job) + FORMAT_2).encode(), "file", "elsewhere")
    kept = found.profile.saved
    assert kept.id == "spring-mugs"
    assert kept.proof is not None
    assert kept.proof.job == found.profile.job == job
    assert [note.text for note in kept.notes] == ["wipe twice"]
    other = profile_from_bytes((job_text(job) + FORMAT_2.replace("good", "joints open")).encode(), "file").profile.saved
    assert (other.proof, other.readings[0].shows) == (None, "joints open")


def test_what_was_brought_up_is_saved_in_the_new_format(job: Job) -> None:
    """Opened and saved once, an old profile is one of today's."""
    old = profile_from_bytes((job_text(job) + FORMAT_2).encode(), "file").profile
    again = profile_from_bytes(profile_text(old).encode(), "file")
    assert (again.format, again.profile) == (7, old)


def test_faults_of_an_old_format_are_told(job: Job) -> None:
    """An old file without a date or with a foreign key is refused in words."""
    with pytest.raises(Refused, match=r"saved\.at"):
        profile_from_bytes((job_text(job) + '[saved]\nas = "x"\n').encode(), "file", "x")
    with pytest.raises(Refused, match="colour"):
        profile_from_bytes((job_text(job) + FORMAT_1 + 'colour = "green"\n').encode(), "file", "x")


def test_a_newer_format_is_opened_read_only(full: Profile) -> None:
    """What a newer tool saved is shown as far as it is understood, and says that nothing may be saved onto it."""
    text = profile_text(full).replace("format = 7", 'format = 8\nmoon = "full"')
    text = text.replace('wall = "0.5 mm"', 'wall = "0.5 mm"\ntexture = "hammered"')
    found = profile_from_bytes(text.encode(), "file")
    assert "a newer version" in found.read_only
    assert found.profile.job == full.job
    with pytest.raises(Refused, match="get the newer version of rotary"):
        profile_from_bytes(text.replace('kind = "rollers"', 'kind = "air cushion"').encode(), "file")


@pytest.mark.parametrize(
    ("old", "new", "where", "says"),
    [
        ('wall = "0.5 mm"', 'wal = "0.5 mm"', "item.wal", "Did you mean"),
        ('at = "150 mm"', 'at = "150"', "item.measurements.1.at", "no unit"),
        ('gap = "0.8 mm"', 'gap = "much"', "turning.ticks.1.gap", "not a number"),
        ('shows = "clear"', 'shws = "clear"', "saved.readings.0.shws", "Did you mean"),
        ('batch = "April"', 'batch = "April"\ncolour = "green"', "saved.proof.colour", "not known"),
        ('passes = ', 'passes = "many"  #', "saved.plan.passes", "whole number"),
        ('as = "Pokal', 'as = ""  # "Pokal', "saved.as", "write a name"),
        ("on = 2026-05-01T09:30:00+00:00\nbatch", 'on = "in May"\nbatch', "saved.proof.on", "not a date"),
        ('size_bytes = 12', 'size_bytes = -1', "saved.drawings.0.size_bytes", "0 or more"),
        ('name = "oars.svg"', 'name = "C:/there/oars.svg"', "saved.drawings.0.name", "only the name of the file"),
        ('lens = "f-theta"', 'lens = "glass"', "laser.lens", "can't be used here"),
    ],
)  # fmt: skip
def test_a_fault_is_told_with_its_line(full: Profile, old: str, new: str, where: str, says: str) -> None:
    """Whatever a person mistypes, the sentence names the field and the very line it stands on."""
    text = profile_text(full)
    assert old in text
    spoiled = text.replace(old, new, 1)
    with pytest.raises(Refused) as told:
        profile_from_bytes(spoiled.encode(), "file")
    fault = next(fault for fault in told.value.faults if fault.where == where)
    assert says in fault.says
    (line,) = re.findall(r"^line (\d+):", fault.says)
    changed = [n for n, (a, b) in enumerate(zip(text.splitlines(), spoiled.splitlines(), strict=False), 1) if a != b]
    assert int(line) in (changed[0], changed[0] + new.count("\n"))


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b"", "empty"),
        (b"\0" * 500, "empty"),
        (b"[item]\nname = \xff\n", "line 2"),
        (b"[item\n", "line 1"),
        (b"x = " + b"[" * 5000, "too many tables|can't be read"),
        (b"[" + b".".join([b"a"] * 14) + b"]\nx = 1\n", "too many tables"),
        (b"a." * 400_000 + b"a = 1", "more than 16 parts"),
        (b"".join(b"k%d = 1\n" % i for i in range(50_000)), "too many tables"),
        (b"x = [" + b"{}," * 50_000 + b"]", "too many tables"),
        (b"#" * 1_000_002, "larger than 1 MB"),
        (b"kept = 3\n", "not a table"),
        (b"[saved]\nformat = true\n", "not a format"),
    ],
)
def test_a_damaged_file_is_told(raw: bytes, says: str) -> None:
    """Cut off, overwritten with zeros, nested without end: a sentence, never an error of the language."""
    with pytest.raises(Refused, match=says):
        profile_from_bytes(raw, "the file")


def test_a_change_by_hand_or_by_damage_is_seen(full: Profile) -> None:
    """One figure that was changed outside, or an end that is missing, is told although the file still opens."""
    text = profile_text(full)
    assert (
        "changed by hand"
        in profile_from_bytes(text.replace('wall = "0.5 mm"', 'wall = "0.6 mm"').encode(), "file").doubt
    )
    assert "cut off" in profile_from_bytes(text[: text.index(LAST_LINE)].encode(), "file").doubt


@pytest.mark.slow
@settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_no_damage_ends_in_a_traceback(full: Profile, data: st.DataObject) -> None:
    """Bytes lost, doubled or flipped anywhere: the file opens, or is refused in words, or is told to be changed."""
    raw = bytearray(profile_text(full).encode())
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(raw) - 2))
        kind = data.draw(st.sampled_from(("flip", "cut", "double")))
        if kind == "flip":
            raw[at] ^= data.draw(st.integers(1, 255))
        elif kind == "cut":
            del raw[at : at + data.draw(st.integers(1, 400))]
        else:
            raw[at:at] = raw[at : at + 40]
    try:
        found = profile_from_bytes(bytes(raw), "file")
    except Refused:
        return
    assert found.doubt or found.read_only or found.profile == full or found.format < 3
