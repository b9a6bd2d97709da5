"""The whole flow: every shipped job is planned, and no input ends in nonsense."""

import math
import tomllib
from collections.abc import Iterator
from copy import deepcopy
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from pydantic import BaseModel

from rotary.errors import Fault, Refused
from rotary.faults import MOST_TOLD
from rotary.job import Job, job_from_data, job_from_file, job_from_text, job_text
from rotary.model import entry_of, quantity_of, types_behind
from rotary.papers.text import text_lines
from rotary.plan import Plan, plan
from rotary.shipped import FIRST, examples
from tests.setups import setup_sheet

JOBS = {name: job_from_file(path) for name, path in examples().items()}
TABLES = {name: tomllib.loads(job_text(job)) for name, job in JOBS.items()}


def numbers(thing: Any) -> Iterator[float]:
    """Every number anywhere in a plan."""
    if isinstance(thing, BaseModel):
        for name in type(thing).model_fields:
            yield from numbers(getattr(thing, name))
    elif isinstance(thing, tuple):
        for entry in thing:
            yield from numbers(entry)
    elif isinstance(thing, float):
        yield thing


def finite_or_refused(data: dict[str, Any], draws: int = 0) -> Plan | Refused:
    """The plan, checked to be finite and to fit its card, or the refusal, checked to say something."""
    try:
        made = plan(job_from_data(data, units="mm"), draws)
    except Refused as refused:
        if not refused.faults or not all(fault.says.strip() and fault.says.isprintable() for fault in refused.faults):
            raise AssertionError(f"a refusal that says nothing: {refused.faults}") from refused
        return refused
    assert all(math.isfinite(number) for number in numbers(made))
    assert all(len(line) <= 100 for line in text_lines(setup_sheet(made)))
    return made


@pytest.mark.parametrize("name", JOBS)
def test_every_shipped_job_has_a_plan(name: str) -> None:
    """The examples are jobs that can be done, with finite numbers throughout."""
    assert isinstance(finite_or_refused(TABLES[name], draws=200), Plan)


@pytest.mark.parametrize("name", JOBS)
def test_the_same_job_gives_the_same_plan(name: str) -> None:
    """A card printed twice is the same card; nothing hangs on chance, the draws included."""
    assert plan(JOBS[name], 200) == plan(JOBS[name], 200)


@pytest.mark.parametrize("name", JOBS)
def test_a_plan_survives_its_json(name: str) -> None:
    """What a script reads from the JSON is the plan to the last bit."""
    made = plan(JOBS[name], 50)
    assert Plan.model_validate_json(made.model_dump_json()) == made


def test_inches_and_millimetres_give_one_plan() -> None:
    """The units a job is written in make no difference."""
    text = job_text(JOBS[FIRST]).replace('across = "88 mm"', 'across = "8.8 cm"').replace('"80 mm"', '"0.08 m"')
    assert plan(job_from_text(text), 0) == plan(JOBS[FIRST], 0)


def test_without_draws_no_chance_is_claimed() -> None:
    """draws = 0 leaves out the chances rather than making them up."""
    assert plan(JOBS[FIRST], 0).removal.samples == 0


def test_faults_of_stages_that_do_not_need_each_other_come_together() -> None:
    """An artwork past the rim and rollers too far apart are told in one go."""
    data = tomllib.loads(job_text(JOBS[FIRST]))
    data["turning"]["centres"] = "200 mm"
    data["artwork"]["centre"] = "149 mm"
    with pytest.raises(Refused) as refused:
        plan(job_from_data(data), 0)
    assert {fault.where.split(".")[0] for fault in refused.value.faults} >= {"turning", "artwork"}


def test_the_worked_case_of_plain_artwork_on_a_taper() -> None:
    """88 mm to 70 mm over 150 mm, plain 1 mm columns set for the middle of the band: -53, 0, +53 um.

    By hand: S (r/R - 1) with r = 39.5 mm in the middle, 2.1 mm less and more at the ends of the 70 mm band.
    """
    data = tomllib.loads(job_text(JOBS[FIRST]))
    data["artwork"] |= {"height": "70 mm", "centre": "75 mm"}
    data["tolerances"] |= {"method": "flat", "slice_width": "1 mm", "seam": "0.2 mm"}
    data["item"]["measurements"] = [{"at": "0 mm", "across": "88 mm"}, {"at": "150 mm", "across": "70 mm"}]
    made = plan(job_from_data(data), 0)
    errors = {round(row.s_mm): row.plain_shape_mm / made.split.slice_width_mm for row in made.split.seam_rows}
    lowest, highest = errors[min(errors)], errors[max(errors)]
    assert abs(lowest) == pytest.approx(0.053, abs=0.003)
    assert abs(highest) == pytest.approx(0.053, abs=0.003)
    assert lowest * highest < 0


