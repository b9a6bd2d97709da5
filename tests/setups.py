"""Setups of loose parts, for tests of single stages."""

from typing import Any

from rotary.artwork.layout import Artwork, layout
from rotary.card.plan_sheet import plan_facts
from rotary.card.sheet import sheet_by_height
from rotary.examples import laser_tables
from rotary.item import Item, fitted_shape
from rotary.job import Job
from rotary.laser import LaserAndLens, optics
from rotary.papers.model import Paper
from rotary.plan import Plan
from rotary.sentences.plan import actions_in_words
from rotary.setup import Setup
from rotary.shipped import examples
from rotary.turning import turning
from rotary.turning.models import Chuck, Drive


def wordless_nut() -> str:
    """The job file of the shipped nut without its words, for tests with others, or none."""
    before, _, after = examples()["brass-nut"].read_text("utf-8").partition("[inscription]\n")
    return before + after[after.index("[passes]") :]


def shipped_heads() -> dict[str, LaserAndLens]:
    """The invented heads that come with the tool, by the name that a job file may use."""
    return {
        name: LaserAndLens.model_validate(table, context={"units": "must"}) for name, table in laser_tables().items()
    }


def setup_of(item: Item, artwork: Artwork, head: LaserAndLens, drive: Drive | None = None, **tables: Any) -> Setup:
    """What follows from these, with `tables` such as tolerances; levelled, where it is, over the whole item."""
    drive, shape = drive or Chuck(), fitted_shape(item)
    return Setup(
        job=Job(item=item, turning=drive, laser=head, artwork=artwork, **tables),
        doubts=shape.doubts,
        outline=shape.outline,
        turning=turning(drive, item, shape),
        optics=optics(head),
        layout=layout(artwork, item, shape),
    )


def setup_sheet(made: Plan) -> Paper:
    """The setup sheet of a plan, without its picture."""
    return sheet_by_height(actions_in_words(made), plan_facts(made))(0.0)


def other(ready: Setup, **parts: Any) -> Setup:
    """The same with other parts, such as turning or optics."""
    return Setup(**dict(ready) | parts)
