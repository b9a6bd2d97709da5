"""Files with the keys of earlier versions open to the same models, and are written with today's."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import pytest

from rotary.errors import Refused
from rotary.files import toml_tables
from rotary.job import job_from_data, job_from_file, job_from_text, job_text
from rotary.machine.reading_data import reading_from_data
from rotary.machine.store import machine_from_text, machine_text
from rotary.old_keys import OLD_KEYS, OLD_VALUES, new_name
from rotary.shipped import examples
from rotary.store.depths import depths_in, keep_depths
from rotary.store.formats import profile_from_bytes
from rotary.store.logbook import run_from_bytes
from rotary.store.profile_text import profile_text
from rotary.store.readings import readings_in
from tui.disk import last_machine
from tui.form.job_form import Session

OLD: Final = Path(__file__).parent / "old"
JOB: Final = (OLD / "job-with-old-keys.toml").read_text("utf-8")
NUT: Final = (OLD / "format-5-nut.toml").read_text("utf-8")
DOCS: Final = Path(__file__).parents[2] / "docs"


def with_old_keys(node: Any, table: str = "") -> Any:
    """Tables as earlier versions wrote them."""
    if isinstance(node, list):
        return [with_old_keys(entry, table) for entry in node]
    if not isinstance(node, dict):
        return node
    old = {new: key for key, new in OLD_KEYS.get(table, {}).items()}
    words = {key: {new: word for word, new in each.items()} for (of, key), each in OLD_VALUES.items() if of == table}
    return {
        old.get(key, key): words.get(key, {}).get(value, value) if isinstance(value, str) else with_old_keys(value, key)
        for key, value in node.items()
    }


@pytest.mark.parametrize("name", sorted(examples()))
def test_a_shipped_job_with_the_old_keys_is_the_same_job(name: str) -> None:
    """Each one, from its tables as they were; none of today's keys that has an old one is left in them."""
    tables = toml_tables(examples()[name].read_text("utf-8"))
    old = with_old_keys(tables)
    assert {"drive", "use_head"} <= old.keys()
    assert not {"turning", "use_laser", "laser"} & old.keys()
    assert job_from_data(old) == job_from_data(tables)


def test_an_old_job_file_opens_and_is_written_with_the_new_keys() -> None:
    """Every renamed key of a job, with its value; the text that is written has none of them and reads back the same."""
    job = job_from_text(JOB)
    assert (job.machine, job.item.heights_from, len(job.item.measurements)) == ("bench", "base", 2)
    assert (job.turning.kind, len(job.turning.ticks)) == ("rollers", 1)
    assert (job.laser.use, job.laser.pulse_widths_ns) == ("fibre-30w-160", (100.0, 200.0))
    assert (job.laser.lowest_frequency_khz, job.laser.highest_frequency_khz) == (25.0, 90.0)
    tolerances, wishes = job.tolerances, job.passes
    assert (tolerances.seam_mm, tolerances.margin_mm, tolerances.line_spacing_mm) == (0.08, 0.4, 0.05)
    assert (wishes.frequency_khz, wishes.pulse_width_ns, wishes.speed_mm_s) == (30.0, 100.0, 900.0)
    assert (wishes.line_spacing_mm, wishes.spoiled_cost) == (0.04, 2.5)
    text = job_text(job)
    assert job_from_text(text) == job
    assert not re.search(r"(?m)^(\[(drive|head)|(datum|stations|joint|blank_edge|hatch|rate|pulse|spoilt|rig) =)", text)


def test_an_old_word_behind_a_key_opens_as_todays() -> None:
    """How a file is divided and how artwork follows a taper: in a job, and in what was saved of a plan."""
    old = JOB.replace("[tolerances]", '[tolerances]\nmethod = "sheet"').replace(
        "[artwork]", '[artwork]\nsurface_map = "decal"'
    )
    job = job_from_text(old)
    assert (job.tolerances.method, job.artwork.surface_map) == ("sliced", "label")
    assert 'method = "plain"' in NUT
    saved = profile_from_bytes(NUT.encode(), "file").profile.saved
    assert saved.plan is not None
    assert saved.plan.method == "flat"


def test_an_old_key_beside_its_new_one_is_one_sentence_that_says_where() -> None:
    """Nobody can know which of the two counts; every such pair is named at once."""
    with pytest.raises(Refused) as caught:
        job_from_text(
            JOB.replace("[tolerances]", '[tolerances]\nseam = "0.1 mm"').replace("[drive]", "[turning]\n[drive]")
        )
    assert [str(fault) for fault in caught.value.faults] == [
        "drive is the earlier name of turning, which is in the file too: take one of the two lines out",
        "tolerances.joint is the earlier name of seam, which is in the file too: take one of the two lines out",
    ]


def test_a_profile_of_the_format_before_opens_as_today_writes_it() -> None:
    """Job, plan, proof and readings, each with its renamed keys."""
    found = profile_from_bytes(NUT.encode(), "file")
    saved, job = found.profile.saved, found.profile.job
    assert (found.format, found.read_only) == (5, "")
    assert saved.plan is not None
    assert saved.proof is not None
    for one in (saved.plan, saved.readings[0]):
        setting = (one.frequency_khz, one.pulse_width_ns, one.speed_mm_s, one.line_spacing_mm)
        assert setting == (25.0, 100.0, 800.0, 0.03)
    assert saved.readings[0].ignored
    assert (saved.proof.machine, saved.proof.machine_readings[0].of) == ("bench", "turn")
    assert saved.proof.job == job
    assert job.item.heights_from == "rim"
    text = profile_text(found.profile)
    assert profile_from_bytes(text.encode(), "file").profile == found.profile
    assert "[saved.proof.job.turning]" in text
    assert not re.search(r"\[kept|\.drive|^rate =|struck", text)


