"""The kinds of values that are typed behind options, and how they are read."""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Any, Final, Literal, get_args

from cyclopts import Parameter, Token

from rotary.cli import core
from rotary.errors import brief, nearest_name

FLAGS: Final = Parameter(negative="", show_default=False)
"""No flag has an opposite unless it says so."""


def whole(low: int, high: int) -> Parameter:
    """A whole number within bounds."""

    def number(_: Any, tokens: Sequence[Token]) -> int:
        text = tokens[0].value
        if not (text.isascii() and text.isdigit() and len(text) < 12 and low <= int(text) <= high):
            raise ValueError(f"must be a whole number from {low} to {high} (got {brief(text) or 'nothing'})")
        return int(text)

    return Parameter(converter=number, n_tokens=1)


OLD_CHOICES: Final = {"joints": "seams", "forecast": "simulation", "datum": "end", "band": "artwork"}
"""Words of earlier versions behind options, and what they are now."""


def _any_case(kind: Any, tokens: Sequence[Token]) -> str:
    """One of the words of a type, however it is typed."""
    words = [word for word in _words(kind) if isinstance(word, str)]
    text = tokens[0].value
    typed = text.strip().casefold().replace("_", "-")
    typed = OLD_CHOICES.get(typed, typed)
    if (word := next((word for word in words if word.casefold() == typed), None)) is not None:
        return word
    near = nearest_name(text, words)
    raise ValueError(
        f"can't be {brief(text or 'nothing')}: {f'did you mean {near}? Write' if near else 'write'} {', '.join(words)}"
    )


def _words(kind: Any) -> tuple[Any, ...]:
    """The words of a Literal, and of the Literals in a union."""
    return tuple(word for part in get_args(kind) for word in (_words(part) if get_args(part) else (part,)))


def _length(_: Any, tokens: Sequence[Token]) -> float:
    """A length [mm]: a number with its unit, as everywhere else."""
    try:
        return core.units.value_from_text(tokens[0].value, "mm", None)
    except core.units.UnitError as trouble:
        raise ValueError(str(trouble)) from None


def length_within(low_mm: float, high_mm: float) -> Parameter:
    """A length [mm] within bounds."""

    def length(kind: Any, tokens: Sequence[Token]) -> float:
        value_mm = _length(kind, tokens)
        if not low_mm <= value_mm <= high_mm:
            raise ValueError(f"must be from {low_mm:g} mm to {high_mm:g} mm (got {brief(tokens[0].value)})")
        return value_mm

    return Parameter(converter=length, n_tokens=1, allow_leading_hyphen=True)


def _job(_: Any, tokens: Sequence[Token]) -> str:
    """A job's name; a hyphen alone is the standard input, and whatever else begins with one is a mistyped option."""
    text = tokens[0].value
    if text.startswith("-") and text != "-":
        raise NoOption(text)
    if not text.strip():
        raise ValueError("is empty: name a job file, or one that rotary job example or rotary profile list shows")
    return text


class NoOption(ValueError):  # noqa: N818  (what it is, not what went wrong)
    """An option of no such name stands where a job is expected."""


JOB: Final = Parameter(converter=_job, n_tokens=1, allow_leading_hyphen=True)
CHOICE: Final = Parameter(converter=_any_case, n_tokens=1)
LIST: Final = Parameter(negative="", allow_leading_hyphen=True)
Length = Annotated[float, Parameter(converter=_length, n_tokens=1, allow_leading_hyphen=True)]
Tape = Annotated[float, length_within(0.01, 2.0)]
Text = Annotated[str, Parameter(allow_leading_hyphen=True)]
Typed = Annotated[str | None, Parameter(allow_leading_hyphen=True)]
Files = Annotated[list[Path] | None, Parameter(negative="")]
Face = Annotated[Literal["outline", "line-sans", "line-roman", "line-script"], CHOICE]
Headings = Annotated[
    Literal["yes", "no"] | None, CHOICE, Parameter(help="whether the list's first line is headings: yes or no")
]
Number = Annotated[int, whole(1, 10**9)]

JobName = Annotated[
    str, JOB, Parameter(name="JOB", help="a job file, a shipped example, a saved profile, or - for the standard input")
]
ProfileName = Annotated[str, Parameter(name="NAME", help="the profile's name, or its id")]
Json = Annotated[bool, Parameter(help="as JSON, always in metric units")]
Inches = Annotated[bool, Parameter(help="lengths in inches, where they are not typed into a controller")]
Note = Annotated[Text, Parameter(help="a remark that is stored with it")]
Plain = Annotated[bool, Parameter(help="plain lines for a screen reader: nothing drawn, signs as words")]
Version = Annotated[str | None, Parameter(help="an older version (the newest if left out)")]
Store = Annotated[Path | None, Parameter(help="the folder of profiles and readings (or set ROTARY_FOLDER)")]
Paper = Annotated[
    Literal["A4", "Letter"] | None, CHOICE, Parameter(help="A4 or Letter (what is usual where you are, if left out)")
]
