"""What was read in proof patches and what it taught, in lines."""

from collections.abc import Sequence

from rotary.errors import counted
from rotary.papers.lines import percent, table, title, wrapped
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
    return [*(table(rows) if readings else ()), *(["  patches that you have not read yet:"] if unread else ()), *unread]


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


def suggestion_lines(found: Sequence[Suggestion]) -> list[str]:
    """What each change would bring: the chance of the best plan then, for a person who looks."""
    rows = [("change to the job", "clean items", "")]
    for one in found:
        if one.chance is None:
            rows.append((one.says, "not tried", "there was no time left"))
        elif one.chance < FAIR:
            rows.append((one.says, "no plan", f"less than {percent(FAIR)}"))
        else:
            rows.append((one.says, percent(one.chance), in_ten(one.chance)))
    says = "The plan's own odds may differ a little: these are for slices as wide as your tolerances allow."
    return [title("Changes that may help, tried one at a time"), *table(rows), *wrapped(says)]


def odds(found: Suggestion) -> str:
    """The chance that a change brings, as a person says it."""
    if found.chance is None:
        return "no time was left to try"
    return f"too few for a plan ({in_ten(found.chance)})" if found.chance < FAIR else in_ten(found.chance)
