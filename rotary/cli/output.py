"""What the command line says and writes: answers, reports, complaints, what was mistyped, what is waited for."""

import os
import signal
import sys
import threading
import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TextIO, TypeVar

from rotary.cli import core
from rotary.errors import BadArgument, Fault, FileTrouble, NoPlan, Refused, brief, fault_line, single_line

if TYPE_CHECKING:
    W = TypeVar("W", bound=core.model.Model)

OK, BROKEN, USAGE, REFUSED, FILE_TROUBLE, NO_PASSES, STOPPED = 0, 1, 2, 3, 4, 5, 130

EXIT_CODES: Final = {
    OK: "done",
    BROKEN: "a fault in rotary itself",
    USAGE: "a word or option that can't be used",
    REFUSED: "a job that can't be planned",
    FILE_TROUBLE: "a file or folder that can't be read or written",
    NO_PASSES: "a plan without passes, because rotary found none that work",
    STOPPED: "stopped by Ctrl+C",
}

MOST_FAULTS: Final = 4
"""So many faults of what was typed are said in one sentence."""

_SAY_ENOUGH: Final = {"machine", "name", "strike", "as", "what", "level", "level.rim_end", "number", "reading", "patch"}
"""Fields whose sentences need no name before them."""

PATIENCE_S: Final = 1.0
"""Nobody needs to be told of what takes less."""

BETWEEN_S: Final = 0.25
ERASE: Final = "\r\x1b[K"

quiet: ContextVar[bool] = ContextVar("quiet", default=False)
"""Whether only what was asked for is printed: no reports of what was written, no hints."""

said_yes: ContextVar[bool] = ContextVar("said_yes", default=False)
"""Whether what stands there may be replaced."""


IN_A_FILE: Final = {
    '"on a taper"': '"on a taper" (surface_map)',
    '"full wrap"': '"full wrap" (full_wrap)',
    '"dark share"': '"dark share" (artwork.ink)',
    '"lens away" (under fixed settings)': '"lens away" (passes.defocus)',
    "beam angle (under tolerances)": "beam angle (tolerances.incidence)",
    "range of energy (under tolerances)": "range of energy (tolerances.fluence_low, tolerances.fluence_high)",
    '"dark below"': '"dark below" (dark_below)',
    '"close gaps"': '"close gaps" (close_gaps)',
    "off the axis still is (under turning)": "off the axis still is (turning.offset, turning.skew)",
    "enter it (under coating)": "enter it (item.coating_thickness)",
    "enter it (under laser and lens)": "enter it (laser.spot)",
    "without a rest (under tolerances)": "without a rest (tolerances.slice_width)",
    "set the lens, on 19 of 20 items (under tolerances)": "set the lens, on 19 of 20 items (tolerances.focus)",
    'ticks under "full-turn ticks"': 'ticks under "full-turn ticks" (turning.ticks)',
    "apex levelled": "apex levelled (turning.levelled)",
    '"apex levelled (turning.levelled)"': '"apex levelled" (turning.levelled)',
}
"""Fields of the screen, as sentences have them, each with its name in a job file."""


def for_a_file(line: str) -> str:
    """A sentence for the command line, where people write job files.

    >>> for_a_file('enter a larger "lens away" (under fixed settings)')
    'enter a larger "lens away" (passes.defocus)'
    """
    for on_screen, both in IN_A_FILE.items():
        line = line.replace(on_screen, both)
    return line


def complain(text: str) -> None:
    """One line on the error output."""
    if sys.stderr is not None:
        with suppress(OSError, ValueError):
            print(f"rotary: {single_line(for_a_file(text))}", file=sys.stderr)


def say(answer: str | Iterable[str]) -> int:
    """Write a text, or lines of printable signs, at once; the exit code. Raises FileTrouble where nothing is taken."""
    if sys.stdout is None:
        raise FileTrouble("rotary can't print here: add --to FILE to get the answer as a file")
    try:
        sys.stdout.write(text_of(answer))
        sys.stdout.flush()
    except BrokenPipeError:
        raise
    except OSError as trouble:
        drop_output()
        raise FileTrouble(f"rotary can't write its output ({trouble.strerror}): choose another file or disk") from None
    return OK


