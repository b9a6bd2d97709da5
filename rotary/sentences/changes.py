"""What was changed since a job was saved or proven, in a person's words; the names of the job file stay in the file."""

import re
from collections.abc import Mapping
from datetime import date
from typing import Final

from rotary.finishes import COATINGS, METALS
from rotary.passes.learning.reading import OUTCOME_NAMES

PARTS: Final[dict[str, str]] = {
    "item": "", "turning": "", "laser": "", "artwork": "artwork's ", "tolerances": "", "passes": "",
    "program": "program ", "inscription": "words' ", "shop": "", "saved": "",
}  # fmt: skip
"""What stands before a name that says too little alone, by its table."""

NAMES: Final[dict[str, str]] = {
    "item.measuring_tolerance": "diameter's ±", "item.measurements.at": "height",
    "item.measurements.across": "diameter", "item.measurements.round": "girth",
    "item.measurements.second_across": "second diameter", "item.measurements.corner": "corner",
    "item.coating_thickness": "coating's thickness", "turning.kind": "turning",
    "turning.full_steps": "motor's full steps", "turning.controller_field": "program asks for",
    "turning.typed_decimals": "decimals allowed", "turning.typed_diameter": "diameter shown",
    "turning.centres": "roller centres", "turning.ticks.gap": "tick gap", "turning.ticks.at": "ticks' height",
    "turning.top_speed": "top speed of turning", "turning.levelled": "apex levelled",
    "turning.ticks.u": "tick gap's ±", "turning.stops_whole": "stops, full cycle",
    "turning.stops_free": "stops, any turn", "turning.contact_from": "rollers touch from",
    "turning.contact_to": "rollers touch to", "turning.acceleration_rad_s2": "acceleration",
    "laser.name": "laser and lens", "laser.largest_pulse": "largest pulse energy",
    "laser.focal_length": "lens's focal length", "laser.field": "lens's field", "laser.spot": "measured spot",
    "laser.slice_wide": "slice width, %", "laser.slice_high": "slice height, %", "laser.slice_turn": "slice tilt",
    "laser.rim_towards": "rim points to", "laser.use": "laser", "laser.rayleigh": "depth of focus",
    "laser.pupil_x": "pupil, x mirror", "laser.pupil_y": "pupil, y mirror", "laser.pupil_doubt": "pupils' ±",
    "laser.line_wait": "delays per line", "laser.field_axis": "item lies along",
    "artwork.centre": "artwork's middle at height", "artwork.centre_angle": "artwork's middle at angle",
    "artwork.surface_map": "artwork on a taper", "artwork.full_wrap": "artwork all round",
    "artwork.ink": "dark share", "tolerances.seam": "off at a seam", "tolerances.method": "kind of file",
    "tolerances.closing_gap": "gap that closes", "tolerances.closing_gap_u": "closing gap's ±",
    "tolerances.closing_gap_at": "ladder settings", "tolerances.diameter": "all diameters' ±",
    "tolerances.focus": "focus's ±", "tolerances.field_scale": "field scale's ±",
    "tolerances.line_spacing": "lines in files", "tolerances.fluence_low": "least energy",
    "tolerances.fluence_high": "most energy", "tolerances.incidence": "beam angle",
    "tolerances.margin": "margin of slices", "passes.hottest_c": "wall at most °C",
    "passes.polish": "polish takes off", "passes.spoiled_cost": "spoiled item cost",
    "inscription.depth": "words' depth", "inscription.around": "where the words go",
    "inscription.more": "words on other flats", "inscription.tracking": "words' letter spacing",
    "inscription.line_pitch": "words' line distance", "inscription.letter_height": "words' height at most",
    "inscription.least_height": "words' height at least", "inscription.font": "words' font file",
    "inscription.italic": "slanted words", "inscription.read_at": "reading distance",
    "inscription.surface_map": "words on a taper", "inscription.start": "words' start angle",
    "inscription.repeat": "words repeated", "inscription.from": "words usable from",
    "inscription.to": "words usable to", "inscription.end_diameter": "end face", "order.pieces": "items",
    "saved.notes.text": "note", "saved.notes.on": "time of note", "saved.proof.batch": "batch of the proven run",
    "saved.readings.of": "reading", "saved.readings.shows": "result of reading",
    "saved.readings.on": "time of reading", "saved.readings.ignored": "ignored reading",
    "saved.plan.passes_counted": "passes counted", "saved.readings.place": "place of reading",
    "method": "kind of file", "slices": "slices", "index_angle": "turn per slice", "numbers": "numbers",
    "artwork.pieces.file": "drawing", "artwork.pieces.angle_from": "piece's angle counts from",
    "artwork.pieces.invert": "piece inverted", "artwork.pieces.mirror": "piece mirrored",
    "artwork.pieces.repeat": "piece's copies", "artwork.pieces.face": "piece's letters",
    "artwork.pieces.weight": "how bold the piece's letters are", "saved.as": "name of the saved job",
    "saved.drawings.name": "drawing's file", "saved.drawings.sha256": "drawing's checksum",
    "saved.drawings.size_bytes": "drawing's size in bytes", "saved.proof.note": "note on the proven run",
    "saved.proof.on": "time of the proof", "steps": "motor steps per slice", "focal_plane": "focus over the bed",
    "chance": "odds of a clean item",
    "defocus": "lens away",
}  # fmt: skip
"""What each value is called, by its name in a file without the numbers of rows; all others are called as they are."""

