"""What format 4 stored of a run as a sheet of labels and sentences, brought up to the rows of `rotary.actions`.

The sheet's numbers get the ids that they have now; what it said in sentences stays, word for word.
"""

import re
from collections.abc import Iterator, Mapping
from math import ceil
from typing import Any, Final

from rotary.actions.run import DEPTH_CHECK_SHARE
from rotary.defaults import END_NAMES
from rotary.errors import Predicate, refuse
from rotary.program import ROW_IDS
from rotary.sentences.passes import AFTER, BEFORE
from rotary.units import value_from_text

Tables = Mapping[str, Any]

_KINDS: Final = {"lift": "removal", "finish": "last", "cut": "cut"}
_OF_A_TRIAL: Final = re.compile(r"-(?:first|rest)\.svg\b")
"""Files that a coating was tried with had other names then, and a repeat has none."""


_OLD_WARNING: Final = re.compile(r"NOT (.+): leave it")


def with_actions(run: Any, job: Any, where: str) -> Any:
    """The table of a run with `actions` in place of its `sheet`; as it is where it has none.

    `job` are the tables of the job that was run, which say what an end is called and what turns. Raises Refused where
    the sheet is damaged.
    """
    if not isinstance(run, Mapping) or "sheet" not in run:
        return _warned_anew(run)
    others = {name: value for name, value in run.items() if name != "sheet"}
    try:
        return _warned_anew(others | {"actions": _Sheet(run["sheet"], job, run.get("passes_counted")).actions()})
    except (KeyError, TypeError, ValueError, AttributeError, IndexError):
        raise refuse(f"{where}.sheet", Predicate("is damaged: open an older version of the saved job")) from None


def _warned_anew(run: Any) -> Any:
    """The run with the warning beside a number as it is said now: "NOT 79: leave it" was read as "don't type this"."""
    actions = run.get("actions") if isinstance(run, Mapping) else None
    if not isinstance(actions, Mapping):
        return run
    rows = actions.get("type")
    if not isinstance(rows, list | tuple) or not all(isinstance(row, Mapping) for row in rows):
        return run
    typed = [
        {name: _today(text) if name in ("leave", "leave_in") else text for name, text in row.items()} for row in rows
    ]
    return {**run, "actions": {**actions, "type": typed}}


def _today(warning: Any) -> Any:
    return _OLD_WARNING.sub(r"type this, not \1", warning) if isinstance(warning, str) else warning


