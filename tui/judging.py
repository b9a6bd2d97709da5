"""The other process: it loads the core, answers requests, and ends when nobody can ask any more."""

import gc
import io
import os
import pickle
import signal
import sys
import traceback
from types import SimpleNamespace
from typing import Any

from tui.apart import receive, send
from tui.verdict import Verdict, judge, load


class Plain(pickle.Pickler):
    """Pickles a plan as names and values, which whoever reads them can do without the core's own classes."""

    def reducer_override(self, thing: Any) -> Any:
        """A model as a bag of its fields, an array as a tuple."""
        if hasattr(type(thing), "model_fields"):
            return SimpleNamespace, (), vars(thing)
        if hasattr(thing, "tolist"):
            listed = thing.tolist()
            return (tuple, (listed,)) if isinstance(listed, list) else (type(listed), (listed,))
        return NotImplemented


def plain(verdict: Verdict) -> bytes:
    """A verdict as bytes that need no core to be read."""
    bug = None if verdict.bug is None else RuntimeError("".join(traceback.format_exception(verdict.bug)))
    return plain_bytes(Verdict(verdict.number, verdict.plan, None, verdict.faults, bug, verdict.rig, verdict.repeat))


def plain_bytes(thing: Any) -> bytes:
    """Anything as bytes that need no core to be read."""
    buffer = io.BytesIO()
    Plain(buffer, 5).dump(thing)
    return buffer.getvalue()


def main() -> None:
    """Answer until the input ends."""
    # Ctrl+C in the terminal is a key of the screen, not the end of the core.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # Whatever anything prints must not get between the answers.
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    load()
    while True:
        try:
            request = pickle.loads(receive(sys.stdin.buffer))
            send(answers, plain(judge(request)))
        except (EOFError, OSError):
            return
        if not gc.isenabled():
            gc.freeze()
            gc.enable()


if __name__ == "__main__":
    # Collecting garbage while the libraries are being loaded only costs time.
    gc.disable()
    main()
