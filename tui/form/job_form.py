"""The job on the desk: what has been typed, what it means, and the verdict of the core. No terminal in here."""

from collections.abc import Mapping
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Any, Final

from rotary.errors import Missing
from rotary.old_keys import new_name
from tui.catalogue import GROUPS
from tui.catalogue.work import WORDS as LINES
from tui.form import inscription, own_coating
from tui.form.fields import YES_NO, Field, Group, JobTables, Table, Tables, row_and_column
from tui.form.tables import EMPTY, Entry, as_written, figures_of_example, leaves, put
from tui.form.values import DEFAULT, OWN_LASER, Entries, FormValues, entries_from
from tui.planner.request import Request, Today, Verdict

if TYPE_CHECKING:
    from rotary.actions.models import Actions
    from rotary.plan import Plan
    from tui.planner.request import RepeatShown


class Session(FormValues):
    """One job being worked on: its fields, complaints and the last good plan."""

    def __init__(self, data: JobTables, system: str = "mm", groups: tuple[Group, ...] = GROUPS) -> None:
        super().__init__(system, groups)
        self.verdict: Verdict | None = None
        self.plan: Plan | None = None
        self.actions: Actions | None = None
        self.saved_as = self.machine_of = ""
        self.follows: str | None = None
        self.kept_as = ("", "")
        self.kept_file = self.batch = self.anew = ""
        self.kept_aside: Tables = {}
        self._recent: list[str] = []
        self.did = ("", 0)
        self._beside: tuple[int, dict[str, str]] = (-1, {})
        self.open(data)

    # -- the job as tables of texts

    def open(self, data: JobTables, follows: str | None = None, kept_as: str = "", kept_file: str = "") -> None:
        """Start over with another job, as its file has it; `follows` is the kept version of a profile, in a file."""
        self.follows, self.machine_of, self.kept_file = follows, "", kept_file
        self.batch = self.anew = ""
        self.entries, self.kept_aside = {}, {}
        self._undone, self._done, self._typing = [], [], ""
        self.verdict = self.plan = self.actions = None
        tables = {name: table for name, table in data.items() if name != "saved"}
        if isinstance(words := tables.get(WORDS), Mapping):
            tables[WORDS] = {key: value for key, value in words.items() if key not in inscription.KEYS}
            self.entries |= inscription.entries_of(
                {key: value for key, value in words.items() if key in inscription.KEYS}
            )
        for key, value in leaves(tables):
            self._read(_NEW_NAMES.get(key, key), value)
        if "item.flats" in self.entries:
            self.entries["item.section"] = Entry("flats")
        if "use_laser" not in self.entries:
            self.entries["use_laser"] = Entry(OWN_LASER)
        for table in self.tables.values():
            self.entries.setdefault(f"{table.key}.#", Entry("0"))
        example, names = figures_of_example(self.data())
        if example:
            self.entries["use_laser"] = Entry(example)
        for name in names:
            self.entries.pop(f"laser.{name}", None)
            self.kept_aside.pop(f"laser.{name}", None)
        self.kept_as = (kept_as, self.text("item.name"))
        self._saved = dict(self.entries)
        self.number += 1
        self.first_number = self.number

    def _read(self, key: str, value: Any) -> None:
        for table in self.tables.values():
            if place := row_and_column(key, table):
                rows = max(place[0] + 1, self.rows(table))
                self.entries[f"{table.key}.#"] = Entry(str(rows))
        field = self.field(key)
        if field is None:
            self.kept_aside[key] = value
        elif key == own_coating.COATING:
            for name, text in own_coating.parts(str(value), lambda: self.options(field)).items():
                self.entries[name] = Entry(text)
        elif isinstance(value, bool):
            self.entries[key] = Entry(YES_NO[value])
        elif isinstance(value, list):
            self.entries[key] = Entry(", ".join(map(str, value)))
        elif field.lines:
            self.entries[key] = Entry(str(value).replace("\n", "\\n"))
        else:
            self.entries[key] = self._entry(field, str(value))

    def data(self) -> Tables:
        """The job as nested tables of texts: values exactly, in the core's unit; faulty ones as typed."""
        # An own head without a figure yet: the core is to name those that are missing, and none that ships.
        own = self.field("use_laser") is not None and self.text("use_laser") == OWN_LASER
        tree: Tables = {"laser": {}} if own else {}
        for key, value in self.words.items():
            put(tree, f"{WORDS}.{key}", value)
        left_out = [*map(new_name, self.entries.get(_LEFT_OUT, EMPTY).text.split("\n"))]
        for key, value in self.kept_aside.items():
            if key not in left_out:
                put(tree, key, value)
        for field in filter(self.is_there, self.fields.values()):
            self._put_entry(tree, field.key, field)
        for table in filter(self.is_there, self.tables.values()):
            for row in range(0 if table.key == LINES.key else self.rows(table)):
                put(tree, f"{table.key}.{row}", {})
                for column in table.every:
                    self._put_entry(tree, table.cell(row, column), column)
        self._put_names(tree)
        return tree

    def _put_names(self, tree: Tables) -> None:
        """Names that files get while nobody has given any: of item and artwork that of the drawing or the words."""
        if "item.name" not in self.fields:
            return
        drawing = self.text("artwork.pieces.0.file")
        stem = PurePath(drawing).stem or drawing
        if not self.text("item.name"):
            words = str(self.words.get("text", "") or self.text("artwork.pieces.0.text")).strip().splitlines()
            put(tree, "item.name", " ".join([*words, stem, UNNAMED][0].split())[:60] or UNNAMED)
        own = self.text("use_laser") == OWN_LASER and not self.text("laser.name")
        power, lens = self.value("laser.rated_power"), self.value("laser.focal_length")
        if own and power and lens:
            put(tree, "laser.name", f"{power:g} W, {lens:g} mm lens")
        if drawing and not self.text("artwork.name"):
            put(tree, "artwork.name", stem)

    def _put_entry(self, tree: Tables, key: str, field: Field) -> None:
        entry = self.entries.get(key, EMPTY)
        if key == own_coating.COATING:
            entry = self._coating(entry)
        text = entry.text.strip()
        if not text or key in _ONLY_HERE or (key == "use_laser" and text == OWN_LASER) or text == DEFAULT:
            return
        put(tree, key, as_written(field, entry, text))

    def _coating(self, entry: Entry) -> Entry:
        """The coating's name as a job file has it: one's own by colour and kind, and the batch after a colon."""
        names = (own_coating.COLOUR, own_coating.KIND, own_coating.BATCH)
        colour, kind, batch = map(self.text, names)
        if not entry.text and not batch:
            return entry
        return Entry(own_coating.name_of(self.text(own_coating.COATING), colour, kind, batch))

    @property
    def words(self) -> Tables:
        """The job's inscription: the lines of its words, and the rest as its screen left it or its file has it."""
        return inscription.table_of(self.entries)

    def take_words(self, table: JobTables) -> None:
        """Take an inscription over from its screen; all that is typed there until it is left is one change."""
        if self.words == table:
            return
        if self._typing != WORDS:
            self._remember()
        self._typing = WORDS
        self.entries = {key: one for key, one in self.entries.items() if not key.startswith(WORDS)}
        self.entries |= inscription.entries_of(table)
        self._changed()

    def edit(self, key: str, text: str) -> None:
        """Write a text into a field; an only piece of artwork that is emptied is none."""
        if key in self._recent:
            self._recent.remove(key)
        self._recent.append(key)
        # Words are cut into bare metal, unless somebody says that it is coated.
        chosen, value = (own_coating.COATING, own_coating.NONE) if row_and_column(key, LINES) else (key, text)
        if chosen in self.unasked:
            self._remember()
            self._typing = key
            # What stands there anyway is chosen all the same.
            self.entries[_UNASKED] = Entry("\n".join(sorted(self.unasked - {chosen})))
            self.entries[chosen] = self._entry(self.fields[chosen], value)
            self._changed()
        super().edit(key, text)
        pieces = self.tables.get("artwork.pieces")
        if pieces is None or self.rows(pieces) != 1 or row_and_column(key, pieces) is None:
            return
        if not any(self.entries.get(pieces.cell(0, column), EMPTY).text for column in pieces.every):
            self.entries[f"{pieces.key}.#"] = Entry("0")

    def begin_new(self, machine_of: str) -> None:
        """A job has been begun on the machine of that item, or on none: what nobody chose yet is to be asked."""
        self.machine_of = machine_of
        unasked = (own_coating.COATING, "item.metal", *(() if machine_of else ("turning.kind",)))
        self.entries[_UNASKED] = self._saved[_UNASKED] = Entry("\n".join(unasked))

    @property
    def unasked(self) -> set[str]:
        """The choices of a new job that nobody has made yet: what a job file means without them is no answer."""
        return {new_name(key) for key in self.entries.get(_UNASKED, EMPTY).text.split("\n") if key}

    @property
    def today(self) -> Today:
        """The saved job that is repeated, and how."""
        return Today(self.kept_file, self.batch, self.anew)

    @property
    def home(self) -> Path:
        """The folder of the profile that the job was opened from or saved as."""
        return Path(self.kept_file).parent

    def repeat_as(self, batch: str = "", anew: str = "") -> None:
        """Repeat the saved job on this batch of the coating, "" for the last; `anew` by today's plan."""
        self.batch, self.anew = batch, anew
        self.number += 1

    def request(self) -> Request:
        """What the core is to judge now."""
        unasked = tuple(sorted(self.unasked))
        last = self._recent[-1] if self._recent else ""
        return Request(self.number, self.data(), self.system, self.today, self._typed_lengths(), unasked, last=last)

    def _typed_lengths(self) -> tuple[tuple[str, str, float], ...]:
        """The lengths that stand here, the last one typed first."""
        last = {key: place for place, key in enumerate(self._recent)}
        lengths = [
            (key, entry.text, entry.value)
            for key, entry in self.entries.items()
            if entry.value is not None
            and (field := self.field(key)) is not None
            and field.unit == "mm"
            and self._is_in_use(key)
        ]
        return tuple(sorted(lengths, key=lambda one: -last.get(one[0], -1)))

    def accept(self, verdict: Verdict) -> bool:
        """Take a verdict over; False if it is on the job that stood here before this one was opened."""
        if verdict.number < self.first_number:
            return False
        self.verdict = verdict
        if verdict.plan is not None:
            self.plan, self.actions = verdict.plan, verdict.actions
        return True

    @property
    def stale(self) -> bool:
        """Whether the plan shown is not the plan of what is written."""
        return self.plan is None or bool(self.faults()) or self.verdict is None or self.verdict.plan is None

    @property
    def machine_told(self) -> tuple[str, ...]:
        """The machine that the plan shown goes by, then what has lapsed there; nothing where it goes by none."""
        return self.verdict.machine if self.verdict is not None else ()

    @property
    def repeat(self) -> "RepeatShown | None":
        """How the job stands to a proof; nothing where it comes from no proven profile."""
        return None if self.verdict is None else self.verdict.repeat

    # -- what is wrong, and what is unsaved

    def faults(self) -> dict[str, str]:
        """What is wrong, by field; the empty name holds what no single field is to blame for."""
        found = {key: entry.fault for key, entry in self.entries.items() if entry.fault and self._is_in_use(key)}
        if self.verdict is not None and self.verdict.number == self.number:
            for where, says in self.verdict.faults:
                key = self._nearest(where)
                in_words = not key and where.startswith(f"{WORDS}.")
                found.setdefault(key, inscription.fault_text(where, says) if in_words else says)
            if self.verdict.faults:
                self._add_unmeasured(found)
        return found

    def _add_unmeasured(self, found: dict[str, str]) -> None:
        """Stations without a diameter, which the core comes to only once nothing else is missing."""
        table = self.tables.get("item.measurements")
        if table is None:
            return
        for row in range(self.rows(table) if self.is_there(table) else 0):
            across = f"{table.key}.{row}.across"
            if not self.text(across) and not self.text(f"{table.key}.{row}.round"):
                found.setdefault(across, Missing("is missing: type the diameter, or the length once round"))

    def found_beside(self, faults: Mapping[str, str]) -> None:
        """What reading the artwork has to complain of in what stands now; the numbers hold all the same."""
        self._beside = (self.number, {self._nearest(where): says for where, says in faults.items() if where})

    @property
    def complaints_mark(self) -> object:
        """Another object whenever there may be other complaints."""
        return self.number, id(self.verdict), id(self._beside)

    def complaints(self) -> dict[str, str]:
        """The faults, and what the numbers hold without: files that are wrong, lengths that no bench sees."""
        number, beside = self._beside
        known = self.verdict is not None and self.verdict.number == self.number
        unusual = dict(self.verdict.unusual) if known and self.verdict is not None else {}
        return unusual | (beside if number == self.number else {}) | self.faults()

    def _is_in_use(self, key: str) -> bool:
        if key in self.fields:
            return self.is_there(self.fields[key])
        return all(self.is_there(table) for table in self.tables.values() if row_and_column(key, table))

    def _nearest(self, where: str) -> str:
        """The field or table on the desk that a dotted name of the core is about."""
        where = _NEW_NAMES.get(where, where)
        while where:
            if (self.field(where) is not None and self._is_in_use(where)) or where in self.tables:
                return where
            if where in _STANDS_FOR:
                return _STANDS_FOR[where]
            where = where.rpartition(".")[0]
        return ""

    def unknown(self) -> dict[str, str]:
        """What the job file has and the core does not know, with what the core says of it."""
        if self.verdict is None or self.verdict.number != self.number:
            return {}
        return {where: says for where, says in self.verdict.faults if where in self.kept_aside}

    def leave_out_unknown(self) -> bool:
        """Take out of the job what the core does not know; False if there is nothing such."""
        unknown = self.unknown()
        if not unknown:
            return False
        self._remember()
        before = self.entries.get(_LEFT_OUT, EMPTY).text
        self.entries[_LEFT_OUT] = Entry("\n".join(filter(None, (before, *unknown))))
        self._changed()
        return True

    def group_faults(self, group: Group) -> int:
        """How many fields of a group are wrong."""
        return sum(1 for key in self.complaints() if key and self.group_of(key) is group)

    def group_of(self, key: str) -> Group | None:
        """The group that a field or table belongs to."""
        for group in self.groups:
            for entry in group.content:
                if entry.key == key or (isinstance(entry, Table) and row_and_column(key, entry)):
                    return group
        return None

    @property
    def unsaved(self) -> bool:
        """Whether anything differs from what was opened or saved."""
        return _meaning(self.entries) != _meaning(self._saved)

    def state(self) -> Tables:
        """All that stands here, for a draft: plain texts and numbers, not shared with what is typed next."""
        return {
            "name": self.text("item.name"), "system": self.system, "entries": dict(self.entries),
            "saved": dict(self._saved), "aside": dict(self.kept_aside), "follows": self.follows,
            "kept_as": self.kept_as, "kept_file": self.kept_file,
        }  # fmt: skip

    def restore(self, state: JobTables) -> None:
        """What a draft holds, as if it had just been typed; raises KeyError, TypeError or ValueError on other data."""
        entries, saved = (entries_from(state[name]) for name in ("entries", "saved"))
        before, after = state["kept_as"]
        aside = {new_name(key): value for key, value in state["aside"].items()}
        for held in (entries, saved):
            # Other data is told as such here, not when it is looked at.
            held |= inscription.entries_of(inscription.table_of(held))
        self.open({})
        self.system = "in" if state["system"] == "in" else "mm"
        self.entries, self._saved, self.kept_aside = entries, saved, aside
        self.follows, self.kept_as = state["follows"], (str(before), str(after))
        self.kept_file = str(state.get("kept_file", ""))
        for table in self.tables.values():
            int(self.entries.setdefault(f"{table.key}.#", Entry("0")).text)
        self._changed()

    def saved(self, stamp: str | None, kept_as: tuple[str, str], says: str, kept_file: str = "") -> None:
        """It is kept: under which stamp and name, what to say of it, and in which file."""
        self.follows, self.kept_as, self.saved_as, self.kept_file = stamp, kept_as, says, kept_file
        self._saved = dict(self.entries)


UNNAMED: Final = "item"
"""What an item is called until it has a name."""

WORDS: Final = inscription.WORDS
"""The entry that holds all of the job's inscription but its words; those fields stand on a screen of their own."""

_ONLY_HERE: Final = ("item.section", own_coating.COLOUR, own_coating.KIND, own_coating.BATCH)
_LEFT_OUT: Final = "left out"
"""The entry that holds the names taken out of the job; an entry like any other, so it can be undone."""

_UNASKED: Final = "unasked"
"""The entry that holds the choices nobody has made yet; it too can be undone, and a draft has it."""

_NEW_NAMES: Final = {"laser.use": "use_laser", LINES.key: LINES.cell(0, LINES.columns[0])}
_STANDS_FOR: Final = {
    "item": "item.name", "turning": "turning.kind", "laser": "use_laser", "artwork": "artwork.width",
    "tolerances": "tolerances.seam", "passes": "passes.power",
    "item.handle": "item.handle.angle", "item.weld_line": "item.weld_line.angle",
}  # fmt: skip


def _meaning(entries: Entries) -> Tables:
    return {key: entry.text if entry.value is None else entry.value for key, entry in entries.items() if entry.text}
