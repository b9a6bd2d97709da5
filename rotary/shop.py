"""What else is in the room: eyewear as its own marking says, and other lasers."""

import re
from typing import Final, Literal

from pydantic import Field, ValidationInfo, field_validator

from rotary.errors import Missing
from rotary.model import Model, Power, Wavelength

_MARK: Final = re.compile(r"([DIRM]+)\s*(?:LB?)?\s*(\d{1,2})\b", re.IGNORECASE)
_BETWEEN: Final = re.compile(r"[\s+,;/]*")
_BAND: Final = re.compile(r"^\s*\d+(?:\s*[-–]\s*\d+)?\s+(?=[DIRM])", re.IGNORECASE)
_HOW: Final = 'write them as on the eyewear, like "D LB6 + IR LB7"'


def marked_numbers(marks: str) -> dict[str, int]:
    """Scale numbers by letter, as they stand on a pair; of a letter that comes twice the lower one.

    Raises ValueError with what to write instead.

    >>> marked_numbers("900-1100 D LB6 + IR LB7"), marked_numbers("DIR L5")
    ({'D': 6, 'I': 7, 'R': 7}, {'D': 5, 'I': 5, 'R': 5})
    """
    text = _BAND.sub("", marks)
    if _BETWEEN.fullmatch(_MARK.sub("", text)) is None:
        raise ValueError(f"these marks can't be read: {_HOW}")
    numbers: dict[str, int] = {}
    for letters, number in _MARK.findall(text):
        for letter in letters.upper():
            numbers[letter] = min(int(number), numbers.get(letter, int(number)))
    return numbers


class Eyewear(Model):
    """A pair of laser eyewear as its own marking says: an optical density, EN 207 marks, or both.

    `marks` are letters and scale numbers as on the pair; `material` that of its filters, empty where not known.
    """

    name: str
    from_nm: Wavelength = Field(gt=0)
    to_nm: Wavelength = Field(gt=0)
    marks: str = Field(default="", max_length=120)
    material: Literal["", "glass", "plastic"] = ""
    optical_density: float | None = Field(default=None, gt=0, le=12, validate_default=True)

    @field_validator("to_nm")
    @classmethod
    def _from_low_to_high(cls, to_nm: float, info: ValidationInfo) -> float:
        if to_nm < info.data.get("from_nm", 0.0):
            raise ValueError("the range would end before it begins: write the larger wavelength here")
        return to_nm

    @field_validator("marks")
    @classmethod
    def _readable(cls, marks: str) -> str:
        marked_numbers(marks)
        return marks

    @field_validator("optical_density")
    @classmethod
    def _one_of_both(cls, density: float | None, info: ValidationInfo) -> float | None:
        if density is None and not info.data.get("marks", "unreadable").strip():
            says = 'is missing: write the OD that the eyewear shows, like 6.0, or its marks, like "D LB6 + IR LB7"'
            raise ValueError(Missing(says))
        return density

    @property
    def numbers(self) -> dict[str, int]:
        """Its scale numbers by letter; empty where no marks are entered."""
        return marked_numbers(self.marks)

    @property
    def density(self) -> float:
        """Its optical density; where only marks are entered their lowest number, which promises as much."""
        return self.optical_density or float(min(self.numbers.values(), default=0))


class OtherLaser(Model):
    """Another laser in the same room (an engraving diode, a pointer)."""

    name: str
    wavelength_nm: Wavelength = Field(ge=180, le=1e6)
    power_w: Power = Field(gt=0)


class Shop(Model):
    """What else is in the room."""

    eyewear: tuple[Eyewear, ...] = ()
    other_lasers: tuple[OtherLaser, ...] = ()
