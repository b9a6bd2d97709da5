"""What the screen of papers asks for, and how its answers read. No terminal in here; no core is loaded."""

from dataclasses import dataclass, field
from pathlib import Path
from types import SimpleNamespace
from typing import Final, TypeVar

from rotary.files import named_path
from rotary.services.papers import ENDINGS_OF, PaperName, usual_name
from tui.widgets.editor import Editor

KINDS: Final = {
    ".pdf": "PDF, to print", ".html": "HTML, for a tablet", ".txt": "plain text", ".svg": "SVG, a drawing at true size",
    ".json": "JSON, for other programs", ".png": "PNG, to send",
}  # fmt: skip

ABOUT: Final[dict[PaperName, str]] = {
    "setup": "Everything that you do at the machine, step by step, on one page.",
    "patch": "Cells to mark, with a place to write what you see. If you print it again, you get the same patch.",
    "gap-ladder": "Pairs of areas to mark on scrap. They show you how wide a gap at a seam can be before you see it.",
    "tests": "Machine tests to mark on paper tape, how to read them, and a place to write what you read.",
    "seam-test": "A few slices to mark on paper tape. They show you by how much your seams are off, and to which side.",
    "template": "A paper pattern to tape round the item. Print it at 100 %, never scaled.",
    "sliced-file": "The artwork drawn slice by slice, to import into your marking program.",
    "front": "A drawing of the marked item, to show a customer before you mark it. It is not a photograph.",
}

N = TypeVar("N", bound=str)

ROWS: Final = ("paper", "kind", "size", "file")
SIZES: Final = ("A4", "Letter")


@dataclass
class PrintChoice:
    """Which paper, as what, on which sheet, into which file; the name follows the choices until it is typed in."""

    item: str
    size: str
    beside: Path = field(default_factory=Path.cwd)
    paper: PaperName = "setup"
    kind: str = ".pdf"
    row: int = 0
    named: bool = False
    file: Editor = field(default_factory=Editor)

    def __post_init__(self) -> None:
        self._name_it()

    @property
    def path(self) -> Path:
        """The file; a name without a folder lies beside the job."""
        return (self.beside / named_path(self.file.text.strip())).absolute()

    def move(self, by: int) -> None:
        """To another row."""
        self.row = (self.row + by) % len(ROWS)

    def choose(self, by: int) -> None:
        """Another value in a row of choices."""
        name = ROWS[self.row]
        if name == "paper":
            self.paper = _next(tuple(ENDINGS_OF), self.paper, by)
            self.kind = self.kind if self.kind in ENDINGS_OF[self.paper] else ENDINGS_OF[self.paper][0]
        elif name == "kind":
            self.kind = _next(ENDINGS_OF[self.paper], self.kind, by)
        elif name == "size":
            self.size = _next(SIZES, self.size, by)
        self._name_it()

    def typed(self) -> None:
        """The name was changed by hand: its ending chooses the kind where this paper is written so."""
        self.named = True
        ending = Path(self.file.text.strip()).suffix.lower()
        if ending in ENDINGS_OF[self.paper]:
            self.kind = ending

    def _name_it(self) -> None:
        """A name that follows the choices; one typed by hand changes its ending only."""
        if self.named:
            name = self.file.text.strip()
            if Path(name).suffix.lower() in KINDS:
                self.file = Editor.of(str(Path(name).with_suffix(self.kind)))
            return
        self.file = Editor.of(usual_name(self.paper, self.item, self.kind))

    def trouble(self) -> str:
        """Why nothing can be written so; empty where it can."""
        if not self.file.text.strip():
            return "Type a file name, like setup.pdf."
        ending = Path(self.file.text.strip()).suffix.lower()
        if ending not in ENDINGS_OF[self.paper]:
            kinds = " or ".join(ENDINGS_OF[self.paper])
            return f"Type a file name that ends with {kinds}."
        return ""


def _next(options: tuple[N, ...], now: N, by: int) -> N:
    return options[(options.index(now) + by) % len(options)]


def outcome_text(answer: SimpleNamespace) -> tuple[str, ...]:
    """What was written and where, then what is to be said of it."""
    return (*(f"Written: {path}" for path in answer.paths), *answer.says)
