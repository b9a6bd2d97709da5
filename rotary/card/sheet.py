"""The setup sheet, written from the actions of a job: what hands do, in order, on one page.

The same for a plan and for a repeat: both are actions with a verdict. `SheetFacts` holds what stands beside them.
"""

import hashlib
import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Final

from rotary.actions.models import ActionRow, Actions, JobTime
from rotary.examples import state_words
from rotary.papers.drawing import PaperPicture
from rotary.papers.model import (
    Block,
    Counting,
    Entry,
    Keyed,
    Notes,
    Paper,
    PowerStep,
    Section,
    Sentences,
    Table,
    Ticks,
    filled,
)
from rotary.papers.sizes import Sizes
from rotary.sentences.actions import part_words
from rotary.sentences.counting_sheet import WORDS, log_text
from rotary.sentences.rows import BY_FILE, BY_TURN, entries, row_texts
from rotary.sentences.run_texts import BLANK, RunParts, run_parts, slices_of
from rotary.sentences.safety import safe_section, stops_of
from rotary.sentences.standing import end_words, reasons_text
from rotary.sentences.times import short_time_text, time_note

MOST_SLICES: Final = 40
MOST_ZONES: Final = 3
"""More than this stand in a table on the next page, which holds nothing else."""

MOST_BOXES: Final = 400
"""Of more slices one box stands for ten, or a hundred."""


_AT_IMPORT: Final = ("slices_shown", "first_cut", "blank_slices")
HABIT: Final = "lens_first"
OVERLEAF: Final = "You don't need this page at the machine. From here on: {}."
MOST_NAMED: Final = 6
"""Of more sections the kinds are named."""


@dataclass(frozen=True, slots=True)
class SheetFacts:
    """What a sheet says beside the actions.

    `first` are sections that stand before all others, `picture` gives the picture of the item by its height [mm], where
    there is one. `slices` are all that are marked, `name_of_log` is what the log calls the item, `time` how long it
    takes.
    """

    name: str
    day: date
    system: str = "mm"
    kind: str = "setup sheet"
    verdict: str = ""
    lead: str = ""
    banner: str = ""
    slices: int = 0
    facts: tuple[str, ...] = ()
    first: tuple[Section, ...] = ()
    details: tuple[Section, ...] = ()
    picture: Callable[[float], PaperPicture] | None = None
    name_of_log: str = ""
    time: JobTime | None = None


def sheet_by_height(actions: Actions, facts: SheetFacts) -> Callable[[float], Paper]:
    """The setup sheet, by the height of its picture, 0 for none."""
    sizes = Sizes(facts.system)
    parts = run_parts(actions, facts.system)
    lead = facts.lead or f"{reasons_text(actions.verdict, actions.steps, sizes)} {_first_step(actions)}".strip()
    tables = (*_zones_overleaf(actions, facts.system), *_ticks_overleaf(actions, facts.slices))

    def paper(picture_mm: float) -> Paper:
        picture = facts.picture(picture_mm) if facts.picture is not None and picture_mm else None
        sections = (
            *facts.first,
            safe_section(actions.cautions),
            _mount(actions, parts, picture),
            _focus(actions, facts.system),
            _import(actions, facts.system),
            _turn(actions, facts.system),
            _laser(actions, facts.system),
            *_running(actions, parts, facts.slices),
            _after(parts),
        )
        return Paper(
            kind=facts.kind,
            name=facts.name,
            day=facts.day,
            sections=_numbered(part for part in sections if part.blocks),
            banner=facts.banner,
            verdict=facts.verdict or state_words(actions.verdict.state, actions.verdict.example),
            lead=lead,
            minutes=short_time_text(facts.time) if facts.time else "",
            stops=stops_of(actions.cautions),
            facts=(*facts.facts, *([time_note(facts.time)] if facts.time else [])),
            one_page=True,
            tables=tables,
            details=facts.details,
            details_text=_overleaf(facts.details),
            ids=tuple(actions.rows),
            counting=_counting(actions, facts),
        )

    return paper


def _overleaf(details: Sequence[Section]) -> str:
    names = ", ".join(part.title.partition(":")[0].lower() for part in details)
    kinds = names if len(details) <= MOST_NAMED else "cautions in full, reasons, pictures, figures"
    return OVERLEAF.format(kinds) if details else ""


def _numbered(sections: Iterable[Section]) -> tuple[Section, ...]:
    return tuple(Section(part.title, part.blocks, f"{place}", part.step) for place, part in enumerate(sections, 1))


def _first_step(actions: Actions) -> str:
    """What to do first where the job is not proven, unless it is this sheet that does it."""
    steps = (step.text for step in actions.steps if step.does not in ("print", "write_file", "compare", "program"))
    return "" if actions.verdict.state == "proven" else next(steps, "")


