"""Runs of the logbook and what comes in from elsewhere, as lines."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from rotary.papers.lines import clock
from tui.drawings.canvas import Line, Run, fitted
from tui.drawings.words import count, wrapped

if TYPE_CHECKING:
    from rotary.store.logbook import Run as LoggedRun
    from rotary.store.transfer import Preview

OUTCOME_INKS: Final = {"clear": "good", "stopped": "warn", "coating-left": "warn", "seams-show": "warn"}
AGAINST_INKS: Final = {"new": "good", "more": "good", "same": "muted", "different": "warn", "name taken": "warn"}

LABEL: Final = 24


def run_lines(
    runs: "Sequence[LoggedRun]", troubles: Sequence[str], chosen: int, top: int, width: int, height: int
) -> list[Line]:
    """The runs from number `top` on, one a line; first of all what could not be read."""
    from rotary.store.record import OUTCOME_LABELS

    lines: list[Line] = [line for text in troubles[:3] for line in wrapped(text, width - 1, "bad", " ! ")]
    if not runs:
        return [
            *lines,
            *wrapped("You logged no run yet. To log one, press Esc, then F8.", width - 1, "muted"),
        ]
    for place in range(top, min(top + height - len(lines), len(runs))):
        run, here = runs[place], place == chosen
        spoiled = f", {run.spoiled} spoiled" if run.spoiled else ""
        text = f"{run.on:%Y-%m-%d %H:%M}  {count(run.items, 'item'):>10}{spoiled}  {run.name}"
        lines.append(
            [
                Run("› " if here else "  ", "strong"),
                Run(f"{OUTCOME_LABELS[run.outcome]:<13}", OUTCOME_INKS.get(run.outcome, "bad")),
                Run(fitted(text, max(width - 16, 4)), "strong" if here else "plain"),
            ]
        )
    return lines


def setting_lines(run: "LoggedRun", settings: Sequence[tuple[str, str]], width: int) -> list[Line]:
    """One run: what is noted of it, and what was set."""
    room = width - 1
    lines: list[Line] = [[Run(" " + fitted(run.name, room - 1), "strong")]]
    facts = (
        ("batch", run.batch),
        ("time for all", clock(run.took_s) if run.took_s else ""),
        ("note", run.note),
    )
    lines += [line for name, text in facts if text for line in wrapped(text, room, "plain", f" {name:<14} ", "muted")]
    lines += [[], [Run(" The numbers you ran", "strong")]]
    for name, text in settings:
        lines += wrapped(text, room, "plain", f" {fitted(name.replace('_', ' '), LABEL):<{LABEL}} ", "muted")
    if not settings:
        lines += wrapped("The job had no plan when you logged this run.", room, "muted", " ")
    return lines


def incoming_lines(coming: "Preview", width: int) -> list[Line]:
    """What a file holds: each profile and how it stands to what is here, then what is left out and why."""
    lines: list[Line] = []
    for one in coming.profiles:
        lines.append([Run(f" {one.against:<12}", AGAINST_INKS.get(one.against, "plain")), Run(one.name, "strong")])
        lines += wrapped(one.says, width - 1, "plain", " " * 13)
    for text in coming.refused[:200]:
        lines += wrapped(text, width - 1, "bad", " left out    ")
    if len(coming.refused) > 200:
        lines += wrapped(f"and {len(coming.refused) - 200} more", width - 1, "bad", " left out    ")
    return lines or wrapped("The file is empty.", width - 1, "muted", " ")
