"""What the card of an inscription says beside the setup card: sizes, lines, legibility, how to begin, the files."""

from collections.abc import Sequence
from math import degrees

from rotary.card.keying import passes_typed
from rotary.errors import brief
from rotary.inscription.face import FaceForecast
from rotary.inscription.models import Inscription
from rotary.papers.lines import listed, table, title, wrapped
from rotary.passes.learning.depth import DepthAnswer, PartWarmth
from rotary.plan import Plan
from rotary.sentences.cautions import cautions
from rotary.sentences.passes import first_line
from rotary.sentences.running import steps_of_files
from rotary.simulate.forecast import Forecast
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


def inscription_lines(
    wish: InscriptionWish, facts: Inscription, files: Sequence[str] = (), governs: str = ""
) -> list[str]:
    """The section of the card about the inscription; `governs` says what set its size, where that was not its own."""
    lines = [title(f"Inscription {WHERE[facts.around]}")]
    lines += wrapped(
        f"Letters {facts.letter_height_mm:.2f} mm high (a capital): {governs or GOVERNS[facts.governs]}. Room "
        f"{facts.length_room_mm:.2f} mm along the words and {facts.height_room_mm:.2f} mm across them."
    )
    lines += _where(facts)
    rows = [["line", "letters", "long mm", "between letters mm", "text"]]
    rows += [
        [str(place), str(line.letters), f"{line.length_mm:.3f}", f"{line.spacing_mm:+.4f}", brief(line.text, 60)]
        for place, line in enumerate(facts.lines, 1)
    ]
    lines += table(rows)
    lines += listed(steps_to_begin(wish, facts), "  [ ] ")
    lines += ["", title("Legibility")]
    for check in facts.checks:
        says = f"{check.name}: {check.says}"
        if check.state == "passes":
            lines += wrapped(f"{says}.", "  ok    ", "        ")
        else:
            word = "  FAILS " if check.state == "fails" else "  look  "
            lines += wrapped(f"{says}. It would pass with {check.cure}.", word, "        ")
    lines += listed(facts.notes)
    if files:
        lines += ["", title("Files"), *(f"  {brief(name, 90)}" for name in files)]
    return lines


def _where(facts: Inscription) -> list[str]:
    if facts.around == "end":
        return wrapped(f"Foot of the first line on a circle of {2 * facts.radius_mm:.3f} mm across.")
    if facts.around == "flats":
        return []
    seen = f"{100 * facts.seen_share:.0f} % of it is seen from the front at once"
    return wrapped(
        f"Radius {facts.radius_mm:.3f} mm at its middle, {facts.middle_mm:.2f} mm from the datum; it takes "
        f"{degrees(facts.arc_rad):.1f}° of the turn, and {seen}."
    )


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


def forecast_lines(found: Forecast | FaceForecast) -> list[str]:
    """What the written files will do."""
    return [title("What the file will do"), *listed(found.says)]


def face_lines(made: Plan, tried_on: str = "") -> list[str]:
    """Setting, passes and cautions of a face that is not turned; local rules and licensed practice go first.

    `tried_on` is the file that a coating is tried on, where there are several.
    """
    lines = [title("Laser")]
    lines += wrapped(first_line(made))
    setting = made.choice.setting
    if setting is not None:
        lines += wrapped(
            f"{100 * setting.power_share:g} % power, {setting.rate_khz:g} kHz, {setting.pulse_ns:g} ns, "
            f"{setting.scan_speed_mm_s:g} mm/s, hatch {setting.hatch_mm:g} mm, focal plane {setting.defocus_mm:+g} mm "
            "over the face."
        )
        typed = passes_typed(made, tried_on)
        lines += ["", *(f"  {one.label}: {one.text} {one.unit}".rstrip() for one in typed)]
        lines += listed(steps_of_files(made.removal, tried_on, made.job.item), "  [ ] ")
    lines += ["", title("Cautions: local rules and licensed practice go first")]
    for eye in made.safety.eyes:
        need = f"optical density {eye.optical_density:.1f} or more at {eye.wavelength_nm:g} nm"
        lines += wrapped(f"Eyes, {eye.source}: {need}; {eye.verdict}", "  * ")
    for caution in cautions(made.safety):
        # What speaks of turning parts is true once the part is in a drive again, so nothing is left out.
        word = {"stop": "  ! STOP: ", "warn": "  * "}.get(caution.level, "  - ")
        lines += wrapped(f"{caution.about}: {caution.says}", word)
    return lines


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
