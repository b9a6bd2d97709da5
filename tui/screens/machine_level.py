"""Levelling and focusing on the screen: live answers to heights and line widths."""

import math
from typing import TYPE_CHECKING

from rotary.errors import Refused, refuse
from tui.form.fields import Tables
from tui.screens.machine_pages import (
    NO_PLAN,
    READ_TO,
    Answer,
    Bench,
    Cell,
    Page,
    Reader,
    Row,
    by_field,
    ends,
    keep_reading,
    now,
    short,
    write_tapes,
)

if TYPE_CHECKING:
    from rotary.machine.readings import Reading


class ReadingPage(Page):
    """A page that keeps one reading, and may write the tape that it is read off."""

    tape = ""
    wanted = ""
    """What has to be typed first."""

    def reading(self, bench: Bench, reader: Reader) -> "Reading | None":
        """The reading that the fields make; None where there is none yet."""
        raise NotImplementedError

    def keep(self, bench: Bench, reader: Reader) -> str:
        """The reading goes into the machine."""
        reading = self.reading(bench, reader)
        if reading is None:
            raise refuse(self.name, f"there is nothing to save yet: first type {self.wanted}.")
        return keep_reading(bench, reading)

    def files(self, bench: Bench, reader: Reader) -> str:
        """The drawing of the tape."""
        return f"the drawing is now in the file {write_tapes(bench, (self.tape,), reader.text('folder'))[0]}"


class LevelPage(ReadingPage):
    """Heights at both ends of the band: tilt, and what to put under which end."""

    name = "level"
    keeps = "save the heights"
    wanted = "both heights"
    about = (
        "Measure only while the item stands still, with the beam off and the rotary's motor without power.",
        "Measure how high the apex of the item is over the bed, at both ends of the artwork: near the base (end 1) and "
        "near the rim (end 2). Use a height gauge, or calipers down to the bed, and read to 0.1 mm.",
        "The answer shows which end lies too high, and how thick a shim to put under the other end. With the shim "
        "there, measure both heights again.",
        "Ctrl+S saves both heights for this item on this machine. If you re-mount the item, measure both again.",
    )

    def rows(self, bench: Bench) -> list[Row]:
        """Two heights, their distance, the base that is shimmed."""
        apart, base = _level_stands(bench)
        (base_name, base_words), (rim_name, rim_words) = ends(bench)
        return [
            Row(
                f"height at {base_name}",
                (Cell("base_end", f"How high the apex is over the bed, near {base_words}.", "mm"),),
            ),
            Row(
                f"height at {rim_name}",
                (Cell("rim_end", f"How high the apex is over the bed, near {rim_words}.", "mm"),),
            ),
            Row(
                "between the two",
                (
                    Cell(
                        "apart",
                        "How far apart along the item the two places are where you measured.",
                        "mm",
                        (),
                        f"{apart:.1f} mm",
                    ),
                ),
            ),
            Row(
                "shim from the end",
                (
                    Cell(
                        "base",
                        "How far the shim is from the end of the rotary that stays down.",
                        "mm",
                        (),
                        f"{base:g} mm",
                    ),
                ),
            ),
            Row("height, ±", (Cell("u", READ_TO, "mm", (), "0.1 mm"),)),
        ]

    def told(self, bench: Bench, reader: Reader) -> Answer:
        """Tilt, shim, what is left."""
        if bench.made is None:
            return Answer((("bad", bench.trouble or NO_PLAN),))
        from rotary.formulas.estimate import HOLDS_95
        from rotary.machine.level import levelling

        given = self._given(bench, reader)
        if given is None:
            wanted = "Type how high the apex is over the bed at both ends."
            return Answer((("plain", wanted), *_level_now(bench)), reader.faults)
        try:
            found = levelling(bench.made, *given, system=reader.system)
        except Refused as refused:
            reader.faults.update(by_field(refused, {"rim_end": "rim_end"}, "base_end"))
            return Answer((), reader.faults)
        lines = [("strong" if k else "plain", says) for k, says in enumerate(found.says)]
        doubt = HOLDS_95 * found.u_rise_rad
        over = short(found.left_over_band_mm, reader.system)
        says = (
            f"In 19 of 20 cases this tilt is right within ±{math.degrees(doubt):.2f}°. After levelling, one end can "
            f"still be up to {over} higher."
        )
        lines.append(("muted", says))
        return Answer(tuple(lines), reader.faults, not reader.faults)

    def _given(self, bench: Bench, reader: Reader) -> tuple[float, float, float, float, float] | None:
        apart, base = _level_stands(bench)
        values = [
            reader.length("base_end"), reader.length("rim_end"), reader.length("apart", apart),
            reader.length("u", 0.1), reader.length("base", base),
        ]  # fmt: skip
        for key, value in zip(("base_end", "rim_end", "apart", "u", "base"), values, strict=True):
            if value is not None and value <= 0:
                reader.faults.setdefault(key, "Type a length above zero.")
        if reader.faults or any(value is None for value in values):
            return None
        low, high, far, u, over = (float(value) for value in values if value is not None)
        return low, high, far, u, over

    def reading(self, bench: Bench, reader: Reader) -> "Reading | None":
        """The heights, for this item."""
        from rotary.machine.reading_data import reading_from_data

        given = self._given(bench, reader)
        if given is None or bench.job is None:
            return None
        names = ("base_end", "rim_end", "apart", "u")
        data: Tables = {name: f"{value!r} mm" for name, value in zip(names, given, strict=False)}
        return reading_from_data(data | {"kind": "level", "at": now(), "item": bench.job.item.name})