def test_a_fault_in_an_old_profile_finds_its_line() -> None:
    """It is named as the key is called today, on the line where the old one stands."""
    with pytest.raises(Refused) as caught:
        profile_from_bytes(
            NUT.replace('joint = "', "").replace('rate = "25 kHz"', 'rate = "25 mm"', 1).encode(), "file"
        )
    (fault,) = caught.value.faults
    line = NUT.splitlines().index('rate = "25 kHz"') + 1
    assert fault.where == "saved.readings.0.frequency"
    assert fault.says.startswith(f"line {line}: ")


def test_readings_and_runs_with_old_keys_open(tmp_path: Path) -> None:
    """Those of patches, of depths, of the machine and of the logbook; what is typed for one as well."""
    old = (examples()["heron-cup"].with_suffix(".readings")).read_text("utf-8")
    new = tmp_path / "readings.toml"
    new.write_text(old, "utf-8")
    today = readings_in(tmp_path)
    for name, was in (("frequency", "rate"), ("speed", "scan_speed"), ("line_spacing", "hatch"), ("laser", "head")):
        old = re.sub(rf"(?m)^{name} =", f"{was} =", old)
    new.write_text(re.sub(r"(?m)^pulse_width =", "duration =", old), "utf-8")
    assert readings_in(tmp_path) == today
    assert today
    depths = tmp_path / "old.jsonl"
    depths.write_text(json.dumps({"passes": 10, "depth": "18 um", "head": "ours", "struck": True}), "utf-8")
    (depth,) = depths_in(depths)
    assert (depth.laser, depth.ignored) == ("ours", True)
    keep_depths([depth], depths)
    assert {"laser", "ignored"} <= json.loads(depths.read_text("utf-8")).keys()
    level = 'kind = "level"\nitem = "nut"\nfoot_end = "95 mm"\nrim_end = "95.4 mm"\napart = "60 mm"\n'
    machine = machine_from_text(f'name = "bench"\n\n[[readings]]\nat = 2026-11-30T03:21:04+00:00\n{level}')
    assert "base_end =" in machine_text(machine)
    assert machine_from_text(machine_text(machine)) == machine
    typed = {"at": machine.readings[0].at, "note": "", **toml_tables(level.replace("foot_end", "base_end"))}
    typed["foot_end"] = typed.pop("base_end")
    assert reading_from_data(typed) == machine.readings[0]
    run = 'on = 2026-11-30T03:21:23+00:00\nprofile = "nut"\nas = "Nut"\noutcome = "joints-show"\n'
    assert run_from_bytes(run.encode(), "run").outcome == "seams-show"


def test_a_draft_and_the_last_machine_with_old_keys_open(tmp_path: Path) -> None:
    """What the screen stored before goes on, by today's names."""
    now = Session(toml_tables(JOB))
    state = json.loads(json.dumps(now.state(), default=str))
    old_names = {
        new_name(name): name for name in ("item.stations.0.at", "item.stations.#", "drive.kind", "head.lowest_rate")
    }
    for part in ("entries", "saved", "aside"):
        state[part] = {old_names.get(key, key): value for key, value in state[part].items()}
    state["entries"]["item.datum"] = ["foot", None, ""]
    del state["entries"]["item.heights_from"]
    again = Session({})
    again.restore(state)
    assert again.data() == now.data()
    tables = {
        "drive": {"kind": "rollers", "roller_diameter": "31 mm"},
        "head": {"name": "ours", "lowest_rate": "20 kHz"},
    }
    (tmp_path / last_machine.FILE).write_text(json.dumps({"item": "cup", "tables": tables}), "utf-8")
    found = last_machine.read(tmp_path)
    assert found is not None
    assert found.tables["laser"]["lowest_frequency"] == "20 kHz"


RETIRED: Final = re.compile(
    r"(?:^|_)(?:station|stations|foot|datum|band|drive|head|rig|gauge|gauged|column|columns|joint|joints|stair|sag|tape"
    r"|blank_edge|surface|lifting|lift|haze|draws|belief|beliefs|repetition|rate|pulse_durations?|duration|scan_speed"
    r"|hatch|desk|card|forecast|foretold|keep|kept|mend|strike|struck|lapse|creep|noughts|spoilt|found|made|told|shown"
    r"|seen|held|beside|apart|written|worded|judging|what|says)(?:_|$)"
)
STILL: Final = {"surface_map", "spot_at_surface_um"}
"""Keys with a retired word in them that mean another thing, or a term of the trade."""


def keys_of(table: dict[str, Any]) -> Iterator[str]:
    """The keys of a table and of those written out in it."""
    for key, inner in table.get("properties", {}).items():
        if key not in STILL:
            yield key
        yield from keys_of(inner)


@pytest.mark.parametrize("name", ["job", "profile", "plan"])
def test_no_key_of_a_schema_is_a_retired_word(name: str) -> None:
    """One word for one thing, in files as on the screen."""
    schema = json.loads((DOCS / f"{name}.schema.json").read_text("utf-8"))
    tables = {"": schema, **schema["$defs"]}
    keys = {f"{of}: {key}" for of, table in tables.items() for key in keys_of(table)}
    assert {key for key in keys if RETIRED.search(key.partition(": ")[2])} == set()


def test_the_sample_is_a_file_of_today_too(tmp_path: Path) -> None:
    """A file on disk opens the same way as its text."""
    path = tmp_path / "old.toml"
    path.write_text(JOB, "utf-8")
    assert job_from_file(path) == job_from_text(JOB)
