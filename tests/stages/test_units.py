"""The border: what a person types becomes the value that was meant, or a sentence that helps."""

import math
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rotary.units import (
    KINDS,
    UnitError,
    bare_unit,
    missing_unit_sentence,
    shortest_text,
    text_from_value,
    text_in_unit,
    value_from_text,
)

SYSTEMS = ("mm", "in")


@pytest.mark.parametrize(
    ("typed", "mm"),
    [
        ("88.9", 88.9),
        ("88.9 mm", 88.9),
        ("88,9 mm", 88.9),
        ("88,9mm", 88.9),
        ("3.5 in", 88.9),
        ("3,5 in", 88.9),
        ("3 1/2 in", 88.9),
        ('3-1/2"', 88.9),
        ("3½″", 88.9),
        ('7/8"', 22.225),
        ('3.5"', 88.9),
        ("2 ft 3 in", 685.8),
        ("2' 3 1/2\"", 698.5),
        ("8.89 cm", 88.9),
        ("60 µm", 0.06),
        ("60 μm", 0.06),
        ("3500 thou", 88.9),
        ("88.9\u00a0mm", 88.9),
        ("  +88.9  MM ", 88.9),
        ("−5 mm", -5.0),
        (".5 mm", 0.5),
        ("5. mm", 5.0),
        ("0,125 mm", 0.125),
        ("8.89e1 mm", 88.9),
        ("1 yard", 914.4),
    ],
)
def test_a_length_is_read_as_it_was_meant(typed: str, mm: float) -> None:
    """Every way of writing a length that is seen on a bench gives exactly that length."""
    assert value_from_text(typed, "mm", "mm") == mm


@pytest.mark.parametrize(
    ("typed", "unit", "value"),
    [
        ("30°", "rad", math.pi / 6),
        ("30", "rad", math.pi / 6),
        ("0.5 rad", "rad", 0.5),
        ("30 rpm", "rad/s", math.pi),
        ("180 °/s", "rad/s", math.pi),
        ("200 ms", "s", 0.2),
        ("0.1 us", "ns", 100.0),
        ("1.064 um", "nm", 1064.0),
        ("0.03 kW", "W", 30.0),
        ("50000 Hz", "kHz", 50.0),
        ("0.001 J", "mJ", 1.0),
        ("1.2 m/s", "mm/s", 1200.0),
        ("95 %", "", 0.95),
        ("95", "", 0.95),
        ("2.4 mil", "um", 60.96),
    ],
)
def test_every_kind_of_quantity_is_read_in_its_usual_units(typed: str, unit: str, value: float) -> None:
    """Angles, times, powers and shares take the units of the trade; a bare number that of the field."""
    assert value_from_text(typed, unit, bare_unit(unit, "mm")) == pytest.approx(value, rel=1e-15)


@pytest.mark.parametrize(
    ("typed", "unit", "says"),
    [
        ("1,234 mm", "mm", '"1234 mm" or "1.234 mm"'),
        ("1.234,5 mm", "mm", "one decimal point"),
        ("1,234,567 mm", "mm", "one decimal point"),
        ("", "mm", "nothing is written here"),
        ("   ", "rad", "nothing is written here"),
        ("nan", "mm", "not a number"),
        ("inf mm", "mm", "not a number"),
        ("1e400", "mm", "not a number"),
        ("1e300 mm", "mm", "far too large for a length"),
        ("1e-300 mm", "mm", "far too small for a length"),
        ("9" * 500 + " mm", "mm", "not a number"),
        ("3 kg", "mm", "3 kg is not a length: write for example"),
        ("30 deg", "mm", "30 deg is an angle"),
        ("3 mm", "rad", "3 mm is a length"),
        ("50 Hz", "rad/s", "here you need a turning rate"),
        ("3 mm 4 in", "mm", "write only a number and a unit"),
        ("3 1/2 1/4 in", "mm", "write only a number and a unit"),
        ("2 ft 3 mm", "mm", "two units"),
        ("3/0 in", "mm", "divides by zero"),
        ("banana", "mm", "not a number"),
        ("3 bananas", "mm", "has a unit that rotary doesn't know"),
        ("(", "mm", "not a number"),
        ("m/0", "mm", "not a number"),
        ("3 __import__", "mm", "has a unit that rotary doesn't know"),
        ("3 mm**9", "mm", "write only a number and a unit"),
        ("٣ mm", "mm", "not a number"),
    ],
)
def test_what_can_not_be_meant_is_refused_with_what_to_write(typed: str, unit: str, says: str) -> None:
    """A refusal names what was given and ends with a form that would be right."""
    with pytest.raises(UnitError, match="write") as refused:
        value_from_text(typed, unit, bare_unit(unit, "mm"))
    assert says in str(refused.value)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize("unit", KINDS)
