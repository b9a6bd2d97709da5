"""From bytes to a profile: older formats are brought up, newer ones opened read-only, faults find their line.

::

    format 1   [saved] as, at, by                                the job and when it was saved
    format 2   [saved] format, title, saved, tool, outcome,      one outcome and one remark;
                      remark, series                            ``series`` is what is now ``id``
    format 3   as format 4, but without the setup sheet         dated proof, readings, notes
               of a run, its files and the passes counted
    format 4   as format 5, but with a sheet of labels          what was typed and done is stored with a run
               and sentences in place of actions
    format 5   as format 6, with the keys of ``rotary.old_keys`` a run holds its actions, each row by its id
    format 6   see rotary.store.record                          keys in today's words: [saved], [turning], [laser]
"""

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from pydantic import ValidationError

from rotary.errors import Fault, FileTrouble, Predicate, Refused, Unknown, brief, refuse
from rotary.faults import faults_of
from rotary.files import toml_tables
from rotary.job import Job, job_from_data
from rotary.store.lines import line_of
from rotary.store.old_sheets import with_actions
from rotary.store.places import LARGEST_BYTES, Version, read, read_either
from rotary.store.profile_text import LAST_LINE
from rotary.store.record import FORMAT, Profile, Record, without_paths
from rotary.toml import unreadable

_OLDER: Final = ": open an older version of the saved job"

DEEPEST: Final = 12
"""Tables within tables; a profile needs eight."""
MOST_KEYS: Final = 200
MOST_IN_LIST: Final = 5000
"""More in one table or list is no profile: to name every fault of it would take minutes."""

_FIRST_WITH_SUM: Final = 3
"""From this format on the last line holds a sum of all before it."""

Tables = dict[str, Any]


@dataclass(frozen=True, slots=True)
class ProfileReading:
    """A profile as it came out of a file.

    `read_only` says why nothing may be saved on top of it; `doubt` that the file is not the one
    that was saved (changed by hand, or cut off), both empty where all is as usual; `format` is
    the file's own.
    """

    profile: Profile
    format: int
    read_only: str = ""
    doubt: str = ""


def profile_from_bytes(raw: bytes, source: str, home: str = "", cure: str = _OLDER) -> ProfileReading:
    """The profile in a file; raises Refused with every fault, each with its line.

    `home` is the name of the folder that the file lies in: what older formats have for an id. `cure` ends the sentence
    where nothing of the file can be read.
    """
    text = _text(raw, source, cure)
    tables = _tables(text, source, cure)
    kept = tables.get("saved", {})
    if not isinstance(kept, Mapping):
        raise refuse("saved", Predicate("is not a table: write [saved] as a heading, or remove it"))
    number = kept.get("format", 1)
    if isinstance(number, bool) or not isinstance(number, int) or number < 1:
        raise refuse("saved.format", f"{brief(number)} is not a format: write format = {FORMAT}")
    if number > FORMAT:
        return _newer(tables, number, text)
    try:
        for older in range(number, FORMAT):
            kept = _STEPS[older](tables, home) if older in _STEPS else tables["saved"]
            tables = {**tables, "saved": {**kept, "format": older + 1}}
        return ProfileReading(_profile(tables), number, doubt=_doubt(text) if number >= _FIRST_WITH_SUM else "")
    except Refused as refused:
        raise Refused([_with_line(fault, text) for fault in refused.faults]) from None


def profile_of_version(version: Version, source: str = "", cure: str = _OLDER) -> ProfileReading:
    """A version of the store, or its second copy where it can't be read; raises FileTrouble, or as `opened`."""
    return profile_from_bytes(read_either(version.path), source or version.stamp, version.path.parent.name, cure)


def version_or_trouble(version: Version, source: str = "") -> tuple[ProfileReading | None, str]:
    """As `profile_of_version`, None where it can't be opened; and what is wrong with the file itself, if anything."""
    trouble = ""
    try:
        read(version.path)
    except FileTrouble as unreadable:
        trouble = str(unreadable)
    try:
        return profile_of_version(version, source), trouble
    except (Refused, FileTrouble) as why:
        return None, trouble or str(why.faults[0] if isinstance(why, Refused) else why)


def _text(raw: bytes, source: str, cure: str) -> str:
    if len(raw) > LARGEST_BYTES:
        raise refuse("", f"{source} is larger than 1 MB, so it is not a saved job: name another file")
    if not raw.strip(b"\0 \r\n\t"):
        raise refuse("", f"{source} is empty{cure}")
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as trouble:
        line = raw[: trouble.start].count(b"\n") + 1
        raise refuse("", f"{source} is damaged in line {line}{cure}") from None


def _tables(text: str, source: str, cure: str) -> Tables:
    try:
        tables = toml_tables(text)
    except RecursionError:
        tables = None
    except ValueError as trouble:
        raise refuse("", unreadable(source, trouble) + cure) from None
    if tables is None or _depth(tables) > DEEPEST:
        raise refuse("", f"{source} has too many tables or names{cure}")
    return tables


def _depth(tables: Tables) -> int:
    deep = 0
    layer: list[Any] = [tables]
    while layer and deep <= DEEPEST + 1:
        deep += 1
        children: list[Any] = []
        for node in layer:
            if len(node) > (MOST_KEYS if isinstance(node, dict) else MOST_IN_LIST):
                return DEEPEST + 1
            children += list(node.values()) if isinstance(node, dict) else list(node)
        layer = [node for node in children if isinstance(node, dict | list)]
    return deep


