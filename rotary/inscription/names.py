"""A list of names or numbers on parts that are all alike: each sized the same or each to fit, misfits first.

::

      names.csv ──┐                            ┌─> misfits, told before anything is written
      1 to 250  ──┴─> words ──> sized ──> same ┤
                                               └─> one plan ──> 001-heron-sliced.svg … and one table, names.csv
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from hashlib import sha256
from math import ceil, fsum
from pathlib import Path
from typing import Final, Literal, NamedTuple

from pydantic import Field

from rotary.actions.files import FaceFacts, WordsFacts
from rotary.actions.models import Files
from rotary.artwork.outfiles import file_stem
from rotary.artwork.rings import area_mm2
from rotary.artwork.sets import write_set
from rotary.errors import Refused, brief, refuse
from rotary.examples import banner
from rotary.files import write_whole
from rotary.inscription.actions import words_facts
from rotary.inscription.card import GOVERNS, inscription_sections
from rotary.inscription.face import Face
from rotary.inscription.ink import ink_on_wall
from rotary.inscription.legibility import MarkCheck, checks_of
from rotary.inscription.lists import PLACE, ListRow, words_of
from rotary.inscription.paper import part_sheet
from rotary.inscription.sizes import SizedText, sized_text
from rotary.inscription.work import (
    Planner,
    face_facts,
    face_files,
    job_for,
    job_for_depth,
    mark_of,
    plane_over_face_mm,
    stand_in,
)
from rotary.job import Job
from rotary.model import Model
from rotary.papers.lines import title, wrapped
from rotary.papers.model import Section
from rotary.papers.text import text_lines
from rotary.passes.plan.setting import PowerRung
from rotary.plan import Plan, plan
from rotary.series import results
from rotary.services.files import wishes_of
from rotary.sheet import SheetWish
from rotary.slices.trial import fullest_place
from rotary.wishes import Wishes
from rotary.wording import InscriptionWish

STARTS_IN: Final = f'"{results.START}" in {results.TABLE}'

Progress = Callable[[float], None]


class NameEntry(results.Outcome):
    """An entry as it came out: `cut`, with files and a `card`, or a `misfit`, and `why` says what to do."""

    state: Literal["cut", "misfit"]


class Names(Model):
    """All entries, misfits first; `height_mm` is the one height of all, None where each is sized to fit."""

    entries: tuple[NameEntry, ...]
    misfits: int = Field(ge=0)
    height_mm: float | None
    table: str
    notes: tuple[str, ...]


def entry_sizes(
    job: Job, wish: InscriptionWish, wanted: Iterable[ListRow], mark: MarkCheck
) -> Iterator[tuple[ListRow, SizedText | str]]:
    """Each entry as sized by itself, or why it can't be."""
    for one in wanted:
        if not one.name.strip():
            yield one, results.NO_NAME
            continue
        try:
            yield one, _without_checks(job, _for_entry(wish, one), mark)
        except Refused as refused:
            yield one, results.why_not(refused, "text")


def _without_checks(job: Job, wish: InscriptionWish, mark: MarkCheck) -> SizedText:
    """Sized with the least height that can be read, the checks left for one that is looked at."""
    # Only the size is kept: letters are set again when the entry is drawn.
    return sized_text(wish, job.item, mark)._replace(texts=())


class LetterSizes(NamedTuple):
    """The letter height of every entry that fits, by its place in the list, and the misfits with their reasons."""

    heights_mm: dict[int, float]
    misfits: tuple[NameEntry, ...]

    @property
    def mark(self) -> str:
        """The same for a list whose misfits are the same, for the same reasons."""
        told = [(one.line, one.name, one.why) for one in self.misfits]
        return sha256(repr((len(self.heights_mm), told)).encode()).hexdigest()