def text_of(answer: str | Iterable[str]) -> str:
    """A text as it is, or lines of printable signs."""
    if isinstance(answer, str):
        return answer
    return "".join(f"{single_line(for_a_file(line)).rstrip()}\n" for line in answer)


def json_text(data: object) -> str:
    """An answer as JSON."""
    import json

    if hasattr(data, "model_dump_json"):
        return f"{data.model_dump_json(indent=2)}\n"

    def plain(one: Any) -> Any:
        return one.model_dump(mode="json") if hasattr(one, "model_dump") else str(one)

    return json.dumps(data, indent=2, ensure_ascii=False, default=plain) + "\n"


def answer(
    json: bool, data: object, lines: str | Iterable[str], to: Path | None = None, sources: Iterable[Path] = ()
) -> int:
    """An answer as JSON or as lines, to the output or to a file, where lines end with whose they are; the exit code."""
    text = json_text(data) if json else text_of(lines)
    if to is None:
        return say(text)
    return report(write(to, text if json else f"{text}({core.outfiles.MADE_BY})\n", sources))


def report(lines: Iterable[str]) -> int:
    """What was done, which -q leaves out; the exit code."""
    return OK if quiet.get() else say(lines)


def drop_output() -> None:
    """Point the output at nothing, so that the interpreter's last flush has nothing to complain of."""
    with suppress(OSError, ValueError, AttributeError):
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, sys.stdout.fileno())
        os.close(nothing)


def wrote(paths: Iterable[Path]) -> list[str]:
    """Lines that name what was written."""
    return [f"wrote {brief(path, 200)}" for path in paths]


def report_files(title: str, paths: Iterable[Path], says: Iterable[str]) -> int:
    """What was written, and what is to be said of it; the exit code."""
    files = [title, *(f"  {line}" for line in wrote(paths))] if title else wrote(paths)
    return report([*files, *(f"  - {line}" for line in says)])


def report_saved(saved: "core.stored_profiles.Saved", done: str) -> int:
    """Say which version was saved; the exit code."""
    if saved.conflict:
        complain(f"{saved.conflict} (rotary profile compare, rotary profile resolve)")
    return report([f"{done} {saved.name}, version {saved.label}: {saved.path}"])


@contextmanager
def typed(options: Mapping[str, str] | None = None) -> Iterator[None]:
    """What is refused in the block was typed behind the command: it is no fault of a job.

    Where `options` are given, only what is refused of these fields, each said by what was typed for it.
    """
    try:
        yield
    except NoPlan:
        raise
    except Refused as refused:
        faults = refused.faults
        if options is not None:
            fields = [".".join(part for part in one.where.split(".") if not part.isdecimal()) for one in faults]
            if not options.keys() >= {*fields}:
                raise
            faults = tuple(Fault(options[field], one.says) for field, one in zip(fields, faults, strict=True))
        faults = tuple(one._replace(where="") if one.where in _SAY_ENOUGH else one for one in faults)
        more = [f"and {len(faults) - MOST_FAULTS} more faults"] if len(faults) > MOST_FAULTS else []
        # What was typed stands as it was typed: a file's name has no rows to count.
        said = [fault_line(one.where, one.says) if options and one.where else str(one) for one in faults[:MOST_FAULTS]]
        raise BadArgument("; ".join([*said, *more])) from None


def wish_of(model: "type[W]", given: Mapping[str, Any], fields: Mapping[str, str] | None = None) -> "W":
    """What options ask for, with lengths as texts; raises BadArgument with every fault, each by its option.

    `fields` are those that have another name than the option that fills them.
    """
    field_of = {name: name for name in given} | dict(fields or {})
    options = {field: f"--{option.replace('_', '-')}" for option, field in field_of.items()}
    try:
        return core.faults.model_from_texts(
            model, {field_of[name]: one for name, one in given.items() if one is not None}
        )
    except Refused as refused:
        says = [f"{options.get(one.where) or '--' + one.where.replace('_', '-')} {one.says}" for one in refused.faults]
        raise BadArgument("; ".join(says)) from None


