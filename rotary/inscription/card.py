"""What the card of an inscription says beside the setup card: sizes, lines, legibility, how to begin, the files."""

from collections.abc import Sequence
from math import degrees
from typing import Final

from rotary.card.essence import whole
from rotary.card.keying import passes_typed
from rotary.errors import brief
from rotary.inscription.models import Inscription, State
from rotary.papers.lines import listed, title, wrapped
from rotary.papers.model import Block, Entry, Keyed, Pairs, Section, Sentences, Table
from rotary.papers.plain import keyed_entries
from rotary.papers.text import block_lines, joined, section_lines
from rotary.passes.learning.depth import DepthAnswer, PartWarmth
from rotary.plan import Plan
from rotary.sentences.cautions import stops
from rotary.sentences.passes import first_line
from rotary.sentences.running import steps_of_files
from rotary.wording import InscriptionWish

GOVERNS = {
    "length": "the length of the words sets the size",
    "height": "the height of the band sets the size",
    "asked": "as asked; larger would fit",
}
WHERE = {
    "ring": "once round the barrel",
    "arc": "part of the way round the barrel",
    "axis": "along the axis",
    "flats": "on the flats",
    "end": "round the end face",
}


_STATES: Final[dict[State, str]] = {"passes": "ok", "fails": "FAILS", "advice": "look"}
"""What stands before each check of legibility."""


def inscription_sections(
    wish: InscriptionWish, facts: Inscription, files: Sequence[str] = (), says: Sequence[str] = (), governs: str = ""
) -> tuple[Section, ...]:
    """What is cut and how to begin; then the room, what can be read, the files, and what they will do.

    `governs` says what set the letters' size, where that was not the inscription's own.
    """
    size = f"{facts.letter_height_mm:.2f} mm high (a capital): {governs or GOVERNS[facts.governs]}"
    room = f"{facts.length_room_mm:.2f} mm along the words, {facts.height_room_mm:.2f} mm across them"
    rows = tuple(
        (f"{place}", f"{line.letters}", f"{line.length_mm:.3f}", f"{line.spacing_mm:+.4f}", brief(line.text, 60))
        for place, line in enumerate(facts.lines, 1)
    )
    head = ("line", "letters", "long mm", "between letters mm", "text")
    checks = tuple(
        f"{_STATES[check.state]}, {check.name}: {check.says}"
        + ("" if check.state == "passes" else f". It would pass with {check.cure}")
        for check in facts.checks
    )
    words = (
        Pairs((("letters", size),)),
        Table(head, rows, "the lines of the inscription", wide=4),
        Sentences(tuple(steps_to_begin(wish, facts)), "box"),
    )
    behind = (("Files", files), ("What the file will do", says))
    return (
        Section(f"Inscription {WHERE[facts.around]}", words),
        Section("Room", (Pairs((("for the words", room), *_place(facts))),)),
        Section("Legibility", (Sentences(checks, "none"), Sentences(facts.notes))),
        *(Section(name, (Sentences(tuple(texts)),)) for name, texts in behind if texts),
    )


def inscription_lines(
    wish: InscriptionWish, facts: Inscription, files: Sequence[str] = (), says: Sequence[str] = (), governs: str = ""
) -> list[str]:
    """The same as lines of text."""
    return joined(*map(section_lines, inscription_sections(wish, facts, files, says, governs)))


def _place(facts: Inscription) -> list[tuple[str, str]]:
    """Where the words lie, and how much of the turn they take."""
    if facts.around == "end":
        return [("foot of the first line", f"on a circle of {2 * facts.radius_mm:.3f} mm across")]
    if facts.around == "flats":
        return []
    return [
        ("radius at its middle", f"{facts.radius_mm:.3f} mm, {facts.middle_mm:.2f} mm from the datum"),
        ("of the turn", f"{degrees(facts.arc_rad):.1f}°, {100 * facts.seen_share:.0f} % of it seen from the front"),
    ]


