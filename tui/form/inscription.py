"""The `[inscription]` of a job, and the same as the fields of its screen. No terminal in here, and no core."""

import json
from collections.abc import Mapping
from typing import Final

from rotary.errors import fault_line
from tui.catalogue.inscription import INSCRIPTION
from tui.catalogue.work import WORDS as LINES
from tui.form.fields import JobTables, Tables, each_field, each_table
from tui.form.tables import EMPTY, Entry

WORDS: Final = "inscription"
"""The name of the job's table, and of the entry that holds all of it but the words."""

OF_ONE_VISIT: Final = ("write", "depth")
"""Groups of the screen that are of one run, what is written where and what a gauge said, and in no job."""

WANTED: Final = "depth.wanted"
"""The one field among them that is the job's: there it is `depth`."""

KEYS: Final = frozenset(
    {field.key for field in each_field(INSCRIPTION) if field.key.partition(".")[0] not in OF_ONE_VISIT}
    | {table.key for table in each_table(INSCRIPTION)}
    | {"depth"}
)
"""The keys of `[inscription]` that the screen has fields for."""


def job_table(tree: JobTables) -> Tables:
    """What a job keeps of the fields.

    >>> job_table({"text": [{"line": "HERON"}, {"line": "2026"}], "gap": "2.0 mm", "depth": {"wanted": "40.0 um"}})
    {'text': 'HERON\\n2026', 'gap': '2.0 mm', 'depth': '40.0 um'}
    """
    kept: Tables = {}
    text = "\n".join(str(row.get("line", "")) for row in tree.get("text", ()))
    if text.strip():
        kept["text"] = text
    more = [str(row.get("text", "")) for row in tree.get("more", ())]
    if any(more):
        kept["more"] = more
    kept |= {key: value for key, value in tree.items() if key in KEYS and key not in ("text", "more", "depth")}
    wanted = tree.get("depth", {}).get("wanted")
    return {**kept, "depth": wanted} if wanted else kept


def fields_of(table: JobTables) -> Tables:
    """The fields of the screen that a job's table fills.

    >>> fields_of({"text": "HERON\\n2026", "around": "arc", "depth": "40 um"})
    {'around': 'arc', 'text': [{'line': 'HERON'}, {'line': '2026'}], 'depth': {'wanted': '40 um'}}
    """
    tree = {key: value for key, value in table.items() if key not in ("text", "more", "depth")}
    tree["text"] = [{"line": line} for line in str(table.get("text", "")).split("\n")]
    more = table.get("more", ())
    if isinstance(more, (list, tuple)) and more:
        tree["more"] = [{"text": str(text)} for text in more]
    if "depth" in table:
        tree["depth"] = {"wanted": table["depth"]}
    return tree


def of_one_visit(tree: JobTables) -> Tables:
    """What of the fields is in no job, to be there again at the next visit.

    >>> of_one_visit({"gap": "2 mm", "depth": {"wanted": "40 um", "passes": "10"}, "write": {"folder": "nut"}})
    {'write': {'folder': 'nut'}, 'depth': {'passes': '10'}}
    """
    kept = {group: dict(tree[group]) for group in OF_ONE_VISIT if group in tree}
    kept.get("depth", {}).pop("wanted", None)
    return kept


def together(table: JobTables, visit: JobTables) -> Tables:
    """The fields that a job fills, with those of an earlier visit beside them."""
    tree = fields_of(table)
    for group, texts in visit.items():
        tree[group] = {**texts, **tree.get(group, {})}
    return tree


def entries_of(table: JobTables) -> dict[str, Entry]:
    """A job's table as entries of the desk, undone and drafted like any other: the words a line each, the rest one."""
    lines = str(table.get("text", "")).split("\n") if str(table.get("text", "")).strip() else []
    entries = {LINES.cell(row, LINES.columns[0]): Entry(line) for row, line in enumerate(lines)}
    entries[f"{LINES.key}.#"] = Entry(str(len(lines)))
    rest = {key: value for key, value in table.items() if key != "text"}
    return entries | {WORDS: Entry(json.dumps(rest, ensure_ascii=False, sort_keys=True, default=str) if rest else "")}


def table_of(entries: Mapping[str, Entry]) -> Tables:
    """The table of such entries; raises ValueError or TypeError for other ones."""
    table = json.loads(entries.get(WORDS, EMPTY).text or "{}")
    if not isinstance(table, dict):
        raise TypeError("no table")
    rows = range(int(entries.get(f"{LINES.key}.#", EMPTY).text or 0))
    lines = [entries.get(LINES.cell(row, LINES.columns[0]), EMPTY).text.replace("\\n", "\n") for row in rows]
    text = "\n".join(lines).rstrip()
    return {**table, "text": text} if text else table


def fault_text(where: str, says: str) -> str:
    """A fault of the inscription as the desk tells it, which has no field for it.

    >>> from rotary.errors import Predicate
    >>> fault_text("inscription.gap", Predicate("has no unit"))
    'Inscription (Ctrl+B), gap has no unit'
    """
    key = where.removeprefix("inscription.")
    field = next((one for one in each_field(INSCRIPTION) if one.key == (WANTED if key == "depth" else key)), None)
    return fault_line(f"Inscription (Ctrl+B), {field.label if field is not None else key}", says)
