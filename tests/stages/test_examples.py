"""What an example has invented never passes as a person's own, whatever way it came into a job."""

import math
import re
import tomllib
from typing import Any

import pytest

from rotary.defaults import DEFAULTS
from rotary.examples import (
    BANNER,
    ENTER_YOURS,
    is_example_drive,
    is_example_item,
    laser_example,
    laser_tables,
    own_shop,
)
from rotary.item import Item
from rotary.job import Job, job_from_data, job_text
from rotary.laser import LaserAndLens
from rotary.model import Model, name_without_unit
from rotary.passes.plan.setting import Removal
from rotary.safety import Safety, safety
from rotary.shipped import examples
from rotary.turning.models import Chuck, Rollers

OWN_LASER = {
    "name": "Our head", "rated_power": "30 W", "largest_pulse": "1 mJ", "lowest_frequency": "20 kHz",
    "highest_frequency": "100 kHz", "focal_length": "160 mm", "field": "110 mm",
}  # fmt: skip
"""A person's own: the figures of a small head as they stand on many labels, some of them the example's."""


def tables(name: str = "boathouse-mug") -> dict[str, Any]:
    return tomllib.loads(examples()[name].read_text("utf-8"))


def warned(job: Job) -> Safety:
    return safety(job.laser, job.item, Removal.model_construct(setting=None, refused=()), job.turning.kind, job.shop)


def typed_over(**changed: Any) -> dict[str, Any]:
    """The mug's file with another item in it."""
    data = tables()
    data["item"] |= {"name": "Heron cup"}
    return data | changed


def own(data: dict[str, Any], head: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in data.items() if key != "use_laser"} | {"laser": head}


@pytest.mark.parametrize("name", sorted(examples()))
def test_every_example_says_that_it_is_one(name: str) -> None:
    """As shipped, written out in full, and as it was written before heads said what they are of."""
    for data in (tables(name), tomllib.loads(job_text(job_from_data(tables(name))))):
        for now in (data, {**data, "laser": {k: v for k, v in data.get("laser", {}).items() if k != "use"}}):
            job = job_from_data(now)
            assert job.laser.use in laser_tables()
            assert warned(job).example == f"{BANNER}. {ENTER_YOURS}"
            assert job_from_data(tomllib.loads(job_text(job))) == job
            assert is_example_item(job.item.model_dump(by_alias=True))
            assert is_example_drive(job.turning.model_dump(by_alias=True))


def test_an_example_as_such_shows_what_eyewear_does() -> None:
    """Its own pairs count, and its own second laser is judged: that is what it is there to show."""
    found = warned(job_from_data(tables()))
    assert [bool(row.covered_by) for row in found.eyes[:2]] == [True, True]
    assert found.eyes[1].source.startswith("diode engraver")


@pytest.mark.parametrize("way", ["item", "laser", "both", "one size", "written out"])
def test_in_a_person_s_job_an_example_s_eyewear_covers_nothing(way: str) -> None:
    """Another item, another laser, or both: eyewear is not entered, the example's laser is gone but not in silence."""
    data = tables() if way in ("laser", "one size") else typed_over()
    if way in ("laser", "both"):
        data = own(data, OWN_LASER)
    if way == "one size":
        data["item"]["measurements"][0]["across"] = "82 mm"
    if way == "written out":
        data = tomllib.loads(job_text(job_from_data(data)))
    found = warned(job_from_data(data))
    assert bool(found.example) == (way not in ("laser", "both"))
    assert not any(row.covered_by for row in found.eyes)
    assert found.eyes[0].verdict.endswith("You have entered no eyewear yet.")
    assert [row.wavelength_nm for row in found.eyes] == [1064.0, 650.0]
    assert any(one.id == "example_laser" and one.values == {"wavelength_nm": 450.0} for one in found.cautions)
    assert "hook" not in str(found)
    assert "diode engraver" not in str(found)


