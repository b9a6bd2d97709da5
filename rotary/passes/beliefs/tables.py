"""Tables of beliefs: those that ship, and a person's own file that changes them or adds to them.

``coatings.toml`` and ``metals.toml`` in the folder of one's own beliefs look like the shipped ones. A table of a
shipped name changes only what it names; a table of a new name has to be whole. What is refused stays refused.
"""

import tomllib
from functools import lru_cache
from pathlib import Path
from typing import Any, Final, NamedTuple, TypeVar

from pydantic import ValidationError

from rotary.errors import Fault, FileTrouble, Refused, brief, refuse_all
from rotary.faults import faults_of
from rotary.files import file_trouble, regular_bytes, toml_tables
from rotary.model import Model
from rotary.shipped import own_reference, reference
from rotary.toml import toml_trouble

LARGEST_BYTES: Final = 1_000_000

M = TypeVar("M", bound=Model)


class OwnFile(NamedTuple):
    """A person's own file as it stands now: another time or size is another file."""

    path: Path
    changed_ns: int
    size: int


def own_file(name: str) -> OwnFile | None:
    """The person's own file of that name; None where there is none."""
    path = own_reference(name)
    try:
        state = path.stat()
    except OSError:
        return None
    return OwnFile(path, state.st_mtime_ns, state.st_size)


@lru_cache(maxsize=2)
def _shipped(name: str) -> dict[str, Any]:
    return tomllib.loads(reference(name))


def tables(name: str, own: OwnFile | None) -> dict[str, dict[str, Any]]:
    """All tables of a kind; raises FileTrouble or Refused with what is wrong in the person's own file."""
    every = dict(_shipped(name))
    if own is None:
        return every
    shown = brief(own.path, 80)
    larger = FileTrouble(f"{shown} is too large for a file of assumptions: move the file to another folder")
    with file_trouble(own.path, "read", "repair the file, or move it to another folder"):
        text = regular_bytes(own.path, LARGEST_BYTES, larger).decode("utf-8")
    try:
        mine = toml_tables(text)
    except (ValueError, RecursionError) as trouble:
        raise FileTrouble(f"{toml_trouble(shown, trouble)}. Or move the file to another folder") from None
    kind = name.partition(".")[0]
    faults = [Fault(f"{kind}.{brief(key)}", says) for key, table in mine.items() if (says := _wrong(key, table, every))]
    refuse_all(faults)
    return every | {key: {**every.get(key, {}), **table} for key, table in mine.items()}


def _wrong(key: str, table: Any, shipped: dict[str, Any]) -> str:
    if not isinstance(table, dict):
        return f"{brief(key)} stands above all tables: write a line like [my-enamel] above this line."
    if not key.strip() or ":" in key or key == "none":
        return "this name can't be used: write a word without a colon, such as my-enamel."
    if "refused" in shipped.get(key, {}):
        return "this coating is refused: its fumes harm lungs. Choose another name or coating."
    return ""


def validated(model: type[M], table: dict[str, Any], kind: str, name: str) -> M:
    """A table as a model; raises Refused that names the file's table and field."""
    try:
        return model.model_validate(table)
    except ValidationError as error:
        raise Refused(faults_of(error, model, under=f"{kind}.{name}")) from None
