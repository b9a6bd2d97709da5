"""What is typed behind a command: the kinds of values, and the groups of options that several commands take."""

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from inspect import Parameter as Place
from inspect import Signature, signature
from pathlib import Path
from typing import Annotated, Any, ClassVar, Final, Literal, TypeVar, dataclass_transform, get_args

from cyclopts import App, Parameter, Token

from rotary.cli import core
from rotary.cli.output import complain
from rotary.errors import BadArgument, FileTrouble, brief, nearest_name
from rotary.files import is_folder, is_there
from rotary.services import USUAL_DRAWS, Folders

T = TypeVar("T")

OLD_CHOICES: Final = {"joints": "seams", "forecast": "simulation", "datum": "end", "band": "artwork"}
"""Words of earlier versions behind options, and what they are now."""


class NoOption(ValueError):  # noqa: N818  (what it is, not what went wrong)
    """An option of no such name stands where a job is expected."""


def _typed(reader: Callable[[str, Any], Any], hyphen: bool = True) -> Parameter:
    """What one word is read as, by its text and its type; the reader raises ValueError and nothing else."""

    def read(kind: Any, tokens: Sequence[Token]) -> Any:
        return reader(tokens[0].value, kind)

    return Parameter(converter=read, n_tokens=1, allow_leading_hyphen=hyphen)


def whole(low: int, high: int) -> Parameter:
    """A whole number within bounds."""

    def number(text: str, _: Any) -> int:
        if not (text.isascii() and text.isdigit() and len(text) < 12 and low <= int(text) <= high):
            raise ValueError(f"must be a whole number from {low} to {high} (got {brief(text) or 'nothing'})")
        return int(text)

    return _typed(number, hyphen=False)


def _any_case(text: str, kind: Any) -> str:
    """One of the words of a type, however it is typed."""
    words = [word for word in _words(kind) if isinstance(word, str)]
    typed = text.strip().casefold().replace("_", "-")
    typed = OLD_CHOICES.get(typed, typed)
    if (word := next((word for word in words if word.casefold() == typed), None)) is not None:
        return word
    offer = f"did you mean {near}? Write" if (near := nearest_name(text, words)) else "write"
    raise ValueError(f"can't be {brief(text or 'nothing')}: {offer} {', '.join(words)}")


def _words(kind: Any) -> tuple[Any, ...]:
    """The words of a Literal, and of the Literals in a union."""
    return tuple(word for part in get_args(kind) for word in (_words(part) if get_args(part) else (part,)))


def _length(text: str, _: Any) -> float:
    """A length [mm]: a number with its unit, as everywhere else."""
    return core.units.value_from_text(text, "mm", None)


def _tape(text: str, kind: Any) -> float:
    """How thick a tape may be."""
    if not 0.01 <= (value_mm := _length(text, kind)) <= 2.0:
        raise ValueError(f"must be from 0.01 mm to 2 mm (got {brief(text)})")
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


FLAGS: Final = Parameter(negative="", show_default=False)
"""No flag has an opposite unless it says so."""

JOB: Final = _typed(_job)
CHOICE: Final = _typed(_any_case, hyphen=False)
LIST: Final = Parameter(negative="", allow_leading_hyphen=True)
Length = Annotated[float, _typed(_length)]
Tape = Annotated[float, _typed(_tape), Parameter(help='how thick the tape is, "0.12 mm"')]
Text = Annotated[str, Parameter(allow_leading_hyphen=True)]
Typed = Annotated[str | None, Parameter(allow_leading_hyphen=True)]
Files = Annotated[list[Path] | None, FLAGS]
Face = Annotated[Literal["outline", "line-sans", "line-roman", "line-script"] | None, CHOICE]
Headings = Annotated[
    Literal["yes", "no"] | None, CHOICE, Parameter(help="does the list start with headings? yes or no")
]
Number = Annotated[int, whole(1, 10**9)]

JobName = Annotated[str, JOB, Parameter(name="JOB", help="a job file, an example, a saved job, or - to pipe a job in")]
ProfileName = Annotated[str, Parameter(name="NAME", help="the saved job's name, or its id")]
Json = Annotated[bool, Parameter(help="as JSON, always in metric units")]
Inches = Annotated[bool, Parameter(help="lengths in inches, except numbers typed into the controller")]
Note = Annotated[Text, Parameter(help="a remark to save with it")]
Plain = Annotated[bool, Parameter(help="plain lines for a screen reader: nothing drawn, signs as words")]
Version = Annotated[str | None, Parameter(help="an older version (the newest if left out)")]
Store = Annotated[Path | None, Parameter(help="the folder of saved jobs and readings (or set ROTARY_FOLDER)")]
Paper = Annotated[
    Literal["A4", "Letter"] | None, CHOICE, Parameter(help="A4 or Letter (if left out, the usual one where you are)")
]


@dataclass_transform(kw_only_default=True, frozen_default=True)
def options(kind: type[T]) -> type[T]:
    """A group of options, each typed as if it stood alone; its docstring says what they mean."""
    whole_group: type[T] = Parameter(name="*")(dataclass(kw_only=True, eq=False, repr=False)(kind))
    return whole_group


def texts(names: str) -> Callable[[type[T]], type[T]]:
    """Options of a group that are handed on as they were typed, each by its name."""

    def with_texts(kind: type[T]) -> type[T]:
        kind.__annotations__ = {**vars(kind).get("__annotations__", {}), **dict.fromkeys(names.split(), Typed)}
        for name in names.split():
            setattr(kind, name, None)
        return kind

    return with_texts


