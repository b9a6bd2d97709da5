"""Every file is read in one place, which refuses what never ends: nothing else opens files to read them."""

import ast
from pathlib import Path
from typing import Final

from tests.house.sources import tree_of

ROOT = Path(__file__).resolve().parents[2]

READERS: Final = {
    "read_bytes",
    "read_text",
    "open",
    "fdopen",
    "fromfile",
    "loadtxt",
    "genfromtxt",
    "imread",
    "readfile",
}
"""Calls that read a file by its name, in whichever library."""

ALLOWED: Final = {
    ("rotary/files.py", "os.fdopen"): "the one place",
    ("rotary/files.py", "os.open"): "the one place, and writing",
    ("rotary/files.py", "path.open"): "flushes what was just written, in a folder of ours that nobody knows of yet",
    ("rotary/shipped.py", "read_text"): "reference data of the package itself",
    ("rotary/papers/letters.py", "read_bytes"): "the font that is installed with the tool",
    ("rotary/papers/html.py", "read_text"): "style and script of the package itself",
    ("rotary/artwork/line_letters.py", "read_text"): "strokes that come with the tool",
    ("rotary/artwork/sets.py", "os.open"): "a folder, to lock it; nothing of it is read",
    ("rotary/cli/core.py", "read_text"): "its own imports",
    ("rotary/cli/output.py", "os.open"): "the null device, when the output is closed",
    ("rotary/lock.py", "os.open"): "the file of a lock, which stays empty",
    ("rotary/artwork/raster_read.py", "Image.open"): "is handed a file that was opened by the one place",
    ("rotary/papers/dots.py", "Image.open"): "dots in memory that were drawn a line before",
    ("rotary/sheet/dots_reread.py", "Image.open"): "is handed a file that was opened by the one place",
    ("rotary/store/transfer.py", "archive.open"): "an entry of an archive in memory, read up to a limit",
    ("tui/disk/drafts.py", "path.open"): "the file of a lock, which stays empty",
    ("tui/browser/server.py", "read_bytes"): "pages of the package itself",
    ("tui/browser/server.py", "read_text"): "pages of the package itself",
    ("tui/background/worker.py", "os.fdopen"): "the pipe to the process that started this one",
    ("tui/form/job_form.py", "self.open"): "a job's tables, no file",
    ("tui/job_files.py", "self.open"): "a job's tables, no file",
    ("tui/job_files.py", "self.session.open"): "a job's tables, no file",
}


def calls(path: Path) -> set[str]:
    """The calls in a file that may open another, as they are written there."""
    found = set()
    for node in ast.walk(tree_of(path)):
        if not isinstance(node, ast.Call):
            continue
        called = node.func
        name = called.attr if isinstance(called, ast.Attribute) else getattr(called, "id", "")
        if name in READERS:
            whole = ast.unparse(called)
            found.add(whole if whole.isidentifier() or whole.replace(".", "").isidentifier() else name)
    return found


def test_every_file_is_opened_in_one_place() -> None:
    """Who reads a file that a person names goes by rotary.files; each other call is listed with its reason."""
    stray, used = [], set()
    for path in sorted(p for folder in ("rotary", "tui") for p in (ROOT / folder).rglob("*.py")):
        where = path.relative_to(ROOT).as_posix()
        for call in calls(path):
            place = next((key for key in ((where, call), (where, call.rpartition(".")[2])) if key in ALLOWED), None)
            used.add(place)
            if place is None:
                stray.append(f"{where}: {call}")
    assert not stray
    assert not ALLOWED.keys() - used, "a reason that nothing needs any more"
