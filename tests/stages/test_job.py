"""Job files: read exactly, written so that they read well, refused with sentences."""

import json
import os
import tomllib
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotary import faults
from rotary.errors import FileTrouble, Refused
from rotary.examples import laser_tables
from rotary.job import (
    Job,
    job_from_bytes,
    job_from_data,
    job_from_file,
    job_from_text,
    job_schema,
    job_text,
)
from rotary.shipped import examples
from rotary.toml import toml_text

DOCS = Path(__file__).resolve().parents[2] / "docs"
BOTTLE = examples()["regatta-bottle"].read_text("utf-8")


def refused(text: str) -> str:
    with pytest.raises(Refused) as caught:
        job_from_text(text)
    return str(caught.value)


@pytest.mark.parametrize("name", examples())
def test_a_shipped_job_is_read_and_says_that_it_is_invented(name: str) -> None:
    """The examples are right in form, and nobody can take them for real products."""
    assert "nvented" in job_from_file(examples()[name]).note


@pytest.mark.parametrize("name", examples())
def test_a_shipped_job_keeps_to_the_published_schema(name: str) -> None:
    """An editor that checks files against the schema finds no fault with the examples, as shipped or written back."""
    schema = json.loads((DOCS / "job.schema.json").read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    text = examples()[name].read_text("utf-8")
    jsonschema.validate(tomllib.loads(text), schema)
    jsonschema.validate(tomllib.loads(job_text(job_from_text(text))), schema)


def test_the_published_schema_is_the_current_one() -> None:
    """docs/job.schema.json is what `rotary job schema job` prints."""
    assert json.loads((DOCS / "job.schema.json").read_text("utf-8")) == job_schema()


@pytest.mark.parametrize(
    "wrong",
    [
        {"item": {"name": "a", "wall": 0.5}},
        {"item": {"name": "a", "wal": "0.5 mm"}},
        {"item": {"name": "a"}, "turning": {"kind": "belt"}},
        {"item": {"name": "a"}, "turning": {"kind": "chuck", "centres": "60 mm"}},
    ],
)
def test_the_schema_refuses_what_the_reader_refuses(wrong: dict[str, Any]) -> None:
    """A bare number, an unknown key or kind, a key of the other drive: both say no."""
    whole = tomllib.loads(BOTTLE) | wrong
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(whole, job_schema())
    with pytest.raises(Refused):
        job_from_data(whole)


@pytest.mark.parametrize("name", examples())
def test_a_job_written_back_is_the_same_job(name: str) -> None:
    """Nothing is lost or changed on the way through a file."""
    job = job_from_file(examples()[name])
    assert job_from_text(job_text(job, before="two\nlines")) == job


LENGTHS = st.floats(0.01, 5000)


@pytest.mark.slow
@settings(max_examples=60)
@given(
    name=st.text(min_size=1, max_size=40).filter(lambda text: text.strip() != ""),
    lengths=st.lists(LENGTHS, min_size=5, max_size=5),
    angle=st.floats(1e-6, 3) | st.floats(-3, -1e-6) | st.just(0.0),
    share=st.floats(1e-3, 1),
    turning=st.floats(0.01, 50),
    gear=st.floats(0.01, 1e4),
    coated=st.booleans(),
)
def test_any_floats_survive_the_file(
    name: str, lengths: list[float], angle: float, share: float, turning: float, gear: float, coated: bool
) -> None:
    """Every float and every text of a job comes back to the last bit."""
    job = job_from_text(BOTTLE)
    item = job.item.model_copy(
        update={"name": name, "wall_mm": lengths[0], "runout_mm": lengths[1], "coating": None if not coated else "x"}
    )
    drive = job.turning.model_copy(update={"top_speed_rad_s": turning, "gear_ratio": gear, "skew_rad": angle})
    art = job.artwork.model_copy(update={"width_mm": lengths[2], "centre_angle_rad": angle, "ink_share": share})
    changed = job.model_copy(update={"item": item, "turning": drive, "artwork": art})
    assert job_from_text(job_text(changed)) == changed


@given(st.text())
@pytest.mark.slow
def test_any_text_survives_its_quotes(text: str) -> None:
    """Quotes, backslashes and control characters can't break a file."""
    assert tomllib.loads(f"a = {toml_text(text)}")["a"] == text


def test_a_shipped_head_is_used_by_name_and_what_the_file_says_wins() -> None:
    """use_laser at the top and laser.use are the same; a measured spot beside it is taken."""
    name = tomllib.loads(BOTTLE)["use_laser"]
    inside = BOTTLE.replace(f'use_laser = "{name}"', "") + f'\n[laser]\nuse = "{name}"\nspot = "48 um"\n'
    head = job_from_text(inside).laser
    assert head.spot_um == 48.0
    assert head.model_copy(update={"spot_um": None}) == job_from_text(BOTTLE).laser
    said = refused(BOTTLE.replace(f'"{name}"', f'"{name[:-1]}"'))
    assert f'did you mean "{name}"?' in said
    said = refused(BOTTLE.replace(f'"{name}"', '"zzz"'))
    assert all(shipped in said for shipped in laser_tables())


def test_bare_metal_is_written_none() -> None:
    """TOML has no word for nothing, so a job file has one."""
    bare = job_from_text(BOTTLE.replace('coating = "polyester-powder-dark"', 'coating = "none"'))
    assert bare.item.coating is None
    assert 'coating = "none"' in job_text(bare)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("across = 88 mm", "line 1 of job file can't be read: put the value and its unit in quotes"),
        ('a = "1 mm"\nwall = 0,5 mm\nb = 1', "line 2 of job file can't be read: put the value and its unit in quotes"),
        ('a = "dark\n', "line 1 of job file can't be read: a quotation mark is missing"),
        ("x = [", "the last line of job file can't be read: a value, or the bracket ] after a list, is missing"),
        ("x = [\n[item]\nname = 'a'", "If this line is right, a bracket ] is missing above it"),
        ("x = [1 2]", "line 1 of job file can't be read: a comma between values, or the bracket ]"),
        ("x = { a = 1 b = 2 }", "line 1 of job file can't be read: write each row in one line"),
        ("x = { a = 1, }", "rows in one line"),
        ("name = 'Cup\n", "a quotation mark is missing"),
        ("[item]]\n", "Begin a new line after a value, and after a table like [item]"),
        ("a = 1\na = 2", "the last line of job file can't be read: this name is in the file already"),
        ("a = " + "[" * 5000, "too many tables within tables"),
        ("x = " + "1" * 5000, "can't be read"),
        ("", "item is missing"),
        ("item = 3", "a table [item]"),
        (BOTTLE.replace('"88 mm"', "88"), "item.measurements 1, across: 88 has no unit: write its unit too, in quotes"),
        (BOTTLE.replace("wall", "wal"), 'item.wal is not known to rotary. Did you mean "wall"?'),
        (BOTTLE.replace('"rollers"', '"roller"'), 'did you mean "rollers"?'),
        (BOTTLE.replace('"88 mm"', "2026-05-01T09:30:00Z"), "measurements 1, across: a date can't be used here"),
        (BOTTLE.replace('{ at = "150 mm", across = "70 mm" }', '"70 mm"'), "write { … }, a row in braces with at"),
        (BOTTLE.replace("ink =", 'text = "A"\nink ='), "artwork.text belongs in a row: write pieces = [{ text = … }]"),
        (BOTTLE.replace("wall =", "across ="), "item.across belongs in a row: write measurements = [{ across = … }]"),
        (BOTTLE.replace("wall", 'weld_line = { angle = "9 deg" }\nwall'), 'for example width = "3 mm"'),
        (BOTTLE.replace('"88 mm"', '"-88 mm"'), "write more than 0 mm"),
        (BOTTLE.replace('"88 mm"', '"nan mm"'), "not a number"),
        (BOTTLE.replace('"35 %"', '"350 %"'), "artwork.ink: 350 % is too large: write 100 % or less"),
    ],
)
def test_a_file_that_is_no_job_is_refused_in_words(text: str, says: str) -> None:
    """The sentence names the field and the way out."""
    assert says in refused(text)


