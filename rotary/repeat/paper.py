"""The setup sheet of a repeat: the actions as they were run, under a banner that says how they stand."""

from collections.abc import Sequence
from datetime import date
from typing import Final

from rotary.actions.by_hand import is_shimmed, settable
from rotary.actions.models import ActionRow, Actions
from rotary.card.essence import in_short, whole
from rotary.errors import Refused
from rotary.papers.model import Entry, Keyed, Notes, Pairs, Paper, PictureRow, Section, Sentences, Ticks
from rotary.papers.sizes import Sizes
from rotary.pictures import NAMES, picture
from rotary.plan import Plan
from rotary.repeat.standing import Repeat
from rotary.repeat.telling import repeat_section
from rotary.repeat.today import actions_today
from rotary.sentences.cautions import stops
from rotary.store.changes import changes_by_plan
from rotary.store.record import AsRun

MOST_BOXES: Final = 150
"""More boxes than this take the page from everything else; then one stands for several slices."""

PICTURE_MM: Final = 60.0

REBUILT: Final = "rebuilt"

CAUTIONS: Final = (
    "Today's tool can't work out the cautions of this job. Ask your laser safety officer before you start.",
    "Enclosure closed, interlock on; eyewear for this laser's wavelength, as marked on it.",
    "Extract at the mark. Stay with the machine. Keep sleeves and hair away from what turns.",
)
"""Where there is no plan to take the cautions from. Common practice, no source."""


def repeat_paper(
    repeat: Repeat, run: AsRun, system: str = "mm", day: date | None = None, picture_mm: float = 0.0
) -> Paper:
    """The sheet of a repeat; `picture_mm` is the height of its pictures, 0 for none."""
    drawn, actions = _drawn(repeat), actions_today(repeat, run, None, system)
    sections = (
        repeat_section(repeat, system),
        Section("Type, in this order", (Keyed(entries(actions.type, system)),), "left"),
        Section("Import, and see before the first slice", (_boxes(*actions.to_import, *actions.check),), "right"),
        Section("By hand", (_boxes(*actions.by_hand), Sentences(_set_up(actions, drawn, system))), "right"),
        _shown(run, drawn, system, picture_mm),
        _passes(actions, run),
        _ticks(run),
        _cautions(actions, drawn),
        Section("What happened: date, who, what was seen", (Notes(3),)),
    )
    return Paper(
        kind="setup card",
        name=repeat.job.item.name,
        day=day or date.today(),
        banner=drawn.safety.example if drawn else "",
        verdict=repeat.verdict,
        lead=repeat.banner,
        doubtful=repeat.state != "proven",
        stops=stops(drawn.safety) if drawn else (),
        sections=tuple(part for part in sections if any(_is_full(block) for block in part.blocks)),
        behind=_behind(drawn),
        behind_says="The first page holds all that is done at the machine. From here on: the cautions in whole.",
    )


def _drawn(repeat: Repeat) -> Plan | None:
    """What cautions and setting up are taken from: a plan of the numbers as run, else today's, else none."""
    try:
        return repeat.to_draw()
    except Refused:
        return repeat.made


def _is_full(block: object) -> bool:
    if isinstance(block, Keyed):
        return bool(block.entries)
    if isinstance(block, Sentences):
        return bool(block.texts)
    return not isinstance(block, Pairs) or bool(block.pairs)


def label_of(row: ActionRow) -> str:
    """What a row is called, and that it was rebuilt where it was: no form of the sheet leaves a label out."""
    return f"{row.label} ({REBUILT})" if row.rebuilt else row.label


def entries(rows: Sequence[ActionRow], system: str = "mm") -> tuple[Entry, ...]:
    """The rows that are typed as papers and screens have them, what warns of a number beside it."""
    return tuple(
        Entry(
            label_of(row),
            row.figure or f"{row.value}",
            row.unit,
            leave=(system == "in" and row.leave_in) or row.leave or "",
        )
        for row in rows
    )


def _boxes(*rows: ActionRow) -> Sentences:
    return Sentences(tuple(f"{row.text} ({REBUILT})" if row.rebuilt else row.text for row in rows), "box")


def _set_up(actions: Actions, drawn: Plan | None, system: str) -> tuple[str, ...]:
    """What has to be known of the item on its drive, where today's plan has it lie as it was run."""
    shim = actions.rows.get("shim")
    there_mm = float(shim.value) if shim is not None else 0.0
    if "set_up_1" in actions.rows:
        # An older tool stored them, as they were then.
        return ()
    if drawn is None or there_mm != (settable(abs(drawn.focus.shim_mm)) if is_shimmed(drawn) else 0.0):
        return ()
    return tuple(Sizes(system).texts(drawn.turning.notes))


def _shown(run: AsRun, drawn: Plan | None, system: str, high: float) -> Section:
    """Pictures, where the plan they are drawn from is that of the numbers."""
    if drawn is None or not high or changes_by_plan(run, drawn):
        return Section("To scale", (Pairs(()),))
    return Section(
        "To scale", (PictureRow(tuple(picture(drawn, name, system, PICTURE_MM, high) for name in NAMES[:3])),)
    )


def _passes(actions: Actions, run: AsRun) -> Section:
    told = (Sentences(actions.run.texts, "box"), Sentences(passes_in_words(actions, run), "none"))
    return Section("Passes, as run", told, "two")


def passes_in_words(actions: Actions, run: AsRun) -> tuple[str, ...]:
    """How many passes it took, where somebody counted."""
    if run.passes_counted is not None:
        return (f"It took {run.passes_counted} passes, as counted at the first slice.",)
    if any(one.kind == "removal" for one in actions.run.passes):
        return ("How many it took was not noted: count them at the first slice.",)
    return ()


def _ticks(run: AsRun) -> Section:
    slices, each = run.slices, 1
    while slices > MOST_BOXES * each:
        each *= 10
    starts = range(1, slices + 1, each)
    groups = tuple((f"{at}" if each == 1 else f"{at} to {min(at + each - 1, slices)}", 1) for at in starts)
    what = "a slice once all its passes are done" if each == 1 else f"{each} slices a box, all passes done"
    return Section(f"Tick off: {what}", (Ticks(groups, ""),), aside=4, fills=True)


def _cautions(actions: Actions, drawn: Plan | None) -> Section:
    title = "Cautions in short: local rules and licensed practice go first"
    if drawn is None:
        stored = tuple(one.short for one in actions.cautions)
        return Section(title, (Sentences((CAUTIONS[0], *(stored or CAUTIONS[1:])), "warn"),), "two")
    warns, others = in_short(drawn)
    return Section(title, (Sentences(warns, "warn"), Sentences(others)), "two")


def _behind(drawn: Plan | None) -> tuple[Section, ...]:
    if drawn is None:
        return ()
    warns, notes = whole(drawn)
    title = "Cautions: local rules and licensed practice go first"
    return (Section(title, (Sentences(warns, "warn"), Sentences(notes))),)
