"""The table of units against pint, an independent library of units and their definitions.

pint's definitions follow the SI brochure and NIST SP 811 (the inch of 25.4 mm exactly).
"""

from fractions import Fraction

import pint
import pytest

from rotary import units

REGISTRY = pint.UnitRegistry()
BASES = {
    "length": "mm",
    "angle": "rad",
    "turning rate": "rad/s",
    "time": "s",
    "power": "W",
    "frequency": "kHz",
    "energy": "mJ",
    "speed": "mm/s",
}
# "mil" is an angle in some of its versions; the shop means a thousandth of an inch, "thou".
NAMES = {"mil": "thou", "in": "inch", "ft": "foot", "in/s": "inch/s", "in/min": "inch/min", "ft/min": "foot/min"}
CASES = [(dimension, name) for dimension in BASES for name in units._TABLE[dimension]]


@pytest.mark.parametrize(("dimension", "name"), CASES)
def test_every_factor_of_the_table_is_pints(dimension: str, name: str) -> None:
    """A unit of the own table is worth what an independent library says it is."""
    expected = REGISTRY.Quantity(1.0, NAMES.get(name, name)).to(BASES[dimension]).magnitude
    assert float(units._TABLE[dimension][name]) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("spelled", sorted(units._ALSO))
def test_every_other_spelling_leads_into_the_table(spelled: str) -> None:
    """No spelling is a dead end."""
    assert units._ALSO[spelled] in units._NAMES


def test_the_inch_is_exact() -> None:
    """25.4 mm exactly, by the international agreement of 1959 (NIST SP 811, appendix B.6)."""
    assert units._TABLE["length"]["in"] == Fraction(254, 10)


@pytest.mark.parametrize(
    ("typed", "unit", "in_pint"), [("5 yd", "mm", "5 yard"), ("2 hp", "W", "2 hp"), ("3 erg", "mJ", "3 erg")]
)
def test_what_the_table_lacks_is_what_pint_says(typed: str, unit: str, in_pint: str) -> None:
    """The rest of the world's units come through the library."""
    assert units.value_from_text(typed, unit, None) == pytest.approx(REGISTRY(in_pint).to(unit).magnitude, rel=1e-12)