def sizes(
    job: Job, wish: InscriptionWish, wanted: tuple[ListRow, ...], progress: Progress | None = None
) -> LetterSizes:
    """Every entry of a list sized by itself; nothing is written. Raises Refused for an empty list."""
    if not wanted:
        raise refuse("table", "the list is empty: write names below its heading")
    tell, mark = progress or (lambda _: None), mark_of(job.laser, job.item)
    found, misfits = LetterSizes({}, ()), list[NameEntry]()
    for place, (one, came) in enumerate(entry_sizes(job, wish, wanted, mark)):
        if isinstance(came, str):
            misfits.append(_misfit(one, came))
        else:
            found.heights_mm[place] = came.facts.letter_height_mm
        tell((place + 1) / len(wanted))
    return found._replace(misfits=tuple(misfits))


def names(
    job: Job,
    wish: InscriptionWish,
    wanted: tuple[ListRow, ...],
    folder: Path,
    how: results.ListWish | None = None,
    tell_sizes: Callable[[LetterSizes], None] | None = None,
    progress: Progress | None = None,
    made_by: Planner = plan,
) -> Names:
    """Size a whole list, tell the misfits, then write all files, cards and the table into `folder`, new or empty.

    All letters are as high as those of the longest entry that can be read, or `each_to_fit` as high as its own room
    lets them. The folder appears when all is in it; whatever `progress` or `tell_sizes` raises stops the work and
    leaves nothing; who may be ended from outside gives the place for what is not whole, and clears it.
    `made_by` plans each size. Raises Refused where no entry fits, FileTrouble.
    """
    results.refuse_full(folder, "list")
    how, asked_mm = how or results.ListWish(), wish.letter_height_mm
    each_to_fit, sign, notes, beside, _ = how
    job, tell = job_for_depth(job, wish), progress or (lambda _: None)
    heights, misfits = found = sizes(job, wish, wanted, lambda share: tell(0.2 * share))
    if tell_sizes is not None:
        tell_sizes(found)
    if not heights:
        why = misfits[0]
        raise refuse("table", f'no name of the list fits. Line {why.line}, "{brief(why.name, 30)}": {why.why}')
    same = None if each_to_fit else min(heights.values())
    with results.whole_folder(folder, "list", beside) as place_of_parts:
        turned = wish.around not in ("flats", "end")
        work: _Work = (_Turned if turned else _Faces)(job, place_of_parts, made_by, how, asked_mm)
        entries = list(_written(wish, wanted, heights, same, work, tell))
        ordered = (*misfits, *(one for one in entries if one.state == "misfit"))
        cut = tuple(one for one in entries if one.state == "cut")
        made = Names(
            entries=(*ordered, *cut),
            misfits=len(ordered),
            height_mm=same,
            table=results.TABLE,
            notes=(*work.first_notes, *results.list_time(work.planned, cut), *notes, *_notes(wanted, same, asked_mm)),
        )
        cards = {"sheet": [one.card for one in made.entries]}
        write_whole(place_of_parts / results.TABLE, results.table_bytes(made.entries, sign, more=cards))
    return made


def _written(
    wish: InscriptionWish,
    wanted: tuple[ListRow, ...],
    heights: Mapping[int, float],
    same: float | None,
    work: "_Work",
    tell: Progress,
) -> Iterator[NameEntry]:
    """Draw and write each entry that fits."""
    digits = results.digits_for(len(wanted))
    for done, (place, own) in enumerate(heights.items(), 1):
        one = wanted[place]
        asked = _for_entry(wish, one).but(letter_height_mm=same or own)
        try:
            yield work.entry(asked, one, results.labelled(place + 1, digits, file_stem(one.name)))
        except Refused as refused:
            yield _misfit(one, results.why_not(refused))
        tell(0.2 + 0.8 * done / len(heights))


def _for_entry(wish: InscriptionWish, one: ListRow) -> InscriptionWish:
    """The wish of one entry; its name goes into the texts of further flats too, where they ask for it."""
    more = tuple(words_of(one.name, text) if PLACE in text else text for text in wish.more)
    return wish.but(text=one.text, more=more)