def test_a_pair_and_a_laser_of_one_s_own_count_beside_them() -> None:
    """Only what says no more than the example is its; a name, a band or a density of one's own makes it one's own."""
    data = own(typed_over(), OWN_LASER)
    data["shop"]["eyewear"][0] |= {"optical_density": 7.0}
    data["shop"]["eyewear"][1] |= {"name": "blue pair"}
    data["shop"]["other_lasers"][0] |= {"name": "our diode"}
    found = warned(job_from_data(data))
    assert found.eyes[0].covered_by == ("pair on the left hook",)
    assert found.eyes[1].covered_by == ("blue pair",)
    assert found.eyes[1].source == "our diode, 10 W"
    assert not found.example


@pytest.mark.parametrize(
    "head",
    [
        {"name": "Our head"},
        {"spot": "43 um"},
        {"rated_power": "28 W", "spot": "43 um"},
        {"use": "fibre-30w-160", "name": "Our head", "rated_power": "28 W"},
    ],
)
def test_a_figure_typed_beside_an_example_s_does_not_make_it_one_s_own(head: dict[str, Any]) -> None:
    """Laser and lens are still the example's, also once they have been written out and read again."""
    data = typed_over(laser=head) if "use" not in head else own(typed_over(), head)
    job = job_from_data(data)
    for now in (job, job_from_data(tomllib.loads(job_text(job)))):
        assert now.laser.use == "fibre-30w-160"
        assert warned(now).example


def test_a_head_under_its_own_name_is_one_s_own_though_figures_agree() -> None:
    """Thirty watts and a lens of 160 mm are on many labels; a copy of all the example's figures is the example's."""
    assert laser_example(OWN_LASER) == ""
    assert not warned(job_from_data(own(typed_over(), OWN_LASER))).example
    copied = {**laser_tables()["fibre-30w-160"], "name": "Our head", "rated_power": "30000 mW"}
    assert laser_example(copied) == "fibre-30w-160"
    assert laser_example({**copied, "free_height": "150 mm"}) == ""


def test_the_mark_can_be_taken_out() -> None:
    """Whoever has put in all figures takes the line out, as its remark says, and is asked no more."""
    text = job_text(job_from_data(typed_over(laser={"rated_power": "28 W", "name": "Our head"})))
    assert "remove this line" in text
    assert not job_from_data(tomllib.loads(re.sub(r"(?m)^use = .*\n", "", text))).laser.use


@pytest.mark.parametrize("shop", [None, "x", {"eyewear": "x"}, {"eyewear": [3, None, {}]}, {"eyewear": {"name": "a"}}])
def test_a_shop_of_any_kind_can_be_looked_at(shop: object) -> None:
    """What is no list of tables is left to the core to complain of."""
    assert own_shop(shop) in ({}, {"eyewear": [3, None, {}]})


@pytest.mark.parametrize(("table", "model"), [("laser", LaserAndLens), ("rollers", Rollers), ("chuck", Chuck)])
def test_what_holds_anyway_is_what_the_models_say(table: str, model: type[Model]) -> None:
    """The values that are nobody's are the models' own defaults."""
    defaults = {name_without_unit(name): info.default for name, info in model.model_fields.items()}
    for name, value in DEFAULTS[table].items():
        assert defaults[name] == value or math.isclose(defaults[name], value), name
    stated = set().union(*laser_tables().values()) if table == "laser" else {"kind"}
    told = {name for name, value in defaults.items() if isinstance(value, str | int | float) and value != ""}
    assert told - stated <= set(DEFAULTS[table])


def test_an_item_is_the_example_s_by_name_and_size() -> None:
    """A person's mug of the same name and another size is theirs, and so is one of its size under another name."""
    item = tables()["item"]
    assert is_example_item(item)
    assert not is_example_item({**item, "name": "Heron cup"})
    assert not is_example_item({**item, "measurements": item["measurements"][:1]})
    assert is_example_item(Item.model_validate(item, context={"units": "must"}).model_dump(by_alias=True))
