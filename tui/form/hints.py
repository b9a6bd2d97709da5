"""What the lines under the fields say: what is wrong, what is still empty, what to measure. No terminal in here."""

from collections.abc import Iterable
from typing import TYPE_CHECKING, Final

from rotary.examples import is_example_item
from tui.drawings.canvas import Line
from tui.drawings.words import wrapped
from tui.form.job_form import Session

if TYPE_CHECKING:
    from tui.form.rows import Cell

FIRST_HINT: Final = (
    "Try it on this invented bottle: type another diameter, or press F4 for the next picture. Ctrl+N empties the desk "
    "for your own item. F1 explains everything."
)
NARROW_HINT: Final = (
    "Try it on this invented bottle: type another diameter; F6 turns to the numbers to key in. Ctrl+N empties the desk "
    "for your own item. F1 explains everything."
)
MISSING: Final = "is missing"
"""How the core begins to tell of a value that a job file has not."""

MOST_NAMED: Final = 4


def hint(session: Session, cell: "Cell", touched: bool, narrow: bool, width: int) -> list[Line]:
    """The most pressing thing first: what is not known, what is wrong, what a measured rig lacks, what to fill in."""
    faults, key = session.complaints(), cell.key
    if unknown := session.unknown():
        names = ", ".join(unknown)
        says = f"The job has {names}, not known here. Ctrl+D takes {'it' if len(unknown) == 1 else 'them'} out."
        return wrapped(says, width, "bad", " ! ")
    empty = [where for where, says in faults.items() if is_empty(session, where, says)]
    wrong = {where: says for where, says in faults.items() if where not in empty}
    if key in wrong:
        return wrapped(wrong[key], width, "bad", " ! ")
    if wrong:
        return wrapped(told(session, *next(iter(wrong.items()))), width, "bad", " ! ")
    if key == "rig" and len(session.rig_told) > 1:
        return wrapped(" ".join(session.rig_told[1:]), width, "warn", " ! ")
    says = cell.field.help if cell.field else "Enter folds and unfolds."
    if empty:
        return [
            *wrapped(says, width, "plain", " "),
            *wrapped(f"Still empty: {_named(session, empty)}.", width, "bad", " ! "),
        ]
    if not touched and not session.kept_as[0] and is_example_item(session.data().get("item", {})):
        return wrapped(NARROW_HINT if narrow else FIRST_HINT, width, "a", " ")
    return wrapped(says, width, "muted", " ")


def told(session: Session, where: str, says: str) -> str:
    """A fault in a sentence that begins with where it is; of a field that is only empty, what to measure for it."""
    field = session.field(where)
    if is_empty(session, where, says):
        return f"{place_of(session, where)}still empty. {field.help if field else ''}".strip()
    return f"{place_of(session, where)}{says}"


def why_not(session: Session, trouble: str) -> str:
    """What a save was refused for, with the fields called as they are called on the desk."""
    where, colon, says = trouble.partition(": ")
    known = session.field(where) is not None or where in session.tables
    return told(session, where, says) if colon and known else trouble


def is_empty(session: Session, where: str, says: str) -> bool:
    """Whether a fault says no more than that a field was not filled in yet."""
    return says.startswith(MISSING) and not session.text(where).strip()


def place_of(session: Session, key: str) -> str:
    """Group and label of a field, as a sentence about it begins."""
    group, field = session.group_of(key), session.field(key)
    names = [part for part in (group.title if group else "", field.label if field else "") if part]
    return f"{', '.join(names)}: " if names else ""


def proof_ended(session: Session) -> tuple[str, ...]:
    """What ended the proof of the profile that the job comes from, and what stands here in its place."""
    repeat = session.repeat
    if repeat is None or repeat.rows:
        return ()
    told = [f"{place_of(session, where) or f'{where}: '}{before} → {after}" for where, before, after in repeat.changed]
    if not told:
        return (f"{repeat.verdict}: {repeat.banner}",)
    more = f" and {len(told) - 1} more" if len(told) > 1 else ""
    return (f"{repeat.verdict}: a new plan: the proof no longer counts. Changed: {told[0]}{more}",)


def _named(session: Session, keys: Iterable[str]) -> str:
    """Fields by their groups, the first few of them."""
    named: dict[str, list[str]] = {}
    every = list(keys)
    for key in every[:MOST_NAMED]:
        group, field = session.group_of(key), session.field(key)
        table = session.tables.get(key)
        label = field.label if field else table.label if table else key
        named.setdefault(group.title if group else "", []).append(label)
    more = f" and {len(every) - MOST_NAMED} more" if len(every) > MOST_NAMED else ""
    return "; ".join(f"{title} {', '.join(labels)}".strip() for title, labels in named.items()) + more