def test_every_example_that_a_refusal_shows_is_itself_right(unit: str) -> None:
    """Whoever copies the example out of the sentence gets a value."""
    assert value_from_text(KINDS[unit].example, unit, None) > 0


@pytest.mark.parametrize("unit", KINDS)
def test_a_bare_number_in_a_file_is_refused_with_itself_and_a_unit(unit: str) -> None:
    """Files must say their units; the sentence offers the same number with one."""
    with pytest.raises(UnitError) as refused:
        value_from_text("0.5", unit, bare_unit(unit, "must"))
    offered = str(refused.value).split('"')[1]
    assert value_from_text(offered, unit, None) > 0
    assert str(refused.value) == missing_unit_sentence(0.5, unit)


VALUES = st.floats(min_value=0.5, max_value=9e4) | st.floats(min_value=-9e4, max_value=-0.5) | st.just(0.0)


@given(VALUES, st.sampled_from(sorted(KINDS)))
def test_toggling_the_system_four_times_changes_nothing(value: float, unit: str) -> None:
    """Millimetre to inch and back, four times, gives the very same float."""
    value = value / 10 if unit in ("rad", "") else value
    now = value
    for _ in range(2):
        for system in SYSTEMS:
            now = value_from_text(text_from_value(now, unit, system), unit, None)
    assert now == value


@given(VALUES, st.sampled_from(sorted(KINDS)))
def test_the_shortest_text_reads_back_exactly(value: float, unit: str) -> None:
    """What is written into a file is what is read from it, to the last bit."""
    value = value / 10 if unit in ("rad", "") else value
    assert value_from_text(shortest_text(value, unit), unit, None) == value


@given(st.integers(1, 3000), st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_a_fraction_of_an_inch_is_its_decimal_number(sixty_fourths: int, bottom: int) -> None:
    """n/64 as typed with a slash equals the same length written as a decimal number."""
    whole, top = divmod(sixty_fourths, bottom)
    mixed = value_from_text(f'{whole} {top}/{bottom}"', "mm", None)
    assert mixed == value_from_text(f"{sixty_fourths / bottom!r} in", "mm", None)


@given(st.text(max_size=40), st.sampled_from(sorted(KINDS)), st.sampled_from([None, "must", "mm", "in"]))
def test_any_text_gives_a_finite_value_or_one_sentence(text: str, unit: str, mode: str | None) -> None:
    """Nothing that can be typed ends in nan, infinity or an error of another kind."""
    try:
        value = value_from_text(text, unit, bare_unit(unit, mode))
    except UnitError as refused:
        said = str(refused)
        assert said.isprintable()
        assert 10 < len(said) < 260
    else:
        assert math.isfinite(value)


@given(st.from_regex(r"[0-9]{1,3}[.,/ '\"-]{0,2}[0-9]{0,4} ?[a-zA-Zµ°/%\"']{0,8}", fullmatch=True))
def test_what_looks_like_a_length_is_a_value_or_one_sentence(text: str) -> None:
    """The texts near to right ones are no more dangerous than noise."""
    try:
        value = value_from_text(text, "mm", "mm")
    except UnitError as refused:
        said = str(refused)
        assert "write" in said
    else:
        assert math.isfinite(value)


def test_rounded_text_keeps_the_asked_digits() -> None:
    """A shown value is rounded as asked, without an exponent where it reads well."""
    assert text_in_unit(1 / 3, "mm", "mm", digits=3) == "0.333 mm"
    assert text_in_unit(123456.0, "mm/s", "mm/s", digits=2) == "120000 mm/s"
    assert text_in_unit(0.0, "mm", "in") == "0 in"
    with pytest.raises(UnitError):
        text_in_unit(math.nan, "mm", "mm")


def test_the_table_answers_without_loading_the_units_library() -> None:
    """The first frame of a screen reads common units with neither pint, numpy nor pydantic in memory."""
    code = (
        "import sys; from rotary.units import value_from_text as v; v('3 1/2 in', 'mm', None); v('3 °', 'rad', None);"
        "print([m for m in ('pint', 'numpy', 'pydantic') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
