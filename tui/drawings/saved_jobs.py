"""Kept profiles as lines: the list, one profile with its versions, and what differs between two."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final, NamedTuple

from rotary.finishes import COATINGS, METALS
from tui.drawings.canvas import Line, Run, fitted, padded
from tui.drawings.words import length, named_line, wrapped
from tui.form.own_coating import NONE

if TYPE_CHECKING:
    from rotary.store.history import PastVersion
    from rotary.store.index import ProfileEntry

MARKS: Final = {"proven": ("+", "good"), "lapsed": ("~", "warn"), "not proven": ("-", "muted"), "": ("!", "bad")}
"""How a profile stands, in one sign and an ink; every sign is explained in the preview's words too."""

SIGNS: Final = " + proven ~ no longer - not proven ! trouble = compare"


class SavedJobView(NamedTuple):
    """What the right half shows of one profile: its versions, what differs, what is wrong."""

    entry: "ProfileEntry"
    past: "Sequence[PastVersion]" = ()
    chosen: str = ""
    changes: Sequence[str] = ()
    against: str = ""
    trouble: Sequence[str] = ()
    near: Sequence[str] = ()


def list_lines(
    found: "Sequence[ProfileEntry]", chosen: int, marked: str, width: int, height: int, top: int
) -> list[Line]:
    """The profiles from number `top` on, one a line; `marked` is the id of the one to compare with."""
    if not found:
        return wrapped(
            "No saved job fits. Backspace shortens your search. To save a job, press Esc, then Ctrl+S.",
            width - 1,
            "muted",
            " ",
        )
    lines: list[Line] = []
    for place in range(top, min(top + height - 1, len(found))):
        entry = found[place]
        sign, ink = ("!", "bad") if entry.trouble or entry.beside else MARKS.get(entry.state, MARKS[""])
        here = place == chosen
        day = (entry.proven_on if entry.state == "proven" else entry.at)[:10]
        mark = "=" if entry.id == marked else " "
        name = padded(fitted(entry.name, max(width - 17, 4)), max(width - 17, 4))
        text = f"{name} {day:>10}"
        lines.append(
            [
                Run("›" if here else " ", "strong"),
                Run(mark, "a"),
                Run(f"{sign} ", ink),
                Run(text, "strong" if here else "plain"),
            ]
        )
    return [*lines, [Run(fitted(SIGNS, width), "muted")]]


def preview_lines(shown: SavedJobView, system: str, width: int) -> list[Line]:
    """One profile: how it stands, what it is, its versions, what differs."""
    entry, room = shown.entry, width - 1
    lines: list[Line] = [named_line(entry.name, "[Enter opens it]", width)]
    lines += _warnings(shown, room)
    if entry.says:
        _, ink = MARKS.get(entry.state, MARKS[""])
        lines += wrapped(entry.says, room, ink, " ")
    if entry.item:
        lines += _facts(entry, system, room)
    lines += [[], [Run(" Versions", "strong")]]
    for past in shown.past:
        here = past.label == shown.chosen
        why = past.trouble or ("saved" if past.why == "kept" else past.why)
        text = fitted(f"{past.label:>3}  {past.at[:16]:<16}  {why}", room - 3)
        ink = "bad" if past.trouble else "strong" if here else "plain"
        lines.append(
            [
                Run(" › " if here else "   ", "strong"),
                Run(text, ink),
                Run(" made in two places" if past.beside else "", "warn"),
            ]
        )
    if shown.against:
        lines += [[], [Run(f" {shown.against}", "strong")]]
        for change in shown.changes:
            lines += wrapped(change, room, "plain", "   ")
        if not shown.changes:
            lines += wrapped("The two are the same.", room, "muted", "   ")
    return lines


def _warnings(shown: SavedJobView, room: int) -> list[Line]:
    """What is wrong with it, how near it is to the item on the desk, and which versions stand side by side."""
    entry = shown.entry
    lines: list[Line] = []
    for text in (entry.trouble, entry.read_only, entry.doubt, *shown.trouble):
        if text:
            lines += wrapped(text, room, "bad", " ! ")
    for place, text in enumerate(shown.near):
        lines += wrapped(text, room, "warn" if place else "strong", " ! " if place else " ")
    if entry.beside:
        both = " and ".join(entry.beside)
        says = (
            f"Versions {both} were made in two places from the same older version. Go to the version that you "
            "want with PgUp and PgDn. F4 then makes it the newest."
        )
        lines += wrapped(says, room, "warn", " ! ")
    return lines


def _facts(entry: "ProfileEntry", system: str, room: int) -> list[Line]:
    low, high = length(entry.low_mm, system), length(entry.high_mm, system)
    size = low if low == high else f"{low} to {high}"
    # A job may be kept before its measures make an item.
    measures = f"⌀{size}, {length(entry.length_mm, system)} long" if entry.widths_mm else "not all measured yet"
    coating, metal = (names.get(name, name) for names, name in ((COATINGS, entry.coating), (METALS, entry.metal)))
    facts = (
        ("item", f"{entry.item}, {measures}"),
        ("coating", f"bare {metal}" if entry.coating == NONE else f"{coating} on {metal}"),
        ("turned by", entry.drive),
        ("laser", entry.head),
        ("note", entry.note),
    )
    return [line for name, text in facts if text for line in wrapped(text, room, "plain", f" {name:<10} ", "muted")]
