"""What differs between two profiles or two jobs, by the names that a file has, in the units that are shown."""

import re
from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any, NamedTuple

from rotary.errors import brief
from rotary.item import fitted_shape
from rotary.job import UNCOATED, Job
from rotary.model import Model, quantity_of
from rotary.plan import Plan
from rotary.sentences.actions import figure_of
from rotary.sentences.changes import change_text, reading_text
from rotary.sentences.short_rows import short_text
from rotary.store.record import AsRun, Profile, as_run
from rotary.units import text_from_value


class Change(NamedTuple):
    """One value that differs: its dotted name and both values as texts, "-" where there is none."""

    where: str
    before: str
    after: str

    def __str__(self) -> str:
        return f"{self.where}: {self.before} → {self.after}"

    @property
    def text(self) -> str:
        """The same in a person's words."""
        return change_text(self.where, self.before, self.after)


def changes(before: Model, after: Model, system: str = "mm") -> list[Change]:
    """Every value that differs between two of a kind, in the order of the file."""
    # An empty text or list says no more than none.
    old, new = (
        {where: one for where, one in _values(model, "", system) if one[1] not in ("", ())} for model in (before, after)
    )
    names = [*old, *(name for name in new if name not in old)]
    none = ("-", None)
    pairs = ((name, old.get(name, none), new.get(name, none)) for name in names)
    return [Change(name, was[0], now[0]) for name, was, now in pairs if was[1] != now[1]]


def profile_changes(before: Profile, after: Profile, system: str = "mm") -> list[Change]:
    """What a person wants to know between two versions: the job first, then what is kept beside it."""
    names = ("format", "id", "at", "by", "follows", "why", "plan.by", "plan.actions")
    book = tuple(f"saved.{name}" for name in (*names, "proof.job", "proof.plan", "proof.machine_readings"))
    said = [
        Change(change.where.removeprefix("job."), change.before, change.after)
        for change in changes(before, after, system)
        if not change.where.startswith(book)
    ]
    return sorted(said, key=lambda change: change.where.startswith("saved."))


def change_lines(found: Iterable[Change]) -> list[str]:
    """What differs, in a person's words; a reading that is new, or gone, is one line."""
    lines, readings, found = dict[str, str](), dict[str, dict[str, str]](), [*found]
    # A reading that both have may say more in one of them.
    whole = [one.where.removesuffix("of") for one in found if "-" in (one.before, one.after)]
    for change in found:
        row = re.match(r"saved\.readings\.(\d+)\.", change.where)
        if row is None or row[0] not in whole:
            lines[change.where] = change.text
            continue
        what = f"reading {int(row[1]) + 1} {'added' if change.before == '-' else 'removed'}"
        values = readings.setdefault(what, {})
        values[change.where[row.end() :]] = change.after if change.before == "-" else change.before
        lines[what] = f"reading {what.rpartition(' ')[2]}: {reading_text(values)}"
    return [*lines.values()]


def setup_changes(proven: Job, job: Job, system: str = "mm") -> list[Change]:
    """What of a setup differs from the one that was proven; names and remarks, or a diameter read anew, are none."""
    kept = [change for change in changes(proven, job, system) if not _is_no_setup(change.where)]
    if _same_wall(proven, job):
        kept = [change for change in kept if not change.where.startswith("item.measurements")]
    if proven.item.colour is None or job.item.colour is None:
        # Noted or left out since: nothing says that the coating is another.
        kept = [change for change in kept if change.where != "item.colour"]
    if proven.turning.kind != job.turning.kind:
        # Their numbers have nothing to do with each other.
        kept = [change for change in kept if not change.where.startswith("turning.") or change.where == "turning.kind"]
    return kept


# What is accepted, the tolerances, steers a plan anew, not the numbers that were run, and its defaults are the tool's.
_NO_SETUP = (
    *("note", "item.name", "item.measuring_tolerance", "laser.use", "laser.note", "artwork.name", "artwork.pieces"),
    *("shop.", "program.", "order.", "tolerances."),
)
_TYPED = "tolerances.slice_width"