def _profile(tables: Tables) -> Profile:
    """Job and record, with the faults of both at once."""
    faults: list[Fault] = []
    kept = dict(tables["saved"])
    proof = dict(kept["proof"]) if isinstance(kept.get("proof"), Mapping) else None
    if proof is not None and isinstance(proof.get("job"), Mapping):
        proof["job"] = _job(proof["job"], "saved.proof.job.", faults)
        kept["proof"] = proof
    job = _job({name: table for name, table in tables.items() if name != "saved"}, "", faults)
    record: Record | None = None
    try:
        record = Record.model_validate(kept, context={"units": "must"})
    except ValidationError as error:
        # A proof's job that was refused has told its own faults.
        told = [fault for fault in faults_of(error, Record, "saved") if fault.where != "saved.proof.job"]
        faults += told
    if faults or job is None or record is None:
        raise Refused(faults)
    return Profile.model_construct(job=job, saved=record)


def _job(tables: Mapping[str, Any], under: str, faults: list[Fault]) -> Job | None:
    try:
        return without_paths(job_from_data(tables))
    except Refused as refused:
        faults += [fault._replace(where=f"{under}{fault.where}") for fault in refused.faults]
        return None


def _with_line(fault: Fault, text: str) -> Fault:
    line = line_of(text, fault.where)
    return fault._replace(says=f"line {line}: {fault.says}") if line else fault


def _doubt(text: str) -> str:
    """Whether the file is the one that was saved, by the sum in its last line."""
    body, mark, rest = text.rpartition(LAST_LINE)
    if not mark:
        return "the last line of the saved file is missing: the file was cut off, or changed outside rotary"
    if rest.strip() == hashlib.sha256(body.encode()).hexdigest():
        return ""
    return "the saved file was changed by hand, or damaged, after it was saved"


def _newer(tables: Tables, number: int, text: str) -> ProfileReading:
    """As much of a newer format as this tool understands; what it doesn't know it leaves out."""
    says = f"a newer version of rotary saved this file (format {number}, and yours reads up to {FORMAT})"
    for _ in range(40):
        try:
            profile = _profile({**tables, "saved": {**tables["saved"], "format": FORMAT}})
            return ProfileReading(
                profile,
                number,
                read_only=f"{says}. You can open and plan this job, but to change it get the newer version of rotary",
            )
        except Refused as refused:
            unknown = [fault for fault in refused.faults if isinstance(fault.says, Unknown)]
            if not unknown or not all(_without(tables, fault.where.split(".")) for fault in unknown):
                faults = [_with_line(fault, text) for fault in refused.faults if fault not in unknown]
                why = Fault("saved.format", f"{says}. This file can't be opened here: get the newer version of rotary")
                raise Refused([why, *faults]) from None
    raise refuse("saved.format", f"{says}: get the newer version of rotary")


def _without(node: Any, parts: list[str]) -> bool:
    """Take one value out of nested tables; False where it isn't there."""
    for part in parts[:-1]:
        try:
            node = node[int(part)] if isinstance(node, list) else node[part]
        except (LookupError, ValueError, TypeError):
            return False
    return isinstance(node, dict) and node.pop(parts[-1], None) is not None


def _from_1(tables: Tables, home: str) -> Tables:
    """Format 1 knew a name and a date; the folder's name stands for the id."""
    kept, item = dict(tables.get("saved", {})), tables.get("item", {})
    new: Tables = {"series": home, "title": kept.pop("as", item.get("name") if item else None)}
    new |= {"saved": kept.pop("at")} if "at" in kept else {}
    new["tool"] = kept.pop("by", "")
    return kept | new


def _from_2(tables: Tables, home: str) -> Tables:
    """Format 2 had one outcome and one remark; a good outcome becomes a proof of the job as it stands there."""
    kept = dict(tables["saved"])
    saved = kept.pop("saved", None)
    new: Tables = {"id": kept.pop("series", home), "as": kept.pop("title", None), "by": kept.pop("tool", "")}
    remark, outcome = kept.pop("remark", ""), kept.pop("outcome", "")
    if saved is None:
        return kept | new
    new["at"] = saved
    if remark:
        new["notes"] = [{"on": saved, "text": remark}]
    if outcome == "good":
        new["proof"] = {"on": saved, "job": {name: table for name, table in tables.items() if name != "saved"}}
    elif outcome:
        new["readings"] = [{"on": saved, "of": "run", "shows": outcome}]
    return kept | new


def _from_4(tables: Tables, _home: str) -> Tables:
    """Format 4 stored a sheet with a run: its rows become rows of actions."""
    kept = dict(tables["saved"])
    if "plan" in kept:
        kept["plan"] = with_actions(kept["plan"], tables, "saved.plan")
    proof = kept.get("proof")
    if isinstance(proof, Mapping) and "plan" in proof:
        kept["proof"] = {**proof, "plan": with_actions(proof["plan"], proof.get("job", {}), "saved.proof.plan")}
    return kept


# What is in no step has only other keys, which are renamed as a file is read, or new ones that may be missing.
_STEPS: Final[dict[int, Callable[[Tables, str], Tables]]] = {1: _from_1, 2: _from_2, 4: _from_4}
