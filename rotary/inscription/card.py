"""What the card of an inscription says beside the setup card: sizes, lines, legibility, how to begin, the files."""

from collections.abc import Sequence
from math import degrees
from typing import Final

from rotary.errors import brief
from rotary.inscription.depths import DepthResult
from rotary.inscription.models import Check, Inscription, State
from rotary.papers.lines import listed, title, wrapped
from rotary.papers.model import Pairs, Section, Sentences, Table, filled
from rotary.papers.sizes import Sizes
from rotary.papers.text import joined, section_lines
from rotary.units import significant
from rotary.wording import InscriptionWish

GOVERNS = {
    "length": "larger letters would make the words too long",
    "height": "larger letters would be too high for the part",
    "asked": "as high as you asked (larger letters would fit)",
}
WHERE = {
    "ring": "once round the part",
    "arc": "part of the way round",
    "axis": "lengthwise, along the axis",
    "flats": "on the flats",
    "end": "round the end face",
}

_STATES: Final[dict[State, str]] = {"passes": "ok", "fails": "CAN'T BE READ", "advice": "NOTE"}
"""What stands before each check of legibility."""
_WIDE: Final = "SLICES ARE TOO WIDE"
"""The same where a check that is of no letter fails."""


def _state(check: Check) -> str:
    return _WIDE if check.state == "fails" and not check.letter else _STATES[check.state]


def words_line(facts: Inscription, system: str = "mm") -> tuple[State, str]:
    """How words come out, in one sentence: lines, size, and the first thing that could not be read."""
    lines = "1 line" if len(facts.lines) == 1 else f"{len(facts.lines)} lines"
    high = facts.letter_height_mm
    size = f"{lines}, letters {high / 25.4:.3f} in" if system == "in" else f"{lines}, letters {high:.1f} mm"
    worst = next((check for check in facts.checks if check.state == "fails"), None)
    if worst is None:
        return "passes", f"{size}: readable"
    return "fails", f"{size}. {failure(worst)}"


def failure(check: Check) -> str:
    """What a check that fails means: a letter that can't be read, or slices too wide."""
    what = f'"{check.letter}" can\'t be read' if check.letter else _WIDE.capitalize()
    return f"{what}: {check.name}"


def inscription_sections(
    wish: InscriptionWish,
    facts: Inscription,
    files: Sequence[str] = (),
    says: Sequence[str] = (),
    governs: str = "",
    system: str = "mm",
) -> tuple[Section, ...]:
    """What is cut and how to begin; then the room, what can be read, the files, and what they will do.

    `governs` says what set the letters' size, where that was not the inscription's own. Where a round part starts is a
    step of the setup sheet.
    """
    sizes = Sizes(system)
    size = f"{sizes.length(facts.letter_height_mm)} high (a capital): {governs or GOVERNS[facts.governs]}"
    room = f"{sizes.length(facts.length_room_mm)} long, {sizes.length(facts.height_room_mm)} high"
    rows = tuple(
        (f"{place}", sizes.length(line.length_mm), brief(line.text, 60)) for place, line in enumerate(facts.lines, 1)
    )
    checks = tuple(
        sizes.text(
            f"{_state(check)}, {check.name}: {check.says}" + ("" if check.state == "passes" else f". Use {check.cure}")
        )
        for check in facts.checks
    )
    steps = steps_to_begin(wish, facts)
    words = (
        Pairs((("letters", size),)),
        Table(("line", "length", "text"), rows, "the words, line by line", wide=2),
        *filled(Sentences(steps, "box")),
    )
    behind = (("Files", files), ("What the file will mark", sizes.texts(says)))
    return (
        Section("WORDS", (Sentences((f"The words go {WHERE[facts.around]}.",), "none", loud=True), *words)),
        Section("Room", (Pairs((("room for the words", room), *_place(facts, sizes))),)),
        Section("Legibility", (Sentences(checks, "none"), Sentences(tuple(sizes.texts(facts.notes))))),
        *(Section(name, (Sentences(tuple(texts)),)) for name, texts in behind if texts),
    )


def inscription_lines(
    wish: InscriptionWish,
    facts: Inscription,
    files: Sequence[str] = (),
    says: Sequence[str] = (),
    system: str = "mm",
) -> list[str]:
    """The same as lines of text."""
    return joined(*map(section_lines, inscription_sections(wish, facts, files, says, system=system)))


def _place(facts: Inscription, sizes: Sizes) -> list[tuple[str, str]]:
    """Where the words lie, and how much of the turn they take."""
    if facts.around == "end":
        return [("line 1 stands on a circle", f"{sizes.length(2 * facts.radius_mm)} across")]
    if facts.around == "flats":
        return []
    return [
        (
            "middle of the words",
            f"{sizes.length(facts.middle_mm)} from the end you measure from. There the part is "
            f"{sizes.length(2 * facts.radius_mm)} across",
        ),
        (
            "the words reach round",
            f"{degrees(facts.arc_rad):.1f}°. You see {100 * facts.visible_share:.0f} % of them at once",
        ),
    ]


def steps_to_begin(wish: InscriptionWish, facts: Inscription) -> tuple[str, ...]:
    """What is done for the words alone, beside the steps of the setup sheet."""
    if facts.around == "ring":
        return () if wish.gap_mm is not None else ("Type all numbers exactly, so that the ring of words closes.",)
    if facts.around == "flats":
        return ("Each file is for one flat. Mark the flat, then turn the part to the flat of the next file.",)
    if facts.around == "end":
        start = f"{degrees(facts.start_rad):.1f}°"
        return (
            "Trace the file's outline with the pointer first: it must lie on the face. In your program's window the "
            f"words begin {_from_top(start)}: never turn or mirror the file.",
        )
    return ()


def _from_top(start: str) -> str:
    return "at the top" if float(start.rstrip("°")) == 0 else f"{start} clockwise from the top"


def _passes(count: int) -> str:
    return "1 pass" if count == 1 else f"{count} passes"


def depth_lines(result: DepthResult, system: str = "mm") -> list[str]:
    """Passes for a depth, with their range, time and warmth."""
    found, warmth, says = result.answer, result.warmth, list[str]()
    says.append(
        f"To cut {found.wanted_um:g} µm deep, mark {_passes(found.passes)}: one pass takes off about "
        f"{significant(found.per_pass_um_50)} µm. 9 of 10 parts then come out {found.depth_um_5:.0f} to "
        f"{found.depth_um_95:.0f} µm deep."
    )
    says.append(
        f"On your first part stop after {_passes(found.safe_passes)} and measure the depth: 1 part of 20 is too deep "
        f"already. Then add passes until it is deep enough: {_passes(found.sure_passes)} in all "
        f"{'is' if found.sure_passes == 1 else 'are'} enough for 19 of 20 parts."
    )
    if found.readings:
        says.append(f"rotary used {found.readings} depth reading{'s' * (found.readings != 1)} for this.")
    says.append(f"All {_passes(found.passes)} together take {result.time_s / 60:.1f} min.")
    if warmth is not None:
        says.append(
            f"The whole part gets about {warmth.lump_k:.0f} °C warmer, at most {warmth.lump_high_k:.0f} °C (estimate). "
            f"In the first {warmth.even_s:.0f} s the marked face gets about {warmth.face_k:.0f} °C warmer."
        )
    lines = [line for text in Sizes(system).texts(says) for line in wrapped(text)]
    return [title("Depth"), *lines, *listed((*found.notes, *result.notes))]
