"""The other process: it loads the core, answers requests, and ends when nobody can ask any more."""

import gc
import io
import pickle
import traceback
from types import SimpleNamespace
from typing import Any

from tui.background.worker import serve
from tui.planner.client import WORKED_OUT
from tui.planner.request import Request, Verdict
from tui.planner.verdict import judge, load


class Plain(pickle.Pickler):
    """Pickles a plan as names and values, which whoever reads them can do without the core's own classes."""

    def reducer_override(self, thing: Any) -> Any:
        """A model as a bag of its fields and of what it works out of them, an array as a tuple."""
        if hasattr(type(thing), "model_fields"):
            works_out = [name for name, what in vars(type(thing)).items() if isinstance(what, property)]
            if not works_out:
                return SimpleNamespace, (), vars(thing)
            more = {name: getattr(thing, name) for name in works_out}
            return SimpleNamespace, (), vars(thing) | more | {WORKED_OUT: tuple(more)}
        if hasattr(thing, "tolist"):
            listed = thing.tolist()
            return (tuple, (listed,)) if isinstance(listed, list) else (type(listed), (listed,))
        return NotImplemented


def plain(verdict: Verdict) -> bytes:
    """A verdict as bytes that need no core to be read."""
    bug = None if verdict.bug is None else RuntimeError("".join(traceback.format_exception(verdict.bug)))
    return plain_bytes(verdict._replace(job=None, bug=bug))


def plain_bytes(thing: Any) -> bytes:
    """Anything as bytes that need no core to be read."""
    buffer = io.BytesIO()
    Plain(buffer, 5).dump(thing)
    return buffer.getvalue()


def answer(request: Request, _tell: object) -> bytes:
    """The verdict on a request; from the first one on, garbage is collected again."""
    verdict = plain(judge(request))
    if not gc.isenabled():
        gc.freeze()
        gc.enable()
    return verdict


if __name__ == "__main__":
    # Collecting garbage while the libraries are being loaded only costs time.
    gc.disable()
    serve(answer, load)
