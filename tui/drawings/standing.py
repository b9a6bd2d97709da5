"""How the job stands: the verdict, or what is missing, and what to do next with its key. Always in sight."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Final

from rotary.examples import state_words
from tui.drawings.canvas import Line, Run, cells, fitted
from tui.drawings.words import sentence, wrapped

if TYPE_CHECKING:
    from rotary.actions.models import Actions, Deed, Step, Verdict

INKS: Final = {"not ready": "bad", "test first": "warn", "ready": "good", "proven": "good"}

KEYS: "Final[dict[Deed, tuple[str, str]]]" = {
    "edit": ("Enter", "screen.next_missing"),
    "laser": ("Enter", "screen.next_missing"),
    "tests": ("Ctrl+R", "app.machine"),
    "program": ("Ctrl+R", "app.machine"),
    "seam_test": ("Ctrl+R", "app.machine"),
    "patch": ("Ctrl+T", "app.patch"),
    "suggest": ("Ctrl+T", "app.patch"),
    "depth": ("Ctrl+B", "app.inscription"),
    "write_file": ("F5", "screen.write_files"),
    "write_slices": ("F5", "screen.write_files"),
    "print": ("Ctrl+K", "app.papers"),
    "compare": ("Ctrl+O", "app.profiles"),
}
"""The key that does a step, and the action of a click on it."""

AFTER: Final = {
    "files": ("Files written. Next: print the setup sheet.", "Ctrl+K", "app.papers"),
    "sheet": ("Setup sheet written. Next: save the job, then mark by the sheet.", "Ctrl+S", "app.save"),
    "saved": ("Setup sheet written. Next: mark by the sheet, then say how it went.", "F8", "app.how_it_went"),
}
"""What comes next after what was done last, with the key that does it and the action of a click."""

ENTER: Final = ("Enter", "screen.next_missing")
MOST_NAMED: Final = 4


def standing_lines(
    actions: "Actions | None",
    missing: Sequence[str],
    wrong: str,
    notes: Sequence[str],
    stale: bool,
    width: int,
    height: int,
    after: str = "",
) -> list[Line]:
    """The lines, at most `height` of them; `missing` names what is to be filled in, `wrong` is what can't be, `notes`
    come after the verdict, and `after` is what was done last, by its name in `AFTER`."""
    lines: list[Line] = []
    if wrong:
        says = "OLD NUMBERS. " if actions is not None else "NOT READY. "
        lines += _with_key(f"{says}{sentence(wrong)}", "bad", ENTER, width)
        if missing and (actions is None or stale):
            lines += wrapped(f"Also missing: {_some(missing)}.", width - 1, "muted", " ")
    elif missing and (actions is None or stale):
        says = "NOT READY. No numbers yet." if actions is None else "OLD NUMBERS."
        lines += _with_key(f"{says} Missing: {_some(missing)}.", "bad", ENTER, width)
    elif stale:
        lines += [[Run(fitted(" OLD NUMBERS. The new numbers are being worked out.", width), "bad")]]
    if actions is None or stale:
        return lines[:height]
    lines += _verdict(actions, width)
    lines += [line for note in notes for line in wrapped(sentence(note), width - 1, "warn", " ")]
    lines += _with_key(f"Missing: {_some(missing)}.", "warn", ENTER, width) if missing and not wrong else []
    lines += _after(after, width)
    for step in _steps(actions, after):
        fresh = _step(step, width)
        if len(lines) + len(fresh) <= height and not (missing and step.where):
            lines += fresh
    return lines[:height]


def short_standing(actions: "Actions | None", stale: bool) -> Line:
    """How the job stands, in a word or two."""
    if actions is None or stale:
        return [Run(f" {'NOT READY' if actions is None else 'OLD NUMBERS'} ", "bad")]
    verdict = actions.verdict
    return [Run(f" {state_words(verdict.state, verdict.example)} ", _ink(verdict))]


def deed_of(actions: "Actions | None", action: str) -> str:
    """What the first step does that the key of this action does; nothing where no step has it."""
    steps = actions.steps if actions is not None else ()
    return next((step.does for step in steps if _key(step)[1] == action), "")


def lines_needed(actions: "Actions | None", width: int, after: str = "") -> int:
    """How many lines the verdict, what comes next after what was done last, and the first step take."""
    if actions is None:
        return 1
    first = [line for step in _steps(actions, after)[:1] for line in _step(step, width)]
    return len(_verdict(actions, width)) + len(_after(after, width)) + len(first)


def _some(names: Sequence[str]) -> str:
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return ", ".join(names[:MOST_NAMED]) + more


def _steps(actions: "Actions", after: str) -> "list[Step]":
    """What is still to be done; the sheet comes in `AFTER`, once files or sheet are written."""
    return [step for step in actions.steps if not (after and step.id == "print_sheet")]


def _after(after: str, width: int) -> list[Line]:
    if not after:
        return []
    text, *key = AFTER[after]
    return _with_key(text, "strong", (key[0], key[1]), width)


def _verdict(actions: "Actions", width: int) -> list[Line]:
    verdict = actions.verdict
    return wrapped(verdict.text, width - 1, _ink(verdict), " ")


def _ink(verdict: "Verdict") -> str:
    """The colour of a verdict; an example's is never that of an item that is ready."""
    return "warn" if verdict.example and verdict.state == "ready" else INKS[verdict.state]


def _step(step: "Step", width: int) -> list[Line]:
    return _with_key(step.text, "plain", _key(step), width)


def _key(step: "Step") -> tuple[str, str]:
    return ENTER if step.id == "turn_test" else KEYS[step.does]


def _with_key(text: str, ink: str, key: tuple[str, str], width: int) -> list[Line]:
    """A sentence with the key that does it at the end of its first line."""
    name, action = f"[{key[0]}] ", key[1]
    lines = wrapped(text, width - cells(name) - 2, ink, " ")
    room = max(width - _wide(lines[0]) - cells(name), 0)
    lines[0] = [*(run._replace(action=action) for run in lines[0]), Run(" " * room), Run(name, "a", action)]
    return lines


def _wide(line: Iterable[Run]) -> int:
    return sum(cells(run.text) for run in line)


FLOW: Final = {
    "measure": "screen.next_missing",
    "check": "screen.check",
    "print": "app.papers",
    "mark": "app.how_it_went",
    "save": "app.save",
}
"""The way of a job, and the action that leads to each place on it."""


def flow_line(page: str, width: int) -> Line:
    """Where the job stands on its way, a way between pages."""
    line: Line = []
    for place, (name, action) in enumerate(FLOW.items(), 1):
        here = name == page
        key = f"{place}" if line else "Alt+1"
        text = f"[{key} {name.upper()}]" if here else f" {key} {name}"
        line.append(Run(text, "strong" if here else "muted", action))
    return line if _wide(line) <= width else []
