"""The setup card as a paper: its first page holds all that is done at the machine, what follows is behind it."""

from collections.abc import Callable, Sequence
from datetime import date
from functools import cache
from typing import Final

from rotary.artwork.rings import Rings
from rotary.card.behind import figures_behind
from rotary.card.essence import in_short, whole
from rotary.card.keying import checks, entries
from rotary.card.passes import MOST_ROWS, focus_pairs, passes_packed, passes_table, slice_done
from rotary.papers.drawing import PaperPicture
from rotary.papers.lines import clock
from rotary.papers.model import Keyed, Notes, Pairs, Paper, PictureRow, Section, Sentences, Table, Ticks
from rotary.papers.sizes import Sizes
from rotary.passes.learning.window_map import WindowMap
from rotary.pictures import NAMES, picture, pictures
from rotary.plan import Plan
from rotary.sentences.cautions import stops
from rotary.sentences.passes import before_and_after, first_line, order_why, remarks
from rotary.sentences.running import run
from rotary.witness import witness_ticks

MOST_BOXES: Final = 150
"""More boxes than this take the page from everything else; then one stands for several slices."""

PICTURE_MM: Final = (60.0, 91.0)
"""Width of a picture on the first page, three side by side, and behind, two side by side: for both papers."""

BEHIND_MM: Final = 50.0
LONGEST_NOTE: Final = 240
ROOMY_MM: Final = 25.0
"""Where pictures are lower than this the page is full, and has two lines to write on in place of three."""

BEHIND: Final = (
    "The first page holds all that is done at the machine. From here on: the cautions in whole, every picture, and the "
    "figures behind the card."
)


def card_by_height(
    plan: Plan,
    system: str = "mm",
    day: date | None = None,
    rings: Rings | None = None,
    shows: Sequence[str] = (),
    seen: WindowMap | None = None,
    foretold: PaperPicture | None = None,
    first: Section | None = None,
) -> Callable[[float], Paper]:
    """The setup card, by the height of its pictures, 0 for none on the first page.

    `rings` are the real artwork's outlines, (0, 0) in its middle. `shows` is what the marking program has to show of
    the sheet that was really written, where one was: it takes the place of what the plan foretells. `seen` is the
    process window where readings have taught of it, `foretold` the forecast of a file, both for the pictures behind.
    `first` is what a repeat of a kept profile says.
    """
    sizes = Sizes(system)

    @cache
    def behind() -> tuple[Section, ...]:
        # The same at every height, and the longest to draw.
        return _behind(plan, sizes, rings, seen, foretold)

    def paper(picture_mm: float) -> Paper:
        sections = (*([first] if first else []), *_sections(plan, sizes, picture_mm, rings, shows))
        return Paper(
            kind="setup card",
            name=plan.job.item.name,
            day=day or date.today(),
            facts=_facts(plan, sizes),
            banner=plan.safety.example,
            lead=first_line(plan),
            beside_tab=first_line(plan, tabbed=True),
            doubtful=plan.removal.setting is None or plan.removal.in_doubt,
            stops=stops(plan.safety),
            sections=tuple(part for part in sections if part.blocks),
            behind=behind(),
            behind_says=BEHIND,
        )

    return paper


def card_paper(plan: Plan, system: str = "mm", day: date | None = None, picture_mm: float = 40.0) -> Paper:
    """The setup card with pictures of one height."""
    return card_by_height(plan, system, day)(picture_mm)


def _facts(plan: Plan, sizes: Sizes) -> tuple[str, ...]:
    note = " ".join(plan.job.note.split())
    short = note if len(note) <= LONGEST_NOTE else f"{note[: LONGEST_NOTE - 1].rstrip()}… (whole overleaf)"
    states = (
        f"Item: {sizes.text(plan.item_state)}",
        f"Drive: {sizes.text(plan.turning.state)}",
        f"Beam: {plan.optics.state}",
    )
    doubts = (f"Please check: {sizes.text(doubt)}" for doubt in plan.doubts)
    return tuple(text for text in (short, ".  ".join(states) + ".", *doubts) if text)


def _sections(
    plan: Plan, sizes: Sizes, picture_mm: float, rings: Rings | None, shows: Sequence[str]
) -> tuple[Section, ...]:
    notes = (*plan.turning.notes, witness_ticks(plan).says)
    see = tuple(shows) or checks(plan, sizes.system)
    warns, others = in_short(plan)
    cautions = Section(
        "Cautions in short, whole overleaf: local rules and licensed practice go first",
        (Sentences(warns, "warn"), Sentences(others)),
        "two",
    )
    return (
        Section("Key in, in this order", (Keyed(entries(plan, sizes.system)),), "left"),
        Section("Before the first slice, see that", (Sentences(see, "box"),) if see else (), "right"),
        Section("Focus", (Pairs(tuple(focus_pairs(plan, sizes))),), "right"),
        Section("Set up: the item on its drive", (Sentences(tuple(sizes.texts(notes))),), "right", aside=2),
        _refocus(plan, sizes),
        _shown(plan, sizes, picture_mm, rings),
        _before_and_after(plan),
        _run(plan),
        _passes(plan),
        _ticks(plan),
        cautions,
        Section("What happened: date, who, what was seen", (Notes(2 if 0 < picture_mm < ROOMY_MM else 3),)),
    )


