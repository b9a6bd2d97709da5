"""docs/reference/job-file.md tells the truth about what is left out."""

from pathlib import Path

import pytest

from rotary.drive import Chuck, Rollers
from rotary.head import Head
from rotary.item import Item
from rotary.model import Model, quantity_of
from rotary.tolerances import Tolerances
from rotary.units import shortest_text, text_in_unit

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "reference" / "job-file.md").read_text("utf-8")


@pytest.mark.parametrize(
    ("model", "title"),
    [(Item, "item"), (Chuck, "drive"), (Rollers, "drive"), (Head, "head"), (Tolerances, "tolerances")],
)
def test_the_page_tells_the_defaults_that_the_models_have(model: type[Model], title: str) -> None:
    """Every value with a unit that a job may leave out has its default in its row of the page."""
    section = PAGE.split(f"### [{title}]")[1].split("### [")[0]
    looked_at = 0
    for name, info in model.model_fields.items():
        quantity = quantity_of(info)
        if quantity is None or not isinstance(info.default, float):
            continue
        looked_at += 1
        row = next((row for row in section.splitlines() if f"`{info.alias or name}`" in row), "")
        texts = shortest_text(info.default, quantity.unit), text_in_unit(info.default, quantity.unit, quantity.unit)
        assert any(text.strip() in row for text in texts), (name, texts)
    assert looked_at >= 1
