"""The actions of a job in words: what each row is called, what to do, how the job stands, what comes next."""

from collections.abc import Callable, Sequence
from typing import Final

from rotary.actions.files import WORDS
from rotary.actions.models import ActionCaution, ActionRow, Actions, kind_of
from rotary.errors import counted
from rotary.papers.sizes import Sizes
from rotary.sentences.artwork import distortion_text
from rotary.sentences.cautions import SOURCES, CautionText
from rotary.sentences.run_texts import run_texts, slices_of
from rotary.sentences.short_rows import SIDES, WINDOW, fills_of
from rotary.sentences.standing import end_words, front_words, step_text, verdict_text
from rotary.units import text_from_value

LABELS: Final[dict[str, str]] = {
    "file": "File",
    "artwork_size": "On the item",
    "page_size": "Size shown",
    "rim_edge": "Edge at {end}",
    "scale": "Scale",
    "file_slice_width": "Slice width in the file",
    "extra_per_slice": "Extra per slice",
    "typed_steps_per_turn": "Steps per turn of the {of}",
    "typed_diameter": "Diameter to type",
    "roller_diameter": "Roller diameter to type",
    "angle_per_slice": "Angle per slice",
    "power": "Power",
    "frequency": "Frequency",
    "pulse_width": "Pulse width",
    "speed": "Speed",
    "line_spacing": "Line spacing",
    "fill_direction": "Lines",
    "passes": "Passes",
    "pause": "Pause",
    "vessel": "Vessel",
    "jaw_end": "In the jaws",
    "end_stop": "Stop",
    "shim": "Shim",
    "level": "Level",
    "face_up": "Face to mark",
    "next_flat": "Next flat",
    "field_middle": "Under the field's middle",
    "start_angle": "Start angle",
    "witness_marks": "Witness crosses",
    "turn_way": "Trial turn",
    "lens_first": "Focus reading",
    "focus": "Focus",
    "corner_ticks": "Corner ticks",
    "size_shown": "Size",
    "slices_shown": "Slices shown",
    "first_cut": "First border",
    "blank_slices": "Blank slices",
    "page_middle": "Slice at the start",
    "slice_turns": "Turn per slice",
    "whole_turn": "Turn of all slices",
}
"""What each row is called, by its id without its number."""


def label_of(row: ActionRow) -> str:
    """What a row is called, and in brackets what the person's own program calls it."""
    label = LABELS[kind_of(row.id)].format(of=row.of, end=end_words(row.end))
    return f"{label} ({row.yours})" if row.yours else label


def figure_of(row: ActionRow) -> str:
    """A number as it is typed, with its unit."""
    gap = "" if row.unit == "°" else " "
    return f"{row.figure if row.figure is not None else row.value}{gap}{row.unit}".strip()


def part_words(zone: str) -> str:
    """A part of a long taper, and what its files are named.

    >>> part_words("zone-7")
    'part 7 (files zone-7)'
    """
    return f"part {zone.removeprefix('zone-')} (files {zone})"