def _refocus(plan: Plan, sizes: Sizes) -> Section:
    rows = tuple(
        (sizes.length(zone.from_mm), sizes.length(zone.to_mm), sizes.length(zone.focal_plane_mm))
        for zone in plan.focus.refocus
    )
    where = f"heights from the {plan.job.item.datum}"
    table = Table(("from", "to", "focal plane over the bed"), rows, where, boxed=True)
    return Section(f"Refocus along the item: {where}", (table,) if rows else (), aside=3)


def _shown(plan: Plan, sizes: Sizes, high: float, rings: Rings | None) -> Section:
    names = NAMES[:3] if high else ()
    shown = tuple(picture(plan, name, sizes.system, PICTURE_MM[0], high, rings) for name in names)
    return Section("To scale", (PictureRow(shown),) if shown else ())


def _before_and_after(plan: Plan) -> Section:
    before, after = before_and_after(plan.removal)
    texts = (*(f"before: {text}" for text in before), *(f"after: {text}" for text in after))
    return Section("Before and after the passes", (Sentences(texts, "box"),) if texts else (), "two", fills=True)


def _passes(plan: Plan) -> Section:
    steps = plan.removal
    if steps.setting is None:
        changed = tuple(f"would change it: {text}" for text in remarks(plan, steps.would_change_it))
        why = Sentences(remarks(plan, steps.refused))
        return Section("Passes: none are offered", (why, Sentences(changed, "better")))
    if steps.removes_coating:
        # Their numbers are keyed in and stand in the steps; the table is one more look at them, overleaf.
        return Section("Passes", ())
    return Section("Passes", (*passes_packed(steps), Sentences((_order(plan),), "none")), aside=1)


def _run(plan: Plan) -> Section:
    """On a coating: the first slice alone, then the others. It never gives way to anything."""
    steps = run(plan)
    return Section("Run it", (Sentences((*steps, _order(plan)), "box"),) if steps else (), "two", fills=True)


def _order(plan: Plan) -> str:
    steps = plan.removal
    all_round = "not on this drive" if steps.time_all_round_s is None else clock(steps.time_all_round_s)
    return (
        f"Order: {steps.order}, {order_why(plan)}. Time slice by slice {clock(steps.time_slice_by_slice_s)}, all round "
        f"{all_round}."
    )


def _ticks(plan: Plan) -> Section:
    """Boxes to tick, in the order in which they are run: one a slice and pass, on a coating one a slice."""
    slices, passes = plan.split.slices, len(plan.removal.rows)
    if plan.removal.setting is None:
        return Section("Tick off", ())
    coated = plan.removal.removes_coating
    if not coated and slices * passes <= MOST_BOXES:
        if plan.removal.order == "all-round":
            groups = tuple((f"pass {number}", slices) for number in range(1, passes + 1))
            return Section("Tick off: a line a pass, a box a slice", (Ticks(groups, ""),), aside=4, fills=True)
        groups = tuple((f"{number}", passes) for number in range(1, slices + 1))
        return Section(
            f"Tick off slice by slice: a box for each of {passes} passes", (Ticks(groups, ""),), aside=4, fills=True
        )
    each = 1
    while slices > MOST_BOXES * each:
        each *= 10
    starts = range(1, slices + 1, each)
    groups = tuple((f"{at}" if each == 1 else f"{at} to {min(at + each - 1, slices)}", 1) for at in starts)
    done = slice_done(plan.removal) if coated else f"a slice once all its {passes} passes are done"
    what = done if each == 1 else f"{each} slices a box, all passes done"
    return Section(f"Tick off: {what}", (Ticks(groups, ""),), aside=4, fills=True)


def _behind(
    plan: Plan, sizes: Sizes, rings: Rings | None, seen: WindowMap | None, foretold: PaperPicture | None
) -> tuple[Section, ...]:
    warns, notes = whole(plan)
    cautions = Section(
        "Cautions: local rules and licensed practice go first", (Sentences(warns, "warn"), Sentences(notes))
    )
    every = pictures(plan, sizes.system, PICTURE_MM[1], BEHIND_MM, rings, seen)
    drawn = Section("Pictures", (PictureRow((*every, foretold) if foretold else every),))
    note = " ".join(plan.job.note.split())
    said = (Section("Note to this job", (Sentences((note,), "none"),)),) if len(note) > LONGEST_NOTE else ()
    meant = tuple(
        (entry.label, f"{entry.figure}: {entry.why}" if entry.why else entry.figure)
        for entry in entries(plan, sizes.system)
    )
    keyed = Section("What is keyed in, and why", (Pairs(meant),))
    table = passes_table(plan.removal)
    overleaf = plan.removal.removes_coating or len(table.rows) > MOST_ROWS
    passes = (Section("Passes, one by one", (table,)),) if overleaf else ()
    return (*said, cautions, keyed, *passes, *figures_behind(plan, sizes), drawn)