def steps_to_begin(wish: InscriptionWish, facts: Inscription) -> list[str]:
    """How the part is set up and the marking begun."""
    start = f"{degrees(facts.start_rad):.1f}°"
    if facts.around == "ring":
        says = f"Mark the part's front; the words begin {start} from it."
        closing = "The ring closes on itself: do not correct the key-in numbers." if wish.gap_mm is None else ""
        return [says, *([closing] if closing else [])]
    if facts.around == "flats":
        return [
            "Clamp the part so that a flat lies level under the head; check with the pointer at both ends of it.",
            "Each file is one flat: mark it, then turn by one flat.",
        ]
    if facts.around == "end":
        return [
            "Stand the part up with its end face level and under the middle of the field; nothing turns.",
            f"Trace the file's outline with the pointer before cutting; it begins {start} clockwise from the top.",
        ]
    return [f"Mark the part's front; the middle of the inscription lies {start} from it."]


def laser_section(made: Plan, tried_on: str = "") -> Section:
    """What is keyed in where nothing is turned, and how it is run.

    `tried_on` is the file that a coating is tried on, where there are several.
    """
    blocks: list[Block] = [Sentences((first_line(made),), "none")]
    setting = made.choice.setting
    if setting is not None:
        entries = (
            Entry("Power", f"{100 * setting.power_share:g}", "%"),
            Entry("Repetition rate", f"{setting.rate_khz:g}", "kHz"),
            Entry("Pulse duration", f"{setting.pulse_ns:g}", "ns"),
            Entry("Scan speed", f"{setting.scan_speed_mm_s:g}", "mm/s"),
            Entry("Hatch spacing", f"{setting.hatch_mm:g}", "mm"),
            Entry("Focal plane over the face", f"{setting.defocus_mm:+g}" if setting.defocus_mm else "0", "mm"),
            *(Entry(one.label, one.text, one.unit, one.why) for one in passes_typed(made, tried_on)),
        )
        run = steps_of_files(made.removal, tried_on, made.job.item)
        blocks += [Keyed(entries), Sentences(run, "box")]
    return Section("Laser, for what is marked without turning", tuple(blocks))


def face_lines(made: Plan, tried_on: str = "") -> list[str]:
    """Setting, passes and cautions in whole of a face that is not turned, as lines of text."""
    # What speaks of turning parts is true once the part is in a drive again, so nothing is left out.
    warns, notes = whole(made)
    cautions = (Sentences(warns, "warn"), Sentences(notes))
    laser = laser_section(made, tried_on)
    lines = [title(laser.title)]
    for block in laser.blocks:
        # A number in large figures could be neither searched for nor copied.
        keyed = keyed_entries(block.entries) if isinstance(block, Keyed) else ()
        lines += [f"  {text}" for text in keyed] or block_lines(block)
    return joined(
        listed((f"STOP: {text}" for text in stops(made.safety)), "  ! "),
        lines,
        section_lines(Section("Cautions: local rules and licensed practice go first", cautions)),
    )


def _passes(count: int) -> str:
    return "1 pass" if count == 1 else f"{count} passes"


def depth_lines(found: DepthAnswer, warmth: PartWarmth | None, time_s: float | None, notes: Sequence[str]) -> list[str]:
    """Passes for a depth, with their range, time and warmth."""
    lines = [title("Depth")]
    lines += wrapped(
        f"{_passes(found.passes)} for {found.wanted_um:g} µm: about {found.depth_um_50:.0f} µm deep, from "
        f"{found.depth_um_5:.0f} to {found.depth_um_95:.0f} (5 to 95 %). A pass takes {found.per_pass_um_50:.2f} µm, "
        f"from {found.per_pass_um_5:.2f} to {found.per_pass_um_95:.2f}."
    )
    lines += wrapped(
        f"Gauge first after {_passes(found.safe_passes)}: too deep by then with a chance of 1 in 20. "
        f"{_passes(found.sure_passes)}: deep enough with 19 in 20. Readings that teach: {found.readings}."
    )
    if time_s is not None:
        lines += wrapped(f"Time {time_s / 60:.1f} min, in proportion to the passes.")
    if warmth is not None:
        lines += wrapped(
            f"Part of {warmth.mass_g:.0f} g: {warmth.lump_k:.0f} K warmer at the end (at most {warmth.lump_high_k:.0f} "
            f"K), as one lump in still air, which holds from about {warmth.even_s:.0f} s on; before, the cut face "
            f"rises as if the part had no end, by {warmth.face_k:.0f} K by the same time. Beliefs: an estimate."
        )
    return [*lines, *listed((*found.notes, *notes))]
