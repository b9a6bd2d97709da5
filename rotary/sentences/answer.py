"""The short answer of `rotary plan`: plain lines, verdict first, one order each, to be searched and copied."""

import shlex
from collections.abc import Iterable, Sequence
from typing import Final

from rotary.actions.models import Actions, Deed
from rotary.sentences.run_texts import run_parts

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
    texts = actions.run.texts if actions.type else ()
    before = len(run_parts(actions).before)
    # What the import must show is not checked a second time.
    shown = [row.text for row in actions.to_import]
    rows = [
        *_listed("IMPORT", shown),
        *_listed("TYPE", [row.text for row in actions.type]),
        *_listed("BY HAND", [*texts[:before], *(row.text for row in actions.by_hand)]),
        *_listed("CHECK", [row.text for row in actions.check if row.text not in shown]),
        *_listed("RUN", texts[before:]),
    ]
    last = [f"TIME: {actions.time.text}"] if actions.time is not None else []
    last += [f"To print all cautions, with boxes to tick: rotary print setup {job}"]
    return [line for line in (*first, *rows, *last) if line]


def _steps(actions: Actions, job: str) -> list[str]:
    is_flat = any(".svg" in name and "-flat" in name for name in (actions.run.files.whole,))
    does = {**_DOES, "write_file": "rotary art flat JOB --to ."} if is_flat else _DOES
    return [f"NEXT: {step.text} ({does[step.does].replace('JOB', job)})" for step in actions.steps]


def _cautions(actions: Actions) -> list[str]:
    """What forbids the start, and the eyewear."""
    stops = [f"STOP: {one.short}" for one in actions.cautions if one.level == "stop"]
    return [*stops, *(f"! {one.short}" for one in actions.cautions if one.id.startswith("eyewear"))]


def _listed(name: str, texts: Iterable[str]) -> list[str]:
    return [f"{name} {place}: {text}" for place, text in enumerate(texts, 1)]