def test_marks_of_other_editors_are_taken() -> None:
    """A byte-order mark and the line ends of another system are no fault."""
    assert job_from_bytes(b"\xef\xbb\xbf" + BOTTLE.replace("\n", "\r\n").encode()) == job_from_text(BOTTLE)


def test_what_is_no_text_or_too_large_is_refused() -> None:
    """A picture named by mistake gets a sentence, a huge file isn't read through."""
    with pytest.raises(Refused, match="not text in UTF-8"):
        job_from_bytes(b"\xff\xfe\x00")
    with pytest.raises(Refused, match="larger than 1 MB"):
        job_from_bytes(b"#" * 1_000_001)


def test_a_file_that_can_not_be_read_is_named(tmp_path: Path) -> None:
    """Missing, a folder, a name no system allows: one sentence that says what to name instead."""
    for path in (tmp_path / "no.toml", tmp_path, tmp_path / ("x" * 5000), Path("a\0b")):
        with pytest.raises(FileTrouble, match="name a job file"):
            job_from_file(path)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="everything is open to the superuser")
def test_a_file_without_permission_is_named(tmp_path: Path) -> None:
    """A file closed to the person is told apart from one that is missing."""
    path = tmp_path / "closed.toml"
    path.write_text(BOTTLE, encoding="utf-8")
    path.chmod(0)
    with pytest.raises(FileTrouble, match="needs rights that you don't have"):
        job_from_file(path)


