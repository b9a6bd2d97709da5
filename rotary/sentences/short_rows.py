"""What is set by hand in a few words, for a screen that has little room; in whole it is the row's own text."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from rotary.papers.sizes import Sizes

if TYPE_CHECKING:
    from rotary.actions.models import ActionRow, RunActions

Mm = Callable[[float | None], str]


def short_text(row: "ActionRow", system: str) -> str:
    """The row in a few words, or its text where there are none for it."""
    kind = row.id if row.id in _SHORT else row.id.rpartition("_")[0]
    return _SHORT[kind](row, Sizes(system).by_hand) if kind in _SHORT else row.text


def file_name(row: "ActionRow") -> str:
    """What is imported, by its name; files of words have none before their artwork is laid out."""
    return "the words' files" if row.value == "words" else f"{row.value}"


def short_run(run: "RunActions", several: bool) -> str:
    """How bare metal is marked, on `several` slices or on one, in a few words: its passes, which way their lines lie,
    when its depth is measured.
    """
    if not run.depth_check_after or not run.rungs:
        return ""
    many = run.rungs[0].passes
    passes = fills_of(run) or f"{many} pass{'es' * (many > 1)}"
    return f"{passes}{' on each slice' * several} · measure the depth after pass {run.depth_check_after}"


def fills_of(run: "RunActions", rest: int | None = None) -> str:
    """How many passes each fill gets where a slice has lines both ways; "" where all run alike.

    `rest` is how many are left of a slice: a program runs one fill after the other where it has both.
    """
    ways = [one.fill_direction for one in run.passes for _ in range(one.first, one.last + 1)]
    if not {"around", "along"} <= set(ways):
        return ""
    if run.order != "all round" and not run.file_per_slice:
        ways.sort(key=("around", "along").index)
    left = ways[len(ways) - (len(ways) if rest is None else rest) :]
    around, along = left.count("around"), left.count("along")
    if around and along:
        return f"{around} pass{'es' * (around > 1)} with lines around, {along} along"
    return f"{len(left)} pass{'es' * (len(left) > 1)} with lines {'around' if around else 'along'}"


def _end(row: "ActionRow") -> str:
    return f"the {row.end}" if row.end in ("base", "rim") else f"{row.end}"


def _focus(row: "ActionRow", mm: Mm) -> str:
    away = float(row.value)
    move = f"then lens {mm(abs(away))} {'AWAY' if away > 0 else 'CLOSER'}" if away else "leave the lens there"
    part = f"{row.about}: " if row.about else ""
    if row.of == "face":
        return f"focus on the face, {move}"
    return (
        f"{part}focus on the apex, {move} (apex {mm(row.apex_over_bed)}, focus {mm(row.focus_over_bed)} over the bed)"
    )


SIDES: Final = {"right": "right (+X)", "left": "left (-X)", "back": "back (+Y)", "front": "front (-Y)"}
"""From where a slice comes up, and the direction in the program."""

WINDOW: Final = {"up": "back", "down": "front", "right": "right", "left": "left"}
"""Which side of the field each edge of the program's window is."""

OTHER_SIDE: Final = {"right": "left", "left": "right", "back": "front", "front": "back"}

_SHORT: Final[dict[str, Callable[["ActionRow", Mm], str]]] = {
    "vessel": lambda _row, _mm: "lid off, item empty and dry",
    "jaw_end": lambda row, _mm: f"put {_end(row)} in the jaws",
    "end_stop": lambda row, _mm: f"push {_end(row)} against a fixed stop",
    "shim": lambda row, mm: (
        f"{mm(float(row.value))} shim under the {row.of} at {_end(row)}, {mm(row.base)} from the end that stays down"
    ),
    "level": lambda _row, _mm: "put nothing under the item",
    "field_middle": lambda row, mm: f"put the place {mm(float(row.value))} from {_end(row)} under the field's middle",
    "witness_marks": lambda row, mm: (
        f"draw two witness crosses on top under the pointer, at heights {mm(float(row.value))} and {mm(row.rim_at)}"
    ),
    "turn_way": lambda row, _mm: f"trial turn, beam off: next slice must come up from the {SIDES[f'{row.value}']}",
    "focus": _focus,
    "corner_ticks": lambda _row, _mm: "run the file's corner ticks at zero power, or on tape",
}