class _Work:
    """What the entries of a list share: the part, where its files go, one card for all that are planned alike."""

    def __init__(self, job: Job, folder: Path, made_by: Planner, how: results.ListWish, asked_mm: float | None) -> None:
        self.job, self.folder, self.made_by, self.asked_mm = job, folder, made_by, asked_mm
        self.each_to_fit, self.system = how.each_to_fit, how.system
        self._cards: dict[tuple[object, ...], str] = {}
        self.tried_on: tuple[str, ...] = ()
        self.first_notes: list[str] = []
        self.planned: Plan | None = None

    def entry(self, asked: InscriptionWish, one: ListRow, label: str) -> NameEntry:
        """Draw and write an entry; raises Refused."""
        raise NotImplementedError

    def _card(self, key: tuple[object, ...], lines: Callable[[], list[str]]) -> str:
        """The card of all entries with this key, written with the first of them."""
        if key not in self._cards:
            name = f"setup-{len(self._cards) + 1:02d}.txt"
            about = (
                f"This sheet is for every part that {results.TABLE} lists with {name}. The numbers to type hold for "
            )
            about += "all of them. Words, time and file on it are those of the first part: import each part's own file."
            first = [banner(self.job.laser.use), ""] if self.job.laser.use else []
            text = [*first, title("A list of names, one part each"), *wrapped(about), "", *lines()]
            write_whole(self.folder / name, ("\n".join(text) + "\n").encode())
            self._cards[key] = name
        return self._cards[key]

    def _lines(
        self, made: Plan | None, stands_in: Plan, own: tuple[Section, ...], files: Files, lies: FaceFacts | WordsFacts
    ) -> list[str]:
        return text_lines(part_sheet(made, stands_in, own, files, lies, system=self.system)(0.0))

    def _words(self, asked: InscriptionWish, made: SizedText, whole: Plan | None) -> tuple[Section, ...]:
        """The section of a card about the words, with what can be read of them."""
        laser, item = self.job.laser, self.job.item
        mark = mark_of(laser, item) if whole is None else mark_of(laser, item, whole.optics, whole)
        facts = made.facts.but(checks=checks_of(asked, made.facts, made.texts, mark))
        governs = "this name allows no more" if self.each_to_fit else "the longest name of the list allows no more"
        if facts.governs != "asked" or facts.letter_height_mm == self.asked_mm:
            governs = GOVERNS[facts.governs]
        return inscription_sections(asked, facts, governs=governs, system=self.system)


class _Turned(_Work):
    """On walls: plans, too, are shared by entries whose artwork is of one size."""

    def __init__(self, job: Job, folder: Path, made_by: Planner, how: results.ListWish, asked_mm: float | None) -> None:
        super().__init__(job, folder, made_by, how, asked_mm)
        self._plans: dict[tuple[float, ...], Plan] = {}
        self._held: Wishes | None = None
        self._rungs: tuple[PowerRung, ...] = ()

    def entry(self, asked: InscriptionWish, one: ListRow, label: str) -> NameEntry:
        """Plan, slice, write."""
        made = sized_text(asked, self.job.item)
        ink = ink_on_wall(made, asked)
        wanted = job_for(self.job, asked, made, ink.rings, ink.begin_mm)
        key, whole = self._plan(wanted)
        planned = whole.job.artwork
        art = wanted.artwork.but(name=label, width_mm=planned.width_mm, height_mm=planned.height_mm)
        # How far round the middle of a ring's ink lies is its own; nothing in the plan hangs on it.
        layout = whole.layout.but(centre_angle_rad=art.centre_angle_rad)
        named = whole.but(job=whole.job.but(artwork=art), layout=layout)
        alone = not self.tried_on
        named, paths, marking_s = results.files_of(named, ink.rings, self.folder, SheetWish(trial=alone))
        rollers, self.planned = self.job.turning.kind == "rollers", named
        if alone:
            self.tried_on = results.files_to_try(named, paths)
            self.first_notes = results.first_notes(self.tried_on, named.removal, rollers)
            self._rungs = named.removal.rungs
            if named.removal.removes_coating:
                self._held = wishes_of(whole).but(passes=None)
        else:
            # Held settings have one power: which one of the first item's ladder cleaned is not known yet.
            steps = named.removal.as_first_item().but(rungs=self._rungs)
            named = named.but(removal=steps)
        # Only the item that a coating is tried on has files to try it with.
        # Each starts at an angle of its own, and a line that is not all round begins at one.
        begins = words_facts(made.facts, STARTS_IN)
        begins = begins if made.facts.around == "ring" else begins._replace(first_letter_rad=None)
        card = self._card(
            (*key, named.removal.typed_passes),
            lambda: self._lines(named, named, self._words(asked, made, named), Files(), begins),
        )
        times = {"marking_s": marking_s, "start_deg": results.start_deg(named)}
        return _cut(one, made.facts.letter_height_mm, paths, card, ink_mm2=area_mm2(ink.rings), **times)

    def _plan(self, wanted: Job) -> tuple[tuple[float, ...], Plan]:
        """The plan of an entry's artwork, its size rounded up so that like entries share one."""
        art = wanted.artwork
        wide = art.width_mm if art.full_wrap else ceil(art.width_mm)
        high = ceil(4.0 * art.height_mm) / 4.0
        key = (wide, high)
        if key not in self._plans:
            if self._held is not None:
                # What one item took holds for another only at the same setting.
                wanted = wanted.but(passes=self._held)
            if len(self._plans) > 64:
                self._plans.clear()
            try:
                self._plans[key] = self.made_by(wanted.with_artwork(width_mm=wide, height_mm=high))
            except Refused:
                # Rounded up it may not go on the part any more.
                self._plans[key] = self.made_by(wanted)
        return key, self._plans[key]


