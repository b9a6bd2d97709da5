"""Models: typed text in, plain floats inside, and every fault said so that it can be put right."""

from typing import Annotated, Literal

import pytest
from pydantic import Field, ValidationError

from rotary.errors import Fault, FileTrouble, NoPlan, Refused, RotaryError, both, brief, refuse
from rotary.faults import faults_of
from rotary.model import Angle, Length, Model, Share, Speed, entry_of, name_without_unit, quantity_of


class Peg(Model):
    """A round peg."""

    kind: Literal["peg"] = "peg"
    across_mm: Length = Field(gt=0)
    turn_rad: Angle = 0.0


class Slab(Model):
    """A flat slab."""

    kind: Literal["slab"] = "slab"
    wide_mm: Length = Field(ge=1, lt=50)


class Rack(Model):
    """What holds them."""

    name: str = Field(min_length=1, max_length=10)
    count: int = 1
    factor: float = 1.0
    open: bool = False
    fill_share: Share = Field(default=0.5, gt=0, le=1)
    speed_mm_s: Speed | None = Field(default=None, gt=0)
    part: Annotated[Peg | Slab, Field(discriminator="kind")]
    pegs: tuple[Peg, ...] = ()


RIGHT = {"name": "left", "part": {"kind": "peg", "across": "1/2 in"}}


def faults(data: object, units: str = "must") -> dict[str, str]:
    try:
        Rack.model_validate(data, context={"units": units})
    except ValidationError as error:
        return {fault.where: fault.says for fault in faults_of(error, Rack)}
    return {}


def test_text_becomes_floats_and_floats_stay() -> None:
    """A file's text, a screen's bare number and the constructor's float all end as plain floats."""
    assert Rack.model_validate(RIGHT, context={"units": "must"}).part == Peg(across_mm=12.7)
    bare = RIGHT | {"part": {"kind": "peg", "across": "2", "turn": "90"}}
    inches = Rack.model_validate(bare, context={"units": "in"}).part
    assert isinstance(inches, Peg)
    assert inches.across_mm == 50.8
    assert inches.turn_rad == pytest.approx(1.5707963267948966)


@pytest.mark.parametrize(
    ("change", "where", "says"),
    [
        ({"nam": "x"}, "nam", 'Did you mean "name"?'),
        ({"zzz": "x"}, "zzz", "write one of these names: name, count"),
        ({"across": "3 mm"}, "across", "write pegs = [{ across"),
        ({"name": ""}, "name", "must not be empty"),
        ({"name": "x" * 11}, "name", "longer than 10"),
        ({"name": 5}, "name", "your text in quotes"),
        ({"count": "many"}, "count", "a whole number"),
        ({"factor": float("nan")}, "factor", "can't be used as a number"),
        ({"open": "perhaps"}, "open", "true or false"),
        ({"fill": "0 %"}, "fill", "0 % is too small: write more than 0 %"),
        ({"fill": "101 %"}, "fill", "write 100 % or less"),
        ({"fill": 0.5}, "fill", '"50 %"'),
        ({"fill": True}, "fill", "true is not a number"),
        ({"speed": "3 mm"}, "speed", "3 mm is a length"),
        ({"speed": "-3 mm/s"}, "speed", "write more than 0 mm/s"),
        ({"part": {"kind": "pegg", "across": "3 mm"}}, "part", 'did you mean "peg"?'),
        ({"part": {"across": "3 mm"}}, "part", 'write kind = "peg" or "slab"'),
        ({"part": {"kind": "peg"}}, "part.across", 'is missing: write for example across = "88.9 mm"'),
        ({"part": {"kind": "slab", "wide": "50 mm"}}, "part.wide", "write less than 50 mm"),
        ({"part": {"kind": "slab", "wide": "0 mm"}}, "part.wide", "write 1 mm or more"),
        ({"part": {"kind": "peg", "across": "3 mm", "wide": "9 mm"}}, "part.wide", "is only for slab: leave it out"),
        ({"part": {"kind": "slab", "wade": "9 mm", "wide": "9 mm"}}, "part.wade", 'Did you mean "wide"?'),
        ({"pegs": 3}, "pegs", "a list"),
        ({"pegs": [3]}, "pegs.0", "a row in braces"),
        ({"pegs": [{"across": "1 mm"}, {"across": "88"}]}, "pegs.1.across", '"88 mm"'),
    ],
)
def test_a_fault_names_its_field_and_says_what_to_write(change: dict[str, object], where: str, says: str) -> None:
    """Whatever is wrong, the field is named as in the file and the sentence helps."""
    found = faults(RIGHT | change)
    assert set(found) == {where}
    assert says in found[where]


def test_all_faults_are_told_at_once() -> None:
    """One run shows everything that has to be put right."""
    assert set(faults({"count": "x", "part": {"kind": "slab"}, "more": 1})) == {"name", "count", "part.wide", "more"}


def test_names_lose_the_longest_unit_only() -> None:
    """speed_mm_s is speed, not speed_mm; a name that is only a unit stays."""
    assert [name_without_unit(name) for name in ("speed_mm_s", "top_rad_s", "width_mm", "_mm", "passes")] == [
        "speed",
        "top",
        "width",
        "_mm",
        "passes",
    ]


def test_a_field_knows_its_unit() -> None:
    """Screens and writers find the unit behind an optional field and behind a list."""
    found = quantity_of(Rack.model_fields["speed_mm_s"])
    assert found is not None
    assert (found.unit, found.text(12.5)) == ("mm/s", "12.5 mm/s")
    assert quantity_of(Rack.model_fields["count"]) is None
    assert entry_of(Rack.model_fields["pegs"]) is Peg


def test_a_model_can_not_be_changed_nor_hold_nan() -> None:
    """What was checked stays as it was checked."""
    peg = Peg(across_mm=3.0)
    with pytest.raises(ValidationError):
        peg.across_mm = 4.0  # type: ignore[misc]
    with pytest.raises(ValidationError):
        Peg(across_mm=float("nan"))


def test_a_model_is_the_same_but_for_values_that_it_has() -> None:
    """A name that is written wrong must not leave everything as it was."""
    assert Peg(across_mm=3.0).but(across_mm=4.0) == Peg(across_mm=4.0)
    with pytest.raises(TypeError, match="Peg has no acros_mm"):
        Peg(across_mm=3.0).but(acros_mm=4.0)


def test_two_refusals_become_one_with_all_their_faults() -> None:
    """Questions that don't need each other are both asked before anybody is told."""

    def first() -> int:
        raise refuse("a", "one")

    def second() -> str:
        raise NoPlan([Fault("b", "two"), Fault("", "three")])

    with pytest.raises(Refused) as refused:
        both(first, second)
    assert not isinstance(refused.value, NoPlan)
    assert str(refused.value) == "a: one\nb: two\nthree"
    with pytest.raises(NoPlan):
        both(lambda: 1, second)
    with pytest.raises(NoPlan):
        both(second, second)
    assert both(lambda: 1, lambda: "x") == (1, "x")


def test_every_error_has_one_root() -> None:
    """One except clause catches all that is raised on purpose."""
    assert all(issubclass(kind, RotaryError) for kind in (Refused, NoPlan, FileTrouble))


def test_what_is_quoted_fits_in_a_sentence() -> None:
    """Control characters, long texts and odd objects can't break a line."""
    assert brief("a\x1b[31m\nb\u202e") == "a [31m b"
    assert len(brief("x" * 10_000)) == 40
    assert brief({"a": 1}) == "a table"