def _mount(actions: Actions, parts: RunParts, picture: PaperPicture | None) -> Section:
    rows = (row for row in actions.by_hand if not row.id.startswith(("focus", "corner_ticks", HABIT)))
    texts = (*parts.before, *row_texts(rows))
    return Section("MOUNT", filled(Sentences(texts, "box", 2, picture=picture)))


def _lenses(actions: Actions) -> list[ActionRow]:
    return [row for row in actions.by_hand if row.id.startswith("focus")]


def _focus(actions: Actions, system: str) -> Section:
    """How far the lens is moved from focus on the apex, one number a part."""
    rows, first = _lenses(actions), row_texts(row for row in actions.by_hand if row.id == HABIT)
    habit = filled(Sentences(first, "box", loud=True))
    if len(rows) > MOST_ZONES:
        says = f"{len(rows)} parts, each with its own focus and file: the table is on the next page."
        return Section("FOCUS", (*habit, Sentences((says,), "none", loud=True)))
    typed = Keyed(tuple(_lens_entry(row, system) for row in rows))
    how = Sentences(("Focus on the apex under the middle of the field, then move the lens. For each part:",), "none")
    return Section("FOCUS", (*habit, how, typed) if len(rows) > 1 else filled(*habit, typed))


def _lens_entry(row: ActionRow, system: str) -> Entry:
    away, mm = float(row.value), Sizes(system).by_hand
    label = f"Focus on the {row.of or 'apex'},{' then move the lens' if away else ''}"
    if row.about:
        label = f"{part_words(row.about)}, {mm(row.from_at)} to {mm(row.rim_at)}"
    figure, unit = mm(abs(away)).rsplit(" ", 1)
    way = " AWAY" if away > 0 else " CLOSER"
    why = (
        f"apex {mm(row.apex_over_bed)}, focus {mm(row.focus_over_bed)} over the bed"
        if row.apex_over_bed is not None
        else ""
    )
    if not away:
        return Entry(label, "leave the lens there", "", why, id=row.id)
    return Entry(label, figure, f"{unit}{way}", why, id=row.id)


def _import(actions: Actions, system: str) -> Section:
    rows, checks = actions.to_import, actions.rows
    loud = [row for row in rows if row.id in ("file", "page_size")]
    rest = [row for row in rows if row not in loud]
    rest += [checks[name] for name in (*_AT_IMPORT, "corner_ticks") if name in checks]
    size, page = checks.get("size_shown"), checks.get("page_size")
    # The same size twice would only ask which one counts.
    if size is not None and (page is None or (size.value, size.high) != (page.value, page.high)):
        rest.insert(0, size)
    typed = entries((row for row in actions.type if row.id in BY_FILE), system)
    first = Sentences(row_texts(loud), "box", 2, loud=True)
    return Section("IMPORT", filled(first, Keyed(typed), Sentences(row_texts(rest), "box", 2)))


def _turn(actions: Actions, system: str) -> Section:
    typed = entries((row for row in actions.type if row.id in BY_TURN), system)
    others = [row for row in actions.check if row.id not in ("size_shown", *_AT_IMPORT)]
    return Section("TURN", filled(Keyed(typed), Sentences(row_texts(others), "box", 2)))


def _laser(actions: Actions, system: str) -> Section:
    typed = entries((row for row in actions.type if row.id not in (*BY_FILE, *BY_TURN)), system)
    if actions.run.like_first and len(actions.run.rungs) > 1:
        # Which power of the ladder cleaned the first item of the list is found at the machine.
        typed = tuple(replace(one, text=BLANK) if one.id == "power" else one for one in typed)
    return Section("LASER", filled(Keyed(typed)))


def _running(actions: Actions, parts: RunParts, slices: int) -> tuple[Section, ...]:
    """The first slice, the second, all others with their boxes."""
    run = actions.run
    if not any(parts):
        # An older tool stored them as lines alone.
        return (Section("RUN", filled(Sentences(run.texts, "box"))),)
    stop, clean = (tuple(filter(None, (text,))) for text in (parts.stop, parts.clean))
    first = (
        Sentences(parts.first, "box", 2),
        *filled(Sentences(stop, "warn", loud=True), Sentences(clean, "box", loud=True)),
    )
    bare = run.depth_check_after is not None
    others = Section(
        "OTHER FACES" if run.files.faces else "OTHER SLICES" if parts.first else "EVERY SLICE",
        (Sentences(parts.others, "box", 2), *_boxes(actions, slices)),
    )
    if not parts.others and bare:
        return (Section("RUN", (*first, *_boxes(actions, slices)), step="rest"),)
    return (
        Section("RUN" if bare else "FIRST SLICE", first if parts.first else (), step="rest" if bare else "first"),
        Section("SECOND SLICE", filled(Sentences(parts.second, "box", 2)), step="second"),
        Section(others.title, others.blocks if parts.others else (), step="rest"),
    )


