"""The seam strip on the screen: its files, what is read off it, the diagnosis, the one correction, what is left."""

from typing import TYPE_CHECKING, Final

from rotary.errors import Refused, refuse
from rotary.files import named_path
from tui.screens.machine_pages import (
    NO_PLAN,
    Answer,
    Bench,
    Cell,
    Page,
    Reader,
    Row,
    ends,
    fine,
    keep_reading,
    now,
    short,
)

if TYPE_CHECKING:
    from rotary.machine.diagnosis import Diagnosis
    from rotary.machine.strip import Strip
    from rotary.machine.strip_reading import StripReading

LETTERS: Final = ("not chosen", "right", "mirrored", "upside-down", "mirrored-upside-down")
SLOPES: Final = {"rising": "//", "falling": "\\\\"}
TAPE_MM: Final = 0.12


class StripPage(Page):
    """Slices on tape on the item itself: what opens a seam, all at once."""

    name = "seam test"
    deed = "seam_test"
    keeps = "save the correction"
    writes = "write the test's files"
    about = (
        "You mark the seam test on paper tape, on the item itself. F5 writes its drawing, its form and its steps into "
        "the folder below. Mark the test, and type what you read. The answer changes as you type.",
        "Hold the item with the rim (end 2) away from you. Choose in which order you read the numbers from left to "
        "right, and how the letter F looks.",
        "Ticks: look at each seam at each height. Find the rising tick (//) that runs straight on from the left slice "
        "to the right slice, and type its number. Long ticks have their numbers beside them. Count upwards from 0, "
        "downwards with a minus. Read the falling ticks (\\\\) in this way, too. Leave a field empty if you can't read "
        "its ticks. Does no tick run straight on? Then take the tick marked 0. Follow its left half straight on across "
        "the seam, and measure with a loupe how much higher (towards the top of the F) its right half lies. Type this "
        'with its unit: "0.4 mm" (- if lower).',
        "Level lines apart: the middle slice has two level lines. Measure with calipers along the wall from the lower "
        "edge of one line to the lower edge of the other. Measure twice.",
        "Ctrl+S saves the correction. From then on rotary corrects every file for this item on this machine.",
        "Use paper masking tape, never vinyl: vinyl fumes are poisonous. Wear eyewear marked for your laser, switch "
        "the extraction on, keep your hands clear of turning parts. Tape can smoulder: watch it. Local rules and "
        "licensed experts come first.",
    )

    def __init__(self) -> None:
        self._drawn: tuple[object, float, Strip | None] | None = None
        self._why_none = ""

    # -- what is asked

    def rows(self, bench: Bench) -> list[Row]:
        """Order, letter, lengths, then a row of ticks for each height and slope."""
        strip = self._strip(bench, TAPE_MM) if bench.made else None
        if strip is None:
            return [Row("seam test")]
        from rotary.machine.strip import kinds_at

        orders = ("not chosen", strip.numbers, strip.numbers[::-1])
        rules = "On the middle slice measure from the lower edge of one level line to the lower edge of the other."
        rim = ends(bench)[1][1]
        rows = [
            Row(
                "tape thickness",
                (
                    Cell(
                        "tape", "Measure how thick ten layers of your tape are, and divide by ten.", "mm", (), "0.12 mm"
                    ),
                ),
            ),
            Row(
                "folder",
                (
                    Cell(
                        "folder",
                        "The folder that F5 writes into: drawing, form and steps of the test.",
                        None,
                        (),
                        "seam-test",
                        30,
                    ),
                ),
            ),
            Row(
                "order of numbers",
                (
                    Cell(
                        "order",
                        f"Read the numbers from left to right, with {rim} away from you. Left and Right change this.",
                        None,
                        orders,
                        "",
                        12,
                    ),
                ),
            ),
            Row(
                "the F looks",
                (
                    Cell(
                        "letter",
                        f"How the letter F looks to you, with {rim} away from you. Left and Right change the answer.",
                        None,
                        LETTERS,
                        "",
                        22,
                    ),
                ),
            ),
            Row(
                "level lines apart",
                (Cell("between", rules, "mm"), Cell("between_again", f"{rules} This is the second time.", "mm")),
            ),
            Row("ticks at seam      " + "".join(f"{seam:<8}" for seam in strip.seams)),
        ]
        for vernier in reversed(strip.verniers):
            for kind, sign in SLOPES.items():
                help_ = (
                    f"{vernier.name}, {kind} ticks {sign}: type the number of the tick that runs straight on, "
                    f"-{strip.ticks} to "
                    f'{strip.ticks}. If none does, type how much higher tick 0 goes on at the right: "0.4 mm".'
                )
                cells = tuple(
                    Cell(f"{seam} {vernier.name} {kind}", f"Seam {seam}, {help_}", width=7)
                    for seam in strip.seams
                    if kind in kinds_at(strip, seam)
                )
                if cells:
                    rows.append(Row(f"{vernier.name} {sign}", cells))
        return rows

    def _strip(self, bench: Bench, tape_mm: float) -> "Strip | None":
        """The strip of this job, drawn once; None where there can be none."""
        from rotary.machine.strip import seam_strip

        if bench.made is None or bench.how is None:
            return None
        if self._drawn is not None and self._drawn[0] is bench.made and self._drawn[1] == tape_mm:
            return self._drawn[2]
        strip: Strip | None = None
        try:
            strip, self._why_none = seam_strip(bench.made.job, bench.how, tape_mm), ""
        except Refused as refused:
            self._why_none = "; ".join(fault.says for fault in refused.faults)
        self._drawn = bench.made, tape_mm, strip
        return strip

    # -- what is answered

    def told(self, bench: Bench, reader: Reader) -> Answer:
        """Steps before anything is read; then gaps and stairs, then what fits them and the correction."""
        if bench.made is None or bench.how is None:
            return Answer((("bad", bench.trouble or NO_PLAN),))
        tape = reader.length("tape", TAPE_MM)
        if tape is None or not 0 <= tape <= 1:
            reader.faults.setdefault("tape", "Paper tape is between 0.05 and 0.3 mm thick: type how thick yours is.")
            return Answer((), reader.faults)
        strip = self._strip(bench, tape)
        if strip is None:
            return Answer((("bad", self._why_none),))
        read, reading, found = self._read(bench, reader, strip)
        if not read:
            from rotary.machine.strip_papers import numbered_lines

            steps = [("plain", line) for line in numbered_lines(strip, reader.system)]
            if bench.how.source == "seam test":
                steps.append(
                    ("muted", "This test is drawn with the saved correction, so it shows the error that is left.")
                )
            return Answer(
                (("strong", "F5 writes the seam test. Mark the test, read it, and type what you read."), *steps),
                reader.faults,
            )
        lines = _steps_lines(reading, strip, reader.system) if reading is not None else []
        if found is None:
            lines.append(("muted", self._wanted(reader)))
            return Answer(tuple(lines), reader.faults)
        from rotary.papers.sizes import Sizes

        text = Sizes(reader.system).text
        # What to do comes before why.
        lines += [("strong", text(found.advice))] if found.advice else []
        lines += [("warn" if found.setting else "plain", text(says)) for says in found.causes]
        lines += [("warn", text(says)) for says in found.left_out]
        if not found.setting:
            lines.append(("good", _left_text(found, bench.made.split.slice_width_mm, reader.system)))
            if bench.how.source == "seam test":
                lines.append(
                    (
                        "muted",
                        "The test was drawn with the saved correction. rotary adds the new correction to it.",
                    )
                )
        return Answer(tuple(lines), reader.faults, not found.setting and not reader.faults)

    def _wanted(self, reader: Reader) -> str:
        from rotary.machine.strip_reading import LEAST_TICKS_READ

        wanted = [
            says
            for key, says in (("order", "the order of the numbers"), ("letter", "how the F looks"))
            if reader.text(key) in ("", LETTERS[0])
        ]
        if reader.faults:
            return "Correct the fields marked ! first."
        if not wanted:
            return f"This is not enough yet: type at least {LEAST_TICKS_READ} ticks, at two heights and two seams."
        return f"Still missing: {' and '.join(wanted)}, and at least {LEAST_TICKS_READ} ticks."

    def _read(
        self, bench: Bench, reader: Reader, strip: "Strip"
    ) -> "tuple[bool, StripReading | None, Diagnosis | None]":
        """Whether anything was read; the reading where it can be used; the diagnosis where there is enough of it."""
        from rotary.machine.diagnosis import diagnosis
        from rotary.machine.strip import kinds_at
        from rotary.machine.strip_reading import enough_read, strip_reading

        order, letter = (reader.text(key).replace(LETTERS[0], "") for key in ("order", "letter"))
        places: dict[str, str] = {"tape": "tape", "order": "order", "letter": "letter"}
        places |= {"between": "between", "between_again": "between_again"}
        rows: list[dict[str, str]] = []
        for seam in strip.seams:
            for vernier in strip.verniers:
                row = {"seam": seam, "height": vernier.name}
                for kind in kinds_at(strip, seam):
                    key = f"{seam} {vernier.name} {kind}"
                    row[kind] = reader.text(key)
                    places[f"verniers.{len(rows)}.{kind}"] = key
                rows.append(row)
        ticks = any(row.get(kind) for row in rows for kind in SLOPES)
        between = [reader.exact(key) for key in ("between", "between_again")]
        if not (ticks or order or letter or any(between)):
            return False, None, None
        data = {"item": strip.made.job.item.name, "tape": f"{strip.tape_mm!r} mm", "verniers": rows}
        data |= {"order": order or "1-2-3", "letter": letter or "right", "between": between[0] or "?"}
        try:
            reading = strip_reading(data | {"between_again": between[1] or "?"}, strip, "must", few=True)
        except Refused as refused:
            for fault in refused.faults:
                reader.faults.setdefault(places.get(fault.where, "order"), f"{fault.says}.")
            return True, None, None
        if not (order and letter) or reader.faults or not enough_read(reading, strip):
            return True, reading, None
        made = bench.made
        plane = made.focus.plane_over_apex_mm if made is not None else None
        return True, reading, diagnosis(reading, strip, plane)

    # -- what is kept

    def done_with(self, bench: Bench) -> tuple[str, ...]:
        """All that was read: the next strip is drawn with the correction, and shows what is left over."""
        strip = self._strip(bench, TAPE_MM)
        ticks = [
            f"{seam} {vernier.name} {kind}"
            for seam in (strip.seams if strip else ())
            for vernier in (strip.verniers if strip else ())
            for kind in SLOPES
        ]
        return ("order", "letter", "between", "between_again", *ticks)

    def keep(self, bench: Bench, reader: Reader) -> str:
        """The correction goes into the machine."""
        from rotary.machine.diagnosis import strip_result

        strip = self._strip(bench, reader.length("tape", TAPE_MM) or TAPE_MM)
        found = self._read(bench, reader, strip)[2] if strip else None
        if strip is None or bench.job is None or bench.how is None or found is None or found.setting or reader.faults:
            raise refuse("strip", "there is no correction to save yet: first type what you read in the seam test.")
        said = keep_reading(bench, strip_result(found, bench.job.item.name, bench.how, now()))
        return f"{said}. New files have the correction in them"

    def files(self, bench: Bench, reader: Reader) -> str:
        """Drawing, form and steps into the folder."""
        from rotary.artwork.sets import write_all
        from rotary.machine.strip_papers import strip_files

        strip = self._strip(bench, reader.length("tape", TAPE_MM) or TAPE_MM)
        if strip is None or reader.faults:
            none = "there is no seam test to write yet: first correct the fields marked !."
            raise refuse("strip", none if reader.faults or bench.made is None else self._why_none)
        place = named_path(reader.text("folder") or "seam-test")
        written = write_all({place / name: data for name, data in strip_files(strip).items()})
        return f"the folder {place} now has {', '.join(path.name for path in written)}"