@settings(max_examples=200)
@given(st.binary(max_size=300) | st.text(max_size=300).map(lambda text: text.encode("utf-8", "surrogatepass")))
def test_any_bytes_are_a_job_or_a_refusal(raw: bytes) -> None:
    """No bytes end in an error of another kind."""
    try:
        job_from_bytes(raw)
    except Refused as told:
        faults = told.faults
        assert all(fault.says.isprintable() for fault in faults)
        assert faults


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20) | st.dates(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)
KEYS = ["note", "item", "turning", "laser", "artwork", "tolerances", "shop", "use_laser", "saved"]


@pytest.mark.slow
@settings(max_examples=200)
@given(st.sampled_from(KEYS), VALUES)
def test_any_value_of_any_table_is_a_job_or_a_refusal(key: str, value: Any) -> None:
    """Whatever stands in place of a whole table is refused in words, or right."""
    try:
        assert isinstance(job_from_data(tomllib.loads(BOTTLE) | {key: value}), Job)
    except Refused as told:
        faults = told.faults
        assert faults


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('note = "a"\nnote = "b"', "only once"),
        ("[item]\n[item]", "only once"),
        ("", 'use_laser = "fibre-30w-160"'),
        ("", 'a table [turning] with kind = "chuck" or "rollers"'),
        ("", "name and measurements"),
        ("item = [1]", "a list can't be used here"),
        ("[item]\nname = { a = 1 }", "a table can't be used here"),
        ("[item]\nname = 2026-05-01", "a date can't be used here"),
    ],
)
def test_what_is_missing_or_of_another_kind_is_told_in_plain_words(text: str, says: str) -> None:
    """No word of the programming language, and an example that would be right."""
    assert says in refused(text)
    assert "fibre-30w-160" in laser_tables()


def test_of_very_many_faults_the_first_are_told_and_the_rest_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 60,000 unknown keys fifty are told by name and compared with the known ones, which is what takes long; the
    others by their number."""
    compared: list[str] = []

    def close(word: str, *more: Any, **how: Any) -> list[str]:
        compared.append(word)
        return get_close_matches(word, *more, **how)

    monkeypatch.setattr(faults, "get_close_matches", close)
    text = "\n".join(f"kex{place} = {place}" for place in range(60_000))
    with pytest.raises(Refused) as refused:
        job_from_text(text)
    assert 0 < len(compared) <= 50
    *named, last = refused.value.faults
    assert len(named) == 50
    # Four tables are required, and missing.
    assert last.says.startswith(f"and {60_000 + 4 - 50} more faults")


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"widht": "80 mm"}, ["artwork.widht"]),
        ({"widht": "80 mm", "height": None}, ["artwork.height", "artwork.widht"]),
    ],
)
def test_a_misspelt_name_hides_no_other_that_is_missing(changes: dict[str, str | None], told: list[str]) -> None:
    """What is only misspelt is told once, as that; what is left out beside it is told too."""
    tables = tomllib.loads(examples()["regatta-bottle"].read_text("utf-8"))
    artwork = {**tables["artwork"], **changes}
    del artwork["width"]
    tables["artwork"] = {name: text for name, text in artwork.items() if text is not None}
    with pytest.raises(Refused) as refused:
        job_from_data(tables)
    assert sorted(fault.where for fault in refused.value.faults) == told


def test_what_a_reading_says_of_a_run_is_logged_as_its_kind() -> None:
    """The logbook knows no residue and no tint: one left something on, the other marked the metal."""
    from rotary.cli.log_commands import LOGGED
    from rotary.sentences.standing import BAD

    assert BAD[LOGGED["residue"]] == "coating left"
    assert BAD[LOGGED["heat-tint"]] == BAD[LOGGED["engraved"]] == "metal engraved"