WORDS: Final[dict[str, str]] = {
    **COATINGS,
    **METALS,
    "-": "not given", "true-width": "true width",
    "with-taper": "with the taper", "label": "like a label", "front-view": "as seen from the front",
    "fibre-30w-160": "example, 30 W, 160 mm", "fibre-60w-254": "example, 60 W, 254 mm",
    "f-theta": "f-theta", "two-phase": "two-phase", "three-phase": "three-phase", "closed-loop": "closed-loop",
}  # fmt: skip
"""Values that a file has in one word, as a person says them."""


_OF: Final = {"saved.plan.": "planned", "saved.readings.": "reading's", "artwork.pieces.": "piece's"}
"""What stands before the name of a value in a list, or of a plan."""

_SEEN: Final[dict[str, str]] = {str(word): name for word, name in OUTCOME_NAMES.items()}


def change_text(where: str, before: str, after: str) -> str:
    """One value that differs, by what a person calls it; rows count from 1.

    >>> change_text("item.measurements.0.across", "88 mm", "84 mm"), change_text("item.wall", "0.5 mm", "-")
    ('diameter 1: 88 mm → 84 mm', 'wall: 0.5 mm → not given')
    >>> change_text("saved.proof.on", "-", "2026-11-29 04:12+00:00")
    'marked proven, 29 November 2026'
    """
    if where == "saved.proof.on" and after != "-":
        day = date.fromisoformat(after[:10])
        return f"marked proven, {day.day} {day:%B %Y}"
    seen = _SEEN if where.startswith("saved.readings.") else {}
    return f"{name_of(where)}: {seen.get(before) or _value(before)} → {seen.get(after) or _value(after)}"


def reading_text(values: Mapping[str, str]) -> str:
    """A reading in a line: what was looked at, where, and what was seen.

    >>> reading_text({"of": "test patch, saved reading 2", "place": "cell 3", "shows": "covered", "power": "12 %"})
    'test patch, cell 3, coating left'
    """
    # What comes after the comma is only which of the stored readings was shown.
    parts = (values.get("of", "").partition(",")[0], values.get("place"), values.get("shows"))
    return ", ".join(_SEEN.get(text, text) for text in parts if text)


def name_of(where: str) -> str:
    """What a value is called.

    >>> name_of("laser.rated_power"), name_of("item.handle.reach"), name_of("saved.plan.defocus")
    ('rated power', 'handle reach', 'planned lens away')
    >>> name_of("artwork.pieces.0.angle"), name_of("artwork.pieces.0.file"), name_of("program.can_pause")
    ("piece's angle 1", 'drawing 1', 'program can pause')
    """
    rows = [int(number) + 1 for number in re.findall(r"\.(\d+)(?=\.|$)", where)]
    plain = re.sub(r"\.\d+(?=\.|$)", "", where)
    part, _, rest = plain.partition(".")
    name = NAMES.get(plain) or NAMES.get(rest)
    for table, before in _OF.items() if name is None else ():
        if plain.startswith(table):
            name = f"{before} {name_of(plain.removeprefix(table))}"
    if name is None:
        # A table's own name says nothing; its fields are called as they are.
        name = f"{PARTS[part]}{rest}" if part in PARTS and rest else plain
        name = name.replace(".", " ").replace("_", " ")
    return " ".join([name, *map(str, rows)])


def _value(text: str) -> str:
    """A value as a person says it: other names have a dash for a space.

    >>> _value("polyester-powder-dark"), _value("-0.5 mm"), _value("sliced")
    ('powder coat, dark', '-0.5 mm', 'sliced')
    """
    if text in WORDS:
        return WORDS[text]
    return text.replace("-", " ") if re.fullmatch(r"[a-z]+(?:-[a-z0-9]+)+", text) else text