def _steps_lines(reading: "StripReading", strip: "Strip", system: str) -> list[tuple[str, str]]:
    """Gap and stair over each seam at each height, as far as both ticks were read."""
    from rotary.machine.strip_reading import gaps_and_stairs

    found = gaps_and_stairs(reading, strip)
    if not found:
        return []
    unit = "thou" if system == "in" else "µm"
    lines = [
        ("strong", f"at each seam, in {unit}: gap (- if marked twice) / offset (+ if the right slice lies higher)")
    ]
    lines.append(("muted", "seam   " + "".join(f"{seam:>12}" for seam in strip.seams)))
    for vernier in reversed(strip.verniers):
        parts = []
        for seam in strip.seams:
            one = found.get((seam, vernier.name))
            both = [fine(mm, system, True).split()[0] for mm in one] if one else []
            parts.append(f"{' / '.join(both) or '-':>12}")
        lines.append(("plain", f"{vernier.name:<7}{''.join(parts)}"))
    return [*lines, ("plain", "")]


def _left_text(found: "Diagnosis", width_mm: float, system: str) -> str:
    left = fine(found.after_per_mm * width_mm, system)
    return (
        "Press Ctrl+S to save the correction: rotary then corrects every file for this item on this machine. Seams "
        f"between slices of {short(width_mm, system)} then gap or overlap by at most {left} on 19 of 20 items. The "
        "motor's uneven stops add to this."
    )
