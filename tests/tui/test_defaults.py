"""What the form shows where nothing is typed is what the models hold then, and could be typed there."""

from typing import Any

import pytest
from pydantic import TypeAdapter
from pydantic_core import PydanticUndefined

from rotary import units
from rotary.artwork.drawing import HALF_TONE
from rotary.artwork.models import Artwork, Piece
from rotary.artwork.pieces import USUAL_LETTER_MM
from rotary.defaults import DEFAULTS
from rotary.item import Handle, Item, Measurement, WeldLine
from rotary.laser import LaserAndLens
from rotary.model import Model, entry_of, quantity_of
from rotary.order import Order
from rotary.passes.learning.depth import DepthReading
from rotary.shop import Eyewear, OtherLaser
from rotary.tolerances import Tolerances
from rotary.turning.models import Chuck, Rollers, TickReading
from rotary.wishes import Wishes
from rotary.wording import InscriptionWish
from tui.catalogue import GROUPS
from tui.catalogue.inscription import INSCRIPTION
from tui.form.fields import Field, Group
from tui.form.job_form import Session

MODELS: dict[str, type[Model]] = {
    "item": Item, "item.measurements": Measurement, "item.handle": Handle, "item.weld_line": WeldLine,
    "rollers": Rollers,
    "chuck": Chuck, "turning.ticks": TickReading, "laser": LaserAndLens, "artwork": Artwork, "artwork.pieces": Piece,
    "tolerances": Tolerances, "passes": Wishes, "shop.eyewear": Eyewear, "shop.other_lasers": OtherLaser,
    "inscription": InscriptionWish, "depth": DepthReading, "order": Order,
}  # fmt: skip

# No field of a model, or one whose default the code knows and not the model.
OWN_WORDS = {
    "machine": "what you typed in this job", "turning.kind": "", "use_laser": "", "note": "", "item.section": "",
    "inscription.between": "a space", "inscription.text.line": "", "inscription.more.text": "", "depth.wanted": "",
    "depth.gauged": "",
    "depth.strike": "", "write.folder": "", "write.list": "", "write.column": "", "write.numbers": "",
    "write.digits": "1", "write.each": "", "artwork.pieces.letter_height": f"{USUAL_LETTER_MM:g} mm",
    "artwork.pieces.dark_below": f"{100 * HALF_TONE:g} %",
}  # fmt: skip


def fields_of(groups: tuple[Group, ...], prefix: str) -> list[tuple[str, Field]]:
    """Every field with its dotted name, those of tables without the row."""
    found = []
    for group in groups:
        for entry in group.content:
            rows = (
                [(entry.key, entry)] if isinstance(entry, Field) else [(f"{entry.key}.{f.key}", f) for f in entry.every]
            )
            plain = (isinstance(entry, Field) and "." in entry.key) or not prefix
            found += [(key if plain else prefix + key, field) for key, field in rows]
    return found


EVERY = [*fields_of(GROUPS, ""), *fields_of(INSCRIPTION, "inscription.")]


def field_of(key: str) -> list[tuple[type[Model], Any]]:
    """The models' fields that a dotted name means: two where it depends on what turns the item."""
    table, _, name = key.rpartition(".")
    kinds = [Rollers, Chuck] if table == "turning" else [MODELS[table]]
    found = [(m, info) for m in kinds for field, info in m.model_fields.items() if name in (info.alias or field, field)]
    assert found, f"no model has {key}"
    return found


def test_what_holds_stands_once_more_as_the_models_have_it() -> None:
    """The table that needs no model has every plain default of the models, and no other."""
    told = {
        table: {
            info.alias or name: info.default
            for name, info in model.model_fields.items()
            if info.default not in (PydanticUndefined, None, "", ())
        }
        for table, model in MODELS.items()
    }
    assert {table: values for table, values in told.items() if values} == DEFAULTS


@pytest.mark.parametrize(("key", "field"), [(k, f) for k, f in EVERY if k not in OWN_WORDS and "own_coating" not in k])
def test_a_field_shows_what_its_model_holds_and_takes_it(key: str, field: Field) -> None:
    """The default in the field's own unit, or as the first choice; typed there, the model takes it."""
    for model, info in field_of(key):
        name = next(name for name, one in model.model_fields.items() if one is info)
        quantity = quantity_of(info) or quantity_of(entry_of(info))
        assert (quantity.unit if quantity else None) == field.unit
        default = info.default
        if field.options and field.options[0] != "default" and default is not PydanticUndefined:
            assert field.options[0] == {False: "no", True: "yes"}.get(default, default)
        elif default in (PydanticUndefined, None, "", ()) or field.options:
            assert field.stands == ""
        else:
            stands = shown(key, field, model)
            takes = TypeAdapter(info.rebuild_annotation())
            typed: Any = stands.split(", ") if field.several else stands
            found = takes.validate_python(typed, context={"units": "must"})
            near = pytest.approx(default, rel=0.01) if not isinstance(default, str) else default
            assert found == near, name


def shown(key: str, field: Field, model: type[Model]) -> str:
    """What the desk shows: of a drive's field it depends on what turns the item."""
    if not key.startswith("turning.") or key.startswith("turning.ticks."):
        return field.stands
    return Session({"turning": {"kind": model.model_fields["kind"].default}}).stands(key)


def test_what_no_model_says_is_written_once() -> None:
    """The few other fields say what their code does."""
    named = dict(EVERY)
    assert {key: named[key].stands for key in OWN_WORDS} == OWN_WORDS


@pytest.mark.parametrize(("key", "field"), [(k, f) for k, f in EVERY if f.stands and f.unit is not None])
def test_what_is_shown_reads_back_in_either_system(key: str, field: Field) -> None:
    """A placeholder has a unit that its field knows."""
    for system in ("mm", "in"):
        for text in field.stands.replace(" or ", ", ").split(", "):
            assert units.value_from_text(text, str(field.unit), units.bare_unit(str(field.unit), system)) >= 0, key