class _Sheet:
    """A sheet with the job it belongs to."""

    def __init__(self, sheet: Tables, job: Tables, counted: int | None) -> None:
        item = job.get("item", {})
        self.sheet, self.counted = sheet, counted
        self.rows: dict[str, Tables] = {row["id"]: row for part in ("typed", "by_hand") for row in sheet.get(part, ())}
        self.ends = dict(zip(("base", "rim"), END_NAMES[bool(item.get("solid"))], strict=True))
        self.datum = self.ends[item.get("heights_from", "base")]
        self.rollers = job.get("turning", {}).get("kind", "rollers") == "rollers"
        self.steps = [_pass_step(one) for one in sheet.get("passes", ())]

    def actions(self) -> dict[str, Any]:
        """All that the sheet held."""
        told = {name: self.sheet.get(name, ()) for name in ("set_up", "check")}
        return {
            "verdict": {"state": "test first", "reasons": ["rebuilt"]},
            "import": list(self._import()),
            "type": [_row(self.rows[name]) for name in ROW_IDS if name in self.rows],
            "by_hand": [*self._by_hand(), *_sentences("set_up", told["set_up"])],
            "check": [*self._check(), *_sentences("see", told["check"])],
            "run": self._run(),
        }

    def _import(self) -> Iterator[dict[str, Any]]:
        if name := self.sheet.get("file"):
            yield {"id": "file", "value": name, "label": "File", "text": f"Import {name}."}
        for name, row in self.rows.items():
            if name.startswith("marked_size_"):
                sides, grown = row["text"].split(" × "), _number(row["why"].split(" ")[0])
                more = {"factor": grown} if isinstance(grown, float) else {}
                new = {"id": name.replace("marked", "artwork"), "value": float(sides[0]), "high": float(sides[-1])}
                yield _row(row) | new | more
        if "sheet_width" in self.rows:
            high = float(self.rows["sheet_height"]["text"])
            yield _row(self.rows["sheet_width"]) | {"id": "page_size", "high": high}

    def _by_hand(self) -> Iterator[dict[str, Any]]:
        for name, row in self.rows.items():
            if name == "shim":
                end, base = self.ends["base" if "foot end" in row["label"] else "rim"], row["why"].split(" ")[-2]
                of = "rotary" if self.rollers else "chuck"
                yield _row(row) | {"end": end, "base": float(base), "of": of}
            elif name == "field_middle":
                yield _row(row) | {"end": self.datum}
            elif name == "start_angle":
                yield _row(row) | {"sense": "+ to the right"}
            elif name == "focus":
                apex, plane = (float(self.rows[name]["text"]) for name in ("apex_over_bed", "focus_over_bed"))
                away = float(row["text"]) * (1 if plane >= apex else -1)
                yield _row(row) | {"value": away, "apex_over_bed": apex, "focus_over_bed": plane}
            elif name.startswith("focus_zone_"):
                yield _row(row)

    def _check(self) -> Iterator[dict[str, Any]]:
        if "slices_shown" in self.rows:
            yield _row(self.rows["slices_shown"]) | {"of": self.rows["file_slice_width"]["text"]}
        if "slice_turn" in self.rows:
            yield _row(self.rows["slice_turn"]) | {"id": "slice_turns"}

    def _run(self) -> dict[str, Any]:
        steps, told = self.steps, self.sheet.get("run", ())
        coated = any(one["kind"] == "removal" for one in steps)
        all_round = self.sheet.get("order") == "all-round"
        before = [name for name in BEFORE if coated and name != "test_patch"]
        run: dict[str, Any] = {
            "files": {"whole": self.sheet.get("file", "")},
            "order": "all round" if all_round else "slice by slice",
            "turns": "roller" if self.rollers else "chuck",
            "passes": steps,
            "before": before,
            "after": list(AFTER),
            "texts": [*(BEFORE[name] for name in before), *told, *AFTER.values()],
        }
        many = self.counted if coated or not steps else steps[-1]["last"]
        if steps and many:
            check = many if coated else max(1, ceil(DEPTH_CHECK_SHARE * many))
            run["counted" if coated else "depth_check_after"] = check
            if coated or not all_round:
                run["rungs"] = [{"power": steps[0]["power"], "passes": many, "look_after": check}]
            else:
                # All passes stood as typed then: how today's tool has them run all round does not fit.
                run["texts"] = ["Order: all round.", *run["texts"]]
        for last in (one for one in steps if one["kind"] == "last"):
            shift = re.search(r"lines shifted ([0-9.]+) mm", self.rows.get("last_power", {}).get("why", ""))
            run["last_pass"] = {name: last[name] for name in ("power", "speed", "line_spacing", "fill_direction")} | {
                "line_shift": float(shift[1]) if shift else 0.0,
                "when": "after all" if all_round else "each slice",
            }
        return run


def _row(row: Tables) -> dict[str, Any]:
    """A row as it was, its text as a number where it is one."""
    unit, more = row.get("unit", ""), {name: row[name] for name in ("leave", "leave_in", "rebuilt") if row.get(name)}
    if row.get("leave"):
        more["real"] = _number(row["real"])
    words = {"label": row["label"], "text": f"{row['label']}: {row['text']} {unit}".strip()}
    return {"id": row["id"], "value": _number(row["text"]), "unit": unit, "figure": row["text"]} | words | more


def _number(text: str) -> int | float | str:
    try:
        return int(text) if text.isdecimal() else float(text)
    except ValueError:
        return text


def _sentences(name: str, texts: Any) -> Iterator[dict[str, Any]]:
    told = (text for text in texts if not _OF_A_TRIAL.search(text))
    return ({"id": f"{name}_{number}", "value": text, "text": text} for number, text in enumerate(told, 1))


def _pass_step(one: Tables) -> dict[str, Any]:
    return {
        "first": one["first"],
        "last": one["last"],
        "kind": _KINDS[one["kind"]],
        "power": round(100 * value_from_text(one["power"], "", None), 4),
        "speed": value_from_text(one["speed"], "mm/s", None),
        "line_spacing": value_from_text(one["line_spacing"], "mm", None),
        "fill_direction": "along" if one.get("direction", "").startswith("along") else "around",
        "pause": value_from_text(one.get("pause", "0 s"), "s", None),
    }