def _paths(node: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    if isinstance(node, dict):
        for key, value in node.items():
            yield from _paths(value, (*path, key))
    elif isinstance(node, list):
        for place, value in enumerate(node):
            yield from _paths(value, (*path, place))
    else:
        yield path


def _changed(name: str, changes: list[tuple[tuple[str | int, ...], Any]]) -> dict[str, Any]:
    data = deepcopy(TABLES[name])
    for path, value in changes:
        node: Any = data
        for part in path[:-1]:
            node = node[part]
        node[path[-1]] = value
    return data


UNITS = ["", " mm", " in", " um", " deg", " rad", " %", " s", " ns", " nm", " W", " kHz", " mJ", " mm/s", " m", " rpm"]
SIZES = st.sampled_from(
    ["0", "-1", "1e-6", "0.001", "0.1", "1", "2", "3.5", "20", "45", "90", "180", "360", "1000", "1e5", "nan", "1e400"]
)
NUMBERS = st.builds(str, st.floats(-1e4, 1e4)) | st.builds(str, st.integers(-400, 400)) | SIZES
TYPED = st.builds(str.__add__, NUMBERS, st.sampled_from(UNITS)) | st.text(max_size=12)
PLAIN = (
    st.integers(-5, 5000)
    | st.floats()
    | st.booleans()
    | st.sampled_from(["rim", "flat", "none", "truncate", "degrees"])
)
CHANGES = st.sampled_from(sorted(JOBS)).flatmap(
    lambda name: st.tuples(
        st.just(name),
        st.lists(st.tuples(st.sampled_from(list(_paths(TABLES[name]))), TYPED | PLAIN), min_size=1, max_size=3),
    )
)


@settings(max_examples=250, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(CHANGES)
@example(("oar-ferrule", [(("item", "measurements", 1, "across"), "10 mm"), (("tolerances", "method"), "flat")]))
@example(("pommel-nut", [(("item", "measurements", 0, "across"), "45 mm"), (("tolerances", "fluence_low"), "0.1 %")]))
@example(("boathouse-mug", [(("item", "measurements", 0, "across"), "10 mm"), (("tolerances", "seam"), "360 mm")]))
@pytest.mark.slow
def test_any_text_in_any_field_is_a_finite_plan_or_a_refusal(
    change: tuple[str, list[tuple[tuple[str | int, ...], Any]]],
) -> None:
    """Whatever is typed where, the answer is finite numbers or sentences; never an error of another kind."""
    finite_or_refused(_changed(*change))


OPTIONAL = {
    "item": {"flats": "6", "across_flats": "60 mm", "length": "100 mm", "solid": True, "coating": "none"},
    "turning": {"typed_diameter": "80 mm", "contact_from": "20 mm", "contact_to": "60 mm", "levelled": False},
    "artwork": {"full_wrap": True, "surface_map": "label", "centre_angle": "170 deg"},
    "laser": {"spot": "48 um", "rayleigh": "1.1 mm", "pupil_x": "200 mm", "pupil_y": "185 mm", "lens": "telecentric"},
    "tolerances": {"slice_width": "3 mm", "method": "flat", "line_spacing": "0.05 mm"},
}
EXTRAS = st.sampled_from([(table, key, value) for table, entries in OPTIONAL.items() for key, value in entries.items()])


@pytest.mark.slow
@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(sorted(JOBS)), st.lists(EXTRAS, max_size=4), TYPED)
def test_fields_that_are_seldom_used_are_as_safe(name: str, extras: list[tuple[str, str, Any]], text: str) -> None:
    """Optional fields, alone and together, right and wrong, give a finite plan or a refusal."""
    finite_or_refused(_changed(name, [((table, key), value) for table, key, value in extras]))
    if extras:
        table, key, _ = extras[0]
        finite_or_refused(_changed(name, [((table, key), text)]))


# Values of the right kind at the edges of what can be meant, so that whole plans are reached and not only refusals.
EDGES = {
    "mm": ["0 mm", "1e-6 mm", "0.2 mm", "1 mm", "3 mm", "10 mm", "45 mm", "80 mm", "150 mm", "400 mm", "90 m"],
    "um": ["0.001 um", "1 um", "60 um", "3 mm"],
    "rad": ["0 deg", "0.01 deg", "1 deg", "30 deg", "79 deg", "90 deg", "-170 deg", "180 deg", "720 deg"],
    "": ["0.000001 %", "0.1 %", "1 %", "50 %", "99.9 %", "100 %", "115 %", "1000 %"],
    "s": ["0 s", "1 us", "1 s", "1 h"],
    "ns": ["1 ps", "1 ns", "100 ns", "10 us"],
    "W": ["1 mW", "1 W", "30 W", "2000 W"],
    "kHz": ["1 Hz", "1 kHz", "50 kHz", "4 MHz"],
    "mJ": ["1 uJ", "1 mJ", "2 J"],
    "mm/s": ["1 mm/s", "100 mm/s", "20 m/s"],
    "rad/s": ["1 deg/s", "90 deg/s", "10000 rad/s"],
    "nm": ["193 nm", "532 nm", "1064 nm", "10.6 um"],
}
CHOICES = ["rim", "flat", "sliced", "degrees", "steps-only", "roller-diameter", "truncate", "absolute", "x", "minus"]
CHOICES += ["telecentric", "label", "front-view", "with-taper", "hard", "none"]


def _sensible(path: tuple[str | int, ...]) -> st.SearchStrategy[Any]:
    model: Any = Job
    for part in path:
        kinds = [kind for kind in types_behind(model) if isinstance(kind, type) and issubclass(kind, BaseModel)]
        if isinstance(part, int):
            model = entry_of(model)
            continue
        fields = [info for kind in kinds for key, info in kind.model_fields.items() if part in (key, info.alias)]
        model = fields[0]
    quantity = quantity_of(model)
    if quantity is not None:
        return st.sampled_from(EDGES[quantity.unit])
    return st.sampled_from([0, 1, 2, 6, 200, 5000, 0.5, 3.3, True, False, *CHOICES])


PLACES = {name: [(path, _sensible(path)) for path in _paths(TABLES[name])] for name in JOBS}


@settings(max_examples=250, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
@pytest.mark.slow
def test_any_two_fields_at_their_edges_are_a_finite_plan_or_a_refusal(data: st.DataObject) -> None:
    """Values that are right by themselves and never thought of together end in finite numbers or in sentences."""
    name = data.draw(st.sampled_from(sorted(JOBS)))
    places = data.draw(
        st.lists(st.sampled_from(PLACES[name]), min_size=2, max_size=2, unique_by=lambda place: place[0])
    )
    finite_or_refused(_changed(name, [(path, data.draw(values)) for path, values in places]))


@pytest.mark.slow
@pytest.mark.parametrize("name", JOBS)
def test_no_fault_ends_with_a_full_stop_or_in_two_lines(name: str) -> None:
    """Faults are told in a list: each is one line that ends alike, whether a field refuses or a stage.

    All fields at once say what they refuse; what a field takes is planned alone, to hear the stages.
    """
    paths, said = list(_paths(TABLES[name])), 0
    for wrong in ("", "nan", "-3 mm", "0 mm", "1e9 mm", "88 kg", [], {}):
        # No more at once than are told at once.
        several = [paths[at : at + MOST_TOLD // 2] for at in range(0, len(paths), MOST_TOLD // 2)]
        faults = [fault for some in several for fault in _told(_changed(name, [(path, wrong) for path in some]))]
        refused = {fault.where for fault in faults}
        for path in paths:
            if ".".join(map(str, path)) not in refused:
                faults += _told(_changed(name, [(path, wrong)]))
        said += len(faults)
        assert [fault for fault in faults if fault.says.endswith(".") or "\n" in fault.says] == []
    assert said > 100


def _told(data: dict[str, Any]) -> list[Fault]:
    try:
        plan(job_from_data(data, units="mm"), 0)
    except Refused as refused:
        return list(refused.faults)
    return []
