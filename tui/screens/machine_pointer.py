"""The red pointer on the screen: how far beside the beam it stands, at one height or two."""

from typing import TYPE_CHECKING

from rotary.errors import Refused
from tui.screens.machine_level import ReadingPage
from tui.screens.machine_pages import READ_TO, Answer, Bench, Cell, Reader, Row, by_field, now, short

if TYPE_CHECKING:
    from rotary.machine.readings import Reading
    from rotary.machine.record import KnownMachine


class PointerPage(ReadingPage):
    """A cross marked at two heights: where the pointer stands beside the beam, and how that changes with height."""

    name = "pointer"
    keeps = "save the offsets"
    tape, wanted = "pointer", "both offsets"
    writes = "write the cross"
    about = (
        "The pointer is a laser too: never look into it. While the laser marks, wear eyewear marked for it.",
        "F5 writes the drawing of a small cross. Focus on flat tape, and mark the cross. Then switch the pointer on. "
        "Measure to 0.1 mm how far the pointer's spot is from the cross's middle: to the right, and towards +Y in your "
        "program.",
        "Put fresh tape about 10 mm higher, and leave the lens where it is. Mark the cross again, and measure again. "
        "The pointer shines at an angle, so both distances change with height, and your items are often out of focus.",
        "Ctrl+S saves these offsets for this machine. When you measure with the pointer, add the offset shown for your "
        "height.",
    )

    def rows(self, bench: Bench) -> list[Row]:  # noqa: ARG002
        """Two heights with two offsets each."""
        ways = "right of the cross's middle, - if left", "from the cross's middle towards +Y, - if towards -Y"
        right, up = (f"How far the pointer's spot is {way}." for way in ways)
        right_above, up_above = (f"On the raised tape: how far the pointer's spot is {way}." for way in ways)
        low = Cell("height", "How much higher than the focus the tape lies.", "mm", (), "0 mm")
        high = Cell("second_height", "How much higher than the focus the raised tape lies.", "mm", (), "10 mm")
        return [
            Row(" " * 20 + f"{'in focus':<13}higher up"),
            Row("height over focus", (low, high)),
            Row("to the right", (Cell("right", right, "mm"), Cell("second_right", right_above, "mm"))),
            Row("towards +Y", (Cell("up", up, "mm"), Cell("second_up", up_above, "mm"))),
            Row("reading, ±", (Cell("u", READ_TO, "mm", (), "0.1 mm"),)),
            Row("folder", (Cell("folder", "The folder that F5 writes the drawing into.", None, (), "tapes", 30),)),
        ]

    def reading(self, bench: Bench, reader: Reader) -> "Reading | None":  # noqa: ARG002
        """The offsets at one height or two."""
        from rotary.machine.reading_data import reading_from_data

        second = bool(reader.text("second_right") or reader.text("second_up"))
        data = {"height": reader.exact("height", 0.0), "right": reader.exact("right"), "up": reader.exact("up")}
        data |= {"u": reader.exact("u", 0.1)}
        if second:
            data |= {"second_height": reader.exact("second_height", 10.0)}
            data |= {name: reader.exact(name) for name in ("second_right", "second_up")}
        if reader.faults or not data["right"] or not data["up"]:
            return None
        try:
            return reading_from_data({k: v for k, v in data.items() if v} | {"kind": "pointer", "at": now()})
        except Refused as refused:
            names = {name: name for name in (*data, "second_height", "second_right", "second_up")}
            # A pointer read at one height away from the focus complains about the second one.
            reader.faults.update(by_field(refused, names, "right"))
            return None

    def told(self, bench: Bench, reader: Reader) -> Answer:
        """Offset in focus, its change, and a small table over height."""
        reading = self.reading(bench, reader)
        if reading is None:
            says = "Type how far the pointer's spot is from the cross's middle."
            return Answer((("plain", says), *_offsets(bench, bench.now, reader.system)), reader.faults)
        from rotary.machine.record import known, with_reading

        after = known(with_reading(bench.machine, reading), bench.job.item.name if bench.job else None)
        lines = [("warn", says) for name in after if name.startswith("pointer") for says in after[name].says]
        lines += _offsets(bench, after, reader.system)
        return Answer(tuple(lines), reader.faults, True)


def _offsets(bench: Bench, now_known: "dict[str, KnownMachine]", system: str) -> list[tuple[str, str]]:
    """The pointer's offset over a range of heights, and at this job's apex."""
    from rotary.formulas.estimate import HOLDS_95

    right, lean = now_known["pointer-right"], now_known["pointer-right-lean"]
    up, up_lean = now_known["pointer-up"], now_known["pointer-up-lean"]
    if right.source != "measured" or right.value is None or up.value is None:
        return [("muted", "You have saved no reading of the pointer yet.")]
    leans = lean.source == "measured" and lean.value is not None and up_lean.value is not None
    heights = (
        [("plain", f"{h:+g} mm", float(h)) for h in (-20, -10, 0, 10, 20)] if leans else [("plain", "in focus", 0.0)]
    )
    if leans and bench.made is not None:
        apex = -bench.made.focus.plane_over_apex_mm
        heights.append(("good", f"apex of this job, {short(apex, system, True)}", apex))
    lines = [("strong", f"{'height over focus':<30} {'to the right':>12} {'towards +Y':>12}")]
    for ink, label, height in heights:
        across = right.value + (lean.value or 0.0) * height
        along = up.value + (up_lean.value or 0.0) * height
        lines.append((ink, f"{label:<30} {short(across, system, True):>12} {short(along, system, True):>12}"))
    doubt = short(HOLDS_95 * max(right.u, up.u), system)
    lines.append(
        (
            "muted",
            f"The pointer's spot is this far from the beam, right within {doubt} in 19 of 20 cases. rotary averages "
            "what you type with your earlier readings and with what is usual for pointers.",
        )
    )
    if not leans:
        lines.append(
            ("warn", "Measure the pointer on raised tape too: you will use it on items that are out of focus.")
        )
    return lines