class _Texts:
    """The text of each row, in the units that are asked for."""

    def __init__(self, actions: Actions, system: str) -> None:
        self.actions, self.system = actions, system
        self.run, self.mm = actions.run, Sizes(system).by_hand

    def of(self, row: ActionRow) -> str:
        """What to do or to see."""
        kind = kind_of(row.id)
        special: dict[str, Callable[[ActionRow], str]] = {
            "file": self._file,
            "artwork_size": self._artwork_size,
            "fill_direction": self._lines,
            "passes": self._passes,
            "shim": self._shim,
            "start_angle": self._start_angle,
            "face_up": self._face_up,
            "lens_first": lambda row: lens_first_text(float(row.value), self.mm),
            "focus": self._focus,
            "slices_shown": self._slices,
            "page_middle": self._page_middle,
        }
        if kind in special:
            return special[kind](row)
        if kind in _PLAIN:
            lengths = {name: self.mm(value) for name, value in row.model_dump().items() if name in _LENGTHS}
            at = self.mm(float(row.value)) if row.unit == "mm" else ""
            side = SIDES.get(f"{row.value}", row.value)
            words = {"value": row.value, "high": row.high, "end": end_words(row.end), "at": at, "side": side}
            words["lies"] = SIDES.get(WINDOW.get(f"{row.value}", ""), "")
            return _PLAIN[kind].format(**words, **lengths)
        return self._typed(row)

    def _typed(self, row: ActionRow) -> str:
        leave = row.leave_in if self.system == "in" and row.leave_in else row.leave
        return f"{label_of(row)}: {figure_of(row)}{f', {leave}' if leave else ''}."

    def _file(self, row: ActionRow) -> str:
        if row.value == WORDS:
            return "Make the words' files first, then import them."
        what = f"{'make the file' if row.step else 'import'} {row.value}{', then import it' if row.step else ''}."
        if row.step and not self.actions.is_turned:
            what += " The sheet made with it says how to mount, focus and go on to other faces."
        return f"{what[0].upper()}{what[1:]}" if row.id == "file" else f"For another face of the item: {what}"

    def _artwork_size(self, row: ActionRow) -> str:
        sides = (float(row.value), row.high or 0.0)
        wide, high = (text_from_value(side, "mm", self.system, digits=4) for side in sides)
        grown = f", {row.factor:.4g} times as large as drawn" if row.factor and abs(row.factor - 1) >= 5e-4 else ""
        return f"{f'{row.about} on' if row.about else 'On'} the item: {wide} wide, {high} high{grown}."

    def _lines(self, row: ActionRow) -> str:
        ways = {
            "around": "around the item",
            "along": "along the item",
            "both ways": "half of the passes around the item, half along it",
        }
        return f"{label_of(row)}: {ways[f'{row.value}']}."

    def _passes(self, row: ActionRow) -> str:
        run, label = self.run, label_of(row)
        measure = f" Measure the depth after {counted(run.depth_check_after, 'pass')}." if run.depth_check_after else ""
        # Runs that were stored by older tools have no rungs.
        planned = run.rungs[0].passes if run.rungs else run.counted or row.value
        if (measure or run.counted) and planned != row.value:
            how = "Run each file" if run.file_per_slice else "Run the file all round"
            return f"{label}: {row.value}. {how} {planned} times.{measure}"
        if measure:
            fills = fills_of(run)
            each = f" ({fills})" if fills else ""
            several = " on each slice" if slices_of(self.actions) > 1 else ""
            return f"{label}: {row.value}{several}{each}.{measure}"
        if run.counted:
            return f"{label}: {row.value} (your count)."
        first = " on the first slice" if slices_of(self.actions) > 1 or run.file_per_slice else ""
        return f"{label}: {row.value}{first}, then look."

    def _shim(self, row: ActionRow) -> str:
        length, base = self.mm(float(row.value)), self.mm(row.base or 0.0)
        under = f"under the {row.of} at the item's {row.end}"
        return f"Put a {length} shim {under}, {base} from the end that stays down."

    def _start_angle(self, row: ActionRow) -> str:
        rim = end_words(row.end or "rim")
        front = "the pen mark" if row.of == "mark" else "its front"
        known = "any bare flat" if row.of == "flat" else front_words(row.about, row.about_at)
        mark = "Put a pen mark on the item, anywhere round it. " if row.of == "mark" else ""
        letter = "" if row.first_letter is None else f" The first letter begins {_beside(row.first_letter, front)}."
        if row.step:
            named = f"{front}, {known}" if known else front
            return f"{mark}Turn the item to the start angle named with the file (from {named}).{letter}"
        if isinstance(row.value, str):
            side = f"{known}; " if known else ""
            return (
                f"{mark}Find the item's start angle: {row.value}. Turn the item until the place so far to the right "
                f"of {front} (- is to the left; {side}seen with {rim} up) lies under the field's middle.{letter}"
            )
        angle = float(row.value)
        if not angle:
            its = f"{front}{' flat' if row.of == 'flat' else ''} ({known or '0°'})"
        else:
            place = "flat" if row.of == "flat" else "place"
            side = _beside(round(angle, 1) if row.of == "mark" else angle, front)
            far = f"{self.mm(row.on_wall)} on the wall; " if row.on_wall else ""
            its = f"the {place} {side} ({far}{f'{known}; ' if known else ''}seen with {rim} up)"
        level = "level on top, " if row.of == "flat" else ""
        return f"{mark}Turn the item until {its} lies {level}under the field's middle.{letter}"

    def _focus(self, row: ActionRow) -> str:
        away = float(row.value)
        low, high = self.mm(row.from_at or 0.0), self.mm(row.rim_at or 0.0)
        part = f"For {part_words(row.about)}, {low} to {high} from {end_words(row.end)}: " if row.about else ""
        move = (
            f"then move the lens {self.mm(abs(away))} {'AWAY' if away > 0 else 'CLOSER'}"
            if away
            else "leave the lens there"
        )
        if row.of == "face":
            return f"Focus on the face, {move}."
        # Every part is set from the one apex under the middle of the field.
        where = " under the middle of the field" if part else ""
        apex, plane = self.mm(row.apex_over_bed or 0.0), self.mm(row.focus_over_bed or 0.0)
        start = f"{part}{'focus' if part else 'Focus'} on the apex{where}"
        return f"{start}, {move} (apex {apex}, focus {plane} over the bed)."

    def _face_up(self, row: ActionRow) -> str:
        if row.of == "flat":
            return (
                "Clamp the part so that a flat lies level under the lens. Check both ends of the flat with the pointer."
            )
        end = end_words(row.end)
        return f"Stand the part with {end} up: level, under the middle of the field. It stands still while you mark."

    def _page_middle(self, row: ActionRow) -> str:
        middle = (
            f"{row.value} of {row.of}" if int(row.of or 0) % 2 else f"{row.value} or {int(row.value) + 1} of {row.of}"
        )
        return f"At the start slice {middle} must lie under the beam. Then the item turns to slice 1."

    def _slices(self, row: ActionRow) -> str:
        width = f" of {row.of} mm" if row.of else ""
        return f"The program must show {row.value} slice{'s' * (row.value != 1)}{width}."