def _boxes(actions: Actions, slices: int) -> tuple[Block, ...]:
    """Boxes of the slices, of the passes all round, or of the parts; where there are too many, they are overleaf."""
    names, says = _boxed(actions, slices)
    if len(names) < 2:
        return ()
    if len(names) > MOST_SLICES:
        return (Sentences((f"{says}: boxes on the next page. Done: ____  ____  ____  ____  ____  ____",), "none"),)
    return (Ticks(names, ""),)


def _boxed(actions: Actions, slices: int) -> tuple[tuple[str, ...], str]:
    run, zones = actions.run, [name for name in actions.run.files.zones if name]
    if len(zones) > 1:
        # Parts without ink have no file: the names are those of the files, as beside each focus.
        named = [(row.about or "").replace("zone-", "part ") for row in _lenses(actions)]
        named = named if len(named) == len(zones) and all(named) else [f"part {n}" for n in range(1, len(zones) + 1)]
        return tuple(named), "One box per part"
    if run.order == "all round" and run.rungs and (run.counted or run.depth_check_after):
        return tuple(f"{number}" for number in range(1, run.rungs[0].passes + 1)), "One box per pass, all round"
    many, each = slices or slices_of(actions), 1
    while many > MOST_BOXES * each:
        each *= 10
    starts = range(1, many + 1, each)
    says = "One box per slice" if each == 1 else f"{each} slices per box"
    return tuple(map(str, starts)), says


def _ticks_overleaf(actions: Actions, slices: int) -> tuple[Section, ...]:
    names, says = _boxed(actions, slices)
    if len(names) <= MOST_SLICES or not (actions.run.rungs or actions.run.texts):
        return ()
    return (Section("SLICES", (Ticks(names, f"{says}: tick it when its passes are done."),)),)


def _zones_overleaf(actions: Actions, system: str) -> tuple[Section, ...]:
    rows, files = _lenses(actions), [name for name in actions.run.files.zones if name]
    if len(rows) <= MOST_ZONES:
        return ()
    mm = Sizes(system).by_hand
    head = ("part", "heights", "focus on the apex, then the lens", "focus over the bed", "file")
    cells = []
    for place, row in enumerate(rows):
        entry = _lens_entry(row, system)
        file = files[place] if place < len(files) else ""
        cells.append(
            (f"{place + 1}", f"{mm(row.from_at or 0.0)} to {mm(row.rim_at or 0.0)}",
             f"{entry.text} {entry.unit}", mm(row.focus_over_bed or 0.0), file)
        )  # fmt: skip
    about = f"heights from {end_words(rows[0].end or 'base')}. Type the same numbers for all parts, but focus for each"
    return (Section("PARTS", (Table(head, tuple(cells), about, True, 4),)),)


def _after(parts: RunParts) -> Section:
    return Section("AFTER MARKING", filled(Sentences(parts.after, "box", 2), Notes(2)), step="after")


def _counting(actions: Actions, facts: SheetFacts) -> Counting | None:
    """What the sheet counts on a screen; nothing where no passes are offered."""
    run = actions.run
    if not run.rungs:
        return None
    numbers = [[row.id, row.figure or row.value] for row in (*actions.type, *actions.by_hand)]
    data = json.dumps([facts.name, numbers, run.model_dump(mode="json", exclude={"texts"})], default=str)
    bare = run.depth_check_after is not None
    typed = {row.id: row.value for row in actions.type}
    parts = [name for name in run.files.zones if name] or [""]
    return Counting(
        key=hashlib.sha256(data.encode()).hexdigest()[:10],
        slices=facts.slices or slices_of(actions),
        rungs=tuple(PowerStep(rung.power, rung.passes) for rung in run.rungs),
        pause_s=float(typed.get("pause", 0.0)),
        passes=run.counted or (run.rungs[0].passes if bare else 0),
        has_second=bool(run.files.second),
        has_last=run.last_pass is not None,
        all_round=run.order == "all round" and slices_of(actions) > 1,
        total_s=facts.time.total if facts.time else 0.0,
        words=WORDS | {"log": log_text(facts.name_of_log or facts.name, coated=not bare)},
        parts=len(parts),
        tried=parts.index(run.files.whole) if run.files.first and run.files.whole in parts else 0,
    )
