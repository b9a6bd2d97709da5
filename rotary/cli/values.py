"""The kinds of values behind commands and options: how each is read from what was typed, and what its help says."""

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import Annotated, Any, Final, Literal, get_args

from cyclopts import Parameter, Token

from rotary.cli import core
from rotary.errors import brief, listing, nearest_name

OLD_CHOICES: Final = {
    "joints": "seams", "forecast": "simulation", "datum": "end", "band": "artwork", "joints-show": "seams-show",
    "clear": "good", "clean": "good", "haze": "residue", "covered": "coating-left", "tinted": "heat-tint",
    "cut": "engraved", "metal-marked": "engraved", "decal": "label",
}  # fmt: skip
"""Words of earlier versions behind options, and what they are now."""


class NoOption(ValueError):  # noqa: N818  (what it is, not what went wrong)
    """An option of no such name stands where a job is expected."""


def _read_by(reader: Callable[[str, Any], Any], hyphen: bool = True, many: bool = False) -> Parameter:
    """What one word is read as, by its text and its type; the reader raises ValueError and nothing else."""

    def read(kind: Any, tokens: Sequence[Token]) -> Any:
        values = [reader(token.value, kind) for token in tokens]
        return values if many else values[0]

    return Parameter(converter=read, n_tokens=1, allow_leading_hyphen=hyphen)


def whole(low: int, high: int) -> Parameter:
    """A whole number within bounds."""

    def number(text: str, _: Any) -> int:
        if not (text.isascii() and text.isdigit() and len(text) < 12 and low <= int(text) <= high):
            bounds = f"from {low} to {high}" if high < 10**9 else f"of {low} or more"
            raise ValueError(f"must be a whole number {bounds} (got {brief(text) or 'nothing'})")
        return int(text)

    return _read_by(number, hyphen=False)


def _any_case(text: str, kind: Any) -> str:
    """One of the words of a type, however it is typed."""
    words = [word for word in _words(kind) if isinstance(word, str)]
    typed = text.strip().casefold().replace("_", "-").replace(" ", "-")
    typed = OLD_CHOICES.get(typed, typed)
    if (word := next((word for word in words if word.casefold() == typed), None)) is not None:
        return word
    offer = f"did you mean {near}? Write" if (near := nearest_name(text, words)) else "write"
    raise ValueError(f"can't be {brief(text or 'nothing')}: {offer} {listing(words, 'or')}")


def _words(kind: Any) -> tuple[Any, ...]:
    """The words of a Literal, and of the Literals in a union."""
    return tuple(word for part in get_args(kind) for word in (_words(part) if get_args(part) else (part,)))


def _length(text: str, _: Any) -> float:
    """A length [mm]: a number with its unit, as everywhere else."""
    return core.units.value_from_text(text, "mm", None)


def _day(text: str, _: Any) -> date:
    """A day."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        says = f"{brief(text)} is not a date: write it" if text else "is empty: write a day,"
        raise ValueError(f"{says} like 2026-01-31") from None


def _tape(text: str, kind: Any) -> float:
    """How thick a tape may be."""
    if not 0.01 <= (value_mm := _length(text, kind)) <= 2.0:
        raise ValueError(f"must be a thickness from 0.01 mm to 2 mm (got {brief(text)})")
    return value_mm


def _job(text: str, _: Any) -> str:
    """A job's name; a hyphen alone is the standard input, and whatever else begins with one is a mistyped option."""
    if text.startswith("-") and text != "-":
        raise NoOption(text)
    if not text.strip():
        raise ValueError(
            "is empty: name a job file, an example (rotary job example), or a saved job (rotary profile list)"
        )
    return text


def _file(text: str, _: Any) -> Path:
    """The name of a file or folder."""
    if not text.strip() or "\0" in text:
        raise ValueError("needs the name of a file or folder: write a name, or leave the option out")
    return Path(text)


FLAGS: Final = Parameter(negative="", show_default=False)
"""No flag has an opposite unless it says so."""

JOB: Final = _read_by(_job)
CHOICE: Final = _read_by(_any_case, hyphen=False)

Day = Annotated[date, _read_by(_day)]
Length = Annotated[float, _read_by(_length)]
Tape = Annotated[
    float, _read_by(_tape), Parameter(help='how thick your paper tape is, like "0.15 mm" (0.12 mm if left out)')
]
Number = Annotated[int, whole(1, 10**9)]
Text = Annotated[str, Parameter(allow_leading_hyphen=True)]
Typed = Annotated[str | None, Parameter(allow_leading_hyphen=True)]
File = Annotated[Path, _read_by(_file, hyphen=False)]
Files = Annotated[list[Path] | None, FLAGS, _read_by(_file, hyphen=False, many=True)]
Lines = Annotated[str | None, _read_by(lambda text, _: text.replace("\\n", "\n"))]
MoreLines = Annotated[list[str] | None, FLAGS, _read_by(lambda text, _: text.replace("\\n", "\n"), many=True)]
Face = Annotated[Literal["outline", "line-sans", "line-roman", "line-script"] | None, CHOICE]
Headings = Annotated[
    Literal["yes", "no"] | None, CHOICE, Parameter(help="yes or no: is the first line of the list a line of headings?")
]
JobName = Annotated[
    str,
    JOB,
    Parameter(
        name="JOB", help='the name of a job file, an example or a saved job ("-" reads the job from another program)'
    ),
]
ProfileName = Annotated[str, Parameter(name="NAME", help="the name of the saved job")]
Json = Annotated[bool, Parameter(help="print the answer as JSON, for other programs (always metric)")]
Inches = Annotated[bool, Parameter(help="show lengths in inches (numbers for your marking program stay in mm)")]
Note = Annotated[Text, Parameter(help="also save this note, in your own words")]
Plain = Annotated[
    bool, Parameter(help="print plain lines for a screen reader, with words in place of drawings and signs")
]
Version = Annotated[str | None, Parameter(help="the number of an older version (if left out, the newest)")]
Store = Annotated[
    File | None,
    Parameter(
        help="the folder of saved jobs and readings (leave this out unless yours is elsewhere; ROTARY_FOLDER sets "
        "it for all commands)"
    ),
]
Paper = Annotated[
    Literal["A4", "Letter"] | None,
    CHOICE,
    Parameter(help="paper size: A4 or Letter (if left out, the usual one in your country)"),
]
