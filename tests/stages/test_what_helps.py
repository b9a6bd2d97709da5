"""What would change a plan is planned again, not reasoned: chances of whole searches, under a budget of time."""

from pathlib import Path

import numpy as np
import pytest

from rotary.job import job_from_file
from rotary.passes.beliefs.draws import Coating, substances
from rotary.passes.learning.reading import Look, Reading, reading_of
from rotary.passes.learning.suggestions import Suggestion, suggestions, variations
from rotary.passes.plan.removal import choice, removal_plan
from rotary.sentences.patches import NOTHING_HELPS, suggestion_lines, suggestion_sentences
from rotary.services import Folders
from rotary.services.patches import suggestions_for
from rotary.services.planning import plan_for
from rotary.setup import setup
from rotary.shipped import examples
from rotary.wishes import FREE, Wishes

JOB = job_from_file(examples()["boathouse-mug"])
READY = setup(JOB)


def told(wishes: Wishes = FREE, budget_s: float = 60.0) -> tuple[Suggestion, ...]:
    return suggestions(READY.with_tables(passes=wishes), (), 200, budget_s)


def test_each_line_is_the_chance_of_a_plan_with_that_change() -> None:
    """The first line is the plan as it is; every other is what a plan made by hand with that change states."""
    found = {one.says: one.chance for one in told()}
    assert next(iter(found)) == "nothing changed"
    for one in variations(READY):
        again = removal_plan(one.setup, 200)
        assert found[one.says] == pytest.approx(again.chance_with_looks)
    given = [chance for chance in list(found.values())[1:] if chance is not None]
    assert given == sorted(given, reverse=True)
    assert np.ptp(given) > 0.02


def test_the_screen_states_the_chance_that_the_plan_states(tmp_path: Path) -> None:
    """Whoever asks what helps reads the plan's own chance in the first line, as near as it is rounded and nearer."""
    first = suggestions_for(JOB, tmp_path, seconds=0.0)[0]
    assert first.chance == plan_for(JOB, Folders(tmp_path, tmp_path)).removal.chance_with_looks


def test_letting_go_of_a_bad_hold_is_seen_to_help() -> None:
    """In focus at full power nothing works; free again, the plan has the chance that it has without the hold."""
    held = told(Wishes(power_share=1.0, defocus_mm=0.0, line_spacing_mm=0.1))
    free = next(one for one in held if one.says.startswith("rotary chooses these settings"))
    assert "power" in free.says
    assert held[0].chance is not None
    assert free.chance is not None
    assert free.chance > held[0].chance
    assert free.chance == pytest.approx(told()[0].chance)


def test_no_time_is_told_and_not_guessed() -> None:
    """With no budget only the plan as it is gets a chance; the others are listed as not tried."""
    found = told(budget_s=0.0)
    assert found[0].chance is not None
    assert {one.chance for one in found[1:]} == {None}
    assert len(found) > 5


def test_a_thinner_coat_is_planned_by_readings_of_the_coat_as_it_is() -> None:
    """Readings on a coat that nobody measured are not taken for readings of half of it."""
    item = JOB.item.model_copy(update={"coating_thickness_um": None})
    ready = READY.with_tables(item=item)
    setting = choice(ready, 200).setting
    assert setting is not None
    bare = reading_of(ready.job, setting, Look("covered", "2026-05-01"))
    _, coating = substances(item)
    assert isinstance(coating, Coating)
    gauged = bare.model_copy(update={"thickness_um": coating.thickness_um.central})

    def thin(read: Reading) -> float | None:
        found = suggestions(ready, (read,), 200, 60.0)
        return next(one.chance for one in found if one.says.startswith("a coating of"))

    assert thin(bare) == pytest.approx(thin(gauged))


def test_only_what_helps_is_listed_and_nothing_is_said_once() -> None:
    """A change that brings nothing stands in no list; where none brings anything, one sentence says what then does."""
    now, worse, better = (Suggestion(says=says, chance=c) for says, c in (("now", 0.42), ("wall", 0.42), ("lens", 0.5)))
    late = Suggestion(says="laser", chance=None)
    for lines in (suggestion_lines((now, better, worse, late)), suggestion_sentences((now, better, worse, late))):
        text = "\n".join(lines)
        assert "lens" in text
        assert "wall" not in text
        assert "laser" not in text
        assert "No time was left to try 1 change." in text
        assert NOTHING_HELPS[:20] not in text
    for lines in (suggestion_lines((now, worse)), suggestion_sentences((now, worse))):
        text = " ".join(" ".join(lines).split())
        assert text.count(NOTHING_HELPS) == 1
        assert "wall" not in text
