"""What was read in proof patches and what it taught, in lines."""

from collections.abc import Sequence
from typing import Final

from rotary.errors import counted
from rotary.papers.lines import percent, table, title, wrapped
from rotary.papers.sizes import Sizes
from rotary.passes.learning.coating import BeliefChange
from rotary.passes.learning.reading import NOT_READ, OUTCOME_NAMES, Reading
from rotary.passes.learning.reading_text import head_of, number_text
from rotary.passes.learning.suggestions import Suggestion
from rotary.passes.patch.cells import patches_in
from rotary.passes.plan.setting import FAIR
from rotary.sentences.passes import in_ten


def reading_lines(readings: Sequence[Reading]) -> list[str]:
    """What was seen, one reading a line; then the patches that still have cells to read."""
    unread = [f"    {record}" for record in patches_in(readings) if record.unread]
    readings = [r for r in readings if r.outcome != NOT_READ]
    shown = ("power_share", "frequency_khz", "pulse_width_ns", "speed_mm_s", "line_spacing_mm", "defocus_mm")
    noted = any(r.note for r in readings)
    rows = [("reading", "day", "from", "cell", "passes", *map(head_of, shown), "you saw", *(["note"] if noted else []))]
    for r in readings:
        settings = (number_text(name, getattr(r, name)) for name in shown)
        outcome = OUTCOME_NAMES[r.outcome] + (" (ignored)" if r.ignored else "")
        rows.append(
            (f"{r.number}", r.day, r.patch or r.source, f"{r.cell or '-'}", f"{r.passes}", *settings, outcome)
            + ((r.note,) if noted else ())
        )
    head = ["  patches with cells that you have not read yet:"] if unread else []
    return [*(table(rows) if readings else ()), *head, *unread]


def belief_change_lines(rows: Sequence[BeliefChange], readings: int) -> list[str]:
    """What the readings taught: 5, 50 and 95 % of each belief before and after."""
    lines = [
        title(f"What rotary estimates, before and after {counted(readings, 'reading')}"),
        *wrapped(
            "You need none of this to mark. Three numbers are a low, a middle and a high estimate: 9 of 10 cases lie "
            "between low and high."
        ),
    ]
    cells = [("what", "before", "after", "")]
    for row in rows:
        if row.before[0] == row.before[2]:
            cells.append((row.name, percent(row.before[1]), percent(row.after[1]), ""))
            continue
        before, after = (" ".join(f"{value:.3g}" for value in three) for three in (row.before, row.after))
        cells.append((f"{row.name} {row.unit}".strip(), before, after, ""))
    return [*lines, *table(cells)]


HELPS: Final = 0.02
"""A change that brings less does not help: so much may be the luck of the random samples."""

NOTHING_HELPS: Final = (
    "None of the changes that rotary tried brings more clean items. Mark a test patch and read it, measure your "
    "machine, or try another setting of the laser."
)


def suggestion_lines(found: Sequence[Suggestion], system: str = "mm") -> list[str]:
    """The changes that help, with the chance of the best plan then; that nothing helps, where nothing does."""
    now, *changes = found
    better = _helpful(now, changes)
    rows = [("change to the job", "clean items", "")]
    for one in (now, *better):
        chance = one.chance or 0.0
        shown = ("no plan", f"less than {percent(FAIR)}") if chance < FAIR else (percent(chance), in_ten(chance))
        rows.append((Sizes(system).text(one.says), *shown))
    says = "The plan's own odds may differ a little: these are for slices as wide as your tolerances allow."
    lines = [line for text in (*_rest(changes, better), says) for line in wrapped(text)]
    return [title("Changes that help, tried one at a time"), *table(rows), *lines]


def suggestion_sentences(found: Sequence[Suggestion]) -> list[str]:
    """The same for a screen, a line each."""
    now, *changes = found
    better = _helpful(now, changes)
    head = ["Items that come out clean if you change one thing:"] if better else []
    return [*head, *(f"{_odds(one)}: {one.says}" for one in (now, *better)), *_rest(changes, better)]


def _helpful(now: Suggestion, changes: Sequence[Suggestion]) -> list[Suggestion]:
    least = (now.chance or 0.0) + HELPS
    return [one for one in changes if one.chance is not None and one.chance >= least]


def _rest(changes: Sequence[Suggestion], better: Sequence[Suggestion]) -> list[str]:
    """What to do where no change helps, and how many changes there was no time for."""
    late = sum(one.chance is None for one in changes)
    tried = [NOTHING_HELPS] if not better and late < len(changes) else []
    return [*tried, *([f"No time was left to try {counted(late, 'change')}."] if late else [])]


def _odds(found: Suggestion) -> str:
    """The chance that a change brings, as a person says it."""
    chance = found.chance or 0.0
    return f"too few for a plan ({in_ten(chance)})" if chance < FAIR else in_ten(chance)
