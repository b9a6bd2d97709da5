"""Plans for papers: those that ship, and some that are harder to print than anything real."""

from collections.abc import Callable
from datetime import date

import pytest
from rotary.card.paper import card_by_height

from rotary.eyes import EyeRow
from rotary.job import job_from_file
from rotary.papers.model import Paper
from rotary.passes.plan.setting import PassRemark
from rotary.plan import Plan, plan
from rotary.shipped import FIRST, examples
from rotary.slices import KeyIn

DAY = date(2026, 5, 1)


def _named(made: Plan, name: str, note: str = "") -> Plan:
    item = made.job.item.model_copy(update={"name": name})
    return made.model_copy(update={"job": made.job.model_copy(update={"item": item, "note": note or made.job.note})})


def _keyed(made: Plan, many: int) -> Plan:
    more = tuple(
        KeyIn(
            id=f"another_{at}",
            label=f"Another number {at}",
            text=f"{1000 * at + 0.125:.3f}",
            unit="mm",
            why="a meaning of its own " * 3,
        )
        for at in range(many - 15)
    )
    return made.model_copy(update={"split": made.split.model_copy(update={"key_in": made.split.key_in + more})})


def _passed(made: Plan, many: int) -> Plan:
    first = made.removal.rows[0]
    rows = tuple(
        first.model_copy(
            update={
                "number": at,
                "kind": "cut",
                "hatch_direction": "around" if at % 2 else "along",
            }
        )
        for at in range(1, many + 1)
    )
    return made.model_copy(update={"removal": made.removal.model_copy(update={"rows": rows})})


def _sliced(made: Plan, many: int) -> Plan:
    return made.model_copy(update={"split": made.split.model_copy(update={"slices": many})})


def _crowded(made: Plan) -> Plan:
    """Eleven lasers in one room, with names as long as they may get."""
    eye = made.safety.eyes[0]
    rows = tuple(
        EyeRow.model_validate(eye.model_dump() | {"source": f"laser {at} of a very long name " * 2}) for at in range(11)
    )
    return made.model_copy(update={"safety": made.safety.model_copy(update={"eyes": rows})})


def _none_offered(made: Plan) -> Plan:
    says = {"setting": None, "rows": (), "refused": (PassRemark(id="too_little_known"),)}
    return made.model_copy(update={"removal": made.removal.model_copy(update=says)})


HARD: dict[str, Callable[[Plan], Plan]] = {
    "long name": lambda made: _named(made, "A bottle with a name that " + "goes on and " * 7 + "ends", "note " * 200),
    "one word": lambda made: _named(made, "W" * 120),
    "wide scripts": lambda made: _named(made, "Фляга с цаплей, θερμός, bình nước, 鷺の水筒"),
    "24 numbers": lambda made: _keyed(made, 24),
    "60 passes": lambda made: _passed(made, 60),
    "2001 slices": lambda made: _sliced(made, 2001),
    "eleven lasers": _crowded,
    "no passes": _none_offered,
    "all at once": lambda made: _sliced(_passed(_keyed(_named(made, "W" * 120), 24), 60), 2001),
}


def beyond_a_page(made: Plan) -> Plan:
    """More than any page holds in letters that can be read."""
    eyes = tuple(eye.model_copy(update={"source": "a laser of a very long name " * 40}) for eye in made.safety.eyes * 9)
    return made.model_copy(update={"safety": made.safety.model_copy(update={"eyes": eyes})})


@pytest.fixture(scope="session")
def shipped() -> dict[str, Plan]:
    """The plans of all examples."""
    return {name: plan(job_from_file(path), 200) for name, path in examples().items()}


@pytest.fixture(scope="session")
def plans(shipped: dict[str, Plan]) -> dict[str, Plan]:
    """All plans by name, the hard ones too."""
    return shipped | {name: make(shipped[FIRST]) for name, make in HARD.items()}


def card_of(made: Plan, system: str = "mm") -> Callable[[float], Paper]:
    """The setup card of a plan, by the height of its pictures."""
    return card_by_height(made, system, DAY)