def write(to: Path, data: str | bytes, sources: Iterable[Path]) -> list[str]:
    """Write a file that was asked for, never over what it is made from; the lines that say so."""
    core.outfiles.write_file(to, data if isinstance(data, bytes) else data.encode("utf-8"), sources, said_yes.get())
    return wrote([to])


def refuse_file(to: Path | None, sources: Iterable[Path], kind_of: "Callable[[Path], str] | None" = None) -> None:
    """Raise FileTrouble or BadArgument where the file asked for can't be written, before anything is planned.

    `kind_of` raises where its name doesn't say what kind of file it is.
    """
    if to is None:
        return
    if kind_of is not None:
        kind_of(to)
    core.outfiles.refuse_file(to, sources, said_yes.get())


def refuse_svg(to: Path | None, sources: Iterable[Path]) -> None:
    """As `refuse_file`, of what is drawn as SVG."""
    refuse_file(to, sources, lambda path: core.formats.ending_of(path, (".svg",)))


def refuse_folder(to: Path | None) -> None:
    """Raise FileTrouble where the folder asked for can't be."""
    if to is not None:
        core.outfiles.refuse_folder(to)


def refuse_paper_name(to: Path | None, instead: str) -> None:
    """Raise BadArgument where a text is asked for under the name of a paper or a drawing."""
    if to is not None and to.suffix.lower() in (".pdf", ".html", ".htm", ".svg", ".png", ".dxf"):
        raise BadArgument(f"{brief(to.name, 60)} is the name of a paper or drawing: {instead}")


def refuse_two_forms(json: bool, plain: bool) -> None:
    """Raise BadArgument where an answer is wanted in two forms."""
    if json and plain:
        raise BadArgument("--json and --plain can't be used together: leave one out")


def verdict(plan: "core.plan.Plan") -> int:
    """The exit code of a plan; why there are no passes goes to the error output."""
    if plan.removal.setting is not None:
        return OK
    complain(core.passes.first_line(plan))
    return NO_PASSES


@contextmanager
def waiting(what: str, out: TextIO | None = None) -> Iterator[Callable[[float], None]]:
    """While the block runs longer than `PATIENCE_S`, show `what`; the callable given takes the share that is done.

    It is shown on a terminal only, goes away when the work is done, and Ctrl+C stops the work at any time.

    >>> with waiting("drawing the sheet") as tell:
    ...     tell(0.5)
    """
    out = sys.stderr if out is None else out
    share, done = deque[float](maxlen=1), threading.Event()
    if out is None or not out.isatty():
        yield share.append
        return
    watcher = threading.Thread(target=_watch, args=(what, out, share, done), daemon=True)
    watcher.start()
    try:
        with _heard() as stop:

            def tell(far: float) -> None:
                share.append(far)
                stop()

            yield tell
            stop()
    finally:
        done.set()
        watcher.join()


@contextmanager
def _heard() -> Iterator[Callable[[], None]]:
    """Ctrl+C stops at once. Libraries swallow it now and then, and Python where it can raise nothing: the callable
    given stops then."""
    pressed = threading.Event()

    def stop() -> None:
        if pressed.is_set():
            raise KeyboardInterrupt

    def press(_number: int, _frame: object) -> None:
        pressed.set()
        stop()

    before = signal.signal(signal.SIGINT, press)
    try:
        yield stop
    finally:
        signal.signal(signal.SIGINT, before)


def _watch(what: str, out: TextIO, share: deque[float], done: threading.Event) -> None:
    """Wait a second in silence, then show the line anew until the work is done, and wipe it."""
    start, wait_s, erase = time.monotonic(), PATIENCE_S, ""
    with suppress(OSError, ValueError):
        while not done.wait(wait_s):
            # Looked at in one step: the work tells its share at any moment.
            far = "".join(f" {100 * min(max(one, 0.0), 1.0):3.0f} %" for one in [*share])
            out.write(f"{ERASE}{what} ...{far} {time.monotonic() - start:.0f} s (Ctrl+C stops it)")
            out.flush()
            wait_s, erase = BETWEEN_S, ERASE
        out.write(erase)
        out.flush()
