"""Finding: by words, size, coating, head and proof; and the nearest to what was just measured."""

from pathlib import Path

import numpy as np
import pytest

from rotary.item import Item, Measurement, fitted_shape
from rotary.job import Job
from rotary.plan import plan
from rotary.store.additions import prove
from rotary.store.index import ProfileEntry, entries, search
from rotary.store.near_profiles import nearest
from rotary.store.profiles import keep
from rotary.store.record import as_run


@pytest.fixture
def listed(job: Job, mug: Job, store: Path) -> list[ProfileEntry]:
    """Two profiles, the bottle proven."""
    saved = keep(job, "Green bottle", store)
    prove(saved.path.parent, as_run(plan(job, 0)))
    keep(mug, "Blue MUG", store)
    return entries(store)


def names(found: list[ProfileEntry]) -> list[str]:
    return [entry.name for entry in found]


def test_those_proven_come_first(listed: list[ProfileEntry]) -> None:
    """Newest proven first, though another was saved later."""
    assert names(listed) == ["Green bottle", "Blue MUG"]


def test_search_by_words_size_coating_head_and_proof(listed: list[ProfileEntry], mug: Job) -> None:
    """Each filter alone leaves what it says; capitals and the order of words don't matter."""
    assert names(search(listed, "mug blue")) == ["Blue MUG"]
    assert names(search(listed, "bottle mug")) == []
    assert names(search(listed, low_mm=69.9, high_mm=88.1)) == ["Green bottle", "Blue MUG"]
    assert names(search(listed, high_mm=87.0)) == ["Blue MUG"]
    assert names(search(listed, coating=mug.item.coating or "")) == ["Blue MUG"]
    # As a person calls it, too: the file has it in one word.
    assert names(search(listed, coating="powder coat, light")) == names(search(listed, "coat, light")) == ["Blue MUG"]
    assert names(search(listed, head="254 MM")) == ["Green bottle"]
    assert names(search(listed, proven=True)) == ["Green bottle"]


def test_the_nearest_is_measured_at_the_wall(listed: list[ProfileEntry], job: Job) -> None:
    """A cone 0.4 mm off is found 0.4 mm off: the same as the two bodies held against each other point by point."""
    item = job.item.model_copy(
        update={
            "measurements": (Measurement(at_mm=0, across_mm=88.4), Measurement(at_mm=120, across_mm=73.6)),
            "coating": None,
            "coating_thickness_um": None,
            "colour": None,
        }
    )
    found = nearest(item, listed)
    assert found[0].entry.name == "Green bottle"
    heights = np.linspace(0, 120, 500)
    off_mm = 2 * np.abs(fitted_shape(item).radius_mm(heights) - fitted_shape(job.item).radius_mm(heights)).max()
    assert found[0].off_mm == pytest.approx(off_mm, abs=0.02)
    assert found[0].summary().startswith('"Green bottle": diameters differ by at most 0.4 mm from your item (proven')
    assert any("other settings" in text for text in found[0].differs)
    assert any("its item is 150 mm long, yours 120 mm" in text for text in found[0].differs)


def test_what_is_not_alike_is_not_near(listed: list[ProfileEntry]) -> None:
    """A faceted nut has no nearest among round things, and an item without a diameter none at all."""
    nut = Item(name="nut", flats=6, across_flats_mm=16.0, length_mm=20.0)
    assert nearest(nut, listed) == []
    assert nearest(Item(name="nothing"), listed) == []