def group(name: str, line: str, *commands: Callable[..., int]) -> App:
    """One of the words behind `rotary`, with commands of its own, each called as its function."""
    app = App(name=name, help=line, default_parameter=FLAGS)
    for command in commands:
        place = f"{command.__name__}_as_typed"
        setattr(sys.modules[command.__module__], place, with_job(command))
        # By its place it is looked into when it is typed; by itself at once.
        called = command.__name__.strip("_").removeprefix("tape_").replace("_", "-")
        app.command(f"{command.__module__}:{place}", name=called)
    return app


def with_job(command: Callable[..., int]) -> Callable[..., int]:
    """A command as it is typed: what is saved or a job, its first parameter, by its name first, its options behind.

    Where no parameter is marked as an option, all are that stand behind the first, or behind those that are no option.
    """
    every = [*signature(command).parameters.values()]
    are_marked = any(one.kind in (Place.KEYWORD_ONLY, Place.VAR_POSITIONAL) for one in every)
    loose = Place.POSITIONAL_OR_KEYWORD if are_marked else Place.KEYWORD_ONLY
    every = [one.replace(kind=loose) if one.kind is Place.POSITIONAL_OR_KEYWORD else one for one in every]
    kind = every[0].annotation if every else None
    if not (isinstance(kind, type) and issubclass(kind, Stored) and every[0].name in ("job", "profile")):
        vars(command)["__signature__"] = Signature(every)
        return command
    usual = kind()

    def called(name: str, /, *words: Any, where: Stored = usual, **more: Any) -> int:
        return command(replace(where, name=name), *words, **more)

    typed = [Place("name", Place.POSITIONAL_ONLY, annotation=kind.CALLED), *every[1:]]
    typed.append(Place("where", Place.KEYWORD_ONLY, default=usual, annotation=kind))
    called.__annotations__ = {one.name: one.annotation for one in typed}
    called.__doc__, vars(called)["__signature__"] = command.__doc__, Signature(typed)
    return called


@options
class PaperTo:
    """Where a paper goes, and what it is printed on.

    :param to: the file to write; its ending, .pdf .html .txt .json, says how
    """

    to: Path | None = None
    paper: Paper = None


@options
class Machine:
    """Which of your measured machines.

    :param machine: the machine (if left out, the one in the job)
    :param machines: the folder of machines (or set ROTARY_MACHINES)
    """

    machine: str | None = None
    machines: Path | None = None

    @property
    def folder(self) -> Path:
        """Where machines are."""
        return core.machine_folder(_folder(self.machines, "--machines"))


@options
class Stored:
    """What is saved under a name."""

    CALLED: ClassVar[Any] = ProfileName

    name: Annotated[str, Parameter(parse=False)] = "-"
    store: Store = None

    @property
    def profiles(self) -> Path:
        """Where profiles and readings are."""
        return store_of(self.store)

    @property
    def home(self) -> Path:
        """The folder of the profile; raises UnknownName."""
        return self.profiles / core.keeping.located(self.name, self.profiles).home

    def opened(self, version: str | None = None, alone: bool = True) -> "core.keeping.OpenedProfile":
        """The profile; where two versions stand side by side and none is asked for, the person has to say which."""
        try:
            profile = core.keeping.load(self.name, self.profiles, version)
        except core.keeping.Damaged as damaged:
            complain(str(damaged))
            _complain_of(core.spare.edits(damaged.version))
            offer = f"--version {damaged.good} uses the last good one, " if damaged.good else ""
            says = "rotary profile repair sets the damaged file aside, or correct the line"
            raise BadArgument(offer + says) from None
        if alone and profile.beside and version is None:
            both = " and ".join(profile.beside)
            says = (
                f"two people saved at once, versions {both}: look with rotary profile compare, choose with rotary "
                "profile"
            )
            raise BadArgument(f"{says} resolve, or name one with --version")
        if profile.doubt:
            _complain_of(core.spare.edits(profile.version))
        return profile


def _complain_of(edits: Sequence[object]) -> None:
    for edit in edits[:10]:
        complain(f"since it was saved, {edit}")


@options
class Where(Machine, Stored):
    """For which machine and after which readings a job is planned, and in which units it is shown.

    :param samples: random samples (1000; keep that for anything you take to the machine)
    """

    CALLED: ClassVar[Any] = JobName

    samples: Annotated[int, whole(0, 100_000)] = USUAL_DRAWS
    inches: Inches = False

    @property
    def system(self) -> str:
        """The system in which lengths are shown."""
        return "in" if self.inches else "mm"

    @property
    def folders(self) -> Folders:
        """Where profiles and machines are."""
        return Folders(self.profiles, self.folder)


ON: Final[Machine] = Machine()
TO_OUTPUT: Final = PaperTo()


def store_of(store: Path | None) -> Path:
    """Where profiles and readings are."""
    return core.shipped.profile_folder(_folder(store, "--store"))


def _folder(path: Path | None, option: str) -> str | None:
    """A folder's name, which need not be there yet; raises FileTrouble where it is a file."""
    if path is not None and is_there(path) and not is_folder(path):
        raise FileTrouble(f"{brief(path, 80)} is not a folder: name one after {option}")
    return str(path) if path else None
