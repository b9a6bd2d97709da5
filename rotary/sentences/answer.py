"""The short answer of `rotary plan`: forty plain lines at most, verdict first, to be searched and copied."""

import math
import shlex
from collections.abc import Iterable, Sequence
from typing import Final

from rotary.actions.models import Actions, Deed

MOST_LINES: Final = 40

_DOES: Final[dict[Deed, str]] = {
    "edit": "rotary open JOB",
    "laser": "rotary open JOB",
    "tests": "rotary print tests JOB",
    "patch": "rotary patch new JOB",
    "depth": "rotary depth plan JOB",
    "program": "rotary machine record program",
    "write_file": "rotary art slice JOB --to .",
    "write_slices": "rotary art slice JOB --files --to slices",
    "print": "rotary print setup JOB --to setup.pdf",
    "seam_test": "rotary print seam-test JOB --to seams",
    "compare": "rotary profile repeat NAME --anew",
    "suggest": "rotary plan JOB --suggestions",
}
"""What the command line has for each step."""


def answer(actions: Actions, about: Sequence[str], job: str = "JOB") -> list[str]:
    """How the job stands, what to do next, what forbids the start; then what is done, in order.

    `actions` have their words. `about` is the item in a line, how large its artwork is, why there are no passes; `job`
    what the person calls the job.
    """
    job = shlex.quote(job)
    first = [actions.verdict.text, *about, *_steps(actions, job), *_cautions(actions)]
    rows = [
        *_line("IMPORT", (row.text for row in actions.to_import)),
        *(f"TYPE {place}: {row.text}" for place, row in enumerate(actions.type, 1)),
        *_listed("BY HAND", [row.text for row in actions.by_hand], 7),
        *_line("CHECK", (row.text for row in actions.check)),
    ]
    last = [f"TIME: {actions.time.text}"] if actions.time is not None else []
    last += [f"For all cautions with boxes to tick: rotary print setup {job}"]
    before = [line for line in first if line]
    room = MOST_LINES - len(before) - len(rows) - len(last)
    return [*before, *rows, *_listed("RUN", actions.run.texts if actions.type else (), max(room, 1)), *last]


def _steps(actions: Actions, job: str) -> list[str]:
    is_flat = any(".svg" in name and "-flat" in name for name in (actions.run.files.whole,))
    does = {**_DOES, "write_file": "rotary art flat JOB --to ."} if is_flat else _DOES
    return [f"NEXT: {step.text} ({does[step.does].replace('JOB', job)})" for step in actions.steps]


def _cautions(actions: Actions) -> list[str]:
    """What forbids the start, and the eyewear."""
    stops = [f"STOP: {one.short}" for one in actions.cautions if one.level == "stop"]
    return [*stops, *(f"! {one.short}" for one in actions.cautions if one.id.startswith("eyewear"))]


def _line(name: str, texts: Iterable[str]) -> list[str]:
    whole = " ".join(texts)
    return [f"{name}: {whole}"] if whole else []


def _listed(name: str, texts: Sequence[str], most: int) -> list[str]:
    """Texts on at most so many lines: one each, or as many together as it takes."""
    together = math.ceil(len(texts) / most) if texts else 1
    parts = [" ".join(texts[start : start + together]) for start in range(0, len(texts), together)]
    return [f"{name} {place}: {text}" for place, text in enumerate(parts, 1)]
