"""The groups of options that several commands take, and how a command's function becomes what is typed."""

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, is_dataclass, replace
from inspect import Parameter as Place
from inspect import Signature, signature
from pathlib import Path
from typing import Annotated, Any, ClassVar, TypeVar, dataclass_transform

from cyclopts import App, Parameter

from rotary.cli import core
from rotary.cli.output import complain
from rotary.cli.values import FLAGS, File, Inches, JobName, Paper, ProfileName, Store, Typed, whole
from rotary.errors import BadArgument, FileTrouble, brief
from rotary.files import is_folder, is_there
from rotary.services import USUAL_DRAWS, Folders

T = TypeVar("T")


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


def group(*commands: Callable[..., int]) -> App:
    """One of the words behind `rotary`, called as its module, with commands of its own, each called as its function."""
    name = commands[0].__module__.rpartition(".")[2].partition("_")[0]
    app = App(name=name, version_flags=[], default_parameter=FLAGS)
    for command in commands:
        place = f"{command.__name__}_as_typed"
        setattr(sys.modules[command.__module__], place, with_job(command))
        # By its place it is looked into when it is typed; by itself at once.
        called = command.__name__.strip("_").removeprefix("tape_").replace("_", "-")
        app.command(f"{command.__module__}:{place}", name=called)
    return app


def with_job(command: Callable[..., int]) -> Callable[..., int]:
    """A command as it is typed: what is saved or a job, its first parameter, by its name first, its options behind.

    A group of options may be left out. Where no parameter is marked as an option, all are that stand behind the first,
    or behind those that are no option.
    """
    every = [*signature(command).parameters.values()]
    are_marked = any(one.kind in (Place.KEYWORD_ONLY, Place.VAR_POSITIONAL) for one in every)
    loose = Place.POSITIONAL_OR_KEYWORD if are_marked else Place.KEYWORD_ONLY
    typed, job = list[Place](), ""
    for one in every:
        if isinstance(one.annotation, type) and is_dataclass(one.annotation):
            usual = one.annotation()
            if one is every[0] and isinstance(usual, Stored):
                job = one.name
                typed.append(Place("name", Place.POSITIONAL_ONLY, default=usual.UNNAMED, annotation=usual.CALLED))
            typed.append(one.replace(kind=Place.KEYWORD_ONLY, default=usual))
        else:
            typed.append(one.replace(kind=loose) if one.kind is Place.POSITIONAL_OR_KEYWORD else one)

    def called(*words: Any, **more: Any) -> int:
        return command(replace(more.pop(job), name=words[0]), *words[1:], **more) if job else command(*words, **more)

    typed.sort(key=lambda one: one.kind)
    called.__annotations__ = {one.name: one.annotation for one in typed}
    called.__doc__, vars(called)["__signature__"] = command.__doc__, Signature(typed)
    return called


@options
class PaperTo:
    """Where a paper goes, and what it is printed on.

    :param to: the file to write: a name ending in .pdf, .html, .txt or .json
    """

    to: File | None = None
    paper: Paper = None

    @property
    def is_file(self) -> bool:
        """Whether the name after --to is a file's, and no folder's."""
        return self.to is not None and bool(self.to.suffix) and not is_folder(self.to)


@options
class SheetTo:
    """A sheet that goes with files.

    :param sheet: also write the sheet as a file: .pdf, .html, .txt or .json
    """

    sheet: File | None = None
    paper: Paper = None

    @property
    def to(self) -> Path | None:
        """The file of the sheet."""
        return self.sheet


@options
class Machine:
    """Which of your measured machines.

    :param machine: the name of your machine (if left out, the machine that the job names; without a job, your first
        one)
    :param machines: the folder of your machines (leave this out unless yours is elsewhere; ROTARY_MACHINES sets it for
        all commands)
    """

    machine: str | None = None
    machines: File | None = None

    @property
    def folder(self) -> Path:
        """Where machines are."""
        return core.shipped.machine_folder(_folder(self.machines, "--machines"))

    def named(self, begins: bool = False) -> "core.machine_record.MachineRecord":
        """The machine, the first one where none is named, or a new one where what is done `begins` it."""
        return core.machines.machine_named(self.machine, self.folder, begins)


@options
class Stored:
    """What is saved under a name."""

    CALLED: ClassVar[Any] = ProfileName
    UNNAMED: ClassVar[Any] = Place.empty

    name: Annotated[str, Parameter(parse=False)] = "-"
    store: Store = None

    @property
    def profiles(self) -> Path:
        """Where profiles and readings are."""
        return store_of(self.store)

    @property
    def home(self) -> Path:
        """The folder of the profile; raises UnknownName."""
        return self.profiles / core.stored_profiles.located(self.name, self.profiles).home

    def opened(self, version: str | None = None, alone: bool = True) -> "core.stored_profiles.OpenedProfile":
        """The profile; where two versions stand side by side and none is asked for, the person has to say which."""
        try:
            profile = core.stored_profiles.load(self.name, self.profiles, version)
        except core.stored_profiles.Damaged as damaged:
            complain(str(damaged))
            _complain_of(core.spare.edits(damaged.version))
            offer = f"to use the last good version add --version {damaged.good}; " if damaged.good else ""
            says = "to set the damaged file aside write rotary profile repair; or correct the file yourself"
            raise BadArgument(offer + says) from None
        if alone and profile.beside and version is None:
            both = " and ".join(profile.beside)
            says = f"this job was saved twice from the same older version, as versions {both}: see what differs with"
            raise BadArgument(
                f"{says} rotary profile compare, then choose one with rotary profile resolve or --version"
            )
        if profile.doubt:
            _complain_of(core.spare.edits(profile.version))
        return profile


def _complain_of(edits: Sequence[object]) -> None:
    for edit in edits[:10]:
        complain(f"since the job was saved, {edit}")


@options
class Where(Machine, Stored):
    """For which machine and after which readings a job is planned, and in which units it is shown.

    :param samples: how many random samples the plan uses (leave this out for real work: another number changes the
        laser settings)
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


def store_of(store: Path | None) -> Path:
    """Where profiles and readings are."""
    return core.shipped.profile_folder(_folder(store, "--store"))


def _folder(path: Path | None, option: str) -> str | None:
    """A folder's name, which need not be there yet; raises FileTrouble where it is a file."""
    if path is not None and is_there(path) and not is_folder(path):
        raise FileTrouble(f"{brief(path, 80)} is not a folder: name a folder after {option}")
    return str(path) if path else None
