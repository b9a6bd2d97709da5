"""The actions of a job in words: what each row is called, what to do, how the job stands, what comes next."""

from collections.abc import Callable, Sequence
from typing import Final

from rotary.actions.files import WORDS
from rotary.actions.models import ActionCaution, ActionRow, Actions, Step, Verdict, kind_of
from rotary.errors import counted
from rotary.examples import BANNER, state_words
from rotary.papers.sizes import Sizes
from rotary.sentences.artwork import distortion_text
from rotary.sentences.cautions import SOURCES, CautionText
from rotary.sentences.passes import in_ten
from rotary.sentences.run_texts import run_texts, slices_of
from rotary.sentences.short_rows import SIDES, fills_of
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
    "field_middle": "Under the field's middle",
    "start_angle": "Start angle",
    "witness_marks": "Witness crosses",
    "turn_way": "Trial turn",
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


def end_words(end: str | None) -> str:
    """An end of the item in a sentence.

    >>> end_words("base"), end_words("end 1")
    ('the base', 'end 1')
    """
    return f"the {end}" if end in ("base", "rim") else f"{end}"


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
            return _PLAIN[kind].format(**words, **lengths)
        return self._typed(row)

    def _typed(self, row: ActionRow) -> str:
        leave = row.leave_in if self.system == "in" and row.leave_in else row.leave
        return f"{label_of(row)}: {figure_of(row)}{f', {leave}' if leave else ''}."

    def _file(self, row: ActionRow) -> str:
        if row.value == WORDS:
            return "Make the words' files first, then import them."
        what = f"{'make the file' if row.step else 'import'} {row.value}{', then import it' if row.step else ''}."
        return f"{what[0].upper()}{what[1:]}" if row.id == "file" else f"For another face of the item: {what}"

    def _artwork_size(self, row: ActionRow) -> str:
        sides = (float(row.value), row.high or 0.0)
        wide, high = (text_from_value(side, "mm", self.system, digits=4) for side in sides)
        grown = f", {row.factor:.4g} times as large as drawn" if row.factor and abs(row.factor - 1) >= 5e-4 else ""
        return f"{row.about or label_of(row)}: {wide} wide, {high} high{grown}."

    def _lines(self, row: ActionRow) -> str:
        ways = {
            "around": "around the item",
            "along": "along the item",
            "both ways": "once around the item, once along it, and so on",
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
        angle, rim = float(row.value), end_words(row.end or "rim")
        side = f"{abs(angle):g}° to the {'right' if angle > 0 else 'left'} of its front"
        place = f"{side} (seen with {rim} up)" if angle else ""
        if row.of == "flat":
            flat = f"the flat {place}" if place else "its front flat (0°)"
            return f"Turn the item until {flat} lies level on top, under the middle of the field."
        where = f"the place {place}" if place else "its front (0°)"
        return f"Turn the item until {where} lies under the middle of the field."

    def _focus(self, row: ActionRow) -> str:
        away = float(row.value)
        low, high = self.mm(row.from_at or 0.0), self.mm(row.rim_at or 0.0)
        part = f"For the files named {row.about}, {low} to {high} from {end_words(row.end)}: " if row.about else ""
        move = (
            f"then move the lens {self.mm(abs(away))} {'AWAY' if away > 0 else 'CLOSER'}"
            if away
            else "leave the lens there"
        )
        # Every part is set from the one apex under the middle of the field.
        where = " under the middle of the field" if part else ""
        apex, plane = self.mm(row.apex_over_bed or 0.0), self.mm(row.focus_over_bed or 0.0)
        start = f"{part}{'focus' if part else 'Focus'} on the apex{where}"
        return f"{start}, {move} (apex {apex}, focus {plane} over the bed)."

    def _page_middle(self, row: ActionRow) -> str:
        middle = (
            f"{row.value} of {row.of}" if int(row.of or 0) % 2 else f"{row.value} or {int(row.value) + 1} of {row.of}"
        )
        return f"At the start slice {middle} lies under the beam. Then the item turns to slice 1."

    def _slices(self, row: ActionRow) -> str:
        width = f" of {row.of} mm" if row.of else ""
        return f"The program shows {row.value} slice{'s' * (row.value != 1)}{width}."


_LENGTHS: Final = ("rim_at", "from_at", "base")
_PLAIN: Final[dict[str, str]] = {
    "page_size": "The program must show the file as {value:.3f} × {high:.3f} mm.",
    "rim_edge": "The artwork's side at {end} points {value}. Never turn or mirror the file.",
    "scale": "Never scale the file.",
    "vessel": "Lid off, item empty and dry.",
    "jaw_end": "Put {end} in the jaws.",
    "end_stop": "Push {end} against a fixed stop.",
    "level": "Put nothing under the item: it lies as level as it can.",
    "field_middle": "Bring the place {at} from {end} under the middle of the field.",
    "witness_marks": "Draw crosses on tape under the pointer, {at} and {rim_at} from {end}: artwork's middle up.",
    "turn_way": "Beam off: turn the item by hand, then slowly by motor. The next slice must come up from the {side}.",
    "corner_ticks": "Run the corner ticks at zero power, or on tape.",
    "size_shown": "The program must show the file as {value:.3f} × {high:.3f} mm.",
    "first_cut": "The first slice begins at {value:.3f} mm (0 is the middle).",
    "blank_slices": "Keep the blank space at the ends ({value} × slice width).",
    "slice_turns": "From slice to slice the item turns {value:.4f}°.",
    "whole_turn": "From the first slice to the last the item turns {value:.3f}°.",
}


def verdict_text(verdict: Verdict, steps: tuple[Step, ...], sizes: Sizes) -> str:
    """How the job stands, in one line; why comes right after."""
    stands = state_words(verdict.state, verdict.example)
    if verdict.example:
        stands = BANNER if verdict.state == "ready" else f"{BANNER}. {stands}"
    return f"{stands}. {reasons_text(verdict, steps, sizes)}".strip()


def reasons_text(verdict: Verdict, steps: tuple[Step, ...], sizes: Sizes) -> str:
    """Why a job stands as it does."""
    figures: dict[str, Step] = {step.id: step for step in steps}
    return " ".join(_reason(reason, verdict, figures, sizes) for reason in verdict.reasons)


_OF_SEAMS: Final = ("turn_test", "measure_diameter", "machine_test", "motor_test", "gap_ladder")


def _reason(reason: str, verdict: Verdict, steps: dict[str, Step], sizes: Sizes) -> str:
    assumed = f"{steps['enter_steps'].value:g}" if "enter_steps" in steps else "the usual number"
    seam = next((steps[name] for name in _OF_SEAMS if name in steps), None)
    gap = f" by {_mm(float(seam.value), sizes)}" if seam and seam.unit == "mm" else ""
    batch = f"batch {verdict.batch}" if verdict.batch else "another batch"
    clean = verdict.chance_clean
    clean_odds = "" if clean is None else f": {in_ten(clean)} items come out clean"
    told = {
        "missing_fact": "A field is empty: fill it in.",
        "impossible_fact": "This job can't work as entered.",
        "coating_refused": "This coating must not be marked: its fumes are toxic.",
        "no_passes": "No setting is likely to work here.",
        "sample_laser": "Laser and lens are examples: enter your own.",
        "steps_assumed": f"Steps per turn: {assumed} assumed.",
        "seams_unknown": f"Seams could be off{gap}.",
        "coating_untried": f"Coating untried{clean_odds}.",
        "settings_untried": f"Coating tested, but not at these settings{clean_odds}.",
        "readings_doubtful": "" if clean is None else f"At these settings only {in_ten(clean)} items come out clean.",
        "depth_untried": f"No depth measured on this metal yet{_depths(verdict, sizes, '. Estimate: ')}.",
        "changed": "Job or machine changed since it was proven.",
        "rebuilt": "This proof is old: some numbers were not saved.",
        "never_run": "Nobody has run these numbers yet.",
        "readings": _chances(verdict, sizes),
        "run_well": f"{verdict.on}: {verdict.good} of {verdict.count} items good.",
        "ran_badly": f"Last run: {BAD.get(verdict.last_run, verdict.last_run)}.{_good_of(verdict)}",
        "marked_by_you": f"{verdict.on}: proven by you, no run logged.",
        "other_batch": f"Proven on {batch}: mark one test patch.",
    }
    return told[reason]


BAD: Final[dict[str, str]] = {
    "coating-left": "coating left", "metal-marked": "metal engraved", "seams-show": "seams showed",
    "spoiled": "spoiled",
}  # fmt: skip
"""How a run came out that was not wanted, by the logbook's word."""


def _good_of(verdict: Verdict) -> str:
    return "" if verdict.count is None else f" So far {verdict.good} of {verdict.count} items good."


def _chances(verdict: Verdict, sizes: Sizes) -> str:
    clean, coated, marked = verdict.chance_clean, verdict.chance_coated, verdict.chance_marked
    if clean is None or coated is None or marked is None:
        return f"Depth measured on this metal{_depths(verdict, sizes)}."
    return f"Clean: {in_ten(clean)} items. Coating left: {in_ten(coated)}. Metal marked: {in_ten(marked)}."


def _depths(verdict: Verdict, sizes: Sizes, before: str = ": ") -> str:
    low, high = verdict.depth_low, verdict.depth_high
    return "" if low is None or high is None else f"{before}{_mm(low, sizes).split()[0]} to {_mm(high, sizes)}"


def _mm(mm: float, sizes: Sizes) -> str:
    return f"{mm / 25.4:.4f} in" if sizes.system == "in" else f"{mm:.2f} mm"


STEPS: Final[dict[str, str]] = {
    "fill": "{value}.",
    "other_coating": "Choose an item with another coating.",
    "own_laser": "Enter your own laser and lens: {minutes}.",
    "enter_steps": "Enter your gear ratio, full steps and microsteps: {minutes}.",
    "turn_test": "Do the full-turn test and enter the gap that you measure: {minutes}.",
    "measure_height": "Measure the diameter{heights} from {end} too, for better seams. You then know the diameter to "
    "{then} mm instead of {now} mm: {minutes}.",
    "edge_here": "Is there an edge {value:g} mm from {end}? If so, enter this height as a corner: {minutes}.",
    "measure_diameter": "Measure the diameter again, to 0.1 mm: {minutes}.",
    "machine_test": "Do the machine tests on paper tape: {minutes}.",
    "motor_test": "Do the motor test on paper tape: {minutes}.",
    "gap_ladder": "Mark the gap ladder on scrap: {minutes}.",
    "test_patch": "Mark a test patch to see which settings work: {minutes}.",
    "trial_cut": "Cut a trial on scrap and measure its depth: {minutes}.",
    "scrap_first": "Mark the first slice on a scrap item: {minutes}.",
    "program": "Answer {questions} about your marking program: {minutes}.",
    "file_per_slice": "Make a file for each slice, {value} in all: {minutes}.",
    "write_file": "Make the file {value}: {minutes}.",
    "print_sheet": "Print the setup sheet: {minutes}.",
    "seam_test": "Do the seam test to see if seams gap or overlap: {minutes}.",
    "new_plan": "See what the newer, untested plan changes: {minutes}.",
    "what_helps": "See which changes to the job give better odds: {minutes}.",
}

NO_DRAWING: Final = "Choose your drawing, then make the file {value}: {minutes}."
"""Of a job that names none."""

WORDS_FILES: Final = "Make the words' files: {minutes}."
"""Of an inscription, before its files have names."""


def step_text(step: Step) -> str:
    """What to do next, in one line."""
    text = NO_DRAWING if step.id == "write_file" and step.where else STEPS[step.id]
    text = WORDS_FILES if step.id == "write_file" and step.value == WORDS else text
    known = {name: f"{amount:.2g}" for name in ("now", "then") if (amount := getattr(step, name)) is not None}
    minutes, heights = f"about {step.minutes:g} min", ""
    if step.id == "measure_height":
        *others, last = (f"{at:g}" for at in (float(step.value), *step.also))
        heights = f"s {', '.join(others)} and {last} mm" if others else f" {last} mm"
    questions = counted(int(step.value), "question") if step.id == "program" else ""
    return text.format(
        value=step.value, questions=questions, heights=heights, end=end_words(step.end), minutes=minutes, **known
    )


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
