"""The command line: the headless front end.

::

    rotary        open   plan   print   art   inscribe   patch   depth   machine   profile   log   resume   job

Only the words and their help are imported at once; each word's module is loaded when it is typed, and each command
imports its own when it runs.
"""

import os
import sys
from collections.abc import Sequence
from contextlib import nullcontext
from typing import Final

from rotary.cli import output
from rotary.cli.fronts import NO_FRONTS, Fronts, fronts
from rotary.cli.words import ALONE, EVERYWHERE, OLD_TOO, RENAMED, WORDS, renamed, tree
from rotary.errors import BadArgument, FileTrouble, Refused, RotaryError, Taken, UnknownName, brief, listing
from rotary.files import DryRun, Habits, habits

REPORT: Final = (
    "This is a fault in rotary. Your job is unharmed. Send this message and the job file to whoever gave you rotary. "
    "For more details first type: export ROTARY_DEBUG=1 (on Windows: set ROTARY_DEBUG=1). Then run the command again."
)


def main(arguments: Sequence[str] | None = None, front_ends: Fronts = NO_FRONTS) -> int:
    """Run one command, which may open one of `front_ends`; returns its exit code.

    Nothing escapes but what ROTARY_DEBUG lets through.
    """
    for stream in (sys.stdout, sys.stderr):
        # A terminal with few letters shows a question mark rather than an error.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    words = [*(sys.argv[1:] if arguments is None else arguments)]
    fronts.set(front_ends)
    try:
        return _run(words)
    except BrokenPipeError:
        output.drop_output()
        return output.OK
    except KeyboardInterrupt:
        return _stopped()
    except SystemExit as leave:
        return leave.code if isinstance(leave.code, int) else output.USAGE
    except Exception as trouble:
        # While Python makes a class, or leaves a block, Ctrl+C comes as another error that it caused.
        if isinstance(trouble.__cause__ or trouble.__context__, KeyboardInterrupt):
            return _stopped()
        # The last resort: nobody at a machine should meet a traceback.
        if os.environ.get("ROTARY_DEBUG"):
            raise
        return _explained(_clearer(trouble, words))


def _stopped() -> int:
    output.complain("stopped")
    return output.STOPPED


def _run(words: list[str]) -> int:
    """Run what was typed, in today's words or in those of earlier versions."""
    new = None
    if words and words[0] not in WORDS.keys() - OLD_TOO:
        from rotary.cli.old_words import in_new_words

        new = in_new_words(words)
    if new is not None:
        import shlex

        forms = [f"rotary {shlex.join(line)}" for line in new]
        output.complain(f"this is an old command: from now on type {listing(forms, 'then')}")
    return max(_with_habits(line, asks=new is None) for line in ([words] if new is None else new))


def _with_habits(words: list[str], asks: bool) -> int:
    """Run a command as is said anywhere in it; where something stands in its way, and a person can be asked, ask."""
    end = words.index("--") if "--" in words else len(words)
    asked = {*words[:end]} & {*EVERYWHERE}
    rest = renamed([*(word for word in words[:end] if word not in EVERYWHERE), *words[end:]], RENAMED)
    output.quiet.set(not asked.isdisjoint(("-q", "--quiet")))
    output.said_yes.set(not asked.isdisjoint(("-y", "--yes")))
    with habits(Habits("--dry-run" in asked, asks)):
        try:
            return _called(rest)
        except Taken as taken:
            if output.said_yes.get() or not _agreed(taken):
                raise
            output.said_yes.set(True)
            return _called(rest)


def _called(words: list[str]) -> int:
    from cyclopts import CycloptsError

    if not words:
        from rotary.cli.open_command import start

        return start()
    if words[0] == "help":
        words = [*words[1:], "--help"]
    app = tree()
    if len(words) == 1 and words[0] in WORDS and any(not name.startswith("-") for name in app[words[0]]):
        words = [*words, "--help"]
    if not {"--help", "-h"}.isdisjoint(words[: words.index("--") if "--" in words else None]):
        # Straight to the page: nothing else of the line has to be read for it.
        from rotary.cli.help_text import help_page

        return output.say(help_page(app, [word for word in words[:2] if word in ALONE or not word.startswith("-")]))
    try:
        command, bound, _ = app.parse_args(words)
        bound.apply_defaults()
        # What is refused where no job is read was typed.
        reads_job = "job" in bound.arguments or hasattr(bound.arguments.get("where"), "samples")
        with nullcontext() if reads_job else output.typed():
            return int(command(*bound.args, **bound.kwargs) or output.OK)
    except DryRun as done:
        return output.say(f"{done}\n")
    except CycloptsError as mistake:
        from rotary.cli.mistakes import sentence

        output.complain(sentence(mistake, words))
        return output.USAGE


def _agreed(taken: Taken) -> bool:
    """Whether the person says, at a terminal, that what stands there may go."""
    if not all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stderr)):
        return False
    print(f"rotary: {taken}. Replace {taken.what}? [y/N] ", end="", file=sys.stderr, flush=True)
    return sys.stdin.readline().strip().casefold() in ("y", "yes")


def _clearer(trouble: Exception, words: Sequence[str]) -> Exception:
    """The same trouble; where it comes of signs that can't be read, or of a folder that is gone, that."""
    if not isinstance(trouble, RotaryError) and any("\udc80" <= sign <= "\udcff" for sign in "".join(words)):
        return BadArgument("rotary can't read all signs that you typed: use plain letters")
    if isinstance(trouble, FileNotFoundError) and trouble.filename is None:
        # Only the folder that one is in has no name.
        return FileTrouble("the folder that you are in was deleted: change to another folder")
    return trouble


def _explained(trouble: Exception) -> int:
    """Say what went wrong, each fault in a line; the exit code of its kind."""
    if not isinstance(trouble, RotaryError):
        output.complain(f"{type(trouble).__name__}: {brief(str(trouble), 200)}")
        output.complain(REPORT)
        return output.BROKEN
    for line in trouble.faults if isinstance(trouble, Refused) else [trouble]:
        output.complain(f"{line}, or add --yes to replace {trouble.what}" if isinstance(trouble, Taken) else str(line))
    if isinstance(trouble, Refused):
        return output.REFUSED
    return output.USAGE if isinstance(trouble, BadArgument | UnknownName) else output.FILE_TROUBLE