def _level_stands(bench: Bench) -> tuple[float, float]:
    """How far apart the heights are read, and the base, where nothing is typed."""
    if bench.made is None:
        return 60.0, 100.0
    level = bench.made.turning.level
    return round(max(level.to_mm - level.from_mm, 1.0), 1), level.base_mm


def _level_now(bench: Bench) -> list[tuple[str, str]]:
    level = bench.now["level"]
    if level.source != "measured" or level.value is None:
        return []
    way, rim = "rises" if level.value >= 0 else "falls", ends(bench)[1][1]
    return [
        (
            "muted",
            f"Saved for this item: towards {rim} the apex {way} by {abs(math.degrees(level.value)):.2f}°.",
        )
    ]


class FocusPage(ReadingPage):
    """Stairs of short lines at stepped heights: focal plane, Rayleigh length, spot."""

    name = "focus"
    keeps = "save the focus lines"
    tape, wanted = "focus-lines", "at least four widths"
    writes = "write the focus lines"
    about = (
        "Use paper masking tape, never vinyl: vinyl fumes are poisonous. Wear eyewear marked for your laser, switch "
        "the extraction on. Tape can smoulder: watch it.",
        "F5 writes a drawing with one short line for each lens height. Focus on flat tape. Mark the lines one by one, "
        "each with the lens at the height that stands beside the line: + is further away than in focus, - is closer.",
        "Read each line's width to 0.01 mm, with a measuring loupe or on a photo with a scale in it. Type the width "
        "beside the line's height. If you marked at another height, type that height over the one shown. Leave the "
        "width empty if a line left no mark. Type at least four widths, better six.",
        "The narrowest line shows where the focus really is. Ctrl+S saves the focus lines. Plans for this machine then "
        "use the depth of focus and the spot that you measured. The answer says how far to move the lens whenever you "
        "focus.",
    )

    def rows(self, bench: Bench) -> list[Row]:
        """A height and a width a stair."""
        heights = _heights(bench)
        rows = [Row(" " * 20 + f"{'height':<13}width of the line")]
        over = "How far from focus you moved the lens for this line: + further away, - closer."
        wide = "How wide this line is, to 0.01 mm."
        for k, height in enumerate(heights):
            cells = (
                Cell(f"height {k}", over, "mm", (), f"{height:+g} mm"),
                Cell(f"width {k}", f"{wide} Leave this field empty if you did not measure it.", "mm"),
            )
            rows.append(Row(f"line {k + 1}", cells))
        rows.append(Row("width, ±", (Cell("u", READ_TO, "mm", (), "0.01 mm"),)))
        rows.append(
            Row("folder", (Cell("folder", "The folder that F5 writes the drawing into.", None, (), "tapes", 30),))
        )
        return rows

    def _reading(self, bench: Bench, reader: Reader) -> "tuple[int, Reading | None]":
        """How many stairs have both; the reading where it makes sense."""
        from rotary.machine.reading_data import reading_from_data

        heights, widths, places = [], [], []
        for k, stands in enumerate(_heights(bench)):
            height, width = reader.length(f"height {k}", stands), reader.length(f"width {k}")
            if height is not None and width is not None:
                if width <= 0:
                    reader.faults[f"width {k}"] = (
                        "Type a width above zero. Leave this field empty if the line left no mark."
                    )
                elif width > 5:
                    reader.faults[f"width {k}"] = "No beam marks a line as wide as this: check the unit."
                heights.append(f"{height!r} mm")
                widths.append(f"{width!r} mm")
                places.append(f"width {k}")
        u = reader.exact("u", 0.01)
        if reader.faults or len(widths) < 4:
            return len(widths), None
        data = {"kind": "focus-lines", "heights": heights, "widths": widths, "u": u, "at": now()}
        try:
            return len(widths), reading_from_data(data)
        except Refused as refused:
            reader.faults.update(by_field(refused, {"u": "u"}, places[0]))
            return len(widths), None

    def told(self, bench: Bench, reader: Reader) -> Answer:
        """The waist, and where to set the head."""
        if bench.made is None:
            return Answer((("bad", bench.trouble or NO_PLAN),))
        count, reading = self._reading(bench, reader)
        if reading is None:
            says = f"You typed {count} of at least 4 widths." if count else "Type how wide each marked line is."
            before = (("muted", text) for text in _focus_lines(bench, reader.system))
            return Answer((("plain", says), *before), reader.faults)
        from rotary.formulas.estimate import HOLDS_95
        from rotary.machine.level import focus_words
        from rotary.machine.readings import findings
        from rotary.machine.record import known, with_reading

        found = {one.quantity: one for one in findings(reading)}
        lines = []
        for name, says in (
            ("focus", "The focus is"), ("rayleigh", "depth of focus"), ("spot", "narrowest line"),
        ):  # fmt: skip
            one = found[name]
            side = "" if name != "focus" else " above where you set it" if one.value >= 0 else " below where you set it"
            value, doubt = (short(mm, reader.system) for mm in (abs(one.value), HOLDS_95 * one.u))
            size = f"{value} (right within {doubt} in 19 of 20 cases)"
            lines.append(("strong", f"{says} {size}{side}" if side else f"{says}: {size}"))
        after = known(with_reading(bench.machine, reading), bench.job.item.name if bench.job else None)
        lines += [("warn", says) for name in found for says in after[name].says]
        lines += [("plain", says) for says in focus_words(bench.made, after, reader.system)[:1]]
        if bench.machine.readings:
            lines.append(("muted", "The sentence above also uses the readings that you saved for this machine before."))
        return Answer(tuple(lines), reader.faults, True)

    def reading(self, bench: Bench, reader: Reader) -> "Reading | None":
        """The stairs."""
        return self._reading(bench, reader)[1]

    def done_with(self, bench: Bench) -> tuple[str, ...]:
        """Heights and widths: the depth of focus that they gave sets other heights for the next lines."""
        return tuple(f"{what} {k}" for k in range(len(_heights(bench))) for what in ("height", "width"))


def _heights(bench: Bench) -> list[float]:
    from rotary.machine.tapes import stair_heights_mm

    return stair_heights_mm(bench.made.optics.rayleigh_mm if bench.made else 1.0)


def _focus_lines(bench: Bench, system: str) -> list[str]:
    from rotary.machine.level import focus_words

    return list(focus_words(bench.made, bench.now, system)) if bench.made is not None else []
