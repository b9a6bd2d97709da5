"""What the line under the fields says, and what is missing or wrong, in a person's words. No terminal in here."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from rotary.errors import Fault, Missing, fault_line
from tui.drawings.canvas import Line, Run, cells, fitted
from tui.drawings.words import wrapped
from tui.form.facts import FILE, LASER, missing
from tui.form.fields import row_and_column
from tui.form.job_form import Session
from tui.form.values import OWN_LASER

if TYPE_CHECKING:
    from tui.form.rows import Cell

FIRST_HINT: Final = "An invented example. Ctrl+N begins your own item, F1 explains the screen."
REST: Final = " [F1]"

NAMES: Final = {
    FILE: "drawing", "artwork.width": "artwork width", "artwork.height": "artwork height",
    "artwork.centre": "artwork's middle", "item.coating": "coating", "item.metal": "metal", "turning.kind": "turning",
    "at": "height", "across": "diameter", **{key: f"laser {name}" for key, name in LASER},
    "laser.focal_length": "lens", "laser.field": "laser field", "laser.lowest_frequency": "lowest frequency",
    "laser.highest_frequency": "highest frequency", "laser.largest_pulse": "largest pulse",
}  # fmt: skip


def hint(session: Session, cell: "Cell", width: int, list_waits: bool = False) -> list[Line]:
    """The most pressing thing first: what is not known, what is wrong here, what a measured machine lacks, what to
    measure for the field under the focus. `list_waits` is whether a list is open in which nothing is chosen."""
    if list_waits:
        return wrapped("Press Down to the right line, or type its first letters. Then press Enter.", width, "a", " ")
    faults, key = session.complaints(), cell.key
    if unknown := session.unknown():
        names = ", ".join(unknown)
        them = "it" if len(unknown) == 1 else "them"
        says = f"The job file has {names}, which rotary does not know. Ctrl+D removes {them}."
        return wrapped(says, width, "bad", " ! ")
    if key in faults and not is_empty(session, key, faults[key]):
        return wrapped(faults[key], width, "bad", " ! ")
    if key == "machine" and len(session.machine_told) > 1:
        return wrapped(" ".join(session.machine_told[1:]), width, "warn", " ! ")
    if session.number == session.first_number and _is_example(session):
        return wrapped(FIRST_HINT, width, "a", " ")
    says = cell.field.help if cell.field else "Enter opens or closes this group."
    return wrapped(says, width, "muted", " ")


def with_the_rest(lines: list[Line], width: int, height: int) -> list[Line]:
    """So many lines of a hint at most; where there are more, its last words give way to the key to all of it."""
    if len(lines) <= height or height < 1:
        return lines
    first, says = lines[height - 1]
    room = width - cells(first.text) - len(REST)
    cut = says._replace(text=fitted(f"{says.text} …", room))
    return [*lines[: height - 1], [first, cut, Run(REST, "a", "app.help")]]


def _is_example(session: Session) -> bool:
    """Whether a shipped example stands there as it ships, as far as is known; its files are not read for that."""
    if session.actions is None:
        return session.text("use_laser") != OWN_LASER and not session.kept_as[0]
    verdict = session.actions.verdict
    return verdict.example and verdict.state != "not ready" and not session.kept_as[0]


def missing_text(session: Session) -> list[str]:
    """What is still to be filled in or chosen, by the names that a person has for it."""
    return list(dict.fromkeys(_named(session)))


def _named(session: Session) -> Iterator[str]:
    faults = session.faults()
    for key in missing(session):
        if key in faults and not is_empty(session, key, faults[key]):
            continue
        column = key.rpartition(".")[2]
        if key.startswith("item.measurements."):
            yield f"{NAMES.get(column, column)} {int(key.split('.')[2]) + 1}"
        else:
            field = session.field(key)
            yield NAMES.get(key) or (field.label if field is not None else key)


def wrong_now(session: Session) -> str:
    """What can't be, with the name of its field; empty where nothing of the kind stands there."""
    wrong = {where: says for where, says in session.faults().items() if not is_empty(session, where, says)}
    return fault_text(session, *next(iter(wrong.items()))) if wrong else ""


def notes_now(session: Session) -> tuple[str, ...]:
    """What else to know at once: what the artwork is complained of, what stands beside a proof or ended it."""
    faults, repeat = session.faults(), session.repeat
    artwork = [fault_text(session, where, says) for where, says in session.complaints().items() if where not in faults]
    proof = repeat.notes if repeat is not None and repeat.rows else proof_ended(session)
    return (*artwork, *proof)


def fault_text(session: Session, where: str, says: str) -> str:
    """A fault in a sentence that begins with where it is; of a field that is only empty, what to measure for it."""
    field = session.field(where)
    if is_empty(session, where, says):
        return f"{place_of(session, where)}this field is still empty. {field.help if field else ''}".strip()
    return fault_line(place.removesuffix(": "), says) if (place := place_of(session, where)) else says


def why_not(session: Session, fault: Fault) -> str:
    """What a save was refused for, with the fields called as they are called on the desk."""
    is_here = session.field(fault.where) is not None or fault.where in session.tables
    return fault_text(session, *fault) if is_here else str(fault)


def is_empty(session: Session, where: str, says: str) -> bool:
    """Whether a fault says no more than that a field was not filled in yet."""
    return isinstance(says, Missing) and not session.text(where).strip()


def place_of(session: Session, key: str) -> str:
    """Group and label of a field, as a sentence about it begins."""
    group, field = session.group_of(key), session.field(key)
    measurements = session.tables.get("item.measurements")
    if measurements is not None and field is not None and (place := row_and_column(key, measurements)):
        return f"{NAMES.get(place[1], field.label).capitalize()} {place[0] + 1}: "
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
    return (f"{repeat.verdict}: this is a new plan, so the proof no longer counts. Changed: {told[0]}{more}",)