class _Faces(_Work):
    """On flats and end faces: one setting and one card for all, nothing is turned while it is marked."""

    def __init__(self, job: Job, folder: Path, made_by: Planner, how: results.ListWish, asked_mm: float | None) -> None:
        super().__init__(job, folder, made_by, how, asked_mm)
        self.plan = self.planned = stand_in(job, made_by)
        self.plane_mm = plane_over_face_mm(job, made_by)

    def entry(self, asked: InscriptionWish, one: ListRow, label: str) -> NameEntry:
        """Draw and write the faces of an entry."""
        made = sized_text(asked, self.job.item)
        files, shapes = face_files(self.job, asked, made, file_stem(label), self.plane_mm)
        paths = write_set(self.folder, file_stem(label), files, item=self.job.item.name).paths
        ink, setting = fsum(area_mm2(rings) for rings in shapes), self.plan.choice.setting
        # Lines of the hatch alone: how long the head is under way between letters is not reckoned.
        marking_s = ink / (setting.speed_mm_s * setting.line_spacing_mm) if setting is not None else None
        names = tuple(files)
        fullest = names[fullest_place([area_mm2(rings) for rings in shapes])]
        # Later items, bare metal and a known number of passes are tried on none.
        first = fullest if self.plan.is_tried and not self.tried_on and len(names) > 1 else ""
        faces = Files(first=first, whole=names[0], faces=names if len(names) > 1 else ())
        steps = self.plan.removal
        if self.tried_on:
            steps = steps.as_first_item()
        else:
            self.tried_on = (fullest,)
            self.first_notes = results.first_notes(self.tried_on, steps, rollers=False, faces=len(names) > 1)
        own = self.plan.but(removal=steps)
        face = face_facts(Face(self.job, asked, self.plane_mm), made.facts)
        words = self._words(asked, made, None)
        card = self._card((steps.typed_passes,), lambda: self._lines(None, own, words, faces, face))
        return _cut(one, made.facts.letter_height_mm, paths, card, ink_mm2=ink, marking_s=marking_s)


def _cut(one: ListRow, height_mm: float, paths: tuple[Path, ...], card: str, **more: float | None) -> NameEntry:
    about = NameEntry(line=one.line, name=one.name, state="cut", letter_height_mm=height_mm, card=card)
    return about.but(files=tuple(path.name for path in paths), **more)


def _misfit(one: ListRow, why: str) -> NameEntry:
    return NameEntry(line=one.line, name=one.name, state="misfit", why=why)


def _notes(wanted: tuple[ListRow, ...], same: float | None, asked_mm: float | None) -> list[str]:
    why = "as you asked" if same == asked_mm else "the longest name allows no more"
    size = [] if same is None else [f"All capitals are {same:.2f} mm high: {why}."]
    return [*size, *results.twice_note([one.text for one in wanted])]