def lens_first_text(away_mm: float, length: Callable[[float], str]) -> str:
    """What a focus reading asks for, each time that the lens is focused."""
    return f"Whenever you focus, first move the lens {length(abs(away_mm))} {'AWAY' if away_mm > 0 else 'CLOSER'}."


_LENGTHS: Final = ("rim_at", "from_at", "base")
_PLAIN: Final[dict[str, str]] = {
    "next_flat": "By the files' numbers each flat lies to the {value} of the one before: look from above with {end} "
    "away from you.",
    "page_size": "The program must show the file as {value:.3f} × {high:.3f} mm.",
    "rim_edge": "The artwork's side at {end} must point {value}: {end} at the {lies}.",
    "scale": "Never scale, turn or mirror the file.",
    "vessel": "Lid off, item empty and dry.",
    "jaw_end": "Put {end} in the jaws.",
    "end_stop": "Push {end} against a fixed stop.",
    "level": "Put nothing under the item: it lies as level as it can.",
    "field_middle": "Bring the place {at} from {end} under the middle of the field.",
    "witness_marks": "Draw crosses on tape under the pointer, {at} and {rim_at} from {end}: artwork's middle up.",
    "turn_way": "Beam off: turn the item by hand, then slowly by motor. The next slice must come up from the {side}.",
    "corner_ticks": "Mark corner ticks at 0 % power or on tape.",
    "size_shown": "The program must show the file as {value:.3f} × {high:.3f} mm.",
    "first_cut": "Slice 1 must begin at {value:.3f} mm (0 is the middle).",
    "blank_slices": "Keep the blank ends (together {value} × slice width).",
    "slice_turns": "From slice to slice the item must turn {value:.4f}°.",
    "whole_turn": "From first to last slice the item must turn {value:.3f}°.",
}


def _beside(angle: float, front: str) -> str:
    """A place round the item by its angle from the front.

    >>> _beside(-12.5, "its front"), _beside(0.0, "the pen mark")
    ('12.5° to the left of its front', 'at the pen mark')
    """
    return f"{abs(angle):g}° to the {'right' if angle > 0 else 'left'} of {front}" if angle else f"at {front}"


def with_words(actions: Actions, cautions: tuple[CautionText, ...], system: str = "mm") -> Actions:
    """The actions with every label and text; lengths that are set by hand in mm or inches, what is typed as it is.

    Stored cautions keep their words where `cautions` has none for them.
    """
    texts, sizes = _Texts(actions, system), Sizes(system)

    def in_words(row: ActionRow) -> ActionRow:
        # A row of another tool, which has no words here, keeps its own.
        if kind_of(row.id) not in LABELS:
            return row
        return row.model_copy(update={"label": label_of(row), "text": texts.of(row)})

    steps = tuple(step.model_copy(update={"text": sizes.text(step_text(step))}) for step in actions.steps)
    lies = actions.on_item
    return actions.with_each(in_words).model_copy(
        update={
            "verdict": actions.verdict.model_copy(update={"text": verdict_text(actions.verdict, actions.steps, sizes)}),
            "steps": steps,
            "on_item": lies and lies.model_copy(update={"text": distortion_text(lies, system)}),
            "run": actions.run.model_copy(update={"texts": run_texts(actions, system) or actions.run.texts}),
            "cautions": cautions_with_words(actions.cautions, cautions),
        }
    )


def cautions_with_words(cautions: Sequence[ActionCaution], texts: Sequence[CautionText]) -> tuple[ActionCaution, ...]:
    """Cautions with their sentences. One kind may stand there once for each laser: each takes its own, in order."""
    of_kind: dict[str, list[CautionText]] = {}
    for text in texts:
        of_kind.setdefault(text.id, []).append(text)
    return tuple(_caution_in_words(one, of_kind) for one in cautions)


def _caution_in_words(one: ActionCaution, of_kind: dict[str, list[CautionText]]) -> ActionCaution:
    """A caution with its sentences; a stored one that has no words today keeps its own."""
    if one.value is not None:
        marks = f", marked {one.marks}" if one.marks else ""
        needs = f"Wear eyewear for {one.wavelength_nm:g} nm, OD {one.value:g} or more{marks}. Laser: {one.about}."
        return one.model_copy(update={"short": needs, "long": needs, "source": SOURCES["eyewear"]})
    left = of_kind.get(one.id)
    if not left:
        return one
    text = left.pop(0)
    source = SOURCES.get(one.id, "common practice, no source")
    return one.model_copy(update={"short": text.short, "long": text.text, "source": source})
