"""The options that several commands take, each with one meaning; and how what is typed is read."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Final, TypeVar, dataclass_transform

from cyclopts import App, Parameter

from rotary.cli import core
from rotary.cli.values import FLAGS, LIST, Files, Inches, Paper, Store, Typed, whole
from rotary.errors import FileTrouble, brief
from rotary.files import is_folder, is_there
from rotary.services import USUAL_DRAWS, Folders

T = TypeVar("T")


@dataclass_transform(kw_only_default=True, frozen_default=True)
def options(kind: type[T]) -> type[T]:
    """A group of options, each typed as if it stood alone; its docstring says what they mean."""
    whole_group: type[T] = Parameter(name="*")(dataclass(kw_only=True, eq=False, repr=False)(kind))
    return whole_group


def group(name: str, line: str, *commands: Callable[..., int]) -> App:
    """One of the words behind `rotary`, with commands of its own, each called as its function and read when typed."""
    app = App(name=name, help=line, default_parameter=FLAGS)
    for command in commands:
        path = f"{command.__module__}:{command.__name__}"
        app.command(path, name=command.__name__.strip("_").removeprefix("tape_").replace("_", "-"))
    return app


@options
class PaperTo:
    """Where a paper goes, and what it is printed on.

    :param to: the file to write; its ending, .pdf .html .txt .json, says how
    """

    to: Path | None = None
    paper: Paper = None


@options
class OtherArtwork:
    r"""Drawings and texts in place of the job's, and how the drawings are read.

    :param art: an SVG or DXF drawing in place of the job's
    :param text: a text in place of the job's; \n breaks
    :param unit: of a DXF drawing that doesn't say: mm, cm, m, in, ft
    :param line_width: how wide open lines of a DXF drawing are marked
    :param close_gaps: how far apart ends of a DXF drawing may be that meet
    :param dark_below: marks everything at most so bright, "50 %"
    :param font: a TTF or OTF file, or a font's name, for the words in it
    """

    art: Files = None
    text: Annotated[list[str] | None, LIST] = None
    unit: Typed = None
    line_width: Typed = None
    close_gaps: Typed = None
    dark_below: Typed = None
    font: Typed = None

    @property
    def reading(self) -> dict[str, str]:
        """How drawings are read, by the keys of a piece of artwork; only what was asked for."""
        return {name: one for name, one in vars(self).items() if one is not None and name not in ("art", "text")}


@options
class Machine:
    """Which machine, as measured.

    :param machine: the machine (the one the job names, if left out)
    :param machines: the folder of machines (or set ROTARY_RIGS)
    """

    machine: str | None = None
    machines: Path | None = None

    @property
    def folder(self) -> Path:
        """Where machines are."""
        return core.rig_folder(_folder(self.machines, "--machines"))


@options
class Where(Machine):
    """For which machine and after which readings a job is planned, and in which units it is shown.

    :param samples: random samples (1000; keep that for anything you take to the machine)
    """

    store: Store = None
    samples: Annotated[int, whole(0, 100_000)] = USUAL_DRAWS
    inches: Inches = False

    @property
    def system(self) -> str:
        """The system in which lengths are shown."""
        return "in" if self.inches else "mm"

    @property
    def profiles(self) -> Path:
        """Where profiles and readings are."""
        return store_of(self.store)

    @property
    def folders(self) -> Folders:
        """Where profiles and machines are."""
        return Folders(self.profiles, self.folder)


HERE: Final = Where()
ON: Final[Machine] = Machine()
AS_DRAWN: Final = OtherArtwork()
TO_OUTPUT: Final = PaperTo()


def store_of(store: Path | None) -> Path:
    """Where profiles and readings are."""
    return core.shipped.profile_folder(_folder(store, "--store"))


def _folder(path: Path | None, option: str) -> str | None:
    """A folder's name, which need not be there yet; raises FileTrouble where it is a file."""
    if path is not None and is_there(path) and not is_folder(path):
        raise FileTrouble(f"{brief(path, 80)} is no folder: name one after {option}")
    return str(path) if path else None