def _is_no_setup(where: str) -> bool:
    if where == _TYPED:
        # A width that a person chose is typed, and no default stands for it.
        return False
    # Other words, or the same elsewhere, are cut with the same setting; another depth is not.
    return where.startswith(_NO_SETUP) or (where.startswith("inscription.") and where != "inscription.depth")


def _same_wall(proven: Job, job: Job) -> bool:
    """Whether two measurements of a wall agree as well as they were taken."""
    from rotary.errors import Refused

    try:
        old, new = fitted_shape(proven.item), fitted_shape(job.item)
    except Refused:
        return False
    slack = proven.item.measured_within_mm + job.item.measured_within_mm
    if abs(old.length_mm - new.length_mm) > 1.0 or old.flats != new.flats:
        return False
    heights = [place / 16 * min(old.length_mm, new.length_mm) for place in range(17)]
    return bool((abs(old.radius_mm(heights) - new.radius_mm(heights)) * 2 <= slack).all())


_NO_NUMBERS = ("by", "chance_share", "focal_plane_mm", "passes_counted", "actions")


def plan_changes(proven: AsRun | None, plan: AsRun, system: str = "mm") -> list[Change]:
    """Which numbers to key in differ from those that were proven, by more than can be set (0.5 %)."""
    if proven is None:
        return []
    said = []
    before, after = (one.model_copy(update=dict.fromkeys(_NO_NUMBERS)) for one in (proven, plan))
    for change in changes(before, after, system):
        old, new = getattr(proven, _field(change.where)), getattr(plan, _field(change.where))
        near = isinstance(old, float) and isinstance(new, float) and abs(old - new) <= 0.005 * max(abs(old), abs(new))
        if not near:
            said.append(change)
    return said


def changes_by_plan(run: AsRun, plan: Plan, system: str = "mm") -> list[Change]:
    """Which numbers of a run a plan made now has otherwise; how many slices flats or other words take is none."""
    now = as_run(plan)
    by_artwork = plan.job.item.flats or plan.job.is_inscribed
    return plan_changes(run, now.but(slices=run.slices) if by_artwork else now, system)


def _field(key: str) -> str:
    return next(name for name, info in AsRun.model_fields.items() if key in (name, info.alias))


def run_values(run: AsRun, system: str = "mm") -> list[tuple[str, str]]:
    """What was typed and done in a run; its numbers where nothing else was stored."""
    counted = "not noted" if run.passes_counted is None else f"{run.passes_counted}"
    if run.actions is None:
        return [*value_texts(run, system), ("passes counted", counted)]
    by_hand = [(row.label, short_text(row, system)) for row in run.actions.by_hand if row.label]
    return [
        *((row.label, figure_of(row)) for row in run.actions.type if row.label),
        *by_hand,
        ("passes counted", counted),
    ]


def value_texts(model: Model, system: str = "mm") -> list[tuple[str, str]]:
    """Every value of a table by its dotted name, in the units that are shown."""
    return [(where, text) for where, (text, _) in _values(model, "", system)]


def _values(model: Model, under: str, system: str) -> Iterator[tuple[str, tuple[str, Any]]]:
    """The values of nested models by dotted name, each as it is shown and as it is."""
    for name, info in type(model).model_fields.items():
        value, where = getattr(model, name), f"{under}{info.alias or name}"
        if isinstance(value, Model):
            yield from _values(value, f"{where}.", system)
        elif isinstance(value, tuple) and value and isinstance(value[0], Model):
            for place, entry in enumerate(value):
                yield from _values(entry, f"{where}.{place}.", system)
        elif value is not None or name == "coating":
            yield where, (_shown(value, info, system), value)


def _shown(value: Any, wanted: Any, system: str) -> str:
    if value is None:
        return UNCOATED
    quantity = quantity_of(wanted)
    if isinstance(value, tuple):
        inner = quantity.unit if quantity else None
        texts = (brief(v, 80) if inner is None else text_from_value(v, inner, system, digits=6) for v in value)
        return ", ".join(texts)
    if isinstance(value, dict):
        return ", ".join(f"{key} = {brief(text, 80)}" for key, text in value.items()) or "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.isoformat(sep=" ", timespec="minutes")
    if quantity is not None and isinstance(value, float):
        return text_from_value(value, quantity.unit, system, digits=6)
    return brief(value, 200) or '""'
